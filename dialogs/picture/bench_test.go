package picture

import (
	"bytes"
	"image"
	"image/png"
	"io"
	"math"
	"testing"
)

// The pictures must take less than 40 ms each on one core.
func BenchmarkPattern(b *testing.B) {
	p := newPainter(b)
	pic := samplePattern()
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Pattern(io.Discard, pic); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBacklash(b *testing.B) {
	p := newPainter(b)
	pic := sampleBacklash()
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Backlash(io.Discard, pic); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkChoices(b *testing.B) {
	p := newPainter(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Choices(io.Discard, ChoicePicture{Drive: 3, Coast: 7}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStacks(b *testing.B) {
	p := newPainter(b)
	pic := sampleStacks()
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Stacks(io.Discard, pic); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStep(b *testing.B) {
	p := newPainter(b)
	pic := sampleStep()
	pic.Sketches = append(pic.Sketches, Sketch{Of: DrawBolts, Parts: []Part{{[]Spot{SpotBolts}, "across"}, {[]Spot{SpotRunout}, "runout"}}})
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Step(io.Discard, pic); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		newPainter(b)
	}
}

// BenchmarkEncode is what the colour depth and the compression were chosen by.
func BenchmarkEncode(b *testing.B) {
	p := newPainter(b)
	s := p.sheets.Get().(*sheet)
	pic := samplePattern()
	if err := p.render(s, func(s *sheet) error { return pic.draw(s, p.labels) }); err != nil {
		b.Fatal(err)
	}
	full := s.img.SubImage(image.Rect(0, 0, Width, int(s.y)))
	for _, level := range [...]struct {
		name string
		png.CompressionLevel
	}{{"fastest", png.BestSpeed}, {"default", png.DefaultCompression}, {"smallest", png.BestCompression}} {
		for _, depth := range [...]string{"full", "palette"} {
			b.Run(depth+"/"+level.name, func(b *testing.B) {
				e := png.Encoder{CompressionLevel: level.CompressionLevel, BufferPool: &encoderPool{}}
				var out bytes.Buffer
				for b.Loop() {
					out.Reset()
					im := full
					if depth == "palette" {
						im = s.paletted(p.lookup)
					}
					if err := e.Encode(&out, im); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(out.Len()), "bytes")
			})
		}
	}
}

// BenchmarkWorst is the most a picture takes: every outline at its longest and
// as ragged as can be.
func BenchmarkWorst(b *testing.B) {
	p := newPainter(b)
	ragged := &Patch{Words: "ragged", Slack: Point{0.3, 0.3}}
	var line []Point
	for i := range MaxOutline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / MaxOutline)
		r := 0.3 + 0.5*float64(i*7919%101)/100
		line = append(line, Point{r * cos, r * sin})
	}
	ragged.Outline = [][]Point{line}
	pic := samplePattern()
	pic.Drive.Reported, pic.Drive.Predicted, pic.Coast.Reported, pic.Coast.Predicted = ragged, ragged, ragged, ragged
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := p.Pattern(&out, pic); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(out.Len()), "bytes")
}
