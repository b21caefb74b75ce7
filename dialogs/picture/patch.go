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
func (p *Patch) outline() shape {
	n := 0
	for _, line := range p.Outline {
		n += len(line)
	}
	switch {
	case n == 0:
		return ellipse(p.Centre, p.size())
	case n <= mostDrawn:
		return p.Outline
	}
	out := make(shape, 0, len(p.Outline))
	for _, line := range p.Outline {
		keep := len(line) * mostDrawn / n
		if keep < 3 {
			continue // a speck
		}
		thin := make([]Point, keep)
		for i := range thin {
			thin[i] = line[i*len(line)/keep]
		}
		out = append(out, thin)
	}
	return out
}

// known says that the patch has an outline of its own.
func (p *Patch) known() bool { return p != nil && len(p.Outline) > 0 }

// softPatch draws a patch as it is. Where only its place is known, it is full
// where the patch surely lies and fades to nothing where it surely does not.
func (s *sheet) softPatch(t tooth, p *Patch) {
	if len(p.Outline) > 0 {
		paths := p.outline().on(t)
		s.polygons(paths)
		s.fill(amber)
		s.polygons(paths)
		s.stroke(ink, 3)
		return
	}
	size := p.size()
	slack := Point{math.Max(p.Slack.Along, 0.04), math.Max(p.Slack.Across, 0.06)}
	outer := Point{size.Along + slack.Along, size.Across + slack.Across}
	s.polygons(ellipse(p.Centre, outer).on(t))
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
	f.inner = Point{math.Max(0.05, size.Along-slack.Along), math.Max(0.05, size.Across-slack.Across)}
	f.outer = Point{size.Along + slack.Along, size.Across + slack.Across}
	for i := range f.steps {
		a := float64(i) / float64(len(f.steps)-1)
		f.steps[i] = color.RGBA{uint8(float64(amber.R) * a), uint8(float64(amber.G) * a), uint8(float64(amber.B) * a), uint8(255 * a)}
	}
	return f
}

// ColorAt gives the colour of a pixel: as opaque as it is likely to lie on the
// patch. Derivation: a patch of half length w whose middle lies anywhere within
// ±s covers a place at the distance r with the chance (w + s − r)/2s, which is 1
// up to w − s, half at w and 0 from w + s on; w and s are taken along the ray from
// the centre.
func (f *fade) ColorAt(x, y int) color.Color {
	p := f.tooth.from(float64(x)+0.5, float64(y)+0.5)
	da, dc := p.Along-f.centre.Along, p.Across-f.centre.Across
	in := math.Sqrt(da*da/(f.inner.Along*f.inner.Along) + dc*dc/(f.inner.Across*f.inner.Across)) // r/(w−s)
	if in <= 1 {
		return f.steps[len(f.steps)-1]
	}
	out := math.Sqrt(da*da/(f.outer.Along*f.outer.Along) + dc*dc/(f.outer.Across*f.outer.Across)) // r/(w+s)
	if out >= 1 {
		return f.steps[0]
	}
	chance := (1/out - 1) / (1/out - 1/in)
	return f.steps[int(chance*float64(len(f.steps)-1)+0.5)]
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
	paths := p.outline().on(t)
	s.polygons(paths)
	s.dc.SetFillStyle(newHatch(sky))
	s.dc.Fill()
	s.polygons(paths)
	s.cased(sky, 5)
}

// hazePatch draws how far a predicted patch may reach.
func (s *sheet) hazePatch(t tooth, p *Patch) {
	if p.Slack == (Point{}) {
		return
	}
	s.polygons(p.reach().on(t))
	s.dc.SetColor(haze)
	s.dc.Fill()
}

// haze is what lies round a predicted patch as far as it may reach: sky, mostly
// clear (premultiplied).
var haze = color.RGBA{0x27, 0x3A, 0x48, 0x48}

// reach gives the line a predicted patch stays inside of: its outline widened by
// its slack.
func (p *Patch) reach() shape {
	outline := p.outline()
	var half Point
	for _, line := range outline {
		for _, q := range line {
			half.Along = math.Max(half.Along, math.Abs(q.Along-p.Centre.Along))
			half.Across = math.Max(half.Across, math.Abs(q.Across-p.Centre.Across))
		}
	}
	grow := Point{1, 1}
	if half.Along > 0 {
		grow.Along = (half.Along + p.Slack.Along) / half.Along
	}
	if half.Across > 0 {
		grow.Across = (half.Across + p.Slack.Across) / half.Across
	}
	out := make(shape, len(outline))
	for i, line := range outline {
		out[i] = make([]Point, len(line))
		for k, q := range line {
			out[i][k] = Point{p.Centre.Along + grow.Along*(q.Along-p.Centre.Along), p.Centre.Across + grow.Across*(q.Across-p.Centre.Across)}
		}
	}
	return out
}

// zone draws a target zone: dashes, nothing inside.
func (s *sheet) zone(t tooth, z *Zone) {
	s.polygons(rounded(z.Low, z.High).on(t))
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
