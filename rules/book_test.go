package rules

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

func shippedBook(t testing.TB) *Book {
	t.Helper()
	book, report := LoadBook(nil)
	if len(report.Problems) > 0 {
		t.Fatalf("the shipped sheets have problems: %v", report.Problems)
	}
	return book
}

// TestShippedConstructions: one sheet per construction, as the names promise.
func TestShippedConstructions(t *testing.T) {
	book := shippedBook(t)
	if diff := cmp.Diff([]string{"curlew", "dunlin", "lapwing", "saltmarsh", "shingle-bank"}, book.Names()); diff != "" {
		t.Fatal(diff)
	}
	for _, row := range []struct {
		name    string
		units   unit.System
		shim    PinionShim
		deeper  float64
		carrier CarrierBy
		preload PreloadBy
		coupled bool
		side    Side
		bolts   Thread
		notch   float64 // mm
		source  string
	}{
		{"lapwing", unit.InchUnits, BehindHeadBearing, 1, ShimsOutside, CrushSleeve, false, Left, RightHand, 0, "common practice, no source"},
		{"saltmarsh", unit.Metric, BehindHeadBearing, 1, Adjusters, CrushSleeve, false, Left, RightHand, 0.0625, "derived: 1.5 mm in 24 notches"},
		{"curlew", unit.InchUnits, UnderInnerRace, 1, ShimsUnder, PreloadShims, true, Left, LeftHand, 0, "common practice, no source"},
		{"shingle-bank", unit.InchUnits, UnderCartridge, -1, Adjusters, PreloadShims, false, Left, RightHand, 0.0661458333, "derived: 1/16 in in 24 notches"},
		{"dunlin", unit.Metric, BehindHeadBearing, 1, ShimsOutside, CrushSleeve, false, Right, RightHand, 0, "common practice, no source"},
	} {
		s, err := book.Sheet(row.name)
		if err != nil {
			t.Fatal(err)
		}
		bolts, ok := s.RingBolts()
		if s.Units != row.units || s.Pinion.Shim != row.shim || s.Pinion.Shim.Deeper() != row.deeper || s.Carrier.By != row.carrier || s.Preload.By != row.preload ||
			s.Preload.Coupled != row.coupled || s.Ring.Side != row.side || !ok || bolts.Thread != row.bolts || math.Abs(s.Carrier.PerNotch().MM()-row.notch) > 1e-9 {
			t.Errorf("%s is not what it should be (%s): %+v", row.name, row.source, s)
		}
	}
	curlew, _ := book.Sheet("curlew")
	if !curlew.Pinion.High || !curlew.Pinion.ReverseCut {
		t.Error("curlew is the high-pinion, reverse-cut one")
	}
}

// TestShippedFigures: the example limits, their sources, and gears that can be.
func TestShippedFigures(t *testing.T) {
	book := shippedBook(t)
	for _, name := range book.Names() {
		s, err := book.Sheet(name)
		if err != nil {
			t.Fatal(err)
		}
		want := map[unit.System][3]float64{unit.InchUnits: {0.1524, 0.254, 0.0508}, unit.Metric: {0.15, 0.25, 0.05}}[s.Units]
		if l := s.Limits; math.Abs(l.Backlash.Low.MM()-want[0]) > 1e-9 || math.Abs(l.Backlash.High.MM()-want[1]) > 1e-9 || math.Abs(l.BacklashSpread.High.MM()-want[2]) > 1e-9 {
			t.Errorf("%s: backlash %v, spread %v", name, l.Backlash, l.BacklashSpread)
		}
		text, _, shipped, err := book.Source(name)
		if err != nil || !shipped {
			t.Fatal(err)
		}
		const example = "example, replace with the service manual's figure"
		for _, line := range strings.Split(string(text), "\n") {
			if _, source, ok := strings.Cut(line, "source:"); ok && strings.Trim(source, ` "`) != example {
				t.Errorf("%s: a source that is no example: %s", name, line)
			}
		}
		if n := strings.Count(string(text), example); n < 15 {
			t.Errorf("%s: %d examples marked, want 15 or more", name, n)
		}
		set, err := gearset.Complete(s.GearSet())
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		// The pinion's back face lies behind its crown, by the rest of the head.
		behind := s.Pinion.Mounting - set.Pinion.CrossingToCrown
		if behind < unit.MM(5) || behind > unit.MM(20) {
			t.Errorf("%s: the mounting distance leaves %.1f mm behind the crown (derived, ISO 23509 blank)", name, behind.MM())
		}
		if b := set.Beta1.Deg(); b < 40 || b > 52 {
			t.Errorf("%s: pinion spiral angle %.1f° (usual 45 to 50, from memory)", name, b)
		}
	}
}

