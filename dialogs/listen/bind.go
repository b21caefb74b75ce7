package listen

import (
	"strings"
)

// bound is a group of numbers with the quantity it measures.
type bound struct {
	q          tag    // none where nothing says what it is
	mods       mods   // what else is said of it
	g          *group // the numbers
	said       string // the clause
	clause     int
	item       int
	moods      mood
	behind     bool // the quantity is named behind the number
	asked      bool // it answers the bot's question
	signUnsure bool // a marking whose sign cannot be read
	set        bool // "set lash at 8": an order or the past
	was        bool // "was 12", "from 12": what it read before something newer
}

// frame is a quantity that waits for its number.
type frame struct {
	q      tag
	mods   mods
	head   string // "old shims:" says which for all that follow
	clause int
	item   int
	filled bool
	weak   bool
}

// binder walks the clauses and gives every number its quantity.
type binder struct {
	clauses  []clause
	claimed  map[[2]int]bool // clause, item: taken by a move
	expect   expectation
	shimTalk bool // shims are spoken of
	dragTalk bool // drag is spoken of
	signed   bool // a number has its sign
	breakIn  bool // a drive is reported
	noise    bool
	out      []bound
}

// bind gives every group of numbers its quantity.
func (b *binder) bind() {
	var cur *frame
	for ci := range b.clauses {
		c := &b.clauses[ci]
		if c.lead && cur != nil && (cur.filled || ci > 0 && b.clauses[ci-1].mark == '?') {
			cur = nil
		}
		cur = b.bindClause(ci, cur)
	}
}

