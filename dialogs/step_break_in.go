package dialogs

import (
	"shimwright/rules"
)

// breakInStep asks for what comes next of the break-in.
func breakInStep(s *rules.Sheet, j *Job) Step {
	st := Step{ID: StepBreakIn, Title: phrased("steps.break_in"), Why: phrased("breakin.why")}
	if j.BreakIn == nil && len(closeUpStep(s, j).Fields) == 0 {
		return st // it is begun by hand as long as the steps before it ask for nothing
	}
	r := roadOf(s, j)
	if r.phase == driven {
		return st
	}
	f := Field{Act: "break-in", Need: Must, Name: phrased("breakin.name"), Prompt: r.prompt(j)}
	switch r.phase {
	case notBegun:
		f.Why = phrased("breakin.why") // said once, not with every drive
		f.Options = []Text{phrased("breakin.start_choice")}
	case ready:
		f.Options = []Text{phrased("breakin.off_choice")}
	case paused:
		f.Options = []Text{phrased("breakin.resume_choice")}
	case driving:
		f.Options = []Text{phrased("breakin.back_choice")}
	}
	st.Fields = []Field{f}
	return st
}

// prompt says what comes next.
func (r road) prompt(j *Job) Text {
	b := j.BreakIn
	switch r.phase {
	case notBegun:
		return phrased("breakin.start_ask", "leg", r.legText())
	case onHold:
		return phrased("breakin.hold_ask", "why", clip(b.Hold.Why, 60), "by", b.Hold.By)
	case paused:
		return phrased("breakin.paused_ask", "leg", r.legText())
	case driving:
		return phrased("breakin.driving_ask", "n", r.leg, "of", len(r.plan), "drive", r.driveText())
	case cooling:
		if r.leg > len(r.plan) {
			return phrased("breakin.cooling_last", "ask", r.askText(j), "until", r.until)
		}
		return phrased("breakin.cooling_ask", "ask", r.askText(j), "until", r.until, "leg", phrased("breakin.leg", "n", r.leg, "of", len(r.plan), "drive", r.driveText(), "note", ""))
	}
	return phrased("breakin.ready_ask", "leg", r.legText())
}

// askText asks for what the last drive has not told yet.
func (r road) askText(j *Job) Text {
	switch j.roadAsks() {
	case asksDrive:
		return phrased("breakin.ask_all")
	case asksFar:
		return phrased("breakin.ask_far")
	case asksHeat:
		return phrased("breakin.ask_heat")
	case asksSound:
		return phrased("breakin.ask_sound")
	}
	return plain("")
}

// legText says a leg: leg 2 of 4, 10 mi, light throttle.
func (r road) legText() Text {
	return phrased("breakin.leg", "n", r.leg, "of", len(r.plan), "drive", r.driveText(), "note", axleText(r.at(r.leg).Note))
}

// driveText says how far, or how long, is to be driven of the leg.
func (r road) driveText() Text {
	plan := r.at(r.leg)
	if plan.Distance == 0 {
		return phrased("reminder.minutes", "n", plan.Minutes)
	}
	if r.part > 0 {
		return phrased("breakin.left", "far", distance(plan.Distance-r.part))
	}
	return phrased("breakin.far", "far", distance(plan.Distance))
}
