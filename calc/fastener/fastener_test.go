package fastener

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

const (
	edge     = "engineersedge.com, torque vs tension of bolts, SAE J429, 75 % of proof"
	second   = "a second SAE J429 table: 7/16-20 grade 8 dry 78, lubed 58"
	proofs   = "EN ISO 898-1 proof loads, staging2.optimas.com"
	manual   = "machine manual's torque table, DIN 13 threads, µ 0.14; K 0.20 at 75 % of proof recomputed"
	stress   = "boltport.com/threads/unf and formulafactory.tools, tensile stress area"
	agentcal = "agentcalc.com: 80 N·m, 40 cm, 5 cm"
)

func thread(t *testing.T, text string) Thread {
	t.Helper()
	th, err := ParseThread(text)
	if err != nil {
		t.Fatal(err)
	}
	return th
}

// The published table, row by row: clamp in lbf and torque in ft·lbf, whole
// numbers as printed.
func TestInchTable(t *testing.T) {
	for _, c := range []struct {
		thread            string
		grade             Grade
		clamp             float64
		k15, k18, k20     float64
		clampTol, tolFtLb float64
		source            string
	}{
		{"3/8-16", Grade8, 6974, 33, 39, 44, 6, 0.6, edge}, {"3/8-24", Grade8, 7905, 37, 44, 49, 6, 0.6, edge},
		{"7/16-14", Grade8, 9568, 52, 63, 70, 6, 0.6, edge}, {"7/16-20", Grade8, 10684, 58, 70, 78, 1, 0.6, edge},
		{"1/2-13", Grade8, 12771, 80, 96, 106, 6, 0.6, edge}, {"1/2-20", Grade8, 14396, 90, 108, 120, 6, 0.6, edge},
		{"7/16-20", Grade5, 7568, 41, 50, 55, 1, 0.6, edge},
		{"7/16 fine", Grade8, 10684, 58.43, 70.12, 77.91, 1, 0.01, "7/16-20 recomputed: At 0.118716 in², 120 ksi"},
		{"7/16-20", Grade8, 10684, 58, 70.12, 78, 1, 0.6, second},
	} {
		th := thread(t, c.thread)
		clamp, err := Clamp(th, c.grade)
		if err != nil || !(math.Abs(clamp.Lbf()-c.clamp) <= c.clampTol) {
			t.Errorf("%s %s clamps %.1f lbf, %v, want %.0f ± %g (%s)", c.thread, c.grade, clamp.Lbf(), err, c.clamp, c.clampTol, c.source)
		}
		for _, k := range []struct {
			finish Finish
			want   float64
		}{{Lubricated, c.k15}, {Zinc, c.k18}, {Dry, c.k20}} {
			torque, _, _, err := Usual(th, c.grade, k.finish)
			if err != nil || !(math.Abs(torque.FtLbf()-k.want) <= c.tolFtLb) {
				t.Errorf("%s %s %s: %.2f ft·lbf, %v, want %.2f ± %g (%s)", c.thread, c.grade, k.finish, torque.FtLbf(), err, k.want, c.tolFtLb, c.source)
			}
		}
	}
}

