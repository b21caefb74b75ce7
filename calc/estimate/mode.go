package estimate

import (
	"math"
)

// The search for the most likely unknowns ends when the objective gains less than
// ModeTolerance in a step. Where ModeSteps do not do, Posterior.Rough says so;
// the draws are weighted by the true likelihood either way.
const (
	ModeTolerance = 1e-4
	ModeSteps     = 30
	halvings      = 8
)

// mode is a most likely point of a course with the covariance about it, in
// scaled unknowns.
type mode struct {
	belief    *Belief
	converged bool
	logHeight float64 // log of prior × likelihood there
	misfit    float64 // largest of the readings' standardised residuals
}

// find searches the most likely unknowns: Gauss–Newton steps, each of them one
// pass of the linear filter over readings made straight where the last step
// ended (the iterated Kalman update of a constant state). Interval readings enter
// by the slope and curvature of their logarithm.
func (c *course) find(prior *Prior) (mode, error) {
	n := len(c.mean)
	zero, one := make([]float64, n), make([]float64, n)
	for i := range one {
		one[i] = 1
	}
	z, x, h, trial := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	height := func(z []float64) float64 {
		c.natural(z, x)
		return c.logLikelihood(x, prior) + logStandard(z)
	}
	best := height(z)
	var m mode
	for range ModeSteps {
		b, err := NewBelief(zero, one)
		if err != nil {
			return mode{}, err
		}
		c.natural(z, x)
		a := c.answers(x, prior)
		for i := range c.readings {
			o := &c.readings[i]
			u := c.expect(x, &a, o)
			off, r := o.z-u, o.r
			if o.sigma > 0 {
				slope, bend := curve((o.low-u)/o.sigma, (o.high-u)/o.sigma)
				if bend < 1e-6 {
					continue // the interval holds whatever the step may be
				}
				off, r = slope/bend*o.sigma, o.sigma*o.sigma/bend
			}
			c.slopes(x, &a, o, h)
			for j := range z {
				off += h[j] * z[j]
			}
			if _, err := b.Update(h, off, r); err != nil {
				return mode{}, err
			}
		}
		m.belief = b
		step, gained := 1.0, math.Inf(-1)
		for range halvings {
			for j := range z {
				trial[j] = z[j] + step*(b.Mean[j]-z[j])
			}
			if gained = height(trial); gained > best {
				break
			}
			step /= 2
		}
		if !(gained > best+ModeTolerance) {
			m.converged = gained >= best-ModeTolerance
			break
		}
		copy(z, trial)
		best = gained
	}
	copy(m.belief.Mean, z)
	m.logHeight = best
	m.misfit = c.worst(z, prior)
	return m, nil
}

// worst is the largest standardised residual of the readings at z.
func (c *course) worst(z []float64, prior *Prior) float64 {
	x := make([]float64, len(z))
	c.natural(z, x)
	a := c.answers(x, prior)
	worst := 0.0
	for i := range c.readings {
		o := &c.readings[i]
		u := c.expect(x, &a, o)
		d := 0.0
		if o.sigma > 0 {
			d = max(o.low-u, u-o.high, 0) / o.sigma
		} else {
			d = math.Abs(o.z-u) / math.Sqrt(o.r)
		}
		worst = max(worst, d)
	}
	// An answer or a bias two deviations off: a slipped change reads like an axle
	// that answers three times as much as geometry lets it.
	for _, v := range z[iLashPinion:iEpochs] {
		worst = max(worst, math.Abs(v)*worthTrying/2)
	}
	return worst
}

// logEvidence is Laplace's approximation of the log density of all readings under
// the course, its own prior included. Derivation: height × (2π)^{n/2} × √det C.
func (m mode) logEvidence(c *course) (float64, []float64, error) {
	lower, err := cholesky(m.belief.Cov, len(c.mean))
	if err != nil {
		return 0, nil, err
	}
	v := m.logHeight + c.logPrior
	for i := range c.mean {
		v += math.Log(lower[i*len(c.mean)+i]) + logRootTau
	}
	return v, lower, nil
}

// logStandard is the log density of independent standard normals.
func logStandard(z []float64) float64 {
	sum := 0.0
	for _, v := range z {
		sum -= v*v/2 + logRootTau
	}
	return sum
}
