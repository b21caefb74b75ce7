package gearset

import (
	"math"

	"shimwright/calc/unit"
)

// CurvatureTolerance is how closely the limit curvature of a hypoid set meets
// the cutter radius, as |rc0/ρlim − 1| (the standard itself asks for 0.01); with
// a given pitch angle the same figure is |δ2/wanted − 1|.
const CurvatureTolerance = 1e-9

// Limits of the search for the ring gear's offset angle η: it is looked for
// outwards from the standard's starting value, then bisected.
const (
	etaScanStep    = 0.1 * math.Pi / 180
	etaScanSteps   = 300
	etaBisectSteps = 200
)

// pitchCones is what clause 6 hands to clause 7. Lengths in mm, angles in rad.
type pitchCones struct {
	delta1, delta2 float64
	beta1, beta2   float64
	rm1, rm2       float64 // mean cone distances
	eta            float64 // ring gear offset angle, axial plane
	rhoLimit       float64 // limit radius of curvature
	faceFactor     float64 // cbe2
}

// bevelCones finds the pitch cones without offset.
//
// Source: ISO 23509:2016, 6.2.1 (method 0), formulas (1) to (7).
func (d Design) bevelCones() (pitchCones, error) {
	u, sigma := float64(d.Z2)/float64(d.Z1), d.ShaftAngle.Rad()
	delta1 := math.Atan2(math.Sin(sigma), math.Cos(sigma)+u) // (2)
	delta2 := sigma - delta1                                 // (3)
	if !(delta1 > 0 && delta2 > 0 && delta2 < math.Pi/2) {
		return pitchCones{}, impossible("%d/%d teeth at a shaft angle of %.1f° have no outside pitch cones", d.Z1, d.Z2, d.ShaftAngle.Deg())
	}
	outer := d.PitchDiameter.MM() / (2 * math.Sin(delta2)) // (4)
	rm := outer - d.FaceWidth.MM()/2                       // (5)
	if d.FaceWidth.MM() >= outer {
		return pitchCones{}, impossible("the face width %.1f mm is longer than the cone distance %.1f mm", d.FaceWidth.MM(), outer)
	}
	return pitchCones{
		delta1: delta1, delta2: delta2,
		beta1: d.RingSpiral.Rad(), beta2: d.RingSpiral.Rad(), // (6)
		rm1: rm, rm2: rm,
		faceFactor: 0.5, // (7)
	}, nil
}

// hypoidStart is the part of method 1 that does not change while η is iterated.
type hypoidStart struct {
	u, dSigma, offset  float64
	tanBeta            float64 // of the wanted pinion spiral angle
	ringRadius         float64 // rmpt2
	k1                 float64 // approximate hypoid dimension factor
	pinionRadius       float64 // rmn1, approximate
	etaStart           float64
	outerRadius, width float64 // de2/2 and b2
}

// start works formulas (8) to (16).
func (d Design) start() (hypoidStart, error) {
	s := hypoidStart{
		u: float64(d.Z2) / float64(d.Z1), dSigma: d.ShaftAngle.Rad() - math.Pi/2, // (8), (10)
		offset: d.Offset.MM(), tanBeta: math.Tan(d.PinionSpiral.Rad()),
		outerRadius: d.PitchDiameter.MM() / 2, width: d.FaceWidth.MM(),
	}
	sinS, cosS := math.Sincos(s.dSigma)
	delta := math.Atan2(s.u*cosS, 1.2*(1-s.u*sinS)) // (11)
	if d.RingPitchAngle != 0 {
		delta = d.RingPitchAngle.Rad() // known, so not approximate
	}
	s.ringRadius = s.outerRadius - s.width*math.Sin(delta)/2 // (12)
	if s.ringRadius <= s.offset {
		return s, impossible("the offset %.1f mm is as large as the ring gear's mean radius %.1f mm", s.offset, s.ringRadius)
	}
	eps := math.Asin(s.offset * math.Sin(delta) / s.ringRadius)                                              // (13)
	s.k1 = s.tanBeta*math.Sin(eps) + math.Cos(eps)                                                           // (14)
	s.pinionRadius = s.ringRadius * s.k1 / s.u                                                               // (15)
	s.etaStart = math.Atan2(s.offset, s.ringRadius*(math.Tan(delta)*math.Cos(s.dSigma)-sinS)+s.pinionRadius) // (16)
	return s, nil
}