func TestStressAndProof(t *testing.T) {
	in2 := func(s string) float64 { return thread(t, s).StressArea() / 645.16 }
	mm2 := func(s string) float64 { return thread(t, s).StressArea() }
	proof := func(s string, g Grade) float64 {
		f, err := Proof(thread(t, s), g)
		if err != nil {
			t.Fatal(err)
		}
		return f.Newton()
	}
	proofLbf, err := Proof(thread(t, "7/16-20"), Grade8)
	if err != nil {
		t.Fatal(err)
	}
	strength := func(g Grade, d unit.Length) (float64, float64) {
		p, s, err := g.Strength(d)
		if err != nil {
			t.Fatal(err)
		}
		return p / mpaPerPSI / 1000, s / mpaPerPSI / 1000
	}
	p2, t2 := strength(Grade2, 12)
	p5, t5 := strength(Grade5, 12)
	p8, t8 := strength(Grade8, 12)
	for _, c := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"7/16-20 area in in²", in2("7/16-20"), 0.118716, 5e-7, "recomputed"},
		{"1/4-20", in2("1/4-20"), 0.0318, 5e-5, stress}, {"1/4-28", in2("1/4-28"), 0.0364, 5e-5, stress},
		{"5/16-18", in2("5/16-18"), 0.0524, 5e-5, stress}, {"5/16-24", in2("5/16-24"), 0.0580, 1e-4, stress},
		{"3/8-16", in2("3/8-16"), 0.0775, 5e-5, stress}, {"3/8-24", in2("3/8-24"), 0.0878, 5e-5, stress},
		{"7/16-14", in2("7/16-14"), 0.1063, 5e-5, stress}, {"7/16-20", in2("7/16-20"), 0.1187, 5e-5, stress},
		{"1/2-13", in2("1/2-13"), 0.1419, 5e-5, stress}, {"1/2-20", in2("1/2-20"), 0.1599, 1e-4, stress},
		{"9/16-18", in2("9/16-18"), 0.203, 5e-4, stress}, {"5/8-11", in2("5/8-11"), 0.226, 5e-4, stress},
		{"3/4-16", in2("3/4-16"), 0.373, 5e-4, stress}, {"1-8", in2("1-8"), 0.606, 5e-4, stress}, {"1-12", in2("1-12"), 0.663, 5e-4, stress},
		{"7/16-20 grade 8 proof in lbf", proofLbf.Lbf(), 14246, .5, "recomputed"},
		{"M10 area in mm²", mm2("M10"), 58.0, .05, proofs}, {"M12", mm2("M12"), 84.3, .05, proofs}, {"M10x1.25", mm2("M10x1.25"), 61.2, .05, "found: As of M10×1.25"},
		{"M10 8.8 proof in N", proof("M10", Class88), 33700, 100, proofs}, {"M10 10.9", proof("M10", Class109), 48100, 100, proofs},
		{"M10 12.9", proof("M10", Class129), 56300, 100, proofs}, {"M12 10.9", proof("M12", Class109), 70000, 100, proofs},
		{"M10x1.25 10.9", proof("m10 x 1.25", Class109), 50796, 40, "61.2 × 830, recomputed"},
		{"M10 10.9 ultimate in N", mm2("M10") * 1040, 60300, 100, "usefastener.com: M10 10.9 minimum ultimate 60 300 N"},
		{"grade 2 proof ksi", p2, 55, 1e-9, "powersyourteam.com; coxhardware.com"}, {"grade 2 tensile ksi", t2, 73, 1.01, "powersyourteam.com prints 74, coxhardware.com 72"},
		{"grade 5 proof ksi", p5, 85, 1e-9, "powersyourteam.com; coxhardware.com"}, {"grade 5 tensile ksi", t5, 120, 1e-9, "powersyourteam.com; coxhardware.com"},
		{"grade 8 proof ksi", p8, 120, 1e-9, "powersyourteam.com"}, {"grade 8 tensile ksi", t8, 150, 1e-9, "powersyourteam.com"},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s = %.6g, want %.6g ± %g (%s)", c.name, c.got, c.want, c.tol, c.source)
		}
	}
}

// The metric table was made at µ 0.14, which is K 0.19 to 0.20 with 75 % of proof
// within a few parts in a hundred; 8.8 and 12.9 are held to a wider band.
func TestMetricTable(t *testing.T) {
	for _, c := range []struct {
		thread      string
		grade       Grade
		want, tolNm float64
		source      string
	}{
		{"M10", Class109, 72, .5, manual}, {"M10x1.25", Class109, 76, .5, manual},
		{"M10", Class109, 72.2, .15, "recomputed"}, {"M10x1.25", Class109, 76.2, .15, "recomputed"},
		{"M10", Class88, 49, 2, manual}, {"M10", Class129, 84, 2, manual},
		{"M10x1.25", Class88, 52, 2, manual}, {"M10x1.25", Class129, 90, 2, manual},
		{"M12", Class88, 85, 4, manual}, {"M12", Class109, 125, 4, manual}, {"M12", Class129, 145, 4, manual},
		{"M12x1.25", Class88, 93, 4, manual}, {"M12x1.25", Class109, 135, 4, manual}, {"M12x1.25", Class129, 160, 4, manual},
		{"M12x1.5", Class88, 89, 4, manual}, {"M12x1.5", Class109, 130, 4, manual}, {"M12x1.5", Class129, 155, 4, manual},
		{"M14x1.5", Class88, 145, 8, manual}, {"M14x1.5", Class109, 215, 5, manual}, {"M14x1.5", Class129, 255, 5, manual},
	} {
		torque, _, _, err := Usual(thread(t, c.thread), c.grade, Dry)
		if err != nil || !(math.Abs(torque.NewtonMetre()-c.want) <= c.tolNm) {
			t.Errorf("%s %s: %.2f N·m, %v, want %.1f ± %g (%s)", c.thread, c.grade, torque.NewtonMetre(), err, c.want, c.tolNm, c.source)
		}
	}
}

