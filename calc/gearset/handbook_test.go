package gearset

import (
	"math"
	"testing"

	"shimwright/calc/unit"
)

// outerDesign turns a bevel set that is stated at the heel (handbook style: outer
// module, outer addenda and dedenda, angles from them) into design data at the
// mean point.
//
// Derivation: depths fall linearly from the heel by half the face width times
// the tangent of their angle.
func outerDesign(z1, z2 int, module, face, beta, ha1, ha2, hf1, hf2, thetaA2, thetaF2 float64) Design {
	u := float64(z2) / float64(z1)
	delta2 := math.Atan(u)
	re := module * float64(z2) / (2 * math.Sin(delta2))
	mean := module * (re - face/2) / re * math.Cos(beta)
	ham2, hfm2 := ha2-face/2*math.Tan(thetaA2), hf2-face/2*math.Tan(thetaF2)
	// The other member's angles follow from constant clearance.
	ham1 := ha1 - face/2*math.Tan(thetaF2)
	working := ham1 + ham2
	d := Design{
		Method: SpiralBevel, Z1: z1, Z2: z2, ShaftAngle: unit.Deg(90),
		PitchDiameter: unit.MM(module * float64(z2)), FaceWidth: unit.MM(face), RingSpiral: unit.Rad(beta),
		DesignAngleD: unit.Deg(20), DesignAngleC: unit.Deg(20),
		AddendumFactor: ham2 / working, DepthFactor: working / mean, ClearanceFactor: (hfm2 - ham1) / working,
		AddendumAngle: unit.Rad(thetaA2), DedendumAngle: unit.Rad(thetaF2),
	}
	if beta != 0 {
		d.CutterRadius = unit.MM(re)
	}
	return d
}

// A spiral bevel set worked out at the heel, as handbooks do, agrees with the
// standard's way through the mean point.
func TestHandbookSpiralBevel(t *testing.T) {
	const (
		rule   = "zhygear.com, The appendix of spiral bevel gears equations: depth rules"
		worked = "general gear technical reference (m 3, 20/40, b 20, β 35°), from memory, every number recomputed"
	)
	m, u := 3.0, 2.0
	ha2 := m * (0.46 + 0.390/(u*u))
	ha1, whole := 1.7*m-ha2, 1.888*m
	hf1, hf2 := whole-ha1, whole-ha2
	re := m * 40 / (2 * math.Sin(math.Atan(2)))
	d := outerDesign(20, 40, m, 20, 35*math.Pi/180, ha1, ha2, hf1, hf2, math.Atan(hf1/re), math.Atan(hf2/re))
	s, err := Dimensions(d)
	if err != nil {
		t.Fatal(err)
	}
	p, r := s.Pinion, s.Ring
	axial := func(b Blank) float64 { return (b.CrossingToCrown - b.CrossingToFrontCrown).MM() }
	checkRows(t, []row{
		{"δ1", s.Delta1.Deg(), 26.56505, 1e-5, worked},
		{"δ2", s.Delta2.Deg(), 63.43495, 1e-5, worked},
		{"Re", s.OuterConeDistance2.MM(), 67.08204, 1e-5, worked},
		{"hae1", p.OuterAddendum.MM(), 3.4275, 1e-6, rule},
		{"hae2", r.OuterAddendum.MM(), 1.6725, 1e-6, rule},
		{"hfe1", p.OuterDedendum.MM(), 2.2365, 1e-6, rule},
		{"hfe2", r.OuterDedendum.MM(), 3.9915, 1e-6, rule},
		{"θf1", p.DedendumAngle.Deg(), 1.90952, 1e-5, worked},
		{"θf2", r.DedendumAngle.Deg(), 3.40519, 1e-5, worked},
		{"δa1", p.FaceAngle.Deg(), 29.97024, 1e-5, worked},
		{"δa2", r.FaceAngle.Deg(), 65.34447, 1e-5, worked},
		{"δf1", p.RootAngle.Deg(), 24.65553, 1e-5, worked},
		{"δf2", r.RootAngle.Deg(), 60.02976, 1e-5, worked},
		{"dae1", p.OutsideDiameter.MM(), 66.1313, 1e-4, worked},
		{"dae2", r.OutsideDiameter.MM(), 121.4959, 1e-4, worked},
		{"apex to crown 1", p.CrossingToCrown.MM(), 58.4672, 1e-4, worked},
		{"apex to crown 2", r.CrossingToCrown.MM(), 28.5041, 1e-4, worked},
		{"axial face width 1", axial(p), 17.3563, 1e-4, worked},
		{"axial face width 2", axial(r), 8.3479, 1e-4, worked},
		{"inner tip diameter 1", p.InnerTipDiameter.MM(), 46.1140, 1e-4, worked},
		{"inner tip diameter 2", r.InnerTipDiameter.MM(), 85.1224, 1e-4, worked},
	})
}

