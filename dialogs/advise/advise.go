// Package advise turns what was read on the trial assemblies of an axle into the
// next change: which way and how far the pinion and the ring gear go, the shims
// or notches that make it, and what should be read afterwards. It knows the axle
// sheet and the calculations, and nothing of chats and logs.
package advise

import (
	"shimwright/calc/estimate"
	"shimwright/calc/unit"
	"shimwright/dialogs/phrase"
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
	Reseated     bool // a bearing was changed or seated anew before it: positions start over
	Sure         bool // its readings were taken again and stand
	Twice        Twice
}

// Twice is what of an assembly was read again and read the same.
type Twice struct {
	Lash, Drive, Coast bool
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
	AlongFine, AcrossFine   bool // a number was read, not a third of the tooth
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
	// Units and Words are the reader's; without them it is said in the sheet's units
	// and in English.
	Units unit.System
	Words phrase.Speaker

	// Alone says that nobody can be asked to read or paint this assembly again, so
	// that a second reading costs an assembly: doubtful readings lead to a change
	// sooner, and only what reads good is called good.
	Alone bool

	Memory *estimate.Memory // what the shop's finished jobs on this sheet say; nil leaves it out
	Final  *FinalBearings   // nil where nothing is known of them yet
}

// FinalBearings is what will be different once the setup bearings are replaced.
type FinalBearings struct {
	HeadTaller unit.Length // final pinion head bearing's stand height less the setup bearing's
	RingShift  unit.Length // what the side preload moves the ring gear, + towards the pinion
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
	Round    Interval `json:"round"`    // predicted, the mean round the ring
	Drive    Mark     `json:"drive"`    // predicted
	Coast    Mark     `json:"coast"`
	Chance   float64  `json:"chance,omitempty"` // of being inside limits after it; 0 where not computed

	Again Twice `json:"-"` // of a More: what was read already and is to be read again

	// DriveSpan and CoastSpan are where eight predictions in ten hold.
	DriveSpan Span   `json:"drive_span,omitzero"`
	CoastSpan Span   `json:"coast_span,omitzero"`
	Final     *Final `json:"final,omitempty"` // where the final bearings are known
	Doubt     string `json:"doubt,omitempty"` // the reading that does not fit the others, to be taken again before building
	Jobs      int    `json:"jobs,omitempty"`  // finished jobs of the shop behind the figures

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

// Span is the range of a predicted pattern's centre.
type Span struct {
	AlongLow   float64 `json:"along_low"`
	AlongHigh  float64 `json:"along_high"`
	AcrossLow  float64 `json:"across_low"`
	AcrossHigh float64 `json:"across_high"`
}

// Final is what final bearings and side preload will do to this build.
type Final struct {
	Shim     unit.Length `json:"pinion_shim_mm"` // change of the pinion shim that makes up for the head bearing
	Backlash Interval    `json:"backlash"`       // with that change made
	AsIs     Interval    `json:"backlash_as_is"` // without it
}

// Term is one line of a computation.
type Term struct {
	Name  string `json:"name"`
	Value string `json:"value"` // with its unit
}
