package estimate

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// someAttempts are three attempts with every kind of reading in them.
func someAttempts() []Attempt {
	word := func(at float64) Mark { return Mark{Known: true, At: at} }
	fine := func(at float64) Mark { return Mark{Known: true, At: at, Fine: true} }
	return []Attempt{
		{Backlash: []unit.Length{0.35, 0.36, 0.37, 0.36}, Marks: [4]Mark{word(2. / 3), word(2. / 3), word(0), word(2. / 3)}},
		{Pinion: 0.15, Ring: 0.1, Backlash: []unit.Length{0.22, 0.23, 0.22, 0.21}, Marks: [4]Mark{fine(0.3), fine(0.9), {}, fine(-0.1)}},
		{Pinion: 0.2, Ring: 0.1, Reseated: true, Backlash: []unit.Length{0.19}, Marks: [4]Mark{word(0), word(-2. / 3), word(0), {}}},
	}
}

// The slopes the Gauss–Newton steps use, against finite differences.
func TestSlopesAgainstDifferences(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	rapid.Check(t, func(t *rapid.T) {
		c := e.course(someAttempts(), Hypothesis{Kind: Plain})
		n := len(c.mean)
		z := make([]float64, n)
		for i := range z {
			z[i] = rapid.Float64Range(-1.5, 1.5).Draw(t, "z")
		}
		x, h := make([]float64, n), make([]float64, n)
		c.natural(z, x)
		a := c.answers(x, &e.Prior)
		for k := range c.readings {
			o := &c.readings[k]
			c.slopes(x, &a, o, h)
			want := fd.Gradient(nil, func(z []float64) float64 {
				x := make([]float64, n)
				c.natural(z, x)
				a := c.answers(x, &e.Prior)
				return c.expect(x, &a, o)
			}, z, &fd.Settings{Formula: fd.Central})
			for i := range h {
				if math.Abs(h[i]-want[i]) > 1e-6 {
					t.Fatalf("reading %d, unknown %d: slope %g, differences say %g (derived)", k, i, h[i], want[i])
				}
			}
		}
	})
}

// Interval probabilities, their slope and curvature, against gonum's normal
// distribution, an integral and finite differences.
func TestIntervals(t *testing.T) {
	normal := distuv.UnitNormal
	for _, c := range []struct {
		a, b, tolerance float64
		source          string
	}{
		{-1, 1, 1e-13, "0.682689492 within one deviation, from memory; gonum distuv"},
		{-1. / 3, 1. / 3, 1e-13, "gonum distuv"},
		{1, math.Inf(1), 1e-13, "gonum distuv"},
		{math.Inf(-1), -2.5, 1e-13, "gonum distuv"},
		{4, 6, 1e-11, "gonum distuv; integral"},
		{-6, -4, 1e-11, "gonum distuv; integral"},
	} {
		want := normal.CDF(c.b) - normal.CDF(c.a)
		if c.a > 0 { // the survival function keeps the digits there
			want = normal.Survival(c.a) - normal.Survival(c.b)
		}
		if got := between(c.a, c.b); math.Abs(got/want-1) > c.tolerance {
			t.Errorf("between(%g, %g) = %.15g, want %.15g (%s)", c.a, c.b, got, want, c.source)
		}
		if !math.IsInf(c.a, 0) && !math.IsInf(c.b, 0) {
			integral := quad.Fixed(density, c.a, c.b, 60, nil, 0)
			if got := between(c.a, c.b); math.Abs(got/integral-1) > 1e-9 {
				t.Errorf("between(%g, %g) = %g, the integral is %g", c.a, c.b, got, integral)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-8, 8).Draw(t, "low")
		high := low + rapid.Float64Range(0.2, 6).Draw(t, "width")
		if rapid.Bool().Draw(t, "open") {
			high = math.Inf(1)
		}
		log := func(u float64) float64 { return logInterval(low-u, high-u) }
		slope, bend := curve(low, high)
		if want := fd.Derivative(log, 0, &fd.Settings{Formula: fd.Central}); math.Abs(slope-want) > 1e-5*(1+math.Abs(want)) {
			t.Fatalf("slope at %g, %g: %g, differences say %g", low, high, slope, want)
		}
		if want := -fd.Derivative(log, 0, &fd.Settings{Formula: fd.Central2nd}); math.Abs(bend-want) > 1e-3*(1+math.Abs(want)) {
			t.Fatalf("curvature at %g, %g: %g, differences say %g", low, high, bend, want)
		}
		if bend < -1e-12 || bend > 1+1e-9 {
			t.Fatalf("curvature %g is outside 0 to 1: the logarithm of an interval is concave", bend)
		}
	})
	// Far out no digit is left of the probability; its logarithm must go on.
	for _, c := range [][2]float64{{45, math.Inf(1)}, {45, 47}, {math.Inf(-1), -45}, {-47, -45}} {
		if got, want := logInterval(c[0], c[1]), -45.*45/2-math.Log(45)-0.5*math.Log(2*math.Pi); math.Abs(got/want-1) > 1e-3 {
			t.Errorf("logInterval(%g, %g) = %g, want about %g (asymptotic series, derived)", c[0], c[1], got, want)
		}
	}
}

func TestBending(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.Float64Range(-0.89, 0.89).Draw(t, "y")
		x, growth := unbend(y)
		if back := bend(x); math.Abs(back-y) > 1e-12 {
			t.Fatalf("bend(unbend(%g)) = %g", y, back)
		}
		want := 1 / fd.Derivative(bend, x, &fd.Settings{Formula: fd.Central})
		if math.Abs(growth/want-1) > 1e-5 {
			t.Fatalf("an error at %g grows by %g, differences say %g", y, growth, want)
		}
	})
	if got := bend(50); got > 1 || got < 0.999 {
		t.Errorf("far off the tooth the marked centre is %g, want its end", got)
	}
}

// The importance draws' likelihood is the sum of its readings' logarithms.
func TestLogLikelihood(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	c := e.course(someAttempts(), Hypothesis{Kind: Plain})
	x := append([]float64(nil), c.mean...)
	x[iEpochs] = -0.2 // far enough off that products get small
	a := c.answers(x, &e.Prior)
	want := 0.0
	for i := range c.readings {
		o := &c.readings[i]
		u := c.expect(x, &a, o)
		if o.sigma > 0 {
			want += math.Log(distuv.UnitNormal.CDF((o.high-u)/o.sigma) - distuv.UnitNormal.CDF((o.low-u)/o.sigma))
		} else {
			want += distuv.Normal{Mu: u, Sigma: math.Sqrt(o.r)}.LogProb(o.z)
		}
	}
	if got := c.logLikelihood(x, &e.Prior); math.Abs(got-want) > 1e-9*math.Abs(want) {
		t.Errorf("log likelihood %.12g, reading by reading %.12g (gonum distuv)", got, want)
	}
}
