package ratio

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// The published figures of tyre, speed and tooth arithmetic that the table of
// TestTyreAndSpeed does not have, with what pages get wrong as rows of their own.
func TestPublishedArithmetic(t *testing.T) {
	must := func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	tall := func(text string) unit.Length {
		t.Helper()
		tyre, err := ParseTyre(text)
		if err != nil {
			t.Fatal(err)
		}
		d, err := tyre.Diameter()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	const (
		forum   = "forum page Calculating revs per mile"
		formula = "0xff.com formulas"
		foiles  = "W. C. Foiles, Gear frequencies using the Euclidean algorithm"
	)
	p1342, p933 := Pair{13, 42}, Pair{9, 33}
	for _, c := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"63360/π", must(TurnsPerMile(unit.Inch(20))) * 20, 20168.1, .05, "63360/π, exact"},
		{"constant as printed", must(TurnsPerMile(unit.Inch(20))) * 20, 20168, .5, forum + ": 20 168/D"},
		{"215/65R15", must(TurnsPerMile(tall("215/65R15"))), 775.58, .005, "63360/(π·D) with D = 660.5 mm, derived"},
		{"215/65R15 as printed", must(TurnsPerMile(tall("215/65R15"))), 775, 1, forum},
		{"255/60R15 unrounded", must(TurnsPerMile(tall("255/60R15"))), 745.66, .005, "63360/(π·D), recomputed"},
		{"255/60R15 as printed, D rounded to 27", must(TurnsPerMile(unit.Inch(27))), 747, .05, forum},
		{"effective ratio as printed", 3.42 * 747 / 775, 3.30, .005, forum + ": 3.42 × 747/775"},
		{"effective ratio unrounded", must(Effective(3.42, tall("215/65R15"), tall("255/60R15"))), 3.42 * 745.66 / 775.58, .0005, "derived"},
		{"ratio that makes up for it", must(Restored(3.42, tall("215/65R15"), tall("255/60R15"))), 3.42 * 775.58 / 745.66, .0005, "derived"},
		{"wheel turns at 60 mph, 28 in", must(Wheel(MPH(60), unit.Inch(28))), 720.29, .005, formula + "; a mile a minute is the turns of a mile"},
		{"wheel rpm by rollout, 60 mph, 28 in", must(Wheel(MPH(60), unit.Inch(28))), 60. / 60 * 5280 / (math.Pi * 28 / 12), 1e-9, formula + ": (mph/60)·5280/(rollout/12)"},
		{"engine, 28 in, 3.50, 60 mph", must(Engine(MPH(60), unit.Inch(28), 3.5, 1)), 2521.0, .05, "recomputed"},
		{"engine as one page prints it, from 20178/28 = 720", must(Engine(MPH(60), unit.Inch(28), 3.5, 1)), 2520, 1.1, "page with 20178/28 = 720"},
		{"axle for 2521 at 60 on 28 in", must(AxleFor(2521.0, MPH(60), unit.Inch(28), 1)), 3.5, .0005, "derived"},
		{"sidewall 45 % of 650 mm in inches", unit.MM(650 * .45).Inch(), 11.52, .005, forum + ": 292.5 mm is 11.52 in"},
		{"tyre 245/75R16", tall("245/75R16").Inch(), 16 + 2*245/25.4*.75, 1e-9, formula},
		{"tyre 31x10.50R15", tall("31x10.50R15").Inch(), 31, 1e-9, "the size says it"},
		{"same teeth, 13/42 at 60 rpm", must(p1342.RepeatHz(60)), 1. / 42, 1e-12, foiles + ": mesh frequency × gcd/(z1·z2)"},
		{"same teeth, 9/33 at 60 rpm", must(p933.RepeatHz(60)), 9. * 3 / (9 * 33), 1e-12, foiles + ": mesh frequency × gcd/(z1·z2)"},
		{"shaft 3.7 turns to one of both wheels", must(FromTurns(3.7, 1, false)), 3.7, 1e-12, "derived"},
		{"shaft 3.7 turns to two of one wheel, other held", must(FromTurns(3.7, 2, true)), 3.7, 1e-12, "derived: the ring gear turns at the mean of the wheels"},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s = %.5f, want %.5f ± %g (%s)", c.name, c.got, c.want, c.tol, c.source)
		}
	}
	// What pages get wrong must not come out.
	for _, c := range []struct {
		name        string
		got, wrong  float64
		apart       float64
		wrongSource string
	}{
		{"sidewall in inches", unit.MM(292.5).Inch(), 292.5 * 25.4, 1000, "a forum example that multiplies by 25.4 where it must divide"},
		{"same teeth, 9/33 at 60 rpm", must(p933.RepeatHz(60)), 3 * 60. / 60, 2, "vibromera.eu: HTF = gcd·rpm/60"},
		{"same teeth, 13/42 at 60 rpm", must(p1342.RepeatHz(60)), 1 * 60. / 60, .9, "vibromera.eu: HTF = gcd·rpm/60"},
	} {
		if math.Abs(c.got-c.wrong) < c.apart {
			t.Errorf("%s = %.4f is near %.4f, which is wrong (%s)", c.name, c.got, c.wrong, c.wrongSource)
		}
	}
}

