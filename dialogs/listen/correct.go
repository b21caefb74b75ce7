package listen

import (
	"slices"
	"strings"

	"shimwright/calc/unit"
)

// starCorrection: "*8", "8*": how a chat mends the line before.
func starCorrection(clauses []clause) bool {
	n, star := 0, false
	for _, c := range clauses {
		for _, it := range c.items {
			n++
			star = star || it.kind == signItem && it.text == "*"
		}
	}
	return star && n <= 5
}

// clearShould lets "should have been 8" assert in a correction.
func clearShould(clauses []clause) {
	for i := range clauses {
		c := &clauses[i]
		restated := shouldBe.inAny(c.words)
		c.moods &^= moodShould
		c.hits = slices.DeleteFunc(c.hits, func(h moodHit) bool {
			return h.mood == moodShould || restated && (h.mood == moodSpec || h.mood == moodPlan)
		})
		if restated {
			c.moods &^= moodSpec | moodPlan
		}
	}
}

var shouldBe = compileTrigger(`should be | should read | should say | should have | shouldve | should of | supposed to be | supposed to say`)

// correct works out a correction; ok is false where there is nothing to take
// back and nothing new.
func (a *analysis) correct(u Utterance, depth int) (Utterance, bool) {
	c := corrector{in: a.in, talk: a.talk, depth: depth}
	h := c.history()
	if len(h) == 0 {
		if rd, ok := a.looseBase(); ok {
			h = []before{{readings: []Reading{rd}}}
		}
	}
	u.Kind = Correction
	u.Facts, u.Cautions, u.Proposed = a.facts, a.cautions, a.proposed
	u.Readings, u.Moves = a.readings, a.moves.done
	all := allWords(a.clauses)

	// what is taken back by its value: "not 9"
	var denied []bound
	var fresh []bound
	for _, b := range a.bounds {
		switch {
		case b.moods&moodNot != 0 || a.deniedBefore(b):
			denied = append(denied, b)
		case b.q == none && b.moods&(moodOther|moodIf|moodQuestion) == 0:
			fresh = append(fresh, b)
		}
	}
	r := resolver{sys: a.in.Units}
	retractValue := func(b bound, what What) *float64 {
		bb := b
		bb.moods = 0
		if bb.q == none && what != "" {
			e := expectationOf(what)
			bb.q, bb.mods = e.q, merge(bb.mods, e.mods)
		}
		for _, w := range r.targets(bb) {
			if rd, bad := r.read(bb, w, bb.g); bad == nil && rd.Value != nil {
				return rd.Value
			}
		}
		v := bb.g.values[0].val
		return &v
	}

	// a new number without its quantity takes that of what it replaces
	var base *Reading
	if len(denied) > 0 {
		v := denied[0].g.values[0].val
		if rd, ok := lastLike(h, "", &v); ok {
			base = &rd
		}
	}
	if base == nil && len(h) > 0 && len(h[0].readings) > 0 && !(len(h[0].moves) > 0 && len(a.moves.done) > 0) {
		if rd, ok := a.similar(h, fresh); ok {
			base = &rd
		}
	}
	if named := a.namedQuantity(base); named != "" && len(u.Readings) == 0 && len(fresh) == 0 && base != nil && base.What != named {
		// "meant total drag": the value stands, the name changes
		if isPattern(named) == isPattern(base.What) {
			nr := *base
			nr.What = named
			u.Readings = append(u.Readings, nr)
			u.Retract = append(u.Retract, retractOf(*base))
			u.Note = "the " + base.What.Name() + " was meant as " + named.Name()
			return u, true
		}
	}
	if len(fresh) == 1 && base != nil && len(base.Values) > 1 && len(fresh[0].g.values) == 1 {
		return a.amendOne(u, *base, fresh[0], denied, r)
	}
	for _, b := range fresh {
		if base == nil || isPattern(base.What) {
			break
		}
		e := expectationOf(base.What)
		bb := b
		bb.q, bb.mods = e.q, merge(bb.mods, e.mods)
		bb.moods &^= moodSpec | moodNot | moodShould | moodPlan | moodDoubt | moodOrder | moodTarget
		bb.mods.which = orText(bb.mods.which, base.Which)
		out := r.resolve(bb)
		for _, rd := range out.readings {
			u.Readings = addReading(u.Readings, rd)
		}
		if out.ask != nil {
			u.Ask = out.ask
		}
		if out.refuse != "" {
			u.Cautions = appendOnce(u.Cautions, DangerImplausible)
			u.Note = out.refuse
		}
	}
	// another place on the ring: "no that's bolt 2"
	if pos := a.placeNamed(); pos != "" && len(u.Readings) == 0 && len(fresh) == 0 && base != nil && base.Value != nil {
		nr := *base
		nr.Positions = []string{pos}
		u.Readings = append(u.Readings, nr)
		u.Retract = append(u.Retract, retractOf(*base))
		u.Note = "the place was meant as " + pos
		return u, true
	}
	// a unit alone: "meant mm"
	if len(u.Readings) == 0 && len(fresh) == 0 && base != nil && base.Unit != "" {
		if nu := unitNamed(a.tokens); nu != base.Unit && sameDimension(nu, base.Unit) {
			nr := *base
			nr.Unit = nu
			u.Readings = append(u.Readings, nr)
			u.Retract = append(u.Retract, retractOf(*base))
			u.Note = "the unit was meant as " + nu
			return u, true
		}
	}
	// a pattern word without its side: "meant heel"
	if len(u.Readings) == 0 && len(a.patterns.unsided) > 0 {
		for _, b := range h {
			for i := len(b.readings) - 1; i >= 0; i-- {
				if rd := b.readings[i]; isPattern(rd.What) {
					ct := a.patterns.unsided[0]
					nr := rd
					nr.Length, nr.Profile = orText(ct.length, rd.Length), orText(ct.profile, rd.Profile)
					nr.Degree = ct.degree
					u.Readings = append(u.Readings, nr)
					u.Retract = append(u.Retract, Retract{What: rd.What})
					u.Note = "the pattern was meant so"
					return u, true
				}
			}
		}
	}
	// drive and coast the wrong way round
	if sw := swappedSides.in(all) && len(u.Readings) == 0 && len(h) > 0; sw {
		for _, rd := range h[0].readings {
			if other := otherName(rd.What); other != "" {
				nr := rd
				nr.What = other
				u.Readings = append(u.Readings, nr)
				u.Retract = append(u.Retract, retractOf(rd))
			}
		}
		if len(u.Readings) > 0 {
			u.Note = "the two were the wrong way round"
			return u, true
		}
	}
	// "low not high" leaves the other direction as it was
	if len(u.Readings) == 1 && isPattern(u.Readings[0].What) && base != nil && base.What == u.Readings[0].What && a.contrasts() {
		rd := &u.Readings[0]
		rd.Length, rd.Profile = orText(rd.Length, base.Length), orText(rd.Profile, base.Profile)
	}
	// a move corrected
	if len(h) > 0 && len(h[0].moves) > 0 && len(u.Moves) == 0 && len(u.Readings) == 0 {
		old := h[0].moves[len(h[0].moves)-1]
		if nm, ok := a.amendMove(old, fresh); ok {
			u.Moves = append(u.Moves, nm)
		}
		u.Retract = append(u.Retract, Retract{Move: true, Last: len(u.Moves) == 0})
		u.Note = "the move is taken back"
		return u, true
	}
	if len(u.Moves) > 0 {
		u.Retract = append(u.Retract, Retract{Move: true})
	}
	seen := map[What]bool{}
	for _, b := range denied {
		what := What("")
		if len(u.Readings) > 0 {
			what = u.Readings[0].What
		} else if base != nil {
			what = base.What
		}
		if ws := r.targets(b); len(ws) == 1 {
			what = ws[0]
		}
		u.Retract = append(u.Retract, Retract{What: what, Value: retractValue(b, what)})
		seen[what] = true
	}
	for _, rd := range u.Readings {
		if seen[rd.What] {
			continue
		}
		seen[rd.What] = true
		if old, ok := lastLike(h, rd.What, nil); ok {
			u.Retract = append(u.Retract, retractOf(old))
		} else if base != nil && base.What != rd.What && a.renames(all) {
			u.Retract = append(u.Retract, retractOf(*base))
		} else {
			u.Retract = append(u.Retract, Retract{What: rd.What})
		}
	}
	if len(u.Retract) == 0 {
		rt := Retract{Last: true}
		if base != nil {
			x := retractOf(*base)
			rt.What, rt.Value = x.What, x.Value
		}
		u.Retract = append(u.Retract, rt)
	}
	if len(u.Readings) == 0 && len(fresh) > 0 && u.Ask == nil && base == nil {
		u.Ask = &Ask{Text: "which reading is " + fresh[0].g.text + " for?", Choices: []string{"backlash " + fresh[0].g.text, "pinion drag " + fresh[0].g.text}}
	}
	if u.Note == "" {
		u.Note = "what was said before is taken back"
	}
	u.Ask = keepAsk(u.Ask, a)
	return u, true
}

