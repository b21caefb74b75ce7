package dialogs_test

import (
	"strings"
	"testing"

	"shimwright/dialogs"
)

// What reads the same a second time is settled: nobody is sent to read it a third.
func TestReadTwiceIsNotAskedAThirdTime(t *testing.T) {
	for _, c := range []struct {
		name  string
		first string
		again []string
		want  string // in the answer to the last
	}{
		{"crossed, both painted again", "drive low, coast high", []string{"drive low, coast high"}, "no shim cures this"},
		{"crossed, the same in a word", "drive low, coast high", []string{"still the same"}, "no shim cures this"},
		{"crossed, one flank after the other", "drive low, coast high", []string{"drive low", "coast high"}, "no shim cures this"},
		{"one flank only", "drive low, coast high", []string{"drive low"}, "coast pattern once more"},
		{"it was the eye", "drive low, coast high", []string{"drive low, coast low"}, "shallower"},
		{"both at the toe, height asked", "drive toe, coast toe", []string{"drive low", "coast low"}, "shallower"},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := toLoop(t, "lapwing")
			k.play("ann> lash 8 8 8 8.5")
			hasNot(t, k.play("ann> "+c.first), "no shim cures this", "pinion shim 0.0")
			answer := ""
			for _, line := range c.again {
				answer = k.play("ann> " + line)
			}
			has(t, answer, c.want)
		})
	}
}

func TestAPatternIsToldInTwoHalves(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 14 14 14 13.5", "ann> drive heel")
	has(t, k.play("ann> drive high"), "drive heel, high (face)")
	has(t, k.play("ann> drive toe low"), "drive toe, low (flank)") // said whole it is another reading
}

// A correction that names nothing and leads to a question takes nothing back before the
// question is answered.
func TestNothingIsTakenBackBeforeItIsClear(t *testing.T) {
	k := open(t, "curlew")
	k.play("ann> new gears", "ann> old pinion shim .042, old mark +3")
	hasNot(t, k.play("ann> put in 45 instead", "ann> actually 46"), "took back old pinion marking")
	has(t, k.play("ann> where are we"), "old pinion marking +0.003 in")
}

func TestUndoUnderAHoldSaysTheHold(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> swapped the caps by mistake", "ann> ring runout 1 thou")
	has(t, k.play("ann> undo"), "took back", "on hold")
}

func TestUndoingANoiseLeavesTheGoodBuildAlone(t *testing.T) {
	k := toFinalLook(t)
	k.play("mentor> approve 1", "ann> magnet clean", "ann> axles retained", "ann> cover on", "ann> cover bolts 30 ft lb", "ann> oil 4.2 pints", "ann> modifier added", "ann> vent clear",
		"ann> start break-in", "ann> off", "ann> back, 10 miles, 170 F, it whines at 50 on drive")
	hasNot(t, k.play("ann> undo"), "that is good", "0.008 in is inside")
}

func TestWhyFitsAPhone(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 14 14 13 14, drive high toward the heel, coast high and heel")
	answer := k.hear("ann", "why")
	if n := len(strings.Split(answer, "\n")); n > 8 {
		t.Errorf("why has %d lines, want at most 8:\n%s", n, answer)
	}
	has(t, answer, "pinion stands", "lash after it", "why more")
	has(t, k.play("ann> why more"), "geometry", "practice says the same")
	has(t, k.play("ann> por que mas"), "geometry")
}

func TestWhyIsOfTheOpenQuestionOnceTheTalkWentOn(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 8 8.5, drive centered, coast centered")
	has(t, k.play("ann> why"), "lash 0.008 in is inside")
	k.play("ann> skip honed itself", "ann> same")
	has(t, k.play("ann> why"), "why final bearing height")
}

// A question of the bench that is still open does not turn the final drag into one of a trial.
func TestFinalReadingsAreFinalWhateverIsStillAsked(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new gears", "ann> skip 2 came in bare", "ann> old pinion shim 30, left 250, right 245", "ann> old mark 0, new mark 0", "ann> pinion shim 30",
		"ann> caps torqued", "ann> lash 8 8 8 8.5, drive centered, coast centered")
	if st, _ := k.next(); st.ID != dialogs.StepParts {
		t.Fatalf("the job stands at %s, want the parts check", st.ID)
	}
	k.play("ann> setup bearing 1.235, final bearing 1.235", "ann> seal in")
	has(t, k.play("ann> drag 40"), "over-crushed")
	answer := k.play("ann> drag 12")
	has(t, answer, "fell from")
	hasNot(t, answer, "12 in·lbf is past", "12 in·lbf went past")
}

func TestTheBenchWaitsWhileTrialsAreRead(t *testing.T) {
	k := open(t, "lapwing")
	k.play("ann> new gears", "ann> skip 2 came in bare", "ann> old pinion shim 30, left 250, right 245", "ann> old mark 0, new mark 0")
	k.play("ann> pinion shim 30", "ann> left 250 right 245", "ann> caps torqued")
	hasNot(t, k.play("ann> lash 14 14 14 13.5", "ann> drive high"), "match number", "tooth counts")
	k.play("ann> coast high", "ann> done", "ann> lash 8 8 8 8.5")
	has(t, k.play("ann> drive centered, coast centered"), "that is good", "parts check")
}

func TestCapsWithoutMarksAreNoMixedCaps(t *testing.T) {
	for text, want := range map[string]string{"caps not marked": "caps are not marked", "swapped the caps": "mixed up", "caps arent marked and i mixed them": "mixed up"} {
		k := open(t, "lapwing")
		k.play("ann> new gears")
		has(t, k.play("ann> "+text), want)
	}
	k := open(t, "lapwing")
	k.play("ann> new gears", "ann> lash 8 8 8 9", "ann> drive centered", "ann> coast centered", "ann> caps not marked")
	has(t, k.play("ann> ok marked now"), "caps marked: yes", "teardown")
}

// The oil is asked for by name; nothing is warned of before that.
func TestTheModifierIsNoCautionBeforeTheOil(t *testing.T) {
	k := toFinalLook(t)
	hasNot(t, k.play("mentor> approve 1", "ann> magnet clean", "ann> axles retained", "ann> cover on"), "friction modifier")
	has(t, k.play("ann> cover bolts 30 ft lb", "ann> oil 4.2 pints"), "friction modifier in, for the clutches?")
	has(t, k.play("ann> no"), "friction modifier")
}

func TestAStackNobodyMeasuredIsToldByItsChange(t *testing.T) {
	k := open(t, "saltmarsh")
	k.play("ann> new gears", "ann> skip 2 bare", "ann> skip 3 bare", "ann> skip 4 done before", "ann> skip 5 it is in", "ann> skip 6 done", "ann> caps torqued", "ann> lash 35 36 35 34")
	answer := k.play("ann> drive high heel, coast high heel")
	has(t, answer, "thicker:", "deeper")
	hasNot(t, answer, "shim +", "shim -")
	has(t, k.play("ann> done"), "thicker than at first")
}
