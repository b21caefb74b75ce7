package estimate

import (
	"math"

	"shimwright/calc/unit"
)

// Goal is what a build is to come to.
type Goal struct {
	Low, High unit.Length          // backlash at the judged point
	At        [Coordinates]float64 // where the patterns belong: 0 for a new set
	Within    [Coordinates]float64 // how far from there still carries well
}

// Caution bounds one change. Common practice, no source: ten thou is a big
// pinion step, and depth and backlash are not both corrected by large amounts at
// once.
type Caution struct {
	Pinion      unit.Length // the largest pinion move
	Ring        unit.Length // the largest ring gear move
	LargeRing   unit.Length // a ring gear move above this
	SmallPinion unit.Length // allows a pinion move up to this
	OnlyRing    bool        // the pinion stays
	OnlyPinion  bool        // the ring gear stays
	Way         int         // of the pinion: 1 only deeper, -1 only shallower, 0 either
}

// UsualCaution is the caution of practice.
func UsualCaution() Caution {
	return Caution{Pinion: unit.MM(0.40), Ring: unit.MM(1.2), LargeRing: unit.MM(0.30), SmallPinion: unit.MM(0.15)}
}

// Allows says whether the caution lets a change of both members pass.
func (c Caution) Allows(pinion, ring unit.Length) bool {
	const spare = 1e-9
	switch {
	case pinion.Abs() > c.Pinion+spare || ring.Abs() > c.Ring+spare:
		return false
	case float64(c.Way)*pinion.MM() < -spare:
		return false
	case c.OnlyRing && pinion.Abs() > spare || c.OnlyPinion && ring.Abs() > spare:
		return false
	}
	return ring.Abs() <= c.LargeRing+spare || pinion.Abs() <= c.SmallPinion+spare
}

// Weights of the utility: being inside counts 1, being near it this much, and a
// move costs this much a millimetre squared, so that of two equal changes the
// smaller is taken and a move that does nothing is left out. Past moveReach the
// cost levels off: what has to be moved far has to be moved.
const (
	nearWorth = 0.35
	moveCost  = 0.25
	moveReach = 0.30 // mm
	// slack of a pass at its edges, as share of the half range: what is just
	// inside may be read just outside.
	slackLash, slackMark = 0.25, 0.35
)

// Utility weighs a change: the chance of being inside the goal after it, softened
// at the edges by what the reading will add, plus a smaller worth of being near.
func (p *Posterior) Utility(pinion, ring unit.Length, g Goal) float64 {
	dp, dg := pinion.MM(), ring.MM()
	middle, half := (g.Low+g.High).MM()/2+p.below, (g.High-g.Low).MM()/2
	sum := 0.0
	for i := range p.draws {
		d := &p.draws[i]
		off := math.Abs(d.lashAfter(dp, dg)-middle) / half
		pass, cost := ramp(off, slackLash), off*off
		for c := range Coordinates {
			off := math.Abs(d.markAfter(c, dp, dg)-g.At[c]) / g.Within[c]
			pass *= ramp(off, slackMark)
			cost += off * off
		}
		sum += pass + nearWorth/(1+cost/4)
	}
	far := dp*dp + dg*dg
	return sum/float64(len(p.draws)) - moveCost*far/(1+far/(moveReach*moveReach))
}

// ramp is 1 well inside, 0 well outside, and straight between 1−slack and 1+slack.
func ramp(off, slack float64) float64 {
	switch {
	case off <= 1-slack:
		return 1
	case off >= 1+slack:
		return 0
	}
	return (1 + slack - off) / (2 * slack)
}

// Chance is that of being inside the goal after a change.
func (p *Posterior) Chance(pinion, ring unit.Length, g Goal) float64 {
	assembly := math.Hypot(math.Sqrt(p.estimator.assemblyVariance()), p.belowSD)
	return p.share(func(i int, d *draw) bool {
		lash := d.lashAfter(pinion.MM(), ring.MM()) - p.below + assembly*p.jitter[i]
		if lash < g.Low.MM() || lash > g.High.MM() {
			return false
		}
		return d.carries(pinion, ring, g)
	})
}

