package picture

import (
	"bytes"
	"errors"
	"image/png"
	"math"
	"strings"
	"testing"
)

func TestBars(t *testing.T) {
	pic := BarsPicture{Title: "the shop's jobs", Groups: []BarGroup{{Name: "open", Bars: []Bar{{"waiting", 2, "2"}, {"held", 0, "0"}}}}}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := painter(t).Bars(w, pic); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("equal input gave other bytes")
	}
	m, err := png.Decode(&a)
	if err != nil || m.Bounds().Dx() != Width {
		t.Errorf("%v wide, %v", m.Bounds(), err)
	}
	if alt := pic.AltText(English()); !strings.Contains(alt, "waiting 2, held 0") {
		t.Errorf("in words: %q", alt)
	}
	for _, bad := range []BarsPicture{
		{}, {Groups: []BarGroup{{}}}, {Groups: []BarGroup{{Bars: []Bar{{"x", -1, ""}}}}}, {Groups: []BarGroup{{Bars: []Bar{{"x", math.NaN(), ""}}}}},
		{Groups: []BarGroup{{Bars: make([]Bar, MaxBars+1)}}}, {Groups: make([]BarGroup, MaxGroups+1)},
	} {
		if err := painter(t).Bars(&b, bad); !errors.Is(err, ErrInput) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}
