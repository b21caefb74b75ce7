package dialogs

import (
	"shimwright/calc/depth"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

func startStep(s *rules.Sheet, j *Job) Step {
	return Step{
		ID: StepStart, Title: phrased("steps.start"), past: pastOnceRead(StepStart),
		Fields: append(meaningField(s, j),
			reading(BuildPinion, Must, phrased("steps.start_shim"), startPrompt(j), phrased("steps.start_shim_why")),
			reading(Checking, May, phrased("steps.checking"), phrased("steps.checking_ask"), Text{}),
		),
	}
}

// startPrompt asks for the pinion shim that goes in first.
func startPrompt(j *Job) Text {
	if a := j.Advice; a != nil && a.Trial == 0 && !a.Built {
		return phrased("steps.start_shim_done")
	}
	return phrased("steps.start_shim_ask")
}

// meaningField asks what + means, where it matters and nobody said.
func meaningField(s *rules.Sheet, j *Job) []Field {
	if meaningOf(s, j) != depth.Unknown || !marksMatter(s, j) {
		return nil
	}
	return []Field{{
		Choice: []string{listen.FactPlusFarther, listen.FactPlusNearer, listen.FactPlusThicker, listen.FactPlusThinner},
		Options: []Text{
			phrased("steps.plus_farther"), phrased("steps.plus_nearer"), phrased("steps.plus_thicker"), phrased("steps.plus_thinner"),
		},
		Need: Must, Name: phrased("steps.plus"), Prompt: phrased("steps.plus_ask"), Why: phrased("steps.plus_why"),
	}}
}
