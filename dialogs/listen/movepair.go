package listen

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
		m.asks = append(m.asks, Ask{Key: "ask.from_to"})
		return
	}
	mv := m.move(src, dst, amount, turns, text)
	if ordered {
		m.pending = append(m.pending, mv)
		return
	}
	if mv.AmountIn == nil && mv.AmountMM == nil && mv.Notches == nil {
		m.asks = append(m.asks, Ask{Key: "ask.how_much"})
		return
	}
	for _, amount := range []*float64{mv.AmountIn, mv.AmountMM, mv.Notches} {
		if amount != nil && *amount == 0 {
			return // "left off 0 notches": nothing was moved
		}
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
