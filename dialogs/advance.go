package dialogs

import (
	"fmt"
	"math"
	"strings"

	"shimwright/calc/unit"
	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/picture"
	"shimwright/rules"
)

// advance brings the job on: where the trial's readings are complete it adds the
// recommendation, and where the starting shim is due its computation.
func (t *turn) advance() error {
	if stops := t.job.Stops(); len(stops) > 0 {
		t.noNext = true
		if b := t.job.BreakIn; t.onRoad && b != nil && b.Hold != nil {
			return nil // the hold is told already
		}
		if len(t.cautions) == 0 {
			t.tell(t.text("talk.on_hold", "text", stops[0].Text))
		}
		t.tell(t.text("talk.override_and_why"))
		return nil
	}
	if t.job.Held {
		t.noNext = true
		t.tell(t.text("talk.held"))
		return nil
	}
	t.finalLines()
	if t.job.Finished && t.job.rereadSinceGood() {
		// What was called good was read again: it is judged anew.
		if err := t.add(retracted{Entries: []uint64{t.job.Advice.Seq}}); err != nil {
			return err
		}
	}
	if t.job.ready() && (!t.job.Finished || t.job.Trial().Final) {
		return t.recommend() // also where an earlier step is still open: it is asked for afterwards
	}
	if step, field := t.next(); step.ID == StepStart && field.Act != actReview {
		return t.startShim()
	}
	return nil
}

// ready says whether the present trial has all that a recommendation is made of
// and none was given for it yet. A skipped reading counts as there, but not all.
func (j *Job) ready() bool {
	t := j.Trial()
	if t.Backlash == nil && t.Drive == nil && t.Coast == nil {
		return false
	}
	step, slots := StepLoop, [3]Slot{TrialBacklash, TrialDrive, TrialCoast}
	if t.Final {
		step, slots = StepFinalCarrier, [3]Slot{FinalBacklash, FinalDrive, FinalCoast}
	}
	for i, r := range [3]*Reading{t.Backlash, t.Drive, t.Coast} {
		f := Field{Slot: slots[i]}
		if r == nil && !f.skipped(j, step) {
			return false
		}
	}
	return !j.adviceStands()
}

// rereadSinceGood says whether a reading of the trial that ended the loop came or
// went after it was called good.
func (j *Job) rereadSinceGood() bool {
	a, t := j.Advice, j.Trial()
	if a == nil || a.Trial != t.No || a.Verdict != advise.Good {
		return false
	}
	for _, r := range []*Reading{t.Backlash, t.Drive, t.Coast} {
		if r != nil && r.Seq > a.Seq {
			return true
		}
	}
	for _, e := range j.Log[a.Seq:] {
		r, ok := e.payload.(*retracted)
		if !ok || !e.Live {
			continue
		}
		for _, seq := range r.Entries {
			if m, ok := j.Log[seq-1].payload.(*measured); ok && seq < a.Seq && strings.HasPrefix(string(m.Slot), "trial.") {
				return true
			}
		}
	}
	return false
}

// adviceStands says whether the latest advice was made from the readings that
// stand now.
func (j *Job) adviceStands() bool {
	a, t := j.Advice, j.Trial()
	if a == nil || a.Trial != t.No {
		return false
	}
	for _, r := range []*Reading{t.Backlash, t.Drive, t.Coast} {
		if r != nil && r.Seq > a.Seq {
			return false
		}
	}
	for _, e := range j.Log[a.Seq:] {
		if r, ok := e.payload.(*retracted); ok && e.Live && j.touchesAdvice(r) {
			return false
		}
	}
	return true
}

// touchesAdvice says whether what was taken back is anything a recommendation is made
// of: a noise on the road, a photo, a signature are not.
func (j *Job) touchesAdvice(r *retracted) bool {
	for _, seq := range r.Entries {
		switch p := j.Log[seq-1].payload.(type) {
		case *measured:
			if !strings.HasPrefix(string(p.Slot), "other.") && !strings.HasPrefix(string(p.Slot), "road.") && p.Slot != OilFill {
				return true
			}
		case *heard, *setOff, *drove, *cooled, *begun, *held, *resumed, *checked, *putOff, *attached, *torqued, *damaged, *reviewed, *overridden, *instructed:
		default:
			return true
		}
	}
	return false
}

