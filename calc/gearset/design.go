package gearset

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Design is the full set of data the standard starts from (its tables 2 and 3,
// data type II). All angles are unit.Angle, all lengths unit.Length.
type Design struct {
	Method     Method
	Z1, Z2     int         // tooth counts, at least 3, Z2 not below Z1
	ShaftAngle unit.Angle  // Σ, between 0 and 180°
	Offset     unit.Length // a, 0 for SpiralBevel, positive for Hypoid

	PitchDiameter unit.Length // de2, outer pitch diameter of the ring gear
	FaceWidth     unit.Length // b2, of the ring gear

	RingSpiral   unit.Angle  // βm2, SpiralBevel only; 0 with no cutter is a straight bevel set
	PinionSpiral unit.Angle  // βm1 wanted, Hypoid only
	CutterRadius unit.Length // rc0
	// RingPitchAngle is δ2 where it is known, Hypoid only. Where it is zero the
	// pitch cones are those whose limit curvature equals the cutter radius, which
	// is the standard's condition.
	RingPitchAngle unit.Angle

	DesignAngleD, DesignAngleC unit.Angle // αdD, αdC, design pressure angles
	LimitInfluence             float64    // fαlim, 0 to 1; 1 balances both flanks about the limit angle

	AddendumFactor  float64 // cham, share of the working depth that is ring gear addendum
	DepthFactor     float64 // kd, usually 2
	ClearanceFactor float64 // kc, usually 0.125
	ThicknessFactor float64 // kt

	Taper         Taper
	AddendumAngle unit.Angle // θa2, GivenTaper only
	DedendumAngle unit.Angle // θf2, GivenTaper only

	Backlash   unit.Length
	BacklashAs BacklashKind
}

// BacklashKind says where and in which direction a backlash is meant. Outer is at
// the heel of the ring gear, normal is square to the tooth, transverse along the
// direction of motion.
type BacklashKind int

// The four backlashes of the standard.
const (
	OuterTransverse BacklashKind = iota // jet2
	OuterNormal                         // jen
	MeanTransverse                      // jmt2
	MeanNormal                          // jmn
)

// Taper says how the ring gear's addendum and dedendum angles are found.
type Taper int

// The depthwise tapers of annex C.5.
const (
	GivenTaper        Taper = iota // θa2 and θf2 as given
	UniformDepth                   // both zero, the usual form of face hobbed teeth
	StandardTaper                  // tooth depth grows with the cone distance
	ConstantSlotWidth              // both members cut by a spread-blade (duplex) cutter
	ModifiedSlotWidth              // the smaller of constant slot width and 1.3 × standard (tilted root line)
)

// ErrGeometry is wrapped by every error that says the teeth cannot be as stated.
var ErrGeometry = errors.New("no such gear set")

// impossible makes an ErrGeometry with its reason in one sentence.
func impossible(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrGeometry, fmt.Sprintf(format, args...))
}

// Dimensions works out a gear set from full design data. Results carry the
// rounding of float64 only; the pitch cones of a hypoid set are iterated until
// the limit curvature meets the cutter radius within CurvatureTolerance.
//
// It errs, wrapping ErrGeometry, where a value is out of its range, where no
// pitch cones satisfy the conditions, or where a derived quantity is impossible
// (a spiral angle past 90° at the heel, a root circle of no radius). Nothing it
// returns is NaN or infinite.
//
// Source: ISO 23509:2016, clauses 6.2.1, 6.2.2 and 7, annex C.5.
func Dimensions(d Design) (Set, error) {
	if err := d.check(); err != nil {
		return Set{}, err
	}
	var cones pitchCones
	var err error
	if d.Method == SpiralBevel {
		cones, err = d.bevelCones()
	} else {
		cones, err = d.hypoidCones()
	}
	if err != nil {
		return Set{}, err
	}
	s, err := d.blanks(cones)
	if err != nil {
		return Set{}, err
	}
	return s, s.check()
}