// Tables differ: another manual has 63 and 80 N·m for the same bolt, one dry and one
// lubricated, its editions disagree which. Ours lies between, or at its foot oiled.
func TestTablesDiffer(t *testing.T) {
	const other = "another machine manual: M10 10.9 63/80 N·m, column headings differ between editions"
	for finish, span := range map[Finish][2]float64{Dry: {63, 80}, Zinc: {63, 80}, Lubricated: {63 * .85, 80}} {
		if got, _, _, err := Usual(thread(t, "M10"), Class109, finish); err != nil || got.NewtonMetre() < span[0] || got.NewtonMetre() > span[1] {
			t.Errorf("M10 10.9 %s: %.1f N·m, %v, want %.1f to %.1f (%s)", finish, got.NewtonMetre(), err, span[0], span[1], other)
		}
	}
	if got := mpaPerPSI; math.Abs(got*1e6-6894.757) > 5e-4 {
		t.Errorf("psi to Pa %.4f (NIST SP 811 by NISTunits: 6894.757)", got*1e6)
	}
}

func TestExtension(t *testing.T) {
	cm := func(v float64) unit.Length { return unit.MM(10 * v) }
	const (
		plus  = "engineersedge.com torque_wrench_1: Y = T·L/(L + E)"
		minus = "engineersedge.com torque_wrench_2: Y = T·L/(L − E), sign derived from T = F·(L − E)"
		wrong = "two pages say 90° needs the correction and 0° none: wrong by statics"
	)
	for _, c := range []struct {
		name                  string
		torque, wrench, ext   float64 // N·m, cm, cm
		degrees               float64
		want, tol             float64
		differsFrom           float64 // what the wrong formula says; 0 for none
		source, wrongAccordTo string
	}{
		{"in line", 80, 40, 5, 0, 71.1, .05, 80, agentcal, wrong},
		{"square", 80, 40, 5, 90, 80, 1e-9, 71.1, agentcal, wrong},
		{"pointing back", 80, 40, 5, 180, 80 * 40 / 35.0, 1e-9, 71.1, minus, "the stored page without its minus sign"},
		{"in line, inch", 60, 14, 2, 0, 52.5, 1e-9, 0, plus, ""},
		{"45°", 80, 40, 5, 45, 80 * 40 / (40 + 5*math.Sqrt2/2), 1e-9, 0, "derived: T·L/(L + E·cos θ)", ""},
		{"no extension", 80, 40, 0, 0, 80, 0, 0, "derived", ""},
	} {
		got, err := Setting(unit.NewtonMetre(c.torque), cm(c.wrench), cm(c.ext), unit.Deg(c.degrees))
		if err != nil || !(math.Abs(got.NewtonMetre()-c.want) <= c.tol) {
			t.Errorf("%s: %.4f, %v, want %.4f ± %g (%s)", c.name, got.NewtonMetre(), err, c.want, c.tol, c.source)
		}
		if c.differsFrom != 0 && math.Abs(got.NewtonMetre()-c.differsFrom) < 1 {
			t.Errorf("%s: %.4f is what the wrong formula says (%s)", c.name, got.NewtonMetre(), c.wrongAccordTo)
		}
	}
}

func TestRescale(t *testing.T) {
	got, err := Rescale(unit.FtLbf(78), Dry, Lubricated)
	if err != nil || math.Abs(got.FtLbf()-58.5) > 1e-9 {
		t.Errorf("78 dry is %.2f lubed, %v, want 58.5 (%s)", got.FtLbf(), err, second)
	}
}

