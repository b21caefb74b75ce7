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
		parts = append(parts, "the last change went the other way: "+slip+". this goes from where the parts are now"+c.standsWords())
	case c.standsWords() != "":
		parts = append(parts, fmt.Sprintf("the change before assembly %d went the other way and was not put right: this goes from where the parts are now", c.post.Hypotheses[0].Attempt+1+c.earlier)+c.standsWords())
	case a.Doubt != "":
		parts = append(parts, a.Doubt+" does not fit the other readings, take it again before building")
	}
	depth, _ := c.post.Standing()
	against := c.post.Share(func(depth float64) bool { return depth*a.Pinion.MM() > 0 })
	switch {
	case !c.ring.known:
		a.Verdict = More
		a.Causes = []string{"backlash round the ring"}
		parts = append(parts, "lash decides how far: read it first"+c.asksFor(a))
	case a.Pinion == 0 && a.Ring == 0:
		a.Verdict = More
		a.Causes = []string{"drive pattern", "coast pattern", "backlash round the ring"}
		parts = append(parts, "nothing in the kit betters this for certain: read it again")
	case a.Pinion != 0 && against > torn && !slipped:
		a.Verdict = Bracket
		parts = append(parts, fmt.Sprintf("a step to find out: the readings leave open which way the pinion is off (%.0f in 100 that it goes the other way)", 100*against))
	}
	if words := patternWords(c.now); words != "" && !c.pattern.fine {
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
	side := "shallow"
	if depth.Mean > 0 {
		side = "deep"
	}
	say := func(mm float64) string { return c.length(round(unit.MM(mm), grid(c.Sheet))) }
	return "pinion about " + say(math.Abs(depth.Mean)) + " " + side + " (" + bareNumber(say(low)) + " to " + bareNumber(say(high)) + ")"
}

// lashWords says where the lash stands, and the pinion's part in bringing it home
// where both members move.
func (c *consideration) lashWords(a *Advice) string {
	where := "inside"
	switch {
	case c.ring.judged > c.goal.High+1e-4:
		where = "over"
	case c.ring.judged < c.goal.Low-1e-4:
		where = "under"
	}
	words := "lash " + c.length(c.ring.judged) + " is " + where + " " + c.limits()
	answer, _ := c.post.Answers()
	own := unit.MM(answer.Mean) * a.Pinion
	if a.Ring == 0 || own.Abs() < grid(c.Sheet)/2 {
		return words
	}
	does := "closes"
	if a.Pinion < 0 {
		does = "opens"
	}
	return words + "; the pinion " + does + " it by about " + c.length(round(own.Abs(), grid(c.Sheet)/2))
}

// asksFor says what the pattern alone asks of the pinion.
func (c *consideration) asksFor(a *Advice) string {
	way := "deeper"
	switch {
	case a.Pinion == 0:
		return ""
	case a.Pinion < 0:
		way = "shallower"
	}
	return ". the pattern asks for a pinion about " + c.length(a.Pinion.Abs()) + " " + way
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
		return "what was read on this assembly (is every bearing seated, are the caps torqued?)"
	}
	return ""
}

func (c *consideration) readingName(h estimate.Hypothesis) string {
	if h.Attempt == len(c.Attempts)-1 {
		return "the " + string(h.Reading)
	}
	return fmt.Sprintf("the %s of assembly %d", h.Reading, h.Attempt+1+c.earlier)
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
		return "the pinion shim was thinned for thickened, or the reverse", true
	case c.Sheet.Carrier.By == rules.Adjusters:
		return "the adjusters were turned the wrong way", true
	}
	return "the ring gear's shims went to the wrong side", true
}

// standsWords says what stands in the housing by a slip, and to measure it.
func (c *consideration) standsWords() string {
	told := c.Attempts[len(c.Attempts)-1].Stacks
	really := c.now.Stacks
	switch {
	case told.Pinion.Thickness != really.Pinion.Thickness:
		return ", with " + c.length(really.Pinion.Thickness) + " of pinion shim in there: mike the stack before it goes back in"
	case told.Left.Thickness != really.Left.Thickness || told.Right.Thickness != really.Right.Thickness:
		return ", with left " + bareNumber(c.length(really.Left.Thickness)) + " and right " + c.length(really.Right.Thickness) + " in there: put them on the right side and mike both stacks"
	}
	return ""
}