func TestParseTyre(t *testing.T) {
	for text, want := range map[string]string{
		"245/75R16": "245/75R16", "245/75r16": "245/75R16", "P215/65 R15": "215/65R15", "lt245/75r16": "245/75R16", "245/75/16": "245/75R16", "245 75 16": "245/75R16",
		"255/60zr15": "255/60R15", "225/70R19.5": "225/70R19.5", "31x10.50R15": "31x10.50R15", "33 x 12.5 - 15": "33x12.50R15", "35×12.50R17": "35x12.50R17",
		"31s": "31 in", `33"`: "33 in", "31.5 in": "31.5 in",
	} {
		got, err := ParseTyre(text)
		if err != nil || got.Name() != want {
			t.Errorf("%q is %s, %v, want %s", text, got.Name(), err, want)
		}
	}
	for _, text := range []string{"", "7/16-20", "31 thou", "999/99R99", "5s", "3.90"} {
		if got, err := ParseTyre(text); !errors.Is(err, ErrFigure) {
			t.Errorf("%q is %+v, %v", text, got, err)
		}
	}
}

func TestRefusesTurns(t *testing.T) {
	nan := math.NaN()
	_, a := AxleFor(2500, 0, unit.Inch(28), 1)
	_, b := AxleFor(nan, MPH(60), unit.Inch(28), 1)
	_, c := Restored(3.5, 0, unit.Inch(28))
	_, d := FromTurns(nan, 1, false)
	_, e := Pair{9, 33}.RepeatHz(nan)
	for i, err := range []error{a, b, c, d, e} {
		if !errors.Is(err, ErrFigure) {
			t.Errorf("case %d: %v", i, err)
		}
	}
}

// A tyre change and the ratio that makes up for it leave the engine where it was.
func TestRestoredProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		was := unit.Inch(rapid.Float64Range(20, 45).Draw(t, "was"))
		is := unit.Inch(rapid.Float64Range(20, 45).Draw(t, "is"))
		axle := rapid.Float64Range(2.5, 6).Draw(t, "axle")
		next, err := Restored(axle, was, is)
		if err != nil {
			t.Fatal(err)
		}
		a, e1 := Engine(MPH(60), was, axle, 1)
		b, e2 := Engine(MPH(60), is, next, 1)
		if e1 != nil || e2 != nil || math.Abs(a-b) > 1e-6 {
			t.Fatalf("%v and %v turns a minute, %v %v", a, b, e1, e2)
		}
		if eff, err := Effective(next, was, is); err != nil || math.Abs(eff-axle) > 1e-9 {
			t.Fatalf("effective %v of %v, %v", eff, axle, err)
		}
	})
}

func FuzzParseTyre(f *testing.F) {
	for _, s := range []string{"245/75R16", "31x10.5r15", "31s", "٣١s", "000/00R00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tyre, err := ParseTyre(s)
		if d, bad := tyre.Diameter(); err == nil && (bad != nil || !(d > 0)) {
			t.Fatalf("%q: %+v, %v", s, tyre, bad)
		}
	})
}
