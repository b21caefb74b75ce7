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
	asks    []string // what is missing to be sure
	verbs   bool     // a move was spoken of
}

// base forms say what to do; the past says what was done. "put" and "cut" are
// both.
var (
	baseVerbs = wordSet("take pull remove move shift add swap transfer tighten loosen back give drop bump kick slide change replace wind screw turn insert install fit place increase decrease walk steal go run scoot pop stick throw bring open close")
	bothForms = wordSet("put cut set let shed split")
	goingVerb = wordSet("taking pulling removing moving shifting adding swapping putting tightening loosening backing winding going")
)

// placesOf gives the stack or adjuster an item names.
func placeOf(it item) tag {
	for _, t := range []tag{pBoth, pPack, pRingSide, pFarSide, pPinion, pLeft, pRight, pStock} {
		if it.tags.has(t) {
			if t == pRight && it.text == "right" {
				return pRight
			}
			return t
		}
	}
	return none
}

var placeNames = map[tag]string{
	pLeft: "left", pRight: "right", pPinion: "pinion", pStock: "stock", pRingSide: "ring_side", pFarSide: "opposite_ring_side", pPack: "preload_pack",
}

func (m *moveFinder) find() {
	var lastAmount *group
	var lastPlace tag
	for ci := range m.clauses {
		lastAmount, lastPlace = m.clause(ci, lastAmount, lastPlace)
	}
	m.pair()
}

// vagueShim: a shim was moved and its thickness not said.
var vagueShim = compileTrigger(`added a shim | added another shim | added shim | added some shim | added one shim | took a shim | took one shim | took another shim | removed a shim | pulled a shim | took out a shim | took shim | pulled shim | removed shim | removed some shim | moved a shim | moved one shim | moved the shim | swapped a shim | swapped one shim | put a shim | swapped the shims | swapped shims | moved some shim ! back in | photo`)

// oneToOther: a move between the sides that does not say which.
var oneToOther = compileTrigger(`one side ~ the other | one side ~ other side | from side to side | side to side | across to the other | over to the other side | one side to another | swapped sides | to the other side ! left | right | lh | rh | play`)

// verbAt gives what the word at i does to a stack: +1 onto, −1 off, 2 from one to
// another; tense is 'p' past, 'b' base, 'i' going on.
func verbAt(items []item, i int) (op int, tense byte, adjuster bool) {
	it := items[i]
	if it.kind != phraseItem {
		return 0, 0, false
	}
	first, _, _ := strings.Cut(it.text, " ")
	tense = 'p'
	switch {
	case baseVerbs[first]:
		tense = 'b'
	case bothForms[first]:
		tense = 'a'
	case goingVerb[first]:
		tense = 'i'
	}
	switch {
	case it.text == "backed" || it.text == "back":
		for k := i + 1; k < len(items) && k < i+6; k++ {
			if isWord(items, k, "off", "out") {
				return -1, tense, true
			}
		}
		return 0, 0, false
	case it.text == "opened" || it.text == "closed":
		// an adjuster, by notches
		for k := i + 1; k < len(items) && k < i+6; k++ {
			if g := items[k].group; g != nil && g.unit == uNotch {
				if it.text == "closed" {
					return 1, 'p', true
				}
				return -1, 'p', true
			}
		}
		return 0, 0, false
	case it.text == "shimmed":
		// "shimmed the left up 6 and the right down 6" is told by up and down
		for k := i + 1; k < len(items) && k < i+4; k++ {
			if isWord(items, k, "up", "down") {
				return 0, 0, false
			}
		}
		return 1, 'p', false
	case isWord(items, i, "went", "came", "slid", "goes") && carrierMoves(items) && (towardPinion(items) || awayFromPinion(items)):
		return 2, 'p', false
	case isWord(items, i, "took", "take", "ran", "run", "brought", "bring", "wound", "wind", "turned", "turn", "went", "go", "screwed", "moved", "move", "spun", "cranked", "crank", "walked"):
		// "took the left in 3": an adjuster
		if dir := adjusterWay(items, i+1); dir != 0 {
			return dir, tense, true
		}
		if !it.tags.hasAny(vMove, vRemove, vTighten) || it.text == "ran" || it.text == "run" {
			return 0, 0, false
		}
		if it.tags.has(vMove) {
			return 2, tense, false
		}
		return -1, tense, false
	case it.tags.has(vMove) && it.text != "brought":
		return 2, tense, false
	case it.tags.has(vTighten) && it.text != "in" && it.text != "clockwise":
		return 1, tense, true
	case it.tags.has(vLoosen) && it.text != "out" && it.text != "counterclockwise":
		return -1, tense, true
	case it.tags.has(vRemove) && it.text != "minus" && (it.text != "lost" || figureWithin(items, i+1, 1)) && it.text != "dropped" && it.text != "cut":
		return -1, tense, false
	case isWord(items, i, "dropped", "cut") && byAmount(items, i+1):
		return -1, tense, false
	case it.text == "dropped" && (figureWithin(items, i+1, 2)) && !isWord(items, i+1, "to"):
		return -1, tense, false
	case it.text == "add" && isWord(items, i+1, "up", "up to"):
		return 0, 0, false
	case it.tags.has(vAdd) && it.text != "plus":
		return 1, tense, false
	case it.tags.has(vSwap):
		return 3, tense, false
	case it.text == "gave":
		return 1, tense, false
	}
	return 0, 0, false
}

