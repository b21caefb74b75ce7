package picture

import "math"

// The spots of a pinion.
const (
	SpotMark    Spot = "mark"    // on the end of the head
	SpotCentre  Spot = "centre"  // the ring gear's centre line
	SpotHead    Spot = "head"    // the toothed head
	SpotShim    Spot = "shim"    // for depth
	SpotBearing Spot = "bearing" // the head bearing
	SpotHeight  Spot = "height"  // how high it stands
	SpotSpacer  Spot = "spacer"  // crush sleeve, or spacer
	SpotPack    Spot = "pack"    // shims for preload
	SpotTail    Spot = "tail"    // the outer bearing
	SpotSeal    Spot = "seal"
	SpotFlange  Spot = "flange"
	SpotNut     Spot = "nut"
	SpotDrag    Spot = "drag"      // where its drag is read
	SpotCart    Spot = "cartridge" // the flange of a cartridge
)

const pinionHigh = 290.0

// section is where the parts of a pinion lie, from the head on the left.
type section struct {
	shimX, shimLow, shimHigh float64 // the depth shim, from r low to r high
	coneX, cupEnd            float64 // of the head bearing
	tailX                    float64 // of the outer bearing's cup
}

// The widths drawn: a shim, a bearing's cone and its cup.
const (
	shimWide = 16.0
	coneWide = 72.0
	headBack = 196.0
)

func sectionOf(a Axle) section {
	c := section{coneX: headBack + 3, tailX: 470}
	switch a.Shim {
	case ShimUnderRace:
		c.cupEnd = c.coneX + coneWide + 4
		c.shimX, c.shimLow, c.shimHigh = c.cupEnd, 70, 96
	case ShimUnderCartridge:
		c.cupEnd = c.coneX + coneWide + 4
		c.shimX, c.shimLow, c.shimHigh = 352, 100, 138
	default:
		c.shimX, c.shimLow, c.shimHigh = headBack+3, 34, 62
		c.coneX = c.shimX + shimWide + 2
		c.cupEnd = c.coneX + coneWide + 4
	}
	return c
}

// shoulder is where the housing's seat of the head bearing's race is.
func (c section) shoulder(a Axle) float64 {
	if a.Shim == ShimUnderRace {
		return c.cupEnd + shimWide
	}
	return c.cupEnd
}

func pinionSpots(a Axle) map[Spot]xy {
	c, y := sectionOf(a), pinionHigh/2
	out := map[Spot]xy{
		SpotMark: {98, y - 30}, SpotCentre: {40, y + 60}, SpotHead: {180, y + 40}, SpotShim: {c.shimX + shimWide/2, y - (c.shimLow+c.shimHigh)/2},
		SpotBearing: {c.coneX + coneWide/2, y + 62}, SpotHeight: {c.coneX + coneWide/2, y - 44},
		SpotSpacer: {395, y + 44}, SpotTail: {c.tailX + 40, y + 62}, SpotSeal: {573, y - 68},
		SpotFlange: {655, y + 70}, SpotNut: {720, y - 36}, SpotDrag: {790, y + 28},
	}
	if a.Preload == PreloadPack {
		out[SpotSpacer] = xy{352, y + 44}
		out[SpotPack] = xy{449, y - 44}
	}
	if a.Shim == ShimUnderCartridge {
		out[SpotCart] = xy{400, y + 118}
	}
	return out
}

