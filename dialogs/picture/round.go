package picture

import (
	"io"
	"math"
	"slices"
	"strconv"

	"shimwright/calc/unit"
)

// BacklashPicture is backlash read round the ring gear, with the limits it must
// keep and the once-round wave fitted to it.
type BacklashPicture struct {
	Title       string // empty: the labels' own
	Units       unit.System
	Readings    []RoundReading // 1 to MaxReadings, in any order
	Low, High   unit.Length    // the limits; High 0: no limits
	SpreadLimit unit.Length    // 0: none
	Wave        *Wave          // nil: none fitted
	Clock       bool           // the places are clock positions
	Notes       []string       // further lines, at most MaxNotes
}

// RoundReading is one backlash reading: where round the ring gear (any angle,
// counted the same way for all), what the technician calls the place ("12",
// "bolt 3"), and the backlash (0 to 10 mm).
type RoundReading struct {
	At    unit.Angle
	Place string // empty: its number in the order round the ring
	Value unit.Length
}

// Wave is the first harmonic of backlash round the ring: at the angle θ it is
// Mean + Amplitude·cos(θ − Widest).
type Wave struct {
	Mean, Amplitude unit.Length // of which Amplitude is not negative
	Widest          unit.Angle
}

// at gives the fitted backlash at an angle.
func (w Wave) at(a unit.Angle) unit.Length {
	return w.Mean + w.Amplitude*unit.Length(math.Cos((a-w.Widest).Rad()))
}

// MaxReadings is how many readings a picture takes.
const MaxReadings = 72

// mostBacklash is far more than any axle has, and still a figure to draw.
const mostBacklash = unit.Length(10)

// onLimit is how far a reading may lie past a limit and still count as on it: a
// figure that was typed in thou and a limit kept in millimetres must meet.
const onLimit = unit.Length(1e-6)

func (p BacklashPicture) check() error {
	if len(p.Readings) == 0 || len(p.Readings) > MaxReadings {
		return inputError("%d readings, want 1 to %d", len(p.Readings), MaxReadings)
	}
	for i, r := range p.Readings {
		if !finite(r.At.Rad()) || math.Abs(r.At.Rad()) > 1e6 {
			return inputError("reading %d: angle %v", i+1, float64(r.At))
		}
		if !finite(r.Value.MM()) || r.Value < 0 || r.Value > mostBacklash {
			return inputError("reading %d: backlash %v mm, want 0 to %v", i+1, float64(r.Value), float64(mostBacklash))
		}
	}
	for _, v := range [...]unit.Length{p.Low, p.High, p.SpreadLimit} {
		if !finite(v.MM()) || v < 0 || v > mostBacklash {
			return inputError("limit %v mm", float64(v))
		}
	}
	if p.High != 0 && p.Low >= p.High {
		return inputError("limits from %v to %v mm", float64(p.Low), float64(p.High))
	}
	if w := p.Wave; w != nil {
		if !finite(w.Mean.MM(), w.Amplitude.MM(), w.Widest.Rad()) || w.Mean.Abs() > mostBacklash || w.Amplitude < 0 || w.Amplitude > mostBacklash || math.Abs(w.Widest.Rad()) > 1e6 {
			return inputError("wave %v", *w)
		}
	}
	if len(p.Notes) > MaxNotes {
		return inputError("%d notes, at most %d", len(p.Notes), MaxNotes)
	}
	return nil
}

// turn gives an angle as a part of a turn, from 0 up to 1.
func turn(a unit.Angle) float64 {
	t := math.Mod(a.Rad()/(2*math.Pi), 1)
	if t < 0 {
		t++
	}
	if t >= 1-1e-9 { // a hair below a full turn is the start
		t = 0
	}
	return t
}

// sorted gives the readings in their order round the ring, each with a place.
func (p BacklashPicture) sorted() []RoundReading {
	out := slices.Clone(p.Readings)
	slices.SortStableFunc(out, func(a, b RoundReading) int {
		switch ta, tb := turn(a.At), turn(b.At); {
		case ta < tb:
			return -1
		case ta > tb:
			return 1
		}
		return 0
	})
	for i := range out {
		if out[i].Place == "" {
			out[i].Place = strconv.Itoa(i + 1)
		}
	}
	return out
}

