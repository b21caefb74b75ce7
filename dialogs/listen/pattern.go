package listen

import "strings"

// Contact patterns in words: "drive heel and high", "little toe both sides,
// centered up and down", "coast dead nuts".

// contact is where the pattern of one side lies, as far as it was said.
type contact struct {
	side    What
	length  string
	profile string
	degree  string // slight, strong, edge
	praised bool   // by praise alone
	clause  int
	text    string
}

// patternFinder reads patterns out of clauses.
type patternFinder struct {
	clauses []clause
	expect  []What // sides the bot asked for
	talk    bool   // patterns are spoken of
	out     []contact
	unsided []contact    // a place was said and no side
	moved   bool         // "moved toward the toe": a change, no place
	used    map[int]bool // clauses that spoke of a pattern
}

// place is one word about where the contact is.
type place struct {
	item   int
	tag    tag
	axis   tag // lLength or fProfile where a center is of one axis
	edge   bool
	slight bool
	strong bool
}

// notDrive are words around "drive" that make it a journey or a tool.
var (
	notDriveAfter  = wordSet("shaft shafts line train it home away flange cycle cycles around there to the a an him her her's them us back over through test axle wheel wheels at in out for time again gear gears miles mile done leg loop one two three tonight tomorrow past off up cross slow easy gently normally like on")
	notDriveBefore = wordSet("test to first second third a can could will breakin road wheel final did long short mile took hour minute each per every the next last after before wanna went for dont lets i we go another easy around-the-block all front rear four wd last to")
)

func (p *patternFinder) find() {
	p.used = make(map[int]bool)
	for _, c := range p.clauses {
		side, loc, strong := false, false, false
		for i, it := range c.items {
			if it.tags.has(qPattern) {
				p.talk = true
			}
			side = side || p.sideAt(c, i) != none
			loc = loc || it.tags.hasAny(lToe, lHeel, fFlank, cCenter, fHigh, fLow, fFace, cPraise, dEdge)
			strong = strong || it.tags.hasAny(lToe, lHeel) && !hasAnyText(c.items[:i], "dial", "indicator", "plunger", "stylus", "gauge") || it.text == "root" || it.text == "flank"
		}
		if side && loc || strong {
			p.talk = true
		}
	}
	if len(p.expect) > 0 {
		p.talk = true
	}
	if !p.talk {
		return
	}
	var sides []What
	lastSentence, lastEnd := -1, byte(0)
	for ci := range p.clauses {
		c := p.clauses[ci]
		if c.sentence != lastSentence && lastEnd == '?' {
			sides = nil
		}
		lastSentence, lastEnd = c.sentence, c.mark
		if s := p.clause(ci, sides); s != nil {
			sides = s
		} else if hasQuantity(c) {
			sides = nil
		}
	}
}

func hasQuantity(c clause) bool {
	for _, it := range c.items {
		if it.tags.hasAny(qBacklash, qDrag, qTotalDrag, qRunout, qShim, qTemp) && !it.tags.has(qPattern) {
			return true
		}
	}
	return false
}

var past = compileTrigger(`used to be | previously | earlier it was | had been | it was before | was before | before it was`)

// sideAt gives sDrive, sCoast or pBoth where the item names a side of the tooth.
func (p *patternFinder) sideAt(c clause, i int) tag {
	it := c.items[i]
	next, prev := textAt(c.items, i+1), textAt(c.items, i-1)
	first, _, _ := strings.Cut(next, " ")
	switch {
	case it.text == "drive and coast" || it.text == "drive coast" || it.text == "coast and drive" || it.text == "both flanks" || it.text == "both patterns" || it.text == "both drive and coast" || it.text == "patterns":
		return pBoth
	case it.tags.has(pBoth) && (it.text == "both" || it.text == "both sides" || it.text == "each side" || it.text == "either side" || strings.HasPrefix(it.text, "ambos")):
		return pBoth
	case it.tags.has(sDrive):
		if it.text == "drive" || it.text == "drives" || it.text == "dr" {
			if notDriveBefore[prev] && prev != "the" && prev != "on" && prev != "last" && first != "pattern" && first != "side" || notDriveAfter[first] && next != "on the" && first != "at" && first != "in" && first != "on" && first != "out" && first != "up" && first != "the" && first != "to" && first != "over" && first != "off" && first != "past" && first != "a" {
				return none
			}
			if first == "to" && isWord(c.items, i+2, "work", "the", "town", "cool", "home") && prev != "the" && !next3Place(c.items, i+3) || (first == "it" || first == "around") {
				return none
			}
		}
		return sDrive
	case it.text == "cost" || it.text == "coats" || it.text == "dive" || it.text == "ghost":
		// autocorrect, where the other side of the tooth is named too
		if !p.misheard(it.text) {
			return none
		}
		if it.text == "dive" {
			return sDrive
		}
		return sCoast
	case it.tags.has(sCoast) && it.text != "reverse side":
		if prev == "the" && (next == "is" && isWord(c.items, i+2, "clear") || next == "road") {
			return none
		}
		return sCoast
	}
	return none
}