func (b *binder) bindClause(ci int, cur *frame) *frame {
	c := &b.clauses[ci]
	backward := b.readsBackward(ci)
	var pending mods
	lastFigure := -1
	taken := -1 // quantity item that has its number already
	for i := 0; i < len(c.items); i++ {
		it := c.items[i]
		if it.kind == figureItem && it.group != nil {
			if b.claimed[[2]int{ci, i}] {
				lastFigure = i
				continue
			}
			if b.placeRow(ci, i) {
				lastFigure = i
				continue
			}
			if difference(c.items, i) || withShim(c.items, i) || changedBy(c.items, i) {
				lastFigure = i
				continue
			}
			nb := bound{g: it.group, clause: ci, item: i, moods: c.at(i), said: strings.Join(c.words, " ")}
			if wordsBehind(c.items) {
				pending.side, pending.which = none, "" // they belong to the number before
			}
			switch {
			case b.selfBound(&nb, cur, c, i):
				nb.mods = merge(pending, nb.mods)
				nb.mods = merge(nb.mods, b.trailing(c, i))
			case backward && b.takeFollowing(&nb, c, i, &taken):
				nb.mods = merge(nb.mods, pending)
				nb.mods = merge(nb.mods, b.trailing(c, i))
				cur = &frame{q: nb.q, mods: withoutWhich(nb.mods), clause: ci, item: i, filled: true}
			case cur != nil && !cur.filled && cur.q == qTorque && nb.g.unit == uFtLb && b.pathOpen(cur, ci, i):
				nb.q, cur.filled = cur.q, true
				nb.mods = merge(pending, cur.mods)
			case cur != nil && !cur.filled && (cur.q == qTorque || cur.q == qTemp || cur.q == qTeeth || cur.weak) && b.takeFollowing(&nb, c, i, &taken):
				nb.mods = merge(nb.mods, pending)
				nb.mods = merge(nb.mods, b.trailing(c, i))
				cur = &frame{q: nb.q, mods: withoutWhich(nb.mods), clause: ci, item: i, filled: true}
			case cur != nil && !cur.filled && compatible(cur.q, it.group) && b.pathOpen(cur, ci, i):
				nb.q = cur.q
				cur.filled = true
				nb.mods = merge(pending, cur.mods)
				cur.mods.which = ""
				nb.mods = merge(nb.mods, b.trailing(c, i))
				cur.mods = merge(cur.mods, withoutWhich(b.trailing(c, i)))
			case b.takeFollowing(&nb, c, i, &taken):
				nb.mods = merge(nb.mods, pending)
				nb.mods = merge(nb.mods, b.trailing(c, i))
				cur = &frame{q: nb.q, mods: withoutWhich(nb.mods), clause: ci, item: i, filled: true}
			case cur != nil && cur.filled && cur.q != none && b.continuesFrame(cur, c, i, lastFigure, ci):
				nb.q = cur.q
				if cur.q == qTotalDrag && pending.pinion && !pending.total {
					nb.q, cur.mods.total = qDrag, false
				}
				if b.behindUnit(cur, c, i, lastFigure) && cur.clause == ci {
					row := *nb.g
					row.unit = c.items[lastFigure].group.unit
					nb.g = &row
				}
				nb.mods = merge(pending, withoutWhich(cur.mods))
				nb.mods = merge(nb.mods, b.trailing(c, i))
			default:
				nb.mods = merge(pending, b.trailing(c, i))
				b.answer(&nb, c, i)
			}
			if i > 0 && wasBefore(c, i) {
				nb.was = true
			}
			if nb.q == none && b.dragTalk && (nb.g.unit == uInLb || nb.g.unit == uNm || nb.g.unit == noUnit) && nb.mods.total && !hasTag(c.items, pCaps) && !hasTag(c.items, pNut) {
				nb.q = qTotalDrag
				cur = &frame{q: qTotalDrag, mods: withoutWhich(nb.mods), clause: ci, item: i, filled: true}
			}
			if nb.q == qDrag && nb.mods.total {
				nb.q = qTotalDrag
			}
			b.out = append(b.out, nb)
			pending = mods{}
			lastFigure = i
			continue
		}
		if q := b.frameTag(c, i); q != none && i != taken {
			if q == qBacklash && cur != nil && !cur.filled && cur.clause == ci && cur.q == qSpread {
				continue // "spread of the lash"
			}
			// what only the size of a number or a lone word suggests gives way
			weak := q == qTorque || q == qTeeth || q == qTemp || q == qDistance || quantityOf(it) == none || weakMark[it.text] || isWord(c.items, i, "running", "turning", "rolling")
			if cur != nil && !cur.filled && cur.clause == ci && weak && cur.q != qShim && !(q == qTeeth && cur.q == qTeeth) {
				b.modsOf(c, i, &cur.mods) // "backlash teeth": the first names it
				continue
			}
			m := pending
			if cur != nil && !cur.filled && cur.clause == ci {
				m = merge(m, cur.mods)
			}
			cur = &frame{q: q, mods: m, clause: ci, item: i}
			b.modsOf(c, i, &cur.mods)
			if cur.mods.total && q == qDrag {
				cur.q = qTotalDrag
			}
			if isSign(c.items, i+1, ":") || i+1 == len(c.items) && c.mark == ':' {
				cur.head = cur.mods.which
			}
			cur.weak = strings.HasSuffix(it.text, " at")
			pending = mods{}
			continue
		}
		if it.text == ":" && cur != nil && !cur.filled {
			cur.head = orText(cur.head, cur.mods.which)
		}
		// words that narrow
		if cur != nil && !cur.filled && cur.clause == ci {
			b.modsOf(c, i, &cur.mods)
			if cur.mods.total && cur.q == qDrag {
				cur.q = qTotalDrag
			}
			if cur.q == qTorque && cur.mods.part == "" {
				b.modsOf(c, i, &cur.mods)
			}
		} else {
			b.modsOf(c, i, &pending)
			if b.sideFrame(c, i, cur, pending) {
				q := qShim
				if cur != nil && (cur.q == qAdjuster || cur.q == qShim) {
					q = cur.q
				}
				head := ""
				if cur != nil && cur.q == q {
					head = cur.head
				}
				pending.which = orText(pending.which, head)
				cur = &frame{q: q, mods: pending, head: head, clause: ci, item: i}
				pending = mods{}
			}
		}
	}
	if cur != nil && cur.q == qTemp && cur.filled {
		return nil
	}
	return cur
}
