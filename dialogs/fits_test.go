package dialogs_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"shimwright/calc/unit"
	"shimwright/dialogs"
)

// toRing brings a job to the step at which the ring goes on.
func toRing(t *testing.T, sheet string) *talk {
	t.Helper()
	k := open(t, sheet)
	k.play("ann> new", "ann> skip 2 known", "ann> skip 3 known", "ann> skip 4 known", "ann> skip 5 known")
	return k
}

func TestTheRingGoesOnWarm(t *testing.T) {
	k := toRing(t, "lapwing")
	has(t, k.play("ann> ring in the oven"), "ring: in the oven", "heat-proof gloves", "no flame", "no water", "warm the ring to 202–220 °F", "limit 250 °F")
	has(t, k.play("ann> oven set to 230"), "oven set to 230 °F", "0.002 in of play")
	has(t, k.play("ann> ring is at 150"), "ring temperature 150 °F", "too cold", "0.0005 in short")
	got := k.play("ann> ring is at 190 F")
	has(t, got, "ring temperature 190 °F", "soon lost")
	hasNot(t, got, "heat-proof")
	k.play("ann> ring is at 215")
	has(t, k.play("ann> ring is on, dropped on by itself"), "ring: it dropped on", "full torque when it is cold", "alone in still air")
	if g := k.job.Fits["ring"]; !g.Warm || math.Abs(g.Was.Fahrenheit()-215) > .01 || g.On != "dropped" {
		t.Errorf("kept as %+v", g)
	}
	if got := k.timers(); len(got) != 1 || !strings.HasPrefix(got[0], "ring ann ") {
		t.Fatalf("timers: %v", got)
	}
	has(t, k.play("ann> how long till the ring is cool?"), "likely cold to a hand (118 °F)")
	has(t, k.play("ann> can i touch it yet"), "likely cold to a hand (118 °F)")
	got = k.play("ann> ring bolts torqued 65 with a 2 in crow foot on a 14 in wrench")
	if strings.Count(got, "still warm") != 1 {
		t.Errorf("said not once: %s", got)
	}
	has(t, k.play("ann> ring bolts torqued 75"), "still warm", "once more when it is cold")
	has(t, k.wait(2*time.Hour), "should be cold to a hand", "its bolts once more in sequence", "70–78 ft·lbf")
	got = k.play("ann> ring has cooled, torqued again 75")
	has(t, got, "cold again", "ring gear bolts 75 ft·lbf, signed ann")
	hasNot(t, got, "still warm", "stop:")
	k.play("ann> la corona entró sola", "ann> ring is cold now")
	if got := k.timers(); len(got) != 0 {
		t.Errorf("still to be said: %v", got)
	}
}

func TestTooHotAndTooTight(t *testing.T) {
	k := toRing(t, "lapwing")
	has(t, k.play("ann> ring is at 500"), "may have lost its hardness", "HRC")
	k = toRing(t, "curlew") // no fit on the sheet
	has(t, k.play("ann> ring in the oven"), "say how tight it sits cold", "2 thou tight on 4.5 in")
	has(t, k.play("ann> ring is 2 thou tight on 4.5 in"), "ring interference 0.002 in", "warm the ring to 16")
	has(t, k.play("ann> ring is 10 thou tight"), "heat alone does not free 0.010 in")
	has(t, k.play("ann> carrier in dry ice"), "push the air out of a closed room", "shrinks by")
	has(t, k.play("ann> had to knock the ring on"), "knocked on", "eye protection")
	k = toRing(t, "saltmarsh")
	has(t, k.play("ann> ring at 130"), "ring temperature 130 °C", "the limit is 120 °C")
	has(t, k.play("ann> undo"), "took back")
	if _, ok := k.job.Slots[dialogs.RingHeat]; ok {
		t.Error("the temperature is still on record")
	}
}

func TestBearingsGoOnWarm(t *testing.T) {
	k := toFinalDrag(t)
	has(t, k.play("ann> bearing on the heater, 240"), "bearing temperature 240 °F", "of play")
	has(t, k.play("ann> bearing is on"), "hold it against its shoulder until it grips")
	if got := k.timers(); len(got) != 1 {
		t.Errorf("timers: %v", got)
	}
	has(t, k.wait(2*time.Hour), "look for a gap at its shoulder")
	has(t, k.play("ann> bearing at 280"), "the limit is 248 °F")
}

// A ring that came off again counts as warm only where it was warmed again.
func TestARingThatGoesOnTwice(t *testing.T) {
	k := toRing(t, "lapwing")
	k.play("ann> ring is at 215", "ann> ring is on, dropped on by itself", "ann> ring has cooled")
	k.play("ann> ring in the oven")
	if got := k.timers(); len(got) != 0 {
		t.Errorf("the ring is in the oven, and still to be said: %v", got)
	}
	k.play("ann> ring is at 190 F", "ann> ring is on")
	if g := k.job.Fits["ring"]; !g.Warm || math.Abs(g.Was.Fahrenheit()-190) > .01 {
		t.Errorf("warmed again, kept as %+v", g)
	}
	k.play("ann> ring has cooled", "ann> drew the ring on with its bolts")
	if g := k.job.Fits["ring"]; g.On != "drawn" || g.Warm || g.By != "" || len(k.timers()) != 0 {
		t.Errorf("drawn on cold, kept as %+v, timers %v", g, k.timers())
	}
}

