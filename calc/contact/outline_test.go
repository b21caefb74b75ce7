package contact

import (
	"math"
	"testing"
)

// fill puts a function of the tooth coordinates on a grid.
func fill(along, across int, f func(l, h float64) float64) *contour {
	c := newContour(along, across)
	c.reset()
	for i := range along {
		for j := range across {
			c.set(i, j, f(scaled(i, along), scaled(j, across)))
		}
	}
	return &c
}

func TestOutlineShapes(t *testing.T) {
	for _, row := range []struct {
		what                 string
		f                    func(l, h float64) float64
		level                float64
		area, along, across  float64 // area as a share of 4
		tol                  float64
		loops                int
		toe, heel, root, top bool
	}{
		{"ellipse", func(l, h float64) float64 { return (l-0.2)*(l-0.2)/0.16 + (h+0.1)*(h+0.1)/0.36 }, 1, math.Pi * 0.4 * 0.6 / 4, 0.2, -0.1, 0.002, 1, false, false, false, false},
		{"all of it", func(l, h float64) float64 { return 0 }, 1, 1, 0, 0, 1e-12, 1, true, true, true, true},
		{"half", func(l, h float64) float64 { return l }, 0.1, 0.55, -0.45, 0, 1e-12, 1, true, false, true, true},
		{"strip", func(l, h float64) float64 { return math.Abs(h) }, 0.15, 0.15, 0, 0, 1e-12, 1, true, true, false, false},
		{"corner", func(l, h float64) float64 { return 2 - l - h }, 0.5, 0.125 / 4, 1 - 0.5/3, 1 - 0.5/3, 1e-12, 1, false, true, false, true},
		{"two", func(l, h float64) float64 { return (math.Abs(l)-0.5)*(math.Abs(l)-0.5) + h*h }, 0.09, 2 * math.Pi * 0.09 / 4, 0, 0, 0.002, 2, false, false, false, false},
		{"ring", func(l, h float64) float64 { return math.Abs(math.Hypot(l, h) - 0.6) }, 0.2, math.Pi * (0.64 - 0.16) / 4, 0, 0, 0.002, 2, false, false, false, false},
	} {
		p := fill(81, 61, row.f).pattern(row.level)
		for what, v := range map[string][2]float64{"area": {p.Area, row.area}, "along": {p.Along, row.along}, "across": {p.Across, row.across}} {
			if math.Abs(v[0]-v[1]) > row.tol {
				t.Errorf("%s: %s is %.5f, want %.5f ± %g (derived)", row.what, what, v[0], v[1], row.tol)
			}
		}
		if len(p.Outline) != row.loops {
			t.Errorf("%s: %d outlines, want %d", row.what, len(p.Outline), row.loops)
		}
		if p.Toe != row.toe || p.Heel != row.heel || p.Root != row.root || p.Top != row.top {
			t.Errorf("%s: toe %v heel %v root %v top %v", row.what, p.Toe, p.Heel, p.Root, p.Top)
		}
	}
}

func TestOutlineOfNothing(t *testing.T) {
	if p := fill(9, 7, func(l, h float64) float64 { return 1 }).pattern(0.5); p.Area != 0 || p.Outline != nil {
		t.Errorf("%+v", p)
	}
}

// Saddles: two corners of a cell inside, apart or joined through the middle.
func TestOutlineSaddle(t *testing.T) {
	for _, row := range []struct {
		what  string
		in    float64
		loops int
	}{{"apart", 0.9, 2}, {"joined", 0, 1}} {
		for _, flip := range []float64{1, -1} {
			p := fill(2, 2, func(l, h float64) float64 {
				if flip*l*h > 0 {
					return row.in
				}
				return 1.5
			}).pattern(1)
			if len(p.Outline) != row.loops {
				t.Errorf("%s: %d outlines, want %d", row.what, len(p.Outline), row.loops)
			}
		}
	}
}
