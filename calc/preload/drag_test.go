package preload

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

const (
	sp811  = "NIST SP 811 appendix B.8, by the R package NISTunits (second hand), seven digits"
	static = "statics, T = F·r, recomputed"
	usual  = "common practice, no source"
)

func in(v float64) unit.Torque { return unit.InLbf(v) }

func TestDrag(t *testing.T) {
	must := func(v unit.Torque, err error) unit.Torque {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	force := func(v unit.Force, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v.Lbf()
	}
	for _, c := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"10 lbf·in in N·m", in(10).NewtonMetre(), 1.129848, 5e-7, sp811}, {"15 lbf·in in N·m", in(15).NewtonMetre(), 1.694772, 5e-7, sp811},
		{"20 lbf·in in N·m", in(20).NewtonMetre(), 2.259696, 1e-6, sp811}, {"30 lbf·in in N·m", in(30).NewtonMetre(), 3.389544, 1e-6, sp811},
		{"5 lbf at 2 in, lbf·in", must(Pull(unit.Lbf(5), unit.Inch(2), 0)).InLbf(), 10, 1e-9, static},
		{"5 lbf at 2 in, N·m", must(Pull(unit.Lbf(5), unit.Inch(2), 0)).NewtonMetre(), 1.130, 5e-4, static},
		{"20 N at 40 mm, N·m", must(Pull(unit.Newton(20), unit.MM(40), 0)).NewtonMetre(), 0.80, 1e-9, static},
		{"20 N at 40 mm, lbf·in", must(Pull(unit.Newton(20), unit.MM(40), 0)).InLbf(), 7.081, 5e-4, static},
		{"thick string: drum 38 mm, string 4 mm, 20 N", must(Pull(unit.Newton(20), unit.MM(38), unit.MM(4))).NewtonMetre(), 0.80, 1e-9, "statics: r = drum radius + half string"},
		{"scale for 15 lbf·in at 1.5 in", force(PullFor(in(15), unit.Inch(1.5), 0)), 10, 1e-9, static},
		{"total of 14 and a carrier of 22.2 at 3.7", must(Total(in(14), in(22.2), 3.7)).InLbf(), 20, 1e-9, "derived: pinion + carrier/ratio"},
		{"carrier from total 20, pinion 14, ratio 3.7", must(Carrier(in(20), in(14), 3.7)).InLbf(), 22.2, 1e-9, "derived: (total − pinion)·ratio"},
		{"pinion from total 20, carrier 22.2, ratio 3.7", must(Pinion(in(20), in(22.2), 3.7)).InLbf(), 14, 1e-9, "derived"},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s = %.6f, want %.6f ± %g (%s)", c.name, c.got, c.want, c.tol, c.source)
		}
	}
}

// The catalogue's friction figure is no preload torque: a bearing drag worked with
// it comes out far below what a preloaded pinion turns at.
func TestCatalogueFrictionIsNoDrag(t *testing.T) {
	const catalogue = "general rolling-bearing catalogue, table 4-1: tapered roller µ 0.0017 to 0.0025, M = µ·P·d/2"
	for _, c := range []struct {
		mu, want float64
	}{{0.0017, 59.5}, {0.0025, 87.5}} {
		m := c.mu * 2000 * 35 / 2 // N·mm
		if math.Abs(m-c.want) > .05 {
			t.Errorf("µ %g: %.2f N·mm, want %.1f (%s, recomputed)", c.mu, m, c.want, catalogue)
		}
		if least := 2 * m / 1000; least > in(12).NewtonMetre()/4 {
			t.Errorf("two bearings at µ %g make %.3f N·m, too near a real 12 in·lbf (%s)", c.mu, least, catalogue)
		}
	}
}

