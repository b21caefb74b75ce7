package contact

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

const degree = math.Pi / 180

// The pinion that the ring gear alone asks for is the published one.
func TestPinionAxisAgainstSamples(t *testing.T) {
	f4 := mmDeg{z1: 9, z2: 34, pitch: 63.212, spiral: 21.009, convex: 15.868, concave: 24.132,
		cone: 82.168, outer: 13, inner: 13, offset: 31.75, cutter: 76, addendum: 1.5, dedendum: 5, dial: 90}.gear()
	f5 := mmDeg{z1: 12, z2: 49, pitch: 71.360, spiral: 30, convex: 17.269, concave: 22.731,
		cone: 181.074, outer: 30, inner: 30, offset: 40, cutter: 135, addendum: 4, dedendum: 8, dial: 205}.gear()
	for _, row := range []struct {
		what      string
		gear      Gear
		got       func(axes) float64
		want, tol float64
		source    string
	}{
		{"F.2 δ1", sampleF2(), func(p axes) float64 { return p.pinionPitch / degree }, 19.747, 0.002, sourceF2},
		{"F.2 βm1", sampleF2(), func(p axes) float64 { return p.pinionSpiral / degree }, 35, 0.002, sourceF2},
		{"F.2 dm1", sampleF2(), func(p axes) float64 { return 2 * p.pinionRadius }, 54.918, 0.005, sourceF2},
		{"F.2 apex of the ring gear at the crossing", sampleF2(), func(p axes) float64 { return p.foot.Z }, 0, 0.005, sourceF2},
		{"F.3 δ1", sampleF3(), func(p axes) float64 { return p.pinionPitch / degree }, 21.288, 0.002, sourceF3},
		{"F.3 βm1", sampleF3(), func(p axes) float64 { return p.pinionSpiral / degree }, 49.998, 0.005, sourceF3},
		{"F.3 ζmp", sampleF3(), func(p axes) float64 { return p.offsetAngle / degree }, 11.390, 0.005, sourceF3},
		{"F.3 dm1", sampleF3(), func(p axes) float64 { return 2 * p.pinionRadius }, 53.383, 0.005, sourceF3},
		{"F.3 tz2", sampleF3(), func(p axes) float64 { return p.foot.Z }, 1.576, 0.005, sourceF3},
		{"F.3 tzm2", sampleF3(), func(p axes) float64 { return p.mean.Z - p.foot.Z }, 26.621, 0.005, sourceF3},
		{"F.3 tzm1", sampleF3(), func(p axes) float64 { return r3.Dot(p.mean, p.pinion) }, 69.727, 0.005, sourceF3},
		{"F.4 βm1", f4, func(p axes) float64 { return p.pinionSpiral / degree }, 44.990, 0.03, sourceF4},
		{"F.4 ζmp", f4, func(p axes) float64 { return p.offsetAngle / degree }, 23.969, 0.02, sourceF4},
		{"F.4 dm1", f4, func(p axes) float64 { return 2 * p.pinionRadius }, 51.258, 0.02, sourceF4},
		{"F.5 βm1", f5, func(p axes) float64 { return p.pinionSpiral / degree }, 42.922, 0.005, sourceF5},
		{"F.5 ζmp", f5, func(p axes) float64 { return p.offsetAngle / degree }, 12.922, 0.005, sourceF5},
		{"F.5 δ1", f5, func(p axes) float64 { return p.pinionPitch / degree }, 18.200, 0.005, sourceF5},
		{"F.5 dm1", f5, func(p axes) float64 { return 2 * p.pinionRadius }, 99.38, 0.01, sourceF5},
	} {
		p, err := row.gear.place()
		if err != nil {
			t.Errorf("%s: %v", row.what, err)
			continue
		}
		if got := row.got(p); !(math.Abs(got-row.want) <= row.tol) {
			t.Errorf("%s: got %.4f, want %.4f ± %g (%s)", row.what, got, row.want, row.tol, row.source)
		}
	}
}

