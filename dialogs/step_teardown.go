package dialogs

import "shimwright/rules"

func teardownStep(s *rules.Sheet, _ *Job) Step {
	fields := make([]Field, 0, 8) // made several times a message: grown only once
	fields = append(fields, reading(OldPinion, Should, phrased("steps.old_pinion"), phrased("steps.old_pinion_ask"), phrased("steps.old_pinion_why")))
	if s.Carrier.By != rules.Adjusters {
		fields = append(fields,
			reading(OldLeft, Should, phrased("steps.old_left"), phrased("steps.old_left_ask"), phrased("steps.old_left_why")),
			reading(OldRight, Should, phrased("steps.old_right"), phrased("steps.old_right_ask"), Text{}))
	}
	fields = append(fields,
		reading(OldMark, Should, phrased("steps.old_mark"), phrased("steps.old_mark_ask"), phrased("steps.old_mark_why")),
		reading(NewMark, Should, phrased("steps.new_mark"), phrased("steps.new_mark_ask"), Text{}),
		reading(OldHeight, May, phrased("steps.old_height"), phrased("steps.old_height_ask"), Text{}),
		reading(NewHeight, May, phrased("steps.new_height"), phrased("steps.new_height_ask"), Text{}))
	if s.Preload.By == rules.PreloadShims {
		fields = append(fields, reading(OldPreload, Should, phrased("steps.old_pack"), phrased("steps.old_pack_ask"), phrased("steps.old_pack_why")))
	}
	return Step{ID: StepTeardown, Title: phrased("steps.teardown"), First: phrased("steps.teardown_first"), Fields: fields, past: pastOnceRead(StepTeardown)}
}
