package listen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// Parse understands one message. It is pure and total: any text gives an
// Utterance, and the work is bounded by MaxRunes.
func Parse(in Input) Utterance { return parse(in, 0) }

// maxDepth bounds how far corrections look back through the talk: each line
// looked at is parsed in its own talk.
const maxDepth = 2

// analysis is all that is found in one message before it is weighed.
type analysis struct {
	in      Input
	talk    []said
	expect  expectation
	clauses []clause
	tokens  []token
	cut     bool
	struck  bool
	mended  bool // the message took back something of its own

	moves    moveFinder
	patterns patternFinder
	bounds   []bound

	readings []Reading
	proposed []Reading
	asks     []Ask
	refused  []string
	cautions []string
	facts    []string
	command  *Command
}

func parse(in Input, depth int) Utterance {
	a := analysis{in: in}
	if len(in.Context) > 12 {
		a.in.Context = in.Context[len(in.Context)-12:]
	}
	var plain string
	plain, a.cut, a.struck = normalise(in.Text)
	if strings.TrimSpace(plain) == "" {
		return finish(Utterance{Kind: Ignore, Note: "nothing to read"}, a.cut)
	}
	a.talk = splitContext(a.in.Context)
	a.expect = expect(a.in, a.talk)
	raw := scan(plain)
	a.command = findCommand(strings.TrimSpace(strings.ToValidUTF8(in.Text, " ")), raw)
	a.tokens = spellOut(mend(raw))
	items := groupFigures(markFigures(tagTokens(a.tokens), in.Units == unit.Metric, in.Units == unit.InchUnits))
	if in.Units != unit.InchUnits {
		dropSeats(items)
	}
	initials(items)
	a.clauses = splitClauses(items, in.Sender)
	return finish(a.weigh(depth), a.cut)
}

// dropSeats: which side the driver sits on is only known where the shop's
// country is; without it "driver side" names no stack.
func dropSeats(items []item) {
	for i := range items {
		switch items[i].text {
		case "drivers", "driver side", "drivers side", "passenger", "passenger side", "passengers side", "pass side":
			items[i].tags = tagSet{}
		}
	}
}

// initials lets a lone L or R beside a number, a colon or "to" stand for left or
// right.
func initials(items []item) {
	for i := range items {
		it := &items[i]
		if it.kind != phraseItem || it.text != "l" && it.text != "r" {
			continue
		}
		beside := i+1 < len(items) && (items[i+1].group != nil || isSign(items, i+1, ":=") || isWord(items, i+1, "to", "side", "shim", "stack", "→")) ||
			i > 0 && (isWord(items, i-1, "to", "from", "the", "→") || items[i-1].group != nil && !it.glued)
		if beside {
			t := pLeft
			if it.text == "r" {
				t = pRight
			}
			it.tags = it.tags.with(t)
		}
	}
}

// finish makes the lists lists and says what was left unread.
func finish(u Utterance, cut bool) Utterance {
	if u.Readings == nil {
		u.Readings = []Reading{}
	}
	if u.Moves == nil {
		u.Moves = []Move{}
	}
	if cut {
		u.Note = strings.TrimPrefix(u.Note+"; only the first "+fmt.Sprint(MaxRunes)+" characters were read", "; ")
	}
	return u
}

