package lash

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"shimwright/calc/unit"
)

// Ring is what readings round the ring gear say. It serves backlash and runout
// alike; for backlash the low place is the tight one.
type Ring struct {
	Readings []unit.Length // as given

	Mean     unit.Length // arithmetic mean
	Min, Max unit.Length
	MinAt    int // index of the first smallest reading
	MaxAt    int // index of the first largest reading
	Spread   unit.Length

	Harmonic Harmonic
}

// Harmonic is the part of the readings that comes once a turn, which is what an
// eccentric or wobbling ring gear does.
type Harmonic struct {
	// Determined is false where the readings cannot tell it; Note then says why,
	// and the other fields are zero.
	Determined bool
	Note       string

	Centre    unit.Length // fitted middle
	Amplitude unit.Length // half of the fitted swing, never negative
	HighTurn  float64     // where the fit is highest, as part of a turn from the zero position, 0 ≤ t < 1
	LowTurn   float64     // where it is lowest, half a turn on
	HighAt    int         // index of the reading nearest to the high place
	LowAt     int         // index of the reading nearest to the low place

	// Explained is the share of the readings' variance that comes once a turn,
	// 0 to 1; zero where all readings are equal. With three readings it is always 1.
	Explained float64
	Residuals []unit.Length // reading less fit, one a reading
	Worst     int           // index of the worst-fitting reading; −1 where all fit, as three readings always do
}

// ErrReadings is wrapped by errors about readings that cannot be worked.
var ErrReadings = errors.New("the readings cannot be worked")

// fitsExactly is a residual that is rounding and nothing else, in mm.
const fitsExactly = 1e-9

// maxReading bounds a reading so that sums stay finite; 100 m in mm.
const maxReading = unit.Length(1e5)

// Round works readings taken round a ring gear: their mean, spread and first
// harmonic. Without positions the readings lie at equal steps of one turn, the
// first at zero; positions give each reading's place as a part of a turn (0.25
// is a quarter), in any order, more than one turn if wanted.
//
// It errs, wrapping ErrReadings, on no readings, on a reading or position that is
// not a sensible number, or on a count of positions that does not match. Too few
// readings for the harmonic are no error: see Harmonic.Determined.
//
// Source: least squares of centre + a·cos θ + b·sin θ; at equal steps it is
// a = 2/n·Σ y·cos θ, b = 2/n·Σ y·sin θ (liquisearch, Roundness (object)).
func Round(readings []unit.Length, positions ...float64) (Ring, error) {
	n := len(readings)
	if n == 0 {
		return Ring{}, fmt.Errorf("%w: there are none", ErrReadings)
	}
	if len(positions) != 0 && len(positions) != n {
		return Ring{}, fmt.Errorf("%w: %d readings but %d positions", ErrReadings, n, len(positions))
	}
	for i, r := range readings {
		if !(r.Abs() <= maxReading) {
			return Ring{}, fmt.Errorf("%w: reading %d is not a sensible length", ErrReadings, i+1)
		}
	}
	if len(positions) == 0 {
		positions = make([]float64, n)
		for i := range positions {
			positions[i] = float64(i) / float64(n)
		}
	}
	for i, p := range positions {
		if !(math.Abs(p) <= 1e6) {
			return Ring{}, fmt.Errorf("%w: position %d is not a sensible part of a turn", ErrReadings, i+1)
		}
	}
	ring := Ring{Readings: slices.Clone(readings), Min: readings[0], Max: readings[0]}
	for i, r := range readings {
		ring.Mean += r / unit.Length(n)
		if r < ring.Min {
			ring.Min, ring.MinAt = r, i
		}
		if r > ring.Max {
			ring.Max, ring.MaxAt = r, i
		}
	}
	ring.Spread = ring.Max - ring.Min
	ring.Harmonic = harmonic(readings, positions, ring.Mean)
	return ring, nil
}

// harmonic fits the first harmonic, or says why it cannot.
func harmonic(readings []unit.Length, positions []float64, mean unit.Length) Harmonic {
	n := len(readings)
	if n < 3 {
		return Harmonic{Note: fmt.Sprintf("%d readings cannot tell what comes once a turn; take four or eight round the ring", n)}
	}
	design, y := make([][]float64, n), make([]float64, n)
	for i, p := range positions {
		sin, cos := math.Sincos(2 * math.Pi * math.Mod(p, 1))
		design[i], y[i] = []float64{1, cos, sin}, readings[i].MM()
	}
	fit, err := leastSquares(design, y)
	if err != nil {
		return Harmonic{Note: "the places are too few or too close together to tell what comes once a turn; take four or eight round the ring"}
	}
	centre, a, b := fit.coefficients[0], fit.coefficients[1], fit.coefficients[2]
	h := Harmonic{
		Determined: true, Centre: unit.MM(centre), Amplitude: unit.MM(math.Hypot(a, b)),
		HighTurn: turn(math.Atan2(b, a) / (2 * math.Pi)), Worst: -1,
	}
	h.LowTurn = turn(h.HighTurn + 0.5)
	h.HighAt, h.LowAt = nearest(positions, h.HighTurn), nearest(positions, h.LowTurn)
	total, worst := 0.0, 0.0
	for i, r := range readings {
		rest := y[i] - centre - a*design[i][1] - b*design[i][2]
		h.Residuals = append(h.Residuals, unit.MM(rest))
		if math.Abs(rest) > max(worst, fitsExactly) {
			worst, h.Worst = math.Abs(rest), i
		}
		total += (r - mean).MM() * (r - mean).MM()
	}
	if total > 0 {
		h.Explained = min(max(1-fit.rss/total, 0), 1)
	}
	return h
}

// turn brings a part of a turn into 0 ≤ t < 1.
func turn(t float64) float64 {
	t -= math.Floor(t)
	if t >= 1 { // a tiny negative number rounds up to one
		return 0
	}
	return t
}

// nearest gives the index of the position nearest to a place on the circle; the
// first of equals.
func nearest(positions []float64, place float64) int {
	best, at := math.Inf(1), 0
	for i, p := range positions {
		away := turn(p - place)
		away = min(away, 1-away)
		if away < best-1e-12 {
			best, at = away, i
		}
	}
	return at
}
