package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

// taughtToBuild brings a job to the question before the first change is built.
func taughtToBuild(t *testing.T, reads string) (*talk, string) {
	k := benToLoop(t)
	k.play("mentor> teach ben on", "ben> "+reads)
	return k, k.play("mentor> looks good")
}

func TestTeachAsksBeforeItIsBuilt(t *testing.T) {
	k, answer := taughtToBuild(t, "lash 14 14 13 14, drive high and centered, coast high and centered")
	has(t, answer, "deeper", "ben, before you build it", "up or down the tooth")
	hasNot(t, answer, "expect ")
	has(t, k.play("ben> done"), "your guess first")
	if len(k.job.Trials) != 1 {
		t.Fatal("built before the guess")
	}
	before := k.job.Version()
	has(t, k.play("ben> i think it goes to the heel"), "up or down the tooth")
	if k.job.Version() != before {
		t.Error("what ben expects is filed as what he read")
	}
	has(t, k.play("mentor> down"), "")
	has(t, k.play("ben> down i think"), "the model says the same: down, towards the flank", "expect ")
	k.play("ben> done")
	if len(k.job.Trials) != 2 {
		t.Fatal("not built after the guess")
	}
	has(t, k.play("ben> lash 8 8 8 7.5, drive centered, coast centered"), "it went down, towards the flank, as ben and the model said")
	// Folded anew it is the same.
	again, err := dialogs.Fold("7", encoded(t, k.job))
	if err != nil || again.Quiz == nil || again.Quiz.Guess != k.job.Quiz.Guess {
		t.Errorf("folded anew the guess is %+v, %v", again.Quiz, err)
	}
}

func TestWrongGuessIsKindAndNoIdeaWillDo(t *testing.T) {
	k, _ := taughtToBuild(t, "lash 14 14 13 14, drive high and centered, coast high and centered")
	has(t, k.play("ben> up"), "worth watching: the model says down", "as a rule deeper")
	has(t, k.play("ben> done", "ben> lash 8 8 8 7.5, drive centered, coast centered"), "as the model said; the guess was up", "next time")

	for _, text := range []string{"no idea", "skip", "i dont know"} {
		k, _ = taughtToBuild(t, "lash 14 14 13 14, drive high and centered, coast high and centered")
		has(t, k.play("ben> "+text), "the model says: down", "expect ")
	}
}

func TestOnlyAMentorSwitchesTeach(t *testing.T) {
	k := benToLoop(t)
	has(t, k.play("ben> teach on"), "only a mentor")
	k.play("mentor> teach on", "mentor> teach ben off", "ben> lash 14 14 13 14, drive high and centered, coast high and centered")
	hasNot(t, k.play("mentor> looks good"), "before you build it")
	// Switched off while the question is open, it waits for nobody.
	k, _ = taughtToBuild(t, "lash 14 14 13 14, drive high and centered, coast high and centered")
	k.play("mentor> teach ben off", "ben> done")
	if len(k.job.Trials) != 2 {
		t.Error("a question that was switched off still waits")
	}
}

func TestACorrectionIsNoGuess(t *testing.T) {
	k, _ := taughtToBuild(t, "lash 14 14 13 14, drive high and centered, coast high and centered")
	k.play("ben> scratch that, drive low")
	if d := k.job.Trial().Drive; d == nil || d.Across != "flank" {
		t.Errorf("drive %+v after a correction while a guess is open", d)
	}
}
