package dialogs

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"shimwright/dialogs/listen"
)

// WaitingLook is what waits for people in one job: a look for a mentor, questions for
// those who were asked.
type WaitingLook struct {
	Job   int
	Sheet string
	Title string
	Look  int    // 0: none waits
	Step  Text   // what it is at
	No    int    // of the step
	By    string // who waits
	To    string // whose look it is, empty for any mentor's
	At    time.Time
	Asked map[string]string // questions by who was asked
}

// AsksForLooks says whether a message wants to know what waits for its author.
func AsksForLooks(text string) bool { return listen.VerbOf(text) == listen.VerbReviews }

// WaitingLook gives what waits in a job, false where nothing does.
func (d *Desk) WaitingLook(j *Job) (WaitingLook, bool) {
	sheet, err := d.Sheets.Sheet(j.Sheet)
	if err != nil || j.Closed || j.ReadOnly != "" {
		return WaitingLook{}, false
	}
	w := WaitingLook{Job: j.Number, Sheet: j.Sheet, Title: j.Title, Asked: map[string]string{}}
	if open, sh, ok := j.openLook(sheet); ok {
		w.Look, w.To, w.At, w.No, w.Step = open.Look, open.To, open.At, sh.step.No, sh.step.Title
		w.By = strings.Join(sh.authors(), ", ")
	}
	for _, r := range j.Reviews {
		if r.Decision == reviewAsk && j.askedBack(r.To) != nil {
			w.Asked[r.To] = j.askedBack(r.To).Text
		}
	}
	return w, w.Look > 0 || len(w.Asked) > 0
}

// looksFor lists what waits for a person, the longest first.
func (d *Desk) looksFor(s Said, v View) DoorReply {
	words := d.Phrases.In(s.By.Language)
	say := voice{words: words}
	waiting := slices.Clone(v.Waiting)
	slices.SortStableFunc(waiting, func(a, b WaitingLook) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Job, b.Job)) })
	const most = 10
	var lines []string
	for _, w := range waiting {
		if s.By.Role.Reviews() && w.Look > 0 && (w.To == "" || w.To == s.By.Name) {
			lines = append(lines, words.Say("review.queue_look", "job", w.Job, "sheet", w.Sheet, "title", titled(w.Title), "n", w.Look,
				"no", w.No, "step", say.say(w.Step), "by", w.By, "min", max(0, int(s.At.Sub(w.At).Minutes()))))
		}
		if q := w.Asked[s.By.Name]; q != "" {
			lines = append(lines, words.Say("review.queue_asked", "job", w.Job, "question", clip(q, 80)))
		}
	}
	if len(lines) == 0 {
		return handled(words.Say("review.queue_empty"))
	}
	if more := len(lines) - most; more > 0 {
		lines = append(lines[:most], words.Say("review.queue_more", "more", more))
	}
	return handled(append(lines, words.Say("review.queue_how"))...)
}

// showCard lays the open look's card before whoever asks for it, or what stands on
// record where none waits.
func (t *turn) showCard() {
	t.noNext = true
	open, sh, ok := t.job.openLook(t.sheet)
	if !ok {
		t.tell(t.status()...)
		return
	}
	card := t.card(open.reviewed, sh)
	card.Ping, card.Home, card.Look = nil, 0, 0
	t.more = append(t.more, card)
}
