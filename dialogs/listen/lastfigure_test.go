package listen

import (
	"slices"
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

// A unit behind the first of a row of backlash is that of all, whatever is asked for.
func TestOneUnitForARowOfBacklash(t *testing.T) {
	for _, row := range []struct {
		text, unit string
		values     []float64
	}{
		{"lash 0.20 mm 0.2 0.21 0.2", "mm", []float64{0.2, 0.2, 0.21, 0.2}},
		{"lash 9 thou 9 8.5 9", "in", []float64{0.009, 0.009, 0.0085, 0.009}},
		{"backlash .008 in .009 .008 .008", "in", []float64{0.008, 0.009, 0.008, 0.008}},
	} {
		u := Parse(Input{Text: row.text, Units: unit.InchUnits, Expect: ShimPreload, Context: []string{"bot: next: old pinion preload pack?"}})
		if len(u.Readings) != 1 || u.Readings[0].What != Backlash || u.Readings[0].Unit != row.unit || !slices.Equal(u.Readings[0].Values, row.values) {
			t.Errorf("%q: %+v, want backlash %v %s and nothing else", row.text, u.Readings, row.values, row.unit)
		}
	}
}
