package dialogs_test

import (
	"fmt"
	"strings"
	"testing"

	"shimwright/dialogs"
	"shimwright/dialogs/advise"
)

// has fails unless the answer holds every part.
func has(t *testing.T, answer string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(answer, p) {
			t.Errorf("the answer does not say %q:\n%s", p, answer)
		}
	}
}

func hasNot(t *testing.T, answer string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if strings.Contains(answer, p) {
			t.Errorf("the answer says %q:\n%s", p, answer)
		}
	}
}

// toStart brings a job to the starting shim.
func toStart(t *testing.T, sheet string, lines ...string) (*talk, string) {
	k := open(t, sheet)
	k.play("ann> new", "ann> skip 2 bare housing")
	k.play(lines...)
	return k, k.play("ann> skip 4 checked before", "ann> next")
}

// The starting shim, by construction. With "+" farther, 0.020 in and +2 to −3 the
// new pinion wants to sit 0.005 in deeper than the old one did.
// Source: common practice, no source.
func TestStartingShimBySheet(t *testing.T) {
	for _, c := range []struct{ sheet, shim, old, new, want string }{
		{"lapwing", "old pinion shim 20", "old mark +2", "new mark -3", "pinion shim of 0.025 in"},
		{"curlew", "old pinion shim 20", "old mark +2", "new mark -3", "pinion shim of 0.025 in"},
		{"shingle-bank", "old pinion shim 20", "old mark +2", "new mark -3", "pinion shim of 0.015 in"},
		// + means nearer on this sheet, marks count hundredths.
		{"dunlin", "old pinion shim 1,39", "old mark +2", "new mark -3", "pinion shim of 1.34 mm"},
	} {
		_, answer := toStart(t, c.sheet, "ann> "+c.shim, "ann> skip", "ann> skip", "ann> "+c.old, "ann> "+c.new, "ann> skip no pack")
		if !strings.Contains(answer, c.want) {
			t.Errorf("%s: %s, %s, %s: want %q in\n%s", c.sheet, c.shim, c.old, c.new, c.want, answer)
		}
	}
}

func TestStartingShimFollowsACorrectedMark(t *testing.T) {
	k, answer := toStart(t, "lapwing", "ann> old pinion shim 20", "ann> skip", "ann> skip", "ann> old mark 0", "ann> new mark +3")
	has(t, answer, "pinion shim of 0.017 in")
	has(t, k.play("ann> scratch that, new mark -3"), "pinion shim of 0.023 in")
}

// toLoop brings a job to the first lash reading.
func toLoop(t *testing.T, sheet string) *talk {
	k, _ := toStart(t, sheet, "ann> old pinion shim 30", "ann> left 250 right 245", "ann> old mark 0", "ann> new mark 0")
	k.play("ann> done", "ann> ring bolts torqued, runout 1 thou", "ann> same", "ann> same", "ann> caps torqued")
	if st, f := k.next(); st.ID != dialogs.StepLoop || f == nil || f.Slot != dialogs.TrialBacklash {
		t.Fatalf("the job stands at %s, want the first lash reading", st.ID)
	}
	return k
}

// next gives where the job stands.
func (k *talk) next() (dialogs.Step, *dialogs.Field) {
	k.t.Helper()
	s, err := k.desk.Sheets.Sheet(k.job.Sheet)
	if err != nil {
		k.t.Fatal(err)
	}
	return dialogs.Next(s, k.job)
}

func TestAdviceIsBuiltAndReadAgain(t *testing.T) {
	k := toLoop(t, "lapwing")
	answer := k.play("ann> lash 14 14 13 14, drive high and heel, coast high and heel")
	has(t, answer, "deeper", "towards the pinion", "expect", "say done")
	before := *k.job.Trial()
	k.play("ann> done")
	now := k.job.Trial()
	if len(k.job.Trials) != 2 || now.Backlash != nil {
		t.Fatalf("after done there is a new trial without readings, got %d trials, backlash %v", len(k.job.Trials), now.Backlash)
	}
	a := k.job.Advice
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"pinion", (now.Build.Pinion.Thickness - before.Build.Pinion.Thickness).Thou(), a.PinionShim.Thou()},
		{"left", (now.Build.Left.Thickness - before.Build.Left.Thickness).Thou(), a.Left.Thou()},
		{"right", (now.Build.Right.Thickness - before.Build.Right.Thickness).Thou(), a.Right.Thou()},
	} {
		if diff := c.got - c.want; diff > 1e-6 || diff < -1e-6 {
			t.Errorf("%s changed by %.3f thou, advised %.3f", c.name, c.got, c.want)
		}
	}
	has(t, k.play("ann> lash 8 8 8 7.5, drive centered, coast centered"), "good", "leave it alone")
	if st, _ := k.next(); st.ID != dialogs.StepFinalPinion {
		t.Errorf("the job stands at %s after a good trial", st.ID)
	}
}

