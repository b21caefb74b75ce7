package listen

import (
	"math"
	"slices"
	"strings"
)

// shareBehind: "0.19 at the tight spot and 0.23 at the loose one for backlash":
// the quantity behind the last number is that of the row.
func (a *analysis) shareBehind() {
	for i := len(a.bounds) - 1; i > 0; i-- {
		b, before := a.bounds[i], &a.bounds[i-1]
		if !b.behind || before.q != none || a.clauses[before.clause].sentence != a.clauses[b.clause].sentence || !compatible(b.q, before.g) || before.g.unit != b.g.unit {
			continue
		}
		before.q, before.mods, before.behind = b.q, merge(before.mods, b.mods), true
	}
}

// resolve turns bound numbers and patterns into readings, questions back and
// refusals.
func (a *analysis) resolve(correcting bool) {
	r := resolver{sys: a.in.Units}
	which := a.headWhich()
	marks := slices.ContainsFunc(a.bounds, func(b bound) bool { return b.q == qMark })
	sides := slices.ContainsFunc(a.bounds, func(b bound) bool { return b.mods.side != none })
	for i := range a.bounds {
		if b := &a.bounds[i]; b.q == qSpread && len(b.g.values) > 1 {
			b.q = qBacklash // "lash varies 8 to 10"
		}
	}
	a.lendQuantity()
	a.mendedSelf()
	a.labelsBehind()
	a.tries()
	a.rivals()
	jobs := a.jobsNamed()
	signUnsure := unsureSign.inAny(allWords(a.clauses))
	for i := range a.bounds {
		b := a.bounds[i]
		b.mods.which = orText(b.mods.which, which[b.clause])
		if b.q == qShim && b.mods.side == none && !b.mods.pack && !b.mods.pinion && !sides && a.pinionSpoken(b) {
			b.mods.pinion = true
		}
		if b.q == qShim && a.expect.q == qShim && b.mods.side == none && !b.mods.pack && !b.mods.pinion && !sides {
			// the stack that was asked for: "old shim 30"
			b.mods.pinion, b.mods.side, b.mods.pack = a.expect.mods.pinion, a.expect.mods.side, a.expect.mods.pack
		}
		if b.q == qShim && marks && !sides && b.mods.side == none && !b.mods.pack {
			b.mods.pinion = true // markings are of the pinion, and so is the shim told with them
		}
		if b.q == qShim && b.mods.side == none && !b.mods.pack && !b.mods.total && a.besideBothSides(b) {
			b.mods.pinion = true // "old shim 31, left 248 right 251": the third stack
		}
		if b.was && a.newer(i) {
			b.mods.which = orText(b.mods.which, "old")
		}
		if w := skipFillers(a.clauses[b.clause].words); a.in.Sender != Mentor && len(w) > 1 && w[0] == "set" && w[1] != "is" && w[1] != "of" && w[1] != "#" {
			b.set = true
		}
		b.signUnsure = signUnsure && b.g.values[0].sign == 0
		if a.in.Sender == Mentor && !b.asked && a.mentorQuotes(b) {
			continue
		}
		if a.in.Sender == Customer && !customerMayReport(b.q) {
			continue
		}
		if b.q == qDrag && len(b.g.values) == 2 && b.g.values[0].val == 1 && strings.Contains(b.g.text, "/") {
			continue // "another 1/24 and it's 1.8 Nm": a step of the nut is no drag
		}
		if !a.driven(b) || b.q == qTemp && b.mods.part == "oven" && hasAnyText(a.clauses[b.clause].items, "set") {
			continue
		}
		if jobs > 1 && b.q != none {
			a.asks = append(a.asks, Ask{Key: "ask.which_job"})
			continue
		}
		out := r.resolve(b)
		if b.q == none && out.ask == nil && !correcting && b.mods.side != none && a.bothSides() {
			out.ask = &Ask{Key: "ask.that_side", With: []any{"n", b.g.text}, Choices: nil}
		}
		if b.q == qShim && out.ask != nil && a.sumOfSides(b) {
			out.ask = nil
		}
		if b.q == none && !correcting {
			if ask, ok := a.bareRow(b); ok {
				out.ask = &ask
			}
		}
		if b.q == none && out.ask != nil && a.restatesSum(b) {
			continue // "2.10 total (1.50+0.50+0.10)"
		}
		a.proposed = append(a.proposed, out.proposed...)
		a.wanted = append(a.wanted, out.wanted...)
		for _, rd := range out.readings {
			a.readings = addReading(a.readings, rd)
		}
		for _, w := range out.warn {
			a.cautions = appendOnce(a.cautions, w)
		}
		if out.ask != nil {
			a.asks = append(a.asks, *out.ask)
		}
		if out.refuse != "" {
			a.refused = append(a.refused, out.refuse)
		}
	}
	for _, s := range a.moves.stacks {
		if s.ordered {
			continue
		}
		rd, bad := r.read(bound{q: qShim, g: s.amount, clause: s.clause, mods: mods{pinion: true}}, ShimPinion, s.amount)
		if bad == nil {
			a.readings = addReading(a.readings, rd)
		}
	}
	for _, c := range a.patterns.out {
		if a.unsurePattern(c.clause) {
			a.asks = append(a.asks, Ask{Key: "ask.sure", With: []any{"what", c.side}, Choices: []string{strings.TrimPrefix(string(c.side), "pattern_") + " " + c.text}})
			continue
		}
		rd := Reading{What: c.side, Length: c.length, Profile: c.profile, Degree: c.degree, Which: orText(a.patternWhich(c.clause), which[c.clause]), Text: c.text}
		a.readings = append(a.readings, rd)
		if c.degree == "edge" {
			a.cautions = appendOnce(a.cautions, DangerPatternEdge)
		}
	}
	if len(a.patterns.unsided) > 0 && len(a.patterns.out) == 0 {
		c := a.patterns.unsided[0]
		a.asks = append(a.asks, Ask{Key: "ask.which_sides", Choices: []string{"drive " + c.text, "coast " + c.text, "both sides " + c.text}})
		if c.degree == "edge" {
			a.cautions = appendOnce(a.cautions, DangerPatternEdge)
		}
	}
	if a.patterns.moved && len(a.patterns.out) == 0 {
		a.asks = append(a.asks, Ask{Key: "ask.pattern_now", Choices: []string{"drive centered", "drive toe", "drive heel"}})
	}
	a.asks = append(a.asks, a.moves.asks...)
	for _, m := range a.moves.pending {
		if a.in.Sender == Mentor || a.in.Sender == Customer {
			continue
		}
		if a.openOrder(m) && !underWay.in(strings.Fields(m.Text)) {
			a.asks = append(a.asks, Ask{Key: "ask.done_or_to_do", Choices: []string{"I " + pastOf(m.Text)}})
		}
	}
}

