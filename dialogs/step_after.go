package dialogs

import (
	"shimwright/rules"
)

// afterStep asks for what is looked at once the break-in is driven.
func afterStep(s *rules.Sheet, j *Job) Step {
	st := Step{ID: StepAfter, Title: phrased("steps.after"), Why: phrased("breakin.after_why")}
	base := afterBase(s, j)
	if base == nil {
		return st
	}
	b := j.BreakIn
	if _, ok := b.Checks[checkOil]; !ok {
		prompt := phrased("breakin.oil_ask", "far", distance(firstOil(s)), "date", date(base.At.Add(oilByDate)))
		if !b.dry() || !b.torqued() {
			prompt = phrased("breakin.after_ask", "open", b.openChecks(), "far", distance(firstOil(s)), "date", date(base.At.Add(oilByDate)))
		}
		st.Fields = []Field{{Act: "after", Need: Must, Name: phrased("breakin.after_name"), Prompt: prompt}}
		if len(b.Checks) == 0 {
			st.Fields[0].Why = phrased("breakin.after_why")
		}
		return st
	}
	if !b.dry() || !b.torqued() {
		st.Fields = []Field{{Act: "after", Need: Must, Name: phrased("breakin.after_name"), Prompt: phrased("breakin.checks_ask", "open", b.openChecks())}}
	}
	return st
}