// recommend asks for the next move and says it.
func (t *turn) recommend() error {
	req := t.request()
	a, err := t.desk.Advise(req)
	if err != nil {
		t.tell(t.text("talk.no_move", "why", err))
		return nil
	}
	if a.Verdict == advisedMore {
		t.tell(t.adviceWords(a)...)
		return nil
	}
	trial := t.job.Trial().No
	if !t.job.Trial().read() {
		trial = asFoundTrial
	}
	if err := t.add(advised{Advice: a, Trial: trial, Language: t.foreign()}); err != nil {
		return err
	}
	if t.job.Trial().Final {
		t.compareFinal(a)
	}
	if _, f := t.next(); f != nil && f.Act == actReview {
		return nil // the mentor sees it first, on the card of the look
	}
	t.tell(t.adviceWords(a)...)
	line, round := roundRing(t.voice, t.sheet, t.job.Trial().Backlash)
	if line != "" {
		t.tell(line)
	}
	t.pictures = append(t.pictures, round...)
	if a.Verdict != advise.Good && !t.untold() {
		t.pictures = append(t.pictures, patternPicture(t.voice, t.sheet, t.job, a)...)
	}
	return nil
}

const advisedMore = advise.More

// request gathers what is on record for a recommendation.
func (t *turn) request() advise.Request {
	req := advise.Request{Sheet: t.sheet, Units: t.voice.own, Words: t.voice.words}
	for _, tr := range t.job.Trials {
		if !tr.read() {
			continue
		}
		req.Attempts = append(req.Attempts, attemptOf(t.sheet, tr))
	}
	if len(req.Attempts) == 0 {
		if a, ok := t.job.foundAttempt(); ok {
			req.Attempts = append(req.Attempts, a)
		}
	}
	req.Memory = t.memory()
	if t.job.holds(listen.FactGearSetUsed) {
		target := &advise.Target{}
		if a, ok := t.job.foundAttempt(); ok {
			target.Drive, target.Coast = a.Drive, a.Coast
			if len(a.Backlash) > 0 {
				target.Backlash = mean(a.Backlash)
			}
			req.Used = target
		}
	}
	return req
}

func attemptOf(s *rules.Sheet, tr Trial) advise.Attempt {
	a := advise.Attempt{Pinion: PinionMove(s, tr.Build), Ring: RingMove(s, tr.Build)}
	a.Stacks = advise.Stacks{
		Pinion: stackOf(tr.Build.Pinion), Left: stackOf(tr.Build.Left),
		Right: stackOf(tr.Build.Right), Preload: stackOf(tr.Build.Preload),
	}
	if tr.Backlash != nil {
		a.Backlash = tr.Backlash.Lengths()
	}
	a.Drive, a.Coast = markOf(tr.Drive), markOf(tr.Coast)
	a.Twice, a.Sure = tr.Twice, tr.Twice.Drive && tr.Twice.Coast
	return a
}

// foundAttempt is the axle as it came in, as an attempt of its own.
func (j *Job) foundAttempt() (advise.Attempt, bool) {
	var a advise.Attempt
	if r := j.slot(FoundBacklash); r != nil {
		a.Backlash = r.Lengths()
	}
	a.Drive, a.Coast = markOf(j.slot(FoundDrive)), markOf(j.slot(FoundCoast))
	for slot, s := range map[Slot]*advise.Stack{OldPinion: &a.Stacks.Pinion, OldLeft: &a.Stacks.Left, OldRight: &a.Stacks.Right, OldPreload: &a.Stacks.Preload} {
		if r := j.slot(slot); r != nil {
			s.Thickness, s.Known = r.Length()
		}
	}
	return a, len(a.Backlash) > 0 || a.Drive.Known() || a.Coast.Known()
}

func stackOf(s Stack) advise.Stack { return advise.Stack{Known: s.Known, Thickness: s.Thickness} }

// markOf places pattern words on the tooth: the middle of the third they name.
func markOf(r *Reading) advise.Mark {
	var m advise.Mark
	if r == nil {
		return m
	}
	m.Along, m.AlongKnown = third(r.Along, "toe", "heel")
	m.Across, m.AcrossKnown = third(r.Across, "flank", "face")
	if r.Degree == "slight" && m.Across != 0 {
		m.Across *= far(r.Degree) // "heel, a touch high": said of the height, as the echo has it
		return m
	}
	m.Along, m.Across = m.Along*far(r.Degree), m.Across*far(r.Degree)
	return m
}

