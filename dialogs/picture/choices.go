package picture

import (
	"io"
	"strconv"
)

// ChoicePicture is the numbered cells a pattern is typed by, on both flanks or on
// the one that is asked for, with the cells already picked marked.
type ChoicePicture struct {
	Title string // empty: the labels' own
	Ask   Side
	Drive int // the cell picked, 0 for none
	Coast int
}

// Side says which flanks are asked for.
type Side uint8

// The flanks.
const (
	BothFlanks Side = iota
	DriveFlank
	CoastFlank
)

func (p ChoicePicture) check() error {
	if p.Ask > CoastFlank {
		return inputError("flank %d", p.Ask)
	}
	for _, n := range [...]int{p.Drive, p.Coast} {
		if n < 0 || n > Cells {
			return inputError("cell %d, want 1 to %d, or 0 for none", n, Cells)
		}
	}
	return nil
}

// Choices writes the choice picture as a PNG. It errs (ErrInput) where a cell
// is not one.
func (p *Painter) Choices(w io.Writer, pic ChoicePicture) error {
	if err := pic.check(); err != nil {
		return err
	}
	return p.paint(w, func(s *sheet) error { return pic.draw(s, p.labels) })
}

func (p ChoicePicture) title(l Labels) string {
	switch {
	case p.Title != "":
		return p.Title
	case p.Ask == DriveFlank:
		return say(l.ChoicesFor, "flank", l.Drive)
	case p.Ask == CoastFlank:
		return say(l.ChoicesFor, "flank", l.Coast)
	}
	return l.Choices
}

// hint gives the line under the cells: what was picked, or what to type.
func (p ChoicePicture) hint(l Labels) string {
	if p.Drive == 0 && p.Coast == 0 {
		return say(l.ChoiceHint, "example", choice(l, p.Ask, 3, 7))
	}
	return say(l.Picked, "choice", choice(l, p.Ask, p.Drive, p.Coast))
}

// choice writes cells the way they are typed: "drive 3 coast 7".
func choice(l Labels, ask Side, drive, coast int) string {
	text := ""
	if ask != CoastFlank && drive > 0 {
		text = l.Drive + " " + strconv.Itoa(drive)
	}
	if ask != DriveFlank && coast > 0 {
		if text != "" {
			text += " "
		}
		text += l.Coast + " " + strconv.Itoa(coast)
	}
	return text
}

func (p ChoicePicture) draw(s *sheet, l Labels) error {
	s.heading(p.title(l), l.Convention)
	s.y += 6
	if p.Ask != CoastFlank {
		s.cells(l, l.Drive, p.Drive)
	}
	if p.Ask != DriveFlank {
		s.cells(l, l.Coast, p.Coast)
	}
	s.y += 6
	s.line(head, p.hint(l), 2, ink)
	return nil
}

// cells draws a tooth with its numbered cells, the picked one bright and boxed.
func (s *sheet) cells(l Labels, name string, picked int) {
	const heelDepth = 258.0
	named := s.write(head, name, margin, s.y+ascent*pixels[head], fromLeft, 260, ink)
	if picked > 0 {
		s.write(small, l.place(picked), named.x+named.w+18, named.y+ascent*pixels[head], fromLeft, inner-named.w-18, quiet)
	}
	s.y += 46
	t := s.blankTooth(l, heelDepth, 0.8)
	for _, v := range [...]float64{-1.0 / 3, 1.0 / 3} {
		a, b := t.at(Point{v, -1}), t.at(Point{v, 1})
		s.dc.DrawLine(a.x, a.y, b.x, b.y)
		a, b = t.at(Point{-1, v}), t.at(Point{1, v})
		s.dc.DrawLine(a.x, a.y, b.x, b.y)
	}
	s.stroke(white, 3)
	s.outlineTooth(t)
	for n := 1; n <= Cells; n++ {
		c, _ := CellCentre(n)
		ground := white
		if n == picked {
			const h = 1.0 / 3
			var corners []xy
			for _, q := range [...]Point{{-h, -h}, {h, -h}, {h, h}, {-h, h}} {
				corners = append(corners, t.at(Point{c.Along + q.Along, c.Across + q.Across}))
			}
			s.polygon(corners)
			s.fill(amber)
			s.polygon(corners)
			s.cased(white, 6)
			ground = ink
		}
		at := t.at(c)
		s.writeAmid(digit, strconv.Itoa(n), at.x, at.y, centred, 100, ground)
	}
	s.y += 20
}
