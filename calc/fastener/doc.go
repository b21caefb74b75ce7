// Package fastener does the arithmetic of bolts and nuts: stress area, proof and
// clamp load, tightening torque, and the torque wrench with an extension on it.
//
// Figures of the axle's service manual win over everything computed here: a
// maker's figure knows the joint, this arithmetic only knows the bolt.
package fastener

import (
	"errors"
	"fmt"
)

// ErrFigure is wrapped by every error about a figure that cannot be right.
var ErrFigure = errors.New("the figure cannot be right")

func sensible(name string, v, least, most float64) error {
	if v >= least && v <= most {
		return nil
	}
	return fmt.Errorf("%w: %s is %.4g, outside %.4g to %.4g", ErrFigure, name, v, least, most)
}
