package contact

import (
	"math"
)

// frame turns scaled tooth coordinates into cone distance and height above the
// pitch cone, mm.
type frame struct {
	middle, half float64 // cone distance of mid face, half face width
	mean         float64 // cone distance of the mean point
	bottom, top  float64 // height of root and top at the mean point
	tanF, tanA   float64 // taper of root and top
}

// leastDepth is the least working depth a tooth may have at its ends, mm.
const leastDepth = 0.05

func (g Gear) frame() (frame, error) {
	f := frame{
		middle: g.ConeDistance.MM() + (g.FaceOuter-g.FaceInner).MM()/2,
		half:   (g.FaceOuter + g.FaceInner).MM() / 2,
		mean:   g.ConeDistance.MM(),
		bottom: -g.WorkingDedendum.MM(), top: g.Addendum.MM(),
		tanF: math.Tan(g.DedendumAngle.Rad()), tanA: math.Tan(g.AddendumAngle.Rad()),
	}
	for _, l := range []float64{-1, 1} {
		_, low := f.at(l, -1)
		_, high := f.at(l, 1)
		if !(high-low > leastDepth) {
			return f, impossible("the taper leaves the tooth no depth at one end")
		}
	}
	return f, nil
}

// at gives cone distance and height, mm, of along l and across h.
func (f *frame) at(l, h float64) (rho, height float64) {
	rho = f.middle + l*f.half
	low := f.bottom - (rho-f.mean)*f.tanF
	high := f.top + (rho-f.mean)*f.tanA
	return rho, low + (h+1)/2*(high-low)
}

// surveyor finds points of one flank by tooth coordinates and when they touch.
type surveyor struct {
	flank      flank
	meshing    meshing
	frame      frame
	sinD, cosD float64 // of the ring gear's pitch angle
}

func (g Gear) surveyor(p axes, convex bool) (surveyor, error) {
	var s surveyor
	var err error
	if s.flank, err = g.cut(p, convex); err != nil {
		return s, err
	}
	if s.frame, err = g.frame(); err != nil {
		return s, err
	}
	if s.meshing, err = s.flank.meetAtMean(g.ratio()); err != nil {
		return s, err
	}
	s.sinD, s.cosD = math.Sincos(g.PitchAngle.Rad())
	return s, nil
}

// Limits of the search for a flank point.
const (
	pointTolerance = 1e-10 // mm
	pointLimit     = 40    // Newton steps
	pointStride    = 0.5   // rad of cutter angle in one step
)

// spot is a flank point: cutter angle and blade height, and when it touches.
type spot struct {
	theta, t float64
	touch
}

// find gives the flank point of along l and across h, starting at a near one.
func (s *surveyor) find(l, h float64, near spot) (spot, error) {
	rho, height := s.frame.at(l, h)
	theta, t := near.theta, near.t
	for range pointLimit {
		x, dTheta, dT := s.flank.derivatives(theta, t)
		r := math.Hypot(x.X, x.Y)
		// In the axial plane: cone distance r·sin δ + z·cos δ, height r·cos δ − z·sin δ.
		e1, e2 := r*s.sinD+x.Z*s.cosD-rho, r*s.cosD-x.Z*s.sinD-height
		if math.Abs(e1)+math.Abs(e2) < pointTolerance {
			k, ok := s.meshing.touch(x, s.flank.outward(dTheta, dT))
			if !ok {
				return spot{}, impossible("a part of the flank never touches a conjugate pinion; pressure angle, spiral angle, cutter and offset do not go together")
			}
			return spot{theta: theta, t: t, touch: k}, nil
		}
		rTheta, rT := (x.X*dTheta.X+x.Y*dTheta.Y)/r, (x.X*dT.X+x.Y*dT.Y)/r
		a, b := rTheta*s.sinD+dTheta.Z*s.cosD, rT*s.sinD+dT.Z*s.cosD
		c, d := rTheta*s.cosD-dTheta.Z*s.sinD, rT*s.cosD-dT.Z*s.sinD
		det := a*d - b*c
		step := (e1*d - e2*b) / det
		if !(math.Abs(step) < pointStride) { // NaN too
			break
		}
		theta, t = theta-step, t-(a*e2-c*e1)/det
	}
	return spot{}, impossible("a cutter of this radius does not reach the whole face")
}

// grid surveys the nodes, column by column from the toe, each from the root up.
func (s *surveyor) grid(o Options) ([]spot, error) {
	nodes := make([]spot, 0, o.Along*o.Across)
	var near spot
	// Start at M and walk to the toe, so that every search starts near.
	l0 := (s.frame.mean - s.frame.middle) / s.frame.half
	for i := range walkSteps {
		l := l0 + (-1-l0)*float64(i+1)/walkSteps
		var err error
		if near, err = s.find(l, -1, near); err != nil {
			return nil, err
		}
	}
	for i := range o.Along {
		if i > 0 {
			near = nodes[(i-1)*o.Across]
		}
		for j := range o.Across {
			n, err := s.find(scaled(i, o.Along), scaled(j, o.Across), near)
			if err != nil {
				return nil, err
			}
			nodes = append(nodes, n)
			near = n
		}
	}
	return nodes, nil
}

// walkSteps is the number of steps from the mean point to the toe.
const walkSteps = 8

// scaled puts node i of n on −1 to 1.
func scaled(i, n int) float64 { return 2*float64(i)/float64(n-1) - 1 }
