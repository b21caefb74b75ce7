package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
)

// askWords gives the text of a question back in the person's language.
func (v voice) askWords(a *listen.Ask) string {
	if a.Key == "" {
		return a.Text
	}
	with := make([]any, len(a.With))
	for i, value := range a.With {
		with[i] = value
		switch value := value.(type) {
		case listen.What:
			with[i] = v.whatName(value)
		case string:
			switch {
			case i%2 == 0:
			case a.With[i-1] == "unit":
				with[i] = v.unitWord(value)
			case a.With[i-1] == "n":
				with[i] = v.figureWords(value)
			}
		}
	}
	return v.words.Say(a.Key, with...)
}

// askChoices gives the choices of a question in the person's language, each on one
// line. In English they are as they would be typed.
func (v voice) askChoices(choices []string) []string {
	if len(choices) == 0 {
		return nil
	}
	out := make([]string, len(choices))
	for i, c := range choices {
		out[i] = v.askChoice(c)
	}
	return out
}

// choicePhrase is how a choice begins that names no quantity, and the phrase of it
// with what follows.
type choicePhrase struct{ english, key string }

// choicePhrases lists them, a longer beginning before a shorter one.
func choicePhrases() []choicePhrase {
	return []choicePhrase{
		{"I ", "ask.choice_done"},
		{"total drag ", "ask.choice_total"},
		{"pinion mark ", "ask.choice_mark"},
		{"lash ", "ask.choice_backlash"},
		{"runout ", "ask.choice_runout"},
		{"teeth ", "ask.choice_teeth"},
		{"caps torqued to ", "ask.choice_caps"},
		{"ring bolts torqued to ", "ask.choice_ring_bolts"},
		{"torqued to ", "ask.choice_torqued"},
		{"nut torque ", "ask.choice_nut"},
		{"drive pattern ", "ask.choice_square_drive"},
		{"coast pattern ", "ask.choice_square_coast"},
		{"drive ", "ask.choice_drive"},
		{"coast ", "ask.choice_coast"},
		{"both sides ", "ask.choice_both"},
	}
}

// addedPhrases are "added 3 to the left", by its end.
func addedPhrases() []choicePhrase {
	return []choicePhrase{
		{" to the left side", "ask.choice_added_left"},
		{" to the right side", "ask.choice_added_right"},
		{" to the preload", "ask.choice_added_pack"},
		{" to the pinion", "ask.choice_added_pinion"},
	}
}

// askChoice says one choice: what it names and its figure. One in the person's own
// words stays as it was typed.
func (v voice) askChoice(choice string) string {
	choice = strings.Join(strings.Fields(choice), " ")
	if v.words.Language == phrase.English {
		return choice
	}
	for _, w := range listen.Quantities() {
		figure, ok := strings.CutPrefix(choice, w.Name()+" ")
		if !ok {
			continue
		}
		if wanted, ok := strings.CutPrefix(figure, "is "); ok {
			return v.words.Say("ask.choice_is", "what", v.whatName(w), "n", v.figureWords(wanted))
		}
		return v.whatName(w) + " " + v.figureWords(figure)
	}
	for _, c := range choicePhrases() {
		if rest, ok := strings.CutPrefix(choice, c.english); ok {
			return v.words.Say(c.key, "n", v.figureWords(rest))
		}
	}
	if rest, ok := strings.CutPrefix(choice, "added "); ok {
		for _, c := range addedPhrases() {
			if n, ok := strings.CutSuffix(rest, c.english); ok {
				return v.words.Say(c.key, "n", n)
			}
		}
	}
	return choice
}

// figureWords says a figure as it was typed, with its unit, or a place on the tooth.
func (v voice) figureWords(figure string) string {
	if v.words.Language == phrase.English {
		return figure
	}
	figure = strings.ReplaceAll(figure, " or ", " "+v.words.Say("say.or")+" ")
	switch figure {
	case "centered":
		return v.words.Say("say.centered")
	case "toe", "heel":
		return v.alongWord(figure)
	}
	for _, unit := range []string{"thou", "hundredths", "tenths of a mm", "tenths", "micron", "miles", "hours", "turns"} {
		if n, ok := strings.CutSuffix(figure, " "+unit); ok {
			return n + " " + v.unitWord(unit)
		}
	}
	return figure
}
