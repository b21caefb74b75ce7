package picture

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// maxAlt bounds an alt text; chat platforms take about a thousand characters.
const maxAlt = 1000

// mostSpelled is how many readings an alt text spells out one by one; of more it
// gives the extremes only.
const mostSpelled = 16

// AltText says in words what the pattern picture shows, in at most 1000
// characters; it is empty where the picture cannot be drawn.
func (p PatternPicture) AltText(l Labels) string {
	if p.check() != nil {
		return ""
	}
	facts := p.moves(l)
	if text := p.lash(l); text != "" {
		facts = append(facts, text)
	}
	for _, f := range [...]struct {
		name string
		Flank
	}{{l.Drive, p.Drive}, {l.Coast, p.Coast}} {
		if q := f.Reported; q != nil {
			facts = append(facts, say(l.FlankReported, "flank", f.name, "place", q.spoken(l))+q.slackText(l))
		}
		if q := f.Predicted; q != nil {
			facts = append(facts, say(l.FlankPredicted, "flank", f.name, "place", q.spoken(l))+q.slackText(l))
		}
		if z := f.Target; z != nil {
			middle := Point{(z.Low.Along + z.High.Along) / 2, (z.Low.Across + z.High.Across) / 2}
			facts = append(facts, say(l.FlankTarget, "flank", f.name, "place", l.placeOf(middle)))
		}
		if f.Reported == nil && f.Predicted == nil {
			facts = append(facts, f.name+": "+l.NotMarked)
		}
	}
	return altText(l, p.title(l), append(facts, p.Notes...))
}

// spoken says where a patch is: its cell, and as it was told.
func (p *Patch) spoken(l Labels) string {
	if p.Words == "" {
		return l.placeOf(p.Centre)
	}
	return say(l.ToldAs, "place", l.placeOf(p.Centre), "words", p.Words)
}

// slackText says how uncertain the place of a patch is, in parts of the whole
// face width and depth (which are 2 in flank coordinates).
func (p *Patch) slackText(l Labels) string {
	if p.Slack == (Point{}) {
		return ""
	}
	percent := func(v float64) string { return strconv.Itoa(int(math.Round(v * 50))) }
	return say(l.UncertainBy, "along", percent(p.Slack.Along), "across", percent(p.Slack.Across))
}

// AltText says in words what the backlash picture shows, in at most 1000
// characters; it is empty where the picture cannot be drawn.
func (p BacklashPicture) AltText(l Labels) string {
	if p.check() != nil {
		return ""
	}
	facts := []string{p.note(l)}
	if r := p.sorted(); len(r) <= mostSpelled {
		each := make([]string, len(r))
		for i, q := range r {
			each[i] = say(l.AtPlace, "place", q.Place, "value", length(p.Units, q.Value))
		}
		facts = append(facts, strings.Join(each, ", "))
	}
	for _, f := range p.facts(l) {
		facts = append(facts, f.text)
	}
	return altText(l, p.title(l), append(facts, p.Notes...))
}

// AltText says in words what the choice picture shows; it is empty where the
// picture cannot be drawn.
func (p ChoicePicture) AltText(l Labels) string {
	if p.check() != nil {
		return ""
	}
	cells := make([]string, Cells)
	for i := range cells {
		cells[i] = say(l.CellIs, "n", strconv.Itoa(i+1), "place", l.place(i+1))
	}
	return altText(l, p.title(l), []string{strings.Join(cells, ", "), p.hint(l)})
}

// AltText says in words what the bench labels say, in at most 1000 characters;
// it is empty where the picture cannot be drawn.
func (p StacksPicture) AltText(l Labels) string {
	if p.check() != nil {
		return ""
	}
	var facts []string
	if p.Note != "" {
		facts = append(facts, p.Note)
	}
	for _, st := range p.Stacks {
		text := st.headline(p.Units, l) + ": " + st.sum(p.Units, l)
		for _, remark := range st.remarks(p.Units, l) {
			text += ", " + remark
		}
		facts = append(facts, text)
	}
	return altText(l, p.title(l), append(facts, p.Notes...))
}

// altText joins facts to one line and cuts it at maxAlt.
func altText(l Labels, title string, facts []string) string {
	text := tidy(say(l.PictureOf, "title", title)+l.FactSeparator+strings.Join(facts, l.FactSeparator), 4*maxAlt, nil)
	if runes := []rune(text); len(runes) > maxAlt {
		text = strings.TrimRight(string(runes[:maxAlt-1]), " ") + "…"
	}
	return text
}

// tidy makes a text of an unknown source fit for one line: white space is
// single, controls, direction marks and combining marks are dropped, a hyphen
// before a digit becomes a minus sign, and no more than most letters are kept.
// Where has is given, a run of letters it does not have becomes one missing.
func tidy(text string, most int, has func(rune) bool) string {
	var b strings.Builder
	var last rune
	runes := []rune(strings.ToValidUTF8(text[:min(len(text), 4*most)], string(missing)))
	for i, r := range runes {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Mn, unicode.Me):
			continue
		case r == '-' && i+1 < len(runes) && unicode.IsDigit(runes[i+1]) && (last == 0 || last == ' ' || last == '('):
			r = '−'
		case has != nil && !has(r):
			r = missing
		}
		if (r == ' ' && (last == ' ' || last == 0)) || (r == missing && last == missing) {
			continue
		}
		if most--; most < 0 {
			break
		}
		b.WriteRune(r)
		last = r
	}
	return strings.TrimRight(b.String(), " ")
}