// amendOne replaces one of several numbers: the one taken back, or the one named
// by its place in the row.
func (a *analysis) amendOne(u Utterance, base Reading, fresh bound, denied []bound, r resolver) (Utterance, bool) {
	e := expectationOf(base.What)
	fresh.q, fresh.mods, fresh.moods = e.q, merge(fresh.mods, e.mods), 0
	rd, bad := r.read(fresh, base.What, fresh.g)
	at := -1
	if len(denied) == 1 {
		for i, v := range base.Values {
			one := Reading{Value: &v}
			if one.matches(denied[0].g.values[0].val) {
				if at >= 0 {
					at = -2 // two of them read so
					break
				}
				at = i
			}
		}
	}
	if at == -1 {
		at = ordinal(allWords(a.clauses), len(base.Values))
	}
	if bad != nil || at < 0 || at >= len(base.Values) || rd.Unit != base.Unit || rd.Value == nil {
		u.Ask = &Ask{Text: "which of the " + base.What.Name() + " readings is " + fresh.g.text + "?"}
		u.Note = u.Ask.Text
		u.Retract = []Retract{}
		return u, true
	}
	nr := base
	nr.Values = slices.Clone(base.Values)
	nr.Values[at] = *rd.Value
	u.Readings = append(u.Readings, nr)
	u.Retract = append(u.Retract, Retract{What: base.What})
	u.Note = "one of the readings was meant so"
	return u, true
}

