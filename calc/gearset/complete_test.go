package gearset

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// What a shop would know of the standard's samples gives the samples back where
// the rest is given too, and comes near where it is not.
func TestCompleteAgainstSamples(t *testing.T) {
	full, err := Dimensions(sampleF3())
	if err != nil {
		t.Fatal(err)
	}
	const f3 = "ISO 23509:2016, annex F.3 (second hand); addendum and taper assumed, so with room"
	s, err := Complete(Known{
		Z1: 13, Z2: 42, OuterDiameter: unit.MM(171.560), FaceWidth: unit.MM(30), Offset: unit.MM(15),
		RingSpiral: unit.Deg(38.609), Pressure: unit.Deg(20), CutterRadius: unit.MM(63.5),
	})
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, []row{
		{"δ2", s.Delta2.Deg(), 68.324, .05, f3},
		{"δ1", s.Delta1.Deg(), 21.288, .05, f3},
		{"βm1", s.Beta1.Deg(), 49.998, .05, f3},
		{"βm2", s.Beta2.Deg(), 38.609, 1e-6, "given"},
		{"dm2", 2 * s.MeanRadius2.MM(), 141.877, .5, f3},
		{"mmn", s.MeanNormalModule.MM(), 2.640, .02, f3},
		{"αlim", s.LimitAngle.Deg(), -2.253, .05, f3},
		{"hmw", s.WorkingDepth.MM(), 5.280, .03, f3},
		{"dae2", s.OuterDiameter.MM(), 171.560, 1e-9, "given"},
	})
	// With only the measurements, the assumed figures must cover the sample.
	s, err = Complete(Known{Z1: 13, Z2: 42, OuterDiameter: unit.MM(171.560), FaceWidth: unit.MM(30), Offset: unit.MM(15)})
	if err != nil {
		t.Fatal(err)
	}
	truth := map[string]float64{
		"ring gear pitch angle": full.Delta2.Deg(), "mean normal pressure angle": 20, "cutter radius": 63.5,
		"depth factor": 2, "clearance factor": 0.125, "thickness factor": 0.1,
	}
	seen := 0
	for _, a := range s.Assumed {
		want, ok := truth[a.Name]
		if !ok {
			continue
		}
		seen++
		if math.Abs(a.Value-want) > a.PlusMinus {
			t.Errorf("%s assumed %.3f ± %.3f does not cover %.3f (ISO 23509:2016, annex F.3)", a.Name, a.Value, a.PlusMinus, want)
		}
	}
	if seen != len(truth) {
		t.Errorf("saw %d of %d assumptions", seen, len(truth))
	}

	// The ring gear addendum of sample F.2 follows from its ratio.
	s, err = Complete(Known{Z1: 14, Z2: 39, OuterDiameter: unit.MM(178.288), FaceWidth: unit.MM(25.4), CutterRadius: unit.MM(114.3)})
	if err != nil {
		t.Fatal(err)
	}
	const f2 = "ISO 23509:2016, annex F.2 (second hand)"
	checkRows(t, []row{
		{"ham2/hmw", float64(s.Ring.MeanAddendum / s.WorkingDepth), 0.24737, 1e-5, f2},
		{"de2", s.Ring.OuterPitchDiameter.MM(), 176.893, .1, f2},
		{"βm2", s.Beta2.Deg(), 35, 1e-9, f2},
		{"mmn", s.MeanNormalModule.MM(), 3.213, .005, f2},
	})
}

// Constant slot width gives the taper that sample F.2 states.
func TestTaperOfSampleF2(t *testing.T) {
	d := sampleF2()
	d.Taper = ConstantSlotWidth
	s, err := Dimensions(d)
	if err != nil {
		t.Fatal(err)
	}
	const source = "ISO 23509:2016, annex F.2, inputs θa2 and θf2 (second hand)"
	checkRows(t, []row{
		{"θa2", s.Ring.AddendumAngle.Deg(), 2.1342, 5e-4, source},
		{"θf2", s.Ring.DedendumAngle.Deg(), 6.4934, 1e-3, source},
	})
}

