package listen

import "testing"

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
