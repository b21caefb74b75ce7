package listen

import (
	"math"
	"strings"
)

// mending is a correction being worked out.
type mending struct {
	a      *analysis
	u      Utterance
	before []before // what was said before, newest first
	base   *Reading // what of it the correction is most likely about
	denied []bound  // "not 9"
	fresh  []bound  // new numbers without a quantity of their own
	words  []string
	r      resolver
}

// correct works out a correction; ok is false where there is nothing to take
// back and nothing new.
func (a *analysis) correct(u Utterance, depth int) (Utterance, bool) {
	m := mending{a: a, u: u, words: allWords(a.clauses), r: resolver{sys: a.in.Units}}
	m.before = corrector{in: a.in, talk: a.talk, depth: depth}.history()
	if len(m.before) == 0 {
		if rd, ok := a.looseBase(); ok {
			m.before = []before{{readings: []Reading{rd}}}
		}
	}
	m.u.Kind = Correction
	m.u.Facts, m.u.Cautions, m.u.Proposed = a.facts, a.cautions, a.proposed
	m.u.Readings, m.u.Moves = a.readings, a.moves.done
	m.sort()
	if len(m.fresh) == 1 && m.base != nil && len(m.base.Values) > 1 && len(m.fresh[0].g.values) == 1 {
		return a.amendOne(m.u, *m.base, m.fresh[0], m.denied, m.r)
	}
	m.takeFresh()
	if len(m.u.Readings) == 0 && (len(m.fresh) == 0 && m.renamed() || m.placeOnly() || m.swapped()) {
		return m.u, true
	}
	// "low not high" leaves the other direction as it was
	if len(m.u.Readings) == 1 && isPattern(m.u.Readings[0].What) && m.base != nil && m.base.What == m.u.Readings[0].What && a.contrasts() {
		rd := &m.u.Readings[0]
		rd.Length, rd.Profile = orText(rd.Length, m.base.Length), orText(rd.Profile, m.base.Profile)
	}
	if m.leftOpen() {
		t := m.fresh[0].g.text
		return Utterance{Kind: Clarify, Ask: keepAsk(&Ask{Key: "ask.measures", With: []any{"n", t}}, a)}, true
	}
	if m.movedOtherwise() {
		return m.u, true
	}
	m.retract()
	if len(m.u.Retract) == 0 && len(m.before) == 0 && len(a.cautions) > 0 && len(m.u.Readings)+len(m.u.Moves) == 0 {
		return m.u, false // "whoops, too tight": a sigh and no correction
	}
	m.close()
	return m.u, true
}

// sort parts the numbers of the message into those taken back and new ones, and
// finds what they are about.
func (m *mending) sort() {
	for _, b := range m.a.bounds {
		switch {
		case b.moods&moodNot != 0 || m.a.deniedBefore(b):
			m.denied = append(m.denied, b)
		case b.q == none && b.moods&(moodOther|moodIf|moodQuestion) == 0:
			m.fresh = append(m.fresh, b)
		case len(m.a.bounds) == 1 && m.nearLast(b):
			// "no its 1.236" after 1.238 is no answer to what was asked since.
			b.q, b.mods, b.asked = none, mods{}, false
			m.fresh, m.u.Readings, m.a.asks = append(m.fresh, b), nil, nil
		}
	}
	if len(m.denied) > 0 {
		v := m.denied[0].g.values[0].val
		if rd, ok := lastLike(m.before, "", &v); ok {
			m.base = &rd
			return
		}
	}
	if len(m.before) > 0 && len(m.before[0].readings) > 0 && !(len(m.before[0].moves) > 0 && len(m.a.moves.done) > 0) {
		if rd, ok := m.a.similar(m.before, m.fresh); ok {
			m.base = &rd
		}
	}
}

// nearLast says whether a number that was taken for the answer to the open question lies
// within two per cent of the last figure of the message before.
func (m *mending) nearLast(b bound) bool {
	if !b.asked || len(b.g.values) != 1 || len(m.before) == 0 || len(m.before[0].readings) == 0 {
		return false
	}
	last := m.before[0].readings[len(m.before[0].readings)-1]
	return last.Value != nil && !isPattern(last.What) && math.Abs(b.g.values[0].val-*last.Value) <= 0.02*math.Abs(*last.Value)
}

