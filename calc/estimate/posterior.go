package estimate

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"shimwright/calc/unit"
)

// Estimator holds what is known before a job and how well things can be read.
type Estimator struct {
	Prior  Prior
	Errors Errors
	// Tightest judges backlash by its tightest point; otherwise by its mean.
	Tightest bool
	// PlainOnly leaves out every hypothesis but the plain one.
	PlainOnly bool
}

// Posterior is what is known after the readings. It does not change once made.
type Posterior struct {
	Hypotheses []Hypothesis // by chance, the most likely first
	Effective  float64      // effective number of independent draws behind the figures
	Rough      bool         // a most likely point was not found within ModeSteps

	estimator *Estimator
	draws     []draw
	jitter    []float64 // standard normals, one a draw, for what an assembly adds
	below     float64   // how far the judged point is below the mean, mm
	belowSD   float64
	readNow   float64 // mean backlash read on the last attempt; NaN where none was
	nowShare  float64 // how much of its departure is the assembly and not the dial
}

// draw is one axle as it may be, of equal weight with the others.
type draw struct {
	depth, ring float64 // where the members stand now, mm
	lash        float64 // mean backlash their places give, mm
	at          [Coordinates]float64
	answers
	kind Kind
}

// kept is how many draws of equal weight a posterior keeps.
const kept = 400

// Fit works out what the attempts say. Attempts are in order, the last one is in
// the housing. It errs, wrapping ErrPrior or ErrAttempt, on numbers that cannot
// be. The same attempts give the same result, draws included.
func (e *Estimator) Fit(attempts []Attempt) (*Posterior, error) {
	if err := e.Prior.check(); err != nil {
		return nil, err
	}
	if err := e.Errors.check(); err != nil {
		return nil, err
	}
	if len(attempts) == 0 {
		return nil, fmt.Errorf("%w: there are none", ErrAttempt)
	}
	for i, a := range attempts {
		if err := a.check(i + 1); err != nil {
			return nil, err
		}
	}
	p := &Posterior{estimator: e, readNow: math.NaN()}
	found, err := e.modes(attempts, p)
	if err != nil {
		return nil, err
	}
	if err := p.sample(found); err != nil {
		return nil, err
	}
	p.judge(attempts)
	return p, nil
}

// candidate is a course with its most likely point.
type candidate struct {
	*course
	mode
	lower    []float64
	evidence float64 // log, course prior included
	chance   float64
}

// modes finds the most likely point of every course that is worth it.
func (e *Estimator) modes(attempts []Attempt, p *Posterior) ([]candidate, error) {
	var found []candidate
	for i, c := range e.courses(attempts) {
		if i > 0 && (e.PlainOnly || i > 1 && found[0].misfit < worthTrying) {
			break // everything fits; only mixed flanks are always thought of
		}
		m, err := c.find(&e.Prior)
		if err != nil {
			return nil, err
		}
		v, lower, err := m.logEvidence(c)
		if err != nil {
			return nil, err
		}
		p.Rough = p.Rough || i == 0 && !m.converged
		found = append(found, candidate{course: c, mode: m, lower: lower, evidence: v})
	}
	best := slices.MaxFunc(found, func(a, b candidate) int { return cmp.Compare(a.evidence, b.evidence) }).evidence
	sum := 0.0
	for i := range found {
		found[i].chance = math.Exp(found[i].evidence - best)
		sum += found[i].chance
	}
	for i := range found {
		found[i].chance /= sum
	}
	return slices.DeleteFunc(found, func(c candidate) bool { return c.chance < leastChance }), nil
}

