package listen

import (
	"testing"

	"shimwright/calc/unit"
)

// TestFiguresOfAQuestion: what is asked about or wanted stands in Proposed and
// Wanted, and is never committed. Source of all rows: common practice, no source.
func TestFiguresOfAQuestion(t *testing.T) {
	for _, row := range []struct {
		text     string
		units    unit.System
		proposed []float64
		wanted   []float64
		unit     string
	}{
		{"what's 9 thou in mm", unit.InchUnits, []float64{0.009}, nil, "in"},
		{"is 9 ok", unit.InchUnits, []float64{0.009}, nil, "in"},
		{"is 20 ok", unit.Metric, []float64{0.20}, nil, "mm"},
		{"is 11 too much?", unit.InchUnits, []float64{0.011}, nil, "in"},
		{"lash 14, want 8", unit.InchUnits, nil, []float64{0.008}, "in"},
	} {
		u := Parse(Input{Text: row.text, Units: row.units})
		if u.Kind != Question {
			t.Errorf("%q: kind %s", row.text, u.Kind)
		}
		for _, list := range []struct {
			name string
			got  []Reading
			want []float64
		}{{"proposed", u.Proposed, row.proposed}, {"wanted", u.Wanted, row.wanted}} {
			var got []float64
			for _, r := range list.got {
				got = append(got, r.Numbers()...)
				if r.Unit != row.unit {
					t.Errorf("%q: %s in %q, want %q", row.text, list.name, r.Unit, row.unit)
				}
			}
			if len(got) != len(list.want) || len(got) > 0 && !near(got[0], list.want[0]) {
				t.Errorf("%q: %s %v, want %v", row.text, list.name, got, list.want)
			}
		}
	}
}

// TestMentorsOrderIsPending: a change a mentor asks for is not made yet.
func TestMentorsOrderIsPending(t *testing.T) {
	u := Parse(Input{Text: "pull 3 more out of the pinion", Units: unit.InchUnits, Sender: Mentor})
	if len(u.Moves) != 0 || len(u.Pending) != 1 || u.Pending[0].From != "pinion" || u.Pending[0].AmountIn == nil || !near(*u.Pending[0].AmountIn, 0.003) {
		t.Errorf("moves %+v pending %+v", u.Moves, u.Pending)
	}
}

// TestSquaresOfThePatternPicture: all nine, along the tooth first.
func TestSquaresOfThePatternPicture(t *testing.T) {
	want := [9][2]string{
		{"toe", "face"}, {"center", "face"}, {"heel", "face"},
		{"toe", "center"}, {"center", "center"}, {"heel", "center"},
		{"toe", "flank"}, {"center", "flank"}, {"heel", "flank"},
	}
	for i, w := range want {
		n := string(rune('1' + i))
		u := Parse(Input{Text: "drive " + n + " coast " + n, Units: unit.InchUnits})
		if len(u.Readings) != 2 {
			t.Fatalf("square %s: %+v", n, u.Readings)
		}
		for _, r := range u.Readings {
			if !isPattern(r.What) || r.Length != w[0] || r.Profile != w[1] {
				t.Errorf("square %s: %+v, want %v", n, r, w)
			}
		}
	}
}