// weigh finds everything in the message and decides what it is.
func (a *analysis) weigh(depth int) Utterance {
	all := allWords(a.clauses)
	correcting := corrects.inAny(all) || a.struck || starCorrection(a.clauses) || a.relabels() || a.contrasts()
	if correcting {
		clearShould(a.clauses)
	}
	a.find(correcting)

	var u Utterance
	u.Command = a.command
	a.cautions = findDangers(a.clauses, a.in.Sender)
	a.voice(all)
	a.resolve(correcting)
	a.facts = findFacts(a.clauses, a.in.Sender, a.cautions)
	a.compare()
	u.Pending = a.moves.pending

	// text made to steer, and figures nobody measured, log nothing
	if slices.Contains(a.cautions, DangerInjected) || slices.Contains(a.cautions, DangerFabricated) || slices.Contains(a.cautions, DangerFalseApproval) {
		u.Kind, u.Cautions = Caution, a.cautions
		u.Command = nil
		u.Note = dangerText(a.cautions)
		u.Pending = nil
		return u
	}

	if a.mended && len(a.readings) > 0 && !a.deniedAny() {
		correcting = false // what it took back was never logged
	}
	if !correcting && a.contradicts(depth) {
		correcting = true
	}
	if correcting && a.in.Sender != Customer && depth < maxDepth {
		if c, ok := a.correct(u, depth); ok {
			return c
		}
	}
	if a.command != nil && a.command.Verb == VerbUndo {
		u.Kind, u.Retract = Correction, []Retract{{Last: true}}
		u.Note = "the last entry is taken back"
		return u
	}

	a.void()
	u.Readings, u.Moves = a.readings, a.moves.done
	u.Proposed, u.Facts, u.Cautions = a.proposed, a.facts, a.cautions
	topics, asking := findQuestion(a.clauses, a.talk, len(a.readings)+len(a.moves.done)+len(a.moves.pending)+len(a.proposed)+len(a.patterns.out) > 0)
	decision := findReview(a.clauses, a.in, len(a.readings) > 0)
	if a.in.Sender == Mentor && len(a.moves.pending) > 0 && len(a.moves.done) == 0 && decision == "" && !allAsk(a.clauses) || a.in.Sender == Mentor && decision == "" && a.tellsToDo() {
		decision = DecisionRequest // a change asked for; it is done when the technician says so
	}
	breakIn := a.breakIn()

	if c, ok := a.completed(depth); ok {
		return c
	}
	if a.expect.q != none && len(a.readings) == 0 && sameAgain.in(allWords(a.clauses)) && len(a.tokens) <= 5 {
		a.asks = append(a.asks, Ask{Text: "the same as which reading?"})
	}
	if a.command != nil {
		if done, ok := a.obey(&u, decision); ok {
			return done
		}
	}
	if len(a.cautions) == 1 && a.cautions[0] == DangerShimsMixed && len(a.asks) > 0 && len(a.readings) == 0 {
		a.cautions = nil
	}
	switch {
	case decision != "":
		u.Kind, u.Decision = Review, decision
		u.Note = "review: " + decision
		if decision != DecisionRequest {
			u.Readings, u.Moves = nil, nil
			if a.in.Sender == Mentor && len(a.moves.done) > 0 {
				u.Moves = a.moves.done
			}
		}
		if len(a.moves.pending) > 0 && decision == DecisionHold {
			u.Pending = a.moves.pending
		}
	case len(a.cautions) > 0 || len(a.refused) > 0:
		u.Kind = Caution
		if len(a.refused) > 0 {
			u.Cautions = appendOnce(u.Cautions, DangerImplausible)
			u.Note = strings.Join(a.refused, "; ")
			if len(a.cautions) == 0 {
				u.Readings = a.readings
			}
		}
		u.Note = strings.TrimPrefix(u.Note+"; "+dangerText(a.cautions), "; ")
		u.Note = strings.TrimSuffix(u.Note, "; ")
		if asking {
			u.Topics = topics
		}
	case len(a.asks) > 0 && !(asking && len(a.readings)+len(a.moves.done) == 0 && questionOnly(a.clauses)):
		u.Kind, u.Ask = Clarify, &a.asks[0]
		u.Note = a.asks[0].Text
	case asking:
		u.Kind, u.Topics = Question, topics
		u.Note = "asks about " + strings.ReplaceAll(topics[0], "_", " ")
	case len(a.moves.done) > 0:
		u.Kind, u.Note = Moved, "a move was made"
	case breakIn:
		u.Kind, u.Note = BreakIn, "break-in report"
	case len(a.readings) > 0:
		u.Kind, u.Note = Read, "read"
	case a.noteworthy():
		u.Kind, u.Note = Ignore, "noted, no figure in it"
	default:
		u.Kind, u.Note = Ignore, "not for the log"
	}
	if u.Kind != Question && asking {
		u.Topics = topics
	}
	return u
}