// placeNamed gives the place on the ring that is named without a value.
func (a *analysis) placeNamed() string {
	for _, c := range a.clauses {
		for i, it := range c.items {
			if it.place != "" && !(i > 0 && negator[c.items[i-1].text]) {
				return it.place
			}
		}
	}
	return ""
}

// looseBase reads the bot's last line though its figure cannot be: it is what
// the correction is about.
func (a *analysis) looseBase() (Reading, bool) {
	if len(a.talk) == 0 || !a.talk[len(a.talk)-1].bot() {
		return Reading{}, false
	}
	items := prepare(plainWords(a.talk[len(a.talk)-1].text), a.in.Units == unit.Metric, a.in.Units == unit.InchUnits)
	clauses := splitClauses(items, "")
	b := binder{clauses: clauses, claimed: map[[2]int]bool{}}
	b.bind()
	for _, x := range b.out {
		for _, w := range (resolver{}).targets(x) {
			forms := typed(x.g.unit, quantities[w], a.in.Units)
			if x.g.unit == noUnit {
				forms = bareForms(x.g.values[0], quantities[w], a.in.Units)
			}
			if len(forms) == 0 {
				continue
			}
			v := forms[0].value(x.g.values[0])
			return Reading{What: w, Value: &v, Unit: forms[0].name, Which: x.mods.which}, true
		}
	}
	return Reading{}, false
}

// ordinal gives the index "the last one", "the third", "number 2" names in a row
// of n, or -1.
func ordinal(words []string, n int) int {
	for i, w := range words {
		switch w {
		case "first":
			return 0
		case "second":
			return 1
		case "third":
			return 2
		case "fourth":
			return 3
		case "fifth":
			return 4
		case "last":
			if i+1 < len(words) && (words[i+1] == "one" || words[i+1] == "number" || words[i+1] == "reading" || words[i+1] == "spot" || words[i+1] == "position" || words[i+1] == "should" || words[i+1] == "was" || words[i+1] == "is") {
				return n - 1
			}
		}
	}
	return -1
}

