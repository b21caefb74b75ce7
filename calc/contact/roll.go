package contact

import "math"

// roll fills the workspace's tables for one flank and gives the mean free turn
// of the pinion to it, rad, and its peak to peak over one pitch.
func (s *side) roll(ws *Workspace, v [motionCount]float64) (mean, span float64) {
	table, where := ws.table[:s.rolls], ws.where[:s.rolls]
	for k := range table {
		table[k] = math.Inf(1)
	}
	b := &s.points
	m0, m1, m2, m3 := b.motion[0], b.motion[1], b.motion[2], b.motion[3]
	gap := func(i int) float64 {
		return b.ease[i] + m0[i]*v[0] + m1[i]*v[1] + m2[i]*v[2] + m3[i]*v[3]
	}
	for _, l := range s.lines {
		best, low := l.from, math.Inf(1)
		for i := l.from; i < l.to; i++ {
			if g := gap(i); g < low {
				best, low = i, g
			}
		}
		at := s.at[best]
		if best > l.from && best+1 < l.to {
			low, at = s.valley(best, gap(best-1), low, gap(best+1))
		}
		if low < table[l.k] {
			table[l.k], where[l.k] = low, at
		}
	}
	lowest, highest, sum := math.Inf(1), math.Inf(-1), 0.0
	for i := range ws.mesh {
		g := math.Inf(1)
		for k := i; k < s.rolls; k += s.steps {
			g = min(g, table[k])
		}
		ws.mesh[i] = g
		lowest, highest, sum = min(lowest, g), max(highest, g), sum+g
	}
	return sum / float64(s.steps), highest - lowest
}

// valley is the lowest point of the parabola through three neighbouring samples
// of a contact line, the middle one the lowest.
// Source: Newton's interpolation formula, divided differences.
func (s *side) valley(i int, before, here, after float64) (float64, Point) {
	p, q, r := s.at[i-1], s.at[i], s.at[i+1]
	a, b := p.Along-q.Along, r.Along-q.Along
	parabola := func(pa, qa, ra float64) (slope, curve float64) {
		da, db := (pa-qa)/a, (ra-qa)/b
		curve = (db - da) / (b - a)
		return da - curve*a, curve
	}
	slope, curve := parabola(before, here, after)
	if !(curve > 0) {
		return here, q
	}
	x := max(a, min(b, -slope/(2*curve)))
	rise, bend := parabola(p.Across, q.Across, r.Across)
	return here + x*(slope+x*curve), Point{q.Along + x, q.Across + x*(rise+x*bend)}
}

// meshAt gives the smallest gap over |L| of all teeth in mesh at a node's roll
// angle. All teeth stand whole pitches, and so whole steps of the table, apart.
func (s *side) meshAt(ws *Workspace, node int) float64 {
	w := &s.weight[node]
	k := s.first[node] % s.steps
	if k >= 0 {
		k -= s.steps // the first window that can reach the table
	}
	best := math.Inf(1)
	for ; k < s.rolls; k += s.steps {
		g := 0.0
		if k >= 0 && k+3 < s.rolls {
			t := ws.table[k : k+4]
			g = w[0]*t[0] + w[1]*t[1] + w[2]*t[2] + w[3]*t[3]
		} else {
			g = s.nearEnd(ws, float64(k+1)-w[0]+w[2]+2*w[3])
		}
		best = min(best, g)
	}
	return best
}

// nearEnd gives the smallest gap over |L| of one tooth at a place in the table of
// roll angles (in steps) where four are not to be had: linear between the two
// around it, or between the last one and the corner that touches first or last;
// infinite where the tooth is out of mesh.
func (s *side) nearEnd(ws *Workspace, at float64) float64 {
	last := s.rolls - 1
	switch i := int(math.Floor(at)); {
	case i >= 0 && i < last:
		return ws.table[i] + (at-float64(i))*(ws.table[i+1]-ws.table[i])
	case at < 0:
		return s.toCorner(ws, at, s.enter, 0)
	default:
		return s.toCorner(ws, at, s.leave, last)
	}
}

func (s *side) toCorner(ws *Workspace, at float64, c corner, k int) float64 {
	from, to := float64(k), (c.phi-s.roll0)/s.step
	if at == from {
		return ws.table[k]
	}
	share := (at - from) / (to - from)
	if !(share >= 0 && share <= 1+nearby) {
		return math.Inf(1)
	}
	return ws.table[k] + share*(ws.angle[c.node]-ws.table[k])
}
