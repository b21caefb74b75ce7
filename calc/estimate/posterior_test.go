package estimate

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// With answers that are known and patterns read as numbers the problem is
// straight, and the whole estimate must be that of batch least squares.
func TestFitIsBatchLeastSquares(t *testing.T) {
	p := usualPrior()
	const sure = 1e-7
	p.LashPinionSpread, p.LashRingSpread, p.AlongSpread, p.AcrossSpread = sure, sure, sure, sure
	for i := range Coordinates {
		p.PinionSlope[i].Spread, p.RingSlope[i].Spread = sure, sure
	}
	e := Estimator{Prior: p, Errors: DefaultErrors(), PlainOnly: true}
	fine := func(at float64) Mark { return Mark{Known: true, At: at, Fine: true} }
	attempts := []Attempt{
		{Backlash: []unit.Length{0.36, 0.36, 0.37, 0.35}, Marks: [4]Mark{fine(0.12), fine(0.25), fine(-0.05), fine(0.2)}},
		{Pinion: 0.1, Ring: 0.15, Backlash: []unit.Length{0.22, 0.23, 0.23, 0.22}, Marks: [4]Mark{fine(-0.02), fine(0.05), fine(-0.1), fine(0.02)}},
	}
	// Unknowns: lash, both along, both across, apart along, apart across, depth, ring.
	spread := []float64{p.Lash.Spread, p.AlongBoth.Spread, p.AcrossBoth.Spread, p.AlongApart.Spread, p.AcrossApart.Spread, p.Depth.Spread, p.Ring.Spread}
	n := len(spread)
	information, right := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, s := range spread {
		information.SetSym(i, i, 1/(s*s))
	}
	right.SetVec(0, p.Lash.Mean/(p.Lash.Spread*p.Lash.Spread))
	add := func(h []float64, z, r float64) {
		for i := range n {
			right.SetVec(i, right.AtVec(i)+h[i]*z/r)
			for j := i; j < n; j++ {
				information.SetSym(i, j, information.At(i, j)+h[i]*h[j]/r)
			}
		}
	}
	for _, a := range attempts {
		mean, _ := meanLash(a.Backlash)
		kp, kg := p.LashPinion, p.LashRing
		add([]float64{1, 0, 0, 0, 0, -kp, -kg}, mean+kp*a.Pinion.MM()+kg*a.Ring.MM(), e.lashVariance(4))
		for i, m := range a.Marks {
			h := make([]float64, n)
			h[1+i%2], h[3+i%2] = 1, 1
			if i > 1 {
				h[3+i%2] = -1
			}
			h[5], h[6] = p.PinionSlope[i].Mean, p.RingSlope[i].Mean
			x, growth := unbend(m.At)
			add(h, x-h[5]*a.Pinion.MM()-h[6]*a.Ring.MM(), math.Pow(e.Errors.Eye*growth, 2))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(information) {
		t.Fatal("the information is not positive definite")
	}
	var want mat.VecDense
	var cov mat.SymDense
	if err := chol.SolveVecTo(&want, right); err != nil {
		t.Fatal(err)
	}
	if err := chol.InverseTo(&cov); err != nil {
		t.Fatal(err)
	}
	const source = "derived: batch least squares with the prior, solved by gonum"
	c := e.course(attempts, Hypothesis{Kind: Plain})
	m, err := c.find(&e.Prior)
	if err != nil {
		t.Fatal(err)
	}
	if !m.converged {
		t.Error("the search did not converge")
	}
	for i, u := range []int{iLash, iBoth, iBoth + 1, iApart, iApart + 1, iEpochs, iEpochs + 1} {
		got := c.mean[u] + c.spread[u]*m.belief.Mean[u]
		if math.Abs(got-want.AtVec(i)) > 1e-5 {
			t.Errorf("unknown %d is %g, want %g (%s)", i, got, want.AtVec(i), source)
		}
		if dev := c.spread[u] * m.belief.Deviation(u); math.Abs(dev/math.Sqrt(cov.At(i, i))-1) > 1e-4 {
			t.Errorf("deviation of unknown %d is %g, want %g (%s)", i, dev, math.Sqrt(cov.At(i, i)), source)
		}
	}
	// The draws must say the same, within what their number allows.
	post, err := e.Fit(attempts)
	if err != nil {
		t.Fatal(err)
	}
	depth, ring := post.Standing()
	for _, d := range []struct {
		name   string
		got    Interval
		mean   float64
		spread float64
	}{
		{"depth", depth, want.AtVec(5) + 0.1, math.Sqrt(cov.At(5, 5))},
		{"ring", ring, want.AtVec(6) + 0.15, math.Sqrt(cov.At(6, 6))},
	} {
		noise := d.spread / math.Sqrt(post.Effective)
		if math.Abs(d.got.Mean-d.mean) > 4*noise {
			t.Errorf("%s by the draws %g, want %g ± %g (%s)", d.name, d.got.Mean, d.mean, noise, source)
		}
		if width, wanted := (d.got.High-d.got.Low)/2, 1.2816*d.spread; math.Abs(width/wanted-1) > 0.25 {
			t.Errorf("%s: half width by the draws %g, want %g (%s)", d.name, width, wanted, source)
		}
	}
}

func TestFitIsRepeatable(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors(), Tightest: true}
	a, err := e.Fit(someAttempts())
	if err != nil {
		t.Fatal(err)
	}
	b, err := e.Fit(someAttempts())
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(a.After(0.1, -0.05), b.After(0.1, -0.05)) || !slices.Equal(a.Hypotheses, b.Hypotheses) {
		t.Error("the same attempts gave two answers")
	}
}

// Properties of any fit of any readings: chances are chances, intervals are in
// order, nothing is NaN, and backlash closes with either move.
func TestFitProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Estimator{Prior: usualPrior(), Errors: DefaultErrors(), Tightest: rapid.Bool().Draw(t, "tightest")}
		var attempts []Attempt
		for range rapid.IntRange(1, 4).Draw(t, "attempts") {
			a := Attempt{
				Pinion: unit.Length(rapid.Float64Range(-1, 1).Draw(t, "pinion")), Ring: unit.Length(rapid.Float64Range(-1.5, 1.5).Draw(t, "ring")),
				Reseated: rapid.IntRange(0, 5).Draw(t, "reseated") == 0,
			}
			for range rapid.IntRange(0, 8).Draw(t, "places") {
				a.Backlash = append(a.Backlash, unit.Length(rapid.Float64Range(0, 2).Draw(t, "lash")))
			}
			for i := range a.Marks {
				a.Marks[i] = Mark{
					Known: rapid.Bool().Draw(t, "known"), Fine: rapid.Bool().Draw(t, "fine"),
					At: rapid.SampledFrom([]float64{-1, -2. / 3, 0, 0.2, 2. / 3, 1}).Draw(t, "at"),
				}
			}
			attempts = append(attempts, a)
		}
		p, err := e.Fit(attempts)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, h := range p.Hypotheses {
			if !(h.Chance >= 0 && h.Chance <= 1+1e-9) {
				t.Fatalf("chance %g of %v", h.Chance, h)
			}
			sum += h.Chance
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("the hypotheses' chances sum to %g", sum)
		}
		now, deeper, nearer := p.After(0, 0), p.After(0.1, 0), p.After(0, 0.1)
		for _, i := range []Interval{now.Backlash, now.Mean, now.Marks[0], now.Marks[1], now.Marks[2], now.Marks[3]} {
			if !(i.Low <= i.High) || math.IsNaN(i.Mean) || math.IsInf(i.Mean, 0) {
				t.Fatalf("interval %+v", i)
			}
		}
		for _, i := range now.Marks {
			if i.Low < -1 || i.High > 1 {
				t.Fatalf("a pattern's centre off the tooth: %+v", i)
			}
		}
		if !(deeper.Mean.Mean < now.Mean.Mean && nearer.Mean.Mean < now.Mean.Mean) {
			t.Fatalf("moves closer open the backlash: %g, deeper %g, nearer %g", now.Mean.Mean, deeper.Mean.Mean, nearer.Mean.Mean)
		}
	})
}

