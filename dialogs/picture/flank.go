package picture

import (
	"math"
	"strconv"
)

// Point is a place on a flank: Along from −1 at the toe to +1 at the heel,
// Across from −1 at the root to +1 at the top.
type Point struct{ Along, Across float64 }

// onTooth gives the point of the flank nearest to p.
func (p Point) onTooth() Point {
	return Point{math.Max(-1, math.Min(1, p.Along)), math.Max(-1, math.Min(1, p.Across))}
}

// Cells is the number of cells a flank is divided in for typing a pattern, three
// along by three across.
const Cells = 9

// CellCentre gives the middle of cell n: 1 toe top, 2 centre top, 3 heel top,
// 4 toe middle, 5 centre middle, 6 heel middle, 7 toe root, 8 centre root,
// 9 heel root. It errs where n is not 1 to 9.
func CellCentre(n int) (Point, error) {
	if n < 1 || n > Cells {
		return Point{}, inputError("cell %d, want 1 to %d", n, Cells)
	}
	return Point{Along: float64((n-1)%3-1) * 2 / 3, Across: float64(1-(n-1)/3) * 2 / 3}, nil
}

// CellAt gives the number of the cell a place lies in; a place off the tooth
// counts to the cell beside it. It errs where the place is not a number.
func CellAt(p Point) (int, error) {
	if !finite(p.Along, p.Across) {
		return 0, inputError("place %v on the flank", p)
	}
	third := func(v float64) int { // 0, 1, 2 from −1 to +1
		switch {
		case v < -1.0/3:
			return 0
		case v > 1.0/3:
			return 2
		}
		return 1
	}
	return (2-third(p.Across))*3 + third(p.Along) + 1, nil
}

// place names the cell n in words.
func (l Labels) place(n int) string {
	along := [...]string{l.Toe, l.Centre, l.Heel}[(n-1)%3]
	across := [...]string{l.Top, l.Middle, l.Root}[(n-1)/3]
	if n == 5 {
		return l.Centre
	}
	return say(l.PlaceOf, "along", along, "across", across)
}

