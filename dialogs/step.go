package dialogs

import (
	"iter"
	"slices"
	"strings"

	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// StepID names a step of the job.
type StepID string

// The steps of a setup, in the order they are done.
const (
	StepOpen         StepID = "open"
	StepFound        StepID = "as-found"
	StepTeardown     StepID = "teardown"
	StepParts        StepID = "parts"
	StepStart        StepID = "start-shim"
	StepRing         StepID = "ring"
	StepTrial        StepID = "trial"
	StepLoop         StepID = "loop"
	StepFinalPinion  StepID = "final-pinion"
	StepFinalCarrier StepID = "final-carrier"
	StepCloseUp      StepID = "close-up"
	StepSummary      StepID = "summary"
	StepBreakIn      StepID = "break-in"
	StepAfter        StepID = "after"
	StepFinished     StepID = "finished" // behind the last
)

// Step is one step as data: the chat, the console, choices and tests all render
// the same one.
type Step struct {
	ID     StepID
	No     int
	Title  Text
	First  Text // what must be true before it, nothing where there is none
	Why    Text // one line for the apprentice, where the question it begins with has none
	Fields []Field

	// past says whether the job has gone beyond the step without it; nil for one
	// that stays open until it is done.
	past func(*Job) bool
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
	Slot      Slot        // a reading, or
	Facts     []string    // facts one yes answers together, or
	Choice    []string    // one of several facts (the constants of package listen)
	Options   []Text      // what a person can press or type for them
	Act       string      // something to do and say done, or
	Fastener  string      // a fastener of the torque list, signed off; or by one of
	Fasteners []string    // these facts
	Name      Text        // a word or two, for lists
	Prompt    Text        // the question
	Why       Text        // one line for the apprentice
	Need      Need        //
	What      listen.What // quantity a bare number answers

	// After is the entry the answer must be younger than, zero for any.
	After uint64
	// Until says whether what was given will do, beyond being there; nil where
	// anything does.
	Until func(*Job) bool
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
	case f.Fastener != "":
		return "torque." + f.Fastener
	}
	return f.Act
}

func reading(slot Slot, need Need, name, prompt, why Text) Field {
	return Field{Slot: slot, What: whatOf(slot), Need: need, Name: name, Prompt: prompt, Why: why}
}

func fact(id string, need Need, name, prompt, why Text) Field {
	return Field{Facts: []string{id}, Options: yesOrNo(), Need: need, Name: name, Prompt: prompt, Why: why}
}

// yesOrNo are the answers to a fact; the first is yes.
func yesOrNo() []Text { return []Text{phrased("steps.yes"), phrased("steps.no")} }

// Steps lists the steps for an axle of the sheet. The prompts name figures on
// record, so they depend on the job too.
func Steps(s *rules.Sheet, j *Job) []Step {
	return slices.Collect(eachStep(s, j))
}

// eachStep gives the steps one after the other. A step is made when it is asked for:
// mostly the first few are enough.
func eachStep(s *rules.Sheet, j *Job) iter.Seq[Step] {
	return func(yield func(Step) bool) {
		for i, step := range order() {
			st := step(s, j)
			st.No = i + 1
			if !yield(st) {
				return
			}
		}
	}
}

// why gives the apprentice's line for a question: its own, and for the first one of a
// step that has none the step's, or else that of the step's next question that has one.
func (st Step) why(f Field, begins bool) Text {
	if f.Why.there() || !begins {
		return f.Why
	}
	if st.Why.there() {
		return st.Why
	}
	for _, other := range st.Fields {
		if other.Why.there() {
			return other.Why
		}
	}
	return Text{}
}

// given says whether the job has what the field wants.
func (f Field) given(j *Job, step StepID) bool {
	return f.entered(j, step, max(j.Reopened[step], f.After)) && (f.Until == nil || f.Until(j))
}

// entered says whether the field was answered after an entry.
func (f Field) entered(j *Job, step StepID, since uint64) bool {
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
	case f.Fastener != "":
		if have, ok := j.Torqued[f.Fastener]; ok && have.Seq > since {
			return true
		}
		for _, id := range f.Fasteners {
			if have, ok := j.Facts[id]; ok && have.True && have.Seq > since {
				return true
			}
		}
		return false
	case f.Slot == FinalBacklash || f.Slot == FinalDrive || f.Slot == FinalCoast:
		r := j.finalReading(f.Slot)
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

// Missing gives the fields of the step that are still asked for, in order.
func (st Step) Missing(j *Job) []Field {
	if st.past != nil && st.past(j) {
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

// pastOnceRead is past for steps before the gears are in: once they are in and
// read there is no as-found reading and no starting shim any more.
func pastOnceRead(step StepID) func(*Job) bool {
	return func(j *Job) bool {
		last, _ := j.lastRead()
		return last.read() && j.Reopened[step] == 0
	}
}

// pastOnceFinished is past for steps that only lead to a good trial, or to one that
// was taken as it was.
func pastOnceFinished(j *Job) bool { return j.Finished || j.Trial().Final }

// Next gives the step the job is at and the field it asks for first. It is pure:
// the same log and sheet always lead to the same step. A change that was advised
// and is not built yet comes before whatever else is open. Behind the last step
// it gives StepFinished and no field.
func Next(s *rules.Sheet, j *Job) (Step, *Field) {
	if at := j.waitsAt(); at != "" {
		for st := range eachStep(s, j) {
			if st.ID != at {
				continue
			}
			if f := st.waitsFor(s, j); f != nil {
				return st, f
			}
		}
	}
	for st := range eachStep(s, j) {
		if f := st.waitsFor(s, j); f != nil {
			return st, f
		}
	}
	return Step{ID: StepFinished, Title: phrased("steps.finished")}, nil
}

// waitsFor gives the field the step waits for, nil where it is passed. A look that
// is due comes before a change is built.
func (st Step) waitsFor(s *rules.Sheet, j *Job) *Field {
	missing := st.Missing(j)
	if len(missing) == 0 || missing[0].Act == "built" {
		for _, gate := range gates() {
			if f := gate(s, j, st); f != nil {
				return f
			}
		}
	}
	if len(missing) > 0 {
		return &missing[0]
	}
	return nil
}

// waitsAt gives the step whose advised change is not built yet, empty where none
// waits.
func (j *Job) waitsAt() StepID {
	if a := j.Advice; a != nil && a.Trial > 0 && !a.Built && a.changes() && j.adviceStands() {
		if j.Trial().Final {
			return StepFinalCarrier
		}
		return StepLoop
	}
	return ""
}

// leftOpen says what of the final pinion assembly was never told where readings from
// behind it have taken the job past it: it is not asked for any more.
func (t *turn) leftOpen() {
	switch t.step.ID {
	case StepRing, StepTrial, StepLoop, StepFinalPinion:
	default:
		return
	}
	if t.quiet {
		return
	}
	now, _ := t.next()
	for st := range eachStep(t.sheet, t.job) {
		if st.ID != StepFinalPinion || now.No <= st.No || !st.past(t.job) {
			continue
		}
		st.past = nil
		var names []string
		for _, f := range st.Missing(t.job) {
			if f.Need == Must {
				names = append(names, t.voice.say(f.Name))
			}
		}
		if len(names) > 0 {
			t.tell(t.text("talk.left_open", "n", st.No, "what", strings.Join(names, ", ")))
		}
	}
}
