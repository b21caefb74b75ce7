package preload

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"shimwright/calc/unit"
)

// Pull-up with a crush sleeve: the nut is turned a little, the drag is read, and
// again, until the drag is inside. A crushed sleeve does not spring back, so the
// way is one way: what is over is scrap, and the nut is never backed off.

// Step is one look at the drag during the pull-up.
type Step struct {
	Turn unit.Angle  // nut turned since the first look, adding up; 0 where it is not kept
	Nut  unit.Torque // torque it took to move the nut; 0 where it is not kept
	Drag unit.Torque // drag read after it
}

// Scale is what the drag is worked against.
type Scale string

// Turn is the surer of the two: while the sleeve yields, the nut's torque hardly
// changes.
const (
	ByTurn      Scale = "turn"
	ByNutTorque Scale = "nut torque"
)

// Pulled is what is known besides the log.
type Pulled struct {
	Want       Band        // drag wanted in the state the pinion is in (see Expect)
	Seal       unit.Torque // drag that the seal alone makes; 0 without seal
	Reading    unit.Torque // standard error of a drag reading; 0 for 0.06 N·m (about half an in·lbf)
	Pitch      unit.Length // pitch of the nut's thread; 0 where it is not known
	Rates      Rates       // drag by pack thickness; zero for UsualRates
	Confidence float64     // chance wanted that the next step stays under the top of Want; 0 for 0.95
}

// Approach is the advice for the next turn of the nut.
type Approach struct {
	Verdict Verdict     // where the last drag lies
	Drag    unit.Torque // the last drag
	By      Scale       // what Slope and the step are in; empty where there is no slope yet

	// Drag gained by a degree of nut (ByTurn, N·m per degree) or by a newton-metre of
	// nut torque (ByNutTorque), with the ends of its two-sided interval at Confidence.
	Slope, SlopeLow, SlopeHigh float64
	Looks                      int // how many looks the slope comes from

	// The next step; zero where none is to be taken. One of the two is set.
	Turn unit.Angle
	Nut  unit.Torque // more than the last nut torque by this
	// Drag to expect after it: lowest, likely, and highest at Confidence with a rise half
	// as steep again.
	Low, Likely, High unit.Torque
	Confidence        float64

	HalfStep bool // no slope yet: take half of the last step
	Scrap    bool // the drag is over the top: new sleeve and new nut, do not back off
	Excess   unit.Torque
}

// ErrBackedOff says that the nut went backwards: a crushed sleeve that was backed
// off holds nothing, so its drags count no more.
var ErrBackedOff = errors.New("the nut was backed off a crushed sleeve")

// The usual figures where the caller gives none: common practice, no source.
const (
	usualReading    = 0.06 // N·m
	usualConfidence = 0.95
	// steepening is how much steeper than the looks so far the drag may rise on the next
	// step, as a part of the slope: bearings still seating take drag up slowly at
	// first. A guess on the safe side, no source.
	steepening = 0.5
	// recent is how many looks the slope comes from: the last ones, since the rise
	// bends.
	recent = 4
	// rateSpread is how far the prior slope may be off, as a part of it (one standard
	// error): 4 to 8 round 6 is a third either way.
	rateSpread = 1.0 / 3
	leastTurn  = 0.5 // degree; less is not turned on purpose
	// However flat the drag has risen so far, no step is longer than a quarter of a turn
	// while there is play, an eighth after it, and a sixteenth from half way to the range
	// on: a sleeve that hung on a dry thread or a cocked cone lets go at once.
	playTurn, mostTurn, nearTurn = 90.0, 45.0, 22.5
)

