package depth

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

func thou(v float64) unit.Length { return unit.Thou(v) }

func TestFromOldTable(t *testing.T) {
	const trade = "common practice, no source: + farther, new = old + (old mark − new mark), the opposite under a cartridge"
	const height = "common practice, no source: a taller bearing pushes the pinion deeper by the difference"
	for _, c := range []struct {
		name   string
		in     Old
		want   float64 // thou
		source string
	}{
		{"head bearing, farther", Old{Sense: ThickerDeeper, Shim: thou(30), OldMark: Mark{thou(2), Farther}, NewMark: Mark{thou(-1), Farther}}, 33, trade},
		{"head bearing, nearer", Old{Sense: ThickerDeeper, Shim: thou(30), OldMark: Mark{thou(2), Nearer}, NewMark: Mark{thou(-1), Nearer}}, 27, trade},
		{"cartridge, farther", Old{Sense: ThickerShallower, Shim: thou(30), OldMark: Mark{thou(2), Farther}, NewMark: Mark{thou(-1), Farther}}, 27, trade},
		{"cartridge, nearer", Old{Sense: ThickerShallower, Shim: thou(30), OldMark: Mark{thou(2), Nearer}, NewMark: Mark{thou(-1), Nearer}}, 33, trade},
		{"paper says thicker, head bearing", Old{Sense: ThickerDeeper, Shim: thou(30), OldMark: Mark{thou(2), ThickerShim}, NewMark: Mark{thou(-1), ThickerShim}}, 27, "derived from the convention's words"},
		{"paper says thicker, cartridge", Old{Sense: ThickerShallower, Shim: thou(30), OldMark: Mark{thou(2), ThickerShim}, NewMark: Mark{thou(-1), ThickerShim}}, 27, "derived from the convention's words"},
		{"paper says thinner, cartridge", Old{Sense: ThickerShallower, Shim: thou(30), OldMark: Mark{thou(2), ThinnerShim}, NewMark: Mark{thou(-1), ThinnerShim}}, 33, "derived from the convention's words"},
		{"old and new of different conventions", Old{Sense: ThickerDeeper, Shim: thou(30), OldMark: Mark{thou(2), Farther}, NewMark: Mark{thou(2), Nearer}}, 34, "derived: from 2 farther to 2 nearer is 4 deeper"},
		{"no marks", Old{Sense: ThickerDeeper, Shim: thou(30)}, 30, "derived"},
		{"same mark, meaning unknown", Old{Sense: ThickerDeeper, Shim: thou(30), OldMark: Mark{thou(3), Unknown}, NewMark: Mark{thou(3), Unknown}}, 30, "derived: no difference in any convention"},
		{"taller bearing, head bearing", Old{Sense: ThickerDeeper, Shim: thou(30), Pushes: []Push{{"stand height", thou(1200), thou(1203)}}}, 27, height},
		{"taller bearing, cartridge", Old{Sense: ThickerShallower, Shim: thou(30), Pushes: []Push{{"stand height", thou(1200), thou(1203)}}}, 33, height},
		{"one height not measured", Old{Sense: ThickerDeeper, Shim: thou(30), Pushes: []Push{{"stand height", 0, thou(1203)}}}, 30, "derived: nothing to compare"},
		{"thinner slinger and mark", Old{Sense: ThickerDeeper, Shim: thou(30), OldMark: Mark{thou(0), Farther}, NewMark: Mark{thou(3), Farther}, Pushes: []Push{{"slinger", thou(25), thou(20)}}}, 32, "common practice, no source: slingers are part of the stack"},
		{"metric", Old{Sense: ThickerDeeper, Shim: unit.MM(1.20), OldMark: Mark{unit.Hundredth(-5), Farther}, NewMark: Mark{unit.Hundredth(3), Farther}}, unit.MM(1.12).Thou(), trade},
	} {
		got, err := FromOld(c.in)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(got.Thickness.Thou()-c.want) > 1e-9 {
			t.Errorf("%s: %.4f thou, want %.4f (%s)", c.name, got.Thickness.Thou(), c.want, c.source)
		}
		checkTerms(t, got)
	}
}

func checkTerms(t interface {
	Helper()
	Fatalf(string, ...any)
}, s Shim) {
	t.Helper()
	sum := unit.Length(0)
	for _, term := range s.Terms {
		if term.Name == "" {
			t.Fatalf("a term without a name: %+v", s)
		}
		sum += term.Value
	}
	if (sum - s.Thickness).Abs() > 1e-9 {
		t.Fatalf("terms add up to %v, the shim is %v", sum, s.Thickness)
	}
}

