package gearset

import (
	"math"
	"strconv"

	"shimwright/calc/unit"
)

// blanks works clause 7: from the pitch cones to the finished blanks and tooth
// thicknesses. Numbers in comments are the standard's formulas.
//
// Source: ISO 23509:2016, clause 7, formulas (110) to (226).
func (d Design) blanks(c pitchCones) (Set, error) {
	s := Set{
		Method: d.Method, Z1: d.Z1, Z2: d.Z2,
		ShaftAngle: d.ShaftAngle, Offset: d.Offset, FaceWidth: d.FaceWidth, CutterRadius: d.CutterRadius,
		Delta1: unit.Rad(c.delta1), Delta2: unit.Rad(c.delta2),
		Beta1: unit.Rad(c.beta1), Beta2: unit.Rad(c.beta2),
		RingOffsetAngle: unit.Rad(c.eta),
		ConeDistance1:   unit.MM(c.rm1), ConeDistance2: unit.MM(c.rm2),
		MeanRadius1:     unit.MM(c.rm1 * math.Sin(c.delta1)), // (110)
		MeanRadius2:     unit.MM(c.rm2 * math.Sin(c.delta2)), // (111)
		FaceWidthFactor: c.faceFactor,
	}
	if d.Method == Hypoid {
		s.LimitCurvature = unit.MM(c.rhoLimit)
	}
	d.basics(&s, c)
	d.depths(&s)
	zetaR, err := d.rootAndFace(&s)
	if err != nil {
		return s, err
	}
	d.pinionFace(&s, zetaR)
	if err := d.spirals(&s); err != nil {
		return s, err
	}
	d.thicknesses(&s)
	s.closeBlanks()
	return s, nil
}

// basics works 7.2: offset angles, module, pressure angles, cone distances and
// the axial place of the mean point.
func (d Design) basics(s *Set, c pitchCones) {
	dm1, dm2 := 2*s.MeanRadius1.MM(), 2*s.MeanRadius2.MM()
	dSigma, offset := d.ShaftAngle.Rad()-math.Pi/2, d.Offset.MM()
	cos1, cos2 := math.Cos(c.delta1), math.Cos(c.delta2)

	zetaM := math.Asin(2 * offset / (dm2 + dm1*cos2/cos1))                     // (113)
	zetaMp := math.Asin(math.Sin(zetaM) * math.Sin(d.ShaftAngle.Rad()) / cos1) // (114)
	s.OffsetAngle, s.OffsetAnglePitch = unit.Rad(zetaM), unit.Rad(zetaMp)
	s.OffsetPitch = unit.MM(c.rm2 * math.Sin(zetaMp))                     // (115)
	s.MeanNormalModule = unit.MM(dm2 * math.Cos(c.beta2) / float64(d.Z2)) // (116)
	if d.Method == Hypoid {
		s.LimitAngle = unit.Rad(limitAngle(c, zetaMp)) // (117)
	}
	s.AlphaD = d.DesignAngleD + s.LimitAngle*unit.Angle(d.LimitInfluence)     // (118)
	s.AlphaC = d.DesignAngleC - s.LimitAngle*unit.Angle(d.LimitInfluence)     // (119)
	s.EffectiveD, s.EffectiveC = s.AlphaD-s.LimitAngle, s.AlphaC+s.LimitAngle // (120), (121)

	re2 := c.rm2 + c.faceFactor*d.FaceWidth.MM() // (122)
	s.OuterConeDistance2 = unit.MM(re2)
	s.InnerConeDistance2 = s.OuterConeDistance2 - d.FaceWidth                               // (123)
	s.Ring.OuterPitchDiameter = unit.MM(2 * re2 * math.Sin(c.delta2))                       // (124)
	s.Ring.InnerPitchDiameter = unit.MM(2 * s.InnerConeDistance2.MM() * math.Sin(c.delta2)) // (125)
	s.OuterTransverseModule = s.Ring.OuterPitchDiameter / unit.Length(d.Z2)                 // (126)
	s.Ring.FaceWidth = d.FaceWidth
	s.Ring.FaceOuter = s.OuterConeDistance2 - s.ConeDistance2 // (127)
	s.Ring.FaceInner = s.ConeDistance2 - s.InnerConeDistance2 // (128)

	tzm2 := dm1*math.Sin(c.delta2)/(2*cos1) - math.Cos(zetaM)*math.Tan(dSigma)*(dm2+dm1*cos2/cos1)/2 // (129)
	tzm1 := dm2/2*math.Cos(zetaM)*math.Cos(dSigma) - tzm2*math.Sin(dSigma)                           // (130)
	s.Pinion.CrossingToMean, s.Ring.CrossingToMean = unit.MM(tzm1), unit.MM(tzm2)
	s.Pinion.ApexBeyondCrossing = unit.MM(c.rm1*cos1 - tzm1) // (131)
	s.Ring.ApexBeyondCrossing = unit.MM(c.rm2*cos2 - tzm2)   // (131)
}

