package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
)

// askBack passes a mentor's question on to whoever entered what they look at. It
// gives false where the question is not for a person: one that calls the assistant is
// not, but for what is asked below a look's card in private.
func (t *turn) askBack() (bool, error) {
	explicit := listen.AsksBack(t.said.Text)
	if !t.u.Back && !t.tellsAtLook() || !t.said.By.Role.Reviews() || t.said.Addressed && t.said.Shown == 0 && !explicit {
		return false, nil
	}
	b, ok := t.current()
	if !ok || b.look.Look == 0 && !explicit && !t.job.needsEyes(t.sheet, b.sh) {
		return false, nil
	}
	to := ""
	for _, name := range append(t.worker(), b.sh.authors()...) {
		if name != t.said.By.Name {
			to = name
		}
	}
	if to == "" {
		return false, nil
	}
	question := clip(strings.TrimSpace(t.said.Text), 200)
	if err := t.word(reviewAsk, b, reviewed{To: to, Text: question}); err != nil {
		return true, err
	}
	t.noNext = true
	t.tell(t.text("review.asked", "to", to, "by", t.said.By.Name, "question", question))
	t.notify(to)
	return true, nil
}

// tellsAtLook says whether a mentor answers an open look with something to do that is
// no change of shims: "double check the runout first".
func (t *turn) tellsAtLook() bool {
	return t.u.Decision == listen.DecisionRequest && len(t.u.Pending)+len(t.u.Moves) == 0 && t.input(t.said.Text).Look
}

// askedBack gives the mentor's question a person has not answered yet, nil for none.
func (j *Job) askedBack(name string) *Review {
	done := map[uint64]bool{}
	for i := len(j.Reviews) - 1; i >= 0; i-- {
		r := &j.Reviews[i]
		switch r.Decision {
		case reviewReply:
			done[r.Answers] = true
		case reviewAsk:
			if r.To == name && !done[r.Seq] {
				return r
			}
		}
	}
	return nil
}

// answerBack takes what the person asked says next as the answer, whatever else it
// is, and brings it to the mentor.
func (t *turn) answerBack() error {
	q := t.job.askedBack(t.said.By.Name)
	if q == nil || t.u.Command != nil || q.Seq > t.came {
		return nil
	}
	answer := clip(strings.TrimSpace(t.said.Text), 200)
	r := reviewed{Decision: reviewReply, Upto: t.job.Version(), Look: q.Look, Step: q.Step, Trial: q.Trial, Answers: q.Seq, To: q.By, Text: answer}
	if err := t.add(r); err != nil {
		return err
	}
	t.tell(t.text("review.answered", "by", t.said.By.Name, "to", q.By, "answer", answer))
	t.notify(q.By)
	if len(t.u.Readings)+len(t.u.Moves)+len(t.u.Facts) == 0 {
		t.noNext = true
	}
	return nil
}
