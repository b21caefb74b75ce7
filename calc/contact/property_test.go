package contact

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// drawGear draws a set a shop could meet.
func drawGear(t *rapid.T) Gear {
	od := rapid.Float64Range(120, 400).Draw(t, "outside diameter")
	z2 := rapid.IntRange(30, 54).Draw(t, "z2")
	z1 := int(float64(z2) / rapid.Float64Range(2.6, 5.5).Draw(t, "ratio"))
	k := gearset.Known{Z1: z1, Z2: z2, OuterDiameter: unit.MM(od),
		FaceWidth: unit.MM(od * rapid.Float64Range(0.13, 0.18).Draw(t, "face")),
		Offset:    unit.MM(od * rapid.Float64Range(0, 0.19).Draw(t, "offset")),
		Pressure:  unit.Deg(rapid.Float64Range(18, 23).Draw(t, "pressure")),
	}
	k.UniformDepth = rapid.Bool().Draw(t, "uniform")
	s, err := gearset.Complete(k)
	if err != nil {
		t.Skip(err)
	}
	g, err := FromSet(s)
	if err != nil {
		t.Skip(err)
	}
	if k.UniformDepth && rapid.Bool().Draw(t, "hobbed") {
		g.BladeGroups = UsualBladeGroups
		g.CutterRadius *= 1.3
	}
	return g
}

func drawDisplacement(t *rapid.T, size float64) Displacement {
	d := func(name string) unit.Length { return unit.MM(rapid.Float64Range(-size, size).Draw(t, name)) }
	return Displacement{Pinion: d("pinion"), Ring: d("ring"), Offset: d("offset"),
		Shaft: unit.Rad(rapid.Float64Range(-size, size).Draw(t, "shaft") / 100)}
}

func small() Options { return Options{Along: 21, Across: 11, StepsPerPitch: 16} }

// wholesome says what is wrong with a pattern.
func wholesome(p Pattern) string {
	for _, v := range []float64{p.Along, p.Across, p.Area, p.Low.Along, p.Low.Across, p.High.Along, p.High.Across, p.Transmission.Rad()} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return "a number is not finite"
		}
	}
	const e = 1e-9
	switch {
	case p.Area < 0 || p.Area > 1+e:
		return "the area is not a share"
	case p.Low.Along < -1-e || p.High.Along > 1+e || p.Low.Across < -1-e || p.High.Across > 1+e:
		return "the pattern leaves the tooth"
	case p.Along < p.Low.Along-e || p.Along > p.High.Along+e || p.Across < p.Low.Across-e || p.Across > p.High.Across+e:
		return "the centroid is outside the extents"
	case p.Transmission < 0:
		return "the transmission error is negative"
	case len(p.Path) == 0:
		return "there is no contact"
	}
	area := 0.0
	for _, loop := range p.Outline {
		for i, a := range loop {
			b := loop[(i+1)%len(loop)]
			area += (a.Along*b.Across - b.Along*a.Across) / 8
		}
	}
	if math.Abs(area-p.Area) > 1e-9 {
		return "the outline does not enclose the area"
	}
	return ""
}

func TestPatternIsWholesome(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := New(drawGear(t), small())
		if err != nil {
			t.Fatal(err)
		}
		r, err := m.Pattern(drawDisplacement(t, rapid.SampledFrom([]float64{0.05, 0.5, 1.9}).Draw(t, "size")))
		if err != nil {
			t.Fatal(err)
		}
		for name, p := range map[string]Pattern{"drive": r.Drive, "coast": r.Coast} {
			if wrong := wholesome(p); wrong != "" {
				t.Fatalf("%s: %s: %+v", name, wrong, p)
			}
		}
		if n := r.Backlash.Normal.MM(); math.IsNaN(n) || math.IsInf(n, 0) {
			t.Fatal("backlash is not finite")
		}
	})
}