// depths works 7.3 with data type II: addenda and dedenda at the mean point.
func (d Design) depths(s *Set) {
	working := s.MeanNormalModule * unit.Length(d.DepthFactor)                        // (132) with table 4
	clearance := working * unit.Length(d.ClearanceFactor)                             // (137)
	s.WorkingDepth, s.Clearance, s.WholeDepth = working, clearance, working+clearance // (139)
	s.Ring.MeanAddendum = working * unit.Length(d.AddendumFactor)                     // (133)
	s.Pinion.MeanAddendum = working - s.Ring.MeanAddendum                             // (135)
	s.Ring.MeanDedendum = s.Pinion.MeanAddendum + clearance                           // (134)
	s.Pinion.MeanDedendum = s.Ring.MeanAddendum + clearance                           // (136)
}

// taperAngles gives the ring gear's addendum and dedendum angles.
//
// Source: ISO 23509:2016, annex C.5, formulas (C.3) to (C.11). Formula (C.5) is
// confirmed by sample F.2, whose angles follow from it.
func (d Design) taperAngles(s *Set) (addendum, dedendum unit.Angle) {
	if d.Taper == GivenTaper {
		return d.AddendumAngle, d.DedendumAngle
	}
	if d.Taper == UniformDepth {
		return 0, 0
	}
	rm2 := s.ConeDistance2.MM()
	pinion := math.Atan(s.Pinion.MeanDedendum.MM() / rm2)
	standard := pinion + math.Atan(s.Ring.MeanDedendum.MM()/rm2) // (C.3)
	if d.Taper == StandardTaper {
		return unit.Rad(pinion), unit.Rad(standard - pinion) // (C.6), (C.7)
	}
	sum := 0.0
	if d.CutterRadius > 0 {
		sum = math.Pi / 2 * s.OuterTransverseModule.MM() * (1 - rm2*math.Sin(s.Beta2.Rad())/d.CutterRadius.MM()) /
			(s.OuterConeDistance2.MM() * math.Tan(s.NormalAngle().Rad()) * math.Cos(s.Beta2.Rad())) // (C.5)
	}
	if d.Taper == ModifiedSlotWidth {
		sum = min(sum, 1.3*standard)
	}
	// A cutter smaller than Rm2·sin β would need teeth that get lower towards the
	// heel; sets are then made with uniform depth.
	sum = max(sum, 0)
	addendum = unit.Rad(sum * float64(s.Ring.MeanAddendum/s.WorkingDepth)) // (C.8), (C.10)
	return addendum, unit.Rad(sum) - addendum                              // (C.9), (C.11)
}

