package dialogs

import "shimwright/rules"

func summaryStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepSummary, Title: phrased("steps.summary")}
}
