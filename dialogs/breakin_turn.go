package dialogs

import (
	"slices"
	"strconv"
	"strings"
	"time"

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

// pause has the break-in stand still.
func (t *turn) pause() error {
	b := t.job.BreakIn
	if !t.road.Pause || b == nil || b.Hold != nil || afterBase(t.sheet, t.job) != nil {
		return nil
	}
	if err := t.add(held{Why: clip(t.said.Text, 120)}); err != nil {
		return err
	}
	t.heardRoad(t.text("breakin.paused"))
	return nil
}

// goOn ends a pause; a hold for heat or noise only by a mentor's word.
func (t *turn) goOn() error {
	b := t.job.BreakIn
	if !t.road.Resume || b == nil || b.Hold == nil {
		return nil
	}
	if b.Hold.Asks != "" && !t.said.By.Role.Reviews() {
		t.tell(t.text("breakin.only_mentor", "why", clip(b.Hold.Why, 60)))
		t.noNext = true
		t.ping = append(t.ping, string(Mentor))
		return nil
	}
	var open []string
	for _, w := range t.job.Stops() {
		open = append(open, w.Rule)
	}
	if len(open) > 0 {
		if err := t.add(overridden{Rules: open, Reason: clip(t.said.Text, 120)}); err != nil {
			return err
		}
	}
	if err := t.add(resumed{}); err != nil {
		return err
	}
	t.heardRoad(t.text("breakin.resumed"))
	if b.Driver != t.said.By.Name {
		t.ping = append(t.ping, b.pings()...)
	}
	return nil
}

// snooze puts a reminder off: the one said last, or the next one.
func (t *turn) snooze() error {
	l := t.road.Later
	if l == nil {
		return nil
	}
	tm, ok := t.putOffable()
	if said, was := t.job.Reminded[tm.Key]; !t.said.Addressed && !strings.Contains(strings.ToLower(t.said.Text), "remind") && !t.job.saidLately(t.said.At) && !(was && t.said.At.Sub(said.At) < lately) {
		ok = false // they say so to each other
	}
	if !ok {
		t.road.Later = nil
		return nil
	}
	now := t.said.At
	until := now.Add(minutes(l.Minutes))
	switch {
	case l.Days > 0:
		until = t.voice.morning(now, l.Days)
	case l.Minutes == 0 && strings.HasPrefix(tm.Key, "breakin/cooled"), l.Minutes == 0 && strings.HasPrefix(tm.Key, "breakin/back"):
		until = now.Add(30 * time.Minute)
	case l.Minutes == 0 && strings.HasPrefix(tm.Key, "breakin/"):
		until = now.Add(2 * time.Hour)
	case l.Minutes == 0:
		until = t.voice.morning(now, 1)
	}
	if err := t.add(putOff{Key: tm.Key, Until: until}); err != nil {
		return err
	}
	t.tell(t.text("breakin.snoozed", "at", t.voice.clock(until)))
	t.noNext = true
	return nil
}

// lately is how long after a reminder "later" is an answer to it.
const lately = 20 * time.Hour

// saidLately says whether a reminder of the road was said not long ago.
func (j *Job) saidLately(now time.Time) bool {
	for key, said := range j.Reminded {
		if (strings.HasPrefix(key, "breakin/") || strings.HasPrefix(key, "after/")) && now.Sub(said.At) < lately {
			return true
		}
	}
	return false
}

// putOffable gives the timer of the road that was said last and still counts, or
// else the next one.
func (t *turn) putOffable() (Timer, bool) {
	var best Timer
	var seq uint64
	all := roadTimers(t.sheet, t.job)
	for _, tm := range all {
		if said, ok := t.job.Reminded[tm.Key]; ok && said.Seq > seq {
			best, seq = tm, said.Seq
		}
	}
	if seq > 0 {
		return best, true
	}
	for _, tm := range all {
		if best.Key == "" || tm.Due.Before(best.Due) {
			best = tm
		}
	}
	return best, best.Key != ""
}

// holdRoad has the break-in stand still after a hot or noisy report and calls the
// mentor.
func (t *turn) holdRoad() error {
	b := t.job.BreakIn
	if b == nil || !t.onRoad && !t.stopped || t.road.Resume {
		return nil
	}
	hot := t.shownNow["housing-hot"] || t.shownNow["housing-heats-fast"] || t.shownNow["pinion-bearing-hot"]
	noisy := t.road.Noise != nil
	if !hot && !noisy && !t.stopped {
		return nil
	}
	if b.Hold != nil && b.Hold.Asks != "" {
		return nil
	}
	if roadOf(t.sheet, t.job).phase == driven {
		if !noisy || !t.wasNoisy {
			t.ping = append(t.ping, string(Mentor))
		}
		return nil
	}
	if err := t.add(held{Asks: string(Mentor), Why: clip(t.said.Text, 120)}); err != nil {
		return err
	}
	t.ping = append(t.ping, string(Mentor))
	t.noNext = true
	t.tell(t.text("breakin.held"))
	return nil
}

// roadStatus says where the break-in stands, in a line or two.
func (t *turn) roadStatus() []string {
	b := t.job.BreakIn
	if b == nil {
		return nil
	}
	r := roadOf(t.sheet, t.job)
	done := min(r.leg-1, len(r.plan))
	line := t.text("breakin.status", "n", done, "of", len(r.plan))
	if d := b.last(); d != nil {
		line += "; " + t.text("breakin.leg_n", "n", d.Leg)
		if d.Distance > 0 {
			line += " " + distanceWords(t.voice, d.Distance)
		}
	}
	if reports := t.job.heatReports(b.Begun.Seq); len(reports) > 0 {
		now := reports[len(reports)-1]
		line += ", " + t.voice.own.Temperature(now.hottest) + " " + t.text("breakin.at_clock", "at", t.voice.clock(now.at.At))
	}
	lines := []string{line}
	for _, tm := range Timers(t.sheet, t.job) {
		if strings.HasPrefix(tm.Key, "breakin/") || strings.HasPrefix(tm.Key, "after/") {
			lines = append(lines, t.text("breakin.next_reminder", "at", t.voice.clock(tm.Due)))
			break
		}
	}
	return lines
}

// roadEntry says an entry of the road in a few words.
func (t *turn) roadEntry(e Entry) string {
	switch p := e.payload.(type) {
	case *begun:
		return t.text("breakin.name")
	case *setOff:
		return t.text("breakin.off", "leg", t.text("breakin.leg_n", "n", p.Leg))
	case *drove:
		words := t.text("breakin.leg_n", "n", p.Leg)
		if p.Distance > 0 {
			words += ": " + t.roadWords(p.Distance, p.Unit)
		}
		return words
	case *cooled:
		return t.text("breakin.cool")
	case *held:
		if p.Asks != "" {
			return t.text("breakin.held_entry", "why", clip(p.Why, 60))
		}
		return t.text("breakin.paused")
	case *resumed:
		return t.text("breakin.resumed")
	case *heard:
		if p.Noise != nil {
			return t.noiseWords(*p.Noise)
		}
		return t.text("breakin.quiet")
	case *checked:
		switch p.What {
		case checkOil:
			return t.text("breakin.did_oil")
		case checkTorque:
			return t.text("breakin.did_torque")
		case checkLeaks:
			return t.text("breakin.did_look", "leak", p.No)
		}
		return t.text("breakin.miles", "far", distanceWords(t.voice, roadLength(p.Distance, p.Unit)))
	case *putOff:
		return t.text("breakin.snoozed", "at", t.voice.clock(p.Until))
	}
	return ""
}