// rootAndFace works 7.4: blank angles and the apexes of the tip and root cones.
// It gives the pinion's offset angle ζR in the root plane, in radians.
func (d Design) rootAndFace(s *Set) (float64, error) {
	offset, dSigma := d.Offset.MM(), d.ShaftAngle.Rad()-math.Pi/2
	addendum, dedendum := d.taperAngles(s)
	s.Ring.AddendumAngle, s.Ring.DedendumAngle = addendum, dedendum
	s.Ring.FaceAngle, s.Ring.RootAngle = s.Delta2+addendum, s.Delta2-dedendum // (140), (141)
	face, root := s.Ring.FaceAngle.Rad(), s.Ring.RootAngle.Rad()
	rm2, tz2 := s.ConeDistance2.MM(), s.Ring.ApexBeyondCrossing.MM()

	// Offset angle of the pinion in the plane of a cone of the ring gear.
	offsetIn := func(cone, theta float64) float64 { // (142) to (145)
		reach := rm2*math.Cos(theta) - tz2*math.Cos(cone)
		phi := math.Atan(offset * math.Tan(dSigma) * math.Cos(cone) / reach)
		return math.Asin(offset*math.Cos(phi)*math.Sin(cone)/reach) - phi
	}
	zetaR, zetaO := offsetIn(root, dedendum.Rad()), offsetIn(face, addendum.Rad())
	pinionCone := func(cone, zeta float64) float64 { // (146), (147)
		return math.Asin(math.Sin(dSigma)*math.Sin(cone) + math.Cos(dSigma)*math.Cos(cone)*math.Cos(zeta))
	}
	face1, root1 := pinionCone(root, zetaR), pinionCone(face, zetaO)
	if !(face1 > 0 && root1 > 0) {
		return 0, impossible("the pinion's tip or root cone comes out flat; the ring gear's pitch angle %s leaves it no room", degrees(s.Delta2))
	}
	s.Pinion.FaceAngle, s.Pinion.RootAngle = unit.Rad(face1), unit.Rad(root1)
	s.Pinion.AddendumAngle = s.Pinion.FaceAngle - s.Delta1 // (148)
	s.Pinion.DedendumAngle = s.Delta1 - s.Pinion.RootAngle // (149)

	tzF2 := tz2 - (rm2*math.Sin(addendum.Rad())-s.Ring.MeanAddendum.MM()*math.Cos(addendum.Rad()))/math.Sin(face) // (150)
	tzR2 := tz2 + (rm2*math.Sin(dedendum.Rad())-s.Ring.MeanDedendum.MM()*math.Cos(dedendum.Rad()))/math.Sin(root) // (151)
	s.Ring.FaceApexBeyond, s.Ring.RootApexBeyond = unit.MM(tzF2), unit.MM(tzR2)
	c := s.Clearance.MM()
	s.Pinion.FaceApexBeyond = unit.MM((offset*math.Sin(zetaR)*math.Cos(root) - tzR2*math.Sin(root) - c) / math.Sin(face1)) // (152)
	s.Pinion.RootApexBeyond = unit.MM((offset*math.Sin(zetaO)*math.Cos(face) - tzF2*math.Sin(face) - c) / math.Sin(root1)) // (153)
	return zetaR, nil
}

// pinionFace works 7.5: the pinion's face width on both sides of the mean point.
func (d Design) pinionFace(s *Set, zetaR float64) {
	if d.Method == SpiralBevel {
		s.Pinion.FaceWidth = d.FaceWidth                                  // (156)
		s.Pinion.FaceOuter = d.FaceWidth * unit.Length(s.FaceWidthFactor) // (157)
		s.Pinion.FaceInner = s.Pinion.FaceWidth - s.Pinion.FaceOuter      // (158)
		return
	}
	sin1, cos1 := math.Sincos(s.Delta1.Rad())
	theta := s.Pinion.AddendumAngle.Rad()
	width := d.pinionReach(s)
	extra := s.WorkingDepth.MM() * math.Sin(zetaR) * (1 - 1/s.Ratio()) // (161)
	depth := (s.Ring.MeanDedendum - s.Clearance).MM() * sin1
	along := math.Cos(s.Pinion.FaceAngle.Rad()) / math.Cos(theta)
	outer := s.FaceWidthFactor*width*along + extra - depth     // (162)
	inner := (1-s.FaceWidthFactor)*width*along + extra + depth // (163)
	addendum := s.Pinion.MeanAddendum.MM() * sin1
	s.Pinion.FaceOuter = unit.MM((outer + addendum) / along)                         // (164)
	s.Pinion.FaceInner = unit.MM((inner - addendum) / (cos1 - math.Tan(theta)*sin1)) // (165)
	s.Pinion.FaceWidth = s.Pinion.FaceOuter + s.Pinion.FaceInner                     // (166)
}