func TestFitRefuses(t *testing.T) {
	good := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	bad := good
	bad.Prior.LashRing = 0
	if _, err := bad.Fit(someAttempts()); !errors.Is(err, ErrPrior) {
		t.Errorf("no answer to a ring gear move: %v", err)
	}
	bad = good
	bad.Prior.AlongSpread = math.NaN()
	if _, err := bad.Fit(someAttempts()); !errors.Is(err, ErrPrior) {
		t.Errorf("a prior that is not a number: %v", err)
	}
	bad = good
	bad.Errors.Eye = 0
	if _, err := bad.Fit(someAttempts()); !errors.Is(err, ErrPrior) {
		t.Errorf("an eye without error: %v", err)
	}
	nan := unit.Length(math.NaN())
	for name, attempts := range map[string][]Attempt{
		"none":              nil,
		"backlash NaN":      {{Backlash: []unit.Length{nan}}},
		"negative backlash": {{Backlash: []unit.Length{-0.1}}},
		"huge backlash":     {{Backlash: []unit.Length{50}}},
		"move NaN":          {{Pinion: nan}},
		"move infinite":     {{Ring: unit.Length(math.Inf(1))}},
		"pattern NaN":       {{Marks: [4]Mark{{Known: true, At: math.NaN()}}}},
		"pattern off tooth": {{Marks: [4]Mark{{Known: true, At: 1.5}}}},
	} {
		if _, err := good.Fit(attempts); !errors.Is(err, ErrAttempt) {
			t.Errorf("%s: %v, want ErrAttempt", name, err)
		}
	}
}

// More readings leave less open, and a second job's readings do not leak in.
func TestReadingsNarrow(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	v := drawVirtual(e.Prior, e.Errors, rand.New(rand.NewPCG(5, 5)))
	v.depth, v.ring = 0, -0.3 // plenty of backlash
	var attempts []Attempt
	var widths []float64
	for i := range 4 {
		a, _, _ := v.build(0, float64(i)*0.08, 4)
		attempts = append(attempts, a)
		p, err := e.Fit(attempts)
		if err != nil {
			t.Fatal(err)
		}
		_, ring := p.Answers()
		widths = append(widths, ring.High-ring.Low)
	}
	if !(widths[3] < 0.7*widths[0]) {
		t.Errorf("the answer to a ring gear move is known to %v after 1 to 4 attempts; it should narrow", widths)
	}
}
