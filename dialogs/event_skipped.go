package dialogs

const (
	kindSkipped  = "skipped"
	kindReopened = "reopened"
)

// skipped leaves out a step, or one field of it, with the reason.
type skipped struct {
	Step   StepID `json:"step"`
	Field  string `json:"field,omitempty"` // empty for the whole step
	Reason string `json:"reason"`
}

func (skipped) kind() string { return kindSkipped }

func (s skipped) apply(j *Job, e Entry) {
	j.Skipped[skipKey(s.Step, s.Field)] = Skip{Reason: s.Reason, entryMeta: metaOf(e)}
	if s.Step == StepFinalPinion || s.Step == StepFinalCarrier {
		j.toFinal(e.Seq)
	}
}

func skipKey(step StepID, field string) string { return string(step) + "/" + field }

// Skip is a step or a field left out.
type Skip struct {
	Reason string
	entryMeta
}

// reopened takes a step up again: its skips no longer hold and it is asked for
// anew from the entry on. Without a step it takes up a closed job as it stands.
type reopened struct {
	Step StepID `json:"step"`
}

func (reopened) kind() string { return kindReopened }

func (r reopened) apply(j *Job, e Entry) {
	if j.Closed {
		j.TakenUp = e.At
	}
	j.Closed = false
	if r.Step == "" {
		return // the job as a whole
	}
	for key := range j.Skipped {
		if len(key) > len(r.Step) && key[:len(r.Step)+1] == string(r.Step)+"/" {
			delete(j.Skipped, key)
		}
	}
	j.Reopened[r.Step] = e.Seq
	switch r.Step {
	case StepFinalPinion:
		j.Drags, j.turned = nil, 0
		return
	case StepBreakIn:
		j.BreakIn = nil
		return
	case StepFinalCarrier, StepCloseUp, StepSummary, StepAfter:
		return
	case StepStart, StepRing, StepTrial, StepLoop:
		j.toTrial(e.Seq)
	}
	j.Finished = false
}
