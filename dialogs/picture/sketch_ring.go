package picture

import "math"

// The spots of the ring gear's back and of it on the carrier.
const (
	SpotBolts  Spot = "bolts"
	SpotHand   Spot = "hand"   // which way the bolts turn
	SpotFaces  Spot = "faces"  // where ring gear and carrier meet
	SpotRunout Spot = "runout" // the dial on its back
	SpotBolt   Spot = "bolt"   // one of them edgewise
)

const boltsHigh = 330.0

// boltsAt is the middle of the ring gear seen from its back.
var boltsAt = xy{190, boltsHigh / 2}

func boltsSpots(Axle) map[Spot]xy {
	return map[Spot]xy{
		SpotBolts: {boltsAt.x + 106, boltsAt.y - 80}, SpotHand: {boltsAt.x + 41, boltsAt.y + 16},
		SpotFaces: {571, boltsAt.y + 96}, SpotBolt: {530, boltsAt.y + 56}, SpotRunout: {440, boltsAt.y - 150},
	}
}

// across is the order in which eight bolts are tightened, going round: always the one
// across from the last. Common practice, no source.
var across = [...]int{1, 5, 3, 7, 2, 6, 4, 8}

// drawBolts draws the ring gear from its back with its bolts numbered in the order they
// are tightened, and beside it edgewise on the carrier, with a dial on its back face.
func drawBolts(s *sheet, at xy, a Axle, _ Sketch) {
	c := xy{at.x + boltsAt.x, at.y + boltsAt.y}
	s.dc.DrawCircle(c.x, c.y, 158)
	s.piece(steel)
	s.dc.DrawCircle(c.x, c.y, 72)
	s.piece(card)
	for i, n := range across {
		sin, cos := math.Sincos(-math.Pi/2 + 2*math.Pi*float64(i)/float64(len(across)))
		b := xy{c.x + 116*cos, c.y + 116*sin}
		s.hexagon(b, 30, white)
		s.writeAmid(small, string(rune('0'+n)), b.x, b.y, centred, 40, ink)
	}
	from, to := -math.Pi*1.1, math.Pi*0.35
	if a.LeftHand {
		from, to = math.Pi*0.1, -math.Pi*1.35
	}
	s.turning(c, 44, from, to)
	// Edgewise: the carrier's flange, the ring gear bolted to it, the dial on its back.
	x, y := func(v float64) float64 { return at.x + v }, at.y+boltsAt.y
	s.rect(x(420), y-34, 330, 68, land)   // the carrier's hub
	s.rect(x(540), y-92, 30, 184, land)   // its flange
	s.rect(x(570), y-150, 46, 300, steel) // the ring gear
	s.rect(x(570), y-34, 46, 68, land)
	for i := range 12 {
		top := y - 148 + 25*float64(i)
		s.polygon([]xy{{x(616), top + 2}, {x(638), top + 6}, {x(638), top + 15}, {x(616), top + 21}})
		s.piece(steel)
	}
	for _, v := range [...]float64{-66, 66} { // its bolts
		s.rect(x(520), y+v-14, 20, 28, white)
	}
	s.chain(xy{x(404), y}, xy{x(770), y})
	s.dial(xy{x(440), y - 116}, xy{x(570), y - 126}, 42)
}

// The spots of a backlash reading.
const (
	SpotDial   Spot = "dial"   // square on a tooth at the heel
	SpotPlaces Spot = "places" // where round the ring it is read
	SpotHold   Spot = "hold"   // the pinion, which is held
)

// lashAt is where the middle of the ring gear lies.
const lashHigh, lashAt = 340.0, 360.0

func lashSpots(Axle) map[Spot]xy {
	return map[Spot]xy{
		SpotDial: {lashAt + 12, 20}, SpotPlaces: {lashAt + 132, lashHigh/2 + 6}, SpotHold: {lashAt - 62, lashHigh - 40},
	}
}

// drawLash draws the ring gear with a dial on one of its teeth and the four places it
// is read at.
func drawLash(s *sheet, at xy, _ Axle, _ Sketch) {
	c := xy{at.x + lashAt, at.y + lashHigh/2}
	s.toothedRim(c, 160, 18, 36, steel)
	s.dc.DrawCircle(c.x, c.y, 112)
	s.piece(land)
	s.dc.DrawCircle(c.x, c.y, 60)
	s.piece(card)
	for i := range 4 {
		sin, cos := math.Sincos(math.Pi * float64(i) / 2)
		p := xy{c.x + 132*cos, c.y + 132*sin}
		s.dc.DrawCircle(p.x, p.y, 13)
		s.dc.SetColor(white)
		s.dc.FillPreserve()
		s.stroke(ink, 4)
	}
	// The pinion meshes below it and is held.
	s.toothedRim(xy{at.x + lashAt - 62, at.y + lashHigh - 44}, 40, 10, 11, land)
	s.dial(xy{at.x + 620, at.y + 42}, xy{c.x + 12, c.y - 152}, 48)
	s.turning(c, 84, 0.1, 0.6) // rocked to and fro
	s.turning(c, 84, -0.1, -0.6)
}
