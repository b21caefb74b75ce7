package dialogs

import (
	"cmp"
	"time"
)

// slack is how long after the answer to one look a plain word of another mentor may
// still mean that look.
const slack = time.Minute

// binding is what an answer of a mentor is about.
type binding struct {
	look  Review // what was asked for; zero where nobody asked
	sh    shown  // the step as it stands now
	stale bool   // it does not stand as it was shown any more
}

// bind finds the look an answer means: the one it names by number, else the one the
// mentor must have been shown, judged by when the answer was written and not by when
// it came in. Where that is in doubt, it says so and gives false.
func (t *turn) bind() (binding, bool) {
	looks := t.job.looks()
	if n := cmp.Or(t.u.Look, t.said.Shown); n > 0 { // a card in private is the only one its reader saw
		for _, l := range looks {
			if l.Look == n {
				return t.bound(l), true
			}
		}
		t.tell(t.text("review.no_such_look", "n", n))
		return binding{}, false
	}
	var past []Review
	for _, l := range looks {
		if !l.At.After(t.said.At) {
			past = append(past, l)
		}
	}
	if len(past) == 0 {
		if len(looks) > 0 {
			t.tell(t.text("review.before_the_look", "n", looks[len(looks)-1].Look))
			return binding{}, false
		}
		return t.unasked()
	}
	last := past[len(past)-1]
	if a := t.job.answered(last.Look); a != nil && t.movedOnFrom(last) {
		return t.unasked()
	}
	if len(past) > 1 && t.inDoubt(past[len(past)-2], last) {
		t.tell(t.text("review.which_look", "n", last.Look))
		return binding{}, false
	}
	return t.bound(last), true
}

func (t *turn) bound(look Review) binding {
	sh, ok := shownAt(t.sheet, t.job, look.Step)
	return binding{look: look, sh: sh, stale: !ok || sh.asOf(t.job, look.Seq).digest() != look.Digest}
}

// inDoubt says whether a word without a number may mean the look before the last
// one: where nobody had answered it when the last one came, or another mentor just did.
func (t *turn) inDoubt(before, last Review) bool {
	for i := len(t.job.Reviews) - 1; i >= 0; i-- {
		r := t.job.Reviews[i]
		if r.Look != before.Look || r.Decision == reviewRequest || r.Decision == reviewReply {
			continue
		}
		if r.By == t.said.By.Name {
			return false
		}
		if r.Decision == reviewApprove || r.Decision == reviewRedo {
			return t.said.At.Sub(last.At) < slack
		}
	}
	return true
}

// movedOnFrom says whether the job has other figures than an answered look showed,
// for which nobody has asked for one.
func (t *turn) movedOnFrom(look Review) bool {
	sh, ok := latestShown(t.sheet, t.job)
	return ok && sh.asOf(t.job, look.Seq).digest() != look.Digest
}

// unasked is the binding of a word on what is on record, where nobody asked for a
// look: whoever wrote it has read the chat up to then and nothing later.
func (t *turn) unasked() (binding, bool) {
	sh, ok := latestShown(t.sheet, t.job)
	if !ok {
		t.tell(t.text("review.nothing_yet"))
		return binding{}, false
	}
	b := binding{sh: sh}
	for _, e := range sh.entries {
		b.stale = b.stale || e.At.After(t.said.At)
	}
	if sh.advice != nil {
		b.stale = b.stale || sh.advice.At.After(t.said.At)
	}
	return b, true
}