// An ordinary axle set lands where such sets lie.
func TestCompleteUsualAxle(t *testing.T) {
	const source = "common practice, no source"
	for _, k := range []Known{
		{Z1: 10, Z2: 41, OuterDiameter: unit.Inch(8.8), FaceWidth: unit.Inch(1.4), Offset: unit.Inch(1.5)},
		{Z1: 11, Z2: 41, OuterDiameter: unit.MM(215), FaceWidth: unit.MM(33), Offset: unit.MM(35)},
		{Z1: 9, Z2: 37, OuterDiameter: unit.MM(190), Offset: unit.MM(28)},
		{Z1: 13, Z2: 40, OuterDiameter: unit.MM(230), FaceWidth: unit.MM(36), Offset: unit.MM(38), UniformDepth: true},
	} {
		s, err := Complete(k)
		if err != nil {
			t.Fatal(err)
		}
		checkRows(t, []row{
			{"βm1", s.Beta1.Deg(), 48.5, 3.5, source},
			{"βm2", s.Beta2.Deg(), 31, 4, source},
			{"δ2", s.Delta2.Deg(), 70, 6, source},
			{"βm1 − ζmp", (s.Beta1 - s.OffsetAnglePitch).Deg(), s.Beta2.Deg(), 1e-9, "derived: ISO 23509:2016, formula (27)"},
		})
		if s.Ring.SpiralOuter <= s.Beta2 {
			t.Errorf("%d/%d: the spiral angle falls towards the heel, %v after %v", k.Z1, k.Z2, s.Ring.SpiralOuter.Deg(), s.Beta2.Deg())
		}
		if k.UniformDepth && (s.Ring.OuterDepth-s.Ring.InnerDepth).Abs() > 1e-9 {
			t.Errorf("uniform depth asked for, got %v at the heel and %v at the toe", s.Ring.OuterDepth, s.Ring.InnerDepth)
		}
		for _, a := range s.Assumed {
			if a.Name == "" || a.Why == "" || a.PlusMinus < 0 {
				t.Errorf("assumption without name, reason or spread: %+v", a)
			}
		}
	}
}

func TestCompleteRefuses(t *testing.T) {
	good := Known{Z1: 10, Z2: 41, OuterDiameter: unit.MM(223), FaceWidth: unit.MM(35), Offset: unit.MM(38)}
	for _, c := range []struct {
		name string
		edit func(*Known)
		want string
	}{
		{"no pinion teeth", func(k *Known) { k.Z1 = 0 }, "pinion has 0 teeth"},
		{"counts swapped", func(k *Known) { k.Z1, k.Z2 = 41, 10 }, "at least as many"},
		{"no diameter", func(k *Known) { k.OuterDiameter = 0 }, "outside diameter is 0.00 mm"},
		{"diameter not a number", func(k *Known) { k.OuterDiameter = unit.MM(math.NaN()) }, "outside diameter"},
		{"offset past the ring gear", func(k *Known) { k.Offset = unit.MM(120) }, "offset of 120.00 mm is too large"},
		{"offset with a sign", func(k *Known) { k.Offset = unit.MM(-38) }, "without sign"},
		{"face width too long", func(k *Known) { k.FaceWidth = unit.MM(80) }, "face width of 80.00 mm does not fit"},
		{"spiral past reason", func(k *Known) { k.RingSpiral = unit.Deg(80) }, "spiral angle of 80°"},
		{"cutter for a watch", func(k *Known) { k.CutterRadius = unit.MM(5) }, "cutter radius of 5.00 mm"},
		{"pitch angle without offset", func(k *Known) { k.Offset = 0; k.RingPitchAngle = unit.Deg(65) }, "is the offset missing?"},
		{"inches typed as millimetres", func(k *Known) { k.OuterDiameter = unit.MM(8.8) }, "8.80 mm"},
	} {
		k := good
		c.edit(&k)
		_, err := Complete(k)
		if !errors.Is(err, ErrGeometry) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got error %v, want one with %q", c.name, err, c.want)
		}
		if err != nil && strings.ContainsAny(err.Error(), "\n") {
			t.Errorf("%s: more than one line: %q", c.name, err)
		}
	}
}