// A left-hand ring gear is the mirror image of a right-hand one.
func TestHandMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGear(t)
		d := drawDisplacement(t, 0.3)
		right, err := New(g, small())
		if err != nil {
			t.Fatal(err)
		}
		g.LeftHand = true
		left, err := New(g, small())
		if err != nil {
			t.Fatal(err)
		}
		a, err := right.Pattern(d)
		if err != nil {
			t.Fatal(err)
		}
		b, err := left.Pattern(d)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range []Pattern{a.Drive, a.Coast} {
			q := []Pattern{b.Drive, b.Coast}[i]
			if math.Abs(p.Along-q.Along) > 1e-6 || math.Abs(p.Across-q.Across) > 1e-6 || math.Abs(p.Area-q.Area) > 1e-6 {
				t.Fatalf("right hand %+.7f %+.7f %.7f, left hand %+.7f %+.7f %.7f", p.Along, p.Across, p.Area, q.Along, q.Across, q.Area)
			}
		}
		if math.Abs(float64(a.BacklashInContact.Normal-b.BacklashInContact.Normal)) > 1e-9 {
			t.Fatal("backlash differs with the hand")
		}
	})
}

// Reverse cut swaps drive and coast and nothing else.
func TestReverseCutSwaps(t *testing.T) {
	g := axle()
	d := Displacement{Pinion: unit.Thou(4), Ring: unit.Thou(-3)}
	a := mustPattern(t, mustModel(t, g, Options{}), d)
	g.ReverseCut = true
	b := mustPattern(t, mustModel(t, g, Options{}), d)
	if a.Drive.Along != b.Coast.Along || a.Drive.Across != b.Coast.Across || a.Coast.Area != b.Drive.Area {
		t.Error("drive and coast are not swapped")
	}
	if a.Backlash != b.Backlash {
		t.Error("backlash changed")
	}
	if a.Drive.Along == a.Coast.Along {
		t.Error("drive and coast are the same, so nothing was tested")
	}
}

// Small moves: opposite moves do opposite things, twice the move does twice as
// much, and two moves together do what they do one by one.
func TestSmallMovesAreLinear(t *testing.T) {
	for name, g := range map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3(), "axle": axle()} {
		m := mustModel(t, g, Options{Along: 81, Across: 41})
		rest := mustPattern(t, m, Displacement{})
		shift := func(d Displacement) [4]float64 {
			r := mustPattern(t, m, d)
			return [4]float64{r.Drive.Along - rest.Drive.Along, r.Drive.Across - rest.Drive.Across,
				r.Coast.Along - rest.Coast.Along, r.Coast.Across - rest.Coast.Across}
		}
		const x, tol = 0.04, 0.012
		for i, what := range []string{"pinion", "ring gear", "offset"} {
			one, back, two := shift(along(i, x)), shift(along(i, -x)), shift(along(i, 2*x))
			both := shift(Displacement{Pinion: along(i, x).Pinion + unit.MM(x), Ring: along(i, x).Ring, Offset: along(i, x).Offset})
			pinion := shift(along(0, x))
			for k := range one {
				if math.Abs(one[k]+back[k]) > tol {
					t.Errorf("%s, %s: %+.4f forth and %+.4f back (derived)", name, what, one[k], back[k])
				}
				if math.Abs(two[k]-2*one[k]) > 2*tol {
					t.Errorf("%s, %s: %+.4f for one and %+.4f for two (derived)", name, what, one[k], two[k])
				}
				if math.Abs(both[k]-one[k]-pinion[k]) > 2*tol {
					t.Errorf("%s, %s and pinion: %+.4f together, %+.4f and %+.4f alone (derived)", name, what, both[k], one[k], pinion[k])
				}
			}
		}
		if math.Abs(rest.Drive.Along)+math.Abs(rest.Drive.Across)+math.Abs(rest.Coast.Along)+math.Abs(rest.Coast.Across) > 0.03 {
			t.Errorf("%s: without displacement the patterns stand at %+.3f %+.3f and %+.3f %+.3f, not at mid flank", name,
				rest.Drive.Along, rest.Drive.Across, rest.Coast.Along, rest.Coast.Across)
		}
	}
}

