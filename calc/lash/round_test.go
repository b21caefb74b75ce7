package lash

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var out []float64
	for field := range strings.FieldsSeq(text) {
		v, err := strconv.ParseFloat(field, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// NIST StRD, linear regression, Norris (36 points): certified values.
func TestLeastSquaresNorris(t *testing.T) {
	const source = "NIST Statistical Reference Datasets, linear regression, Norris"
	x := numbers(t, `0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6
		556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5`)
	y := numbers(t, `0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8
		557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2`)
	design := make([][]float64, len(x))
	for i, v := range x {
		design[i] = []float64{1, v}
	}
	fit, err := leastSquares(design, y)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"B0", fit.coefficients[0], -0.262323073774029},
		{"B1", fit.coefficients[1], 1.00211681802045},
		{"sd B0", fit.deviations[0], 0.232818234301152},
		{"sd B1", fit.deviations[1], 0.429796848199937e-03},
		{"RSS", fit.rss, 26.6173985294224},
		{"s", math.Sqrt(fit.rss / 34), 0.884796396144373},
	} {
		if math.Abs(c.got/c.want-1) > 1e-10 {
			t.Errorf("%s = %.15g, want %.15g to ten digits (%s)", c.name, c.got, c.want, source)
		}
	}
}

// enso reads the ENSO data: month and pressure difference.
func enso(t *testing.T) (month, y []float64) {
	t.Helper()
	file, err := os.Open("testdata/published/nist_enso.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, record := range records[1:] {
		row := numbers(t, strings.Join(record, " "))
		month, y = append(month, row[0]), append(y, row[1])
	}
	if len(y) != 168 {
		t.Fatalf("%d rows, want 168", len(y))
	}
	return month, y
}

// NIST StRD, nonlinear regression, ENSO. With the two certified periods fixed,
// the linear fit gives the other seven certified values.
func TestLeastSquaresENSO(t *testing.T) {
	const source = "NIST Statistical Reference Datasets, nonlinear regression, ENSO (data as in lmfit/lmfit-py)"
	month, y := enso(t)
	const b4, b7 = 44.311088700, 26.887614440
	design := make([][]float64, len(month))
	for i, x := range month {
		row := []float64{1}
		for _, period := range []float64{12, b4, b7} {
			sin, cos := math.Sincos(2 * math.Pi * x / period)
			row = append(row, cos, sin)
		}
		design[i] = row
	}
	fit, err := leastSquares(design, y)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{10.510749193, 3.0762128085, 0.53280138227, -1.6231428586, 0.52554493756, 0.21232288488, 1.4966870418} {
		if got := fit.coefficients[i]; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("coefficient %d = %.11g, want %.11g (%s)", i, got, want, source)
		}
	}
	if math.Abs(fit.rss/788.53978668-1) > 1e-9 {
		t.Errorf("RSS %.11g, want 788.53978668 (%s)", fit.rss, source)
	}
}

// The first harmonic alone of the ENSO data, fourteen whole turns of twelve.
func TestRoundENSO(t *testing.T) {
	const source = "NIST ENSO data, first harmonic recomputed by least squares and by the 2/N sums, which agree"
	month, y := enso(t)
	readings, positions := make([]unit.Length, len(y)), make([]float64, len(y))
	a, b := 0.0, 0.0
	for i := range y {
		readings[i], positions[i] = unit.MM(y[i]), month[i]/12
		sin, cos := math.Sincos(2 * math.Pi * month[i] / 12)
		a, b = a+2*y[i]*cos/float64(len(y)), b+2*y[i]*sin/float64(len(y))
	}
	ring, err := Round(readings, positions...)
	if err != nil {
		t.Fatal(err)
	}
	h, rss := ring.Harmonic, 0.0
	for _, r := range h.Residuals {
		rss += r.MM() * r.MM()
	}
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		{"mean", ring.Mean.MM(), 10.641666666667, 1e-11},
		{"centre", h.Centre.MM(), 10.641666666667, 1e-11},
		{"a by sums", a, 3.052887209221, 1e-11},
		{"b by sums", b, 0.480183129848, 1e-11},
		{"amplitude", h.Amplitude.MM(), 3.090420060512, 1e-11},
		{"phase in degrees", h.HighTurn * 360, 8.938716693, 1e-8},
		{"RSS", rss, 1160.769856698, 1e-8},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s = %.12f, want %.12f (%s)", c.name, c.got, c.want, source)
		}
	}
}

