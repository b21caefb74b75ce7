package advise

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
	"shimwright/rules"
)

const practiceSource = "common practice, no source"

// Places in words.
const (
	end = 2. / 3
	mid = 0.0
)

func markAt(along, across float64) Mark {
	return Mark{Along: along, Across: across, AlongKnown: true, AcrossKnown: true}
}

func thous(readings ...float64) []unit.Length {
	out := make([]unit.Length, len(readings))
	for i, r := range readings {
		out[i] = unit.Thou(r)
	}
	return out
}

func sheetNamed(t testing.TB, name string) *rules.Sheet {
	t.Helper()
	for _, s := range shippedSheets(t) {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no sheet %s", name)
	return nil
}

// The first move on every construction: which way the pinion and the ring gear
// go, and what that is in shims, sides and notches.
func TestFirstMove(t *testing.T) {
	const none, in, out = 0, 1, -1 // deeper and towards the pinion are in
	for _, c := range []struct {
		name         string
		lash         []unit.Length
		drive, coast Mark
		pinion, ring int
		source       string
	}{
		{"lash 14, both high at the heel", thous(14, 14, 15, 14), markAt(end, end), markAt(end, end), in, in, practiceSource},
		{"lash 14, centred", thous(14, 14, 15, 14), markAt(mid, mid), markAt(mid, mid), none, in, practiceSource},
		{"lash 4, centred", thous(4, 4, 4.5, 4), markAt(mid, mid), markAt(mid, mid), none, out, practiceSource},
		{"lash 8, both high", thous(8, 8, 9, 8), markAt(mid, end), markAt(mid, end), in, out, practiceSource},
		{"lash 8, both low", thous(8, 8, 9, 8), markAt(mid, -end), markAt(mid, -end), out, in, practiceSource},
		{"lash 3, both low at the toe", thous(3, 3, 3.5, 3), markAt(-end, -end), markAt(-end, -end), out, out, practiceSource},
		{"lash 24, both high", thous(24, 24, 25, 24), markAt(mid, end), markAt(mid, end), in, in, practiceSource},
		{"lash 14, no pattern yet", thous(14, 14, 15, 14), Mark{}, Mark{}, none, in, practiceSource},
		{"lash 14, drive only, high", thous(14, 14, 15, 14), markAt(mid, end), Mark{}, in, in, practiceSource},
		{"lash 14, heights only, high", thous(14, 14, 15, 14), Mark{Across: end, AcrossKnown: true}, Mark{Across: end, AcrossKnown: true}, in, in, practiceSource},
		{"one reading of 14, both high", thous(14), markAt(mid, end), markAt(mid, end), in, in, practiceSource},
	} {
		for _, s := range shippedSheets(t) {
			a, err := Recommend(Request{Sheet: s, Attempts: []Attempt{{Backlash: c.lash, Drive: c.drive, Coast: c.coast}}})
			if err != nil {
				t.Errorf("%s, %s: %v", s.Name, c.name, err)
				continue
			}
			if a.Verdict != Change {
				t.Errorf("%s, %s: verdict %s, want change (%s)", s.Name, c.name, a.Verdict, c.source)
			}
			way := func(l unit.Length) int {
				switch {
				case l > 1e-6:
					return in
				case l < -1e-6:
					return out
				}
				return none
			}
			// A notch may be too coarse to follow the pinion's small share of the lash.
			fine := s.Carrier.By != rules.Adjusters || c.pinion == none || c.lash[0] != unit.Thou(8)
			if way(a.Pinion) != c.pinion || way(a.Ring) != c.ring && (fine || way(a.Ring) == -c.ring) {
				t.Errorf("%s, %s: pinion %s and ring gear %s, want %+d and %+d (%s)", s.Name, c.name, s.Units.Signed(a.Pinion), s.Units.Signed(a.Ring), c.pinion, c.ring, c.source)
			}
			checkHousing(t, s, a)
			if !(a.Backlash.Low < a.Backlash.Mean && a.Backlash.Mean < a.Backlash.High) || !(a.Chance > 0.2 && a.Chance <= 1) {
				t.Errorf("%s, %s: predicts %+v with chance %.2f", s.Name, c.name, a.Backlash, a.Chance)
			}
			if !s.Limits.Backlash.Has(a.Backlash.Mean) {
				t.Errorf("%s, %s: predicts %s, outside the limits", s.Name, c.name, s.Units.Length(a.Backlash.Mean))
			}
			if a.Reason == "" || strings.Contains(a.Reason, "\n") || strings.Contains(a.Reason, "NaN") {
				t.Errorf("%s, %s: reason %q", s.Name, c.name, a.Reason)
			}
		}
	}
}

// checkHousing holds what changes in the housing against the gear moves.
func checkHousing(t testing.TB, s *rules.Sheet, a Advice) {
	t.Helper()
	const close = 1e-9
	// Thicker behind the head bearing or under the race is deeper; under a cartridge
	// it is not. Common practice, no source.
	sign := unit.Length(1)
	if s.Pinion.Shim == rules.UnderCartridge {
		sign = -1
	}
	if (a.PinionShim - sign*a.Pinion).Abs() > close {
		t.Errorf("%s: pinion %s by a shim change of %s", s.Name, s.Units.Signed(a.Pinion), s.Units.Signed(a.PinionShim))
	}
	// Ring gear on the left: from the right to the left closes backlash; on the
	// right, the opposite. Common practice, no source.
	left, right := a.Left, a.Right
	if s.Carrier.By == rules.Adjusters {
		per := s.Carrier.PerNotch()
		left, right = per*unit.Length(a.LeftNotches), per*unit.Length(a.RightNotches)
		if a.LeftNotches != math.Trunc(a.LeftNotches) || a.LeftNotches != -a.RightNotches {
			t.Errorf("%s: %g and %g notches", s.Name, a.LeftNotches, a.RightNotches)
		}
		if a.Left != 0 || a.Right != 0 {
			t.Errorf("%s: side shims on adjusters", s.Name)
		}
	}
	move := (left - right) / 2
	if s.Ring.Side == rules.Right {
		move = -move
	}
	if (move - a.Ring).Abs() > close {
		t.Errorf("%s: ring gear %s by left %s and right %s", s.Name, s.Units.Signed(a.Ring), s.Units.Signed(left), s.Units.Signed(right))
	}
	if s.Preload.Coupled != (a.Preload != 0) && a.PinionShim != 0 {
		t.Errorf("%s: the preload pack changes by %s for a shim change of %s", s.Name, s.Units.Signed(a.Preload), s.Units.Signed(a.PinionShim))
	}
	if s.Preload.Coupled && (a.Preload-a.PinionShim).Abs() > unit.MM(0.03) {
		t.Errorf("%s: the preload pack changes by %s, the depth shim by %s", s.Name, s.Units.Signed(a.Preload), s.Units.Signed(a.PinionShim))
	}
}

func TestVerdicts(t *testing.T) {
	lapwing := sheetNamed(t, "lapwing") // inch, 6 to 10 thou at the tightest point, spread 2
	centred := markAt(mid, mid)
	for _, c := range []struct {
		name     string
		attempts []Attempt
		want     Verdict
		says     string // in the reason
		source   string
	}{
		{"good", []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: centred, Coast: centred}}, Good, "inside", practiceSource},
		{"good near an end of the limits", []Attempt{{Backlash: thous(6, 6.5, 6, 7), Drive: centred, Coast: centred}}, Good, "inside", practiceSource},
		{"good by its tightest point", []Attempt{{Backlash: thous(9.5, 10, 11, 10.5), Drive: centred, Coast: centred}}, Good, "inside", practiceSource},
		{"tightest point under", []Attempt{{Backlash: thous(5, 6.5, 7, 6.5), Drive: centred, Coast: centred}}, Change, "under", practiceSource},
		{"lash only", []Attempt{{Backlash: thous(8, 8, 9, 8)}}, More, "pattern", practiceSource},
		{"no coast", []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: centred}}, More, "coast", practiceSource},
		{"nobody said how high", []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: Mark{AlongKnown: true}, Coast: Mark{AlongKnown: true}}}, More, "high", practiceSource},
		{"pattern only", []Attempt{{Drive: markAt(mid, end), Coast: markAt(mid, end)}}, More, "lash", practiceSource},
		{"nothing", []Attempt{{}}, More, "nothing", practiceSource},
		{"no attempt", nil, More, "nothing", practiceSource},
		{"one flank after three assemblies", []Attempt{
			{Backlash: thous(14, 14, 14, 14), Drive: centred},
			{Ring: unit.Thou(7), Backlash: thous(9, 9, 9.5, 9), Drive: centred},
			{Ring: unit.Thou(8), Backlash: thous(8, 8, 8, 8), Drive: markAt(end, mid)}}, More, "coast", practiceSource},
		{"one reading of lash", []Attempt{{Backlash: thous(8), Drive: centred, Coast: centred}}, More, "four places", practiceSource},
		{"one more reading of it", []Attempt{{Backlash: thous(8), Drive: centred, Coast: centred}, {Backlash: thous(8.5), Drive: centred, Coast: centred}}, Good, "inside", practiceSource},
		{"crossed", []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, end), Coast: markAt(mid, -end)}}, More, "read both flanks again", practiceSource},
		{"crossed twice", []Attempt{
			{Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, end), Coast: markAt(mid, -end)},
			{Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, end), Coast: markAt(mid, -end)}}, Cannot, "crossed", practiceSource},
		{"crossed twice with a sane reading between", []Attempt{
			{Backlash: thous(14, 14, 15, 14), Drive: markAt(mid, end), Coast: markAt(mid, -end)},
			{Backlash: thous(14, 14, 15, 14), Drive: centred, Coast: centred},
			{Ring: unit.Thou(8), Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, end), Coast: markAt(mid, -end)}}, More, "read both flanks again", practiceSource},
		{"crossed the other way, and it stands", []Attempt{{Backlash: thous(14, 14, 15, 14), Drive: markAt(mid, -end), Coast: markAt(mid, end), Sure: true}}, Cannot, "crossed", practiceSource},
		{"both at the heel, lash right", []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: markAt(end, mid), Coast: markAt(end, mid)}}, More, "read both flanks again", practiceSource},
		{"and again", []Attempt{
			{Backlash: thous(8, 8, 9, 8), Drive: markAt(end, mid), Coast: markAt(end, mid)},
			{Backlash: thous(8, 8, 9, 8), Drive: markAt(end, mid), Coast: markAt(end, mid)}}, Cannot, "heel", practiceSource},
		{"both at the toe on two assemblies, lash right", []Attempt{
			{Backlash: thous(7, 7, 7.5, 7), Drive: markAt(-end, mid), Coast: markAt(-end, mid)},
			{Pinion: unit.Thou(3), Backlash: thous(6.5, 7, 6.5, 7), Drive: markAt(-end, mid), Coast: markAt(-end, mid)}}, Cannot, "toe", practiceSource},
		{"half a thou over the spread", []Attempt{{Backlash: thous(7, 8, 9.5, 8), Drive: centred, Coast: centred}}, More, "spread", practiceSource},
		{"half a thou over the spread, read again", []Attempt{{Backlash: thous(7, 8, 9.5, 8), Drive: centred, Coast: centred, Sure: true}}, Cannot, "spread", practiceSource},
		{"spread", []Attempt{{Backlash: thous(5, 7, 12, 8), Drive: centred, Coast: centred}}, Cannot, "spread", practiceSource},
		{"spread and lash out", []Attempt{{Backlash: thous(12, 17, 21, 15), Drive: markAt(end, end), Coast: markAt(end, end)}}, Cannot, "no shim change", practiceSource},
		{"no lash", []Attempt{{Backlash: thous(0, 0, 0, 0), Drive: centred, Coast: centred}}, Bracket, "open it first", practiceSource},
		{"binds in one place", []Attempt{{Backlash: thous(0, 3, 5, 2)}}, Bracket, "open it first", practiceSource},
		{"45 thou", []Attempt{{Backlash: thous(45, 45, 46, 45), Drive: centred, Coast: centred}}, Bracket, "gross position error", "40 thou and more is a gross position error, " + practiceSource},
		{"just out, all else good", []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: markAt(end, mid), Coast: centred}}, More, "paint it again", practiceSource},
		{"crossed after a good pair", []Attempt{
			{Backlash: thous(14, 14, 15, 14), Drive: centred, Coast: centred},
			{Ring: unit.Thou(8), Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, end), Coast: markAt(mid, -end)}}, More, "paint and read both", practiceSource},
		{"and read again", []Attempt{
			{Backlash: thous(14, 14, 15, 14), Drive: centred, Coast: centred},
			{Ring: unit.Thou(8), Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, end), Coast: markAt(mid, -end), Sure: true}}, Cannot, "crossed", practiceSource},
		{"reads good where it cannot be", []Attempt{
			{Backlash: thous(14, 14, 15, 14), Drive: centred, Coast: centred},
			{Backlash: thous(14, 14, 15, 14), Drive: centred, Coast: centred},
			{Ring: unit.Thou(-8), Backlash: thous(8, 8, 9, 8), Drive: centred, Coast: centred}}, Good, "", "a slip of the side that happens to help is good all the same, " + practiceSource},
	} {
		a, err := Recommend(Request{Sheet: lapwing, Attempts: c.attempts})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if a.Verdict != c.want || !strings.Contains(a.Reason, c.says) {
			t.Errorf("%s: %s, %q; want %s with %q (%s)", c.name, a.Verdict, a.Reason, c.want, c.says, c.source)
		}
		if a.Verdict != Change && a.Verdict != Bracket && (a.Pinion != 0 || a.Ring != 0) {
			t.Errorf("%s: a %s that moves things", c.name, a.Verdict)
		}
		if (a.Verdict == Cannot || a.Verdict == More) && len(a.Causes) == 0 {
			t.Errorf("%s: %s without a word on what to look at", c.name, a.Verdict)
		}
		if c.want == Bracket && !(a.Ring.Abs() > unit.Thou(3) && a.Pinion == 0) {
			t.Errorf("%s: pinion %.3f mm, ring gear %.3f mm", c.name, a.Pinion.MM(), a.Ring.MM())
		}
	}
}