// at works formulas (17) to (33) for one η; ok is false where an angle does not
// exist there.
func (s hypoidStart) at(eta float64) (c pitchCones, ok bool) {
	sinEta, cosEta := math.Sincos(eta)
	cosS, tanS := math.Cos(s.dSigma), math.Tan(s.dSigma)
	pinionPitch := func(eps float64) float64 { // (18), (24)
		return math.Atan(sinEta/(math.Tan(eps)*cosS) + tanS*cosEta)
	}
	inPitchPlane := func(eps, delta float64) float64 { // (19), (25)
		return math.Asin(math.Sin(eps) * cosS / math.Cos(delta))
	}
	eps2 := math.Asin((s.offset - s.pinionRadius*sinEta) / s.ringRadius) // (17)
	eps2p := inPitchPlane(eps2, pinionPitch(eps2))
	tanBetaInt := (s.k1 - math.Cos(eps2p)) / math.Sin(eps2p)        // (20)
	dK := math.Sin(eps2p) * (s.tanBeta - tanBetaInt)                // (21)
	dRadius := s.ringRadius * dK / s.u                              // (22)
	eps1 := math.Asin(math.Sin(eps2) - dRadius/s.ringRadius*sinEta) // (23)
	c.delta1 = pinionPitch(eps1)
	eps1p := inPitchPlane(eps1, c.delta1)
	c.beta1 = math.Atan((s.k1 + dK - math.Cos(eps1p)) / math.Sin(eps1p))            // (26)
	c.beta2 = c.beta1 - eps1p                                                       // (27)
	c.delta2 = math.Atan(math.Sin(eps1)/(math.Tan(eta)*cosS) + math.Cos(eps1)*tanS) // (28)
	c.rm1 = (s.pinionRadius + dRadius) / math.Sin(c.delta1)                         // (29)
	c.rm2 = s.ringRadius / math.Sin(c.delta2)                                       // (30)
	c.eta = eta
	limit := limitAngle(c, eps1p)
	tan1, tan2 := math.Tan(c.beta1), math.Tan(c.beta2)
	// (33), as a curvature: ρlim may pass through infinity.
	curvature := (-math.Tan(limit)*(tan1/(c.rm1*math.Tan(c.delta1))+tan2/(c.rm2*math.Tan(c.delta2))) +
		1/(c.rm1*math.Cos(c.beta1)) - 1/(c.rm2*math.Cos(c.beta2))) * math.Cos(limit) / (tan1 - tan2)
	c.rhoLimit = 1 / curvature
	c.faceFactor = (s.outerRadius/math.Sin(c.delta2) - c.rm2) / s.width // (41)
	ok = c.delta1 > 0 && c.delta2 > 0 && eps1p > 0 && c.rm1 > 0 &&
		c.beta2 > 0 && c.faceFactor > 0 && c.faceFactor < 1 && curvature != 0 &&
		!math.IsNaN(curvature) && !math.IsInf(curvature, 0)
	return c, ok
}

// limitAngle gives the limit pressure angle αlim for an offset angle in the pitch
// plane.
//
// Source: ISO 23509:2016, formulas (32) and (117).
func limitAngle(c pitchCones, pitchOffset float64) float64 {
	t1, t2 := math.Tan(c.delta1), math.Tan(c.delta2)
	return -math.Atan(t1 * t2 / math.Cos(pitchOffset) *
		(c.rm1*math.Sin(c.beta1) - c.rm2*math.Sin(c.beta2)) / (c.rm1*t1 + c.rm2*t2))
}

// hypoidCones finds the pitch cones of a hypoid set: η is moved until the limit
// curvature equals the cutter radius, or until δ2 is the given pitch angle.
//
// Source: ISO 23509:2016, 6.2.2 (method 1), formulas (8) to (41), face milling.
func (d Design) hypoidCones() (pitchCones, error) {
	s, err := d.start()
	if err != nil {
		return pitchCones{}, err
	}
	residual := func(c pitchCones) float64 { return d.CutterRadius.MM()/c.rhoLimit - 1 }
	wanted := func() string { return "a limit curvature that meets the cutter radius " + millimetres(d.CutterRadius) }
	if d.RingPitchAngle != 0 {
		residual = func(c pitchCones) float64 { return c.delta2/d.RingPitchAngle.Rad() - 1 }
		wanted = func() string { return "a ring gear pitch angle of " + degrees(d.RingPitchAngle) }
	}
	low, high, found := s.bracket(residual)
	if !found {
		return pitchCones{}, impossible("%d/%d teeth with an offset of %.1f mm have no pitch cones with %s", d.Z1, d.Z2, s.offset, wanted())
	}
	c, _ := s.at(low)
	atLow := residual(c)
	for range etaBisectSteps {
		middle := (low + high) / 2
		var ok bool
		if c, ok = s.at(middle); !ok {
			break
		}
		r := residual(c)
		if math.Abs(r) <= CurvatureTolerance {
			return c, nil
		}
		if (r > 0) == (atLow > 0) {
			low, atLow = middle, r
		} else {
			high = middle
		}
	}
	return pitchCones{}, impossible("the pitch cones of %d/%d teeth with an offset of %.1f mm did not converge to %s", d.Z1, d.Z2, s.offset, wanted())
}

// bracket looks outwards from the standard's starting η for the nearest pair of
// neighbouring values between which the residual changes its sign. Both
// residuals are continuous wherever at says ok: the curvature has its poles where
// the offset angle or a pitch angle vanishes.
func (s hypoidStart) bracket(residual func(pitchCones) float64) (low, high float64, found bool) {
	value := func(eta float64) (float64, bool) {
		if eta <= 0 || eta >= math.Pi/2 {
			return 0, false
		}
		c, ok := s.at(eta)
		if !ok {
			return 0, false
		}
		return residual(c), true
	}
	step := min(etaScanStep, s.etaStart/20)
	type end struct {
		eta, r float64
		ok     bool
	}
	var up, down end
	up.eta, down.eta = s.etaStart, s.etaStart
	up.r, up.ok = value(s.etaStart)
	down.r, down.ok = up.r, up.ok
	crosses := func(a, b end) bool {
		return a.ok && b.ok && (a.r > 0) != (b.r > 0)
	}
	for i := 1; i <= etaScanSteps; i++ {
		next := end{eta: s.etaStart + float64(i)*step}
		next.r, next.ok = value(next.eta)
		if crosses(up, next) {
			return up.eta, next.eta, true
		}
		up = next
		next = end{eta: s.etaStart - float64(i)*step}
		next.r, next.ok = value(next.eta)
		if crosses(next, down) {
			return next.eta, down.eta, true
		}
		down = next
	}
	return 0, 0, false
}

func millimetres(l unit.Length) string { return unit.Metric.Length(l) }

func degrees(a unit.Angle) string { return trimmed(a.Deg()) + "°" }
