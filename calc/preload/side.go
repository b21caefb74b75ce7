package preload

import (
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// SideShims is a preload shim split to the two side stacks.
type SideShims struct {
	Left, Right unit.Length // to be added, negative to be taken out
	// Shift is how far the split moves the carrier, positive to the right; backlash
	// follows it.
	Shift unit.Length
}

// SplitShims divides side preload (signed; −10 to 10 mm) to both stacks in whole
// steps of the thinnest leaf at hand (0 for any thickness): half each, and an odd
// step goes to the side that is named (extra "left" or "right").
//
// Derivation: a stack thicker by a on the left and b on the right presses the
// case open by a + b and moves the carrier by (a − b)/2 to the right.
func SplitShims(add, leaf unit.Length, extra string) (SideShims, error) {
	if err := sensible("side preload in mm", add.MM(), -10, 10); err != nil {
		return SideShims{}, err
	}
	if err := sensible("leaf in mm", leaf.MM(), 0, 10); err != nil {
		return SideShims{}, err
	}
	if extra != "left" && extra != "right" {
		return SideShims{}, fmt.Errorf("%w: the odd step goes left or right, not %q", ErrFigure, extra)
	}
	less, more := add/2, add/2
	if leaf > 0 {
		steps := math.Round(add.MM() / leaf.MM())
		less = leaf * unit.Length(math.Floor(math.Abs(steps)/2)*sign(steps))
		more = leaf*unit.Length(steps) - less
	}
	s := SideShims{Left: less, Right: more}
	if extra == "left" {
		s.Left, s.Right = more, less
	}
	s.Shift = (s.Left - s.Right) / 2
	return s, nil
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// SideNotches is side preload in whole notches of threaded adjusters.
type SideNotches struct {
	Left, Right int         // to be tightened, negative to be loosened
	Given       unit.Length // preload that these notches give
	Shift       unit.Length // how far they move the carrier, positive to the right
}

// SplitNotches gives the adjuster notches for a side preload (signed, −10 to
// 10 mm): pitch of the adjuster thread (0.5 to 5 mm) and notches in a turn (1 to
// 400). An odd notch goes to the side that is named.
//
// Derivation: one notch is pitch/notches of travel.
func SplitNotches(add, pitch unit.Length, notches int, extra string) (SideNotches, error) {
	if err := sensible("adjuster pitch in mm", pitch.MM(), 0.5, 5); err != nil {
		return SideNotches{}, err
	}
	if err := sensible("notches in a turn", float64(notches), 1, 400); err != nil {
		return SideNotches{}, err
	}
	per := pitch / unit.Length(notches)
	s, err := SplitShims(add, per, extra)
	if err != nil {
		return SideNotches{}, err
	}
	n := SideNotches{Left: int(math.Round(float64(s.Left / per))), Right: int(math.Round(float64(s.Right / per))), Shift: s.Shift}
	n.Given = per * unit.Length(n.Left+n.Right)
	return n, nil
}
