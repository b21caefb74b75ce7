package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

func usualGoal() Goal {
	return Goal{Low: 0.15, High: 0.25, Within: [4]float64{0.4, 0.4, 0.4, 0.4}}
}

// The search against a brute-force grid over all changes.
func TestBestAgainstGrid(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	for seed := range uint64(8) {
		v := drawVirtual(e.Prior, e.Errors, rand.New(rand.NewPCG(seed, 21)))
		a, _, _ := v.build(0, 0, 4)
		p, err := e.Fit([]Attempt{a})
		if err != nil {
			t.Fatal(err)
		}
		caution, g := UsualCaution(), usualGoal()
		top := math.Inf(-1)
		for pinion := unit.Length(-0.4); pinion <= 0.4; pinion += 0.02 {
			for ring := unit.Length(-1.2); ring <= 1.2; ring += 0.02 {
				if caution.Allows(pinion, ring) {
					top = max(top, p.Utility(pinion, ring, g))
				}
			}
		}
		pinion, ring := p.Best(g, caution)
		if got := p.Utility(pinion, ring, g); got < top-0.03 {
			t.Errorf("seed %d: the search found %.3f at %.3f, %.3f; a grid of 0.02 mm has %.3f (brute force)", seed, got, pinion.MM(), ring.MM(), top)
		}
	}
}

// No change ever breaks the caution, whatever was read.
func TestBestKeepsCaution(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	rapid.Check(t, func(t *rapid.T) {
		a := Attempt{Backlash: []unit.Length{unit.Length(rapid.Float64Range(0, 2).Draw(t, "lash"))}}
		for i := range a.Marks {
			a.Marks[i] = Mark{Known: rapid.Bool().Draw(t, "known"), At: rapid.SampledFrom([]float64{-2. / 3, 0, 2. / 3}).Draw(t, "at")}
		}
		p, err := e.Fit([]Attempt{a})
		if err != nil {
			t.Fatal(err)
		}
		caution := UsualCaution()
		caution.OnlyRing, caution.OnlyPinion = rapid.Bool().Draw(t, "only ring"), rapid.Bool().Draw(t, "only pinion")
		pinion, ring := p.Best(usualGoal(), caution)
		if !caution.Allows(pinion, ring) {
			t.Fatalf("pinion %.3f mm and ring gear %.3f mm are more than %+v allows", pinion.MM(), ring.MM(), caution)
		}
		if c := p.Chance(pinion, ring, usualGoal()); !(c >= 0 && c <= 1) {
			t.Fatalf("a chance of %g", c)
		}
	})
}

func TestCautionAllows(t *testing.T) {
	c := UsualCaution()
	for _, row := range []struct {
		pinion, ring unit.Length
		want         bool
		source       string
	}{
		{unit.Thou(10), 0, true, "10 thou is a big pinion step, common practice, no source"},
		{unit.Thou(20), 0, false, "common practice, no source"},
		{0, unit.Thou(40), true, "common practice, no source"},
		{unit.Thou(10), unit.Thou(20), false, "depth and lash not both by large amounts, common practice, no source"},
		{unit.Thou(5), unit.Thou(20), true, "common practice, no source"},
		{unit.Thou(-10), unit.Thou(4), true, "common practice, no source"},
	} {
		if got := c.Allows(row.pinion, row.ring); got != row.want {
			t.Errorf("pinion %.0f, ring gear %.0f thou: %v, want %v (%s)", row.pinion.Thou(), row.ring.Thou(), got, row.want, row.source)
		}
	}
}

// The chance is what it says: over drawn axles, the share that ends inside.
func TestChanceIsCalibrated(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	rng := rand.New(rand.NewPCG(31, 7))
	said, inside, n := 0.0, 0, 500
	if testing.Short() {
		n = 150
	}
	g := usualGoal()
	for range n {
		v := drawVirtual(e.Prior, e.Errors, rng)
		a, _, _ := v.build(0, 0, 4)
		p, err := e.Fit([]Attempt{a})
		if err != nil {
			t.Fatal(err)
		}
		pinion, ring := p.Best(g, UsualCaution())
		said += p.Chance(pinion, ring, g)
		_, lash, marks := v.build(pinion.MM(), ring.MM(), 1)
		ok := lash >= g.Low.MM() && lash <= g.High.MM()
		for i, m := range marks {
			ok = ok && math.Abs(m) <= g.Within[i]
		}
		if ok {
			inside++
		}
	}
	got, want := float64(inside)/float64(n), said/float64(n)
	// Three deviations of the share, and what choosing the best of noisy utilities
	// flatters it by.
	if slack := 0.02 + 3*math.Sqrt(want*(1-want)/float64(n)); math.Abs(got-want) > slack {
		t.Errorf("the chances said %.3f, %.3f of %d axles ended inside (derived)", want, got, n)
	}
	t.Logf("said %.3f, came %.3f", want, got)
}
