package picture

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// limitRows finds the rows of the upper and lower edge of the band: those in
// which a good part of the columns has its colour.
func (s *sheet) limitRows() (top, bottom float64) {
	top = math.Inf(1)
	for y := 0.0; y < s.y; y++ {
		n := 0
		for x := margin + 4.0; x < Width-margin-4; x += 3 {
			if near(s.pixel(x, y), band, 6) {
				n++
			}
		}
		if n > 67 {
			top, bottom = math.Min(top, y), y+1
		}
	}
	return top, bottom
}

// TestCurveAndMarksAreWhereTheValuesAre reads the scale off the picture itself,
// from the edges of the band, and with it the curve and the marks.
func TestCurveAndMarksAreWhereTheValuesAre(t *testing.T) {
	fewer(t, 5)
	p := painter(t)
	rapid.Check(t, func(rt *rapid.T) {
		pic := BacklashPicture{Units: unit.InchUnits, Low: unit.Thou(6), High: unit.Thou(10)}
		pic.Wave = &Wave{Mean: unit.Thou(rapid.Float64Range(7, 9).Draw(rt, "mean")), Amplitude: unit.Thou(rapid.Float64Range(0.2, 2).Draw(rt, "amplitude")), Widest: unit.Deg(rapid.Float64Range(-360, 360).Draw(rt, "widest"))}
		const n = 8
		first := rapid.Float64Range(0, 360.0/n-0.1).Draw(rt, "first")
		for i := range n {
			pic.Readings = append(pic.Readings, RoundReading{At: unit.Deg(first + 360.0/n*float64(i)), Place: "x", Value: unit.Thou(rapid.Float64Range(4, 12).Draw(rt, "value"))})
		}
		s := drawn(t, p, backlashDrawing("any", pic))
		defer p.sheets.Put(s)
		top, bottom := s.limitRows()
		if top >= bottom {
			rt.Fatal("no band")
		}
		value := func(y float64) float64 { return 10 - 4*(y-top)/(bottom-top) } // thou
		for i := range 24 {
			// the reading 0 stands half a step, and every other as much further
			f := (float64(i) + 0.5) / 24
			x := margin + (Width-2*margin)*f
			angle := unit.Deg(first + 360*(f-0.5/n))
			var sum, count float64
			for y := 0.0; y < s.y; y++ {
				if near(s.pixel(x, y), blue, 8) && y < bottom+200 && y > top-200 {
					sum, count = sum+y, count+1
				}
			}
			if count < 2 {
				continue // a mark or a figure stands on it
			}
			if got, want := value(sum/count+0.5), pic.Wave.Mean.Thou()+pic.Wave.Amplitude.Thou()*math.Cos(angle.Rad()-pic.Wave.Widest.Rad()); math.Abs(got-want) > 0.12 && count < 14 {
				rt.Errorf("at %.0f° the curve is drawn at %.2f thou, want %.2f", angle.Deg(), got, want)
			}
		}
		for i, r := range pic.Readings {
			x := margin + (Width-2*margin)*(float64(i)+0.5)/n
			y := top + (10-r.Value.Thou())/4*(bottom-top)
			if got := s.pixel(x, y); !near(got, ink, 40) && !near(got, alarm, 40) {
				rt.Errorf("no mark at reading %d, %.2f thou: %v", i, r.Value.Thou(), got)
			}
			out := r.Value < pic.Low-onLimit || r.Value > pic.High+onLimit
			if got := near(s.pixel(x, y), alarm, 40); got != out {
				rt.Errorf("reading %d of %.2f thou, limits 6 to 10: marked as outside %v", i, r.Value.Thou(), got)
			}
		}
	})
}

func TestBacklashFacts(t *testing.T) {
	l := English()
	inches := func(clock bool, values ...float64) BacklashPicture {
		p := BacklashPicture{Units: unit.InchUnits, Clock: clock, Low: unit.Thou(6), High: unit.Thou(10), SpreadLimit: unit.Thou(3)}
		for i, v := range values {
			p.Readings = append(p.Readings, RoundReading{At: unit.Deg(360 * float64(i) / float64(len(values))), Place: []string{"12", "3", "6", "9"}[i%4], Value: unit.Inch(v)})
		}
		return p
	}
	metric := BacklashPicture{Units: unit.Metric, Low: unit.MM(0.15), High: unit.MM(0.25), SpreadLimit: unit.MM(0.1)}
	for i, v := range []float64{0.15, 0.25, 0.2} {
		metric.Readings = append(metric.Readings, RoundReading{At: unit.Deg(float64(120 * i)), Value: unit.MM(v)})
	}
	waved := inches(true, 0.008, 0.009, 0.008, 0.007)
	waved.Wave = &Wave{Mean: unit.Thou(8), Amplitude: unit.Thou(1), Widest: unit.Deg(90)}
	for _, row := range []struct {
		name   string
		pic    BacklashPicture
		want   string // ! marks a line that asks for attention
		source string
	}{
		{"inside", inches(true, 0.008, 0.008, 0.009, 0.008), "tightest 0.008 in at 12 o'clock|widest 0.009 in at 6 o'clock|spread 0.001 in, inside its limit 0.003 in|inside the limits 0.006 to 0.010 in", "derived"},
		{"on both limits, on the spread", inches(false, 0.006, 0.009, 0.009, 0.009), "tightest 0.006 in at 12|widest 0.009 in at 3|spread 0.003 in, inside its limit 0.003 in|inside the limits 0.006 to 0.010 in", "a reading on a limit is inside: it is judged at its tightest point (common practice, no source)"},
		{"below and over", inches(true, 0.005, 0.009, 0.008, 0.008), "tightest 0.005 in at 12 o'clock|widest 0.009 in at 3 o'clock|!spread 0.004 in, over its limit 0.003 in|!below the limits 0.006 to 0.010 in", "derived"},
		{"above", inches(true, 0.010, 0.011, 0.010, 0.010), "tightest 0.010 in at 12 o'clock|widest 0.011 in at 3 o'clock|spread 0.001 in, inside its limit 0.003 in|!above the limits 0.006 to 0.010 in", "derived"},
		{"both", inches(true, 0.005, 0.011), "tightest 0.005 in at 12 o'clock|widest 0.011 in at 3 o'clock|!spread 0.006 in, over its limit 0.003 in|!below and above the limits 0.006 to 0.010 in", "derived"},
		{"one", inches(true, 0.008), "tightest 0.008 in at 12 o'clock|inside the limits 0.006 to 0.010 in", "derived"},
		{"metric, numbered", metric, "tightest 0.15 mm at 1|widest 0.25 mm at 2|spread 0.10 mm, inside its limit 0.10 mm|inside the limits 0.15 to 0.25 mm", "derived"},
		{"wave", waved, "tightest 0.007 in at 9 o'clock|widest 0.009 in at 3 o'clock|spread 0.002 in, inside its limit 0.003 in|inside the limits 0.006 to 0.010 in|once-round wave ±0.001 in, widest near 3 o'clock", "derived"},
	} {
		var got []string
		for _, f := range row.pic.facts(l) {
			text := f.text
			if f.bad {
				text = "!" + text
			}
			got = append(got, text)
		}
		if g := strings.Join(got, "|"); g != row.want {
			t.Errorf("%s: got  %s\nwant %s\n(%s)", row.name, g, row.want, row.source)
		}
	}
}

