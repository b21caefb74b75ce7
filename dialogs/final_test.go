package dialogs_test

import (
	"math"
	"strings"
	"testing"

	"shimwright/dialogs"
)

// toFinal brings a job to the final pinion assembly.
func toFinal(t *testing.T, sheet string) *talk {
	k := toLoop(t, sheet)
	k.play("ann> lash 8 8 8 9, drive centered, coast centered")
	if st, _ := k.next(); st.ID != dialogs.StepFinalPinion {
		t.Fatalf("the job stands at %s", st.ID)
	}
	return k
}

// toFinalDrag brings it to the first look at the drag.
func toFinalDrag(t *testing.T) *talk {
	k := toFinal(t, "lapwing")
	k.play("ann> setup bearing 1.235", "ann> final bearing 1.238", "ann> same", "ann> final bearings pressed on", "ann> new", "ann> yes", "ann> in")
	if _, f := k.next(); f == nil || f.Slot != dialogs.FinalDrag {
		t.Fatalf("it asks for %+v, want the drag", f)
	}
	return k
}

// A taller final bearing asks for a thinner shim, and a thicker one under a
// cartridge. Source: common practice, no source.
func TestFinalShimFollowsTheBearing(t *testing.T) {
	k := toFinal(t, "lapwing")
	answer := k.play("ann> setup bearing 1.235", "ann> final bearing 1.238")
	has(t, answer, "0.003 in taller", "0.003 in deeper", "pinion shim 0.030 → 0.027 in", "0.027 in goes in")
	k.play("ann> same")
	b := k.job.Trial().Build
	if got := b.Pinion.Thickness.Thou(); math.Abs(got-27) > 1e-6 {
		t.Errorf("the shim is %.3f thou, want 27", got)
	}
	s, _ := k.desk.Sheets.Sheet("lapwing")
	if move := dialogs.PinionMove(s, b); math.Abs(move.Thou()) > 1e-6 {
		t.Errorf("the pinion moved %.3f thou, want none: the shim makes up for the bearing", move.Thou())
	}
}

// The whole way from the finished trial to the last step, with what is said on it.
func TestFromTheTrialToTheEnd(t *testing.T) {
	k := toFinalDrag(t)
	has(t, k.play("ann> drag 0"), "14–23 in·lbf", "never back it off")
	if s := k.job.Stops(); len(s) > 0 {
		t.Errorf("no preload yet is no stop while it is brought in: %v", s)
	}
	has(t, k.play("ann> nut at 240 ft lb, drag 9"), "nut torque 240 ft·lbf", "9 in·lbf")
	has(t, k.play("ann> drag 16"), "inside 14–23 in·lbf", "stop there", "step 10", "0.254 in goes in (0.240 + 0.005 + 0.003 + 0.003 + 0.003)")
	has(t, k.play("ann> same", "ann> same"), "caps on their own sides and torqued again")
	has(t, k.play("ann> caps torqued", "ann> total drag 22"), "6 in·lbf over the pinion's own, inside 3–8 in·lbf", "22.4 in·lbf at the carrier")
	has(t, k.play("ann> lash 8 8 8 9", "ann> drive centered, coast centered"), "came as predicted", "look 1 is with a mentor")
	answer := k.play("mentor> approved", "ann> yes", "ann> yes", "ann> cover on", "ann> yes", "ann> same", "ann> yes", "ann> yes")
	has(t, answer, "step 11, close up", "cover bolts signed ann", "oil 4.2 pt")
	hasNot(t, answer, "stop:")
	if st, f := k.next(); st.No <= 11 && st.No > 0 {
		t.Errorf("the job stands at %s and asks for %+v", st.ID, f)
	}
}

// What is closed without approval, drag or caps is held.
func TestClosingIsHeldForWhatIsMissing(t *testing.T) {
	k := toFinal(t, "lapwing")
	k.play("ann> skip 9 done yesterday", "ann> skip", "ann> skip", "ann> caps torqued", "ann> skip", "ann> final lash 8 8 8 9", "ann> drive centered, coast centered", "ann> yes", "ann> yes")
	answer := k.play("ann> cover on")
	has(t, answer, "stop: the final drag is not on record", "stop: nobody has signed off")
	if len(k.job.Stops()) != 2 {
		t.Errorf("%d stops, want 2: %v", len(k.job.Stops()), k.job.Stops())
	}
}

// Drag past the top is a stop until there is a new sleeve.
func TestOverCrushedSleeve(t *testing.T) {
	k := toFinalDrag(t)
	has(t, k.play("ann> drag 26"), "stop:", "over-crushed")
	has(t, k.play("ann> new sleeve and new nut in"), "the hold is over")
	if len(k.job.Drags) != 0 {
		t.Errorf("%d looks stand on the new sleeve", len(k.job.Drags))
	}
	has(t, k.play("ann> drag 15"), "stop there")
}

// A nut that was backed off holds nothing until there is a new sleeve.
func TestBackedOffNut(t *testing.T) {
	k := toFinalDrag(t)
	k.play("ann> drag 12")
	has(t, k.play("ann> backed the nut off a hair"), "stop:", "new sleeve")
	has(t, k.play("ann> new sleeve, new nut"), "the hold is over")
}

// Left and right in each other's place are named, and put right before it goes on.
func TestSwappedStacksAreNamed(t *testing.T) {
	k := toFinalDrag(t)
	k.play("ann> drag 16", "ann> left stack 249")
	answer := k.play("ann> right stack 254")
	has(t, answer, "the left stack and the right stack measure as each other's", "change them over")
	if _, f := k.next(); f == nil || f.Slot != dialogs.FinalLeft {
		t.Errorf("it asks for %+v, want the left stack again", f)
	}
	answer = k.play("ann> left stack 254", "ann> right stack 249")
	if _, f := k.next(); f == nil || f.Slot == dialogs.FinalLeft || f.Slot == dialogs.FinalRight {
		t.Errorf("it still asks for a stack:\n%s", answer)
	}
}

// Going back to the trial puts setup bearings in again: final readings are done with.
func TestBackToTheTrial(t *testing.T) {
	k := toFinalDrag(t)
	k.play("ann> drag 16", "ann> reopen 8")
	if k.job.Trial().Final || k.job.Finished {
		t.Errorf("after reopening the loop the job is final %v, finished %v", k.job.Trial().Final, k.job.Finished)
	}
	if st, _ := k.next(); st.ID != dialogs.StepLoop {
		t.Errorf("it stands at %s", st.ID)
	}
	has(t, k.play("ann> lash 8 8 8 8, drive centered, coast centered"), "good")
	if strings.Contains(k.play("ann> status"), "step 8") {
		t.Error("the loop is not passed again")
	}
}