// The two conditions that place the pinion, checked on their own, and the offset.
func TestPinionAxisConditions(t *testing.T) {
	for name, g := range map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3(), "axle": axle()} {
		for _, left := range []bool{false, true} {
			g.LeftHand = left
			p, err := g.place()
			if err != nil {
				t.Fatal(err)
			}
			if d := math.Hypot(p.foot.X, p.foot.Y); math.Abs(d-g.Offset.MM()) > 1e-9 {
				t.Errorf("%s: the axes are %.6f mm apart, want %.6f", name, d, g.Offset.MM())
			}
			if p.pinion.Z != 0 || math.Abs(r3.Norm(p.pinion)-1) > 1e-12 {
				t.Errorf("%s: the pinion axis %v is not a unit vector square to the ring gear axis", name, p.pinion)
			}
			// sliding velocity at M along the tooth
			ring := r3.Cross(r3.Vec{Z: 1}, p.mean)
			pinion := r3.Scale(-g.ratio(), r3.Cross(p.pinion, r3.Sub(p.mean, p.foot)))
			slide := r3.Sub(ring, pinion)
			if c := r3.Norm(r3.Cross(slide, p.tooth)); c > 1e-9*r3.Norm(ring) {
				t.Errorf("%s: the sliding velocity %v is not along the tooth %v", name, slide, p.tooth)
			}
			// the normal at M meets the pinion axis
			if d := r3.Dot(r3.Sub(p.mean, p.foot), r3.Unit(r3.Cross(p.normal, p.pinion))); math.Abs(d) > 1e-9 {
				t.Errorf("%s: the pitch cone's normal misses the pinion axis by %.3g mm", name, d)
			}
		}
	}
}

func TestOuterSpiral(t *testing.T) {
	for _, row := range []struct {
		what      string
		gear      Gear
		want, tol float64
		source    string
	}{
		{"F.2 βe2", sampleF2(), 36.846, 0.002, sourceF2},
		{"F.3 βe2", sampleF3(), 47.674, 0.005, sourceF3},
	} {
		got, err := row.gear.outerSpiral()
		if err != nil || !(math.Abs(got/degree-row.want) <= row.tol) {
			t.Errorf("%s: got %.4f, want %.4f ± %g (%s), %v", row.what, got/degree, row.want, row.tol, row.source, err)
		}
	}
}

// The flank's own lengthwise direction on the pitch cone gives the spiral angle,
// face milled and face hobbed. The two flanks bend a little differently; their
// mean is the developed tooth curve's.
func TestFlankSpiral(t *testing.T) {
	hobbed := sampleF3()
	hobbed.BladeGroups = 13
	hobbed.CutterRadius = unit.MM(88)
	for name, g := range map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3(), "hobbed": hobbed} {
		p, err := g.place()
		if err != nil {
			t.Fatal(err)
		}
		sinD, cosD := math.Sincos(g.PitchAngle.Rad())
		var mean [3]float64
		for _, convex := range []bool{true, false} {
			s, err := g.surveyor(p, convex)
			if err != nil {
				t.Fatal(err)
			}
			for i, l := range []float64{-1, (s.frame.mean - s.frame.middle) / s.frame.half, 1} {
				_, low := s.frame.at(l, -1)
				_, high := s.frame.at(l, 1)
				n, err := s.find(l, -1-2*low/(high-low), spot{}) // on the pitch cone
				if err != nil {
					t.Fatal(err)
				}
				x, normal := s.flank.at(n.theta, n.t)
				r := math.Hypot(x.X, x.Y)
				out := r3.Vec{X: x.X / r, Y: x.Y / r}
				generator := r3.Add(r3.Scale(sinD, out), r3.Vec{Z: cosD})
				cone := r3.Add(r3.Scale(cosD, out), r3.Vec{Z: -sinD})
				tooth := r3.Unit(r3.Cross(normal, cone))
				mean[i] += math.Acos(math.Abs(r3.Dot(tooth, generator))) / degree / 2
			}
		}
		heel, err := g.outerSpiral()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mean[1]-g.Spiral.Deg()) > 1e-6 {
			t.Errorf("%s: spiral angle %.6f° at the mean point, want %.6f° (derived)", name, mean[1], g.Spiral.Deg())
		}
		if math.Abs(mean[2]-heel/degree) > 0.6 {
			t.Errorf("%s: spiral angle %.3f° at the heel, developed %.3f° (derived)", name, mean[2], heel/degree)
		}
		if !(mean[0] < mean[1] && mean[1] < mean[2]) {
			t.Errorf("%s: the spiral angle does not grow towards the heel: %.2f", name, mean)
		}
	}
}

func TestFromSet(t *testing.T) {
	known := gearset.Known{Z1: 11, Z2: 41, OuterDiameter: unit.Inch(8.9), FaceWidth: unit.Inch(1.44), Offset: unit.Inch(1.5)}
	s := mustSet(t, known)
	g, err := FromSet(s)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := New(g, Options{}); err != nil {
		t.Error(err)
	}
	s.Beta1 += unit.Deg(1)
	if _, err := FromSet(s); !errors.Is(err, ErrGeometry) {
		t.Errorf("a pinion that does not fit its ring gear: %v", err)
	}
	known.ShaftAngle = unit.Deg(80)
	if _, err := FromSet(mustSet(t, known)); !errors.Is(err, ErrGeometry) {
		t.Errorf("axes that are not square: %v", err)
	}
}