func TestParse(t *testing.T) {
	for text, want := range map[string]string{
		"7/16-20": "7/16-20", "7/16 - 20": "7/16-20", "7/16x20": "7/16-20", "7/16 20": "7/16-20", "7/16 fine": "7/16-20", "7/16 unc": "7/16-14",
		".4375-20": "7/16-20", "1/2-13 UNC": "1/2-13", "1-1/8-12": "1-1/8-12", "1 1/8 fine": "1-1/8-12", "1-8": "1-8", `3/8"-24`: "3/8-24",
		"M10": "M10x1.5", "m10x1.25": "M10x1.25", "m10 x 1,25": "M10x1.25", "M12 fine": "M12x1.25", "m12-1.5": "M12x1.5", "M10 × 1.25": "M10x1.25", "m14 coarse": "M14x2",
	} {
		if got, err := ParseThread(text); err != nil || got.Name() != want {
			t.Errorf("%q is %s, %v, want %s", text, got.Name(), err, want)
		}
	}
	for _, text := range []string{"", "7/16", "7/16-200", "7/16-3", "M11", "M10x9", "9/17-20", "10", "grade 8", "m", "0-0", "1/0-20"} {
		if got, err := ParseThread(text); !errors.Is(err, ErrFigure) {
			t.Errorf("%q is %s, %v", text, got.Name(), err)
		}
	}
	for text, want := range map[string]Grade{"8": Grade8, "gr8": Grade8, "Grade 5": Grade5, "10.9": Class109, "class 8.8": Class88} {
		if got, err := ParseGrade(text); err != nil || got != want {
			t.Errorf("%q is %s, %v, want %s", text, got, err, want)
		}
	}
	if _, err := ParseGrade("7"); !errors.Is(err, ErrFigure) {
		t.Errorf("grade 7: %v", err)
	}
}

func TestRefuses(t *testing.T) {
	nan := math.NaN()
	m10 := thread(t, "M10")
	_, a := Torque(m10, 1000, 5)
	_, b := Torque(m10, unit.Force(nan), .2)
	_, c := Torque(Thread{}, 1000, .2)
	_, d := Setting(80, 400, 395, unit.Deg(180))
	_, e := Setting(unit.Torque(nan), 400, 50, 0)
	_, f := Setting(80, 0, 50, 0)
	_, g := Clamp(thread(t, "m36"), Class98)
	_, h := K("greasy")
	_, i := Rescale(80, Dry, "greasy")
	_, k := ClampAt(m10, unit.Torque(nan), .2)
	for n, err := range []error{a, b, c, d, e, f, g, h, i, k} {
		if !errors.Is(err, ErrFigure) {
			t.Errorf("case %d: %v", n, err)
		}
	}
}

// Setting and Reached undo each other, and so do Torque and ClampAt.
func TestRoundTripProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		torque := unit.NewtonMetre(rapid.Float64Range(1, 1000).Draw(t, "torque"))
		wrench := unit.MM(rapid.Float64Range(100, 1500).Draw(t, "wrench"))
		ext := wrench * unit.Length(rapid.Float64Range(0, .6).Draw(t, "extension"))
		angle := unit.Deg(rapid.Float64Range(0, 180).Draw(t, "angle"))
		set, err := Setting(torque, wrench, ext, angle)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Reached(set, wrench, ext, angle)
		if err != nil || math.Abs(float64(back-torque)) > 1e-9*float64(torque) {
			t.Fatalf("%v set %v reached %v, %v", torque, set, back, err)
		}
		// The force at the hand is the same for both arms.
		hand := float64(set) / float64(wrench)
		if at := hand * (float64(wrench) + float64(ext)*math.Cos(angle.Rad())); math.Abs(at-float64(torque)) > 1e-9*float64(torque) {
			t.Fatalf("statics gives %v at the bolt, wanted %v", at, torque)
		}
		th := Thread{Diameter: 10, Pitch: 1.5, Metric: true}
		k := rapid.Float64Range(.1, .3).Draw(t, "k")
		clamp, err := ClampAt(th, torque, k)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := Torque(th, clamp, k); err != nil || math.Abs(float64(again-torque)) > 1e-9*float64(torque) {
			t.Fatalf("%v clamps %v and takes %v, %v", torque, clamp, again, err)
		}
	})
}

func FuzzParseThread(f *testing.F) {
	for _, s := range []string{"7/16-20", "M10x1.25", "1-1/8-12", "m١٠", "9999999999999999/1-2", "1/0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		th, err := ParseThread(s)
		if err == nil && (th.check() != nil || math.IsNaN(th.StressArea())) {
			t.Fatalf("%q: %+v", s, th)
		}
	})
}

func ExampleSetting() {
	set, err := Setting(unit.FtLbf(60), unit.Inch(14), unit.Inch(2), 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("set the wrench to %.1f ft·lbf\n", set.FtLbf())
	// Output: set the wrench to 52.5 ft·lbf
}
