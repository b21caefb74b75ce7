package lash

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// sampleF2 and sampleF3 are the spiral bevel and the hypoid sample of ISO
// 23509:2016, annex F (inputs as transcribed in afuentesaz/AGMAStandards).
func sampleF2(t testing.TB) gearset.Set {
	return solve(t, gearset.Design{
		Method: gearset.SpiralBevel, Z1: 14, Z2: 39, ShaftAngle: unit.Deg(90),
		PitchDiameter: unit.MM(176.893), FaceWidth: unit.MM(25.4), RingSpiral: unit.Deg(35), CutterRadius: unit.MM(114.3),
		DesignAngleD: unit.Deg(20), DesignAngleC: unit.Deg(20),
		AddendumFactor: 0.24737, DepthFactor: 2, ClearanceFactor: 0.125, ThicknessFactor: 0.0915,
		AddendumAngle: unit.Deg(2.1342), DedendumAngle: unit.Deg(6.4934),
	})
}

func sampleF3(t testing.TB) gearset.Set {
	return solve(t, gearset.Design{
		Method: gearset.Hypoid, Z1: 13, Z2: 42, ShaftAngle: unit.Deg(90), Offset: unit.MM(15),
		PitchDiameter: unit.MM(170), FaceWidth: unit.MM(30), PinionSpiral: unit.Deg(50), CutterRadius: unit.MM(63.5),
		DesignAngleD: unit.Deg(20), DesignAngleC: unit.Deg(20), LimitInfluence: 1,
		AddendumFactor: 0.35, DepthFactor: 2, ClearanceFactor: 0.125, ThicknessFactor: 0.1,
		AddendumAngle: unit.Deg(1), DedendumAngle: unit.Deg(4),
	})
}

// straight is a straight bevel set with pitch angles 26.565° and 63.435°.
func straight(t testing.TB) gearset.Set {
	return solve(t, gearset.Design{
		Method: gearset.SpiralBevel, Z1: 20, Z2: 40, ShaftAngle: unit.Deg(90),
		PitchDiameter: unit.MM(120), FaceWidth: unit.MM(22), DesignAngleD: unit.Deg(20), DesignAngleC: unit.Deg(20),
		AddendumFactor: 0.5, DepthFactor: 2, ClearanceFactor: 0.125, Taper: gearset.StandardTaper,
	})
}

