package stack

import (
	"cmp"
	"container/heap"
	"slices"
)

// key is what is minimised once the slack is settled, in this order: length
// outside the tolerances in all, added leaves, leaves, distance from the wanted
// thicknesses. Lengths are on the grid.
type key struct{ outside, added, leaves, away int }

func (a key) plus(b key) key {
	return key{a.outside + b.outside, a.added + b.added, a.leaves + b.leaves, a.away + b.away}
}

func (a key) compare(b key) int {
	return cmp.Or(cmp.Compare(a.outside, b.outside), cmp.Compare(a.added, b.added), cmp.Compare(a.leaves, b.leaves), cmp.Compare(a.away, b.away))
}

// solution is what a part was solved to: for each bed, leaves of each size.
type solution struct {
	key    key
	counts [][]int
}

// firstAdded is how many added leaves a stack are tried first; few are enough
// with almost any kit, and few are quick.
const firstAdded = 3

// search solves a part. It is exact; proven is false only where that took more
// work than maxNodes or maxLooked, and the stacks were then built one after the
// other.
//
// The slack is how far outside its tolerance the worst bed may end, and the held
// sum outside of its own. First tried is what the worst bed alone needs, which is
// nothing wherever each stack can be built, then the least at which the part can
// be built at all.
func search(p part, maxWays int) (s solution, proven bool) {
	if p.ways(maxWays) <= maxWays {
		return p.all(), true
	}
	slack := 0
	for _, b := range p.beds {
		slack = max(slack, newReach(b, b.most(), b.thickest(), 0, false).nearest())
	}
	looked := 0
	s, ok, done := p.within(slack, &looked)
	if ok {
		return s, true
	}
	if !done {
		return p.oneByOne(), false
	}
	// A part that can be built within a slack can be built within a wider one, so
	// the least is found by doubling steps and then halving.
	slacks := p.slacks(slack)
	low, high, step := 0, 0, 1
	for {
		if s, ok, done = p.within(slacks[high], &looked); !done {
			return p.oneByOne(), false
		}
		if ok || high == len(slacks)-1 {
			break
		}
		low, high = high+1, min(high+step, len(slacks)-1)
		step *= 2
	}
	for low < high {
		middle := (low + high) / 2
		closer, ok, done := p.within(slacks[middle], &looked)
		switch {
		case !done:
			return p.oneByOne(), false
		case ok:
			s, high = closer, middle
		default:
			low = middle + 1
		}
	}
	return s, true
}

// within finds the best end of the part with the slack; ok is false where there
// is none, done where the search was given up.
func (p part) within(slack int, looked *int) (s solution, ok, done bool) {
	all := 0
	for _, b := range p.beds {
		all = max(all, b.maxLeaves)
	}
	added := min(firstAdded, all)
	if slack > 0 {
		added = all // more leaves may come nearer, which goes before few leaves
	}
	for {
		s, ok, done := p.solve(added, slack, looked)
		switch {
		case !done || ok && (s.key.added <= added || added == all):
			return s, ok, done
		case ok:
			// One bed might do with more added leaves and spare another some; no
			// better end adds more than this one in all.
			added = min(s.key.added, all)
		case added < all:
			added = min(max(2*added, all/2), all)
		default:
			return s, false, true
		}
	}
}

// node is a part with its leaves dealt out in advance as far as beds fell out over
// them: caps holds, for each bed, how many of each size it may take.
type node struct {
	bound key // no end of the node is better
	order int // of making, so that equals come out in a fixed order
	caps  [][]int
	found *solution // the best end of the node, where it is known
}

// Bounds of the search: nodes of one solve, and combinations of ends looked at in
// all. Kits that shops have need one to a few nodes and a few combinations.
const (
	maxNodes  = 500
	maxLooked = 40000
)

// solve finds the best end of the part with no more than so many added leaves a
// bed, within the slack; ok is false where there is none. It branches and bounds:
// a node is solved as if every bed had the kit for itself; where that takes more
// leaves of a size than there are, the node splits into the ways to deal that
// size. The node with the best bound goes first, so the first solved one that
// comes up is the best of all. It gives up, done false, past maxNodes or maxLooked.
func (p part) solve(added, slack int, looked *int) (s solution, ok, done bool) {
	root := node{caps: make([][]int, len(p.beds))}
	for i, b := range p.beds {
		root.caps[i] = b.most()
	}
	q := &nodes{root}
	for made := 1; q.Len() > 0; {
		n := heap.Pop(q).(node)
		if n.found != nil {
			return *n.found, true, true
		}
		out := p.relax(n, added, slack, looked)
		switch {
		case out.found != nil:
			n.bound, n.found = out.found.key, out.found
			heap.Push(q, n)
		case out.split:
			for _, caps := range p.deal(n.caps, out) {
				heap.Push(q, node{bound: out.bound, order: made, caps: caps})
				made++
			}
		}
		if made > maxNodes || *looked > maxLooked {
			return solution{}, false, false
		}
	}
	return solution{}, false, true
}

// deal gives the ways to deal the leaves of the contested size to the beds of its
// kit. Each way is a full share of the leaves, so that together they are all.
func (p part) deal(caps [][]int, out relaxed) [][][]int {
	mates := p.mates(out.bed)
	var ways [][][]int
	var share func(m, leaves int, now [][]int)
	share = func(m, leaves int, now [][]int) {
		bed := mates[m]
		for x := 0; x <= leaves; x++ {
			if m == len(mates)-1 {
				x = leaves // the last takes what is left
			}
			next := slices.Clone(now)
			next[bed] = slices.Clone(now[bed])
			next[bed][out.size] = min(x, now[bed][out.size])
			if m == len(mates)-1 {
				ways = append(ways, next)
			} else {
				share(m+1, leaves-x, next)
			}
		}
	}
	share(0, p.beds[out.bed].sizes[out.size].most, caps)
	return ways
}

// mates gives the beds that draw on the same kit, the bed itself among them.
func (p part) mates(at int) []int {
	var out []int
	for j, b := range p.beds {
		if j == at || b.kit != "" && b.kit == p.beds[at].kit {
			out = append(out, j)
		}
	}
	return out
}

type nodes []node

func (q nodes) Len() int { return len(q) }
func (q nodes) Less(i, j int) bool {
	return cmp.Or(q[i].bound.compare(q[j].bound), cmp.Compare(q[i].order, q[j].order)) < 0
}
func (q nodes) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *nodes) Push(x any)   { *q = append(*q, x.(node)) }
func (q *nodes) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
