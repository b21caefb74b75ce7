package dialogs_test

import (
	"strings"
	"testing"

	"shimwright/calc/unit"
	"shimwright/dialogs/listen"
)

// Messages that were once read as something else, at the question they answer: what the
// reply must have and must not have. Source of all rows: common practice, no source.
func TestOnceMisread(t *testing.T) {
	states := jobsByQuestion(t)
	for _, row := range []struct {
		at     listen.What
		metric bool
		lines  string // sent one after the other; the last reply is looked at
		has    string
		hasnt  string
	}{
		{at: listen.ShimPinion, lines: "old shim 31, left 248 right 251", has: "old pinion shim 0.031 in", hasnt: "which"},
		{at: listen.ShimPinion, lines: "pulled a thirty two out from under the head", has: "old pinion shim 0.032 in"},
		{at: listen.ShimPinion, metric: true, lines: "mic says 1.22 1.22 1.23", has: "measured again, or leaves"},
		{at: listen.ShimLeft, lines: "248 251", has: "leaves of the old left stack, or left and right"},
		{at: listen.ShimLeft, lines: "248 251; 1", has: "old left stack 0.248 in; old right stack 0.251 in"},
		{at: "", lines: "got all new bolts and nut and sleeve", has: "new sleeve; new nut; new ring bolts"},
		{at: listen.Backlash, lines: "lash 9; no, it's 8 actually", has: "took back as found: backlash 0.009 in; as found: backlash 0.008 in"},
		{at: listen.Backlash, lines: "lash 9 9 8 9; no the second one is 8", has: "backlash 0.009 / 0.008 / 0.008 / 0.009 in"},
		{at: listen.Backlash, lines: "lash 9 thou 9 8.5 9", has: "0.009 / 0.009 / 0.0085 / 0.009 in"},
		{at: listen.Backlash, lines: "lash 8 in the left spot 9 in the right", has: "backlash 0.008 / 0.009 in"},
		{at: listen.Backlash, lines: "setup 1.235 final 1.238", has: "setup head bearing height 1.235 in; final head bearing height 1.238 in"},
		{at: listen.Backlash, lines: "hang on the dial slipped", has: "nothing was taken back"},
		{at: listen.PatternDrive, lines: "sí", has: "nothing to log"},
		{at: listen.PatternDrive, lines: "what's the total left and right", has: "left and right together 0.495 in"},
		{at: listen.PatternDrive, lines: "lash was 12 before, 8 8 9 8 now", has: "backlash 0.008", hasnt: "as found"},
		{at: listen.PinionMark, lines: "+2; nothing on the new one either", has: "new pinion marking 0.000 in"},
		{at: listen.BearingHeight, lines: "setup bearing 1.235; final bearing 1.238; same; bearings seated", has: "still open: are the final ones pressed on"},
		{at: listen.BearingHeight, lines: "total drag 22; lash 8 8 8 8", has: "step 9 was passed and this was never told: final bearings pressed"},
		{at: listen.Backlash, lines: "photo", has: "no photo came with that", hasnt: "attached"},
		{at: listen.Backlash, lines: "skip not measured today", has: "not measured today", hasnt: "caution"},
		{at: listen.Backlash, lines: "what's the tool list", has: "measure:"},
		{at: listen.PatternDrive, lines: "ok if the drag is 8?", has: "drag", hasnt: "drive centered"},
		{at: listen.Torque, lines: "8 8 8 8", has: "lash round the ring?", hasnt: "ft·lbf, signed"},
	} {
		k := states[row.at]
		if k == nil {
			t.Fatalf("no job is at %q", row.at)
		}
		k = k.copy()
		reply := ""
		for line := range strings.SplitSeq(row.lines, "; ") {
			p := people["ann"]
			if row.metric {
				p.Units = unit.Metric
			}
			s := k.said("ann", line)
			s.By = p
			r, err := k.desk.Answer(k.job, s)
			if err != nil {
				t.Fatalf("%q: %v", line, err)
			}
			k.past = append(k.past, "tech: "+line)
			reply = k.keep(r)
		}
		if !strings.Contains(reply, row.has) || row.hasnt != "" && strings.Contains(reply, row.hasnt) {
			t.Errorf("%q at %q: %q, want %q and not %q", row.lines, row.at, reply, row.has, row.hasnt)
		}
	}
}
