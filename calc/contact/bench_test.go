package contact

import (
	"errors"
	"math"
	"testing"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// BenchmarkPattern: both flanks on a 41 × 21 grid, the set's geometry known.
func BenchmarkPattern(b *testing.B) {
	m := mustModel(b, axle(), Options{})
	ws := m.NewWorkspace()
	d := Displacement{Pinion: unit.Thou(5), Ring: unit.Thou(-3)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.PatternIn(ws, d); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSensitivities: the full table of slopes with its valid ranges.
func BenchmarkSensitivities(b *testing.B) {
	m := mustModel(b, axle(), Options{})
	for b.Loop() {
		if _, err := m.Sensitivities(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNew: making a set ready.
func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		if _, err := New(axle(), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// The loops over grid and contact lines allocate nothing: a finer grid costs no
// allocation more, only a longer outline.
func TestNoAllocationInLoops(t *testing.T) {
	d := Displacement{Pinion: unit.Thou(5)}
	var v = d.vector()
	for _, o := range []Options{{}, {Along: 161, Across: 81, StepsPerPitch: 96}} {
		m := mustModel(t, axle(), o)
		ws := m.NewWorkspace()
		if n := testing.AllocsPerRun(10, func() {
			m.convex.roll(ws, v)
			for i := range m.convex.lever {
				ws.contour.set(0, 0, m.convex.meshAt(ws, i))
			}
			ws.contour.reset()
			ws.contour.march(0.006)
		}); n != 0 {
			t.Errorf("%d × %d: %g allocations in the loops", o.Along, o.Across, n)
		}
		if n := testing.AllocsPerRun(10, func() {
			if _, err := m.PatternIn(ws, d); err != nil {
				t.Error(err)
			}
		}); n > 8 {
			t.Errorf("%d × %d: %g allocations for a result", o.Along, o.Across, n)
		}
	}
}

// FuzzPattern: whatever the geometry, there is an error or a wholesome pattern.
func FuzzPattern(f *testing.F) {
	f.Add(11, 41, 72.6, 28.0, 12.04, 27.96, 99.4, 18.4, 18.2, 38.1, 114.3, 0, 1.89, 6.4, 1.76, 5.88, 0.1, -0.05, 0.0, 0.0)
	f.Add(13, 42, 68.3, 38.6, 17.7, 22.3, 76.3, 15.1, 14.9, 15.0, 63.5, 13, 1.85, 3.4, 0.0, 0.0, -1.0, 1.0, 0.3, 0.001)
	f.Add(3, 8, 30.0, 60.0, 1.0, 45.0, 5.0, 0.5, 4.0, 0.0, 5.0, 40, 0.01, 0.01, -15.0, 15.0, 5.0, 5.0, 5.0, 0.02)
	f.Add(200, 200, 45.0, 0.0, 20.0, 20.0, 2000.0, 500.0, 500.0, 500.0, 2000.0, 1, 100.0, 100.0, 0.0, 0.0, -5.0, -5.0, -5.0, -0.02)
	f.Fuzz(func(t *testing.T, z1, z2 int, pitch, spiral, convex, concave, cone, outer, inner, offset, cutter float64, groups int,
		addendum, dedendum, angleA, angleF, pinion, ring, v, shaft float64) {
		g := mmDeg{z1: z1, z2: z2, pitch: pitch, spiral: spiral, convex: convex, concave: concave, cone: cone, outer: outer, inner: inner,
			offset: offset, cutter: cutter, bladeGroups: groups, addendum: addendum, dedendum: dedendum,
			addendumAngle: angleA, rootAngle: angleF, dial: cone}.gear()
		m, err := New(g, Options{Along: 11, Across: 7, StepsPerPitch: 8})
		if err != nil {
			if !errors.Is(err, ErrGeometry) {
				t.Fatal(err)
			}
			return
		}
		r, err := m.Pattern(Displacement{unit.MM(pinion), unit.MM(ring), unit.MM(v), unit.Rad(shaft)})
		if err != nil {
			if !errors.Is(err, ErrDisplacement) {
				t.Fatal(err)
			}
			return
		}
		for _, p := range []Pattern{r.Drive, r.Coast} {
			if wrong := wholesome(p); wrong != "" {
				t.Fatalf("%s: %+v", wrong, p)
			}
		}
		for _, x := range []unit.Length{r.Backlash.Normal, r.Backlash.Transverse, r.BacklashInContact.Normal, r.BacklashInContact.Transverse} {
			if math.IsNaN(x.MM()) || math.IsInf(x.MM(), 0) {
				t.Fatalf("backlash %+v %+v", r.Backlash, r.BacklashInContact)
			}
		}
		table, err := m.Sensitivities()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []Slope{table.Pinion, table.Ring, table.Offset, table.Shaft} {
			for _, x := range []float64{s.DriveAlong, s.DriveAcross, s.CoastAlong, s.CoastAcross, s.BacklashNormal, s.BacklashTransverse,
				s.BacklashNormalInContact, s.BacklashTransverseInContact, s.Valid} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("slope %+v", s)
				}
			}
		}
	})
}

// FuzzFromKnown: the same from what a shop types.
func FuzzFromKnown(f *testing.F) {
	f.Add(11, 41, 226.0, 36.6, 38.1, 28.0, 20.0, 72.6, 114.3, false)
	f.Add(12, 43, 185.0, 29.0, 25.0, 0.0, 0.0, 0.0, 0.0, true)
	f.Add(14, 39, 178.3, 25.4, 0.0, 35.0, 20.0, 0.0, 114.3, false)
	f.Add(9, 37, 205.0, 0.0, 60.0, 45.0, 14.5, 60.0, 300.0, false)
	f.Fuzz(func(t *testing.T, z1, z2 int, od, face, offset, spiral, pressure, pitch, cutter float64, uniform bool) {
		s, err := gearset.Complete(gearset.Known{Z1: z1, Z2: z2, OuterDiameter: unit.MM(od), FaceWidth: unit.MM(face), Offset: unit.MM(offset),
			RingSpiral: unit.Deg(spiral), Pressure: unit.Deg(pressure), RingPitchAngle: unit.Deg(pitch), CutterRadius: unit.MM(cutter), UniformDepth: uniform})
		if err != nil {
			return
		}
		g, err := FromSet(s)
		if err != nil {
			if !errors.Is(err, ErrGeometry) {
				t.Fatal(err)
			}
			return
		}
		m, err := New(g, Options{Along: 11, Across: 7, StepsPerPitch: 8})
		if err != nil {
			if !errors.Is(err, ErrGeometry) {
				t.Fatal(err)
			}
			return
		}
		r, err := m.Pattern(Displacement{Pinion: unit.Thou(5), Ring: unit.Thou(-3)})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []Pattern{r.Drive, r.Coast} {
			if wrong := wholesome(p); wrong != "" {
				t.Fatalf("%s: %+v", wrong, p)
			}
		}
	})
}
