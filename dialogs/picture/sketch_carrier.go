package picture

// The spots of a carrier in its housing, seen from the cover.
const (
	SpotCapLeft   Spot = "cap-left"
	SpotCapRight  Spot = "cap-right"
	SpotLeft      Spot = "left" // side shims or adjuster
	SpotRight     Spot = "right"
	SpotLockLeft  Spot = "lock-left"
	SpotLockRight Spot = "lock-right"
	SpotRing      Spot = "ring"
	SpotPinion    Spot = "pinion"
	SpotCase      Spot = "case"
)

const carrierHigh = 310.0

// toRight gives an abscissa where the ring gear sits left, or its mirror image.
func (a Axle) toRight(x float64) float64 {
	if a.RingRight {
		return inner - x
	}
	return x
}

// pinionUp is how far above the carrier's centre the pinion lies.
func (a Axle) pinionUp() float64 {
	if a.HighUp {
		return 62
	}
	return -62
}

// sideX is where the left side's shims or adjuster lie.
func (a Axle) sideX() float64 {
	switch a.Sides {
	case SidesUnder:
		return 268
	case SidesAdjuster:
		return 150
	}
	return 164
}

func carrierSpots(a Axle) map[Spot]xy {
	y := carrierHigh / 2
	out := map[Spot]xy{
		SpotCapLeft: {223, y - 54}, SpotCapRight: {inner - 223, y - 54},
		SpotLeft: {a.sideX() + 8, y + 44}, SpotRight: {inner - a.sideX() - 8, y + 44},
		SpotRing: {a.toRight(332), y - 112}, SpotCase: {a.toRight(486), y - a.pinionUp()/2},
		SpotPinion: {a.toRight(430), y - a.pinionUp() + 34},
	}
	if a.HighUp {
		out[SpotPinion] = xy{a.toRight(430), y - a.pinionUp() - 34}
	}
	if a.Sides == SidesAdjuster {
		out[SpotLeft], out[SpotRight] = xy{158, y + 50}, xy{inner - 158, y + 50}
		out[SpotLockLeft], out[SpotLockRight] = xy{162, y - 88}, xy{inner - 162, y - 88}
	}
	return out
}

// drawCarrier draws the carrier in the housing, seen from the cover: bearings under
// their caps, what positions it, the ring gear on its side, and the pinion's head
// behind it.
func drawCarrier(s *sheet, at xy, a Axle, sk Sketch) {
	y := at.y + carrierHigh/2
	for _, side := range [...]float64{-1, 1} {
		// block draws a rectangle given for the left side.
		block := func(draw func(x, y, w, h float64), x0, x1, high float64) {
			if side > 0 {
				x0, x1 = inner-x1, inner-x0
			}
			draw(at.x+x0, y-high, x1-x0, 2*high)
		}
		whitePart := func(x, y, w, h float64) { s.rect(x, y, w, h, white) }
		steelPart := func(x, y, w, h float64) { s.rect(x, y, w, h, steel) }
		block(s.casting, 8, 120, 44)    // the axle tube
		block(s.casting, 120, 148, 140) // the wall of the housing
		block(steelPart, 148, 330, 34)  // the carrier's hub
		coneX, coneEnd := 184.0, 262.0
		switch a.Sides {
		case SidesUnder:
			coneX, coneEnd = 160, 262
			block(s.shim, 264, 280, 62)
		case SidesAdjuster:
			block(s.adjuster, 148, 176, 78)
			block(func(x, y, w, _ float64) { s.rect(x, y, w, 34, white) }, 150, 174, 100) // its lock
		default:
			block(s.shim, 162, 178, 84)
		}
		block(whitePart, coneX, coneEnd, 84)
		// The cap over the bearing, with its two bolts and its mark: one dot on the
		// left one, two on the right.
		block(func(x, y, w, h float64) {
			s.dc.DrawRoundedRectangle(x, y, w, h, 14)
			s.piece(land)
			for _, b := range [...]float64{18, h - 18} {
				s.hexagon(xy{x + w/2, y + b}, 12, white)
			}
		}, 190, 256, 100)
		dots := [][2]float64{{0, -46}}
		if side > 0 {
			dots = [][2]float64{{-10, -46}, {10, -46}}
		}
		middle := 223.0
		if side > 0 {
			middle = inner - middle
		}
		for _, d := range dots {
			s.dc.DrawCircle(at.x+middle+d[0], y+d[1]+16, 6)
		}
		s.fill(white)
	}
	x := func(v float64) float64 { return at.x + a.toRight(v) }
	// The carrier between its bearings.
	s.rect(min(x(282), x(560)), y-58, 278, 116, land)
	// The ring gear, edgewise, its teeth towards the pinion.
	back, face, tips := x(310), x(352), x(374)
	s.polygon([]xy{{back, y - 122}, {face, y - 122}, {face, y + 122}, {back, y + 122}})
	s.piece(steel)
	for i := range 10 {
		top := y - 120 + 24*float64(i)
		s.polygon([]xy{{face, top + 3}, {tips, top + 7}, {tips, top + 15}, {face, top + 21}})
		s.piece(steel)
	}
	// The head of the pinion lies behind it.
	s.dc.SetDash(12, 8)
	s.dc.SetLineCapButt()
	s.dc.DrawCircle(x(430), y-a.pinionUp(), 52)
	s.stroke(ink, 4)
	s.dc.DrawCircle(x(430), y-a.pinionUp(), 20)
	s.stroke(ink, 3)
	s.dc.SetDash()
	s.dc.SetLineCapRound()
	s.chain(xy{at.x + 10, y}, xy{at.x + inner - 10, y})
	if sk.Left != "" {
		s.writeAmid(strong, sk.Left, at.x+10, at.y+carrierHigh-70, fromLeft, 108, ink)
		s.writeAmid(strong, sk.Right, at.x+inner-10, at.y+carrierHigh-70, fromRight, 108, ink)
	}
	if sk.Way == WayIn {
		s.arrow(xy{at.x + 40, y}, xy{at.x + 140, y})
		s.arrow(xy{at.x + inner - 40, y}, xy{at.x + inner - 140, y})
	}
}

// adjuster draws a threaded ring: notched along its edge.
func (s *sheet) adjuster(x, y, w, h float64) {
	s.rect(x, y, w, h, amber)
	for v := y + 12; v < y+h-6; v += 16 {
		s.dc.DrawLine(x+3, v, x+w-3, v)
	}
	s.stroke(ink, 4)
}
