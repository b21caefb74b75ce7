package listen

// mods are the words that narrow a quantity.
type mods struct {
	side     tag // pLeft, pRight, pBoth, pRingSide, pFarSide
	which    string
	part     string // ring, pinion, head, tail, caps, nut, ring bolts, cover
	pinion   bool
	pack     bool
	ring     bool
	total    bool
	carrier  bool
	seal     string
	bearings string
	load     string // drive, coast, float
}

func withoutWhich(m mods) mods { m.which = ""; return m }

// modsOf adds what the item at i says to m.
func (b *binder) modsOf(c *clause, i int, m *mods) {
	it := c.items[i]
	t := it.tags
	next := item{}
	if i+1 < len(c.items) {
		next = c.items[i+1]
	}
	switch {
	case t.has(pBoth):
		m.side = pBoth
	case t.has(pRingSide):
		m.side = pRingSide
	case t.has(pFarSide):
		m.side = pFarSide
	case t.has(pRight) && i >= 2 && isSign(c.items, i-1, "/") && c.items[i-2].tags.has(pLeft):
		m.side = pBoth // "left/right: 250/243"
	case t.has(pLeft):
		m.side = pLeft
	case t.has(pRight) && !(it.text == "right" && rightMeansExactly(c.items, i)):
		m.side = pRight
	}
	if t.has(pPack) {
		m.pack = true
	} else if t.has(pPinion) {
		m.pinion = true
		m.part = orText(m.part, "pinion")
	}
	if it.text == "preload" && hasTag(c.items, qShim) {
		m.pack = true
	}
	if t.has(pRing) {
		m.ring = true
		m.part = "ring"
	}
	if t.has(pCarrier) {
		for k := max(0, i-2); k < i; k++ {
			if isWord(c.items, k, "with", "w", "incl", "including", "plus") && (isWord(c.items, i+1, "in", "fitted", "installed", "on") || i+1 == len(c.items)) {
				m.total = true
			}
		}
		m.carrier = true
		m.part = orText(m.part, "carrier")
	}
	switch {
	case t.has(pCaps):
		m.part = "caps"
	case t.has(pRingBolts):
		m.part = "ring bolts"
	case t.has(pNut):
		m.part = "nut"
	case t.has(pCover):
		m.part = "cover"
	case t.has(pHead):
		m.part = "head"
	case t.has(pTail):
		m.part = "tail"
	case t.has(pHousing):
		m.part = orText(m.part, "housing")
	case t.has(pOil):
		m.part = orText(m.part, "oil")
	}
	if b.dragTalk && isWord(c.items, i, "all in", "all up", "all together", "altogether", "everything") {
		m.total = true
	}
	if it.text == "with" && isWord(c.items, i+1, "it") && b.dragTalk && b.carrierSpoken() {
		m.total = true
	}
	if it.text == "oven" {
		m.part = orText(m.part, "oven")
	}
	if it.text == "total" || it.text == "overall" || it.text == "combined" || it.text == "altogether" {
		m.total = true
	}
	if t.has(pSeal) {
		m.seal = "on"
		for k := max(0, i-2); k < i; k++ {
			if isWord(c.items, k, "no", "without", "off", "minus", "w/o", "sans") {
				m.seal = "off"
			}
		}
		if isWord(c.items, i+1, "off", "out") {
			m.seal = "off"
		}
	}
	if t.has(sDrive) && b.noise {
		m.load = "drive"
	} else if t.has(sCoast) && b.noise {
		m.load = "coast"
	} else if it.text == "float" {
		m.load = "float"
	} else if isWord(c.items, i, "accel", "accelerating", "throttle", "power", "pull", "pulling", "acceleration") && b.noise {
		m.load = "drive"
	} else if isWord(c.items, i, "deceleration", "decel", "overrun", "coasting") && b.noise {
		m.load = "coast"
	}
	// old and new belong to the noun behind them
	other := next.tags.hasAny(pBearing, pSleeve, pNut, pSeal, pRingBolts, pCaps, pOil, pCover, pHead, pTail, pHousing) && !next.tags.hasAny(qHeight, qShim)
	marked := next.tags.hasAny(pHead, pPinion) && signedFigure(c.items, i+1)
	tall := b.expect.q == qHeight || hasTag(c.items, qHeight) || standsTall(c.items, i+1)
	switch {
	case t.has(wBefore), it.text == "before" && apartSoon(c.items, i+1):
		m.which = "before_teardown"
	case t.has(wSetup):
		m.which = "setup"
	case it.text == "out" && isSign(c.items, i+1, ":"):
		m.which = "old"
	case it.text == "in" && isSign(c.items, i+1, ":"):
		m.which = "new"
	case t.has(wFinal) && !(it.text == "final" && next.text == "drive" && !isWord(c.items, i+2, "pattern", "side")):
		m.which = "final"
	case marked && t.has(wOld):
		m.which = "old"
	case marked && t.has(wNew):
		m.which = "new"
	case t.has(wOld) && other && next.tags.has(pBearing):
		m.bearings = "used"
		if tall {
			m.which = "old"
		}
	case t.has(wNew) && other && next.tags.has(pBearing):
		m.bearings = "new"
		if tall {
			m.which = "new"
		}
	case (t.has(wOld) || t.has(wNew)) && other && tall && next.tags.hasAny(pHead, pTail):
		m.which = "new"
		if t.has(wOld) {
			m.which = "old"
		}
	case (t.has(wOld) || t.has(wNew)) && i+1 < len(c.items) && next.kind == phraseItem && next.tags.empty() && !whichVerb[next.text]:
		// "the old inch dial": of something else
	case (t.has(wOld) || t.has(wNew)) && (toolWords[next.text] || isWord(c.items, i+1, "dial", "gauge", "gun", "scale", "beam", "indicator", "truck", "one", "ones") && (cantBeOld(c) || next.text == "dial" || next.text == "scale" || next.text == "gauge")):
	case t.has(wOld) && !other && it.text != "stock shim" && !(it.text == "used" && next.kind == phraseItem && !next.tags.hasAny(qShim, qBacklash, figure)):
		m.which = "old"
	case t.has(wNew) && !other:
		m.which = "new"
	}
}