// takeFresh gives new numbers without a quantity that of what they replace.
func (m *mending) takeFresh() {
	if m.base == nil || isPattern(m.base.What) {
		return
	}
	e := expectationOf(m.base.What)
	for _, b := range m.fresh {
		b.q, b.mods = e.q, merge(b.mods, e.mods)
		b.moods &^= moodSpec | moodNot | moodShould | moodPlan | moodDoubt | moodOrder | moodTarget
		b.mods.which = orText(b.mods.which, m.base.Which)
		out := m.r.resolve(b)
		for _, rd := range out.readings {
			m.u.Readings = addReading(m.u.Readings, rd)
		}
		if out.ask != nil {
			m.u.Ask = out.ask
		}
		if out.refuse != "" {
			m.u.Cautions = appendOnce(m.u.Cautions, DangerImplausible)
			m.u.Note = out.refuse
		}
	}
}

// instead replaces the base by a reading that differs in what the message names.
func (m *mending) instead(rd Reading, note string) bool {
	if q, ok := quantities[rd.What]; ok && !q.allows(rd) {
		m.u.Ask = &Ask{Key: "ask.what_exactly", With: []any{"what", rd.What}}
		m.u.Note = m.u.Ask.Key
	} else {
		m.u.Readings = append(m.u.Readings, rd)
		m.u.Note = note
	}
	m.u.Retract = append(m.u.Retract, retractOf(*m.base))
	return true
}

// renamed mends what the reading is, without a number: its quantity, its state,
// its place on the ring or its unit.
func (m *mending) renamed() bool {
	if m.base == nil {
		return false
	}
	rd := *m.base
	if named := m.a.namedQuantity(m.base); named != "" && named != rd.What && isPattern(named) == isPattern(rd.What) && quantities[named].dim == quantities[rd.What].dim {
		rd.What = named // "meant total drag"
		return m.instead(rd, "the "+m.base.What.Name()+" was meant as "+named.Name())
	}
	if which := m.a.namedWhich(); which != "" && which != rd.Which && oldOne.in(m.words) {
		rd.Which = which // "that's the old one"
		return m.instead(rd, "it was meant as "+strings.ReplaceAll(which, "_", " "))
	}
	if pos := m.a.placeNamed(); pos != "" && rd.Value != nil {
		rd.Positions = []string{pos} // "no that's bolt 2"
		return m.instead(rd, "the place was meant as "+pos)
	}
	if nu := unitNamed(m.a.tokens); nu != rd.Unit && sameDimension(nu, rd.Unit) {
		rd.Unit = nu // "meant mm"
		return m.instead(rd, "the unit was meant as "+nu)
	}
	return false
}

// placeOnly mends a pattern by a place without its side: "meant heel".
func (m *mending) placeOnly() bool {
	if len(m.a.patterns.unsided) == 0 {
		return false
	}
	ct := m.a.patterns.unsided[0]
	for _, b := range m.before {
		for i := len(b.readings) - 1; i >= 0; i-- {
			rd := b.readings[i]
			if !isPattern(rd.What) {
				continue
			}
			rd.Length, rd.Profile, rd.Degree = orText(ct.length, rd.Length), orText(ct.profile, rd.Profile), ct.degree
			m.u.Readings = append(m.u.Readings, rd)
			m.u.Retract = append(m.u.Retract, Retract{What: rd.What})
			m.u.Note = "the pattern was meant so"
			return true
		}
	}
	return false
}

// swapped mends drive and coast, or left and right, told the wrong way round.
func (m *mending) swapped() bool {
	if len(m.before) == 0 || !swappedSides.in(m.words) {
		return false
	}
	for _, rd := range m.before[0].readings {
		if other := otherName(rd.What); other != "" {
			m.u.Retract = append(m.u.Retract, retractOf(rd))
			rd.What = other
			m.u.Readings = append(m.u.Readings, rd)
		}
	}
	m.u.Note = "the two were the wrong way round"
	return len(m.u.Readings) > 0
}

// leftOpen says whether a new figure came for one of several that it could stand for:
// nothing is taken back before it is said which ("no its 1.236" after two heights).
func (m *mending) leftOpen() bool {
	return len(m.fresh) == 1 && len(m.denied) == 0 && m.base == nil && len(m.u.Readings)+len(m.u.Moves) == 0 && m.u.Ask == nil &&
		len(m.before) > 0 && len(m.before[0].readings) > 1 && len(m.before[0].moves) == 0
}