func TestExpect(t *testing.T) {
	sheet := Figures{New: Band{in(12), in(18)}, Used: Band{in(6), in(9)}, Seal: Band{in(2), in(5)}}
	bare := Figures{New: Band{in(14), in(18)}}
	for _, c := range []struct {
		name      string
		figures   Figures
		bearings  Bearings
		seal      Seal
		low, high float64
		used, ass bool
		source    string
	}{
		{"new, no seal", sheet, NewBearings, SealOff, 12, 18, false, false, "the sheet's own"},
		{"new, seal", sheet, NewBearings, SealOn, 14, 23, false, false, "derived: band plus band"},
		{"new, nobody said", sheet, NewBearings, SealUnknown, 12, 23, false, false, "derived: wide enough for both"},
		{"used, seal", sheet, UsedBearings, SealOn, 8, 14, false, false, "derived: band plus band"},
		{"used, sheet is silent", bare, UsedBearings, SealOff, 7, 9, true, false, usual + ": used bearings run at about half the new figure"},
		{"seal, sheet is silent", bare, NewBearings, SealOn, 16, 23, false, true, usual + ": a new seal adds about 2 to 5 in·lbf"},
	} {
		e, err := Expect(c.figures, c.bearings, c.seal)
		if err != nil || math.Abs(e.Low.InLbf()-c.low) > 1e-9 || math.Abs(e.High.InLbf()-c.high) > 1e-9 || e.AssumedUsed != c.used || e.AssumedSeal != c.ass {
			t.Errorf("%s: %.2f to %.2f %+v, %v, want %.1f to %.1f (%s)", c.name, e.Low.InLbf(), e.High.InLbf(), e, err, c.low, c.high, c.source)
		}
	}
	// About 15 in·lbf is a common target with new bearings and no carrier.
	if e, err := Expect(sheet, NewBearings, SealOff); err != nil || e.Judge(in(15)) != Inside {
		t.Errorf("15 in·lbf is %s (%s)", e.Judge(in(15)), usual)
	}
	if b := (Band{in(12), in(18)}); b.Judge(unit.NewtonMetre(2.034)) != Inside || b.Judge(in(18.1)) != Over || b.Judge(in(11.9)) != Under {
		t.Error("18 in·lbf typed as 2.034 N·m is not inside 12 to 18")
	}
}

func TestPack(t *testing.T) {
	want := Band{in(12), in(18)}
	c, err := ChangePack(in(3), want, UsualRates())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct {
		name           string
		got, want, tol float64
		source         string
	}{
		{"change", c.Change.Thou(), -2, 1e-9, usual + ": 6 in·lbf per thou, thinner is more"},
		{"drag after, least", c.Low.InLbf(), 11, 1e-9, usual + ": 4 in·lbf per thou"},
		{"drag after, likely", c.Likely.InLbf(), 15, 1e-9, usual},
		{"drag after, most", c.High.InLbf(), 19, 1e-9, usual + ": 8 in·lbf per thou"},
		{"safe change", c.Safe.Thou(), -1.875, 1e-9, "derived: (18 − 3)/8"},
	} {
		if !(math.Abs(r.got-r.want) <= r.tol) {
			t.Errorf("%s = %.4f, want %.4f ± %g (%s)", r.name, r.got, r.want, r.tol, r.source)
		}
	}
	over, err := ChangePack(in(27), want, UsualRates())
	if err != nil || math.Abs(over.Change.Thou()-2) > 1e-9 || math.Abs(over.Safe.Thou()-9./4) > 1e-9 || over.High.InLbf() > 27 {
		t.Errorf("27 in·lbf: %+v, %v, want a thicker pack by 2 thou (derived)", over, err)
	}
	if inside, err := ChangePack(in(15), want, UsualRates()); err != nil || inside.Change != 0 || inside.Safe != 0 {
		t.Errorf("inside: %+v, %v", inside, err)
	}
	own, err := RatesFrom(Tried{unit.Thou(40), in(6)}, Tried{unit.Thou(38), in(16)}, in(1))
	if err != nil || math.Abs(own.Likely.PerThou().InLbf()-5) > 1e-9 || math.Abs((own.High-own.Likely).PerThou().InLbf()-math.Sqrt2/2) > 1e-9 {
		t.Errorf("own rate %+v, %v, want 5 ± 0.71 in·lbf per thou (derived: errors add in squares)", own, err)
	}
	if _, err := RatesFrom(Tried{unit.Thou(40), in(16)}, Tried{unit.Thou(38), in(15)}, in(1)); !errors.Is(err, ErrFigure) {
		t.Errorf("a thinner pack that turns easier: %v", err)
	}
}

func TestSide(t *testing.T) {
	for _, c := range []struct {
		add, leaf   float64
		extra       string
		left, right float64
		shift       float64
		source      string
	}{
		{8, 0, "left", 4, 4, 0, usual + ": the same change on both sides is preload, not backlash"},
		{8, 1, "left", 4, 4, 0, usual}, {9, 1, "left", 5, 4, .5, "derived: (a − b)/2 to the right"},
		{9, 1, "right", 4, 5, -.5, "derived: (a − b)/2 to the right"},
		{-9, 1, "right", -4, -5, .5, "derived"}, {8, 3, "left", 6, 3, 1.5, "derived: nearest whole leaves"},
		{0, 1, "left", 0, 0, 0, "derived"},
	} {
		s, err := SplitShims(unit.Thou(c.add), unit.Thou(c.leaf), c.extra)
		if err != nil || math.Abs(s.Left.Thou()-c.left) > 1e-9 || math.Abs(s.Right.Thou()-c.right) > 1e-9 || math.Abs(s.Shift.Thou()-c.shift) > 1e-9 {
			t.Errorf("%g thou in leaves of %g: %.2f and %.2f, shift %.2f, %v, want %g, %g, %g (%s)", c.add, c.leaf, s.Left.Thou(), s.Right.Thou(), s.Shift.Thou(), err, c.left, c.right, c.shift, c.source)
		}
	}
	// 1.5 mm pitch with 30 notches is 0.05 mm a notch: 0.15 mm is three.
	n, err := SplitNotches(unit.MM(.15), unit.MM(1.5), 30, "right")
	if err != nil || n.Left != 1 || n.Right != 2 || math.Abs(n.Given.MM()-.15) > 1e-9 || math.Abs(n.Shift.MM()+.025) > 1e-9 {
		t.Errorf("%+v, %v, want 1 and 2 notches (derived: pitch/notches)", n, err)
	}
}

