package listen

import "strings"

// bound is a group of numbers with the quantity it measures.
type bound struct {
	q          tag    // none where nothing says what it is
	mods       mods   // what else is said of it
	g          *group // the numbers
	clause     int
	item       int
	moods      mood
	behind     bool // the quantity is named behind the number
	asked      bool // it answers the bot's question
	signUnsure bool // a marking whose sign cannot be read
	set        bool // "set lash at 8": an order or the past
	was        bool // "was 12", "from 12": what it read before something newer
}

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
	breakIn  bool // a drive is reported
	heating  bool
	noise    bool
	out      []bound
}

var quantityTags = []tag{
	qTotalDrag, qBreakaway, qSpread, qBacklash, qCarrierPreload, qCaseSpread, qEndPlay, qRunout, qChecking, qMark, qDepth, qHeight, qMatch,
	qDrag, qShim, qAdjuster, qNoise, qTemp, qDistance, qTeeth, qTorque,
}

// weakMark are words that name a marking only where the pinion is spoken of.
var weakMark = wordSet("mark marks marked stamped etched etching")

// quantityOf gives the quantity an item names, or none.
func quantityOf(it item) tag {
	if it.kind != phraseItem {
		return none
	}
	for _, q := range quantityTags {
		if it.tags.has(q) {
			return q
		}
	}
	return none
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
			if difference(c.items, i) || changedBy(c.items, i) {
				lastFigure = i
				continue
			}
			nb := bound{g: it.group, clause: ci, item: i, moods: c.at(i)}
			switch {
			case b.selfBound(&nb, cur, c, i):
				nb.mods = merge(pending, nb.mods)
				nb.mods = merge(nb.mods, b.trailing(c, i))
			case backward && b.takeFollowing(&nb, c, i, &taken):
				nb.mods = merge(nb.mods, pending)
				nb.mods = merge(nb.mods, b.trailing(c, i))
				cur = &frame{q: nb.q, mods: withoutWhich(nb.mods), clause: ci, item: i, filled: true}
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
				nb.mods = merge(pending, withoutWhich(cur.mods))
				nb.mods = merge(nb.mods, b.trailing(c, i))
			default:
				nb.mods = merge(pending, b.trailing(c, i))
				b.answer(&nb, c, i)
			}
			if i > 0 && wasBefore(c, i) {
				nb.was = true
			}
			if nb.q == none && b.dragTalk && (nb.g.unit == uInLb || nb.g.unit == uNm) && nb.mods.total && !hasTag(c.items, pCaps) && !hasTag(c.items, pNut) {
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
			weak := q == qTorque || q == qTeeth || q == qTemp || q == qDistance || quantityOf(it) == none || weakMark[it.text]
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

func withoutWhich(m mods) mods { m.which = ""; return m }

// sideFrame: in talk of shims, "left 250 right 247" names two stacks.
func (b *binder) sideFrame(c *clause, i int, cur *frame, pending mods) bool {
	it := c.items[i]
	if !it.tags.hasAny(pLeft, pRight, pPinion, pRingSide, pFarSide, pPack, pBoth) {
		return false
	}
	if it.tags.has(light) && !figureWithin(c.items, i+1, 3) {
		return false
	}
	if cur != nil && cur.q != qShim && cur.q != qAdjuster && cur.clause == indexOf(b.clauses, c) {
		return false
	}
	if it.tags.has(pPinion) && cur != nil && cur.q == qAdjuster {
		return false
	}
	if cur != nil && cur.q == qAdjuster {
		return figureWithin(c.items, i+1, 3)
	}
	return b.shimTalk && figureWithin(c.items, i+1, 4)
}

func indexOf(clauses []clause, c *clause) int {
	for i := range clauses {
		if &clauses[i] == c {
			return i
		}
	}
	return -1
}

// frameTag gives the quantity the item at i opens, or none.
func (b *binder) frameTag(c *clause, i int) tag {
	it := c.items[i]
	q := quantityOf(it)
	if it.kind == phraseItem && (it.tags.has(pRing) || it.tags.has(pPinion) || q == qMark) && twoLong(c) {
		return qMatch
	}
	switch q {
	case qMark:
		if weakMark[it.text] && !nearPinion(c.items, i) && !(i+1 < len(c.items) && signedFigure(c.items, i+1)) {
			return none
		}
		if weakMark[it.text] && hasTag(c.items, pCaps) {
			return none
		}
	case qTeeth:
		if it.text == "tooth" || it.text == "teeth" || it.text == "counted" || it.text == "count" || it.text == "counts" {
			if hasTag(c.items, qBacklash) || hasTag(c.items, qPattern) || b.expect.q == qBacklash && !hasTag(c.items, pRing) {
				return none
			}
		}
	case qSpread:
		if it.text == "spread" && hasAnyText(c.items, "case", "housing") {
			return qCaseSpread
		}
	case qShim:
		if it.text == "pack" && hasAnyText(c.items, "preload") {
			return qShim
		}
	case qDrag:
		if it.text == "preload" && hasTag(c.items, qShim) {
			return none // "preload shim": a place
		}
		if it.text == "preload" || it.text == "bearing preload" {
			if hasTag(c.items, pCarrier) && !hasAnyText(c.items, "pinion") || hasAnyText(c.items, "side") {
				return qCarrierPreload
			}
		}
	case qDepth:
		if it.text == "depth" && hasTag(c.items, qShim) {
			return none
		}
	case qHeight:
		if (it.text == "height" || it.text == "heights") && !hasTag(c.items, pBearing) && !hasTag(c.items, pHead) && !hasTag(c.items, pTail) {
			return none
		}
	case qTemp:
		if it.text == "degrees" {
			return none
		}
		if it.text == "oven" || it.text == "probe" {
			return qTemp
		}
	}
	if weakMark[it.text] && hasTag(c.items, pRing) && soonLong(c.items, i+1) {
		return qMatch
	}
	if (it.text == "numbers" || it.text == "number" || it.text == "serial") && (hasTag(c.items, pRing) || hasAnyText(c.items, "ring and pinion")) && soonLong(c.items, i+1) {
		return qMatch
	}
	if q == none && (it.text == "total" || it.text == "overall" || it.text == "combined") && b.dragTalk && (soonFigure(c.items, i+1) || smallTorque(c.items[i:])) {
		return qTotalDrag
	}
	// pinion +3
	if q == none && it.tags.hasAny(pPinion, pHead) && !hasTag(c.items, qShim) && i+1 < len(c.items) && signedFigure(c.items, i+1) && !hasTag(c.items, vMove) {
		return qMark
	}
	// old head bearing 1.120
	if q == none && it.tags.hasAny(pHead, pTail, pBearing) && standsTall(c.items, i+1) {
		return qHeight
	}
	// drove 10 miles, pinion 165, carrier 150
	if q == none && b.breakIn && it.tags.hasAny(pPinion, pCarrier, pHousing, pOil, pCover) && soonFigure(c.items, i+1) && !hasTag(c.items, qDrag) && !hasTag(c.items, qShim) {
		return qTemp
	}
	// caps 75 ft lb, nut at 180
	if q == none && it.tags.hasAny(pCaps, pNut, pRingBolts, pCover) && i+1 < len(c.items) {
		for k := i + 1; k < len(c.items) && k < i+5; k++ {
			n := c.items[k]
			if n.kind == figureItem && n.group != nil {
				u := n.group.unit
				if u == uFtLb || u == uNm || u == uPound || hasTag(c.items, qTorque) || isWord(c.items, k-1, "at", "to") {
					return qTorque
				}
			}
			if !n.tags.has(light) && !n.tags.has(qTorque) && n.text != "tight" && n.text != "done" && n.text != "all" && n.kind != figureItem && !n.tags.has(wNew) {
				break
			}
		}
	}
	if q == none && it.tags.has(mNoise) {
		return qNoise
	}
	return q
}

// standsTall: a figure of the size of a bearing's stand height follows.
func standsTall(items []item, i int) bool {
	for k := i; k < len(items) && k < i+5; k++ {
		if g := items[k].group; g != nil {
			v := g.values[0]
			inch := v.point && v.val >= 0.4 && v.val < 5 && (g.unit == noUnit && v.frac >= 3 || g.unit == uInch)
			mm := v.val >= 8 && v.val < 120 && (g.unit == uMM || g.unit == noUnit && v.point && v.frac == 2)
			return inch || mm
		}
		if !items[k].tags.hasAny(light, qHeight, wOld, wNew, wSetup, wFinal, pHead, pTail, pBearing) && !isSign(items, k, ":=-") && !isWord(items, k, "stands", "measures", "height") {
			return false
		}
	}
	return false
}

// smallTorque: a figure in inch-pounds stands in the items.
func smallTorque(items []item) bool {
	for _, it := range items {
		if it.group != nil && it.group.unit == uInLb {
			return true
		}
	}
	return false
}

// twoLong: a ring and a pinion are told with a number of three digits or more
// each, or of one for both.
func twoLong(c *clause) bool {
	if !hasTag(c.items, pRing) || !hasTag(c.items, pPinion) && !hasAnyText(c.items, "pinion says", "pinion reads") || hasTag(c.items, qShim) || hasTag(c.items, qTemp) {
		return false
	}
	n := 0
	for _, it := range c.items {
		if it.group == nil {
			continue
		}
		v := it.group.values[0]
		if v.point || v.whole < 3 || it.group.unit != noUnit || v.sign != 0 {
			return false
		}
		n++
	}
	return n == 2
}

// soonLong: a whole number of three digits or more follows, as match numbers have.
func soonLong(items []item, i int) bool {
	for k := i; k < len(items); k++ {
		if g := items[k].group; g != nil {
			return !g.values[0].point && g.values[0].whole >= 3 && g.unit == noUnit
		}
	}
	return false
}

// soonFigure: a number stands behind, with only small words between.
func soonFigure(items []item, i int) bool {
	for k := i; k < len(items) && k < i+4; k++ {
		if items[k].group != nil {
			return true
		}
		if !items[k].tags.has(light) && !isSign(items, k, ":=-") {
			return false
		}
	}
	return false
}

func signedFigure(items []item, i int) bool {
	for k := i; k < len(items) && k < i+4; k++ {
		if g := items[k].group; g != nil {
			return g.values[0].sign != 0
		}
	}
	return false
}

func hasTag(items []item, t tag) bool {
	for _, it := range items {
		if it.tags.has(t) {
			return true
		}
	}
	return false
}

func hasAnyText(items []item, words ...string) bool {
	for _, it := range items {
		for _, w := range words {
			if it.text == w {
				return true
			}
		}
	}
	return false
}

func nearPinion(items []item, i int) bool {
	for k := max(0, i-4); k < len(items) && k < i+5; k++ {
		if items[k].tags.hasAny(pPinion, pHead) {
			return true
		}
	}
	return false
}

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
	case (t.has(wOld) || t.has(wNew)) && next.kind == phraseItem && next.tags.empty() && !whichVerb[next.text]:
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

// cantBeOld: a torque, a temperature or a drive is of now.
func cantBeOld(c *clause) bool {
	return hasTag(c.items, qTorque) || hasTag(c.items, qTemp) || hasTag(c.items, qDistance)
}

// whichVerb are words that may follow "old" or "new" without being what is old.
var whichVerb = wordSet("measured reads miked comes stamped etched head one ones says said")

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
			// what stands right before the next number belongs to it
			return mods{}
		}
		if q := quantityOf(it); q != none && q != qTeeth && q != qTorque && k > i+1 && figureWithin(c.items, k+1, 4) {
			return mods{}
		}
		b.modsOf(c, k, &m)
	}
	return m
}