// Whatever is typed, the answer is a closed set or a sentence: every figure
// finite, the known ones met, the pitch cones touching.
func TestCompleteProperty(t *testing.T) {
	solved := 0
	rapid.Check(t, func(t *rapid.T) {
		k := Known{
			Z1: rapid.IntRange(3, 30).Draw(t, "z1"), Z2: rapid.IntRange(3, 80).Draw(t, "z2"),
			OuterDiameter: unit.MM(rapid.Float64Range(60, 600).Draw(t, "od")),
		}
		k.Offset = k.OuterDiameter * unit.Length(rapid.SampledFrom([]float64{0, .002, .02, .08, .15, .2, .3, .4}).Draw(t, "a/od"))
		k.FaceWidth = k.OuterDiameter * unit.Length(rapid.SampledFrom([]float64{0, .08, .12, .16, .2, .3}).Draw(t, "b/od"))
		if rapid.Bool().Draw(t, "spiral known") {
			k.RingSpiral = unit.Deg(rapid.Float64Range(5, 50).Draw(t, "β"))
		}
		if rapid.Bool().Draw(t, "pressure known") {
			k.Pressure = unit.Deg(rapid.Float64Range(14, 25).Draw(t, "α"))
		}
		if rapid.Bool().Draw(t, "cutter known") {
			k.CutterRadius = k.OuterDiameter * unit.Length(rapid.Float64Range(.1, 1.5).Draw(t, "rc/od"))
		}
		if rapid.IntRange(0, 3).Draw(t, "pitch angle known") == 0 {
			k.RingPitchAngle = unit.Deg(rapid.Float64Range(45, 85).Draw(t, "δ2"))
		}
		s, err := Complete(k)
		if err != nil {
			if !errors.Is(err, ErrGeometry) {
				t.Fatalf("an error that is not ErrGeometry: %v", err)
			}
			return
		}
		solved++
		checkClosed(t, s)
		if (s.OuterDiameter - k.OuterDiameter).Abs() > 1e-5 {
			t.Fatalf("outside diameter %v, want %v", s.OuterDiameter, k.OuterDiameter)
		}
		if k.RingSpiral != 0 && math.Abs((s.Beta2-k.RingSpiral).Deg()) > 1e-5 {
			t.Fatalf("spiral angle %v, want %v", s.Beta2.Deg(), k.RingSpiral.Deg())
		}
		if k.Pressure != 0 && math.Abs((s.NormalAngle()-k.Pressure).Deg()) > 1e-9 {
			t.Fatalf("pressure angle %v, want %v", s.NormalAngle().Deg(), k.Pressure.Deg())
		}
	})
	if solved == 0 {
		t.Error("no drawn set could be solved, so nothing was checked")
	}
}

// checkClosed is an independent check on pitch cones: both mean points are the
// same point in space, both cones have the same tangent plane there, and the
// teeth run in the same direction there at the ratio of the tooth counts.
//
// Derivation: ring gear axis on z, mean point in the x-z plane, both axes square
// to each other and Offset apart along y after turning.
func checkClosed(t failer, s Set) {
	t.Helper()
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Fatalf("%s = %.9g, want %.9g", what, got, want)
		}
	}
	sin2, cos2 := math.Sincos(s.Delta2.Rad())
	sin1, cos1 := math.Sincos(s.Delta1.Rad())
	// Mean point at radius rm2 on +x; z along the ring gear axis away from the
	// pitch apex. Generator g2 from apex to mean point, pitch plane normal n.
	g2 := vec{sin2, 0, cos2}
	n := vec{-cos2, 0, sin2} // towards the ring gear's inside
	m := g2.times(s.ConeDistance2.MM())
	// The pinion's generator lies in the pitch plane, turned by ζmp about n.
	e := s.OffsetAnglePitch.Rad()
	y := n.cross(g2)
	g1 := g2.times(math.Cos(e)).plus(y.times(math.Sin(e)))
	axis1 := g1.times(cos1).plus(n.times(-sin1))
	apex1 := m.minus(g1.times(s.ConeDistance1.MM()))
	near("the shaft angle's cosine", axis1.dot(vec{0, 0, 1}), math.Cos(s.ShaftAngle.Rad()), 1e-9)
	// Distance of the two axes along their common perpendicular.
	across := (vec{0, 0, 1}).cross(axis1)
	distance := math.Abs(apex1.dot(across)) / math.Sqrt(across.dot(across))
	near("the distance of the axes", distance, s.Offset.MM(), 1e-6*s.OuterDiameter.MM())
	near("the teeth in normal pitch", s.MeanRadius1.MM()*math.Cos(s.Beta1.Rad())*float64(s.Z2),
		s.MeanRadius2.MM()*math.Cos(s.Beta2.Rad())*float64(s.Z1), 1e-6*s.OuterDiameter.MM()*float64(s.Z1))
	near("the spiral angles' difference", (s.Beta1 - s.Beta2).Rad(), e, 1e-9)
	for _, v := range []unit.Length{s.MeanRadius1, s.MeanRadius2, s.InnerConeDistance1, s.InnerConeDistance2, s.MeanNormalModule, s.WorkingDepth} {
		if !(v > 0) || math.IsInf(v.MM(), 0) {
			t.Fatalf("a size is %v: %+v", v, s)
		}
	}
}

