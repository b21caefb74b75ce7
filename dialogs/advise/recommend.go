package advise

import (
	"slices"
	"sync"

	"shimwright/calc/estimate"
	"shimwright/calc/unit"
	"shimwright/dialogs/phrase"
	"shimwright/rules"
)

// Adviser recommends, and keeps what it worked out of each axle. Its zero value
// is ready; it is safe for many goroutines.
type Adviser struct {
	mu    sync.Mutex
	axles map[axleKey]*axle

	once    sync.Once // for the words of requests that bring none
	english phrase.Speaker
	lost    error
}

// speaker gives English, read when it is first asked for.
func (ad *Adviser) speaker() (phrase.Speaker, error) {
	ad.once.Do(func() {
		book, err := phrase.Load()
		if err != nil {
			ad.lost = err
			return
		}
		ad.english = book.In(phrase.English)
	})
	return ad.english, ad.lost
}

// axleKey is all of a sheet that an axle is worked out of.
type axleKey struct {
	ring       rules.Ring
	teeth      int
	reverseCut bool
	backlash   rules.LengthRange
}

// axlesKept bounds the memory of an Adviser; a shop has fewer sheets.
const axlesKept = 256

func (ad *Adviser) axle(s *rules.Sheet) (*axle, error) {
	key := axleKey{s.Ring, s.Pinion.Teeth, s.Pinion.ReverseCut, s.Limits.Backlash}
	ad.mu.Lock()
	a := ad.axles[key]
	ad.mu.Unlock()
	if a != nil {
		return a, nil
	}
	a, err := newAxle(s)
	if err != nil {
		return nil, err
	}
	ad.mu.Lock()
	defer ad.mu.Unlock()
	if ad.axles == nil || len(ad.axles) >= axlesKept {
		ad.axles = map[axleKey]*axle{}
	}
	ad.axles[key] = a
	return a, nil
}

// Recommend turns what was read so far into the next change. It errs, wrapping
// ErrRequest or an error of the calculations, where the request cannot be
// worked: no sheet, a sheet that is no gear set, a figure that is not a number.
func Recommend(req Request) (Advice, error) {
	var ad Adviser
	return ad.Recommend(req)
}

// Recommend is Recommend with what is known of the axle kept for the next time.
func (ad *Adviser) Recommend(req Request) (Advice, error) {
	if err := req.check(); err != nil {
		return Advice{}, err
	}
	if !req.Words.Speaks() {
		var err error
		if req.Words, err = ad.speaker(); err != nil {
			return Advice{}, err
		}
	}
	ax, err := ad.axle(req.Sheet)
	if err != nil {
		return Advice{}, err
	}
	if len(req.Attempts) == 0 {
		return Advice{Verdict: More, Reason: req.Words.Say("advise.nothing_yet"), Causes: []string{req.Words.Say("advise.round"), req.Words.Say("advise.drive_pattern"), req.Words.Say("advise.coast_pattern")}}, nil
	}
	c := &consideration{Request: req, axle: ax, goal: req.goal(), now: req.Attempts[len(req.Attempts)-1]}
	c.earlier = max(0, len(req.Attempts)-mostAttempts)
	c.Attempts = req.Attempts[c.earlier:]
	c.pattern = readPattern(c.now, c.goal)
	if c.ring, err = c.lash(c.places()); err != nil {
		return Advice{}, err
	}
	e := estimate.Estimator{Prior: c.prior(), Errors: estimate.DefaultErrors(), Tightest: req.Sheet.Limits.JudgeBacklash != rules.JudgeMean}
	if c.post, err = e.Fit(c.attempts()); err != nil {
		return Advice{}, err
	}
	c.now.Stacks = c.standing()
	a, err := c.decide()
	if err != nil {
		return Advice{}, err
	}
	if a.Pinion == 0 && a.Ring == 0 {
		c.predictNow(&a)
	}
	c.putRight(&a)
	if c.earlier > 0 {
		a.Reason += ". " + c.say("advise.from_last", "n", len(c.Attempts), "all", len(req.Attempts))
	}
	c.account(&a)
	return a, nil
}

