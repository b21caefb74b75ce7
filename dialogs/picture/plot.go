package picture

import (
	"image/color"
	"math"
	"slices"

	"shimwright/calc/unit"
)

// plot maps a place round the ring and a backlash to a pixel.
type plot struct {
	x0, x1, y0, y1 float64 // y0 is the lower edge
	from           float64 // the turn at x0
	low, high      unit.Length
}

func (g plot) x(t float64) float64 {
	t -= g.from
	t -= math.Floor(t)
	return g.x0 + (g.x1-g.x0)*t
}

func (g plot) y(v unit.Length) float64 {
	return g.y0 - (g.y0-g.y1)*float64((v-g.low)/(g.high-g.low))
}

// frameOf makes a plot that holds every reading, the limits and the wave, with
// air above and below for the figures.
func (p BacklashPicture) frameOf(top, height float64, r []RoundReading) plot {
	lo, hi := extremes(r)
	low, high := r[lo].Value, r[hi].Value
	if p.High > 0 {
		low, high = min(low, p.Low), max(high, p.High)
	}
	if w := p.Wave; w != nil {
		low, high = min(low, w.Mean-w.Amplitude), max(high, w.Mean+w.Amplitude)
	}
	air := max((high-low)*0.28, unit.Thou(0.5))
	g := plot{x0: margin, x1: Width - margin, y0: top + height, y1: top, low: low - air, high: high + air}
	// The first reading stands half a step from the left edge; a lone one in the middle.
	step := 1 / float64(len(r))
	g.from = turn(r[0].At) - step/2
	return g
}

func (p BacklashPicture) draw(s *sheet, l Labels) error {
	const height = 400.0
	r := p.sorted()
	lo, hi := extremes(r)
	s.heading(p.title(l), p.note(l))
	s.y += 10
	g := p.frameOf(s.y, height, r)
	s.plot = g
	p.drawBand(s, g)
	if p.Wave != nil {
		p.drawWave(s, g)
	}
	for i := range r {
		s.marker(xy{g.x(turn(r[i].At)), g.y(r[i].Value)}, p.kindOf(r, i, lo, hi))
	}
	p.drawLimits(s, l, g, r)
	p.drawFigures(s, g, r, lo, hi)
	s.y += height
	p.drawPlaces(s, g, r, lo, hi)
	s.y += 14
	for i, f := range p.facts(l) {
		p.drawFact(s, f, i < 2)
	}
	for _, text := range p.Notes {
		s.line(small, text, 2, quiet)
	}
	return nil
}

// drawBand draws the ground of the plot and what lies inside the limits.
func (p BacklashPicture) drawBand(s *sheet, g plot) {
	if p.High > 0 {
		top, bottom := g.y(p.High), g.y(p.Low)
		s.dc.DrawRectangle(g.x0, top, g.x1-g.x0, bottom-top)
		s.fill(band)
		s.dc.SetDash(16, 10)
		s.dc.SetLineCapButt()
		s.dc.DrawLine(g.x0, top, g.x1, top)
		s.dc.DrawLine(g.x0, bottom, g.x1, bottom)
		s.stroke(ink, 3)
		s.dc.SetDash()
		s.dc.SetLineCapRound()
	}
	s.dc.DrawRectangle(g.x0, g.y1, g.x1-g.x0, g.y0-g.y1)
	s.stroke(rule, 3)
}

// drawLimits names the limit lines: outside the band, where no marker is covered and,
// if there is such a place, no piece of the curve. A line that has none stays without
// its name; the facts under the plot say the limits in any case.
func (p BacklashPicture) drawLimits(s *sheet, l Labels, g plot, r []RoundReading) {
	if p.High == 0 {
		return
	}
	for _, limit := range [...]struct {
		value   unit.Length
		name    string
		out, in float64 // from the line to the text's baseline, outside the band and in it
	}{{p.High, l.Maximum, -10, 32}, {p.Low, l.Minimum, 32, -10}} {
		text := s.type_.fit(small, s.type_.clean(say(limit.name, "value", length(p.Units, limit.value))), 400)
		best, at := math.Inf(1), box{}
		for i, base := range [...]float64{limit.out, limit.in} {
			for x := g.x0 + 8; ; x += 12 {
				b := s.measure(small, text, x, g.y(limit.value)+base, fromLeft)
				if b.x+b.w > g.x1-8 {
					break
				}
				if b.y < g.y1+2 || b.y+b.h > g.y0-2 || slices.ContainsFunc(s.boxes, b.meets) || p.onMarker(g, r, b) {
					continue
				}
				// Outside the band and to the left it is looked for first.
				cost := 2*float64(i) + (x-g.x0)/(g.x1-g.x0)
				if p.onWave(g, b) {
					cost += 4
				}
				if cost < best {
					best, at = cost, b
				}
			}
		}
		if !math.IsInf(best, 1) {
			s.write(small, text, at.x, at.y+ascent*pixels[small], fromLeft, at.w+1, ink)
		}
	}
}