// Straight bevel sets of the same teeth. With standard depth the tips run to the
// pitch apex, which the standard's constant clearance does not do on the pinion:
// there only the ring gear's blank is compared.
func TestHandbookStraightBevel(t *testing.T) {
	const (
		found = "bolsover/UtilitiesForAlibre, UnitTests/BevelGearCalculatorTests.cs (m 3, 20/40, b 22)"
	)
	m, u, face := 3.0, 2.0, 22.0
	re := m * 40 / (2 * math.Sin(math.Atan(2)))
	axial := func(b Blank) float64 { return (b.CrossingToCrown - b.CrossingToFrontCrown).MM() }

	standard, err := Dimensions(outerDesign(20, 40, m, face, 0, m, m, 1.25*m, 1.25*m, math.Atan(m/re), math.Atan(1.25*m/re)))
	if err != nil {
		t.Fatal(err)
	}
	r := standard.Ring
	checkRows(t, []row{
		{"hae2", r.OuterAddendum.MM(), 3, 1e-6, found},
		{"hfe2", r.OuterDedendum.MM(), 3.75, 1e-6, found},
		{"θf2", r.DedendumAngle.Deg(), 3.19960, 1e-5, found},
		{"θa2", r.AddendumAngle.Deg(), 2.56064, 1e-5, found},
		{"δa2", r.FaceAngle.Deg(), 65.99559, 1e-5, found},
		{"δf2", r.RootAngle.Deg(), 60.23535, 1e-5, found},
		{"dae2", r.OutsideDiameter.MM(), 122.6833, 1e-4, found},
		{"apex to crown 2", r.CrossingToCrown.MM(), 27.3167, 1e-4, found},
		{"axial face width 2", axial(r), 8.9587, 1e-4, found},
		{"inner tip diameter 2", r.InnerTipDiameter.MM(), 82.4485, 1e-4, found},
		{"spiral at the heel", r.SpiralOuter.Deg(), 0, 0, "derived: straight teeth"},
	})

	// Long and short addenda: 0.540 + 0.460/u² of the module on the ring gear,
	// whole depth 2.188 of it (from memory; the results below are the check).
	ha2 := m * (0.540 + 0.460/(u*u))
	ha1 := 2*m - ha2
	hf1, hf2 := 2.188*m-ha1, 2.188*m-ha2
	long, err := Dimensions(outerDesign(20, 40, m, face, 0, ha1, ha2, hf1, hf2, math.Atan(hf1/re), math.Atan(hf2/re)))
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, []row{
		{"hae1", long.Pinion.OuterAddendum.MM(), 4.035, 1e-6, found},
		{"hae2", long.Ring.OuterAddendum.MM(), 1.965, 1e-6, found},
		{"hfe1", long.Pinion.OuterDedendum.MM(), 2.529, 1e-6, found},
		{"hfe2", long.Ring.OuterDedendum.MM(), 4.599, 1e-6, found},
		{"θf1", long.Pinion.DedendumAngle.Deg(), 2.15903, 1e-5, found},
		{"θf2", long.Ring.DedendumAngle.Deg(), 3.92194, 1e-5, found},
		{"dae1", long.Pinion.OutsideDiameter.MM(), 67.21803, 1e-5, found},
		{"dae2", long.Ring.OutsideDiameter.MM(), 121.75755, 1e-5, found},
	})
}

// A shaft angle other than 90°.
func TestShaftAngle(t *testing.T) {
	d := sampleF2()
	d.Z1, d.Z2, d.ShaftAngle, d.PitchDiameter = 19, 62, unit.Deg(95), unit.MM(4.169*62)
	s, err := Dimensions(d)
	if err != nil {
		t.Fatal(err)
	}
	const source = "notebook output in the open repository haomjc/SpyGO (Σ 95°, 19/62, met 4.169)"
	checkRows(t, []row{
		{"δ1", s.Delta1.Deg(), 17.414716635, 1e-8, source},
		{"δ2", s.Delta2.Deg(), 77.585283365, 1e-8, source},
		{"Re", s.OuterConeDistance2.MM(), 132.333338471, 1e-8, source},
	})
	checkClosed(t, s)
}

// As the offset goes to nothing a hypoid set becomes the spiral bevel set of the
// same teeth.
func TestOffsetGoesToNothing(t *testing.T) {
	bevel := sampleF2()
	hypoid := bevel
	hypoid.Method, hypoid.RingSpiral, hypoid.PinionSpiral = Hypoid, 0, bevel.RingSpiral
	want, err := Dimensions(bevel)
	if err != nil {
		t.Fatal(err)
	}
	for _, offset := range []float64{1, 0.1, 0.01} {
		hypoid.Offset = unit.MM(offset)
		got, err := Dimensions(hypoid)
		if err != nil {
			t.Fatal(err)
		}
		const source = "derived: method 1 without offset is method 0"
		checkRows(t, []row{
			{"δ1", got.Delta1.Deg(), want.Delta1.Deg(), offset, source},
			{"δ2", got.Delta2.Deg(), want.Delta2.Deg(), offset, source},
			{"βm2", got.Beta2.Deg(), want.Beta2.Deg(), offset, source},
			{"αlim", got.LimitAngle.Deg(), 0, offset, source},
			{"tz2", got.Ring.ApexBeyondCrossing.MM(), 0, offset, source},
			{"dae1", got.Pinion.OutsideDiameter.MM(), want.Pinion.OutsideDiameter.MM(), 1.2*offset + 0.8, source},
		})
	}
}
