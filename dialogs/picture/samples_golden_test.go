package picture

import (
	"bytes"
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the sample pictures anew")

// TestSamples keeps the sample pictures, which people are shown, the same as what
// is drawn. A few pixels may differ, as another processor rounds otherwise.
// Source: regression, not a reference.
func TestSamples(t *testing.T) {
	p := painter(t)
	for file, d := range map[string]drawing{
		"pattern.png":  patternDrawing("pattern", samplePattern()),
		"backlash.png": backlashDrawing("backlash", sampleBacklash()),
		"choices.png":  choiceDrawing("choices", ChoicePicture{}),
		"stacks.png":   stacksDrawing("stacks", sampleStacks()),
		"step.png":     stepDrawing("step", sampleStep()),
	} {
		var b bytes.Buffer
		if err := d.write(p, &b); err != nil {
			t.Fatal(err)
		}
		file = filepath.Join("testdata", file)
		if *update {
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Error(err)
			continue
		}
		want, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		got, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if want.Bounds() != got.Bounds() {
			t.Errorf("%s is %v px, drawn is %v; after a look at it: go test -update", file, want.Bounds(), got.Bounds())
			continue
		}
		differ, all := 0, 0
		for y := range got.Bounds().Dy() {
			for x := range got.Bounds().Dx() {
				all++
				if got.At(x, y) != want.At(x, y) {
					differ++
				}
			}
		}
		if share := float64(differ) / float64(all); share > 0.002 {
			t.Errorf("%s: %.2f %% of the pixels differ from what is drawn; after a look at it: go test -update", file, 100*share)
		}
	}
}
