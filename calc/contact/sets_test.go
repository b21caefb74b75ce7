package contact

import (
	"testing"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// mmDeg makes a Gear from plain millimetres and degrees.
type mmDeg struct {
	z1, z2                   int
	pitch, spiral            float64
	convex, concave          float64
	cone, outer, inner       float64
	offset, cutter           float64
	addendum, dedendum       float64
	addendumAngle, rootAngle float64
	dial                     float64
	bladeGroups              int
}

func (p mmDeg) gear() Gear {
	return Gear{
		PinionTeeth: p.z1, RingTeeth: p.z2,
		PitchAngle: unit.Deg(p.pitch), Spiral: unit.Deg(p.spiral),
		PressureConvex: unit.Deg(p.convex), PressureConcave: unit.Deg(p.concave),
		ConeDistance: unit.MM(p.cone), FaceOuter: unit.MM(p.outer), FaceInner: unit.MM(p.inner),
		Offset: unit.MM(p.offset), CutterRadius: unit.MM(p.cutter), BladeGroups: p.bladeGroups,
		Addendum: unit.MM(p.addendum), WorkingDedendum: unit.MM(p.dedendum),
		AddendumAngle: unit.Deg(p.addendumAngle), DedendumAngle: unit.Deg(p.rootAngle),
		DialRadius: unit.MM(p.dial),
	}
}

const (
	sourceF2 = "ISO 23509:2016 annex F sample F.2, found (2nd hand)"
	sourceF3 = "ISO 23509:2016 annex F sample F.3, found (2nd hand)"
	sourceF4 = "ISO 23509:2016 annex F sample F.4, found (2nd hand)"
	sourceF5 = "ISO 23509:2016 annex F sample F.5, found (2nd hand)"
)

// sampleF2 is a spiral bevel set. Source: ISO 23509:2016 annex F, sample F.2.
func sampleF2() Gear {
	return mmDeg{z1: 14, z2: 39, pitch: 70.25316, spiral: 35, convex: 20, concave: 20,
		cone: 81.27259, outer: 12.7, inner: 12.7, cutter: 114.3,
		addendum: 1.591, dedendum: 5.639 - 0.803, addendumAngle: 2.1342, rootAngle: 6.4934, dial: 178.288 / 2}.gear()
}

// sampleF3 is a hypoid set. Source: ISO 23509:2016 annex F, sample F.3.
func sampleF3() Gear {
	return mmDeg{z1: 13, z2: 42, pitch: 68.32393, spiral: 38.60855, convex: 17.747, concave: 22.253,
		cone: 76.337, outer: 91.468 - 76.337, inner: 76.337 - 61.468, offset: 15, cutter: 63.5,
		addendum: 1.848, dedendum: 4.092 - 0.660, addendumAngle: 1, rootAngle: 4, dial: 171.560 / 2}.gear()
}

// axle is an invented hypoid set of usual axle proportions.
func axle() Gear {
	return mmDeg{z1: 11, z2: 41, pitch: 72.6, spiral: 28, convex: 12.04, concave: 27.96,
		cone: 99.4, outer: 18.4, inner: 18.2, offset: 38.1, cutter: 114.3,
		addendum: 1.89, dedendum: 6.4, addendumAngle: 1.76, rootAngle: 5.88, dial: 113}.gear()
}

// level gives a gear's flanks equal depth above and below the pitch cone, so that
// the middle of the flank is the mean point.
func level(g Gear) Gear {
	half := (g.Addendum + g.WorkingDedendum) / 2
	g.Addendum, g.WorkingDedendum = half, half
	g.AddendumAngle, g.DedendumAngle = 0, 0
	face := (g.FaceOuter + g.FaceInner) / 2
	g.FaceOuter, g.FaceInner = face, face
	return g
}

func mustModel(t testing.TB, g Gear, o Options) *Model {
	t.Helper()
	m, err := New(g, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func mustPattern(t testing.TB, m *Model, d Displacement) Result {
	t.Helper()
	r, err := m.Pattern(d)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func mustSet(t testing.TB, k gearset.Known) gearset.Set {
	t.Helper()
	s, err := gearset.Complete(k)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