// The shims that went the wrong way are named, and one move recovers from where
// the parts are: the move that was meant, twice.
func TestWrongSide(t *testing.T) {
	for _, s := range shippedSheets(t) {
		step := unit.Thou(8)
		centred := markAt(mid, mid)
		attempts := []Attempt{
			{Backlash: thous(14, 14, 14.5, 14), Drive: centred, Coast: centred},
			{Ring: step, Backlash: thous(20, 20, 20.5, 20), Drive: centred, Coast: centred},
		}
		a, err := Recommend(Request{Sheet: s, Attempts: attempts})
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict != Change || !strings.Contains(a.Reason, "the other way") {
			t.Errorf("%s: %s, %q", s.Name, a.Verdict, a.Reason)
		}
		if a.Ring < step*3/2 || a.Ring > step*5/2 || a.Pinion.Abs() > unit.Thou(3) {
			t.Errorf("%s: pinion %s, ring gear %s; want about twice %s towards the pinion", s.Name, s.Units.Signed(a.Pinion), s.Units.Signed(a.Ring), s.Units.Length(step))
		}
		checkHousing(t, s, a)
	}
}

// One reading that does not fit is named, and the change does not follow it.
func TestMisreadIsNamed(t *testing.T) {
	s := sheetNamed(t, "lapwing")
	centred := markAt(mid, mid)
	attempts := []Attempt{
		{Backlash: thous(14, 14, 14.5, 14), Drive: centred, Coast: centred},
		{Ring: unit.Thou(4), Backlash: thous(11, 11, 11.5, 11), Drive: centred, Coast: centred},
		{Ring: unit.Thou(7), Backlash: thous(19, 19, 19.5, 19), Drive: centred, Coast: centred}, // 9, and the dial's hand went round once more
	}
	a, err := Recommend(Request{Sheet: s, Attempts: attempts})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(a.Doubt, "backlash") || !strings.Contains(a.Reason, "take it again") {
		t.Errorf("doubt %q, reason %q: the backlash of 19 thou does not fit 14 and 11", a.Doubt, a.Reason)
	}
	if a.Ring.Abs() > unit.Thou(5) {
		t.Errorf("ring gear %s: the change follows a reading that cannot be", s.Units.Signed(a.Ring))
	}
}

