package contact

import (
	"math"

	"shimwright/calc/unit"
)

// Slope is the first-order change of pattern and backlash for one unit of a
// motion: per mm, or per rad for the shaft angle.
type Slope struct {
	DriveAlong, DriveAcross float64 // of the centroid, in half face widths and half depths
	CoastAlong, CoastAcross float64

	// mm of dial reading; negative is tighter. See Result for the two kinds.
	BacklashNormal, BacklashTransverse                   float64
	BacklashNormalInContact, BacklashTransverseInContact float64

	// Valid is the displacement, mm or rad, up to which either way both centroids
	// stay within LinearTolerance of the straight line. It is never more than
	// RoughBeyond (for the shaft angle, that at the mean cone distance).
	Valid float64
}

// Table holds the slopes of the four motions.
type Table struct {
	Pinion, Ring, Offset Slope // per mm
	Shaft                Slope // per rad
}

// Settings of the slopes.
const (
	// LinearTolerance is how far a centroid may lie from the straight line, in
	// half face widths or half depths.
	LinearTolerance = 0.1

	firstStep   = 0.02 // mm, of the first estimate
	wantedShift = 0.1  // of the fastest centroid at the largest step
	leastStep   = 0.004
	mostStep    = 0.1
	validSteps  = 8 // to RoughBeyond
	halvings    = 4 // of the last of them
)

// stepShares are the steps the slopes are fitted to, as shares of the largest.
func stepShares() [4]float64 { return [4]float64{0.4, 0.6, 0.8, 1} }

// Sensitivities works out the slopes: for each motion the least-squares line
// through the origin and the odd part of the centroid's move at four steps either
// way, the largest of which moves the pattern by about a twentieth of the tooth,
// so that the grid does not show.
func (m *Model) Sensitivities() (Table, error) {
	ws := m.NewWorkspace()
	var t Table
	for i, s := range []*Slope{&t.Pinion, &t.Ring, &t.Offset, &t.Shaft} {
		scale := 1.0 // mm of motion at the teeth for one unit
		if i == motionCount-1 {
			scale = m.gear.ConeDistance.MM()
		}
		if err := m.slope(ws, i, scale, s); err != nil {
			return Table{}, err
		}
	}
	return t, nil
}

// along makes the displacement of one motion by x, mm or rad.
func along(motion int, x float64) Displacement {
	switch motion {
	case 0:
		return Displacement{Pinion: unit.MM(x)}
	case 1:
		return Displacement{Ring: unit.MM(x)}
	case 2:
		return Displacement{Offset: unit.MM(x)}
	}
	return Displacement{Shaft: unit.Rad(x)}
}

// shift is the place of both centroids and the backlash in contact.
type shift [6]float64

func (m *Model) shift(ws *Workspace, motion int, x float64) (shift, error) {
	r, err := m.PatternIn(ws, along(motion, x))
	return shift{r.Drive.Along, r.Drive.Across, r.Coast.Along, r.Coast.Across,
		r.BacklashInContact.Normal.MM(), r.BacklashInContact.Transverse.MM()}, err
}

// odd is the odd part of the shift at ±x.
func (m *Model) odd(ws *Workspace, motion int, x float64) (shift, error) {
	plus, err := m.shift(ws, motion, x)
	if err != nil {
		return shift{}, err
	}
	minus, err := m.shift(ws, motion, -x)
	for i := range plus {
		plus[i] = (plus[i] - minus[i]) / 2
	}
	return plus, err
}

func (m *Model) slope(ws *Workspace, motion int, scale float64, s *Slope) error {
	first, err := m.odd(ws, motion, firstStep/scale)
	if err != nil {
		return err
	}
	fastest := 0.0
	for _, v := range first[:4] {
		fastest = max(fastest, math.Abs(v)/firstStep)
	}
	step := max(leastStep, min(mostStep, wantedShift/fastest)) / scale

	var slope shift // Σ x·y / Σ x²
	squares := 0.0
	for _, share := range stepShares() {
		x := share * step
		odd, err := m.odd(ws, motion, x)
		if err != nil {
			return err
		}
		squares += x * x
		for i, v := range odd {
			slope[i] += x * v
		}
	}
	for i := range slope {
		slope[i] /= squares
	}
	atMean := m.backlash(m.convex.atMean[motion] + m.concave.atMean[motion])
	*s = Slope{
		DriveAlong: slope[0], DriveAcross: slope[1], CoastAlong: slope[2], CoastAcross: slope[3],
		BacklashNormal: atMean.Normal.MM(), BacklashTransverse: atMean.Transverse.MM(),
		BacklashNormalInContact: slope[4], BacklashTransverseInContact: slope[5],
	}
	s.Valid, err = m.valid(ws, motion, scale, slope)
	return err
}

// valid finds how far the straight line holds: upwards in equal steps, the last
// one halved.
func (m *Model) valid(ws *Workspace, motion int, scale float64, slope shift) (float64, error) {
	rest, err := m.shift(ws, motion, 0)
	if err != nil {
		return 0, err
	}
	straight := func(x float64) (bool, error) {
		for _, x := range []float64{x, -x} {
			at, err := m.shift(ws, motion, x)
			if err != nil {
				return false, err
			}
			for i := range at[:4] {
				if math.Abs(at[i]-rest[i]-slope[i]*x) > LinearTolerance {
					return false, nil
				}
			}
		}
		return true, nil
	}
	step := RoughBeyond.MM() / scale / validSteps
	low := 0.0
	for range validSteps {
		ok, err := straight(low + step)
		if err != nil {
			return 0, err
		}
		if !ok {
			break
		}
		low += step
	}
	if low >= step*(validSteps-0.5) {
		return RoughBeyond.MM() / scale, nil
	}
	for range halvings {
		step /= 2
		ok, err := straight(low + step)
		if err != nil {
			return 0, err
		}
		if ok {
			low += step
		}
	}
	return low, nil
}