// meantLater: the sentence goes on with what was meant instead.
func (p *patternFinder) meantLater(c clause, i int) bool {
	if hasAnyText(c.items[i:], "meant", "mean") {
		return true
	}
	after := false
	for _, o := range p.clauses {
		after = after || len(o.items) > 0 && o.items[0].a > c.items[i].a
		if after && o.sentence == c.sentence && hasAnyText(o.items, "meant", "mean") {
			return true
		}
	}
	return false
}

// next3Place: a place on the tooth stands at i: "drive to the heel".
func next3Place(items []item, i int) bool {
	return i < len(items) && items[i].tags.hasAny(lToe, lHeel, cCenter, fFace, fFlank)
}

// clause reads one clause; it gives the sides it spoke of, or nil.
func (p *patternFinder) clause(ci int, inherited []What) []What {
	c := p.clauses[ci]
	const blocked = moodQuestion | moodIf | moodPlan | moodOther | moodSpec | moodTarget | moodNot | moodShould | moodOrder
	type entry struct {
		side tag
		at   place
	}
	var list []entry
	sideSeen, placeSeen, patternWord := false, false, false
	for i, it := range c.items {
		if it.kind == figureItem && it.group != nil && it.group.unit != noUnit {
			continue
		}
		if it.tags.has(qPattern) {
			patternWord = true
		}
		if isWord(c.items, i-1, "as") && p.sameAs(c) {
			continue // "same as drive"
		}
		if s := p.sideAt(c, i); s != none {
			list = append(list, entry{side: s})
			sideSeen = true
			continue
		}
		if pl, ok := p.placeAt(c, i); ok {
			list = append(list, entry{at: pl})
			placeSeen = true
		}
	}
	if len(p.out) > 0 && (c.words[0] == "was" || c.words[0] == "were" || past.in(c.words)) {
		return nil // "drive now centered, was heel"
	}
	if hasTag(c.items, mNoise) || !placeSeen && !p.sameAs(c) {
		if sideSeen && !hasTag(c.items, mNoise) && (len(c.items) <= 4 || patternWord) {
			return p.sidesOnly(c)
		}
		return nil
	}
	first := 0
	for _, e := range list {
		if e.side == none {
			first = e.at.item
			break
		}
	}
	if c.at(first)&blocked != 0 {
		p.used[ci] = p.used[ci] || sideSeen || patternWord
		if sideSeen {
			return p.sidesOnly(c) // "drive wants to be lower, it's up on the face"
		}
		return nil
	}
	if !sideSeen && inherited == nil && len(p.expect) == 0 && !patternWord && !strongPlaces(c) {
		return nil
	}
	// a clause about lash or drag whose "good" or "high" is not about a contact
	if !sideSeen && !patternWord && hasQuantity(c) && !strongPlaces(c) {
		return nil
	}
	if !sideSeen && hasFigureGroup(c) && !strongPlaces(c) && !patternWord {
		return nil
	}
	if !sideSeen && inherited == nil && !patternWord && !strongPlaces(c) && !p.answerLike(c) {
		return nil
	}
	if p.relative(c) {
		p.moved = true
		p.used[ci] = true
		return nil
	}

	assigned := map[tag][]place{}
	var order []tag
	var pendingL []place
	var open []tag
	openHasPlace := false
	last := none
	for _, e := range list {
		if e.side != none {
			if len(pendingL) > 0 && len(open) == 0 {
				assigned[e.side] = append(assigned[e.side], pendingL...)
				order = appendTag(order, e.side)
				pendingL = nil
				last = e.side
				continue
			}
			if openHasPlace {
				open, openHasPlace = nil, false
			}
			open = append(open, e.side)
			order = appendTag(order, e.side)
			last = e.side
			continue
		}
		if len(open) > 0 {
			for _, s := range open {
				assigned[s] = append(assigned[s], e.at)
			}
			openHasPlace = true
			continue
		}
		pendingL = append(pendingL, e.at)
	}
	if len(pendingL) > 0 && last != none {
		assigned[last] = append(assigned[last], pendingL...)
		pendingL = nil
	}

	var named []What
	emit := func(side What, places []place) {
		ct := p.settle(c, places)
		ct.side, ct.clause, ct.text = side, ci, c.text()
		if ct.length == "" && ct.profile == "" {
			return
		}
		p.add(ct)
	}
	for _, s := range order {
		sides := sidesOf(s)
		named = append(named, sides...)
		for _, side := range sides {
			emit(side, assigned[s])
		}
	}
	if len(order) == 0 {
		target := inherited
		if target == nil && len(p.expect) == 1 && p.expect[0] != "pattern" {
			target = p.expect
		}
		if len(target) == 0 {
			ct := p.settle(c, pendingL)
			ct.clause, ct.text = ci, c.text()
			if ct.length != "" || ct.profile != "" {
				p.unsided = append(p.unsided, ct)
				p.used[ci] = true
			}
			return nil
		}
		for _, side := range target {
			emit(side, pendingL)
		}
		named = target
	}
	p.used[ci] = true
	if p.sameAs(c) {
		for _, s := range order {
			if sides := sidesOf(s); len(sides) == 1 && len(assigned[s]) == 0 {
				p.copyOther(sides[0], ci, c.text())
			}
		}
	}
	return named
}

