package picture

import (
	"io"
	"math"
	"strings"

	"shimwright/calc/unit"
)

// StacksPicture is a set of bench labels: each stack with its leaves, to be laid
// out beside the parts.
type StacksPicture struct {
	Title  string // empty: the labels' own
	Note   string // what left and right are seen from, empty for nothing
	Units  unit.System
	Stacks []Stack // 1 to MaxStacks
	Notes  []string
}

// Stack is one stack of shims, in the order it goes together.
type Stack struct {
	Name   string // "pinion", "left"
	Leaves []Leaf // at most MaxLeaves; none: no shim there
	Was    *unit.Length
	Wanted *unit.Length // what was computed, where the leaves at hand do not quite meet it
}

// Leaf is one shim: its thickness (above 0, up to 25 mm) and a mark written
// under it ("new", "in place"), or none.
type Leaf struct {
	Thickness unit.Length
	Mark      string
	New       bool // to be added: drawn with a broken edge
}

// Limits of a stacks picture.
const (
	MaxStacks = 6
	MaxLeaves = 16
)

func (p StacksPicture) check() error {
	if len(p.Stacks) == 0 || len(p.Stacks) > MaxStacks {
		return inputError("%d stacks, want 1 to %d", len(p.Stacks), MaxStacks)
	}
	for _, st := range p.Stacks {
		if len(st.Leaves) > MaxLeaves {
			return inputError("stack %q: %d leaves, at most %d", st.Name, len(st.Leaves), MaxLeaves)
		}
		for _, leaf := range st.Leaves {
			if !finite(leaf.Thickness.MM()) || leaf.Thickness <= 0 || leaf.Thickness > 25 {
				return inputError("stack %q: leaf of %v mm, want above 0, up to 25", st.Name, float64(leaf.Thickness))
			}
		}
		for _, v := range [...]*unit.Length{st.Was, st.Wanted} {
			if v == nil {
				continue
			}
			if err := checkLength("stack", *v); err != nil {
				return err
			}
		}
	}
	if len(p.Notes) > MaxNotes {
		return inputError("%d notes, at most %d", len(p.Notes), MaxNotes)
	}
	return nil
}

// Stacks writes the bench labels as a PNG. It errs (ErrInput) where a thickness
// is not one, and where the labels do not fit in one picture.
func (p *Painter) Stacks(w io.Writer, pic StacksPicture) error {
	if err := pic.check(); err != nil {
		return err
	}
	return p.paint(w, func(s *sheet) error { return pic.draw(s, p.labels) })
}

func (p StacksPicture) title(l Labels) string {
	if p.Title != "" {
		return p.Title
	}
	return l.Stacks
}

// total gives the thickness of a stack.
func (st Stack) total() unit.Length {
	var sum unit.Length
	for _, leaf := range st.Leaves {
		sum += leaf.Thickness
	}
	return sum
}

// headline names a stack with its thickness: "left 0.241 in".
func (st Stack) headline(u unit.System, l Labels) string {
	return say(l.Stack, "name", st.Name, "total", length(u, st.total()))
}

// sum writes the leaves of a stack: "0.200 + 0.041".
func (st Stack) sum(u unit.System, l Labels) string {
	if len(st.Leaves) == 0 {
		return l.NoLeaves
	}
	parts := make([]string, len(st.Leaves))
	for i, leaf := range st.Leaves {
		parts[i] = figure(u, leaf.Thickness)
	}
	return strings.Join(parts, " + ")
}

// sameThickness is how near two stacks must be to count as equal: less than any
// micrometer shows.
const sameThickness = unit.Length(0.0005)

// remarks gives what is said about a stack under its leaves.
func (st Stack) remarks(u unit.System, l Labels) []string {
	var out []string
	if st.Was != nil {
		if d := st.total() - *st.Was; d.Abs() < sameThickness {
			out = append(out, l.SameAs)
		} else {
			out = append(out, say(l.Was, "value", length(u, *st.Was), "change", signed(u, d)))
		}
	}
	if st.Wanted != nil {
		switch d := st.total() - *st.Wanted; {
		case d >= sameThickness:
			out = append(out, say(l.WantedOver, "value", length(u, *st.Wanted), "rest", length(u, d)))
		case d <= -sameThickness:
			out = append(out, say(l.WantedUnder, "value", length(u, *st.Wanted), "rest", length(u, -d)))
		}
	}
	return out
}