func TestUsedSet(t *testing.T) {
	s := sheetNamed(t, "lapwing")
	old := &Target{Backlash: unit.Thou(13), Drive: markAt(-end, mid), Coast: markAt(-end, mid)}
	back, err := Recommend(Request{Sheet: s, Used: old, Attempts: []Attempt{{Backlash: thous(13, 13, 13.5, 13), Drive: old.Drive, Coast: old.Coast}}})
	if err != nil {
		t.Fatal(err)
	}
	if back.Verdict != Good {
		t.Errorf("a used set back at its old lash and pattern: %s, %q (%s)", back.Verdict, back.Reason, practiceSource)
	}
	fresh, err := Recommend(Request{Sheet: s, Used: old, Attempts: []Attempt{{Backlash: thous(8, 8, 8.5, 8), Drive: old.Drive, Coast: old.Coast}}})
	if err != nil {
		t.Fatal(err)
	}
	if fresh.Verdict != Change || fresh.Ring >= 0 || (fresh.Backlash.Mean-unit.Thou(13)).Abs() > unit.Thou(2) {
		t.Errorf("a used set at a new set's lash: %s, ring gear %s, predicts %s; want it opened to about 13 thou (%s)", fresh.Verdict, s.Units.Signed(fresh.Ring), s.Units.Length(fresh.Backlash.Mean), practiceSource)
	}
}

