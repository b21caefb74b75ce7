package dialogs

// apartSince files a backlash or pattern that comes when the axle was read as found
// already and is apart since: there is no finding it again, so it is of a trial
// assembly, whatever the steps still ask for.
func (j *Job) apartSince(slot Slot, which string) Slot {
	if which != "" || !j.apart() || j.Reopened[StepFound] > 0 {
		return slot
	}
	if _, read := j.Slots[slot]; !read {
		return slot // told late
	}
	switch slot {
	case FoundBacklash:
		return TrialBacklash
	case FoundDrive:
		return TrialDrive
	case FoundCoast:
		return TrialCoast
	}
	return slot
}

// apart says whether something was measured that cannot be with the gears in.
func (j *Job) apart() bool {
	for _, s := range []Slot{OldPinion, OldLeft, OldRight, OldPreload, OldMark, NewMark, RingRunout, BuildPinion} {
		if _, ok := j.Slots[s]; ok {
			return true
		}
	}
	return false
}
