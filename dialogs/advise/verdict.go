package advise

import (
	"shimwright/calc/estimate"
	"shimwright/calc/unit"
)

// good ends the loop, unless a flank is missing or the readings do not fit what
// the moves should have given.
func (c *consideration) good() (Advice, error) {
	if a, missing := c.missing(); missing {
		return a, nil
	}
	chance := c.post.ChanceNow(within(c.goal, carriesWell))
	if chance < vetoed && !c.again() {
		a := Advice{Verdict: More, Chance: chance, Doubt: c.doubt()}
		a.Reason = "it reads good, but that is not where these shims should have put it: take the readings again before calling it done"
		if a.Doubt == "" {
			a.Causes = []string{"backlash round the ring", "drive pattern", "coast pattern"}
		} else {
			a.Causes = []string{a.Doubt}
		}
		return a, nil
	}
	a := Advice{Verdict: Good, Drive: c.now.Drive, Coast: c.now.Coast, Chance: chance}
	a.Reason = "lash " + c.length(c.ring.judged) + " is inside " + c.limits() + " and both patterns carry in the middle"
	if c.Used != nil {
		a.Reason = c.backWords()
	}
	return a, nil
}

// leave ends the loop near an end of what is good.
func (c *consideration) leave() (Advice, error) {
	if a, missing := c.missing(); missing {
		return a, nil
	}
	a := Advice{Verdict: Good, Drive: c.now.Drive, Coast: c.now.Coast, Chance: c.post.ChanceNow(within(c.goal, carriesWell))}
	a.Reason = "lash " + c.length(c.ring.judged) + " is inside " + c.limits() + " and the patterns are near enough to the middle: one word is off, and what the changes did says it is the eye's. leave it"
	return a, nil
}

// missing asks for what has to be read before anything is called good: both
// flanks, how high they carry, and backlash in more than one place.
func (c *consideration) missing() (Advice, bool) {
	a := Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast}
	lash := "lash " + c.length(c.ring.judged)
	switch {
	case !c.pattern.drive || !c.pattern.coast:
		missing := "coast pattern"
		if !c.pattern.drive {
			missing = "drive pattern"
		}
		a.Reason, a.Causes = lash+" is inside; read the "+missing+" before the pinion comes out", []string{missing}
		if c.pattern.fine {
			a.Reason = lash + " and what was seen are good; the " + missing + " decides"
		}
	case !c.pattern.across:
		a.Reason, a.Causes = "nobody said how high the pattern sits", []string{"drive pattern, top to root", "coast pattern, top to root"}
	case len(c.ring.Readings) < 2:
		a.Reason, a.Causes = lash+" in one place is good, and its spread is not known: read it in four places round the ring", []string{"backlash in four places round the ring"}
	default:
		return Advice{}, false
	}
	return a, true
}

func (c *consideration) limits() string {
	return bareNumber(c.length(c.goal.Low)) + " to " + c.length(c.goal.High)
}

// spread sends to runout before any shim.
func (c *consideration) spread() Advice {
	limit := c.Sheet.Limits.BacklashSpread.High
	a := Advice{Verdict: Cannot}
	a.Reason = "lash spreads " + c.length(c.ring.Spread) + " round the ring, over " + c.length(limit) + ": runout or dirt, not a shim. no shim change until it is found"
	a.Causes = []string{"ring gear runout", "dirt or a burr under the ring gear", "ring gear bolts not drawn evenly", "a carrier bearing that is not seated"}
	if h := c.ring.Harmonic; h.Determined && len(c.ring.Readings) > 3 {
		if h.Explained > 0.8 {
			a.Terms = append(a.Terms, Term{"shape", "once a turn: the ring gear sits off centre or tilted"})
		} else if h.Worst >= 0 {
			a.Causes = append([]string{"reading " + ordinal(h.Worst+1) + ", which stands out: take it again"}, a.Causes...)
		}
	}
	return a
}

// paintAgain asks for the patterns once more before anything is made of them.
func (c *consideration) paintAgain() Advice {
	a := Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast, Doubt: c.doubt(), Causes: []string{"drive pattern", "coast pattern"}}
	a.Reason = "drive and coast now part in a way no shim makes: paint and read both flanks again before anything is changed"
	return a
}