// byAmount: "dropped the pinion shim by 3".
func byAmount(items []item, i int) bool {
	for k := i; k < len(items) && k < i+6; k++ {
		if items[k].text == "by" {
			return figureWithin(items, k+1, 2)
		}
	}
	return false
}

// adjusterWay reads "the left in 3", "the right one out 2 notches": which way an
// adjuster was turned, 0 where it is none.
func adjusterWay(items []item, i int) int {
	place := false
	for k := i; k < len(items) && k < i+5; k++ {
		switch {
		case placeOf(items[k]) == pLeft || placeOf(items[k]) == pRight || placeOf(items[k]) == pBoth:
			place = true
		case place && (items[k].text == "in" || items[k].text == "out"):
			if figureWithin(items, k+1, 2) && !isWord(items, k+1, "of", "the") {
				if items[k].text == "in" {
					return 1
				}
				return -1
			}
			return 0
		case items[k].tags.has(qAdjuster), isWord(items, k, "the", "one", "side", "adjuster"):
		default:
			return 0
		}
	}
	return 0
}

const notDone = moodIf | moodPlan | moodOther | moodQuestion | moodTarget | moodSpec | moodShould

// clause reads one clause; it passes on the amount and the place "it" stands for.
func (m *moveFinder) clause(ci int, lastAmount *group, lastPlace tag) (*group, tag) {
	c := &m.clauses[ci]
	items := c.items
	type verb struct {
		at, op   int
		tense    byte
		adjuster bool
	}
	var verbs []verb
	for i := range items {
		if op, tense, adj := verbAt(items, i); op != 0 {
			verbs = append(verbs, verb{i, op, tense, adj})
		}
	}
	if oneToOther.in(c.words) && c.at(0)&notDone == 0 {
		if vagueShim.in(c.words) {
			m.verbs = true
			m.asks = append(m.asks, "how much went from which side to which?")
			return lastAmount, lastPlace
		}
		if g, at := m.amount(ci, 0, len(items)); g != nil {
			m.claimed[[2]int{ci, at}] = true
			m.verbs = true
			m.asks = append(m.asks, g.text+" went from one side to the other: which side got thinner, left or right?")
			return g, none
		}
	}
	adjusters := hasTag(items, qAdjuster) || m.adjusterTalk()
	if placeless(items) && hasAnyText(items, "turned", "moved", "went", "cranked", "wound", "spun", "shifted") && c.at(0)&notDone == 0 && m.sender != Mentor {
		for i, it := range items {
			if it.group != nil && it.group.unit == uNotch && !m.claimed[[2]int{ci, i}] {
				m.claimed[[2]int{ci, i}] = true
				m.verbs = true
				m.asks = append(m.asks, "which adjuster, and in or out?")
				return it.group, none
			}
		}
	}
	if len(verbs) == 0 {
		return m.elliptic(ci, adjusters, lastAmount, lastPlace)
	}
	// "added 4 to the pinion and 4 to the pack": one verb, two objects
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
	for vi, v := range verbs {
		from, to := v.at+1, len(items)
		if vi+1 < len(verbs) {
			to = verbs[vi+1].at
			if vi+2 <= len(verbs) && items[to].kind != phraseItem {
				to++
			}
		}
		if vi == 0 {
			from = 0
		}
		amount, at := m.amount(ci, v.at+1, to)
		if amount == nil && vi == 0 {
			amount, at = m.amount(ci, 0, v.at)
		}
		second, at2 := (*group)(nil), -1
		if amount != nil && at >= 0 {
			second, at2 = m.amount(ci, at+1, to)
		}
		src, dst, plain := m.places(items, from, v.at, to)
		if src == pFarSide && dst != none && hasAnyText(items, "other side") {
			src = opposite(dst)
		}
		if plain == pFarSide && hasAnyText(items, "other side") {
			if o := opposite(orTag(src, lastPlace)); o != none {
				dst, plain = o, none
			}
		}
		if dst == pFarSide && hasAnyText(items, "other side") {
			if o := opposite(orTag(src, lastPlace)); o != none {
				dst = o
			}
		}
		anyPlace := src != none || dst != none || plain != none || v.op == 2 && carrierMoves(items) && (towardPinion(items) || awayFromPinion(items))
		turns := v.adjuster && (adjusters || amount != nil && amount.unit.dim() == dimTurn) || amount != nil && amount.unit.dim() == dimTurn
		if v.adjuster && !turns && !adjusters {
			// "tightened the caps to 75", "backed the nut off": no move of ours
			if !anyPlace || amount == nil || hasTag(items, pCaps) || hasTag(items, pNut) || hasTag(items, pRingBolts) {
				continue
			}
			turns = true
		}
		if quantityLead(items, v.at) {
			continue // "lash went up 3"
		}
		if v.op == 3 && !hasTag(items, qShim) && placeless(items) {
			continue
		}
		if hasTag(items, pCaps) || hasTag(items, pNut) || hasTag(items, pRingBolts) || hasTag(items, pSeal) || hasTag(items, qDrag) && !hasTag(items, pPack) && !forPreload(items) || hasTag(items, mNoise) {
			continue
		}
		it := hasAnyText(items[min(v.at+1, to):to], "it", "them", "that", "those", "same", "one", "la", "lo")
		ordered := c.at(v.at)&notDone != 0 || v.tense == 'b' || v.tense == 'i' || v.tense == 'a' && m.sender == Mentor || youSubject(items, v.at) || c.is(moodOrder) && v.tense != 'p'
		if v.tense == 'p' && !youSubject(items, v.at) && m.sender != Mentor && c.at(v.at)&(notDone&^moodPlan) == 0 && c.at(v.at)&moodPlan != 0 && !planned(c, v.at) {
			ordered = false
		}
		if isWord(items, v.at-1, "before") || isWord(items, v.at-2, "before") {
			continue // "before i pulled it" tells a time
		}
		if amount != nil && at >= 0 && isWord(items, at+1, "to") && isWord(items, at+2, "break", "turn", "move", "keep", "get", "start", "rotate", "spin") || at >= 0 && strings.HasPrefix(textAt(items, at+1), "to ") {
			continue // "took 22 to break loose"
		}
		if negatedAt(wordsBefore(c, v.at), len(wordsBefore(c, v.at))) {
			continue // "didn't pull anything"
		}
		if v.tense == 'b' && vi > 0 && verbs[0].tense == 'p' {
			ordered = false // "took 10 out and put ...", "went and pull"
		}
		h := half{clause: ci, turns: turns, ordered: ordered, text: c.text()}
		if amount == nil {
			if !anyPlace {
				continue
			}
			if it && lastAmount != nil && (v.op == 1 || v.op == 2) {
				amount = lastAmount
				h.implied = true
			} else if lastAmount != nil && v.op == 1 && len(m.halves) > 0 && m.halves[len(m.halves)-1].remove {
				amount = lastAmount
				h.implied = true
			} else {
				if v.tense == 'p' && !ordered && vagueShim.in(c.words) {
					m.verbs = true
					m.asks = append(m.asks, "how thick is the shim?")
				}
				continue
			}
		}
		if !anyPlace && amount != nil && v.op != 2 && v.op != 3 && vi+1 < len(verbs) && verbs[vi+1].op == -v.op {
			// "took out the 10 and put in a 12 on the right"
			s2, d2, p2 := m.places(items, verbs[vi+1].at+1, verbs[vi+1].at, len(items))
			if p := orTag(p2, orTag(d2, s2)); p != none {
				plain, anyPlace = p, true
			}
		}
		if !anyPlace && lastPlace != none && v.op == 1 && len(m.halves) > 0 && at2 < 0 && hasAnyText(items[v.at:to], "in", "back") && m.halves[len(m.halves)-1].remove && m.halves[len(m.halves)-1].clause >= ci-1 {
			// "took the 32 out of the pinion and put a 35 in"
			plain, anyPlace = m.halves[len(m.halves)-1].place, true
		}
		if !anyPlace {
			short := len(items) <= 4
			if v.op != 3 && amount.unit.dim() != dimTurn && !adjusters && amount.unit.dim() != dimLength && !shimSpoken(items) && !short && !(len(verbs) == 1 && hasAnyText(items, "out", "more", "in")) {
				continue
			}
			m.verbs = true
			if at >= 0 {
				m.claimed[[2]int{ci, at}] = true
			}
			if !ordered {
				m.asks = append(m.asks, "which stack?")

			} else {
				m.pending = append(m.pending, m.move(none, none, amount, turns, c.text()))
			}
			lastAmount = amount
			continue
		}
		m.verbs = true
		if at >= 0 {
			m.claimed[[2]int{ci, at}] = true
		}
		h.amount = amount
		if carrierMoves(items) && v.op == 2 {
			// the carrier or ring gear itself was moved
			switch {
			case towardPinion(items):
				m.full(pFarSide, pRingSide, amount, turns, ordered, c.text())
			case awayFromPinion(items):
				m.full(pRingSide, pFarSide, amount, turns, ordered, c.text())
			case src == none && plain != none || dst != none && src == none:
				if ordered {
					m.pending = append(m.pending, m.move(none, none, amount, turns, c.text()))
				} else {
					m.asks = append(m.asks, "which stack got thinner?")
				}
			default:
				m.full(src, dst, amount, turns, ordered, c.text())
			}
			lastAmount = amount
			continue
		}
		switch v.op {
		case 3, 2:
			if v.op == 3 || second != nil && (hasAnyText(items, "for", "with") || amount.change) {
				p := orTag(plain, orTag(dst, src))
				if amount.change && len(amount.values) == 2 {
					second = &group{values: amount.values[1:], positions: amount.positions[1:], unit: amount.unit}
					amount = &group{values: amount.values[:1], positions: amount.positions[:1], unit: amount.unit}
				}
				if second != nil && p != none && p != pBoth {
					if at2 >= 0 {
						m.claimed[[2]int{ci, at2}] = true
					}
					if second.unit == noUnit {
						second.unit = amount.unit
					} else if amount.unit == noUnit {
						amount.unit = second.unit
					}
					m.full(p, pStock, amount, turns, ordered, c.text())
					m.full(pStock, p, second, turns, ordered, c.text())
					break
				}
				if v.op == 3 {
					break
				}
			}
			switch {
			case src != none && dst != none:
				m.full(src, dst, amount, turns, ordered, c.text())
			case src != none:
				h.remove, h.place = true, src
				m.halves = append(m.halves, h)
			case dst != none && (dst == pLeft || dst == pRight):
				m.full(opposite(dst), dst, amount, turns, ordered, c.text())
			case dst == pRingSide || dst == pFarSide:
				m.full(opposite(dst), dst, amount, turns, ordered, c.text())
			case dst != none:
				h.place = dst
				m.halves = append(m.halves, h)
			default: // "moved 5 left"
				if o := opposite(plain); o != none {
					m.full(o, plain, amount, turns, ordered, c.text())
				} else if !ordered {
					m.asks = append(m.asks, "from where to where?")
				}
			}
		case -1:
			if src != none && dst != none && src != dst {
				m.full(src, dst, amount, turns, ordered, c.text())
				break
			}
			h.remove, h.place = true, orTag(src, orTag(plain, dst))
			m.addHalf(h)
			if second != nil && at2 >= 0 && second.unit.dim() == amount.unit.dim() && src != none {
				// "took 5 and 3": two leaves
				_ = at2
			}
		case 1:
			if src != none && dst != none && src != dst {
				m.full(src, dst, amount, turns, ordered, c.text())
				break
			}
			h.place = orTag(dst, orTag(plain, src))
			m.addHalf(h)
		}
		lastAmount = amount
		if len(m.halves) > 0 {
			lastPlace = m.halves[len(m.halves)-1].place
		}
	}
	return lastAmount, lastPlace
}

