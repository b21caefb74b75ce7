package advise

import (
	"errors"
	"fmt"

	"shimwright/calc/contact"
	"shimwright/calc/estimate"
	"shimwright/calc/gearset"
	"shimwright/calc/lash"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// axle is what a sheet says about how readings answer to gear moves, before any
// reading.
type axle struct {
	prior   estimate.Prior
	slopes  lash.Slopes
	model   bool           // the pattern slopes come from the contact model
	against []disagreement // where the model and practice name opposite directions
}

// practice is how the pattern moves per mm on a ring gear of practiceDiameter:
// drive along, drive across, coast along, coast across. Common practice, no
// source: ten thou is a big pinion step, which takes the pattern across about a
// third of the tooth.
var practice = struct{ pinion, ring [estimate.Coordinates]float64 }{
	pinion: [estimate.Coordinates]float64{-1.2, -3.0, +1.0, -3.0},
	ring:   [estimate.Coordinates]float64{-0.8, -0.2, -0.5, -0.2},
}

const practiceDiameter = unit.Length(220)

// The spread of what is known before any reading. Common practice, no source,
// where nothing else is said.
const (
	depthSpread = 0.20 // mm, of the first build's pinion: some seven thou
	ringSpread  = 0.45 // mm, of its ring gear; backlash tells it at once
	lashSpread  = 0.22 // of the limits' width, of the backlash a set was made for
	commonAlong = 0.40 // logarithm; crowns hold within a factor of two
	common      = 0.45
	alongBoth   = 0.07 // pattern coordinate, of both flanks
	acrossBoth  = 0.10
	alongApart  = 0.12 // of the flanks against each other: offset and shaft angle part them along
	acrossApart = 0.06 // the tooth, and hardly across it
	// A pattern slope of its own: this share of it, and at least this much.
	slopeShare  = 0.25
	leastAlong  = 0.40 // per mm
	leastAcross = 0.15
	// ± 25 % as good as surely; the pinion's answer is the less certain one: it
	// hangs on the pinion's small pitch angle, and practice names more than the
	// geometry does (0.2 to 0.45), so a third of its middle is mixed in.
	lashRingSpread     = 0.14
	lashPinionSpread   = 0.25
	practicePinionLash = 0.32
	practiceRingLash   = 0.70 // the middle of 0.55 to 0.85; geometry comes to a little more
	chord              = 0.15 // mm either way, over which the model's slopes are taken
)

// newAxle works a sheet out. It errs where the sheet's figures are no gear set.
//
// The backlash slopes lie between the geometry's and the middle of practice's.
// The pattern slopes are the mean of the contact model's and practice's, with a
// spread that covers both.
func newAxle(s *rules.Sheet) (*axle, error) {
	set, err := gearset.Complete(gearset.Known{
		Z1: s.Pinion.Teeth, Z2: s.Ring.Teeth, OuterDiameter: s.Ring.OutsideDiameter,
		FaceWidth: s.Ring.FaceWidth, Offset: s.Ring.Offset, RingSpiral: s.Ring.Spiral,
		Pressure: s.Ring.Pressure, RingPitchAngle: s.Ring.PitchAngle, CutterRadius: s.Ring.Cutter,
		UniformDepth: s.Ring.Tooth == rules.FaceHobbed,
	})
	if err != nil {
		return nil, fmt.Errorf("sheet %s: %w", s.Name, err)
	}
	a := &axle{}
	if a.slopes, err = lash.SlopesOf(set, lash.Dial{}); err != nil {
		return nil, fmt.Errorf("sheet %s: %w", s.Name, err)
	}
	pinion, ring := practice.pinion, practice.ring
	if s.Pinion.ReverseCut { // drive is the flank that is coast elsewhere
		pinion[0], pinion[2] = pinion[2], pinion[0]
		ring[0], ring[2] = ring[2], ring[0]
	}
	scale := float64(practiceDiameter / s.Ring.OutsideDiameter)
	for i := range pinion {
		pinion[i] *= scale
		ring[i] *= scale
	}
	if s.Ring.Tooth == rules.FaceHobbed { // uniform depth answers mostly across
		pinion[0], pinion[2] = pinion[0]/2, pinion[2]/2
	}
	modelPinion, modelRing, err := modelSlopes(set, s.Pinion.ReverseCut)
	switch {
	case err == nil:
		a.model = true
	case errors.Is(err, contact.ErrGeometry) || errors.Is(err, contact.ErrDisplacement):
		modelPinion, modelRing = pinion, ring
	default:
		return nil, fmt.Errorf("sheet %s: %w", s.Name, err)
	}
	p := &a.prior
	p.Depth, p.Ring = estimate.Normal{Spread: depthSpread}, estimate.Normal{Spread: ringSpread}
	limits := s.Limits.Backlash
	p.Lash = estimate.Normal{Mean: limits.Middle().MM(), Spread: max(0.012, lashSpread*(limits.High-limits.Low).MM())}
	p.LashPinion, p.LashPinionSpread = (2*a.slopes.Pinion+practicePinionLash)/3, lashPinionSpread
	p.LashRing, p.LashRingSpread = (a.slopes.Ring+practiceRingLash)/2, lashRingSpread
	p.AlongSpread, p.AcrossSpread = commonAlong, common
	p.AlongBoth.Spread, p.AcrossBoth.Spread = alongBoth, acrossBoth
	p.AlongApart.Spread, p.AcrossApart.Spread = alongApart, acrossApart
	for i := range estimate.Coordinates {
		c := estimate.Coordinate(i)
		p.PinionSlope[i] = slope(c, modelPinion[i], pinion[i])
		p.RingSlope[i] = slope(c, modelRing[i], ring[i])
		// Practice is firm about these; the others are "a little".
		if modelPinion[i]*pinion[i] < 0 {
			a.against = append(a.against, disagreement{true, c, modelPinion[i]})
		}
		if c.Along() && modelRing[i]*ring[i] < 0 {
			a.against = append(a.against, disagreement{false, c, modelRing[i]})
		}
	}
	return a, nil
}

// slope is the prior of one pattern slope between the model and practice.
func slope(c estimate.Coordinate, model, practice float64) estimate.Normal {
	n := estimate.Normal{Mean: (model + practice) / 2}
	least := leastAcross
	if c.Along() {
		least = leastAlong
	}
	apart := (model - practice) / 2
	n.Spread = max(least, slopeShare*max(n.Mean, -n.Mean), apart, -apart)
	return n
}

// modelSlopes takes the pattern slopes per mm from the contact model, over a chord
// as wide as usual moves, because the marked centre bends towards the tooth's end.
func modelSlopes(set gearset.Set, reverseCut bool) (pinion, ring [estimate.Coordinates]float64, err error) {
	gear, err := contact.FromSet(set)
	if err != nil {
		return pinion, ring, err
	}
	gear.ReverseCut = reverseCut
	m, err := contact.New(gear, contact.Options{})
	if err != nil {
		return pinion, ring, err
	}
	ws := m.NewWorkspace()
	slopes := func(plus, minus contact.Displacement) (out [estimate.Coordinates]float64, err error) {
		a, err := m.PatternIn(ws, plus)
		if err != nil {
			return out, err
		}
		b, err := m.PatternIn(ws, minus)
		if err != nil {
			return out, err
		}
		for i, d := range []float64{a.Drive.Along - b.Drive.Along, a.Drive.Across - b.Drive.Across,
			a.Coast.Along - b.Coast.Along, a.Coast.Across - b.Coast.Across} {
			out[i] = d / (2 * chord)
		}
		return out, nil
	}
	if pinion, err = slopes(contact.Displacement{Pinion: unit.MM(chord)}, contact.Displacement{Pinion: unit.MM(-chord)}); err != nil {
		return pinion, ring, err
	}
	ring, err = slopes(contact.Displacement{Ring: unit.MM(chord)}, contact.Displacement{Ring: unit.MM(-chord)})
	return pinion, ring, err
}

// disagreement is a pattern slope on which the contact model and practice part.
type disagreement struct {
	pinion bool // of a pinion move, of a ring gear move otherwise
	of     estimate.Coordinate
	slope  float64 // the model's, of half the tooth per mm
}
