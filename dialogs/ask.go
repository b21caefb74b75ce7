package dialogs

import (
	"errors"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// Ask answers a question once, without a job: readings in the message, the wanted
// figure where it names one, and the sheet (its name, or empty for the first of
// the shop's in the person's units).
func (d *Desk) Ask(s Said, sheetName string) ([]Outgoing, error) {
	sheet, err := d.askSheet(sheetName, s.By.Units)
	if err != nil {
		return nil, err
	}
	if whole, ok := d.pending(s, firstSystem(s.By.Units, sheet.Units)); ok {
		s.Text = whole
	}
	u := d.Listen(listen.Input{Text: s.Text, Units: firstSystem(s.By.Units, sheet.Units), Sender: senderOf(s.By.Role), Context: s.Context})
	out := d.ask(s, u, sheet, sheetName == "")
	if len(out) == 0 {
		words := d.Phrases.In(s.By.Language)
		return []Outgoing{{Text: words.Say("question.not_understood") + "\n" + words.Say("question.try_this")}}, nil
	}
	return out, nil
}

func firstSystem(a, b unit.System) unit.System {
	if a != unit.NoSystem {
		return a
	}
	return b
}

// askSheet finds the sheet to answer by: the one named, else the most usual
// construction in the person's units.
func (d *Desk) askSheet(name string, units unit.System) (*rules.Sheet, error) {
	if name != "" {
		return d.Sheets.Sheet(name)
	}
	var first *rules.Sheet
	score := func(s *rules.Sheet) (n int) {
		for _, usual := range []bool{s.Units == firstSystem(units, unit.InchUnits), s.Carrier.By == rules.ShimsOutside, s.Preload.By == rules.CrushSleeve, s.Ring.Side == rules.Left} {
			n *= 2
			if usual {
				n++
			}
		}
		return n
	}
	for _, n := range d.Sheets.Names() {
		s, err := d.Sheets.Sheet(n)
		if err != nil {
			return nil, err
		}
		if first == nil || score(s) > score(first) {
			first = s
		}
	}
	if first == nil {
		return nil, errors.New("there is no axle sheet to answer by")
	}
	return first, nil
}

// ask answers an utterance that belongs to no job, from a job that exists for it
// alone. It gives nothing where there is nothing to answer.
func (d *Desk) ask(s Said, u listen.Utterance, sheet *rules.Sheet, assumed bool) []Outgoing {
	t := &turn{desk: d, sheet: sheet, job: &Job{}, said: s, voice: d.voiceFor(s.By, sheet), u: u, noNext: true}
	t.job.refold()
	if err := t.add(opened{Sheet: sheet.Name}); err != nil {
		return nil
	}
	t.step = Step{ID: StepLoop}
	if wanted, ok := wantedLash(u); ok {
		target := *sheet
		target.Limits.Backlash = rules.LengthRange{Low: wanted.low, High: wanted.high, Source: t.text("question.as_asked"), Set: true}
		t.sheet = &target
	}
	for _, r := range append(append([]listen.Reading{}, u.Readings...), u.Proposed...) {
		if u.Reckoning != nil || u.Topics != nil && u.Topics[0] == listen.TopicConvert {
			break
		}
		if r.What == "" {
			continue // a figure whose quantity was not said
		}
		if err := t.record(r); err != nil {
			return nil
		}
	}
	t.dangersOnly = true
	if err := t.judge(); err != nil {
		return nil
	}
	switch {
	case u.Reckoning != nil:
		if err := t.reckon(u.Reckoning); err != nil {
			return nil
		}
	case u.Ask != nil:
		t.tell(t.voice.askWords(u.Ask))
		t.choices = t.voice.askChoices(u.Ask.Choices)
	case u.Command != nil && len(u.Readings) == 0:
		return nil
	case t.job.Trial().read() && !t.stopped && (len(u.Topics) == 0 || !answersItself(u.Topics[0])):
		if err := t.recommend(); err != nil {
			return nil
		}
		t.tell(t.text("question.by_sheet", "name", sheet.Name, "assumed", assumed))
	case len(u.Topics) > 0:
		if err := t.question(); err != nil {
			return nil
		}
	}
	if len(t.answer) == 0 && len(t.cautions) == 0 {
		return nil
	}
	t.noNext = true
	return t.reply().Out
}

// answersItself says whether a topic is a question of its own rather than one
// about the next move.
func answersItself(topic string) bool {
	switch topic {
	case listen.TopicWhatToChange, listen.TopicPrediction, listen.TopicDirection, listen.TopicOther, listen.TopicNext:
		return false
	}
	return true
}

type wanted struct{ low, high unit.Length }

// wantedLash gives the backlash a message asks for ("want 8", "spec is 6 to 10").
func wantedLash(u listen.Utterance) (wanted, bool) {
	for _, r := range u.Wanted {
		if r.What != listen.Backlash && r.What != "" {
			continue
		}
		m := readingOf(r)
		all := m.Lengths()
		if len(all) == 0 {
			continue
		}
		low, high := bounds(all)
		if low == high { // one figure: as near as a dial reads
			low, high = low-unit.Thou(0.5), high+unit.Thou(0.5)
		}
		return wanted{low, high}, true
	}
	return wanted{}, false
}