// mostAttempts is how many assemblies are worked with, the last ones: what an axle
// answered longer ago says little more, and every one of them costs time.
const mostAttempts = 10

// places gives the backlash readings of what is in the housing. A single one joins
// those that were read on the same assembly before it.
func (c *consideration) places() Attempt {
	a := c.now
	if len(a.Backlash) != 1 {
		return a
	}
	a.Backlash = slices.Clone(a.Backlash)
	for i := len(c.Attempts) - 1; i > 0 && c.sameBuild(i); i-- {
		a.Backlash = append(a.Backlash, c.Attempts[i-1].Backlash...)
	}
	return a
}

// sameBuild says whether attempt i is the assembly of the one before, read again.
func (c *consideration) sameBuild(i int) bool {
	a, before := c.Attempts[i], c.Attempts[i-1]
	return !a.Reseated && (before.Pinion-a.Pinion).Abs() < 1e-6 && (before.Ring-a.Ring).Abs() < 1e-6
}

// standing gives the stacks that are really in the housing: as told, but for a
// change that likely went the other way and was not put right since.
func (c *consideration) standing() Stacks {
	s := c.now.Stacks
	h := c.post.Hypotheses[0]
	if h.Kind != estimate.Slipped || h.Chance < 0.5 || h.Righted {
		return s
	}
	for _, a := range c.Attempts[h.Attempt+1:] {
		if a.Reseated {
			return s
		}
	}
	from, to := c.Attempts[h.Attempt-1].Stacks, c.Attempts[h.Attempt].Stacks
	turn := func(now *Stack, from, to Stack) {
		if really := now.Thickness - 2*(to.Thickness-from.Thickness); now.Known && from.Known && to.Known && really > 0 {
			*now = Stack{Known: true, Thickness: really}
		}
	}
	if h.Member == estimate.PinionMember {
		turn(&s.Pinion, from.Pinion, to.Pinion)
		return s
	}
	turn(&s.Left, from.Left, to.Left)
	turn(&s.Right, from.Right, to.Right)
	return s
}

// putRight names the stacks that are not what was told, changed or not.
func (c *consideration) putRight(a *Advice) {
	told, really := c.Attempts[len(c.Attempts)-1].Stacks, c.now.Stacks
	for name, s := range map[string][2]Stack{"pinion": {told.Pinion, really.Pinion}, "left": {told.Left, really.Left}, "right": {told.Right, really.Right}} {
		if _, built := a.Build[name]; built || s[0].Thickness == s[1].Thickness {
			continue
		}
		if a.Build == nil {
			a.Build = map[string]unit.Length{}
		}
		a.Build[name] = s[1].Thickness
	}
}

// consideration is one request with what was found out about it.
type consideration struct {
	Request
	axle    *axle
	goal    estimate.Goal
	now     Attempt
	ring    ringReading
	pattern patternRead
	post    *estimate.Posterior
	ours    map[string]bool // see builder
	earlier int             // assemblies before those that are worked with
}

// prior is the axle's, sharpened by the shop's memory, for a new or a used set.
func (c *consideration) prior() estimate.Prior {
	p := c.axle.prior
	if c.Memory != nil {
		p = c.Memory.Sharpen(p)
	}
	if c.Used != nil {
		if c.Used.Backlash > 0 {
			p.Lash.Mean = c.Used.Backlash.MM()
		}
		at := c.goal.At
		p.AlongBoth.Mean, p.AlongApart.Mean = (at[0]+at[2])/2, (at[0]-at[2])/2
		p.AcrossBoth.Mean, p.AcrossApart.Mean = (at[1]+at[3])/2, (at[1]-at[3])/2
	}
	return p
}

