package listen

import "strings"

var quantityTags = []tag{
	qTotalDrag, qBreakaway, qSpread, qBacklash, qCarrierPreload, qCaseSpread, qEndPlay, qRunout, qChecking, qMark, qDepth, qHeight, qMatch,
	qDrag, qShim, qAdjuster, qNoise, qTemp, qDistance, qTeeth, qTorque,
}

// weakMark are words that name a marking only where the pinion is spoken of.
var weakMark = wordSet("mark marks marking markings marked stamped etched etching")

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

// sideFrame: in talk of shims, "left 250 right 247" names two stacks.
func (b *binder) sideFrame(c *clause, i int, cur *frame, pending mods) bool {
	it := c.items[i]
	if !it.tags.hasAny(pLeft, pRight, pPinion, pRingSide, pFarSide, pPack, pBoth) {
		return false
	}
	if it.tags.has(light) && !figureWithin(c.items, i+1, 3) || wordsBehind(c.items) {
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

// oldOrNewMark: "old mark 0, new mark 0", or a mark that was asked for.
func (b *binder) oldOrNewMark(c *clause, i int) bool {
	return soonFigure(c.items, i+1) && (b.expect.q == qMark || isWord(c.items, i-1, "old", "new", "original", "existing"))
}

// frameTag gives the quantity the item at i opens, or none.
func (b *binder) frameTag(c *clause, i int) tag {
	it := c.items[i]
	q := quantityOf(it)
	if it.kind == phraseItem && (it.tags.has(pRing) || it.tags.has(pPinion) || q == qMark) && twoLong(c) {
		return qMatch
	}
	if isWord(c.items, i, "number", "numbers") && hasAnyText(c.items, "same") && hasAnyText(c.items, "both") && soonLong(c.items, i+1) {
		return qMatch
	}
	if weakMark[it.text] && hasAnyText(c.items, "both") && soonLong(c.items, i+1) {
		return qMatch
	}
	if b.expect.q == qMatch && isWord(c.items, i, "both", "all") && soonFigure(c.items, i+1) && len(c.items) <= 6 {
		return qMatch // "both say 412"
	}
	switch q {
	case qMark:
		if strings.HasSuffix(it.text, "number") && soonLong(c.items, i+1) && ringNumber(b.clauses) {
			return qMatch // "ring number 311, pinion number 318"
		}
		if weakMark[it.text] && !nearPinion(c.items, i) && !(i+1 < len(c.items) && signedFigure(c.items, i+1)) && !b.oldOrNewMark(c, i) {
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
	case qBacklash:
		if variesBy(c.items, i+1) {
			return qSpread
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
		if (it.text == "turning" || it.text == "rolling" || it.text == "running" || it.text == "to turn") && !b.dragTalk && b.expect.q != qDrag && b.expect.q != qTotalDrag && b.expect.q != qBreakaway {
			return none
		}
		if it.text == "preload" && isWord(c.items, i-1, "for") && !soonFigure(c.items, i+1) && hasAnyText(c.items, "each side", "both sides", "both", "left", "right") {
			return none // what the shims are for
		}
		if it.text == "preload" && hasTag(c.items, qShim) {
			return none // "preload shim": a place
		}
		if it.text == "preload" || it.text == "bearing preload" {
			if hasTag(c.items, pCarrier) && !hasAnyText(c.items, "pinion") || hasAnyText(c.items, "side") {
				return qCarrierPreload
			}
		}
	case qTorque:
		if isWord(c.items, i+1, "wrench", "spec", "stick", "gun", "multiplier", "plate") {
			return none
		}
	case qDepth:
		if it.text == "depth" && hasTag(c.items, qShim) {
			return none
		}
	case qHeight:
		if (it.text == "height" || it.text == "heights") && !hasTag(c.items, pBearing) && !hasTag(c.items, pHead) && !hasTag(c.items, pTail) {
			return none
		}
	case qRunout:
		if strings.HasPrefix(it.text, "wobbl") && (hasTag(c.items, qBacklash) || hasTag(c.items, pPinion) || hasAnyText(c.items, "dial", "needle", "indicator", "yoke", "flange", "wheel", "stand", "stands", "lift", "shaft", "axle", "truck")) {
			return none // another thing wobbles
		}
		if isWord(c.items, i-1, "flange", "yoke", "shaft", "wheel", "axle", "rotor", "drum") {
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
	if weakMark[it.text] && (hasTag(c.items, pRing) || hasAnyText(c.items, "both")) && soonLong(c.items, i+1) {
		return qMatch
	}
	if (it.text == "numbers" || it.text == "number" || it.text == "serial") && (hasTag(c.items, pRing) || hasAnyText(c.items, "ring and pinion")) && soonLong(c.items, i+1) {
		return qMatch
	}
	if q == none && (it.text == "total" || it.text == "overall" || it.text == "combined") && b.dragTalk && (soonFigure(c.items, i+1) || smallTorque(c.items[i:])) {
		return qTotalDrag
	}
	// pinion +3
	if q == none && it.tags.hasAny(pPinion, pHead) && !hasTag(c.items, qShim) && i+1 < len(c.items) && (signedFigure(c.items, i+1) || zeroSoon(c.items, i+1) && b.signed) && !hasTag(c.items, vMove) {
		return qMark
	}
	// drove it 12
	if q == none && b.breakIn && isWord(c.items, i, "drove", "driven", "drive it") && soonBare(c.items, i+1) {
		return qDistance
	}
	// housing 158; pinion end 230, carrier 160
	if q == none && (it.tags.has(pHousing) && hotFigure(c.items, i+1) || it.tags.hasAny(pPinion, pCarrier) && b.twoHot() && hotFigure(c.items, i+1)) {
		return qTemp
	}
	// housing opened up 12 thou
	if q == none && (it.tags.has(pHousing) || it.text == "case") && opensBy(c.items, i+1) {
		return qCaseSpread
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

// ringNumber: the ring gear has a number of its own in the message.
func ringNumber(clauses []clause) bool {
	for _, c := range clauses {
		if hasTag(c.items, pRing) && hasAnyText(c.items, "number", "numbers") {
			return true
		}
	}
	return false
}

// variesBy: "lash only varies 2 thou", "backlash is all over by 3": a change round
// the ring and no reading.
func variesBy(items []item, i int) bool {
	for k := i; k < len(items) && k < i+5; k++ {
		if isWord(items, k, "varies", "varied", "vary", "varying", "differs", "wanders", "swings", "fluctuates") {
			for j := k + 1; j < len(items) && j < k+5; j++ {
				if isWord(items, j, "from", "between") {
					return false
				}
				if g := items[j].group; g != nil {
					return len(g.values) == 1 && !isWord(items, j+1, "to")
				}
			}
			return false
		}
		if items[k].group != nil || !items[k].tags.has(light) && !isWord(items, k, "only", "barely", "hardly") {
			return false
		}
	}
	return false
}

// opensBy: "housing opened up 12 thou", "case stretched .010".
func opensBy(items []item, i int) bool {
	verb, plain := false, true
	for k := i; k < len(items) && k < i+6; k++ {
		switch {
		case isWord(items, k, "opened", "open", "opens", "opened up", "jacked"):
			verb = true
		case isWord(items, k, "spread", "spreads", "stretched"):
			verb, plain = true, false
		case items[k].group != nil: // "opened at 8" is an hour
			g := items[k].group
			return verb && len(g.values) == 1 && (g.unit.dim() == dimLength || g.unit == noUnit && (g.values[0].small() || !plain))
		case !items[k].tags.has(light) && !isWord(items, k, "up", "about", "by"):
			return false
		}
	}
	return false
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

// twoHot: the pinion end and the carrier are told with a temperature each.
func (b *binder) twoHot() bool {
	pinion, carrier := false, false
	for _, c := range b.clauses {
		if hasTag(c.items, qShim) || hasTag(c.items, qDrag) {
			return false
		}
		for i, it := range c.items {
			if hotFigure(c.items, i+1) {
				pinion = pinion || it.tags.has(pPinion) && isWord(c.items, i+1, "end", "bearing", "side")
				carrier = carrier || it.tags.hasAny(pCarrier, pHousing)
			}
		}
	}
	return pinion && carrier
}

// hotFigure: a bare whole number that only a temperature can be stands behind.
func hotFigure(items []item, i int) bool {
	for k := i; k < len(items) && k < i+3; k++ {
		if g := items[k].group; g != nil {
			return g.unit == noUnit && len(g.values) == 1 && !g.values[0].point && g.values[0].val >= 50 && g.values[0].val < 400
		}
		if !items[k].tags.has(light) && !isSign(items, k, ":=") {
			return false
		}
	}
	return false
}

// soonBare: a whole number without a unit stands behind.
func soonBare(items []item, i int) bool {
	for k := i; k < len(items) && k < i+3; k++ {
		if g := items[k].group; g != nil {
			return g.unit == noUnit && len(g.values) == 1 && !g.values[0].point
		}
		if !items[k].tags.has(light) {
			return false
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

func zeroSoon(items []item, i int) bool {
	for k := i; k < len(items) && k < i+3; k++ {
		if g := items[k].group; g != nil {
			return g.values[0].val == 0
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
