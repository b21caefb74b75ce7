package picture

import (
	"io"
	"strings"
)

// BarsPicture is figures as bars, group by group. All its texts come with it.
type BarsPicture struct {
	Title  string
	Note   string // under the title, may be empty
	Groups []BarGroup
}

// BarGroup is bars of one measure, drawn to one scale.
type BarGroup struct {
	Name string
	Bars []Bar // 1 to MaxBars
}

// Bar is one figure: what it is of, how long it is drawn (0 or more), and what is
// written beside it.
type Bar struct {
	Name  string
	Value float64
	Text  string
}

// Limits of a bars picture.
const (
	MaxGroups = 4
	MaxBars   = 16
)

func (p BarsPicture) check() error {
	if len(p.Groups) == 0 || len(p.Groups) > MaxGroups {
		return inputError("%d groups of bars, want 1 to %d", len(p.Groups), MaxGroups)
	}
	for _, g := range p.Groups {
		if len(g.Bars) == 0 || len(g.Bars) > MaxBars {
			return inputError("group %q: %d bars, want 1 to %d", g.Name, len(g.Bars), MaxBars)
		}
		for _, b := range g.Bars {
			if !finite(b.Value) || b.Value < 0 || b.Value > 1e12 {
				return inputError("bar %q of %v", b.Name, b.Value)
			}
		}
	}
	return nil
}

// Bars writes the bars picture as a PNG. It errs (ErrInput) where a figure is not a
// number or below 0, and where there is nothing to draw.
func (p *Painter) Bars(w io.Writer, pic BarsPicture) error {
	if err := pic.check(); err != nil {
		return err
	}
	return p.paint(w, func(s *sheet) error { return pic.draw(s) })
}

func (p BarsPicture) draw(s *sheet) error {
	s.heading(p.Title, p.Note)
	const names, texts, height, step = 350.0, 150.0, 26.0, 40.0
	for _, g := range p.Groups {
		s.y += 14
		s.line(head, g.Name, 1, ink)
		s.y += 4
		most := 0.0
		for _, b := range g.Bars {
			most = max(most, b.Value)
		}
		for _, b := range g.Bars {
			if s.y > MaxHeight {
				break // frame reports it
			}
			s.writeAmid(small, b.Name, margin, s.y+height/2, fromLeft, names-12, ink)
			length := 3.0
			if most > 0 {
				length = max(length, (inner-names-texts)*b.Value/most)
			}
			s.block(margin+names, s.y, margin+names+length, s.y+height, steel)
			s.writeAmid(strong, b.Text, margin+names+length+12, s.y+height/2, fromLeft, texts, ink)
			s.y += step
		}
	}
	return nil
}

// AltText gives the picture in words.
func (p BarsPicture) AltText(l Labels) string {
	facts := []string{say(l.PictureOf, "title", p.Title)}
	for _, g := range p.Groups {
		var bars []string
		for _, b := range g.Bars {
			bars = append(bars, strings.TrimSpace(b.Name+" "+b.Text))
		}
		facts = append(facts, g.Name+": "+strings.Join(bars, ", "))
	}
	return strings.Join(facts, l.FactSeparator)
}
