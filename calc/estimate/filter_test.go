package estimate

import (
	"errors"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

func numbers(t testing.TB, text string) []float64 {
	t.Helper()
	var out []float64
	for field := range strings.FieldsSeq(text) {
		v, err := strconv.ParseFloat(field, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// A constant state (B0, B1), a prior that says nothing and readings of variance
// s² end at the certified estimates, with their certified standard deviations.
func TestFilterNorris(t *testing.T) {
	const source = "NIST Statistical Reference Datasets, linear regression, Norris; use as a filter derived"
	x := numbers(t, `0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6
		556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5`)
	y := numbers(t, `0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8
		557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2`)
	const s = 0.884796396144373
	b, err := NewBelief([]float64{0, 0}, []float64{2e3, 2e3})
	if err != nil {
		t.Fatal(err)
	}
	for i := range x {
		if _, err := b.Update([]float64{1, x[i]}, y[i], s*s); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name                 string
		got, want, tolerance float64
	}{
		{"B0", b.Mean[0], -0.262323073774029, 1e-7},
		{"B1", b.Mean[1], 1.00211681802045, 1e-7},
		{"sd of B0", b.Deviation(0), 0.232818234301152, 1e-7},
		{"sd of B1", b.Deviation(1), 0.429796848199937e-03, 1e-7},
	} {
		if math.Abs(c.got/c.want-1) > c.tolerance {
			t.Errorf("%s = %.12g, want %.12g (relative %g, tolerance %g; %s)", c.name, c.got, c.want, c.got/c.want-1, c.tolerance, source)
		}
	}
}

// The filter against the normal equations of the same prior and readings.
func TestFilterIsLeastSquares(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const n, readings = 6, 25
	mean, dev := make([]float64, n), make([]float64, n)
	for i := range n {
		mean[i], dev[i] = rng.NormFloat64(), 0.5+rng.Float64()
	}
	b, err := NewBelief(mean, dev)
	if err != nil {
		t.Fatal(err)
	}
	information, right := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i := range n {
		information.SetSym(i, i, 1/(dev[i]*dev[i]))
		right.SetVec(i, mean[i]/(dev[i]*dev[i]))
	}
	for range readings {
		h := make([]float64, n)
		for i := range h {
			h[i] = rng.NormFloat64()
		}
		z, r := rng.NormFloat64(), 0.01+rng.Float64()
		if _, err := b.Update(h, z, r); err != nil {
			t.Fatal(err)
		}
		for i := range n {
			right.SetVec(i, right.AtVec(i)+h[i]*z/r)
			for j := i; j < n; j++ {
				information.SetSym(i, j, information.At(i, j)+h[i]*h[j]/r)
			}
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
	const source = "derived: normal equations, solved by gonum"
	for i := range n {
		if math.Abs(b.Mean[i]-want.AtVec(i)) > 1e-10 {
			t.Errorf("mean %d = %g, want %g (%s)", i, b.Mean[i], want.AtVec(i), source)
		}
		for j := range n {
			if math.Abs(b.Cov[i*n+j]-cov.At(i, j)) > 1e-10 {
				t.Errorf("covariance %d %d = %g, want %g (%s)", i, j, b.Cov[i*n+j], cov.At(i, j), source)
			}
		}
	}
}

func TestFilterProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "n")
		number := rapid.Float64Range(-10, 10)
		mean, dev := make([]float64, n), make([]float64, n)
		for i := range n {
			mean[i], dev[i] = number.Draw(t, "mean"), rapid.Float64Range(1e-3, 100).Draw(t, "deviation")
		}
		b, err := NewBelief(mean, dev)
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 12).Draw(t, "readings") {
			h := make([]float64, n)
			for i := range h {
				h[i] = number.Draw(t, "slope")
			}
			before := append([]float64(nil), b.Cov...)
			in, err := b.Update(h, number.Draw(t, "z"), rapid.Float64Range(1e-6, 10).Draw(t, "r"))
			if err != nil {
				t.Fatal(err)
			}
			if !(in.Variance > 0) {
				t.Fatalf("innovation variance %g", in.Variance)
			}
			for i := range n {
				if v := b.Cov[i*n+i]; !(v >= 0) || v > before[i*n+i]*(1+1e-9) {
					t.Fatalf("variance %d went from %g to %g", i, before[i*n+i], v)
				}
				for j := range n {
					if b.Cov[i*n+j] != b.Cov[j*n+i] {
						t.Fatalf("covariance is not symmetric at %d, %d", i, j)
					}
				}
			}
		}
	})
}

func TestFilterRefuses(t *testing.T) {
	if _, err := NewBelief([]float64{0}, []float64{0}); !errors.Is(err, ErrFilter) {
		t.Errorf("a deviation of nothing: %v", err)
	}
	if _, err := NewBelief([]float64{0, 1}, []float64{1}); !errors.Is(err, ErrFilter) {
		t.Errorf("lengths that differ: %v", err)
	}
	b, err := NewBelief([]float64{1}, []float64{1})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		h    []float64
		z, r float64
	}{
		{[]float64{1, 2}, 0, 1}, {[]float64{1}, math.NaN(), 1}, {[]float64{1}, 0, 0}, {[]float64{1}, 0, -1},
		{[]float64{math.NaN()}, 0, 1}, {[]float64{1}, math.Inf(1), 1}, {[]float64{math.Inf(1)}, 0, 1},
	} {
		if _, err := b.Update(c.h, c.z, c.r); !errors.Is(err, ErrFilter) {
			t.Errorf("%v: %v, want ErrFilter", c, err)
		}
	}
	if b.Mean[0] != 1 || b.Cov[0] != 1 {
		t.Errorf("a refused reading changed the belief to %g ± %g", b.Mean[0], b.Deviation(0))
	}
}
