package picture

import (
	"io"

	"shimwright/calc/unit"
)

// PatternPicture is what the pattern picture shows: each flank with its patch as
// it is, its patch after a change, and the zone it should lie in, and under them
// the change and the backlash.
type PatternPicture struct {
	Title    string // empty: the labels' own
	Units    unit.System
	Drive    Flank
	Coast    Flank
	Change   *Change   // nil: nothing is changed
	Backlash *Backlash // nil: nothing is known
	Notes    []string  // further lines, at most MaxNotes
	Now      string    // legend of the reported patch where it was not reported, empty: the labels' own
}

// Flank is one flank of a ring gear tooth. A patch or zone that is not known is
// nil.
type Flank struct {
	Reported  *Patch
	Predicted *Patch
	Target    *Zone
}

// Patch is a contact patch. Its outline is drawn where it is known; otherwise an
// ellipse round its centre stands for it, as soft as its Slack says.
type Patch struct {
	Centre Point // its centroid, each coordinate from −3 to 3
	Slack  Point // how uncertain the centroid is, ±, from 0 to 2; 0.25 for a pattern told in words
	Size   Point // half its length and half its height, 0 for the usual, up to 2
	// Outline is one closed line for each part, a hole running the other way round
	// than the part it is in; each coordinate from −3 to 3, at least 3 points a
	// line and MaxOutline in all. Empty where only the place is known.
	Outline [][]Point
	Words   string // as the technician said it, empty where not said
}

// Zone is where a patch should lie: between Low (towards toe and root) and High
// (towards heel and top).
type Zone struct{ Low, High Point }

// Change is a move of the parts: positive Pinion is deeper (towards the ring
// gear centre line), positive Ring is towards the pinion.
type Change struct{ Pinion, Ring unit.Length }

// Backlash is a backlash with the interval it is expected in, and the one before
// the change where it was read.
type Backlash struct {
	Before *unit.Length
	Value  unit.Length
	Low    unit.Length // Low and High both 0: no interval
	High   unit.Length
}

// Limits of what a picture takes.
const (
	MaxOutline = 4096
	MaxNotes   = 4
)

// usualPatch is the half length and half height of a patch of which only the
// place is known: some half of the face width and of the working depth.
var usualPatch = Point{Along: 0.36, Across: 0.42}

// limits of a place, a slack and a size; what lies off the flank is cut off.
const mostPlace, mostSlack = 3, 2

func (p *Patch) check(name string) error {
	if p == nil {
		return nil
	}
	in := func(q Point, low, high float64) bool {
		return finite(q.Along, q.Across) && q.Along >= low && q.Along <= high && q.Across >= low && q.Across <= high
	}
	switch {
	case !in(p.Centre, -mostPlace, mostPlace):
		return inputError("%s: centre %v is not on a flank", name, p.Centre)
	case !in(p.Slack, 0, mostSlack):
		return inputError("%s: slack %v, want 0 to %d", name, p.Slack, mostSlack)
	case !in(p.Size, 0, mostSlack):
		return inputError("%s: size %v, want 0 to %d", name, p.Size, mostSlack)
	}
	n := 0
	for _, line := range p.Outline {
		if n += len(line); len(line) < 3 || n > MaxOutline {
			return inputError("%s: outline with a line of %d points, want at least 3, and %d in all", name, len(line), MaxOutline)
		}
		for i, q := range line {
			if !in(q, -mostPlace, mostPlace) {
				return inputError("%s: outline point %d %v is not on a flank", name, i, q)
			}
		}
	}
	return nil
}

func (z *Zone) check(name string) error {
	if z == nil {
		return nil
	}
	if !finite(z.Low.Along, z.Low.Across, z.High.Along, z.High.Across) ||
		z.Low.Along < -1 || z.Low.Across < -1 || z.High.Along > 1 || z.High.Across > 1 ||
		z.Low.Along >= z.High.Along || z.Low.Across >= z.High.Across {
		return inputError("%s: zone %v to %v is not on the flank", name, z.Low, z.High)
	}
	return nil
}

