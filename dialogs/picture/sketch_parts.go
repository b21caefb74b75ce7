package picture

import (
	"math"
	"strconv"
)

// The spots of a gear set on the bench.
const (
	SpotPinionTeeth Spot = "pinion-teeth"
	SpotRingTeeth   Spot = "ring-teeth"
	SpotPinionNo    Spot = "pinion-number" // its match number
	SpotRingNo      Spot = "ring-number"
	SpotNewNut      Spot = "new-nut"
	SpotNewBolt     Spot = "new-bolt"
	SpotNewSleeve   Spot = "new-sleeve"
)

const partsHigh = 330.0

func partsSpots(a Axle) map[Spot]xy {
	y := partsHigh / 2
	out := map[Spot]xy{
		SpotPinionTeeth: {130, y - 62}, SpotRingTeeth: {465, 32}, SpotPinionNo: {97, y + 26}, SpotRingNo: {561, y - 28},
		SpotNewNut: {690, y - 108}, SpotNewBolt: {785, y - 76},
	}
	if a.Preload == PreloadSleeve {
		out[SpotNewSleeve] = xy{695, y + 130}
	}
	return out
}

// drawParts draws pinion and ring gear side by side with their tooth counts and the
// plates of their match numbers, and what is always new beside them.
func drawParts(s *sheet, at xy, a Axle, _ Sketch) {
	y := at.y + partsHigh/2
	x := func(v float64) float64 { return at.x + v }
	s.rect(x(190), y-22, 90, 44, land)
	s.polygon([]xy{{x(60), y - 56}, {x(190), y - 86}, {x(190), y + 86}, {x(60), y + 56}})
	s.piece(steel)
	for _, f := range [...]float64{-0.8, -0.5, 0.5, 0.8} {
		s.dc.DrawLine(x(64), y+56*f, x(186), y+86*f+8)
	}
	s.stroke(white, 3)
	c := xy{x(460), y}
	s.toothedRim(c, 152, 18, 41, steel)
	s.dc.DrawCircle(c.x, c.y, 74)
	s.piece(card)
	s.plate(x(74), y-12)
	s.plate(x(538), y-26)
	if a.Teeth[0] > 0 {
		s.writeAmid(digit, strconv.Itoa(a.Teeth[0]), x(150), y, centred, 76, white)
		s.writeAmid(digit, strconv.Itoa(a.Teeth[1]), c.x, c.y, centred, 140, ink)
	}
	s.hexagon(xy{x(690), y - 76}, 38, white)
	s.dc.DrawCircle(x(690), y-76, 18)
	s.piece(card)
	s.hexagon(xy{x(785), y - 56}, 26, white)
	s.rect(x(775), y-34, 20, 70, white)
	for v := y - 14; v < y+34; v += 9 {
		s.dc.DrawLine(x(775), v, x(795), v)
	}
	s.stroke(ink, 2)
	if a.Preload == PreloadSleeve {
		s.barrel(x(652), x(738), y+92)
	}
}

// barrel draws a crush sleeve from outside.
func (s *sheet) barrel(x0, x1, y float64) {
	const steps = 16
	for _, half := range [...]float64{1, -1} {
		for i := range steps + 1 {
			f := float64(i) / steps
			if half < 0 {
				f = 1 - f
			}
			s.dc.LineTo(x0+(x1-x0)*f, y-half*(32+15*math.Pow(math.Sin(math.Pi*f), 2)))
		}
	}
	s.dc.ClosePath()
	s.piece(amber)
	s.dc.DrawEllipse(x0, y, 9, 32)
	s.piece(card)
}

// plate draws a number that was etched on a part.
func (s *sheet) plate(x, y float64) {
	s.rect(x, y, 46, 36, white)
	for i := range 3 {
		s.dc.DrawLine(x+11+12*float64(i), y+9, x+11+12*float64(i), y+27)
	}
	s.stroke(ink, 4)
}

// The spots of a closed axle.
const (
	SpotCover  Spot = "cover"
	SpotFill   Spot = "fill"
	SpotMagnet Spot = "magnet"
	SpotVent   Spot = "vent"
	SpotAxleL  Spot = "axle-left"
	SpotAxleR  Spot = "axle-right"
	SpotWheels Spot = "wheels"
)

const closedHigh = 320.0

func closedSpots(Axle) map[Spot]xy {
	y := closedHigh / 2
	return map[Spot]xy{
		SpotCover: {380, y - 138}, SpotFill: {508, y + 42}, SpotMagnet: {420, y + 76}, SpotVent: {632, y - 62},
		SpotAxleL: {100, y + 20}, SpotAxleR: {740, y + 20}, SpotWheels: {46, y + 52},
	}
}

// drawClosed draws the whole axle from behind: bolts round the cover, filler, magnet at
// the bottom, vent on the tube, flanges at its ends.
func drawClosed(s *sheet, at xy, _ Axle, _ Sketch) {
	y := at.y + closedHigh/2
	x := func(v float64) float64 { return at.x + v }
	s.casting(x(70), y-32, 700, 64)
	for _, e := range [...]float64{32, 770} { // the ends with their wheel nuts
		s.rect(x(e), y-84, 38, 168, land)
		for _, v := range [...]float64{-58, -20, 20, 58} {
			s.rect(x(e+9), y+v-9, 20, 18, white)
		}
	}
	c := xy{x(420), y}
	s.dc.DrawCircle(c.x, c.y, 150)
	s.piece(land)
	s.dc.DrawCircle(c.x, c.y, 104)
	s.piece(steel)
	for i := range 10 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 10)
		s.hexagon(xy{c.x + 127*cos, c.y + 127*sin}, 16, white)
	}
	s.hexagon(xy{x(500), y + 24}, 24, white) // the filler
	s.dc.DrawCircle(x(500), y+24, 10)
	s.piece(card)
	s.dc.SetDash(10, 7)
	s.dc.SetLineCapButt()
	s.dc.DrawRectangle(x(390), y+62, 60, 28) // the magnet is inside
	s.stroke(white, 4)
	s.dc.SetDash()
	s.dc.SetLineCapRound()
	s.rect(x(624), y-64, 16, 32, white) // the vent
	s.dc.DrawCircle(x(632), y-66, 15)
	s.piece(white)
}
