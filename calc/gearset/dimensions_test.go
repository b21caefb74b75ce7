package gearset

import (
	"math"
	"testing"

	"shimwright/calc/unit"
)

// sampleF2 is the standard's spiral bevel sample, sampleF3 its hypoid sample.
//
// Source: ISO 23509:2016, annex F.2 and F.3 (inputs of tables F.1 and F.4, as
// transcribed in the open repository afuentesaz/AGMAStandards).
func sampleF2() Design {
	return Design{
		Method: SpiralBevel, Z1: 14, Z2: 39, ShaftAngle: unit.Deg(90),
		PitchDiameter: unit.MM(176.893), FaceWidth: unit.MM(25.4),
		RingSpiral: unit.Deg(35), CutterRadius: unit.MM(114.3),
		DesignAngleD: unit.Deg(20), DesignAngleC: unit.Deg(20), LimitInfluence: 0,
		AddendumFactor: 0.24737, DepthFactor: 2, ClearanceFactor: 0.125, ThicknessFactor: 0.0915,
		AddendumAngle: unit.Deg(2.1342), DedendumAngle: unit.Deg(6.4934),
		Backlash: unit.MM(0.127), BacklashAs: OuterNormal,
	}
}

func sampleF3() Design {
	return Design{
		Method: Hypoid, Z1: 13, Z2: 42, ShaftAngle: unit.Deg(90), Offset: unit.MM(15),
		PitchDiameter: unit.MM(170), FaceWidth: unit.MM(30),
		PinionSpiral: unit.Deg(50), CutterRadius: unit.MM(63.5),
		DesignAngleD: unit.Deg(20), DesignAngleC: unit.Deg(20), LimitInfluence: 1,
		AddendumFactor: 0.35, DepthFactor: 2, ClearanceFactor: 0.125, ThicknessFactor: 0.1,
		AddendumAngle: unit.Deg(1), DedendumAngle: unit.Deg(4),
		Backlash: unit.MM(0.2), BacklashAs: OuterTransverse,
	}
}

// row is one checked quantity, in mm, degrees or a plain number.
type row struct {
	name   string
	got    float64
	want   float64
	tol    float64
	source string
}

func checkRows(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		if !(math.Abs(r.got-r.want) <= r.tol) {
			t.Errorf("%s = %.5f, want %.5f ± %g (%s)", r.name, r.got, r.want, r.tol, r.source)
		}
	}
}

