package listen

import (
	"fmt"
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
	plain   string // the message, normalised
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
	wanted   []Reading
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
	typed, cut, struck := normalise(in.Text)
	a.cut, a.struck = cut, struck
	plain = fromSpanish(typed)
	spanish := plain != typed
	plain, ends := takeFinishing(plain, in)
	if strings.TrimSpace(plain) == "" && len(ends.readings)+len(ends.signed) > 0 {
		return finish(ends.attach(Utterance{Kind: Ignore, Note: "noted, no figure in it"}), a.cut)
	}
	if strings.TrimSpace(plain) == "" {
		return finish(Utterance{Kind: Ignore, Note: "nothing to read"}, a.cut)
	}
	a.talk = splitContext(a.in.Context)
	a.expect = expect(a.in, a.talk)
	plain = plainer(plain, a.expect)
	a.plain = plain
	if u, ok := a.toldInSpanish(typed); ok {
		return finish(u, a.cut)
	}
	raw := scan(plain)
	if spanish {
		a.command = findCommand(strings.TrimSpace(strings.ToValidUTF8(in.Text, " ")), scan(typed))
	} else {
		a.command = findCommand(strings.TrimSpace(strings.ToValidUTF8(in.Text, " ")), raw)
	}
	a.tokens = spellOut(mend(raw))
	items := groupFigures(markFigures(tagTokens(a.tokens), in.Units == unit.Metric, in.Units == unit.InchUnits))
	if in.Units != unit.InchUnits {
		dropSeats(items)
	}
	initials(items)
	a.clauses = splitClauses(items, in.Sender)
	u := a.weigh(depth)
	a.review(&u)
	u = finish(ends.attach(u), a.cut)
	u.Unread = a.unread(u)
	return u
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
	correcting := corrects.inAny(all) || starCorrection(a.clauses) || a.relabels() || a.contrasts()
	if correcting {
		clearShould(a.clauses)
	}
	if correcting && depth == 0 {
		a.expectNoPattern()
	}
	a.find(correcting)

	var u Utterance
	u.Command = a.command
	a.cautions = findDangers(a.clauses, a.in.Sender)
	if a.skipsHonestly(all) {
		a.cautions = slices.DeleteFunc(a.cautions, func(id string) bool { return id == DangerFabricated })
	}
	a.voice(all)
	a.resolve(correcting)
	a.tookOut()
	a.facts = findFacts(a.clauses, a.in.Sender, a.cautions)
	a.compare()
	u.Pending = a.moves.pending

	if q, ok := a.reckon(correcting); ok {
		return q
	}

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
	look := a.atLook()
	if look != (lookWord{}) || len(all) > 0 && all[0] == "why" {
		correcting = false
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
	u.Proposed, u.Wanted, u.Facts, u.Cautions = a.proposed, a.wanted, a.facts, a.cautions
	topics, asking := findQuestion(a.clauses, a.talk, len(a.readings)+len(a.moves.done)+len(a.moves.pending)+len(a.proposed)+len(a.patterns.out) > 0)
	decision := findReview(a.clauses, a.in, len(a.readings) > 0)
	if a.in.Sender == Mentor && len(a.moves.pending) > 0 && len(a.moves.done) == 0 && decision == "" && !allAsk(a.clauses) || a.in.Sender == Mentor && decision == "" && a.tellsToDo() {
		decision = DecisionRequest // a change asked for; it is done when the technician says so
	}
	if decision == DecisionRedo && len(a.moves.pending) > 0 && a.tellsToDo() {
		decision = DecisionRequest // a change, and a new pattern after it
	}
	if look.decision != "" {
		decision = look.decision
	}
	if done, ok := a.answerLook(u, look); ok {
		return done
	}
	breakIn := a.breakIn()

	if c, ok := a.completed(depth); ok {
		return c
	}
	if a.expect.q != none && a.expect.q != qMatch && len(a.readings) == 0 && len(a.facts) == 0 && sameAgain.in(allWords(a.clauses)) && len(a.tokens) <= 5 {
		a.asks = append(a.asks, Ask{Key: "ask.same_as"})
	}
	if a.command != nil {
		if done, ok := a.obey(&u, decision); ok {
			return done
		}
	}
	if len(a.cautions) == 1 && a.cautions[0] == DangerShimsMixed && len(a.asks) > 0 && len(a.readings) == 0 {
		a.cautions = nil
	}
	a.settleKind(&u, verdict{decision, topics, asking, breakIn})
	if u.Kind != Question && asking {
		u.Topics = topics
	}
	return u
}

// verdict is what the parts of the message come to.
type verdict struct {
	decision string   // of a review
	topics   []string // asked about
	asking   bool
	breakIn  bool
}

// settleKind says which of the kinds the message is, in their order of precedence.
func (a *analysis) settleKind(u *Utterance, v verdict) {
	switch {
	case v.decision != "":
		u.Kind, u.Decision = Review, v.decision
		u.Note = "review: " + v.decision
		if v.decision != DecisionRequest {
			u.Readings, u.Moves = nil, nil
			if a.in.Sender == Mentor && len(a.moves.done) > 0 {
				u.Moves = a.moves.done
			}
		}
		if len(a.moves.pending) > 0 && v.decision == DecisionHold {
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
		if v.asking {
			u.Topics = v.topics
		}
	case len(a.asks) > 0 && !(v.asking && len(a.readings)+len(a.moves.done) == 0 && questionOnly(a.clauses)):
		u.Kind, u.Ask = Clarify, &a.asks[0]
		u.Note = a.asks[0].Key
	case v.asking:
		u.Kind, u.Topics = Question, v.topics
		u.Note = "asks about " + strings.ReplaceAll(v.topics[0], "_", " ")
	case len(a.moves.done) > 0:
		u.Kind, u.Note = Moved, "a move was made"
	case v.breakIn:
		u.Kind, u.Note = BreakIn, "break-in report"
	case len(a.readings) > 0:
		u.Kind, u.Note = Read, "read"
	case a.noteworthy():
		u.Kind, u.Note = Ignore, "noted, no figure in it"
	default:
		u.Kind, u.Note = Ignore, "not for the log"
	}
}

// expectNoPattern keeps a correction that gives only a figure from being read as the
// square of the pattern that is asked for: it is of what was said before.
func (a *analysis) expectNoPattern() {
	if len(a.expect.sides) == 0 {
		return
	}
	h := corrector{in: a.in, talk: a.talk, depth: maxDepth - 1}.history()
	if len(h) > 0 && !slices.ContainsFunc(h[0].readings, func(r Reading) bool { return isPattern(r.What) }) {
		a.expect.sides = nil
	}
}

// find runs the interpreters over the clauses.
func (a *analysis) find(correcting bool) {
	claimed := make(map[[2]int]bool)
	a.moves = moveFinder{clauses: a.clauses, sys: a.in.Units, sender: a.in.Sender, claimed: claimed}
	if a.in.Sender != Customer {
		a.moves.find()
		if len(a.moves.done) > 0 && placeDoubt.inAny(allWords(a.clauses)) {
			a.moves.asks = append(a.moves.asks, Ask{Key: "ask.from_to"})
			a.moves.done = nil
		}
	}
	a.patterns = patternFinder{clauses: a.clauses, expect: a.expect.sides}
	if a.in.Sender != Customer {
		a.patterns.find()
		if fineIf.inAny(lookWords(a.clauses)) {
			a.patterns.out = nil // "ok if the drag is 8?" is of no pattern
		}
		if ask := a.patterns.cells(claimed, a.expect, a.talk); ask != nil {
			a.asks = append(a.asks, *ask)
		}
	}
	b := binder{clauses: a.clauses, claimed: claimed, expect: a.expect}
	for _, c := range a.clauses {
		for _, it := range c.items {
			b.shimTalk = b.shimTalk || it.tags.has(qShim)
			b.noise = b.noise || it.tags.has(mNoise)
			b.signed = b.signed || it.group != nil && it.group.values[0].sign != 0
			b.dragTalk = b.dragTalk || it.tags.hasAny(qDrag, qTotalDrag) || it.group != nil && it.group.unit == uInLb
		}
	}
	b.shimTalk = b.shimTalk || a.expect.q == qShim
	if n := len(a.talk); n > 0 && !b.shimTalk && (correcting || a.talk[n-1].bot() && !strings.Contains(a.talk[n-1].text, "?")) {
		b.shimTalk = strings.Contains(a.talk[n-1].text, "shim") || strings.Contains(a.talk[n-1].text, "stack")
	}
	for i := range a.tokens {
		if u, n := unitPhrases.longest(a.tokens, i); n > 1 && u == uInLb {
			b.dragTalk = true
		}
	}
	b.breakIn = breakInWords.in(allWords(a.clauses))
	b.bind()
	a.bounds = b.out
	a.shareBehind()
}

// fineIf asks whether something would do.
var fineIf = compileTrigger(`ok if | okay if | fine if | good if | alright if | bien si | esta bien si`)

var (
	distanceDone = compileTrigger(`did | done | drove | driven | drive | ran | run | after | in | on | so far | breakin | loop | leg | lap | first | second | third | back | just | went | took | completed | finished | at | now | round trip | cruise | highway | freeway | motorway | logged | put | covered | clocked | into | miles and | odo | quiet | cool* | temp | deg | hot | warm | noise | whine | howl* | hum* | peep | silent | easy | gentl* | sound | smooth`)
	durationDone = compileTrigger(`been # minutes | cool* | left it | left for | parked it | cooled | sat | rest* | drove | drive | run | ran | loop | leg | soak* | in the oven | heated | baked | let it | waited | ran it | driving | minutes at | drive for | sitting | parked | off for | breakin | spun | lap`)
	schedule     = compileTrigger(`oil change at | change ~ at # | due at | due in | at # miles change | every # | until # | before # miles | for the first # | during the first # | in the first # | next # | # miles left | # miles to go | # minutes left | # minutes to go | # more | be back in | back in # | see you in | give me # | ready in # minutes | there in # | done in # minutes | need # | ready in | lunch | break | # minutes late | # away | # miles away | no towing | recheck at # | come back at # | service at # | retorque at # | change it at # | another # | minutes ago | # ago | wait # | takes # | take # | gimme # | be there in | drain it at # | bring it back | check again in | warranty | hours left | has # miles on the | clock ~ # | # k on the clock | # on the clock | from here | there in # | got # minutes | charge | book says | flat rate | hours labor | # hours | labour`)
	weather      = compileTrigger(`outside | weather | in the shop | shop is | ambient | in here | forecast | today its | air con | sun`)
)
