package dialogs

import (
	"math"

	"shimwright/calc/depth"
	"shimwright/calc/gearset"
	"shimwright/calc/lash"
	"shimwright/calc/preload"
	"shimwright/calc/stack"
	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
	"shimwright/rules"
)

// finalSlot files a reading of the final assembly: everything that is read from
// the step of the final pinion on, and before it what was said to be final.
func finalSlot(r listen.Reading, at StepID) (Slot, bool) {
	if r.Which == "old" || r.Which == "before_teardown" {
		return "", false
	}
	pinion := at == StepFinalPinion
	later := at == StepFinalCarrier || at == StepCloseUp || at == StepSummary || at == StepBreakIn || at == StepAfter || at == StepFinished
	final := r.Which == "final"
	switch r.What {
	case listen.PinionDrag:
		return FinalDrag, pinion || later || final
	case listen.TotalDrag:
		return FinalTotal, pinion || later || final
	case listen.Backlash:
		return FinalBacklash, later || final
	case listen.PatternDrive:
		return FinalDrive, later || final
	case listen.PatternCoast:
		return FinalCoast, later || final
	case listen.ShimPinion:
		return FinalPinion, pinion || later
	case listen.ShimLeft:
		return FinalLeft, pinion || later
	case listen.ShimRight:
		return FinalRight, pinion || later
	case listen.ShimPreload:
		return FinalPack, pinion || later
	case listen.CarrierEndPlay:
		return FinalEndPlay, later
	case listen.CaseSpread:
		return FinalSpread, true
	case listen.CarrierPreload:
		return FinalPreload, true
	case listen.Torque:
		return FinalNut, pinion && r.Part == "nut"
	case listen.NutTurn:
		return FinalTurn, true
	case listen.Volume:
		return OilFill, true
	case listen.Ratio:
		return OrderedRatio, true
	case listen.Temperature:
		return BearingHeat, pinion && (r.Part == "" || r.Part == "pinion")
	}
	return "", false
}

// toFinal begins the final assembly: a build of its own that starts from the last
// trial's. Moves and readings from here on belong to it.
func (j *Job) toFinal(seq uint64) {
	if j.Trial().Final {
		return
	}
	last := *j.Trial()
	t := Trial{No: last.No + 1, Build: last.Build, Began: seq, Final: true}
	t.Build.Taller = j.taller()
	j.Trials = append(j.Trials, t)
}

// toTrial goes back from the final assembly to a trial with setup bearings.
func (j *Job) toTrial(seq uint64) {
	if last := *j.Trial(); last.Final {
		t := Trial{No: last.No + 1, Build: last.Build, Began: seq}
		t.Build.Taller = 0
		j.Trials = append(j.Trials, t)
		j.Finished, j.Drags = false, nil
	}
}

// taller is how much more the final head bearing stands than the setup bearing, 0
// where either was not measured.
func (j *Job) taller() unit.Length {
	setup, final := j.slot(SetupHeight), j.slot(FinalHeight)
	if setup == nil || final == nil {
		return 0
	}
	s, okS := setup.Length()
	f, okF := final.Length()
	if !okS || !okF {
		return 0
	}
	return f - s
}

// lastTrial is the last assembly with setup bearings: what the final one is made
// from.
func (j *Job) lastTrial() *Trial {
	for i := len(j.Trials) - 1; i >= 0; i-- {
		if !j.Trials[i].Final {
			return &j.Trials[i]
		}
	}
	return &j.Trials[0]
}

// trialCount is how many trial assemblies were made, the final one apart.
func (j *Job) trialCount() int {
	n := 0
	for _, t := range j.Trials {
		if !t.Final {
			n++
		}
	}
	return n
}

// finalReading is a reading of the final assembly as it is built now.
func (j *Job) finalReading(slot Slot) *Reading {
	t := j.Trial()
	if !t.Final {
		return nil
	}
	switch slot {
	case FinalBacklash:
		return t.Backlash
	case FinalDrive:
		return t.Drive
	case FinalCoast:
		return t.Coast
	}
	return nil
}

