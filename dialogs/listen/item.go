package listen

import "strings"

// itemKind of an item.
type itemKind uint8

const (
	phraseItem itemKind = iota // a word or phrase, known or not
	figureItem                 // a number, or a group of numbers that belong together
	unitItem                   // a unit that stands behind a number
	signItem                   // punctuation
	lineItem                   // end of a line
)

// item is a token or several, with what they stand for.
type item struct {
	kind  itemKind
	text  string
	tags  tagSet
	unit  unitID
	num   number
	glued bool
	a, b  int // tokens

	pos   string // this number is a place on the ring: "12", "bolt 3"
	skip  skip   // this number is no measurement
	place string // a place on the ring that no value stands by
	group *group // set once numbers are grouped
}

// tagSet is a set of tags.
type tagSet [2]uint64

func (s tagSet) has(t tag) bool { return s[t/64]&(1<<(t%64)) != 0 }

func (s tagSet) hasAny(tags ...tag) bool {
	for _, t := range tags {
		if s.has(t) {
			return true
		}
	}
	return false
}

func (s tagSet) with(t tag) tagSet {
	s[t/64] |= 1 << (t % 64)
	return s
}

func (s tagSet) empty() bool { return s[0] == 0 && s[1] == 0 }

// lexiconTable finds the longest phrase of the lexicon and all it can mean.
var lexiconTable = newPhraseTable(func(add func(string, tagSet)) {
	sets := make(map[string]tagSet)
	for t, phrases := range lexicon {
		for _, p := range phrases {
			p = strings.ReplaceAll(p, "'", "")
			sets[p] = sets[p].with(t)
		}
	}
	for p, s := range sets {
		add(p, s)
	}
})

// vocabulary is every word that listen knows, so that none of them is taken for
// a slip of another.
var vocabulary = func() map[string]bool {
	set := make(map[string]bool)
	take := func(phrase string) {
		for _, w := range strings.Fields(phrase) {
			set[w] = true
		}
	}
	for _, phrases := range lexicon {
		for _, p := range phrases {
			take(p)
		}
	}
	for _, words := range unitWords {
		for _, w := range words {
			take(w)
		}
	}
	for _, m := range []map[string]int{digitWords, teenWords, tensWords} {
		for w := range m {
			set[w] = true
		}
	}
	return set
}()

// tagTokens turns tokens into items: units behind numbers first, then the
// longest phrase of the lexicon.
func tagTokens(tokens []token) []item {
	items := make([]item, 0, len(tokens))
	for i := 0; i < len(tokens); {
		t := tokens[i]
		it := item{text: t.text, glued: t.glued, a: i, b: i + 1}
		switch t.kind {
		case newline:
			it.kind = lineItem
		case numeral:
			it.kind, it.num = figureItem, t.num
		default:
			if u, n := unitAt(tokens, i, items); n > 0 {
				it.kind, it.unit, it.b = unitItem, u, i+n
				it.text = joinTexts(tokens[i : i+n])
				break
			}
			if t.kind == mark {
				it.kind = signItem
			}
			if t.text == "'s" {
				it.tags = it.tags.with(light)
			}
			if tags, n := lexiconTable.longest(tokens, i); n > 0 {
				it.tags, it.b, it.kind = tags, i+n, phraseItem
				it.text = joinTexts(tokens[i : i+n])
			}
		}
		items = append(items, it)
		i = it.b
	}
	return items
}

func joinTexts(tokens []token) string {
	if len(tokens) == 1 {
		return tokens[0].text
	}
	parts := make([]string, len(tokens))
	for i, t := range tokens {
		parts[i] = t.text
	}
	return strings.Join(parts, " ")
}

// unitAt finds a unit at tokens[i] if a number stands before it.
func unitAt(tokens []token, i int, before []item) (unitID, int) {
	if len(before) == 0 {
		return noUnit, 0
	}
	last := before[len(before)-1]
	// "9-thou", "18.in lb"
	if last.kind == signItem && last.glued && (last.text == "-") && len(before) > 1 && tokens[i].glued {
		last = before[len(before)-2]
	}
	if last.kind != figureItem {
		return noUnit, 0
	}
	u, n := unitPhrases.longest(tokens, i)
	if n == 0 {
		return noUnit, 0
	}
	t := tokens[i]
	if n == 1 {
		next := ""
		if i+1 < len(tokens) {
			next = tokens[i+1].text
		}
		switch t.text {
		case "l", "h", "v", "w", "g", "m", "k", "'", "c", "f", "#", "\"", "''", "%":
			// A letter is a unit only right behind its number; C and F may stand off.
			if !t.glued && t.text != "c" && t.text != "f" && t.text != "%" {
				return noUnit, 0
			}
			if !t.glued && i+1 < len(tokens) && tokens[i+1].kind == numeral {
				return noUnit, 0 // "B 9 C 8"
			}
		case "in":
			// "9 in the left" is no inch
			if !t.glued && !(last.num.small() && !startsPlace[next]) {
				return noUnit, 0
			}
			if startsPlace[next] && !last.num.small() {
				return noUnit, 0
			}
		case "thousand", "thousands":
			if d := unitTable[next].dim(); d == dimDistance || d == dimOther || d == dimSpeed {
				return noUnit, 0
			}
		case "on":
			return noUnit, 0
		}
	}
	return u, n
}

var startsPlace = wordSet("the left right my his her our their there both it a an all each that this and lh rh case")
