package picture

import (
	"image/color"
	"math"
)

// Spot is a place of a drawing a mark can stand at.
type Spot string

// drawing is how one Drawing is made: its height, the line above which marks stand
// over it, where its spots are (from its upper left corner), and itself.
type sketchOf struct {
	height, middle float64
	spots          func(Axle) map[Spot]xy
	draw           func(s *sheet, at xy, a Axle, sk Sketch)
}

// sketches lists the drawings.
func sketches() map[Drawing]sketchOf {
	return map[Drawing]sketchOf{
		DrawPinion:  {pinionHigh, pinionHigh / 2, pinionSpots, drawPinion},
		DrawCarrier: {carrierHigh, carrierHigh / 2, carrierSpots, drawCarrier},
		DrawBolts:   {boltsHigh, boltsHigh / 2, boltsSpots, drawBolts},
		DrawLash:    {lashHigh, lashHigh / 2, lashSpots, drawLash},
		DrawParts:   {partsHigh, partsHigh / 2, partsSpots, drawParts},
		DrawClosed:  {closedHigh, closedHigh / 2, closedSpots, drawClosed},
	}
}

// piece fills and outlines the path that was laid.
func (s *sheet) piece(c color.RGBA) {
	s.dc.SetColor(c)
	s.dc.FillPreserve()
	s.stroke(ink, 3)
}

func (s *sheet) rect(x, y, w, h float64, c color.RGBA) {
	s.dc.DrawRectangle(x, y, w, h)
	s.piece(c)
}

// hatch rules a rectangle with slanting lines.
func (s *sheet) hatch(x, y, w, h, step float64) {
	s.dc.SetLineCapButt()
	for d := -h; d < w; d += step {
		x0, y0, x1, y1 := x+d, y+h, x+d+h, y
		if x0 < x {
			y0 -= x - x0
			x0 = x
		}
		if x1 > x+w {
			y1 += x1 - x - w
			x1 = x + w
		}
		s.dc.DrawLine(x0, y0, x1, y1)
	}
	s.stroke(quiet, 2)
	s.dc.SetLineCapRound()
}

// casting is a piece of the housing: hatched, as cut metal is drawn.
func (s *sheet) casting(x, y, w, h float64) {
	s.dc.DrawRectangle(x, y, w, h)
	s.fill(band)
	s.hatch(x, y, w, h, 16)
	s.dc.DrawRectangle(x, y, w, h)
	s.stroke(ink, 3)
}

// shim is a shim: amber with a thick edge and two lines through it, so that it is
// told by its shape too.
func (s *sheet) shim(x, y, w, h float64) {
	s.dc.DrawRectangle(x, y, w, h)
	s.dc.SetColor(amber)
	s.dc.FillPreserve()
	s.stroke(ink, 4)
	if w < h {
		s.dc.DrawLine(x+w/2, y+3, x+w/2, y+h-3)
	} else {
		s.dc.DrawLine(x+3, y+h/2, x+w-3, y+h/2)
	}
	s.stroke(ink, 2)
}

// chain draws a centre line.
func (s *sheet) chain(a, b xy) {
	s.dc.SetLineCapButt()
	s.dc.SetDash(22, 7, 5, 7)
	s.dc.DrawLine(a.x, a.y, b.x, b.y)
	s.stroke(quiet, 3)
	s.dc.SetDash()
	s.dc.SetLineCapRound()
}

// dial draws a dial indicator whose stem leads from its rim to a point.
func (s *sheet) dial(at, to xy, r float64) {
	d := math.Hypot(to.x-at.x, to.y-at.y)
	ux, uy := (to.x-at.x)/d, (to.y-at.y)/d
	s.dc.DrawLine(at.x+ux*r, at.y+uy*r, to.x, to.y)
	s.stroke(ink, 10)
	s.dc.DrawLine(at.x+ux*r, at.y+uy*r, to.x-ux*4, to.y-uy*4)
	s.stroke(white, 4)
	s.dc.DrawCircle(at.x, at.y, r)
	s.dc.SetColor(white)
	s.dc.FillPreserve()
	s.stroke(ink, 5)
	for i := range 12 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 6)
		s.dc.DrawLine(at.x+cos*(r-11), at.y+sin*(r-11), at.x+cos*(r-5), at.y+sin*(r-5))
	}
	s.stroke(ink, 3)
	s.dc.DrawLine(at.x, at.y, at.x+0.45*r, at.y-0.5*r)
	s.stroke(ink, 5)
}

// turning draws part of a circle with an arrow's head: clockwise where way is +1.
func (s *sheet) turning(c xy, r, from, to float64) {
	const steps = 24
	for i := range steps + 1 {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/steps)
		if i == 0 {
			s.dc.MoveTo(c.x+r*cos, c.y+r*sin)
		} else {
			s.dc.LineTo(c.x+r*cos, c.y+r*sin)
		}
	}
	s.stroke(ink, 6)
	sin, cos := math.Sincos(to)
	end := xy{c.x + r*cos, c.y + r*sin}
	way := 1.0
	if to < from {
		way = -1
	}
	tx, ty := -sin*way, cos*way
	s.polygon([]xy{{end.x + 22*tx, end.y + 22*ty}, {end.x + 13*cos, end.y + 13*sin}, {end.x - 13*cos, end.y - 13*sin}})
	s.fill(ink)
}

// toothedRim draws a disc with teeth round it.
func (s *sheet) toothedRim(c xy, r, depth float64, teeth int, ground color.RGBA) {
	path := make([]xy, 0, 4*teeth)
	for i := range teeth {
		for k, f := range [...]float64{0, 0.3, 0.5, 0.8} {
			at := r
			if k > 1 {
				at = r - depth
			}
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + f) / float64(teeth))
			path = append(path, xy{c.x + at*cos, c.y + at*sin})
		}
	}
	s.polygon(path)
	s.piece(ground)
}

// hexagon draws a nut or the head of a bolt.
func (s *sheet) hexagon(c xy, r float64, ground color.RGBA) {
	path := make([]xy, 6)
	for i := range path {
		sin, cos := math.Sincos(math.Pi * float64(i) / 3)
		path[i] = xy{c.x + r*cos, c.y + r*sin}
	}
	s.polygon(path)
	s.piece(ground)
}