// placeOf names a place on the flank by its cell, with the cell's number.
func (l Labels) placeOf(p Point) string {
	n, err := CellAt(p)
	if err != nil {
		return ""
	}
	return say(l.CellOf, "place", l.place(n), "n", strconv.Itoa(n))
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// tooth is a flank as drawn: toe at x0, heel at x1, the root line at y = root,
// the top line above it by toeDepth and heelDepth at the ends.
type tooth struct{ x0, x1, root, toeDepth, heelDepth float64 }

// stripe is the height of the top land above the flank and of the ring gear
// under it; they carry the words top and root.
const stripe = 44.0

func (t tooth) depth(x float64) float64 {
	return t.toeDepth + (t.heelDepth-t.toeDepth)*(x-t.x0)/(t.x1-t.x0)
}

// at gives the pixel of a place on the flank.
func (t tooth) at(p Point) xy {
	x := t.x0 + (t.x1-t.x0)*(p.Along+1)/2
	return xy{x, t.root - t.depth(x)*(p.Across+1)/2}
}

// from is the inverse of at.
func (t tooth) from(x, y float64) Point {
	return Point{2*(x-t.x0)/(t.x1-t.x0) - 1, 2*(t.root-y)/t.depth(x) - 1}
}

// shape is an area of the flank by its closed lines, holes running the other way
// round.
type shape [][]Point

// on gives the pixels of a shape on the flank, cut off at its edges; lines that
// lie off the flank are left out.
func (sh shape) on(t tooth) [][]xy {
	var out [][]xy
	for _, line := range sh {
		cut := clip(line)
		if len(cut) < 3 {
			continue
		}
		path := make([]xy, len(cut))
		for i, p := range cut {
			path[i] = t.at(p)
		}
		out = append(out, path)
	}
	return out
}

// holds says that a point lies inside of a shape: a ray from it crosses the lines
// an odd number of times.
func (sh shape) holds(p Point) bool {
	in := false
	for _, line := range sh {
		for i, a := range line {
			b := line[(i+len(line)-1)%len(line)]
			if (a.Across > p.Across) != (b.Across > p.Across) &&
				p.Along < a.Along+(b.Along-a.Along)*(p.Across-a.Across)/(b.Across-a.Across) {
				in = !in
			}
		}
	}
	return in
}

// clip cuts a polygon to the flank, edge by edge. Source: I. E. Sutherland and
// G. W. Hodgman, Reentrant polygon clipping, CACM 17 (1974) 32–42.
func clip(in []Point) []Point {
	for edge := range 4 {
		// how far a point is inside of this edge
		dist := func(p Point) float64 {
			switch edge {
			case 0:
				return 1 - p.Along
			case 1:
				return 1 + p.Along
			case 2:
				return 1 - p.Across
			}
			return 1 + p.Across
		}
		var out []Point
		for i, q := range in {
			p := in[(i+len(in)-1)%len(in)]
			dp, dq := dist(p), dist(q)
			if (dp < 0) != (dq < 0) {
				f := dp / (dp - dq)
				out = append(out, Point{p.Along + f*(q.Along-p.Along), p.Across + f*(q.Across-p.Across)})
			}
			if dq >= 0 {
				out = append(out, q)
			}
		}
		in = out
	}
	return in
}

// ellipse gives the shape with the half axes of size.
func ellipse(c, size Point) shape {
	const n = 72
	out := make([]Point, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = Point{c.Along + size.Along*cos, c.Across + size.Across*sin}
	}
	return shape{out}
}

// rounded gives the shape of the rectangle low to high with its corners round.
func rounded(low, high Point) shape {
	const n = 6
	r := Point{math.Min(0.06, (high.Along-low.Along)/2), math.Min(0.2, (high.Across-low.Across)/2)}
	var out []Point
	corner := func(c Point, from float64) {
		for i := range n + 1 {
			sin, cos := math.Sincos(from + math.Pi/2*float64(i)/n)
			out = append(out, Point{c.Along + r.Along*cos, c.Across + r.Across*sin})
		}
	}
	corner(Point{high.Along - r.Along, high.Across - r.Across}, 0)
	corner(Point{low.Along + r.Along, high.Across - r.Across}, math.Pi/2)
	corner(Point{low.Along + r.Along, low.Across + r.Across}, math.Pi)
	corner(Point{high.Along - r.Along, low.Across + r.Across}, 3*math.Pi/2)
	return shape{out}
}

// blankTooth draws a tooth without a pattern over the width given, its highest
// point at the cursor, with toe, heel, top and root written on it, and moves the
// cursor under it. At the toe it is taper times as deep as at the heel.
func (s *sheet) blankTooth(l Labels, heelDepth, taper float64) tooth {
	const gap, most = 16.0, 150.0
	left := math.Min(s.type_.width(label, s.type_.clean(l.Toe)), most)
	right := math.Min(s.type_.width(label, s.type_.clean(l.Heel)), most)
	// Whole pixels, so that the straight edges are sharp and fill fast.
	t := tooth{x0: math.Ceil(margin + left + gap), x1: math.Floor(Width - margin - right - gap), root: math.Round(s.y + stripe + heelDepth), heelDepth: heelDepth, toeDepth: math.Round(taper * heelDepth)}
	toeTop, heelTop := t.root-t.toeDepth, t.root-t.heelDepth

	s.polygon([]xy{{t.x0, toeTop + 1}, {t.x0, toeTop - stripe}, {t.x1, heelTop - stripe}, {t.x1, heelTop + 1}})
	s.fill(land)
	s.block(t.x0, t.root, t.x1, t.root+stripe, body)
	s.block(t.x0, toeTop, t.x1, t.root, steel)
	s.polygon([]xy{{t.x0, toeTop}, {t.x1, heelTop}, {t.x1, toeTop}})
	s.fill(steel)

	mid := (t.x0 + t.x1) / 2
	s.writeAmid(label, l.Top, mid, t.root-t.depth(mid)-stripe/2, centred, (t.x1-t.x0)/2, white)
	s.writeAmid(label, l.Root, mid, t.root+stripe/2, centred, (t.x1-t.x0)/2, white)
	s.writeAmid(label, l.Toe, t.x0-gap, t.root-t.toeDepth/2, fromRight, most, ink)
	s.writeAmid(label, l.Heel, t.x1+gap, t.root-t.heelDepth/2, fromLeft, most, ink)
	s.y = t.root + stripe
	s.teeth = append(s.teeth, t)
	return t
}

// outlineTooth draws the edges of a tooth over what was drawn on it.
func (s *sheet) outlineTooth(t tooth) {
	toeTop, heelTop := t.root-t.toeDepth, t.root-t.heelDepth
	s.dc.DrawLine(t.x0, toeTop, t.x1, heelTop)
	s.dc.DrawLine(t.x0, t.root, t.x1, t.root)
	s.stroke(ink, 3)
	s.polygon([]xy{{t.x0, t.root + stripe}, {t.x0, toeTop - stripe}, {t.x1, heelTop - stripe}, {t.x1, t.root + stripe}})
	s.stroke(ink, 4)
}
