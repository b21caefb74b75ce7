package fastener

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"shimwright/calc/unit"
)

// Thread is a screw thread of 60° form: Unified inch or ISO metric.
type Thread struct {
	Diameter unit.Length // nominal (major) diameter
	Pitch    unit.Length
	Metric   bool
	name     string
}

// Name writes the thread as it is said: 7/16-20, M10x1.25.
func (t Thread) Name() string {
	switch {
	case t.Metric:
		return "M" + plain(t.Diameter.MM()) + "x" + plain(t.Pitch.MM())
	case t.name != "":
		return t.name + "-" + plain(t.PerInch())
	}
	return plain(t.Diameter.Inch()) + "-" + plain(t.PerInch())
}

func plain(v float64) string { return strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64) }

// PerInch gives threads in an inch.
func (t Thread) PerInch() float64 { return 1 / t.Pitch.Inch() }

// inchSeries are Unified sizes by their name, with threads in an inch of the
// coarse and the fine series. Source: ASME B1.1 series, as tabled on
// formulafactory.tools (coarse) and boltport.com/threads/unf (fine).
var inchSeries = [...]struct {
	name         string
	diameter     float64
	coarse, fine float64
}{
	{"1/4", 0.25, 20, 28}, {"5/16", 0.3125, 18, 24}, {"3/8", 0.375, 16, 24}, {"7/16", 0.4375, 14, 20},
	{"1/2", 0.5, 13, 20}, {"9/16", 0.5625, 12, 18}, {"5/8", 0.625, 11, 18}, {"3/4", 0.75, 10, 16},
	{"7/8", 0.875, 9, 14}, {"1", 1, 8, 12}, {"1-1/8", 1.125, 7, 12}, {"1-1/4", 1.25, 7, 12},
}

// metricSeries are ISO metric sizes with their coarse and usual fine pitch in mm;
// 0 for no usual fine one. Source: ISO 261, from memory; the coarse pitches of
// M10 and M12 and the fine M10x1.25, M12x1.25 and M14x1.5 as in the torque tables
// of the tests.
var metricSeries = [...]struct{ diameter, coarse, fine float64 }{
	{5, 0.8, 0}, {6, 1, 0}, {7, 1, 0}, {8, 1.25, 1}, {10, 1.5, 1.25}, {12, 1.75, 1.25}, {14, 2, 1.5}, {16, 2, 1.5},
	{18, 2.5, 1.5}, {20, 2.5, 1.5}, {22, 2.5, 1.5}, {24, 3, 2}, {27, 3, 2}, {30, 3.5, 2}, {33, 3.5, 2}, {36, 4, 3},
}

var (
	metricForm = regexp.MustCompile(`^m\s*(\d+(?:\.\d+)?)(?:\s*[x×*-]\s*(\d+(?:\.\d+)?))?$`)
	inchForm   = regexp.MustCompile(`^((?:\d+[- ])?\d+/\d+|\d*\.\d+|1)(?:\s*[-x×]\s*|\s+)?(\d+(?:\.\d+)?)?$`)
)

// ParseThread reads a thread as it is said: "7/16-20", "7/16 fine", "1/2-13 unc",
// "M10x1.25", "m12" (coarse where no pitch is given), "m12 fine". An inch size
// without threads per inch or a series is refused, since both are common. Any
// pitch within a third to three times the series' coarse one is taken.
func ParseThread(text string) (Thread, error) {
	s := strings.ToLower(strings.TrimSpace(strings.NewReplacer(`"`, "", "–", "-", ",", ".").Replace(text)))
	fine, coarse := false, false
	for _, w := range []struct {
		word string
		set  *bool
	}{{"unf", &fine}, {"fine", &fine}, {"unc", &coarse}, {"coarse", &coarse}} {
		if rest, ok := strings.CutSuffix(s, w.word); ok {
			*w.set, s = true, strings.TrimRight(rest, " -")
		}
	}
	if m := metricForm.FindStringSubmatch(s); m != nil {
		return metricThread(text, m[1], m[2], fine)
	}
	if m := inchForm.FindStringSubmatch(s); m != nil {
		return inchThread(text, m[1], m[2], fine, coarse)
	}
	return Thread{}, fmt.Errorf("%w: %q is no thread; say 7/16-20 or M10x1.25", ErrFigure, text)
}

func metricThread(text, size, pitch string, fine bool) (Thread, error) {
	d, err := strconv.ParseFloat(size, 64)
	if err != nil {
		return Thread{}, fmt.Errorf("%w: %q", ErrFigure, text)
	}
	for _, s := range metricSeries {
		if s.diameter != d {
			continue
		}
		p := s.coarse
		switch {
		case pitch != "":
			if p, err = strconv.ParseFloat(pitch, 64); err != nil || p > 3*s.coarse || p < s.coarse/3 {
				return Thread{}, fmt.Errorf("%w: %q has a pitch no M%s has", ErrFigure, text, size)
			}
		case fine && s.fine > 0:
			p = s.fine
		}
		return Thread{Diameter: unit.MM(d), Pitch: unit.MM(p), Metric: true}, nil
	}
	return Thread{}, fmt.Errorf("%w: there is no usual thread M%s", ErrFigure, size)
}

func inchThread(text, size, per string, fine, coarse bool) (Thread, error) {
	size = strings.Replace(size, " ", "-", 1)
	for _, s := range inchSeries {
		if d, err := strconv.ParseFloat(size, 64); s.name != size && (err != nil || math.Abs(d-s.diameter) > 5e-4) {
			continue
		}
		n := 0.0
		switch {
		case per != "":
			v, err := strconv.ParseFloat(per, 64)
			if err != nil || v > 3*s.coarse || v < s.coarse/3 {
				return Thread{}, fmt.Errorf("%w: %q has threads per inch no %s has", ErrFigure, text, s.name)
			}
			n = v
		case fine:
			n = s.fine
		case coarse:
			n = s.coarse
		default:
			return Thread{}, fmt.Errorf("%w: %q may be %s-%g or %s-%g; say which", ErrFigure, text, s.name, s.coarse, s.name, s.fine)
		}
		return Thread{Diameter: unit.Inch(s.diameter), Pitch: unit.Inch(1 / n), name: s.name}, nil
	}
	return Thread{}, fmt.Errorf("%w: there is no usual thread %q", ErrFigure, text)
}

// StressArea gives the tensile stress area in mm²: π/4·(d − 0.938194·P)², which is
// the inch tables' 0.7854·(d − 0.9743/n)² to four digits.
//
// Source: ISO 898-1 and ASME B1.1 stress area; checked against boltport.com and
// engineersedge.com tables.
func (t Thread) StressArea() float64 {
	factor := 0.938194
	if !t.Metric {
		factor = 0.9743
	}
	d := t.Diameter.MM() - factor*t.Pitch.MM()
	return math.Pi / 4 * d * d
}

func (t Thread) check() error {
	if err := sensible("thread diameter in mm", t.Diameter.MM(), 1, 200); err != nil {
		return err
	}
	return sensible("thread pitch in mm", t.Pitch.MM(), 0.1, t.Diameter.MM()/2)
}