func (m *moveFinder) addHalf(h half) {
	if h.place == pBoth {
		a, b := h, h
		a.place, b.place = pLeft, pRight
		a.used, b.used = true, true // never paired with each other
		m.emitHalf(a)
		m.emitHalf(b)
		return
	}
	m.halves = append(m.halves, h)
}

func planned(c *clause, at int) bool {
	for k := max(0, at-4); k < at; k++ {
		if isWord(c.items, k, "will", "going to", "might", "could", "would", "should", "was going", "thought", "plan", "want to", "need to", "have to", "if", "let", "lets") {
			return true
		}
		if isWord(c.items, k, "to") && isWord(c.items, k-1, "going", "want", "need", "have", "trying", "about") {
			return true
		}
	}
	return false
}

func wordsBefore(c *clause, item int) []string {
	for k, of := range c.wordItem {
		if of >= item {
			return c.words[:k]
		}
	}
	return c.words
}

func youSubject(items []item, at int) bool {
	for k := at - 1; k >= 0 && k >= at-3; k-- {
		switch items[k].text {
		case "you", "u", "ya", "yall":
			return true
		}
		if !items[k].tags.has(light) && items[k].text != "should" && items[k].text != "already" {
			return false
		}
	}
	return false
}

// quantityLead: what went up or down is a reading.
func quantityLead(items []item, verb int) bool {
	for i := 0; i < verb; i++ {
		if items[i].tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qTemp, qSpread) && !items[i].tags.has(light) {
			return isWord(items, verb, "went up", "went down", "gone up", "gone down", "going up", "increased", "reduced", "decreased", "raised", "lowered", "dropped", "moved", "changed", "went from", "bumped up")
		}
	}
	return false
}