// find runs the interpreters over the clauses.
func (a *analysis) find(correcting bool) {
	claimed := make(map[[2]int]bool)
	a.moves = moveFinder{clauses: a.clauses, sys: a.in.Units, sender: a.in.Sender, claimed: claimed}
	if a.in.Sender != Customer {
		a.moves.find()
	}
	a.patterns = patternFinder{clauses: a.clauses, expect: a.expect.sides}
	if a.in.Sender != Customer {
		a.patterns.find()
	}
	b := binder{clauses: a.clauses, claimed: claimed, expect: a.expect}
	for _, c := range a.clauses {
		for _, it := range c.items {
			b.shimTalk = b.shimTalk || it.tags.has(qShim)
			b.noise = b.noise || it.tags.has(mNoise)
			b.dragTalk = b.dragTalk || it.tags.hasAny(qDrag, qTotalDrag) || it.group != nil && it.group.unit == uInLb
		}
	}
	b.shimTalk = b.shimTalk || a.expect.q == qShim
	if n := len(a.talk); n > 0 && !b.shimTalk && (correcting || a.talk[n-1].bot() && !strings.Contains(a.talk[n-1].text, "?")) {
		b.shimTalk = strings.Contains(a.talk[n-1].text, "shim") || strings.Contains(a.talk[n-1].text, "stack")
	}
	b.breakIn = breakInWords.in(allWords(a.clauses))
	b.bind()
	a.bounds = b.out
	a.shareBehind()
}

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

// breakInWords speak of a drive.
var breakInWords = compileTrigger(`breakin | drove | drive it | driven | driving | loop | loops | leg | legs | lap | laps | heat cycle* | cooled | cool down | cooling | cooldown | miles | highway | freeway | motorway | test drive | road test | test drove | went for a drive | took it out | took it for | took her out | mph | on the road | back from | cruise | cruising | mi | run # | on coast | float | fifty mile | back roads | around the block | motorway ! drive side # | ring gear drive`)

// startsDrive reports the break-in itself.
var startsDrive = compileTrigger(`off on ~ breakin | off on the first | out on the first ~ drive | starting breakin | started breakin | starting the breakin | started the breakin | begin breakin | beginning breakin | out on breakin | heading out ~ breakin | breakin started | breakin done | breakin complete* | breakin is done | finished breakin | finished the breakin | first leg | second leg | third leg | leaving on ~ leg | off on ~ loop | heading out ~ loop | heading out on ~ leg | going out on ~ leg ! when | how | if | before | after ~ breakin | ?`)

// breakIn says whether the message reports a drive.
func (a *analysis) breakIn() bool {
	for _, r := range a.readings {
		switch r.What {
		case Distance, NoiseSpeed:
			return true
		case Duration:
			return true
		}
	}
	words := allWords(a.clauses)
	drive := breakInWords.in(words)
	if len(a.readings) == 0 && startsDrive.in(words) {
		return true
	}
	if a.expect.q != none && len(a.readings) > 0 && breakInWords.in(strings.Fields(a.expect.text)) {
		return true
	}
	for _, r := range a.readings {
		if r.What == Temperature && (drive || r.Part == "housing" || a.expect.q == qDistance || a.expect.q == qTemp && strings.Contains(a.expect.text, "drive")) && r.Part != "ring" && r.Part != "oven" {
			return true
		}
	}
	for _, f := range a.facts {
		switch f {
		case FactQuiet, FactNoise, FactNoiseDrive, FactNoiseCoast, FactNoiseFloat, FactLegDone, FactCooled, FactOilChanged:
			if drive || strings.Contains(a.expect.text, "noise") || f != FactQuiet && f != FactCooled && f != FactNoise {
				return true
			}
			if f == FactNoise && !slices.Contains(a.facts, FactWhyNoise) && len(a.readings) == 0 {
				return true
			}
		}
	}
	return false
}