// pathOpen says whether nothing but small words stands between the frame and the
// number at i of clause ci.
func (b *binder) pathOpen(f *frame, ci, i int) bool {
	c := &b.clauses[ci]
	start := 0
	if f.clause == ci {
		start = f.item + 1
	} else if f.clause != ci-1 && !b.lightBetween(f.clause, ci) {
		return false
	}
	strange := 0
	for k := start; k < i; k++ {
		it := c.items[k]
		switch {
		case it.kind == signItem, it.tags.has(light), it.tags.has(mMeasure), it.tags.has(mNow), it.tags.has(mApprox), it.tags.has(mInexact), it.tags.has(mAll), it.tags.has(mSum):
		case it.tags.hasAny(wOld, wNew, wSetup, wFinal, wBefore, pLeft, pRight, pBoth, pPinion, pRing, pCarrier, pHead, pTail, pSeal, pBearing, pOil, pHousing, pRingSide, pFarSide, pPack, pCaps, pNut, pRingBolts, pCover, sDrive, sCoast, dSlight, dStrong, cCenter):
		case quantityOf(it) == f.q, it.tags.has(qTorque), it.tags.has(qTeeth), it.tags.has(qTemp):
		case it.kind == figureItem && it.skip != keep && it.skip != skipTime:
		case it.kind == figureItem && it.group != nil && b.claimedOrSelf(ci, k):
		default:
			strange++
		}
	}
	limit := 3
	if f.q == qTorque {
		limit = 1
	}
	if f.clause != ci {
		limit = 0
		if f.q == qNoise {
			limit = 1
		}
	}
	return strange <= limit
}