// misheard: the message speaks of the teeth, so "cost" is coast and "dive" drive.
func (p *patternFinder) misheard(w string) bool {
	for _, c := range p.clauses {
		loc, side := false, false
		for _, it := range c.items {
			loc = loc || it.tags.hasAny(lToe, lHeel, fFlank) && it.text != "base"
			side = side || it.tags.hasAny(sDrive, sCoast, qPattern) || it.text == "drive side"
		}
		if loc && side {
			return true
		}
	}
	return false
}

// sidesOnly gives the sides of a clause that only names them: "drive side:".
func (p *patternFinder) sidesOnly(c clause) []What {
	var out []What
	for i := range c.items {
		if s := p.sideAt(c, i); s != none {
			out = append(out, sidesOf(s)...)
		}
	}
	return out
}

func sidesOf(s tag) []What {
	switch s {
	case sDrive:
		return []What{PatternDrive}
	case sCoast:
		return []What{PatternCoast}
	}
	return []What{PatternDrive, PatternCoast}
}

func appendTag(list []tag, t tag) []tag {
	for _, x := range list {
		if x == t {
			return list
		}
	}
	return append(list, t)
}

func hasFigureGroup(c clause) bool {
	for _, it := range c.items {
		if it.group != nil {
			return true
		}
	}
	return false
}

// strongPlaces: the clause has words that mean a tooth and nothing else.
func strongPlaces(c clause) bool {
	for _, it := range c.items {
		if it.tags.hasAny(lToe, lHeel) && it.text != "inboard" && it.text != "outboard" && it.text != "inside end" || it.text == "root" || it.text == "flank" || it.text == "in the root" || it.text == "riding root" || it.text == "riding high" {
			return true
		}
	}
	return false
}

// answerLike: short and made of words about places, as an answer to the bot is.
func (p *patternFinder) answerLike(c clause) bool {
	if len(p.expect) == 0 {
		return false
	}
	strange := 0
	for _, it := range c.items {
		if it.tags.empty() && it.kind == phraseItem && !fillers[it.text] {
			strange++
		}
	}
	return strange <= 2
}