// extremes gives the indexes of the tightest and the widest reading.
func extremes(r []RoundReading) (tightest, widest int) {
	for i := range r {
		if r[i].Value < r[tightest].Value {
			tightest = i
		}
		if r[i].Value > r[widest].Value {
			widest = i
		}
	}
	return tightest, widest
}

// side says where a value lies: −1 below the limits, +1 above, 0 inside or no
// limits.
func (p BacklashPicture) side(v unit.Length) int {
	switch {
	case p.High == 0:
		return 0
	case v < p.Low-onLimit:
		return -1
	case v > p.High+onLimit:
		return 1
	}
	return 0
}

// Backlash writes the backlash picture as a PNG. It errs (ErrInput) where a
// figure is not a number or out of its range.
func (p *Painter) Backlash(w io.Writer, pic BacklashPicture) error {
	if err := pic.check(); err != nil {
		return err
	}
	return p.paint(w, func(s *sheet) error { return pic.draw(s, p.labels) })
}

func (p BacklashPicture) title(l Labels) string {
	if p.Title != "" {
		return p.Title
	}
	return l.Round
}

func (p BacklashPicture) note(l Labels) string {
	u := l.Inches
	if p.Units == unit.Metric {
		u = l.Millimetres
	}
	text := say(l.Readings, "n", strconv.Itoa(len(p.Readings)), "unit", u)
	if p.Clock {
		text += l.ByTheClock
	}
	return text
}

// spoken gives a place the way it is spoken of: "9 o'clock", "bolt 3".
func (p BacklashPicture) spoken(l Labels, place string) string {
	if _, err := strconv.Atoi(place); p.Clock && err == nil {
		return say(l.OClock, "place", place)
	}
	return place
}

// fact is a line under a picture; bad marks one that asks for attention, wave
// the one that speaks of the fitted curve.
type fact struct {
	text      string
	bad, wave bool
}

// facts gives the lines under the plot.
func (p BacklashPicture) facts(l Labels) []fact {
	r := p.sorted()
	lo, hi := extremes(r)
	low, high := r[lo].Value, r[hi].Value
	out := []fact{{text: say(l.Tightest, "value", length(p.Units, low), "place", p.spoken(l, r[lo].Place))}}
	if len(r) > 1 {
		out = append(out,
			fact{text: say(l.Widest, "value", length(p.Units, high), "place", p.spoken(l, r[hi].Place))},
			p.spreadFact(l, high-low))
	}
	if p.High > 0 {
		template := l.RangeInside
		below, above := p.side(low) < 0, p.side(high) > 0
		switch {
		case below && above:
			template = l.RangeBoth
		case below:
			template = l.RangeBelow
		case above:
			template = l.RangeAbove
		}
		out = append(out, fact{text: say(template, "low", figure(p.Units, p.Low), "high", length(p.Units, p.High)), bad: below || above})
	}
	if w := p.Wave; w != nil {
		out = append(out, fact{text: say(l.Wave, "value", length(p.Units, w.Amplitude), "place", p.spoken(l, nearest(r, w.Widest))), wave: true})
	}
	return out
}

func (p BacklashPicture) spreadFact(l Labels, spread unit.Length) fact {
	template, bad := l.Spread, false
	if p.SpreadLimit > 0 {
		template = l.SpreadInside
		if spread > p.SpreadLimit+onLimit {
			template, bad = l.SpreadOver, true
		}
	}
	return fact{text: say(template, "value", length(p.Units, spread), "limit", length(p.Units, p.SpreadLimit)), bad: bad}
}

// nearest gives the place of the reading nearest to an angle.
func nearest(r []RoundReading, a unit.Angle) string {
	best, at := math.Inf(1), 0
	for i := range r {
		d := math.Abs(turn(r[i].At) - turn(a))
		if d = math.Min(d, 1-d); d < best {
			best, at = d, i
		}
	}
	return r[at].Place
}