// openOrder: the tech's bare "pull 5 from the right" may be done or to do.
func (a *analysis) openOrder(m Move) bool {
	for _, c := range a.clauses {
		if c.text() == m.Text {
			return c.moods&notDone == 0 && c.mark != '?'
		}
	}
	return false
}

// underWay: "moving 5 right to left now" will be told when it is done.
var underWay = compileTrigger(`moving | pulling | taking | adding | putting | shifting | swapping | winding | tightening | loosening`)

func pastOf(text string) string {
	words := skipFillers(strings.Fields(text))
	if len(words) > 1 && (words[0] == "i" || words[0] == "we") {
		words = words[1:] // "so i add 3"
	}
	text = strings.Join(words, " ")
	for base, past := range map[string]string{"pull": "pulled", "take": "took", "move": "moved", "add": "added", "shift": "shifted", "swap": "swapped"} {
		if strings.HasPrefix(text, base+" ") {
			return past + text[len(base):]
		}
	}
	return text
}

// unsurePattern: "heel? hard to tell".
func (a *analysis) unsurePattern(ci int) bool {
	c := a.clauses[ci]
	if c.mark == '?' && len(c.items) <= 2 {
		return true
	}
	for i := ci; i < len(a.clauses) && i <= ci+1; i++ {
		if unsureLook.in(a.clauses[i].words) {
			return true
		}
	}
	return false
}