// placeAt gives the place an item names.
func (p *patternFinder) placeAt(c clause, i int) (place, bool) {
	it := c.items[i]
	if it.kind != phraseItem {
		return place{}, false
	}
	next, prev := textAt(c.items, i+1), textAt(c.items, i-1)
	pl := place{item: i}
	t := it.tags
	switch {
	case t.has(cCenter) && t.has(fProfile):
		pl.tag, pl.axis = cCenter, fProfile
	case t.has(cCenter) && t.has(lLength):
		pl.tag, pl.axis = cCenter, lLength
	case t.hasAny(lToe, lHeel) && hasAnyText(c.items[:i], "dial", "indicator", "plunger", "stylus", "gauge"):
		return pl, false // where the dial stands
	case t.has(lToe):
		pl.tag = lToe
	case t.has(lHeel):
		pl.tag = lHeel
	case t.has(lLength):
		pl.tag = lLength
	case t.has(fProfile):
		pl.tag = fProfile
	case t.has(fFlank):
		if next == "pinion" || it.text == "base" && next != "of" || next == "line" {
			return pl, false
		}
		pl.tag = fFlank
	case t.has(fHigh):
		if notHigh[next] || prev == "speed" || next == "than" || isWord(c.items, i+1, "pinion") {
			return pl, false
		}
		pl.tag = fFace
	case t.has(fLow):
		if notHigh[next] || next == "than" {
			return pl, false
		}
		pl.tag = fFlank
	case t.has(fFace):
		if next == "milled" || next == "hobbed" || next == "cut" || next == "width" || it.text == "top" && (next == "gear" || next == "up" || next == "bolt") || prev == "my" {
			return pl, false
		}
		// "middle of the face" is no place at the top
		if it.text == "face" && i >= 2 && (isWord(c.items, i-1, "of", "the", "tooth") && hasTag(c.items[max(0, i-4):i], cCenter)) {
			return pl, false
		}
		pl.tag = fFace
	case t.has(cCenter):
		if it.text == "even" && next != "" && next != "pattern" && next != "and" || next == "section" || next == "pin" || next == "bearing" || next == "support" {
			return pl, false
		}
		pl.tag = cCenter
	case t.has(dEdge):
		pl.tag = dEdge
	case t.has(cPraise):
		if it.text == "right on" && (next == "the" || next == "top") || praiseOfOther[next] || prev == "no" {
			return pl, false
		}
		pl.tag = cPraise
	default:
		return pl, false
	}
	if (pl.tag == cCenter || pl.tag == cPraise) && pl.axis == none {
		pl.axis = axisNear(c, i)
	}
	// "not on the heel", "no toe", "off the toe now"
	if negatedItem(c.items, i) {
		return pl, false
	}
	// "i said toe i meant heel"
	if hasAnyText(c.items[max(0, i-3):i], "said", "typed", "wrote") && p.meantLater(c, i) {
		return pl, false
	}
	// "went from heel to centre", "toe's gone"
	if (isWord(c.items, i-1, "from") || strings.HasSuffix(textAt(c.items, i-1), " from")) && hasAnyText(c.items[i:], "to", "→") || isWord(c.items, i+1, "gone") || (isWord(c.items, i+1, "'s", "is") && isWord(c.items, i+2, "gone")) {
		return pl, false
	}
	if t.has(dEdge) {
		if isWord(c.items, i-1, "came", "come", "coming", "pulled", "moved", "moving", "get", "getting", "brought", "backed", "away") {
			return pl, false
		}
		pl.edge = true
	}
	for k := max(0, i-3); k < i; k++ {
		pl.slight = pl.slight || c.items[k].tags.has(dSlight)
		pl.strong = pl.strong || c.items[k].tags.has(dStrong) && !c.items[k].tags.has(dSlight)
	}
	return pl, true
}

var (
	notHigh       = wordSet("pitch pitched speed speeds side spot spots gear range point school five pinion mileage miles way highway temp temps end-play torque quality hopes oil level beam beams friction hp performance")
	praiseOfOther = wordSet("job work morning afternoon evening night day stuff news idea luck point question enough with for thing call deal to about time")
)

// axisNear: "centered up and down", "good heel to toe", "lengthwise centered".
func axisNear(c clause, i int) tag {
	for k := i + 1; k < len(c.items) && k <= i+3; k++ {
		if c.items[k].tags.has(lLength) {
			return lLength
		}
		if c.items[k].tags.has(fProfile) || isWord(c.items, k, "depth", "height") {
			return fProfile
		}
		if isWord(c.items, k, "length") {
			return lLength
		}
		if !c.items[k].tags.has(light) {
			break
		}
	}
	for k := i - 1; k >= 0 && k >= i-3; k-- {
		if c.items[k].tags.has(lLength) {
			return lLength
		}
		if c.items[k].tags.has(fProfile) || isWord(c.items, k, "depth", "height") {
			return fProfile
		}
		if !c.items[k].tags.hasAny(light, dSlight, dStrong) {
			break
		}
	}
	return none
}

func negatedItem(items []item, i int) bool {
	for k := i - 1; k >= 0 && k >= i-3; k-- {
		if negator[items[k].text] {
			return true
		}
		if !items[k].tags.hasAny(light, dSlight, dStrong) && items[k].text != "quite" && items[k].text != "really" && items[k].text != "exactly" {
			return false
		}
	}
	return false
}

