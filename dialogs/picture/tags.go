package picture

import (
	"image/color"
	"math"
)

// tags writes "now" and "after" beside the patches of a flank, where there is
// room for it; the legend names them in any case.
func (s *sheet) tags(l Labels, t tooth, f Flank) {
	var now, after shape
	if f.Reported != nil {
		now = f.Reported.outline()
	}
	if f.Predicted != nil {
		after = f.Predicted.outline()
	}
	var placed []box
	put := func(text string, of, other shape, ground color.RGBA) {
		const air = 9.0
		text = s.type_.fit(small, s.type_.clean(text), 170)
		if len(of) == 0 || text == "" {
			return
		}
		w, h := s.type_.width(small, text)+2*air, 38.0
		lines := of.on(t)
		best, at := math.Inf(1), box{}
		for _, b := range around(t, of, w, h) {
			if !t.holds(b) || (len(placed) > 0 && b.meets(placed[0])) {
				continue
			}
			cost := covered(t, b, of) + 2*covered(t, b, other)
			if f.Target != nil {
				cost += covered(t, b, rounded(f.Target.Low, f.Target.High))
			}
			if f.Reported != nil && f.Predicted != nil {
				p, q := t.at(f.Reported.Centre.onTooth()), t.at(f.Predicted.Centre.onTooth())
				cost += 4 * crossed(b, p, q)
			}
			cost += 0.004 * away(b, lines)
			if cost < best {
				best, at = cost, b
			}
		}
		const most = 0.9 // more than that would hide what is to be seen
		if best > most {
			return
		}
		placed = append(placed, at)
		s.dc.DrawRoundedRectangle(at.x, at.y, at.w, at.h, 9)
		s.dc.SetColor(ground)
		s.dc.FillPreserve()
		s.stroke(ink, 3)
		s.writeAmid(small, text, at.x+at.w/2, at.y+at.h/2, centred, at.w, ink)
	}
	put(l.Now, now, after, amber)
	put(l.After, after, now, sky)
}

// holds says that a box lies on the flank, clear of its edges.
func (t tooth) holds(b box) bool {
	const air = 4.0
	return b.x >= t.x0+air && b.x+b.w <= t.x1-air && b.y+b.h <= t.root-air &&
		b.y-air >= t.root-t.depth(b.x) && b.y-air >= t.root-t.depth(b.x+b.w)
}

// around gives boxes of w by h beside a shape, the nearest to its middle
// first.
func around(t tooth, sh shape, w, h float64) []box {
	low, high := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, path := range sh.on(t) {
		for _, p := range path {
			low = xy{math.Min(low.x, p.x), math.Min(low.y, p.y)}
			high = xy{math.Max(high.x, p.x), math.Max(high.y, p.y)}
		}
	}
	if low.x > high.x {
		return nil
	}
	const gap = 6.0
	var out []box
	for _, f := range [...]float64{0.5, 0.3, 0.7, 0.1, 0.9, -0.1, 1.1} {
		x := low.x + f*(high.x-low.x) - w/2
		out = append(out, box{x: x, y: low.y - gap - h, w: w, h: h}, box{x: x, y: high.y + gap, w: w, h: h})
	}
	for _, f := range [...]float64{0.5, 0.2, 0.8} {
		y := low.y + f*(high.y-low.y) - h/2
		out = append(out, box{x: low.x - gap - w, y: y, w: w, h: h}, box{x: high.x + gap, y: y, w: w, h: h})
	}
	return out
}

// covered gives the part of a box that lies on a shape, from 0 to 1.
func covered(t tooth, b box, sh shape) float64 {
	const nx, ny = 7, 4
	n := 0
	for i := range nx {
		for j := range ny {
			if sh.holds(t.from(b.x+b.w*(float64(i)+0.5)/nx, b.y+b.h*(float64(j)+0.5)/ny)) {
				n++
			}
		}
	}
	return float64(n) / (nx * ny)
}

// away gives how far the middle of a box is from the lines of a shape, in pixels.
func away(b box, paths [][]xy) float64 {
	least := math.Inf(1)
	for _, path := range paths {
		for _, q := range path {
			least = math.Min(least, math.Hypot(q.x-b.x-b.w/2, q.y-b.y-b.h/2))
		}
	}
	return least
}

// crossed gives 1 where the line from p to q runs through a box, else 0.
func crossed(b box, p, q xy) float64 {
	const steps = 40
	for i := range steps + 1 {
		f := float64(i) / steps
		x, y := p.x+f*(q.x-p.x), p.y+f*(q.y-p.y)
		if x > b.x-8 && x < b.x+b.w+8 && y > b.y-8 && y < b.y+b.h+8 {
			return 1
		}
	}
	return 0
}