// NextStep reads the log of a pull-up and gives the next step. Looks at no more
// than the seal's drag count as play still being taken up; the slope is fitted by
// least squares to the last four looks after it, with the slope that pitch and rate
// tell (6 in·lbf per thou unless given) as one more look where the pitch is known.
// The step goes for the lower third of the band, and is shortened until the chance
// of passing the top is at most 1 − Confidence even where the drag rises half as
// steeply again as so far, and to a
// quarter of a turn while there is play, an eighth after it, a sixteenth from half way
// to the range on (common practice, no source). A look more costs a minute, a sleeve
// past the top the strip-down. It errs on a log that is empty, goes
// backwards (ErrBackedOff) or has figures that cannot be.
//
// Derivation: linear regression with known reading error (or the scatter found,
// where four looks and more show a larger one); the new reading's own error is
// not added to the drag that will truly be there.
func NextStep(log []Step, p Pulled) (Approach, error) {
	p, err := p.filled()
	if err != nil {
		return Approach{}, err
	}
	if len(log) == 0 {
		return Approach{}, fmt.Errorf("%w: no drag was read yet", ErrFigure)
	}
	if err := checkLog(log, p); err != nil {
		return Approach{}, err
	}
	last := log[len(log)-1]
	a := Approach{Drag: last.Drag, Verdict: p.Want.Judge(last.Drag), Confidence: p.Confidence, Low: last.Drag, Likely: last.Drag, High: last.Drag}
	switch a.Verdict {
	case Over:
		a.Scrap, a.Excess = true, last.Drag-p.Want.High
		return a, nil
	case Inside:
		return a, nil
	}
	f, ok := fitLog(log, p)
	if !ok {
		a.HalfStep = true
		if n := len(log); n > 1 && log[n-1].Turn > log[n-2].Turn {
			a.By, a.Turn = ByTurn, unit.Deg(min((log[n-1].Turn-log[n-2].Turn).Deg()/2, p.longest(last.Drag)))
		}
		return a, nil
	}
	a.By, a.Looks = f.by, f.looks
	a.Slope, a.SlopeLow, a.SlopeHigh = f.slope, math.Max(0, f.slope-f.twoSided*f.slopeError), f.slope+f.twoSided*f.slopeError
	step := f.step(p.Want)
	if f.by == ByTurn {
		step = min(max(step, leastTurn), p.longest(last.Drag))
		a.Turn = unit.Deg(step)
	} else {
		a.Nut = unit.Torque(step)
	}
	mid, spread := f.at(step)
	a.Likely, a.Low, a.High = unit.Torque(mid), unit.Torque(mid-f.oneSided*spread), unit.Torque(f.top(step))
	return a, nil
}

// longest gives the most the nut is turned at once at a drag, in degrees.
func (p Pulled) longest(drag unit.Torque) float64 {
	switch {
	case drag <= p.Seal+2*p.Reading:
		return playTurn
	case drag-p.Seal < (p.Want.Low-p.Seal)/2:
		return mostTurn
	}
	return nearTurn
}

func (p Pulled) filled() (Pulled, error) {
	if err := p.Want.check("wanted drag"); err != nil {
		return p, err
	}
	if p.Want.High == 0 {
		return p, fmt.Errorf("%w: no drag is wanted", ErrFigure)
	}
	if p.Reading == 0 {
		p.Reading = usualReading
	}
	if p.Confidence == 0 {
		p.Confidence = usualConfidence
	}
	if p.Rates == (Rates{}) {
		p.Rates = UsualRates()
	}
	for _, f := range []struct {
		name           string
		v, least, most float64
	}{
		{"reading error in N·m", float64(p.Reading), 1e-6, 100}, {"seal drag in N·m", float64(p.Seal), 0, 100},
		{"confidence", p.Confidence, 0.5, 0.9999}, {"nut pitch in mm", p.Pitch.MM(), 0, 10},
	} {
		if err := sensible(f.name, f.v, f.least, f.most); err != nil {
			return p, err
		}
	}
	return p, p.Rates.check()
}

func checkLog(log []Step, p Pulled) error {
	for i, s := range log {
		if err := sensible("drag in N·m", float64(s.Drag), 0, mostTorque); err != nil {
			return err
		}
		if err := sensible("nut torque in N·m", float64(s.Nut), 0, mostTorque); err != nil {
			return err
		}
		if err := sensible("nut turn in degrees", s.Turn.Deg(), -36000, 36000); err != nil {
			return err
		}
		if i == 0 {
			continue
		}
		before := log[i-1]
		if s.Turn < before.Turn && (s.Turn != 0 || before.Turn < 0) {
			return fmt.Errorf("look %d: %w", i+1, ErrBackedOff)
		}
		// Four standard errors of a difference cannot be the wrench.
		if risen := float64(before.Drag) > float64(p.Seal+2*p.Reading); risen && float64(before.Drag-s.Drag) > 4*math.Sqrt2*float64(p.Reading) {
			return fmt.Errorf("look %d: the drag fell: %w", i+1, ErrBackedOff)
		}
	}
	return nil
}

