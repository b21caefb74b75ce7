package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
)

// Stack is the thickness of one shim stack, or only how far it has changed where
// nobody said how thick it was.
type Stack struct {
	Known     bool
	Thickness unit.Length
	Change    unit.Length // since the first trial
}

func (s *Stack) add(d unit.Length) {
	s.Change += d
	if s.Known {
		s.Thickness += d
	}
}

// set records a measured thickness: a change where the old one was known.
func (s *Stack) set(t unit.Length) {
	if s.Known {
		s.Change += t - s.Thickness
	}
	s.Known, s.Thickness = true, t
}

// Build is what is in the housing: the stacks, or the adjusters' notches since
// the first trial (tightened is positive).
type Build struct {
	Pinion, Left, Right, Preload Stack
	LeftNotches, RightNotches    float64
	// Taller is how much more the head bearing stands than the setup bearing of the
	// trials, once the final one is in: it pushes the pinion deeper in every
	// construction.
	Taller unit.Length
}

// take adds d and n to the named stack; stock and unknown places take nothing.
func (b *Build) take(place string, d unit.Length, n float64) {
	switch place {
	case "left":
		b.Left.add(d)
		b.LeftNotches += n
	case "right":
		b.Right.add(d)
		b.RightNotches += n
	case "pinion":
		b.Pinion.add(d)
	case "preload_pack":
		b.Preload.add(d)
	}
}

// stack gives the stack a slot speaks of, nil for any other slot.
func (b *Build) stack(s Slot) *Stack {
	switch s {
	case BuildPinion, FinalPinion:
		return &b.Pinion
	case BuildLeft, FinalLeft:
		return &b.Left
	case BuildRight, FinalRight:
		return &b.Right
	case BuildPreload, FinalPack:
		return &b.Preload
	}
	return nil
}

// Trial is one trial assembly: what was built, and what was read on it.
type Trial struct {
	No    int
	Build Build
	// Gear moves since the first trial are in the build's changes; see positions.
	Backlash *Reading
	Drive    *Reading
	Coast    *Reading
	Drag     *Reading
	Began    uint64 // the entry that began it
	Final    bool   // the final assembly: pressed bearings, seal, preload
	Twice    advise.Twice
}

// mark files a pattern of the trial, and whether it was read before and the same.
func (t *Trial) mark(r *Reading) {
	have, twice := &t.Drive, &t.Twice.Drive
	if r.What == listen.PatternCoast {
		have, twice = &t.Coast, &t.Twice.Coast
	}
	*twice = *have != nil && (*have).Message != r.Message && alike((*have).Along, r.Along) && alike((*have).Across, r.Across)
	*have = r
}

// alike says whether two words for where a pattern lies do not gainsay each other.
func alike(a, b string) bool { return a == b || a == "" || b == "" }

// round files backlash of the trial, and whether a whole round was read before.
func (t *Trial) round(r Reading) {
	t.Twice.Lash = t.Backlash != nil && t.Backlash.Message != r.Message && len(r.Values) >= len(t.Backlash.Values)
	t.Backlash = merge(t.Backlash, r)
}

// read says whether anything was read on the trial yet.
func (t Trial) read() bool { return t.Backlash != nil || t.Drive != nil || t.Coast != nil }
