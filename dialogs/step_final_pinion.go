package dialogs

import "shimwright/rules"

func finalPinionStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepFinalPinion, Title: phrased("steps.final_pinion")}
}