func TestReadingsAreOrderedRoundTheRing(t *testing.T) {
	pic := BacklashPicture{Readings: []RoundReading{
		{At: unit.Deg(270), Place: "9"}, {At: unit.Deg(-360), Place: "12"}, {At: unit.Deg(450), Place: "3"}, {At: unit.Deg(180), Place: "6"}, {At: unit.Deg(359.99999999999), Place: "12 again"},
	}}
	var got []string
	for _, r := range pic.sorted() {
		got = append(got, r.Place)
	}
	if g := strings.Join(got, " "); g != "12 12 again 3 6 9" {
		t.Errorf("order %q", g)
	}
	rapid.Check(t, func(rt *rapid.T) {
		a := rapid.Float64Range(-1e5, 1e5).Draw(rt, "angle")
		if v := turn(unit.Rad(a)); v < 0 || v >= 1 {
			rt.Fatalf("%g rad is %g of a turn", a, v)
		}
	})
}

func TestBacklashRefuses(t *testing.T) {
	nan := math.NaN()
	ok := []RoundReading{{Value: unit.Thou(8)}}
	p := painter(t)
	for name, pic := range map[string]BacklashPicture{
		"none":        {},
		"too many":    {Readings: make([]RoundReading, MaxReadings+1)},
		"nan":         {Readings: []RoundReading{{Value: unit.Length(nan)}}},
		"negative":    {Readings: []RoundReading{{Value: unit.Thou(-1)}}},
		"huge":        {Readings: []RoundReading{{Value: unit.MM(11)}}},
		"angle":       {Readings: []RoundReading{{At: unit.Angle(math.Inf(1)), Value: 1}}},
		"limit nan":   {Readings: ok, High: unit.Length(nan)},
		"limits":      {Readings: ok, Low: unit.Thou(10), High: unit.Thou(6)},
		"spread":      {Readings: ok, SpreadLimit: unit.Thou(-1)},
		"wave":        {Readings: ok, Wave: &Wave{Mean: unit.Length(nan)}},
		"wave turned": {Readings: ok, Wave: &Wave{Amplitude: unit.Thou(-1)}},
		"notes":       {Readings: ok, Notes: make([]string, MaxNotes+1)},
	} {
		var b bytes.Buffer
		if err := p.Backlash(&b, pic); !errors.Is(err, ErrInput) || b.Len() > 0 {
			t.Errorf("%s: got %v and %d bytes, want ErrInput and none", name, err, b.Len())
		}
		if alt := pic.AltText(English()); alt != "" {
			t.Errorf("%s: alt text %q", name, alt)
		}
	}
	for name, pic := range map[string]ChoicePicture{"cell": {Drive: 10}, "negative": {Coast: -1}, "flank": {Ask: 3}} {
		if err := p.Choices(&bytes.Buffer{}, pic); !errors.Is(err, ErrInput) || pic.AltText(English()) != "" {
			t.Errorf("%s: %v, want ErrInput", name, err)
		}
	}
	for name, pic := range map[string]StacksPicture{
		"none":       {},
		"too many":   {Stacks: make([]Stack, MaxStacks+1)},
		"leaves":     {Stacks: []Stack{{Leaves: make([]Leaf, MaxLeaves+1)}}},
		"no leaf":    {Stacks: []Stack{{Leaves: []Leaf{{}}}}},
		"nan":        {Stacks: []Stack{{Leaves: []Leaf{{Thickness: unit.Length(nan)}}}}},
		"thick":      {Stacks: []Stack{{Leaves: []Leaf{{Thickness: 26}}}}},
		"was":        {Stacks: []Stack{{Was: new(unit.Length(nan))}}},
		"wanted":     {Stacks: []Stack{{Wanted: new(unit.Length(math.Inf(-1)))}}},
		"many notes": {Stacks: []Stack{{}}, Notes: make([]string, MaxNotes+1)},
	} {
		if err := p.Stacks(&bytes.Buffer{}, pic); !errors.Is(err, ErrInput) || pic.AltText(English()) != "" {
			t.Errorf("%s: %v, want ErrInput", name, err)
		}
	}
}