// sample draws from every course, weighs the draws, and keeps equal ones.
func (p *Posterior) sample(found []candidate) error {
	rng := rand.New(rand.NewPCG(1, 2))
	e := p.estimator
	most := 0
	for i := range found {
		most += found[i].draws()
	}
	all := drawn{x: make([][]float64, 0, most), logWeight: make([]float64, 0, most)}
	from := make([]int, 0, most)
	for i := range found {
		c := &found[i]
		wide := make([]float64, len(c.lower))
		for j, v := range c.lower {
			wide[j] = widened * v
		}
		q := newProposal(c.belief.Mean, wide)
		if c.chance > worthShaping {
			var err error
			if q, err = c.reshape(c.sample(q, shapeDraws, &e.Prior, rng), c.mode); err != nil {
				return err
			}
		}
		n := c.draws()
		d := c.sample(q, n, &e.Prior, rng)
		_, logMean, effective := weights(d.logWeight)
		c.evidence = logMean + c.logPrior
		p.Effective += effective
		for k, x := range d.x {
			all.x = append(all.x, x)
			all.logWeight = append(all.logWeight, d.logWeight[k]+c.logPrior-math.Log(float64(n)))
			from = append(from, i)
		}
	}
	share, _, _ := weights(all.logWeight)
	for i := range found {
		h := found[i].Hypothesis
		h.Chance = 0
		for k, w := range share {
			if from[k] == i {
				h.Chance += w
			}
		}
		p.Hypotheses = append(p.Hypotheses, h)
	}
	slices.SortStableFunc(p.Hypotheses, func(a, b Hypothesis) int { return cmp.Compare(b.Chance, a.Chance) })
	// Systematic resampling: equal steps through the cumulated weights.
	p.draws, p.jitter = make([]draw, 0, kept), make([]float64, 0, kept)
	cumulated, k := share[0], 0
	for i := range kept {
		at := (float64(i) + 0.5) / kept
		for cumulated < at && k < len(share)-1 {
			k++
			cumulated += share[k]
		}
		p.draws = append(p.draws, found[from[k]].now(all.x[k], &e.Prior))
		p.jitter = append(p.jitter, rng.NormFloat64())
	}
	return nil
}

// draws is how many are made of a candidate in the end.
func (c *candidate) draws() int { return max(leastDraws, int(finalDraws*c.chance)) }

// now is the axle as it stands, for unknowns x.
func (c *course) now(x []float64, prior *Prior) draw {
	last := len(c.epoch) - 1
	d := draw{answers: c.answers(x, prior), kind: c.Kind}
	d.depth, d.ring = c.place(x, last)
	d.lash = x[iLash] - d.lashPinion*d.depth - d.lashRing*d.ring
	for i := range Coordinates {
		d.at[i] = own(x, i) + d.answers.pinion[i]*d.depth + d.answers.ring[i]*d.ring
	}
	return d
}

// judge notes how the judged point lies to the mean, from all attempts.
func (p *Posterior) judge(attempts []Attempt) {
	e := p.estimator
	if e.Tightest {
		// One prior reading's worth of "as at a usual runout", then what was read.
		sum, n, squares := 0.0, 0.0, 0.0
		for _, a := range attempts {
			if len(a.Backlash) < 3 {
				continue
			}
			_, below := meanLash(a.Backlash)
			below = steady(below, len(a.Backlash), e.Errors.Dial)
			sum, n, squares = sum+below, n+1, squares+below*below
		}
		if n > 0 {
			p.below = sum / n
			p.belowSD = math.Sqrt((e.Errors.Dial*e.Errors.Dial/2 + max(0, squares-n*p.below*p.below)) / (n + 1))
		} else {
			p.belowSD = e.Errors.Tight / 2
		}
	}
	last := attempts[len(attempts)-1]
	if n := len(last.Backlash); n > 0 {
		p.readNow, _ = meanLash(last.Backlash)
		p.nowShare = e.assemblyVariance() / e.lashVariance(n)
	}
}

// steady takes out of a tightest reading's distance from the mean what the dial's
// own error makes the smallest of n readings lie too low, in quadrature. mm.
//
// Source: G. Blom, Statistical Estimates and Transformed Beta-Variables (1958):
// the largest of n normals is expected at Φ⁻¹((n − 3/8)/(n + 1/4)), from memory.
func steady(below float64, n int, dial float64) float64 {
	p := (float64(n) - 0.375) / (float64(n) + 0.25)
	low := dial * math.Sqrt2 * math.Erfinv(2*p-1)
	return math.Sqrt(max(0, below*below-low*low))
}

