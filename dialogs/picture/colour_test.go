package picture

import (
	"image/color"
	"math"
	"testing"
)

// linear undoes the sRGB transfer. Source: IEC 61966-2-1, as used by WCAG 2.2.
func linear(v uint8) float64 {
	c := float64(v) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

type rgb [3]float64 // linear

func toLinear(c color.RGBA) rgb { return rgb{linear(c.R), linear(c.G), linear(c.B)} }

// luminance. Source: WCAG 2.2, definition of relative luminance.
func (c rgb) luminance() float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// contrast. Source: WCAG 2.2, definition of contrast ratio.
func contrast(a, b rgb) float64 {
	x, y := a.luminance(), b.luminance()
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// lab gives CIE L*a*b* under D65. Source: CIE 15:2004, 8.2.1; sRGB matrix of IEC 61966-2-1.
func (c rgb) lab() [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.95047)
	y := f(0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2])
	z := f((0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// difference is ΔE*ab. Source: CIE 15:2004, 8.2.1.3.
func difference(a, b rgb) float64 {
	p, q := a.lab(), b.lab()
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

// vision is how a person sees colours. Source: G. M. Machado, M. M. Oliveira and
// L. A. F. Fernandes, A physiologically-based model for simulation of color
// vision deficiency, IEEE TVCG 15 (2009) 1291–1298, severity 1.0.
var visions = []struct {
	name string
	m    [3][3]float64
}{
	{"usual", [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
	{"no red cones", [3][3]float64{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}},
	{"no green cones", [3][3]float64{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}},
	{"no blue cones", [3][3]float64{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}},
}

func see(m [3][3]float64, c rgb) rgb {
	var out rgb
	for i := range out {
		v := m[i][0]*c[0] + m[i][1]*c[1] + m[i][2]*c[2]
		out[i] = math.Max(0, math.Min(1, v))
	}
	return out
}

func TestContrastFormula(t *testing.T) {
	for _, row := range []struct {
		a, b   color.RGBA
		want   float64
		tol    float64
		source string
	}{
		{color.RGBA{0, 0, 0, 255}, color.RGBA{255, 255, 255, 255}, 21, 1e-9, "WCAG 2.2, contrast ratio ranges from 1 to 21"},
		{color.RGBA{0x76, 0x76, 0x76, 255}, color.RGBA{255, 255, 255, 255}, 4.54, 0.005, "from memory: #767676 is the lightest grey that passes 4.5 on white"},
		{color.RGBA{0x77, 0x77, 0x77, 255}, color.RGBA{255, 255, 255, 255}, 4.48, 0.005, "from memory: #777777 is the darkest that fails"},
	} {
		if got := contrast(toLinear(row.a), toLinear(row.b)); math.Abs(got-row.want) > row.tol {
			t.Errorf("%v on %v: %.4f, want %.4f ± %g (%s)", row.a, row.b, got, row.want, row.tol, row.source)
		}
	}
	for _, v := range visions {
		// Derived: white stays white, so each row sums to 1.
		for i, r := range v.m {
			if sum := r[0] + r[1] + r[2]; math.Abs(sum-1) > 2e-6 {
				t.Errorf("%s row %d sums to %g, want 1", v.name, i, sum)
			}
		}
	}
}

// checkGround looks at the pixels under each text: the commonest colour in its
// box is its ground, and the text's colour must stand out from it.
func checkGround(fail func(string, ...any), name string, s *sheet) {
	for _, b := range s.boxes {
		count := map[color.RGBA]int{}
		for y := math.Ceil(b.y); y < b.y+b.h; y++ {
			for x := math.Ceil(b.x); x < b.x+b.w; x++ {
				count[s.pixel(x, y)]++
			}
		}
		var ground color.RGBA
		for c, n := range count {
			if c != b.colour && n > count[ground] {
				ground = c
			}
		}
		if count[b.colour] == 0 && b.text != "…" {
			fail("%s: no pixel of %q has its colour", name, b.text)
		}
		for _, v := range visions {
			if got := contrast(see(v.m, toLinear(b.colour)), see(v.m, toLinear(ground))); got < 4.5 {
				fail("%s: %q has a contrast of %.2f for %s sight, want 4.5 (WCAG 2.2, 1.4.3)", name, b.text, got, v.name)
			}
		}
	}
}

func TestTextStandsOut(t *testing.T) {
	p := painter(t)
	for _, d := range drawings() {
		checkGround(t.Errorf, d.name, drawn(t, p, d))
	}
}

func TestMarksStandOutForEveryEye(t *testing.T) {
	marks := []struct {
		name string
		a, b color.RGBA
	}{
		{"reported on the flank", amber, steel}, {"predicted on the flank", sky, steel}, {"target on the flank", white, steel},
		{"flank on the card", steel, card}, {"curve on the band", blue, band}, {"curve on the card", blue, card},
		{"outside on the card", alarm, card}, {"outside on the band", alarm, band}, {"dot on the band", ink, band},
		{"predicted's casing on reported", ink, amber}, {"new leaf's edge", ink, amber}, {"leaf on the card", steel, card},
	}
	for _, v := range visions {
		for _, m := range marks {
			if got := contrast(see(v.m, toLinear(m.a)), see(v.m, toLinear(m.b))); got < 3 {
				t.Errorf("%s: contrast %.2f for %s sight, want 3 (WCAG 2.2, 1.4.11)", m.name, got, v.name)
			}
		}
		// The three ways a patch is drawn also differ by hatching and dashes, but the
		// colours alone should do.
		for _, pair := range [][2]color.RGBA{{amber, sky}, {amber, white}, {sky, white}} {
			if got := difference(see(v.m, toLinear(pair[0])), see(v.m, toLinear(pair[1]))); got < 15 {
				t.Errorf("%v and %v: ΔE %.1f for %s sight, want 15", pair[0], pair[1], got, v.name)
			}
		}
	}
}

func TestPaletteKeepsColours(t *testing.T) {
	l := newLookup()
	if n := len(l.palette); n < 100 || n > 256 {
		t.Errorf("%d palette entries", n)
	}
	for _, c := range []color.RGBA{card, ink, quiet, rule, steel, land, body, amber, sky, white, band, blue, alarm} {
		to := make([]uint8, 1)
		l.convert(to, []uint8{c.R, c.G, c.B, c.A})
		if l.palette[to[0]] != c {
			t.Errorf("%v comes out as %v", c, l.palette[to[0]])
		}
	}
	// Everything a picture really holds must come out nearly the same.
	p := painter(t)
	for _, d := range drawings() {
		s := drawn(t, p, d)
		im := s.paletted(p.lookup)
		far, n := 0, 0
		for i, k := range im.Pix {
			q := l.palette[k].(color.RGBA)
			n++
			for c, v := range [3]uint8{q.R, q.G, q.B} {
				if d := int(s.img.Pix[4*i+c]) - int(v); d > 24 || d < -24 {
					far++
					break
				}
			}
		}
		if share := float64(far) / float64(n); share > 0.001 {
			t.Errorf("%s: %.2f %% of the pixels change by more than 24 of 255", d.name, 100*share)
		}
	}
}

// The cells are filled by leaving out what cannot be nearest; looking at every entry
// gives the same.
func TestEveryCellHasItsNearest(t *testing.T) {
	var l lookup
	l.palette = newLookup().palette
	l.fill()
	for i := range l.cell {
		r, g, b := i>>10<<3|4, i>>5&31<<3|4, i&31<<3|4
		best, at := math.MaxInt, 0
		for k, c := range l.palette {
			q := c.(color.RGBA)
			dr, dg, db := int(q.R)-r, int(q.G)-g, int(q.B)-b
			if d := 3*dr*dr + 6*dg*dg + db*db; d < best {
				best, at = d, k
			}
		}
		if int(l.cell[i]) != at {
			t.Fatalf("cell %d has entry %d, the nearest is %d", i, l.cell[i], at)
		}
	}
}
