package dialogs

import "shimwright/dialogs/listen"

// Slot is the place in the job a reading belongs to.
type Slot string

// The slots of steps 1 to 8.
const (
	FoundBacklash Slot = "found.backlash"
	FoundDrive    Slot = "found.drive"
	FoundCoast    Slot = "found.coast"
	FoundDrag     Slot = "found.drag"
	FoundEndPlay  Slot = "found.end_play"
	FoundRunout   Slot = "found.runout"

	OldPinion  Slot = "old.pinion"
	OldLeft    Slot = "old.left"
	OldRight   Slot = "old.right"
	OldPreload Slot = "old.preload"
	OldMark    Slot = "old.mark"
	OldHeight  Slot = "old.bearing"

	NewMark     Slot = "new.mark"
	NewHeight   Slot = "new.bearing"
	SetupHeight Slot = "setup.bearing"
	FinalHeight Slot = "final.bearing"

	Teeth    Slot = "parts.teeth"
	MatchNo  Slot = "parts.match"
	Checking Slot = "start.checking"
	Mounting Slot = "start.mounting"

	RingHeat   Slot = "ring.temperature"
	RingRunout Slot = "ring.runout"
	RingTight  Slot = "ring.interference" // on the carrier's pilot, cold
	RingPilot  Slot = "ring.pilot"        // its diameter

	BuildPinion  Slot = "build.pinion"
	BuildLeft    Slot = "build.left"
	BuildRight   Slot = "build.right"
	BuildPreload Slot = "build.preload"

	TrialBacklash Slot = "trial.backlash"
	TrialDrive    Slot = "trial.drive"
	TrialCoast    Slot = "trial.coast"
	TrialDrag     Slot = "trial.drag"
)

// The slots of the final assembly and of closing up. FinalHeight is older.
const (
	FinalPinion   Slot = "final.pinion"
	FinalLeft     Slot = "final.left"
	FinalRight    Slot = "final.right"
	FinalPack     Slot = "final.pack"
	FinalNut      Slot = "final.nut"  // torque it took to move the nut
	FinalTurn     Slot = "final.turn" // turn of the nut since the look before, in degrees
	FinalDrag     Slot = "final.drag"
	FinalTotal    Slot = "final.total"
	FinalBacklash Slot = "final.backlash"
	FinalDrive    Slot = "final.drive"
	FinalCoast    Slot = "final.coast"
	FinalEndPlay  Slot = "final.end_play"
	FinalSpread   Slot = "final.case_spread"
	FinalPreload  Slot = "final.side_preload"
	OrderedRatio  Slot = "parts.ratio" // as ordered
	OilFill       Slot = "close.oil"
	BearingHeat   Slot = "fit.bearing_temperature"
	ColdHeat      Slot = "fit.cold_temperature" // of a part that was chilled
	HeadTight     Slot = "fit.head_interference"
	HeadBore      Slot = "fit.head_diameter"
	SideTight     Slot = "fit.side_interference"
	SideBore      Slot = "fit.side_diameter"
)

// everyBuild says whether a slot is of what is read anew on every build.
func (s Slot) everyBuild() bool {
	switch s {
	case FoundBacklash, FoundDrive, FoundCoast, FoundDrag, TrialBacklash, TrialDrive, TrialCoast, TrialDrag, FinalBacklash, FinalDrive, FinalCoast, FinalTotal:
		return true
	}
	return false
}

// filesAt is the step that what is read belongs to: where the job was when the message
// came, but once the trial was called good no earlier than the final assembly, whatever
// the steps before it still ask for.
func (t *turn) filesAt() StepID {
	if !t.wasGood || t.job.Reopened[t.step.ID] > 0 {
		return t.step.ID
	}
	reached := false
	for st := range eachStep(t.sheet, t.job) {
		reached = reached || st.ID == StepFinalPinion
		if st.ID == t.step.ID {
			if reached {
				return st.ID
			}
			continue
		}
		if reached && len(st.Missing(t.job)) > 0 {
			return st.ID
		}
	}
	return t.step.ID
}

