package dialogs

import "shimwright/rules"

func afterStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepAfter, Title: phrased("steps.after")}
}
