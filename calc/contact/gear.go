package contact

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Gear is the geometry the model needs of a ring gear and pinion with axes at
// right angles. Angles and depths are the ring gear's at the mean point of its
// pitch cone, as in ISO 23509 (its symbol stands behind each field).
type Gear struct {
	PinionTeeth int // z1
	RingTeeth   int // z2

	PitchAngle unit.Angle // δ2
	Spiral     unit.Angle // βm2, 0 to 60°
	// Generated normal pressure angles. In the usual arrangement drive is on the
	// ring gear's convex flank.
	PressureConvex  unit.Angle // αnD
	PressureConcave unit.Angle // αnC

	ConeDistance unit.Length // Rm2, apex to mean point
	FaceOuter    unit.Length // be2, mean point to heel along the pitch cone
	FaceInner    unit.Length // bi2, mean point to toe
	Offset       unit.Length // a, hypoid offset, 0 for spiral bevel
	CutterRadius unit.Length // rc0

	// BladeGroups is z0 of a face-hobbing cutter, 0 for face milling. It shapes
	// the tooth lengthwise (an epicycloid instead of a circle).
	BladeGroups int

	Addendum        unit.Length // ham2
	WorkingDedendum unit.Length // hfm2 − c: how far below the pitch cone the pinion's tip reaches
	AddendumAngle   unit.Angle  // θa2, 0 for uniform depth
	DedendumAngle   unit.Angle  // θf2, 0 for uniform depth

	DialRadius unit.Length // where a dial stands: half the outside diameter dae2

	// LeftHand is a ring gear of left-hand spiral; the usual axle has a
	// right-hand ring gear and a left-hand pinion. The results do not depend on it.
	LeftHand bool
	// ReverseCut makes the concave flank the drive side, as on high-pinion front
	// axles whose ring gear is cut the other way.
	ReverseCut bool
}

// UsualBladeGroups is z0 where a hobbed set's cutter is known by its radius only;
// 11 to 17 are usual (from memory).
const UsualBladeGroups = 13

// ErrGeometry is wrapped by every error that says the teeth cannot be as stated.
var ErrGeometry = errors.New("no such gear pair")

func impossible(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrGeometry, fmt.Sprintf(format, args...))
}

// within errs where v is outside its range; NaN is outside every range.
func within(name string, v, low, high float64) error {
	if v >= low && v <= high {
		return nil
	}
	return impossible("%s is %.4g, outside %g to %g", name, v, low, high)
}

// maxCutter is the largest cutter radius that is worked, mm.
const maxCutter = 2000

// check tests the ranges.
func (g Gear) check() error {
	for _, err := range []error{
		within("the number of pinion teeth", float64(g.PinionTeeth), 3, 200),
		within("the number of ring gear teeth", float64(g.RingTeeth), 8, 400),
		within("the ring gear's pitch angle in degrees", g.PitchAngle.Deg(), 30, 88),
		within("the ring gear's spiral angle in degrees", g.Spiral.Deg(), 0, 60),
		within("the pressure angle of the convex flank in degrees", g.PressureConvex.Deg(), 1, 45),
		within("the pressure angle of the concave flank in degrees", g.PressureConcave.Deg(), 1, 45),
		within("the mean cone distance in mm", g.ConeDistance.MM(), 5, 2000),
		within("the face width outside the mean point in mm", g.FaceOuter.MM(), 0.5, 500),
		within("the face width inside the mean point in mm", g.FaceInner.MM(), 0.5, 500),
		within("the offset in mm", g.Offset.MM(), 0, 500),
		within("the cutter radius in mm", g.CutterRadius.MM(), 5, maxCutter),
		within("the number of blade groups", float64(g.BladeGroups), 0, 40),
		within("the ring gear's addendum in mm", g.Addendum.MM(), 0.01, 100),
		within("the ring gear's working dedendum in mm", g.WorkingDedendum.MM(), 0.01, 100),
		within("the addendum angle in degrees", g.AddendumAngle.Deg(), -15, 15),
		within("the dedendum angle in degrees", g.DedendumAngle.Deg(), -15, 15),
		within("the dial's radius in mm", g.DialRadius.MM(), 5, 2000),
	} {
		if err != nil {
			return err
		}
	}
	if g.RingTeeth < g.PinionTeeth {
		return impossible("the ring gear has %d teeth, fewer than the pinion's %d", g.RingTeeth, g.PinionTeeth)
	}
	if g.FaceInner > g.ConeDistance*mostFace {
		return impossible("the face width nearly reaches the cone's apex")
	}
	return nil
}

// mostFace is the largest share of the mean cone distance that may be face width
// inside the mean point.
const mostFace = 0.8

// hand is +1 for a right-hand ring gear, −1 for a left-hand one.
func (g Gear) hand() float64 {
	if g.LeftHand {
		return -1
	}
	return 1
}

// ratio is u = z2/z1.
func (g Gear) ratio() float64 { return float64(g.RingTeeth) / float64(g.PinionTeeth) }

// pitchRadius is the ring gear's mean pitch radius in mm.
func (g Gear) pitchRadius() float64 {
	return g.ConeDistance.MM() * math.Sin(g.PitchAngle.Rad())
}

// pressure is the mean normal pressure angle, rad.
func (g Gear) pressure() float64 {
	return (g.PressureConvex + g.PressureConcave).Rad() / 2
}

// outerSpiral is the spiral angle at the heel, rad, in the developed pitch cone.
//
// Source: ISO 23509:2016, clause 7.6, spiral angle of face milled and face
// hobbed teeth: crown gear centre to cutter centre ρP0, epicycloid base circle
// ρb = ρP0/(1 + z0/zp), crown gear teeth zp = z2/sin δ2.
func (g Gear) outerSpiral() (float64, error) {
	a, rc, beta := g.ConeDistance.MM(), g.CutterRadius.MM(), g.Spiral.Rad()
	lead, err := g.lead()
	if err != nil {
		return 0, err
	}
	centre := math.Sqrt(a*a + rc*rc - 2*a*rc*math.Sin(beta-lead)) // ρP0
	base := centre / (1 + float64(g.BladeGroups)*math.Sin(g.PitchAngle.Rad())/float64(g.RingTeeth))
	outer := a + g.FaceOuter.MM()
	cos := (centre*centre + outer*outer - rc*rc) / (2 * centre * outer)
	if !(math.Abs(cos) < 1) {
		return 0, impossible("the cutter does not reach the heel")
	}
	return math.Atan2(outer-base*cos, base*math.Sqrt(1-cos*cos)), nil
}

// lead is the lead angle ν of a face-hobbing cutter, rad; 0 for face milling.
//
// Source: ISO 23509:2016, sin ν = z0·mmn/(2·rc0), with mmn = 2·rm2·cos βm2/z2.
func (g Gear) lead() (float64, error) {
	sin := float64(g.BladeGroups) / float64(g.RingTeeth) * g.pitchRadius() * math.Cos(g.Spiral.Rad()) / g.CutterRadius.MM()
	if !(sin < 0.9) {
		return 0, impossible("a cutter of %.1f mm cannot hold %d blade groups for these teeth", g.CutterRadius.MM(), g.BladeGroups)
	}
	return math.Asin(sin), nil
}
