package lash

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// Dial is how the dial indicator stands on the ring gear.
type Dial struct {
	// Radius is the distance of the plunger from the ring gear's axis; zero takes
	// the ring gear's outside radius, where a dial usually stands (at the heel).
	Radius  unit.Length
	Plunger Plunger
}

// Plunger is the direction the dial's plunger lies in.
type Plunger int

// A plunger square to the tooth reads normal backlash, one along the direction
// of motion (along the circumference) reads transverse backlash.
const (
	SquareToTooth Plunger = iota
	AlongMotion
)

// Slopes is by how much the dial's reading closes for one unit of move: a ring
// move towards the pinion, a pinion move deeper. Both are positive on any set.
type Slopes struct {
	Ring   float64 // dial reading closed per unit of ring move
	Pinion float64 // dial reading closed per unit of pinion move
}

// ErrDial is wrapped by errors about a dial that cannot stand as stated.
var ErrDial = errors.New("the dial cannot stand there")

// SlopesOf gives the backlash sensitivities of a set at a dial, as plain numbers
// (mm per mm, thou per thou). They follow from the geometry at the mean point,
// to first order in the move; what a real set does differs by the ease-off of
// its flanks and by what of the geometry was assumed.
//
// It errs, wrapping ErrDial, where the dial's radius is not on the ring gear.
//
// Derivation: a move Δx of a member along its axis opens each flank by the part
// of it along the flank's normal; turned into rotation of the ring gear, the
// parts along the tooth cancel between the two flanks and leave
// Δj = Δx·(tan αnD + tan αnC)·sin δ/cos βm2 at the ring gear's mean radius, with
// the moved member's δ. It agrees with the relation jx = jt/(2·tan αt·sin δ) of
// equal flanks.
func SlopesOf(set gearset.Set, dial Dial) (Slopes, error) {
	reading, err := readingPerMean(set, dial)
	if err != nil {
		return Slopes{}, err
	}
	flanks := (math.Tan(set.AlphaD.Rad()) + math.Tan(set.AlphaC.Rad())) / math.Cos(set.Beta2.Rad())
	s := Slopes{
		Ring:   reading * flanks * math.Sin(set.Delta2.Rad()),
		Pinion: reading * flanks * math.Sin(set.Delta1.Rad()),
	}
	if !(s.Ring > 0 && s.Pinion > 0) || math.IsInf(s.Ring, 0) || math.IsInf(s.Pinion, 0) {
		return Slopes{}, fmt.Errorf("%w: the gear set has no backlash sensitivity", gearset.ErrGeometry)
	}
	return s, nil
}

// readingPerMean gives the dial's reading for one unit of mean transverse
// backlash.
func readingPerMean(set gearset.Set, dial Dial) (float64, error) {
	radius := dial.Radius
	if radius == 0 {
		radius = set.DialRadius
	}
	inner := set.InnerConeDistance2 * unit.Length(math.Sin(set.Delta2.Rad()))
	// A plunger may stand on the tooth from the toe to a little over the tip circle.
	if !(radius >= inner && radius <= 1.05*set.DialRadius) || !(inner > 0) {
		return 0, fmt.Errorf("%w: %s from the ring gear's axis, its teeth run from %s to %s", ErrDial,
			unit.Metric.Length(radius), unit.Metric.Length(inner), unit.Metric.Length(set.DialRadius))
	}
	k := float64(radius / set.MeanRadius2)
	if dial.Plunger == SquareToTooth {
		beta := set.SpiralAt(radius / unit.Length(math.Sin(set.Delta2.Rad())))
		k *= math.Cos(set.NormalAngle().Rad()) * math.Cos(beta.Rad()) // jn = jt·cos αn·cos β
	}
	return k, nil
}

// AtDial gives what a dial reads where a set has the backlash j of the given
// kind. It errs as SlopesOf does.
//
// Source: ISO 23509:2016, formulas (202) to (205), for the kinds; a dial's
// reading grows with its radius (derived).
func AtDial(set gearset.Set, dial Dial, j unit.Length, kind gearset.BacklashKind) (unit.Length, error) {
	reading, err := readingPerMean(set, dial)
	return set.ConvertBacklash(j, kind, gearset.MeanTransverse) * unit.Length(reading), err
}

// FromDial gives the backlash of the given kind where a dial reads the given
// reading. It errs as SlopesOf does.
func FromDial(set gearset.Set, dial Dial, reading unit.Length, kind gearset.BacklashKind) (unit.Length, error) {
	per, err := readingPerMean(set, dial)
	if err != nil {
		return 0, err
	}
	return set.ConvertBacklash(reading/unit.Length(per), gearset.MeanTransverse, kind), nil
}

// After predicts the reading after a ring move and a pinion move.
func (s Slopes) After(now, ring, pinion unit.Length) unit.Length {
	return now - unit.Length(s.Ring)*ring - unit.Length(s.Pinion)*pinion
}

// RingMove gives the ring move that takes the reading from now to want, with a
// pinion move made in the same step. Positive is towards the pinion.
func (s Slopes) RingMove(now, want, pinion unit.Length) unit.Length {
	return (now - want - unit.Length(s.Pinion)*pinion) / unit.Length(s.Ring)
}
