package dialogs

import "slices"

// approvals are the approvals that hold, by the look or the entry they are.
func (t *turn) approvals() []Review {
	bound := slices.ContainsFunc(t.job.Reviews, func(r Review) bool { return r.Decision == reviewApprove && r.Digest != "" })
	if !bound {
		return nil
	}
	var out []Review
	for _, st := range Steps(t.sheet, t.job) {
		if r := t.job.approval(shownOf(st, t.job)); r != nil {
			out = append(out, *r)
		}
	}
	return out
}

// keepReviews ends a turn: it says which approvals lapsed with it or hold again, and
// asks for a look where the job now waits for one.
func (t *turn) keepReviews(before []Review) error {
	after := t.approvals()
	has := func(list []Review, r Review) bool {
		return slices.ContainsFunc(list, func(o Review) bool { return o.Seq == r.Seq })
	}
	for _, r := range before {
		sh, ok := shownAt(t.sheet, t.job, r.Step)
		if !ok || has(after, r) || r.Trial > 0 && t.job.Trial().No != r.Trial {
			continue // a later trial has approvals of its own
		}
		if slices.ContainsFunc(after, func(o Review) bool { return o.Step == r.Step && o.Trial == r.Trial }) {
			continue
		}
		t.quiet = false
		t.tell(t.text("review.lapsed", "by", r.By, "step", t.voice.say(sh.step.Title)))
		t.notify(append(sh.authors(), r.By)...)
	}
	if f := t.field; f != nil && f.Act == actReview && t.step.ID == StepLoop && !t.said.By.Role.Reviews() {
		if open := t.wentOn(); open != nil {
			t.tell(t.text("review.went_on", "by", t.said.By.Name, "n", open.Look))
			t.notify(mentorOf(open.To))
		}
	}
	for _, r := range after {
		if r.Seq <= t.came && !has(before, r) {
			t.tell(t.text("review.holds_again", "by", r.By))
		}
	}
	t.compare()
	if err := t.lookIfDue(); err != nil {
		return err
	}
	return t.quizIfDue()
}

// wentOn gives the look that waited for an answer when this message began another
// trial, nil where it did not.
func (t *turn) wentOn() *Review {
	for i := len(t.job.Reviews) - 1; i >= 0; i-- {
		if r := &t.job.Reviews[i]; r.Decision == reviewRequest && r.Look > 0 {
			if r.Seq <= t.came && r.Trial > 0 && r.Trial < t.job.Trial().No && t.job.Trial().Began > t.came && t.job.answered(r.Look) == nil {
				return r
			}
			return nil
		}
	}
	return nil
}

// lookIfDue asks for a look where the job waits for one and nobody was asked yet.
func (t *turn) lookIfDue() error {
	if t.job.Closed || t.job.Held || len(t.job.Stops()) > 0 {
		return nil
	}
	step, field := t.next()
	if field == nil || field.Act != actReview {
		return nil
	}
	if _, _, ok := t.job.openLook(t.sheet); ok {
		return nil
	}
	return t.ask4Look(shownOf(step, t.job))
}

// waiting says what the job waits for while a mentor is to look.
func (t *turn) waiting() []string {
	open, _, ok := t.job.openLook(t.sheet)
	if !ok {
		return []string{t.text("review.gate_ask")}
	}
	return []string{t.text("review.waits", "n", open.Look, "mentor", t.mentorWords(open.To))}
}

// othersJob says whether a mentor does the job, and somebody else speaks.
func (t *turn) othersJob() bool {
	return t.job.TakenBy != "" && t.job.TakenBy != t.said.By.Name && !t.said.By.Role.Reviews()
}

// mentorWords names whose look it is.
func (t *turn) mentorWords(to string) string {
	if to == "" {
		return t.text("review.anyone")
	}
	return to
}

// notYet says that what is to be built waits for a mentor.
func (t *turn) notYet() string {
	open, _, ok := t.job.openLook(t.sheet)
	if !ok {
		return t.text("review.gate_ask")
	}
	return t.text("review.not_yet", "n", open.Look, "mentor", t.mentorWords(open.To))
}

// watch notes at which steps this person is looked at, where the shop says so for
// them; the first thing they enter brings it into the log.
func (t *turn) watch() error {
	p := t.said.By
	have, ok := t.job.Watched[p.Name]
	switch {
	case len(t.events) == 0 || p.Name == "" || p.Role == Customer:
		return nil
	case p.Looked == nil && !ok, p.Looked != nil && ok && slices.Equal(have, p.Looked):
		return nil
	case p.Looked == nil:
		return t.add(watched{Name: p.Name, Off: true})
	}
	return t.add(watched{Name: p.Name, Steps: p.Looked})
}
