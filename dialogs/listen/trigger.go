package listen

import "strings"

// A trigger is a small pattern over the words of a clause or sentence:
//
//	word          the word itself; "ham*" any word that starts so; # a number
//	a b           a then b, next to each other
//	a ~ b         a then b, at most six words between
//	a | b         one of the two
//	x & y         both, anywhere
//	x ! y         x, unless y is there
//	@name         any of the words of that name in macros
//
// It keeps the tables of dangers, facts, topics and moods readable.
type trigger struct {
	all  []phraseSet // every one of these, each in one of its forms
	none phraseSet   // and none of these
}

type phrase []string

// compileTrigger reads the form above. It does not fail: a pattern is any words.
func compileTrigger(s string) trigger {
	var t trigger
	want, unless, _ := strings.Cut(s, "!")
	for part := range strings.SplitSeq(want, "&") {
		t.all = append(t.all, compilePhrases(part))
	}
	if strings.TrimSpace(unless) != "" {
		t.none = compilePhrases(unless)
	}
	return t
}

// phraseSet is a list of phrases by how they begin, so that a message is held
// against the few that can begin at a word and not against all.
type phraseSet struct {
	exact map[string][]phrase // by the first word
	open  map[byte][]phrase   // "ham*": by its first letter
}

func (s phraseSet) add(p phrase) {
	if n := len(p[0]) - 1; p[0][n] == '*' {
		s.open[p[0][0]] = append(s.open[p[0][0]], p)
		return
	}
	s.exact[p[0]] = append(s.exact[p[0]], p)
}

func (s phraseSet) empty() bool { return len(s.exact)+len(s.open) == 0 }

// match calls f for every phrase that stands at words[i], until f says stop.
func (s phraseSet) match(words []string, i int, f func(p phrase, end int) bool) bool {
	for _, list := range [2][]phrase{s.exact[words[i]], s.open[words[i][0]]} {
		for _, p := range list {
			if end, ok := p.at(words, i); ok && f(p, end) {
				return true
			}
		}
	}
	return false
}

func compilePhrases(s string) phraseSet {
	set := phraseSet{exact: make(map[string][]phrase), open: make(map[byte][]phrase)}
	for form := range strings.SplitSeq(s, "|") {
		forms := []phrase{nil}
		for w := range strings.FieldsSeq(form) {
			options := []phrase{{w}}
			if w[0] == '@' && macros[w[1:]] != "" {
				options = nil
				for o := range strings.SplitSeq(macros[w[1:]], "|") {
					options = append(options, strings.Fields(o))
				}
			}
			var longer []phrase
			for _, f := range forms {
				for _, o := range options {
					longer = append(longer, joinPhrase(f, o))
				}
			}
			forms = longer
		}
		for _, f := range forms {
			if len(f) > 0 {
				set.add(f)
			}
		}
	}
	return set
}

// joinPhrase puts the words o behind f, "is" melted into what stands before it
// as wordsOf does.
func joinPhrase(f, o phrase) phrase {
	out := append(make(phrase, 0, len(f)+len(o)), f...)
	for _, w := range o {
		if n := len(out); n > 0 && w == "is" && contracts[out[n-1]] {
			out[n-1] += "s"
			continue
		}
		out = append(out, w)
	}
	return out
}

// gapWords is how many words "~" may stand for.
const gapWords = 6

// at says whether the phrase is at words[i], and where it ends.
func (p phrase) at(words []string, i int) (end int, ok bool) {
	if len(p) == 0 {
		return i, true
	}
	if p[0] == "~" {
		for k := i; k < len(words) && k <= i+gapWords; k++ {
			if end, ok := p[1:].at(words, k); ok {
				return end, true
			}
		}
		return 0, false
	}
	if i >= len(words) || !wordIs(p[0], words[i]) {
		return 0, false
	}
	return p[1:].at(words, i+1)
}

