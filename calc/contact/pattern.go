package contact

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Displacement is how far the members stand from where the pattern is centred.
type Displacement struct {
	Pinion unit.Length // + deeper, towards the ring gear centre line
	Ring   unit.Length // + towards the pinion
	Offset unit.Length // + larger hypoid offset
	Shaft  unit.Angle  // + larger shaft angle
}

// Limits of a displacement. Gaps are taken linear in it, which past RoughBeyond
// is wrong by microns, a good part of the compound film.
const (
	MaxDisplacement = unit.Length(5)
	MaxShaft        = unit.Angle(0.02)
	RoughBeyond     = unit.Length(0.75)
)

// ErrDisplacement is wrapped where a displacement is not a number or too large.
var ErrDisplacement = errors.New("the displacement is out of range")

func (d Displacement) vector() [motionCount]float64 {
	return [motionCount]float64{d.Pinion.MM(), d.Ring.MM(), d.Offset.MM(), d.Shaft.Rad()}
}

func (d Displacement) check() error {
	for _, m := range []struct {
		name string
		v    unit.Length
	}{{"pinion", d.Pinion}, {"ring gear", d.Ring}, {"offset", d.Offset}} {
		if !(m.v.Abs() <= MaxDisplacement) {
			return fmt.Errorf("%w: %s by %.4g mm, more than %g mm", ErrDisplacement, m.name, m.v.MM(), MaxDisplacement.MM())
		}
	}
	if !(math.Abs(d.Shaft.Rad()) <= MaxShaft.Rad()) {
		return fmt.Errorf("%w: shaft angle by %.4g°, more than %.2g°", ErrDisplacement, d.Shaft.Deg(), MaxShaft.Deg())
	}
	return nil
}

// Point is a place on the ring gear tooth: along −1 toe to +1 heel, across −1
// root (the lowest line the pinion's tip reaches) to +1 top.
type Point struct{ Along, Across float64 }

// Pattern is what marking compound shows on one flank of the ring gear tooth.
type Pattern struct {
	Along, Across float64   // centroid of the marked area
	Area          float64   // marked share of the flank, 0 to 1
	Low, High     Point     // extents of the marked area
	Outline       [][]Point // closed, marked side on the left; holes run the other way

	// The marked area runs into that edge of the tooth.
	Toe, Heel, Root, Top bool

	Path []PathPoint // of contact, in the order of the roll angle
	// Transmission is the transmission error of the ring gear, peak to peak over
	// one tooth pitch.
	Transmission unit.Angle
}

// PathPoint is a point of contact at a roll angle of the ring gear.
type PathPoint struct {
	Point
	Roll unit.Angle
}

// Backlash is a change of backlash at the ring gear's outside diameter, where
// the dial stands; negative is tighter.
type Backlash struct {
	Normal     unit.Length // plunger square to the tooth
	Transverse unit.Length // plunger along the direction of motion
}

// Result is what a displacement does.
type Result struct {
	Drive, Coast Pattern
	// Backlash is the change against no displacement, taken at the mean point, as
	// the standard's backlash relations are; it is linear in the displacement.
	Backlash Backlash
	// BacklashInContact is the same taken where the flanks touch. It differs where
	// the contact lies away from the pitch cone, mostly for a pinion move.
	BacklashInContact Backlash
	// Rough says that a part of the displacement is larger than RoughBeyond.
	Rough bool
}

// Workspace holds the scratch tables of one Model, so that patterns can be
// worked out one after the other without allocating anything but the result.
// It must not be used by two goroutines at once, nor with another Model.
type Workspace struct {
	angle   []float64 // gap over |L| at the nodes
	table   []float64 // smallest gap over |L| on the contact lines of a roll angle
	where   []Point   // where on the line
	mesh    []float64 // smallest of all pairs, over one pitch
	contour contour
}