// relative: "moved toward the toe" says which way it went and not where it is.
func (p *patternFinder) relative(c clause) bool {
	moved, toward, arrived := false, false, false
	for i, it := range c.items {
		if isWord(c.items, i, "moved", "shifted", "walked", "crept", "migrated", "moving", "shifting", "drifted", "creeping", "climbed", "wandered") {
			moved = true
		}
		if isWord(c.items, i, "went", "came", "goes", "coming", "going") && isWord(c.items, i+1, "toward", "towards", "further", "closer", "more") {
			moved = true
		}
		if isWord(c.items, i, "toward", "towards", "away", "more", "further", "up", "down", "out", "in", "closer", "higher", "lower") || strings.HasPrefix(it.text, "toward") || strings.HasSuffix(it.text, "ward") || strings.HasSuffix(it.text, "wards") || it.text == "toward toe" {
			toward = true
		}
		if it.tags.hasAny(cCenter, mNow) || isWord(c.items, i, "by", "at", "near") && hasTag(c.items[i:min(i+3, len(c.items))], lHeel) || isWord(c.items, i, "by", "at", "near") && hasTag(c.items[i:min(i+3, len(c.items))], lToe) || it.text == "to" || it.text == "onto" || it.text == "still" {
			arrived = true
		}
	}
	return moved && toward && !arrived
}

// settle makes one contact of the places said of a side.
func (p *patternFinder) settle(c clause, places []place) contact {
	var ct contact
	generic, praise := false, false
	both := map[string]bool{}
	for _, pl := range places {
		switch pl.tag {
		case lToe:
			ct.length = "toe"
			both["toe"] = true
		case lHeel:
			ct.length = "heel"
			both["heel"] = true
		case fFace:
			ct.profile = "face"
			both["face"] = true
		case fFlank:
			ct.profile = "flank"
			both["flank"] = true
		case dEdge:
			switch text := c.items[pl.item].text; {
			case strings.Contains(text, "heel"):
				ct.length = "heel"
			case strings.Contains(text, "toe"):
				ct.length = "toe"
			case strings.Contains(text, "top land"), strings.Contains(text, "tip"), strings.Contains(text, "top"), strings.Contains(text, "face"):
				ct.profile = "face"
			}
		}
		if pl.edge || pl.tag == dEdge {
			ct.degree = "edge"
		} else if pl.slight && ct.degree == "" {
			ct.degree = "slight"
		} else if pl.strong && ct.degree == "" && pl.tag != cCenter && pl.tag != cPraise {
			ct.degree = "strong"
		}
	}
	for _, pl := range places {
		if pl.tag != cCenter && pl.tag != cPraise {
			continue
		}
		switch {
		case pl.axis == lLength:
			ct.length = orText(ct.length, "center")
		case pl.axis == fProfile:
			ct.profile = orText(ct.profile, "center")
		case pl.tag == cCenter:
			generic = true
		default:
			praise = true
		}
	}
	if both["toe"] && both["heel"] {
		ct.length = ""
		if generic || praise {
			ct.length = "center"
		}
	}
	if both["face"] && both["flank"] {
		ct.profile = ""
		if generic || praise {
			ct.profile = "center"
		}
	}
	if generic {
		ct.length = orText(ct.length, "center")
		ct.profile = orText(ct.profile, "center")
	}
	if praise && ct.length == "" && ct.profile == "" {
		ct.length, ct.profile, ct.praised = "center", "center", true
	}
	if ct.length == "center" && ct.profile == "center" && ct.degree != "edge" {
		ct.degree = ""
	}
	return ct
}

// add merges a contact with what the message said of the side before.
func (p *patternFinder) add(ct contact) {
	for i := range p.out {
		o := &p.out[i]
		if o.side != ct.side {
			continue
		}
		if ct.praised && (o.length != "" || o.profile != "") {
			return // "heel and high, but nice": the places stand
		}
		if o.praised && !ct.praised {
			*o = ct
			return
		}
		if ct.length != "" && (o.length == "" || o.length == "center") {
			o.length = ct.length
		}
		if ct.profile != "" && (o.profile == "" || o.profile == "center") {
			o.profile = ct.profile
		}
		o.degree = orText(ct.degree, o.degree)
		o.text += ", " + ct.text
		return
	}
	p.out = append(p.out, ct)
}

// sameAs: "coast same", "coast matches".
func (p *patternFinder) sameAs(c clause) bool {
	return hasAnyText(c.items, "same", "matches", "likewise", "ditto", "matching", "identical", "same same", "igual") && !hasAnyText(c.items, "not")
}

// copyOther gives side the contact of the other side.
func (p *patternFinder) copyOther(side What, ci int, text string) {
	for _, o := range p.out {
		if o.side != side {
			o.side, o.clause, o.text = side, ci, text
			p.add(o)
			return
		}
	}
}
