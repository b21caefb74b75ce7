package dialogs

import (
	"fmt"

	"shimwright/dialogs/advise"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// StepID names a step of the job.
type StepID string

// The steps of a setup, in the order they are done.
const (
	StepOpen     StepID = "open"
	StepFound    StepID = "as-found"
	StepTeardown StepID = "teardown"
	StepParts    StepID = "parts"
	StepStart    StepID = "start-shim"
	StepRing     StepID = "ring"
	StepTrial    StepID = "trial"
	StepLoop     StepID = "loop"
	StepFinished StepID = "finished" // behind the last
)

// Step is one step as data: the chat, the console, choices and tests all render
// the same one.
type Step struct {
	ID     StepID
	No     int
	Title  string
	First  string // what must be true before it, empty where nothing
	Fields []Field
}

// Need says how much a field is wanted.
type Need int

// The needs. A field that May be given is never asked for.
const (
	Must Need = iota
	Should
	May
)

// Field is one thing a step wants to know: a reading in a slot, or a fact.
type Field struct {
	Slot    Slot        // a reading, or
	Facts   []string    // facts one yes answers together, or
	Choice  []string    // one of several facts (the constants of package listen)
	Options []string    // what a person can press or type for them
	Act     string      // something to do and say done
	Name    string      // a word or two, for lists
	Prompt  string      // the question
	Why     string      // one line for the apprentice
	Need    Need        //
	What    listen.What // quantity a bare number answers
}

// key names the field in a skip entry.
func (f Field) key() string {
	switch {
	case f.Slot != "":
		return string(f.Slot)
	case len(f.Facts) > 0:
		return f.Facts[0]
	case len(f.Choice) > 0:
		return f.Choice[0]
	}
	return f.Act
}

func reading(slot Slot, need Need, name, prompt, why string) Field {
	return Field{Slot: slot, What: whatOf(slot), Need: need, Name: name, Prompt: prompt, Why: why}
}

func fact(id string, need Need, name, prompt, why string) Field {
	return Field{Facts: []string{id}, Options: []string{"yes", "no"}, Need: need, Name: name, Prompt: prompt, Why: why}
}

// Steps lists the steps for an axle of the sheet. The prompts name figures on
// record, so they depend on the job too.
func Steps(s *rules.Sheet, j *Job) []Step {
	adjusters := s.Carrier.By == rules.Adjusters
	steps := []Step{
		{ID: StepOpen, Title: "open", Fields: []Field{{
			Choice: []string{listen.FactGearSetNew, listen.FactGearSetUsed}, Options: []string{"new", "used"}, Need: Must, Name: "gear set",
			Prompt: "gear set new or used?", Why: "a used set goes back to its old lash and old pattern, not to the new spec",
		}}},
		{ID: StepFound, Title: "as found", First: "nothing loosened yet", Fields: []Field{
			reading(FoundBacklash, Should, "backlash", "backlash as found, at four places round the ring?", "it shows what the set was run at"),
			reading(FoundDrive, Should, "drive pattern", "drive pattern as found: toe, center or heel; face, center or flank?", "an old pattern shows where the set was carrying"),
			reading(FoundCoast, Should, "coast pattern", "coast pattern as found?", "both sides together tell depth from position"),
			reading(FoundDrag, May, "pinion drag", "pinion drag as found?", ""),
			reading(FoundEndPlay, May, "carrier end play", "carrier bearing end play as found?", ""),
			reading(FoundRunout, May, "ring runout", "ring gear runout as found?", ""),
			fact(listen.FactCapsMarked, Must, "caps marked", "caps marked left and right, and which way up?", "each cap is bored with its own seat; swapped caps ruin the bearing bore"),
		}},
		{ID: StepTeardown, Title: "teardown", First: "caps marked; side shims kept apart, left and right", Fields: teardown(s, adjusters)},
		{ID: StepParts, Title: "parts check", Fields: parts(s)},
		{ID: StepStart, Title: "starting pinion shim", Fields: append(meaningField(s, j),
			Field{Slot: BuildPinion, What: listen.ShimPinion, Need: Must, Name: "pinion shim", Prompt: startPrompt(j), Why: "a start from the old shim and the two markings saves a trial or two"},
			reading(Checking, May, "checking distance", "checking distance from the depth gauge?", ""),
		)},
		{ID: StepRing, Title: "ring gear to carrier", First: "faces clean and stoned; " + ringBolts(s), Fields: []Field{
			reading(RingHeat, May, "ring temperature", "how hot was the ring?", ""),
			fact(listen.FactRingBoltsTorqued, Must, "ring bolts torqued", "ring bolts torqued in sequence, with locker where the sheet says so?", "a loose or tilted ring shows as runout and lash spread"),
			reading(RingRunout, Should, "ring runout", "ring gear runout on the back face?", "spread in the lash comes from here, and no shim cures it"),
		}},
		{ID: StepTrial, Title: "trial assembly", First: "setup bearings, no seal, no crush sleeve", Fields: trial(j, adjusters)},
		{ID: StepLoop, Title: "lash and pattern", First: "caps torqued, bearings spun in, dial zeroed", Fields: loop(j)},
	}
	for i := range steps {
		steps[i].No = i + 1
	}
	return steps
}

func teardown(s *rules.Sheet, adjusters bool) []Field {
	fields := []Field{reading(OldPinion, Should, "old pinion shim", "old pinion shim, every leaf measured?", "the old shim is the best start for the new one")}
	if !adjusters {
		fields = append(fields,
			reading(OldLeft, Should, "old left shims", "old left side stack?", "the side stacks give the carrier position back"),
			reading(OldRight, Should, "old right shims", "old right side stack?", ""))
	}
	fields = append(fields,
		reading(OldMark, Should, "old pinion marking", "marking on the old pinion head (0 if none)?", "the markings say how far each pinion is off nominal"),
		reading(NewMark, Should, "new pinion marking", "marking on the new pinion head (0 if none)?", ""),
		reading(OldHeight, May, "old head bearing height", "stand height of the old head bearing?", ""),
		reading(NewHeight, May, "new head bearing height", "stand height of the new head bearing?", ""))
	if s.Preload.By == rules.PreloadShims {
		fields = append(fields, reading(OldPreload, Should, "old preload pack", "old pinion preload pack?", "thinner is more preload; it moves with the depth shim on this axle"))
	}
	return fields
}

func parts(s *rules.Sheet) []Field {
	fields := []Field{
		reading(Teeth, Should, "tooth counts", fmt.Sprintf("tooth counts, pinion and ring (sheet: %d/%d)?", s.Pinion.Teeth, s.Ring.Teeth), "the count tells the ratio and whether it was ordered right"),
		fact(listen.FactNumbersAgree, Should, "match numbers", "same match number on ring and pinion?", "a ring and a pinion are lapped as a pair; a mixed pair never runs quiet"),
	}
	bench := fact(listen.FactNewNut, Should, "new nut and ring bolts", "new pinion nut and new ring gear bolts on the bench?", "the nut locks once, and stretched bolts are not used again")
	bench.Facts = append(bench.Facts, listen.FactNewRingBolts)
	if s.Preload.By == rules.CrushSleeve {
		bench.Facts = append(bench.Facts, listen.FactNewSleeve)
		bench.Name, bench.Prompt = "new nut, ring bolts and crush sleeve", "new pinion nut, ring gear bolts and crush sleeve on the bench?"
		bench.Why = "the nut and the sleeve hold once, and stretched bolts are not used again"
	}
	return append(fields, bench)
}

func trial(j *Job, adjusters bool) []Field {
	var fields []Field
	if !adjusters {
		fields = append(fields,
			reading(BuildLeft, Should, "left stack", "left side stack in the housing"+orOld(j, OldLeft)+"?", "moves are counted from here"),
			reading(BuildRight, Should, "right stack", "right side stack in the housing"+orOld(j, OldRight)+"?", ""))
	}
	return append(fields, fact(listen.FactCapsTorqued, Must, "caps torqued", "caps on their own sides and torqued?", "a reading with loose caps is no reading"))
}

// orOld offers the old figure as the answer.
func orOld(j *Job, old Slot) string {
	r, ok := j.Slots[old]
	if !ok {
		return ""
	}
	if l, ok := r.Length(); ok {
		return " (" + systemOf(r.Unit).Length(l) + " as old: say same)"
	}
	return ""
}

func loop(j *Job) []Field {
	fields := []Field{
		reading(TrialBacklash, Must, "backlash", "backlash at four places round the ring?", "the tightest place counts, and the spread shows runout"),
		reading(TrialDrive, Must, "drive pattern", "drive pattern: toe, center or heel; face, center or flank?", "drive is the side that pulls"),
		reading(TrialCoast, Must, "coast pattern", "coast pattern?", "depth moves both patterns up or down; position moves lash"),
	}
	if a := j.Advice; j.adviceStands() && !a.Built {
		return append(fields, Field{Act: "built", Need: Must, Name: "the change", Prompt: builtPrompt(a.Verdict)})
	}
	// Until an advice stands there is one to give, also where a reading was skipped.
	return append(fields, Field{Act: "advice", Need: Must, Name: "the next move", Prompt: "ask: what do i change?"})
}

// builtPrompt says what a recommendation waits for.
func builtPrompt(v Verdict) string {
	if v == advise.Cannot {
		return "find the cause, then read it again; the old readings stay in the log"
	}
	return "build it, torque the caps, then say done (or type what you changed)"
}

// given says whether the job has what the field wants.
func (f Field) given(j *Job, step StepID) bool {
	since := j.Reopened[step]
	switch {
	case f.Act != "":
		return false
	case step == StepLoop:
		t := j.Trial()
		var r *Reading
		switch f.Slot {
		case TrialBacklash:
			r = t.Backlash
		case TrialDrive:
			r = t.Drive
		case TrialCoast:
			r = t.Coast
		}
		return r != nil && r.Seq > since
	case f.Slot != "":
		r, ok := j.Slots[f.Slot]
		return ok && r.Seq > since
	case len(f.Facts) > 0:
		for _, id := range f.Facts {
			if have, ok := j.Facts[id]; !ok || !have.True || have.Seq <= since {
				return false
			}
		}
		return true
	}
	for _, id := range f.Choice {
		if have, ok := j.Facts[id]; ok && have.True && have.Seq > since {
			return true
		}
	}
	return false
}

// skipped says whether somebody left the field, or its whole step, out.
func (f Field) skipped(j *Job, step StepID) bool {
	if _, all := j.Skipped[skipKey(step, "")]; all {
		return true
	}
	_, one := j.Skipped[skipKey(step, f.key())]
	return one
}

// past says whether the job has gone beyond a step without it: once the gears are
// in and read there is no as-found reading and no starting shim any more, and once
// the trial is finished only the parts on the bench still matter.
func (st Step) past(j *Job) bool {
	switch st.ID {
	case StepOpen, StepParts:
		return false
	case StepFound, StepTeardown, StepStart:
		last, _ := j.lastRead()
		return last.read() && j.Reopened[st.ID] == 0
	}
	return j.Finished
}

// Missing gives the fields of the step that are still asked for, in order.
func (st Step) Missing(j *Job) []Field {
	if st.past(j) {
		return nil
	}
	var out []Field
	for _, f := range st.Fields {
		if f.Need != May && !f.given(j, st.ID) && !f.skipped(j, st.ID) {
			out = append(out, f)
		}
	}
	return out
}

// Next gives the step the job is at and the field it asks for first. It is pure:
// the same log and sheet always lead to the same step. A change that was advised
// and is not built yet comes before whatever else is open. Behind the last step
// it gives StepFinished and no field.
func Next(s *rules.Sheet, j *Job) (Step, *Field) {
	steps := Steps(s, j)
	if a := j.Advice; a != nil && a.Trial > 0 && !a.Built && a.changes() && j.adviceStands() {
		steps = steps[len(steps)-1:]
	}
	for _, st := range steps {
		if missing := st.Missing(j); len(missing) > 0 {
			return st, &missing[0]
		}
	}
	return Step{ID: StepFinished, Title: "finished"}, nil
}