// far is how much of the way to the middle of the outer third a pattern lies.
func far(degree string) float64 {
	switch degree {
	case "slight":
		return 0.5
	case "strong":
		return 1.25
	case "edge":
		return 1.4
	}
	return 1
}

// third gives the middle of a third of the tooth, −1 … +1 from end to end.
func third(word, low, high string) (float64, bool) {
	switch word {
	case low:
		return -2.0 / 3, true
	case "center":
		return 0, true
	case high:
		return 2.0 / 3, true
	}
	return 0, false
}

// judged gives the backlash figure the sheet judges by.
func (t *turn) judged(all []unit.Length) unit.Length {
	if t.sheet.Limits.JudgeBacklash == rules.JudgeMean {
		return mean(all)
	}
	low, _ := bounds(all)
	return low
}

// adviceLines says a recommendation: what to do first, what it leads to, why.
func adviceLines(v voice, s *rules.Sheet, j *Job, a Advice) []string {
	var lines []string
	switch a.Verdict {
	case advise.Good:
		lines = append(lines, v.words.Say("talk.good"))
	case advise.Cannot:
		lines = append(lines, v.words.Say("talk.cannot"))
	case advise.Bracket:
		lines = append(lines, v.words.Say("talk.bracket"))
	}
	if a.Verdict == advise.Change || a.Verdict == advise.Bracket {
		lines = append(lines, moveLines(v, s, j, a)...)
		if a.Backlash.Mean != 0 {
			line := v.words.Say("talk.expect", "span", v.span(asRead(v, a.Backlash.Low), asRead(v, a.Backlash.High)))
			if words := markWords(v, a.Drive); words != "" {
				line += ", " + v.words.Say("talk.drive_at", "where", words)
			}
			if words := markWords(v, a.Coast); words != "" {
				line += ", " + v.words.Say("talk.coast_at", "where", words)
			}
			lines = append(lines, line)
		}
	}
	if changes := a.Verdict == advise.Change || a.Verdict == advise.Bracket; a.Reason != "" && !(v.short && changes) {
		lines = append(lines, a.Reason)
	}
	if len(a.Causes) > 0 {
		lines = append(lines, v.words.Say("talk.look_at", "causes", v.list(a.Causes)))
	}
	return lines
}

// asRead rounds a predicted figure to what a dial reads: half a thou, or a
// hundredth.
func asRead(v voice, l unit.Length) unit.Length {
	if v.own == unit.Metric {
		return unit.Hundredth(math.Round(l.MM() * 100))
	}
	return unit.Thou(math.Round(l.Thou()*2) / 2)
}

// moveLines says what to change, stack by stack, with the leaves that make it.
func moveLines(v voice, s *rules.Sheet, j *Job, a Advice) []string {
	var lines []string
	if a.PinionShim != 0 {
		key := "talk.pinion_deeper"
		if a.Pinion < 0 {
			key = "talk.pinion_shallower"
		}
		lines = append(lines, v.words.Say(key, "stack", stackLine(v, v.words.Say("talk.pinion_shim"), "pinion", a.PinionShim, a), "by", v.amount(a.Pinion)))
	}
	if a.Preload != 0 {
		lines = append(lines, v.words.Say("talk.pack_goes_along", "stack", stackLine(v, v.words.Say("talk.preload_pack"), "preload", a.Preload, a)))
	}
	ring := v.words.Say("talk.ring_in", "by", v.amount(a.Ring))
	if a.Ring <= 0 {
		ring = v.words.Say("talk.ring_out", "by", v.amount(a.Ring))
	}
	left, right := v.words.Say("talk.left"), v.words.Say("talk.right")
	switch {
	case a.LeftNotches != 0 || a.RightNotches != 0:
		out, in := right, left
		n := a.LeftNotches
		if a.LeftNotches < 0 {
			out, in, n = left, right, a.RightNotches
		}
		lines = append(lines, v.words.Say("talk.adjusters", "out", out, "n", v.notches(math.Abs(n)), "in", in, "ring", ring))
	case a.Left != 0 || a.Right != 0:
		lines = append(lines, stackLine(v, left, "left", a.Left, a)+", "+stackLine(v, right, "right", a.Right, a)+": "+ring)
	}
	return lines
}