// As the offset goes to nothing the hypoid set becomes the spiral bevel set.
func TestZeroOffset(t *testing.T) {
	g := sampleF2()
	bevel := mustModel(t, g, Options{})
	g.Offset = unit.MM(1e-7)
	hypoid := mustModel(t, g, Options{})
	d := Displacement{Pinion: unit.MM(0.06), Ring: unit.MM(-0.1), Offset: unit.MM(0.02), Shaft: unit.Deg(0.01)}
	a, b := mustPattern(t, bevel, d), mustPattern(t, hypoid, d)
	for i, p := range []Pattern{a.Drive, a.Coast} {
		q := []Pattern{b.Drive, b.Coast}[i]
		if math.Abs(p.Along-q.Along) > 1e-5 || math.Abs(p.Across-q.Across) > 1e-5 || math.Abs(p.Area-q.Area) > 1e-5 {
			t.Errorf("spiral bevel %+.6f %+.6f, hypoid of no offset %+.6f %+.6f", p.Along, p.Across, q.Along, q.Across)
		}
	}
	// Spiral bevel: axes meet, equal spiral angles, δ1 + δ2 = 90°; an offset change
	// does not change backlash at the mean point, since the flanks' slopes cancel.
	p, err := sampleF2().place()
	if err != nil {
		t.Fatal(err)
	}
	if p.offsetAngle != 0 || math.Abs(p.pinionPitch+sampleF2().PitchAngle.Rad()-math.Pi/2) > 1e-12 {
		t.Errorf("offset angle %g, δ1 + δ2 = %.9f°", p.offsetAngle, (p.pinionPitch+sampleF2().PitchAngle.Rad())/degree)
	}
	table, err := bevel.Sensitivities()
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(table.Offset.BacklashTransverse) > 1e-12 {
		t.Errorf("an offset change of a spiral bevel set changes backlash by %g per mm (derived: 0)", table.Offset.BacklashTransverse)
	}
}

// A straight bevel set has no lengthwise direction: with equal pressure angles
// drive and coast do the same.
func TestStraightBevelFlanksAreEqual(t *testing.T) {
	g := mmDeg{z1: 20, z2: 40, pitch: 63.43494882, convex: 20, concave: 20, cone: 56, outer: 11, inner: 11,
		cutter: maxCutter, addendum: 2, dedendum: 3, dial: 61}.gear()
	m := mustModel(t, g, Options{})
	for what, d := range map[string]Displacement{"pinion": {Pinion: unit.MM(0.05)}, "ring gear": {Ring: unit.MM(0.05)}} {
		r := mustPattern(t, m, d)
		// the cutter's arc still curves the tooth a little, one flank each way
		if math.Abs(r.Drive.Along-r.Coast.Along) > 0.05 || math.Abs(r.Drive.Across-r.Coast.Across) > 0.03 {
			t.Errorf("%s: drive %+.4f %+.4f, coast %+.4f %+.4f (derived: equal)", what, r.Drive.Along, r.Drive.Across, r.Coast.Along, r.Coast.Across)
		}
	}
}

// A finer grid changes little, and less and less.
func TestGridConverges(t *testing.T) {
	d := Displacement{Pinion: unit.MM(0.08), Ring: unit.MM(-0.05)}
	for name, g := range map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3(), "axle": axle()} {
		at := func(n int) Result {
			return mustPattern(t, mustModel(t, g, Options{Along: 20*n + 1, Across: 10*n + 1, StepsPerPitch: 12 * n}), d)
		}
		coarse, usual, finest := at(1), at(2), at(8)
		off := func(r Result) float64 {
			worst := 0.0
			for i, p := range []Pattern{r.Drive, r.Coast} {
				q := []Pattern{finest.Drive, finest.Coast}[i]
				worst = max(worst, math.Abs(p.Along-q.Along), math.Abs(p.Across-q.Across), math.Abs(p.Area-q.Area))
			}
			return worst
		}
		if off(usual) > 0.006 || off(usual) > off(coarse) {
			t.Errorf("%s: 21×11 is %.5f off, 41×21 %.5f (derived: falls with the square of the spacing)", name, off(coarse), off(usual))
		}
		if diff := math.Abs(float64(usual.BacklashInContact.Normal - finest.BacklashInContact.Normal)); diff > 5e-5 {
			t.Errorf("%s: backlash in contact %.6f mm off", name, diff)
		}
		t.Logf("%s: worst of centroids and areas against 161×81: 21×11 %.5f, 41×21 %.5f", name, off(coarse), off(usual))
	}
}

