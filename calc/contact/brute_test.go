package contact

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"shimwright/calc/unit"
)

// brute is the independent check of the model: two surfaces, a rigid motion and
// nothing else. The pinion flank is generated point by point as the envelope of
// the ring gear flank (from positions only, by finite differences and bisection),
// relieved by the ease-off and moved as a rigid body. At every roll angle each
// pinion point is then turned about the moved axis until it lies on the ring gear's
// cone, found in implicit form. It shares the ring gear's definition and the frame
// with the model, but neither n·v, nor n·u, nor the lever, nor the contact lines.
type brute struct {
	g              Gear
	p              axes
	s              surveyor
	o              Options
	centre         r3.Vec // of the cutter
	slope, outside float64
	closing        float64 // sense in which the pinion turns to close the gap

	point, normal []r3.Vec  // pinion flank in the pinion's frame, relieved
	roll          []float64 // where the unmoved point touches
}

func newBrute(t *testing.T, g Gear, o Options, convex bool) *brute {
	t.Helper()
	p, err := g.place()
	if err != nil {
		t.Fatal(err)
	}
	s, err := g.surveyor(p, convex)
	if err != nil {
		t.Fatal(err)
	}
	b := &brute{g: g, p: p, s: s, o: o}
	// The cutter: axis along the pitch cone's normal, centre square to the tooth.
	side := r3.Unit(r3.Cross(p.normal, p.tooth))
	if away := r3.Add(p.mean, r3.Scale(g.CutterRadius.MM(), side)); r3.Norm(away) < r3.Norm(r3.Sub(r3.Scale(2, p.mean), away)) {
		b.centre = away // the centre lies on the side of the apex
	} else {
		b.centre = r3.Sub(r3.Scale(2, p.mean), away)
	}
	// Distance from the cone of radius rc + slope·h, positive outside the tooth.
	b.slope, b.outside = math.Tan(g.PressureConcave.Rad()), -1
	if convex {
		b.slope, b.outside = -math.Tan(g.PressureConvex.Rad()), 1
	}
	var near spot
	for i := range o.Along {
		for j := range o.Across {
			l, h := scaled(i, o.Along), scaled(j, o.Across)
			if j == 0 && i > 0 {
				near = spot{}
			}
			n, err := s.find(l, h, near)
			if err != nil {
				t.Fatal(err)
			}
			near = n
			phi := b.touches(t, n.theta, n.t)
			x := b.inPinion(n.theta, n.t, phi)
			a, c := b.tangents(n.theta, n.t, phi)
			nn := r3.Unit(r3.Cross(a, c))
			// out of the ring gear: the implicit cone grows that way
			if b.gap(b.inRing(r3.Add(x, r3.Scale(1e-3, nn)), phi, 0, Displacement{}), phi) < 0 {
				nn = r3.Scale(-1, nn)
			}
			b.point = append(b.point, r3.Add(x, r3.Scale(o.easeOff(l, h), nn)))
			b.normal = append(b.normal, nn)
			b.roll = append(b.roll, phi)
		}
	}
	// which way closes
	m := len(b.point) / 2
	if b.gap(b.inRing(b.point[m], b.roll[m], 1e-4, Displacement{}), b.roll[m]) < b.gap(b.inRing(b.point[m], b.roll[m], -1e-4, Displacement{}), b.roll[m]) {
		b.closing = 1
	} else {
		b.closing = -1
	}
	return b
}

// inPinion is the flank point in the pinion's frame when the ring gear stands at
// phi: carried with the ring gear, then turned back about the pinion axis.
func (b *brute) inPinion(theta, t, phi float64) r3.Vec {
	x, _ := b.s.flank.at(theta, t)
	s, c := math.Sincos(phi)
	x = r3.Sub(turnZ(x, s, c), b.p.foot)
	s, c = math.Sincos(b.g.ratio() * phi)
	return turn(x, b.p.pinion, s, c)
}

// inRing carries a pinion point to where it stands with the ring gear at phi, the
// pinion turned a little further by extra, and the pair displaced.
func (b *brute) inRing(x r3.Vec, phi, extra float64, d Displacement) r3.Vec {
	s, c := math.Sincos(-b.g.ratio()*phi + extra)
	x = turn(x, b.p.pinion, s, c)
	// larger shaft angle: the pinion axis tips away from the ring gear's teeth (−z)
	tilt := r3.Cross(b.p.pinion, r3.Vec{Z: -1})
	s, c = math.Sincos(d.Shaft.Rad())
	x = turn(x, r3.Unit(tilt), s, c)
	x = r3.Add(x, b.p.foot)
	out := r3.Unit(r3.Vec{X: b.p.across.X, Y: b.p.across.Y})
	x = r3.Add(x, r3.Scale(-d.Pinion.MM(), b.p.pinion))
	x = r3.Add(x, r3.Scale(d.Offset.MM(), out))
	return r3.Add(x, r3.Vec{Z: d.Ring.MM()})
}

