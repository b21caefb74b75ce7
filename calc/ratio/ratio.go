// Package ratio does the arithmetic of axle ratio, tyre and speed.
package ratio

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Pair is the tooth counts of a ring gear and pinion.
type Pair struct {
	Pinion, Ring int
}

// Timing says how the teeth of a pair meet.
type Timing string

// A hunting pair lets every pinion tooth meet every ring gear tooth; it can be
// put together in any position. A partly hunting and a non-hunting pair meet only
// part of them and must go together by their timing marks.
const (
	Hunting    Timing = "hunting"
	Partial    Timing = "partial"
	NonHunting Timing = "non-hunting"
)

// ErrFigure is wrapped by every error of this package.
var ErrFigure = errors.New("the figure cannot be right")

// New makes a pair; both counts must be 1 to 999 and the ring gear must have at
// least as many teeth as the pinion.
func New(pinion, ring int) (Pair, error) {
	if pinion < 1 || ring < pinion || ring > 999 {
		return Pair{}, fmt.Errorf("%w: %d pinion teeth and %d ring gear teeth", ErrFigure, pinion, ring)
	}
	return Pair{pinion, ring}, nil
}

// Ratio gives ring gear teeth over pinion teeth; 0 for a pair without teeth.
func (p Pair) Ratio() float64 {
	if p.Pinion == 0 {
		return 0
	}
	return float64(p.Ring) / float64(p.Pinion)
}

