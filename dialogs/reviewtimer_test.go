package dialogs_test

import (
	"strings"
	"testing"
	"time"

	"shimwright/dialogs"
)

// due says the timers of a job that are due at a time, as the bot would.
func (k *talk) due(at time.Time) string {
	k.t.Helper()
	timers, err := k.desk.Timers(k.job)
	if err != nil {
		k.t.Fatal(err)
	}
	var said []string
	for _, tm := range timers {
		if tm.Due.After(at) {
			continue
		}
		reply, err := k.desk.Due(k.job, tm.Key, tm.Due, at, people["mentor"])
		if err != nil {
			k.t.Fatal(err)
		}
		for _, o := range reply.Out {
			said = append(said, strings.Join(o.Ping, "+")+": "+o.Text)
		}
		k.keep(reply)
	}
	return strings.Join(said, "\n")
}

func TestSilentMentorIsRemindedTwiceThenWhoWaitsIsTold(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	asked := k.now
	if said := k.due(asked.Add(14 * time.Minute)); said != "" {
		t.Errorf("too early: %s", said)
	}
	has(t, k.due(asked.Add(15*time.Minute)), "mentor: look 1, lash and pattern, by ben waits for you since 15 min")
	if said := k.due(asked.Add(16 * time.Minute)); said != "" {
		t.Errorf("once more: %s", said)
	}
	has(t, k.due(asked.Add(30*time.Minute)), "mentor+owner: look 1")
	has(t, k.due(asked.Add(45*time.Minute)), "ben: nobody has answered look 1 for 45 min")
	if said := k.due(asked.Add(48 * time.Hour)); said != "" {
		t.Errorf("and on: %s", said)
	}
}

func TestAnAnswerEndsTheReminders(t *testing.T) {
	for _, answer := range []string{"mentor> approve 1", "mentor> re-read the coast", "mentor> hold", "mentor> why high and toe?", "mentor> i'll take it", "ben> scratch that", "ann> close job sent home"} {
		k := benToLoop(t)
		k.play(benReads, answer)
		if said := k.due(k.now.Add(24 * time.Hour)); strings.Contains(said, "look 1") {
			t.Errorf("after %q: %s", answer, said)
		}
	}
	// The answer to the mentor's question starts the time anew.
	k := benToLoop(t)
	k.play(benReads, "mentor> why high and toe?")
	k.now = k.now.Add(time.Hour)
	k.play("ben> read it twice")
	if said := k.due(k.now.Add(14 * time.Minute)); said != "" {
		t.Errorf("too early: %s", said)
	}
	has(t, k.due(k.now.Add(15*time.Minute)), "look 1")
}

func TestQueueOfAMentor(t *testing.T) {
	first, second := benToLoop(t), benToLoop(t)
	first.play(benReads)
	second.now = first.now.Add(time.Hour)
	second.play(strings.Replace(benReads, "ben", "ann", 1), "ann> mentor please check this", "mentor> why high and toe?")
	view := dialogs.View{}
	for i, k := range []*talk{second, first} {
		w, ok := k.desk.WaitingLook(k.job)
		if !ok {
			t.Fatal("nothing waits")
		}
		w.Sheet = []string{"curlew", "lapwing"}[i] // to tell them apart
		view.Waiting = append(view.Waiting, w)
	}
	ask := func(who, text string) string {
		t.Helper()
		s := first.said(who, text)
		s.At = second.now.Add(10 * time.Minute)
		if !dialogs.AsksForLooks(text) {
			t.Errorf("%q does not ask for what waits", text)
		}
		return first.desk.Door(s, view).Out[0].Text
	}
	for _, text := range []string{"reviews", "what is waiting for me", "What's waiting for me?"} {
		answer := ask("mentor", text)
		has(t, answer, "job 7, lapwing", "look 1, step 8, lash and pattern, by ben", "curlew", "by ann")
		if strings.Index(answer, "lapwing") > strings.Index(answer, "curlew") {
			t.Errorf("the longest wait is not the first:\n%s", answer)
		}
	}
	has(t, ask("ann", "reviews"), "asks you: why high and toe?")
	has(t, ask("ben", "reviews"), "nothing is waiting for you")
	first.play("mentor> approve 1")
	if w, ok := first.desk.WaitingLook(first.job); ok {
		t.Errorf("still waits: %+v", w)
	}
}
