package dialogs

import (
	"fmt"
	"strings"
	"time"

	"shimwright/rules"
)

// lookReminder calls a silent mentor up twice, and then tells whoever waits.
func lookReminder() reminder {
	return reminder{name: "look", timers: lookTimers, say: sayLook}
}

func lookTimers(s *rules.Sheet, j *Job) []Timer {
	open, sh, ok := j.openLook(s)
	if !ok || j.Held || j.TakenBy != "" || s.Reviews.Remind <= 0 {
		return nil
	}
	from := open.At
	asked := map[uint64]bool{}
	for _, r := range j.Reviews {
		switch {
		case r.Look != open.Look:
		case r.Decision == reviewAsk:
			asked[r.Seq] = true
		case r.Decision == reviewReply:
			delete(asked, r.Answers)
			from = r.At
		}
	}
	if len(asked) > 0 {
		return nil // the mentor has answered, with a question
	}
	wait := time.Duration(s.Reviews.Remind * float64(time.Minute))
	authors := sh.authors()
	return []Timer{
		{Key: fmt.Sprintf("look/again/%d", open.Seq), Due: from.Add(wait), Ping: []string{mentorOf(open.To)}},
		{Key: fmt.Sprintf("look/everybody/%d", open.Seq), Due: from.Add(2 * wait), Ping: []string{anyMentor, "owner"}},
		{Key: fmt.Sprintf("look/silent/%d", open.Seq), Due: from.Add(3 * wait), Ping: authors},
	}
}

func sayLook(t *turn, tm Timer) error {
	open, sh, ok := t.job.openLook(t.sheet)
	if !ok {
		return nil
	}
	ago := t.duration(t.said.At.Sub(open.At))
	by := strings.Join(sh.authors(), ", ")
	if strings.HasPrefix(tm.Key, "look/silent/") {
		t.tell(t.text("review.remind_silent", "n", open.Look, "ago", ago))
		return nil
	}
	t.look = open.Look
	t.tell(t.text("review.remind", "n", open.Look, "step", t.voice.say(sh.step.Title), "by", by, "ago", ago))
	return nil
}