// The smaller the crown, the farther the pattern travels.
func TestCrownSetsTravel(t *testing.T) {
	travel := func(o Options) (float64, float64) {
		table, err := mustModel(t, axle(), o).Sensitivities()
		if err != nil {
			t.Fatal(err)
		}
		return math.Abs(table.Ring.DriveAlong), math.Abs(table.Pinion.CoastAcross)
	}
	along1, across1 := travel(Options{CrownAlong: unit.MM(0.06), CrownAcross: unit.MM(0.02)})
	along2, across2 := travel(Options{CrownAlong: unit.MM(0.12), CrownAcross: unit.MM(0.04)})
	if r := along1 / along2; math.Abs(r-2) > 0.1 {
		t.Errorf("half the lengthwise crown moves the pattern %.3f times as far (derived: 2)", r)
	}
	if r := across1 / across2; math.Abs(r-2) > 0.15 {
		t.Errorf("half the profile crown moves the pattern %.3f times as far (derived: 2)", r)
	}
}

// A pattern pushed off an end of the tooth says so.
func TestEdgeContact(t *testing.T) {
	m := mustModel(t, sampleF3(), Options{})
	for _, row := range []struct {
		what string
		d    Displacement
		edge func(Pattern) bool
	}{
		{"far towards", Displacement{Ring: unit.MM(1)}, func(p Pattern) bool { return p.Toe && !p.Heel }},
		{"far away", Displacement{Ring: unit.MM(-1)}, func(p Pattern) bool { return p.Heel && !p.Toe }},
		{"far too deep", Displacement{Pinion: unit.MM(0.5)}, func(p Pattern) bool { return p.Root && !p.Top }},
		{"far too shallow", Displacement{Pinion: unit.MM(-0.5)}, func(p Pattern) bool { return p.Top && !p.Root }},
		{"none", Displacement{}, func(p Pattern) bool { return !p.Toe && !p.Heel && !p.Root && !p.Top }},
	} {
		if r := mustPattern(t, m, row.d); !row.edge(r.Drive) {
			t.Errorf("%s: toe %v heel %v root %v top %v, low %.2f high %.2f", row.what, r.Drive.Toe, r.Drive.Heel, r.Drive.Root, r.Drive.Top, r.Drive.Low, r.Drive.High)
		}
	}
}

