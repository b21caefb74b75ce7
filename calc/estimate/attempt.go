package estimate

import (
	"fmt"
	"math"
	"slices"

	"shimwright/calc/unit"
)

// Attempt is one trial assembly and what was read on it.
type Attempt struct {
	Pinion, Ring unit.Length       // moves since the first attempt, as built
	Backlash     []unit.Length     // dial readings round the ring, any number
	Marks        [Coordinates]Mark // where the patterns lie
	Reseated     bool              // a bearing was changed or seated anew before it: positions start over
	Sure         bool              // the readings were taken again and stand
}

// Mark is one pattern coordinate as read.
type Mark struct {
	Known bool
	At    float64 // −1 … +1; a third's middle (±2/3, 0) where it was said in words
	Fine  bool    // a number was read, not a third of the tooth
}

// Bounds of what can be read at all; a figure outside is refused.
const (
	maxLash = unit.Length(10)  // mm
	maxMove = unit.Length(25)  // mm
	binding = unit.Length(.01) // mm; at or below it a reading only says that there is none
)

func (a Attempt) check(no int) error {
	for _, l := range a.Backlash {
		if !(l >= 0 && l <= maxLash) {
			return fmt.Errorf("%w: attempt %d has a backlash of %g mm, want 0 to %g mm", ErrAttempt, no, l.MM(), maxLash.MM())
		}
	}
	for _, m := range []unit.Length{a.Pinion, a.Ring} {
		if !(m.Abs() <= maxMove) {
			return fmt.Errorf("%w: attempt %d has a gear move of %g mm, want up to %g mm", ErrAttempt, no, m.MM(), maxMove.MM())
		}
	}
	for _, m := range a.Marks {
		if m.Known && !(math.Abs(m.At) <= 1) {
			return fmt.Errorf("%w: attempt %d has a pattern coordinate of %g, want −1 to 1", ErrAttempt, no, m.At)
		}
	}
	return nil
}

// third is the half width of the middle third of the tooth.
const third = 1. / 3

// Thirds of the tooth as words name them: everything beyond the middle third, off
// the tooth included, is its end.
func (m Mark) interval() (low, high float64) {
	switch {
	case m.At > third:
		return third, math.Inf(1)
	case m.At < -third:
		return math.Inf(-1), -third
	}
	return -third, third
}

// meanLash gives the mean reading and how far the tightest point is below it.
func meanLash(readings []unit.Length) (mean, below float64) {
	for _, l := range readings {
		mean += l.MM() / float64(len(readings))
	}
	return mean, mean - slices.Min(readings).MM()
}

// unbend takes a pattern's marked centre, which cannot leave the tooth, back to
// the straight coordinate that moves add up in, and gives how much an error
// grows by it. The centre follows x/(1+x⁴)^¼: straight in the middle half, bent
// towards the end of the tooth. Derivation: fitted by eye to the contact model,
// whose centroid leaves the straight line by a tenth at 0.7.
func unbend(y float64) (x, growth float64) {
	y = max(-0.9, min(0.9, y))
	rest := 1 - y*y*y*y
	return y / math.Pow(rest, 0.25), math.Pow(rest, -1.25)
}

// bend is the marked centre of a straight coordinate.
func bend(x float64) float64 {
	q := x * x
	return x / math.Sqrt(math.Sqrt(1+q*q))
}
