package advise

import (
	"fmt"
	"math"

	"shimwright/calc/gearset"
	"shimwright/rules"
)

// axle is what a sheet says about how readings answer to gear moves, per mm.
type axle struct {
	lashPinion, lashRing float64    // dial reading per mm of move
	pinion, ring         [4]float64 // pattern: drive along, drive across, coast along, coast across
}

// newAxle works the slopes out of a sheet.
//
// Source: the backlash slopes are those of the tooth flanks,
// Δj = Δx·(tan αD + tan αC)·sin δ / cos β, taken to the dial at the heel and to
// a plunger square to the tooth by ISO 23509:2016, formulas (202) to (205). The
// pattern's directions are common practice, no source.
func newAxle(s *rules.Sheet) (axle, error) {
	if s == nil {
		return axle{}, fmt.Errorf("no axle sheet")
	}
	set, err := gearset.Complete(gearset.Known{
		Z1: s.Pinion.Teeth, Z2: s.Ring.Teeth, OuterDiameter: s.Ring.OutsideDiameter,
		FaceWidth: s.Ring.FaceWidth, Offset: s.Ring.Offset, RingSpiral: s.Ring.Spiral,
		Pressure: s.Ring.Pressure, RingPitchAngle: s.Ring.PitchAngle, CutterRadius: s.Ring.Cutter,
		UniformDepth: s.Ring.Tooth == rules.FaceHobbed,
	})
	if err != nil {
		return axle{}, fmt.Errorf("sheet %s: %w", s.Name, err)
	}
	tans := math.Tan(set.AlphaD.Rad()) + math.Tan(set.AlphaC.Rad())
	heel := float64(set.ConvertBacklash(1, gearset.MeanTransverse, gearset.OuterNormal))
	a := axle{
		lashRing: -tans * math.Sin(set.Delta2.Rad()) / math.Cos(set.Beta2.Rad()) * heel,
		// The pinion's own transverse backlash, seen at the ring gear's mean radius.
		lashPinion: -tans * math.Sin(set.Delta1.Rad()) / math.Cos(set.Beta1.Rad()) * heel * math.Cos(set.Beta1.Rad()) / math.Cos(set.Beta2.Rad()),
		pinion:     [4]float64{-0.8, -1.6, +0.6, -1.6},
		ring:       [4]float64{-0.8, +0.15, -0.5, +0.15},
	}
	if s.Ring.Tooth == rules.FaceHobbed {
		a.pinion[0], a.pinion[2] = -0.3, +0.2
	}
	// Towards the pinion is "a bit lower".
	a.ring[1], a.ring[3] = -0.15, -0.15
	return a, nil
}