func TestCorrectedReadingChangesTheAdvice(t *testing.T) {
	k := toLoop(t, "lapwing")
	first := k.play("ann> lash 14 14 13 14, drive centered, coast centered")
	has(t, first, "towards the pinion")
	second := k.play("ann> scratch that, lash 4 4 5 4")
	has(t, second, "away from the pinion")
	if n := len(k.job.Trial().Backlash.Values); n != 4 {
		t.Errorf("%d readings stand, want the 4 of the correction", n)
	}
}

func TestStopHoldsUntilReadAgainOrOverridden(t *testing.T) {
	k := toLoop(t, "lapwing")
	answer := k.play("ann> lash 0 at the tight spot, it binds, drive centered, coast centered")
	has(t, answer, "stop:")
	hasNot(t, answer, "expect")
	if len(k.job.Stops()) == 0 {
		t.Fatal("no stop is on record")
	}
	has(t, k.play("ann> done"), "on hold")
	has(t, k.play("ann> override"), "why")
	if len(k.job.Stops()) == 0 {
		t.Fatal("an override without a reason lifted the hold")
	}
	k.play("ann> override dial foot was loose")
	if s := k.job.Stops(); len(s) > 0 {
		t.Errorf("still on hold after the override: %+v", s)
	}
	if w := k.job.Warnings; !strings.Contains(fmt.Sprint(w), "dial foot was loose") {
		t.Errorf("the reason is not kept: %+v", w)
	}
}

func TestOnlyAMentorApproves(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 8 9, drive centered, coast centered")
	k.play("ben> approved")
	for _, r := range k.job.Reviews {
		if r.Decision == "approve" {
			t.Errorf("an apprentice's approval counts: %+v", r)
		}
	}
	k.play("mentor> approved")
	if n := len(k.job.Reviews); n == 0 || k.job.Reviews[n-1].Decision != "approve" || k.job.Reviews[n-1].By != "mentor" {
		t.Errorf("the mentor's approval is not on record: %+v", k.job.Reviews)
	}
}

func TestNobodyApprovesTheirOwnReadings(t *testing.T) {
	k := toLoop(t, "lapwing")
	has(t, k.play("mentor> lash 8 8 8 9", "mentor> approved"), "own readings")
	if len(k.job.Reviews) > 0 {
		t.Errorf("a mentor approved their own reading: %+v", k.job.Reviews)
	}
}

func TestAMentorsOrderIsNoMoveUntilDone(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 12 12 12 11", "mentor> pull 3 more out of the right and put it left")
	if b := k.job.Trial().Build; b.Left.Change != 0 || len(k.job.Instructions) != 1 {
		t.Fatalf("the order: left changed %.3f thou, %d orders on record; want 0 and 1", b.Left.Change.Thou(), len(k.job.Instructions))
	}
	has(t, k.play("ann> where are we"), "to do, from mentor")
	k.play("ann> done")
	if b := k.job.Trial().Build; b.Left.Change.Thou() < 2.999 || b.Right.Change.Thou() > -2.999 {
		t.Errorf("after done left %+.3f, right %+.3f thou, want +3 and −3", b.Left.Change.Thou(), b.Right.Change.Thou())
	}
}

func TestUndoBringsBackWhatACorrectionTook(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 9 8", "ann> scratch that, 7 not 9")
	if got := fmt.Sprint(k.job.Trial().Backlash.Values); got != "[0.008 0.008 0.007 0.008]" {
		t.Fatalf("after the correction %s, want the 9 replaced by 7", got)
	}
	k.play("ann> undo")
	if got := fmt.Sprint(k.job.Trial().Backlash.Values); got != "[0.008 0.008 0.009 0.008]" {
		t.Errorf("after undo %s, want the first list back", got)
	}
	k.play("ann> undo")
	if b := k.job.Trial().Backlash; b != nil {
		t.Errorf("after a second undo %v, want no reading", b.Values)
	}
}

func TestAnEditedMessageReplacesItsFirstWording(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 9 8")
	first := fmt.Sprint("m", k.n)
	s := k.said("ann", "lash 8 8 8 8.5")
	s.Edits = first
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	k.keep(reply)
	if got := fmt.Sprint(k.job.Trial().Backlash.Values); got != "[0.008 0.008 0.008 0.0085]" {
		t.Errorf("after the edit %s", got)
	}
	if len(k.job.Trials) != 1 {
		t.Errorf("an edit began a new trial")
	}
}