// slotFor files a reading: by what was said of it, else by where the job is.
// Before the teardown readings are as found; from the starting shim on they are
// of the build in the housing.
func slotFor(r listen.Reading, at StepID, expect Slot) Slot {
	if expect != "" && whatOf(expect) == r.What && r.Which == "" {
		return expect
	}
	for _, file := range filing() {
		if slot, ok := file(r, at); ok {
			return slot
		}
	}
	if slot, ok := finalSlot(r, at); ok {
		return slot
	}
	early := at == StepOpen || at == StepFound || at == StepTeardown
	if r.Which == "before_teardown" {
		early = true
	}
	old := r.Which == "old" || (r.Which == "" && early) || r.Which == "before_teardown"
	switch r.What {
	case listen.Backlash:
		return pick(early || r.Which == "old", FoundBacklash, TrialBacklash)
	case listen.PatternDrive:
		return pick(early || r.Which == "old", FoundDrive, TrialDrive)
	case listen.PatternCoast:
		return pick(early || r.Which == "old", FoundCoast, TrialCoast)
	case listen.PinionDrag:
		return pick(early || r.Which == "old", FoundDrag, TrialDrag)
	case listen.CarrierEndPlay:
		return FoundEndPlay
	case listen.RingRunout:
		return pick(early || r.Which == "old", FoundRunout, RingRunout)
	case listen.ShimPinion:
		return pick(old, OldPinion, BuildPinion)
	case listen.ShimLeft:
		return pick(old, OldLeft, BuildLeft)
	case listen.ShimRight:
		return pick(old, OldRight, BuildRight)
	case listen.ShimPreload:
		return pick(old, OldPreload, BuildPreload)
	case listen.PinionMark:
		return pick(r.Which == "old", OldMark, NewMark)
	case listen.BearingHeight:
		switch r.Which {
		case "setup":
			return SetupHeight
		case "final":
			return FinalHeight
		case "old":
			return OldHeight
		}
		return NewHeight
	case listen.ToothCount:
		return Teeth
	case listen.MatchNumber:
		return MatchNo
	case listen.CheckingDistance:
		return Checking
	case listen.PinionDepth:
		return Mounting
	case listen.Temperature:
		if at == StepRing {
			return RingHeat
		}
	}
	return Slot("other." + string(r.What))
}

func pick[T any](first bool, a, b T) T {
	if first {
		return a
	}
	return b
}

// whatOf gives the quantity a slot takes, empty where it takes several.
func whatOf(s Slot) listen.What {
	switch s {
	case FoundBacklash, TrialBacklash, FinalBacklash:
		return listen.Backlash
	case FoundDrive, TrialDrive, FinalDrive:
		return listen.PatternDrive
	case FoundCoast, TrialCoast, FinalCoast:
		return listen.PatternCoast
	case FoundDrag, TrialDrag, FinalDrag:
		return listen.PinionDrag
	case FoundEndPlay, FinalEndPlay:
		return listen.CarrierEndPlay
	case FinalTotal:
		return listen.TotalDrag
	case FinalSpread:
		return listen.CaseSpread
	case FinalPreload:
		return listen.CarrierPreload
	case FinalNut:
		return listen.Torque
	case FinalTurn:
		return listen.NutTurn
	case OrderedRatio:
		return listen.Ratio
	case OilFill:
		return listen.Volume
	case FoundRunout, RingRunout:
		return listen.RingRunout
	case OldPinion, BuildPinion, FinalPinion:
		return listen.ShimPinion
	case OldLeft, BuildLeft, FinalLeft:
		return listen.ShimLeft
	case OldRight, BuildRight, FinalRight:
		return listen.ShimRight
	case OldPreload, BuildPreload, FinalPack:
		return listen.ShimPreload
	case OldMark, NewMark:
		return listen.PinionMark
	case OldHeight, NewHeight, SetupHeight, FinalHeight:
		return listen.BearingHeight
	case Teeth:
		return listen.ToothCount
	case MatchNo:
		return listen.MatchNumber
	case Checking:
		return listen.CheckingDistance
	case Mounting:
		return listen.PinionDepth
	case RingHeat, BearingHeat, ColdHeat:
		return listen.Temperature
	case RingTight, HeadTight, SideTight:
		return listen.Interference
	case RingPilot, HeadBore, SideBore:
		return listen.FitDiameter
	}
	return ""
}