// movedOtherwise mends the last move.
func (m *mending) movedOtherwise() bool {
	if len(m.before) == 0 || len(m.before[0].moves) == 0 || len(m.u.Moves)+len(m.u.Readings) > 0 {
		return false
	}
	old := m.before[0].moves[len(m.before[0].moves)-1]
	nm, ok := m.a.amendMove(old, m.fresh)
	switch {
	case ok:
		m.u.Moves = append(m.u.Moves, nm)
	case len(m.a.bounds) > 0:
		return false // a figure, and none of that move
	}
	m.u.Retract = append(m.u.Retract, Retract{Move: true, Last: len(m.u.Moves) == 0})
	m.u.Note = "the move is taken back"
	return true
}

// retract names what no longer holds: what was denied, and what the new readings
// replace.
func (m *mending) retract() {
	if len(m.u.Moves) > 0 {
		m.u.Retract = append(m.u.Retract, Retract{Move: true})
	}
	seen := map[What]bool{}
	for _, b := range m.denied {
		what := What("")
		if len(m.u.Readings) > 0 {
			what = m.u.Readings[0].What
		} else if m.base != nil {
			what = m.base.What
		}
		if ws := m.r.targets(b); len(ws) == 1 {
			what = ws[0]
		}
		m.u.Retract = append(m.u.Retract, Retract{What: what, Value: m.deniedValue(b, what)})
		seen[what] = true
	}
	for _, rd := range m.u.Readings {
		if seen[rd.What] {
			continue
		}
		seen[rd.What] = true
		if old, ok := lastLike(m.before, rd.What, nil); ok {
			m.u.Retract = append(m.u.Retract, retractOf(old))
		} else if m.base != nil && m.base.What != rd.What && m.a.renames(m.words) {
			m.u.Retract = append(m.u.Retract, retractOf(*m.base))
		} else {
			m.u.Retract = append(m.u.Retract, Retract{What: rd.What})
		}
	}
}

// deniedValue gives a value that was taken back in the unit of its quantity.
func (m *mending) deniedValue(b bound, what What) *float64 {
	b.moods = 0
	if b.q == none && what != "" {
		e := expectationOf(what)
		b.q, b.mods = e.q, merge(b.mods, e.mods)
	}
	for _, w := range m.r.targets(b) {
		if rd, bad := m.r.read(b, w, b.g); bad == nil && rd.Value != nil {
			return rd.Value
		}
	}
	v := b.g.values[0].val
	return &v
}

// close fills in what is left open: the last entry where nothing is named, a
// question where a new number has no quantity.
func (m *mending) close() {
	u := &m.u
	if len(u.Retract) == 0 {
		rt := Retract{Last: true}
		switch {
		case m.base != nil && !(ofDial.inAny(m.words) && !byDial(m.base.What)):
			x := retractOf(*m.base)
			rt.What, rt.Value = x.What, x.Value
		case ofDial.inAny(m.words):
			rt.What = Backlash // and nothing that no dial read
		}
		u.Retract = append(u.Retract, rt)
	}
	if len(u.Readings) == 0 && len(m.fresh) > 0 && u.Ask == nil && m.base == nil {
		t := m.fresh[0].g.text
		u.Ask = &Ask{Key: "ask.reading_for", With: []any{"n", t}, Choices: []string{"backlash " + t, "pinion drag " + t}}
	}
	u.Note = orText(u.Note, "what was said before is taken back")
	u.Ask = keepAsk(u.Ask, m.a)
}

var (
	noFirst  = wordSet("no nope nah wrong incorrect negative non nein")
	sideSlip = compileTrigger(`other side sorry | sorry other side | no other side | other way | other side , thats | other side mate | wrong side sorry | sorry wrong side | oops other side | oops wrong side | the other side sorry | no the other side | other side , sorry | sorry , other side | other side my bad`)
)

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
		case "disregard", "forget", "ignore", "scrap", "scratch", "strike", "void":
			return true // "forget the 15"
		case "that", "the":
			if c.items[k].text == "the" && !(k == b.item-1 && isWord(c.items, b.item+1, "was", "should") && figureWithin(c.items, b.item+2, 3)) {
				continue
			}
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

// ofDial takes back what a dial read.
var ofDial = compileTrigger(`dial slipped | dial moved | dial was loose | indicator slipped | indicator moved`)

func byDial(w What) bool {
	return w == Backlash || w == BacklashSpread || w == RingRunout || w == CarrierEndPlay
}