func checkLength(name string, values ...unit.Length) error {
	for _, v := range values {
		if !finite(v.MM()) || v.Abs() > 100 {
			return inputError("%s: %v mm", name, float64(v))
		}
	}
	return nil
}

func (p PatternPicture) check() error {
	flanks := [...]struct {
		name string
		f    Flank
	}{{"drive", p.Drive}, {"coast", p.Coast}}
	found := false
	for _, f := range flanks {
		if err := f.f.Reported.check(f.name + " reported"); err != nil {
			return err
		}
		if err := f.f.Predicted.check(f.name + " predicted"); err != nil {
			return err
		}
		if err := f.f.Target.check(f.name + " target"); err != nil {
			return err
		}
		found = found || f.f.Reported != nil || f.f.Predicted != nil || f.f.Target != nil
	}
	if !found {
		return inputError("no patch and no target on either flank")
	}
	if c := p.Change; c != nil {
		if err := checkLength("change", c.Pinion, c.Ring); err != nil {
			return err
		}
	}
	if b := p.Backlash; b != nil {
		if err := checkLength("backlash", b.Value, b.Low, b.High); err != nil {
			return err
		}
		if b.Low > b.High {
			return inputError("backlash from %v to %v mm", float64(b.Low), float64(b.High))
		}
		if b.Before != nil {
			if err := checkLength("backlash before", *b.Before); err != nil {
				return err
			}
		}
	}
	if len(p.Notes) > MaxNotes {
		return inputError("%d notes, at most %d", len(p.Notes), MaxNotes)
	}
	return nil
}

// Pattern writes the pattern picture as a PNG. It errs (ErrInput) where a figure
// is not a number or out of its range, and where there is nothing to show.
func (p *Painter) Pattern(w io.Writer, pic PatternPicture) error {
	if err := pic.check(); err != nil {
		return err
	}
	return p.paint(w, func(s *sheet) error { return pic.draw(s, p.labels) })
}

func (p PatternPicture) draw(s *sheet, l Labels) error {
	s.heading(p.title(l), l.Convention)
	s.y += 6
	s.flank(l, l.Drive, p.Drive)
	s.y += 22
	s.flank(l, l.Coast, p.Coast)
	s.y += 18
	s.legend(l, p)
	moves := p.moves(l)
	for _, text := range moves {
		s.line(strong, text, 2, ink)
	}
	if text := p.lash(l); text != "" {
		st := plain
		if len(moves) == 0 {
			st = strong
		}
		s.line(st, text, 2, ink)
	}
	for _, text := range p.Notes {
		s.line(small, text, 3, quiet)
	}
	return nil
}

// flank draws one flank under its name and the words for its patches.
func (s *sheet) flank(l Labels, name string, f Flank) {
	const heelDepth = 196.0
	named := s.write(head, name, margin, s.y+ascent*pixels[head], fromLeft, 260, ink)
	s.write(small, f.words(l), named.x+named.w+18, s.y+ascent*pixels[head], fromLeft, Width-margin-named.x-named.w-18, quiet)
	s.y += 46
	t := s.blankTooth(l, heelDepth, 0.7)
	s.thirds(t)
	if f.Predicted != nil {
		s.hazePatch(t, f.Predicted)
	}
	if f.Reported != nil {
		s.softPatch(t, f.Reported)
	}
	if f.Predicted != nil {
		s.hatchedPatch(t, f.Predicted)
	}
	s.outlineTooth(t)
	if f.Target != nil {
		s.zone(t, f.Target)
	}
	if f.Reported != nil && f.Predicted != nil {
		s.arrow(t.at(f.Reported.Centre.onTooth()), t.at(f.Predicted.Centre.onTooth()))
	}
	s.tags(l, t, f)
}

// words says where the patches of a flank are.
func (f Flank) words(l Labels) string {
	var from, to string
	if f.Reported != nil {
		if from = f.Reported.Words; from == "" {
			from = l.placeOf(f.Reported.Centre)
		}
	}
	if f.Predicted != nil {
		if to = f.Predicted.Words; to == "" {
			to = l.placeOf(f.Predicted.Centre)
		}
	}
	switch {
	case from != "" && to != "":
		return from + " → " + to
	case from == "" && to == "":
		return l.NotMarked
	case to != "":
		return "→ " + to
	}
	return from
}