// forPreload: the drag or preload is what the move is for.
func forPreload(items []item) bool {
	for i, it := range items {
		if it.tags.has(qDrag) && (isWord(items, i-1, "for", "more", "less", "up", "the", "extra", "bring") || i == 0) && !soonFigure(items, i+1) {
			return true
		}
	}
	return false
}

func placeBetween(items []item, from, to int) tag {
	for i := from; i < to && i < len(items); i++ {
		if p := placeOf(items[i]); p != none && !(p == pRight && rightMeansExactly(items, i)) {
			return p
		}
	}
	return none
}

// placeless: no stack or adjuster is named.
func placeless(items []item) bool {
	for _, it := range items {
		if placeOf(it) != none {
			return false
		}
	}
	return true
}

func shimSpoken(items []item) bool { return hasTag(items, qShim) }

func carrierMoves(items []item) bool {
	for i, it := range items {
		if it.tags.hasAny(pCarrier, pRing) && !it.tags.has(pRingSide) && !isWord(items, i+1, "shim", "shims", "side") {
			return true
		}
	}
	return false
}

func towardPinion(items []item) bool {
	for i := range items {
		if isWord(items, i, "toward", "towards", "closer", "into", "nearer", "in to", "to") {
			for k := i + 1; k < len(items) && k < i+4; k++ {
				if items[k].tags.has(pPinion) {
					return true
				}
			}
		}
	}
	return false
}

