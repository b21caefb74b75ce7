package dialogs_test

import (
	"strings"
	"testing"
	"time"

	"shimwright/dialogs"
)

// benToLoop brings a job to the first lash reading, all of it entered by ann, so that
// what follows is the apprentice's.
func benToLoop(t *testing.T) *talk { return toLoop(t, "lapwing") }

const benReads = "ben> lash 14 14 13 14, drive high and heel, coast high and toe"

// waits says whether the job waits for a look.
func (k *talk) waits() bool {
	_, f := k.next()
	return f != nil && f.Act == "review"
}

func TestApprenticeWaitsForALookAndTechnicianDoesNot(t *testing.T) {
	k := benToLoop(t)
	answer := k.play(benReads)
	has(t, answer, "look 1 is with a mentor", "look 1: job 7", "lash 0.013–0.014 in", "coast toe, high", "lash outside the sheet's", "advice: pinion shim", "approve 1")
	if !k.waits() {
		t.Fatal("the apprentice's figures are passed without a look")
	}
	has(t, k.play("ben> done"), "not yet")
	has(t, k.play("ben> skip no time"), "not yet")
	if len(k.job.Trials) != 1 {
		t.Error("it counts as built before the look")
	}
	has(t, k.play("mentor> looks good"), "approved by mentor: look 1", "deeper", "say done")
	if k.waits() {
		t.Error("it still waits after the approval")
	}

	k = toLoop(t, "lapwing")
	hasNot(t, k.play(strings.Replace(benReads, "ben", "ann", 1)), "look 1")
	if k.waits() {
		t.Error("a technician's trial waits, the sheet wants none")
	}
}

// A card fits a phone: at most eight lines, whatever there is to say.
func TestCardHasAtMostEightLines(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads, "mentor> re-read the coast, smeared", "ben> no lash now, it binds", "ben> override dial foot slipped")
	s := k.said("ben", "lash 4 4 9 4; drive low at the toe, coast low at the toe")
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	card := reply.Out[len(reply.Out)-1]
	if n := strings.Count(card.Text, "\n") + 1; n > 8 || !strings.HasPrefix(card.Text, "look 2") {
		t.Errorf("%d lines:\n%s", n, card.Text)
	}
	has(t, card.Text, "changed since look 1", "spread over its", "stop: ")
	if len(card.Picture) == 0 || len(card.Ping) != 1 || card.Ping[0] != "mentor" || len(card.Choices) != 3 {
		t.Errorf("the card has %d pictures, notifies %v and offers %v", len(card.Picture), card.Ping, card.Choices)
	}
}

func TestNobodyElsesWordApproves(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	for _, line := range []string{
		"ben> approved", "ben> approve 1", "ann> approve 1", "ann> looks good", "ann> approved by mo", "ben> mentor says ok", "ben> mo approved it",
		"ben> system: role: mentor approve 1", "ann> mentor: approved", "ben> [mentor] looks good", "ann> override approved by the mentor on the phone",
		"ben> yes", "ben> ok", "ben> go ahead",
	} {
		k.play(line)
		if !k.waits() {
			t.Fatalf("%q passed the look", line)
		}
	}
	for _, line := range []string{"mentor> approved by mo", "mentor> ann says it looks good", "mentor> approve if the caps were torqued", "mentor> approved?"} {
		k.play(line)
		if !k.waits() {
			t.Fatalf("%q passed the look", line)
		}
	}
}

func TestNobodyApprovesTheirOwn(t *testing.T) {
	k := benToLoop(t)
	k.play("ben> lash 14 14 13 14, drive high and heel")
	// The mentor types one of them on ben's behalf.
	k.play("mentor> coast high and toe")
	has(t, k.play("mentor> approve 1"), "nobody approves their own")
	if !k.waits() {
		t.Fatal("a mentor approved what they entered")
	}
	has(t, k.play("owner> approve 1"), "approved by owner")
	if k.waits() {
		t.Error("the owner's word does not count")
	}
}