// paintOne asks for the flank that alone reads off once more.
func (c *consideration) paintOne() Advice {
	flank, side := "", ""
	for i, m := range marks(c.now.Drive, c.now.Coast) {
		if off := m.At - c.goal.At[i]; m.Known && max(off, -off) > carriesRead {
			k := estimate.Coordinate(i)
			ends := map[bool][2]string{true: {"at the toe", "at the heel"}, false: {"low", "high"}}[k.Along()]
			flank, side = map[bool]string{true: "drive", false: "coast"}[k.Drive()], ends[0]
			if off > 0 {
				side = ends[1]
			}
		}
	}
	return Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast, Causes: []string{flank + " pattern"},
		Reason: "lash is inside, and of all that was read only " + flank + " is off, " + side + "; all the rest puts it near the middle: paint it again before anything comes out"}
}

// roundAgain asks for the backlash once more where only its spread stands in the
// way, by little.
func (c *consideration) roundAgain() Advice {
	return Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast, Causes: []string{"backlash round the ring"},
		Reason: "all is good but the spread, " + c.length(c.ring.Spread) + " against " + c.length(c.Sheet.Limits.BacklashSpread.High) + ": read the lash round the ring once more; if it stands, look for runout"}
}

// cannot says that no shim cures it.
func (c *consideration) cannot() Advice {
	a := Advice{Verdict: Cannot, Drive: c.now.Drive, Coast: c.now.Coast}
	d, k := c.now.Drive, c.now.Coast
	switch {
	case c.pattern.crossed:
		high, low := "drive", "coast"
		if d.Across < k.Across {
			high, low = low, high
		}
		a.Reason = "crossed patterns: " + high + " sits high and " + low + " low, and a pinion shim moves both the same way. paint and read both flanks once more, then look for the cause"
	case d.AlongKnown && k.AlongKnown && d.Along*k.Along > 0:
		end := "toe"
		if d.Along > 0 {
			end = "heel"
		}
		a.Reason = "both flanks carry at the " + end + " with the lash where it is: a pinion shim moves them opposite ways, and the ring gear cannot go that far. paint and read once more, then look for the cause"
	default:
		a.Reason = "drive and coast ask for changes that undo each other. paint and read both flanks once more, then look for the cause"
	}
	a.Causes = []string{"ring gear and pinion not a matched pair", "bent housing or carrier", "a bearing or cup not seated", "ring gear runout"}
	return a
}

// backWords says what a used set is back at, as far as that is on record.
func (c *consideration) backWords() string {
	lash := "lash " + c.length(c.ring.judged)
	old := c.Used.Backlash > 0
	drive, coast := c.Used.Drive.Known(), c.Used.Coast.Known()
	switch {
	case old && drive && coast:
		return lash + " and both patterns are back where the set ran before"
	case drive && coast:
		return lash + " is inside " + c.limits() + " and both patterns are back where the set ran before; its old lash is not on record"
	}
	patterns := "both patterns carry in the middle; its old pattern is not on record"
	if drive || coast {
		have, lacks := "drive", "coast"
		if coast {
			have, lacks = lacks, have
		}
		patterns = have + " is back where it ran before; the old " + lacks + " pattern is not on record"
	}
	if old {
		return lash + " is back where the set ran before, and " + patterns
	}
	return lash + " is inside " + c.limits() + ", and " + patterns + ", nor is its lash"
}

// predictNow fills in what an assembly that stays has, by all that was read.
func (c *consideration) predictNow(a *Advice) {
	p := c.post.Now()
	a.Backlash, a.Round = interval(p.Backlash), interval(p.Mean)
	m := p.Marks
	a.Drive, a.Coast = c.now.Drive, c.now.Coast
	a.Drive.Along, a.Drive.Across, a.Coast.Along, a.Coast.Across = m[0].Mean, m[1].Mean, m[2].Mean, m[3].Mean
	a.DriveSpan, a.CoastSpan = spans(p)
	c.final(a, 0, 0)
}

func spans(p estimate.Prediction) (drive, coast Span) {
	m := p.Marks
	return Span{m[0].Low, m[0].High, m[1].Low, m[1].High}, Span{m[2].Low, m[2].High, m[3].Low, m[3].High}
}

// final predicts what the final bearings will do after a change.
func (c *consideration) final(a *Advice, pinion, ring unit.Length) {
	f := c.Request.Final
	if f == nil {
		return
	}
	made := c.post.After(pinion, ring+f.RingShift)
	asIs := c.post.After(pinion+f.HeadTaller, ring+f.RingShift)
	a.Final = &Final{Shim: -f.HeadTaller * unit.Length(c.Sheet.Pinion.Shim.Deeper()), Backlash: interval(made.Backlash), AsIs: interval(asIs.Backlash)}
}

func interval(i estimate.Interval) Interval {
	return Interval{unit.MM(i.Mean), unit.MM(max(0, i.Low)), unit.MM(i.High)}
}
