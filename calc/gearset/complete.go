package gearset

import (
	"cmp"
	"math"
	"slices"

	"shimwright/calc/unit"
)

// Known is what a shop can know of a ring gear and pinion. Zero is unknown,
// except for the offset, where zero means that the axes meet (spiral bevel).
type Known struct {
	Z1, Z2        int         // tooth counts; needed
	OuterDiameter unit.Length // ring gear, over the heel tips; needed
	FaceWidth     unit.Length // ring gear, along the tooth
	Offset        unit.Length // hypoid offset, without sign; below 0.1 mm it is taken as none

	ShaftAngle     unit.Angle  // between the axes
	RingSpiral     unit.Angle  // of the ring gear at the mean point
	Pressure       unit.Angle  // mean normal pressure angle
	RingPitchAngle unit.Angle  // of the ring gear
	CutterRadius   unit.Length // of the face mill that cut the ring gear
	UniformDepth   bool        // teeth as high at the toe as at the heel, the usual face hobbed form
}

// Complete's iteration fits the outside diameter and the ring gear's spiral
// angle together; it ends when both are met this closely.
const (
	CompleteTolerance      = unit.Length(1e-6) // of the outside diameter, mm
	CompleteAngleTolerance = unit.Angle(1e-9)  // of the spiral angle, rad
	completeSteps          = 60
)

// leastOffset is the smallest offset that is taken as meant: a smaller one is
// a tolerance, and the set is worked as spiral bevel.
const leastOffset = unit.Length(0.1)

// Complete makes a full gear set from what is known of it, with stated
// proportions in place of what is not; Set.Assumed lists each with its honest
// spread. The known figures are met exactly: outside diameter, face width,
// offset, tooth counts, and the angles and the cutter where given (where pitch
// angle and cutter are both given, the pitch cones follow the pitch angle).
//
// It errs, wrapping ErrGeometry and saying in one sentence which figure does not
// fit, where the known figures cannot be a gear set.
//
// Source: ISO 23509:2016 for the geometry and annex C for depth factor,
// clearance and taper; the pinion's spiral angle, face width and cutter rules
// are the usual design starting values, from memory.
func Complete(k Known) (Set, error) {
	if err := k.check(); err != nil {
		return Set{}, err
	}
	if k.Offset < leastOffset {
		k.Offset = 0
	}
	d, taken := k.design()
	if d.CutterRadius != 0 {
		s, err := k.fit(d)
		if err != nil {
			s, taken, err = k.fitAtStart(d, taken, err)
		}
		return finish(s, taken, err)
	}
	var first error
	for _, radius := range usualCutters(d.meanConeGuess()) {
		d.CutterRadius = radius
		s, err := k.fit(d)
		if err == nil {
			return finish(s, append(taken, Assumption{"cutter radius", radius.MM(), 0.25 * radius.MM(), "mm",
				"the usual face mill nearest to the mean cone distance, from memory"}), nil)
		}
		if first == nil {
			first = err
		}
	}
	d.CutterRadius = usualCutters(d.meanConeGuess())[0]
	s, taken, err := k.fitAtStart(d, taken, first)
	return finish(s, taken, err)
}

// finish adds what the solution itself settled to the list of assumptions.
func finish(s Set, taken []Assumption, err error) (Set, error) {
	if err != nil {
		return Set{}, err
	}
	for i := range taken {
		switch taken[i].Name {
		case assumedSpiral:
			taken[i].Value = s.Beta2.Deg()
		case assumedPitch:
			taken[i].Value = s.Delta2.Deg()
		}
	}
	s.Assumed = taken
	return s, nil
}

// Names of assumptions whose values only the solution gives.
const (
	assumedSpiral = "ring gear spiral angle"
	assumedPitch  = "ring gear pitch angle"
)

