package stack

// reach says which thicknesses a bed can be built to. For every size i, every
// count of added leaves a and every count of leaves k it holds the set of sums
// that sizes i and thinner can make with exactly k leaves, a of them added. Sums
// are in steps of the bed.
type reach struct {
	bed       *bed
	caps      []int // most leaves of each size
	maxAdded  int
	maxLeaves int
	span      int // sums run from 0 to span, in steps
	words     int // of one set
	sets      []uint64
	used      []bool // whether a set has any member
}

// newReach works the sets out, thinnest size first, with no more than caps leaves
// of each size and for sums that are thicker than wanted by no more than the
// tolerance and beyond. Without counting, added leaves cost nothing and maxAdded
// is 0.
func newReach(b *bed, caps []int, beyond, maxAdded int, counting bool) *reach {
	leaves := b.maxLeaves
	if counting {
		was := 0
		for _, s := range b.sizes {
			was += s.inPlace
		}
		leaves = min(leaves, was+maxAdded)
	}
	r := &reach{bed: b, caps: caps, maxAdded: maxAdded, maxLeaves: leaves, span: (b.wanted + b.tolerance + beyond) / b.step}
	r.words = r.span/64 + 1
	n := (len(b.sizes) + 1) * (maxAdded + 1) * (leaves + 1)
	r.sets, r.used = make([]uint64, n*r.words), make([]bool, n)
	none := r.at(len(b.sizes), 0, 0)
	r.sets[none*r.words], r.used[none] = 1, true
	for i := len(b.sizes) - 1; i >= 0; i-- {
		s := b.sizes[i]
		shift := s.grid / b.step
		for x := 0; x <= min(caps[i], leaves) && x*shift <= r.span; x++ {
			more := 0
			if counting {
				more = max(x-s.inPlace, 0)
			}
			for a := more; a <= maxAdded; a++ {
				for k := x; k <= leaves; k++ {
					if from := r.at(i+1, a-more, k-x); r.used[from] {
						r.merge(r.at(i, a, k), from, x*shift)
					}
				}
			}
		}
	}
	return r
}

// thickest gives the thickest leaf, on the grid. A bed for itself never ends
// thicker than wanted by more than its tolerance and that: without one leaf it
// would be nearer.
func (b *bed) thickest() int {
	if len(b.sizes) == 0 {
		return 0
	}
	return b.sizes[0].grid
}

func (r *reach) at(i, a, k int) int {
	return (i*(r.maxAdded+1)+a)*(r.maxLeaves+1) + k
}

// merge adds every member of one set, moved up by shift, to another.
func (r *reach) merge(to, from, shift int) {
	dst, src := r.sets[to*r.words:(to+1)*r.words], r.sets[from*r.words:(from+1)*r.words]
	jump, rest := shift/64, uint(shift%64)
	any := uint64(0)
	for w := len(dst) - 1; w >= jump; w-- {
		v := src[w-jump] << rest
		if rest != 0 && w > jump {
			v |= src[w-jump-1] >> (64 - rest)
		}
		dst[w] |= v
		any |= v
	}
	r.used[to] = r.used[to] || any != 0
}

// has says whether sizes i and thinner can make up what is left.
func (r *reach) has(i int, l rest) bool {
	if l.added < 0 || l.leaves < 0 || l.sum < 0 || l.added > r.maxAdded || l.leaves > r.maxLeaves || l.sum > r.span {
		return false
	}
	return r.sets[r.at(i, l.added, l.leaves)*r.words+l.sum/64]>>(uint(l.sum)%64)&1 != 0
}
