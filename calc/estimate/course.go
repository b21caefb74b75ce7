package estimate

import (
	"math"
)

// The unknowns, in their order; the last two come once an epoch, that is between
// two seatings of the bearings.
const (
	iLash        = 0 // backlash with both members right, mm
	iLashPinion  = 1 // logarithm, against the prior
	iLashRing    = 2
	iAlong       = 3 // logarithm of the common scales
	iAcross      = 4
	iPinionSlope = 5 // four each
	iRingSlope   = 9
	iBoth        = 13 // along, across
	iApart       = 15
	iEpochs      = 17
)

// observation is one reading: a normal one, or an interval where high > low.
type observation struct {
	attempt   int
	what      int // coordinate, or whatLash
	z, r      float64
	low, high float64
	sigma     float64 // of the interval's edges; 0 for a normal reading
	logNorm   float64 // of a normal reading's density, ½ ln 2πr
}

const whatLash = -1

// course is one way things may have gone: who stood where, and which readings
// count. Everything is in mm.
type course struct {
	Hypothesis
	logPrior float64 // of the course itself

	mean, spread []float64 // of the unknowns
	pinion, ring []float64 // moves as they really went
	epoch        []int
	readings     []observation
	dropped      float64 // log density of the readings that are taken as wrong
}

// place gives where the members stand in attempt k.
func (c *course) place(x []float64, k int) (p, g float64) {
	e := iEpochs + 2*c.epoch[k]
	return x[e] + c.pinion[k], x[e+1] + c.ring[k]
}

// answers are the sensitivities of one drawn axle.
type answers struct {
	lashPinion, lashRing float64
	pinion, ring         [Coordinates]float64
}

func (c *course) answers(x []float64, prior *Prior) answers {
	a := answers{lashPinion: prior.LashPinion * math.Exp(x[iLashPinion]), lashRing: prior.LashRing * math.Exp(x[iLashRing])}
	along, across := math.Exp(x[iAlong]), math.Exp(x[iAcross])
	for i := range Coordinates {
		scale := across
		if Coordinate(i).Along() {
			scale = along
		}
		a.pinion[i], a.ring[i] = scale*x[iPinionSlope+i], scale*x[iRingSlope+i]
	}
	return a
}

// expect gives what a reading should be for unknowns x.
func (c *course) expect(x []float64, a *answers, o *observation) float64 {
	p, g := c.place(x, o.attempt)
	if o.what == whatLash {
		return x[iLash] - a.lashPinion*p - a.lashRing*g
	}
	return own(x, o.what) + a.pinion[o.what]*p + a.ring[o.what]*g
}

// own is where a pattern coordinate lies with both members right.
func own(x []float64, i int) float64 {
	way := i % 2 // along or across
	if Coordinate(i).Drive() {
		return x[iBoth+way] + x[iApart+way]
	}
	return x[iBoth+way] - x[iApart+way]
}

// slopes fills h with the derivatives of expect by the scaled unknowns.
func (c *course) slopes(x []float64, a *answers, o *observation, h []float64) {
	clear(h)
	p, g := c.place(x, o.attempt)
	e := iEpochs + 2*c.epoch[o.attempt]
	if o.what == whatLash {
		h[iLash] = 1
		h[iLashPinion], h[iLashRing] = -a.lashPinion*p, -a.lashRing*g
		h[e], h[e+1] = -a.lashPinion, -a.lashRing
	} else {
		i := o.what
		common := iAcross
		if Coordinate(i).Along() {
			common = iAlong
		}
		scale := math.Exp(x[common])
		h[common] = a.pinion[i]*p + a.ring[i]*g
		h[iPinionSlope+i], h[iRingSlope+i] = scale*p, scale*g
		h[iBoth+i%2], h[iApart+i%2] = 1, 1
		if !Coordinate(i).Drive() {
			h[iApart+i%2] = -1
		}
		h[e], h[e+1] = a.pinion[i], a.ring[i]
	}
	for i, s := range c.spread {
		h[i] *= s
	}
}

// natural turns scaled unknowns into natural ones.
func (c *course) natural(z, x []float64) {
	for i := range z {
		x[i] = c.mean[i] + c.spread[i]*z[i]
	}
}

// logLikelihood of all readings for unknowns x, without constants that all
// courses share.
func (c *course) logLikelihood(x []float64, prior *Prior) float64 {
	a := c.answers(x, prior)
	sum := c.dropped
	// The probabilities of intervals are multiplied up, to take one logarithm.
	product := 1.0
	for i := range c.readings {
		o := &c.readings[i]
		u := c.expect(x, &a, o)
		if o.sigma == 0 {
			d := o.z - u
			sum -= d*d/(2*o.r) + o.logNorm
			continue
		}
		low, high := (o.low-u)/o.sigma, (o.high-u)/o.sigma
		p := between(low, high)
		if p < 1e-30 {
			sum += logInterval(low, high)
			continue
		}
		if product *= p; product < 1e-200 {
			sum += math.Log(product)
			product = 1
		}
	}
	return sum + math.Log(product)
}

const logRootTau = 0.9189385332046727 // ½·ln 2π

// logInterval is the logarithm of the normal probability between a and b.
func logInterval(a, b float64) float64 {
	p := between(a, b)
	if p > 1e-290 {
		return math.Log(p)
	}
	// Far out the nearer edge decides: ln Φ(−t) ≈ −t²/2 − ln t − ½ ln 2π.
	t := max(math.Max(a, -b), 1)
	return -t*t/2 - math.Log(t) - logRootTau
}

// between is the normal probability between a and b, computed in the nearer tail.
func between(a, b float64) float64 {
	if a+b < 0 {
		a, b = -b, -a
	}
	upper := 0.0
	if !math.IsInf(b, 1) {
		upper = math.Erfc(b / math.Sqrt2)
	}
	if math.IsInf(a, -1) {
		return 1 - upper/2
	}
	return (math.Erfc(a/math.Sqrt2) - upper) / 2
}

// curve gives the slope and the curvature (positive) of the logarithm of the
// interval's probability, per σ and σ², at an expected value that puts the edges
// at a and b. Derivation: the derivatives of ln(Φ(b) − Φ(a)).
func curve(a, b float64) (slope, bend float64) {
	p := between(a, b)
	if p < 1e-290 {
		if a > 0 {
			return a, 1
		}
		return b, 1
	}
	fa, fb := density(a), density(b)
	slope = (fa - fb) / p
	bend = slope * slope
	if !math.IsInf(a, 0) {
		bend -= a * fa / p
	}
	if !math.IsInf(b, 0) {
		bend += b * fb / p
	}
	return slope, bend
}

func density(t float64) float64 {
	if math.IsInf(t, 0) {
		return 0
	}
	return math.Exp(-t*t/2 - logRootTau)
}
