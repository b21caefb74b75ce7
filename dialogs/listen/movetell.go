package listen

// told is what one clause without a verb says: "right to left 5", "10 out of the
// right", "into the left".
type told struct {
	c               *clause
	ci              int
	src, dst, plain tag
	amount          *group
	at              int
	ordered         bool
	before          *half // what came off a place just before, if anything did
}

// elliptic reads what has no verb: "right to left 5", "left in 2, right out 2",
// "10 out of the right and into the left".
func (m *moveFinder) elliptic(ci int, adjusters bool, lastAmount *group, lastPlace tag) (*group, tag) {
	c := &m.clauses[ci]
	items := c.items
	if c.moods&(notDone|moodNot) != 0 && c.moods&(moodQuestion|moodTarget|moodPlan|moodIf) == 0 {
		return lastAmount, lastPlace
	}
	if m.mentorTries(ci) {
		return lastAmount, lastPlace
	}
	steps := onlyShims(*c) && hasAnyText(items, "thicker", "thinner", "up", "down", "less", "more")
	if hasQuantity(*c) && !quantityLate(items) && !forPreload(items) && !steps && !m.smallWay(ci) || hasTag(items, pCaps) || hasTag(items, pNut) || hasTag(items, pRingBolts) || hasTag(items, mNoise) {
		return lastAmount, lastPlace
	}
	ordered := m.sender == Mentor || c.moods&notDone != 0
	if list := m.steps(items, adjusters); len(list) > 0 {
		for _, s := range list {
			m.claim(ci, s.at)
			m.addHalf(half{remove: s.in < 0, place: s.place, amount: s.amount, turns: !s.signed, clause: ci, ordered: ordered, text: c.text()})
		}
		return list[len(list)-1].amount, list[len(list)-1].place
	}
	t := told{c: c, ci: ci, ordered: ordered}
	t.src, t.dst, t.plain = m.places(items, 0, -1, len(items))
	t.amount, t.at = m.amount(ci, 0, len(items))
	if n := len(m.halves); n > 0 && m.halves[n-1].remove && m.halves[n-1].clause >= ci-1 {
		t.before = &m.halves[n-1]
	}
	if t.before != nil && t.src == none && t.dst == none && t.plain != none && hasAnyText(items, "in", "on", "onto", "into", "gets", "got") {
		t.dst = t.plain // "10 in on the right", "went in on the opposite side"
	}
	if t.dst == pFarSide && hasAnyText(items, "other side") {
		t.dst = orTag(opposite(orTag(t.src, lastPlace)), t.dst)
	}
	amount, place, ok := m.tell(t, lastAmount)
	if !ok {
		return lastAmount, lastPlace
	}
	return amount, place
}

// smallWay: "2 1/2 thou out of the pinion stack": too thin to be a stack, and a
// way is told.
func (m *moveFinder) smallWay(ci int) bool {
	c := &m.clauses[ci]
	if !onlyShims(*c) || !strictOut(c.items) && !hasAnyText(c.items, "into") {
		return false
	}
	g, _ := m.amount(ci, 0, len(c.items))
	return g != nil && !m.whole(g)
}

// mentorTries reads a mentor's "try 3 thou more in the pinion" as a move to be
// made.
func (m *moveFinder) mentorTries(ci int) bool {
	c := &m.clauses[ci]
	if m.sender != Mentor || c.moods&moodOrder == 0 {
		return false
	}
	g, _ := m.amount(ci, 0, len(c.items))
	p := placeBetween(c.items, 0, len(c.items))
	if g == nil || p == none || p == pBoth {
		return false
	}
	src, dst := pStock, p
	if hasAnyText(c.items, "less", "thinner", "out", "out of", "down") {
		src, dst = p, pStock
	}
	m.pending = append(m.pending, m.move(src, dst, g, g.unit == uNotch, c.text()))
	return true
}