// NewWorkspace makes a workspace for this model.
func (m *Model) NewWorkspace() *Workspace {
	rolls := max(m.convex.rolls, m.concave.rolls)
	return &Workspace{
		angle:   make([]float64, m.options.Along*m.options.Across),
		table:   make([]float64, rolls),
		where:   make([]Point, rolls),
		mesh:    make([]float64, m.options.StepsPerPitch),
		contour: newContour(m.options.Along, m.options.Across),
	}
}

// Pattern works out both flanks and the backlash for a displacement. It errs,
// wrapping ErrDisplacement, where the displacement is out of range.
//
// Derivation: a displacement u of the pinion changes the gap at a flank point by
// n·u, and turning the pinion by ψ = (E0 + n·u)/|L| closes it. At each roll angle
// the pair touches where ψ is smallest on the contact lines of all teeth in mesh,
// and compound shows where |L|·(ψ − ψmin) is below the film.
func (m *Model) Pattern(d Displacement) (Result, error) {
	return m.PatternIn(m.NewWorkspace(), d)
}

// PatternIn is Pattern with a workspace to use again.
func (m *Model) PatternIn(ws *Workspace, d Displacement) (Result, error) {
	if err := d.check(); err != nil {
		return Result{}, err
	}
	v := d.vector()
	convex, turnX := m.flank(ws, &m.convex, v)
	concave, turnV := m.flank(ws, &m.concave, v)
	r := Result{
		Drive: convex, Coast: concave,
		BacklashInContact: m.backlash(turnX + turnV - m.convex.rest - m.concave.rest),
	}
	if m.gear.ReverseCut {
		r.Drive, r.Coast = concave, convex
	}
	atMean := 0.0
	for i, x := range v {
		atMean += x * (m.convex.atMean[i] + m.concave.atMean[i])
	}
	r.Backlash = m.backlash(atMean)
	r.Rough = max(d.Pinion.Abs(), d.Ring.Abs(), d.Offset.Abs()) > RoughBeyond
	return r, nil
}

// flank works out one flank and the pinion's mean free turn to it, rad.
func (m *Model) flank(ws *Workspace, s *side, v [motionCount]float64) (Pattern, float64) {
	b := &s.nodes
	m0, m1, m2, m3 := b.motion[0], b.motion[1], b.motion[2], b.motion[3]
	angle := ws.angle[:len(s.lever)]
	for i := range angle {
		angle[i] = b.ease[i] + m0[i]*v[0] + m1[i]*v[1] + m2[i]*v[2] + m3[i]*v[3]
	}
	mean, span := s.roll(ws, v)
	ws.contour.reset()
	for i, a := range angle {
		ws.contour.set(i/s.across, i%s.across, s.lever[i]*(a-s.meshAt(ws, i)))
	}
	p := ws.contour.pattern(m.options.Film.MM())
	p.Transmission = unit.Rad(span / m.gear.ratio())
	p.Path = s.path(ws)
	if p.Area == 0 {
		p.followPath()
	}
	return p, mean
}

// followPath takes centroid and extents from the path of contact where the
// marked area is too small to be seen on the grid.
func (p *Pattern) followPath() {
	p.Low, p.High = p.Path[0].Point, p.Path[0].Point
	for _, n := range p.Path {
		p.Along += n.Along / float64(len(p.Path))
		p.Across += n.Across / float64(len(p.Path))
		p.Low = Point{min(p.Low.Along, n.Along), min(p.Low.Across, n.Across)}
		p.High = Point{max(p.High.Along, n.Along), max(p.High.Across, n.Across)}
	}
	p.edges()
}

// edges says which edges the marked area reaches.
func (p *Pattern) edges() {
	p.Toe, p.Heel = p.Low.Along <= -1, p.High.Along >= 1
	p.Root, p.Top = p.Low.Across <= -1, p.High.Across >= 1
}

// path lists where this tooth is the one that carries.
func (s *side) path(ws *Workspace) []PathPoint {
	out := make([]PathPoint, 0, s.steps+1)
	for k := range s.rolls {
		if ws.table[k] <= ws.mesh[k%s.steps] {
			out = append(out, PathPoint{ws.where[k], unit.Rad(s.roll0 + float64(k)*s.step)})
		}
	}
	return out
}