func TestFromGauge(t *testing.T) {
	const source = "common practice, no source: shim = measured without shim − wanted mounting distance ± marking"
	for _, c := range []struct {
		name string
		in   Gauge
		want float64 // mm
	}{
		{"no shim in", Gauge{Sense: ThickerDeeper, Measured: unit.MM(101.50), Wanted: unit.MM(100.70)}, 0.80},
		{"marked farther", Gauge{Sense: ThickerDeeper, Measured: unit.MM(101.50), Wanted: unit.MM(100.70), Mark: Mark{unit.MM(0.05), Farther}}, 0.75},
		{"marked nearer", Gauge{Sense: ThickerDeeper, Measured: unit.MM(101.50), Wanted: unit.MM(100.70), Mark: Mark{unit.MM(0.05), Nearer}}, 0.85},
		{"trial shim in, still too far", Gauge{Sense: ThickerDeeper, Trial: unit.MM(0.60), Measured: unit.MM(100.90), Wanted: unit.MM(100.70)}, 0.80},
		{"cartridge, no shim in", Gauge{Sense: ThickerShallower, Measured: unit.MM(100.20), Wanted: unit.MM(100.70)}, 0.50},
		{"cartridge, trial shim too thick", Gauge{Sense: ThickerShallower, Trial: unit.MM(0.60), Measured: unit.MM(100.80), Wanted: unit.MM(100.70)}, 0.50},
		{"cartridge, marked farther", Gauge{Sense: ThickerShallower, Measured: unit.MM(100.20), Wanted: unit.MM(100.70), Mark: Mark{unit.MM(0.05), Farther}}, 0.55},
		{"final bearing 0.03 taller than the setup bearing", Gauge{Sense: ThickerDeeper, Measured: unit.MM(101.50), Wanted: unit.MM(100.70), Pushes: []Push{{"stand height", unit.MM(30), unit.MM(30.03)}}}, 0.77},
	} {
		got, err := FromGauge(c.in)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(got.Thickness.MM()-c.want) > 1e-9 {
			t.Errorf("%s: %.4f mm, want %.4f (%s)", c.name, got.Thickness.MM(), c.want, source)
		}
		checkTerms(t, got)
	}
}

func TestFinalBearing(t *testing.T) {
	const source = "common practice, no source: a taller final bearing makes the final shim thinner by the difference; a cartridge's thicker"
	for _, c := range []struct {
		sense       Sense
		shim, setup float64
		final, want float64
	}{
		{ThickerDeeper, 32, 1180, 1183, 29},
		{ThickerDeeper, 32, 1180, 1178, 34},
		{ThickerShallower, 32, 1180, 1183, 35},
	} {
		got, err := FinalBearing(c.sense, thou(c.shim), thou(c.setup), thou(c.final))
		if err != nil || math.Abs(got.Thickness.Thou()-c.want) > 1e-9 {
			t.Errorf("%+v: %.4f thou, %v (%s)", c, got.Thickness.Thou(), err, source)
		}
		checkTerms(t, got)
	}
	if _, err := FinalBearing(ThickerDeeper, thou(32), 0, thou(1180)); !errors.Is(err, ErrFigure) {
		t.Errorf("a missing stand height gave %v", err)
	}
}

func TestPack(t *testing.T) {
	const source = "common practice, no source: the pack follows a head bearing or race shim, not a cartridge"
	for _, c := range []struct {
		sense   Sense
		coupled bool
		want    float64
	}{{ThickerDeeper, true, 4}, {ThickerDeeper, false, 0}, {ThickerShallower, true, 0}, {ThickerShallower, false, 0}} {
		if got := Pack(c.sense, c.coupled, thou(4)); math.Abs(got.Thou()-c.want) > 1e-12 {
			t.Errorf("%+v: %.3f thou (%s)", c, got.Thou(), source)
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		in   Old
		want error
		text string
	}{
		{"sense not said", Old{Shim: thou(30)}, ErrFigure, "which way"},
		{"meaning not said", Old{Sense: ThickerDeeper, Shim: thou(30), NewMark: Mark{thou(2), Unknown}}, ErrMeaning, "new marking"},
		{"meaning unheard of", Old{Sense: ThickerDeeper, Shim: thou(30), NewMark: Mark{thou(2), "sideways"}}, ErrMeaning, "sideways"},
		{"mark in whole inches", Old{Sense: ThickerDeeper, Shim: thou(30), NewMark: Mark{unit.Inch(2), Farther}}, ErrFigure, "new marking is 50.80 mm"},
		{"negative result", Old{Sense: ThickerDeeper, Shim: thou(2), NewMark: Mark{thou(9), Farther}}, ErrShim, "below nothing"},
		{"shim not a number", Old{Sense: ThickerDeeper, Shim: unit.MM(math.NaN())}, ErrFigure, "old shim"},
		{"bearings of two kinds", Old{Sense: ThickerDeeper, Shim: thou(30), Pushes: []Push{{"stand height", thou(1200), thou(900)}}}, ErrFigure, "difference"},
	} {
		got, err := FromOld(c.in)
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: error %v, want %v with %q", c.name, err, c.want, c.text)
		}
		if c.want == ErrShim && len(got.Terms) == 0 {
			t.Errorf("%s: no terms to say why", c.name)
		}
	}
	for _, g := range []Gauge{
		{Sense: ThickerDeeper, Measured: unit.MM(100), Wanted: unit.MM(101)},
		{Sense: ThickerShallower, Measured: unit.MM(101), Wanted: unit.MM(100)},
		{Sense: ThickerDeeper, Measured: unit.MM(math.Inf(1)), Wanted: unit.MM(100)},
		{Sense: ThickerDeeper, Measured: unit.MM(100)},
		{Sense: ThickerDeeper, Measured: unit.MM(150), Wanted: unit.MM(100)},
		{Sense: ThickerDeeper, Measured: unit.MM(101), Wanted: unit.MM(100), Mark: Mark{unit.MM(0.1), Unknown}},
	} {
		if s, err := FromGauge(g); err == nil {
			t.Errorf("%+v gave %+v", g, s)
		}
	}
}

