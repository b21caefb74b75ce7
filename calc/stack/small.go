package stack

import "cmp"

// maxWays is how many ways of dealing leaves are simply gone through.
const maxWays = 20000

// ways counts the ways of dealing the leaves of the part, and stops past the limit.
func (p part) ways(limit int) int {
	ways := 1
	for i, b := range p.beds {
		mates := p.mates(i)
		if mates[0] != i {
			continue
		}
		for _, s := range b.sizes {
			// Ways to give up to so many leaves to n beds: C(leaves+n, n).
			n := 1
			for m := range mates {
				n = n * (s.most + m + 1) / (m + 1)
			}
			if ways *= n; ways > limit {
				return ways
			}
		}
	}
	return ways
}

// all goes through all ways of dealing the leaves of a part and gives the best.
func (p part) all() solution {
	var best solution
	bestSlack := -1
	counts, sums, leaves := make([][]int, len(p.beds)), make([]int, len(p.beds)), make([]int, len(p.beds))
	taken := make([]map[int]int, len(p.beds)) // by the first bed of a kit, leaves of each size
	for i, b := range p.beds {
		counts[i], taken[i] = make([]int, len(b.sizes)), map[int]int{}
	}
	var deal func(bed, size int, k key, slack int)
	deal = func(bed, size int, k key, slack int) {
		if bed == len(p.beds) {
			miss := p.heldMiss(func(i int) int { return sums[i] })
			slack = max(slack, miss)
			k.outside += miss
			if bestSlack < 0 || cmp.Or(cmp.Compare(slack, bestSlack), k.compare(best.key)) < 0 {
				bestSlack, best.key = slack, k
				best.counts = make([][]int, len(counts))
				for i := range counts {
					best.counts[i] = append([]int(nil), counts[i]...)
				}
			}
			return
		}
		b := p.beds[bed]
		if size == len(b.sizes) {
			miss := b.miss(sums[bed])
			deal(bed+1, 0, k.plus(key{outside: miss, away: abs(sums[bed] - b.wanted)}), max(slack, miss))
			return
		}
		s, kit := b.sizes[size], taken[p.mates(bed)[0]]
		for x := min(s.most-kit[size], b.maxLeaves-leaves[bed]); x >= 0; x-- {
			counts[bed][size] = x
			kit[size] += x
			sums[bed] += x * s.grid
			leaves[bed] += x
			deal(bed, size+1, k.plus(key{added: max(x-s.inPlace, 0), leaves: x}), slack)
			kit[size] -= x
			sums[bed] -= x * s.grid
			leaves[bed] -= x
		}
		counts[bed][size] = 0
	}
	deal(0, 0, key{}, 0)
	return best
}

// oneByOne builds the beds one after the other, each as near as the leaves that
// are left allow; the last of the held ones makes up for the others.
func (p part) oneByOne() solution {
	out := solution{counts: make([][]int, len(p.beds))}
	gone := map[string]map[int]int{}
	lastHeld, away := -1, 0
	for i, b := range p.beds {
		if b.held != nil {
			lastHeld = i
		}
	}
	for i, b := range p.beds {
		own := *b
		own.sizes = append([]size(nil), b.sizes...)
		if gone[b.kit] == nil {
			gone[b.kit] = map[int]int{}
		}
		for s := range own.sizes {
			if b.kit != "" {
				own.sizes[s].most -= gone[b.kit][s]
			}
		}
		if own.held = nil; i == lastHeld {
			own.wanted = max(b.wanted-away, 0)
		}
		looked := 0
		s, ok, _ := part{beds: []*bed{&own}}.within(newReach(&own, own.most(), own.thickest(), 0, false).nearest(), &looked)
		if !ok {
			s.counts = [][]int{make([]int, len(own.sizes))}
		}
		out.counts[i], out.key = s.counts[0], out.key.plus(s.key)
		sum := 0
		for n, x := range s.counts[0] {
			gone[b.kit][n] += x
			sum += x * own.sizes[n].grid
		}
		if b.held != nil {
			away += sum - b.wanted
		}
	}
	return out
}
