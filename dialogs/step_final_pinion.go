package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// finalPinionStep presses the final bearing, corrects the shim for it and brings
// the drag up, by the sleeve or by the pack.
func finalPinionStep(s *rules.Sheet, j *Job) Step {
	st := Step{ID: StepFinalPinion, Title: phrased("steps.final_pinion"), First: phrased("steps.final_pinion_first"), past: pastFinalPinion}
	setup := reading(SetupHeight, Should, phrased("steps.setup_height"), phrased("steps.setup_height_ask"), phrased("steps.setup_height_why"))
	final := reading(FinalHeight, Should, phrased("steps.final_height"), phrased("steps.final_height_ask"), phrased("steps.final_height_why"))
	if setup.skipped(j, st.ID) {
		final.Need = May // there is nothing to hold it against
	}
	st.Fields = []Field{
		setup,
		final,
		stackField(s, j, FinalPinion, phrased("steps.final_shim"), phrased("steps.final_shim_why")),
		fact(listen.FactFinalBearingsIn, Must, phrased("steps.final_bearings"), phrased("steps.final_bearings_ask"), phrased("steps.final_bearings_why")),
		{
			Choice: []string{listen.FactNewBearings, listen.FactUsedBearings}, Options: []Text{phrased("steps.set_new"), phrased("steps.set_used")},
			Need: Must, Name: phrased("steps.bearings"), Prompt: phrased("steps.bearings_ask"), Why: phrased("steps.bearings_why"),
		},
	}
	if s.Preload.By == rules.CrushSleeve {
		sleeve := fact(listen.FactNewSleeve, Must, phrased("steps.sleeve"), phrased("steps.sleeve_ask"), phrased("steps.sleeve_why"))
		sleeve.Facts = append(sleeve.Facts, listen.FactNewNut)
		st.Fields = append(st.Fields, sleeve)
	} else {
		st.Fields = append(st.Fields, stackField(s, j, FinalPack, phrased("steps.pack"), phrased("steps.pack_why")))
	}
	seal := Field{
		Choice: []string{listen.FactSealFitted, listen.FactNoSeal}, Options: []Text{phrased("steps.seal_in"), phrased("steps.seal_out")},
		Need: Must, Name: phrased("steps.seal"), Prompt: phrased("steps.seal_ask"), Why: phrased("steps.seal_why"),
	}
	drag := reading(FinalDrag, Must, phrased("steps.pinion_drag"), dragPrompt(s, j), phrased("steps.final_drag_why"))
	drag.Until = func(j *Job) bool { return dragIn(s, j) }
	st.Fields = append(st.Fields, seal, drag,
		reading(FinalNut, May, phrased("steps.nut"), phrased("steps.nut_ask"), Text{}),
		reading(BearingHeat, May, phrased("steps.bearing_heat"), phrased("steps.bearing_heat_ask"), Text{}),
	)
	return st
}

// pastFinalPinion: once the carrier is in and read, the pinion's drag cannot be
// read alone any more.
func pastFinalPinion(j *Job) bool {
	t := j.Trial()
	return t.Final && t.read() && j.Reopened[StepFinalPinion] < t.Began
}

// stackField asks for a stack of the final assembly as it measures before it goes
// in, and says what it should be.
func stackField(s *rules.Sheet, j *Job, slot Slot, name, why Text) Field {
	prompt := phrased("steps.final_stack_ask", "name", name)
	if _, ok := plannedFor(s, j, slot); ok {
		prompt = phrased("steps.final_stack_planned", "name", name, "length", kitLength{s, j, slot}, "leaves", kitLeaves{s, j, slot})
	}
	f := reading(slot, Should, name, prompt, why)
	f.Until = func(j *Job) bool {
		a, b, mixed := swapped(s, j)
		return !mixed || a != slot && b != slot
	}
	return f
}

// kitLeaves are the leaves of a planned stack, sought when they are said and said
// only where there is more than one.
type kitLeaves struct {
	sheet *rules.Sheet
	job   *Job
	slot  Slot
}

// kitLength is what the kit makes of a planned stack.
type kitLength kitLeaves

func dragPrompt(s *rules.Sheet, j *Job) Text {
	if l := j.lastDrag(); l != nil {
		if s.Preload.By == rules.CrushSleeve {
			return phrased("steps.drag_again_sleeve")
		}
		return phrased("steps.drag_again_pack")
	}
	if s.Preload.By == rules.CrushSleeve {
		return phrased("steps.drag_ask_sleeve")
	}
	return phrased("steps.drag_ask_pack")
}
