package listen

import (
	"slices"
	"strings"
)

// starCorrection: "*8", "8*": how a chat mends the line before.
func starCorrection(clauses []clause) bool {
	star, words, figures := false, 0, 0
	for _, c := range clauses {
		for i, it := range c.items {
			switch {
			case isSign(c.items, i, "*"):
				star = true
			case it.group != nil:
				figures++
			case it.kind == phraseItem && !fillers[it.text]:
				words++
			}
		}
	}
	return star && words <= 1 && figures <= 1 && !(words == 1 && figures == 1)
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
	if told && len(words) > 1 && len(words) <= 7 && noFirst[words[0]] && slices.Contains(words, "#") && (slices.Contains(words, "only") || slices.Contains(words, "took") || slices.Contains(words, "moved") || slices.Contains(words, "pulled")) {
		return true // "no I only took 3"
	}
	if told && len(words) <= 5 && !slices.Contains(words, "#") && slices.Contains(words, "not") && a.namedQuantity(nil) != "" {
		return true // "total, not pinion"
	}
	if told && len(words) > 0 && len(words) <= 8 && noFirst[words[0]] && sideToSide.in(words) {
		return true // "no, left to right"
	}
	if told && len(words) <= 5 && !slices.Contains(words, "#") && oldOne.in(words) {
		return true // "that's the old one"
	}
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
	if justTold(last) && startsOver.at(allWords(a.clauses)) && onlyFigures(a.clauses) {
		return true // "wait thats 18 19 18 18"
	}
	if last.bot() && len(words) <= 7 && sideSlip.in(words) {
		return true
	}
	if told && len(words) <= 8 && shouldBe.inAny(words) && slices.Contains(words, "#") && !slices.Contains(words, "?") {
		return true // "right shim should be 2.58"
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

// justTold says whether the assistant says something back in this line, whatever it asks
// next.
func justTold(last said) bool {
	return last.bot() && strings.TrimSpace(withoutNext(last.text)) != "" && !strings.Contains(withoutNext(last.text), "?")
}

// startsOver opens a figure that takes the place of the one just told.
var startsOver = opening{"wait thats", "wait that is", "wait its", "wait it is", "wait no", "hold on thats", "hang on thats", "hold on its", "hang on its", "wait i meant", "no wait", "espera son", "espera es", "no espera"}

// opening is how a message can begin.
type opening []string

func (o opening) at(words []string) bool {
	var plain []string
	for _, w := range words {
		if w != "," && w != "." {
			plain = append(plain, w)
		}
	}
	said := strings.Join(plain, " ") + " "
	return slices.ContainsFunc(o, func(form string) bool { return strings.HasPrefix(said, form+" ") })
}

// onlyFigures says whether the message has figures and hardly a word beside the first few.
func onlyFigures(clauses []clause) bool {
	words, figures := 0, 0
	for _, c := range clauses {
		for _, it := range c.items {
			switch {
			case it.group != nil:
				figures++
			case it.kind == phraseItem && !fillers[it.text]:
				words++
			}
		}
	}
	return figures > 0 && words <= 4
}

// toldSlip are short words that mend what the bot has just told.
var toldSlip = compileTrigger(`sorry | other way , | other way sorry | it was # | was # notches | its # not | was actually # | only # | just # notches & # | toe | heel | high | low | face | flank | root | coast | drive | left | right | pinion | total | center | centered`)

// oldOne says that what was told is of another state.
var oldOne = compileTrigger(`thats the old | that was the old | thats the new | that was the new | thats old | that was as found | thats as found | thats before teardown | that was before | thats the setup | that was the setup | thats the final | that was on the setup`)

var sideToSide = compileTrigger(`left to right | right to left | left to the right | right to the left`)

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

var swappedSides = compileTrigger(`backward* | swapped | swap | other way round | other way around | reversed | mixed up | mixed them | wrong way round | flipped | crossed | other side | wrong side`)
