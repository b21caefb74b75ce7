package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// flank is one side of a ring gear tooth as the cutter leaves it: the surface
// swept by a straight blade edge turning about the cutter axis, which stands
// along the pitch cone's normal at M, while (face hobbing) the ring gear indexes.
//
// Face milling is the case of no indexing: a cone of radius rc ± h·tan α about
// the cutter axis. The concave flank is left by the outside blades (radius grows
// with h), the convex flank by the inside blades.
type flank struct {
	axes
	centre r3.Vec  // of the cutter
	edge   r3.Vec  // along the blade edge at M, one unit of height per unit
	index  float64 // turns of the ring gear per turn of the cutter
	side   float64 // ±1, so that the normal points out of the tooth
}

// cut makes the convex or the concave flank.
func (g Gear) cut(p axes, convex bool) (flank, error) {
	sinB, cosB := math.Sincos(g.Spiral.Rad())
	rc := g.CutterRadius.MM()
	// The spiral angle must grow towards the heel: 1/rc > sin β / A.
	if !(rc*sinB < g.ConeDistance.MM()) {
		return flank{}, impossible("a cutter radius of %.1f mm makes the spiral angle fall towards the heel", rc)
	}
	lead, err := g.lead()
	if err != nil {
		return flank{}, err
	}
	// Towards the cutter's centre, square to the tooth in the pitch plane.
	inward := r3.Add(r3.Scale(-sinB, p.generator), r3.Scale(g.hand()*cosB, p.around))
	sinL, cosL := math.Sincos(lead)
	out := r3.Add(r3.Scale(-cosL, inward), r3.Scale(-sinL, p.tooth)) // centre → M
	tan := math.Tan(g.PressureConcave.Rad())
	if convex {
		tan = -math.Tan(g.PressureConvex.Rad())
	}
	f := flank{
		axes:   p,
		centre: r3.Sub(p.mean, r3.Scale(rc, out)),
		edge:   r3.Add(p.normal, r3.Scale(-tan, inward)),
		index:  float64(g.BladeGroups) / float64(g.RingTeeth),
		side:   1,
	}
	if _, n := f.at(0, 0); r3.Dot(n, p.normal) < 0 {
		f.side = -1 // a tooth's flanks face out of the pitch cone
	}
	return f, nil
}

// at gives the surface point at cutter angle theta (rad) and blade height t (mm,
// from the pitch plane), and the unit normal out of the ring gear tooth.
func (f *flank) at(theta, t float64) (x, n r3.Vec) {
	x, dTheta, dT := f.derivatives(theta, t)
	return x, f.outward(dTheta, dT)
}

func (f *flank) outward(dTheta, dT r3.Vec) r3.Vec {
	return r3.Scale(f.side, r3.Unit(r3.Cross(dTheta, dT)))
}

// derivatives gives the surface point and its derivatives by theta and t.
func (f *flank) derivatives(theta, t float64) (x, dTheta, dT r3.Vec) {
	s, c := math.Sincos(theta)
	arm := turn(r3.Add(r3.Sub(f.mean, f.centre), r3.Scale(t, f.edge)), f.normal, s, c)
	dT = turn(f.edge, f.normal, s, c)
	x = r3.Add(f.centre, arm)
	dTheta = r3.Cross(f.normal, arm)
	if f.index != 0 { // the ring gear has turned on meanwhile
		dTheta = r3.Sub(dTheta, r3.Scale(f.index, r3.Vec{X: -x.Y, Y: x.X}))
		s, c := math.Sincos(-f.index * theta)
		x, dTheta, dT = turnZ(x, s, c), turnZ(dTheta, s, c), turnZ(dT, s, c)
	}
	return x, dTheta, dT
}

// turn rotates v about the unit axis k by the angle of sine s and cosine c.
// Source: Rodrigues' rotation formula.
func turn(v, k r3.Vec, s, c float64) r3.Vec {
	kv := r3.Dot(k, v) * (1 - c)
	return r3.Vec{
		X: v.X*c + (k.Y*v.Z-k.Z*v.Y)*s + k.X*kv,
		Y: v.Y*c + (k.Z*v.X-k.X*v.Z)*s + k.Y*kv,
		Z: v.Z*c + (k.X*v.Y-k.Y*v.X)*s + k.Z*kv,
	}
}

// turnZ rotates v about z by the angle of sine s and cosine c.
func turnZ(v r3.Vec, s, c float64) r3.Vec {
	return r3.Vec{X: c*v.X - s*v.Y, Y: s*v.X + c*v.Y, Z: v.Z}
}
