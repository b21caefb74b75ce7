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
	has(t, k.play("ann> why"), "why final bearings pressed")
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
	has(t, k.play("ann> ok marked now"), "caps marked", "teardown")
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

// A correction without a figure is of what is in the housing now: what an earlier build
// or the axle as found read stays with it.
func TestACorrectionDoesNotReachPastTheBuild(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 14 14 14 13.5", "ann> drive high heel, coast high heel", "ann> done", "ann> lash 9 9 9 9.5", "ann> undo")
	hasNot(t, k.play("ann> meant lash 8 9 9 9"), "took back")
	k.play("ann> lash 8 9 9 9, drive centered, coast centered")
	if n := len(k.job.Trials[0].Backlash.Values); n != 4 {
		t.Errorf("the first build has %d backlash readings left, want its 4", n)
	}
	has(t, k.play("ann> meant lash 8 8 9 9"), "took back backlash 0.008 / 0.009 / 0.009 / 0.009 in")
}

// An adjuster has no shims to take out.
func TestABareMoveOnAdjustersIsAskedAbout(t *testing.T) {
	k := toLoop(t, "saltmarsh")
	k.play("ann> lash 35 36 35 34")
	has(t, k.play("ann> took 2 out of the left"), "2 notches?")
	has(t, k.play("ann> 1"), "left -2")
}

// A pack the kit cannot make is not told as the thickest it can.
func TestAPackBeyondTheKitStaysWhatItIs(t *testing.T) {
	k := open(t, "shingle-bank")
	k.play("ann> new gears", "ann> skip 2 bare", "ann> old pinion shim 12, old mark 0, new mark 0", "ann> pack 230", "ann> skip 4 done", "ann> done", "ann> skip 6 done", "ann> caps torqued",
		"ann> lash 8 8 9 8", "ann> drive centered, coast centered")
	hasNot(t, k.play("ann> labels"), "preload pack 0.1")
}

// "a touch" is of the height where a height is named with it.
func TestATouchHighAtTheHeelIsAtTheHeel(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 8 8.5")
	answer := k.play("ann> drive heel, a touch high, coast centered")
	has(t, answer, "drive heel, a touch high")
	hasNot(t, answer, "both patterns carry in the middle")
}

func TestAFigureThatIsAskedAboutIsTheOneThatIsJudged(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 12 12 12 12.5")
	has(t, k.play("ann> is 9 ok?"), "0.009 in is inside")
	has(t, k.play("ann> is 14 ok?"), "0.014 in is outside")
	has(t, k.play("ann> is 4 thou runout ok?"), "0.004 in is outside the sheet's 0.003 in")
}

// A taller bearing calls for a thinner shim; it is not a shim change by itself.
func TestATallerBearingIsNoShimChange(t *testing.T) {
	k := open(t, "curlew")
	k.play("ann> new gears", "ann> skip 2 bare", "ann> old pinion shim 42", "ann> left 210 right 215", "ann> old mark 0, new mark 0", "ann> preload pack 100", "ann> skip 4 done", "ann> done",
		"ann> skip 6 done", "ann> same", "ann> same", "ann> caps torqued", "ann> lash 8 8 8 8.5", "ann> drive centered, coast centered",
		"ann> setup bearing 1.235", "ann> final bearing 1.238")
	hasNot(t, k.play("ann> drag 8"), "depth shim changed")
}

// A reading that names another axle does not land on this one.
func TestAReadingOfAnotherJobIsNotLogged(t *testing.T) {
	for text, lands := range map[string]bool{
		"lash on the saltmarsh one was 24 24 24 25": false,
		"job 3 lash 8 8 9 8":                        false,
		"lash 8 8 9 8":                              true,
		"job 7 lash 8 8 9 8":                        true,
		"lapwing lash 8 8 9 8":                      true,
	} {
		k := toLoop(t, "lapwing")
		answer := k.play("ann> " + text)
		if got := k.job.Trial().Backlash != nil; got != lands {
			t.Errorf("%q logged: %t, want %t\n%s", text, got, lands, answer)
		}
	}
}

// Where the setup bearing's height was left out, the final one's tells nothing.
func TestOneHeightAloneIsNotAskedFor(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 8 8.5, drive centered, coast centered")
	has(t, k.play("ann> skip honed"), "pinion shim: 0.030 in goes in")
}

// A stop that came from a mistyped figure goes with the figure; one that words raised stays.
func TestAStopOfAMistypedFigureGoesWithIt(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		stops int
	}{
		{"undone", []string{"ann> temperature of the housing 265 F", "ann> undo"}, 0},
		{"corrected", []string{"ann> lash 0 8 8 8", "ann> not 0, 8"}, 0},
		{"still so", []string{"ann> lash 0 8 8 8", "ann> not 8, 9"}, 1},
		{"heard, and a figure undone after it", []string{"ann> swapped the caps by mistake", "ann> lash 8 8 8 8.5", "ann> undo"}, 1},
		{"heard with a figure that is corrected", []string{"ann> backed the nut off a hair, pinion drag 12", "ann> not 12, 13"}, 1},
	} {
		k := toLoop(t, "lapwing")
		answer := k.play(c.lines...)
		if n := len(k.job.Stops()); n != c.stops {
			t.Errorf("%s: %d stops stand, want %d\n%s", c.name, n, c.stops, answer)
		}
	}
}

func TestAStackOfTheFinalAssemblyIsTheSameByName(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 8 8 8 8.5, drive centered, coast centered", "ann> skip honed")
	has(t, k.play("ann> pinion shim same"), "pinion shim 0.030 in")
}

// Caps that are not marked yet are to be marked; dots are counted, not measured; what
// was said to be wrong is said to be right again.
func TestWhatIsPutRightInWords(t *testing.T) {
	k := open(t, "dunlin")
	k.play("ann> new gears", "ann> skip 2 came in bare")
	has(t, k.play("ann> caps not marked yet"), "caps are not marked")
	k.play("ann> old shim 1.42")
	answer := k.play("ann> punched them now, one dot left two right")
	has(t, answer, "caps marked")
	hasNot(t, answer, "mm")
	k.play("ann> left 3.10 right 3.35")
	answer = k.play("ann> mixed up the caps")
	has(t, answer, "mixed up")
	hasNot(t, answer, "took back")
	for _, row := range []struct{ danger, still, right string }{
		{"", "not sure which is which", "found the marks, both back on their own sides"},
		{"dropped a shim in the housing", "cant find it", "found it, was under the ring"},
		{"rag in the mesh while turning it", "rag is still in there", "ok rag is out"},
		{"se me cayó un calce dentro de la carcasa", "todavía no lo encuentro", "ya lo encontré"},
	} {
		if row.danger != "" {
			has(t, k.play("ann> "+row.danger), "stop: ")
		}
		hasNot(t, k.play("ann> "+row.still), "hold is over")
		has(t, k.play("ann> "+row.right), "the hold is over")
	}
}

func TestToothCountsAreNoLeavesOfAShim(t *testing.T) {
	k := open(t, "curlew")
	k.play("ann> new gears", "ann> skip 2 came in bare")
	answer := k.play("ann> 10 41")
	has(t, answer, "10 41: the tooth counts, or leaves of the old pinion shim?")
	hasNot(t, answer, "0.041 in;")
	has(t, k.play("ann> old pinion shim 10 21"), "0.010 / 0.021 in")
}
