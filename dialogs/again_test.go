package dialogs_test

import (
	"strings"
	"testing"
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