// check refuses what cannot be, in words.
func (k Known) check() error {
	od, b, a := k.OuterDiameter.MM(), k.FaceWidth.MM(), k.Offset.MM()
	switch {
	case k.Z1 < 3 || k.Z1 > 100:
		return impossible("the pinion has %d teeth; 3 to 100 can be worked", k.Z1)
	case k.Z2 < k.Z1 || k.Z2 > 300:
		return impossible("the ring gear has %d teeth and the pinion %d; it needs at least as many, up to 300", k.Z2, k.Z1)
	case !(od >= 20 && od <= 3000):
		return impossible("the ring gear's outside diameter is %s; 20 mm to 3000 mm can be worked", millimetres(k.OuterDiameter))
	case !(b >= 0 && b <= od/4) || b > 0 && b < od/100:
		return impossible("a face width of %s does not fit a ring gear of %s outside diameter", millimetres(k.FaceWidth), millimetres(k.OuterDiameter))
	case !(a >= 0):
		return impossible("the offset is %s; it is given without sign", millimetres(k.Offset))
	case !(a <= 0.35*od):
		return impossible("an offset of %s is too large for a ring gear of %s outside diameter; hypoid sets have up to about a quarter of it", millimetres(k.Offset), millimetres(k.OuterDiameter))
	case !(k.ShaftAngle == 0 || k.ShaftAngle.Deg() >= 30 && k.ShaftAngle.Deg() <= 150):
		return impossible("a shaft angle of %s cannot be worked, only 30° to 150°", degrees(k.ShaftAngle))
	case !(k.RingSpiral == 0 || k.RingSpiral.Deg() >= 1 && k.RingSpiral.Deg() <= 55):
		return impossible("a ring gear spiral angle of %s is outside 1° to 55°", degrees(k.RingSpiral))
	case !(k.Pressure == 0 || k.Pressure.Deg() >= 10 && k.Pressure.Deg() <= 30):
		return impossible("a mean normal pressure angle of %s is outside 10° to 30°", degrees(k.Pressure))
	case !(k.RingPitchAngle == 0 || k.RingPitchAngle.Deg() >= 30 && k.RingPitchAngle.Deg() <= 88):
		return impossible("a ring gear pitch angle of %s is outside 30° to 88°", degrees(k.RingPitchAngle))
	case !(k.CutterRadius == 0 || k.CutterRadius.MM() >= 0.1*od && k.CutterRadius.MM() <= 3*od):
		return impossible("a cutter radius of %s does not fit a ring gear of %s outside diameter", millimetres(k.CutterRadius), millimetres(k.OuterDiameter))
	}
	if k.Offset >= leastOffset || k.RingPitchAngle == 0 {
		return nil
	}
	sigma := k.shaft().Rad()
	delta2 := sigma - math.Atan2(math.Sin(sigma), math.Cos(sigma)+float64(k.Z2)/float64(k.Z1))
	if math.Abs(delta2-k.RingPitchAngle.Rad()) > bevelPitchSlack {
		return impossible("%d/%d teeth without offset have a ring gear pitch angle of %s, not %s; is the offset missing?",
			k.Z1, k.Z2, degrees(unit.Rad(delta2)), degrees(k.RingPitchAngle))
	}
	return nil
}

// bevelPitchSlack is how far a measured pitch angle of a set without offset may
// lie from the one its teeth give, in radians.
const bevelPitchSlack = 1.5 * math.Pi / 180

func (k Known) shaft() unit.Angle {
	if k.ShaftAngle == 0 {
		return unit.Deg(90)
	}
	return k.ShaftAngle
}

// design fills the design data from what is known and lists what was taken.
func (k Known) design() (Design, []Assumption) {
	var taken []Assumption
	take := func(name string, value, plusMinus float64, unitName, why string) float64 {
		taken = append(taken, Assumption{name, value, plusMinus, unitName, why})
		return value
	}
	u := float64(k.Z2) / float64(k.Z1)
	d := Design{
		Method: SpiralBevel, Z1: k.Z1, Z2: k.Z2, ShaftAngle: k.shaft(), Offset: k.Offset,
		// The outer pitch diameter of usual sets is 0.98 to 0.995 of the outside
		// diameter; fit finds it.
		PitchDiameter: 0.985 * k.OuterDiameter,
		FaceWidth:     k.FaceWidth, CutterRadius: k.CutterRadius,
	}
	if k.Offset > 0 {
		d.Method, d.LimitInfluence, d.RingPitchAngle = Hypoid, 1, k.RingPitchAngle
	}
	if k.ShaftAngle == 0 {
		take("shaft angle", 90, 0, "deg", "drive axles, common practice, no source")
	}
	if k.FaceWidth == 0 {
		b := take("face width", 0.155*k.OuterDiameter.MM(), 0.02*k.OuterDiameter.MM(), "mm",
			"0.155 of the outside diameter, usual proportion, from memory")
		d.FaceWidth = unit.MM(b)
	}
	d.RingSpiral = k.RingSpiral
	if k.RingSpiral == 0 {
		if d.Method == SpiralBevel {
			d.RingSpiral = unit.Deg(take(assumedSpiral, 35, 4, "deg", "usual for spiral bevel sets, as in ISO 23509 sample F.2"))
		} else {
			take(assumedSpiral, 0, 4, "deg", "from a pinion spiral angle of 25° + 5°·√(z2/z1) + 90°·offset/diameter, usual starting value, from memory")
		}
	}
	d.PinionSpiral = unit.Deg(min(55, 25+5*math.Sqrt(u)+90*float64(k.Offset/d.PitchDiameter)))
	if k.Pressure == 0 {
		d.DesignAngleD = unit.Deg(take("mean normal pressure angle", 20, 2.5, "deg", "usual for axle sets, as in ISO 23509 samples F.2 and F.3"))
	} else {
		d.DesignAngleD = k.Pressure
	}
	d.DesignAngleC = d.DesignAngleD
	if d.Method == Hypoid {
		take("share of the limit angle in the flank angles", 1, 1, "", "flanks balanced about the limit angle, as in ISO 23509 sample F.3")
		if k.RingPitchAngle == 0 {
			take(assumedPitch, 0, 3, "deg", "the pitch cones whose limit curvature meets the cutter, ISO 23509 method 1")
		}
	}
	d.AddendumFactor = take("ring gear addendum over working depth", 0.21+0.29/(u*u), 0.06, "",
		"0.21 + 0.29/u², which ISO 23509 sample F.2 follows")
	d.DepthFactor = take("depth factor", 2, 0.2, "", "ISO 23509 annex C, as in samples F.2 to F.4")
	d.ClearanceFactor = take("clearance factor", 0.125, 0.025, "", "ISO 23509 annex C, as in samples F.2 to F.4")
	d.ThicknessFactor = take("thickness factor", 0.095, 0.05, "", "between ISO 23509 samples F.2 and F.3")
	d.Taper = ModifiedSlotWidth
	if k.UniformDepth {
		d.Taper = UniformDepth
		take("tooth curve as a circle", 0, 0, "", "uniform depth is usual on hobbed teeth, whose curve is close to an arc of the cutter radius")
	}
	return d, taken
}