// onMarker says whether a box lies on the marker of a reading, or nearly.
func (p BacklashPicture) onMarker(g plot, r []RoundReading, b box) bool {
	const m = markerSize + 12
	return slices.ContainsFunc(r, func(q RoundReading) bool {
		return b.meets(box{x: g.x(turn(q.At)) - m, y: g.y(q.Value) - m, w: 2 * m, h: 2 * m})
	})
}

// onWave says whether the fitted curve runs through a box.
func (p BacklashPicture) onWave(g plot, b box) bool {
	if p.Wave == nil {
		return false
	}
	for x := b.x - 4; x <= b.x+b.w+4; x += 6 {
		t := g.from + (x-g.x0)/(g.x1-g.x0)
		if y := g.y(p.Wave.at(unit.Angle(t * 2 * math.Pi))); y > b.y-4 && y < b.y+b.h+4 {
			return true
		}
	}
	return false
}

func (p BacklashPicture) drawWave(s *sheet, g plot) {
	const steps = 120
	for i := range steps + 1 {
		t := g.from + float64(i)/steps
		y := g.y(p.Wave.at(unit.Angle(t * 2 * math.Pi)))
		x := g.x0 + (g.x1-g.x0)*float64(i)/steps
		if i == 0 {
			s.dc.MoveTo(x, y)
		} else {
			s.dc.LineTo(x, y)
		}
	}
	s.stroke(blue, 5)
}

// kind is how a reading is marked.
type kind uint8

const (
	inside   kind = iota // a dot
	tightest             // a triangle pointing down
	widest               // a triangle pointing up
	outside              // a cross
)

func (p BacklashPicture) kindOf(r []RoundReading, i, lo, hi int) kind {
	switch {
	case p.side(r[i].Value) != 0:
		return outside
	case len(r) > 1 && i == lo && r[lo].Value < r[hi].Value:
		return tightest
	case len(r) > 1 && i == hi && r[lo].Value < r[hi].Value:
		return widest
	}
	return inside
}

// markerSize is the half width of a marker.
const markerSize = 15.0

func (s *sheet) marker(at xy, k kind) {
	const m = markerSize
	switch k {
	case inside:
		s.dc.DrawCircle(at.x, at.y, m-3)
		s.fill(ink)
	case tightest:
		s.polygon([]xy{{at.x - m, at.y - m + 3}, {at.x + m, at.y - m + 3}, {at.x, at.y + m}})
		s.fill(ink)
	case widest:
		s.polygon([]xy{{at.x - m, at.y + m - 3}, {at.x + m, at.y + m - 3}, {at.x, at.y - m}})
		s.fill(ink)
	case outside:
		for _, pen := range [...]struct {
			c color.RGBA
			w float64
		}{{white, 14}, {alarm, 8}} {
			s.dc.DrawLine(at.x-m, at.y-m, at.x+m, at.y+m)
			s.dc.DrawLine(at.x-m, at.y+m, at.x+m, at.y-m)
			s.stroke(pen.c, pen.w)
		}
	}
}

// byWeight gives the readings in the order their figures are placed: what
// decides first.
func (p BacklashPicture) byWeight(r []RoundReading, lo, hi int) []int {
	order := make([]int, 0, len(r))
	order = append(order, lo)
	if hi != lo {
		order = append(order, hi)
	}
	for _, out := range [...]bool{true, false} {
		for i := range r {
			if i != lo && i != hi && (p.side(r[i].Value) != 0) == out {
				order = append(order, i)
			}
		}
	}
	return order
}

