package estimate

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// errNotPositive says that a covariance is not one.
var errNotPositive = errors.New("a covariance is not positive definite")

// cholesky gives the lower triangle L of the n×n matrix a = L·Lᵀ.
func cholesky(a []float64, n int) ([]float64, error) {
	l := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			sum := a[i*n+j]
			for k := range j {
				sum -= l[i*n+k] * l[j*n+k]
			}
			if i == j {
				if !(sum > 0) {
					return nil, errNotPositive
				}
				l[i*n+i] = math.Sqrt(sum)
			} else {
				l[i*n+j] = sum / l[j*n+j]
			}
		}
	}
	return l, nil
}

// proposal is a normal that unknowns are drawn from.
type proposal struct {
	mean, lower []float64
	logNorm     float64
}

func newProposal(mean, lower []float64) proposal {
	p := proposal{mean: mean, lower: lower}
	for i := range mean {
		p.logNorm -= math.Log(lower[i*len(mean)+i]) + logRootTau
	}
	return p
}

// draw fills z and gives the log density it was drawn with; t is scratch.
func (p proposal) draw(rng *rand.Rand, z, t []float64) float64 {
	n, log := len(z), p.logNorm
	for i := range t {
		t[i] = rng.NormFloat64()
		log -= t[i] * t[i] / 2
	}
	for i := range n {
		sum := p.mean[i]
		for j, v := range t[:i+1] {
			sum += p.lower[i*n+j] * v
		}
		z[i] = sum
	}
	return log
}

// Draws: how many a course of chance one gets, how many to find the shape of the
// posterior first, and how far the normal about the mode is widened for that.
const (
	finalDraws   = 1200
	shapeDraws   = 300
	leastDraws   = 60
	worthShaping = 0.05 // chance of a course
	widened      = 1.12
	tailWider    = 1.06
)

// drawn is a set of weighted draws of one course.
type drawn struct {
	x         [][]float64
	logWeight []float64 // of prior × likelihood over the density drawn from
}

// sample draws n unknowns of a course from a normal, weighted.
func (c *course) sample(p proposal, n int, prior *Prior, rng *rand.Rand) drawn {
	d := drawn{x: make([][]float64, n), logWeight: make([]float64, n)}
	dims := len(c.mean)
	store := make([]float64, n*dims)
	z, t := make([]float64, dims), make([]float64, dims)
	for i := range n {
		x := store[i*dims : (i+1)*dims]
		log := p.draw(rng, z, t)
		c.natural(z, x)
		d.x[i], d.logWeight[i] = x, c.logLikelihood(x, prior)+logStandard(z)-log
	}
	return d
}

// weights turns log weights into shares that sum to one, and gives the log of
// their mean and the effective number of draws.
func weights(log []float64) (share []float64, logMean, effective float64) {
	top := math.Inf(-1)
	for _, v := range log {
		top = max(top, v)
	}
	share = make([]float64, len(log))
	sum := 0.0
	for i, v := range log {
		share[i] = math.Exp(v - top)
		sum += share[i]
	}
	squares := 0.0
	for i := range share {
		share[i] /= sum
		squares += share[i] * share[i]
	}
	return share, top + math.Log(sum/float64(len(log))), 1 / squares
}

// reshape gives a normal with mean and covariance of weighted draws; where they
// are few, it leans on the normal they were drawn from.
func (c *course) reshape(d drawn, about mode) (proposal, error) {
	share, _, effective := weights(d.logWeight)
	n := len(c.mean)
	trust := effective / (effective + float64(n))
	mean, cov := make([]float64, n), make([]float64, n*n)
	scaled := func(x []float64, i int) float64 { return (x[i] - c.mean[i]) / c.spread[i] }
	for k, w := range share {
		for i := range n {
			mean[i] += w * scaled(d.x[k], i)
		}
	}
	for i := range n {
		mean[i] = trust*mean[i] + (1-trust)*about.belief.Mean[i]
	}
	off := make([]float64, n)
	for k, w := range share {
		if w < 1e-9 {
			continue
		}
		for i := range n {
			off[i] = scaled(d.x[k], i) - mean[i]
		}
		for i := range n {
			for j := range i + 1 {
				cov[i*n+j] += w * off[i] * off[j]
			}
		}
	}
	for i := range n {
		for j := range i + 1 {
			v := tailWider * tailWider * (trust*cov[i*n+j] + (1-trust)*widened*widened*about.belief.Cov[i*n+j])
			cov[i*n+j], cov[j*n+i] = v, v
		}
	}
	lower, err := cholesky(cov, n)
	if err != nil {
		return proposal{}, fmt.Errorf("reshaping the draws: %w", err)
	}
	return newProposal(mean, lower), nil
}