func (b *binder) claimedOrSelf(ci, k int) bool {
	d := b.clauses[ci].items[k].group.unit.dim()
	return d == dimDistance || d == dimTime || d == dimTemp || d == dimSpeed
}

// lightBetween says whether the clauses between have only small words.
func (b *binder) lightBetween(from, to int) bool {
	for k := from + 1; k < to; k++ {
		for _, it := range b.clauses[k].items {
			if !it.tags.has(light) && it.kind != signItem && !(it.kind == figureItem && it.skip != keep) {
				return false
			}
		}
	}
	return true
}

// selfBound gives a number its quantity by its unit alone.
func (b *binder) selfBound(nb *bound, cur *frame, c *clause, i int) bool {
	open := cur != nil && !cur.filled
	switch nb.g.unit.dim() {
	case dimDistance:
		if nb.g.unit == uKay && !b.breakIn && b.expect.q != qDistance {
			return false
		}
		nb.q = qDistance
	case dimTemp:
		nb.q = qTemp
		if open && cur.q == qTemp {
			nb.mods = cur.mods
			cur.filled = true
		}
	case dimTime:
		nb.q = qDuration
	case dimSpeed:
		nb.q = qNoise
		if open && cur.q == qNoise {
			nb.mods = cur.mods
			cur.filled = true
		}
	default:
		return false
	}
	return true
}

