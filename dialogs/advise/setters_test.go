package advise

import (
	"math"

	"shimwright/calc/unit"
	"shimwright/rules"
)

// advised follows the recommendation and keeps what it foretold.
type advised struct {
	adviser  *Adviser
	alone    bool // no second readings: each costs an assembly
	foretold *Advice
	lash     []held // by prediction: backlash at the judged point
	marks    []held
}

// held counts intervals that held.
type held struct{ in, told int }

func (h *held) add(low, truth, high float64) {
	h.told++
	if low <= truth && truth <= high {
		h.in++
	}
}

func (s *advised) next(b *bench) (Verdict, change, change) {
	if s.foretold != nil {
		s.compare(b)
		s.foretold = nil
	}
	a, err := s.adviser.Recommend(Request{Sheet: b.sheet, Attempts: b.attempts, Alone: s.alone})
	if err != nil {
		panic(err) // no reading of a virtual axle is refused
	}
	if s.alone && a.Verdict == More {
		a.Verdict = Bracket
	}
	if a.Verdict == Change || a.Verdict == Bracket {
		s.foretold = &a
	}
	p, r := change{move: a.Pinion}, change{move: a.Ring, notches: a.LeftNotches}
	add := func(c *change, name string, told Stack) {
		if built, ok := a.Build[name]; ok && built != told.Thickness {
			c.parts = append(c.parts, part{name: name, thickness: built, leaves: a.Leaves[name]})
		}
	}
	add(&p, "pinion", b.stacks.Pinion)
	add(&r, "left", b.stacks.Left)
	add(&r, "right", b.stacks.Right)
	return a.Verdict, p, r
}

// compare holds what was foretold against the truth of the new assembly.
func (s *advised) compare(b *bench) {
	for len(s.lash) < b.assemblies-1 {
		s.lash, s.marks = append(s.lash, held{}), append(s.marks, held{})
	}
	f, k := s.foretold, b.assemblies-2
	s.lash[k].add(f.Backlash.Low.MM(), max(0, b.judgedTruth()), f.Backlash.High.MM())
	for i, span := range [4][2]float64{{f.DriveSpan.AlongLow, f.DriveSpan.AlongHigh}, {f.DriveSpan.AcrossLow, f.DriveSpan.AcrossHigh},
		{f.CoastSpan.AlongLow, f.CoastSpan.AlongHigh}, {f.CoastSpan.AcrossLow, f.CoastSpan.AcrossHigh}} {
		s.marks[k].add(span[0], b.marks[i], span[1])
	}
}

// nearest is the buildable change nearest to a wanted move.
func nearest(all []change, want unit.Length) change {
	best := all[0]
	for _, c := range all {
		if (c.move - want).Abs() < (best.move - want).Abs() {
			best = c
		}
	}
	return best
}

// build makes the nearest changes to wanted gear moves.
func (b *bench) build(pinion, ring unit.Length) (change, change) {
	w := builder{sheet: b.sheet, now: b.stacks}
	ps, err := w.pinion(pinion)
	if err != nil {
		panic(err)
	}
	rs, err := w.ring(ring)
	if err != nil {
		panic(err)
	}
	return nearest(ps, pinion), nearest(rs, ring)
}

// thumb is the plain rule-of-thumb setter, as a competent one works: lash first
// where it is far out; then pinion steps by the pattern table, halved when the
// pattern turns, with the carrier brought along by 0.7 per thou and a third of
// that for the pinion.
type thumb struct {
	step    unit.Length // of the pinion
	lastWay float64
}

// Figures of the rule of thumb. Common practice, no source.
const (
	thumbRing   = 0.7
	thumbPinion = 0.25
	thumbLeast  = 0.025               // mm, the least pinion step
	thumbStep   = unit.Length(0.2032) // 8 thou, the first pinion step; of 5 to 13 it does as well as any
)