var unsureLook = compileTrigger(`hard to tell | cant tell | cant really tell | not sure | hard to see | cant see it | hard to read | not certain | no idea | could be wrong | i guess | maybe ? ! what | which | not sure what | not sure which | not sure why`)

// patternWhich gives old, new, setup, final or before_teardown for a pattern.
func (a *analysis) patternWhich(ci int) string {
	b := binder{clauses: a.clauses}
	c := &a.clauses[ci]
	var m mods
	for i := range c.items {
		b.modsOf(c, i, &m)
	}
	if m.which == "" && a.expect.mods.which == "before_teardown" {
		return "before_teardown"
	}
	if m.which == "old" && !hasAnyText(c.items, "old", "original") {
		return ""
	}
	return orText(m.which, a.expect.mods.which)
}

var markTalk = compileTrigger(`gears | gear | head | stamped | etched | says | said | marked`)

var sameAgain = compileTrigger(`same | ditto | same again | same as before | as before | same as last`)

var toGo = compileTrigger(`to go | down # | # down | be there in # | back in # | there in # | be in #`)

var unsureSign = compileTrigger(`plus or minus | + or - | minus or plus | cant read the sign | not sure ~ sign | no sign | sign is gone | sign is worn | over the sign | cant make out the sign | cant tell ~ sign | cant see ~ sign`)

// mendedSelf drops what the message itself takes back: "8... no wait 9".
func (a *analysis) mendedSelf() {
	for i := 0; i+1 < len(a.bounds); i++ {
		b, o := a.bounds[i], a.bounds[i+1]
		if o.q != none && o.q != b.q || b.clause == o.clause && b.item+1 == o.item {
			continue
		}
		if wordsBetween(a.clauses, b, o, selfMend) {
			if o.q == none {
				a.bounds[i+1].q, a.bounds[i+1].mods, a.bounds[i+1].asked = b.q, merge(o.mods, b.mods), b.asked
			}
			a.bounds = slices.Delete(a.bounds, i, i+1)
			i--
			a.mended = true
		}
	}
}

var selfMend = compileTrigger(`no wait | wait no | wait | no sorry | sorry | i mean | make that | no make it | scratch that | actually | hang on | oops | correction | err | no its | nope`)

// wordsBetween says whether the trigger stands between two numbers.
func wordsBetween(clauses []clause, b, o bound, t trigger) bool {
	var words []string
	for ci := b.clause; ci <= o.clause; ci++ {
		c := clauses[ci]
		for k, w := range c.words {
			if ci == b.clause && c.wordItem[k] <= b.item || ci == o.clause && c.wordItem[k] >= o.item {
				continue
			}
			words = append(words, w)
		}
	}
	return len(words) <= 6 && t.inAny(words)
}

// tries: "first try 13, second try 10, third try 8": which one holds is asked.
func (a *analysis) tries() {
	for i := range a.bounds {
		b := &a.bounds[i]
		if b.q == none || b.moods != 0 {
			continue
		}
		for k := range a.bounds {
			o := &a.bounds[k]
			c := a.clauses[o.clause]
			if k > i && o.q == none && (b.q == qChecking || b.q == qDepth) && len(o.g.values) == 1 && len(b.g.values) == 1 && math.Abs(o.g.values[0].val-b.g.values[0].val) < 0.02*b.g.values[0].val {
				o.q, o.mods = b.q, merge(o.mods, b.mods) // measured twice
				continue
			}
			if k != i && o.q == none && o.moods == 0 && c.sentence == a.clauses[b.clause].sentence && compatible(b.q, o.g) && nthTry.inAny(c.words) {
				b.g = &group{values: b.g.values, positions: b.g.positions, unit: b.g.unit, text: b.g.text, mixed: true}
			}
		}
	}
}

