package dialogs

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// question answers what was asked about the job, by its first topic.
func (t *turn) question() error {
	if t.u.Kind != listen.Question && len(t.u.Topics) == 0 {
		return nil
	}
	if t.u.Reckoning != nil {
		return t.reckon(t.u.Reckoning)
	}
	topic := listen.TopicOther
	if len(t.u.Topics) > 0 {
		topic = t.u.Topics[0]
	}
	switch topic {
	case listen.TopicWhatToChange, listen.TopicDirection, listen.TopicPrediction:
		return t.whatToChange()
	case listen.TopicIsItOK:
		t.tell(t.isItOK())
		return nil
	case listen.TopicNext:
		return t.advance()
	case listen.TopicStatus, listen.TopicReview, listen.TopicUnderstood:
		t.tell(t.status()...)
	case listen.TopicWhy:
		t.why("")
	case listen.TopicLimits, listen.TopicHeat, listen.TopicPreload:
		t.noNext = true
		if topic == listen.TopicHeat {
			t.tell(t.fitAsked()...)
		}
		t.tell(limitLines(t.voice, t.sheet, topic)...)
	case listen.TopicTorque:
		t.noNext = true
		t.tell(torqueLines(t.voice, t.sheet)...)
	case listen.TopicOil:
		t.noNext = true
		t.tell(oilLine(t.voice, t.sheet))
	case listen.TopicConvert:
		t.noNext = true
		t.tell(convertLines(t.voice, t.u.Proposed)...)
	case listen.TopicGlossary:
		t.noNext = true
		t.tell(glossary(t.voice.words, t.glossaryWord()))
	case listen.TopicStartShim:
		return t.startShim()
	case listen.TopicHistory, listen.TopicShims:
		t.noNext = true
		t.tell(t.history()...)
	case listen.TopicParts:
		t.noNext = true
		t.tell(t.partsNeeded()...)
	case listen.TopicBacklash:
		t.noNext = true
		t.tell(t.text("question.lash_places"), t.text("question.lash_judged"))
	case listen.TopicPattern:
		t.noNext = true
		t.tell(patternHelp(t.voice.words)...)
	case listen.TopicBreakIn, listen.TopicTime:
		t.noNext = true
		t.tell(breakInLines(t.voice, t.sheet)...)
	case listen.TopicRatio:
		t.noNext = true
		t.tell(ratioLine(t.voice.words, t.sheet.Pinion.Teeth, t.sheet.Ring.Teeth))
	default:
		if t.said.Addressed || t.u.Kind == listen.Question && len(t.u.Readings) > 0 {
			t.tell(t.text("question.cannot"))
		} else if len(t.events) == 0 && len(t.cautions) == 0 {
			t.quiet = true
		}
	}
	return nil
}

func (t *turn) glossaryWord() string {
	if t.u.Command != nil {
		return t.u.Command.Rest
	}
	return t.said.Text
}

// whatToChange works a move out of whatever is on record, complete or not.
func (t *turn) whatToChange() error {
	if stops := t.job.Stops(); len(stops) > 0 || t.job.Held {
		return t.advance()
	}
	req := t.request()
	if len(req.Attempts) == 0 {
		t.tell(t.text("question.reading_first"))
		return nil
	}
	if t.job.adviceStands() {
		t.tell(t.adviceWords(t.inOwnWords(t.job.Advice))...)
		return nil
	}
	if !t.job.Trial().read() {
		t.tell(t.text("question.from_found"))
	}
	return t.recommend()
}

// isItOK judges the last backlash, or the figures asked about, by the sheet.
func (t *turn) isItOK() string {
	if text := t.isRunoutOK(); text != "" {
		return text
	}
	limit := t.sheet.Limits.Backlash
	var all []unit.Length
	for _, r := range t.u.Proposed {
		if r.What == listen.Backlash || r.What == "" {
			m := readingOf(r)
			all = append(all, m.Lengths()...)
		}
	}
	if len(all) == 0 {
		all = t.figureAsked(listen.Backlash)
	}
	if len(all) == 0 {
		if r := firstOf(t.job.Trial().Backlash, t.job.slot(FoundBacklash)); r != nil {
			all = r.Lengths()
		}
	}
	if len(all) == 0 || !limit.Set {
		return t.text("question.no_lash")
	}
	low, high := bounds(all)
	value, within := t.voice.length(t.judged(all)), t.voice.span(limit.Low, limit.High)
	text := t.text("question.inside", "value", value, "range", within, "source", t.voice.axleText(limit.Source))
	if !limit.Has(t.judged(all)) {
		text = t.text("question.outside", "value", value, "range", within, "source", t.voice.axleText(limit.Source))
	}
	if len(all) < 4 {
		text += " " + t.text("question.four_places")
	} else if sp := t.sheet.Limits.BacklashSpread; sp.Set && high-low > sp.High+unit.MM(1e-4) {
		text += " " + t.text("question.spread_over", "spread", t.voice.length(high-low), "limit", t.voice.length(sp.High))
	}
	return text
}

