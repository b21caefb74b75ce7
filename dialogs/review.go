package dialogs

import (
	"slices"
	"strings"

	"shimwright/dialogs/listen"
)

// review files a mentor's word, or somebody's wish for one. Whoever has no right to
// it is told so, and nothing is filed.
func (t *turn) review() error {
	d := t.u.Decision
	reviewer := t.said.By.Role.Reviews()
	switch {
	case d == "" && t.u.Look > 0 && !reviewer:
		t.noNext = true
		t.tell(t.text("review.mentors_only"))
		return nil
	case d == listen.DecisionRequest && !reviewer:
		return t.wantsLook()
	case d == "" || d == listen.DecisionRequest:
		return nil // a mentor who asks for something is not asking for a review
	case !reviewer:
		t.noNext = true
		t.tell(t.text("review.mentors_only"))
		return nil
	}
	switch d {
	case listen.DecisionApprove:
		return t.approve()
	case listen.DecisionRedo:
		return t.redo()
	case listen.DecisionHold:
		return t.hold()
	case listen.DecisionLift:
		return t.liftHold()
	case listen.DecisionTakeOver:
		return t.takeOver()
	case listen.DecisionHandBack:
		return t.handBack()
	}
	return nil
}

// word files a mentor's word about what it is bound to.
func (t *turn) word(decision string, b binding, more reviewed) error {
	more.Decision, more.Upto = decision, t.job.Version()
	more.Look, more.Trial = b.look.Look, b.sh.trial
	if more.Text == "" {
		more.Text = clip(t.said.Text, 200)
	}
	if more.Step = b.sh.step.ID; more.Step == "" {
		more.Step = t.step.ID
	}
	return t.add(more)
}

func (t *turn) approve() error {
	b, ok := t.bind()
	if !ok {
		t.noNext = true
		return nil
	}
	name := t.said.By.Name
	switch {
	case b.stale:
		t.noNext = true
		return t.refuseStale(b)
	case b.sh.by(name):
		t.noNext = true
		others := slices.DeleteFunc(append(b.sh.authors(), t.worker()...), func(n string) bool { return n == name })
		t.tell(t.text("review.own", "who", strings.Join(slices.Compact(others), ", ")))
		return nil
	}
	if before := t.job.approval(b.sh); before != nil {
		t.tell(t.text("review.already", "by", before.By))
		return nil
	}
	held := t.job.Held
	seen := reviewed{Sees: b.sh.seqs(), Digest: b.sh.digest()}
	if err := t.word(reviewApprove, b, seen); err != nil {
		return err
	}
	if b.look.Look > 0 {
		t.tell(t.text("review.approved_look", "by", name, "n", b.look.Look, "step", t.voice.say(b.sh.step.Title)))
	} else {
		t.tell(t.text("review.approved", "by", name))
	}
	if held {
		t.tell(t.text("review.lifted", "by", name))
	}
	if b.sh.advice != nil && t.field != nil && t.field.Act == actReview && !t.job.instructedSince(b.sh.advice.Seq) {
		t.calling = b.sh.authors()
		t.asAsked(func() { t.tell(t.adviceWords(t.inOwnWords(b.sh.advice))...) })
	}
	t.notify(b.sh.authors()...)
	return nil
}

// instructedSince says whether a mentor's order that is not done yet came after an
// entry: it then is what to build.
func (j *Job) instructedSince(seq uint64) bool {
	return slices.ContainsFunc(j.Instructions, func(in Instruction) bool { return !in.Done && in.Seq > seq })
}

// refuseStale says that what was approved is not what is there, and shows that.
func (t *turn) refuseStale(b binding) error {
	changed := t.changes(b.look.Sees, b.sh)
	t.tell(t.text("review.stale", "n", b.look.Look, "changed", strings.Join(changed, "; ")))
	if open, _, ok := t.job.openLook(t.sheet); ok {
		t.tell(t.text("review.look_again", "n", open.Look))
	}
	return nil
}