func awayFromPinion(items []item) bool {
	for i := range items {
		if isWord(items, i, "away", "off", "further", "farther", "out", "back") {
			for k := i + 1; k < len(items) && k < i+4; k++ {
				if items[k].tags.has(pPinion) {
					return true
				}
			}
		}
	}
	return false
}

func opposite(t tag) tag {
	switch t {
	case pLeft:
		return pRight
	case pRight:
		return pLeft
	case pRingSide:
		return pFarSide
	case pFarSide:
		return pRingSide
	}
	return none
}

func orTag(a, b tag) tag {
	if a != none {
		return a
	}
	return b
}

// shimTalk: shims are spoken of anywhere in the message.
func (m *moveFinder) shimTalk() bool {
	for _, c := range m.clauses {
		if shimSpoken(c.items) || hasAnyText(c.items, "shimmed") {
			return true
		}
	}
	return false
}

// adjusterTalk: adjusters or notches are spoken of anywhere in the message.
func (m *moveFinder) adjusterTalk() bool {
	for _, c := range m.clauses {
		for _, it := range c.items {
			if it.tags.has(qAdjuster) && it.text != "adj" || it.group != nil && it.group.unit.dim() == dimTurn {
				return true
			}
		}
	}
	return false
}

// amount finds the group of a move between two items.
func (m *moveFinder) amount(ci, from, to int) (*group, int) {
	items := m.clauses[ci].items
	for i := from; i < to && i < len(items); i++ {
		it := items[i]
		if it.kind == phraseItem && it.tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qTemp, qTeeth, qHeight, qMark, qTorque, pCaps) && !(it.tags.has(light) && it.tags.has(qTeeth)) {
			return nil, -1
		}
		if it.kind != figureItem || it.group == nil || m.claimed[[2]int{ci, i}] {
			continue
		}
		g := it.group
		d := g.unit.dim()
		if d != dimNone && d != dimLength && g.unit != uNotch || g.inexact || g.mixed {
			return nil, -1
		}
		if len(g.values) > 1 && !g.sum && !g.change {
			return nil, -1
		}
		if q := next(items, i+1); q.tags.hasAny(qBacklash, qDrag) && !q.tags.has(light) {
			return nil, -1
		}
		return g, i
	}
	return nil, -1
}

func next(items []item, i int) item {
	if i < len(items) {
		return items[i]
	}
	return item{}
}