func TestRefuses(t *testing.T) {
	nan := math.NaN()
	_, a := Pull(unit.Force(nan), 50, 0)
	_, b := Pull(10, 0, 0)
	_, c := Pull(10, 50, unit.Length(nan))
	_, d := Carrier(in(10), in(14), 3.7)
	_, e := Carrier(in(20), in(14), nan)
	_, f := Expect(Figures{}, NewBearings, SealOn)
	_, g := Expect(Figures{New: Band{in(18), in(12)}}, NewBearings, SealOff)
	_, h := ChangePack(in(3), Band{in(12), in(18)}, Rates{})
	_, i := ChangePack(unit.Torque(nan), Band{in(12), in(18)}, UsualRates())
	_, k := SplitShims(unit.Length(nan), 1, "left")
	_, l := SplitShims(1, 1, "up")
	_, m := SplitNotches(1, 1.5, 0, "left")
	_, n := NextStep(nil, Pulled{Want: Band{in(12), in(18)}})
	_, o := NextStep([]Step{{Drag: unit.Torque(nan)}}, Pulled{Want: Band{in(12), in(18)}})
	_, p := Pinion(in(2), in(20), 3.7)
	for j, err := range []error{a, b, c, d, e, f, g, h, i, k, l, m, n, o, p} {
		if !errors.Is(err, ErrFigure) {
			t.Errorf("case %d: %v", j, err)
		}
	}
}

func TestDragProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pinion := in(rapid.Float64Range(0, 60).Draw(t, "pinion"))
		carrier := in(rapid.Float64Range(0, 200).Draw(t, "carrier"))
		ratio := rapid.Float64Range(1.5, 8).Draw(t, "ratio")
		total, err := Total(pinion, carrier, ratio)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Carrier(total, pinion, ratio)
		if err != nil && carrier > 1e-12 || err == nil && math.Abs(float64(back-carrier)) > 1e-9 {
			t.Fatalf("carrier %v came back as %v, %v", carrier, back, err)
		}
		radius := unit.MM(rapid.Float64Range(5, 500).Draw(t, "radius"))
		cord := unit.MM(rapid.Float64Range(0, 8).Draw(t, "cord"))
		pull, err := PullFor(pinion, radius, cord)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := Pull(pull, radius, cord); err != nil || math.Abs(float64(again-pinion)) > 1e-9 {
			t.Fatalf("%v pulled %v gave %v, %v", pinion, pull, again, err)
		}
		// Power: torque times speed of both ends agrees.
		if p := float64(pinion) + float64(carrier)/ratio; math.Abs(p-float64(total)) > 1e-12 {
			t.Fatalf("total %v, power %v", total, p)
		}
	})
}

func TestSideProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		leaf := unit.MM(rapid.Float64Range(.02, .3).Draw(t, "leaf"))
		add := unit.MM(rapid.Float64Range(-1, 1).Draw(t, "add"))
		extra := rapid.SampledFrom([]string{"left", "right"}).Draw(t, "extra")
		s, err := SplitShims(add, leaf, extra)
		if err != nil {
			t.Fatal(err)
		}
		if d := (s.Left + s.Right - add).Abs(); d > leaf/2+1e-9 {
			t.Fatalf("%+v gives %v of %v", s, s.Left+s.Right, add)
		}
		if d := (s.Left - s.Right).Abs(); d > leaf+1e-9 {
			t.Fatalf("%+v is no even split", s)
		}
		if math.Abs(float64(s.Shift-(s.Left-s.Right)/2)) > 1e-12 {
			t.Fatalf("%+v", s)
		}
	})
}

func ExampleCarrier() {
	c, err := Carrier(unit.InLbf(20), unit.InLbf(14), 3.7)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(unit.InchUnits.Torque(c))
	// Output: 22.2 in·lbf
}