// stackLine says one stack's change: "pinion shim 0.030 → 0.034 in (0.020 + 0.014)".
func stackLine(v voice, name, key string, change unit.Length, a Advice) string {
	after, ok := a.Build[key]
	if !ok {
		return name + " " + thicker(v, change)
	}
	text := fmt.Sprintf("%s %s → %s", name, bare(v.own.Length(after-change)), v.own.Length(after))
	if leaves := a.Leaves[key]; len(leaves) > 1 {
		parts := make([]string, len(leaves))
		for i, l := range leaves {
			parts[i] = bare(v.own.Length(l))
		}
		text += " (" + strings.Join(parts, " + ") + ")"
	}
	return text
}

// thicker says a change of a stack nobody measured.
func thicker(v voice, change unit.Length) string {
	if change < 0 {
		return v.words.Say("talk.thinner", "by", v.amount(change))
	}
	return v.words.Say("talk.thicker", "by", v.amount(change))
}

// bare drops the unit of a written quantity.
func bare(text string) string {
	number, _, _ := strings.Cut(text, " ")
	return number
}

// markWords says in words where a pattern is predicted to lie.
func markWords(v voice, m advise.Mark) string {
	along, across := "", ""
	if m.AlongKnown {
		along = thirdWord(m.Along, "toe", "heel")
	}
	if m.AcrossKnown {
		across = thirdWord(m.Across, "flank", "face")
	}
	if along == "" && across == "" {
		return ""
	}
	return v.patternWords(along, across, "")
}

func thirdWord(v float64, low, high string) string {
	switch {
	case v < -1.0/3:
		return low
	case v > 1.0/3:
		return high
	}
	return "center"
}

// showsCells says whether a question comes with the cells a pattern can be told by.
func (t *turn) showsCells(f Field) bool {
	return f.Slot == TrialDrive && len(t.job.Trials) == 1 && t.brought(TrialBacklash)
}

// buildLine says what is in the housing now.
func (t *turn) buildLine() string { return buildWords(t.voice, t.job.Trial().Build) }

func buildWords(v voice, b Build) string {
	var parts []string
	for _, s := range []struct {
		name string
		Stack
	}{{v.words.Say("talk.pinion"), b.Pinion}, {v.words.Say("talk.left"), b.Left}, {v.words.Say("talk.right"), b.Right}, {v.words.Say("talk.preload"), b.Preload}} {
		switch {
		case s.Known:
			parts = append(parts, s.name+" "+v.own.Length(s.Thickness))
		case s.Change != 0:
			parts = append(parts, s.name+" "+v.words.Say("talk.than_at_first", "change", thicker(v, s.Change)))
		}
	}
	if b.LeftNotches != 0 || b.RightNotches != 0 {
		parts = append(parts, v.words.Say("talk.notches_stand", "left", fmt.Sprintf("%+g", b.LeftNotches), "right", fmt.Sprintf("%+g", b.RightNotches)))
	}
	if len(parts) == 0 {
		return v.words.Say("talk.nothing_in")
	}
	return v.words.Say("talk.in_housing", "stacks", strings.Join(parts, ", "))
}

// brought says whether this message filled a slot.
func (t *turn) brought(slot Slot) bool {
	r := t.job.slot(slot)
	return r != nil && r.Seq > t.job.Version()-uint64(len(t.events))
}

// nextLines says the one next step.
func (t *turn) nextLines() []string {
	step, field := t.next()
	if field == nil && t.job.BreakIn != nil {
		return []string{t.text("breakin.all_done")}
	}
	if field == nil {
		return []string{t.text("steps.all_done")}
	}
	if t.othersJob() {
		return []string{t.text("review.has_it", "by", t.job.TakenBy)}
	}
	if field.Act == actReview {
		return t.waiting()
	}
	var lines []string
	if !t.voice.short && (step.ID != t.step.ID || len(t.events) == 0) {
		first := ""
		if step.First.there() {
			first = t.voice.say(step.First)
		}
		lines = append(lines, t.text("talk.next_step", "n", step.No, "step", t.voice.say(step.Title), "first", first, "ask", t.voice.say(field.Prompt)))
	} else {
		lines = append(lines, t.text("talk.next", "ask", t.voice.say(field.Prompt)))
	}
	if why := step.why(*field, step.ID != t.step.ID); why.there() && t.forLearner() {
		lines = append(lines, t.text("talk.why", "why", t.voice.say(why)))
	}
	if len(t.choices) == 0 {
		t.choices = t.voice.sayAll(field.Options)
	}
	if t.showsCells(*field) {
		// Once a job: how a pattern can be told by the number of its cell.
		t.pictures = append(t.pictures, Picture{Name: "cells", Cells: &picture.ChoicePicture{}})
	}
	return lines
}
