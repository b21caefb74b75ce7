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

	BuildPinion  Slot = "build.pinion"
	BuildLeft    Slot = "build.left"
	BuildRight   Slot = "build.right"
	BuildPreload Slot = "build.preload"

	TrialBacklash Slot = "trial.backlash"
	TrialDrive    Slot = "trial.drive"
	TrialCoast    Slot = "trial.coast"
	TrialDrag     Slot = "trial.drag"
)

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

func pick(first bool, a, b Slot) Slot {
	if first {
		return a
	}
	return b
}

// whatOf gives the quantity a slot takes, empty where it takes several.
func whatOf(s Slot) listen.What {
	switch s {
	case FoundBacklash, TrialBacklash:
		return listen.Backlash
	case FoundDrive, TrialDrive:
		return listen.PatternDrive
	case FoundCoast, TrialCoast:
		return listen.PatternCoast
	case FoundDrag, TrialDrag:
		return listen.PinionDrag
	case FoundEndPlay:
		return listen.CarrierEndPlay
	case FoundRunout, RingRunout:
		return listen.RingRunout
	case OldPinion, BuildPinion:
		return listen.ShimPinion
	case OldLeft, BuildLeft:
		return listen.ShimLeft
	case OldRight, BuildRight:
		return listen.ShimRight
	case OldPreload, BuildPreload:
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
	case RingHeat:
		return listen.Temperature
	}
	return ""
}