// contrasts: "toe not heel", "inch pounds not foot pounds", "no thats pinion
// only": one word of a kind against another of the same kind.
func (a *analysis) contrasts() bool {
	kinds := [][]tag{{lToe, lHeel, cCenter}, {fFace, fFlank, fHigh, fLow}, {sDrive, sCoast}, {pLeft, pRight}, {qBacklash, qDrag, qTotalDrag, qRunout, qShim, qEndPlay}}
	if len(a.talk) == 0 {
		return false
	}
	for k, c := range a.clauses {
		if c.moods&moodQuestion != 0 || c.mark == '?' {
			continue
		}
		// "not face, flank"
		if len(c.items) == 2 && c.items[0].text == "not" && k+1 < len(a.clauses) && len(a.clauses[k+1].items) > 0 {
			for _, kind := range kinds {
				if hasAnyTag(c.items[1].tags, kind) && hasAnyTag(a.clauses[k+1].items[0].tags, kind) {
					return true
				}
			}
		}
		for i := 1; i+1 < len(c.items); i++ {
			if c.items[i].text != "not" {
				continue
			}
			for _, kind := range kinds {
				before, after := false, false
				for _, t := range kind {
					before = before || c.items[i-1].tags.has(t)
					after = after || c.items[i+1].tags.has(t) || i+2 < len(c.items) && c.items[i+1].tags.has(light) && c.items[i+2].tags.has(t)
				}
				if before && after {
					return true
				}
			}
		}
		// units against each other
		for k, w := range c.words {
			if w == "not" && k > 0 && k+1 < len(c.words) && unitTable[c.words[k-1]] != noUnit && unitFirst[c.words[k+1]] && !slices.Contains(c.words, "#") {
				return true
			}
		}
	}
	words := skipFillers(allWords(a.clauses))
	if notMade.in(words) && len(words) <= 10 {
		return true
	}
	last := a.talk[len(a.talk)-1]
	told := last.bot() && !strings.Contains(last.text, "?") || last.bot() && strings.Contains(last.text, "right?")
	if told && len(words) > 1 && len(words) <= 6 && noFirst[words[0]] {
		for _, w := range words[1:] {
			if w == "#" {
				return true // "no 0.21"
			}
			if !noFirst[w] && w != "its" && w != "thats" && w != "sorry" && w != "," && w != "!" && w != "make" && w != "it" && w != "was" && w != "." {
				break
			}
		}
	}
	if told && len(words) >= 1 && len(words) <= 3 && len(a.readings) == 0 && !slices.Contains(words, "#") && unitNamed(a.tokens) != "" && onlyUnit(a.tokens) {
		return true // "celsius"
	}
	if last.bot() && len(words) <= 5 && sideSlip.in(words) {
		return true
	}
	if told && len(words) <= 8 && toldSlip.inAny(words) {
		return true
	}
	if told && len(words) <= 5 && !slices.Contains(words, "#") && shouldBe.inAny(words) && (unitNamed(a.tokens) != "" || a.namedQuantity(nil) != "") {
		return true
	}
	if len(words) >= 3 && len(words) <= 9 && (words[0] == "no" || words[0] == "nope" || words[0] == "nah" || words[0] == "wrong") && !slices.Contains(words, "#") && !slices.Contains(words, "?") {
		for _, w := range words[1:3] {
			if w == "that" || w == "thats" || w == "its" || w == "it" || w == "was" {
				return a.namedQuantity(nil) != "" || a.placeNamed() != ""
			}
		}
	}
	return false
}

var (
	noFirst  = wordSet("no nope nah wrong incorrect negative non nein")
	sideSlip = compileTrigger(`other side sorry | sorry other side | no other side | other side mate | wrong side sorry | sorry wrong side | oops other side | oops wrong side | the other side sorry | no the other side | other side , sorry | sorry , other side | other side my bad`)
)

// toldSlip are short words that mend what the bot has just told.
var toldSlip = compileTrigger(`sorry | other way , | other way sorry | it was # | was # notches | its # not | was actually # | only # | just # notches & # | toe | heel | high | low | face | flank | root | coast | drive | left | right | pinion | total | center | centered`)

