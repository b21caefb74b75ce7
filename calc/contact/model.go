package contact

import (
	"math"

	"shimwright/calc/unit"
)

// Model is a gear pair made ready: everything that does not depend on where the
// members stand. It does not change and is safe for use by several goroutines at
// once; each needs its own Workspace.
type Model struct {
	gear    Gear
	options Options
	convex  side
	concave side

	dialSpiral float64 // rad, at the heel
}

// New makes a gear pair ready. It errs, wrapping ErrGeometry, where a number is
// out of its range or the numbers describe teeth that cannot mesh.
func New(g Gear, o Options) (*Model, error) {
	o = o.withDefaults()
	if err := g.check(); err != nil {
		return nil, err
	}
	if err := o.check(); err != nil {
		return nil, err
	}
	p, err := g.place()
	if err != nil {
		return nil, err
	}
	m := &Model{gear: g, options: o}
	if m.dialSpiral, err = g.outerSpiral(); err != nil {
		return nil, err
	}
	if m.convex, err = g.prepare(p, o, true); err != nil {
		return nil, err
	}
	if m.concave, err = g.prepare(p, o, false); err != nil {
		return nil, err
	}
	ws := m.NewWorkspace()
	for _, s := range []*side{&m.convex, &m.concave} {
		s.rest, _ = s.roll(ws, [motionCount]float64{})
		if math.IsInf(s.rest, 0) || math.IsNaN(s.rest) {
			return nil, impossible("a tooth leaves the mesh before the next one enters it")
		}
	}
	return m, nil
}

// Gear gives the geometry the model was made from.
func (m *Model) Gear() Gear { return m.gear }

// Options gives grid and ease-off, defaults filled in.
func (m *Model) Options() Options { return m.options }

// side is one flank made ready.
type side struct {
	// Per grid node; node (i, j) is i·across + j.
	across int
	lever  []float64    // |L|, mm per rad of pinion
	nodes  basis        // gap functions over |L|
	first  []int        // roll angle the weights start at
	weight [][4]float64 // of the cubic through the roll angles around the node

	// Contact lines and their samples.
	lines  []line
	points basis
	at     []Point

	// The table of roll angles: roll0 + k·step, k below rolls, steps to a pitch.
	roll0, step  float64
	rolls, steps int
	enter, leave corner

	atMean [motionCount]float64 // motions over |L| at the mean point
	rest   float64              // mean free turn of the pinion without displacement, rad
}

// line is one stretch of a contact line: samples [from, to) at roll angle k, in
// order from toe to heel.
type line struct{ k, from, to int }

// corner is the grid node that touches first or last.
type corner struct {
	phi  float64
	node int
}

// basis holds, per point, the ease-off and the change of the gap for one unit of
// each motion, all over |L|: angles of the pinion, rad, rad per mm, rad per rad.
type basis struct {
	ease   []float64
	motion [motionCount][]float64
}

func (b *basis) add(ease float64, motion [motionCount]float64, lever float64) {
	b.ease = append(b.ease, ease/lever)
	for i, m := range motion {
		b.motion[i] = append(b.motion[i], m/lever)
	}
}

// Limits of the roll of one flank.
const (
	maxRoll    = math.Pi // rad of the ring gear
	leastRolls = 4       // roll angles in the table
	leastLever = 1e-6    // mm
)

// prepare surveys one flank and turns the survey into tables.
func (g Gear) prepare(p axes, o Options, convex bool) (side, error) {
	s, err := g.surveyor(p, convex)
	if err != nil {
		return side{}, err
	}
	grid, err := s.grid(o)
	if err != nil {
		return side{}, err
	}
	out := side{
		across: o.Across, steps: o.StepsPerPitch,
		step:  2 * math.Pi / float64(g.RingTeeth*o.StepsPerPitch),
		enter: corner{phi: math.Inf(1)}, leave: corner{phi: math.Inf(-1)},
	}
	x, n := s.flank.at(0, 0)
	mean := touch{x: x, n: n}
	lever := p.lever(mean)
	sign := math.Copysign(1, lever)
	for i, v := range p.motions(mean) {
		out.atMean[i] = v / (lever * sign)
	}
	for i, n := range grid {
		lever := p.lever(n.touch) * sign
		if !(lever > leastLever) {
			return out, impossible("a part of the flank cannot drive")
		}
		l, h := scaled(i/o.Across, o.Along), scaled(i%o.Across, o.Across)
		out.lever = append(out.lever, lever)
		out.nodes.add(o.easeOff(l, h), p.motions(n.touch), lever)
		if n.phi < out.enter.phi {
			out.enter = corner{n.phi, i}
		}
		if n.phi > out.leave.phi {
			out.leave = corner{n.phi, i}
		}
	}
	if roll := out.leave.phi - out.enter.phi; roll > maxRoll {
		return out, impossible("the flank would stay in contact over %.0f° of the ring gear's turn", roll*180/math.Pi)
	}
	k0 := math.Ceil(out.enter.phi / out.step)
	out.roll0 = k0 * out.step
	out.rolls = int(math.Floor(out.leave.phi/out.step)-k0) + 1
	if out.rolls < leastRolls {
		return out, impossible("the flank is in contact for too short a roll")
	}
	for _, n := range grid {
		out.interpolate(n.phi)
	}
	samples, err := s.trace(o, &out, grid)
	if err != nil {
		return out, err
	}
	for k, line := range samples {
		out.store(k, line, 2/float64(o.Along-1), func(n sample) {
			out.points.add(o.easeOff(n.Along, n.Across), p.motions(n.touch), p.lever(n.touch)*sign)
			out.at = append(out.at, n.Point)
		})
	}
	return out, nil
}

// interpolate stores where a node stands in the table of roll angles, and the
// weights of the cubic through the four around it.
// Source: Lagrange's interpolation formula at −1, 0, 1, 2.
func (s *side) interpolate(phi float64) {
	at := (phi - s.roll0) / s.step
	k := math.Floor(at)
	x := at - k
	s.first = append(s.first, int(k)-1)
	s.weight = append(s.weight, [4]float64{
		-x * (x - 1) * (x - 2) / 6,
		(x + 1) * (x - 1) * (x - 2) / 2,
		-(x + 1) * x * (x - 2) / 2,
		(x + 1) * x * (x - 1) / 6,
	})
}

// backlash turns a change of the pinion's free turn, rad, into what a dial at the
// ring gear's outside diameter reads.
//
// Source: ISO 23509:2016, formulas (202) to (205): jen = jet2·cos αn·cos βe2.
func (m *Model) backlash(pinion float64) Backlash {
	transverse := pinion / m.gear.ratio() * m.gear.DialRadius.MM()
	return Backlash{
		Normal:     unit.MM(transverse * math.Cos(m.gear.pressure()) * math.Cos(m.dialSpiral)),
		Transverse: unit.MM(transverse),
	}
}
