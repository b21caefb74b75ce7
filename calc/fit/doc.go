// Package fit does the arithmetic of fits made with heat or cold: clearance by
// temperature, the temperature for a wanted clearance, what heat does to a
// hardened gear or a bearing, and how long a hot part takes to become touchable.
//
// Sizes and interferences stand for 20 °C, the reference temperature of ISO 1.
package fit

import (
	"errors"
	"fmt"

	"shimwright/calc/unit"
)

// ErrFigure is wrapped by every error about a figure that cannot be right.
var ErrFigure = errors.New("the figure cannot be right")

// Reference is the temperature that drawings and micrometers mean. Source: ISO 1.
const Reference = unit.Temperature(20)

func sensible(name string, v, least, most float64) error {
	if v >= least && v <= most {
		return nil
	}
	return fmt.Errorf("%w: %s is %.4g, outside %.4g to %.4g", ErrFigure, name, v, least, most)
}