// drawFigures writes the readings beside their markers, the deciding ones
// first, as many as find room.
func (p BacklashPicture) drawFigures(s *sheet, g plot, r []RoundReading, lo, hi int) {
	taken := make([]box, 0, 2*len(r))
	for i := range r {
		x, y := g.x(turn(r[i].At)), g.y(r[i].Value)
		taken = append(taken, box{x: x - markerSize, y: y - markerSize, w: 2 * markerSize, h: 2 * markerSize})
	}
	if p.High > 0 {
		for _, v := range [...]unit.Length{p.Low, p.High} {
			taken = append(taken, box{x: g.x0, y: g.y(v) - 3, w: g.x1 - g.x0, h: 6})
		}
	}
	for _, i := range p.byWeight(r, lo, hi) {
		st := small
		if i == lo || i == hi {
			st = strong
		}
		text := figure(p.Units, r[i].Value)
		for _, b := range p.besides(s, g, r[i], st, text, i == hi, i == lo) {
			if b.x < g.x0+3 || b.x+b.w > g.x1-3 || b.y < g.y1+2 || b.y+b.h > g.y0-2 ||
				slices.ContainsFunc(taken, b.meets) || slices.ContainsFunc(s.boxes, b.meets) {
				continue
			}
			s.write(st, text, b.x, b.y+ascent*pixels[st], fromLeft, b.w+1, ink)
			break
		}
	}
}

// besides gives the boxes a reading's figure may take, the best first: away from
// the curve, then towards it, then to the sides.
func (p BacklashPicture) besides(s *sheet, g plot, r RoundReading, st style, text string, highest, lowest bool) []box {
	const air = 11.0
	x, y := g.x(turn(r.At)), g.y(r.Value)
	half := s.type_.width(st, text) / 2
	mid := math.Min(math.Max(x, g.x0+half+6), g.x1-half-6)
	over := s.measure(st, text, mid, y-markerSize-air, centred)
	under := s.measure(st, text, mid, y+markerSize+air+0.72*pixels[st], centred)
	right := s.measure(st, text, x+markerSize+air, y+0.36*pixels[st], fromLeft)
	left := s.measure(st, text, x-markerSize-air, y+0.36*pixels[st], fromRight)
	if w := p.Wave; !highest && (lowest || (w != nil && r.Value < w.at(r.At))) {
		return []box{under, over, right, left}
	}
	return []box{over, under, right, left}
}

// drawPlaces writes where the readings were taken under the plot, as many as
// find room.
func (p BacklashPicture) drawPlaces(s *sheet, g plot, r []RoundReading, lo, hi int) {
	base := s.y + 14 + 0.72*pixels[label]
	var taken []box
	for _, i := range p.byWeight(r, lo, hi) {
		text := s.type_.fit(label, s.type_.clean(r[i].Place), 200)
		x := g.x(turn(r[i].At))
		half := s.type_.width(label, text) / 2
		b := s.measure(label, text, math.Min(math.Max(x, g.x0+half), g.x1-half), base, centred)
		b.x, b.w = b.x-7, b.w+14
		if slices.ContainsFunc(taken, b.meets) {
			continue
		}
		taken = append(taken, b)
		s.dc.DrawLine(x, s.y, x, s.y+8)
		s.stroke(ink, 3)
		s.write(label, text, b.x+7, base, fromLeft, 201, ink)
	}
	s.y += 14 + pixels[label]
}

// drawFact writes a line under the plot: one that asks for attention with a
// cross before it, the one about the curve with a piece of it.
func (p BacklashPicture) drawFact(s *sheet, f fact, first bool) {
	st, c, x := plain, ink, margin
	if first || f.bad {
		st = strong
	}
	if f.bad {
		c = alarm
		s.marker(xy{x + markerSize + 4, s.y + 19}, outside)
		x += 2*markerSize + 22
	}
	if f.wave {
		s.dc.DrawLine(x+3, s.y+18, x+45, s.y+18)
		s.stroke(blue, 5)
		x += 60
	}
	for _, part := range s.type_.wrap(st, s.type_.clean(f.text), Width-margin-x, 2) {
		s.write(st, part, x, s.y+ascent*pixels[st], fromLeft, Width-margin-x, c)
		s.y += math.Round(1.26 * pixels[st])
	}
}
