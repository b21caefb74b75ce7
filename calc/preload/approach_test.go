package preload

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

func looks(pairs ...float64) []Step {
	var log []Step
	for i := 0; i+1 < len(pairs); i += 2 {
		log = append(log, Step{Turn: unit.Deg(pairs[i]), Drag: in(pairs[i+1])})
	}
	return log
}

func wantNew() Band { return Band{in(12), in(18)} }

func TestNextStep(t *testing.T) {
	for _, c := range []struct {
		name     string
		log      []Step
		pulled   Pulled
		verdict  Verdict
		half     bool
		scrap    bool
		turn     float64 // degrees, −1 for any above 0
		tol      float64
		by       Scale
		slope    float64 // in·lbf per degree, 0 for not looked at
		backward bool
		source   string
	}{
		{name: "play still", log: looks(0, 0, 90, 0), pulled: Pulled{Want: wantNew()}, verdict: Under, half: true, turn: 45, tol: 1e-9, by: ByTurn, source: usual + ": half steps until it bites"},
		{name: "first look only", log: looks(0, 0), pulled: Pulled{Want: wantNew()}, verdict: Under, half: true, source: "derived: no slope, no last step"},
		{name: "straight line", log: looks(0, 2, 4, 4, 8, 6), pulled: Pulled{Want: wantNew(), Reading: in(.01)}, verdict: Under, turn: 16, tol: .1, by: ByTurn, slope: .5, source: "derived: (14 − 6)/0.5, 14 the lower third"},
		{name: "prior alone", log: looks(10, 3), pulled: Pulled{Want: wantNew(), Pitch: unit.Inch(1. / 20)}, verdict: Under, turn: -1, by: ByTurn, slope: 50. / 360 * 6, source: "derived: 50 thou a turn at 6 in·lbf per thou"},
		{name: "flat so far", log: looks(0, 2, 90, 4), pulled: Pulled{Want: wantNew()}, verdict: Under, turn: 45, tol: 1e-9, by: ByTurn, slope: 2. / 90, source: usual + ": an eighth of a turn at most"},
		{name: "bit on a long turn", log: looks(0, 0, 360, 8), pulled: Pulled{Want: wantNew()}, verdict: Under, half: true, turn: 22.5, tol: 1e-9, by: ByTurn, source: usual + ": a sixteenth as the drag nears the range"},
		{name: "flat and half way", log: looks(0, 4, 90, 8), pulled: Pulled{Want: wantNew()}, verdict: Under, turn: 22.5, tol: 1e-9, by: ByTurn, slope: 4. / 90, source: usual + ": a sixteenth as the drag nears the range"},
		{name: "inside", log: looks(0, 5, 20, 15), pulled: Pulled{Want: wantNew()}, verdict: Inside, source: "derived"},
		{name: "over", log: looks(0, 5, 20, 19), pulled: Pulled{Want: wantNew()}, verdict: Over, scrap: true, source: usual + ": past the top the sleeve is scrap"},
		{name: "seal is no preload", log: looks(0, 3, 60, 3.2), pulled: Pulled{Want: Band{in(15), in(21)}, Seal: in(3)}, verdict: Under, half: true, turn: 30, tol: 1e-9, by: ByTurn, source: "derived"},
		{name: "nut turned back", log: looks(0, 5, 20, 9, 12, 6), pulled: Pulled{Want: wantNew()}, backward: true, source: usual + ": never back off a crushed sleeve"},
		{name: "drag fell", log: looks(0, 5, 20, 11, 20, 4), pulled: Pulled{Want: wantNew()}, backward: true, source: usual + ": drag falls without a new sleeve"},
	} {
		a, err := NextStep(c.log, c.pulled)
		if errors.Is(err, ErrBackedOff) != c.backward || err != nil && !c.backward {
			t.Errorf("%s: error %v (%s)", c.name, err, c.source)
			continue
		}
		if c.backward {
			continue
		}
		turn := a.Turn.Deg()
		if a.Verdict != c.verdict || a.HalfStep != c.half || a.Scrap != c.scrap || a.By != c.by || c.turn >= 0 && !(math.Abs(turn-c.turn) <= c.tol) || c.turn < 0 && turn <= 0 {
			t.Errorf("%s: %+v, turn %.2f°, want %s, turn %.2f° (%s)", c.name, a, turn, c.verdict, c.turn, c.source)
		}
		if c.slope != 0 && math.Abs(unit.Torque(a.Slope).InLbf()-c.slope) > 1e-6 {
			t.Errorf("%s: slope %.4f in·lbf per degree, want %.4f (%s)", c.name, unit.Torque(a.Slope).InLbf(), c.slope, c.source)
		}
		if a.Turn > 0 && !a.HalfStep && a.High > c.pulled.Want.High+1e-9 && turn > leastTurn {
			t.Errorf("%s: may reach %.2f in·lbf with %s", c.name, a.High.InLbf(), "the top at 18")
		}
	}
	if a, _ := NextStep(looks(0, 5, 20, 19), Pulled{Want: wantNew()}); math.Abs(a.Excess.InLbf()-1) > 1e-9 || a.Turn != 0 {
		t.Errorf("over by %.2f with a turn of %v", a.Excess.InLbf(), a.Turn)
	}
	nut := []Step{{Nut: unit.FtLbf(220), Drag: in(4)}, {Nut: unit.FtLbf(240), Drag: in(8)}}
	if a, err := NextStep(nut, Pulled{Want: wantNew(), Reading: in(.01)}); err != nil || a.By != ByNutTorque || math.Abs(a.Nut.FtLbf()-30) > .5 {
		t.Errorf("by nut torque: %+v, %v, want 30 ft·lbf more (derived: (14 − 8)/(4/20))", a, err)
	}
}