// isRunoutOK judges a runout that is asked about by the sheet, empty where none is.
func (t *turn) isRunoutOK() string {
	limit := t.sheet.Limits.RingRunout
	asked := t.figureAsked(listen.RingRunout)
	if !strings.Contains(strings.ToLower(t.roadText), "runout") || len(asked) == 0 || !limit.Set {
		return ""
	}
	key := "question.inside"
	if asked[0] > limit.High+unit.MM(1e-4) {
		key = "question.outside"
	}
	return t.text(key, "value", t.voice.length(asked[0]), "range", t.voice.length(limit.High), "source", t.voice.axleText(limit.Source))
}

// figureAsked gives the figures of a question as lengths of a quantity, where it has one.
func (t *turn) figureAsked(what listen.What) []unit.Length {
	number := strings.TrimFunc(t.roadText, func(r rune) bool { return !unicode.IsDigit(r) && r != '.' })
	if i := strings.LastIndexFunc(t.roadText, unicode.IsDigit); i >= 0 {
		// "is 4 thou ok": with the unit behind it
		for _, w := range []string{" thou", " mm", " in", " hundredths"} {
			if strings.HasPrefix(t.roadText[i+1:], w) {
				number += w
				break
			}
		}
	}
	if !strings.ContainsAny(number, "0123456789") {
		return nil
	}
	in := t.input("")
	switch what {
	case listen.Backlash:
		in.Text = "lash " + number
	case listen.RingRunout:
		in.Text = "ring runout " + number
	}
	in.Expect, in.Context = what, nil
	u := t.desk.Listen(in)
	if len(u.Readings) != 1 || u.Readings[0].What != what {
		return nil
	}
	return readingOf(u.Readings[0]).Lengths()
}

// sides gives left and right stack together, as built or else as taken out.
func (t *turn) sides() (unit.Length, bool) {
	b := t.job.Trial().Build
	if b.Left.Known && b.Right.Known {
		return b.Left.Thickness + b.Right.Thickness, true
	}
	left, right := t.job.slot(OldLeft), t.job.slot(OldRight)
	if left == nil || right == nil {
		return 0, false
	}
	l, okLeft := left.Length()
	r, okRight := right.Length()
	return l + r, okLeft && okRight
}

// history says the stacks on record, old and present.
func (t *turn) history() []string {
	var parts []string
	for _, slot := range []Slot{OldPinion, OldLeft, OldRight, OldPreload, OldMark, NewMark} {
		if r := t.job.slot(slot); r != nil {
			parts = append(parts, t.voice.echo(measuredOf(*r)))
		}
	}
	lines := []string{t.buildLine()}
	if total, ok := t.sides(); ok {
		lines = append(lines, t.text("question.sides_total", "total", t.voice.length(total)))
	}
	if len(parts) > 0 {
		lines = append(lines, strings.Join(parts, "; "))
	}
	if line := lastTime(t.voice, t.sheet, t.said.Past, t.job.Number); line != "" {
		lines = append(lines, line)
	}
	return lines
}

func measuredOf(r Reading) measured {
	return measured{Slot: r.Slot, What: r.What, Values: r.Values, Unit: r.Unit, Along: r.Along, Across: r.Across, Degree: r.Degree, Positions: r.Positions}
}

// limitLines lists the sheet's limits that fit the topic, each with its source.
func limitLines(v voice, s *rules.Sheet, topic string) []string {
	l := s.Limits
	var lines []string
	lengths := func(name string, r rules.LengthRange) {
		switch {
		case !r.Set:
		case r.Low == 0:
			lines = append(lines, v.words.Say("question.up_to", "name", name, "high", v.length(r.High), "source", v.axleText(r.Source)))
		default:
			lines = append(lines, v.words.Say("question.span", "name", name, "range", v.span(r.Low, r.High), "source", v.axleText(r.Source)))
		}
	}
	torques := func(name string, r rules.TorqueRange) {
		if r.Set {
			lines = append(lines, v.words.Say("question.span", "name", name, "range", bare(v.own.Torque(r.Low))+"–"+v.own.Torque(r.High), "source", v.axleText(r.Source)))
		}
	}
	switch topic {
	case listen.TopicHeat:
		if l.OvenTemperature.Set {
			lines = append(lines, v.words.Say("question.ring_heat", "t", v.own.Temperature(l.OvenTemperature.High), "source", v.axleText(l.OvenTemperature.Source)))
		}
		lines = append(lines, v.words.Say("question.bearing_heat", "t", v.own.Temperature(unit.Celsius(120))))
	case listen.TopicPreload:
		torques(v.words.Say("question.drag_new"), l.PinionDragNew)
		torques(v.words.Say("question.drag_used"), l.PinionDragUsed)
		torques(v.words.Say("question.seal_adds"), l.SealDrag)
		torques(v.words.Say("question.total_adds"), l.TotalDragAdd)
	default:
		lengths(v.words.Say("question.backlash"), l.Backlash)
		lengths(v.words.Say("question.spread"), l.BacklashSpread)
		lengths(v.words.Say("question.runout"), l.RingRunout)
		torques(v.words.Say("question.drag_new"), l.PinionDragNew)
	}
	if len(lines) == 0 {
		return []string{v.words.Say("question.no_figure", "name", s.Name)}
	}
	return lines
}