// gap is the distance of a point from the ring gear flank at phi.
func (b *brute) gap(x r3.Vec, phi float64) float64 {
	s, c := math.Sincos(-phi)
	arm := r3.Sub(turnZ(x, s, c), b.centre)
	h := r3.Dot(r3.Sub(arm, r3.Sub(b.p.mean, b.centre)), b.p.normal)
	radial := r3.Norm(r3.Sub(arm, r3.Scale(r3.Dot(arm, b.p.normal), b.p.normal)))
	return b.outside * (radial - b.g.CutterRadius.MM() - b.slope*h) / math.Sqrt(1+b.slope*b.slope)
}

func (b *brute) tangents(theta, t, phi float64) (byTheta, byT r3.Vec) {
	const e = 1e-5
	return r3.Sub(b.inPinion(theta+e, t, phi), b.inPinion(theta-e, t, phi)),
		r3.Sub(b.inPinion(theta, t+e, phi), b.inPinion(theta, t-e, phi))
}

// touches finds the roll angle at which the family of surfaces in the pinion's
// frame touches its envelope: ∂x/∂φ lies in the tangent plane.
func (b *brute) touches(t *testing.T, theta, height float64) float64 {
	t.Helper()
	f := func(phi float64) float64 {
		const e = 1e-5
		a, c := b.tangents(theta, height, phi)
		move := r3.Sub(b.inPinion(theta, height, phi+e), b.inPinion(theta, height, phi-e))
		return r3.Dot(r3.Unit(r3.Cross(a, c)), move)
	}
	const reach, steps = 0.6, 60
	best, found := math.Inf(1), false
	last := f(-reach)
	for i := 1; i <= steps; i++ {
		low, high := -reach+2*reach*float64(i-1)/steps, -reach+2*reach*float64(i)/steps
		now := f(high)
		if (last > 0) != (now > 0) && math.Abs(low) < math.Abs(best)+reach/steps {
			a, z := low, high
			for range 40 {
				m := (a + z) / 2
				if (f(m) > 0) == (last > 0) {
					a = m
				} else {
					z = m
				}
			}
			if math.Abs(a) < math.Abs(best) {
				best, found = a, true
			}
		}
		last = now
	}
	if !found {
		t.Fatal("no envelope")
	}
	return best
}

// closes is the pinion's turn at which a point comes to lie on the ring gear, and
// where on the tooth that is; ok is false past the ends of the tooth.
func (b *brute) closes(i int, phi float64, d Displacement) (psi float64, ok bool) {
	f := func(psi float64) float64 {
		return b.gap(b.inRing(b.point[i], phi, b.closing*psi, d), phi)
	}
	x0, x1 := 0.0, 1e-4
	f0, f1 := f(x0), f(x1)
	for range 8 {
		if f1 == f0 {
			break
		}
		x0, x1, f0 = x1, x1-f1*(x1-x0)/(f1-f0), f1
		f1 = f(x1)
		if math.Abs(f1) < 1e-12 {
			break
		}
	}
	s, c := math.Sincos(-phi)
	x := turnZ(b.inRing(b.point[i], phi, b.closing*x1, d), s, c)
	r := math.Hypot(x.X, x.Y)
	l := (r*b.s.sinD + x.Z*b.s.cosD - b.s.frame.middle) / b.s.frame.half
	_, low := b.s.frame.at(l, -1)
	_, high := b.s.frame.at(l, 1)
	h := 2*(r*b.s.cosD-x.Z*b.s.sinD-low)/(high-low) - 1
	// A displaced point lands a little beside its own place: allow that much.
	return x1, math.Abs(l) < 1.02 && math.Abs(h) < 1.08
}

// window is the roll either side of a point's own in which it is looked at, rad.
const window = 0.03

