package ratio

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

func TestPairs(t *testing.T) {
	const foiles = "W. C. Foiles, Gear frequencies using the Euclidean algorithm: hunting iff the common divisor is 1"
	for _, c := range []struct {
		pinion, ring int
		common       int
		turns        int
		timing       Timing
		source       string
	}{
		{13, 42, 1, 42, Hunting, foiles},
		{9, 33, 3, 11, Partial, "calculator.academy: pinion turns to repeat = z2/gcd"},
		{14, 39, 1, 39, Hunting, foiles},
		{10, 41, 1, 41, Hunting, foiles},
		{20, 60, 20, 3, NonHunting, "calculator.academy: pinion turns to repeat = z2/gcd"},
		{1, 1, 1, 1, Hunting, "derived"},
	} {
		p, err := New(c.pinion, c.ring)
		if err != nil {
			t.Fatal(err)
		}
		if p.Common() != c.common || p.TurnsToRepeat() != c.turns || p.Timing() != c.timing || p.Marks() != (c.timing != Hunting) {
			t.Errorf("%d/%d: common %d turns %d %s, want %d, %d, %s (%s)", c.pinion, c.ring, p.Common(), p.TurnsToRepeat(), p.Timing(), c.common, c.turns, c.timing, c.source)
		}
	}
	for _, bad := range [][2]int{{0, 41}, {41, 10}, {-3, 9}, {10, 2000}} {
		if _, err := New(bad[0], bad[1]); !errors.Is(err, ErrFigure) {
			t.Errorf("%v gave %v", bad, err)
		}
	}
	if (Pair{}).Ratio() != 0 || (Pair{}).TurnsToRepeat() != 0 {
		t.Error("a pair without teeth has a ratio")
	}
}

// Going through the meeting teeth one by one is an independent check.
func TestMeetingsProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Pair{rapid.IntRange(1, 30).Draw(t, "pinion"), 0}
		p.Ring = rapid.IntRange(p.Pinion, 90).Draw(t, "ring")
		met := map[[2]int]bool{}
		n := 0
		for a, b := 0, 0; !met[[2]int{a, b}]; a, b, n = (a+1)%p.Pinion, (b+1)%p.Ring, n+1 {
			met[[2]int{a, b}] = true
		}
		if n != p.Meetings() || n != p.TurnsToRepeat()*p.Pinion {
			t.Fatalf("%+v: the same teeth meet after %d, not %d", p, n, p.Meetings())
		}
		if all := len(met) == p.Pinion*p.Ring; all != (p.Timing() == Hunting) {
			t.Fatalf("%+v: %d of %d pairs of teeth meet, but it is %s", p, len(met), p.Pinion*p.Ring, p.Timing())
		}
	})
}

func TestTyreAndSpeed(t *testing.T) {
	diameter := func(width, aspect, rim float64) unit.Length {
		t.Helper()
		d, err := Tyre{Width: unit.MM(width), Aspect: aspect, Rim: unit.Inch(rim)}.Diameter()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	must := func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	big, small := diameter(215, 65, 15), diameter(255, 60, 15)
	d28 := unit.Inch(28)
	for _, c := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"215/65R15 turns a mile", must(TurnsPerMile(big)), 775.58, .005, "63360/(π·D) with D = 660.5 mm, derived"},
		{"215/65R15 turns a mile, rounded", must(TurnsPerMile(big)), 775, 1, "forum page Calculating revs per mile"},
		{"255/60R15 turns a mile", must(TurnsPerMile(small)), 745.66, .005, "63360/(π·D), recomputed"},
		{"28 in turns a mile", must(TurnsPerMile(d28)), 720.29, .005, "63360/(π·D), recomputed"},
		{"constant", must(TurnsPerMile(unit.Inch(10))) * 10, 20168.1, .05, "forum page Calculating revs per mile: 20 168/D"},
		{"engine at 60 mph, 28 in, 3.50", must(Engine(MPH(60), d28, 3.50, 1)), 2521.0, .05, "0xff.com formulas, recomputed"},
		{"mph constant", must(Wheel(MPH(1), unit.Inch(1.0*10))) * 10, 336.135, .0005, "63360/(60·π), recomputed"},
		{"effective ratio, 3.42, 215/65R15 to 255/60R15", must(Effective(3.42, big, small)), 3.30, .015, "forum page Calculating revs per mile: 3.42 × 747/775 = 3.30"},
		{"sidewall 292.5 mm in inches", unit.MM(292.5).Inch(), 11.52, .005, "forum page, result right though its text multiplies"},
		{"mph back", MPH(60).MPH(), 60, 1e-12, "derived"},
		{"mph in km/h", MPH(60).KMH(), 96.56064, 1e-9, "exact by definition"},
		{"speedometer, 3.55 to 4.10", must(Speedometer(3.55, 4.10, d28, d28)), 3.55 / 4.10, 1e-12, "derived: more turns of the shaft for the same road"},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s = %.5f, want %.5f ± %g (%s)", c.name, c.got, c.want, c.tol, c.source)
		}
	}
	p, err := New(10, 41)
	if err != nil {
		t.Fatal(err)
	}
	if off := must(p.Off(3.73)); math.Abs(off-(4.1/3.73-1)) > 1e-12 {
		t.Errorf("off the ordered ratio by %v (derived)", off)
	}
}

func TestRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	_, a := Tyre{Width: unit.MM(215), Aspect: nan, Rim: unit.Inch(15)}.Diameter()
	_, b := TurnsPerMile(0)
	_, c := Wheel(MPH(inf), unit.Inch(28))
	_, d := Engine(MPH(60), unit.Inch(28), 0, 1)
	_, e := Road(nan, unit.Inch(28), 3.5, 1)
	_, f := Speedometer(3.5, 0, unit.Inch(28), unit.Inch(28))
	_, g := Effective(3.5, unit.Inch(28), unit.MM(nan))
	_, h := Pair{10, 41}.Off(0)
	for i, err := range []error{a, b, c, d, e, f, g, h} {
		if !errors.Is(err, ErrFigure) {
			t.Errorf("case %d: %v", i, err)
		}
	}
}

func TestSpeedProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := unit.MM(rapid.Float64Range(300, 1500).Draw(t, "diameter"))
		axle, gear := rapid.Float64Range(2, 7).Draw(t, "axle"), rapid.Float64Range(.5, 5).Draw(t, "gear")
		road := KMH(rapid.Float64Range(1, 200).Draw(t, "road"))
		engine, err := Engine(road, d, axle, gear)
		if err != nil {
			t.Fatal(err)
		}
		if engine > 50000 {
			t.Skip("no engine turns so fast")
		}
		back, err := Road(engine, d, axle, gear)
		if err != nil || math.Abs(back.KMH()-road.KMH()) > 1e-9 {
			t.Fatalf("%v km/h came back as %v, %v", road.KMH(), back.KMH(), err)
		}
	})
}

func ExamplePair() {
	p, _ := New(9, 33)
	fmt.Printf("%.3f %s, same teeth after %d pinion turns\n", p.Ratio(), p.Timing(), p.TurnsToRepeat())
	// Output: 3.667 partial, same teeth after 11 pinion turns
}