// apartSoon: "before I took anything apart" in all its forms.
func apartSoon(items []item, i int) bool {
	for k := i; k < len(items) && k < i+5; k++ {
		switch items[k].text {
		case "took", "tore", "tear", "strip", "stripped", "stripping", "teardown", "disassembly", "dismantling", "apart", "touched", "opened", "touching":
			return true
		case "pulled", "pull", "pulling", "taking", "take":
			return isWord(items, k+1, "it", "the", "anything", "this", "that", "everything", "carrier", "diff") || k+1 >= len(items) || items[k+1].tags.hasAny(pCarrier, pPinion, pRing)
		}
		if items[k].kind == signItem || items[k].group != nil {
			return false
		}
	}
	return false
}

func (b *binder) carrierSpoken() bool {
	for _, c := range b.clauses {
		if hasTag(c.items, pCarrier) {
			return true
		}
	}
	return false
}

// cantBeOld: a torque, a temperature or a drive is of now.
func cantBeOld(c *clause) bool {
	return hasTag(c.items, qTorque) || hasTag(c.items, qTemp) || hasTag(c.items, qDistance)
}

// whichVerb are words that may follow "old" or "new" without being what is old.
var whichVerb = wordSet("gears gear gearset set measured reads miked comes stamped etched head one ones says said")

func orText(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// rightMeansExactly: "right at 9", "right on", "right where".
func rightMeansExactly(items []item, i int) bool {
	if i+1 >= len(items) {
		return false
	}
	switch items[i+1].text {
	case "at", "on", "where", "now", "around", "about", "there", "after", "before":
		return !isWord(items, i-1, "the", "on", "from", "of") || items[i+1].text == "on" || items[i+1].text == "now"
	}
	return false
}

// wordsBehind: numbers and sides take turns, a number first and a side last.
func wordsBehind(items []item) bool {
	last, n := byte(0), 0
	for _, it := range items {
		k := byte(0)
		switch {
		case it.group != nil:
			k = 'F'
		case it.tags.hasAny(pLeft, pRight) && !(it.text == "right" && it.tags.has(light) && n == 0), it.tags.hasAny(wOld, wNew, wSetup, wFinal) && !it.tags.has(pBearing):
			k = 'S'
		default:
			continue
		}
		if n == 0 && k == 'S' || k == last {
			return false
		}
		last = k
		n++
	}
	return n >= 4 && last == 'S'
}

// merge adds to m what it leaves open from extra.
func merge(m, extra mods) mods {
	if m.side == none {
		m.side = extra.side
	}
	m.which = orText(m.which, extra.which)
	m.part = orText(m.part, extra.part)
	m.seal = orText(m.seal, extra.seal)
	m.bearings = orText(m.bearings, extra.bearings)
	m.load = orText(m.load, extra.load)
	m.pinion = m.pinion || extra.pinion
	m.pack = m.pack || extra.pack
	m.ring = m.ring || extra.ring
	m.total = m.total || extra.total
	m.carrier = m.carrier || extra.carrier
	return m
}

// trailing gives the words behind the number at i, up to the next number or
// quantity.
func (b *binder) trailing(c *clause, i int) mods {
	var m mods
	for k := i + 1; k < len(c.items); k++ {
		it := c.items[k]
		if it.kind == figureItem && it.group != nil {
			// what stands right before the next number belongs to it, unless all
			// numbers have their words behind: "248 left and 240 right"
			if wordsBehind(c.items) {
				return m
			}
			return mods{}
		}
		if q := quantityOf(it); q != none && q != qTeeth && q != qTorque && k > i+1 && figureWithin(c.items, k+1, 4) {
			return mods{}
		}
		b.modsOf(c, k, &m)
	}
	return m
}