// pattern gives what the model gives, by brute force, and the mean free turn.
func (b *brute) pattern(d Displacement) (Pattern, float64) {
	const steps = 48
	step := 2 * math.Pi / float64(b.g.RingTeeth*steps)
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range b.roll {
		low, high = min(low, r), max(high, r)
	}
	k0 := int(math.Ceil(low / step))
	n := int(math.Floor(high/step)) - k0 + 1
	table := make([]float64, n)
	for k := range table {
		table[k] = math.Inf(1)
	}
	psi := make([][]float64, len(b.point))
	first := make([]int, len(b.point))
	for i, r := range b.roll {
		from := max(0, int(math.Ceil((r-window)/step))-k0)
		to := min(n-1, int(math.Floor((r+window)/step))-k0)
		first[i] = from
		for k := from; k <= to; k++ {
			x, ok := b.closes(i, float64(k0+k)*step, d)
			if !ok {
				x = math.Inf(1)
			}
			psi[i] = append(psi[i], x)
			table[k] = min(table[k], x)
		}
	}
	mesh := make([]float64, steps)
	sum, least, most := 0.0, math.Inf(1), math.Inf(-1)
	for i := range mesh {
		mesh[i] = math.Inf(1)
		for k := i; k < n; k += steps {
			mesh[i] = min(mesh[i], table[k])
		}
		sum += mesh[i]
		least, most = min(least, mesh[i]), max(most, mesh[i])
	}
	c := newContour(b.o.Along, b.o.Across)
	c.reset()
	for i := range b.point {
		clear := math.Inf(1)
		for j, x := range psi[i] {
			k := first[i] + j
			// distance per turn at this point: the gap a small turn opens
			phi := float64(k0+k) * step
			e := 1e-5
			lever := math.Abs(b.gap(b.inRing(b.point[i], phi, e, d), phi)-b.gap(b.inRing(b.point[i], phi, -e, d), phi)) / (2 * e)
			clear = min(clear, lever*(x-mesh[k%steps]))
		}
		c.set(i/b.o.Across, i%b.o.Across, clear)
	}
	p := c.pattern(b.o.Film.MM())
	p.Transmission = unit.Rad((most - least) / b.g.ratio())
	return p, sum / steps
}

// The model against two real surfaces, on a spiral bevel and two hypoid sets. The
// brute force looks at grid points only, up to 0.2 mm beside the true point of
// contact, where conjugate flanks already gape by some 0.8 µm: 10 µrad of the ring
// gear. That is what the tolerances of area and transmission error are for; on an
// 81 × 61 grid the differences fall to below 7 µrad.
func TestBruteForce(t *testing.T) {
	moves := map[string]Displacement{
		"none":       {},
		"pinion":     {Pinion: unit.MM(0.10)},
		"ring gear":  {Ring: unit.MM(0.15)},
		"everything": {Pinion: unit.MM(-0.15), Ring: unit.MM(-0.20), Offset: unit.MM(0.05), Shaft: unit.Deg(-0.03)},
	}
	o := Options{}.withDefaults()
	for name, g := range map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3(), "axle": axle()} {
		m := mustModel(t, g, o)
		rest := [2]float64{}
		flanks := [2]*brute{newBrute(t, g, o, true), newBrute(t, g, o, false)}
		for i, b := range flanks {
			_, rest[i] = b.pattern(Displacement{})
		}
		for what, d := range moves {
			r := mustPattern(t, m, d)
			turn := 0.0
			for i, b := range flanks {
				want, free := b.pattern(d)
				turn += free - rest[i]
				got := [2]Pattern{r.Drive, r.Coast}[i]
				flank := [2]string{"convex", "concave"}[i]
				for _, c := range []struct {
					what           string
					got, want, tol float64
				}{
					{"along", got.Along, want.Along, 0.02},
					{"across", got.Across, want.Across, 0.025},
					{"area", got.Area, want.Area, 0.02},
					{"low along", got.Low.Along, want.Low.Along, 0.06},
					{"high along", got.High.Along, want.High.Along, 0.06},
					{"low across", got.Low.Across, want.Low.Across, 0.09},
					{"high across", got.High.Across, want.High.Across, 0.09},
					{"transmission error, µrad", got.Transmission.Rad() * 1e6, want.Transmission.Rad() * 1e6, 18},
				} {
					if !(math.Abs(c.got-c.want) <= c.tol) {
						t.Errorf("%s, %s, %s flank: %s is %.4f, by brute force %.4f ± %g (derived)", name, what, flank, c.what, c.got, c.want, c.tol)
					}
				}
			}
			want := m.backlash(turn).Transverse.MM()
			if got := r.BacklashInContact.Transverse.MM(); math.Abs(got-want) > 0.0008+0.01*math.Abs(want) {
				t.Errorf("%s, %s: backlash in contact changes by %+.5f mm, by brute force %+.5f (derived)", name, what, got, want)
			}
		}
	}
}