// rivals: "eight by the new dial, nine by the old one": a second number of the
// same size that nothing explains makes the first unsure.
func (a *analysis) rivals() {
	for _, c := range a.clauses {
		if _, _, ok := find(thisJob, c.words); ok {
			return // "this one's lash is 8": the other number is of another
		}
	}
	for i := range a.bounds {
		b := &a.bounds[i]
		if b.q != qBacklash && b.q != qRunout && b.q != qDrag || b.moods != 0 || len(b.g.values) != 1 {
			continue
		}
		for k := range a.bounds {
			o := a.bounds[k]
			if k == i || o.q != none || o.moods != 0 || a.deniedBefore(o) || len(o.g.values) != 1 || a.clauses[o.clause].sentence != a.clauses[b.clause].sentence || !compatible(b.q, o.g) || o.g.values[0].point != b.g.values[0].point || o.g.values[0].sign != 0 {
				continue
			}
			if w := o.mods.which; w != "" && w != b.mods.which && b.mods.which == "before_teardown" {
				a.bounds[k].q = b.q // "came apart with 13 lash, new gears show 9"
				continue
			}
			x, y := o.g.values[0].val, b.g.values[0].val
			if x > 0 && y > 0 && x != y && x < 4*y && y < 4*x {
				b.g = &group{values: b.g.values, positions: b.g.positions, unit: b.g.unit, text: b.g.text + " or " + o.g.text, inexact: true}
			}
		}
	}
}

var nthTry = compileTrigger(`try | second | third | attempt | next time | round two | second time | third time | go | pass`)

// pinionSpoken: the sentence is about the pinion, and so is its shim.
func (a *analysis) pinionSpoken(b bound) bool {
	for _, c := range a.clauses {
		if c.sentence == a.clauses[b.clause].sentence && hasTag(c.items, pPinion) && !hasTag(c.items, pCarrier) {
			return true
		}
	}
	return false
}

// restatesSum: numbers that add up to one just told.
func (a *analysis) restatesSum(b bound) bool {
	sum := 0.0
	for _, v := range b.g.values {
		sum += v.val
	}
	return len(b.g.values) > 1 && slices.ContainsFunc(a.bounds, func(o bound) bool {
		return o.q != none && len(o.g.values) == 1 && math.Abs(o.g.values[0].val-sum) < 1e-6*math.Max(1, sum)
	})
}

// bothSides: "left 2.1 right 2.4", and nothing says of what.
func (a *analysis) bothSides() bool {
	l, r := false, false
	for _, b := range a.bounds {
		l = l || b.q == none && b.moods == 0 && b.mods.side == pLeft
		r = r || b.q == none && b.moods == 0 && b.mods.side == pRight
	}
	return l && r
}

// lendQuantity gives a target, or a figure asked about, that names no quantity
// the one spoken of: "lash 14, want 8".
func (a *analysis) lendQuantity() {
	for i := range a.bounds {
		b := &a.bounds[i]
		if b.q != none || b.moods&(moodTarget|moodSpec|moodQuestion|moodIf) == 0 || b.moods&(moodOther|moodNot) != 0 {
			continue
		}
		for k := len(a.bounds) - 1; k >= 0; k-- {
			if o := a.bounds[k]; k != i && o.q != none && o.moods == 0 && compatible(o.q, b.g) {
				b.q, b.mods = o.q, withoutWhich(o.mods)
			}
		}
		if b.q == none && a.expect.q != none && compatible(a.expect.q, b.g) {
			b.q, b.mods = a.expect.q, merge(b.mods, a.expect.mods)
		}
	}
}

// sumOfSides: "shims total 497, left 250 right 247": the total says nothing new.
func (a *analysis) sumOfSides(b bound) bool {
	if b.mods.side != none {
		return false
	}
	sum := 0.0
	for _, o := range a.bounds {
		if o.q == qShim && (o.mods.side == pLeft || o.mods.side == pRight) && len(o.g.values) == 1 {
			sum += o.g.values[0].val
		}
	}
	return sum > 0 && len(b.g.values) == 1 && math.Abs(sum-b.g.values[0].val) < 1e-6*sum+1e-9
}

