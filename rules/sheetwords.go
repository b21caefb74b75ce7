package rules

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Said gives a text of the sheet (its title or note, a fastener's name, the note of
// a break-in leg, a source) in a language by its ISO 639-1 code; the text itself
// where the sheet does not have it in that language.
func (s *Sheet) Said(language, text string) string {
	if s == nil || language != "es" {
		return text
	}
	if said, ok := s.Spanish[text]; ok {
		return said
	}
	return text
}

// longestWords bounds a text in another language; the note is the longest there is.
const longestWords = 1200

// readSpanish reads what people read of the sheet in Spanish: title, note, and
// under words any other text of the sheet with its Spanish.
func (r *sheetReader) readSpanish(n *yaml.Node) {
	r.spanish = r.mapping(n, "es",
		may("title", r.text("title", 120, &r.spanishTitle)),
		may("note", r.text("note", longestWords, &r.spanishNote)),
		may("words", func(*yaml.Node) {}), // once all texts are read
	)
}

// checkSpanish enters the Spanish texts. Words that the sheet does not have are a
// mistake, so that a slip or a text changed later is seen; a text without its
// Spanish is said as it stands and named once somebody has begun to give them.
func (r *sheetReader) checkSpanish() {
	if r.spanish == nil {
		return
	}
	s := r.sheet
	s.Spanish = map[string]string{}
	for text, said := range map[string]string{s.Title: r.spanishTitle, s.Note: r.spanishNote} {
		if text != "" && said != "" {
			s.Spanish[text] = said
		}
	}
	texts := s.texts()
	if n := r.spanish["words"]; n != nil {
		if n.Kind != yaml.MappingNode {
			r.misshapen(n, "words", "texts of the sheet with their Spanish", "")
			return
		}
		for i := 0; i+1 < len(n.Content); i += 2 {
			key, value := n.Content[i], n.Content[i+1]
			var own, said string
			r.text("a text of the sheet", longestWords, &own)(key)
			r.text("the Spanish of "+short(key.Value), longestWords, &said)(value)
			switch {
			case own == "" || said == "":
			case !slices.Contains(texts, own):
				r.at(key, suggest(own, texts), "the sheet has no text %q", short(own))
			case s.Spanish[own] != "":
				r.at(key, "", "%q is given twice", short(own))
			default:
				s.Spanish[own] = said
			}
		}
	}
	for _, text := range texts {
		if s.Spanish[text] == "" {
			r.look(r.top["es"], "add it under words, as it stands in the sheet", "%q has no Spanish and is said as it is", short(text))
		}
	}
}

// texts lists the texts of a sheet that are said to people, each once.
func (s *Sheet) texts() []string {
	l := s.Limits
	all := []string{s.Title}
	for _, f := range s.Torques {
		all = append(all, f.Name, f.Source)
	}
	for _, leg := range s.BreakIn {
		all = append(all, leg.Note)
	}
	all = append(all, s.Oil.Source, l.Backlash.Source, l.BacklashSpread.Source, l.RingRunout.Source,
		l.PinionDragNew.Source, l.PinionDragUsed.Source, l.SealDrag.Source, l.TotalDragAdd.Source,
		l.SidePreload.Source, l.CarrierEndPlay.Source, l.OvenTemperature.Source, l.HousingTemp.Source)
	var out []string
	for _, text := range all {
		if strings.TrimSpace(text) != "" && !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}