// compatible says whether a group's unit can belong to a quantity.
func compatible(q tag, g *group) bool {
	d := g.unit.dim()
	if d == dimNone {
		return true
	}
	switch q {
	case qBacklash, qSpread, qRunout, qShim, qDepth, qChecking, qHeight, qEndPlay, qCaseSpread:
		return d == dimLength
	case qMark:
		return d == dimLength
	case qCarrierPreload:
		return d == dimLength || d == dimTorque
	case qDrag, qTotalDrag, qBreakaway:
		return d == dimTorque
	case qTorque:
		return d == dimTorque
	case qTemp:
		return d == dimTemp
	case qDistance:
		return d == dimDistance
	case qNoise:
		return d == dimSpeed
	case qAdjuster:
		return d == dimTurn || d == dimLength
	}
	return false
}

// readsBackward: a clause that opens with a number and goes number, quantity,
// number, quantity: "9 lash, 18 drag".
func (b *binder) readsBackward(ci int) bool {
	c := &b.clauses[ci]
	seq := ""
	for i, it := range c.items {
		if it.kind == figureItem && it.group != nil && !b.claimed[[2]int{ci, i}] {
			if d := it.group.unit.dim(); d == dimDistance || d == dimTemp || d == dimTime || d == dimSpeed {
				continue
			}
			seq += "F"
		} else if q := quantityOf(it); q != none && q != qTeeth && q != qTorque && q != qTemp && q != qMark {
			if len(seq) == 0 || seq[len(seq)-1] != 'Q' {
				seq += "Q"
			}
		}
	}
	return len(seq) >= 4 && seq[0] == 'F' && seq[len(seq)-1] == 'Q'
}