// finalGood says whether the final assembly was read and found good as it stands.
func (j *Job) finalGood() bool {
	return j.Trial().Final && j.Trial().read() && j.adviceStands() && j.Advice.Verdict == Good
}

// Planned is one stack of the final assembly as it goes in.
type Planned struct {
	Name      string // pinion, left, right or preload
	Trial     unit.Length
	Thickness unit.Length  // what is right; kitFor says what the kit makes of it
	Terms     []depth.Term // of the pinion's
}

// finalPinion gives the pinion shim for the final bearing: the trial's, corrected
// for the stand heights where both are on record. False where the trial's shim is
// not known.
func finalPinion(s *rules.Sheet, j *Job) (Planned, bool) {
	trial := j.lastTrial().Build.Pinion
	if !trial.Known {
		return Planned{}, false
	}
	p := Planned{Name: "pinion", Trial: trial.Thickness, Thickness: trial.Thickness}
	setup, okSetup := slotLength(j, SetupHeight)
	final, okFinal := slotLength(j, FinalHeight)
	if !okSetup || !okFinal {
		return p, true
	}
	shim, err := depth.FinalBearing(depth.Sense(s.Pinion.Shim.Deeper()), trial.Thickness, setup, final)
	if err != nil {
		return p, true
	}
	p.Thickness, p.Terms = shim.Thickness, shim.Terms
	return p, true
}

// finalSides gives the side stacks of the final assembly: the trial's, with the
// sheet's side preload added to both. None where they are not known, or where the
// carrier sits in adjusters.
func finalSides(s *rules.Sheet, j *Job) []Planned {
	b := j.lastTrial().Build
	if s.Carrier.By == rules.Adjusters || !b.Left.Known || !b.Right.Known {
		return nil
	}
	// An odd step opens the backlash rather than closing it.
	add, err := preload.SplitShims(s.Carrier.PreloadAdd, gridOf(s), string(s.Ring.Side.Other()))
	if err != nil {
		add = preload.SideShims{}
	}
	return []Planned{
		{Name: "left", Trial: b.Left.Thickness, Thickness: b.Left.Thickness + add.Left},
		{Name: "right", Trial: b.Right.Thickness, Thickness: b.Right.Thickness + add.Right},
	}
}

// gridOf is the step a shop's stacks are made in.
func gridOf(s *rules.Sheet) unit.Length {
	if s.Units == unit.Metric {
		return unit.MM(0.01)
	}
	return unit.Thou(1)
}

// kitFor makes a planned stack of the kit, and gives what its leaves add up to; no
// leaves where the kit cannot make it. It searches the kit, so it is asked only
// where the answer is said.
func kitFor(s *rules.Sheet, j *Job, slot Slot) ([]unit.Length, unit.Length) {
	p, ok := plannedFor(s, j, slot)
	if !ok {
		return nil, 0
	}
	switch slot {
	case FinalPinion:
		if p.Thickness == p.Trial {
			return nil, p.Thickness
		}
		return nearEnough(s, s.Kit.Pinion, p.Thickness)
	case FinalPack:
		return nearEnough(s, s.Kit.Preload, p.Thickness)
	}
	kit := make([]stack.Leaf, len(s.Kit.Side))
	for i, l := range s.Kit.Side {
		kit[i] = stack.Leaf{Thickness: l.Thickness, Count: l.Count}
	}
	step := gridOf(s)
	req := stack.Request{
		Kits: map[string][]stack.Leaf{"side": kit}, MaxLeaves: s.Carrier.MaxLeaves,
		Together: []string{"left", "right"}, TogetherTolerance: step / 2,
	}
	for _, side := range finalSides(s, j) {
		req.Targets = append(req.Targets, stack.Target{Name: side.Name, Thickness: side.Thickness, Tolerance: step / 2, Kit: "side"})
	}
	// What the kit cannot make is made of the old leaves, which it does not know.
	if a, err := stack.Solve(req); err == nil && len(kit) > 0 {
		for _, st := range a.Stacks {
			if st.Name == p.Name && st.Residual.Abs() < 1.01*step {
				return st.Leaves, st.Thickness
			}
		}
	}
	return nil, p.Thickness
}

