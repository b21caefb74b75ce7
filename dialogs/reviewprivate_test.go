package dialogs_test

import (
	"strings"
	"testing"
	"time"

	"shimwright/dialogs"
)

var mo = dialogs.Person{Name: "mo", Role: dialogs.Mentor}

// A look is laid before whoever may answer it, and before nobody else.
func TestPrivateLookIsForWhoMayAnswer(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	card, ok := k.desk.PrivateLook(k.job, mo, "discord", "https://chat.example.org/1", now)
	if !ok {
		t.Fatal("a mentor is shown nothing")
	}
	has(t, card.Text, "look 1: job 7", "by ben", "coast toe, high", "advice: pinion shim", "approve 1", "counts for job 7 on discord", "\nhttps://chat.example.org/1")
	if n := strings.Count(card.Text, "\n") + 1; n > 10 || len(card.Ping) != 0 || len(card.Choices) != 3 || len(card.Picture) == 0 {
		t.Errorf("%d lines, notifies %v, offers %v, %d pictures", n, card.Ping, card.Choices, len(card.Picture))
	}
	metric := mo
	metric.Units, metric.Language = "metric", "es"
	card, _ = k.desk.PrivateLook(k.job, metric, "", "", now)
	has(t, card.Text, "vistazo 1", "mm", "cuenta para el trabajo 7 y se dice")
	for _, who := range []dialogs.Person{{Name: "ann", Role: dialogs.Technician}, {Name: "ben", Role: dialogs.Mentor}, {Name: "joe", Role: dialogs.Customer}} {
		if _, ok := k.desk.PrivateLook(k.job, who, "", "", now); ok {
			t.Errorf("%s (%s) is shown it", who.Name, who.Role)
		}
	}
	again, ok := k.desk.LookAgain(k.job, 1, mo, now)
	if !ok {
		t.Fatal("nobody is called again")
	}
	has(t, again.Text, "job 7, lapwing", "look 1", "waits for you")
	if o := k.desk.OpenLook(k.job); o.Look != 1 || len(o.To) != 1 || o.To[0] != "mentor" || len(o.Not) != 1 || o.Not[0] != "ben" {
		t.Errorf("waits for %+v", o)
	}
}

func TestWhatBecameOfALook(t *testing.T) {
	for _, c := range []struct{ then, want string }{
		{"mentor> approve 1", "approved by mentor"},
		{"mentor> re-read the coast, smeared", "mentor wants it read again"},
		{"ben> scratch that, lash 9 9 8 9", "look 2 has it as it is now"},
		{"owner> close job sent home", "the job is closed"},
		{"owner> i'll take it", "owner has the job"},
	} {
		k := benToLoop(t)
		k.play(benReads, c.then)
		has(t, k.desk.LookOver(k.job, 1, mo), "look 1, job 7, lapwing", c.want)
		if c.then != "ben> scratch that, lash 9 9 8 9" && k.desk.OpenLook(k.job).Look != 0 {
			t.Errorf("after %q it still waits", c.then)
		}
	}
}

// Said below the card of a look in private, a word without a number means that look.
func TestAWordBelowACardMeansItsLook(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads, "ben> scratch that, lash 9 9 8 9")
	say := func(text string, shown int) string {
		s := k.said("mentor", text)
		s.Shown, s.Elsewhere, s.Addressed = shown, true, true
		r, err := k.desk.Answer(k.job, s)
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, o := range r.Out {
			out = append(out, o.Text)
			if o.Home == 7 {
				out = append(out, "at home: "+o.Text)
			}
		}
		if len(r.Events) > 0 {
			if k.job, err = k.job.With(r.Events); err != nil {
				t.Fatal(err)
			}
		}
		return strings.Join(out, "\n")
	}
	has(t, say("looks good", 1), "nothing was approved", "look 2")
	if !k.waits() {
		t.Fatal("a word below look 1 approved look 2")
	}
	has(t, say("why 9?", 2), "mentor asks ben: why 9?", "at home: ")
	answer := say("looks good", 2)
	has(t, answer, "approved by mentor: look 2", "at home: approved by mentor: look 2")
	if private, _, _ := strings.Cut(answer, "at home: "); strings.Contains(private[:strings.Index(private, "\n")], "next") {
		t.Errorf("the mentor is asked what is next:\n%s", answer)
	}
	if k.waits() {
		t.Error("the word below look 2 does not count")
	}
}

func TestWordsAboutLooksInPrivate(t *testing.T) {
	k := benToLoop(t)
	for _, c := range []struct {
		text string
		want dialogs.LookWord
	}{
		{"looks good", dialogs.LookWord{Answer: true, Text: "looks good"}},
		{"approve 2", dialogs.LookWord{Answer: true, Look: 2, Text: "approve 2"}},
		{"job 7: approve 2", dialogs.LookWord{Answer: true, Look: 2, Job: 7, Text: "approve 2"}},
		{"trabajo 7 approve 2", dialogs.LookWord{Answer: true, Look: 2, Job: 7, Text: "approve 2"}},
		{"job 12 re-read the coast, smeared", dialogs.LookWord{Answer: true, Job: 12, Text: "re-read the coast, smeared"}},
		{"hold", dialogs.LookWord{Answer: true, Text: "hold"}},
		{"why 32?", dialogs.LookWord{Answer: true, Text: "why 32?"}},
		{"lash 9 9 8 9", dialogs.LookWord{Text: "lash 9 9 8 9"}},
		{"job 7 lash 9", dialogs.LookWord{Text: "job 7 lash 9"}},
		{"where are we", dialogs.LookWord{Text: "where are we"}},
	} {
		s := k.said("mentor", c.text)
		if got := k.desk.LookWord(s); got != c.want {
			t.Errorf("%q: %+v, want %+v", c.text, got, c.want)
		}
	}
	for text, want := range map[string]dialogs.Calling{"no private cards": dialogs.InThread, "private cards": dialogs.InPrivate, "sin tarjetas privadas": dialogs.InThread, "tarjetas privadas": dialogs.InPrivate, "private cards off": dialogs.InThread} {
		if r := k.desk.Door(k.said("mentor", text), dialogs.View{}); r.Called != want || !r.Handled {
			t.Errorf("%q: called %q", text, r.Called)
		}
	}
}

// Reminders to mentors belong to their look, so that who has its card is called there;
// the word to whoever waits does not.
func TestRemindersBelongToTheirLook(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	timers, err := k.desk.Timers(k.job)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, tm := range timers {
		if !strings.HasPrefix(tm.Key, "look/") {
			continue
		}
		r, err := k.desk.Due(k.job, tm.Key, tm.Due, tm.Due, mo)
		if err != nil || len(r.Out) != 1 {
			t.Fatalf("%s: %d messages, %v", tm.Key, len(r.Out), err)
		}
		want := 1
		if strings.HasPrefix(tm.Key, "look/silent/") {
			want = 0
		}
		if n++; r.Out[0].Look != want {
			t.Errorf("%s belongs to look %d, want %d", tm.Key, r.Out[0].Look, want)
		}
	}
	if n != 3 {
		t.Errorf("%d reminders", n)
	}
}
