package estimate

import (
	"math"
	"math/rand/v2"
	"testing"

	"shimwright/calc/unit"
)

// story builds a virtual axle three times, with something going wrong in the last
// assembly, and fits it.
func story(t *testing.T, seed uint64, wrong func(v *virtual, a *Attempt)) (*Posterior, *virtual) {
	t.Helper()
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	p := e.Prior
	p.Ring.Spread, p.Depth.Spread = 0.1, 0.08 // a plain axle that stays on the tooth
	v := drawVirtual(p, e.Errors, rand.New(rand.NewPCG(seed, 11)))
	v.lash = 0.25
	var attempts []Attempt
	for i, move := range [][2]float64{{0, 0}, {0.10, -0.15}, {0.05, 0.10}} {
		a, _, _ := v.build(move[0], move[1], 4)
		if i == 2 {
			wrong(v, &a)
		}
		attempts = append(attempts, a)
	}
	post, err := e.Fit(attempts)
	if err != nil {
		t.Fatal(err)
	}
	return post, v
}

func first(p *Posterior, want Hypothesis) bool {
	h := p.Hypotheses[0]
	return h.Kind == want.Kind && h.Attempt == want.Attempt && h.Reading == want.Reading && h.Member == want.Member
}

// What goes wrong is told apart most of the time, and is not seen where nothing
// went wrong.
func TestWhatWentWrong(t *testing.T) {
	stories := 40
	if testing.Short() {
		stories = 16
	}
	for _, c := range []struct {
		name  string
		wrong func(*virtual, *Attempt)
		want  Hypothesis
		least int // of forty
	}{
		{"nothing", func(*virtual, *Attempt) {}, Hypothesis{Kind: Plain}, 38},
		{"a whole tenth of a turn of the dial", func(_ *virtual, a *Attempt) {
			for i := range a.Backlash {
				a.Backlash[i] += unit.Thou(10)
			}
		}, Hypothesis{Kind: Misread, Attempt: 2, Reading: LashReading}, 20},
		{"ring gear shims the other way", func(v *virtual, a *Attempt) {
			b, _, _ := v.build(0.05, -0.40, 4) // from −0.15 by 0.25 the wrong way
			a.Backlash, a.Marks = b.Backlash, b.Marks
		}, Hypothesis{Kind: Slipped, Attempt: 2, Member: RingMember}, 34},
	} {
		hits := 0
		for seed := range uint64(stories) {
			p, _ := story(t, seed, c.wrong)
			if first(p, c.want) {
				hits++
			}
		}
		t.Logf("%s: seen in %d of %d", c.name, hits, stories)
		if least := c.least * stories / 40; hits < least {
			t.Errorf("%s: seen in %d of %d, want %d", c.name, hits, stories, least)
		}
	}
}

// After a slip the estimate is of where the parts are now: the one recovering
// move is the one that was meant and the one that was made, together.
func TestSlipRecovers(t *testing.T) {
	off, n := 0.0, 0
	for seed := range uint64(30) {
		p, v := story(t, seed, func(v *virtual, a *Attempt) {
			b, _, _ := v.build(0.05, -0.40, 4)
			a.Backlash, a.Marks = b.Backlash, b.Marks
		})
		if p.Hypotheses[0].Kind != Slipped {
			continue
		}
		n++
		lash := p.After(0, 0).Mean.Mean
		truth := v.lash - v.lashPinion*(v.depth+0.05) - v.lashRing*(v.ring-0.40)
		off += math.Abs(lash - truth)
		// The move that brings it to 0.20 mm must be towards the pinion, as far as the
		// truth asks for.
		want := (truth - 0.20) / v.lashRing
		g := Goal{Low: 0.15, High: 0.25, Within: [4]float64{9, 9, 9, 9}}
		caution := UsualCaution()
		caution.OnlyRing = true
		if _, ring := p.Best(g, caution); math.Abs(ring.MM()-want) > 0.08 {
			t.Errorf("seed %d: recovering move %.3f mm, the truth asks for %.3f", seed, ring.MM(), want)
		}
	}
	if n < 20 || off/float64(n) > 0.03 {
		t.Errorf("%d slips seen, backlash now off by %.3f mm in the mean; want at least 20 and 0.03", n, off/float64(n))
	}
}

