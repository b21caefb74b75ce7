// Package advise turns what was read on the trial assemblies of an axle into the
// next change: which way and how far the pinion and the ring gear go, the shims
// or notches that make it, and what should be read afterwards. It knows the axle
// sheet and the calculations, and nothing of chats and logs.
package advise

import (
	"shimwright/calc/unit"
	"shimwright/rules"
)

// Gear moves: positive pinion is deeper (towards the ring gear centre line),
// positive ring is towards the pinion.

// Attempt is one trial assembly and what was read on it.
type Attempt struct {
	Pinion, Ring unit.Length // gear moves since the first attempt
	Stacks       Stacks      // what is in the housing, where known
	Backlash     []unit.Length
	Drive, Coast Mark
}

// Stacks are the shim stacks of a build; a stack nobody measured is not Known.
type Stacks struct {
	Pinion, Left, Right, Preload Stack
}

// Stack is the thickness of a stack.
type Stack struct {
	Known     bool
	Thickness unit.Length
	Leaves    []unit.Length // where known
}

// Mark is where a contact pattern lies: along −1 toe … +1 heel, across −1 root
// (flank) … +1 top (face). A direction nobody stated is not known.
type Mark struct {
	Along, Across           float64
	AlongKnown, AcrossKnown bool
}

// Known says whether anything was said about the pattern.
func (m Mark) Known() bool { return m.AlongKnown || m.AcrossKnown }

// Target is the old backlash and pattern that a used gear set goes back to.
type Target struct {
	Backlash     unit.Length // mean; 0 where it was not read
	Drive, Coast Mark
}

// Request is everything a recommendation is made of.
type Request struct {
	Sheet    *rules.Sheet
	Attempts []Attempt // in order; the last is in the housing
	Used     *Target   // nil for a new gear set
}

// Verdict is what a recommendation comes to.
type Verdict string

// The verdicts.
const (
	Good    Verdict = "good"    // limits, spread and pattern met: leave it
	Change  Verdict = "change"  // build the change
	Bracket Verdict = "bracket" // a deliberate step to learn which way it goes
	Cannot  Verdict = "cannot"  // no shim cures this
	More    Verdict = "more"    // more readings first
)

// Advice is a recommendation.
type Advice struct {
	Verdict Verdict     `json:"verdict"`
	Pinion  unit.Length `json:"pinion_move_mm"`
	Ring    unit.Length `json:"ring_move_mm"`

	// What changes in the housing: shims thicker positive, notches tightened
	// positive.
	PinionShim   unit.Length `json:"pinion_shim_mm"`
	Left         unit.Length `json:"left_mm"`
	Right        unit.Length `json:"right_mm"`
	Preload      unit.Length `json:"preload_mm,omitempty"`
	LeftNotches  float64     `json:"left_notches,omitempty"`
	RightNotches float64     `json:"right_notches,omitempty"`

	// Build is what stands in the housing after it, stack by stack ("pinion",
	// "left", "right", "preload"), where the present stack is known; Leaves are
	// the leaves of the kit that make it.
	Build  map[string]unit.Length   `json:"build_mm,omitempty"`
	Leaves map[string][]unit.Length `json:"leaves_mm,omitempty"`
	Misses map[string]unit.Length   `json:"misses_mm,omitempty"` // built − wanted, where the kit does not reach

	Backlash Interval `json:"backlash"` // predicted, at the place the sheet judges by
	Drive    Mark     `json:"drive"`    // predicted
	Coast    Mark     `json:"coast"`
	Chance   float64  `json:"chance,omitempty"` // of being inside limits after it; 0 where not computed

	Reason string   `json:"reason,omitempty"` // one line
	Causes []string `json:"causes,omitempty"` // cannot, more: what to look for
	Terms  []Term   `json:"terms,omitempty"`  // the computation, for why
}

// Interval is a predicted figure with its range.
type Interval struct {
	Mean unit.Length `json:"mean_mm"`
	Low  unit.Length `json:"low_mm"`
	High unit.Length `json:"high_mm"`
}

// Term is one line of a computation.
type Term struct {
	Name  string `json:"name"`
	Value string `json:"value"` // with its unit
}