// places finds where a move comes from and goes to between the items, by the
// small words before each place; plain is a place without one.
func (m *moveFinder) places(items []item, from, verb, to int) (src, dst, plain tag) {
	for i := from; i < to; i++ {
		p := placeOf(items[i])
		if p == none || i == verb {
			continue
		}
		if p == pRight && rightMeansExactly(items, i) {
			continue
		}
		if p == pPinion && (isWord(items, i+1, "side") || carrierMoves(items)) {
			continue
		}
		// "left adjuster": one place
		dir := byte(0)
		for k := i - 1; k >= from && k >= i-4; k-- {
			it := items[k]
			if it.tags.has(vFrom) && it.text != "off" || isWord(items, k, "off", "out of", "out") && !isWord(items, k+1, "on") {
				if it.text == "out" && !isWord(items, k+1, "of", "the", "from") {
					continue
				}
				dir = 'f'
				break
			}
			if it.tags.has(vTo) {
				dir = 't'
				if it.text == "on" || it.text == "in" || it.text == "under" || it.text == "behind" {
					dir = 'n'
				}
				break
			}
			if !it.tags.has(light) || k == verb {
				break
			}
		}
		// "right to left": the first is where it comes from
		if dir == 0 || dir == 'n' {
			for k := i + 1; k < to && k < i+4; k++ {
				if isWord(items, k, "to", "→", "into") && k+1 < to {
					for j := k + 1; j < to && j < k+3; j++ {
						if placeOf(items[j]) != none {
							dir = 'f'
						}
					}
				}
				if !items[k].tags.hasAny(light, qShim, qAdjuster, vTo) {
					break
				}
			}
		}
		switch dir {
		case 'f':
			src = orTag(src, p)
		case 't':
			dst = orTag(dst, p)
		default:
			if plain == none {
				plain = p
			}
		}
	}
	return src, dst, plain
}