// onlyUnit: the message is a unit and nothing else.
func onlyUnit(tokens []token) bool {
	n := 0
	for _, t := range tokens {
		if t.kind == word && !fillers[t.text] && t.text != "sorry" && t.text != "its" && t.text != "meant" {
			n++
		}
	}
	_, k := unitPhrases.longest(tokens, 0)
	return n <= max(1, k)
}

// notMade takes back a move that was logged too early.
var notMade = compileTrigger(`havent done that | havent done it | didnt do that | havent moved it | havent moved that | havent pulled | havent done that yet | not done that | havent made that | didnt move | didnt pull | havent put | thats not done | never moved | never pulled ! anything`)

func hasAnyTag(s tagSet, tags []tag) bool { return s.hasAny(tags...) }

// unitFirst are the first words of the units a contrast can name.
var unitFirst = wordSet("in inch inches ft foot feet nm n newton mm thou thousandths hundredths f c fahrenheit celsius lb miles km")

// relabels: "that was total drag", "those were coast": no number, another name
// for what was said before.
func (a *analysis) relabels() bool {
	if len(a.talk) == 0 {
		return false
	}
	words := skipFillers(allWords(a.clauses))
	if len(words) < 2 || len(words) > 12 || slices.Contains(words, "#") || slices.Contains(words, "?") {
		return false
	}
	if words[0] == "thats" || words[0] == "thatll" {
		return a.namedQuantity(nil) != ""
	}
	switch words[0] + " " + words[1] {
	case "that was", "those were", "these were", "it was", "was the", "that should", "those are", "that one":
		return a.namedQuantity(nil) != ""
	}
	return false
}

func keepAsk(ask *Ask, a *analysis) *Ask {
	if ask != nil {
		return ask
	}
	if len(a.asks) > 0 && len(a.readings) == 0 {
		return &a.asks[0]
	}
	return nil
}

// renames: "meant drag" replaces the entry before under another name.
func (a *analysis) renames(words []string) bool {
	for _, w := range words {
		if w == "meant" || w == "mean" || w == "wrong" {
			return true
		}
	}
	return false
}

// deniedBefore: "said 9, meant 8", "9 should be 8", "that 9 was a 6".
func (a *analysis) deniedBefore(b bound) bool {
	c := a.clauses[b.clause]
	for k := b.item - 1; k >= 0 && k >= b.item-3; k-- {
		switch c.items[k].text {
		case "said", "typed", "wrote", "says":
			return true
		case "that":
			// "that 9 was 6 upside down", "that 9 should be 8"
			for j := b.item + 1; j < len(c.items) && j < b.item+5; j++ {
				if isWord(c.items, j, "was", "is", "should", "meant") && k == b.item-1 {
					return true
				}
			}
		}
	}
	return false
}

// similar picks the earlier reading a bare new number most likely replaces: one
// whose quantity it would be plausible for.
func (a *analysis) similar(h []before, fresh []bound) (Reading, bool) {
	for _, b := range h {
		for i := len(b.readings) - 1; i >= 0; i-- {
			rd := b.readings[i]
			if len(fresh) == 0 {
				return rd, true
			}
			if isPattern(rd.What) {
				continue
			}
			e := expectationOf(rd.What)
			if compatible(e.q, fresh[0].g) {
				return rd, true
			}
		}
	}
	return Reading{}, false
}