// pinionReach gives b_reri1, the pinion face width that covers the ring gear's, in
// mm: formulas (159) and (160).
func (d Design) pinionReach(s *Set) float64 {
	zetaMp, cos2 := s.OffsetAnglePitch.Rad(), math.Cos(s.Delta2.Rad())
	lambda := math.Atan(math.Sin(zetaMp) * cos2 / (s.Ratio()*math.Cos(s.Delta1.Rad()) + cos2*math.Cos(zetaMp)))
	return d.FaceWidth.MM() * math.Cos(lambda) / math.Cos(zetaMp-lambda)
}

// spirals works 7.6 for face milled teeth: spiral angles at toe and heel.
func (d Design) spirals(s *Set) error {
	rm2, zetaMp := s.ConeDistance2.MM(), s.OffsetAnglePitch.Rad()
	// Spiral angle of the ring gear's circular tooth at another cone distance.
	at := func(r float64) float64 { // (183), (184), (193), (194)
		if d.CutterRadius == 0 {
			return 0 // straight teeth
		}
		rc := d.CutterRadius.MM()
		return math.Asin((2*rm2*rc*math.Sin(s.Beta2.Rad()) - rm2*rm2 + r*r) / (2 * r * rc))
	}
	be, bi := s.Pinion.FaceOuter.MM(), s.Pinion.FaceInner.MM()
	re21 := math.Sqrt(rm2*rm2 + be*be + 2*rm2*be*math.Cos(zetaMp)) // (174)
	ri21 := math.Sqrt(rm2*rm2 + bi*bi - 2*rm2*bi*math.Cos(zetaMp)) // (175)
	ap := s.OffsetPitch.MM()
	s.Pinion.SpiralOuter = unit.Rad(at(re21) + math.Asin(ap/re21)) // (185), (187)
	s.Pinion.SpiralInner = unit.Rad(at(ri21) + math.Asin(ap/ri21)) // (186), (188)
	s.Ring.SpiralOuter = unit.Rad(at(s.OuterConeDistance2.MM()))
	s.Ring.SpiralInner = unit.Rad(at(s.InnerConeDistance2.MM()))
	for _, b := range []Blank{s.Pinion, s.Ring} {
		for _, a := range []unit.Angle{b.SpiralOuter, b.SpiralInner} {
			if !(a.Rad() > -math.Pi/2 && a.Rad() < math.Pi/2) {
				return impossible("a cutter of %s radius cannot cut a tooth this long at a spiral angle of %s", millimetres(d.CutterRadius), degrees(s.Beta2))
			}
		}
	}
	return nil
}

