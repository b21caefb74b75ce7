package listen

import (
	"cmp"
	"slices"
	"strings"
)

// phraseTable finds the longest phrase of a table that starts at a token.
type phraseTable[V any] map[string][]tablePhrase[V]

type tablePhrase[V any] struct {
	words []string
	value V
}

// newPhraseTable builds a table from what fill adds. Hyphens, apostrophes and
// slashes of a phrase part it as the scanner does.
func newPhraseTable[V any](fill func(add func(phrase string, value V))) phraseTable[V] {
	table := make(phraseTable[V])
	fill(func(phrase string, value V) {
		var words []string
		for _, t := range joinHyphens(scan(phrase)) {
			words = append(words, t.text)
		}
		if len(words) == 0 {
			return
		}
		table[words[0]] = append(table[words[0]], tablePhrase[V]{words, value})
	})
	for _, list := range table {
		slices.SortStableFunc(list, func(x, y tablePhrase[V]) int {
			if c := cmp.Compare(len(y.words), len(x.words)); c != 0 {
				return c
			}
			return cmp.Compare(strings.Join(x.words, " "), strings.Join(y.words, " "))
		})
	}
	return table
}

// longest gives the value of the longest phrase at tokens[i] and how many tokens
// it takes; 0 where there is none.
func (p phraseTable[V]) longest(tokens []token, i int) (value V, n int) {
	for _, ph := range p[tokens[i].text] {
		if i+len(ph.words) > len(tokens) {
			continue
		}
		ok := true
		for k, w := range ph.words {
			if t := tokens[i+k]; t.text != w || t.kind == newline {
				ok = false
				break
			}
		}
		if ok {
			return ph.value, len(ph.words)
		}
	}
	return value, 0
}