// voice finds approvals by those who may not give them, and text made to steer
// the program.
func (a *analysis) voice(all []string) {
	if injected(a.in.Text) {
		a.cautions = appendOnce(a.cautions, DangerInjected)
	}
	for _, t := range injectedWords {
		if t.in(all) {
			a.cautions = appendOnce(a.cautions, DangerInjected)
		}
	}
	if a.in.Sender == Mentor {
		return
	}
	for _, s := range sentencesOf(a.clauses) {
		if s.mark == '?' || s.moods&(moodQuestion|moodIf) != 0 {
			continue
		}
		for i, t := range falseApproval {
			if i == 3 && a.in.Sender == "" {
				continue
			}
			if t.in(s.words) {
				a.cautions = appendOnce(a.cautions, DangerFalseApproval)
			}
		}
	}
}

// resolve turns bound numbers and patterns into readings, questions back and
// refusals.
func (a *analysis) resolve(correcting bool) {
	r := resolver{sys: a.in.Units}
	which := a.headWhich()
	marks := slices.ContainsFunc(a.bounds, func(b bound) bool { return b.q == qMark })
	sides := slices.ContainsFunc(a.bounds, func(b bound) bool { return b.mods.side != none })
	a.mendedSelf()
	a.labelsBehind()
	a.tries()
	jobs := a.jobsNamed()
	signUnsure := unsureSign.inAny(allWords(a.clauses))
	for i := range a.bounds {
		b := a.bounds[i]
		b.mods.which = orText(b.mods.which, which[b.clause])
		if b.q == qShim && b.mods.side == none && !b.mods.pack && !b.mods.pinion && !sides && a.pinionSpoken(b) {
			b.mods.pinion = true
		}
		if b.q == qShim && marks && !sides && b.mods.side == none && !b.mods.pack {
			b.mods.pinion = true // markings are of the pinion, and so is the shim told with them
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
		if !a.driven(b) {
			continue
		}
		if jobs > 1 && b.q != none {
			a.asks = append(a.asks, Ask{Text: "which job is this for?"})
			continue
		}
		out := r.resolve(b)
		if b.q == qShim && out.ask != nil && a.sumOfSides(b) {
			out.ask = nil
		}
		if b.q == none && !correcting {
			if ask, ok := a.bareRow(b); ok {
				out.ask = &ask
			}
		}
		a.proposed = append(a.proposed, out.proposed...)
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
	for _, c := range a.patterns.out {
		rd := Reading{What: c.side, Length: c.length, Profile: c.profile, Degree: c.degree, Which: orText(a.patternWhich(c.clause), which[c.clause]), Text: c.text}
		a.readings = append(a.readings, rd)
		if c.degree == "edge" {
			a.cautions = appendOnce(a.cautions, DangerPatternEdge)
		}
	}
	if len(a.patterns.unsided) > 0 && len(a.patterns.out) == 0 {
		c := a.patterns.unsided[0]
		a.asks = append(a.asks, Ask{Text: "drive side, coast side or both?", Choices: []string{"drive " + c.text, "coast " + c.text, "both sides " + c.text}})
		if c.degree == "edge" {
			a.cautions = appendOnce(a.cautions, DangerPatternEdge)
		}
	}
	if a.patterns.moved && len(a.patterns.out) == 0 {
		a.asks = append(a.asks, Ask{Text: "where does the pattern sit now?", Choices: []string{"drive centered", "drive toe", "drive heel"}})
	}
	for _, q := range a.moves.asks {
		a.asks = append(a.asks, Ask{Text: q})
	}
	for _, m := range a.moves.pending {
		if a.in.Sender == Mentor || a.in.Sender == Customer {
			continue
		}
		if a.openOrder(m) {
			a.asks = append(a.asks, Ask{Text: "done, or still to do?", Choices: []string{"I " + pastOf(m.Text)}})
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

func pastOf(text string) string {
	for base, past := range map[string]string{"pull": "pulled", "take": "took", "move": "moved", "add": "added", "shift": "shifted", "swap": "swapped"} {
		if strings.HasPrefix(text, base+" ") {
			return past + text[len(base):]
		}
	}
	return text
}

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
			if k != i && o.q == none && o.moods == 0 && c.sentence == a.clauses[b.clause].sentence && compatible(b.q, o.g) && nthTry.inAny(c.words) {
				b.g = &group{values: b.g.values, positions: b.g.positions, unit: b.g.unit, text: b.g.text, mixed: true}
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
		if strange > 0 {
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

// driven: a distance, a time or a speed is a reading only of a drive.
func (a *analysis) driven(b bound) bool {
	words := allWords(a.clauses)
	switch b.q {
	case qDistance:
		if b.asked || a.expect.q == qDistance {
			return true
		}
		if onIt.inAny(a.clauses[b.clause].words) && !a.noisy() {
			return false
		}
		return breakInWords.in(words) && distanceDone.inAny(words) && !schedule.inAny(a.clauses[b.clause].words)
	case qDuration:
		if b.asked {
			return true
		}
		return (durationDone.inAny(a.clauses[b.clause].words) || b.withDistance(a.clauses)) && !schedule.inAny(a.clauses[b.clause].words)
	case qNoise:
		for _, c := range a.clauses {
			if hasTag(c.items, mNoise) {
				return true
			}
		}
		return b.asked
	case qTemp:
		return !weather.in(words) || a.expect.q == qTemp
	}
	return true
}

// withDistance: "16 km in 18 min".
func (b bound) withDistance(clauses []clause) bool {
	for _, it := range clauses[b.clause].items {
		if it.group != nil && it.group.unit.dim() == dimDistance {
			return true
		}
	}
	return false
}

// onIt: "40 miles on it" tells the age of the work, and is a report only beside
// what was heard or felt.
var onIt = compileTrigger(`# miles on it | # miles on her | # miles on this | # miles on the diff | got # miles on`)

func (a *analysis) noisy() bool {
	for _, c := range a.clauses {
		for _, it := range c.items {
			if it.tags.has(mNoise) || it.group != nil && it.group.unit.dim() == dimTemp {
				return true
			}
		}
	}
	return false
}

var (
	distanceDone = compileTrigger(`did | done | drove | driven | drive | ran | run | after | in | on | so far | breakin | loop | leg | lap | first | second | third | back | just | went | took | completed | finished | at | now | round trip | cruise | highway | freeway | motorway | logged | put | covered | clocked | into | miles and | odo | quiet | cool* | temp | deg | hot | warm | noise | whine | howl* | hum* | peep | silent | easy | gentl* | sound | smooth`)
	durationDone = compileTrigger(`cool* | left it | left for | parked it | cooled | sat | rest* | drove | drive | run | ran | loop | leg | soak* | in the oven | heated | baked | let it | waited | ran it | driving | minutes at | drive for | sitting | parked | off for | breakin | spun | lap`)
	schedule     = compileTrigger(`oil change at | change ~ at # | due at | due in | at # miles change | every # | until # | before # miles | for the first # | during the first # | in the first # | next # | # miles left | # miles to go | # minutes left | # minutes to go | # more | be back in | back in # | see you in | give me # | ready in # minutes | there in # | done in # minutes | need # | ready in | lunch | break | # minutes late | # away | # miles away | no towing | recheck at # | come back at # | service at # | retorque at # | change it at # | another # | minutes ago | # ago | wait # | takes # | take # | gimme # | be there in | drain it at # | bring it back | check again in | warranty | hours left | has # miles on the | clock ~ # | # k on the clock | # on the clock | from here | there in # | got # minutes | charge | book says | flat rate | hours labor | # hours | labour`)
	weather      = compileTrigger(`outside | weather | in the shop | shop is | ambient | in here | forecast | today its | air con | sun`)
)

// bareRow asks about numbers that stand alone and look like readings.
func (a *analysis) bareRow(b bound) (Ask, bool) {
	if v := b.g.values[0]; v.sign != 0 && !v.point && len(b.g.values) == 1 && (a.shop() || slices.Contains(a.facts, FactGearSetUsed) || markTalk.inAny(allWords(a.clauses))) && b.moods&(moodQuestion|moodPlan|moodOther|moodIf) == 0 {
		return Ask{Text: "is " + b.g.text + " the pinion marking?", Choices: []string{"pinion mark " + b.g.text}}, true
	}
	const blocked = moodQuestion | moodIf | moodPlan | moodOther | moodSpec | moodTarget | moodNot | moodShould | moodOrder
	if b.moods&blocked != 0 || b.g.unit != noUnit {
		return Ask{}, false
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
	if strange > 0 && !(n >= 3 && strange <= 2) && !(b.g.positions[0] != "" && strange <= 2) {
		return Ask{}, false
	}
	t := b.g.text
	if n == 1 && len(a.talk) > 0 && !a.talk[len(a.talk)-1].bot() && !b.g.values[0].small() {
		return Ask{}, false // an answer to someone else
	}
	return Ask{Text: "what measures " + t + "?", Choices: []string{"backlash " + t, "pinion drag " + t, "runout " + t}}, true
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
		case Backlash, RingRunout, ToothCount, NoiseSpeed:
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

// contradicts: the bot has just said the value under another name ("250 is the
// right, left is 247").
func (a *analysis) contradicts(depth int) bool {
	if len(a.readings) < 2 || depth > 0 || len(a.talk) == 0 || !a.talk[len(a.talk)-1].bot() || strings.Contains(a.talk[len(a.talk)-1].text, "?") {
		return false
	}
	h := corrector{in: a.in, talk: a.talk[len(a.talk)-1:], depth: depth}.history()
	if len(h) == 0 {
		return false
	}
	for _, old := range h[0].readings {
		for _, rd := range a.readings {
			if old.Value != nil && rd.Value != nil && *old.Value == *rd.Value && old.Unit == rd.Unit && otherName(old.What) == rd.What {
				return true
			}
		}
	}
	return false
}

// deniedAny: a number is denied in so many words.
func (a *analysis) deniedAny() bool {
	return slices.ContainsFunc(a.bounds, func(b bound) bool { return b.moods&moodNot != 0 })
}

// void drops readings that a danger makes worthless.
func (a *analysis) void() {
	drop := func(whats ...What) {
		a.readings = slices.DeleteFunc(a.readings, func(r Reading) bool { return slices.Contains(whats, r.What) })
	}
	for _, id := range a.cautions {
		switch id {
		case DangerNutBackedOff:
			drop(PinionDrag, TotalDrag, BreakawayTorque)
		case DangerCapsLoose:
			drop(Backlash, BacklashSpread, TotalDrag, PatternDrive, PatternCoast)
		}
	}
}

// compare raises the cautions that need two readings side by side.
func (a *analysis) compare() {
	var pinion, carrier *Reading
	for i := range a.readings {
		r := &a.readings[i]
		if r.What == Temperature && r.Value != nil {
			switch r.Part {
			case "pinion", "head", "tail":
				pinion = r
			case "carrier", "housing", "cover", "caps":
				carrier = r
			}
		}
		if r.What == MatchNumber && len(r.Values) == 2 && r.Values[0] != r.Values[1] {
			a.cautions = appendOnce(a.cautions, DangerMismatch)
			a.facts = appendOnce(a.facts, FactNumbersDiffer)
		}
	}
	if pinion != nil && carrier != nil && pinion.Unit == carrier.Unit {
		limit := 30.0
		if pinion.Unit == "degC" {
			limit = 17
		}
		if *pinion.Value-*carrier.Value > limit {
			a.cautions = appendOnce(a.cautions, DangerPinionHot)
		}
	}
	var depth, side float64
	for _, m := range a.moves.done {
		amount := 0.0
		if m.AmountIn != nil {
			amount = *m.AmountIn * 25.4
		} else if m.AmountMM != nil {
			amount = *m.AmountMM
		}
		if m.From == "pinion" || m.To == "pinion" {
			depth += amount
		} else {
			side += amount
		}
	}
	if depth >= 0.2 && side >= 0.2 && len(a.moves.done) == 2 {
		a.cautions = appendOnce(a.cautions, DangerBothAtOnce)
	}
}

func dangerText(ids []string) string {
	var parts []string
	for _, id := range ids {
		for _, e := range dangerTable {
			if e.ID == id {
				parts = append(parts, e.Text)
			}
		}
	}
	return strings.Join(parts, "; ")
}

// shop says whether the message has any word of the trade.
func (a *analysis) shop() bool {
	for _, c := range a.clauses {
		for _, it := range c.items {
			for _, t := range shopTalk {
				if it.tags.has(t) {
					return true
				}
			}
		}
	}
	return false
}

// noteworthy: something was stated that the log keeps without a figure.
func (a *analysis) noteworthy() bool {
	for _, f := range a.facts {
		switch f {
		case FactPhoto, FactQuiet, FactNoise, FactCooled, FactOilFilled, FactCoverOn, FactAxlesIn:
			if a.shop() && f != FactPhoto {
				return true
			}
		default:
			return true
		}
	}
	return false
}

// tellsToDo: a mentor's order that is no judgement: "ring off and check runout".
func (a *analysis) tellsToDo() bool {
	return a.shop() && mentorOrders.in(allWords(a.clauses))
}

var mentorOrders = compileTrigger(`check | recheck | re check | measure | send me | send the | show me | post a | post the | post both | get me | give me ~ lash | give me ~ readings | paint | roll it | pull it | pull the | take the ring | ring off | spread it | add | swap | put a dial | dial it | spin it | clean it | stone it | torque the | mark the | photo of | need ~ photo | need ~ pic | need ~ picture | want ~ photo | want ~ pic | want to see | need to see ! you did | you checked | did you | have you | what | ? | if you`)

// allAsk: every clause asks.
func allAsk(clauses []clause) bool {
	for _, c := range clauses {
		if c.moods&moodQuestion == 0 {
			return false
		}
	}
	return true
}

// questionOnly: every clause asks, so what a number is is the asker's business.
func questionOnly(clauses []clause) bool {
	for _, c := range clauses {
		if c.moods&moodQuestion == 0 {
			return false
		}
	}
	return true
}

// obey makes an utterance of an order to the assistant. ok is false where the
// word stands for something else here: "pass" of a mentor, "done" with readings.
func (a *analysis) obey(u *Utterance, decision string) (Utterance, bool) {
	v := a.command.Verb
	switch v {
	case VerbStatus, VerbJobs, VerbSheets, VerbLog, VerbSummary, VerbHelp, VerbGlossary, VerbWhy, VerbNext:
		u.Kind, u.Note = Question, "asks for "+string(v)
		u.Topics = map[Verb][]string{VerbStatus: {TopicStatus}, VerbLog: {TopicHistory}, VerbSummary: {TopicStatus}, VerbGlossary: {TopicGlossary}, VerbWhy: {TopicWhy}, VerbNext: {TopicNext}}[v]
		if u.Topics == nil {
			u.Topics = []string{TopicOther}
		}
		return *u, true
	case VerbYes, VerbNo:
		if strings.TrimSpace(strings.ToLower(a.in.Text)) == "right" && strings.Contains(a.expect.text, "left") {
			u.Kind, u.Note, u.Command = Clarify, "which side of what?", nil
			return *u, true
		}
		if decision != "" || a.in.Sender == Mentor && !a.expect.yesNo {
			return *u, false
		}
		u.Kind, u.Note = Ignore, string(v)
		return *u, true
	case VerbSkip:
		if a.in.Sender == Mentor && decision != "" {
			return *u, false
		}
		if slices.Contains(a.cautions, DangerNoPattern) {
			return *u, false
		}
		u.Kind, u.Note, u.Readings, u.Moves, u.Cautions = Ignore, "skip", nil, nil, nil
		return *u, true
	case VerbUnits:
		if a.command.Rest == "" {
			u.Kind, u.Topics, u.Note = Question, []string{TopicOther}, "asks for units"
			return *u, true
		}
		u.Kind, u.Note = Ignore, "units"
		return *u, true
	case VerbDone, VerbClose, VerbReopen, VerbOverride, VerbOpen, VerbSwitch:
		u.Kind, u.Note, u.Readings, u.Moves, u.Cautions = Ignore, string(v), nil, nil, nil
		return *u, true
	}
	return *u, false
}
