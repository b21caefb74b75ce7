package listen

import (
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// Moves: "took 10 out of the right and put it left", "right to left 5",
// "backed the left off 2 notches and tightened the right 2".

// half is one end of a move: so much off a place, or onto it.
type half struct {
	remove  bool
	place   tag
	amount  *group
	turns   bool // an adjuster
	clause  int
	ordered bool // to be done, not done
	text    string
	used    bool
	implied bool // the amount was said elsewhere ("put it left")
}

// moveFinder reads moves out of clauses.
type moveFinder struct {
	clauses []clause
	sys     unit.System
	sender  Sender
	claimed map[[2]int]bool

	halves  []half
	done    []Move
	pending []Move
	asks    []Ask // what is missing to be sure
	stacks  []stack

	loose        *group // an amount whose places may follow: "moved the 5, right to left"
	looseClause  int
	looseOrdered bool
}

// base forms say what to do; the past says what was done. "put" and "cut" are
// both.
var (
	baseVerbs = wordSet("take pull remove move shift add swap transfer tighten loosen back give drop bump kick slide change replace wind screw turn insert install fit place increase decrease walk steal go run scoot pop stick throw bring open close")
	bothForms = wordSet("put cut set let shed split")
	goingVerb = wordSet("taking pulling removing moving shifting adding swapping putting tightening loosening backing winding going")
)

func (m *moveFinder) find() {
	var lastAmount *group
	var lastPlace tag
	for ci := range m.clauses {
		lastAmount, lastPlace = m.clause(ci, lastAmount, lastPlace)
	}
	m.pair()
}

// verb is a word of moving and what it does: +1 onto a stack, −1 off it, 2 from
// one to another, 3 one leaf for another.
type verb struct {
	at, op   int
	tense    byte // 'p' past, 'b' base, 'i' going on, 'a' both past and base
	adjuster bool
}

// action is one verb with what it moves and where.
type action struct {
	verb
	c              *clause
	ci             int
	to             int // end of the items that belong to the verb
	amount, second *group
	amountAt       int
	secondAt       int
	src, dst       tag // "from the right", "to the left"
	plain          tag // a place without such a word
	turns          bool
	ordered        bool // to be done
	implied        bool // the amount is that of the verb before
}

// clause reads one clause; it passes on the amount and the place "it" stands for.
func (m *moveFinder) clause(ci int, lastAmount *group, lastPlace tag) (*group, tag) {
	c := &m.clauses[ci]
	if g, ok := m.vague(ci); ok {
		return orGroup(g, lastAmount), none
	}
	adjusters := hasTag(c.items, qAdjuster) || m.adjusterTalk()
	verbs := m.verbsOf(ci)
	if len(verbs) == 0 {
		return m.elliptic(ci, adjusters, lastAmount, lastPlace)
	}
	for vi := range verbs {
		a, ok := m.understand(ci, verbs, vi, adjusters, lastPlace)
		if !ok {
			continue
		}
		if !m.findAmount(&a, lastAmount) || !m.findPlace(&a, verbs, vi, adjusters, lastPlace) {
			if a.amount != nil && a.op != 0 {
				lastAmount = a.amount
			}
			continue
		}
		m.claim(ci, a.amountAt)
		m.apply(a)
		lastAmount = a.amount
		if len(m.halves) > 0 {
			lastPlace = m.halves[len(m.halves)-1].place
		}
	}
	return lastAmount, lastPlace
}

func orGroup(a, b *group) *group {
	if a != nil {
		return a
	}
	return b
}

func (m *moveFinder) claim(ci, item int) {
	if item >= 0 {
		m.claimed[[2]int{ci, item}] = true
	}
}

// vague asks about moves that do not say enough: "5 from one side to the other",
// "turned the adjuster 3 notches".
func (m *moveFinder) vague(ci int) (*group, bool) {
	c := &m.clauses[ci]
	items := c.items
	if c.at(0)&notDone != 0 {
		return nil, false
	}
	if oneToOther.in(c.words) {
		if vagueShim.in(c.words) {
			m.asks = append(m.asks, Ask{Key: "ask.how_much_side"})
			return nil, true
		}
		if g, at := m.amount(ci, 0, len(items)); g != nil {
			m.claim(ci, at)
			m.asks = append(m.asks, Ask{Key: "ask.side_to_side", With: []any{"n", g.text}})
			return g, true
		}
	}
	if placeless(items) && hasAnyText(items, "turned", "moved", "went", "cranked", "wound", "spun", "shifted") && m.sender != Mentor {
		for i, it := range items {
			if it.group != nil && it.group.unit == uNotch && !m.claimed[[2]int{ci, i}] {
				m.claim(ci, i)
				m.asks = append(m.asks, Ask{Key: "ask.which_adjuster_way"})
				return it.group, true
			}
		}
	}
	return nil, false
}

// verbsOf gives the verbs of a clause; one verb with two objects ("added 4 to the
// pinion and 4 to the pack") counts twice.
func (m *moveFinder) verbsOf(ci int) []verb {
	items := m.clauses[ci].items
	var verbs []verb
	for i := range items {
		if op, tense, adj := verbAt(items, i); op != 0 {
			verbs = append(verbs, verb{i, op, tense, adj})
		}
	}
	for vi := 0; vi < len(verbs); vi++ {
		v := verbs[vi]
		if v.op != 1 && v.op != -1 {
			continue
		}
		end := len(items)
		if vi+1 < len(verbs) {
			end = verbs[vi+1].at
		}
		_, first := m.amount(ci, v.at+1, end)
		if first < 0 {
			continue
		}
		_, second := m.amount(ci, first+1, end)
		if second < 0 || placeBetween(items, first+1, second) == none || placeBetween(items, second+1, end) == none {
			continue
		}
		verbs = slices.Insert(verbs, vi+1, verb{second - 1, v.op, v.tense, v.adjuster})
	}
	return verbs
}

// understand finds what belongs to a verb; ok is false where it moves no shim and
// no adjuster.
func (m *moveFinder) understand(ci int, verbs []verb, vi int, adjusters bool, lastPlace tag) (action, bool) {
	c := &m.clauses[ci]
	items := c.items
	a := action{verb: verbs[vi], c: c, ci: ci, to: len(items), secondAt: -1}
	from := a.at + 1
	if vi+1 < len(verbs) {
		a.to = verbs[vi+1].at
		if items[a.to].kind != phraseItem {
			a.to++
		}
	}
	if vi == 0 {
		from = 0
	}
	a.amount, a.amountAt = m.amount(ci, a.at+1, a.to)
	if a.amount == nil && vi == 0 {
		a.amount, a.amountAt = m.amount(ci, 0, a.at)
	}
	if a.amount != nil && a.amountAt >= 0 {
		a.second, a.secondAt = m.amount(ci, a.amountAt+1, a.to)
	}
	a.src, a.dst, a.plain = m.places(items, from, a.at, a.to)
	a.otherSide(lastPlace)
	if a.op == 1 && a.src == none && intoStock(items, a.at+1, a.to) {
		a.src, a.dst, a.plain = orTag(a.plain, a.dst), pStock, none
		if a.src == pStock {
			a.src = none
		}
	}
	a.turns = a.amount != nil && a.amount.unit.dim() == dimTurn || a.adjuster && adjusters
	bolts := hasTag(items, pCaps) || hasTag(items, pNut) || hasTag(items, pRingBolts)
	if a.adjuster && !a.turns && !adjusters {
		// "tightened the caps to 75", "backed the nut off": no move of ours
		if !a.placed() || a.amount == nil || bolts {
			return a, false
		}
		a.turns = true
	}
	before := wordsBefore(c, a.at)
	switch {
	case quantityLead(items, a.at): // "lash went up 3"
	case a.op == 3 && !hasTag(items, qShim) && placeless(items):
	case bolts || hasTag(items, pSeal) || hasTag(items, mNoise):
	case hasTag(items, qDrag) && !hasTag(items, pPack) && !forPreload(items):
	case isWord(items, a.at-1, "before") || isWord(items, a.at-2, "before"): // "before i pulled it" tells a time
	case a.effort(): // "took 22 to break loose"
	case negatedAt(before, len(before)): // "didn't pull anything"
	default:
		a.ordered = m.toDo(a)
		if (a.tense == 'b' || a.tense == 'a') && vi > 0 && verbs[0].tense == 'p' && !youSubject(items, verbs[0].at) && c.at(a.at)&notDone == 0 {
			a.ordered = false // "took 10 out and put", "went and pull"
		}
		return a, true
	}
	return a, false
}

// placed says whether a stack, an adjuster or a way to go is named.
func (a action) placed() bool {
	return a.src != none || a.dst != none || a.plain != none || a.op == 2 && carrierMoves(a.c.items) && (towardPinion(a.c.items) || awayFromPinion(a.c.items))
}

// otherSide finds the side that "the other side" is.
func (a *action) otherSide(lastPlace tag) {
	if !hasAnyText(a.c.items, "other side") {
		return
	}
	if a.src == pFarSide && a.dst != none {
		a.src = opposite(a.dst)
	}
	o := opposite(orTag(a.src, lastPlace))
	if o == none {
		return
	}
	if a.plain == pFarSide {
		a.dst, a.plain = o, none
	} else if a.dst == pFarSide {
		a.dst = o
	}
}

// effort: the number is what it takes and no thickness.
func (a action) effort() bool {
	if a.amountAt < 0 {
		return false
	}
	items, k := a.c.items, a.amountAt+1
	return isWord(items, k, "to") && isWord(items, k+1, "break", "turn", "move", "keep", "get", "start", "rotate", "spin") || strings.HasPrefix(textAt(items, k), "to ")
}

// toDo says whether the move is asked for, planned or only thought of.
func (m *moveFinder) toDo(a action) bool {
	you := youSubject(a.c.items, a.at)
	moods := a.c.at(a.at)
	if a.tense == 'b' && isWord(a.c.items, a.at-1, "i", "we") && len(wordsBefore(a.c, a.at)) == 1 && a.c.mark != '?' && m.sender != Mentor && moods&notDone == 0 {
		return false // "i remove 0.05 from pinion"
	}
	if a.tense == 'p' && !you && m.sender != Mentor && moods&(notDone&^moodPlan) == 0 {
		return moods&moodPlan != 0 && planned(a.c, a.at)
	}
	return moods&notDone != 0 || a.tense == 'b' || a.tense == 'i' || a.tense == 'a' && m.sender == Mentor || you || a.c.is(moodOrder) && a.tense != 'p'
}

// findAmount gives an action without a number that of the verb before it ("and
// put it left"); false where there is none.
func (m *moveFinder) findAmount(a *action, last *group) bool {
	if a.amount != nil {
		return true
	}
	if !a.placed() && a.op == 2 && last != nil && len(m.halves) > 0 && hasAnyText(a.c.items[min(a.at+1, a.to):a.to], "over", "across") && opposite(m.halves[len(m.halves)-1].place) != none {
		// "and moved it over"
		a.op, a.dst = 1, opposite(m.halves[len(m.halves)-1].place)
	}
	if !a.placed() {
		return false
	}
	it := hasAnyText(a.c.items[min(a.at+1, a.to):a.to], "it", "them", "that", "those", "same", "one", "la", "lo")
	afterRemoval := a.op == 1 && len(m.halves) > 0 && m.halves[len(m.halves)-1].remove
	if last != nil && (it && (a.op == 1 || a.op == 2) || afterRemoval) {
		a.amount, a.implied = last, true
		return true
	}
	if a.tense == 'p' && !a.ordered && vagueShim.in(a.c.words) {
		m.asks = append(m.asks, Ask{Key: "ask.how_thick"})
	}
	return false
}

// findPlace gives an action without a place that of the verb beside it; where
// there is none it asks and gives false.
func (m *moveFinder) findPlace(a *action, verbs []verb, vi int, adjusters bool, lastPlace tag) bool {
	if a.placed() {
		return true
	}
	items := a.c.items
	if a.op != 2 && a.op != 3 && vi+1 < len(verbs) && verbs[vi+1].op == -a.op {
		// "took out the 10 and put in a 12 on the right"
		s, d, p := m.places(items, verbs[vi+1].at+1, verbs[vi+1].at, len(items))
		if p = orTag(p, orTag(d, s)); p != none {
			a.plain = p
			return true
		}
	}
	if n := len(m.halves); lastPlace != none && a.op == 1 && n > 0 && a.secondAt < 0 && hasAnyText(items[a.at:a.to], "in", "back") && m.halves[n-1].remove && m.halves[n-1].clause >= a.ci-1 {
		// "took the 32 out of the pinion and put a 35 in"
		a.plain = m.halves[n-1].place
		return true
	}
	length := a.amount.unit.dim() == dimLength || a.amount.unit.dim() == dimTurn
	short := len(items) <= 4 || len(verbs) == 1 && hasAnyText(items, "out", "more", "in")
	m.loose, m.looseClause, m.looseOrdered = a.amount, a.ci, a.ordered
	if a.op != 3 && !length && !adjusters && !shimSpoken(items) && !short {
		a.op = 0
		return false
	}
	m.claim(a.ci, a.amountAt)
	if a.ordered {
		m.pending = append(m.pending, m.move(none, none, a.amount, a.turns, a.c.text()))
	} else {
		m.asks = append(m.asks, Ask{Key: "ask.which_stack"})
	}
	return false
}

// apply records an action as a move, or as half of one.
func (m *moveFinder) apply(a action) {
	full := func(src, dst tag) { m.full(src, dst, a.amount, a.turns, a.ordered, a.c.text()) }
	h := half{amount: a.amount, clause: a.ci, turns: a.turns, ordered: a.ordered, implied: a.implied, text: a.c.text()}
	switch {
	case a.op == 2 && carrierMoves(a.c.items):
		m.carrier(a)
	case a.op == 2 && a.src == none && a.second == nil && isWord(a.c.items, a.at, "swapped") && isWord(a.c.items, a.at+1, "in") && orTag(a.dst, a.plain) == pPinion:
		m.stacks = append(m.stacks, stack{a.amount, a.ci, a.ordered}) // "swapped in a 36 pinion shim"
	case (a.op == 3 || a.op == 2 && (a.second != nil && hasAnyText(a.c.items, "for", "with") || a.amount.change)) && m.exchange(a):
	case a.op == 3:
	case a.src != none && a.dst != none && a.src != a.dst:
		full(a.src, a.dst)
	case a.op == 1 && a.src != none && a.dst == none && a.plain != none && a.plain != a.src:
		full(a.src, a.plain) // "put it back on the right from the left"
	case a.op == 1 && orTag(a.dst, orTag(a.plain, a.src)) == pStock && !a.ordered && !a.implied:
		m.asks = append(m.asks, Ask{Key: "ask.which_stack"}) // "added 3 from the kit"
	case a.op == 1:
		h.place = orTag(a.dst, orTag(a.plain, a.src))
		m.addHalf(h)
	case a.op == -1 && isWord(a.c.items, a.at, "dropped") && a.src == none && isWord(a.c.items, a.amountAt+1, "in", "under", "behind", "under the pinion", "behind the pinion"):
		m.asks = append(m.asks, Ask{Key: "ask.in_or_out", With: []any{"n", a.amount.text}}) // "dropped 3 under the pinion"
	case a.op == 1 && orTag(a.dst, orTag(a.plain, a.src)) == pPinion && m.whole(a.amount) && hasAnyText(a.c.items, "a", "an", "with"):
		m.stacks = append(m.stacks, stack{a.amount, a.ci, a.ordered}) // "put a 35 under the pinion"
	case a.op == -1:
		h.remove, h.place = true, orTag(a.src, orTag(a.plain, a.dst))
		m.addHalf(h)
	case a.src != none:
		h.remove, h.place = true, a.src
		m.halves = append(m.halves, h)
	case a.dst != none && opposite(a.dst) != none:
		full(opposite(a.dst), a.dst)
	case a.dst != none:
		h.place = a.dst
		m.halves = append(m.halves, h)
	case opposite(a.plain) != none: // "moved 5 left"
		full(opposite(a.plain), a.plain)
	case !a.ordered:
		m.asks = append(m.asks, Ask{Key: "ask.from_to"})
	}
}

// stack is a pinion shim that was put in as a whole.
type stack struct {
	amount  *group
	clause  int
	ordered bool
}

// whole says whether an amount is a shim and not a step: half a millimetre and
// more.
func (m *moveFinder) whole(g *group) bool {
	mv := m.move(pStock, pPinion, g, false, "")
	return mv.AmountIn != nil && *mv.AmountIn >= 0.018 || mv.AmountMM != nil && *mv.AmountMM >= 0.5
}

// carrier records that the carrier or ring gear itself was moved.
func (m *moveFinder) carrier(a action) {
	switch {
	case towardPinion(a.c.items):
		m.full(pFarSide, pRingSide, a.amount, a.turns, a.ordered, a.c.text())
	case awayFromPinion(a.c.items):
		m.full(pRingSide, pFarSide, a.amount, a.turns, a.ordered, a.c.text())
	case a.src != none:
		m.full(a.src, a.dst, a.amount, a.turns, a.ordered, a.c.text())
	case a.ordered:
		m.pending = append(m.pending, m.move(none, none, a.amount, a.turns, a.c.text()))
	default:
		// to the left by so much: whether shims or carrier went left is not said
		m.asks = append(m.asks, Ask{Key: "ask.got_thinner"})
	}
}

// exchange records one leaf for another: "swapped the 32 for a 35 in the pinion".
func (m *moveFinder) exchange(a action) bool {
	p := orTag(a.plain, orTag(a.dst, a.src))
	amount, second := a.amount, a.second
	if amount.change && len(amount.values) == 2 {
		second = &group{values: amount.values[1:], positions: amount.positions[1:], unit: amount.unit}
		amount = &group{values: amount.values[:1], positions: amount.positions[:1], unit: amount.unit}
	}
	if second == nil || p == none || p == pBoth {
		return false
	}
	m.claim(a.ci, a.secondAt)
	if second.unit == noUnit {
		second.unit = amount.unit
	} else if amount.unit == noUnit {
		amount.unit = second.unit
	}
	m.full(p, pStock, amount, a.turns, a.ordered, a.c.text())
	m.full(pStock, p, second, a.turns, a.ordered, a.c.text())
	return true
}