// A wrench that is set to what was advised is inside.
func TestAnAdvisedSettingIsInside(t *testing.T) {
	for _, c := range []struct{ say, set string }{
		{"ring bolts torqued 60 with a 2 in extension on a 14 in wrench", "ring bolts torqued 62 with a 2 in extension on a 14 in wrench"},
		{"ring bolts torqued 60 with a 2 in extension on a 14 in wrench", "ring bolts torqued 68 with a 2 in extension on a 14 in wrench"},
		{"caps torqued 75 oiled", "caps torqued 53 oiled"},
	} {
		k := toRing(t, "lapwing")
		has(t, k.play("ann> "+c.say), "not signed off")
		has(t, k.play("ann> "+c.set), "signed ann")
	}
}

// A torque with an extension across the wrench.
func TestTorquedWithAnExtension(t *testing.T) {
	for _, c := range []struct {
		sheet, say string
		at         float64 // N·m at the bolt; 0 where it is not signed off
		tolerance  float64
		says       []string
		source     string
	}{
		{"lapwing", "ring bolts torqued 65 with a 2 in extension on a 14 in wrench", unit.FtLbf(65 * 16.0 / 14).NewtonMetre(), .01, []string{"65 ft·lbf shown, 74.3 ft·lbf at the bolt", "signed ann"}, "Y = T·L/(L+E), engineersedge.com torque_wrench_1, turned round"},
		{"lapwing", "ring bolts torqued 60 with a 2 in extension on a 14 in wrench", 0, 0, []string{"68.6 ft·lbf at the bolt", "set the wrench to 62–68 ft·lbf", "not signed off"}, "Y = T·L/(L+E), engineersedge.com torque_wrench_1"},
		{"saltmarsh", "caps torqued 71.1 nm with a 5 cm crowfoot on a 40 cm wrench", 80, .02, []string{"80 N·m at the bolt"}, "agentcalc.com: 80 N·m, 40 cm, 5 cm is 71.1 N·m in line"},
		{"saltmarsh", "caps torqued 80 nm with a 5 cm crowfoot at 90 on a 40 cm wrench", 80, .001, []string{"at 90° across: no correction"}, "agentcalc.com: 80 N·m at 90°"},
		{"lapwing", "caps torqued 75 with a 6 in socket extension", unit.FtLbf(75).NewtonMetre(), .001, []string{"in line with the bolt: no correction"}, "derived: no lever across the bolt's axis"},
		{"lapwing", "caps torqued 75 oiled", 0, 0, []string{"dry threads", "53–60 ft·lbf"}, "T = K·D·F with K 0.20 and 0.15, engineersedge.com"},
		{"lapwing", "caps torqued 57 oiled", unit.FtLbf(57).NewtonMetre(), .001, []string{"53–60 ft·lbf clamps as hard"}, "T = K·D·F with K 0.20 and 0.15, engineersedge.com"},
	} {
		k := toRing(t, c.sheet)
		has(t, k.play("ann> "+c.say), c.says...)
		var got float64
		for _, s := range k.job.Torqued {
			got = s.Torque.NewtonMetre()
		}
		if !(math.Abs(got-c.at) <= c.tolerance) {
			t.Errorf("%q: %.3f N·m at the bolt, want %.3f ± %g (%s)", c.say, got, c.at, c.tolerance, c.source)
		}
		if c.at == 0 && len(k.job.Facts) > 0 {
			for id, f := range k.job.Facts {
				if f.True && (id == "caps_torqued" || id == "ring_bolts_torqued") {
					t.Errorf("%q makes %s true", c.say, id)
				}
			}
		}
	}
	k := toRing(t, "curlew")
	k.play("ann> ring bolts torqued 65 with a 2 in crowfoot on a 14 in wrench")
	has(t, k.play("ann> torque list"), "LEFT-HAND", "oiled (K 0.15)", "at 74 ft·lbf (wrench 65 ft·lbf, 2 in across a 14 in wrench), signed ann")
}

// A question that lacks a figure takes it from the message behind it.
func TestTheMissingFigure(t *testing.T) {
	for _, c := range []struct{ asked, answer, says string }{
		{"60 ftlb with a 2 in extension", "14 in", "set the wrench to 52.5 ft·lbf"},
		{"60 ftlb with a 2 in extension", "14", "set the wrench to 52.5 ft·lbf"},
		{"60 ftlb with a 2 in extension", "it's 14 inches", "set the wrench to 52.5 ft·lbf"},
		{"60 ftlb with a 2 in extension", "35.56 cm", "set the wrench to 52.5 ft·lbf"},
		{"60 ftlb with a 2 in extension", "it's in line", "no correction"},
		{"60 ftlb with a 2 in extension", "90 degrees", "no correction"},
		{"what do i set for the caps with a crow foot", "2 in and 14 in", "62–70 ft·lbf"},
		{"caps torqued 65 with a 2 in crowfoot", "14", "74.3 ft·lbf at the bolt"},
		{"what does a grade 8 bolt take", "7/16-20", "7/16-20 grade 8: 77.9"},
		{"rpm at 65 with 3.90", "31s", "3.9"},
		{"60 ftlb con un alargue de 2 pulgadas", "14 pulgadas", "set the wrench to 52.5 ft·lbf"},
	} {
		k := toRing(t, "lapwing")
		first := k.play("ann> " + c.asked)
		if got := k.play("ann> " + c.answer); !strings.Contains(got, c.says) {
			t.Errorf("%q, then %q: no %q in\n%s\n%s", c.asked, c.answer, c.says, first, got)
		}
	}
	// Two answers one after the other, and one that is none.
	k := toRing(t, "lapwing")
	k.play("ann> what do i set for the caps with a crow foot", "ann> 2 in extension")
	has(t, k.play("ann> 14 in"), "62–70 ft·lbf")
	k.play("ann> 60 ftlb with a 2 in extension", "ann> lash 8 8 9 8")
	hasNot(t, k.play("ann> 14"), "set the wrench")
}