// The slope and its error against a general least-squares solution: without a
// prior plain, with one as a further row.
func TestSlopeAgainstMatrices(t *testing.T) {
	log := looks(0, 3, 5, 5.5, 9, 8.2, 12, 9.9)
	for _, pitch := range []unit.Length{0, unit.MM(1.5)} {
		p := Pulled{Want: wantNew(), Reading: in(.5), Pitch: pitch}
		a, err := NextStep(log, p)
		if err != nil {
			t.Fatal(err)
		}
		sigma := float64(in(.5))
		rows := len(log)
		x, y := mat.NewDense(rows+1, 2, nil), mat.NewVecDense(rows+1, nil)
		for i, s := range log {
			x.SetRow(i, []float64{1 / sigma, s.Turn.Deg() / sigma})
			y.SetVec(i, float64(s.Drag)/sigma)
		}
		if pitch > 0 {
			prior := float64(UsualRates().Likely) * pitch.MM() / 360
			x.SetRow(rows, []float64{0, 1 / (prior * rateSpread)})
			y.SetVec(rows, 1/rateSpread)
		}
		var normal, inverse mat.Dense
		normal.Mul(x.T(), x)
		if err := inverse.Inverse(&normal); err != nil {
			t.Fatal(err)
		}
		var right, beta mat.VecDense
		right.MulVec(x.T(), y)
		beta.MulVec(&inverse, &right)
		if math.Abs(a.Slope/beta.AtVec(1)-1) > 1e-9 {
			t.Errorf("pitch %v: slope %.8f, normal equations %.8f (independent check)", pitch, a.Slope, beta.AtVec(1))
		}
		if half := 1.959964 * math.Sqrt(inverse.At(1, 1)); math.Abs((a.SlopeHigh-a.Slope)/half-1) > 1e-5 {
			t.Errorf("pitch %v: ± %.8f, normal equations ± %.8f (independent check)", pitch, a.SlopeHigh-a.Slope, half)
		}
		step := a.Turn.Deg() + log[rows-1].Turn.Deg()
		at := math.Sqrt(inverse.At(0, 0) + 2*step*inverse.At(0, 1) + step*step*inverse.At(1, 1))
		if mid := beta.AtVec(0) + step*beta.AtVec(1); math.Abs(float64(a.Likely)-mid) > 1e-9 || math.Abs(float64(a.High-a.Likely)-1.644854*at-steepening*beta.AtVec(1)*a.Turn.Deg()) > 1e-6 {
			t.Errorf("pitch %v: %v to %v, normal equations %.6f + %.6f (independent check)", pitch, a.Likely, a.High, mid, 1.644854*at)
		}
	}
}

