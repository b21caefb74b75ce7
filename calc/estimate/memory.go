package estimate

import (
	"math"
	"math/rand/v2"
)

// Memory is what finished jobs on one kind of axle say about the next one, as
// priors. The zero Memory says nothing.
type Memory struct {
	Jobs int `json:"jobs"` // finished jobs behind it

	Depth   Normal    `json:"depth"`   // where first builds' pinions stand, mm, + too deep
	Answers [4]Normal `json:"answers"` // logarithms: backlash per pinion and per ring move, along and across scales
}

// commonShare is how much of a prior's variance all axles of one construction
// have in common (geometry that was assumed, how the shop reads and cuts its
// first shim); the rest is each axle's own. Common practice, no source.
const commonShare = 0.5

// Learn works a memory out of finished jobs, each with all its attempts. The
// estimator's own prior must be the plain one, not one that is sharpened already.
// Jobs that cannot be worked are left out of the count.
//
// Derivation: an unknown of job k is m + d with the shop's m of variance c·s² and
// the axle's own d of variance (1−c)·s², s² the plain prior's. A job's posterior,
// freed of that prior, is a reading of m with the variance of the rest added; the
// readings are summed by their precision.
func (e *Estimator) Learn(jobs [][]Attempt) (Memory, error) {
	if err := e.Prior.check(); err != nil {
		return Memory{}, err
	}
	if err := e.Errors.check(); err != nil {
		return Memory{}, err
	}
	var m Memory
	unknowns := []int{iEpochs, iLashPinion, iLashRing, iAlong, iAcross}
	precision, weighted := make([]float64, len(unknowns)), make([]float64, len(unknowns))
	spreads := make([]float64, len(unknowns))
	for i := range precision {
		precision[i] = 1 / commonShare // in scaled unknowns the plain prior is 0 ± 1
	}
	plain := e.course([]Attempt{{}}, Hypothesis{Kind: Plain})
	for i, u := range unknowns {
		spreads[i] = plain.spread[u]
	}
	for _, attempts := range jobs {
		job, ok := e.finished(attempts, unknowns)
		if !ok {
			continue
		}
		m.Jobs++
		for i, n := range job {
			own := 1/(n.Spread*n.Spread) - 1
			if own < 1e-3 {
				continue // the job says nothing of it
			}
			reading := n.Mean / (n.Spread * n.Spread) / own
			w := 1 / (1/own + 1 - commonShare)
			precision[i] += w
			weighted[i] += w * reading
		}
	}
	next := make([]Normal, len(unknowns))
	for i := range unknowns {
		next[i] = Normal{Mean: spreads[i] * weighted[i] / precision[i], Spread: spreads[i] * math.Sqrt(1/precision[i]+1-commonShare)}
	}
	next[0].Mean += e.Prior.Depth.Mean
	m.Depth = next[0]
	copy(m.Answers[:], next[1:])
	return m, nil
}

// finished gives what one job says of the unknowns, scaled by the plain prior,
// under the most likely course of it. A set whose flanks lie apart says nothing.
func (e *Estimator) finished(attempts []Attempt, unknowns []int) ([]Normal, bool) {
	if len(attempts) == 0 {
		return nil, false
	}
	for i, a := range attempts {
		if a.check(i+1) != nil {
			return nil, false
		}
	}
	found, err := e.modes(attempts, &Posterior{})
	if err != nil {
		return nil, false
	}
	best := found[0]
	for _, c := range found[1:] {
		if c.evidence > best.evidence {
			best = c
		}
	}
	if best.Kind == Mixed {
		return nil, false
	}
	rng := rand.New(rand.NewPCG(1, 2))
	q, err := best.reshape(best.sample(newProposal(best.belief.Mean, best.lower), shapeDraws, &e.Prior, rng), best.mode)
	if err != nil {
		return nil, false
	}
	d := best.sample(q, finalDraws, &e.Prior, rng)
	share, _, _ := weights(d.logWeight)
	out := make([]Normal, len(unknowns))
	for i, u := range unknowns {
		square := 0.0
		for k, w := range share {
			z := (d.x[k][u] - best.course.mean[u]) / best.course.spread[u]
			out[i].Mean += w * z
			square += w * z * z
		}
		out[i].Spread = math.Sqrt(max(1e-6, square-out[i].Mean*out[i].Mean))
	}
	return out, true
}

// Sharpen gives the prior with what the memory says put in.
func (m Memory) Sharpen(p Prior) Prior {
	if m.Jobs == 0 {
		return p
	}
	p.Depth = m.Depth
	p.LashPinion *= math.Exp(m.Answers[0].Mean)
	p.LashPinionSpread = m.Answers[0].Spread
	p.LashRing *= math.Exp(m.Answers[1].Mean)
	p.LashRingSpread = m.Answers[1].Spread
	p.AlongSpread, p.AcrossSpread = m.Answers[2].Spread, m.Answers[3].Spread
	for i := range Coordinates {
		scale := math.Exp(m.Answers[3].Mean)
		if Coordinate(i).Along() {
			scale = math.Exp(m.Answers[2].Mean)
		}
		for _, n := range []*Normal{&p.PinionSlope[i], &p.RingSlope[i]} {
			n.Mean, n.Spread = n.Mean*scale, n.Spread*scale
		}
	}
	return p
}