// Bounds of the decision. Common practice, no source.
const (
	noLash    = unit.Length(0.013) // half a thou: it binds
	grossLash = 4                  // times the highest limit: a gross position error, not a fine adjustment
	// What the dial adds to a spread, half a thou, is no reason to take it apart
	// where it has to be changed anyway; a finish has only rounding to spare.
	spreadSpare    = unit.Length(0.0128)
	spreadRounding = unit.Length(0.0005)
	vetoed         = 0.25 // less chance than this in spite of good readings: read again
	goodEnough     = 0.65 // chance from which a pattern just outside the middle third is left alone
	surelyEnough   = 0.85 // the same where nobody can be asked
	hopeless       = 0.06 // best chance of any change below which no shim cures it
	torn           = 0.25 // chance of the pinion having to go the other way that makes a step a bracketing one
)

// spreadLimit gives the sheet's limit; without one, none is too large.
func spreadLimit(s *rules.Sheet) unit.Length {
	if l := s.Limits.BacklashSpread; l.High > 0 {
		return l.High
	}
	return mostLash
}

// decide comes to a verdict.
func (c *consideration) decide() (Advice, error) {
	s := c.Sheet
	if c.ring.known {
		switch {
		case c.ring.Min <= noLash:
			return c.change(estimate.Caution{OnlyRing: true}, func(a *Advice) {
				a.Verdict = Bracket
				a.Reason = c.say("advise.no_lash")
			})
		case c.ring.Spread > spreadLimit(s)+spreadSpare:
			return c.spread(), nil
		}
	}
	lashFine := c.ring.known && inLimits(c.goal, c.ring.judged)
	switch {
	case !c.ring.known && !c.pattern.any:
		return Advice{Verdict: More, Reason: c.say("advise.nothing_here"), Causes: []string{c.say("advise.round"), c.say("advise.drive_pattern"), c.say("advise.coast_pattern")}}, nil
	case c.ring.known && c.ring.judged > grossLash*c.goal.High:
		where := c.say("advise.shim_sides")
		if s.Carrier.By == rules.Adjusters {
			where = c.say("advise.adjusters_counted")
		}
		return c.change(estimate.Caution{OnlyRing: true}, func(a *Advice) {
			a.Verdict = Bracket
			a.Reason = c.say("advise.gross", "lash", c.length(c.ring.judged), "where", where)
		})
	case lashFine && c.pattern.fine && c.pattern.any && c.ring.Spread <= spreadLimit(s)+spreadRounding:
		return c.good()
	case lashFine && c.pattern.fine && c.pattern.any && !c.again() && !c.Alone:
		return c.roundAgain(), nil
	case lashFine && c.pattern.fine && c.pattern.any:
		return c.spread(), nil
	case lashFine && !c.pattern.any:
		return Advice{Verdict: More, Reason: c.say("advise.pattern_decides", "lash", c.length(c.ring.judged)), Causes: []string{c.say("advise.drive_pattern"), c.say("advise.coast_pattern")}}, nil
	case lashFine && c.pattern.drive != c.pattern.coast && !c.again() && !c.Alone:
		a, _ := c.missing()
		return a, nil
	case c.partedStays(lashFine):
		return c.cannot(), nil
	case c.parted(c.pattern, lashFine):
		return c.paintAgain(), nil
	case c.hopeless() && (c.painted() || c.Alone || len(c.Attempts) > 2):
		return c.cannot(), nil
	case c.hopeless():
		return c.paintAgain(), nil
	case lashFine && c.pattern.drive && c.pattern.coast && c.enough():
		if c.pattern.height || c.Alone {
			return c.leave()
		}
		if !c.again() {
			return c.paintOne(), nil
		}
	case lashFine && c.pattern.drive && c.pattern.coast && c.pattern.off == 1 && c.pattern.height && !c.Alone && !c.again() && c.post.ChanceNow(within(c.goal, carriesWell)) > surelyEnough:
		return c.paintOne(), nil
	}
	usual := estimate.UsualCaution()
	usual.OnlyRing = !c.pattern.any || c.pattern.fine // a pattern that is right keeps its pinion
	usual.OnlyPinion = !c.ring.known
	return c.change(usual, c.explain)
}