func solve(t testing.TB, d gearset.Design) gearset.Set {
	t.Helper()
	s, err := gearset.Dimensions(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// atMean is a dial that reads mean transverse backlash.
func atMean(s gearset.Set) Dial { return Dial{Radius: s.MeanRadius2, Plunger: AlongMotion} }

func TestSlopesTable(t *testing.T) {
	for _, c := range []struct {
		name         string
		set          gearset.Set
		ring, pinion float64
		tol          float64
		source       string
	}{
		{"straight bevel", straight(t), 0.65109, 0.32555, 1e-5, "from memory: jx = jt/(2·tan α·sin δ); 0.15359 and 0.30718 mm for 0.10 mm"},
		{"sample F.2", sampleF2(t), 0.83639, 0.30024, 1e-5, "derived, on ISO 23509:2016 sample F.2"},
		{"sample F.3", sampleF3(t), 0.8672, 0.3388, 5e-5, "derived, on ISO 23509:2016 sample F.3"},
	} {
		s, err := SlopesOf(c.set, atMean(c.set))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(s.Ring-c.ring) > c.tol || math.Abs(s.Pinion-c.pinion) > c.tol {
			t.Errorf("%s: ring %.5f pinion %.5f, want %.5f and %.5f ± %g (%s)", c.name, s.Ring, s.Pinion, c.ring, c.pinion, c.tol, c.source)
		}
	}
	// The same relation with the transverse pressure angle of a spiral bevel set.
	const alphaT = 23.95680 // of αn 20°, β 35°; bolsover/UtilitiesForAlibre, BevelGearCalculatorTests.cs
	set := sampleF2(t)
	s, err := SlopesOf(set, atMean(set))
	if err != nil {
		t.Fatal(err)
	}
	if want := 2 * math.Tan(alphaT*math.Pi/180) * math.Sin(set.Delta2.Rad()); math.Abs(s.Ring-want) > 1e-6 {
		t.Errorf("ring slope %.6f, jx = jt/(2·tan αt·sin δ) gives %.6f (from memory, with a published αt)", s.Ring, want)
	}
}

// The shop's rule of thumb falls out of the geometry of ordinary sets, with a
// dial on the heel square to the tooth.
func TestSlopesRuleOfThumb(t *testing.T) {
	const source = "common practice, no source: 0.55 to 0.85 for the ring gear, about 0.2 to 0.45 for the pinion"
	for _, k := range []gearset.Known{
		{Z1: 10, Z2: 41, OuterDiameter: unit.Inch(8.8), FaceWidth: unit.Inch(1.4), Offset: unit.Inch(1.5)},
		{Z1: 11, Z2: 41, OuterDiameter: unit.MM(215), FaceWidth: unit.MM(33), Offset: unit.MM(35)},
		{Z1: 11, Z2: 39, OuterDiameter: unit.MM(200), FaceWidth: unit.MM(31), Offset: unit.MM(32)},
		{Z1: 13, Z2: 40, OuterDiameter: unit.MM(230), FaceWidth: unit.MM(36), Offset: unit.MM(38)},
		{Z1: 11, Z2: 37, OuterDiameter: unit.MM(265), FaceWidth: unit.MM(42), Offset: unit.MM(38), UniformDepth: true},
		{Z1: 12, Z2: 43, OuterDiameter: unit.MM(180), FaceWidth: unit.MM(28), Offset: unit.MM(25)},
	} {
		set, err := gearset.Complete(k)
		if err != nil {
			t.Fatal(err)
		}
		s, err := SlopesOf(set, Dial{})
		if err != nil {
			t.Fatal(err)
		}
		if s.Ring < 0.55 || s.Ring > 0.85 || s.Pinion < 0.2 || s.Pinion > 0.45 {
			t.Errorf("%d/%d: ring %.3f pinion %.3f (%s)", k.Z1, k.Z2, s.Ring, s.Pinion, source)
		}
		along, err := SlopesOf(set, Dial{Plunger: AlongMotion})
		if err != nil {
			t.Fatal(err)
		}
		if along.Ring <= s.Ring {
			t.Errorf("%d/%d: a plunger along the motion reads %.3f, not more than square to the tooth, %.3f (derived)", k.Z1, k.Z2, along.Ring, s.Ring)
		}
	}
}

// Independent check: both flanks of a tooth at the mean point as planes in
// space, the ring gear moved along its axis, the pinion along its own, and the
// play found as a ring gear rotation by bisection.
func TestSlopesAgainstPlanes(t *testing.T) {
	for _, set := range []gearset.Set{straight(t), sampleF2(t), sampleF3(t)} {
		s, err := SlopesOf(set, atMean(set))
		if err != nil {
			t.Fatal(err)
		}
		const move = 0.01
		ring := (playAfter(set, 0, 0) - playAfter(set, move, 0)) / move
		pinion := (playAfter(set, 0, 0) - playAfter(set, 0, move)) / move
		if math.Abs(ring-s.Ring) > 2e-3 || math.Abs(pinion-s.Pinion) > 2e-3 {
			t.Errorf("%d/%d: planes give ring %.5f pinion %.5f, formula %.5f and %.5f (derived)", set.Z1, set.Z2, ring, pinion, s.Ring, s.Pinion)
		}
	}
}

// playAfter gives the mean transverse play of a set that starts with 0.2 mm of
// it, after a ring move and a pinion move.
func playAfter(set gearset.Set, ring, pinion float64) float64 {
	const play = 0.2
	sin2, cos2 := math.Sincos(set.Delta2.Rad())
	sinB, cosB := math.Sincos(set.Beta2.Rad())
	// Ring gear axis on z with its pitch apex at 0, mean point on the x-z plane.
	g := [3]float64{sin2, 0, cos2}      // generator, towards the heel
	in := [3]float64{-cos2, 0, sin2}    // pitch plane normal into the ring gear
	y := [3]float64{0, 1, 0}            // direction of motion
	cross := combine(sinB, g, -cosB, y) // in the pitch plane, square to the tooth
	m := combine(set.ConeDistance2.MM(), g, 0, y)
	r := set.MeanRadius2.MM()
	// The pinion's axis lies in the plane of its generator g1 and the normal.
	sin1, cos1 := math.Sincos(set.Delta1.Rad())
	sinE, cosE := math.Sincos(set.OffsetAnglePitch.Rad())
	// n = in, g1 turned by the offset angle so that βm1 = βm2 + ζmp.
	g1 := combine(cosE, g, -sinE, y)
	axis1 := combine(cos1, g1, -sin1, in)
	// A pinion that goes deeper moves towards its own apex, the ring gear towards
	// its mate moves towards its apex too.
	deeper := combine(-pinion, axis1, 0, y)
	closer := combine(-ring, [3]float64{0, 0, 1}, 0, y)

	// Each flank of a ring gear tooth is a plane through the mean point, shifted
	// along the motion by half the play from the mating pinion flank.
	limit := func(alpha, side float64) float64 {
		normal := combine(side*math.Cos(alpha), cross, -math.Sin(alpha), in)
		gap := func(turn float64) float64 { // of the ring gear point to the pinion's plane
			at := add(turned(m, turn), closer)
			plane := add(combine(1, m, side*-play/2, y), deeper)
			return dot(normal, add(at, combine(-1, plane, 0, y)))
		}
		// normal·y has the sign of −side; the gap is linear for small turns.
		low, high := -0.05, 0.05
		for range 200 {
			middle := (low + high) / 2
			if (gap(middle) > 0) == (gap(low) > 0) {
				low = middle
			} else {
				high = middle
			}
		}
		return (low + high) / 2
	}
	return math.Abs(limit(set.AlphaD.Rad(), 1)-limit(set.AlphaC.Rad(), -1)) * r
}

func combine(a float64, v [3]float64, b float64, w [3]float64) [3]float64 {
	return [3]float64{a*v[0] + b*w[0], a*v[1] + b*w[1], a*v[2] + b*w[2]}
}
func add(v, w [3]float64) [3]float64 { return combine(1, v, 1, w) }
func dot(v, w [3]float64) float64    { return v[0]*w[0] + v[1]*w[1] + v[2]*w[2] }
func turned(v [3]float64, phi float64) [3]float64 {
	sin, cos := math.Sincos(phi)
	return [3]float64{v[0]*cos - v[1]*sin, v[0]*sin + v[1]*cos, v[2]}
}

// A dial reads what the standard's conversions say at the places they know.
func TestDialAgainstStandard(t *testing.T) {
	const source = "ISO 23509:2016, formulas (202) to (205), recomputed for sample F.3"
	set := sampleF3(t)
	outer := set.Ring.OuterPitchDiameter / 2
	for _, c := range []struct {
		name string
		dial Dial
		want float64
	}{
		{"jet2", Dial{Radius: outer, Plunger: AlongMotion}, 0.2},
		{"jen", Dial{Radius: outer, Plunger: SquareToTooth}, 0.12654},
		{"jmt2", Dial{Radius: set.MeanRadius2, Plunger: AlongMotion}, 0.16691},
		{"jmn", Dial{Radius: set.MeanRadius2, Plunger: SquareToTooth}, 0.12257},
	} {
		got, err := AtDial(set, c.dial, unit.MM(0.2), gearset.OuterTransverse)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.MM()-c.want) > 1e-5 {
			t.Errorf("%s: dial reads %.5f mm, want %.5f (%s)", c.name, got.MM(), c.want, source)
		}
		back, err := FromDial(set, c.dial, got, gearset.OuterTransverse)
		if err != nil || math.Abs(back.MM()-0.2) > 1e-12 {
			t.Errorf("%s: read back as %.6f mm, %v", c.name, back.MM(), err)
		}
	}
}

func TestDialRefuses(t *testing.T) {
	set := sampleF3(t)
	for _, radius := range []unit.Length{unit.MM(20), unit.MM(120), unit.MM(-80), unit.MM(math.NaN())} {
		if _, err := SlopesOf(set, Dial{Radius: radius}); !errors.Is(err, ErrDial) {
			t.Errorf("radius %v: error %v, want ErrDial", radius, err)
		}
	}
	if s, err := SlopesOf(gearset.Set{}, Dial{}); err == nil {
		t.Errorf("an empty set gave slopes %+v", s)
	}
}

func TestMovesProperty(t *testing.T) {
	set := sampleF3(t)
	s, err := SlopesOf(set, Dial{})
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		now := unit.MM(rapid.Float64Range(0, 1).Draw(t, "now"))
		want := unit.MM(rapid.Float64Range(0, 1).Draw(t, "want"))
		pinion := unit.MM(rapid.Float64Range(-.5, .5).Draw(t, "pinion"))
		ring := s.RingMove(now, want, pinion)
		if got := s.After(now, ring, pinion); (got - want).Abs() > 1e-12 {
			t.Fatalf("after the move %v, want %v", got, want)
		}
		if s.After(now, 0.01, 0) >= now || s.After(now, 0, 0.01) >= now {
			t.Fatal("a move together did not close backlash")
		}
	})
}
