package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// fillFinal gives the rules the final assembly: drag, sleeve, bearings, stacks and
// what was put back.
func fillFinal(f *rules.Facts, s *rules.Sheet, j *Job, step StepID) {
	final := j.Trial().Final
	if final {
		f.Lash.Final = rules.YesNo(j.Trial().Backlash != nil)
		f.Pattern.Final = rules.YesNo(j.Trial().Drive != nil && j.Trial().Coast != nil)
		f.Carrier.Final = rules.YesNo(carrierIn(j))
		if len(j.Drags) > 0 {
			f.Drag.Final = rules.YesNo(true)
		}
	}
	fillDrag(f, j, step)
	if r := j.slot(FinalTotal); r != nil {
		if v, ok := r.Torque(); ok {
			f.Drag.Total = rules.Know(v)
		}
	}
	fillSleeve(f, j)
	if p, ok := finalPinion(s, j); ok && final {
		if is, ok := slotLength(j, FinalPinion); ok && f.Bearing.SetupHeight.Set && f.Bearing.FinalHeight.Set {
			f.Bearing.Compensated = rules.YesNo((is - p.Thickness).Abs() < unit.Thou(1))
		}
	}
	if r := j.slot(FinalEndPlay); r != nil {
		f.Carrier.EndPlay = lengthOf(r)
	} else if final && j.holds(listen.FactSmoothNoEndPlay) {
		f.Carrier.EndPlay = rules.Know(unit.Length(0))
	}
	if r := j.slot(FinalSpread); r != nil {
		f.Carrier.CaseSpread = lengthOf(r)
	}
	f.Carrier.Preload = sidePreload(j)
	if _, own := j.Facts[listen.FactCapsOwnSides]; own {
		f.Carrier.CapsOwn = j.word(listen.FactCapsOwnSides)
	}
	if _, told := j.Facts[listen.FactShimsLabelled]; told {
		f.Shim.Labelled = j.word(listen.FactShimsLabelled)
	}
	f.Shim.Measured = j.word(listen.FactLeavesMeasured)
	if n := mostLeaves(j); n > 0 {
		f.Shim.Leaves = rules.Know(float64(n))
	}
	if r := j.slot(OrderedRatio); r != nil && len(r.Values) > 0 {
		f.Pinion.Ordered = rules.Know(r.Values[0])
	}
	fillMatch(f, j)
	f.Oil.Filled = j.word(listen.FactOilFilled)
	f.Oil.Modifier = j.word(listen.FactModifierAdded)
	if r := j.slot(BearingHeat); r != nil {
		if v, ok := r.Temperature(); ok {
			f.Temp.Bearing = rules.Know(v)
		}
	}
	fillFits(f, j)
	if final && j.Trial().read() {
		f.Signed = rules.YesNo(j.signed())
	}
}

// carrierIn says whether the carrier of the final assembly is in: something was
// read that can only be read with it.
func carrierIn(j *Job) bool {
	since := j.Trial().Began
	for _, slot := range []Slot{FinalTotal, FinalEndPlay} {
		if r := j.slot(slot); r != nil && r.Seq >= since {
			return true
		}
	}
	return j.Trial().read()
}

// fillDrag gives the last look at the pinion drag. Before anything is crushed a
// drag of nothing is play still being taken up, no finished preload of nothing.
func fillDrag(f *rules.Facts, j *Job, step StepID) {
	l := j.lastDrag()
	if l == nil || l.Seq < j.stripped {
		if j.Trial().Final {
			f.Drag.Pinion, f.Drag.Seal, f.Drag.Bearings = rules.Torque{}, rules.Word{}, rules.Word{}
		}
		return
	}
	f.Drag.Seal, f.Drag.Bearings = rules.Say(l.Seal), rules.Say(l.Bearings)
	if l.Bearings == "" {
		f.Drag.Bearings = rules.Say("new")
	}
	if l.Drag > 0 || step != StepFinalPinion {
		f.Drag.Pinion = rules.Know(l.Drag)
	}
	if n := len(j.Drags); n > 1 {
		f.Drag.Previous = rules.Know(j.Drags[n-2].Drag)
	}
}

