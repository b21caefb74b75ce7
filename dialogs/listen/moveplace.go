package listen

// placesOf gives the stack or adjuster an item names.
func placeOf(it item) tag {
	if it.text == "pack" {
		return pPack
	}
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

func placeBetween(items []item, from, to int) tag {
	for i := from; i < to && i < len(items); i++ {
		if p := placeOf(items[i]); p != none && !(p == pRight && rightMeansExactly(items, i)) {
			return p
		}
	}
	return none
}

// intoStock: "back in the kit".
func intoStock(items []item, from, to int) bool {
	for i := from; i < to && i < len(items); i++ {
		if items[i].tags.has(pStock) && isWord(items, i-1, "in", "into", "to", "on", "back in", "back into") && !isWord(items, i+1, "shim", "shims", "stack") {
			return true
		}
	}
	return false
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
			if it.text == "for" && src != none {
				dir = 't' // "robbed 4 from the right for the left"
				break
			}
			if it.tags.has(vTo) {
				dir = 't'
				if it.text == "on" || it.text == "in" || it.text == "under" || it.text == "behind" {
					dir = 'n'
				}
				break
			}
			if !it.tags.has(light) && !isWord(items, k, "feed", "fatten", "pad", "thicken", "build") || k == verb {
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