func (p StacksPicture) draw(s *sheet, l Labels) error {
	s.heading(p.title(l), p.Note)
	scale := p.scale()
	for _, st := range p.Stacks {
		if s.y > MaxHeight {
			break // frame reports it
		}
		s.y += 10
		s.dc.SetLineCapButt()
		s.dc.SetDash(14, 10)
		s.dc.DrawLine(0, s.y, Width, s.y)
		s.stroke(rule, 3)
		s.dc.SetDash()
		s.dc.SetLineCapRound()
		s.y += 14
		p.drawStack(s, l, st, scale)
	}
	for _, text := range p.Notes {
		s.line(small, text, 2, quiet)
	}
	return nil
}

func (p StacksPicture) drawStack(s *sheet, l Labels, st Stack, scale float64) {
	base := s.y + ascent*pixels[title]
	other := "(" + length(p.Units.Other(), st.total()) + ")"
	second := s.write(small, other, Width-margin, base, fromRight, 300, quiet)
	s.write(title, st.headline(p.Units, l), margin, base, fromLeft, second.x-margin-20, ink)
	s.y += 1.3 * pixels[title]
	if len(st.Leaves) == 0 {
		s.line(plain, l.NoLeaves, 1, ink)
	} else {
		p.drawLeaves(s, st, scale)
	}
	for _, text := range st.remarks(p.Units, l) {
		s.line(small, text, 1, quiet)
	}
}

// Sizes of the blocks that stand for leaves: their height, the room of a plus
// sign between two, and the least width, which a figure needs.
const (
	leafHigh  = 66.0
	leafGap   = 34.0
	leafLeast = 128.0
	leafRow   = (int(inner) + int(leafGap)) / (int(leafLeast) + int(leafGap)) // leaves in a row
)

// scale gives the pixels a millimetre of leaf adds to the least width, one for
// all the stacks of a picture.
func (p StacksPicture) scale() float64 {
	scale := math.Inf(1)
	for _, st := range p.Stacks {
		for leaves := st.Leaves; len(leaves) > 0; {
			n := min(leafRow, len(leaves))
			var thick unit.Length
			for _, leaf := range leaves[:n] {
				thick += leaf.Thickness
			}
			spare := math.Min(inner-float64(n)*leafLeast-float64(n-1)*leafGap, 420)
			scale = math.Min(scale, spare/thick.MM())
			leaves = leaves[n:]
		}
	}
	return scale
}

// drawLeaves draws the leaves as blocks, the wider the thicker, with plus signs
// between.
func (p StacksPicture) drawLeaves(s *sheet, st Stack, scale float64) {
	row := leafHigh + 12
	for _, leaf := range st.Leaves {
		if leaf.Mark != "" {
			row = leafHigh + 52
		}
	}
	x := margin
	for i, leaf := range st.Leaves {
		if s.y > MaxHeight {
			return // frame reports it
		}
		if i > 0 {
			if i%leafRow == 0 {
				x = margin
				s.y += row
			} else {
				s.writeAmid(label, "+", x+leafGap/2, s.y+leafHigh/2, centred, leafGap, ink)
				x += leafGap
			}
		}
		w := leafLeast + scale*leaf.Thickness.MM()
		s.leaf(p.Units, leaf, x, w, leafHigh)
		x += w
	}
	s.y += row
}

// leaf draws one leaf: solid where it is in place, with a broken edge where it
// is new.
func (s *sheet) leaf(u unit.System, leaf Leaf, x, w, h float64) {
	c, ground := white, steel
	if leaf.New {
		c, ground = ink, amber
	}
	s.dc.DrawRoundedRectangle(x+2, s.y+2, w-4, h-4, 10)
	s.fill(ground)
	if leaf.New {
		s.dc.SetLineCapButt()
		s.dc.SetDash(14, 8)
	}
	s.dc.DrawRoundedRectangle(x+2, s.y+2, w-4, h-4, 10)
	s.stroke(ink, 4)
	s.dc.SetDash()
	s.dc.SetLineCapRound()
	s.writeAmid(label, figure(u, leaf.Thickness), x+w/2, s.y+h/2, centred, w-8, c)
	if leaf.Mark != "" {
		s.write(small, leaf.Mark, x+w/2, s.y+h+34, centred, w+20, quiet)
	}
}
