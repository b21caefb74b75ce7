package picture

import (
	"flag"
	"strconv"
	"sync"
	"testing"

	"shimwright/calc/unit"
)

// newPainter makes a painter of a test's own.
func newPainter(tb testing.TB) *Painter {
	tb.Helper()
	p, err := New(English())
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

var shared = sync.OnceValues(NewInAll)

// painter gives the painter the tests share, as the program's parts do.
func painter(tb testing.TB) *Painter {
	tb.Helper()
	p, err := shared()
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

// The samples are of an invented job.

func samplePattern() PatternPicture {
	target := &Zone{Low: Point{-0.5, -0.5}, High: Point{0.2, 0.5}}
	return PatternPicture{
		Units: unit.InchUnits,
		Title: "drive is high: go deeper",
		Drive: Flank{
			Reported:  &Patch{Centre: Point{0.45, 0.4}, Slack: Point{0.25, 0.25}, Words: "heel, high"},
			Predicted: &Patch{Centre: Point{-0.1, 0}, Size: Point{0.4, 0.45}, Slack: Point{0.15, 0.15}},
			Target:    target,
		},
		Coast: Flank{
			Reported:  &Patch{Centre: Point{-0.35, 0.3}, Slack: Point{0.25, 0.25}, Words: "toe, a bit high"},
			Predicted: &Patch{Centre: Point{-0.1, -0.05}, Size: Point{0.4, 0.45}, Slack: Point{0.15, 0.15}},
			Target:    target,
		},
		Change:   &Change{Pinion: unit.Thou(5), Ring: unit.Thou(-3)},
		Backlash: &Backlash{Before: new(unit.Thou(11)), Value: unit.Thou(8), Low: unit.Thou(7), High: unit.Thou(9)},
	}
}

func sampleBacklash() BacklashPicture {
	pic := BacklashPicture{
		Units: unit.InchUnits, Clock: true,
		Low: unit.Thou(6), High: unit.Thou(10), SpreadLimit: unit.Thou(3),
		Wave: &Wave{Mean: unit.Thou(8.3), Amplitude: unit.Thou(1.1), Widest: unit.Deg(130)},
	}
	places := [...]string{"12", "1:30", "3", "4:30", "6", "7:30", "9", "10:30"}
	for i, v := range [...]float64{8, 8.5, 9, 9.5, 9, 8, 7, 7.5} {
		pic.Readings = append(pic.Readings, RoundReading{At: unit.Deg(45 * float64(i)), Place: places[i], Value: unit.Thou(v)})
	}
	return pic
}

func sampleStacks() StacksPicture {
	leaf := func(thou float64) Leaf { return Leaf{Thickness: unit.Thou(thou)} }
	add := func(thou float64) Leaf { return Leaf{Thickness: unit.Thou(thou), Mark: "add", New: true} }
	return StacksPicture{
		Units: unit.InchUnits, Note: "left and right seen from the cover",
		Stacks: []Stack{
			{Name: "pinion", Leaves: []Leaf{leaf(30), add(5)}, Was: new(unit.Thou(30))},
			{Name: "left", Leaves: []Leaf{leaf(200), leaf(41)}, Was: new(unit.Thou(244))},
			{Name: "right", Leaves: []Leaf{leaf(200), leaf(30), add(5), add(3)}, Was: new(unit.Thou(235)), Wanted: new(unit.Thou(238.4))},
		},
	}
}

// fewer divides the number of rapid's checks for a test that draws in each.
func fewer(t *testing.T, by int) {
	t.Helper()
	f := flag.Lookup("rapid.checks")
	was := f.Value.String()
	n, err := strconv.Atoi(was)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Value.Set(strconv.Itoa(max(1, n/by))); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Value.Set(was); err != nil {
			t.Error(err)
		}
	})
}
