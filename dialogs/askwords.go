package dialogs

import (
	"strings"

	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
)

// askWords gives the text of a question back in the person's language.
func (v voice) askWords(a *listen.Ask) string {
	if a.Key == "" || !v.words.Speaks() || v.words.Language == phrase.English {
		return a.Text
	}
	with := make([]any, len(a.With))
	for i, value := range a.With {
		with[i] = value
		if what, ok := value.(listen.What); ok {
			with[i] = v.whatName(what)
		}
	}
	return v.words.Say(a.Key, with...)
}

// askChoices gives the choices of a question in the person's language.
func (v voice) askChoices(choices []string) []string {
	if !v.words.Speaks() || v.words.Language == phrase.English {
		return choices
	}
	out := make([]string, len(choices))
	for i, c := range choices {
		out[i] = v.askChoice(c)
	}
	return out
}

// askChoice says one choice: a quantity and its figure. Any other stays as it is
// typed.
func (v voice) askChoice(choice string) string {
	for _, c := range []struct{ english, key string }{
		{"pinion drag ", "ask.choice_drag"},
		{"total drag ", "ask.choice_total"},
		{"pinion shim ", "ask.choice_shim"},
		{"left shim ", "ask.choice_left"},
		{"right shim ", "ask.choice_right"},
		{"pinion mark ", "ask.choice_mark"},
		{"backlash ", "ask.choice_backlash"},
		{"runout ", "ask.choice_runout"},
		{"caps torqued to ", "ask.choice_caps"},
	} {
		if n, ok := strings.CutPrefix(choice, c.english); ok && n != "" && strings.IndexByte("0123456789+-.", n[0]) >= 0 {
			return v.words.Say(c.key, "n", n)
		}
	}
	return choice
}
