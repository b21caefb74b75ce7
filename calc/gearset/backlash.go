package gearset

import (
	"math"

	"shimwright/calc/unit"
)

// ConvertBacklash turns a backlash of one kind into another. Both are of the
// same play of the ring gear with the pinion held; j in mm, result in mm.
//
// Source: ISO 23509:2016, formulas (202) to (205): each kind of backlash takes
// the same thickness from the teeth, so that jmn = jmt2·cos αn·cos βm2,
// jen = jet2·cos αn·cos βe2 and jmt2 = jet2·Rm2/Re2 (derived from them, exact).
func (s Set) ConvertBacklash(j unit.Length, from, to BacklashKind) unit.Length {
	return unit.MM(j.MM() * s.meanNormalPer(from) / s.meanNormalPer(to))
}

// meanNormalPer gives the mean normal backlash that one unit of the kind is.
func (s Set) meanNormalPer(kind BacklashKind) float64 {
	alpha, beta := math.Cos(s.NormalAngle().Rad()), math.Cos(s.Beta2.Rad())
	inwards := float64(s.ConeDistance2 / s.OuterConeDistance2)
	switch kind {
	case MeanNormal:
		return 1
	case MeanTransverse:
		return alpha * beta // jmn = jmt2·cos αn·cos βm2
	case OuterNormal:
		return inwards * beta / math.Cos(s.Ring.SpiralOuter.Rad())
	default: // OuterTransverse
		return inwards * alpha * beta
	}
}

// SpiralAt gives the ring gear's spiral angle at a pitch cone distance between
// toe and heel; a distance outside the face takes the angle at the nearer end.
// Straight teeth have none anywhere.
//
// Source: ISO 23509:2016, formula (193), face milled (circular) tooth curve.
func (s Set) SpiralAt(cone unit.Length) unit.Angle {
	if s.CutterRadius == 0 {
		return 0
	}
	r := min(max(cone, s.InnerConeDistance2), s.OuterConeDistance2).MM()
	rm, rc := s.ConeDistance2.MM(), s.CutterRadius.MM()
	return unit.Rad(math.Asin((2*rm*rc*math.Sin(s.Beta2.Rad()) - rm*rm + r*r) / (2 * r * rc)))
}