// elliptic reads what has no verb: "right to left 5", "left in 2, right out 2",
// "10 out of the right and into the left".
func (m *moveFinder) elliptic(ci int, adjusters bool, lastAmount *group, lastPlace tag) (*group, tag) {
	c := &m.clauses[ci]
	items := c.items
	if c.moods&(notDone|moodNot) != 0 && c.moods&moodQuestion == 0 {
		if c.moods&(moodTarget|moodPlan|moodIf) == 0 {
			return lastAmount, lastPlace
		}
	}
	if m.sender == Mentor {
		// "try 3 thou more in the pinion"
		if g, _ := m.amount(ci, 0, len(items)); g != nil && c.moods&moodOrder != 0 {
			if p := placeBetween(items, 0, len(items)); p != none && p != pBoth {
				src, dst := pStock, p
				if hasAnyText(items, "less", "thinner", "out", "out of", "down") {
					src, dst = p, pStock
				}
				m.pending = append(m.pending, m.move(src, dst, g, g.unit == uNotch, c.text()))
				return lastAmount, lastPlace
			}
		}
	}
	if hasQuantity(*c) && !quantityLate(items) && !(hasTag(items, qShim) && hasAnyText(items, "thicker", "thinner")) || hasTag(items, pCaps) || hasTag(items, pNut) || hasTag(items, pRingBolts) || hasTag(items, mNoise) {
		return lastAmount, lastPlace
	}
	ordered := m.sender == Mentor || c.moods&notDone != 0
	// several "left in 2 right out 2" in one clause
	type step struct {
		place  tag
		in     int
		amount *group
		at     int
		signed bool // "left +5": leaves, no adjuster
	}
	var steps []step
	cur := step{at: -1}
	push := func() {
		if cur.place != none && cur.in != 0 && cur.amount != nil {
			steps = append(steps, cur)
		}
		cur = step{at: -1}
	}
	for i, it := range items {
		switch p := placeOf(it); {
		case (p == pLeft || p == pRight || p == pBoth || p == pRingSide || p == pFarSide) && !(p == pRight && rightMeansExactly(items, i)):
			if cur.place != none {
				push()
			}
			cur.place = p
		case (it.text == "up" || it.text == "down") && cur.place != none && m.shimTalk() && soonFigure(items, i+1):
			cur.in, cur.signed = 1, true
			if it.text == "down" {
				cur.in = -1
			}
		case it.text == "in" || it.text == "tighter" || it.text == "clockwise":
			if it.text == "in" && i+1 < len(items) && isWord(items, i+1, "the", "it") {
				break
			}
			cur.in = 1
		case it.text == "out" || it.text == "looser" || it.text == "off" || it.text == "counterclockwise" || it.text == "backed off":
			if isWord(items, i+1, "of") {
				break
			}
			cur.in = -1
		case it.group != nil:
			if v := it.group.values[0]; len(it.group.values) == 1 && v.sign != 0 && cur.place != none && (it.group.unit == noUnit || it.group.unit.dim() == dimLength) {
				plus := *it.group
				plus.values = []number{v}
				plus.values[0].sign = 0
				if v.sign == '-' {
					plus.values[0].val = -v.val
					cur.in = -1
				} else {
					cur.in = 1
				}
				cur.amount, cur.at, cur.signed = &plus, i, true
				push()
				break
			}
			if d := it.group.unit.dim(); (it.group.unit == uNotch || (d == dimNone || d == dimLength) && cur.signed || d == dimNone && adjusters) && len(it.group.values) == 1 && !it.group.inexact {
				if cur.amount != nil && cur.place != none && cur.in != 0 {
					push()
				}
				cur.amount, cur.at = it.group, i
			}
		}
	}
	push()
	if len(steps) > 0 {
		m.verbs = true
		for _, s := range steps {
			m.claimed[[2]int{ci, s.at}] = true
			m.addHalf(half{remove: s.in < 0, place: s.place, amount: s.amount, turns: !s.signed, clause: ci, ordered: ordered, text: c.text()})
		}
		return steps[len(steps)-1].amount, steps[len(steps)-1].place
	}
	src, dst, plain := m.places(items, 0, -1, len(items))
	amount, at := m.amount(ci, 0, len(items))
	if len(m.halves) > 0 && m.halves[len(m.halves)-1].remove && src == none && dst == none && plain != none && hasAnyText(items, "in", "on", "onto", "into") {
		dst = plain // "10 in on the right", "went in on the opposite side"
	}
	outOf := hasAnyText(items, "out of", "outta", "out") || src != none && hasAnyText(items, "from", "off")
	if dst == pFarSide && hasAnyText(items, "other side") {
		dst = orTag(opposite(orTag(src, lastPlace)), dst)
	}
	switch {
	case amount != nil && src == none && dst != none && dst == plain && len(m.halves) > 0 && m.halves[len(m.halves)-1].remove && m.halves[len(m.halves)-1].clause == ci-1 && amount.unit.dim() != dimTurn && (hasAnyText(items, "in", "into") || sameAmount(amount, lastAmount)):
		m.verbs = true
		m.claimed[[2]int{ci, at}] = true
		m.addHalf(half{place: dst, amount: amount, clause: ci, ordered: m.halves[len(m.halves)-1].ordered, text: c.text()})
		return amount, dst
	case amount == nil && lastAmount != nil && dst != none && src == none && len(m.halves) > 0 && m.halves[len(m.halves)-1].remove && m.halves[len(m.halves)-1].clause >= ci-1 && !m.halves[len(m.halves)-1].used:
		// "took 10 out of the right, into the left"
		m.addHalf(half{place: dst, amount: lastAmount, clause: ci, ordered: m.halves[len(m.halves)-1].ordered, text: c.text(), implied: true})
		return lastAmount, dst
	case amount != nil && src != none && dst != none && src != dst && amount.unit.dim() != dimNone || amount != nil && src != none && dst != none && src != dst && (amount.values[0].whole <= 3 || amount.values[0].small()):
		m.verbs = true
		m.claimed[[2]int{ci, at}] = true
		m.full(src, dst, amount, amount.unit.dim() == dimTurn, ordered, c.text())
		return amount, dst
	case amount != nil && src != none && dst == none && outOf && (src == pLeft || src == pRight || src == pPinion || src == pPack) && strictOut(items):
		m.verbs = true
		m.claimed[[2]int{ci, at}] = true
		m.addHalf(half{remove: true, place: src, amount: amount, clause: ci, ordered: ordered, text: c.text()})
		return amount, src
	case amount != nil && src == none && dst != none && len(m.halves) > 0 && m.halves[len(m.halves)-1].remove && (hasAnyText(items, "into", "to", "onto") || hasAnyText(items, "in", "on")) && onlyLight(items):
		m.verbs = true
		m.claimed[[2]int{ci, at}] = true
		m.addHalf(half{place: dst, amount: amount, clause: ci, ordered: ordered || m.halves[len(m.halves)-1].ordered, text: c.text()})
		return amount, dst
	case amount != nil && (hasAnyText(items, "thicker", "thinner", "up", "down")) && plain != none && (plain == pPinion || plain == pLeft || plain == pRight || plain == pPack) && (amount.unit.dim() == dimLength || hasAnyText(items, "thicker", "thinner")) && hasAnyText(items, "went", "thicker", "thinner"):
		m.verbs = true
		m.claimed[[2]int{ci, at}] = true
		thinner := hasAnyText(items, "thinner", "down")
		m.addHalf(half{remove: thinner, place: plain, amount: amount, clause: ci, ordered: ordered, text: c.text()})
		return amount, plain
	}
	return lastAmount, lastPlace
}

// quantityLate: the clause opens with a number and a place, and names another
// quantity only behind them.
func quantityLate(items []item) bool {
	figure, place := false, false
	for _, it := range items {
		figure = figure || it.group != nil
		place = place || placeOf(it) != none
		if it.tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qTemp) {
			return figure && place
		}
	}
	return false
}

