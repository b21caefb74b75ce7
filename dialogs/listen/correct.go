package listen

import "strings"

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
		if isPattern(named) == isPattern(base.What) && quantities[named].dim == quantities[base.What].dim {
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
	// "that's the old one"
	if which := a.namedWhich(); which != "" && len(u.Readings) == 0 && len(fresh) == 0 && base != nil && base.Which != which && oldOne.in(all) {
		nr := *base
		nr.Which = which
		u.Readings = append(u.Readings, nr)
		u.Retract = append(u.Retract, retractOf(*base))
		u.Note = "it was meant as " + strings.ReplaceAll(which, "_", " ")
		return u, true
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
	if len(u.Retract) == 0 && len(h) == 0 && len(a.cautions) > 0 && len(u.Readings)+len(u.Moves) == 0 {
		return u, false // "whoops, too tight": a sigh and no correction
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

var (
	noFirst  = wordSet("no nope nah wrong incorrect negative non nein")
	sideSlip = compileTrigger(`other side sorry | sorry other side | no other side | other way | other side mate | wrong side sorry | sorry wrong side | oops other side | oops wrong side | the other side sorry | no the other side | other side , sorry | sorry , other side | other side my bad`)
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