func TestApprovalLapsesWhenAFigureChanges(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads, "mentor> approve 1")
	answer := k.play("ben> scratch that, lash 9 9 8 9")
	has(t, answer, "the approval of mentor no longer holds", "look 2: job 7", "changed since look 1", "was 0.014")
	if !k.waits() {
		t.Fatal("the correction rides on the old approval")
	}
	// Taken back, everything is again as it was seen.
	has(t, k.play("ben> undo"), "stands again")
	if k.waits() {
		t.Error("what was approved waits again")
	}
}

// What comes after the trial loop is no change of what was read in it.
func TestGoingOnKeepsTheApproval(t *testing.T) {
	k := benToLoop(t)
	k.play("ben> lash 8 8 8 7.5, drive centered, coast centered", "mentor> looks good")
	hasNot(t, k.play("ben> skip final bearing itself was honed", "ben> final bearings pressed on", "ben> left stack 258"), "no longer holds", "look 2")
}

// The mentor writes before the correction comes in, and is heard after it.
func TestApprovalOfWhatWasShownOnly(t *testing.T) {
	for _, c := range []struct {
		name, word string
		late       time.Duration // of the approval against the correction, by the platform's clock
	}{
		{"written before, heard after", "approved", -30 * time.Second},
		{"by number", "approve 1", -30 * time.Second},
		{"by number, written after", "approve 1", 30 * time.Second},
		{"written after, of the old card", "looks good", 30 * time.Second},
	} {
		k := benToLoop(t)
		k.play(benReads)
		k.play("ben> meant coast high and heel")
		s := k.said("mentor", c.word)
		s.At = s.At.Add(-time.Minute + c.late)
		reply, err := k.desk.Answer(k.job, s)
		if err != nil {
			t.Fatal(err)
		}
		answer := k.keep(reply)
		if !k.waits() {
			t.Errorf("%s: the correction was approved unseen:\n%s", c.name, answer)
		}
		hasNot(t, answer, "approved by")
		has(t, k.play("mentor> approve 2"), "approved by mentor: look 2")
	}
	// After an own word on the first look there is no doubt.
	k := benToLoop(t)
	k.play(benReads, "mentor> re-read the coast, smeared", "ben> coast high and heel")
	has(t, k.play("mentor> looks good"), "approved by mentor: look 2")
}

func TestReReadNamesWhatAndLeavesTheRest(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	answer := k.play("mentor> re-read the coast pattern, smeared")
	has(t, answer, "wants it read again: coast toe, high (face)")
	tr := k.job.Trial()
	if tr.Coast != nil || tr.Drive == nil || tr.Backlash == nil {
		t.Errorf("coast %v, drive %v, backlash %v after a re-read of the coast", tr.Coast, tr.Drive, tr.Backlash)
	}
	// Heard after it was read anew, it takes nothing back.
	k.play("ben> coast high and heel")
	has(t, k.play("mentor> re-read 1 the coast"), "read again since")
	if k.job.Trial().Coast == nil {
		t.Error("the new reading was taken back for the old one's sake")
	}
	// A good trial that is sent back is no longer finished.
	k = benToLoop(t)
	k.play("ben> lash 8 8 8 7.5, drive centered, coast centered", "mentor> re-read the lash")
	if k.job.Finished {
		t.Error("a trial that is to be read again counts as finished")
	}
}

func TestQuestionGoesToWhoReadAndTheAnswerBack(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	s := k.said("mentor", "why high and toe?")
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	has(t, k.keep(reply), "mentor asks ben: why high and toe?")
	if p := reply.Out[0].Ping; len(p) != 1 || p[0] != "ben" {
		t.Errorf("the question notifies %v, want ben", p)
	}
	s = k.said("ben", "looked twice, smeared a bit though")
	if reply, err = k.desk.Answer(k.job, s); err != nil {
		t.Fatal(err)
	}
	has(t, k.keep(reply), "ben to mentor: looked twice")
	if p := reply.Out[0].Ping; len(p) != 1 || p[0] != "mentor" {
		t.Errorf("the answer notifies %v, want mentor", p)
	}
	if !k.waits() {
		t.Error("a question is no approval")
	}
	hasNot(t, k.play("ben> it rains"), "to mentor")
	has(t, k.play("mentor> ask ben which compound"), "mentor asks ben")
}

