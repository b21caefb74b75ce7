package dialogs

import (
	"regexp"
	"strings"

	"shimwright/calc/fastener"
	"shimwright/calc/ratio"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// pending joins a message to the question it answers: after "60 ftlb with a 2 in
// extension" and "how long is the wrench?" a "14" is the wrench, and no backlash. It
// looks back over at most three such answers. What comes back is the whole question,
// ok where the message is that answer.
func (d *Desk) pending(s Said, units unit.System) (text string, ok bool) {
	if !answers(strings.ToLower(strings.TrimSpace(s.Text))) {
		return "", false
	}
	in := listen.Input{Units: units, Sender: senderOf(s.By.Role)}
	asked, ok := d.openReckoning(in, s.Context, 3)
	if !ok {
		return "", false
	}
	return d.joined(in, asked, s.Text)
}

// answers says whether a message may be such an answer, without understanding it.
func answers(text string) bool {
	if len(text) > 60 {
		return false
	}
	if lengthAnswer.MatchString(text) || inLine.MatchString(text) || square.MatchString(text) {
		return true
	}
	if _, err := fastener.ParseThread(text); err == nil {
		return true
	}
	_, err := ratio.ParseTyre(strings.TrimSuffix(text, "s"))
	return err == nil
}

// mayLack are stems one of which is in every question that can lack a figure.
var mayLack = regexp.MustCompile(`(?i)ext|crow|dog ?bone|claw|adapt|alarg|pata|prolong|grade|\bgr ?[258]|class|bolt|tornillo|rpm|mph|km|rev|tach|speed`)

// openReckoning finds the question that the talk ends with and that lacks a figure: the
// last thing that was typed, with the answers to it that came before.
func (d *Desk) openReckoning(in listen.Input, talk []string, back int) (text string, ok bool) {
	last := len(talk) - 1
	for last >= 0 && strings.HasPrefix(talk[last], "bot: ") {
		last--
	}
	if last < 0 || last == len(talk)-1 || back == 0 {
		return "", false // nothing was answered yet, so nothing was asked back
	}
	_, typed, cut := strings.Cut(talk[last], ": ")
	if !cut || strings.Contains(typed, "\n") {
		return "", false
	}
	if mayLack.MatchString(typed) {
		if r := d.reckoningIn(in, typed); r != nil {
			return typed, d.lacks(r) != ""
		}
	}
	if !answers(strings.ToLower(strings.TrimSpace(typed))) {
		return "", false
	}
	before, ok := d.openReckoning(in, talk[:last], back-1)
	if !ok {
		return "", false
	}
	joined, ok := d.joined(in, before, typed)
	if !ok {
		return "", false
	}
	r := d.reckoningIn(in, joined)
	return joined, r != nil && d.lacks(r) != ""
}

func (d *Desk) reckoningIn(in listen.Input, text string) *listen.Reckoning {
	in.Text = text
	return d.Listen(in).Reckoning
}

// What a question can lack.
const (
	lacksWrench    = "wrench"
	lacksExtension = "extension"
	lacksLengths   = "lengths"
	lacksThread    = "thread"
	lacksTyre      = "tyre"
)

// lacks says what a question still needs from whoever asked, empty for nothing.
func (d *Desk) lacks(r *listen.Reckoning) string {
	has := func(p listen.Part) bool {
		_, figure := r.Figure(p)
		return figure || r.Word(p) != ""
	}
	switch r.About {
	case listen.AboutExtension:
		if angle, _ := r.Figure(listen.PartAngle); has(listen.PartStraight) || angle.Value == 90 {
			return ""
		}
		switch wrench, ext := has(listen.PartWrench), has(listen.PartExtension); {
		case !wrench && !ext:
			return lacksLengths
		case !wrench:
			return lacksWrench
		case !ext:
			return lacksExtension
		}
	case listen.AboutBolt:
		if !has(listen.PartThread) {
			return lacksThread
		}
	case listen.AboutEngine, listen.AboutRoad, listen.AboutTyre:
		if !has(listen.PartTyre) {
			return lacksTyre
		}
	}
	return ""
}

var (
	lengthAnswer = regexp.MustCompile(`^(?:(?:it'?s|its|is|the|a|an|about|roughly|wrench|handle|bar|ext(?:ension)?|crow ?foot|long|and|on|es|son|de|la|el|llave|alargue|extensi[oó]n|mide|unos|y|con|,|=|:) *)*` +
		`(\d+(?:[.,]\d+)?(?:[ -]\d/\d+)?|\d/\d+) *("|''|in|ins|inch|inches|mm|cm|pulgadas?|ft)?(?: *(?:long|wrench|handle|bar|ext(?:ension)?|crow ?foot|llave|alargue|de largo|,|and|y|on|con|the|a|an|la|el))*` +
		`(?: *(\d+(?:[.,]\d+)?(?:[ -]\d/\d+)?|\d/\d+) *("|''|in|ins|inch|inches|mm|cm|pulgadas?|ft)?(?: *(?:long|wrench|handle|bar|ext(?:ension)?|crow ?foot|llave|alargue|de largo))*)?[ .!]*$`)
	inLine = regexp.MustCompile(`^(?:(?:it'?s|its|it is|a|an|the|es|una?|va|just|no|yes|sí|si|,) *)*(?:in ?line|straight|socket(?: ext(?:ension)?)?|a socket one|en l[ií]nea|recta|de vaso)[ .!]*$`)
	square = regexp.MustCompile(`^(?:(?:it'?s|its|it is|at|set|a) *)*(?:90|90 ?(?:°|deg(?:rees)?|grados)|right angles?|square|sideways)[ .!]*$`)
)

// joined puts an answer to the question before it; ok where the whole is the same
// question with more known.
func (d *Desk) joined(in listen.Input, asked, answer string) (text string, ok bool) {
	before := d.reckoningIn(in, asked)
	if before == nil {
		return "", false
	}
	lack, answer := d.lacks(before), strings.ToLower(strings.TrimSpace(answer))
	switch lack {
	case lacksWrench, lacksExtension, lacksLengths:
		text, ok = joinLengths(lack, asked, answer, in.Units)
	case lacksThread:
		if _, err := fastener.ParseThread(answer); err == nil {
			text, ok = asked+" "+answer, true
		}
	case lacksTyre:
		if _, err := ratio.ParseTyre(strings.TrimSuffix(answer, "s")); err == nil {
			text, ok = asked+" on "+strings.TrimSuffix(answer, "s")+" tires", true
			if strings.HasSuffix(answer, "s") {
				text = asked + " on " + answer
			}
		}
	}
	if !ok {
		return "", false
	}
	after := d.reckoningIn(in, text)
	return text, after != nil && after.About == before.About && d.lacks(after) != lack
}

// joinLengths puts the lengths of wrench and extension to a question.
func joinLengths(lack, asked, answer string, units unit.System) (text string, ok bool) {
	asked = strings.TrimRight(asked, " ?.!")
	switch {
	case inLine.MatchString(answer):
		return asked + ", socket extension", true
	case square.MatchString(answer):
		return asked + ", at 90 degrees", true
	}
	m := lengthAnswer.FindStringSubmatch(answer)
	if m == nil {
		return "", false
	}
	name := func(typed, other string) string {
		for _, u := range []string{typed, other} {
			switch {
			case u == `"` || u == "''" || strings.HasPrefix(u, "in") || strings.HasPrefix(u, "pulg"):
				return "in"
			case u != "":
				return u
			}
		}
		if units == unit.Metric {
			return "mm"
		}
		return "in"
	}
	first := m[1] + " " + name(m[2], m[4])
	if m[3] == "" {
		if lack == lacksLengths && !strings.Contains(answer, "ext") && !strings.Contains(answer, "crow") && !strings.Contains(answer, "alargue") || lack == lacksWrench {
			return asked + " on a " + first + " wrench", true
		}
		return asked + ", " + first + " extension", true
	}
	if lack != lacksLengths {
		return "", false
	}
	return asked + ", " + first + " extension, " + m[3] + " " + name(m[4], m[2]) + " wrench", true // listen gives the longer one to the wrench
}
