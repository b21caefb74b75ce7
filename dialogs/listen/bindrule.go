package listen

import (
	"slices"
	"strconv"
	"strings"
)

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
				nb.q, nb.mods, *taken, nb.behind = q, m, k, true
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
	if f.clause == ci && b.behindUnit(f, c, i, lastFigure) {
		return true // "9 thou 9 8.5 9"
	}
	marked := g.positions[0] != "" || wasBefore(c, i) || isWord(c.items, i+1, "with", "without", "w") && f.mods.seal != "" || isWord(c.items, i+1, "opposite", "across", "other side")
	marked = marked || i+1 < len(c.items) && c.items[i+1].tags.has(mNow) // "was 12, 8 8 9 8 now"
	start := 0
	if f.clause == ci {
		start = lastFigure + 1
	}
	strange := 0
	for k := start; k < i; k++ {
		it := c.items[k]
		switch {
		case it.text == "in" || it.text == "out":
			marked = marked || isSign(c.items, k+1, ":")
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

// behindUnit says whether a bare number comes straight behind a lash with its unit: the
// row goes on, in that unit.
func (b *binder) behindUnit(f *frame, c *clause, i, last int) bool {
	if f.q != qBacklash || c.items[i].group.unit != noUnit || last < 0 || c.items[last].group == nil || c.items[last].group.unit == noUnit {
		return false
	}
	for k := last + 1; k < i; k++ {
		if c.items[k].kind != unitItem {
			return false
		}
	}
	return true
}

// answer binds a number to what the bot asked.
func (b *binder) answer(nb *bound, c *clause, i int) {
	e := b.expect
	if c.mark == '?' && e.q == none && len(c.items) <= 6 {
		nb.moods |= moodQuestion // "hundredths in 6 thou?"
	}
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
	if nb.g.unit == uFtLb && b.sleeveSpoken() {
		nb.q, nb.mods.part = qTorque, "nut"
		return
	}
	// 260 on the housing
	if nb.g.unit == noUnit && len(nb.g.values) == 1 && nb.g.values[0].val >= 60 && nb.g.values[0].val < 400 && isWord(c.items, i+1, "on", "at") && hotPlace(c.items, i+2) {
		nb.q = qTemp
		return
	}
	// 400 on the nut
	if nb.g.unit == noUnit && len(nb.g.values) == 1 && nb.g.values[0].val >= 20 && isWord(c.items, i+1, "on") && i+3 < len(c.items) && c.items[i+3].tags.hasAny(pNut, pCaps, pRingBolts) {
		nb.q = qTorque
		b.modsOf(c, i+3, &nb.mods)
		return
	}
	// pinion 15 in lb
	if (nb.g.unit == uInLb || nb.g.unit == uNm && nb.g.values[0].val < 8 && !hasTag(c.items, pNut)) && nb.mods.pinion && !nb.mods.total {
		nb.q = qDrag
		return
	}
	// 158 on the housing
	if b.breakIn && nb.g.unit == noUnit && len(nb.g.values) == 1 && isWord(c.items, i+1, "on", "at") && placeOfHeat(c.items, i+2) {
		nb.q = qTemp
		return
	}
	if (e.q == none || len(nb.g.values) == 2 && nb.g.values[0].val > nb.g.values[1].val && b.gearTalk(c, i)) && teethPair(nb.g, isWord(c.items, i+1, "set", "gears", "gear set", "gearset", "ratio", "ring and pinion", "combo", "cut")) {
		nb.q = qTeeth
		return
	}
	// "caps 75", "cover bolts 30" and no more, when nothing of that kind was asked for
	if e.q == none && i == 1 && len(c.items) == 2 && c.mark != '?' && nb.g.unit == noUnit && len(nb.g.values) == 1 && nb.g.values[0].val >= 10 && c.items[0].tags.hasAny(pCaps, pRingBolts, pCover) {
		nb.q = qTorque
		b.modsOf(c, 0, &nb.mods)
		return
	}
	if e.q == none || !compatible(e.q, nb.g) {
		return
	}
	if hasTag(c.items, pStock) && e.q != qShim || hasTag(c.items, pStock) && hasAnyText(c.items, "have", "got") {
		return // "in the kit I have 30 and 5": what lies there, not what was asked
	}
	if isWord(c.items, i+1, "pt", "pts", "pint", "pints", "qt", "qts", "quart", "quarts", "litre", "litres", "liter", "liters") {
		return // "4.2 pt with modifier", when a height was asked for
	}
	if e.q != qTorque && e.q != qDrag && hasTag(c.items[:i], pNut) {
		return // "nut 1/8 drag 4", when a stack was asked for
	}
	if e.q == qShim && nb.g.values[0].sign != 0 {
		return // "new +3", when a stack was asked for: a marking or a change
	}
	if e.q == qTeeth && b.loneInTalk(c, nb.g) {
		return // "lunch in ten?": counts come in twos, or with what they are of
	}
	if e.q == qMark && len(nb.g.values) == 2 && teethPair(nb.g, true) {
		nb.q = qTeeth // "its 12 43", when a marking was asked for: it has one figure
		return
	}
	if e.q == qMark && len(nb.g.values) > 1 {
		return
	}
	if (e.q == qMark || e.q == qTeeth) && (hasTag(c.items, pLeft) || hasTag(c.items, pRight)) {
		if isWord(c.items, 0, "actually") {
			nb.q = qShim // "actually right is 3.35": the stack told before
		}
		return // "left 3.2 right 3.35", when a marking was asked for
	}
	// "caps 75", "cover bolts 30", when a stack was asked for
	if k := i - 1; e.q != qTorque && nb.g.unit == noUnit && len(nb.g.values) == 1 {
		for ; k >= 0 && k >= i-2; k-- {
			if it := c.items[k]; it.tags.hasAny(pCaps, pRingBolts, pCover) {
				if nb.g.values[0].val >= 10 {
					nb.q = qTorque
					b.modsOf(c, k, &nb.mods)
				}
				return
			} else if it.kind == figureItem || it.tags.hasAny(pLeft, pRight, pPinion) {
				break
			}
		}
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
	if c.mark == '?' && len(c.items) <= 2 {
		nb.moods |= moodQuestion // "8?"
	}
	if !slices.ContainsFunc(c.hits, func(h moodHit) bool { return h.mood&moodOther != 0 && h.item >= 0 }) {
		nb.moods &^= moodOther // "same as last time, 8": the answer is of now
	}
	nb.q, nb.asked = e.q, true
	nb.mods = merge(nb.mods, e.mods)
}

// loneInTalk: the message's only number, among words that name no gear.
func (b *binder) loneInTalk(c *clause, g *group) bool {
	if len(g.values) != 1 || len(c.items) == 1 && len(b.clauses) == 1 {
		return false
	}
	for _, o := range b.clauses {
		for _, it := range o.items {
			if it.tags.hasAny(qTeeth, pRing, pPinion) || it.kind == figureItem && it.group != nil && it.group != g {
				return false
			}
		}
	}
	return true
}

// difference: "60 degrees hotter than the carrier", "2 thou more than before"
// measure a difference and no quantity.
func difference(items []item, i int) bool {
	if isWord(items, i+1, "short", "shy", "off", "away") && isWord(items, i+2, "of", "from") {
		return true // "5 thou short of zero"
	}
	if !isWord(items, i+1, "hotter", "cooler", "colder", "warmer", "more", "less", "higher", "lower", "tighter", "looser", "thicker", "thinner", "taller", "shorter", "deeper", "shallower", "over", "under", "above", "below", "off", "out", "shy", "short", "bigger", "smaller") {
		return false
	}
	return isWord(items, i+2, "than", "spec", "the", "limit", "max", "min", "where", "what") && !isWord(items, i+1, "off", "out") ||
		isWord(items, i+1, "hotter", "cooler", "colder", "warmer", "tighter", "looser", "taller", "shorter", "deeper", "shallower")
}

// placeRow: "lash 8 9 8 8 at 12 3 6 and 9", "at bolts 1, 4, 7, 10": a row that
// names places, beside a row of as many values.
func (b *binder) placeRow(ci, i int) bool {
	c := &b.clauses[ci]
	g := c.items[i].group
	named := isWord(c.items, i-1, "bolts", "positions", "spots", "points", "position", "places")
	if len(g.values) < 3 || g.unit != noUnit || g.sum || !named && !isWord(c.items, i-1, "at") {
		return false
	}
	ints := make([]int, len(g.values))
	for k, v := range g.values {
		if v.point || v.sign != 0 {
			return false
		}
		ints[k] = int(v.val)
	}
	if !named && !places(ints, false) {
		return false
	}
	for k := range b.clauses {
		if b.clauses[k].sentence != c.sentence {
			continue
		}
		for j, it := range b.clauses[k].items {
			if it.group == nil || it.group == g || len(it.group.values) != len(g.values) || k == ci && j == i {
				continue
			}
			for n := range ints {
				if it.group.positions[n] == "" {
					it.group.positions[n] = strconv.Itoa(ints[n])
				}
			}
			return true
		}
	}
	return false
}

// withShim: "with the 35 shim lash is 9" names a shim and measures the lash.
func withShim(items []item, i int) bool {
	return i >= 2 && isWord(items, i-1, "the", "a") && isWord(items, i-2, "with", "using") && i+1 < len(items) && items[i+1].tags.has(qShim) && hasTag(items[i+1:], qBacklash)
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

func hotPlace(items []item, i int) bool {
	for k := i; k < len(items) && k < i+3; k++ {
		if items[k].tags.has(pHousing) || isWord(items, k, "diff", "gun", "cover") {
			return true
		}
	}
	return false
}

// gearTalk: the pair is of a gear set by its own words, whatever was asked.
func (b *binder) gearTalk(c *clause, i int) bool {
	if isWord(c.items, i+1, "set", "gears", "gear set", "gearset", "ratio", "ring and pinion", "combo") {
		return true
	}
	for _, o := range b.clauses {
		if hasTag(o.items, qTeeth) || hasAnyText(o.items, "hunting", "hunt", "hunts", "ratio", "tooth count") {
			return true
		}
	}
	return false
}

func (b *binder) sleeveSpoken() bool {
	for _, c := range b.clauses {
		if hasTag(c.items, pSleeve) {
			return true
		}
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
	if len(g.values) != 2 || g.unit != noUnit || g.sum || !strings.ContainsAny(g.text, "/:") && !named {
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
		case "started", "initially":
			return c.items[i].group == nil || c.items[i].group.positions[0] == "" // "started at bolt 1 with 7"
		case "was", "were", "from", "originally", "earlier", "previously", "used":
			return true
		}
		if !c.items[k].tags.has(light) {
			return false
		}
	}
	return false
}