func TestSkipNeedsAReasonWhereItMatters(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new")
	has(t, k.play("ann> skip 2"), "why")
	if st, _ := k.next(); st.ID != dialogs.StepFound {
		t.Fatalf("a step was skipped without a reason")
	}
	k.play("ann> skip 2 came as a bare housing")
	if st, _ := k.next(); st.ID != dialogs.StepTeardown {
		t.Errorf("the job stands at %s after the skip", st.ID)
	}
	k.play("ann> reopen 2")
	if st, _ := k.next(); st.ID != dialogs.StepFound {
		t.Errorf("the job stands at %s after reopening step 2", st.ID)
	}
}

func TestChatterIsLeftAlone(t *testing.T) {
	k := toLoop(t, "lapwing")
	for _, line := range []string{
		"who wants coffee, 10:30 at bay 4", "that seal was 42.50 last time", "call 0555 0134 about the van",
		"last week's one had 12 thou of lash and it howled", "lol", "👍",
	} {
		before := k.job.Version()
		if answer := k.hear("ann", line); answer != "" || k.job.Version() != before {
			t.Errorf("%q was answered or logged (%d entries more): %s", line, k.job.Version()-before, answer)
		}
	}
}

func TestAskedOnceThenTaken(t *testing.T) {
	k := open(t, "saltmarsh")
	k.play("ann> used")
	has(t, k.play("ann> lash 9"), "which unit")
	if k.job.Open == nil || len(k.job.Open.Choices) < 2 {
		t.Fatalf("no question is open: %+v", k.job.Open)
	}
	k.play("ann> 2")
	if r, ok := k.job.Slots[dialogs.FoundBacklash]; !ok || r.Values[0] != 0.009 || r.Unit != "in" {
		t.Errorf("the second choice gave %+v, want 0.009 in", r)
	}
	if k.job.Open != nil {
		t.Error("the question is still open")
	}
}

func TestClosedJobTakesNothing(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> close job parts on order")
	if !k.job.Closed {
		t.Fatal("the job is not closed")
	}
	before := k.job.Version()
	has(t, k.play("ann> lash 8 8 8 8"), "closed")
	if k.job.Version() != before {
		t.Error("a closed job was written to")
	}
	k.play("ann> reopen the job")
	if k.job.Closed {
		t.Error("reopen did not open it")
	}
}

// Finished jobs of the shop answer "last time", and stand behind the next advice.
func TestTheShopRemembers(t *testing.T) {
	first := toLoop(t, "lapwing")
	first.play("ann> lash 14 14 13 14, drive high and heel, coast high and heel", "ann> done", "ann> lash 8 8 8 7.5, drive centered, coast centered")
	past, ok := first.desk.Remember(first.job)
	if !ok || len(past.Attempts) != 2 {
		t.Fatalf("a finished job with two trials is remembered as %+v, %v", past, ok)
	}
	if _, ok := first.desk.Remember(toLoop(t, "lapwing").job); ok {
		t.Error("a job that is not finished is remembered")
	}

	next := toLoop(t, "lapwing")
	past.Number = 3 // another job
	ad := new(advise.Adviser)
	next.desk.Advise, next.desk.Learn = ad.Recommend, advise.LessonsOf(ad).Learn
	next.past = nil
	ask := func(text string) string {
		s := next.said("ann", text)
		s.Past = []dialogs.Past{past}
		r, err := next.desk.Answer(next.job, s)
		if err != nil {
			t.Fatal(err)
		}
		return next.keep(r)
	}
	has(t, ask("what did we end up with last time on this axle?"), "last time on lapwing, job 3", "after 2 trial assemblies")
	ask("lash 13 13 13 12, drive high and heel, coast high and heel")
	if a := next.job.Advice; a == nil || a.Jobs != 1 {
		t.Errorf("the advice stands on %+v finished jobs, want 1", a)
	}
	has(t, ask("why"), "1 finished job")
}

func TestSlipsOfTheThumbOpenAndAnswer(t *testing.T) {
	d := newDesk(t)
	s := dialogs.Said{ID: "m1", By: people["ann"], Text: "opn lapwing rear whine"}
	if r := d.Door(s, dialogs.View{}); r.Open == nil || r.Open.Sheet != "lapwing" || r.Open.Title != "rear whine" {
		t.Errorf("%q opens %+v, want lapwing", s.Text, r.Open)
	}
	s.Text = "often lapwing breaks"
	if r := d.Door(s, dialogs.View{}); r.Open != nil {
		t.Errorf("%q opened a job", s.Text)
	}
	k := open(t, "lapwing")
	has(t, k.play("ann> nw"), "gear set new")
}
