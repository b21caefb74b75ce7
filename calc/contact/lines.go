package contact

import (
	"cmp"
	"math"
	"slices"
)

// sample is a point of a contact line.
type sample struct {
	Point
	spot
}

// Limits of the search for a contact line between two surveyed points.
const (
	rollTolerance = 1e-11 // rad
	rollLimit     = 80    // false positions
	nearby        = 1e-3  // of the column spacing: closer samples are one
)

// trace follows the contact line of every roll angle: its crossings with the
// grid's columns, and the points where it leaves over root and top.
func (s *surveyor) trace(o Options, table *side, grid []spot) ([][]sample, error) {
	lines := make([][]sample, table.rolls)
	at := func(i, j int) sample {
		return sample{Point{scaled(i, o.Along), scaled(j, o.Across)}, grid[i*o.Across+j]}
	}
	for i := range o.Along {
		for j := range o.Across {
			if j+1 < o.Across {
				if err := s.between(table, lines, at(i, j), at(i, j+1)); err != nil {
					return nil, err
				}
			}
			if (j == 0 || j == o.Across-1) && i+1 < o.Along {
				if err := s.between(table, lines, at(i, j), at(i+1, j)); err != nil {
					return nil, err
				}
			}
		}
	}
	return lines, nil
}

// between adds the points between a and b where a roll angle of the table is met.
func (s *surveyor) between(table *side, lines [][]sample, a, b sample) error {
	low, high := min(a.phi, b.phi), max(a.phi, b.phi)
	k := max(0, int(math.Ceil((low-table.roll0)/table.step)))
	for ; k < len(lines); k++ {
		phi := table.roll0 + float64(k)*table.step
		if phi >= high {
			break
		}
		n, err := s.meet(phi, a, b)
		if err != nil {
			return err
		}
		lines[k] = append(lines[k], n)
	}
	return nil
}

// meet finds the point between a and b that touches at roll angle phi.
// Source: the Illinois variant of false position (Dowell and Jarratt, 1971).
func (s *surveyor) meet(phi float64, a, b sample) (sample, error) {
	xa, xb, fa, fb := 0.0, 1.0, a.phi-phi, b.phi-phi
	if fa == 0 {
		return a, nil
	}
	n := a
	for range rollLimit {
		x := (fa*xb - fb*xa) / (fa - fb)
		n.Point = Point{a.Along + x*(b.Along-a.Along), a.Across + x*(b.Across-a.Across)}
		var err error
		if n.spot, err = s.find(n.Along, n.Across, n.spot); err != nil {
			return n, err
		}
		f := n.phi - phi
		if math.Abs(f) < rollTolerance {
			return n, nil
		}
		if (f > 0) != (fb > 0) {
			xa, fa = xb, fb
		} else {
			fa /= 2
		}
		xb, fb = x, f
	}
	return n, impossible("a contact line did not converge in %d steps", rollLimit)
}

// store appends the samples of roll angle k, cut into stretches where the
// contact line leaves the flank in between.
func (s *side) store(k int, samples []sample, spacing float64, add func(sample)) {
	slices.SortFunc(samples, func(a, b sample) int { return cmp.Compare(a.Along, b.Along) })
	// A column sample next to an end of the line says nothing new and would make
	// the parabola through it ill-conditioned.
	atEdge := func(n sample) bool { return math.Abs(n.Across) == 1 }
	kept := samples[:0]
	for _, n := range samples {
		if last := len(kept) - 1; last >= 0 && n.Along-kept[last].Along < spacing*nearby {
			if atEdge(n) && !atEdge(kept[last]) {
				kept[last] = n
			}
			continue
		}
		kept = append(kept, n)
	}
	from := len(s.at)
	for i, n := range kept {
		if i > 0 && n.Along-kept[i-1].Along > spacing*(1+nearby) {
			s.lines = append(s.lines, line{k, from, len(s.at)})
			from = len(s.at)
		}
		add(n)
	}
	if len(s.at) > from {
		s.lines = append(s.lines, line{k, from, len(s.at)})
	}
}
