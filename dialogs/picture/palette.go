package picture

import (
	"image/color"
	"math"
)

// The colours. Text on its ground keeps a contrast of 4.5 and a mark on its
// ground one of 3 (WCAG 2.2, 1.4.3 and 1.4.11), also as a person without red or
// green cones sees them; the tests hold both.
var (
	card  = color.RGBA{0xF8, 0xF6, 0xF1, 0xFF} // the ground of every picture
	ink   = color.RGBA{0x15, 0x1A, 0x21, 0xFF} // text, outlines
	quiet = color.RGBA{0x4A, 0x53, 0x5E, 0xFF} // second-rank text
	rule  = color.RGBA{0x8B, 0x94, 0x9D, 0xFF} // frame and ruling
	steel = color.RGBA{0x3A, 0x46, 0x52, 0xFF} // the flank of a tooth
	land  = color.RGBA{0x5B, 0x68, 0x74, 0xFF} // its top land
	body  = color.RGBA{0x20, 0x28, 0x31, 0xFF} // the ring gear under the root
	amber = color.RGBA{0xFF, 0xB2, 0x2E, 0xFF} // reported
	sky   = color.RGBA{0x8C, 0xD0, 0xFF, 0xFF} // predicted
	white = color.RGBA{0xFF, 0xFF, 0xFF, 0xFF} // target
	band  = color.RGBA{0xD5, 0xE2, 0xEA, 0xFF} // inside limits
	blue  = color.RGBA{0x0B, 0x5C, 0xAD, 0xFF} // a fitted curve
	alarm = color.RGBA{0xB9, 0x2D, 0x0E, 0xFF} // outside limits
)

// mixes are the pairs of colours that meet in a picture, with the number of
// steps their edges (or, for the soft patch, its whole fade) are drawn in.
var mixes = [...]struct {
	a, b  color.RGBA
	steps int
}{
	{steel, amber, 36}, {blend(steel, sky, 0.28), amber, 22}, {blend(steel, sky, 0.28), sky, 6}, {card, ink, 12}, {card, quiet, 8}, {card, steel, 8}, {card, rule, 4},
	{card, land, 4}, {card, body, 4}, {steel, white, 8}, {steel, ink, 6}, {steel, sky, 8},
	{land, white, 8}, {body, white, 8}, {ink, white, 8}, {ink, sky, 8}, {ink, amber, 8},
	{amber, sky, 6}, {amber, white, 4}, {sky, white, 4}, {steel, land, 3}, {steel, body, 3},
	{card, blue, 8}, {band, blue, 8}, {band, ink, 10}, {band, card, 4}, {card, alarm, 8},
	{band, alarm, 8}, {white, alarm, 5}, {ink, blue, 4}, {ink, alarm, 4}, {card, amber, 4}, {card, sky, 5},
	{band, quiet, 4}, {white, card, 2},
}

// lookup turns a full-colour pixel into an index of the palette. It keeps the
// nearest entry for each of 32³ cells of the colour cube.
type lookup struct {
	palette color.Palette
	cell    [1 << 15]uint8
}

func cellOf(r, g, b uint8) int { return int(r>>3)<<10 | int(g>>3)<<5 | int(b>>3) }

func newLookup() *lookup {
	base := [...]color.RGBA{card, ink, quiet, rule, steel, land, body, amber, sky, white, band, blue, alarm}
	l := &lookup{}
	seen := map[color.RGBA]bool{}
	add := func(c color.RGBA) {
		if !seen[c] && len(l.palette) < 256 {
			seen[c] = true
			l.palette = append(l.palette, c)
		}
	}
	for _, c := range base {
		add(c)
	}
	for _, m := range mixes {
		for i := 1; i < m.steps; i++ {
			add(blend(m.a, m.b, float64(i)/float64(m.steps)))
		}
	}
	l.fill()
	// A flat ground must come out as itself, not as its cell's middle.
	for k, c := range base {
		l.cell[cellOf(c.R, c.G, c.B)] = uint8(k)
	}
	return l
}

// fill finds the nearest entry of each cell's middle. For a red and a green only the
// entries that can be nearest for some blue are looked at: those not further off in
// red and green alone than the nearest of these with the worst blue. Of equally near
// ones it is the first.
func (l *lookup) fill() {
	const worst = 255 * 255
	entry := make([][3]int, len(l.palette))
	for k, c := range l.palette {
		q := c.(color.RGBA)
		entry[k] = [3]int{int(q.R), int(q.G), int(q.B)}
	}
	off := make([]int, len(entry)) // in red and green
	near := make([]int, 0, len(entry))
	for rg := range 1 << 10 {
		r, g := rg>>5<<3|4, rg&31<<3|4
		least := math.MaxInt
		for k, q := range entry {
			dr, dg := q[0]-r, q[1]-g
			off[k] = 3*dr*dr + 6*dg*dg
			least = min(least, off[k])
		}
		near = near[:0]
		for k := range entry {
			if off[k] <= least+worst {
				near = append(near, k)
			}
		}
		for i := range 32 {
			best, at := math.MaxInt, 0
			for _, k := range near {
				db := entry[k][2] - (i<<3 | 4)
				if d := off[k] + db*db; d < best {
					best, at = d, k
				}
			}
			l.cell[rg<<5|i] = uint8(at)
		}
	}
}

// convert writes the palette index of each RGBA pixel of from into to.
func (l *lookup) convert(to, from []uint8) {
	for i := range to {
		p := from[i*4 : i*4+3 : i*4+3]
		to[i] = l.cell[cellOf(p[0], p[1], p[2])]
	}
}

// blend mixes two opaque colours: t = 0 gives a, t = 1 gives b.
func blend(a, b color.RGBA, t float64) color.RGBA {
	m := func(x, y uint8) uint8 { return uint8(math.Round(float64(x) + (float64(y)-float64(x))*t)) }
	return color.RGBA{m(a.R, b.R), m(a.G, b.G), m(a.B, b.B), 0xFF}
}
