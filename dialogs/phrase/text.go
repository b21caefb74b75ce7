package phrase

import (
	"fmt"
	"slices"
	"strings"
)

// text is a phrase cut into pieces.
type text []piece

// piece is plain text, or a value by name.
type piece struct {
	plain string
	name  string
	form  form
	one   string // the words for 1, or those for a value that is there
	many  string
}

type form int

const (
	asValue form = iota
	asNumber
	asOption
)

func parse(source string) (text, error) {
	var out text
	var plain strings.Builder
	flush := func() {
		if plain.Len() > 0 {
			out = append(out, piece{plain: plain.String()})
			plain.Reset()
		}
	}
	for i := 0; i < len(source); {
		switch {
		case strings.HasPrefix(source[i:], "{{"), strings.HasPrefix(source[i:], "}}"):
			plain.WriteByte(source[i])
			i += 2
		case source[i] == '}':
			return nil, fmt.Errorf("a } at %d closes nothing", i)
		case source[i] == '{':
			end := strings.IndexByte(source[i:], '}')
			if end < 0 {
				return nil, fmt.Errorf("the { at %d is not closed", i)
			}
			p, err := parsePiece(source[i+1 : i+end])
			if err != nil {
				return nil, err
			}
			flush()
			out = append(out, p)
			i += end + 1
		default:
			plain.WriteByte(source[i])
			i++
		}
	}
	flush()
	return out, nil
}

func parsePiece(inside string) (piece, error) {
	p := piece{name: inside}
	if at := strings.IndexAny(inside, ":?"); at >= 0 {
		p.name = inside[:at]
		rest := inside[at+1:]
		if inside[at] == '?' {
			p.form, p.one = asOption, rest
		} else {
			one, many, ok := strings.Cut(rest, "|")
			if !ok || strings.Contains(many, "|") {
				return p, fmt.Errorf("{%s}: one form and another, as {n:leaf|leaves}", inside)
			}
			p.form, p.one, p.many = asNumber, one, many
		}
	}
	if p.name == "" || strings.Trim(p.name, "abcdefghijklmnopqrstuvwxyz_0123456789") != "" {
		return p, fmt.Errorf("{%s}: a name has lower case letters, digits and _", inside)
	}
	return p, nil
}

// names lists the names of the text's values, each once, in order.
func (t text) names() []string {
	var out []string
	for _, p := range t {
		if p.name != "" && !slices.Contains(out, p.name) {
			out = append(out, p.name)
		}
	}
	slices.Sort(out)
	return out
}

func (t text) fill(namesAndValues []any) string {
	if len(t) == 1 && t[0].name == "" {
		return t[0].plain
	}
	var b strings.Builder
	for _, p := range t {
		if p.name == "" {
			b.WriteString(p.plain)
			continue
		}
		value, ok := find(namesAndValues, p.name)
		switch {
		case !ok:
			b.WriteString("‹" + p.name + "›")
		case p.form == asValue:
			fmt.Fprint(&b, value)
		case p.form == asNumber:
			if fmt.Sprint(value) == "1" {
				b.WriteString(p.one)
			} else {
				b.WriteString(p.many)
			}
		case there(value):
			b.WriteString(p.one)
		}
	}
	return b.String()
}

func find(namesAndValues []any, name string) (any, bool) {
	for i := 0; i+1 < len(namesAndValues); i += 2 {
		if namesAndValues[i] == name {
			return namesAndValues[i+1], true
		}
	}
	return nil, false
}

func there(value any) bool {
	switch fmt.Sprint(value) {
	case "", "0", "false", "<nil>":
		return false
	}
	return true
}