// namedQuantity gives the quantity a correction names without a number: "meant
// coast", "that was total drag".
func (a *analysis) namedQuantity(base *Reading) What {
	b := binder{clauses: a.clauses}
	found := What("")
	for ci := range a.clauses {
		c := &a.clauses[ci]
		var m mods
		q := none
		for i, it := range c.items {
			// "not drive", "instead of the left"
			if i > 0 && (negator[c.items[i-1].text] && c.items[i-1].text != "no" || isWord(c.items, i-1, "of", "than") && isWord(c.items, i-2, "instead", "rather") || i > 1 && negator[c.items[i-2].text] && c.items[i-2].text != "no" && c.items[i-1].tags.has(light)) {
				continue
			}
			if t := b.frameTag(c, i); t != none {
				q = t
			}
			b.modsOf(c, i, &m)
			if q == none && found == "" {
				if it.tags.has(sCoast) {
					found = PatternCoast
				} else if it.tags.has(sDrive) {
					found = PatternDrive
				}
			}
		}
		if m.total && (q == none || q == qDrag) {
			q = qTotalDrag
		}
		if q == none && (m.side == pLeft || m.side == pRight) {
			q = qShim
		}
		if q == none && m.pinion && found == "" {
			q = qShim
			if base != nil && (base.What == TotalDrag || base.What == BreakawayTorque) {
				q = qDrag
			}
		}
		if ws := (resolver{}).targets(bound{q: q, mods: m}); len(ws) == 1 {
			return ws[0]
		}
	}
	return found
}

var swappedSides = compileTrigger(`backward* | swapped | swap | other way round | other way around | reversed | mixed up | mixed them | wrong way round | flipped | crossed | other side | wrong side`)

func otherName(w What) What {
	switch w {
	case PatternDrive:
		return PatternCoast
	case PatternCoast:
		return PatternDrive
	case ShimLeft:
		return ShimRight
	case ShimRight:
		return ShimLeft
	}
	return ""
}

// unitNamed gives the unit a correction names without a number.
func unitNamed(tokens []token) string {
	for i := 0; i < len(tokens); i++ {
		if i > 0 && negator[tokens[i-1].text] || tokens[i].kind != word {
			continue
		}
		u, n := unitPhrases.longest(tokens, i)
		if n == 0 || n == 1 && (len(tokens[i].text) < 2 || tokens[i].text == "in") {
			if tokens[i].text == "metric" {
				return "mm"
			}
			continue
		}
		switch u {
		case uThou, uInch:
			return "in"
		case uMM, uHundredth:
			return "mm"
		case uInLb:
			return "in·lbf"
		case uFtLb:
			return "ft·lbf"
		case uNm:
			return "N·m"
		case uDegF:
			return "degF"
		case uDegC:
			return "degC"
		case uMile:
			return "mi"
		case uKm:
			return "km"
		case uMph:
			return "mph"
		case uKmh:
			return "km/h"
		}
	}
	return ""
}

// sameDimension says whether two units measure the same.
func sameDimension(a, b string) bool {
	for _, kind := range [][]string{{"in", "mm"}, {"in·lbf", "ft·lbf", "N·m"}, {"degF", "degC"}, {"mi", "km"}, {"mph", "km/h"}} {
		if slices.Contains(kind, a) && slices.Contains(kind, b) {
			return true
		}
	}
	return false
}

// amendMove changes the last move: another amount, or the sides the other way
// round.
func (a *analysis) amendMove(old Move, fresh []bound) (Move, bool) {
	m := moveFinder{clauses: a.clauses, sys: a.in.Units, sender: a.in.Sender}
	if len(fresh) == 1 && len(fresh[0].g.values) == 1 {
		turns := old.Notches != nil
		nm := m.move(none, none, fresh[0].g, turns, fresh[0].g.text)
		nm.From, nm.To = old.From, old.To
		if nm.AmountIn != nil || nm.AmountMM != nil || nm.Notches != nil {
			return nm, true
		}
		return Move{}, false
	}
	words := strings.Join(allWords(a.clauses), " ")
	nm := old
	if strings.Contains(words, "other way") || strings.Contains(words, "left to right") && old.From == "right" || strings.Contains(words, "right to left") && old.From == "left" || strings.Contains(words, "backward") || strings.Contains(words, "reversed") {
		nm.From, nm.To = old.To, old.From
		return nm, true
	}
	if old.To == "stock" || old.From == "stock" {
		for _, c := range a.clauses {
			for i, it := range c.items {
				p := placeOf(it)
				if p == none || p == pBoth || i > 0 && negator[c.items[i-1].text] {
					continue
				}
				if old.To == "stock" && placeNames[p] != old.From {
					nm.From = placeNames[p]
					return nm, true
				}
				if old.From == "stock" && placeNames[p] != old.To {
					nm.To = placeNames[p]
					return nm, true
				}
			}
		}
	}
	return Move{}, false
}
