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
		a.Reason, a.Again = c.say("advise.too_good"), Twice{true, true, true}
		if a.Doubt == "" {
			a.Causes = []string{c.say("advise.round"), c.say("advise.drive_pattern"), c.say("advise.coast_pattern")}
		} else {
			a.Causes = []string{a.Doubt}
		}
		return a, nil
	}
	a := Advice{Verdict: Good, Drive: c.now.Drive, Coast: c.now.Coast, Chance: chance}
	a.Reason = c.say("advise.good", "lash", c.length(c.ring.judged), "limits", c.limits())
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
	a.Reason = c.say("advise.near_enough", "lash", c.length(c.ring.judged), "limits", c.limits())
	return a, nil
}

// missing asks for what has to be read before anything is called good: both
// flanks, how high they carry, and backlash in more than one place.
func (c *consideration) missing() (Advice, bool) {
	a := Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast}
	lash := c.length(c.ring.judged)
	switch {
	case !c.pattern.drive || !c.pattern.coast:
		missing := c.say("advise.coast_pattern")
		if !c.pattern.drive {
			missing = c.say("advise.drive_pattern")
		}
		a.Reason, a.Causes = c.say("advise.read_missing", "lash", lash, "missing", missing), []string{missing}
		if c.pattern.fine {
			a.Reason = c.say("advise.missing_decides", "lash", lash, "missing", missing)
		}
	case !c.pattern.across:
		a.Reason, a.Causes = c.say("advise.height_unknown"), []string{c.say("advise.drive_height"), c.say("advise.coast_height")}
	case len(c.ring.Readings) < 2:
		a.Reason, a.Causes = c.say("advise.one_place", "lash", lash), []string{c.say("advise.four_places")}
	default:
		return Advice{}, false
	}
	return a, true
}

func (c *consideration) limits() string {
	return c.say("advise.range", "low", bareNumber(c.length(c.goal.Low)), "high", c.length(c.goal.High))
}

// spread sends to runout before any shim.
func (c *consideration) spread() Advice {
	limit := c.Sheet.Limits.BacklashSpread.High
	a := Advice{Verdict: Cannot}
	a.Reason = c.say("advise.spread", "spread", c.length(c.ring.Spread), "limit", c.length(limit))
	a.Causes = []string{c.say("advise.runout"), c.say("advise.dirt"), c.say("advise.bolts_uneven"), c.say("advise.carrier_bearing")}
	if h := c.ring.Harmonic; h.Determined && len(c.ring.Readings) > 3 {
		if h.Explained > 0.8 {
			a.Terms = append(a.Terms, Term{c.say("advise.term_shape"), c.say("advise.once_a_turn")})
		} else if h.Worst >= 0 {
			a.Causes = append([]string{c.say("advise.stands_out", "n", h.Worst+1)}, a.Causes...)
		}
	}
	return a
}

// paintAgain asks for the patterns once more before anything is made of them.
func (c *consideration) paintAgain() Advice {
	a := Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast, Doubt: c.doubt(), Causes: []string{c.say("advise.drive_pattern"), c.say("advise.coast_pattern")}}
	a.Reason, a.Again = c.say("advise.part_again"), Twice{Drive: true, Coast: true}
	left := ""
	switch t := c.now.Twice; {
	case t.Drive && !t.Coast:
		left = c.say("advise.coast_pattern")
	case t.Coast && !t.Drive:
		left = c.say("advise.drive_pattern")
	default:
		return a
	}
	a.Reason, a.Causes = c.say("advise.part_other", "left", left), []string{left}
	return a
}

// paintOne asks for the flank that alone reads off once more.
func (c *consideration) paintOne() Advice {
	flank, side, again := "", "", Twice{}
	for i, m := range marks(c.now.Drive, c.now.Coast) {
		if off := m.At - c.goal.At[i]; m.Known && max(off, -off) > carriesRead {
			k := estimate.Coordinate(i)
			ends := map[bool][2]string{true: {c.say("advise.at_toe"), c.say("advise.at_heel")}, false: {c.say("advise.low"), c.say("advise.high")}}[k.Along()]
			flank, side = map[bool]string{true: c.say("advise.drive"), false: c.say("advise.coast")}[k.Drive()], ends[0]
			again = Twice{Drive: k.Drive(), Coast: !k.Drive()}
			if off > 0 {
				side = ends[1]
			}
		}
	}
	return Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast, Causes: []string{c.say("advise.pattern_of", "flank", flank)}, Again: again,
		Reason: c.say("advise.only_one_off", "flank", flank, "side", side)}
}

// roundAgain asks for the backlash once more where only its spread stands in the
// way, by little.
func (c *consideration) roundAgain() Advice {
	return Advice{Verdict: More, Drive: c.now.Drive, Coast: c.now.Coast, Causes: []string{c.say("advise.round")}, Again: Twice{Lash: true},
		Reason: c.say("advise.only_spread", "spread", c.length(c.ring.Spread), "limit", c.length(c.Sheet.Limits.BacklashSpread.High))}
}

// cannot says that no shim cures it.
func (c *consideration) cannot() Advice {
	a := Advice{Verdict: Cannot, Drive: c.now.Drive, Coast: c.now.Coast}
	d, k := c.now.Drive, c.now.Coast
	then := c.say("advise.once_more")
	if c.painted() {
		then = c.say("advise.read_twice")
	}
	switch {
	case c.pattern.crossed:
		high, low := c.say("advise.drive"), c.say("advise.coast")
		if d.Across < k.Across {
			high, low = low, high
		}
		a.Reason = c.say("advise.crossed", "high", high, "low", low, "then", then)
	case d.AlongKnown && k.AlongKnown && d.Along*k.Along > 0:
		end := c.say("advise.toe")
		if d.Along > 0 {
			end = c.say("advise.heel")
		}
		a.Reason = c.say("advise.same_end", "end", end, "then", then)
	default:
		a.Reason = c.say("advise.undo_each_other", "then", then)
	}
	a.Causes = []string{c.say("advise.not_a_pair"), c.say("advise.bent"), c.say("advise.not_seated"), c.say("advise.runout")}
	return a
}

// backWords says what a used set is back at, as far as that is on record.
func (c *consideration) backWords() string {
	lash := c.length(c.ring.judged)
	old := c.Used.Backlash > 0
	drive, coast := c.Used.Drive.Known(), c.Used.Coast.Known()
	switch {
	case old && drive && coast:
		return c.say("advise.back_all", "lash", lash)
	case drive && coast:
		return c.say("advise.back_patterns", "lash", lash, "limits", c.limits())
	case drive || coast:
		have, lacks := c.say("advise.drive"), c.say("advise.coast")
		if coast {
			have, lacks = lacks, have
		}
		if old {
			return c.say("advise.back_lash_and_one", "lash", lash, "have", have, "lacks", lacks)
		}
		return c.say("advise.back_one", "lash", lash, "limits", c.limits(), "have", have, "lacks", lacks)
	case old:
		return c.say("advise.back_lash", "lash", lash)
	}
	return c.say("advise.back_unknown", "lash", lash, "limits", c.limits())
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
