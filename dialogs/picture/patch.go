package picture

import (
	"image/color"
	"math"
)

// size gives the half axes a patch is drawn with.
func (p *Patch) size() Point {
	size := p.Size
	if size.Along == 0 {
		size.Along = usualPatch.Along
	}
	if size.Across == 0 {
		size.Across = usualPatch.Across
	}
	return size
}

// mostDrawn is how many points of an outline are drawn: more do not show at this
// size.
const mostDrawn = 192

// outline gives the outline of a patch as drawn.
func (p *Patch) outline() []Point {
	n := len(p.Outline)
	switch {
	case n == 0:
		return ellipse(p.Centre, p.size())
	case n <= mostDrawn:
		return p.Outline
	}
	out := make([]Point, mostDrawn)
	for i := range out {
		out[i] = p.Outline[i*n/mostDrawn]
	}
	return out
}

// known says that the patch has an outline of its own.
func (p *Patch) known() bool { return p != nil && len(p.Outline) > 0 }

// softPatch draws a patch as it is. Where only its place is known, it is full
// where the patch surely lies and fades to nothing where it surely does not.
func (s *sheet) softPatch(t tooth, p *Patch) {
	if len(p.Outline) > 0 {
		path := t.path(p.outline())
		s.polygon(path)
		s.fill(amber)
		s.polygon(path)
		s.stroke(ink, 3)
		return
	}
	size := p.size()
	slack := Point{math.Max(p.Slack.Along, 0.04), math.Max(p.Slack.Across, 0.06)}
	outer := Point{size.Along + slack.Along/2, size.Across + slack.Across/2}
	s.polygon(t.path(ellipse(p.Centre, outer)))
	s.dc.SetFillStyle(newFade(t, p.Centre, size, slack))
	s.dc.Fill()
}

// fade is the fill of a soft patch.
type fade struct {
	tooth        tooth
	centre       Point
	inner, outer Point
	steps        [33]color.Color // ready-made, so that a pixel costs no allocation
}

func newFade(t tooth, c, size, slack Point) *fade {
	f := &fade{tooth: t, centre: c}
	f.inner = Point{math.Max(0.05, size.Along-slack.Along/2), math.Max(0.05, size.Across-slack.Across/2)}
	f.outer = Point{size.Along + slack.Along/2, size.Across + slack.Across/2}
	for i := range f.steps {
		a := float64(i) / float64(len(f.steps)-1)
		f.steps[i] = color.RGBA{uint8(float64(amber.R) * a), uint8(float64(amber.G) * a), uint8(float64(amber.B) * a), uint8(255 * a)}
	}
	return f
}

// ColorAt gives the colour of a pixel: opaque inside of the inner ellipse,
// nothing outside of the outer one, a smooth step between them.
func (f *fade) ColorAt(x, y int) color.Color {
	p := f.tooth.from(float64(x)+0.5, float64(y)+0.5)
	da, dc := p.Along-f.centre.Along, p.Across-f.centre.Across
	in := math.Sqrt(da*da/(f.inner.Along*f.inner.Along) + dc*dc/(f.inner.Across*f.inner.Across))
	if in <= 1 {
		return f.steps[len(f.steps)-1]
	}
	out := math.Sqrt(da*da/(f.outer.Along*f.outer.Along) + dc*dc/(f.outer.Across*f.outer.Across))
	if out >= 1 {
		return f.steps[0]
	}
	v := (1 - out) / (1 - out + in - 1) // from 0 on the outer to 1 on the inner ellipse
	v = v * v * (3 - 2*v)
	return f.steps[int(v*float64(len(f.steps)-1)+0.5)]
}

// hatch is the fill of a predicted patch: slanting lines with free steel between.
type hatch struct{ line, edge, free color.Color }

func newHatch(c color.RGBA) hatch {
	half := color.RGBA{c.R / 2, c.G / 2, c.B / 2, 0x80}
	return hatch{c, half, color.RGBA{}}
}

// ColorAt gives the colour of a pixel.
func (h hatch) ColorAt(x, y int) color.Color {
	switch (x + y) % 18 {
	case 0, 6:
		return h.edge
	case 1, 2, 3, 4, 5:
		return h.line
	}
	return h.free
}

// hatchedPatch draws a patch as it is predicted.
func (s *sheet) hatchedPatch(t tooth, p *Patch) {
	path := t.path(p.outline())
	if len(path) < 3 {
		return
	}
	s.polygon(path)
	s.dc.SetFillStyle(newHatch(sky))
	s.dc.Fill()
	s.polygon(path)
	s.cased(sky, 5)
}

// hazePatch draws how far a predicted patch may reach.
func (s *sheet) hazePatch(t tooth, p *Patch) {
	if p.Slack == (Point{}) {
		return
	}
	s.polygon(t.path(p.reach()))
	s.dc.SetColor(haze)
	s.dc.Fill()
}

// haze is what lies round a predicted patch as far as it may reach: sky, mostly
// clear (premultiplied).
var haze = color.RGBA{0x27, 0x3A, 0x48, 0x48}

// reach gives the line a predicted patch stays inside of: its outline widened by
// its slack.
func (p *Patch) reach() []Point {
	outline := p.outline()
	out := make([]Point, 0, len(outline))
	var half Point
	for _, q := range outline {
		half.Along = math.Max(half.Along, math.Abs(q.Along-p.Centre.Along))
		half.Across = math.Max(half.Across, math.Abs(q.Across-p.Centre.Across))
	}
	grow := Point{1, 1}
	if half.Along > 0 {
		grow.Along = (half.Along + p.Slack.Along) / half.Along
	}
	if half.Across > 0 {
		grow.Across = (half.Across + p.Slack.Across) / half.Across
	}
	for _, q := range outline {
		out = append(out, Point{p.Centre.Along + grow.Along*(q.Along-p.Centre.Along), p.Centre.Across + grow.Across*(q.Across-p.Centre.Across)})
	}
	return out
}

// zone draws a target zone: dashes, nothing inside.
func (s *sheet) zone(t tooth, z *Zone) {
	path := t.path(rounded(z.Low, z.High))
	s.polygon(path)
	s.dc.SetLineCapButt()
	s.dc.SetDash(20, 12)
	s.cased(white, 4)
	s.dc.SetDash()
	s.dc.SetLineCapRound()
}

// arrow points from the patch as it is to the patch after the change.
func (s *sheet) arrow(a, b xy) {
	dx, dy := b.x-a.x, b.y-a.y
	d := math.Hypot(dx, dy)
	if d < 34 {
		return
	}
	ux, uy := dx/d, dy/d
	back := xy{b.x - 22*ux, b.y - 22*uy}
	tip := []xy{b, {back.x - 14*uy, back.y + 14*ux}, {back.x + 14*uy, back.y - 14*ux}}
	s.dc.DrawLine(a.x, a.y, back.x, back.y)
	s.polygon(tip)
	s.dc.SetColor(ink)
	s.dc.SetLineWidth(14)
	s.dc.Stroke()
	s.dc.DrawLine(a.x, a.y, back.x, back.y)
	s.stroke(white, 7)
	s.polygon(tip)
	s.fill(white)
	s.dc.DrawCircle(a.x, a.y, 9)
	s.dc.SetColor(white)
	s.dc.FillPreserve()
	s.stroke(ink, 3)
}