func TestReverseCut(t *testing.T) {
	normal, err := newAxle(sheetNamed(t, "lapwing"))
	if err != nil {
		t.Fatal(err)
	}
	reverse, err := newAxle(sheetNamed(t, "curlew"))
	if err != nil {
		t.Fatal(err)
	}
	// Deeper takes the drive pattern to the toe and coast to the heel; on a reverse
	// cut set drive is on the other flank. Common practice, no source.
	if n, r := normal.prior.PinionSlope, reverse.prior.PinionSlope; !(n[0].Mean < 0 && n[2].Mean > 0 && r[0].Mean > 0 && r[2].Mean < 0) {
		t.Errorf("deeper moves drive %+.2f and coast %+.2f along the tooth, reverse cut %+.2f and %+.2f per mm", n[0].Mean, n[2].Mean, r[0].Mean, r[2].Mean)
	}
	for _, a := range []*axle{normal, reverse} {
		if !a.model {
			t.Error("the contact model could not be made of a shipped sheet")
		}
		if p := a.prior.PinionSlope; !(p[1].Mean < -1 && p[3].Mean < -1) {
			t.Errorf("deeper moves the patterns by %+.2f and %+.2f root to top per mm; both go to the root (%s)", p[1].Mean, p[3].Mean, practiceSource)
		}
	}
}