// ChanceNow is that of being inside the goal as it stands: backlash by what was
// read on this assembly and what its shims should give.
func (p *Posterior) ChanceNow(g Goal) float64 {
	return p.share(func(i int, d *draw) bool {
		lash, spread := d.lash, math.Sqrt(p.estimator.assemblyVariance())
		if !math.IsNaN(p.readNow) {
			lash += p.nowShare * (p.readNow - lash)
			spread *= math.Sqrt(1 - p.nowShare)
		}
		lash += math.Hypot(spread, p.belowSD)*p.jitter[i] - p.below
		return lash >= g.Low.MM() && lash <= g.High.MM() && d.carries(0, 0, g)
	})
}

func (p *Posterior) share(of func(int, *draw) bool) float64 {
	n := 0
	for i := range p.draws {
		if of(i, &p.draws[i]) {
			n++
		}
	}
	return float64(n) / float64(len(p.draws))
}

func (d *draw) carries(pinion, ring unit.Length, g Goal) bool {
	for c := range Coordinates {
		if math.Abs(d.markAfter(c, pinion.MM(), ring.MM())-g.At[c]) > g.Within[c] {
			return false
		}
	}
	return true
}

// The search for the best change halves its step from FirstStep to LastStep.
const (
	FirstStep = 0.12  // mm
	LastStep  = 0.008 // mm
	cures     = 12    // drawn axles whose cure is tried first
	stepsMost = 250   // changes looked at
)

// Best searches the change of most utility that the caution allows: from no
// change, and from what would cure some of the axles that were drawn, because
// where two courses of events are likely the utility has two tops. It is a
// pattern search; the utility is smooth to within the draws, so its steps end at
// LastStep.
func (p *Posterior) Best(g Goal, c Caution) (pinion, ring unit.Length) {
	starts := [][2]unit.Length{{0, 0}, {0, p.lashMove(g, 0)}}
	bound := func(v, most unit.Length) unit.Length { return max(-most, min(most, v)) }
	for i := 0; i < len(p.draws); i += len(p.draws) / cures {
		d := &p.draws[i]
		target := (g.Low+g.High)/2 + unit.MM(p.below)
		whole := bound(unit.MM(-d.depth), c.Pinion)
		for _, pinion := range []unit.Length{0, bound(whole, c.SmallPinion), whole} {
			ring := (unit.MM(d.lash-d.lashPinion*pinion.MM()) - target) / unit.Length(d.lashRing)
			starts = append(starts, [2]unit.Length{pinion, bound(ring, c.Ring)})
		}
	}
	best := math.Inf(-1)
	looked := 0
	try := func(dp, dg unit.Length) bool {
		if !c.Allows(dp, dg) {
			return false
		}
		looked++
		u := p.Utility(dp, dg, g)
		if u <= best {
			return false
		}
		best, pinion, ring = u, dp, dg
		return true
	}
	for _, s := range starts {
		try(s[0], s[1])
	}
	if math.IsInf(best, -1) {
		return 0, 0
	}
	for step := unit.MM(FirstStep); step >= unit.MM(LastStep) && looked < stepsMost; {
		p0, g0 := pinion, ring
		moved := false
		for _, d := range [][2]unit.Length{{step, 0}, {-step, 0}, {0, step}, {0, -step},
			{step, p.lashMove(g, p0+step) - g0}, {-step, p.lashMove(g, p0-step) - g0}} {
			moved = try(p0+d[0], g0+d[1]) || moved
		}
		if !moved {
			step /= 2
		}
	}
	return pinion, ring
}

// lashMove is the ring gear move that brings the judged backlash to the middle of
// the goal beside a pinion move, by the mean answers.
func (p *Posterior) lashMove(g Goal, pinion unit.Length) unit.Length {
	var lash, kp, kg float64
	for i := range p.draws {
		d := &p.draws[i]
		lash, kp, kg = lash+d.lash, kp+d.lashPinion, kg+d.lashRing
	}
	n := float64(len(p.draws))
	return unit.MM((lash/n - p.below - (g.Low+g.High).MM()/2 - kp/n*pinion.MM()) / (kg / n))
}