// nearEnough makes a stack of the kit, and leaves it at the thickness that is wanted
// where the kit makes nothing near it: it is then made of the old leaves.
func nearEnough(s *rules.Sheet, kit []rules.Leaf, want unit.Length) ([]unit.Length, unit.Length) {
	leaves, built := kitStack(kit, want, s.Carrier.MaxLeaves)
	if (built - want).Abs() < 1.01*gridOf(s) {
		return leaves, built
	}
	return nil, want
}

// finalPack gives the preload pack of the final assembly: the trial's. The shim that
// makes up for another bearing's height leaves the cups where they were, so the pack
// stays too; with new bearings the drag tells.
func finalPack(s *rules.Sheet, j *Job) (Planned, bool) {
	pack := j.lastTrial().Build.Preload
	if !pack.Known {
		if old, ok := slotLength(j, OldPreload); ok {
			pack = Stack{Known: true, Thickness: old}
		}
	}
	if s.Preload.By != rules.PreloadShims || !pack.Known {
		return Planned{}, false
	}
	return Planned{Name: "preload", Trial: pack.Thickness, Thickness: pack.Thickness}, true
}

// plannedFor gives the stack a slot of the final assembly is to get.
func plannedFor(s *rules.Sheet, j *Job, slot Slot) (Planned, bool) {
	switch slot {
	case FinalPinion:
		return finalPinion(s, j)
	case FinalPack:
		return finalPack(s, j)
	case FinalLeft, FinalRight:
		if sides := finalSides(s, j); len(sides) == 2 {
			return sides[map[Slot]int{FinalLeft: 0, FinalRight: 1}[slot]], true
		}
	}
	return Planned{}, false
}

func slotLength(j *Job, slot Slot) (unit.Length, bool) {
	r := j.slot(slot)
	if r == nil {
		return 0, false
	}
	return r.Length()
}

// lashFor gives how much a pinion move deeper and a ring gear move towards the
// pinion close the backlash, by the geometry of the sheet.
func lashFor(s *rules.Sheet, pinion, ring unit.Length) (unit.Length, bool) {
	set, err := gearset.Complete(s.GearSet())
	if err != nil {
		return 0, false
	}
	slopes, err := lash.SlopesOf(set, lash.Dial{})
	if err != nil {
		return 0, false
	}
	return unit.Length(slopes.Pinion*float64(pinion) + slopes.Ring*float64(ring)), true
}

// sameStack is how far two measurements of one stack may differ: a micrometer and
// a bit of oil. Common practice, no source.
const sameStack = unit.Length(0.02)

// swapped gives the two stacks that measure as each other's, false where each is
// its own.
func swapped(s *rules.Sheet, j *Job) (a, b Slot, ok bool) {
	slots := []Slot{FinalPinion, FinalLeft, FinalRight, FinalPack}
	for i, a := range slots {
		for _, b := range slots[i+1:] {
			isA, okA := slotLength(j, a)
			isB, okB := slotLength(j, b)
			if !okA || !okB {
				continue
			}
			wantA, okWantA := plannedFor(s, j, a)
			wantB, okWantB := plannedFor(s, j, b)
			if !okWantA || !okWantB || (wantA.Thickness-wantB.Thickness).Abs() <= 2*sameStack {
				continue
			}
			if near2(isA, wantB.Thickness) && near2(isB, wantA.Thickness) && !near2(isA, wantA.Thickness) {
				return a, b, true
			}
		}
	}
	return "", "", false
}

func near2(a, b unit.Length) bool { return math.Abs(float64(a-b)) <= float64(sameStack) }

// pinionOut notes that the pinion was taken apart again after its drag was read:
// that drag counts no more. Where its shim was changed, the sleeve is used up too
// and the whole step is taken up again.
func (j *Job) pinionOut(seq uint64, shim, pack bool) {
	if !j.Trial().Final || len(j.Drags) == 0 || !shim && !pack {
		return
	}
	j.stripped = seq
	if shim {
		j.Reopened[StepFinalPinion] = seq
		j.Drags, j.turned, j.nut = nil, 0, 0
		delete(j.Facts, listen.FactNewSleeve)
	}
}
