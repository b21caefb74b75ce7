package advise

import (
	"fmt"
	"math"
	"strings"

	"shimwright/calc/estimate"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// explain gives a change its verdict and its reason in one line.
func (c *consideration) explain(a *Advice) {
	slip, slipped := c.slip()
	var parts []string
	switch {
	case slipped:
		parts = append(parts, c.say("advise.slipped", "slip", slip, "stands", c.standsWords()))
	case c.standsWords() != "":
		parts = append(parts, c.say("advise.slipped_before", "n", c.post.Hypotheses[0].Attempt+1+c.earlier, "stands", c.standsWords()))
	case a.Doubt != "":
		parts = append(parts, c.say("advise.does_not_fit", "doubt", a.Doubt))
	}
	depth, _ := c.post.Standing()
	against := c.post.Share(func(depth float64) bool { return depth*a.Pinion.MM() > 0 })
	switch {
	case !c.ring.known:
		a.Verdict = More
		a.Causes = []string{c.say("advise.round")}
		parts = append(parts, c.say("advise.lash_first")+c.asksFor(a))
	case a.Pinion == 0 && a.Ring == 0 && c.again():
		a.Verdict = Cannot
		a.Causes = []string{c.say("advise.shims_of_that"), c.say("advise.not_seated"), c.say("advise.bent"), c.say("advise.right_set")}
		parts = append(parts, c.say("advise.stays_so"))
	case a.Pinion == 0 && a.Ring == 0:
		a.Verdict, a.Again = More, Twice{true, true, true}
		a.Causes = []string{c.say("advise.drive_pattern"), c.say("advise.coast_pattern"), c.say("advise.round")}
		parts = append(parts, c.say("advise.nothing_betters"))
	case a.Pinion != 0 && against > torn && !slipped && c.pattern.any && !c.pattern.across && !c.Alone:
		// Which way the pinion is off is what the height tells, and nobody said it.
		a.Verdict, a.Pinion, a.Ring = More, 0, 0
		a.Causes = []string{c.say("advise.drive_height"), c.say("advise.coast_height")}
		parts = append(parts, c.say("advise.height_first"))
	case a.Pinion != 0 && against > torn && !slipped:
		a.Verdict = Bracket
		parts = append(parts, c.say("advise.bracket", "chance", math.Round(100*against)))
	}
	if words := c.patternWords(c.now); words != "" && !c.pattern.fine {
		parts = append(parts, words)
	}
	if a.Pinion != 0 && a.Verdict != Bracket {
		parts = append(parts, c.pinionWords(depth))
	}
	if c.ring.known {
		parts = append(parts, c.lashWords(a))
	}
	a.Reason = strings.Join(parts, ". ")
	if a.Verdict == More {
		*a = Advice{Verdict: More, Reason: a.Reason, Causes: a.Causes, Doubt: a.Doubt}
	}
}

// pinionWords says where the pinion stands: "pinion about 0.008 in shallow (0.003
// to 0.013)".
func (c *consideration) pinionWords(depth estimate.Interval) string {
	low, high := math.Abs(depth.Low), math.Abs(depth.High)
	if low > high {
		low, high = high, low
	}
	if depth.Low*depth.High < 0 {
		low = 0
	}
	key := "advise.pinion_shallow"
	if depth.Mean > 0 {
		key = "advise.pinion_deep"
	}
	say := func(mm float64) string { return c.length(round(unit.MM(mm), grid(c.Sheet))) }
	return c.say(key, "by", say(math.Abs(depth.Mean)), "low", bareNumber(say(low)), "high", bareNumber(say(high)))
}

// lashWords says where the lash stands, and the pinion's part in bringing it home
// where both members move.
func (c *consideration) lashWords(a *Advice) string {
	key := "advise.lash_inside"
	switch {
	case c.ring.judged > c.goal.High+1e-4:
		key = "advise.lash_over"
	case c.ring.judged < c.goal.Low-1e-4:
		key = "advise.lash_under"
	}
	words := c.say(key, "lash", c.length(c.ring.judged), "limits", c.limits())
	answer, _ := c.post.Answers()
	own := unit.MM(answer.Mean) * a.Pinion
	if a.Ring == 0 || own.Abs() < grid(c.Sheet)/2 {
		return words
	}
	by := c.length(round(own.Abs(), grid(c.Sheet)/2))
	if a.Pinion < 0 {
		return words + "; " + c.say("advise.pinion_opens", "by", by)
	}
	return words + "; " + c.say("advise.pinion_closes", "by", by)
}

// asksFor says what the pattern alone asks of the pinion.
func (c *consideration) asksFor(a *Advice) string {
	switch {
	case a.Pinion == 0:
		return ""
	case a.Pinion < 0:
		return ". " + c.say("advise.asks_shallower", "by", c.length(a.Pinion.Abs()))
	}
	return ". " + c.say("advise.asks_deeper", "by", c.length(a.Pinion))
}

// doubt names the reading of this assembly that likely does not fit the others.
// One of an earlier assembly cannot be taken again and is only counted less.
func (c *consideration) doubt() string {
	h := c.post.Hypotheses[0]
	if h.Chance < 0.5 || h.Attempt != len(c.Attempts)-1 {
		return ""
	}
	switch h.Kind {
	case estimate.Misread:
		return c.readingName(h)
	case estimate.Unseated:
		return c.say("advise.all_of_it")
	}
	return ""
}

func (c *consideration) readingName(h estimate.Hypothesis) string {
	if h.Attempt == len(c.Attempts)-1 {
		return c.say("advise.the_reading", "reading", c.readingWord(h.Reading))
	}
	return c.say("advise.the_reading_of", "reading", c.readingWord(h.Reading), "n", h.Attempt+1+c.earlier)
}

func (c *consideration) readingWord(r estimate.Reading) string {
	switch r {
	case estimate.DriveReading:
		return c.say("advise.drive_pattern")
	case estimate.CoastReading:
		return c.say("advise.coast_pattern")
	}
	return c.say("advise.backlash")
}

// slip says which change likely went the other way.
func (c *consideration) slip() (string, bool) {
	h := c.post.Hypotheses[0]
	if h.Kind != estimate.Slipped || h.Chance < 0.5 || h.Righted {
		return "", false
	}
	for i := h.Attempt + 1; i < len(c.Attempts); i++ {
		if !c.sameBuild(i) {
			return "", false // not the last change
		}
	}
	switch {
	case h.Member == estimate.PinionMember:
		return c.say("advise.pinion_reversed"), true
	case c.Sheet.Carrier.By == rules.Adjusters:
		return c.say("advise.adjusters_reversed"), true
	}
	return c.say("advise.wrong_side"), true
}

// standsWords says what stands in the housing by a slip, and to measure it.
func (c *consideration) standsWords() string {
	told := c.Attempts[len(c.Attempts)-1].Stacks
	really := c.now.Stacks
	switch {
	case told.Pinion.Thickness != really.Pinion.Thickness:
		return c.say("advise.stands_pinion", "pinion", c.length(really.Pinion.Thickness))
	case told.Left.Thickness != really.Left.Thickness || told.Right.Thickness != really.Right.Thickness:
		return c.say("advise.stands_sides", "left", bareNumber(c.length(really.Left.Thickness)), "right", c.length(really.Right.Thickness))
	}
	return ""
}

// patternWords says where the patterns are.
func (c *consideration) patternWords(a Attempt) string {
	say := func(m Mark) string {
		var w []string
		if m.AcrossKnown {
			w = append(w, [3]string{c.say("advise.low"), c.say("advise.mid_height"), c.say("advise.high")}[thirdOf(m.Across)])
		}
		if m.AlongKnown {
			w = append(w, [3]string{c.say("advise.at_toe"), c.say("advise.mid_face"), c.say("advise.at_heel")}[thirdOf(m.Along)])
		}
		return strings.Join(w, " ")
	}
	drive, coast := say(a.Drive), say(a.Coast)
	switch {
	case drive == "" && coast == "":
		return ""
	case drive == coast:
		return c.say("advise.both_at", "at", drive)
	case coast == "":
		return c.say("advise.drive_at", "at", drive)
	case drive == "":
		return c.say("advise.coast_at", "at", coast)
	}
	return c.say("advise.drive_at", "at", drive) + ", " + c.say("advise.coast_at", "at", coast)
}

func thirdOf(v float64) int {
	switch {
	case v < -1./3:
		return 0
	case v > 1./3:
		return 2
	}
	return 1
}

// bareNumber drops the unit of a written length.
func bareNumber(text string) string {
	number, _, _ := strings.Cut(text, " ")
	return number
}

// account writes the computation down, for why.
func (c *consideration) account(a *Advice) {
	if c.Memory != nil {
		a.Jobs = c.Memory.Jobs
	}
	add := func(name, value string) { a.Terms = append(a.Terms, Term{name, value}) }
	if c.ring.known {
		add(c.say("advise.term_judged"), c.say("advise.judged", "lash", c.length(c.ring.judged), "mean", c.length(c.ring.Mean), "spread", c.length(c.ring.Spread), "n", len(c.ring.Readings)))
	}
	add(c.say("advise.term_wanted"), c.limits())
	depth, ring := c.post.Standing()
	signed := c.units().Signed
	span := func(i estimate.Interval) string {
		return c.say("advise.eight_in_ten", "mean", signed(unit.MM(i.Mean)), "low", signed(unit.MM(i.Low)), "high", signed(unit.MM(i.High)))
	}
	add(c.say("advise.term_pinion"), span(depth))
	add(c.say("advise.term_ring"), span(ring))
	kp, kg := c.post.Answers()
	answer := func(i estimate.Interval, geometry float64) string {
		return c.say("advise.answer", "mean", two(i.Mean), "low", two(i.Low), "high", two(i.High), "geometry", two(geometry))
	}
	add(c.say("advise.term_pinion_answer"), answer(kp, c.axle.slopes.Pinion))
	add(c.say("advise.term_ring_answer"), answer(kg, c.axle.slopes.Ring))
	if a.Verdict == Change || a.Verdict == Bracket {
		add(c.say("advise.term_after"), c.say("advise.eight_in_ten", "mean", c.length(a.Backlash.Mean), "low", c.length(a.Backlash.Low), "high", c.length(a.Backlash.High)))
		add(c.say("advise.term_chance"), percent(a.Chance))
	}
	for _, h := range c.post.Hypotheses {
		if h.Kind != estimate.Plain && h.Chance > 0.05 {
			name := "advise.term_also"
			if h.Chance > 0.5 {
				name = "advise.term_likely"
			}
			add(c.say(name), c.hypothesis(h)+", "+percent(h.Chance))
		}
	}
	if a.Jobs > 0 {
		add(c.say("advise.term_memory"), c.say("advise.memory", "n", a.Jobs))
	}
	if !c.axle.model {
		add(c.say("advise.term_pattern"), c.say("advise.no_model"))
	}
	for _, x := range c.axle.against {
		key := "advise.against_ring"
		if x.pinion {
			key = "advise.against_pinion"
		}
		add(c.say("advise.term_against"), c.say(key, "what", c.coordinateName(x.of), "slope", fmt.Sprintf("%+.2f", x.slope)))
	}
}

func two(v float64) string { return fmt.Sprintf("%.2f", v) }

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

func (c *consideration) coordinateName(k estimate.Coordinate) string {
	return [estimate.Coordinates]string{c.say("advise.drive_along"), c.say("advise.drive_across"), c.say("advise.coast_along"), c.say("advise.coast_across")}[k]
}

func (c *consideration) hypothesis(h estimate.Hypothesis) string {
	n := h.Attempt + 1 + c.earlier
	switch {
	case h.Kind == estimate.Misread:
		return c.say("advise.is_wrong", "reading", c.readingName(h))
	case h.Kind == estimate.Slipped && h.Member == estimate.PinionMember:
		return c.say("advise.pinion_slipped", "n", n)
	case h.Kind == estimate.Slipped:
		return c.say("advise.ring_slipped", "n", n)
	case h.Kind == estimate.Unseated:
		return c.say("advise.did_not_seat", "n", n)
	}
	return c.say("advise.apart")
}