// Common gives the greatest common divisor of the tooth counts, which is the
// number of positions the pair can be assembled in that differ.
//
// Source: W. C. Foiles, Gear frequencies using the Euclidean algorithm.
func (p Pair) Common() int {
	a, b := p.Pinion, p.Ring
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Timing gives hunting where the tooth counts have no common divisor, non-hunting
// where the pinion's count divides the ring gear's, and partial otherwise.
//
// Source: W. C. Foiles, Gear frequencies using the Euclidean algorithm, for
// hunting; the other two words are common practice, no source.
func (p Pair) Timing() Timing {
	switch p.Common() {
	case 1:
		return Hunting
	case p.Pinion:
		return NonHunting
	}
	return Partial
}

// Marks says whether timing marks must be lined up.
func (p Pair) Marks() bool { return p.Timing() != Hunting }

// TurnsToRepeat gives the pinion turns after which the same teeth meet again:
// ring gear teeth over the common divisor; 0 for a pair without teeth.
//
// Source: calculator.academy, Hunting tooth frequency.
func (p Pair) TurnsToRepeat() int {
	if p.Common() == 0 {
		return 0
	}
	return p.Ring / p.Common()
}

// Meetings gives the tooth engagements after which the same teeth meet again, the
// least common multiple of the counts.
func (p Pair) Meetings() int { return p.TurnsToRepeat() * p.Pinion }

// Off gives how far the ratio of the pair is from an ordered one, as a part of it
// (0.01 is one in a hundred too high). It errs on an ordered ratio of nothing.
func (p Pair) Off(ordered float64) (float64, error) {
	if err := sensible("ordered ratio", ordered, 0.1, 100); err != nil {
		return 0, err
	}
	return p.Ratio()/ordered - 1, nil
}

// Exact factors: a mile is 1,609,344 mm; 60 minutes an hour.
const (
	mmPerMile = 1609344.0
	mmPerKM   = 1e6
)

// TurnsPerMile gives wheel turns a mile for a rolling diameter.
//
// Source: rev/mile = 63360/(π·D), D in inches.
func TurnsPerMile(diameter unit.Length) (float64, error) {
	if err := sensible("tyre diameter in mm", diameter.MM(), 50, 5000); err != nil {
		return 0, err
	}
	return mmPerMile / (math.Pi * diameter.MM()), nil
}

// Speed is a road speed in millimetres a minute; make it with MPH or KMH.
type Speed float64

// MPH makes a speed from miles an hour.
func MPH(v float64) Speed { return Speed(v * mmPerMile / 60) }

// KMH makes a speed from kilometres an hour.
func KMH(v float64) Speed { return Speed(v * mmPerKM / 60) }

// MPH gives the speed in miles an hour.
func (s Speed) MPH() float64 { return float64(s) * 60 / mmPerMile }

// KMH gives the speed in kilometres an hour.
func (s Speed) KMH() float64 { return float64(s) * 60 / mmPerKM }

// Wheel gives the wheel's speed in turns a minute at a road speed.
//
// Source: 0xff.com, formulas: wheel rpm = (mph/60)·5280/(rollout/12).
func Wheel(road Speed, diameter unit.Length) (float64, error) {
	if err := sensible("tyre diameter in mm", diameter.MM(), 50, 5000); err != nil {
		return 0, err
	}
	if err := sensible("speed in km/h", road.KMH(), 0, 1000); err != nil {
		return 0, err
	}
	return float64(road) / (math.Pi * diameter.MM()), nil
}

// Engine gives the engine's speed in turns a minute: wheel × axle × gear, where
// gear is the gearbox's ratio (1 for direct). The pinion turns at Engine with a
// gear of 1.
func Engine(road Speed, diameter unit.Length, axle, gear float64) (float64, error) {
	wheel, err := Wheel(road, diameter)
	if err != nil {
		return 0, err
	}
	for name, r := range map[string]float64{"axle ratio": axle, "gear ratio": gear} {
		if err := sensible(name, r, 0.1, 100); err != nil {
			return 0, err
		}
	}
	return wheel * axle * gear, nil
}

// Road gives the road speed at an engine speed in turns a minute.
func Road(engine float64, diameter unit.Length, axle, gear float64) (Speed, error) {
	per, err := Engine(KMH(1), diameter, axle, gear)
	if err != nil {
		return 0, err
	}
	if err := sensible("engine speed in turns a minute", engine, 0, 50000); err != nil {
		return 0, err
	}
	return KMH(engine / per), nil
}

// Effective gives the axle ratio that would feel as the pair does after a change
// of tyre: ratio × old diameter / new diameter.
func Effective(axle float64, was, is unit.Length) (float64, error) {
	factor, err := Speedometer(axle, axle, was, is)
	return axle / factor, err
}

// Speedometer gives the true road speed over the shown one, after a change of
// axle ratio and tyre, for a speedometer that is driven from ahead of the axle and
// was right before: (old ratio/new ratio)·(new diameter/old diameter).
func Speedometer(wasRatio, isRatio float64, was, is unit.Length) (float64, error) {
	for _, f := range []struct {
		name           string
		v, least, most float64
	}{
		{"old ratio", wasRatio, 0.1, 100}, {"new ratio", isRatio, 0.1, 100},
		{"old tyre diameter in mm", was.MM(), 50, 5000}, {"new tyre diameter in mm", is.MM(), 50, 5000},
	} {
		if err := sensible(f.name, f.v, f.least, f.most); err != nil {
			return 1, err
		}
	}
	return wasRatio / isRatio * float64(is/was), nil
}

// AxleFor gives the axle ratio that turns the engine at a speed (turns a minute, 1
// to 50,000) at a road speed above nothing, with a tyre and a gearbox ratio.
//
// Derivation: Engine solved for the axle.
func AxleFor(engine float64, road Speed, diameter unit.Length, gear float64) (float64, error) {
	if err := sensible("speed in km/h", road.KMH(), 1, 1000); err != nil {
		return 0, err
	}
	if err := sensible("engine speed in turns a minute", engine, 1, 50000); err != nil {
		return 0, err
	}
	per, err := Engine(road, diameter, 1, gear)
	if err != nil {
		return 0, err
	}
	return engine / per, nil
}

// Restored gives the axle ratio that makes up for a change of tyre: ratio × new
// diameter / old diameter.
//
// Derivation: Effective solved for the axle.
func Restored(axle float64, was, is unit.Length) (float64, error) {
	factor, err := Speedometer(axle, axle, was, is)
	return axle * factor, err
}

func sensible(name string, v, least, most float64) error {
	if v >= least && v <= most {
		return nil
	}
	return fmt.Errorf("%w: %s is %.4g, outside %g to %g", ErrFigure, name, v, least, most)
}