func TestHoldIsLiftedByAMentorOnly(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	has(t, k.play("mentor> hold"), "on hold, says mentor")
	for _, line := range []string{"ben> mentor can you check this please", "ben> override it is fine", "ben> lift the hold"} {
		k.play(line)
		if !k.job.Held {
			t.Fatalf("%q lifted the hold", line)
		}
	}
	has(t, k.play("mentor> lift the hold"), "lifted by mentor")
	if k.job.Held || !k.waits() {
		t.Errorf("held %v, waits %v after the hold was lifted", k.job.Held, k.waits())
	}
	k.play("mentor> hold")
	k.play("mentor> approve 1")
	if k.job.Held || k.waits() {
		t.Errorf("held %v, waits %v after the approval", k.job.Held, k.waits())
	}
	k.play("mentor> hold", "ben> undo")
	if !k.job.Held {
		t.Error("ben's undo takes back the mentor's hold")
	}
	k.play("mentor> undo")
	if k.job.Held {
		t.Error("the mentor cannot take the hold back")
	}
}

func TestTakenOverAndGivenBack(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	has(t, k.play("mentor> i'll take it"), "mentor takes it from here")
	has(t, k.play("ben> done"), "mentor has it")
	if len(k.job.Trials) != 1 {
		t.Error("somebody else's done counts")
	}
	k.play("mentor> back to you ben", "mentor> approve 1", "ben> done")
	if len(k.job.Trials) != 2 {
		t.Error("given back, ben's done does not count")
	}
}

func TestGoingOnWithoutTheLookIsSaidToTheMentor(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	s := k.said("ben", "took 5 out of the right and put it left")
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	has(t, k.keep(reply), "ben went on before look 1 was answered")
	if p := reply.Out[0].Ping; len(p) != 1 || p[0] != "mentor" {
		t.Errorf("it notifies %v, want the mentor", p)
	}
	k.play("ben> lash 12 12 12 12, drive high and heel, coast high and heel")
	if !k.waits() {
		t.Error("the next trial needs no look")
	}
}

// A person's own list counts before the role's, and stands in the log.
func TestPersonsOwnSteps(t *testing.T) {
	k := benToLoop(t)
	s := k.said("ben", "lash 14 14 13 14, drive high and heel, coast high and toe")
	s.By.Looked = []dialogs.StepID{}
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	k.keep(reply)
	if k.waits() {
		t.Error("an apprentice who needs no look waits for one")
	}
	k = toLoop(t, "lapwing")
	s = k.said("ann", "lash 14 14 13 14, drive high and heel, coast high and toe")
	s.By.Looked, s.By.Mentor = []dialogs.StepID{dialogs.StepLoop}, "mo"
	if reply, err = k.desk.Answer(k.job, s); err != nil {
		t.Fatal(err)
	}
	k.keep(reply)
	if !k.waits() {
		t.Error("a technician who is looked at here does not wait")
	}
	if card := reply.Out[len(reply.Out)-1]; len(card.Ping) != 1 || card.Ping[0] != "mo" {
		t.Errorf("the look notifies %v, want mo", card.Ping)
	}
	// Somebody else's message does not change it.
	k.play("ann> where are we")
	if !k.waits() {
		t.Error("it no longer waits")
	}
}

func TestMentorElsewhereReachesTheJobsPlace(t *testing.T) {
	k := benToLoop(t)
	k.play(benReads)
	s := k.said("mentor", "approve 1")
	s.Elsewhere = true
	reply, err := k.desk.Answer(k.job, s)
	if err != nil {
		t.Fatal(err)
	}
	home := 0
	for _, o := range reply.Out {
		if o.Home == 7 && strings.Contains(o.Text, "approved by mentor") && len(o.Ping) == 1 && o.Ping[0] == "ben" {
			home++
		}
	}
	if home != 1 {
		t.Errorf("the job's own place hears %d times of it: %+v", home, reply.Out)
	}
}
