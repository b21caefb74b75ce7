package dialogs

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

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

// stillMarked takes caps without marks for what they are while the axle is together,
// and later where they are only not marked yet: to be marked, and not mixed up.
func (t *turn) stillMarked(text string) {
	if f, said := t.job.Facts[listen.FactCapsMarked]; said && !f.True && len(t.u.Cautions) == 0 && listen.PutsRight(listen.DangerCapsMixed, text) {
		t.u.Facts = append(t.u.Facts, listen.FactCapsMarked) // "punched them now"
		return
	}
	mixed := slices.Index(t.u.Cautions, listen.DangerCapsMixed)
	if mixed < 0 || t.step.ID != StepOpen && t.step.ID != StepFound && t.step.ID != StepTeardown {
		return
	}
	said := words(strings.ToLower(text))
	yet := slices.ContainsFunc(said, func(w string) bool {
		return w == "yet" || w == "todavía" || w == "todavia" || w == "aún" || w == "aun"
	})
	if t.job.apart() && !yet {
		return
	}
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

var jobNumber = regexp.MustCompile(`(?i)\b(?:job|trabajo) #?(\d{1,6})\b`)

// ofAnother gives the other job or axle that a message with something to log names,
// empty where it names none: figures do not land on the wrong vehicle.
func (t *turn) ofAnother(text string) string {
	if t.u.Command != nil || len(t.u.Readings)+len(t.u.Moves) == 0 {
		return ""
	}
	said := strings.ToLower(text)
	if strings.Contains(said, strings.ToLower(t.job.Sheet)) {
		return ""
	}
	if m := jobNumber.FindStringSubmatch(text); m != nil {
		if m[1] == strconv.Itoa(t.job.Number) {
			return ""
		}
		return m[0]
	}
	for _, name := range t.desk.Sheets.Names() {
		if i := strings.Index(said, name); i >= 0 && !inWord(said, i, i+len(name)) {
			return name
		}
	}
	return ""
}

// inWord says whether letters go on before or behind a part of a text.
func inWord(s string, from, to int) bool {
	before, _ := utf8.DecodeLastRuneInString(s[:from])
	behind, _ := utf8.DecodeRuneInString(s[to:])
	return unicode.IsLetter(before) || unicode.IsLetter(behind)
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