// Backlash after the final bearings: a taller head bearing pushes the pinion
// deeper, and the shim that makes up for it is thinner by as much (under a
// cartridge, thicker).
func TestFinalBearings(t *testing.T) {
	for _, s := range shippedSheets(t) {
		taller := unit.MM(0.08)
		req := Request{Sheet: s, Attempts: []Attempt{{Backlash: thous(8, 8, 9, 8), Drive: markAt(mid, mid), Coast: markAt(mid, mid)}}, Final: &FinalBearings{HeadTaller: taller, RingShift: unit.MM(0.01)}}
		a, err := Recommend(req)
		if err != nil {
			t.Fatal(err)
		}
		if a.Final == nil {
			t.Fatalf("%s: nothing foretold of the final bearings", s.Name)
		}
		want := -taller * unit.Length(s.Pinion.Shim.Deeper())
		if (a.Final.Shim - want).Abs() > 1e-12 {
			t.Errorf("%s: pinion shim %s, want %s (%s)", s.Name, s.Units.Signed(a.Final.Shim), s.Units.Signed(want), practiceSource)
		}
		if !(a.Final.AsIs.Mean < a.Final.Backlash.Mean && a.Final.Backlash.Mean < unit.Thou(8.4)) {
			t.Errorf("%s: final backlash %s with the shim made up, %s without; the deeper pinion closes it", s.Name, s.Units.Length(a.Final.Backlash.Mean), s.Units.Length(a.Final.AsIs.Mean))
		}
	}
}