func TestUnknownSheet(t *testing.T) {
	book := shippedBook(t)
	for _, row := range []struct{ asked, want string }{
		{"lapwin", `unknown sheet "lapwin", did you mean "lapwing"?`},
		{"saltmarhs", `unknown sheet "saltmarhs", did you mean "saltmarsh"?`},
		{"zebra crossing", `unknown sheet "zebra crossing", there are: curlew, dunlin, lapwing, saltmarsh, shingle-bank`},
		{"", `unknown sheet "", there are: curlew, dunlin, lapwing, saltmarsh, shingle-bank`},
		{strings.Repeat("x", 100_000), `unknown sheet "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…", there are: curlew, dunlin, lapwing, saltmarsh, shingle-bank`},
	} {
		_, err := book.Sheet(row.asked)
		if !errors.Is(err, ErrUnknownSheet) || err.Error() != row.want {
			t.Errorf("%.20q: %v, want %s", row.asked, err, row.want)
		}
	}
	for _, name := range []string{"Shingle Bank", "shingle_bank", " LAPWING "} {
		if _, err := book.Sheet(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// TestShopSheets: the shop's sheet replaces the shipped one; a broken one is not
// replaced by the shipped one's example limits.
func TestShopSheets(t *testing.T) {
	text, err := os.ReadFile("sheets/lapwing.yaml")
	if err != nil {
		t.Fatal(err)
	}
	own := bytes.ReplaceAll(text, []byte("high: 0.010 in"), []byte("high: 0.009 in"))
	book, report := LoadBook(fstest.MapFS{
		"sheets/lapwing.yaml":  {Data: own},
		"sheets/bay-two.yaml":  {Data: text},
		"sheets/curlew.yaml":   {Data: []byte("title: half")},
		"sheets/notes.txt":     {Data: []byte("not a sheet")},
		"sheets/sub/deep.yaml": {Data: text},
	})
	if diff := cmp.Diff([]string{"bay-two", "dunlin", "lapwing", "saltmarsh", "shingle-bank"}, book.Names()); diff != "" {
		t.Error(diff)
	}
	s, err := book.Sheet("lapwing")
	if err != nil || math.Abs(s.Limits.Backlash.High.Inch()-0.009) > 1e-12 || s.Name != "lapwing" {
		t.Errorf("%v, %v", s, err)
	}
	if _, _, shipped, _ := book.Source("lapwing"); shipped {
		t.Error("the shop's sheet says it is shipped")
	}
	_, err = book.Sheet("curlew")
	if !errors.Is(err, ErrBrokenSheet) || !strings.Contains(err.Error(), "sheets/curlew.yaml:1:1: the sheet has no units") {
		t.Errorf("broken: %v", err)
	}
	if report.Mistakes() != 1 {
		t.Errorf("%d mistakes, want 1: %v", report.Mistakes(), report.Problems)
	}
}

// TestSheetRoundTrip: a sheet means the same in the other units.
func TestSheetRoundTrip(t *testing.T) {
	for _, row := range []struct{ inch, metric string }{
		{"offset: 1.50 in", "offset: 38.1 mm"},
		{"offset: 1.50 in", "offset: 3.81 cm"},
		{"offset: 1.50 in", `offset: 1,5 in`},
		{"offset: 1.50 in", `offset: 1500 thou`},
		{"high: 350 ft·lbf", "high: 4200 in-lbs"},
		{"low: 12 in·lbf", "low: 1 ft-lb"},
		{"high: 250 degF", "high: 121.11111111111111 °C"},
		{"capacity: 4.2 pt", "capacity: 2.1 qt"},
		{"cool: 30 min", "cool: 0.5 h"},
		{"remind: 15 min", "remind: 0.25 h"},
	} {
		text, err := os.ReadFile("sheets/lapwing.yaml")
		if err != nil {
			t.Fatal(err)
		}
		other := bytes.ReplaceAll(text, []byte(row.inch), []byte(row.metric))
		if bytes.Equal(text, other) {
			t.Fatalf("%s is not in the sheet", row.inch)
		}
		var report Report
		a, b := ReadSheet("x", "a", text, &report), ReadSheet("x", "b", other, &report)
		if a == nil || b == nil {
			t.Fatalf("%s: %v", row.metric, report.Err())
		}
		near := cmp.Comparer(func(x, y float64) bool { return math.Abs(x-y) <= 1e-9*math.Max(1, math.Abs(x)) })
		conv := cmp.Transformer("size", func(l unit.Length) float64 { return float64(l) })
		torque := cmp.Transformer("size", func(l unit.Torque) float64 { return float64(l) })
		temp := cmp.Transformer("size", func(l unit.Temperature) float64 { return float64(l) })
		if diff := cmp.Diff(a, b, near, conv, torque, temp); diff != "" {
			t.Errorf("%s: %s", row.metric, diff)
		}
	}
}

func TestNearest(t *testing.T) {
	list := []string{"lapwing", "curlew", "head-bearing", "toe"}
	for _, row := range []struct {
		word, want string
		ok         bool
	}{
		{"lapwign", "lapwing", true}, {"curlw", "curlew", true}, {"headbearing", "head-bearing", true}, {"toe", "toe", false},
		{"teo", "toe", true}, {"xyz", "", false}, {"", "", false}, {"lapwinglapwing", "", false},
	} {
		got, ok := nearest(row.word, list)
		if ok != row.ok || ok && got != row.want {
			t.Errorf("%q: %q, %v", row.word, got, ok)
		}
	}
	// Optimal string alignment, published example. Source: Boytsov, "Indexing
	// methods for approximate dictionary searching" (2011): CA to ABC is 3.
	if d := distance("CA", "ABC"); d != 3 {
		t.Errorf("CA to ABC: %d, want 3", d)
	}
	if d := distance("kitten", "sitting"); d != 3 {
		t.Errorf("kitten to sitting: %d, want 3 (the textbook example, from memory)", d)
	}
}