// labelsBehind reads a clause that names what was just said: "2 thou going
// round, thats the lash spread", "6 thou of end play, thats before teardown".
func (a *analysis) labelsBehind() {
	bb := binder{clauses: a.clauses, expect: a.expect}
	for ci := 1; ci < len(a.clauses); ci++ {
		c := &a.clauses[ci]
		if hasFigureGroup(*c) || c.moods&moodQuestion != 0 {
			continue
		}
		switch c.words[0] {
		case "that", "thats", "which", "this", "those", "for", "its", "it", "as", "before", "all", "and":
		case "teeth":
		default:
			if len(c.items) > 2 || quantityOf(c.items[len(c.items)-1]) == none {
				continue
			}
		}
		var m mods
		q := none
		strange := 0
		for i, it := range c.items {
			if t := bb.frameTag(c, i); t != none {
				q = t
			}
			bb.modsOf(c, i, &m)
			if it.tags.empty() && it.kind == phraseItem {
				strange++
			}
		}
		if strange > 0 && c.words[0] != "teeth" {
			continue
		}
		for i := len(a.bounds) - 1; i >= 0; i-- {
			b := &a.bounds[i]
			if b.clause >= ci || a.clauses[b.clause].sentence != c.sentence {
				continue
			}
			if q != none && b.q == none && compatible(q, b.g) {
				b.q, b.mods = q, merge(b.mods, m)
			}
			if q == none && m.which != "" {
				b.mods.which = orText(b.mods.which, m.which)
			}
		}
	}
}

// jobsNamed counts the different jobs that figures are told of: "bay 2 lash is 8,
// bay 5 lash is 10".
func (a *analysis) jobsNamed() int {
	seen := make(map[string]bool)
	for _, c := range a.clauses {
		if !hasFigureGroup(c) && !hasQuantity(c) {
			continue
		}
		for i := 1; i < len(c.items); i++ {
			if c.items[i].skip == skipLabel && isWord(c.items, i-1, "bay", "job", "lift", "ro", "hoist", "truck", "stall", "wo", "ticket") {
				seen[c.items[i-1].text+c.items[i].text] = true
			}
		}
	}
	return len(seen)
}

// headWhich carries "as found" from where it is said to the rest of its
// sentence, up to what stands for now.
func (a *analysis) headWhich() []string {
	out := make([]string, len(a.clauses))
	for i := 1; i < len(a.clauses); i++ {
		before := out[i-1]
		head := a.clauses[i-1].mark == ':' || len(a.clauses[i-1].items) > 0 && a.clauses[i-1].items[len(a.clauses[i-1].items)-1].text == ":"
		for _, it := range a.clauses[i-1].items {
			switch {
			case it.tags.has(wBefore):
				before = "before_teardown"
			case head && !hasFigureGroup(a.clauses[i-1]) && it.tags.has(wFinal):
				before = "final"
			case head && !hasFigureGroup(a.clauses[i-1]) && it.tags.has(wSetup):
				before = "setup"
			}
		}
		c := a.clauses[i]
		if before == "" || c.sentence != a.clauses[i-1].sentence {
			continue
		}
		if !hasTag(c.items, mNow) && !hasTag(c.items, wNew) && !hasTag(c.items, wSetup) && (!hasTag(c.items, wFinal) || before == "final") && !hasAnyText(c.items, "got", "then", "after") {
			out[i] = before
		}
	}
	return out
}

// newer says whether another number of the same quantity stands for now.
func (a *analysis) newer(i int) bool {
	for k := range a.bounds {
		if k != i && a.bounds[k].q == a.bounds[i].q && !a.bounds[k].was {
			return true
		}
	}
	return false
}

// mentorQuotes: a mentor elsewhere repeats, judges or orders; only what is
// plainly a reading of their own counts.
func (a *analysis) mentorQuotes(b bound) bool {
	c := a.clauses[b.clause]
	words := skipFillers(c.words)
	if len(words) == 0 {
		return true
	}
	for _, w := range c.words {
		switch w {
		case "you", "your", "youre", "u", "yours", "good", "fine", "ok", "tight", "loose", "too", "great", "bit", "little", "high", "low", "still", "should", "aint", "okay", "is":
			return w != "is"
		}
	}
	return false
}

func customerMayReport(q tag) bool {
	switch q {
	case qDistance, qNoise, qTemp, qDuration:
		return true
	}
	return false
}

