package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

func trialStep(s *rules.Sheet, j *Job) Step {
	var fields []Field
	if s.Carrier.By != rules.Adjusters {
		fields = append(fields,
			reading(BuildLeft, Should, phrased("steps.left"), phrased("steps.left_ask", "as_old", asOld(j, OldLeft)), phrased("steps.left_why")),
			reading(BuildRight, Should, phrased("steps.right"), phrased("steps.right_ask", "as_old", asOld(j, OldRight)), Text{}))
	}
	return Step{
		ID: StepTrial, Title: phrased("steps.trial"), First: phrased("steps.trial_first"), past: pastOnceFinished,
		Fields: append(fields, fact(listen.FactCapsTorqued, Must, phrased("steps.caps"), phrased("steps.caps_ask"), phrased("steps.caps_why"))),
	}
}

// asOld offers the old figure as the answer.
func asOld(j *Job, old Slot) Text {
	if r, ok := j.Slots[old]; ok {
		if l, ok := r.Length(); ok {
			return phrased("steps.as_old", "length", systemOf(r.Unit).Length(l))
		}
	}
	return Text{}
}
