package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

// toFinalLook brings a job to the look on the final carrier assembly.
func toFinalLook(t *testing.T) *talk {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 8 8, drive centered, coast centered",
		"ann> skip honed itself", "ann> same", "ann> final bearings pressed on and seated", "ann> new", "ann> in",
		"ann> nut 1/16 turn, drag 16", "ann> left 250 right 245", "ann> caps torqued", "ann> total drag 22", "ann> lash 8 8 8 8")
	has(t, k.play("ann> drive centered, coast centered"), "look 1")
	return k
}

// What was raised when the cover went on is about the cover going on: a torque of
// something else changes nothing about it.
func TestAStopOfClosingStandsUntilItsCauseIsGone(t *testing.T) {
	k := toFinalLook(t)
	has(t, k.play("ann> cover is on"), "nobody has signed off")
	hasNot(t, k.play("ann> ring gear bolts 74 ft lb", "ann> oil 4.2 pints"), "hold is over")
	if n := len(k.job.Stops()); n != 1 {
		t.Fatalf("%d stops stand, want the one of the sign-off", n)
	}
	has(t, k.play("mentor> approve 1"), "hold is over")
	if n := len(k.job.Stops()); n != 0 {
		t.Errorf("%d stops stand after the sign-off, want none", n)
	}
}

func TestSayingWhatHoldsLapsesNoApproval(t *testing.T) {
	k := toFinalLook(t)
	k.play("mentor> approve 1")
	hasNot(t, k.play("ann> bearing caps 75 ft lb, signed ann", "ann> caps torqued"), "no longer holds", "look 2")
	if k.waits() {
		t.Error("it waits for another look at what was approved")
	}
	has(t, k.play("ann> bearing caps 71 ft lb, signed ann"), "no longer holds") // another figure is another thing to look at
}

// A customer is told how the job stands, not who did what when, and changes nothing.
func TestACustomerGetsTheShortSummary(t *testing.T) {

	k := toLoop(t, "lapwing")
	k.play("ann> lash 14 14 13 14")
	for _, verb := range []string{"log", "status", "labels", "next", "why"} {
		answer := k.hear("cleo", verb)
		has(t, answer, "job 7, lapwing", "say sheet")
		hasNot(t, answer, "ann", "next,")
	}
	v := k.job.Version()
	for _, verb := range []string{"undo", "skip it is fine", "close job done", "reopen 3", "override my car", "done", "yes", "1"} {
		k.hear("cleo", verb)
	}
	if k.job.Version() != v {
		t.Errorf("a customer's word changed the job: %d entries, were %d", k.job.Version(), v)
	}
	door := k.desk.Door(k.said("cleo", "jobs"), dialogs.View{All: []dialogs.JobLine{{Number: 3, Sheet: "dunlin", Title: "a neighbour's", By: "mo"}}})
	hasNot(t, door.Out[0].Text, "neighbour")
}

func TestABareCorrectionIsOfWhatWasSaidLast(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new gears", "ann> lash 15 16 14 15, drive heel and high, coast heel, caps marked", "ann> left 250 right 245", "ann> old pinion shim 29")
	answer := k.play("ann> actually 28")
	has(t, answer, "took back old pinion shim 0.029 in", "old pinion shim 0.028 in", "marking on the old pinion head")
}

func TestAnAnswerMayNameWhatItAnswers(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new gears", "ann> lash 15 16 14 15, drive heel and high, coast heel, caps marked", "ann> left 250 right 245", "ann> old pinion shim 29")
	has(t, k.play("ann> old mark: none"), "old pinion marking 0.000 in")
	has(t, k.play("ann> new mark none"), "new pinion marking 0.000 in")
	k.play("ann> 11 41", "ann> yes", "ann> yes", "ann> done", "ann> ring bolts torqued, runout 1 thou")
	has(t, k.play("ann> left same"), "left stack 0.250 in")
	has(t, k.play("ann> right same"), "right stack 0.245 in")
}

func TestACorrectedMarkIsTakenOnceTheNextIsAsked(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new gears", "ann> lash 15 16 14 15, drive heel and high, coast heel, caps marked", "ann> left 250 right 245", "ann> old pinion shim 29", "ann> old mark 0", "ann> new +3")
	has(t, k.play("ann> actually +2"), "new pinion marking +0.002 in", "tooth counts")
}