func wordIs(pattern, w string) bool {
	if n := len(pattern) - 1; pattern[n] == '*' {
		return strings.HasPrefix(w, pattern[:n])
	}
	return pattern == w
}

// find gives where one of the phrases first is.
func find(set phraseSet, words []string) (start, end int, ok bool) {
	for i := range words {
		if set.match(words, i, func(_ phrase, e int) bool { end = e; return true }) {
			return i, end, true
		}
	}
	return 0, 0, false
}

// in says whether the trigger fires on the words. A match under a negation
// ("didn't back the nut off") does not count.
func (t trigger) in(words []string) bool { return t.match(words, true) }

// inAny is in, without regard to negation.
func (t trigger) inAny(words []string) bool { return t.match(words, false) }

// first gives where the first part of the trigger stands, where all of it does,
// without regard to negation.
func (t trigger) first(words []string) (int, bool) {
	if !t.inAny(words) {
		return 0, false
	}
	start, _, ok := find(t.all[0], words)
	return start, ok
}

func (t trigger) match(words []string, heedNot bool) bool {
	var inside [][2]int // where its parts stand
	for _, group := range t.all {
		found := false
		for i := range words {
			found = group.match(words, i, func(_ phrase, end int) bool {
				if heedNot && len(t.all) > 1 {
					inside = append(inside, [2]int{i, end})
					found = true
					return false
				}
				return true
			}) || found
			if found && (!heedNot || len(t.all) == 1) {
				break
			}
		}
		if !found {
			return false
		}
	}
	if !t.none.empty() {
		if _, _, ok := find(t.none, words); ok {
			return false
		}
	}
	if !heedNot {
		return true
	}
	for _, group := range t.all {
		if !assertedIn(group, words, inside) {
			return false
		}
	}
	return true
}

// assertedIn finds one form of a group that is not under a negation. A negation
// that is part of another match ("cant find ~ lock") denies nothing.
func assertedIn(group phraseSet, words []string, inside [][2]int) bool {
	for i := range words {
		asserted := group.match(words, i, func(p phrase, end int) bool {
			if deniedInside(p, words[i:end]) {
				return false
			}
			if negator[p[0]] {
				return true
			}
			k, ok := negationBefore(words, i)
			if !ok {
				return true
			}
			for _, span := range inside {
				if k >= span[0] && k < span[1] {
					return true
				}
			}
			return false
		})
		if asserted {
			return true
		}
	}
	return false
}

// deniedInside: a negation stands in a gap of the match ("bearings dry, no air
// gun").
func deniedInside(p phrase, match []string) bool {
	for _, w := range match {
		if !negator[w] {
			continue
		}
		literal := false
		for _, e := range p {
			literal = literal || e != "~" && wordIs(e, w)
		}
		if !literal {
			return true
		}
	}
	return false
}

var negator = wordSet(`not no never without didnt dont doesnt hasnt havent wasnt isnt arent wont cant couldnt wouldnt shouldnt
	aint cannot nor neither nobody nothing none forgot avoid didn't wouldnt nah nope instead sin nunca`)

// negatedAt says whether a negation stands up to four words before words[i], in
// the same run of words.
func negatedAt(words []string, i int) bool {
	_, ok := negationBefore(words, i)
	return ok
}

// negationBefore gives where that negation is.
func negationBefore(words []string, i int) (int, bool) {
	for k := i - 1; k >= 0 && k >= i-4; k-- {
		if words[k] == "." || words[k] == "," || words[k] == "but" {
			return 0, false
		}
		if negator[words[k]] {
			// "not only", "no doubt", "no problem, ..." say the opposite or nothing
			if k+1 < len(words) && (words[k+1] == "only" || words[k+1] == "sure" || words[k+1] == "know" || words[k+1] == "certain" || words[k+1] == "clear" || words[k+1] == "doubt" || words[k+1] == "matter" || words[k+1] == "choice" || words[k+1] == "idea" || words[k+1] == "wonder") {
				return 0, false
			}
			return k, true
		}
	}
	return 0, false
}