func TestRefusals(t *testing.T) {
	if _, err := mustModel(t, axle(), Options{}).Pattern(Displacement{Pinion: unit.MM(math.NaN())}); !errors.Is(err, ErrDisplacement) {
		t.Errorf("NaN: %v", err)
	}
	if _, err := mustModel(t, axle(), Options{}).Pattern(Displacement{Ring: unit.MM(6)}); !errors.Is(err, ErrDisplacement) {
		t.Errorf("6 mm: %v", err)
	}
	if _, err := mustModel(t, axle(), Options{}).Pattern(Displacement{Shaft: unit.Deg(3)}); !errors.Is(err, ErrDisplacement) {
		t.Errorf("3°: %v", err)
	}
	for what, change := range map[string]func(*Gear, *Options){
		"no teeth":                   func(g *Gear, _ *Options) { g.PinionTeeth = 0 },
		"fewer ring gear teeth":      func(g *Gear, _ *Options) { g.PinionTeeth = 50 },
		"NaN":                        func(g *Gear, _ *Options) { g.Spiral = unit.Rad(math.NaN()) },
		"negative offset":            func(g *Gear, _ *Options) { g.Offset = -1 },
		"offset beyond the teeth":    func(g *Gear, _ *Options) { g.Offset = unit.MM(300) },
		"cutter too large":           func(g *Gear, _ *Options) { g.CutterRadius = unit.MM(400) },
		"cutter does not reach":      func(g *Gear, _ *Options) { g.CutterRadius = unit.MM(8) },
		"too many blade groups":      func(g *Gear, _ *Options) { g.BladeGroups = 40; g.CutterRadius = unit.MM(60) },
		"taper to nothing":           func(g *Gear, _ *Options) { g.DedendumAngle, g.AddendumAngle = unit.Deg(15), unit.Deg(15) },
		"face to the apex":           func(g *Gear, _ *Options) { g.FaceInner = unit.MM(90) },
		"crown twist without summit": func(_ *Gear, o *Options) { o.CrownTwist = unit.MM(0.08) },
		"negative crown":             func(_ *Gear, o *Options) { o.CrownAlong = -1 },
		"coarse grid":                func(_ *Gear, o *Options) { o.Along = 3 },
	} {
		g, o := axle(), Options{}
		change(&g, &o)
		if _, err := New(g, o); !errors.Is(err, ErrGeometry) {
			t.Errorf("%s: %v, want an error about the geometry", what, err)
		}
	}
}

// The flank's derivatives are those of its points, face milled and hobbed.
func TestFlankDerivatives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGear(t)
		p, err := g.place()
		if err != nil {
			t.Fatal(err)
		}
		f, err := g.cut(p, rapid.Bool().Draw(t, "convex"))
		if err != nil {
			t.Fatal(err)
		}
		theta, h := rapid.Float64Range(-0.2, 0.2).Draw(t, "theta"), rapid.Float64Range(-5, 5).Draw(t, "t")
		_, dTheta, dT := f.derivatives(theta, h)
		const e = 1e-6
		at := func(theta, h float64) [3]float64 {
			x, _ := f.at(theta, h)
			return [3]float64{x.X, x.Y, x.Z}
		}
		a, b, c, d := at(theta+e, h), at(theta-e, h), at(theta, h+e), at(theta, h-e)
		for i, want := range [3]float64{dTheta.X, dTheta.Y, dTheta.Z} {
			if got := (a[i] - b[i]) / (2 * e); math.Abs(got-want) > 1e-4*(1+math.Abs(want)) {
				t.Fatalf("∂x/∂θ is %g, by differences %g", want, got)
			}
		}
		for i, want := range [3]float64{dT.X, dT.Y, dT.Z} {
			if got := (c[i] - d[i]) / (2 * e); math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
				t.Fatalf("∂x/∂t is %g, by differences %g", want, got)
			}
		}
	})
}

// A flank point touches where the pair's sliding velocity lies in the flank, and
// there the lever is what the ring gear's own moment says: L = −z·(x×n)/u.
func TestMeshing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGear(t)
		p, err := g.place()
		if err != nil {
			t.Fatal(err)
		}
		s, err := g.surveyor(p, rapid.Bool().Draw(t, "convex"))
		if err != nil {
			t.Fatal(err)
		}
		n, err := s.find(rapid.Float64Range(-1, 1).Draw(t, "l"), rapid.Float64Range(-1, 1).Draw(t, "h"), spot{})
		if err != nil {
			t.Fatal(err)
		}
		moment := n.x.X*n.n.Y - n.x.Y*n.n.X
		if lever := p.lever(n.touch); math.Abs(lever+moment/g.ratio()) > 1e-8*math.Abs(lever) {
			t.Fatalf("lever %.9f mm, ring gear's moment over the ratio %.9f mm", lever, -moment/g.ratio())
		}
	})
}
