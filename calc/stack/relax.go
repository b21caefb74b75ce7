package stack

import (
	"cmp"
	"container/heap"
	"math/bits"
	"slices"
)

// option is one way a bed can end: a sum with its counts.
type option struct {
	key
	sum int // in steps of the bed
}

// relaxed is what a node came to: its best end, or a size to split on, or
// nothing, where it has no end.
type relaxed struct {
	found *solution
	split bool
	bound key // no end of the node is better
	bed   int // a bed of the kit
	size  int // the contested size
}

// Bounds on the work put into one node before it is split instead.
const (
	maxCombinations = 100  // combinations of ends that took dealing to be shown short of leaves
	maxDeals        = 3000 // steps in dealing leaves to one combination
)

// relax goes through the combinations of the beds' ends, best first, as if every
// bed had the kit for itself, and takes the first that can be built of the leaves
// there are. Where that does not show soon, it asks for a split on a size that
// the best combination takes too many of.
func (p part) relax(n node, added, slack int, looked *int) relaxed {
	tables, lists, ends := make([]*reach, len(p.beds)), make([][]option, len(p.beds)), make([][]int, len(p.beds))
	for i, b := range p.beds {
		tables[i] = newReach(b, n.caps[i], slack, min(added, b.maxLeaves), true)
		lists[i] = tables[i].options(slack)
		for _, o := range lists[i] {
			ends[i] = append(ends[i], o.sum*b.step)
		}
		slices.Sort(ends[i])
		ends[i] = slices.Compact(ends[i])
		if len(ends[i]) == 0 {
			return relaxed{}
		}
	}
	if !p.heldPossible(ends, slack) {
		return relaxed{}
	}
	var contested *relaxed
	var joints []*reach
	first := make([]int, len(p.beds))
	q := &combinations{{key: keyOf(lists, first), pick: first}}
	chosen := make([]option, len(p.beds))
	for tried := 0; q.Len() > 0 && *looked <= maxLooked; *looked++ {
		c := heap.Pop(q).(combination)
		for i, at := range c.pick {
			chosen[i] = lists[i][at]
		}
		if !c.final {
			for i := c.from; i < len(c.pick); i++ {
				if c.pick[i]+1 < len(lists[i]) {
					next := slices.Clone(c.pick)
					next[i]++
					heap.Push(q, combination{key: keyOf(lists, next), pick: next, from: i})
				}
			}
			if miss := p.heldMiss(func(i int) int { return chosen[i].sum * p.beds[i].step }); miss > 0 {
				if c.final = true; miss <= slack {
					c.key.outside += miss
					heap.Push(q, c)
				}
				continue
			}
		}
		if contested == nil {
			counts, short := p.alone(tables, chosen)
			if short == nil {
				return relaxed{found: &solution{c.key, counts}}
			}
			contested, joints = short, p.joints(slack)
		}
		counts, ok, steps := p.build(tables, joints, chosen)
		if ok {
			return relaxed{found: &solution{c.key, counts}}
		}
		if steps > 0 {
			tried++
		}
		if steps >= maxDeals || tried >= maxCombinations {
			contested.bound = c.key // what came before cannot be built
			return *contested
		}
	}
	return relaxed{}
}

// joints gives, for the first bed of every kit that several beds draw on, what
// they can make together within the slack.
func (p part) joints(slack int) []*reach {
	out := make([]*reach, len(p.beds))
	for i := range p.beds {
		if mates := p.mates(i); len(mates) > 1 && mates[0] == i {
			out[i] = p.joint(i, slack)
		}
	}
	return out
}

// options lists the ends of a bed that miss its tolerance by no more than slack,
// best first.
func (r *reach) options(slack int) []option {
	b := r.bed
	reachOut := b.tolerance + slack
	low := max((b.wanted-reachOut+b.step-1)/b.step, 0)
	high := min((b.wanted+reachOut)/b.step, r.span)
	var out []option
	for a := range r.maxAdded + 1 {
		for k := range r.maxLeaves + 1 {
			for sum := range r.members(a, k, low, high) {
				out = append(out, option{key{b.miss(sum * b.step), a, k, abs(sum*b.step - b.wanted)}, sum})
			}
		}
	}
	slices.SortFunc(out, func(x, y option) int {
		return cmp.Or(x.key.compare(y.key), cmp.Compare(y.sum, x.sum))
	})
	return out
}

// members walks the sums from low to high, in steps, that all sizes together can
// make with a added of k leaves.
func (r *reach) members(a, k, low, high int) func(yield func(int) bool) {
	return func(yield func(int) bool) {
		at := r.at(0, a, k)
		if !r.used[at] {
			return
		}
		set := r.sets[at*r.words : (at+1)*r.words]
		for w := low / 64; w < len(set) && w*64 <= high; w++ {
			for word := set[w]; word != 0; word &= word - 1 {
				sum := w*64 + bits.TrailingZeros64(word)
				if sum >= low && sum <= high && !yield(sum) {
					return
				}
			}
		}
	}
}

// nearest gives how far outside its tolerance the bed alone must end.
func (r *reach) nearest() int {
	best := r.bed.miss(0)
	for _, sum := range r.sums() {
		best = min(best, r.bed.miss(sum))
	}
	return best
}

// miss is how far outside the tolerance a sum on the grid lies.
func (b *bed) miss(sum int) int { return max(abs(sum-b.wanted)-b.tolerance, 0) }

// combination is one option of each bed, by index, in the queue.
type combination struct {
	key   key
	pick  []int
	from  int  // first bed whose index may still be raised
	final bool // the miss of the held sum is in the key
}

func keyOf(lists [][]option, pick []int) key {
	var k key
	for i, n := range pick {
		k = k.plus(lists[i][n].key)
	}
	return k
}

type combinations []combination

func (q combinations) Len() int { return len(q) }
func (q combinations) Less(i, j int) bool {
	return cmp.Or(q[i].key.compare(q[j].key), slices.Compare(q[i].pick, q[j].pick)) < 0
}
func (q combinations) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *combinations) Push(x any)   { *q = append(*q, x.(combination)) }
func (q *combinations) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
