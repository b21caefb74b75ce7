package dialogs

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
	"shimwright/rules"
)

// What a part is warmed to.
func TestAim(t *testing.T) {
	book, _ := rules.LoadBook(nil)
	s, err := book.Sheet("saltmarsh")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name       string
		piece      string
		fit        rules.Fit
		low, high  float64 // rise above 20 °C, K
		tolerance  float64
		source     string
		heatEnough bool
	}{
		{"120 mm bore, n6, 65 µm", pieceHead, rules.Fit{Diameter: unit.MM(120), High: unit.MM(.065)}, 70, 80, 8,
			"bearing maker's page on heating: +50 K by its chart and 20 to 30 K for handling; the chart carries about a tenth more than ΔD = α·D·ΔT", true},
		{"ring, 80 µm on 110 mm", pieceRing, rules.Fit{Diameter: unit.MM(110), High: unit.MM(.08)}, .08/110/12.3e-6 + 20, .08/110/12.3e-6 + 30, .3,
			"ΔD = α·D·ΔT, amesweb.info 4140 12.3e-6/K, recomputed; handling from the bearing maker's page", true},
		{"a fit of nothing", pieceRing, rules.Fit{Diameter: unit.MM(110)}, 20, 30, .01, "derived", true},
		{"no heat below the limit does it", pieceHead, rules.Fit{Diameter: unit.MM(35), High: unit.MM(.06)}, 100, 100, .01, "derived: the limit of 120 °C is kept, bearingtrends.com", false},
	} {
		a, err := aim(s, c.fit, c.piece)
		if err != nil {
			t.Fatal(err)
		}
		if low, high := a.Low.Above(room).K(), a.High.Above(room).K(); math.Abs(low-c.low) > c.tolerance || math.Abs(high-c.high) > c.tolerance || low > c.low+.3 || a.Enough != c.heatEnough {
			t.Errorf("%s: %.1f to %.1f K, enough %v, want %.1f to %.1f ± %g (%s)", c.name, low, high, a.Enough, c.low, c.high, c.tolerance, c.source)
		}
	}
}

// The wrench that is set for a torque brings that torque to the bolt.
func TestSettingReaches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := extended{lever: Lever{
			Wrench:    unit.MM(rapid.Float64Range(150, 900).Draw(t, "wrench")),
			Extension: unit.MM(rapid.Float64Range(10, 100).Draw(t, "extension")),
			Angle:     rapid.Float64Range(0, 180).Draw(t, "angle"),
		}, straight: rapid.Bool().Draw(t, "straight")}
		want := unit.NewtonMetre(rapid.Float64Range(5, 500).Draw(t, "torque"))
		set, err := x.setting(want)
		if err != nil {
			t.Fatal(err)
		}
		got, err := x.reaches(set)
		if err != nil || math.Abs(float64(got/want-1)) > 1e-9 {
			t.Fatalf("set to %v it reaches %v, want %v, %v", set, got, want, err)
		}
		if x.straight && set != want || !x.straight && x.lever.Angle < 89 && set >= want {
			t.Fatalf("%+v: %v for %v", x, set, want)
		}
	})
}