// takeFollowing binds the number at i to the quantity named right behind it:
// "14 thou of lash", "18 in lb drag", "9 on the backlash".
func (b *binder) takeFollowing(nb *bound, c *clause, i int, taken *int) bool {
	var m mods
	strange := 0
	for k := i + 1; k < len(c.items) && k < i+8; k++ {
		it := c.items[k]
		if it.kind == figureItem && it.group != nil {
			return false
		}
		q := b.frameTag(c, k)
		if q == qTorque && it.tags.hasAny(pCaps, pNut, pRingBolts, pCover) {
			q = none
		}
		if q != none {
			b.modsOf(c, k, &m)
			if !compatible(q, nb.g) {
				if q == qTeeth || q == qTemp || q == qTorque {
					continue
				}
				return false
			}
			if (q == qTeeth || q == qShim) && nb.g.unit == noUnit && q == qTeeth && !nb.g.values[0].point {
				nb.q, nb.mods, *taken = q, m, k
				return true
			}
			// "9 lash 18": the quantity may want the number behind it
			if numberSoon(c.items, k+1) && !b.readsBackward(nb.clause) {
				return false
			}
			if m.total && q == qDrag {
				q = qTotalDrag
			}
			nb.q, nb.mods, *taken, nb.behind = q, m, k, true
			return true
		}
		if it.kind == signItem {
			return false
		}
		if b.shimTalk && it.tags.hasAny(pLeft, pRight) && isWord(c.items, k-1, "the", "is", "on", "left", "right", "'s") && !numberSoon(c.items, k+1) && c.items[i+1].text == "is" {
			b.modsOf(c, k, &m)
			nb.q, nb.mods, *taken, nb.behind = qShim, m, k, true
			return true
		}
		if it.tags.hasAny(light, pPinion, pRing, pCarrier, pLeft, pRight, pBoth, wOld, wNew, wSetup, wFinal, mAll, mApprox, pBearing, pSeal, mSum) {
			b.modsOf(c, k, &m)
			continue
		}
		strange++
		if strange > 1 {
			return false
		}
	}
	return false
}

// numberSoon: the quantity has its own number right behind it.
func numberSoon(items []item, k int) bool {
	for n := 0; k < len(items) && n < 3; n++ {
		if items[k].kind == figureItem && items[k].group != nil {
			return true
		}
		if !(items[k].tags.has(light) || isSign(items, k, ":=")) {
			return false
		}
		k++
	}
	return false
}

// continuesFrame: a further number of the quantity just read: "lash 8 at 12, 9
// at 3", "was 12, now 9", "old 32 new 35".
func (b *binder) continuesFrame(f *frame, c *clause, i, lastFigure, ci int) bool {
	if b.claimed[[2]int{ci, i}] {
		return false
	}
	g := c.items[i].group
	if !compatible(f.q, g) {
		return false
	}
	marked := g.positions[0] != "" || wasBefore(c, i) || isWord(c.items, i+1, "with", "without", "w") && f.mods.seal != ""
	start := 0
	if f.clause == ci {
		start = lastFigure + 1
	}
	strange := 0
	for k := start; k < i; k++ {
		it := c.items[k]
		switch {
		case it.tags.hasAny(mNow, mMeasure, wOld, wNew, wSetup, wFinal, wBefore, pLeft, pRight, pPinion, pRing, pHead, pTail, pCarrier):
			marked = true
		case isWord(c.items, k, "is", "now", "to", "other", "another", "tightest", "loosest", "min", "max", "tight", "loose", "then", "and"):
			marked = true
		case it.tags.hasAny(light, pBearing, dSlight, dStrong, mApprox, mAll), it.kind == signItem:
		default:
			strange++
		}
	}
	return marked && strange <= 1
}