// thirds rules the flank in its cells.
func (s *sheet) thirds(t tooth) {
	for _, v := range [...]float64{-1.0 / 3, 1.0 / 3} {
		a, b := t.at(Point{v, -1}), t.at(Point{v, 1})
		s.dc.DrawLine(a.x, a.y, b.x, b.y)
		a, b = t.at(Point{-1, v}), t.at(Point{1, v})
		s.dc.DrawLine(a.x, a.y, b.x, b.y)
	}
	s.stroke(land, 2)
}

// legend names the three ways a patch is drawn, as many as are there.
func (s *sheet) legend(l Labels, p PatternPicture) {
	const w, h = 52.0, 34.0
	now := p.Now
	if now == "" {
		now = l.Reported
	}
	type entry struct {
		text string
		draw func(t tooth)
	}
	var entries []entry
	if p.Drive.Reported != nil || p.Coast.Reported != nil {
		swatch := &Patch{Size: Point{0.6, 0.6}, Slack: Point{0.3, 0.3}}
		if p.Drive.Reported.known() || p.Coast.Reported.known() {
			swatch = &Patch{Outline: ellipse(Point{}, Point{0.8, 0.75})}
		}
		entries = append(entries, entry{now, func(t tooth) { s.softPatch(t, swatch) }})
	}
	if p.Drive.Predicted != nil || p.Coast.Predicted != nil {
		entries = append(entries, entry{l.Predicted, func(t tooth) {
			s.hatchedPatch(t, &Patch{Size: Point{0.78, 0.7}})
		}})
	}
	if p.Drive.Target != nil || p.Coast.Target != nil {
		entries = append(entries, entry{l.Target, func(t tooth) {
			s.zone(t, &Zone{Point{-0.8, -0.65}, Point{0.8, 0.65}})
		}})
	}
	x := margin
	for i, e := range entries {
		need := w + 10 + s.type_.width(small, s.type_.clean(e.text))
		if i > 0 && x+need > Width-margin {
			x, s.y = margin, s.y+h+12
		}
		t := tooth{x0: x, x1: x + w, root: s.y + h, toeDepth: h, heelDepth: h}
		s.dc.DrawRectangle(x, s.y, w, h)
		s.fill(steel)
		e.draw(t)
		b := s.writeAmid(small, e.text, x+w+10, s.y+h/2, fromLeft, Width-margin-x-w-10, ink)
		x = b.x + b.w + 24
	}
	s.y += h + 16
}

func (p PatternPicture) title(l Labels) string {
	if p.Title != "" {
		return p.Title
	}
	return l.Pattern
}

// moves says what is changed.
func (p PatternPicture) moves(l Labels) []string {
	var out []string
	if p.Change == nil {
		return nil
	}
	if v := p.Change.Pinion; v != 0 {
		way := l.Deeper
		if v < 0 {
			way = l.Shallower
		}
		out = append(out, say(l.PinionMove, "move", signed(p.Units, v), "way", way))
	}
	if v := p.Change.Ring; v != 0 {
		way := l.TowardsPinion
		if v < 0 {
			way = l.FromPinion
		}
		out = append(out, say(l.RingMove, "move", signed(p.Units, v), "way", way))
	}
	return out
}

// lash says what backlash is expected, empty where nothing is known.
func (p PatternPicture) lash(l Labels) string {
	b := p.Backlash
	if b == nil {
		return ""
	}
	text := say(l.BacklashAfter, "value", length(p.Units, b.Value))
	if b.Before != nil {
		text = say(l.BacklashChange, "before", length(p.Units, *b.Before), "value", length(p.Units, b.Value))
	}
	if b.Low != 0 || b.High != 0 {
		text += say(l.Interval, "low", figure(p.Units, b.Low), "high", length(p.Units, b.High))
	}
	return text
}
