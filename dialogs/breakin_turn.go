package dialogs

import (
	"slices"
	"strconv"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// handWarm is as hot as metal can be held for a while: the burn threshold of bare
// metal touched for a minute is 51 °C. Source: ISO 13732-1, from memory.
const handWarm = unit.Temperature(51)

// takeRoad reads what the message says of the road and files it. What it is about
// is then no longer looked for in it by anybody else.
func (t *turn) takeRoad() error {
	if !onTheRoad(t.job, t.step.ID) {
		if t.tooEarly() {
			return t.startEarly()
		}
		return nil
	}
	asked := t.roadAsked()
	_, t.wasNoisy = t.job.openNoise()
	t.road = listen.ReadRoad(listen.RoadInput{Text: t.roadText, Units: t.voice.own, Asked: asked})
	r := &t.road
	if cmd := t.u.Command; cmd != nil && !roadCommand(cmd.Verb) && !(cmd.Verb == listen.VerbNext && r.Resume) || t.u.Retract != nil && len(r.Heat) == 0 {
		t.road = listen.Road{}
		return nil
	}
	if t.u.Decision == "approve" && t.job.BreakIn != nil && t.job.BreakIn.Hold != nil {
		r.Resume = true
	}
	if t.u.Command != nil && t.u.Command.Verb == listen.VerbDone && roadOf(t.sheet, t.job).phase == driving {
		r.Back = true
	}
	if r.Unsure != "" && r.Distance == nil {
		t.noNext = true
		t.tell(t.text("breakin.unsure", "figure", r.Unsure))
		t.claimRoad()
		return nil
	}
	done := len(t.events) + len(t.answer)
	for _, take := range []func() error{t.snooze, t.goOn, t.pause, t.start, t.drive, t.heat, t.cool, t.sound, t.setOff, t.checks} {
		if err := take(); err != nil {
			return err
		}
	}
	if len(t.events)+len(t.answer) > done {
		t.claimRoad()
	}
	return nil
}

// road says whether the field is one of the break-in or of what comes after it. Its
// options are words that are read like any other.
func (f *Field) road() bool { return f.Act == "break-in" || f.Act == "after" }

// pressed gives the words of an option that was answered by its number.
func (t *turn) pressed(text string) string {
	if t.field == nil || !t.field.road() {
		return text
	}
	for i, option := range t.field.Options {
		if strings.Trim(strings.TrimSpace(text), ".)") == strconv.Itoa(i+1) {
			return t.voice.say(option)
		}
	}
	return text
}

// roadCommand says whether a word that is a command elsewhere is one of the road.
func roadCommand(v listen.Verb) bool {
	switch v {
	case listen.VerbYes, listen.VerbNo, listen.VerbDone:
		return true
	}
	return false
}

// roadAsked gives what the road waits to hear.
func (t *turn) roadAsked() listen.RoadAsk {
	if base := afterBase(t.sheet, t.job); base != nil && t.oilAsked(*base) {
		return listen.AskDistance
	}
	if ask := t.job.noiseAsks(); ask != "" {
		return ask
	}
	if roadOf(t.sheet, t.job).phase == cooling {
		switch t.job.roadAsks() {
		case asksDrive, asksFar:
			return listen.AskDistance
		case asksHeat:
			return listen.AskHeat
		case asksSound:
			return listen.AskSound
		}
	}
	return ""
}

// claimRoad leaves to the rest of the turn what is not of the road.
func (t *turn) claimRoad() {
	u := &t.u
	u.Readings = slices.DeleteFunc(u.Readings, func(r listen.Reading) bool {
		switch r.What {
		case listen.Distance, listen.Duration, listen.Temperature, listen.NoiseSpeed:
			return true
		}
		// Patterns by the numbers of cells are of the bench, not of the road.
		return (r.What == listen.PatternDrive || r.What == listen.PatternCoast) && t.road.Unsure != ""
	})
	u.Facts = slices.DeleteFunc(u.Facts, func(f string) bool {
		switch f {
		case listen.FactQuiet, listen.FactNoise, listen.FactNoiseDrive, listen.FactNoiseCoast, listen.FactNoiseFloat, listen.FactLegDone,
			listen.FactCooled, listen.FactOilChanged, listen.FactWhyNoise, listen.FactWhyLeak, listen.FactCoverTorqued:
			return true
		}
		return false
	})
	u.Cautions = slices.DeleteFunc(u.Cautions, func(c string) bool { return c == listen.DangerImplausible })
	u.Ask, u.Command, u.Kind, u.Topics = nil, nil, listen.BreakIn, nil
	if t.road.Resume {
		u.Decision = ""
	}
	t.onRoad = true
}

// heardRoad says back what was understood.
func (t *turn) heardRoad(words string) { t.understood = append(t.understood, words) }

// tooEarly says whether the message starts a break-in before its step.
func (t *turn) tooEarly() bool {
	text := strings.ToLower(t.roadText)
	if !strings.Contains(text, "break") && !strings.Contains(text, "rodaje") && !strings.Contains(text, "asentamiento") && !strings.Contains(text, "bedding") {
		return false
	}
	r := listen.ReadRoad(listen.RoadInput{Text: text, Units: t.voice.own})
	return r.Begin && !r.Back && t.u.Kind != listen.Question
}

// startEarly says what is still open before the break-in.
func (t *turn) startEarly() error {
	t.tell(t.text("breakin.too_early", "n", t.step.No, "step", t.voice.say(t.step.Title)))
	t.claimRoad()
	return nil
}

// start begins the break-in.
func (t *turn) start() error {
	r := t.road
	reported := r.Back && (r.Leg != 0 || len(r.Heat) > 0)
	if t.job.BreakIn != nil || !r.Begin && !(r.Out && r.Leg != 0) && !reported {
		return nil
	}
	if err := t.add(begun{Driver: t.said.By.Name}); err != nil {
		return err
	}
	if !r.Begin && !r.Out {
		return nil // it is told of afterwards
	}
	plan := planOf(t.sheet)
	one := road{plan: plan, leg: 1}
	t.tell(t.text("breakin.begins", "n", len(plan), "drive", t.voice.say(one.driveText()), "min", plan[0].Cool, "limit", t.voice.own.Temperature(plan[0].Limit)))
	t.tell(t.text("breakin.before"))
	return nil
}

// setOff logs that a drive begins.
func (t *turn) setOff() error {
	r := roadOf(t.sheet, t.job)
	if !t.road.Out || t.road.Begin && !t.road.Out || t.job.BreakIn == nil {
		return nil
	}
	if r.phase == driving {
		t.tell(t.voice.say(r.prompt(t.job)))
		t.noNext = true
		return nil
	}
	if t.road.Begin && t.road.Leg == 0 && t.started() {
		return nil // "starting the break-in" starts it; the first drive says that it is off
	}
	if r.phase == onHold {
		t.tell(t.voice.say(r.prompt(t.job)))
		t.noNext = true
		return nil
	}
	leg := r.leg
	if n := t.road.Leg; n > 0 && n <= len(r.plan) {
		leg = n
	}
	if leg > len(r.plan) {
		return nil
	}
	if err := t.add(setOff{Leg: leg}); err != nil {
		return err
	}
	now := roadOf(t.sheet, t.job)
	t.heardRoad(t.text("breakin.off", "leg", t.voice.say(now.legText())))
	t.tell(t.text("breakin.off_care", "limit", t.voice.own.Temperature(now.at(leg).Limit)))
	t.noNext = true
	return nil
}

// started says whether this message began the break-in.
func (t *turn) started() bool {
	return slices.ContainsFunc(t.events, func(e Event) bool { return e.Kind == kindBreakIn })
}

// drive logs a drive that is over, or what is told of the last one later.
func (t *turn) drive() error {
	r := t.road
	b := t.job.BreakIn
	if b == nil || !r.Back && r.Distance == nil && r.Minutes == 0 || r.Oil || afterBase(t.sheet, t.job) != nil {
		return nil
	}
	state := roadOf(t.sheet, t.job)
	if state.phase != driving && r.Distance == nil && r.Minutes == 0 && r.Leg == 0 && len(r.Heat) == 0 {
		return nil // back from lunch
	}
	d := drove{Leg: state.leg, Minutes: r.Minutes, Done: r.Leg != 0}
	if r.Distance != nil {
		d.Distance, d.Unit = *r.Distance.Value, r.Distance.Unit
	}
	switch {
	case r.Leg > 0 && r.Leg <= len(state.plan):
		d.Leg = r.Leg
	case r.Leg < 0:
		d.Leg = len(state.plan)
	}
	if last := b.last(); last != nil && state.phase == cooling && b.Out == nil && (r.Leg == 0 || r.Leg == last.Leg) {
		switch {
		case last.Distance == 0 && last.Minutes == 0:
			d.Leg, d.Of = last.Leg, last.Seq // asked for, or told bit by bit
		case r.Distance == nil:
			return nil
		case roadLength(d.Distance, d.Unit) == last.Distance:
			return nil // said again
		}
	}
	if d.Leg > len(state.plan) {
		return nil
	}
	if err := t.add(d); err != nil {
		return err
	}
	words := t.text("breakin.leg_n", "n", d.Leg)
	if d.Distance > 0 {
		words += ": " + t.roadWords(d.Distance, d.Unit)
	} else if d.Minutes > 0 {
		words += ": " + t.text("reminder.minutes", "n", d.Minutes)
	}
	t.heardRoad(words)
	if plan := state.at(d.Leg); plan.Distance > 0 && roadLength(d.Distance, d.Unit) > plan.Distance*2 {
		t.tell(t.text("breakin.too_far", "far", distanceWords(t.voice, plan.Distance)))
	}
	return nil
}

// roadWords writes a typed distance as the person says it.
func (t *turn) roadWords(v float64, typed string) string {
	name := "mi"
	if typed == "km" {
		name = "km"
	}
	return number(v, typed) + " " + name
}

// heat files temperatures.
func (t *turn) heat() error {
	if t.job.BreakIn == nil {
		return nil
	}
	for _, h := range t.road.Heat {
		r := h
		if err := t.add(measuredFrom(roadSlot(r.Part), r)); err != nil {
			return err
		}
		t.heardRoad(t.text("breakin.heat", "temp", number(*r.Value, r.Unit)+" "+t.voice.unitWord(r.Unit), "pinion", r.Part == listen.HeatPinion, "carrier", r.Part == listen.HeatCarrier, "housing", r.Part != listen.HeatPinion && r.Part != listen.HeatCarrier))
	}
	return nil
}

// cool logs the end of cooling.
func (t *turn) cool() error {
	r := roadOf(t.sheet, t.job)
	if r.phase != cooling || !t.road.Cooled && t.road.Cooling == 0 || t.road.Back {
		return nil
	}
	last := t.job.BreakIn.last()
	if t.road.Cooling > 0 && t.road.Cooling < r.at(last.Leg).Cool && !t.road.Cooled {
		return nil // "it has been cooling 20 min": the rest goes on
	}
	if err := t.add(cooled{Minutes: t.road.Cooling}); err != nil {
		return err
	}
	t.heardRoad(t.text("breakin.cool"))
	return nil
}
