package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

func foundStep(*rules.Sheet, *Job) Step {
	return Step{
		ID: StepFound, Title: phrased("steps.found"), First: phrased("steps.found_first"), past: pastOnceRead(StepFound),
		Fields: []Field{
			reading(FoundBacklash, Should, phrased("steps.backlash"), phrased("steps.found_backlash_ask"), phrased("steps.found_backlash_why")),
			reading(FoundDrive, Should, phrased("steps.drive"), phrased("steps.found_drive_ask"), phrased("steps.found_drive_why")),
			reading(FoundCoast, Should, phrased("steps.coast"), phrased("steps.found_coast_ask"), phrased("steps.found_coast_why")),
			reading(FoundDrag, May, phrased("steps.pinion_drag"), phrased("steps.found_drag_ask"), Text{}),
			reading(FoundEndPlay, May, phrased("steps.end_play"), phrased("steps.found_end_play_ask"), Text{}),
			reading(FoundRunout, May, phrased("steps.runout"), phrased("steps.found_runout_ask"), Text{}),
			fact(listen.FactCapsMarked, Must, phrased("steps.caps_marked"), phrased("steps.caps_marked_ask"), phrased("steps.caps_marked_why")),
		},
	}
}
