package estimate

import (
	"math"
	"slices"
)

// Kind says how things may have gone.
type Kind string

// The kinds of hypotheses.
const (
	Plain    Kind = "plain"    // all readings and moves as told
	Misread  Kind = "misread"  // one reading is wrong
	Slipped  Kind = "slipped"  // the shims of one change went the other way
	Unseated Kind = "unseated" // something did not sit in one assembly
	Mixed    Kind = "mixed"    // the flanks lie apart in a way no move brings together
)

// Reading names one of the three readings of an attempt.
type Reading string

// The readings.
const (
	LashReading  Reading = "backlash"
	DriveReading Reading = "drive pattern"
	CoastReading Reading = "coast pattern"
)

// Member is what was moved.
type Member string

// The members that a change can be slipped on.
const (
	PinionMember Member = "pinion"
	RingMember   Member = "ring gear"
)

// Hypothesis is one way things may have gone.
type Hypothesis struct {
	Kind    Kind
	Attempt int     // index of the attempt it is about
	Reading Reading // of a misread one
	Member  Member  // of a slipped one
	Righted bool    // of a slipped one: the next assembly was built as told again
	Chance  float64 // given everything read
}

// How often things go wrong, before anything is read. Common practice, no source.
const (
	misreadChance  = 0.01
	slippedChance  = 0.02
	unseatedChance = 0.01
	mixedChance    = 0.02
)

// What is known of readings when things went wrong.
const (
	wrongLash   = 0.8  // mm over which a wrong backlash reading may lie
	wrongMark   = 3.0  // thirds a wrong pattern word may name
	mixedSpread = 0.5  // pattern coordinate, where flanks lie apart
	seatSpread  = 0.10 // mm, of a member that did not sit
	leastSlip   = 0.03 // mm; a smaller move is not held to have slipped
	worthTrying = 1.3  // misfit of a reading, in its deviations, from which other courses are tried
	// A course is drawn from where it is at least this likely.
	leastChance = 0.004
)

// courses lists the ways things may have gone, the plain one first.
func (e *Estimator) courses(attempts []Attempt) []*course {
	plain := e.course(attempts, Hypothesis{Kind: Plain})
	all := []*course{plain}
	add := func(h Hypothesis, chance float64) {
		c := e.course(attempts, h)
		c.logPrior = math.Log(chance)
		all = append(all, c)
	}
	add(Hypothesis{Kind: Mixed}, mixedChance)
	slip := func(k int, m Member) {
		if k == len(attempts)-1 || attempts[k+1].Reseated {
			add(Hypothesis{Kind: Slipped, Attempt: k, Member: m}, slippedChance)
			return
		}
		// Later builds follow from what really stood there, or were put right by
		// measured stacks.
		add(Hypothesis{Kind: Slipped, Attempt: k, Member: m}, slippedChance/2)
		add(Hypothesis{Kind: Slipped, Attempt: k, Member: m, Righted: true}, slippedChance/2)
	}
	for k, a := range attempts {
		if k > 0 && !a.Reseated {
			before := attempts[k-1]
			if (a.Ring - before.Ring).Abs() >= leastSlip {
				slip(k, RingMember)
			}
			if (a.Pinion - before.Pinion).Abs() >= leastSlip {
				slip(k, PinionMember)
			}
		}
		if len(attempts) < 2 {
			continue // there is nothing to hold a single reading against
		}
		if !a.Sure {
			if len(a.Backlash) > 0 {
				add(Hypothesis{Kind: Misread, Attempt: k, Reading: LashReading}, misreadChance)
			}
			if a.Marks[DriveAlong].Known || a.Marks[DriveAcross].Known {
				add(Hypothesis{Kind: Misread, Attempt: k, Reading: DriveReading}, misreadChance)
			}
			if a.Marks[CoastAlong].Known || a.Marks[CoastAcross].Known {
				add(Hypothesis{Kind: Misread, Attempt: k, Reading: CoastReading}, misreadChance)
			}
		}
		if len(a.Backlash) > 0 {
			add(Hypothesis{Kind: Unseated, Attempt: k}, unseatedChance)
		}
	}
	return all
}

