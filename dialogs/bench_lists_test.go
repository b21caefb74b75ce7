package dialogs_test

import (
	"testing"
)

// The labels say what stands in the housing during the trials, and what goes in
// for good once they are finished.
func TestLabels(t *testing.T) {
	k := toLoop(t, "lapwing")
	has(t, k.play("ann> labels"), "pinion 0.030 in", "left 0.250 in: 0.240 + 0.010", "right 0.245 in: 0.240 + 0.005")
	k.play("ann> lash 8 8 8 9, drive centered, coast centered", "ann> setup bearing 1.235, final bearing 1.238")
	has(t, k.play("ann> what goes where"), "pinion 0.027 in (in the trial 0.030 in)", "left 0.254 in: 0.240 + 0.005 + 0.003 + 0.003 + 0.003 (in the trial 0.250 in)", "right 0.249 in")
	reply, err := k.desk.Answer(k.job, k.said("ann", "labels"))
	if err != nil || len(reply.Out) != 1 || len(reply.Out[0].Picture) != 1 || reply.Out[0].Picture[0].Stacks == nil {
		t.Fatalf("no picture of the labels: %+v, %v", reply.Out, err)
	}
	if n := len(reply.Out[0].Picture[0].Stacks.Stacks); n != 3 {
		t.Errorf("%d stacks in the picture, want 3", n)
	}
}

func TestPartsFollowTheDamageAndTheSleeves(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new", "ann> chips on the pinion teeth, head bearing is blue")
	if len(k.job.Damage) != 2 {
		t.Fatalf("%d findings on record: %+v", len(k.job.Damage), k.job.Damage)
	}
	has(t, k.play("ann> damage list"), "pinion chipped (ann", "head bearing blue from heat")
	has(t, k.play("ann> what parts do i need"), "a ring and pinion set", "pinion bearings, head and tail, with cups", "2 crush sleeves", "75W-90 GL-5, 4.2 pt (2.0 l), with friction modifier")
	k = toFinalDrag(t)
	k.play("ann> drag 26", "ann> new sleeve and new nut in")
	has(t, k.play("ann> parts"), "2 crush sleeves (one to spare)")
	k.play("ann> undo")
	hasNot(t, k.play("ann> damage list"), "pinion chipped")
}

func TestToolsAndTorques(t *testing.T) {
	k := open(t, "curlew")
	has(t, k.play("ben> new"), "say tools")
	has(t, k.play("ben> tools"), "torque wrench to 220 ft·lbf", "case spreader", "nothing runs while hands are in it")
	has(t, k.play("ann> torque list"), "ring gear bolts 70–78 ft·lbf, LEFT-HAND: counter-clockwise tightens, locker, new each time: not signed", "extension")
	k.play("ann> caps torqued 60, signed mo")
	has(t, k.play("ann> torque list"), "bearing caps 55–65 ft·lbf, right-hand, oiled (K 0.15): at 60 ft·lbf, signed mo")
}

// A torque off the sheet's figure is not signed off.
func TestATorqueOffTheSheetIsNotSignedOff(t *testing.T) {
	k := toLoop(t, "lapwing")
	has(t, k.play("ann> cover bolts torqued 50"), "the sheet says 25–35 ft·lbf", "not signed off")
	if len(k.job.Torqued) != 0 {
		t.Errorf("signed off: %+v", k.job.Torqued)
	}
	has(t, k.play("ann> cover bolts torqued 30"), "cover bolts 30 ft·lbf, signed ann")
	if got := k.job.Torqued["cover bolts"]; got.Signed != "ann" || got.Torque.FtLbf() < 29.9 {
		t.Errorf("signed off as %+v", got)
	}
	k.play("ann> undo")
	if len(k.job.Torqued) != 0 {
		t.Errorf("after undo it is still signed off: %+v", k.job.Torqued)
	}
}

// A ratio that was ordered and not counted is said before anything is pressed on.
func TestRatioOrderedAgainstCounted(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new")
	has(t, k.play("ann> ordered 4.10", "ann> tooth counts 11 and 41"), "the tooth counts make 3.727, ordered was 4.1")
}
