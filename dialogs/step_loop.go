package dialogs

import (
	"shimwright/dialogs/advise"
	"shimwright/rules"
)

func loopStep(_ *rules.Sheet, j *Job) Step {
	st := Step{
		ID: StepLoop, Title: phrased("steps.loop"), First: phrased("steps.loop_first"), past: pastOnceFinished,
		Fields: []Field{
			reading(TrialBacklash, Must, phrased("steps.backlash"), phrased("steps.backlash_ask"), phrased("steps.backlash_why")),
			reading(TrialDrive, Must, phrased("steps.drive"), phrased("steps.drive_ask"), phrased("steps.drive_why")),
			reading(TrialCoast, Must, phrased("steps.coast"), phrased("steps.coast_ask"), phrased("steps.coast_why")),
		},
	}
	if a := j.Advice; !(a != nil && j.adviceStands() && a.Verdict == Good) {
		st.Fields = append(st.Fields, moveField(j))
	}
	return st
}

// moveField waits for the advised change to be built; until an advice stands there
// is one to give, also where a reading was skipped.
func moveField(j *Job) Field {
	if a := j.Advice; j.adviceStands() && !a.Built {
		return Field{Act: "built", Need: Must, Name: phrased("steps.change"), Prompt: builtPrompt(a.Verdict)}
	}
	ask := phrased("steps.next_move_ask")
	if t := j.Trial(); t.Backlash != nil && t.Drive != nil && t.Coast != nil {
		ask = phrased("steps.take_again") // all of it is there, and it was not enough
	}
	return Field{Act: "advice", Need: Must, Name: phrased("steps.next_move"), Prompt: ask}
}

// builtPrompt says what a recommendation waits for.
func builtPrompt(v Verdict) Text {
	if v == advise.Cannot {
		return phrased("steps.find_cause")
	}
	return phrased("steps.build_it")
}