func TestSampleF2SpiralBevel(t *testing.T) {
	d := sampleF2()
	s, err := Dimensions(d)
	if err != nil {
		t.Fatal(err)
	}
	const (
		published = "ISO 23509:2016, annex F.2, published value (second hand)"
		worked    = "ISO 23509:2016, annex F.2, recomputed from the standard's formulas"
	)
	p, r := s.Pinion, s.Ring
	zetaR, err := d.rootAndFace(&s)
	if err != nil {
		t.Fatal(err)
	}
	// Published values have three decimals and chained rounding.
	rows := []row{
		{"u", s.Ratio(), 2.786, .005, published},
		{"δ1", s.Delta1.Deg(), 19.747, .005, published},
		{"δ2", s.Delta2.Deg(), 70.253, .005, published},
		{"Rm1", s.ConeDistance1.MM(), 81.273, .005, published},
		{"Rm2", s.ConeDistance2.MM(), 81.273, .005, published},
		{"βm1", s.Beta1.Deg(), 35, .005, published},
		{"βm2", s.Beta2.Deg(), 35, .005, published},
		{"cbe2", s.FaceWidthFactor, 0.5, .005, published},
		{"dm1", 2 * s.MeanRadius1.MM(), 54.918, .005, published},
		{"dm2", 2 * s.MeanRadius2.MM(), 152.987, .005, published},
		{"ζm", s.OffsetAngle.Deg(), 0, .005, published},
		{"ζmp", s.OffsetAnglePitch.Deg(), 0, .005, published},
		{"ap", s.OffsetPitch.MM(), 0, .005, published},
		{"mmn", s.MeanNormalModule.MM(), 3.213, .005, published},
		{"αlim", s.LimitAngle.Deg(), 0, .005, published},
		{"αnD", s.AlphaD.Deg(), 20, .005, published},
		{"αnC", s.AlphaC.Deg(), 20, .005, published},
		{"αeD", s.EffectiveD.Deg(), 20, .005, published},
		{"αeC", s.EffectiveC.Deg(), 20, .005, published},
		{"Re2", s.OuterConeDistance2.MM(), 93.973, .005, published},
		{"Ri2", s.InnerConeDistance2.MM(), 68.573, .005, published},
		{"de2", r.OuterPitchDiameter.MM(), 176.893, .005, published},
		{"di2", r.InnerPitchDiameter.MM(), 129.080, .005, published},
		{"met2", s.OuterTransverseModule.MM(), 4.536, .005, published},
		{"be2", r.FaceOuter.MM(), 12.7, .005, published},
		{"bi2", r.FaceInner.MM(), 12.7, .005, published},
		{"tzm1", p.CrossingToMean.MM(), 76.493, .005, published},
		{"tzm2", r.CrossingToMean.MM(), 27.459, .005, published},
		{"tz1", p.ApexBeyondCrossing.MM(), 0, .005, published},
		{"tz2", r.ApexBeyondCrossing.MM(), 0, .005, published},
		{"hmw", s.WorkingDepth.MM(), 6.427, .005, published},
		{"c", s.Clearance.MM(), 0.803, .005, published},
		{"hm", s.WholeDepth.MM(), 7.230, .005, published},
		{"ham1", p.MeanAddendum.MM(), 4.836, .005, published},
		{"ham2", r.MeanAddendum.MM(), 1.591, .005, published},
		{"hfm1", p.MeanDedendum.MM(), 2.394, .005, published},
		{"hfm2", r.MeanDedendum.MM(), 5.639, .005, published},
		{"δa1", p.FaceAngle.Deg(), 26.240, .005, published},
		{"δf1", p.RootAngle.Deg(), 17.613, .005, published},
		{"δa2", r.FaceAngle.Deg(), 72.387, .005, published},
		{"δf2", r.RootAngle.Deg(), 63.760, .005, published},
		{"θa1", p.AddendumAngle.Deg(), 6.493, .005, published},
		{"θf1", p.DedendumAngle.Deg(), 2.134, .005, published},
		{"ζR", zetaR / math.Pi * 180, 0, .005, published},
		{"tzF1", p.FaceApexBeyond.MM(), -9.931, .005, published},
		{"tzR1", p.RootApexBeyond.MM(), 2.094, .005, published},
		{"tzF2", r.FaceApexBeyond.MM(), -1.508, .005, published},
		{"tzR2", r.RootApexBeyond.MM(), 3.999, .005, published},
		{"b1", p.FaceWidth.MM(), 25.4, .005, published},
		{"be1", p.FaceOuter.MM(), 12.7, .005, published},
		{"bi1", p.FaceInner.MM(), 12.7, .005, published},
		{"βe1", p.SpiralOuter.Deg(), 36.846, .005, published},
		{"βi1", p.SpiralInner.Deg(), 33.946, .005, published},
		{"βe2", r.SpiralOuter.Deg(), 36.846, .005, published},
		{"βi2", r.SpiralInner.Deg(), 33.946, .005, published},
		{"hae1", p.OuterAddendum.MM(), 6.281, .005, published},
		{"hae2", r.OuterAddendum.MM(), 2.064, .005, published},
		{"hfe1", p.OuterDedendum.MM(), 2.867, .005, published},
		{"hfe2", r.OuterDedendum.MM(), 7.085, .005, published},
		{"he1", p.OuterDepth.MM(), 9.149, .005, published},
		{"he2", r.OuterDepth.MM(), 9.149, .005, published},
		{"hai1", p.InnerAddendum.MM(), 3.391, .005, published},
		{"hai2", r.InnerAddendum.MM(), 1.117, .005, published},
		{"hfi1", p.InnerDedendum.MM(), 1.921, .005, published},
		{"hfi2", r.InnerDedendum.MM(), 4.194, .005, published},
		{"hi1", p.InnerDepth.MM(), 5.311, .005, published},
		{"hi2", r.InnerDepth.MM(), 5.311, .005, published},
		{"αn", s.NormalAngle().Deg(), 20, .005, published},
		{"xsm1", p.ThicknessModification, 0.037, .001, published},
		{"xsm2", r.ThicknessModification, -0.055, .001, published},
		{"smn1", p.Thickness.MM(), 6.465, .005, published},
		{"smn2", r.Thickness.MM(), 3.511, .005, published},
		{"smt1", p.TransverseThickness.MM(), 7.892, .005, published},
		{"smt2", r.TransverseThickness.MM(), 4.286, .005, published},
		{"dmn1", p.NormalDiameter.MM(), 82.241, .005, published},
		{"dmn2", r.NormalDiameter.MM(), 638.207, .02, published},
		{"smnc1", p.ChordalThickness.MM(), 6.458, .005, published},
		{"smnc2", r.ChordalThickness.MM(), 3.511, .005, published},
		{"hamc1", p.ChordalAddendum.MM(), 4.955, .005, published},
		{"hamc2", r.ChordalAddendum.MM(), 1.592, .005, published},
		{"Re1", s.OuterConeDistance1.MM(), 93.973, .005, published},
		{"Ri1", s.InnerConeDistance1.MM(), 68.573, .005, published},
		{"de1", p.OuterPitchDiameter.MM(), 63.500, .005, published},
		{"di1", p.InnerPitchDiameter.MM(), 46.337, .005, published},
		{"dae1", p.OutsideDiameter.MM(), 75.324, .005, published},
		{"dae2", r.OutsideDiameter.MM(), 178.288, .005, published},
		{"dfe1", p.OuterRootDiameter.MM(), 58.102, .005, published},
		{"dfe2", r.OuterRootDiameter.MM(), 172.106, .005, published},
		{"dai1", p.InnerTipDiameter.MM(), 52.719, .005, published},
		{"dai2", r.InnerTipDiameter.MM(), 129.835, .005, published},
		{"dfi1", p.InnerRootDiameter.MM(), 42.721, .005, published},
		{"dfi2", r.InnerRootDiameter.MM(), 126.246, .005, published},
		{"txo1", p.CrossingToCrown.MM(), 86.324, .005, published},
		{"txo2", r.CrossingToCrown.MM(), 29.808, .005, published},
		{"txi1", p.CrossingToFrontCrown.MM(), 63.395, .005, published},
		{"txi2", r.CrossingToFrontCrown.MM(), 22.117, .005, published},

		{"δ1", s.Delta1.Deg(), 19.74684, 2e-5, worked},
		{"Rm", s.ConeDistance2.MM(), 81.27259, 2e-5, worked},
		{"mmn", s.MeanNormalModule.MM(), 3.21332, 2e-5, worked},
		{"met2", s.OuterTransverseModule.MM(), 4.53572, 2e-5, worked},
		{"tzm1", p.CrossingToMean.MM(), 76.49333, 2e-5, worked},
		{"ham1", p.MeanAddendum.MM(), 4.83688, 2e-5, worked},
		{"hfm2", r.MeanDedendum.MM(), 5.64021, 2e-5, worked},
		{"δa1", p.FaceAngle.Deg(), 26.24024, 2e-5, worked},
		{"tzF1", p.FaceApexBeyond.MM(), -9.92980, 2e-4, worked},
		{"tzR1", p.RootApexBeyond.MM(), 2.09738, 2e-4, worked},
		{"βe1", p.SpiralOuter.Deg(), 36.84577, 2e-5, worked},
		{"xsm1", p.ThicknessModification, 0.03644, 2e-5, worked},
		{"xsm2", r.ThicknessModification, -0.05506, 2e-5, worked},
		{"smn1", p.Thickness.MM(), 6.46352, 2e-5, worked},
		{"smt2", r.TransverseThickness.MM(), 4.28708, 2e-5, worked},
		{"dae1", p.OutsideDiameter.MM(), 75.32593, 2e-5, worked},
		{"dae2", s.OuterDiameter.MM(), 178.28705, 2e-5, worked},
		{"txi1", p.CrossingToFrontCrown.MM(), 63.39433, 2e-5, worked},
	}
	checkRows(t, rows)
	if s.DialRadius*2 != s.OuterDiameter {
		t.Errorf("the dial radius %v is not half of the outside diameter %v", s.DialRadius, s.OuterDiameter)
	}
}