// patternWords says where the patterns are.
func patternWords(a Attempt) string {
	say := func(m Mark) string {
		var w []string
		if m.AcrossKnown {
			w = append(w, [3]string{"low", "centred up and down", "high"}[thirdOf(m.Across)])
		}
		if m.AlongKnown {
			w = append(w, [3]string{"at the toe", "mid face", "at the heel"}[thirdOf(m.Along)])
		}
		return strings.Join(w, " ")
	}
	drive, coast := say(a.Drive), say(a.Coast)
	switch {
	case drive == "" && coast == "":
		return ""
	case drive == coast:
		return "drive and coast " + drive
	case coast == "":
		return "drive " + drive
	case drive == "":
		return "coast " + coast
	}
	return "drive " + drive + ", coast " + coast
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

func ordinal(n int) string { return fmt.Sprint(n) }

// account writes the computation down, for why.
func (c *consideration) account(a *Advice) {
	if c.Memory != nil {
		a.Jobs = c.Memory.Jobs
	}
	add := func(name, value string, args ...any) {
		a.Terms = append(a.Terms, Term{name, fmt.Sprintf(value, args...)})
	}
	units := c.Sheet.Units
	if c.ring.known {
		add("lash judged", "%s (mean %s, spread %s, %d read)", units.Length(c.ring.judged), units.Length(c.ring.Mean), units.Length(c.ring.Spread), len(c.ring.Readings))
	}
	add("lash wanted", "%s", c.limits())
	depth, ring := c.post.Standing()
	span := func(i estimate.Interval) string {
		return fmt.Sprintf("%s (%s to %s, eight in ten)", units.Signed(unit.MM(i.Mean)), units.Signed(unit.MM(i.Low)), units.Signed(unit.MM(i.High)))
	}
	add("pinion stands, + too deep", "%s", span(depth))
	add("ring gear stands, + too far in", "%s", span(ring))
	kp, kg := c.post.Answers()
	add("lash per unit of pinion move", "%.2f (%.2f to %.2f), geometry %.2f", kp.Mean, kp.Low, kp.High, c.axle.slopes.Pinion)
	add("lash per unit of ring gear move", "%.2f (%.2f to %.2f), geometry %.2f", kg.Mean, kg.Low, kg.High, c.axle.slopes.Ring)
	if a.Verdict == Change || a.Verdict == Bracket {
		add("lash after it", "%s (%s to %s, eight in ten)", units.Length(a.Backlash.Mean), units.Length(a.Backlash.Low), units.Length(a.Backlash.High))
		add("chance of being inside after it", "%.0f %%", 100*a.Chance)
	}
	for _, h := range c.post.Hypotheses {
		if h.Kind != estimate.Plain && h.Chance > 0.05 {
			add("also possible", "%s, %.0f %%", c.hypothesis(h), 100*h.Chance)
		}
	}
	if a.Jobs > 0 {
		add("shop memory", "%d finished jobs on this sheet", a.Jobs)
	}
	if !c.axle.model {
		add("pattern", "practice's directions; the sheet's geometry could not be worked into a contact model")
	}
	for _, line := range c.axle.against {
		add("model against practice", "%s", line)
	}
}

func (c *consideration) hypothesis(h estimate.Hypothesis) string {
	switch h.Kind {
	case estimate.Misread:
		return c.readingName(h) + " is wrong"
	case estimate.Slipped:
		return fmt.Sprintf("the %s change before assembly %d went the other way", h.Member, h.Attempt+1+c.earlier)
	case estimate.Unseated:
		return fmt.Sprintf("something did not seat in assembly %d", h.Attempt+1+c.earlier)
	}
	return "flanks that no shim brings together"
}
