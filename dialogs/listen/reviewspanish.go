package listen

import (
	"regexp"
	"strings"
)

// spanishWord is a mentor's whole message in Spanish, normalised, and what it decides.
// Short as they are, these carry no word of the trade that would tell them for Spanish,
// and "alto" is a height everywhere else. Common practice, no source.
type spanishWord struct {
	said     *regexp.Regexp
	decision string
}

// lookEnd is what may follow such a word: the look it means, a please, an end.
const lookEnd = `(?:[ ,:]+(?:(?:el|al|del) +)?(?:vistazo +)?#?\d{1,4})?(?:[ ,]+(?:por favor|porfa|gracias))?[ .!]*$`

var spanishWords = []spanishWord{
	{regexp.MustCompile(`^(?:aprobad[oa]|aprueb[oa]|visto bueno|tiene mi visto bueno|(?:le )?doy el visto bueno)` + lookEnd), DecisionApprove},
	{regexp.MustCompile(`^¡?(?:alto(?: ahi)?|para|paren|parale|detente|detenganse|espera(?:me|te)?|esperen(?:me)?|espere|en espera|no sigas?|no sigan|no toquen? nada|no muevan? nada|no muevas nada)` + lookEnd), DecisionHold},
	{regexp.MustCompile(`^(?:yo )?(?:levanto|levanta|levanten|quito|quita|suelto) (?:la espera|el alto)` + lookEnd), DecisionLift},
	{regexp.MustCompile(`^(?:se levanta|se acabo|fin de|termino) la espera` + lookEnd), DecisionLift},
	{regexp.MustCompile(`^(?:lo hago yo(?: mismo| misma)?|yo (?:mismo |misma )?lo hago|lo tomo yo|yo lo tomo|lo sigo yo|yo sigo|sigo yo|yo me encargo|me encargo yo|lo termino yo|yo lo termino)(?: desde aqui)?` + lookEnd), DecisionTakeOver},
	{regexp.MustCompile(`^(?:sigue tu|siguele tu|siga usted|sigan ustedes|te lo devuelvo|lo devuelvo|es tuyo(?: otra vez)?|todo tuyo|tuyo otra vez|otra vez es tuyo|te toca(?: a ti)?)(?: desde aqui)?` + lookEnd), DecisionHandBack},
}

// stopFirst opens a message that says after it why nothing moves.
var stopFirst = regexp.MustCompile(`^¡?(?:alto|alto ahi|espera|esperen)[,:;.!]`)

// asksFirst opens a question for whoever measured.
var asksFirst = regexp.MustCompile(`(?i)^\W*(?:ask|preg[uú]nta(?:le|les)?)[ ,:]+(\S.*)$`)

// AsksBack says whether a mentor's message begins as a question to pass on to whoever
// measured: "ask how the dial stood", "pregunta con qué llave".
func AsksBack(text string) bool {
	return asksFirst.MatchString(strings.TrimSpace(text))
}

// toldInSpanish reads a mentor's message that is nothing but a word of spanishWords, or
// opens with the one for a question or a stop. typed is the message, normalised.
func (a *analysis) toldInSpanish(typed string) (Utterance, bool) {
	if a.in.Sender != Mentor {
		return Utterance{}, false
	}
	typed = strings.TrimSpace(typed)
	for _, w := range spanishWords {
		if !w.said.MatchString(typed) || strings.HasPrefix(typed, "alto") && len(a.expect.sides) > 0 {
			continue // "alto", where the height of a pattern was asked
		}
		return Utterance{Kind: Review, Decision: w.decision, Look: lookOf(a.in.Text), Note: "review: " + w.decision}, true
	}
	if stopFirst.MatchString(typed) && len(a.expect.sides) == 0 {
		return Utterance{Kind: Review, Decision: DecisionHold, Note: "review: " + DecisionHold}, true
	}
	if strings.HasPrefix(typed, "pregunta") && AsksBack(a.in.Text) {
		return Utterance{Kind: Question, Back: true, Look: lookOf(a.in.Text), Topics: []string{TopicOther}, Note: "asks whoever measured"}, true
	}
	return Utterance{}, false
}