// quantile gives the value below which the share q of sorted numbers lies.
func quantile(sorted []float64, q float64) float64 {
	at := q*float64(len(sorted)) - 0.5
	i := int(math.Floor(at))
	switch {
	case i < 0:
		return sorted[0]
	case i >= len(sorted)-1:
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

// Interval is a predicted number: its mean and the middle 80 % of what it may be.
type Interval struct{ Mean, Low, High float64 }

// IntervalShare is the share of cases an Interval holds.
const IntervalShare = 0.8

// Prediction is what should be read after a change.
type Prediction struct {
	Backlash Interval              // at the judged point, mm
	Mean     Interval              // round the ring, mm
	Marks    [Coordinates]Interval // where the patterns lie, −1 … +1
}

// After predicts what a change of both members leads to: backlash and patterns as
// they will be, what an assembly adds included, and the dial's and the eye's own
// errors not.
func (p *Posterior) After(pinion, ring unit.Length) Prediction {
	var out Prediction
	assembly := math.Sqrt(p.estimator.assemblyVariance())
	p.collect(&out.Mean, func(i int, d *draw) float64 {
		return d.lashAfter(pinion.MM(), ring.MM()) + assembly*p.jitter[i]
	})
	p.collect(&out.Backlash, func(i int, d *draw) float64 {
		return d.lashAfter(pinion.MM(), ring.MM()) - p.below + math.Hypot(assembly, p.belowSD)*p.jitter[i]
	})
	for c := range Coordinates {
		p.collect(&out.Marks[c], func(_ int, d *draw) float64 { return bend(d.markAfter(c, pinion.MM(), ring.MM())) })
	}
	return out
}

// Now gives what this assembly has: by its shims, and for backlash by what was
// read on it too.
func (p *Posterior) Now() Prediction {
	out := p.After(0, 0)
	lash := func(i int, d *draw, more float64) float64 {
		v, spread := d.lash, math.Sqrt(p.estimator.assemblyVariance())
		if !math.IsNaN(p.readNow) {
			v += p.nowShare * (p.readNow - v)
			spread *= math.Sqrt(1 - p.nowShare)
		}
		return v + math.Hypot(spread, more)*p.jitter[i]
	}
	out.Mean, out.Backlash = Interval{}, Interval{}
	p.collect(&out.Mean, func(i int, d *draw) float64 { return lash(i, d, 0) })
	p.collect(&out.Backlash, func(i int, d *draw) float64 { return lash(i, d, p.belowSD) - p.below })
	return out
}

func (d *draw) lashAfter(pinion, ring float64) float64 {
	return d.lash - d.lashPinion*pinion - d.lashRing*ring
}

func (d *draw) markAfter(c int, pinion, ring float64) float64 {
	return d.at[c] + d.answers.pinion[c]*pinion + d.answers.ring[c]*ring
}

func (p *Posterior) collect(out *Interval, of func(int, *draw) float64) {
	values := make([]float64, len(p.draws))
	for i := range p.draws {
		values[i] = of(i, &p.draws[i])
		out.Mean += values[i] / float64(len(p.draws))
	}
	slices.Sort(values)
	out.Low = quantile(values, (1-IntervalShare)/2)
	out.High = quantile(values, (1+IntervalShare)/2)
}

// Standing gives where the members stand now against their right places, mm:
// + too deep, + too far towards the pinion.
func (p *Posterior) Standing() (depth, ring Interval) {
	p.collect(&depth, func(_ int, d *draw) float64 { return d.depth })
	p.collect(&ring, func(_ int, d *draw) float64 { return d.ring })
	return depth, ring
}

// Answers gives by how much backlash closes per unit of pinion and ring move.
func (p *Posterior) Answers() (pinion, ring Interval) {
	p.collect(&pinion, func(_ int, d *draw) float64 { return d.lashPinion })
	p.collect(&ring, func(_ int, d *draw) float64 { return d.lashRing })
	return pinion, ring
}

// Share gives the chance that the present depth error, in mm, is as asked.
func (p *Posterior) Share(of func(depth float64) bool) float64 {
	return p.share(func(_ int, d *draw) bool { return of(d.depth) })
}