func TestRefuses(t *testing.T) {
	s := sheetNamed(t, "lapwing")
	nan := unit.Length(math.NaN())
	bare := *s
	bare.Limits.Backlash = rules.LengthRange{}
	odd := *s
	odd.Ring.OutsideDiameter = unit.MM(5)
	for name, req := range map[string]Request{
		"no sheet":            {},
		"no backlash range":   {Sheet: &bare, Attempts: []Attempt{{}}},
		"no gear set":         {Sheet: &odd, Attempts: []Attempt{{Backlash: thous(8)}}},
		"backlash NaN":        {Sheet: s, Attempts: []Attempt{{Backlash: []unit.Length{nan}}}},
		"negative backlash":   {Sheet: s, Attempts: []Attempt{{Backlash: thous(-4)}}},
		"move NaN":            {Sheet: s, Attempts: []Attempt{{Pinion: nan, Backlash: thous(8)}}},
		"pattern off the end": {Sheet: s, Attempts: []Attempt{{Backlash: thous(8), Drive: markAt(3, 0)}}},
		"stack NaN":           {Sheet: s, Attempts: []Attempt{{Backlash: thous(8), Stacks: Stacks{Pinion: Stack{Known: true, Thickness: nan}}}}},
		"old backlash NaN":    {Sheet: s, Used: &Target{Backlash: nan}, Attempts: []Attempt{{Backlash: thous(8)}}},
	} {
		a, err := Recommend(req)
		if err == nil {
			t.Errorf("%s: %s without an error", name, a.Verdict)
		} else if text := err.Error(); text == "" || strings.Contains(text, "\n") {
			t.Errorf("%s: %q is not a sentence", name, text)
		}
	}
	if _, err := Recommend(Request{}); !errors.Is(err, ErrRequest) {
		t.Errorf("no sheet: %v, want ErrRequest", err)
	}
}

// Whatever is read, the answer is whole: a verdict, numbers that are numbers, a
// reason, moves that the housing can make and that caution allows.
func TestAnyReadings(t *testing.T) {
	sheets := shippedSheets(t)
	var adviser Adviser
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(sheets).Draw(t, "sheet")
		req := Request{Sheet: s, Alone: rapid.Bool().Draw(t, "alone")}
		place := rapid.SampledFrom([]float64{-1, -end, -0.3, mid, 0.3, end, 1})
		mark := func() Mark {
			return Mark{Along: place.Draw(t, "along"), Across: place.Draw(t, "across"), AlongKnown: rapid.Bool().Draw(t, "along known"), AcrossKnown: rapid.Bool().Draw(t, "across known"),
				AlongFine: rapid.Bool().Draw(t, "fine")}
		}
		for range rapid.IntRange(1, 4).Draw(t, "attempts") {
			a := Attempt{Pinion: unit.Thou(float64(rapid.IntRange(-15, 15).Draw(t, "pinion"))), Ring: unit.Thou(float64(rapid.IntRange(-30, 30).Draw(t, "ring"))), Drive: mark(), Coast: mark()}
			middle := rapid.Float64Range(0, 40).Draw(t, "lash")
			for range rapid.IntRange(0, 8).Draw(t, "places") {
				a.Backlash = append(a.Backlash, unit.Thou(max(0, middle+rapid.Float64Range(-1.5, 1.5).Draw(t, "off"))))
			}
			a.Stacks.Pinion = Stack{Known: rapid.Bool().Draw(t, "known"), Thickness: unit.Thou(float64(rapid.IntRange(25, 60).Draw(t, "stack")))}
			req.Attempts = append(req.Attempts, a)
		}
		a, err := adviser.Recommend(req)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Contains([]Verdict{Good, Change, Bracket, Cannot, More}, a.Verdict) || a.Reason == "" {
			t.Fatalf("verdict %q, reason %q", a.Verdict, a.Reason)
		}
		for _, v := range []float64{a.Pinion.MM(), a.Ring.MM(), a.Backlash.Mean.MM(), a.Backlash.Low.MM(), a.Backlash.High.MM(), a.Drive.Along, a.Drive.Across, a.Coast.Along, a.Coast.Across, a.Chance} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", a)
			}
		}
		if a.Pinion.Abs() > unit.MM(0.44) || a.Ring.Abs() > unit.MM(1.3) || a.Pinion.Abs() > unit.MM(0.19) && a.Ring.Abs() > unit.MM(0.36) {
			t.Fatalf("pinion %s and ring gear %s in one step", s.Units.Signed(a.Pinion), s.Units.Signed(a.Ring))
		}
		if strings.Contains(a.Reason, "NaN") || strings.Contains(a.Reason, "%!") {
			t.Fatalf("reason %q", a.Reason)
		}
	})
}