// fit is the line through the looks after the play was gone, about the last look.
type fit struct {
	by                 Scale
	looks              int
	slope, slopeError  float64
	here               float64 // fitted drag at the last look
	hereVar, cov       float64
	oneSided, twoSided float64
}

func fitLog(log []Step, p Pulled) (fit, bool) {
	var risen []Step
	for _, s := range log {
		if float64(s.Drag) > float64(p.Seal+2*p.Reading) {
			risen = append(risen, s)
		} else {
			risen = nil // what came before was play, whatever it read
		}
	}
	if len(risen) == 0 {
		return fit{}, false
	}
	risen = risen[max(0, len(risen)-recent):]
	f := fit{by: ByTurn, looks: len(risen)}
	abscissa := func(s Step) float64 { return s.Turn.Deg() }
	first, last := risen[0], risen[len(risen)-1]
	prior, priorError := 0.0, math.Inf(1)
	if p.Pitch > 0 {
		prior = float64(p.Rates.Likely) * p.Pitch.MM() / 360
		priorError = max(float64(p.Rates.High-p.Rates.Likely), float64(p.Rates.Likely-p.Rates.Low), rateSpread*float64(p.Rates.Likely)) * p.Pitch.MM() / 360
	}
	if !(last.Turn > first.Turn) && last.Nut > first.Nut && first.Nut > 0 {
		f.by, abscissa = ByNutTorque, func(s Step) float64 { return float64(s.Nut) }
		prior, priorError = 0, math.Inf(1)
	}
	// Centred sums, then the prior as one more row on the slope.
	n := float64(len(risen))
	var mx, my float64
	for _, s := range risen {
		mx, my = mx+abscissa(s)/n, my+float64(s.Drag)/n
	}
	var sxx, sxy float64
	for _, s := range risen {
		dx := abscissa(s) - mx
		sxx, sxy = sxx+dx*dx, sxy+dx*(float64(s.Drag)-my)
	}
	sigma := float64(p.Reading)
	weight := 0.0
	if !math.IsInf(priorError, 1) && priorError > 0 {
		weight = sigma * sigma / (priorError * priorError)
	}
	if sxx+weight <= 0 {
		return fit{}, false
	}
	f.slope = (sxy + weight*prior) / (sxx + weight)
	f.oneSided = distuv.UnitNormal.Quantile(p.Confidence)
	f.twoSided = distuv.UnitNormal.Quantile(1 - (1-p.Confidence)/2)
	if len(risen) >= 4 {
		rss := 0.0
		for _, s := range risen {
			e := float64(s.Drag) - my - f.slope*(abscissa(s)-mx)
			rss += e * e
		}
		if scatter := math.Sqrt(rss / (n - 2)); scatter > sigma {
			student := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 2}
			sigma, f.oneSided, f.twoSided = scatter, student.Quantile(p.Confidence), student.Quantile(1-(1-p.Confidence)/2)
		}
	}
	f.slopeError = sigma / math.Sqrt(sxx+weight)
	x := abscissa(last)
	f.here = my + f.slope*(x-mx)
	f.hereVar = sigma*sigma/n + (x-mx)*(x-mx)*f.slopeError*f.slopeError
	f.cov = (x - mx) * f.slopeError * f.slopeError
	if !(f.slope > 0) || !finite(f.slope, f.slopeError, f.here, f.hereVar) {
		return fit{}, false
	}
	return f, true
}

// at gives the drag a step further on, and its standard error.
func (f fit) at(step float64) (mid, spread float64) {
	return f.here + f.slope*step, math.Sqrt(math.Max(0, f.hereVar+2*step*f.cov+step*step*f.slopeError*f.slopeError))
}

// top gives the highest drag to reckon with a step further on.
func (f fit) top(step float64) float64 {
	mid, spread := f.at(step)
	return mid + steepening*f.slope*step + f.oneSided*spread
}

// step gives the step to the lower third of the band, shortened until its upper end
// stays under the top.
func (f fit) step(want Band) float64 {
	aim := float64(want.Low) + float64(want.High-want.Low)/3
	low, high := 0.0, math.Max(0, (aim-f.here)/f.slope)
	upper := f.top
	if upper(high) <= float64(want.High) {
		return high
	}
	if upper(0) > float64(want.High) {
		return 0
	}
	const halvings = 60
	for range halvings {
		if mid := (low + high) / 2; upper(mid) <= float64(want.High) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
