package listen

import (
	"slices"
	"strings"

	"shimwright/calc/unit"
)

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
		u.Ask = &Ask{Key: "ask.which_of", With: []any{"what", base.What, "n", fresh.g.text}}
		u.Note = u.Ask.Key
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

// namedWhich gives old, new, setup, final or before_teardown where the message
// names it.
func (a *analysis) namedWhich() string {
	b := binder{clauses: a.clauses}
	var m mods
	for ci := range a.clauses {
		c := &a.clauses[ci]
		for i := range c.items {
			b.modsOf(c, i, &m)
			if isWord(c.items, i, "old", "new") && isWord(c.items, i+1, "one", "ones") {
				m.which = c.items[i].text
			}
		}
	}
	return m.which
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