func thou(v ...float64) []unit.Length {
	out := make([]unit.Length, len(v))
	for i := range v {
		out[i] = unit.Thou(v[i])
	}
	return out
}

func TestRoundShopReadings(t *testing.T) {
	ring, err := Round(thou(8, 9, 10, 9))
	if err != nil {
		t.Fatal(err)
	}
	h := ring.Harmonic
	const source = "derived: one thou of swing about nine, widest at the third of four places"
	if math.Abs(ring.Mean.Thou()-9) > 1e-12 || math.Abs(ring.Spread.Thou()-2) > 1e-12 || ring.MinAt != 0 || ring.MaxAt != 2 {
		t.Errorf("mean %v spread %v at %d and %d (%s)", ring.Mean.Thou(), ring.Spread.Thou(), ring.MinAt, ring.MaxAt, source)
	}
	if !h.Determined || math.Abs(h.Amplitude.Thou()-1) > 1e-12 || math.Abs(h.HighTurn-0.5) > 1e-12 || h.HighAt != 2 || h.LowAt != 0 || h.Worst != -1 || math.Abs(h.Explained-1) > 1e-12 {
		t.Errorf("harmonic %+v (%s)", h, source)
	}

	// One place out of line is not eccentricity.
	ring, err = Round(thou(8, 8, 8, 12, 8, 8, 8, 8))
	if err != nil {
		t.Fatal(err)
	}
	if h := ring.Harmonic; h.Worst != 3 || h.Explained > 0.5 || h.HighAt != 3 {
		t.Errorf("one burr: %+v, want the fourth reading worst and less than half explained (derived)", h)
	}
	// Readings taken in another order, by place.
	a, err := Round(thou(8, 10, 9, 9), 0, .5, .25, .75)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.Harmonic.HighTurn-0.5) > 1e-12 || a.Harmonic.HighAt != 1 {
		t.Errorf("by place: %+v (derived)", a.Harmonic)
	}
}

func TestRoundUndetermined(t *testing.T) {
	for _, c := range []struct {
		readings  []unit.Length
		positions []float64
		want      bool
	}{
		{thou(9), nil, false},
		{thou(9, 8), nil, false},
		{thou(9, 8, 9), nil, true},
		{thou(9, 8, 9), []float64{0, 0, .5}, false},
		{thou(9, 8, 9, 9), []float64{.2, .2, 1.2, .7}, false},
		{thou(9, 8, 9), []float64{0, 1, 2}, false},
		{thou(9, 8, 9, 8), []float64{0, .3, .6, .6}, true},
	} {
		ring, err := Round(c.readings, c.positions...)
		if err != nil {
			t.Fatal(err)
		}
		if ring.Harmonic.Determined != c.want || (ring.Harmonic.Note == "") != c.want {
			t.Errorf("%v at %v: determined %v (%q), want %v (derived)", c.readings, c.positions, ring.Harmonic.Determined, ring.Harmonic.Note, c.want)
		}
	}
}

func TestRoundRefuses(t *testing.T) {
	for _, c := range []struct {
		readings  []unit.Length
		positions []float64
	}{
		{nil, nil},
		{thou(8, math.NaN()), nil},
		{thou(8, math.Inf(1)), nil},
		{thou(1e300, 1e300), nil},
		{thou(8, 9), []float64{0}},
		{thou(8, 9), []float64{0, math.NaN()}},
		{thou(8, 9, 9), []float64{0, math.Inf(-1), .5}},
	} {
		if ring, err := Round(c.readings, c.positions...); !errors.Is(err, ErrReadings) {
			t.Errorf("%v at %v gave %+v, %v; want ErrReadings", c.readings, c.positions, ring, err)
		}
	}
}

