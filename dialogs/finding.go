package dialogs

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// mostFound is how many jobs one answer lists.
const mostFound = 8

// finds answers what looks for jobs, for the shop's overview, and for taking out of a
// job what could name a person. handled is false where the message is none of these.
func (d *Desk) finds(s Said, v View) (DoorReply, bool) {
	if r, ok := d.erases(s, v); ok {
		return r, true
	}
	say := d.Words(s.By.Language)
	overview := asksOverview(s.Text)
	words, seeks := seeking(s.Text)
	switch {
	case !overview && !seeks:
		return DoorReply{}, false
	case s.By.Role == Customer:
		if v.Here != nil && !s.Addressed {
			return DoorReply{}, false
		}
		return handled(say.Say("finding.not_for_customers")), true
	case overview && !s.By.Role.Reviews():
		return handled(say.Say("finding.overview_for_whom")), true
	case v.Cards == nil:
		return DoorReply{Handled: true, Cards: true}, true
	case overview:
		return d.overview(s, v), true
	}
	q := readQuery(words, s.At, d.known)
	if len(q.words) > 3 && v.Here != nil && !s.Addressed {
		return DoorReply{}, false // talk that begins like a search
	}
	var found []JobLine
	for _, l := range v.All {
		if q.fits(l, v.Cards[l.Number]) {
			found = append(found, l)
		}
	}
	if len(found) == 0 && v.Here != nil && !s.Addressed && len(q.words) > 0 && strings.HasPrefix(strings.ToLower(strings.TrimSpace(s.Text)), "find") {
		return DoorReply{}, false // "find the high spot" is said to each other
	}
	if len(found) == 0 {
		return handled(say.Say("finding.none", "what", strings.Join(words, " "))), true
	}
	lines := []string{say.Say("finding.count", "n", len(found))}
	for i, l := range found {
		if i == mostFound {
			lines = append(lines, say.Say("finding.more", "n", len(found)-mostFound))
			break
		}
		lines = append(lines, d.foundLine(s, l, v.Cards[l.Number]))
	}
	r := handled(lines...)
	r.Private = true
	return r, true
}

// foundLine says a job in a line.
func (d *Desk) foundLine(s Said, l JobLine, c Card) string {
	say := d.Words(s.By.Language)
	return say.Say("finding.line", "n", l.Number, "axle", l.Sheet, "title", clip(l.Title, 40), "by", l.By, "date", l.At.Format("2006-01-02"), "state", d.stateName(s, c.State))
}

func (d *Desk) stateName(s Said, state CardState) string {
	say := d.Words(s.By.Language)
	switch state {
	case CardWaiting:
		return say.Say("finding.state_waiting")
	case CardHeld:
		return say.Say("finding.state_held")
	case CardGood:
		return say.Say("finding.state_good")
	case CardBreakIn:
		return say.Say("finding.state_break_in")
	case CardClosed:
		return say.Say("finding.state_closed")
	case CardErased:
		return say.Say("finding.state_erased")
	}
	return say.Say("finding.state_open")
}

func asksOverview(text string) bool {
	switch strings.ToLower(strings.Trim(strings.TrimSpace(text), "?.! ")) {
	case "overview", "shop overview", "the overview", "how is the shop doing", "how are the jobs going", "panorama", "resumen del taller":
		return true
	}
	return false
}

// erasePattern is how taking out is asked for: "erase job 7", and once more with "for
// good".
func erasePattern() *regexp.Regexp {
	return regexp.MustCompile(`^(?:yes,? )?(?:erase|delete (?:the )?personal data (?:of|from)|borra(?:r)?(?: los datos de(?:l trabajo)?)?|borra(?:r)? el trabajo)(?: job| trabajo)? #?([0-9]{1,7})( for good| para siempre)?$`)
}

// erases answers for taking out of a job what could name a person. Only the owner
// may, of a closed job, and is asked once more before.
func (d *Desk) erases(s Said, v View) (DoorReply, bool) {
	text := strings.Join(strings.Fields(strings.ToLower(strings.Trim(s.Text, " .!"))), " ")
	first, _, _ := strings.Cut(text, " ")
	switch first {
	case "erase", "delete", "borra", "borrar", "yes", "yes,":
	default:
		return DoorReply{}, false
	}
	m := erasePattern().FindStringSubmatch(text)
	if m == nil {
		return DoorReply{}, false
	}
	say := d.Words(s.By.Language)
	number, _ := strconv.Atoi(m[1])
	at := slices.IndexFunc(v.All, func(l JobLine) bool { return l.Number == number })
	switch {
	case s.By.Role != Owner:
		return handled(say.Say("finding.erase_for_whom")), true
	case at < 0:
		return handled(say.Say("finding.no_job", "n", number)), true
	case v.All[at].Erased:
		return handled(say.Say("finding.erased_before", "n", number)), true
	case !v.All[at].Closed:
		return handled(say.Say("finding.erase_open", "n", number)), true
	}
	order := say.Say("finding.erase_order", "n", number)
	asked := slices.ContainsFunc(s.Context, func(line string) bool {
		return strings.HasPrefix(line, "bot: ") && strings.Contains(line, order)
	})
	if m[2] == "" || !asked {
		r := handled(say.Say("finding.erase_what", "n", number), say.Say("finding.erase_sure", "order", order))
		r.Out[0].Choices = []string{order, say.Say("finding.erase_not")}
		return r, true
	}
	r := handled(say.Say("finding.erase_done", "n", number))
	r.Erase = number
	return r, true
}

// overview is what the owner wants to know of all jobs.
func (d *Desk) overview(s Said, v View) DoorReply {
	say := d.Words(s.By.Language)
	o := count(v)
	lines := []string{
		say.Say("finding.o_open", "n", o.open, "waiting", o.waiting, "held", o.held),
		say.Say("finding.o_break_in", "n", o.breakIn),
		say.Say("finding.o_done", "n", o.closed, "days", overviewDays),
	}
	if o.counted > 0 {
		lines = append(lines, say.Say("finding.o_trials", "mean", fmt.Sprintf("%.1f", o.trialMean()), "most", o.mostTrials, "n", o.counted))
		lines = append(lines, say.Say("finding.o_again", "again", o.again, "n", o.counted, "rate", fmt.Sprintf("%.0f", 100*float64(o.again)/float64(o.counted)), "redone", o.redone))
	}
	if len(o.stages) > 0 {
		var parts []string
		for _, st := range o.stages {
			parts = append(parts, d.stageName(s, st.id)+" "+d.minutes(s, st.mean))
		}
		lines = append(lines, say.Say("finding.o_time", "list", strings.Join(parts, ", ")))
	}
	r := handled(lines...)
	r.Private = true
	if pic := d.overviewPicture(s, o); pic != nil {
		r.Out[0].Picture = append(r.Out[0].Picture, *pic)
	}
	return r
}