// drawPinion draws the pinion in its housing, cut lengthwise. Seen from the ring gear's
// centre line, which is the chain line on the left, come head, bearing, what sets the
// preload, outer bearing, seal, flange and nut.
func drawPinion(s *sheet, at xy, a Axle, sk Sketch) {
	c, y := sectionOf(a), at.y+pinionHigh/2
	x := func(v float64) float64 { return at.x + v }
	for _, half := range [...]float64{-1, 1} {
		// part draws a block from r = low to r = high of this half.
		part := func(draw func(x, y, w, h float64), x0, x1, low, high float64) {
			top := y - half*high
			if half < 0 {
				top = y + low
			}
			draw(x(x0), top, x1-x0, high-low)
		}
		steelPart := func(x, y, w, h float64) { s.rect(x, y, w, h, steel) }
		whitePart := func(x, y, w, h float64) { s.rect(x, y, w, h, white) }
		landPart := func(x, y, w, h float64) { s.rect(x, y, w, h, land) }
		if a.Shim == ShimUnderCartridge {
			part(s.casting, c.coneX+4, c.shoulder(a), 96, 100) // the cartridge's own bore
			part(s.casting, c.shoulder(a), c.tailX, 70, 100)
			part(s.casting, c.tailX, 600, 96, 100)
			part(s.casting, c.shimX+shimWide, 410, 100, 142) // its flange
			part(s.casting, 300, c.shimX, 104, 142)          // the housing it is bolted to
			part(steelPart, 322, 446, 117, 127)              // a bolt through both
			part(steelPart, 410, 430, 110, 134)
		} else {
			part(s.casting, c.coneX+4, 600, 96, 130)
			part(s.casting, c.shoulder(a), c.tailX, 70, 96)
		}
		part(whitePart, c.coneX+4, c.cupEnd, 76, 96)       // the race
		part(whitePart, c.coneX, c.coneX+coneWide, 34, 52) // the cone
		part(whitePart, c.tailX, c.tailX+coneWide, 72, 96) // the outer race
		part(whitePart, c.tailX+4, c.tailX+76, 28, 48)     // its cone
		s.roller(x(c.coneX+10), x(c.coneX+62), y, half, 76, 70, 54, 50)
		s.roller(x(c.tailX+12), x(c.tailX+64), y, half, 68, 74, 46, 50)
		end := c.tailX + 4
		if a.Preload == PreloadPack {
			part(landPart, c.coneX+coneWide, end-shimWide*2, 34, 52)
			part(s.shim, end-shimWide*2, end-shimWide, 30, 58)
			part(s.shim, end-shimWide, end, 30, 58)
		} else {
			s.sleeve(x(c.coneX+coneWide), x(end), y, half)
		}
		part(landPart, 562, 586, 42, 96) // the seal
		part(whitePart, c.tailX+76, 636, 26, 42)
		part(landPart, 636, 676, 26, 96) // the flange
		part(s.shim, c.shimX, c.shimX+shimWide, c.shimLow, c.shimHigh)
	}
	s.rect(x(headBack), y-34, c.tailX-headBack-2, 68, steel)
	s.rect(x(c.tailX-2), y-26, 770-c.tailX, 52, steel)
	s.polygon([]xy{{x(92), y - 58}, {x(headBack), y - 92}, {x(headBack), y + 92}, {x(92), y + 58}})
	s.piece(steel)
	for _, f := range [...]float64{-0.75, -0.4, 0, 0.4, 0.75} {
		s.dc.DrawLine(x(96), y+58*f, x(headBack-4), y+92*f+8)
	}
	s.stroke(white, 3)
	// The marking on the end of the head.
	s.rect(x(90), y-42, 16, 26, white)
	s.rect(x(692), y-48, 44, 96, land)
	for i := range 4 { // its thread
		s.dc.DrawLine(x(742+7*float64(i)), y-26, x(742+7*float64(i)), y+26)
	}
	s.stroke(white, 2)
	s.chain(xy{x(40), at.y + 4}, xy{x(40), at.y + pinionHigh - 4})
	s.chain(xy{x(14), y}, xy{x(826), y})
	s.turning(xy{x(790), y}, 34, -2.0, 2.0)
	switch sk.Way {
	case WayDeeper:
		s.arrow(xy{x(160), y + 122}, xy{x(60), y + 122})
	case WayAway:
		s.arrow(xy{x(60), y + 122}, xy{x(160), y + 122})
	}
}

// roller draws a tapered roller between cone and race, from its outer to its inner edge
// at both ends.
func (s *sheet) roller(x0, x1, y, half, out0, out1, in0, in1 float64) {
	s.polygon([]xy{{x0, y - half*out0}, {x1, y - half*out1}, {x1, y - half*in1}, {x0, y - half*in0}})
	s.piece(rule)
}

// sleeve draws a crush sleeve: a tube with a bulge in its middle.
func (s *sheet) sleeve(x0, x1, y, half float64) {
	const low, wall, bulge = 34.0, 9.0, 16.0
	var outer, inner []xy
	const steps = 16
	for i := range steps + 1 {
		f := float64(i) / steps
		b := bulge * math.Pow(math.Sin(math.Pi*f), 2)
		x := x0 + (x1-x0)*f
		outer = append(outer, xy{x, y - half*(low+wall+b)})
		inner = append(inner, xy{x, y - half*(low+b)})
	}
	for i := len(inner) - 1; i >= 0; i-- {
		outer = append(outer, inner[i])
	}
	s.polygon(outer)
	s.piece(amber)
}