// length writes a length as the reader is used to.
func (c *consideration) length(l unit.Length) string { return c.units().Length(l) }

func (c *consideration) units() unit.System {
	if c.Units != unit.NoSystem {
		return c.Units
	}
	return c.Sheet.Units
}

func (c *consideration) say(key string, namesAndValues ...any) string {
	return c.Words.Say(key, namesAndValues...)
}

// mixed is the chance that the flanks lie apart in a way no move brings together.
func (c *consideration) mixed() float64 { return c.chanceOf(estimate.Mixed) }

func (c *consideration) chanceOf(k estimate.Kind) float64 {
	sum := 0.0
	for _, h := range c.post.Hypotheses {
		if h.Kind == k {
			sum += h.Chance
		}
	}
	return sum
}

// parted says that the flanks lie where no move brings both to the middle: one
// high and the other low; or both at one end, with the right height and the lash
// where it belongs, because the ring gear, which moves both ends, is bound by the
// lash, and the pinion moves them opposite ways.
func (c *consideration) parted(p patternRead, lashFine bool) bool {
	return p.crossed || p.sameEnd && lashFine
}

// partedStays says that the flanks part and did so before: on the assembly just
// before this one, or, both at one end with the lash inside, on any two that were
// read. Once is more likely a misread flank than a set that no shim cures.
func (c *consideration) partedStays(lashFine bool) bool {
	if c.now.Sure || c.Alone && len(c.Attempts) == 1 {
		return c.parted(c.pattern, lashFine)
	}
	n := len(c.Attempts)
	if c.pattern.crossed && n > 1 {
		before := readPattern(c.Attempts[n-2], c.goal)
		return before.crossed && (c.now.Drive.Across-c.goal.At[1])*(c.Attempts[n-2].Drive.Across-c.goal.At[1]) > 0
	}
	if !c.pattern.oneEnd || !lashFine {
		return false
	}
	seen := 0
	for _, a := range c.Attempts[:n-1] {
		ring, err := c.lash(a)
		p := readPattern(a, c.goal)
		if err == nil && ring.known && inLimits(c.goal, ring.judged) && p.oneEnd && a.Drive.Along*c.now.Drive.Along > 0 {
			seen++
		}
	}
	return c.pattern.sameEnd && seen > 0 || seen > 1
}

// again says that this assembly was read before, so that asking for another
// reading leads nowhere.
func (c *consideration) again() bool {
	return c.painted() || c.now.Twice != (Twice{})
}

// painted is again for both flanks.
func (c *consideration) painted() bool {
	n := len(c.Attempts)
	return c.now.Sure || n > 1 && c.sameBuild(n-1)
}

// hopeless says that no change, however large and in however many steps, is
// likely to bring both patterns to where any shop would let them go.
func (c *consideration) hopeless() bool {
	if !c.pattern.drive || !c.pattern.coast || c.mixed() < 0.5 {
		return false
	}
	wide := within(c.goal, carriesAny)
	free := estimate.Caution{Pinion: unit.MM(1.5), Ring: unit.MM(3), LargeRing: unit.MM(3), SmallPinion: unit.MM(1.5)}
	pinion, ring := c.post.Best(wide, free)
	return c.post.Chance(pinion, ring, wide) < hopeless
}

// enough says that the assembly is likely good although one word puts a pattern
// just outside the middle third: the eye is not that sharp, and the moves that
// were made and what they did say more. A first assembly has nothing of the kind.
func (c *consideration) enough() bool {
	allowance, chance := carriesWell-0.05, goodEnough
	if c.Alone && !c.pattern.height {
		allowance, chance = carriesAim, surelyEnough
	}
	return len(c.Attempts) > 1 && c.pattern.off == 1 && c.ring.Spread <= spreadLimit(c.Sheet)+spreadRounding && c.post.ChanceNow(within(c.goal, allowance)) > chance
}
