package listen

import (
	"testing"

	"shimwright/calc/unit"
)

// What is measured and told on a job is never taken for a question to work out:
// of the shop talk of all sets, only questions are.
func TestReckoningLeavesReadingsAlone(t *testing.T) {
	asked := 0
	for _, path := range corpusFiles(t) {
		for _, m := range loadCorpus(t, path) {
			u := Parse(m.input())
			if u.Reckoning == nil {
				continue
			}
			asked++
			if m.Want.Kind != Question {
				t.Errorf("%s:%d: %q is a %s, taken for %+v", path, m.line, m.Text, m.Want.Kind, *u.Reckoning)
			}
		}
	}
	if asked == 0 {
		t.Error("no question was taken for one, so nothing was tried")
	}
}

// Questions of the job that look like it. Source of all rows: common practice, no
// source.
func TestNotToBeWorkedOut(t *testing.T) {
	for _, text := range []string{
		"is the pinion bearing at 115 too hot?", "pinion bearing 230 after the drive, too hot?", "housing is at 240f, ok?", "drove 12 miles at 65, is 190 too hot?",
		"is 6 thou ok?", "how many notches for 2 thou of lash?", "what do the caps get, 75 ft lb?", "drag 14 with the new seal, ok?", "what's the carrier preload supposed to be",
		"what preload do the side bearings get", "got 33s on it", "bolts are grade 8", "total 20 in lb, pinion 14 in lb", "lash 8 on the ring, 5 in from the toe", "which shim for +3",
		"how long does it cool between drives", "what shim makes 47", "lash 11 12 11 12, ratio 3.73", "caps at 75 ft lb with the extension", "whats 12 teeth from the mark", "is the ring gear hot",
	} {
		for _, units := range []unit.System{unit.InchUnits, unit.Metric} {
			if u := Parse(Input{Text: text, Units: units}); u.Reckoning != nil {
				t.Errorf("%q is taken for %+v", text, *u.Reckoning)
			}
		}
	}
}