// bareRow asks about numbers that stand alone and look like readings.
func (a *analysis) bareRow(b bound) (Ask, bool) {
	if v := b.g.values[0]; v.sign != 0 && !v.point && len(b.g.values) == 1 && (a.shop() || slices.Contains(a.facts, FactGearSetUsed) || markTalk.inAny(allWords(a.clauses))) && b.moods&(moodQuestion|moodPlan|moodOther|moodIf) == 0 {
		return Ask{Key: "ask.the_mark", With: []any{"n", b.g.text}, Choices: []string{"pinion mark " + b.g.text}}, true
	}
	const blocked = moodQuestion | moodIf | moodPlan | moodOther | moodSpec | moodTarget | moodNot | moodShould | moodOrder
	if b.moods&blocked != 0 || b.g.unit != noUnit {
		return Ask{}, false
	}
	if c := a.clauses[b.clause]; len(b.g.values) == 1 && b.g.values[0].small() && b.item > 0 && isWord(c.items, b.item-1, "got", "getting", "get", "reads") && a.shop() {
		return Ask{Key: "ask.measures", With: []any{"n", b.g.text}, Choices: []string{"backlash " + b.g.text, "runout " + b.g.text}}, true // "got 0,24 and coast at the heel"
	}
	strange := 0
	for _, c := range a.clauses {
		for _, it := range c.items {
			switch {
			case it.kind == signItem, it.kind == figureItem && it.group != nil, it.tags.has(light), it.tags.hasAny(mAll, mNow, mMeasure, mApprox):
			default:
				strange++
			}
		}
	}
	n := len(b.g.values)
	if toGo.in(allWords(a.clauses)) {
		return Ask{}, false
	}
	if b.g.inexact && strange <= 3 && n == 2 && !a.shop() && len(a.bounds) == 1 {
		return Ask{Key: "ask.measures_two", With: []any{"n", b.g.text}}, true
	}
	if strange > 0 && !(n >= 3 && strange <= 2) && !(b.g.positions[0] != "" && strange <= 2) {
		return Ask{}, false
	}
	t := b.g.text
	if n == 1 && len(a.talk) > 0 && !a.talk[len(a.talk)-1].bot() && !b.g.values[0].small() {
		return Ask{}, false // an answer to someone else
	}
	return Ask{Key: "ask.measures", With: []any{"n", t}, Choices: []string{"backlash " + t, "pinion drag " + t, "runout " + t}}, true
}

// addReading joins readings of one kind that were said in pieces: "lash 8 at 12,
// 9 at 3", "ring 41, pinion 11".
func addReading(list []Reading, rd Reading) []Reading {
	for i := range list {
		o := &list[i]
		if o.What == rd.What && o.Unit == rd.Unit && o.Which == rd.Which && rd.Value != nil && o.Value != nil && *rd.Value == *o.Value && len(rd.Positions) == 0 && len(o.Positions) == 0 && (rd.What == Backlash || rd.What == MatchNumber) {
			return list // said twice
		}
		if o.What != rd.What || o.Unit != rd.Unit || o.Which != rd.Which || o.Length != "" {
			continue
		}
		switch rd.What {
		case Backlash, RingRunout, ToothCount, NoiseSpeed, CheckingDistance, PinionDepth:
		case MatchNumber:
		default:
			continue
		}
		if rd.What == NoiseSpeed && o.Load != rd.Load {
			continue
		}
		n, m := len(o.Numbers()), len(rd.Numbers())
		pos := slices.Clone(o.Positions)
		if len(pos) > 0 || len(rd.Positions) > 0 {
			for len(pos) < n {
				pos = append(pos, "")
			}
			extra := rd.Positions
			if len(extra) == 0 {
				extra = make([]string, m)
			}
			pos = append(pos, extra...)
		}
		o.Values = append(slices.Clone(o.Numbers()), rd.Numbers()...)
		o.Value, o.Positions = nil, pos
		o.Part = ""
		o.Text += ", " + rd.Text
		return list
	}
	return append(list, rd)
}
