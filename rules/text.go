package rules

import (
	"errors"
	"fmt"
	"strings"

	"shimwright/calc/unit"
)

// template is a text with figures in braces, "backlash {lash.min} is too
// tight", and parts in brackets that are left out where a figure in them is not
// known: "too tight[, the sheet wants {limit.backlash.low}]". A brace or bracket
// doubled stands for itself.
type template []part

// part is a piece of text, a figure, or an optional group of both.
type part struct {
	literal string
	figure  *expression
	group   template
}

// errUnset says that a text needs a figure that is not known.
var errUnset = errors.New("its text needs a figure that is not known")

// template reads a text. Offsets of slips count in characters of the text.
func (l *language) template(text string) (template, []slip) {
	r := &templateReader{language: l, text: []rune(text)}
	t := r.read(false)
	return t, r.slips
}

type templateReader struct {
	*language
	text  []rune
	at    int
	slips []slip
}

func (r *templateReader) read(inGroup bool) template {
	var out template
	var literal []rune
	flush := func() {
		if len(literal) > 0 {
			out = append(out, part{literal: string(literal)})
			literal = nil
		}
	}
	opened := r.at - 1
	for r.at < len(r.text) {
		c := r.text[r.at]
		doubled := r.at+1 < len(r.text) && r.text[r.at+1] == c
		switch {
		case strings.ContainsRune("{}[]", c) && doubled:
			literal = append(literal, c)
			r.at += 2
		case c == '{':
			flush()
			if p, ok := r.figure(); ok {
				out = append(out, p)
			}
		case c == '[' && inGroup:
			r.slips = append(r.slips, slip{r.at, "brackets inside brackets", ""})
			r.at++
		case c == '[':
			flush()
			begin := r.at
			r.at++
			before := len(r.slips)
			group := r.read(true)
			if len(group.reads()) == 0 && len(r.slips) == before {
				r.slips = append(r.slips, slip{begin, "no fact stands in these brackets, so nothing can leave them out", "take them away, or double them where they stand for themselves"})
			}
			out = append(out, part{group: group})
		case c == ']' && inGroup:
			flush()
			r.at++
			return out
		case c == ']' || c == '}':
			r.slips = append(r.slips, slip{r.at, fmt.Sprintf("%c without its partner", c), "double it where it stands for itself"})
			r.at++
		default:
			literal = append(literal, c)
			r.at++
		}
	}
	if inGroup {
		r.slips = append(r.slips, slip{opened, "[ is never closed", ""})
	}
	flush()
	return out
}

// figure reads from { to } and compiles what stands between.
func (r *templateReader) figure() (part, bool) {
	begin := r.at + 1
	end := begin
	for end < len(r.text) && r.text[end] != '}' {
		end++
	}
	r.at = min(end+1, len(r.text))
	if end == len(r.text) {
		r.slips = append(r.slips, slip{begin - 1, "{ is never closed", ""})
		return part{}, false
	}
	e, slips := r.compile(string(r.text[begin:end]))
	for _, s := range slips {
		s.offset += begin
		r.slips = append(r.slips, s)
	}
	if e == nil {
		return part{}, false
	}
	if !e.kind.isQuantity() && e.kind != wordKind {
		r.slips = append(r.slips, slip{begin, fmt.Sprintf("the braces hold %s, want a figure or a word", e.kind), ""})
		return part{}, false
	}
	return part{figure: e}, true
}

// reads lists the paths a text reads.
func (t template) reads() []string {
	var out []string
	for _, p := range t {
		if p.figure != nil {
			out = append(out, p.figure.reads...)
		}
		out = append(out, p.group.reads()...)
	}
	return out
}

// write fills the text in. It errs with errUnset where a figure outside brackets
// is not known; the text is still given, with "?" for it.
func (t template) write(env *environment) (string, error) {
	var b strings.Builder
	var failed error
	for _, p := range t {
		switch {
		case p.figure != nil:
			text, err := figureText(p.figure, env)
			if err != nil {
				failed = errors.Join(failed, err)
			}
			b.WriteString(text)
		case p.group != nil:
			text, err := p.group.write(env)
			switch {
			case err == nil:
				b.WriteString(text)
			case !errors.Is(err, errUnset):
				failed = errors.Join(failed, err)
			}
		default:
			b.WriteString(p.literal)
		}
	}
	return b.String(), failed
}

func figureText(e *expression, env *environment) (string, error) {
	v, err := e.run(env)
	if err != nil {
		return "?", err
	}
	if w, ok := v.(Word); ok {
		if !w.Set {
			return "?", errUnset
		}
		return short(w.Value), nil
	}
	k, size, set := kindOfValue(v)
	switch {
	case !set:
		return "?", errUnset
	case !finite(size):
		return "?", errInfinite
	}
	return quantityText(env.Units, k, size), nil
}

// quantityText writes a quantity in the units of a person; where their habit is
// not known, inches first and metric behind.
func quantityText(system unit.System, k kind, size float64) string {
	if k == numberKind {
		return trim(size)
	}
	if system == unit.NoSystem {
		return quantityText(unit.InchUnits, k, size) + " (" + quantityText(unit.Metric, k, size) + ")"
	}
	switch k {
	case torqueKind:
		// Fasteners are read in ft·lbf and whole N·m, drag in in·lbf and decimals.
		if t := unit.Torque(size); system == unit.InchUnits && t.FtLbf() >= 20 {
			return fmt.Sprintf("%.0f ft·lbf", t.FtLbf())
		} else if system == unit.Metric && t.NewtonMetre() >= 20 {
			return fmt.Sprintf("%.0f N·m", t.NewtonMetre())
		}
		return system.Torque(unit.Torque(size))
	case temperatureKind:
		return system.Temperature(unit.Temperature(size))
	case differenceKind:
		if system == unit.InchUnits {
			return fmt.Sprintf("%.0f °F", size*1.8)
		}
		return fmt.Sprintf("%.0f °C", size)
	}
	switch l := unit.Length(size); {
	case l.Abs() < unit.MM(10_000):
		return system.Length(l)
	case system == unit.InchUnits:
		return fmt.Sprintf("%.0f mi", float64(l/mile))
	default:
		return fmt.Sprintf("%.0f km", float64(l/kilometre))
	}
}
