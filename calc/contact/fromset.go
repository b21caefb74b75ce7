package contact

import (
	"fmt"
	"math"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// Limits of the agreement between a set's own pitch cones and the pinion axis
// this package places from the ring gear's alone.
const (
	pinionAngleTolerance  = 1e-4 // rad
	pinionRadiusTolerance = 1e-3 // share
)

// FromSet takes the model's geometry from a gear set. It errs, wrapping
// ErrGeometry, where the axes are not at right angles or the set's pinion is not
// the one its ring gear, offset and tooth counts ask for.
func FromSet(s gearset.Set) (Gear, error) {
	if math.Abs(s.ShaftAngle.Deg()-90) > 1e-6 {
		return Gear{}, impossible("the axes are at %.3f°; only 90° is worked", s.ShaftAngle.Deg())
	}
	g := Gear{
		PinionTeeth: s.Z1, RingTeeth: s.Z2,
		PitchAngle: s.Delta2, Spiral: s.Beta2,
		PressureConvex: s.AlphaD, PressureConcave: s.AlphaC,
		ConeDistance: s.ConeDistance2,
		FaceOuter:    s.Ring.FaceOuter, FaceInner: s.Ring.FaceInner,
		Offset: s.Offset, CutterRadius: s.CutterRadius,
		Addendum:        s.Ring.MeanAddendum,
		WorkingDedendum: s.Ring.MeanDedendum - s.Clearance,
		AddendumAngle:   s.Ring.AddendumAngle, DedendumAngle: s.Ring.DedendumAngle,
		DialRadius: s.DialRadius,
	}
	if g.CutterRadius == 0 { // straight teeth: a cutter so large that its arc is a line
		g.CutterRadius = unit.MM(maxCutter)
	}
	if err := g.check(); err != nil {
		return Gear{}, err
	}
	p, err := g.place()
	if err != nil {
		return Gear{}, err
	}
	if math.Abs(p.pinionPitch-s.Delta1.Rad()) > pinionAngleTolerance ||
		math.Abs(p.pinionSpiral-s.Beta1.Rad()) > pinionAngleTolerance ||
		math.Abs(p.pinionRadius/s.MeanRadius1.MM()-1) > pinionRadiusTolerance {
		return Gear{}, fmt.Errorf("%w: the set's pinion (pitch angle %.3f°, spiral %.3f°, mean radius %.3f mm) is not the one its ring gear asks for (%.3f°, %.3f°, %.3f mm)",
			ErrGeometry, s.Delta1.Deg(), s.Beta1.Deg(), s.MeanRadius1.MM(),
			p.pinionPitch*180/math.Pi, p.pinionSpiral*180/math.Pi, p.pinionRadius)
	}
	return g, nil
}
