// Package preload does the arithmetic of bearing preload: drag from a string and
// scale, pinion and total drag, what to expect with new or used bearings and with
// or without the seal, the change of a preload pack, side preload in shims or
// notches, and the approach to the wanted drag with a crush sleeve.
//
// Drag is rotating torque at the pinion, read while it turns steadily and not as
// it breaks away.
package preload

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// ErrFigure is wrapped by every error about a figure that cannot be right.
var ErrFigure = errors.New("the figure cannot be right")

// Band is a range of torques, both ends inside.
type Band struct {
	Low, High unit.Torque
}

// Verdict is where a reading lies against a band.
type Verdict string

// The verdicts.
const (
	Under  Verdict = "under"
	Inside Verdict = "inside"
	Over   Verdict = "over"
)

// hair is the part of a reading that rounding of units may take: 18 in·lbf typed
// as 2.034 N·m is still 18.
const hair = 5e-4

// Judge says where a drag lies. Ends count as inside, to within the rounding of a
// unit conversion (5 parts in ten thousand).
func (b Band) Judge(drag unit.Torque) Verdict {
	switch {
	case float64(drag) < float64(b.Low)*(1-hair):
		return Under
	case float64(drag) > float64(b.High)*(1+hair):
		return Over
	}
	return Inside
}

// Middle gives the middle of the band.
func (b Band) Middle() unit.Torque { return (b.Low + b.High) / 2 }

func (b Band) check(name string) error {
	if err := sensible(name+" low end in N·m", float64(b.Low), 0, mostTorque); err != nil {
		return err
	}
	return sensible(name+" high end in N·m", float64(b.High), float64(b.Low), mostTorque)
}

// Bounds a figure must lie in to be taken for a drag, a nut torque or a radius.
const (
	mostTorque = 5000.0 // N·m
	mostForce  = 20000.0
	mostLength = 2000.0 // mm
)

func sensible(name string, v, least, most float64) error {
	if v >= least && v <= most {
		return nil
	}
	return fmt.Errorf("%w: %s is %.4g, outside %.4g to %.4g", ErrFigure, name, v, least, most)
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