// fillSleeve gives the sleeve's state and the nut torque that was tried on it.
func fillSleeve(f *rules.Facts, j *Job) {
	tried := j.nut
	for _, l := range j.Drags {
		tried = max(tried, l.Nut)
	}
	if tried > 0 {
		f.Drag.NutTried = rules.Know(tried)
	}
	crushed := j.holds(listen.FactSleeveCrushStarted)
	for _, l := range j.Drags {
		crushed = crushed || l.Drag > unit.InLbf(5)
	}
	switch {
	case crushed:
		f.Drag.Crushing = rules.YesNo(true)
	case tried > 0:
		f.Drag.Crushing = rules.YesNo(false)
	}
	if f.Sheet.Preload.Value != string(rules.CrushSleeve) {
		return
	}
	newest := j.Facts[listen.FactNewSleeve]
	for i := len(j.Warnings) - 1; i >= 0; i-- {
		w := j.Warnings[i]
		if w.Closed != "" || w.Seq < newest.Seq {
			continue
		}
		switch w.Rule {
		case "nut-backed-off":
			f.Sleeve.Is = rules.Say("backed-off")
			return
		case "sleeve-over-crushed":
			f.Sleeve.Is = rules.Say("over")
			return
		case "sleeve-reused":
			f.Sleeve.Is = rules.Say("reused")
			return
		}
	}
	switch {
	case crushed:
		f.Sleeve.Is = rules.Say("crushed")
	case newest.True:
		f.Sleeve.Is = rules.Say("new")
	}
}

// sidePreload gives the shim added to both sides together since the trial, or what
// was put on with the adjusters.
func sidePreload(j *Job) rules.Length {
	if r := j.slot(FinalPreload); r != nil {
		return lengthOf(r)
	}
	now, was := j.Trial().Build, j.lastTrial().Build
	if !j.Trial().Final || !now.Left.Known || !now.Right.Known || !was.Left.Known || !was.Right.Known {
		return rules.Length{}
	}
	return rules.Know(now.Left.Thickness + now.Right.Thickness - was.Left.Thickness - was.Right.Thickness)
}

// mostLeaves gives the most leaves told of one stack that is in, 0 where no stack
// was told leaf by leaf.
func mostLeaves(j *Job) int {
	n := 0
	for _, slot := range []Slot{BuildPinion, BuildLeft, BuildRight, FinalPinion, FinalLeft, FinalRight} {
		if r := j.slot(slot); r != nil && len(r.Values) > 1 {
			n = max(n, len(r.Values))
		}
	}
	if a := j.Advice; a != nil && a.Built {
		for _, leaves := range a.Leaves {
			n = max(n, len(leaves))
		}
	}
	return n
}

// fillMatch gives the match numbers of ring and pinion as they were read.
func fillMatch(f *rules.Facts, j *Job) {
	for _, e := range j.Log {
		m, ok := e.payload.(*measured)
		if !ok || !e.Live || m.What != listen.MatchNumber {
			continue
		}
		switch {
		case m.Part == "ring" && len(m.Values) == 1:
			f.Ring.Match = rules.Say(number(m.Values[0], ""))
		case m.Part == "pinion" && len(m.Values) == 1:
			f.Pinion.Match = rules.Say(number(m.Values[0], ""))
		case len(m.Values) == 2:
			f.Ring.Match, f.Pinion.Match = rules.Say(number(m.Values[0], "")), rules.Say(number(m.Values[1], ""))
		}
	}
}

// signed says whether a reviewer approved the final readings as they stand.
func (j *Job) signed() bool {
	var last uint64
	t := j.Trial()
	for _, r := range []*Reading{t.Backlash, t.Drive, t.Coast, j.slot(FinalTotal), j.slot(FinalDrag)} {
		if r != nil {
			last = max(last, r.Seq)
		}
	}
	for i := len(j.Reviews) - 1; i >= 0; i-- {
		if r := j.Reviews[i]; r.Decision == "approve" || r.Decision == "redo" || r.Decision == "hold" {
			return r.Decision == "approve" && r.Upto >= last
		}
	}
	return false
}

// doing is what a message is about, as the rules name it. At the end of the job
// closing it up or driving it off is more than a fact among others.
func doing(u listen.Utterance, step StepID) string {
	has := func(ids ...string) bool {
		for _, id := range ids {
			for _, f := range u.Facts {
				if f == id {
					return true
				}
			}
		}
		return false
	}
	closing := step == StepFinalCarrier || step == StepCloseUp
	switch {
	case closing && has(listen.FactCoverOn, listen.FactCoverTorqued):
		return "close"
	case step != StepFound && step != StepOpen && step != StepTeardown && has(listen.FactLegDone):
		return "drive"
	case len(u.Moves) > 0:
		return "move"
	case u.Decision == "approve":
		return "approve"
	case len(u.Readings) > 0:
		return "reading"
	}
	return ""
}

// fillFits gives the rules the parts that are warmed or chilled, until they are cold
// again or in.
func fillFits(f *rules.Facts, j *Job) {
	for piece, g := range j.Fits {
		switch {
		case g.On == "struck":
			f.Fit.Struck = rules.YesNo(true)
		case g.Cooled || piece == "":
		case g.chilled():
			f.Fit.Chilling = rules.YesNo(true)
		case g.By != "":
			f.Fit.Heating = rules.YesNo(true)
		}
		if g.By == "torch" {
			f.Fit.By = rules.Say(g.By)
		}
	}
	if r := j.slot(ColdHeat); r != nil {
		f.Fit.Chilling = rules.YesNo(true)
	}
}
