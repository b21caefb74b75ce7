package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

func TestBareNumbersThatCanBeTwoThingsAreAskedBack(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new", "ann> skip 2 apart already")
	has(t, k.play("ann> 11 41"), "tooth counts, or leaves")
	has(t, k.play("ann> 1"), "tooth counts 11 / 41")
	k.play("ann> 0.035")
	if _, f := k.next(); f == nil || f.Slot != dialogs.OldLeft {
		t.Fatalf("asked for %+v", f)
	}
	has(t, k.play("ann> 12 13 12 12"), "backlash round the ring, or leaves")
	has(t, k.play("ann> 2"), "old left stack 0.012 / 0.013 / 0.012 / 0.012 in")
	k.play("ann> 0.245", "ann> 0", "ann> 0")
	k = open(t, "saltmarsh")
	k.play("ann> new", "ann> skip 2 apart already", "ann> skip 3 no time")
	has(t, k.play("ann> 12 13 12 12"), "no tooth counts")
	k = open(t, "lapwing")
	k.play("ann> new", "ann> skip 2 apart already")
	hasNot(t, k.play("ann> 20 10 5"), "or leaves")
}

func TestWhatIsReadWhenApartIsOfATrial(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new", "ann> lash 11 12 11 12, drive heel, coast heel", "ann> caps marked", "ann> old pinion shim 30")
	k.play("ann> lash 14 14 13 14, drive high heel, coast high heel")
	if found := k.job.Slots[dialogs.FoundBacklash]; len(found.Values) != 4 || found.Values[0] != 0.011 {
		t.Errorf("as found stands at %v after a trial was read", found.Values)
	}
	if tr := k.job.Trial(); tr.Backlash == nil || tr.Backlash.Values[0] != 0.014 {
		t.Errorf("the trial has %+v", tr.Backlash)
	}
}

func TestNoMarkingIsZero(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new", "ann> skip 2 apart already", "ann> old shim 30", "ann> left 250 right 245")
	has(t, k.play("ann> none"), "old pinion marking 0")
	has(t, k.play("ann> new mark 0"), "new pinion marking 0")
	if st, _ := k.next(); st.ID == dialogs.StepTeardown {
		t.Error("the markings are asked for again")
	}
	k = open(t, "lapwing")
	k.play("ann> new", "ann> skip 2 apart already")
	has(t, k.play("ann> old mark 0, new mark 0"), "old pinion marking 0", "new pinion marking 0")
}

func TestALoneNumberIsNoToothCount(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new", "ann> skip 2 apart already", "ann> skip 3 no time")
	k.play("ann> lunch in ten?")
	if r, ok := k.job.Slots[dialogs.Teeth]; ok {
		t.Fatalf("chatter was logged as %v", r.Values)
	}
	has(t, k.play("ann> 41"), "both counts")
	has(t, k.play("ann> 11 41"), "tooth counts 11 / 41")
}

func TestThinStacksAndTotalsAreAskedBack(t *testing.T) {
	k, _ := toStart(t, "lapwing", "ann> old pinion shim 30", "ann> left 250 right 245", "ann> old mark 0", "ann> new mark 0")
	k.play("ann> done", "ann> ring bolts torqued, runout 1 thou")
	has(t, k.play("ann> 12"), "thin for the left stack")
	if k.job.Trial().Build.Left.Known {
		t.Error("12 was logged as the left stack before it was asked back")
	}
	has(t, k.play("ann> left 250"), "left stack 0.250")
	has(t, k.play("ann> total 22"), "total drag, or the right stack")
	has(t, k.play("ann> 2"), "right stack 0.022")
}
