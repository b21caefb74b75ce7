package contact

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// meshing finds when a flank point touches the conjugate pinion.
type meshing struct {
	axes
	u      float64 // z2/z1; the pinion turns by −u about a as the ring gear turns by 1
	branch float64 // which of the two roots, +1 or −1, is the one at M
}

// touch is a flank point carried to the roll angle at which it touches.
type touch struct {
	phi  float64 // ring gear roll angle, rad, 0 where M touches
	x, n r3.Vec  // position and normal there
}

// meetAtMean chooses the root that is 0 at the mean point.
func (f *flank) meetAtMean(u float64) (meshing, error) {
	x, n := f.at(0, 0)
	for _, branch := range []float64{1, -1} {
		k := meshing{axes: f.axes, u: u, branch: branch}
		if phi, ok := k.roll(x, n); ok && math.Abs(phi) < meanTolerance {
			return k, nil
		}
	}
	return meshing{}, impossible("the flanks do not touch at the mean point")
}

// meanTolerance is how closely the roll angle at the mean point must be 0, rad.
const meanTolerance = 1e-6

// roll solves n·v_rel = 0 for the ring gear's roll angle. ok is false where the
// point never touches a conjugate pinion (past the limit line).
//
// Derivation: with m = x×n, P a point of the pinion axis and R the roll about z,
// n·v_rel = z·m + u·[a·R·m − (a×P)·R·n], and z·m does not change, which leaves
// A·cos φ + B·sin φ = C.
func (k *meshing) roll(x, n r3.Vec) (phi float64, ok bool) {
	a := k.pinion
	m := r3.Cross(x, n)
	b := r3.Cross(a, k.foot)
	cosTerm := a.X*m.X + a.Y*m.Y - b.X*n.X - b.Y*n.Y
	sinTerm := a.Y*m.X - a.X*m.Y - b.Y*n.X + b.X*n.Y
	right := b.Z*n.Z - m.Z/k.u
	size := math.Hypot(cosTerm, sinTerm)
	if !(math.Abs(right) < size) {
		return 0, false
	}
	phi = math.Atan2(sinTerm, cosTerm) + k.branch*math.Acos(right/size)
	return math.Remainder(phi, 2*math.Pi), true
}

// touch carries a flank point to where it touches.
func (k *meshing) touch(x, n r3.Vec) (touch, bool) {
	phi, ok := k.roll(x, n)
	if !ok {
		return touch{}, false
	}
	s, c := math.Sincos(phi)
	return touch{phi: phi, x: turnZ(x, s, c), n: turnZ(n, s, c)}, true
}

// lever gives L = n·(a×(x − P)), mm: how fast turning the pinion by one radian
// about its axis opens (+) or closes (−) the gap at the point.
func (p *axes) lever(t touch) float64 {
	return r3.Dot(p.pinion, r3.Cross(r3.Sub(t.x, p.foot), t.n))
}

// motionCount is the number of displacements: pinion, ring gear, offset, shaft
// angle, in this order everywhere.
const motionCount = 4

// motions gives the change of the gap, mm, for one unit of each displacement of
// the pair: pinion deeper and ring gear towards the pinion (mm), offset larger
// (mm), shaft angle larger (rad).
//
// Derivation: the gap is measured along the ring gear's outward normal n, so a
// displacement u of the pinion against the ring gear changes it by n·u. Deeper is
// −a; the ring gear towards the pinion is −z of the ring gear, +z of the pinion
// against it; a larger shaft angle turns a towards −z about the common
// perpendicular of the axes.
func (p *axes) motions(t touch) [motionCount]float64 {
	return [motionCount]float64{
		-r3.Dot(p.pinion, t.n),
		t.n.Z,
		r3.Dot(p.across, t.n),
		r3.Dot(p.tilt, r3.Cross(r3.Sub(t.x, p.foot), t.n)),
	}
}