// A pure eccentricity comes back, whatever its size and place; the fit is the
// 2/n sums; turning the ring gear turns the phase.
func TestRoundProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 24).Draw(t, "n")
		centre := rapid.Float64Range(.05, .5).Draw(t, "centre")
		amplitude := rapid.Float64Range(.001, .2).Draw(t, "amplitude")
		phase := rapid.Float64Range(0, .999).Draw(t, "phase")
		readings := make([]unit.Length, n)
		for i := range readings {
			readings[i] = unit.MM(centre + amplitude*math.Cos(2*math.Pi*(float64(i)/float64(n)-phase)))
		}
		ring, err := Round(readings)
		if err != nil {
			t.Fatal(err)
		}
		h := ring.Harmonic
		away := math.Abs(h.HighTurn - phase)
		if !h.Determined || math.Abs(h.Amplitude.MM()-amplitude) > 1e-9 || min(away, 1-away) > 1e-6 || math.Abs(h.Centre.MM()-centre) > 1e-9 {
			t.Fatalf("eccentricity %v at %v about %v came back as %+v", amplitude, phase, centre, h)
		}
		if math.Abs(float64(h.HighAt)/float64(n)-phase) > .5/float64(n)+1e-9 && math.Abs(float64(h.HighAt)/float64(n)+1-phase) > .5/float64(n)+1e-9 {
			t.Fatalf("high place %v is nearest to reading %d of %d", phase, h.HighAt, n)
		}
		if ring.Spread < 0 || ring.Spread > 2*h.Amplitude+1e-9 {
			t.Fatalf("spread %v of a swing of %v", ring.Spread, 2*h.Amplitude)
		}

		// Noise on top: residuals are what the fit leaves, and add up to nothing.
		for i := range readings {
			readings[i] += unit.MM(rapid.Float64Range(-.05, .05).Draw(t, "noise"))
		}
		if ring, err = Round(readings); err != nil {
			t.Fatal(err)
		}
		sum, cos, sin := 0.0, 0.0, 0.0
		for i, r := range ring.Harmonic.Residuals {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			sum, cos, sin = sum+r.MM(), cos+r.MM()*c, sin+r.MM()*s
		}
		if math.Abs(sum)+math.Abs(cos)+math.Abs(sin) > 1e-9 {
			t.Fatalf("residuals are not square to the fit: %v %v %v", sum, cos, sin)
		}
	})
}

func FuzzRound(f *testing.F) {
	f.Add(8.0, 9.0, 10.0, 9.0, 0.0, 0.25, 0.5, 0.75, true)
	f.Add(1e-300, -1e5, 0.0, 3.0, 0.1, 0.1, 1e6, -4.0, true)
	f.Fuzz(func(t *testing.T, a, b, c, d, p, q, r, s float64, placed bool) {
		readings, positions := []unit.Length{unit.MM(a), unit.MM(b), unit.MM(c), unit.MM(d)}, []float64{p, q, r, s}
		if !placed {
			positions = nil
		}
		ring, err := Round(readings, positions...)
		if err != nil {
			return
		}
		h := ring.Harmonic
		for _, v := range []float64{ring.Mean.MM(), ring.Spread.MM(), h.Amplitude.MM(), h.Centre.MM(), h.HighTurn, h.Explained} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("not a number in %+v", ring)
			}
		}
		if h.HighTurn < 0 || h.HighTurn >= 1 || h.LowTurn < 0 || h.LowTurn >= 1 || h.Explained < 0 || h.Explained > 1 {
			t.Fatalf("out of range: %+v", h)
		}
	})
}