type vec [3]float64

func (a vec) dot(b vec) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) times(k float64) vec { return vec{a[0] * k, a[1] * k, a[2] * k} }
func (a vec) plus(b vec) vec      { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) minus(b vec) vec     { return a.plus(b.times(-1)) }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func TestSamplesClose(t *testing.T) {
	for _, d := range []Design{sampleF2(), sampleF3()} {
		s, err := Dimensions(d)
		if err != nil {
			t.Fatal(err)
		}
		checkClosed(t, s)
	}
}

// FuzzComplete: no panic, no hang, no NaN, whatever the figures.
func FuzzComplete(f *testing.F) {
	f.Add(10, 41, 223.0, 35.0, 38.0, 90.0, 30.0, 20.0, 70.0, 95.0)
	f.Add(3, 3, 20.0, 0.0, 0.0, 30.0, 0.0, 0.0, 0.0, 0.0)
	f.Add(13, 42, 171.56, 30.0, 1e-9, 0.0, 55.0, 10.0, 30.0, 20.0)
	f.Add(7, 300, 3000.0, 750.0, 1050.0, 150.0, 1.0, 30.0, 88.0, 9000.0)
	f.Fuzz(func(t *testing.T, z1, z2 int, od, b, a, sigma, beta, alpha, delta, rc float64) {
		s, err := Complete(Known{Z1: z1, Z2: z2, OuterDiameter: unit.MM(od), FaceWidth: unit.MM(b), Offset: unit.MM(a),
			ShaftAngle: unit.Deg(sigma), RingSpiral: unit.Deg(beta), Pressure: unit.Deg(alpha), RingPitchAngle: unit.Deg(delta), CutterRadius: unit.MM(rc)})
		if err != nil {
			if !errors.Is(err, ErrGeometry) || strings.Contains(err.Error(), "NaN") && od == od && b == b && a == a && sigma == sigma && beta == beta && alpha == alpha && delta == delta && rc == rc {
				t.Fatalf("unclear error: %v", err)
			}
			return
		}
		checkClosed(t, s)
	})
}

func BenchmarkComplete(b *testing.B) {
	k := Known{Z1: 10, Z2: 41, OuterDiameter: unit.MM(223), FaceWidth: unit.MM(35), Offset: unit.MM(38)}
	for b.Loop() {
		if _, err := Complete(k); err != nil {
			b.Fatal(err)
		}
	}
}

// failer is what testing.T and rapid.T share.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// Every set of ordinary axle proportions closes from its measurements alone, with
// teeth whose spiral angle grows towards the heel.
func TestCompleteUsualAlwaysCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := Known{Z1: rapid.IntRange(6, 19).Draw(t, "z1"), OuterDiameter: unit.MM(rapid.Float64Range(120, 500).Draw(t, "od"))}
		k.Z2 = int(math.Round(float64(k.Z1) * rapid.Float64Range(2.4, 6.5).Draw(t, "u")))
		k.Offset = k.OuterDiameter * unit.Length(rapid.Float64Range(0, .21).Draw(t, "a/od"))
		k.FaceWidth = k.OuterDiameter * unit.Length(rapid.Float64Range(.11, .17).Draw(t, "b/od"))
		s, err := Complete(k)
		if err != nil {
			t.Fatal(err)
		}
		checkClosed(t, s)
		if s.Ring.SpiralOuter <= s.Beta2 || s.Beta2 <= s.Ring.SpiralInner {
			t.Fatalf("spiral angle %v %v %v from toe to heel", s.Ring.SpiralInner.Deg(), s.Beta2.Deg(), s.Ring.SpiralOuter.Deg())
		}
		for _, a := range s.Assumed {
			if a.Name == assumedPitch && a.PlusMinus > 3 {
				t.Fatalf("the cutter's curvature was not met: %+v", s)
			}
		}
	})
}
