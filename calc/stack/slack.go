package stack

import (
	"math/bits"
	"slices"
	"sort"
)

// slacks gives the slacks above one at which the part may first be built, least
// first: those at which another sum of a bed or another held sum comes inside, from
// the first at which the part could be built as far as sums tell. The last is wide
// enough for empty stacks.
func (p part) slacks(above int) []int {
	// No bed needs to end farther off than the worst does with nothing built, or,
	// where no sum is held, than by one leaf.
	beyond := p.heldMiss(func(int) int { return 0 })
	for _, b := range p.beds {
		beyond = max(beyond, b.miss(0))
		if p.held == nil {
			beyond = max(beyond, b.thickest())
		}
	}
	var values []int
	ends, joints := make([][]int, len(p.beds)), make([][]int, len(p.beds))
	for i, b := range p.beds {
		ends[i] = newReach(b, b.most(), beyond, 0, false).sums()
		for _, sum := range ends[i] {
			values = append(values, b.miss(sum))
		}
		if mates := p.mates(i); len(mates) > 1 && mates[0] == i {
			joints[i] = p.joint(i, beyond).sums()
		}
	}
	if p.held != nil {
		_, wanted := p.heldGrid()
		for _, sum := range p.heldSums(ends) {
			values = append(values, max(abs(sum-wanted)-p.held.tolerance, 0))
		}
	}
	slices.Sort(values)
	values = slices.Compact(values)
	from, _ := slices.BinarySearch(values, above+1)
	values = values[from:]
	return values[sort.Search(len(values)-1, func(i int) bool { return p.possible(ends, joints, values[i]) }):]
}

// possible says whether the beds could end within the slack as far as sums tell:
// those of the beds of one kit must add up to a sum of the kit's leaves, and the
// held sum must be kept.
func (p part) possible(ends, joints [][]int, slack int) bool {
	near := make([][]int, len(p.beds))
	for i, b := range p.beds {
		for _, sum := range ends[i] {
			if b.miss(sum) <= slack {
				near[i] = append(near[i], sum)
			}
		}
	}
	for i, b := range p.beds {
		if joints[i] == nil {
			continue
		}
		total := []int{0}
		for _, j := range p.mates(i) {
			total = sumset(total, near[j], b.step)
		}
		if !slices.ContainsFunc(total, func(sum int) bool { _, ok := slices.BinarySearch(joints[i], sum); return ok }) {
			return false
		}
	}
	return p.heldPossible(near, slack)
}

// heldPossible says whether sums of the beds can keep the held sum.
func (p part) heldPossible(ends [][]int, slack int) bool {
	if p.held == nil {
		return true
	}
	_, wanted := p.heldGrid()
	return slices.ContainsFunc(p.heldSums(ends), func(sum int) bool { return abs(sum-wanted) <= p.held.tolerance+slack })
}

// heldSums gives what sums of the beds can add up to for the held sum.
func (p part) heldSums(ends [][]int) []int {
	step, _ := p.heldGrid()
	total := []int{0}
	for i, b := range p.beds {
		if b.held != nil {
			total = sumset(total, ends[i], step)
		}
	}
	return total
}

// heldGrid gives the common step of the beds whose sum is held, and what they are
// to sum to.
func (p part) heldGrid() (step, wanted int) {
	for _, b := range p.beds {
		if b.held != nil {
			step, wanted = gcd(step, b.step), wanted+b.wanted
		}
	}
	return step, wanted
}

// heldMiss is how far outside its tolerance the held sum lies.
func (p part) heldMiss(sum func(bed int) int) int {
	if p.held == nil {
		return 0
	}
	away := 0
	for i, b := range p.beds {
		if b.held != nil {
			away += sum(i) - b.wanted
		}
	}
	return max(abs(away)-p.held.tolerance, 0)
}

// joint says what the beds of a kit can make together, each within the slack: the
// sums of so many leaves of the whole kit.
func (p part) joint(at, slack int) *reach {
	b := p.beds[at]
	all := &bed{sizes: b.sizes, step: b.step}
	for _, j := range p.mates(at) {
		all.maxLeaves += p.beds[j].maxLeaves
		all.wanted += p.beds[j].wanted + p.beds[j].tolerance + slack
	}
	return newReach(all, b.most(), 0, 0, false)
}

// sums gives all sums there can be, on the grid, in order.
func (r *reach) sums() []int {
	all := make([]uint64, r.words)
	for a := range r.maxAdded + 1 {
		for k := range r.maxLeaves + 1 {
			at := r.at(0, a, k)
			for w, word := range r.sets[at*r.words : (at+1)*r.words] {
				all[w] |= word
			}
		}
	}
	return members(all, r.bed.step)
}

func members(set []uint64, step int) []int {
	var out []int
	for w, word := range set {
		for ; word != 0; word &= word - 1 {
			out = append(out, (w*64+bits.TrailingZeros64(word))*step)
		}
	}
	return out
}

// sumset gives all sums of one of a and one of b, both on multiples of step, in
// order.
func sumset(a, b []int, step int) []int {
	if len(a) == 0 || len(b) == 0 {
		return nil
	}
	set := make([]uint64, (slices.Max(a)+slices.Max(b))/step/64+1)
	for _, x := range a {
		for _, y := range b {
			n := (x + y) / step
			set[n/64] |= 1 << (n % 64)
		}
	}
	return members(set, step)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