func (t *thumb) next(b *bench) (Verdict, change, change) {
	a := b.attempts[len(b.attempts)-1]
	req := Request{Sheet: b.sheet}
	l, err := req.lash(a)
	if err != nil {
		panic(err)
	}
	if l.Spread > b.sheet.Limits.BacklashSpread.High+spreadSpare && l.Min > noLash {
		return Cannot, change{}, change{}
	}
	limits := b.sheet.Limits.Backlash
	way := t.way(b.sheet, a)
	d, c := a.Drive, a.Coast
	if d.Across*c.Across < 0 {
		if a.Sure {
			return Cannot, change{}, change{}
		}
		return More, change{}, change{} // paint and read once more
	}
	centred := d.Along == 0 && d.Across == 0 && c.Along == 0 && c.Across == 0
	inside := limits.Has(l.judged)
	if inside && centred {
		return Good, change{}, change{}
	}
	var pinion unit.Length
	far := (l.judged - limits.Middle()).Abs() > 2*(limits.High-limits.Low)
	if way != 0 && !far {
		if t.lastWay*way < 0 {
			t.step = max(t.step/2, unit.MM(thumbLeast))
		}
		t.lastWay = way
		pinion = t.step * unit.Length(way)
	}
	p, _ := b.build(pinion, 0)
	target := limits.Middle()
	if inside && p.move == 0 && !centred {
		// The depth is right and the lash is inside, yet the pattern lies at an end:
		// both flanks towards the same end are the ring gear's, as far as lash allows.
		switch {
		case d.Along > 0 && c.Along > 0:
			target = limits.Low + (limits.High-limits.Low)/5
		case d.Along < 0 && c.Along < 0:
			target = limits.High - (limits.High-limits.Low)/5
		case d.Across == 0 && c.Across == 0:
			return Good, change{}, change{} // one flank a little to one end: leave it
		}
		if (l.judged-target).Abs() < unit.Thou(1) && d.Across == 0 && c.Across == 0 {
			return Good, change{}, change{} // no more can be done there
		}
	}
	ring := (l.judged - target - thumbPinion*p.move) / thumbRing
	_, r := b.build(0, ring)
	if p.move == 0 && r.move == 0 {
		if inside {
			return Good, change{}, change{}
		}
		r.move = unit.Length(math.Copysign(float64(grid(b.sheet)), float64(ring)))
		_, r = b.build(0, 2*r.move)
	}
	return Change, p, r
}

// way reads the pattern table: +1 deeper, −1 shallower, 0 leave it.
func (t *thumb) way(s *rules.Sheet, a Attempt) float64 {
	score := a.Drive.Across + a.Coast.Across
	along := a.Drive.Along - a.Coast.Along
	if s.Pinion.ReverseCut {
		along = -along
	}
	if math.Abs(score) < 0.3 { // centred up and down, or crossed: the ends decide
		if math.Abs(along) < 1 {
			return 0
		}
		return math.Copysign(1, along)
	}
	return math.Copysign(1, score)
}

// perfect knows the axle: it builds the best change there is, and is held
// back by the kit and the assembly only.
type perfect struct{}

func (perfect) next(b *bench) (Verdict, change, change) {
	if b.right() {
		return Good, change{}, change{}
	}
	if b.trouble == mixedSet || b.trouble == runout {
		return Cannot, change{}, change{}
	}
	limits := b.sheet.Limits.Backlash
	best, bestP, bestR := math.Inf(1), unit.Length(0), unit.Length(0)
	depth, ring := b.depth0+b.movedP.MM()+b.slipP, b.ring0+b.moveR.MM()+b.slipR
	cost := func(p, r float64) float64 {
		lash, m := b.truth.at(depth+p, ring+r)
		sum := math.Pow((lash-b.wobble-limits.Middle().MM())/(limits.High-limits.Low).MM()*2, 2)
		for _, v := range m {
			sum += v * v / (wrongPattern * wrongPattern)
		}
		return sum
	}
	for step := 0.16; step > 0.004; step /= 2 {
		for moved := true; moved; {
			moved = false
			p0, r0 := bestP.MM(), bestR.MM()
			for _, d := range [][2]float64{{0, 0}, {step, 0}, {-step, 0}, {0, step}, {0, -step}, {step, -step / 3}, {-step, step / 3}} {
				if c := cost(p0+d[0], r0+d[1]); c < best-1e-9 {
					best, bestP, bestR, moved = c, unit.MM(p0+d[0]), unit.MM(r0+d[1]), true
				}
			}
		}
	}
	p, r := b.build(bestP, bestR)
	return Change, p, r
}