func TestSampleF3Hypoid(t *testing.T) {
	d := sampleF3()
	s, err := Dimensions(d)
	if err != nil {
		t.Fatal(err)
	}
	start, err := d.start()
	if err != nil {
		t.Fatal(err)
	}
	const (
		published = "ISO 23509:2016, annex F.3, published value (second hand)"
		second    = "ISO 23509:2016, annex F.3, as in the open repository Juggernaut20110/GearGenerator"
		worked    = "ISO 23509:2016, annex F.3, recomputed from the standard's formulas"
	)
	p, r := s.Pinion, s.Ring
	zetaR, err := d.rootAndFace(&s)
	if err != nil {
		t.Fatal(err)
	}
	rows := []row{
		{"u", s.Ratio(), 3.231, .005, published},
		{"δ1", s.Delta1.Deg(), 21.288, .005, second},
		{"δ2", s.Delta2.Deg(), 68.324, .005, second},
		{"Rm1", s.ConeDistance1.MM(), 73.519, .005, published},
		{"Rm2", s.ConeDistance2.MM(), 76.337, .005, published},
		{"βm1", s.Beta1.Deg(), 49.998, .005, published},
		{"βm2", s.Beta2.Deg(), 38.609, .005, published},
		{"cbe2", s.FaceWidthFactor, 0.504, .005, published},
		{"dm1", 2 * s.MeanRadius1.MM(), 53.383, .005, published},
		{"dm2", 2 * s.MeanRadius2.MM(), 141.877, .005, published},
		{"ζm", s.OffsetAngle.Deg(), 10.603, .005, published},
		{"ζmp", s.OffsetAnglePitch.Deg(), 11.390, .005, published},
		{"ap", s.OffsetPitch.MM(), 15.075, .005, published},
		{"mmn", s.MeanNormalModule.MM(), 2.640, .005, published},
		{"αlim", s.LimitAngle.Deg(), -2.253, .005, published},
		{"αnD", s.AlphaD.Deg(), 17.747, .005, published},
		{"αnC", s.AlphaC.Deg(), 22.253, .005, published},
		{"αeD", s.EffectiveD.Deg(), 20, .005, published},
		{"αeC", s.EffectiveC.Deg(), 20, .005, published},
		{"Re2", s.OuterConeDistance2.MM(), 91.468, .005, published},
		{"Ri2", s.InnerConeDistance2.MM(), 61.468, .005, published},
		{"de2", r.OuterPitchDiameter.MM(), 170, .005, published},
		{"di2", r.InnerPitchDiameter.MM(), 114.243, .005, published},
		{"met2", s.OuterTransverseModule.MM(), 4.047, .005, published},
		{"be2", r.FaceOuter.MM(), 15.1314, .005, published},
		{"bi2", r.FaceInner.MM(), 14.869, .005, published},
		{"tzm1", p.CrossingToMean.MM(), 69.727, .005, published},
		{"tzm2", r.CrossingToMean.MM(), 26.621, .005, published},
		{"tz1", p.ApexBeyondCrossing.MM(), -1.225, .005, published},
		{"tz2", r.ApexBeyondCrossing.MM(), 1.576, .005, published},
		{"hmw", s.WorkingDepth.MM(), 5.280, .005, published},
		{"c", s.Clearance.MM(), 0.660, .005, published},
		{"hm", s.WholeDepth.MM(), 5.939, .005, published},
		{"ham1", p.MeanAddendum.MM(), 3.432, .005, published},
		{"ham2", r.MeanAddendum.MM(), 1.848, .005, published},
		{"hfm1", p.MeanDedendum.MM(), 2.508, .005, published},
		{"hfm2", r.MeanDedendum.MM(), 4.092, .005, published},
		{"δa1", p.FaceAngle.Deg(), 25.232, .005, published},
		{"δf1", p.RootAngle.Deg(), 20.303, .005, published},
		{"δa2", r.FaceAngle.Deg(), 69.323, .005, published},
		{"δf2", r.RootAngle.Deg(), 64.324, .005, published},
		{"θa1", p.AddendumAngle.Deg(), 3.943, .005, published},
		{"θf1", p.DedendumAngle.Deg(), 0.985, .005, published},
		{"ζR", zetaR / math.Pi * 180, 10.319, .005, published},
		{"b_reri1", d.pinionReach(&s), 30.470, .005, published},
		{"b1", p.FaceWidth.MM(), 31.910, .005, published},
		{"be1", p.FaceOuter.MM(), 16.089, .005, published},
		{"bi1", p.FaceInner.MM(), 15.822, .005, published},
		{"βe1", p.SpiralOuter.Deg(), 57.544, .005, published},
		{"βi1", p.SpiralInner.Deg(), 44.879, .005, published},
		{"βe2", r.SpiralOuter.Deg(), 47.674, .005, published},
		{"βi2", r.SpiralInner.Deg(), 30.826, .005, published},
		{"hae1", p.OuterAddendum.MM(), 4.541, .005, published},
		{"hae2", r.OuterAddendum.MM(), 2.112, .005, published},
		{"hfe1", p.OuterDedendum.MM(), 2.784, .005, published},
		{"hfe2", r.OuterDedendum.MM(), 5.150, .005, published},
		{"he1", p.OuterDepth.MM(), 7.325, .005, published},
		{"he2", r.OuterDepth.MM(), 7.262, .005, published},
		{"hai1", p.InnerAddendum.MM(), 2.341, .005, published},
		{"hai2", r.InnerAddendum.MM(), 1.588, .005, published},
		{"hfi1", p.InnerDedendum.MM(), 2.236, .005, published},
		{"hfi2", r.InnerDedendum.MM(), 3.052, .005, published},
		{"hi1", p.InnerDepth.MM(), 4.577, .005, published},
		{"hi2", r.InnerDepth.MM(), 4.640, .005, published},
		{"αn", s.NormalAngle().Deg(), 20, .005, published},
		{"xsm1", p.ThicknessModification, 0.038, .001, published},
		{"xsm2", r.ThicknessModification, -0.062, .001, published},
		{"smn1", p.Thickness.MM(), 4.922, .005, published},
		{"smn2", r.Thickness.MM(), 3.241, .005, published},
		{"smt1", p.TransverseThickness.MM(), 7.656, .005, published},
		{"smt2", r.TransverseThickness.MM(), 4.147, .005, published},
		{"dmn1", p.NormalDiameter.MM(), 118.898, .01, published},
		{"dmn2", r.NormalDiameter.MM(), 585.370, .06, published},
		{"smnc1", p.ChordalThickness.MM(), 4.917, .005, published},
		{"smnc2", r.ChordalThickness.MM(), 3.241, .005, published},
		{"hamc2", r.ChordalAddendum.MM(), 1.849, .005, published},
		{"Re1", s.OuterConeDistance1.MM(), 89.608, .005, published},
		{"Ri1", s.InnerConeDistance1.MM(), 57.697, .005, published},
		{"de1", p.OuterPitchDiameter.MM(), 65.065, .005, published},
		{"di1", p.InnerPitchDiameter.MM(), 41.895, .005, published},
		{"dae1", p.OutsideDiameter.MM(), 73.528, .005, published},
		{"dae2", r.OutsideDiameter.MM(), 171.560, .005, published},
		{"dfe1", p.OuterRootDiameter.MM(), 59.877, .005, published},
		{"dfe2", r.OuterRootDiameter.MM(), 166.196, .005, published},
		{"dai1", p.InnerTipDiameter.MM(), 46.258, .005, published},
		{"dai2", r.InnerTipDiameter.MM(), 115.416, .005, published},
		{"dfi1", p.InnerRootDiameter.MM(), 37.730, .005, published},
		{"dfi2", r.InnerRootDiameter.MM(), 111.989, .005, published},
		{"txo1", p.CrossingToCrown.MM(), 83.070, .005, published},
		{"txo2", r.CrossingToCrown.MM(), 30.247, .005, published},
		{"txi1", p.CrossingToFrontCrown.MM(), 54.135, .005, published},
		{"txi2", r.CrossingToFrontCrown.MM(), 19.653, .005, published},

		{"η start", start.etaStart / math.Pi * 180, 3.94163, 2e-5, worked},
		{"η", s.RingOffsetAngle.Deg(), 4.18291, 2e-5, worked},
		{"ρlim", s.LimitCurvature.MM(), 63.5, 1e-5, worked},
		{"δ1", s.Delta1.Deg(), 21.28775, 2e-5, worked},
		{"δ2", s.Delta2.Deg(), 68.32393, 2e-5, worked},
		{"Rm1", s.ConeDistance1.MM(), 73.52116, 2e-5, worked},
		{"Rm2", s.ConeDistance2.MM(), 76.33662, 2e-5, worked},
		{"βm1", s.Beta1.Deg(), 49.99814, 2e-5, worked},
		{"βm2", s.Beta2.Deg(), 38.60855, 2e-5, worked},
		{"cbe2", s.FaceWidthFactor, 0.50438, 2e-5, worked},
		{"ζm", s.OffsetAngle.Deg(), 10.60313, 2e-5, worked},
		{"ζmp", s.OffsetAnglePitch.Deg(), 11.38959, 2e-5, worked},
		{"ap", s.OffsetPitch.MM(), 15.07490, 2e-5, worked},
		{"mmn", s.MeanNormalModule.MM(), 2.63968, 2e-5, worked},
		{"αlim", s.LimitAngle.Deg(), -2.25354, 2e-5, worked},
		{"tz1", p.ApexBeyondCrossing.MM(), -1.22263, 2e-5, worked},
		{"tz2", r.ApexBeyondCrossing.MM(), 1.57469, 2e-5, worked},
		{"δa1", p.FaceAngle.Deg(), 25.23135, 2e-5, worked},
		{"δf1", p.RootAngle.Deg(), 20.30239, 2e-5, worked},
		{"ζR", zetaR / math.Pi * 180, 10.31926, 2e-5, worked},
		{"tzF1", p.FaceApexBeyond.MM(), -5.06323, 2e-4, worked},
		{"tzR1", p.RootApexBeyond.MM(), -4.80570, 2e-4, worked},
		{"tzF2", r.FaceApexBeyond.MM(), 2.12540, 2e-4, worked},
		{"tzR2", r.RootApexBeyond.MM(), 2.95435, 2e-4, worked},
		{"b_reri1", d.pinionReach(&s), 30.46990, 2e-5, worked},
		{"b1", p.FaceWidth.MM(), 31.91020, 2e-5, worked},
		{"βe1", p.SpiralOuter.Deg(), 57.54550, 2e-5, worked},
		{"βi2", r.SpiralInner.Deg(), 30.82814, 2e-5, worked},
		{"xsm1", p.ThicknessModification, 0.03765, 2e-5, worked},
		{"smn2", r.Thickness.MM(), 3.24076, 2e-5, worked},
		{"dae1", p.OutsideDiameter.MM(), 73.52770, 2e-5, worked},
		{"dae2", s.OuterDiameter.MM(), 171.56010, 2e-5, worked},
		{"txo1", p.CrossingToCrown.MM(), 83.06964, 2e-5, worked},
		{"txi1", p.CrossingToFrontCrown.MM(), 54.13536, 2e-5, worked},
	}
	checkRows(t, rows)
}

// The backlash of the samples in the standard's other three ways of stating it.
func TestBacklashKinds(t *testing.T) {
	const source = "ISO 23509:2016, formulas (202) to (210), recomputed for samples F.2 and F.3"
	for _, c := range []struct {
		name string
		d    Design
		want [4]float64 // jet2, jen, jmt2, jmn
	}{
		{"F.2", sampleF2(), [4]float64{0.16888, 0.127, 0.14606, 0.11243}},
		{"F.3", sampleF3(), [4]float64{0.2, 0.12654, 0.16691, 0.12257}},
	} {
		s, err := Dimensions(c.d)
		if err != nil {
			t.Fatal(err)
		}
		for from := OuterTransverse; from <= MeanNormal; from++ {
			for to := OuterTransverse; to <= MeanNormal; to++ {
				got := s.ConvertBacklash(unit.MM(c.want[from]), from, to).MM()
				if math.Abs(got-c.want[to]) > 2e-5 {
					t.Errorf("%s: kind %d to %d: %.5f mm, want %.5f (%s)", c.name, from, to, got, c.want[to], source)
				}
			}
		}
	}
}
