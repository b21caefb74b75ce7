package dialogs

import "shimwright/rules"

func finalCarrierStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepFinalCarrier, Title: phrased("steps.final_carrier")}
}