// redo takes back what the mentor wants read again, what they name of what they were
// shown or else all of it; what was read again since stays.
func (t *turn) redo() error {
	b, ok := t.bind()
	if !ok {
		t.noNext = true
		return nil
	}
	shownThen := b.look.Sees
	if b.look.Look == 0 {
		shownThen = b.sh.seqs()
	}
	named := t.named(shownThen)
	var again, gone []uint64
	for _, seq := range named {
		if slices.ContainsFunc(b.sh.entries, func(e Entry) bool { return e.Seq == seq }) {
			again = append(again, seq)
		} else {
			gone = append(gone, seq)
		}
	}
	if len(again) == 0 {
		t.noNext = true
		t.tell(t.text("review.read_since", "what", t.wordsOf(gone)))
		if open, _, ok := t.job.openLook(t.sheet); ok {
			t.tell(t.text("review.look_again", "n", open.Look))
		}
		return nil
	}
	if err := t.word(reviewRedo, b, reviewed{Again: again}); err != nil {
		return err
	}
	t.tell(t.text("review.again", "by", t.said.By.Name, "what", t.wordsOf(again)))
	t.notify(b.sh.authors()...)
	return t.takeBack(again)
}

// takeBack retracts entries, and with them a recommendation that was made from what
// they say.
func (t *turn) takeBack(entries []uint64) error {
	if a := t.job.Advice; a != nil && a.Trial == t.job.Trial().No && !a.Built {
		for _, seq := range entries {
			if seq < a.Seq {
				entries = append(slices.Clone(entries), a.Seq)
				break
			}
		}
	}
	return t.add(retracted{Entries: entries})
}

func (t *turn) hold() error {
	b, ok := t.current()
	if !ok {
		b = binding{}
	}
	t.noNext = true
	if err := t.word(reviewHold, b, reviewed{}); err != nil {
		return err
	}
	t.tell(t.text("review.held", "by", t.said.By.Name))
	t.notify(t.worker()...)
	return nil
}

func (t *turn) liftHold() error {
	if !t.job.Held {
		t.tell(t.text("review.not_held"))
		return nil
	}
	b, _ := t.current()
	if err := t.word(reviewLift, b, reviewed{}); err != nil {
		return err
	}
	t.tell(t.text("review.lifted", "by", t.said.By.Name))
	t.notify(t.worker()...)
	return nil
}

func (t *turn) takeOver() error {
	name := t.said.By.Name
	if t.job.TakenBy == name {
		t.tell(t.text("review.has_it", "by", name))
		return nil
	}
	b, _ := t.current()
	if err := t.word(reviewTakeOver, b, reviewed{}); err != nil {
		return err
	}
	t.tell(t.text("review.taken", "by", name))
	t.notify(t.worker()...)
	return nil
}

func (t *turn) handBack() error {
	if t.job.TakenBy == "" {
		return nil // people say "over to you" about other things
	}
	b, _ := t.current()
	if err := t.word(reviewHandBack, b, reviewed{}); err != nil {
		return err
	}
	t.tell(t.text("review.handed_back", "by", t.said.By.Name))
	t.notify(t.worker()...)
	return nil
}

// current is the open look, or the step that was entered last, for a word that is
// about the job more than about figures.
func (t *turn) current() (binding, bool) {
	if l, sh, ok := t.job.openLook(t.sheet); ok {
		return binding{look: l, sh: sh}, true
	}
	sh, ok := latestShown(t.sheet, t.job)
	return binding{sh: sh}, ok
}

// worker is who works on the job: whoever entered something last and may not review,
// else who opened it.
func (t *turn) worker() []string {
	for i := len(t.job.Log) - 1; i >= 0; i-- {
		e := t.job.Log[i]
		if e.By != "" && !e.Role.Reviews() && e.Role != Customer && e.undoable() {
			return []string{e.By}
		}
	}
	if t.job.OpenedBy != "" {
		return []string{t.job.OpenedBy}
	}
	return nil
}

// notify has people told besides who spoke. Where it was said elsewhere, the job's
// own place gets what the answer says too.
func (t *turn) notify(names ...string) {
	var others []string
	for _, n := range names {
		if n != t.said.By.Name && n != "" && !contains(t.ping, n) {
			others = append(others, n)
		}
	}
	if t.said.Elsewhere {
		t.more = append(t.more, Outgoing{Text: strings.Join(t.answer, "\n"), Ping: others, Home: t.job.Number})
		return
	}
	t.ping = append(t.ping, others...)
}
