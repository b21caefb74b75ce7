package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

func openStep(*rules.Sheet, *Job) Step {
	return Step{ID: StepOpen, Title: phrased("steps.open"), Fields: []Field{{
		Choice:  []string{listen.FactGearSetNew, listen.FactGearSetUsed},
		Options: []Text{phrased("steps.set_new"), phrased("steps.set_used")}, Need: Must,
		Name: phrased("steps.set"), Prompt: phrased("steps.set_ask"), Why: phrased("steps.set_why"),
	}}}
}