func torqueLines(v voice, s *rules.Sheet) []string {
	if len(s.Torques) == 0 {
		return []string{v.words.Say("question.no_torques", "name", s.Name)}
	}
	var lines []string
	for _, f := range s.Torques {
		lines = append(lines, v.words.Say("question.torque", "name", v.axleText(f.Name), "torque", torqueSpan(v, f.Low, f.High), "threads", v.threadWords(f)))
	}
	return lines
}

// torqueSpan writes fastener torques, which shops say in ft·lbf.
func torqueSpan(v voice, low, high unit.Torque) string {
	if v.own == unit.Metric {
		return fmt.Sprintf("%.0f–%.0f N·m", low.NewtonMetre(), high.NewtonMetre())
	}
	return fmt.Sprintf("%.0f–%.0f ft·lbf", low.FtLbf(), high.FtLbf())
}

// settingSpan writes the torques between which a wrench is to be set, in whole units
// that lie inside: the next one outside would be told off.
func settingSpan(v voice, low, high unit.Torque) string {
	a, b, name := low.FtLbf(), high.FtLbf(), "ft·lbf"
	if v.own == unit.Metric {
		a, b, name = low.NewtonMetre(), high.NewtonMetre(), "N·m"
	}
	if math.Ceil(a-0.01) >= math.Floor(b+0.01) {
		return fmt.Sprintf("%.1f–%.1f %s", a, b, name)
	}
	return fmt.Sprintf("%.0f–%.0f %s", math.Ceil(a-0.01), math.Floor(b+0.01), name)
}

func oilLine(v voice, s *rules.Sheet) string {
	if s.Oil.Grade == "" {
		return v.words.Say("question.no_oil", "name", s.Name)
	}
	return v.words.Say("question.oil", "grade", s.Oil.Grade, "service", s.Oil.Service, "litres", fmt.Sprintf("%.1f", s.Oil.Litres),
		"source", v.axleText(s.Oil.Source), "modifier", s.Oil.Modifier)
}

func breakInLines(v voice, s *rules.Sheet) []string {
	if len(s.BreakIn) == 0 {
		return []string{v.words.Say("question.usual_plan")}
	}
	var lines []string
	for i, leg := range s.BreakIn {
		drive := fmt.Sprintf("%.0f min", leg.Minutes)
		if leg.Distance > 0 {
			drive = distanceWords(v, leg.Distance)
		}
		lines = append(lines, v.words.Say("question.drive", "n", i+1, "drive", drive, "cool", fmt.Sprintf("%.0f", leg.Cool)))
	}
	return append(lines, v.words.Say("question.no_towing", "t", v.own.Temperature(s.BreakIn[0].Limit)))
}

func distanceWords(v voice, d unit.Length) string {
	if v.own == unit.Metric {
		return fmt.Sprintf("%.0f km", d.MM()/1e6)
	}
	return fmt.Sprintf("%.0f mi", d.Inch()/63360)
}

func convertLines(v voice, proposed []listen.Reading) []string {
	var lines []string
	for _, r := range proposed {
		for _, value := range r.Numbers() {
			if to := converted(value, r.Unit); to != "" {
				lines = append(lines, v.words.Say("question.converted", "value", number(value, r.Unit)+" "+v.unitWord(r.Unit), "other", to))
			}
		}
	}
	if len(lines) == 0 {
		return []string{v.words.Say("question.convert_what")}
	}
	return lines
}

// converted gives a typed value in the other habit's unit, empty where there is
// none.
func converted(value float64, typed string) string {
	switch typed {
	case "in":
		return fmt.Sprintf("%.3f mm", unit.Inch(value).MM())
	case "mm":
		return fmt.Sprintf("%.4f in", unit.MM(value).Inch())
	case "in·lbf":
		return fmt.Sprintf("%.2f N·m", unit.InLbf(value).NewtonMetre())
	case "ft·lbf":
		return fmt.Sprintf("%.1f N·m", unit.FtLbf(value).NewtonMetre())
	case "N·m":
		return fmt.Sprintf("%.1f in·lbf (%.1f ft·lbf)", unit.NewtonMetre(value).InLbf(), unit.NewtonMetre(value).FtLbf())
	case "degF":
		return fmt.Sprintf("%.0f °C", unit.Fahrenheit(value).Celsius())
	case "degC":
		return fmt.Sprintf("%.0f °F", unit.Celsius(value).Fahrenheit())
	case "mi":
		return fmt.Sprintf("%.1f km", value*1.609344)
	case "km":
		return fmt.Sprintf("%.1f mi", value/1.609344)
	}
	return ""
}
