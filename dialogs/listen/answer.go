package listen

import (
	"strings"
)

// An answer to a question back: "backlash 20: thou or hundredths?" is answered
// with "hundredths". The two are put together and understood as one message.

// completed gives what a short answer without a figure means together with the
// bot's question; ok is false where it is no such answer.
func (a *analysis) completed(depth int) (Utterance, bool) {
	if depth > 0 || len(a.talk) == 0 || len(a.tokens) == 0 || len(a.tokens) > 8 {
		return Utterance{}, false
	}
	last := a.talk[len(a.talk)-1]
	asked := lastLine(last.text)
	if !last.bot() || !strings.Contains(asked, "?") {
		return Utterance{}, false
	}
	// What says something by itself is no answer that needs the question's figure.
	if alone := parse(Input{Text: a.in.Text, Units: a.in.Units, Sender: a.in.Sender}, depth+1); len(alone.Readings)+len(alone.Moves) > 0 {
		return Utterance{}, false
	}
	for _, t := range a.tokens {
		if t.kind == numeral {
			return Utterance{}, false
		}
	}
	q := plainWords(asked)
	stem, choices, ok := strings.Cut(q, ":")
	if !ok || !strings.Contains(choices, " or ") {
		stem, choices, ok = splitOr(q)
		if !ok {
			return Utterance{}, false
		}
	}
	if !strings.ContainsAny(stem, "0123456789") && !(strings.Contains(choices, "drive") && strings.Contains(choices, "coast") && namesPlace(stem)) {
		return Utterance{}, false // it asked about no figure and no pattern already told
	}
	answer := strings.TrimSpace(plainWords(a.in.Text))
	if !sharesWord(answer, choices) {
		return Utterance{}, false
	}
	choice := offered(answer, choices)
	if strings.ContainsAny(choice, "0123456789") {
		stem = withoutNumbers(stem) // the choice restates the figure
	}
	text := stem + " " + choice
	if strings.Contains(stem, "one side to the other") || strings.Contains(stem, "side to side") {
		text = sideMove(stem, choices, answer)
	}
	u := parse(Input{Text: text, Units: a.in.Units, Sender: a.in.Sender}, depth+1)
	if len(u.Readings)+len(u.Moves) == 0 || u.Kind != Read && u.Kind != Moved && u.Kind != Caution && u.Kind != BreakIn {
		return Utterance{}, false
	}
	u.Note = "read together with the question"
	return u, true
}

// namesPlace: the text tells where a pattern lies ("pattern toe and low").
func namesPlace(text string) bool {
	for _, it := range tagTokens(mend(scan(text))) {
		if it.tags.hasAny(lToe, lHeel, fFace, fFlank, fHigh, fLow, cCenter, cPraise) {
			return true
		}
	}
	return false
}

// lastLine gives the line of a message that waits for the answer.
func lastLine(text string) string {
	text = strings.TrimSpace(text)
	return text[strings.LastIndexByte(text, '\n')+1:]
}

// splitOr parts "is 18 in·lbf pinion or total drag?" where no colon does.
func splitOr(q string) (stem, choices string, ok bool) {
	i := strings.Index(q, " or ")
	if i < 0 {
		return "", "", false
	}
	words := strings.Fields(q[:i])
	last := -1
	for k, w := range words {
		if strings.ContainsAny(w, "0123456789") {
			last = k
		}
	}
	if last < 0 || last+1 >= len(words) {
		return "", "", false
	}
	stem = strings.TrimPrefix(strings.Join(words[:last+1], " "), "is ")
	return stem, strings.Join(words[last+1:], " ") + q[i:], true
}

// sharesWord: the answer names one of the choices.
func sharesWord(answer, choices string) bool {
	offered := wordSet(strings.NewReplacer("?", " ", ",", " ", ".", " ").Replace(choices))
	for w := range strings.FieldsSeq(strings.NewReplacer("?", " ", ",", " ", ".", " ", "!", " ").Replace(answer)) {
		if offered[w] && w != "or" && w != "the" && w != "of" && w != "a" && w != "it" && w != "is" && w != "side" {
			return true
		}
		switch w {
		case "mm", "thou", "hundredths", "both":
			return true
		}
	}
	return false
}

func withoutNumbers(s string) string {
	var keep []string
	for w := range strings.FieldsSeq(s) {
		if !strings.ContainsAny(w, "0123456789") {
			keep = append(keep, w)
		}
	}
	return strings.Join(keep, " ")
}

// offered gives the choice an answer names, or the answer itself.
func offered(answer, choices string) string {
	if strings.Contains(answer, "both") {
		return answer
	}
	for choice := range strings.SplitSeq(strings.NewReplacer("?", "", ",", " or ").Replace(choices), " or ") {
		have := wordSet(choice)
		for w := range strings.FieldsSeq(answer) {
			if have[w] && w != "the" && w != "a" && w != "drag" && w != "side" && w != "shim" && w != "of" && w != "it" && w != "is" {
				return strings.TrimSpace(choice)
			}
		}
	}
	return answer
}

// sideMove words a move between the sides from the side that was asked for.
func sideMove(stem, choices, answer string) string {
	amount := ""
	words := strings.Fields(stem)
	for i, w := range words {
		if strings.ContainsAny(w, "0123456789") {
			amount = w
			if i+1 < len(words) && unitTable[words[i+1]] != noUnit {
				amount += " " + words[i+1]
			}
			break
		}
	}
	side, other := "left", "right"
	if strings.Contains(answer, "right") {
		side, other = "right", "left"
	}
	if strings.Contains(choices, "thicker") {
		side, other = other, side
	}
	return "moved " + amount + " from " + side + " to " + other
}