// strictOut: "out of the right", not "right side out at 9".
func strictOut(items []item) bool {
	for i, it := range items {
		if it.text == "out of" || it.text == "outta" || it.text == "from" || it.text == "off" && placeOf(next(items, i+1)) != none || it.text == "out" && isWord(items, i+1, "of", "the") {
			return true
		}
	}
	return false
}

func onlyLight(items []item) bool {
	for _, it := range items {
		if !it.tags.has(light) && placeOf(it) == none && it.group == nil && it.kind != signItem && !it.tags.hasAny(vTo, qShim) {
			return false
		}
	}
	return true
}

// full records a move from one place to another.
func (m *moveFinder) full(src, dst tag, amount *group, turns, ordered bool, text string) {
	if src == dst {
		return
	}
	if src == pBoth || dst == pBoth {
		if src == pBoth && (dst == pStock || dst == none) {
			m.full(pLeft, pStock, amount, turns, ordered, text)
			m.full(pRight, pStock, amount, turns, ordered, text)
			return
		}
		if dst == pBoth && (src == pStock || src == none) {
			m.full(pStock, pLeft, amount, turns, ordered, text)
			m.full(pStock, pRight, amount, turns, ordered, text)
			return
		}
		m.asks = append(m.asks, "from where to where?")
		return
	}
	mv := m.move(src, dst, amount, turns, text)
	if ordered {
		m.pending = append(m.pending, mv)
		return
	}
	if mv.AmountIn == nil && mv.AmountMM == nil && mv.Notches == nil {
		m.asks = append(m.asks, "how much?")
		return
	}
	m.done = append(m.done, mv)
}

func (m *moveFinder) emitHalf(h half) {
	if h.remove {
		m.full(h.place, pStock, h.amount, h.turns, h.ordered, h.text)
	} else {
		m.full(pStock, h.place, h.amount, h.turns, h.ordered, h.text)
	}
}

// pair joins what came off one place with what went onto another.
func (m *moveFinder) pair() {
	for i := range m.halves {
		a := &m.halves[i]
		if a.used {
			continue
		}
		for k := i + 1; k < len(m.halves); k++ {
			b := &m.halves[k]
			if b.used || b.remove == a.remove || b.place == a.place || a.ordered != b.ordered || b.clause-a.clause > 3 {
				continue
			}
			if !(b.implied || a.implied || sameAmount(a.amount, b.amount)) || pairless(a.place, b.place) {
				continue
			}
			a.used, b.used = true, true
			if a.remove {
				m.full(a.place, b.place, a.amount, a.turns || b.turns, a.ordered, a.text)
			} else {
				m.full(b.place, a.place, a.amount, a.turns || b.turns, a.ordered, a.text)
			}
			break
		}
		if !a.used {
			a.used = true
			m.emitHalf(*a)
		}
	}
}

// pairless: what goes into the pinion stack did not come off a side.
func pairless(a, b tag) bool {
	if a == pStock || b == pStock {
		return false
	}
	side := func(t tag) bool { return t == pLeft || t == pRight || t == pRingSide || t == pFarSide }
	return !side(a) || !side(b)
}

func sameAmount(a, b *group) bool {
	if a == nil || b == nil || len(a.values) != len(b.values) {
		return false
	}
	for i := range a.values {
		if a.values[i].val != b.values[i].val {
			return false
		}
	}
	return a.unit == b.unit || a.unit == noUnit || b.unit == noUnit
}

// move makes a Move; an amount that cannot be read stays open.
func (m *moveFinder) move(src, dst tag, amount *group, turns bool, text string) Move {
	mv := Move{From: placeNames[src], To: placeNames[dst], Text: text}
	if src == none && dst != none {
		mv.From = ""
	}
	if amount == nil {
		return mv
	}
	v := amount.values[0]
	if amount.sum {
		for _, x := range amount.values[1:] {
			v.val += x.val
			v.point = v.point || x.point
		}
	}
	if turns && (amount.unit == uNotch || amount.unit == noUnit && !v.small()) {
		n := v.val
		mv.Notches = &n
		return mv
	}
	if amount.unit.dim() == dimTurn {
		return mv
	}
	q := quantity{dim: dimLength, low: 0.01, high: 8, bare: bareShim}
	if !v.point && v.val < 10 {
		q.bare = bareSmall
	}
	var forms []scaled
	if amount.unit != noUnit {
		forms = typed(amount.unit, q, m.sys)
	} else {
		forms = bareForms(v, q, m.sys)
	}
	var fit []scaled
	for _, f := range forms {
		if q.plausible(f, f.value(v)) {
			fit = append(fit, f)
		}
	}
	if len(fit) != 1 || v.val <= 0 {
		return mv
	}
	x := fit[0].value(v)
	if fit[0].name == "in" {
		mv.AmountIn = &x
	} else {
		mv.AmountMM = &x
	}
	return mv
}
