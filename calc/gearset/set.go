package gearset

import "shimwright/calc/unit"

// Set is a complete ring gear and pinion: pitch cones, tooth depths, blanks and
// tooth thicknesses at the mean point (the standard's calculation point) and at
// both ends of the face. Suffix 1 is the pinion, 2 the ring gear ("wheel" in the
// standard). Lengths are unit.Length (mm inside), angles unit.Angle (radians
// inside); the standard's symbol stands behind each field.
type Set struct {
	Method Method
	Z1, Z2 int // tooth counts

	ShaftAngle    unit.Angle  // Σ, between the axes
	Offset        unit.Length // a, hypoid offset, never negative; 0 is a spiral bevel set
	OuterDiameter unit.Length // dae2, outside diameter of the ring gear, what a calliper reads
	DialRadius    unit.Length // dae2/2, where a dial on the heel of the ring gear reads
	FaceWidth     unit.Length // b2, of the ring gear, along its pitch cone
	CutterRadius  unit.Length // rc0, of the face mill that cut the ring gear

	Delta1, Delta2 unit.Angle // δ1, δ2, pitch angles
	Beta1, Beta2   unit.Angle // βm1, βm2, spiral angles at the mean point

	OffsetAngle      unit.Angle  // ζm, offset angle in the pinion's axial plane
	OffsetAnglePitch unit.Angle  // ζmp, offset angle in the pitch plane (βm1 − βm2)
	OffsetPitch      unit.Length // ap, offset in the pitch plane
	RingOffsetAngle  unit.Angle  // η, offset angle in the ring gear's axial plane; 0 without offset

	MeanRadius1, MeanRadius2               unit.Length // dm/2, mean pitch radii
	ConeDistance1, ConeDistance2           unit.Length // Rm, mean
	OuterConeDistance1, OuterConeDistance2 unit.Length // Re, at the heel
	InnerConeDistance1, InnerConeDistance2 unit.Length // Ri, at the toe

	MeanNormalModule      unit.Length // mmn
	OuterTransverseModule unit.Length // met2

	AlphaD, AlphaC         unit.Angle  // αnD, αnC, generated normal pressure angles of the drive and coast flank
	EffectiveD, EffectiveC unit.Angle  // αeD, αeC, measured from the limit pressure angle
	LimitAngle             unit.Angle  // αlim, usually negative on a hypoid set, 0 without offset
	LimitCurvature         unit.Length // ρlim, limit radius of lengthwise curvature; 0 without offset

	FaceWidthFactor float64 // cbe2, share of the face width that lies outside the mean point

	WorkingDepth unit.Length // hmw, at the mean point
	WholeDepth   unit.Length // hm, at the mean point
	Clearance    unit.Length // c, at the mean point

	Pinion, Ring Blank

	// Assumed lists what Complete had to take for want of a measurement, in the
	// order it was taken. Empty where Dimensions was given everything.
	Assumed []Assumption
}

// Ratio gives the tooth ratio u = z2/z1.
func (s Set) Ratio() float64 { return float64(s.Z2) / float64(s.Z1) }

// NormalAngle gives the mean normal pressure angle αn = (αnD + αnC)/2.
func (s Set) NormalAngle() unit.Angle { return (s.AlphaD + s.AlphaC) / 2 }

// Blank holds what belongs to one member: tooth depths, blank angles, face
// width, spiral angles at the ends, thicknesses, diameters and axial positions.
// "Outer" is the heel, "inner" the toe. Axial positions count from the crossing
// point of the axes (of their projections, on a hypoid set).
type Blank struct {
	MeanAddendum  unit.Length // ham
	MeanDedendum  unit.Length // hfm
	OuterAddendum unit.Length // hae
	OuterDedendum unit.Length // hfe
	OuterDepth    unit.Length // he
	InnerAddendum unit.Length // hai
	InnerDedendum unit.Length // hfi
	InnerDepth    unit.Length // hi

	AddendumAngle unit.Angle // θa
	DedendumAngle unit.Angle // θf
	FaceAngle     unit.Angle // δa, of the tip cone
	RootAngle     unit.Angle // δf, of the root cone

	FaceWidth unit.Length // b, along the pitch cone
	FaceOuter unit.Length // be, mean point to heel
	FaceInner unit.Length // bi, mean point to toe

	SpiralOuter unit.Angle // βe
	SpiralInner unit.Angle // βi

	ThicknessModification float64     // xsm, with backlash
	Thickness             unit.Length // smn, mean normal circular
	TransverseThickness   unit.Length // smt, mean transverse circular
	ChordalThickness      unit.Length // smnc, mean normal chordal
	ChordalAddendum       unit.Length // hamc
	NormalDiameter        unit.Length // dmn, mean normal diameter

	OuterPitchDiameter unit.Length // de
	InnerPitchDiameter unit.Length // di
	OutsideDiameter    unit.Length // dae, tip circle at the heel
	OuterRootDiameter  unit.Length // dfe
	InnerTipDiameter   unit.Length // dai
	InnerRootDiameter  unit.Length // dfi

	CrossingToMean       unit.Length // tzm, crossing point to mean point
	ApexBeyondCrossing   unit.Length // tz, pitch apex beyond the crossing point (negative: before it)
	FaceApexBeyond       unit.Length // tzF
	RootApexBeyond       unit.Length // tzR
	CrossingToCrown      unit.Length // txo, crossing point to the crown (heel tip corner)
	CrossingToFrontCrown unit.Length // txi, crossing point to the front crown (toe tip corner)
}

// Method is the way the pitch cones were found.
type Method int

// The two methods of the standard that are worked here.
const (
	SpiralBevel Method = 0 // method 0: no offset
	Hypoid      Method = 1 // method 1: hypoid set, face milled
)

// Assumption is one value that was taken because it was not known.
type Assumption struct {
	Name      string  // what, for example "ring gear spiral angle"
	Value     float64 // in Unit
	PlusMinus float64 // honest half width of what real sets have, in Unit
	Unit      string  // mm, deg, or empty for a plain number
	Why       string  // where the value comes from, in one line
}
