package estimate

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"shimwright/calc/unit"
)

// shopJobs are jobs of a shop whose axles all differ from the geometry by the
// same, beside each one's own.
func shopJobs(t *testing.T, e Estimator, jobs int, bias, pinion, ring, across float64, rng *rand.Rand) [][]Attempt {
	var out [][]Attempt
	own := e.Prior
	own.Depth = Normal{bias, e.Prior.Depth.Spread * 0.7}
	own.LashPinion *= math.Exp(pinion)
	own.LashRing *= math.Exp(ring)
	own.LashPinionSpread *= 0.7
	own.LashRingSpread *= 0.7
	for i := range Coordinates {
		if !Coordinate(i).Along() {
			own.PinionSlope[i].Mean *= math.Exp(across)
		}
	}
	for range jobs {
		v := drawVirtual(own, e.Errors, rng)
		var attempts []Attempt
		var pinion, ring unit.Length
		for range 4 { // each move follows from what was read before it
			a, _, _ := v.build(pinion.MM(), ring.MM(), 4)
			attempts = append(attempts, a)
			p, err := e.Fit(attempts)
			if err != nil {
				t.Fatal(err)
			}
			dp, dg := p.Best(usualGoal(), UsualCaution())
			pinion, ring = pinion+dp, ring+dg
		}
		out = append(out, attempts)
	}
	return out
}

func TestLearn(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	rng := rand.New(rand.NewPCG(8, 18))
	m, err := e.Learn(shopJobs(t, e, 40, 0.10, 0.15, -0.12, 0.3, rng))
	if err != nil {
		t.Fatal(err)
	}
	if m.Jobs < 38 || m.Jobs > 40 { // one with flanks apart is left out
		t.Errorf("%d jobs behind it, want nearly 40", m.Jobs)
	}
	for _, c := range []struct {
		name            string
		got             Normal
		want, tolerance float64
		plain           float64
	}{
		{"depth of first builds", m.Depth, 0.10, 0.06, e.Prior.Depth.Spread},
		{"backlash per ring gear move", m.Answers[1], -0.12, 0.07, e.Prior.LashRingSpread},
	} {
		if math.Abs(c.got.Mean-c.want) > c.tolerance {
			t.Errorf("%s: learned %.3f, the shop's is %.3f (tolerance %.3f; derived)", c.name, c.got.Mean, c.want, c.tolerance)
		}
		if !(c.got.Spread < c.plain) {
			t.Errorf("%s: spread %.3f, it should be under the plain %.3f", c.name, c.got.Spread, c.plain)
		}
	}
	// The next job of the shop is foreseen better with the memory than without.
	sharp := e
	sharp.Prior = m.Sharpen(e.Prior)
	better, plainOff, sharpOff := 0, 0.0, 0.0
	next := 60
	if testing.Short() {
		next = 25
	}
	jobs := shopJobs(t, e, next, 0.10, 0.15, -0.12, 0.3, rng)
	for _, attempts := range jobs {
		truth, _ := meanLash(attempts[2].Backlash)
		off := func(e Estimator) float64 {
			p, err := e.Fit(attempts[:1])
			if err != nil {
				t.Fatal(err)
			}
			return math.Abs(p.After(attempts[2].Pinion, attempts[2].Ring).Mean.Mean - truth)
		}
		a, b := off(e), off(sharp)
		plainOff, sharpOff = plainOff+a, sharpOff+b
		if b < a {
			better++
		}
	}
	t.Logf("backlash foreseen to %.4f mm without and %.4f mm with the memory; better on %d of %d", plainOff/float64(next), sharpOff/float64(next), better, len(jobs))
	if !(sharpOff < 0.9*plainOff) {
		t.Errorf("backlash is foreseen to %.4f mm without and %.4f mm with the memory", plainOff/float64(next), sharpOff/float64(next))
	}
}

func TestLearnLittle(t *testing.T) {
	e := Estimator{Prior: usualPrior(), Errors: DefaultErrors()}
	none, err := e.Learn(nil)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(e.Prior, none.Sharpen(e.Prior)); diff != "" {
		t.Errorf("no job changed the prior: %s", diff)
	}
	if diff := cmp.Diff(e.Prior, Memory{}.Sharpen(e.Prior)); diff != "" {
		t.Errorf("the zero memory changed the prior: %s", diff)
	}
	// Jobs that cannot be worked are left out; one job moves the prior a little.
	rng := rand.New(rand.NewPCG(1, 1))
	jobs := append(shopJobs(t, e, 1, 0, 0, 0, 0, rng), nil, []Attempt{{Pinion: 99}})
	one, err := e.Learn(jobs)
	if err != nil {
		t.Fatal(err)
	}
	if one.Jobs != 1 {
		t.Errorf("%d jobs behind it, want 1", one.Jobs)
	}
	if s := one.Sharpen(e.Prior); s.LashRingSpread > e.Prior.LashRingSpread || s.LashRingSpread < e.Prior.LashRingSpread*0.7 {
		t.Errorf("one job took the spread from %.3f to %.3f", e.Prior.LashRingSpread, s.LashRingSpread)
	}
	bad := e
	bad.Prior.LashRing = -1
	if _, err := bad.Learn(nil); !errors.Is(err, ErrPrior) {
		t.Errorf("a prior that cannot be: %v", err)
	}
	text, err := json.Marshal(one)
	if err != nil {
		t.Fatal(err)
	}
	var back Memory
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(one, back); diff != "" {
		t.Errorf("a memory that was stored differs: %s", diff)
	}
}