// tell records what a clause without a verb says; ok is false where it says
// nothing of a move.
func (m *moveFinder) tell(t told, lastAmount *group) (*group, tag, bool) {
	items := t.c.items
	add := func(h half) {
		m.claim(t.ci, t.at)
		h.clause, h.text = t.ci, t.c.text()
		m.addHalf(h)
	}
	if t.amount == nil {
		switch {
		case m.loose != nil && t.src != none && t.dst != none && m.looseClause == t.ci-1:
			g := m.loose // "moved the 5 you said, right to left"
			m.loose = nil
			m.full(t.src, t.dst, g, g.unit == uNotch, m.looseOrdered, t.c.text())
			return g, t.dst, true
		case lastAmount != nil && t.dst != none && t.src == none && t.before != nil && !t.before.used:
			t.at = -1 // "took 10 out of the right, into the left"
			add(half{place: t.dst, amount: lastAmount, ordered: t.before.ordered, implied: true})
			return lastAmount, t.dst, true
		}
		return nil, none, false
	}
	v := t.amount.values[0]
	stack := t.plain == pPinion || t.plain == pLeft || t.plain == pRight || t.plain == pPack
	plainOnly := t.plain != none && t.src == none && t.dst == none
	switch {
	case t.src == none && t.dst != none && t.before != nil && t.amount.unit.dim() != dimTurn && (t.dst == t.plain && (hasAnyText(items, "in", "into") || sameAmount(t.amount, lastAmount)) || onlyLight(items) && hasAnyText(items, "into", "to", "onto", "in", "on")):
		add(half{place: t.dst, amount: t.amount, ordered: t.before.ordered})
		return t.amount, t.dst, true
	case t.src != none && t.dst != none && t.src != t.dst && (t.amount.unit.dim() != dimNone || v.whole <= 3 || v.small()):
		m.claim(t.ci, t.at)
		m.full(t.src, t.dst, t.amount, t.amount.unit.dim() == dimTurn, t.ordered, t.c.text())
		return t.amount, t.dst, true
	case t.src != none && t.dst == none && (t.src == pLeft || t.src == pRight || t.src == pPinion || t.src == pPack) && strictOut(items):
		add(half{remove: true, place: t.src, amount: t.amount, ordered: t.ordered})
		return t.amount, t.src, true
	case plainOnly && (stack || t.plain == pBoth) && hasAnyText(items, "another", "extra"):
		add(half{place: t.plain, amount: t.amount, ordered: t.ordered}) // "another 0.05 each side"
		return t.amount, t.plain, true
	case stack && (hasAnyText(items, "thicker", "thinner") || stackUp(items) || t.amount.unit.dim() == dimLength && hasAnyText(items, "up", "down", "less", "more") && hasAnyText(items, "went", "now")):
		add(half{remove: hasAnyText(items, "thinner", "down", "less"), place: t.plain, amount: t.amount, ordered: t.ordered})
		return t.amount, t.plain, true
	}
	return nil, none, false
}

// step is one place with its change: "left in 2", "right -5".
type step struct {
	place  tag
	in     int // +1 in or thicker, −1 out or thinner
	amount *group
	at     int
	signed bool // leaves, no adjuster
}

func (s step) whole() bool { return s.place != none && s.in != 0 && s.amount != nil }

// steps reads several changes told by place and way: "left in 2 right out 2",
// "left +5, right -5", "right stack down 4".
func (m *moveFinder) steps(items []item, adjusters bool) []step {
	var list []step
	cur := step{at: -1}
	var before *step // "minus 4 right": the amount stands before its place
	push := func() {
		if cur.whole() {
			list = append(list, cur)
		}
		cur = step{at: -1}
	}
	for i, it := range items {
		switch p := placeOf(it); {
		case (p == pLeft || p == pRight || p == pBoth || p == pRingSide || p == pFarSide) && !(p == pRight && rightMeansExactly(items, i) && !(adjusters && isWord(items, i+1, "on") && soonFigure(items, i+2))):
			if cur.place != none {
				push()
			}
			cur.place = p
			if before != nil {
				cur.in, cur.amount, cur.at, cur.signed = before.in, before.amount, before.at, true
				before = nil
				push()
			}
		case it.text == "right on" && adjusters && soonFigure(items, i+1): // "left off 1, right on 1"
			push()
			cur.place, cur.in = pRight, 1
		case isWord(items, i, "up", "down") && cur.place != none && m.shimTalk() && soonFigure(items, i+1):
			cur.in, cur.signed = 1, true
			if it.text == "down" {
				cur.in = -1
			}
		case it.text == "in" && !isWord(items, i+1, "the", "it"), isWord(items, i, "tighter", "clockwise"), it.text == "on" && adjusters && cur.place != none && soonFigure(items, i+1):
			cur.in = 1
		case isWord(items, i, "out", "looser", "off", "counterclockwise", "backed off") && !isWord(items, i+1, "of"):
			cur.in = -1
		case it.group != nil && len(it.group.values) == 1:
			g, d := it.group, it.group.unit.dim()
			switch {
			case g.values[0].sign != 0 && cur.place == none && i+1 < len(items) && placeOf(items[i+1]) != none && d != dimTorque:
				s := signedStep(g, i)
				before = &s
			case g.values[0].sign != 0 && cur.place != none && (d == dimNone || d == dimLength):
				s := signedStep(g, i)
				s.place = cur.place
				cur = s
				push()
			case (g.unit == uNotch || (d == dimNone || d == dimLength) && cur.signed || d == dimNone && adjusters) && !g.inexact:
				if cur.whole() {
					push()
				}
				cur.amount, cur.at = g, i
			}
		}
	}
	push()
	return list
}

// signedStep parts "+5" into the way and the amount.
func signedStep(g *group, at int) step {
	plain := *g
	v := g.values[0]
	s := step{in: 1, at: at, signed: true, amount: &plain}
	if v.sign == '-' {
		s.in, v.val = -1, -v.val
	}
	v.sign = 0
	plain.values = []number{v}
	return s
}

// stackUp: "pinion stack up 0.05".
func stackUp(items []item) bool {
	for i := range items {
		if isWord(items, i, "up", "down") && i > 0 && items[i-1].tags.has(qShim) && i+1 < len(items) && items[i+1].group != nil {
			return true
		}
	}
	return false
}

// onlyShims: of all quantities the clause names shims alone.
func onlyShims(c clause) bool {
	for _, it := range c.items {
		if it.tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qTemp) && !it.tags.has(qPattern) {
			return false
		}
	}
	return true
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
