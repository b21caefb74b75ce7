package dialogs

import (
	"slices"
	"strings"

	"shimwright/dialogs/listen"
)

// apartSince files a backlash or pattern that comes when the axle was read as found
// already and is apart since: there is no finding it again, so it is of a trial
// assembly, whatever the steps still ask for.
func (j *Job) apartSince(slot Slot, which string) Slot {
	if which != "" || !j.apart() || j.Reopened[StepFound] > 0 {
		return slot
	}
	if slot == FoundRunout {
		return RingRunout // of the ring that goes in
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

// stillMarked takes caps without marks for what they are while the axle is together:
// to be marked before they come off, and not mixed up yet.
func (t *turn) stillMarked(text string) {
	mixed := slices.Index(t.u.Cautions, listen.DangerCapsMixed)
	if mixed < 0 || t.job.apart() || t.step.ID != StepOpen && t.step.ID != StepFound {
		return
	}
	said := words(strings.ToLower(text))
	about := func(stems ...string) bool {
		return slices.ContainsFunc(said, func(w string) bool {
			return slices.ContainsFunc(stems, func(s string) bool { return strings.HasPrefix(w, s) })
		})
	}
	if !about("mark", "unmark", "marca") || about("swap", "mix", "mezcla", "which", "wrong", "lost", "revers", "flip", "off") {
		return
	}
	t.u.Cautions = slices.Delete(slices.Clone(t.u.Cautions), mixed, mixed+1)
	t.unmarked = true
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