// check tests the ranges of the design data; NaN fails every range.
func (d Design) check() error {
	within := func(name string, v, low, high float64) error {
		if v >= low && v <= high {
			return nil
		}
		return impossible("%s is %.4g, outside %.4g to %.4g", name, v, low, high)
	}
	positive := func(name string, v unit.Length) error {
		return within(name+" in mm", v.MM(), 1e-3, 1e4)
	}
	errs := []error{
		positive("the outer pitch diameter", d.PitchDiameter),
		positive("the face width", d.FaceWidth),
		within("the shaft angle in degrees", d.ShaftAngle.Deg(), 1, 179),
		within("the design pressure angle, drive, in degrees", d.DesignAngleD.Deg(), 1, 45),
		within("the design pressure angle, coast, in degrees", d.DesignAngleC.Deg(), 1, 45),
		within("the influence of the limit angle", d.LimitInfluence, 0, 1),
		within("the addendum factor", d.AddendumFactor, 0, 1),
		within("the depth factor", d.DepthFactor, 0.1, 5),
		within("the clearance factor", d.ClearanceFactor, 0, 1),
		within("the thickness factor", d.ThicknessFactor, -2, 2),
		within("the addendum angle in degrees", d.AddendumAngle.Deg(), -30, 30),
		within("the dedendum angle in degrees", d.DedendumAngle.Deg(), -30, 30),
		within("the backlash in mm", d.Backlash.MM(), 0, 10),
	}
	switch d.Method {
	case SpiralBevel:
		errs = append(errs, within("the offset in mm", d.Offset.MM(), 0, 0),
			within("the ring gear spiral angle in degrees", d.RingSpiral.Deg(), 0, 70))
		if d.RingSpiral != 0 || d.CutterRadius != 0 {
			errs = append(errs, positive("the cutter radius", d.CutterRadius))
		}
	case Hypoid:
		errs = append(errs, positive("the offset", d.Offset),
			within("the wanted pinion spiral angle in degrees", d.PinionSpiral.Deg(), 1, 80),
			within("the ring gear pitch angle in degrees", d.RingPitchAngle.Deg(), 0, 89),
			positive("the cutter radius", d.CutterRadius))
	default:
		errs = append(errs, impossible("method %d is not worked here, only 0 and 1", d.Method))
	}
	if d.Z1 < 3 || d.Z2 < d.Z1 || d.Z2 > 400 {
		errs = append(errs, impossible("%d/%d teeth: the pinion needs 3 or more, the ring gear as many or more, up to 400", d.Z1, d.Z2))
	}
	if d.Taper < GivenTaper || d.Taper > ModifiedSlotWidth {
		errs = append(errs, impossible("taper %d is not known", d.Taper))
	}
	if d.BacklashAs < OuterTransverse || d.BacklashAs > MeanNormal {
		errs = append(errs, impossible("backlash kind %d is not known", d.BacklashAs))
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// check tests that a finished set holds only finite numbers and sizes a blank
// can have.
func (s Set) check() error {
	for _, v := range []float64{
		s.MeanRadius1.MM(), s.MeanRadius2.MM(), s.MeanNormalModule.MM(), s.WorkingDepth.MM(),
		s.InnerConeDistance1.MM(), s.InnerConeDistance2.MM(),
		s.Pinion.InnerRootDiameter.MM(), s.Ring.InnerRootDiameter.MM(),
		s.Pinion.Thickness.MM(), s.Ring.Thickness.MM(), s.Pinion.FaceWidth.MM(),
	} {
		if !(v > 0) || math.IsInf(v, 0) {
			return impossible("a radius, depth or thickness comes out as %.3g mm; check tooth counts, diameter, face width and offset", v)
		}
	}
	for _, b := range []Blank{s.Pinion, s.Ring} {
		for _, v := range []float64{
			float64(b.FaceAngle), float64(b.RootAngle), float64(b.SpiralOuter), float64(b.SpiralInner),
			float64(b.FaceApexBeyond), float64(b.RootApexBeyond), float64(b.ChordalThickness), float64(b.ChordalAddendum),
			float64(b.OuterDepth), float64(b.InnerDepth), float64(b.CrossingToCrown), float64(b.CrossingToFrontCrown),
		} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return impossible("the blank cannot be closed; check tooth counts, diameter, face width and offset")
			}
		}
	}
	for _, a := range []unit.Angle{s.AlphaD, s.AlphaC} {
		if !(a.Deg() > 0 && a.Deg() < 60) {
			return impossible("a flank's pressure angle comes out as %.1f°", a.Deg())
		}
	}
	return nil
}