// meanConeGuess estimates the ring gear's mean cone distance before it is known.
func (d Design) meanConeGuess() unit.Length {
	delta := math.Atan2(float64(d.Z2)*math.Sin(d.ShaftAngle.Rad()), float64(d.Z1)+float64(d.Z2)*math.Cos(d.ShaftAngle.Rad()))
	return d.PitchDiameter/unit.Length(2*math.Sin(delta)) - d.FaceWidth/2
}

// usualCutters gives the radii of the usual face mills, nearest to the wanted
// radius first. Their diameters are 3.5, 4.5, 5, 6, 7.5, 9, 10.5, 12, 14, 16 and
// 18 in, a common series, from memory; 5 and 9 in are those of ISO 23509 samples
// F.3 and F.2. Beyond the series the radius itself is taken.
func usualCutters(want unit.Length) []unit.Length {
	var radii []unit.Length
	for _, diameter := range []float64{3.5, 4.5, 5, 6, 7.5, 9, 10.5, 12, 14, 16, 18} {
		radii = append(radii, unit.Inch(diameter)/2)
	}
	if want < 0.8*radii[0] || want > 1.2*radii[len(radii)-1] {
		radii = append(radii, want)
	}
	off := func(r unit.Length) float64 { return math.Abs(math.Log(float64(r / want))) }
	slices.SortStableFunc(radii, func(a, b unit.Length) int { return cmp.Compare(off(a), off(b)) })
	return radii[:4]
}

// fit solves for the outer pitch diameter that gives the known outside diameter,
// and for the pinion spiral angle that gives the known ring gear spiral angle.
func (k Known) fit(d Design) (Set, error) {
	for range completeSteps {
		s, err := Dimensions(d)
		if err != nil {
			return Set{}, err
		}
		off := k.OuterDiameter - s.OuterDiameter
		turn := unit.Angle(0)
		if d.Method == Hypoid && k.RingSpiral != 0 {
			turn = k.RingSpiral - s.Beta2
		}
		if off.Abs() <= CompleteTolerance && math.Abs(turn.Rad()) <= CompleteAngleTolerance.Rad() {
			s.OuterDiameter, s.DialRadius = k.OuterDiameter, k.OuterDiameter/2
			return s, nil
		}
		// The outside diameter follows the pitch diameter nearly one to one, the
		// ring gear's spiral angle the pinion's less a nearly constant offset angle.
		d.PitchDiameter += off
		d.PinionSpiral += turn
	}
	return Set{}, impossible("the gear set did not close on an outside diameter of %s within %d steps", millimetres(k.OuterDiameter), completeSteps)
}

// fitAtStart is the way out where no pitch cones meet the cutter's curvature: the
// ring gear's pitch angle is the standard's starting value.
//
// Source: ISO 23509:2016, formula (11).
func (k Known) fitAtStart(d Design, taken []Assumption, cause error) (Set, []Assumption, error) {
	if d.Method != Hypoid || d.RingPitchAngle != 0 {
		return Set{}, taken, cause
	}
	u, dSigma := float64(d.Z2)/float64(d.Z1), d.ShaftAngle.Rad()-math.Pi/2
	d.RingPitchAngle = unit.Rad(math.Atan2(u*math.Cos(dSigma), 1.2*(1-u*math.Sin(dSigma)))) // (11)
	s, err := k.fit(d)
	if err != nil {
		return Set{}, taken, cause
	}
	for i := range taken {
		if taken[i].Name == assumedPitch {
			taken[i].PlusMinus, taken[i].Why = 6, "no pitch cones meet the cutter, so the starting value of ISO 23509 formula (11)"
		}
	}
	if k.CutterRadius == 0 {
		taken = append(taken, Assumption{"cutter radius", d.CutterRadius.MM(), 0.4 * d.CutterRadius.MM(), "mm",
			"the usual face mill nearest to the mean cone distance, from memory"})
	}
	return s, taken, nil
}