// course lays out the unknowns and the readings under a hypothesis.
func (e *Estimator) course(attempts []Attempt, h Hypothesis) *course {
	p := &e.Prior
	c := &course{Hypothesis: h}
	unknown := func(n Normal) {
		c.mean, c.spread = append(c.mean, n.Mean), append(c.spread, n.Spread)
	}
	unknown(p.Lash)
	unknown(Normal{0, p.LashPinionSpread})
	unknown(Normal{0, p.LashRingSpread})
	unknown(Normal{0, p.AlongSpread})
	unknown(Normal{0, p.AcrossSpread})
	for _, n := range p.PinionSlope {
		unknown(n)
	}
	for _, n := range p.RingSlope {
		unknown(n)
	}
	own := [4]Normal{p.AlongBoth, p.AcrossBoth, p.AlongApart, p.AcrossApart}
	if h.Kind == Mixed {
		own[0].Spread, own[2].Spread, own[3].Spread = mixedSpread, mixedSpread, mixedSpread
	}
	for _, n := range own {
		unknown(n)
	}
	var slipPinion, slipRing float64
	for k, a := range attempts {
		switch {
		case k == 0 || a.Reseated:
			unknown(p.Depth)
			unknown(p.Ring)
			c.epoch = append(c.epoch, (len(c.mean)-iEpochs)/2-1)
			slipPinion, slipRing = -a.Pinion.MM(), -a.Ring.MM() // positions count from here
		default:
			c.epoch = append(c.epoch, c.epoch[k-1])
		}
		if h.Kind == Slipped && (h.Attempt == k || h.Righted && h.Attempt == k-1) {
			twice := -2.
			if h.Attempt < k {
				twice = 2
			}
			from, to := attempts[h.Attempt-1], attempts[h.Attempt]
			if h.Member == RingMember {
				slipRing += twice * (to.Ring - from.Ring).MM()
			} else {
				slipPinion += twice * (to.Pinion - from.Pinion).MM()
			}
		}
		c.pinion = append(c.pinion, a.Pinion.MM()+slipPinion)
		c.ring = append(c.ring, a.Ring.MM()+slipRing)
		e.read(c, k, a)
	}
	if h.Kind == Unseated {
		e.unseat(c, h.Attempt)
	}
	for i := range c.readings {
		if o := &c.readings[i]; o.sigma == 0 {
			o.logNorm = math.Log(o.r)/2 + logRootTau
		}
	}
	return c
}

// unseat gives the attempt wider reading errors: a member stood elsewhere.
func (e *Estimator) unseat(c *course, attempt int) {
	for i := range c.readings {
		o := &c.readings[i]
		if o.attempt != attempt {
			continue
		}
		var slope float64
		if o.what == whatLash {
			slope = e.Prior.LashRing
		} else {
			slope = math.Hypot(e.Prior.RingSlope[o.what].Mean, e.Prior.PinionSlope[o.what].Mean)
		}
		wider := slope * seatSpread
		if o.sigma > 0 {
			o.sigma = math.Hypot(o.sigma, wider)
		} else {
			o.r += wider * wider
		}
	}
}

// read adds the readings of attempt k to the course.
func (e *Estimator) read(c *course, k int, a Attempt) {
	wrong := func(r Reading) bool { return c.Kind == Misread && c.Attempt == k && c.Reading == r }
	if n := len(a.Backlash); n > 0 {
		switch mean, _ := meanLash(a.Backlash); {
		case wrong(LashReading):
			c.dropped -= math.Log(wrongLash)
		case slices.Max(a.Backlash) <= binding:
			c.readings = append(c.readings, observation{attempt: k, what: whatLash, low: math.Inf(-1), high: binding.MM(), sigma: math.Sqrt(e.lashVariance(n))})
		default:
			c.readings = append(c.readings, observation{attempt: k, what: whatLash, z: mean, r: e.lashVariance(n)})
		}
	}
	for i, m := range a.Marks {
		if !m.Known {
			continue
		}
		reading := CoastReading
		if i < 2 {
			reading = DriveReading
		}
		if wrong(reading) {
			c.dropped -= math.Log(wrongMark)
			continue
		}
		o := observation{attempt: k, what: i}
		switch {
		case m.Fine && math.Abs(m.At) < 0.85:
			x, growth := unbend(m.At)
			o.z, o.r = x, e.Errors.Eye*e.Errors.Eye*growth*growth
		case m.Fine:
			// At the end of the tooth a number says no more than a word.
			o.low, o.high, o.sigma = 0.75, math.Inf(1), e.Errors.Eye
			if m.At < 0 {
				o.low, o.high = math.Inf(-1), -0.75
			}
		default:
			o.low, o.high = m.interval()
			o.sigma = e.Errors.Eye
		}
		c.readings = append(c.readings, o)
	}
}

// lashVariance is the variance of a mean of n dial readings about what the
// members' nominal places give, mm².
func (e *Estimator) lashVariance(n int) float64 {
	v := e.Errors.Dial*e.Errors.Dial/float64(n) + e.Errors.Setup*e.Errors.Setup + e.assemblyVariance()
	if n == 1 {
		v += e.Errors.Tight * e.Errors.Tight
	}
	return v
}

// assemblyVariance is what an assembly adds to backlash, mm².
func (e *Estimator) assemblyVariance() float64 {
	s := math.Hypot(e.Prior.LashPinion, e.Prior.LashRing) * e.Errors.Assembly
	return s * s
}
