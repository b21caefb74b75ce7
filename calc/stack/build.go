package stack

// alone finds leaves for the chosen ends as if every bed had the kit for itself,
// thick leaves first. It also names the size that the beds of a kit take most too
// many of together; short is nil where none is.
func (p part) alone(tables []*reach, ends []option) (counts [][]int, short *relaxed) {
	counts = make([][]int, len(p.beds))
	for j, r := range tables {
		counts[j] = make([]int, len(r.bed.sizes))
		left := ends[j].rest()
		for i := range r.bed.sizes {
			for x := min(r.caps[i], left.leaves); x >= 0; x-- {
				if now := left.take(r, i, x); r.has(i+1, now) {
					left, counts[j][i] = now, x
					break
				}
			}
		}
	}
	worst := 0
	for j, b := range p.beds {
		mates := p.mates(j)
		for i, s := range b.sizes {
			taken := 0
			for _, m := range mates {
				taken += counts[m][i]
			}
			if over := taken - s.most; over > worst {
				worst, short = over, &relaxed{split: true, bed: j, size: i}
			}
		}
	}
	return counts, short
}

// build finds leaves for the chosen ends with no leaf used twice among beds of
// one kit, thick leaves first. It gives up after maxDeals steps on a kit; steps
// says how many the last kit took.
func (p part) build(tables, joints []*reach, ends []option) (counts [][]int, ok bool, steps int) {
	counts = make([][]int, len(p.beds))
	for i, b := range p.beds {
		counts[i] = make([]int, len(b.sizes))
	}
	for i := range p.beds {
		w := walk{tables: tables, joint: joints[i], mates: p.mates(i), counts: counts}
		if w.mates[0] != i {
			continue // built with the first bed of its kit
		}
		for _, j := range w.mates {
			w.left = append(w.left, ends[j].rest())
		}
		if !w.possible(0) || !w.deal(0, 0, 0) {
			return nil, false, w.steps
		}
	}
	return counts, true, 0
}

// rest is what a bed still needs: added leaves, leaves, sum in steps.
type rest struct{ added, leaves, sum int }

func (o option) rest() rest { return rest{o.added, o.leaves, o.sum} }

// take gives what is still needed after x leaves of size i.
func (l rest) take(r *reach, i, x int) rest {
	s := r.bed.sizes[i]
	return rest{l.added - max(x-s.inPlace, 0), l.leaves - x, l.sum - x*s.grid/r.bed.step}
}

// walk goes through the sizes of one kit, thickest first, and deals leaves to its
// beds. The reach tables tell which deals lead on for each bed alone and for all
// of them together, so only a shortage that neither shows makes it turn back.
type walk struct {
	tables []*reach
	joint  *reach // nil for a bed that has its kit for itself
	mates  []int
	counts [][]int
	left   []rest
	steps  int
}

// possible says whether sizes i and thinner can make up what all beds still need
// together.
func (w *walk) possible(i int) bool {
	if w.joint == nil {
		return true
	}
	var all rest
	for _, l := range w.left {
		all.leaves, all.sum = all.leaves+l.leaves, all.sum+l.sum
	}
	return w.joint.has(i, all)
}

// deal gives leaves of size i to mate m and those after it, then goes on to the
// next size; taken is how many of size i are given already.
func (w *walk) deal(i, m, taken int) bool {
	if m == len(w.mates) {
		if i, m, taken = i+1, 0, 0; !w.possible(i) {
			return false
		}
	}
	j := w.mates[m]
	r := w.tables[j]
	if i == len(r.bed.sizes) {
		return true // the tables allow only exact ends
	}
	was := w.left[m]
	for x := min(r.caps[i], r.bed.sizes[i].most-taken, was.leaves); x >= 0; x-- {
		now := was.take(r, i, x)
		if !r.has(i+1, now) {
			continue
		}
		if w.steps++; w.steps >= maxDeals {
			break
		}
		w.left[m], w.counts[j][i] = now, x
		if w.deal(i, m+1, taken+x) {
			return true
		}
	}
	w.left[m], w.counts[j][i] = was, 0
	return false
}
