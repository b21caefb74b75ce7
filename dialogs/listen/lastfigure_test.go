package listen

import (
	"testing"

	"shimwright/calc/unit"
)

// A figure just mended is the one said last, also where the assistant has told where the
// job stands in between, and not what is asked for next.
func TestTheLastFigureIsMended(t *testing.T) {
	heights := []string{"tech: setup bearing 1.235 final bearing 1.238", "bot: setup head bearing height 1.235 in; final head bearing height 1.238 in. next: pinion shim that goes in, measured now?"}
	recap := append(heights[:2:2], "tech: where are we", "bot: job 1, lapwing (whine): step 9 of 14. lash 0.0080-0.0085 in over 4 places; drive centered; coast centered. next: pinion shim that goes in, measured now?")
	for _, context := range [][]string{heights, recap} {
		u := Parse(Input{Text: "no its 1.236", Units: unit.InchUnits, Expect: ShimPinion, Context: context})
		if len(u.Readings) != 1 || u.Readings[0].What != BearingHeight || u.Readings[0].Value == nil || *u.Readings[0].Value != 1.236 || u.Ask != nil {
			t.Errorf("after %d lines: %+v, ask %v, want the bearing's height", len(context), u.Readings, u.Ask)
		}
		if len(u.Retract) != 1 || u.Retract[0].What != BearingHeight {
			t.Errorf("after %d lines: takes back %+v", len(context), u.Retract)
		}
	}
}
