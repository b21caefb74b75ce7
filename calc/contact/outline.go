package contact

import "math"

// contour finds where the clearance over the grid is below the film: outline,
// area and centroid, by marching squares. The grid has a frame of outside nodes
// at the same place as the edge, so that every outline closes along the edge.
type contour struct {
	along, across []float64 // of the columns and rows, frame included
	value         []float64
	next          []int32 // edge crossing that follows on the outline, −1 none
	at            []Point // of the edge crossings
	begin         []int32 // crossings that begin a segment
}

func newContour(along, across int) contour {
	axis := func(n int) []float64 {
		out := make([]float64, n+2)
		for i := range n {
			out[i+1] = scaled(i, n)
		}
		out[0], out[n+1] = -1, 1
		return out
	}
	c := contour{along: axis(along), across: axis(across)}
	n := len(c.along) * len(c.across)
	c.value = make([]float64, n)
	c.next = make([]int32, 2*n)
	c.at = make([]Point, 2*n)
	c.begin = make([]int32, 0, 2*n)
	return c
}

// reset puts the frame outside and forgets the last outline.
func (c *contour) reset() {
	for i := range c.value {
		c.value[i] = math.Inf(1)
	}
	for i := range c.next {
		c.next[i] = -1
	}
	c.begin = c.begin[:0]
}

// set stores the clearance at node (i, j) of the grid proper.
func (c *contour) set(i, j int, v float64) { c.value[(i+1)*len(c.across)+j+1] = v }

// crossing gives the number of the crossing on the edge from node a to its
// neighbour b along (step +1 column) or across (+1 row), and places it.
func (c *contour) crossing(a, b int, level float64) int32 {
	rows := len(c.across)
	id := 2 * a
	if b-a == 1 {
		id++
	}
	va, vb := c.value[a], c.value[b]
	x := 0.0
	switch {
	case math.IsInf(va, 1):
		x = 1
	case math.IsInf(vb, 1):
		x = 0
	default:
		x = (level - va) / (vb - va)
	}
	ia, ja, ib, jb := a/rows, a%rows, b/rows, b%rows
	c.at[id] = Point{
		c.along[ia] + x*(c.along[ib]-c.along[ia]),
		c.across[ja] + x*(c.across[jb]-c.across[ja]),
	}
	return int32(id)
}

// segments gives the pieces of outline in a cell, by which corners are inside (1
// root-toe, 2 root-heel, 4 top-heel, 8 top-toe), as pairs of cell edges (0 root, 1
// heel, 2 top, 3 toe), from the first to the second with the inside on the left.
// joined says, for the two saddles, that the middle of the cell is inside.
func segments(inside int, joined bool) (pairs [4]int8, count int) {
	switch inside {
	case 1:
		return [4]int8{0, 3}, 1
	case 2:
		return [4]int8{1, 0}, 1
	case 3:
		return [4]int8{1, 3}, 1
	case 4:
		return [4]int8{2, 1}, 1
	case 5:
		if joined {
			return [4]int8{0, 1, 2, 3}, 2
		}
		return [4]int8{0, 3, 2, 1}, 2
	case 6:
		return [4]int8{2, 0}, 1
	case 7:
		return [4]int8{2, 3}, 1
	case 8:
		return [4]int8{3, 2}, 1
	case 9:
		return [4]int8{0, 2}, 1
	case 10:
		if joined {
			return [4]int8{3, 0, 1, 2}, 2
		}
		return [4]int8{1, 0, 3, 2}, 2
	case 11:
		return [4]int8{1, 2}, 1
	case 12:
		return [4]int8{3, 1}, 1
	case 13:
		return [4]int8{0, 1}, 1
	case 14:
		return [4]int8{3, 0}, 1
	}
	return pairs, 0 // all outside or all inside
}

// march links the crossings.
func (c *contour) march(level float64) {
	rows := len(c.across)
	for i := range len(c.along) - 1 {
		for j := range rows - 1 {
			n := [4]int{i*rows + j, (i+1)*rows + j, (i+1)*rows + j + 1, i*rows + j + 1}
			inside, sum := 0, 0.0
			for k, node := range n {
				if c.value[node] < level {
					inside |= 1 << k
				}
				sum += c.value[node]
			}
			pairs, count := segments(inside, sum/4 < level)
			if count == 0 {
				continue
			}
			edges := [4][2]int{{n[0], n[1]}, {n[1], n[2]}, {n[3], n[2]}, {n[0], n[3]}}
			for k := range count {
				from, to := edges[pairs[2*k]], edges[pairs[2*k+1]]
				a := c.crossing(from[0], from[1], level)
				c.next[a] = c.crossing(to[0], to[1], level)
				c.begin = append(c.begin, a)
			}
		}
	}
}

// pattern gives outline, area, centroid, extents and edges of the part below the
// level. Area and centroid follow from the outline by Green's theorem.
func (c *contour) pattern(level float64) Pattern {
	c.march(level)
	var area, along, across float64
	for _, a := range c.begin {
		p, q := c.at[a], c.at[c.next[a]]
		cross := p.Along*q.Across - q.Along*p.Across
		area += cross / 2
		along += cross * (p.Along + q.Along) / 6
		across += cross * (p.Across + q.Across) / 6
	}
	if !(area > leastArea) {
		return Pattern{}
	}
	p := Pattern{
		Area: area / 4, Along: along / area, Across: across / area,
		Low: Point{math.Inf(1), math.Inf(1)}, High: Point{math.Inf(-1), math.Inf(-1)},
	}
	for _, a := range c.begin {
		at := c.at[a]
		p.Low = Point{min(p.Low.Along, at.Along), min(p.Low.Across, at.Across)}
		p.High = Point{max(p.High.Along, at.Along), max(p.High.Across, at.Across)}
	}
	p.edges()
	for _, a := range c.begin {
		if loop := c.loop(a); len(loop) > 2 {
			p.Outline = append(p.Outline, loop)
		}
	}
	return p
}

// leastArea is the smallest area, of 4 for the whole flank, that is taken as one.
const leastArea = 1e-9

// loop takes the outline that begins at a crossing, and nothing where it is taken.
func (c *contour) loop(a int32) []Point {
	n := 0
	for k := a; c.next[k] >= 0 && (n == 0 || k != a); k = c.next[k] {
		n++
	}
	if n == 0 {
		return nil
	}
	loop := make([]Point, 0, n)
	for k := a; c.next[k] >= 0; {
		if n := len(loop); n == 0 || loop[n-1] != c.at[k] {
			loop = append(loop, c.at[k])
		}
		next := c.next[k]
		c.next[k] = -1
		k = next
	}
	return loop
}