// Flanks apart are seen, and only then no move is likely to help.
func TestMixedFlanks(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	crossed := Attempt{Backlash: []unit.Length{0.2, 0.2, 0.2, 0.2},
		Marks: [4]Mark{{Known: true}, {Known: true, At: 2. / 3}, {Known: true}, {Known: true, At: -2. / 3}}}
	both := crossed
	both.Marks[CoastAcross].At = 2. / 3
	var chances [2]float64
	for i, a := range []Attempt{crossed, both} {
		p, err := e.Fit([]Attempt{a})
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range p.Hypotheses {
			if h.Kind == Mixed {
				chances[i] = h.Chance
			}
		}
	}
	if !(chances[0] > 0.3 && chances[1] < 0.1) {
		t.Errorf("chance of parted flanks %.2f for crossed patterns and %.2f for patterns high on both; want over 0.3 and under 0.1 (common practice, no source)", chances[0], chances[1])
	}
}

// A bearing seated anew starts the positions over and keeps the answers.
func TestReseated(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors(), PlainOnly: true}
	v := drawVirtual(e.Prior, e.Errors, rand.New(rand.NewPCG(9, 2)))
	v.depth, v.ring, v.lash = -0.05, -0.1, 0.22
	var attempts []Attempt
	for _, move := range [][2]float64{{0, 0}, {0.1, 0.1}, {0.1, 0.2}} {
		a, _, _ := v.build(move[0], move[1], 8)
		attempts = append(attempts, a)
	}
	v.ring += 0.3 // the bearing now sits elsewhere
	a, lash, _ := v.build(0.1, 0.2, 8)
	a.Reseated = true
	told, err := e.Fit(append(attempts, a))
	if err != nil {
		t.Fatal(err)
	}
	if got := told.After(0, 0).Mean; got.Low > lash || got.High < lash {
		t.Errorf("after seating anew the backlash is %.3f to %.3f, in truth %.3f", got.Low, got.High, lash)
	}
	_, before := told.Answers()
	a.Reseated = false
	missed, err := e.Fit(append(attempts, a))
	if err != nil {
		t.Fatal(err)
	}
	_, after := missed.Answers()
	if math.Abs(before.Mean-v.lashRing) > math.Abs(after.Mean-v.lashRing) {
		t.Errorf("the answer to a ring gear move is %.3f told and %.3f untold of the new seat, in truth %.3f", before.Mean, after.Mean, v.lashRing)
	}
	prior, _ := e.Fit(attempts[:1])
	_, wide := prior.Answers()
	if before.High-before.Low > wide.High-wide.Low {
		t.Error("seating anew lost what was learned of the answers")
	}
}

// A reading that was taken again and stands is not doubted.
func TestSureReadings(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	odd := []Attempt{
		{Backlash: []unit.Length{0.30, 0.30, 0.30, 0.30}},
		{Ring: 0.05, Backlash: []unit.Length{0.55, 0.55, 0.55, 0.55}, Sure: true},
	}
	p, err := e.Fit(odd)
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range p.Hypotheses {
		if h.Kind == Misread && h.Attempt == 1 {
			t.Errorf("a reading that stands is called wrong: %+v", h)
		}
	}
	odd[1].Sure = false
	if p, err = e.Fit(odd); err != nil {
		t.Fatal(err)
	}
	found := false
	for _, h := range p.Hypotheses {
		found = found || h.Kind == Misread && h.Attempt == 1 && h.Reading == LashReading
	}
	if !found {
		t.Errorf("ten thou more lash after a move that closes it, and nobody doubts the reading: %+v", p.Hypotheses)
	}
}
