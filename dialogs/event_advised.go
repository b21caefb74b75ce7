package dialogs

import (
	"cmp"
	"slices"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/phrase"
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
	// Language is what its words are in where that is not English.
	Language phrase.Language `json:"language,omitempty"`
}

// asFoundTrial marks advice worked out from the as-found readings: an answer to a
// question, which the steps do not wait for.
const asFoundTrial = -1

func (advised) kind() string { return kindAdvised }

func (a advised) apply(j *Job, e Entry) {
	j.Advice = &Advised{Advice: a.Advice, Trial: a.Trial, Language: a.Language, entryMeta: metaOf(e)}
	if a.Verdict == Good {
		j.Finished = true
	}
}

// Advised is a recommendation on record.
type Advised struct {
	Advice
	Trial    int
	Built    bool            // somebody said it is built
	Language phrase.Language // what its words are in; empty for English
	entryMeta
}

// changes says whether the recommendation is something to build.
func (a Advised) changes() bool {
	return a.Verdict == advise.Change || a.Verdict == advise.Bracket
}

// foreign gives the language of who is answered where it is not English.
func (t *turn) foreign() phrase.Language {
	if l := t.voice.words.Language; l != phrase.English {
		return l
	}
	return ""
}

// inOwnWords gives a recommendation on record in the language of who is answered:
// said once more where it was said in another and still stands, else as it is.
func (t *turn) inOwnWords(a *Advised) Advice {
	if t.voice.words.Language == cmp.Or(a.Language, phrase.English) {
		return a.Advice
	}
	said := a.Advice
	if a.Trial == 0 {
		if shim, from, err := t.startFrom(); err == nil {
			said.Reason = t.sumLine(t.voice.words, from, shim)
			said.Terms = slices.Clone(a.Terms)
			for i := range said.Terms {
				said.Terms[i].Name = termName(t.voice.words, said.Terms[i].Name)
			}
		}
		return said
	}
	if t.job.Advice == nil || t.job.Advice.Seq != a.Seq || !t.job.adviceStands() {
		return said
	}
	again, err := t.desk.Advise(t.request())
	if err == nil && again.Verdict == a.Verdict && again.Pinion == a.Pinion && again.Ring == a.Ring {
		said.Reason, said.Terms, said.Causes = again.Reason, again.Terms, again.Causes
	}
	return said
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