// assembly is an independent model: parts laid end to end along the pinion's
// axis, the head's distance from the ring gear's centre line at the end.
//
// Derivation: the housing's face is at a fixed distance. In a housing the seat is
// that face; in a cartridge the flange stands off the face by the shim and the
// seat is a fixed way inside. From the seat the parts reach towards the centre
// line; the pinion's own head height comes last.
type assembly struct {
	sense      Sense
	face       float64
	shim       float64
	bearing    float64
	slinger    float64
	headHeight float64
}

func (a assembly) distance() float64 {
	if a.sense == ThickerShallower {
		flange := a.face + a.shim // farther from the centre line
		const inside = 40
		return flange + inside - a.bearing - a.slinger - a.headHeight
	}
	return a.face - a.shim - a.bearing - a.slinger - a.headHeight
}

// Whatever changes, the new shim puts the new pinion's head where its marking
// wants it, starting from an old one that was right.
func TestFromOldProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		old := assembly{
			sense: rapid.SampledFrom([]Sense{ThickerDeeper, ThickerShallower}).Draw(t, "sense"),
			face:  150, shim: length("shim", .6, 2), bearing: length("bearing", 20, 40), slinger: length("slinger", .4, 1), headHeight: 20,
		}
		now := old
		now.bearing += length("bearing change", -.1, .1)
		now.slinger += length("slinger change", -.1, .1)
		oldMark := Mark{unit.MM(length("old mark", -.2, .2)), rapid.SampledFrom([]Meaning{Farther, Nearer}).Draw(t, "old meaning")}
		newMark := Mark{unit.MM(length("new mark", -.2, .2)), rapid.SampledFrom([]Meaning{Farther, Nearer}).Draw(t, "new meaning")}
		farther := func(m Mark) float64 {
			if m.Meaning == Farther {
				return m.Value.MM()
			}
			return -m.Value.MM()
		}
		s, err := FromOld(Old{Sense: old.sense, Shim: unit.MM(old.shim), OldMark: oldMark, NewMark: newMark, Pushes: []Push{
			{"stand height", unit.MM(old.bearing), unit.MM(now.bearing)}, {"slinger", unit.MM(old.slinger), unit.MM(now.slinger)},
		}})
		if err != nil {
			if errors.Is(err, ErrShim) {
				return
			}
			t.Fatal(err)
		}
		checkTerms(t, s)
		now.shim = s.Thickness.MM()
		got := now.distance() - old.distance()
		if want := farther(newMark) - farther(oldMark); math.Abs(got-want) > 1e-9 {
			t.Fatalf("the head moved %.6f away, the markings want %.6f", got, want)
		}

		// And by the gauge: measure with any trial shim, get the same shim.
		trial := now
		trial.shim = length("trial", 0, 2)
		g, err := FromGauge(Gauge{Sense: old.sense, Trial: unit.MM(trial.shim), Measured: unit.MM(trial.distance()),
			Wanted: unit.MM(old.distance() - farther(oldMark)), Mark: newMark})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs((g.Thickness - s.Thickness).MM()) > 1e-9 {
			t.Fatalf("by the gauge %v, from the old shim %v", g.Thickness, s.Thickness)
		}
		if change := unit.MM(length("move", -.5, .5)); old.sense.DepthOf(old.sense.ShimFor(change)) != change {
			t.Fatal("a depth change and back is not the same")
		}
	})
}

func FuzzFromOld(f *testing.F) {
	f.Add(1, 0.8, 0.05, -0.02, 30.0, 30.1)
	f.Add(-1, 0.0, math.Inf(1), 0.0, 0.0, -5.0)
	f.Fuzz(func(t *testing.T, sense int, shim, a, b, c, d float64) {
		s, err := FromOld(Old{Sense: Sense(sense), Shim: unit.MM(shim), OldMark: Mark{unit.MM(a), Farther}, NewMark: Mark{unit.MM(b), ThickerShim},
			Pushes: []Push{{"stand height", unit.MM(c), unit.MM(d)}}})
		if err == nil && !(s.Thickness >= thinnest && s.Thickness <= maxShim) {
			t.Fatalf("no error, but %+v", s)
		}
	})
}
