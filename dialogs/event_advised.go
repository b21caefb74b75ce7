package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
)

const (
	kindAdvised = "advised"
	kindBuilt   = "built"
)

// advised is a recommendation the assistant gave, so that the next reading can
// be held against what was predicted.
type advised struct {
	Advice
	Trial int `json:"trial"` // the trial it was computed from; 0 for the starting build, asFoundTrial for the axle as it came in
}

// asFoundTrial marks advice worked out from the as-found readings: an answer to a
// question, which the steps do not wait for.
const asFoundTrial = -1

func (advised) kind() string { return kindAdvised }

func (a advised) apply(j *Job, e Entry) {
	j.Advice = &Advised{Advice: a.Advice, Trial: a.Trial, entryMeta: metaOf(e)}
	if a.Verdict == Good {
		j.Finished = true
	}
}

// Advised is a recommendation on record.
type Advised struct {
	Advice
	Trial int
	Built bool // somebody said it is built
	entryMeta
}

// changes says whether the recommendation is something to build.
func (a Advised) changes() bool {
	return a.Verdict == advise.Change || a.Verdict == advise.Bracket
}

// built says that a recommended or instructed change is in the housing.
type built struct {
	Advice  uint64      `json:"advice"` // the entry it follows
	Pinion  unit.Length `json:"pinion_mm"`
	Left    unit.Length `json:"left_mm"`
	Right   unit.Length `json:"right_mm"`
	Preload unit.Length `json:"preload_mm,omitempty"`
	// LeftNotches and RightNotches are tightened positive.
	LeftNotches  float64 `json:"left_notches,omitempty"`
	RightNotches float64 `json:"right_notches,omitempty"`
	// Stacks known by the advice, set where the build had none on record.
	Stacks map[Slot]unit.Length `json:"stacks,omitempty"`
	// Totals is what stands afterwards, stack by stack. It counts before the
	// changes above: after a change that went the other way, the advice knew
	// better than the log what was in the housing.
	Totals map[Slot]unit.Length `json:"totals,omitempty"`
}

func (built) kind() string { return kindBuilt }

func (b built) apply(j *Job, e Entry) {
	j.startTrial(e)
	t := &j.Trials[len(j.Trials)-1].Build
	t.take("pinion", b.Pinion, 0)
	t.take("left", b.Left, b.LeftNotches)
	t.take("right", b.Right, b.RightNotches)
	t.take("preload_pack", b.Preload, 0)
	for slot, thickness := range b.Stacks {
		if s := t.stack(slot); s != nil && !s.Known {
			s.Known, s.Thickness = true, thickness
		}
	}
	for slot, thickness := range b.Totals {
		if s := t.stack(slot); s != nil {
			s.set(thickness)
		}
	}
	j.pinionOut(e.Seq, b.Pinion != 0, b.Preload != 0)
	if j.Advice != nil && j.Advice.Seq == b.Advice {
		j.Advice.Built = true
	}
	for i := range j.Instructions {
		if j.Instructions[i].Seq == b.Advice {
			j.Instructions[i].Done = true
		}
	}
}
