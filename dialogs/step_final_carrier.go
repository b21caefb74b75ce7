package dialogs

import (
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// finalCarrierStep puts the carrier in for good: side preload, caps, total drag,
// and lash and pattern once more on the final bearings.
func finalCarrierStep(s *rules.Sheet, j *Job) Step {
	st := Step{ID: StepFinalCarrier, Title: phrased("steps.final_carrier"), First: phrased("steps.final_carrier_first")}
	if s.Carrier.By == rules.Adjusters {
		st.Fields = append(st.Fields, preloadField(s))
	} else {
		st.Fields = append(st.Fields,
			stackField(s, j, FinalLeft, phrased("steps.final_left"), phrased("steps.final_side_why")),
			stackField(s, j, FinalRight, phrased("steps.final_right"), Text{}),
			reading(FinalSpread, May, phrased("steps.case_spread"), phrased("steps.case_spread_ask"), Text{}))
	}
	caps := fact(listen.FactCapsTorqued, Must, phrased("steps.caps"), phrased("steps.final_caps_ask"), phrased("steps.caps_why"))
	caps.After = j.pinionIn()
	st.Fields = append(st.Fields, caps,
		reading(FinalTotal, Should, phrased("steps.total_drag"), phrased("steps.total_drag_ask"), phrased("steps.total_drag_why")),
		reading(FinalBacklash, Must, phrased("steps.backlash"), phrased("steps.final_backlash_ask"), phrased("steps.final_backlash_why")),
		reading(FinalDrive, Must, phrased("steps.drive"), phrased("steps.drive_ask"), phrased("steps.final_pattern_why")),
		reading(FinalCoast, Must, phrased("steps.coast"), phrased("steps.coast_ask"), Text{}))
	if !j.finalGood() {
		st.Fields = append(st.Fields, moveField(j))
	}
	if s.Carrier.By == rules.Adjusters {
		st.Fields = append(st.Fields, fact(listen.FactAdjusterLock, Must, phrased("steps.locks"), phrased("steps.locks_ask"), phrased("steps.locks_why")))
	}
	return st
}

// preloadField asks for the side preload that was put on with the adjusters.
func preloadField(s *rules.Sheet) Field {
	prompt := phrased("steps.side_preload_ask")
	if n, ok := preloadNotches(s); ok {
		prompt = phrased("steps.side_preload_planned", "length", n.Given, "left", n.Left, "right", n.Right)
	}
	return reading(FinalPreload, Should, phrased("steps.side_preload"), prompt, phrased("steps.side_preload_why"))
}

// pinionIn is the entry with which the final pinion assembly was done: what comes
// after it is on the final carrier.
func (j *Job) pinionIn() uint64 {
	var last uint64
	for _, slot := range []Slot{FinalHeight, FinalPinion, FinalPack} {
		if r := j.slot(slot); r != nil && (slot != FinalHeight || j.Trial().Final) {
			last = max(last, r.Seq)
		}
	}
	for _, id := range []string{listen.FactFinalBearingsIn} {
		if f := j.Facts[id]; f.True && j.Trial().Final {
			last = max(last, f.Seq)
		}
	}
	return last
}