// Pull-ups with true slopes drawn at random and noisy readings, on a straight rise
// and on one that bends up or down by a third: the top is passed no more often than
// promised, and the wanted band is reached in few looks.
func TestPullUps(t *testing.T) {
	const runs = 400
	for _, c := range []struct {
		bend  float64
		pitch unit.Length
		over  float64 // most of the sleeves that may be lost
	}{{0, unit.Inch(1. / 20), .02}, {0, 0, .02}, {.3, unit.Inch(1. / 20), .05}, {.3, 0, .05}, {-.3, 0, .01}} {
		r := rand.New(rand.NewPCG(7, 11))
		over, ended, looks := 0, 0, 0
		for range runs {
			slope := math.Max((6+1.2*r.NormFloat64())*50/360, .3) // in·lbf per degree
			bite := 20 + 60*r.Float64()                           // degrees of nut before the play is gone
			full := 15 / slope
			truth := func(turn float64) float64 {
				x := math.Max(0, turn-bite)
				return slope * x * (1 + c.bend*(x/full-.5))
			}
			turn, log := 0.0, []Step(nil)
			for n := range 40 {
				drag := truth(turn)
				if drag > 0 {
					drag = math.Max(0, drag+.5*r.NormFloat64())
				}
				log = append(log, Step{Turn: unit.Deg(turn), Drag: in(drag)})
				a, err := NextStep(log, Pulled{Want: wantNew(), Reading: in(.5), Pitch: c.pitch})
				if err != nil {
					t.Fatal(err)
				}
				if a.Verdict != Under {
					ended, looks = ended+1, looks+n+1
					if truth(turn) > 18 {
						over++
					}
					break
				}
				if a.HalfStep && truth(turn) <= 0 {
					turn += 10 // the way a shop starts: small equal turns until it bites
				} else {
					turn += a.Turn.Deg()
				}
			}
		}
		share, mean := float64(over)/runs, float64(looks)/float64(max(1, ended))
		t.Logf("bend %.1f, pitch known %v: over the top %.1f %%, %.1f looks", c.bend, c.pitch > 0, 100*share, mean)
		if ended < runs*98/100 {
			t.Errorf("bend %.1f, pitch known %v: only %d of %d came to an end", c.bend, c.pitch > 0, ended, runs)
		}
		if share > c.over {
			t.Errorf("bend %.1f, pitch known %v: %.1f %% of the sleeves went over the top, %.0f %% at most (derived: simulation)", c.bend, c.pitch > 0, 100*share, 100*c.over)
		}
		if mean > 12 {
			t.Errorf("bend %.1f, pitch known %v: %.1f looks a pull-up", c.bend, c.pitch > 0, mean)
		}
	}
}

func TestNextStepProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var log []Step
		turn := 0.0
		for range rapid.IntRange(1, 8).Draw(t, "n") {
			turn += rapid.Float64Range(0, 40).Draw(t, "turn")
			log = append(log, Step{Turn: unit.Deg(turn), Nut: unit.FtLbf(rapid.Float64Range(0, 300).Draw(t, "nut")), Drag: in(rapid.Float64Range(0, 30).Draw(t, "drag"))})
		}
		p := Pulled{Want: wantNew(), Pitch: unit.MM(rapid.SampledFrom([]float64{0, 1.5}).Draw(t, "pitch"))}
		a, err := NextStep(log, p)
		if err != nil {
			if !errors.Is(err, ErrBackedOff) {
				t.Fatal(err)
			}
			return
		}
		if !finite(float64(a.Turn), float64(a.Nut), float64(a.Low), float64(a.Likely), float64(a.High), a.Slope, a.SlopeLow, a.SlopeHigh) {
			t.Fatalf("%+v", a)
		}
		if a.Turn < 0 || a.Nut < 0 {
			t.Fatalf("backs off: %+v", a)
		}
		if a.Verdict != Under && (a.Turn != 0 || a.Nut != 0) {
			t.Fatalf("goes on although %s: %+v", a.Verdict, a)
		}
		if a.Verdict == Under && !a.HalfStep && a.Turn.Deg() > leastTurn+1e-9 && a.High > p.Want.High+1e-9 {
			t.Fatalf("may pass the top: %+v", a)
		}
		sure := p
		sure.Confidence = .99
		if b, err := NextStep(log, sure); err == nil && b.Turn > a.Turn+1e-12 {
			t.Fatalf("surer and yet longer: %v, %v", b.Turn, a.Turn)
		}
	})
}
