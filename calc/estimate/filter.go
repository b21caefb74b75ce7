package estimate

import (
	"errors"
	"fmt"
	"math"
)

// Belief is a normal belief about n numbers: their mean and covariance (row by
// row). It is a linear filter for a constant state, which is recursive least
// squares with a prior.
type Belief struct {
	Mean []float64
	Cov  []float64
	work []float64 // P·h
	gain []float64 // A·h − r·K
}

// ErrFilter is wrapped by the errors of a filter step.
var ErrFilter = errors.New("the filter cannot take this reading")

// NewBelief makes a belief of independent numbers from their means and standard
// deviations. It errs, wrapping ErrFilter, on lengths that differ or on a
// deviation that is not a positive number.
func NewBelief(mean, deviation []float64) (*Belief, error) {
	n := len(mean)
	if n == 0 || len(deviation) != n {
		return nil, fmt.Errorf("%w: %d means and %d deviations", ErrFilter, n, len(deviation))
	}
	b := &Belief{Mean: append([]float64(nil), mean...), Cov: make([]float64, n*n), work: make([]float64, n), gain: make([]float64, n)}
	for i, s := range deviation {
		if !(s > 0) || math.IsInf(s, 0) || math.IsNaN(mean[i]) || math.IsInf(mean[i], 0) {
			return nil, fmt.Errorf("%w: number %d is %g ± %g", ErrFilter, i+1, mean[i], s)
		}
		b.Cov[i*n+i] = s * s
	}
	return b, nil
}

// Innovation is what a reading brings against what was expected.
type Innovation struct {
	Off      float64 // read − expected
	Variance float64 // of Off before the reading
}

// Update takes the reading z = h·x + error with the error's variance r. It gives
// the innovation and errs, wrapping ErrFilter, on numbers that cannot be, and
// then leaves the belief as it was.
//
// Source: R. E. Kalman, A New Approach to Linear Filtering and Prediction
// Problems (1960); the covariance in P. D. Joseph's symmetric form
// P = (I−Kh)P(I−Kh)ᵀ + K·r·Kᵀ, which stays positive for nearly exact readings.
func (b *Belief) Update(h []float64, z, r float64) (Innovation, error) {
	n := len(b.Mean)
	if len(h) != n || !(r > 0) || math.IsInf(r, 0) || math.IsNaN(z) || math.IsInf(z, 0) {
		return Innovation{}, fmt.Errorf("%w: %g with variance %g, %d slopes for %d numbers", ErrFilter, z, r, len(h), n)
	}
	expected, s := 0.0, r
	ph := b.work
	for i := range n {
		sum := 0.0
		row := b.Cov[i*n : i*n+n]
		for j, v := range h {
			sum += row[j] * v
		}
		ph[i] = sum
		expected += h[i] * b.Mean[i]
		s += h[i] * sum
	}
	off := z - expected
	if math.IsNaN(s) || math.IsInf(s, 0) || math.IsNaN(off) || math.IsInf(off, 0) {
		return Innovation{}, fmt.Errorf("%w: slopes that are not numbers", ErrFilter)
	}
	for i := range n {
		b.Mean[i] += ph[i] / s * off
	}
	// A = (I−Kh)P first, then A(I−Kh)ᵀ + K·r·Kᵀ with q = A·h.
	for i := range n {
		k := ph[i] / s
		row := b.Cov[i*n : i*n+n]
		q := 0.0
		for j := range row {
			row[j] -= k * ph[j]
			q += row[j] * h[j]
		}
		b.gain[i] = q - r*k
	}
	for i := range n {
		row := b.Cov[i*n : i*n+n]
		for j := range row {
			row[j] -= b.gain[i] * ph[j] / s
		}
	}
	for i := range n {
		for j := range i {
			v := (b.Cov[i*n+j] + b.Cov[j*n+i]) / 2
			b.Cov[i*n+j], b.Cov[j*n+i] = v, v
		}
	}
	return Innovation{Off: off, Variance: s}, nil
}

// Deviation gives the standard deviation of number i.
func (b *Belief) Deviation(i int) float64 {
	return math.Sqrt(max(0, b.Cov[i*len(b.Mean)+i]))
}
