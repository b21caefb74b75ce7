package listen

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
	if hasQuantity(*c) && !quantityLate(items) && !forPreload(items) && !(onlyShims(*c) && hasAnyText(items, "thicker", "thinner", "up", "down", "less", "more")) || hasTag(items, pCaps) || hasTag(items, pNut) || hasTag(items, pRingBolts) || hasTag(items, mNoise) {
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
	var before *step
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
			if before != nil { // "minus 4 right"
				cur.in, cur.amount, cur.at, cur.signed = before.in, before.amount, before.at, true
				before = nil
				push()
			}
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
			if v := it.group.values[0]; len(it.group.values) == 1 && v.sign != 0 && cur.place == none && (i+1 < len(items) && placeOf(items[i+1]) != none) && it.group.unit.dim() != dimTorque {
				g := *it.group
				g.values = []number{v}
				g.values[0].sign, g.values[0].val = 0, max(v.val, -v.val)
				before = &step{in: 1, amount: &g, at: i}
				if v.sign == '-' {
					before.in = -1
				}
				break
			}
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
	case amount == nil && m.loose != nil && src != none && dst != none && m.looseClause == ci-1:
		m.verbs = true
		g := m.loose
		m.loose = nil
		m.full(src, dst, g, g.unit == uNotch, m.looseOrdered, c.text())
		return g, dst
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
	case amount != nil && plain != none && src == none && dst == none && hasAnyText(items, "another", "extra") && (plain == pBoth || plain == pLeft || plain == pRight || plain == pPinion || plain == pPack):
		m.verbs = true
		m.claim(ci, at)
		m.addHalf(half{place: plain, amount: amount, clause: ci, ordered: ordered, text: c.text()}) // "another 0.05 each side"
		return amount, plain
	case amount != nil && (hasAnyText(items, "thicker", "thinner", "up", "down", "less", "more")) && plain != none && (plain == pPinion || plain == pLeft || plain == pRight || plain == pPack) && (amount.unit.dim() == dimLength || hasAnyText(items, "thicker", "thinner") || stackUp(items)) && (hasAnyText(items, "went", "thicker", "thinner") || hasAnyText(items, "now") || stackUp(items)):
		m.verbs = true
		m.claimed[[2]int{ci, at}] = true
		thinner := hasAnyText(items, "thinner", "down", "less")
		m.addHalf(half{remove: thinner, place: plain, amount: amount, clause: ci, ordered: ordered, text: c.text()})
		return amount, plain
	}
	return lastAmount, lastPlace
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