// answer binds a number to what the bot asked.
func (b *binder) answer(nb *bound, c *clause, i int) {
	e := b.expect
	// 80 ft lb beside the bolts it is of, in this clause or the one before
	if u := nb.g.unit; u == uFtLb || u == uNm && !b.dragTalk {
		for ci := nb.clause; ci >= 0 && ci >= nb.clause-1; ci-- {
			o := &b.clauses[ci]
			if o.sentence != c.sentence || ci != nb.clause && hasFigureGroup(*o) || !(hasTag(o.items, pNut) || hasTag(o.items, pCaps) || hasTag(o.items, pRingBolts) || hasTag(o.items, pCover)) {
				continue
			}
			nb.q = qTorque
			for k := range o.items {
				b.modsOf(o, k, &nb.mods)
			}
			return
		}
	}
	// pinion 15 in lb
	if nb.g.unit == uInLb && nb.mods.pinion && !nb.mods.total {
		nb.q = qDrag
		return
	}
	// 158 on the housing
	if b.breakIn && nb.g.unit == noUnit && len(nb.g.values) == 1 && isWord(c.items, i+1, "on", "at") && placeOfHeat(c.items, i+2) {
		nb.q = qTemp
		return
	}
	if e.q == none && teethPair(nb.g, isWord(c.items, i+1, "set", "gears", "gear set", "gearset", "ratio", "ring and pinion", "combo", "cut")) {
		nb.q = qTeeth
		return
	}
	if e.q == none || !compatible(e.q, nb.g) {
		return
	}
	strange := 0
	for k := range c.items {
		it := c.items[k]
		if k == i || it.kind == signItem || it.tags.has(light) || it.tags.hasAny(mMeasure, mNow, mApprox, mAll, wOld, wNew, wSetup, wFinal, pLeft, pRight, pBoth, pPinion, pRing, dSlight, mSum, cPraise, pBearing, pHead, pTail) {
			continue
		}
		if it.kind == figureItem {
			continue
		}
		if k < i {
			strange++
		} else if !fillers[it.text] {
			strange++
		}
	}
	if strange > 3 {
		return
	}
	if k := i - 1; k >= 0 && isWord(c.items, k, "by", "until", "till") {
		return
	}
	nb.q, nb.asked = e.q, true
	nb.mods = merge(nb.mods, e.mods)
}

// difference: "60 degrees hotter than the carrier", "2 thou more than before"
// measure a difference and no quantity.
func difference(items []item, i int) bool {
	if !isWord(items, i+1, "hotter", "cooler", "colder", "warmer", "more", "less", "higher", "lower", "tighter", "looser", "thicker", "thinner", "taller", "shorter", "deeper", "shallower", "over", "under", "above", "below", "off", "out", "shy", "short", "bigger", "smaller") {
		return false
	}
	return isWord(items, i+2, "than", "spec", "the", "limit", "max", "min", "where", "what") && !isWord(items, i+1, "off", "out") ||
		isWord(items, i+1, "hotter", "cooler", "colder", "warmer", "tighter", "looser", "taller", "shorter", "deeper", "shallower")
}

// changedBy: "lash tightened up 3 thou" tells a change; "opened up to 11" a value.
func changedBy(items []item, i int) bool {
	for k := i - 1; k >= 0 && k >= i-5; k-- {
		switch items[k].text {
		case "tightened", "opened", "closed", "grew", "changed", "gained", "increased", "decreased", "improved", "shrank", "shrunk", "loosened", "widened", "went up", "went down", "gone up", "gone down", "dropped", "lost", "picked", "moved", "shifted", "crept", "reduced", "climbed", "jumped", "fell":
			for j := 0; j < k; j++ {
				if items[j].tags.hasAny(qBacklash, qDrag, qTotalDrag, qSpread, qRunout, qEndPlay) {
					return true
				}
			}
			return false
		case "up", "down", "in", "about", "another", "by", "only", "just", "roughly", "around", "a", "like":
			continue
		}
		return false
	}
	return false
}

func placeOfHeat(items []item, i int) bool {
	for k := i; k < len(items) && k < i+3; k++ {
		if items[k].tags.hasAny(pHousing, pCarrier, pCover, qTemp) {
			return true
		}
	}
	return false
}

// teethPair: "41/11" is a ring and a pinion.
func teethPair(g *group, named bool) bool {
	if len(g.values) != 2 || g.unit != noUnit || g.sum || !strings.Contains(g.text, "/") && !named {
		return false
	}
	for _, v := range g.values {
		if v.point || v.sign != 0 || v.spelt {
			return false
		}
	}
	ring, pinion := g.values[0].val, g.values[1].val
	if ring < pinion {
		ring, pinion = pinion, ring
	}
	return pinion >= 5 && pinion <= 17 && ring >= 25 && ring <= 70 && ring/pinion >= 2 && ring/pinion <= 7.5
}

// wasBefore: "was 12", "from 12".
func wasBefore(c *clause, i int) bool {
	for k := i - 1; k >= 0 && k >= i-3; k-- {
		switch c.items[k].text {
		case "was", "were", "from", "originally", "earlier", "previously", "used", "started", "initially":
			return true
		}
		if !c.items[k].tags.has(light) {
			return false
		}
	}
	return false
}
