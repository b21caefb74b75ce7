package dialogs

import (
	"strings"

	"shimwright/dialogs/phrase"
)

// term is a word of the trade with the key of its meaning in one line.
type term struct {
	names   []string // in every language, without accents
	word    string   // the key of its name
	meaning string
}

// terms are the words the assistant explains; the names are searched whole.
func terms() []term {
	return []term{
		{[]string{"toe", "punta"}, "glossary.toe_word", "glossary.toe"},
		{[]string{"heel", "talon"}, "glossary.heel_word", "glossary.heel"},
		{[]string{"face", "top", "tip", "high", "cresta", "alto"}, "glossary.face_word", "glossary.face"},
		{[]string{"flank", "root", "low", "raiz", "bajo"}, "glossary.flank_word", "glossary.flank"},
		{[]string{"drive", "traccion"}, "glossary.drive_word", "glossary.drive"},
		{[]string{"coast", "retencion"}, "glossary.coast_word", "glossary.coast"},
		{[]string{"backlash", "lash", "juego", "juego entre dientes"}, "glossary.backlash_word", "glossary.backlash"},
		{[]string{"spread", "diferencia"}, "glossary.spread_word", "glossary.spread"},
		{[]string{"preload", "precarga"}, "glossary.preload_word", "glossary.preload"},
		{[]string{"pinion depth", "depth", "profundidad"}, "glossary.depth_word", "glossary.depth"},
		{[]string{"mounting distance", "distancia de montaje"}, "glossary.mounting_word", "glossary.mounting"},
		{[]string{"checking distance", "distancia de control"}, "glossary.checking_word", "glossary.checking"},
		{[]string{"setup bearing", "rodamiento de prueba"}, "glossary.setup_word", "glossary.setup"},
		{[]string{"crush sleeve", "sleeve", "casquillo"}, "glossary.sleeve_word", "glossary.sleeve"},
		{[]string{"carrier", "portacorona"}, "glossary.carrier_word", "glossary.carrier"},
		{[]string{"caps", "cap", "tapas", "tapa"}, "glossary.caps_word", "glossary.caps"},
		{[]string{"thou", "milesima", "milesimas"}, "glossary.thou_word", "glossary.thou"},
		{[]string{"hundredth", "hundredths", "centesima", "centesimas"}, "glossary.hundredth_word", "glossary.hundredth"},
		{[]string{"leaf", "leaves", "stack", "shim", "hoja", "laina", "lainas", "paquete"}, "glossary.leaf_word", "glossary.leaf"},
		{[]string{"notch", "notches", "adjuster", "muesca", "muescas", "ajustador"}, "glossary.notch_word", "glossary.notch"},
		{[]string{"runout", "alabeo"}, "glossary.runout_word", "glossary.runout"},
		{[]string{"drag", "arrastre"}, "glossary.drag_word", "glossary.drag"},
		{[]string{"hunting"}, "glossary.hunting_word", "glossary.hunting"},
		{[]string{"break-in", "run-in", "running in", "asentamiento", "rodaje"}, "glossary.break_in_word", "glossary.break_in"},
	}
}

// glossary explains the word a text asks about.
func glossary(words phrase.Speaker, text string) string {
	text = plainSpanish.Replace(strings.ToLower(text))
	best, at := "", 0
	var names []string
	for _, t := range terms() {
		names = append(names, words.Say(t.word))
		for _, n := range t.names {
			if hasWord(text, n) && len(n) > at {
				best, at = words.Say(t.meaning), len(n)
			}
		}
	}
	if best == "" {
		return words.Say("glossary.known", "words", strings.Join(names, ", "))
	}
	return best
}

var plainSpanish = strings.NewReplacer("á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ñ", "n")

// hasWord says whether a text holds a word or phrase between word boundaries.
func hasWord(text, word string) bool {
	for from := 0; ; {
		i := strings.Index(text[from:], word)
		if i < 0 {
			return false
		}
		i += from
		before := i == 0 || !isLetter(text[i-1])
		end := i + len(word)
		after := end == len(text) || !isLetter(text[end])
		if before && after {
			return true
		}
		from = i + 1
	}
}

func isLetter(b byte) bool { return b >= 'a' && b <= 'z' || b >= 0x80 }

// patternHelp says how a pattern is read and what moves it.
func patternHelp(words phrase.Speaker) []string {
	return []string{
		words.Say("glossary.pattern_places"),
		words.Say("glossary.pattern_height"),
		words.Say("glossary.pattern_length"),
		words.Say("glossary.pattern_tell"),
	}
}

// helpText is what can be said, in a few lines.
func helpText(words phrase.Speaker) []string {
	return []string{
		words.Say("glossary.help_read"),
		words.Say("glossary.help_wrong"),
		words.Say("glossary.help_commands"),
		words.Say("glossary.help_skip"),
		words.Say("glossary.help_jobs"),
		words.Say("ask-figures.help"),
		words.Say("breakin.help"),
	}
}
