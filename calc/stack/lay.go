package stack

import (
	"cmp"
	"math"
	"slices"

	"shimwright/calc/unit"
)

// gridPerMM is the grid that thicknesses are compared on: 0.01 µm.
const gridPerMM = 1e5

// coarseGrid is the least step that is searched on, in grid units: 0.1 µm.
const coarseGrid = 10

// size is one thickness that a stack can draw on.
type size struct {
	thickness unit.Length // as measured
	grid      int         // on the grid, as searched
	inPlace   int         // leaves of it in this stack now
	most      int         // leaves of it in the kit and in all stacks of the kit
}

// bed is a target laid out for the search. Lengths are on the grid.
type bed struct {
	index     int // of the target
	kit       string
	sizes     []size // thickest first
	wanted    int
	tolerance int
	maxLeaves int
	step      int // common step of all sizes
	held      *held
}

// held is the sum that is kept.
type held struct{ tolerance int }

// lay turns the request into beds. Beds of one kit have the same sizes in the
// same order.
func (r Request) lay() ([]*bed, *held) {
	var sum *held
	if len(r.Together) > 0 {
		sum = &held{tolerance: toGrid(r.TogetherTolerance)}
	}
	var beds []*bed
	for n, t := range r.Targets {
		b := &bed{
			index: n, kit: t.Kit, wanted: toGrid(t.Thickness), tolerance: toGrid(t.Tolerance), maxLeaves: r.MaxLeaves,
			sizes: r.sizesFor(n),
		}
		if slices.Contains(r.Together, t.Name) {
			b.held = sum
		}
		b.step = commonStep(b.sizes)
		if b.step < coarseGrid {
			for i := range b.sizes {
				b.sizes[i].grid = (b.sizes[i].grid + coarseGrid/2) / coarseGrid * coarseGrid
			}
			b.step = commonStep(b.sizes)
		}
		beds = append(beds, b)
	}
	return beds, sum
}

// sizesFor collects the thicknesses target n can draw on.
func (r Request) sizesFor(n int) []size {
	target := r.Targets[n]
	byGrid := map[int]*size{}
	at := func(t unit.Length) *size {
		g := toGrid(t)
		if byGrid[g] == nil {
			byGrid[g] = &size{thickness: t, grid: g}
		}
		return byGrid[g]
	}
	if target.Kit != "" {
		for _, l := range r.Kits[target.Kit] {
			at(l.Thickness).most += min(l.Count, maxTargets*maxLeafLimit)
		}
	}
	for m, t := range r.Targets {
		if m != n && (target.Kit == "" || t.Kit != target.Kit) {
			continue
		}
		for _, l := range t.InPlace {
			s := at(l)
			s.most++
			if m == n {
				s.inPlace++
			}
		}
	}
	var sizes []size
	for _, s := range byGrid {
		sizes = append(sizes, *s)
	}
	slices.SortFunc(sizes, func(a, b size) int { return cmp.Compare(b.grid, a.grid) })
	return sizes
}

// most gives the leaves there are of each size.
func (b *bed) most() []int {
	out := make([]int, len(b.sizes))
	for i, s := range b.sizes {
		out[i] = s.most
	}
	return out
}

func toGrid(l unit.Length) int { return int(math.Round(l.MM() * gridPerMM)) }

// commonStep is the greatest common divisor of the thicknesses; 1 without any.
func commonStep(sizes []size) int {
	g := 0
	for _, s := range sizes {
		g = gcd(g, s.grid)
	}
	return max(g, 1)
}

// part is a set of beds that must be solved together, because they share a kit or
// a held sum.
type part struct {
	beds []*bed
	held *held
}

// components splits the beds into parts that do not touch each other.
func components(beds []*bed, sum *held) []part {
	group := make([]int, len(beds))
	for i := range group {
		group[i] = i
	}
	for i, a := range beds {
		for j, b := range beds[:i] {
			shared := a.kit != "" && a.kit == b.kit || a.held != nil && b.held != nil
			if shared && group[i] != group[j] {
				from, to := max(group[i], group[j]), min(group[i], group[j])
				for k := range group {
					if group[k] == from {
						group[k] = to
					}
				}
			}
		}
	}
	var parts []part
	for g := range beds {
		var p part
		for i, b := range beds {
			if group[i] == g {
				p.beds = append(p.beds, b)
				if b.held != nil {
					p.held = sum
				}
			}
		}
		if len(p.beds) > 0 {
			parts = append(parts, p)
		}
	}
	return parts
}
