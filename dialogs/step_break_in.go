package dialogs

import "shimwright/rules"

func breakInStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepBreakIn, Title: phrased("steps.break_in")}
}
