package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// axes is the pair in the ring gear's frame: z along the ring gear's axis,
// origin at the apex of its pitch cone, the teeth on the outside of the cone
// (towards −z), the mean point M in the half plane y = 0, x > 0. Millimetres.
type axes struct {
	mean      r3.Vec // M
	generator r3.Vec // unit, along the pitch cone towards the heel
	around    r3.Vec // unit, in the ring gear's direction of turning at M
	normal    r3.Vec // unit, out of the pitch cone, towards the pinion
	tooth     r3.Vec // unit, lengthwise tooth direction at M, towards the heel

	pinion r3.Vec // unit, pinion axis a, from the crossing towards the pinion head
	foot   r3.Vec // point of the pinion axis nearest to the ring gear axis
	across r3.Vec // unit, from the ring gear axis to the pinion axis: larger offset
	tilt   r3.Vec // unit, the turn that makes the shaft angle larger

	pinionPitch  float64 // δ1, rad
	pinionSpiral float64 // βm1, rad
	offsetAngle  float64 // ζmp in the pitch plane, rad
	pinionRadius float64 // rm1, mm
}

// Limits of the search for the pinion's direction. The residual is monotone
// between 0 and the direction at which the pinion's spiral angle would be 90°.
const (
	axisTolerance = 1e-13 // of the offset angle, rad
	axisLimit     = 200   // bisections
)

// place finds the pinion axis: perpendicular to the ring gear axis at the given
// offset, met by the pitch cone's normal through M, and such that the sliding
// velocity at M runs along the tooth.
//
// Derivation: with the axis direction a = (cos η, −s·sin η, 0) (s the hand) and
// the normal met at M + t·N, the pinion's velocity at M is
// u·t·(s·sin η, sin δ2·cos η) along (generator, around); the sliding velocity is
// along the tooth where t = r2·cos β / (u·(sin δ2·cos η·cos β − sin η·sin β));
// the offset is (r2 + t·cos δ2)·sin η.
func (g Gear) place() (axes, error) {
	s, u := g.hand(), g.ratio()
	sinD, cosD := math.Sincos(g.PitchAngle.Rad())
	sinB, cosB := math.Sincos(g.Spiral.Rad())
	r2 := g.pitchRadius()
	p := axes{
		mean:      r3.Vec{X: r2, Z: g.ConeDistance.MM() * cosD},
		generator: r3.Vec{X: sinD, Z: cosD},
		around:    r3.Vec{Y: 1},
		normal:    r3.Vec{X: cosD, Z: -sinD},
	}
	p.tooth = r3.Add(r3.Scale(cosB, p.generator), r3.Scale(s*sinB, p.around))

	reach := func(eta float64) float64 { // t(η)
		sinE, cosE := math.Sincos(eta)
		return r2 * cosB / (u * (sinD*cosE*cosB - sinE*sinB))
	}
	eta, offset := 0.0, g.Offset.MM()
	if offset > 0 {
		low, high := 0.0, math.Atan2(sinD*cosB, sinB) // β1 reaches 90° at high
		for i := 0; high-low > axisTolerance; i++ {
			if i == axisLimit {
				return p, impossible("the pinion axis did not converge in %d steps", axisLimit)
			}
			eta = (low + high) / 2
			if t := reach(eta); t > 0 && (r2+t*cosD)*math.Sin(eta) < offset {
				low = eta
			} else {
				high = eta
			}
		}
		eta = low
	}
	t := reach(eta)
	sinE, cosE := math.Sincos(eta)
	p.pinion = r3.Vec{X: cosE, Y: -s * sinE}
	met := r3.Add(p.mean, r3.Scale(t, p.normal))
	p.foot = r3.Sub(met, r3.Scale(r3.Dot(met, p.pinion), p.pinion))
	p.foot.Z = met.Z
	p.across = r3.Vec{X: sinE, Y: s * cosE}
	p.tilt = r3.Scale(s, p.across)
	p.pinionPitch = math.Asin(cosD * cosE)
	p.offsetAngle = math.Atan2(sinE, sinD*cosE)
	p.pinionSpiral = g.Spiral.Rad() + p.offsetAngle
	p.pinionRadius = t * math.Cos(p.pinionPitch)
	if p.pinionSpiral > maxPinionSpiral {
		return p, impossible("an offset of %.1f mm needs a pinion spiral angle of %.0f°", offset, p.pinionSpiral*180/math.Pi)
	}
	return p, nil
}

// maxPinionSpiral is where a pinion stops being one that can be cut, rad.
const maxPinionSpiral = 75 * math.Pi / 180
