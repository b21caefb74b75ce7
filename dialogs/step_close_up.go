package dialogs

import "shimwright/rules"

func closeUpStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepCloseUp, Title: phrased("steps.close_up")}
}