// thicknesses works 7.8: tooth thicknesses with the backlash taken half from each
// member.
func (d Design) thicknesses(s *Set) {
	alpha, m := s.NormalAngle().Rad(), s.MeanNormalModule.MM()
	normal := d.Backlash.MM() * s.meanNormalPer(d.BacklashAs)
	shift := d.DepthFactor * (0.5 - d.AddendumFactor)           // xhm1, table 4
	less := normal / (4 * m * math.Cos(alpha))                  // (204), (209)
	s.Pinion.ThicknessModification = d.ThicknessFactor/2 - less // (202) to (205)
	s.Ring.ThicknessModification = -d.ThicknessFactor/2 - less  // (207) to (210)
	thick := func(b *Blank, beta, delta, radius, shift float64) {
		sn := m*math.Pi/2 + 2*m*(b.ThicknessModification+shift*math.Tan(alpha)) // (206), (211)
		b.Thickness = unit.MM(sn)
		b.TransverseThickness = unit.MM(sn / math.Cos(beta)) // (212)
		sinB, cosA := math.Sin(beta), math.Cos(alpha)
		dn := 2 * radius / ((1 - sinB*sinB*cosA*cosA) * math.Cos(delta)) // (213)
		b.NormalDiameter = unit.MM(dn)
		b.ChordalThickness = unit.MM(dn * math.Sin(sn/dn))                                          // (214)
		b.ChordalAddendum = unit.MM(b.MeanAddendum.MM() + dn/2*math.Cos(delta)*(1-math.Cos(sn/dn))) // (215)
	}
	thick(&s.Pinion, s.Beta1.Rad(), s.Delta1.Rad(), s.MeanRadius1.MM(), shift)
	thick(&s.Ring, s.Beta2.Rad(), s.Delta2.Rad(), s.MeanRadius2.MM(), -shift)
}

// closeBlanks works 7.7 and 7.9: depths at the ends, diameters, crown positions.
func (s *Set) closeBlanks() {
	s.OuterConeDistance1 = s.ConeDistance1 + s.Pinion.FaceOuter // (216)
	s.InnerConeDistance1 = s.ConeDistance1 - s.Pinion.FaceInner // (217)
	sin1 := math.Sin(s.Delta1.Rad())
	s.Pinion.OuterPitchDiameter = unit.MM(2 * s.OuterConeDistance1.MM() * sin1) // (218)
	s.Pinion.InnerPitchDiameter = unit.MM(2 * s.InnerConeDistance1.MM() * sin1) // (219)
	s.Pinion.close(s.Delta1.Rad())
	s.Ring.close(s.Delta2.Rad())
	s.OuterDiameter = s.Ring.OutsideDiameter
	s.DialRadius = s.OuterDiameter / 2
}

// close fills one blank's depths at the ends and what follows from them.
func (b *Blank) close(delta float64) {
	sin, cos := math.Sincos(delta)
	grow := func(at unit.Length, over unit.Length, angle unit.Angle) unit.Length {
		return at + over*unit.Length(math.Tan(angle.Rad()))
	}
	b.OuterAddendum = grow(b.MeanAddendum, b.FaceOuter, b.AddendumAngle)  // (195)
	b.OuterDedendum = grow(b.MeanDedendum, b.FaceOuter, b.DedendumAngle)  // (196)
	b.InnerAddendum = grow(b.MeanAddendum, -b.FaceInner, b.AddendumAngle) // (198)
	b.InnerDedendum = grow(b.MeanDedendum, -b.FaceInner, b.DedendumAngle) // (199)
	b.OuterDepth = b.OuterAddendum + b.OuterDedendum                      // (197)
	b.InnerDepth = b.InnerAddendum + b.InnerDedendum                      // (200)
	c := unit.Length(2 * cos)
	b.OutsideDiameter = b.OuterPitchDiameter + c*b.OuterAddendum                                                // (220)
	b.OuterRootDiameter = b.OuterPitchDiameter - c*b.OuterDedendum                                              // (221)
	b.InnerTipDiameter = b.InnerPitchDiameter + c*b.InnerAddendum                                               // (222)
	b.InnerRootDiameter = b.InnerPitchDiameter - c*b.InnerDedendum                                              // (223)
	b.CrossingToCrown = b.CrossingToMean + b.FaceOuter*unit.Length(cos) - b.OuterAddendum*unit.Length(sin)      // (224)
	b.CrossingToFrontCrown = b.CrossingToMean - b.FaceInner*unit.Length(cos) - b.InnerAddendum*unit.Length(sin) // (225)
}

// trimmed writes a number with at most two decimals and no trailing zeros.
func trimmed(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}
