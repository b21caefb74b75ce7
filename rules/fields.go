package rules

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/calc/unit"
)

// field is one key of a mapping and how its value is read.
type field struct {
	key  string
	need bool
	read func(*yaml.Node)
}

// must and may make a field that has to be there, or can be.
func must(key string, read func(*yaml.Node)) field { return field{key, true, read} }
func may(key string, read func(*yaml.Node)) field  { return field{key, false, read} }

// mapping reads a mapping key by key. Unknown keys, keys given twice, keys
// without a value and missing keys are each reported. It gives the value of each
// key that was read, for later checks.
func (s *source) mapping(n *yaml.Node, what string, fields ...field) map[string]*yaml.Node {
	if n.Kind != yaml.MappingNode {
		s.misshapen(n, what, "keys with values", "")
		return nil
	}
	keys := make([]string, len(fields))
	for i, f := range fields {
		keys[i] = f.key
	}
	seen := map[string]*yaml.Node{}
	values := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if key.Kind != yaml.ScalarNode {
			s.at(key, "", "a key in %s is %s, want a word", what, kindOf(key))
			continue
		}
		if first := seen[key.Value]; first != nil {
			s.at(key, "", "%s is given twice in %s, first on line %d", key.Value, what, first.Line)
			continue
		}
		seen[key.Value] = key
		f, known := find(fields, key.Value)
		switch {
		case !known:
			s.at(key, suggest(key.Value, keys), "%s has no key %q", what, short(key.Value))
		case isNull(value):
			s.at(key, "", "%s in %s has no value", key.Value, what)
		default:
			values[key.Value] = value
			f.read(value)
		}
	}
	var missing []string
	for _, f := range fields {
		if f.need && seen[f.key] == nil {
			missing = append(missing, f.key)
		}
	}
	if len(missing) > 0 {
		s.at(n, "", "%s has no %s", what, strings.Join(missing, ", "))
	}
	return values
}

// misshapen reports a node of another shape than is wanted; an alias has been
// reported already.
func (s *source) misshapen(n *yaml.Node, what, want, hint string) {
	if n.Kind != yaml.AliasNode {
		s.at(n, hint, "%s is %s, want %s", what, kindOf(n), want)
	}
}

// list calls read with each item of a list.
func (s *source) list(n *yaml.Node, what string, read func(*yaml.Node)) {
	if n.Kind != yaml.SequenceNode {
		s.misshapen(n, what, "a list", "begin each with a dash")
		return
	}
	for _, item := range n.Content {
		read(item)
	}
}

func find(fields []field, key string) (field, bool) {
	for _, f := range fields {
		if f.key == key {
			return f, true
		}
	}
	return field{}, false
}

// suggest gives the hint for a word that is not in the list: the nearest, or
// where none is near the whole list.
func suggest(word string, list []string) string {
	if best, ok := nearest(word, list); ok {
		return fmt.Sprintf("did you mean %q?", best)
	}
	if len(list) > 16 {
		return ""
	}
	return "there are: " + strings.Join(list, ", ")
}

// kindOf names what a node is, for people.
func kindOf(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a mapping"
	case yaml.SequenceNode:
		return "a list"
	case yaml.ScalarNode:
		if isNull(n) {
			return "empty"
		}
		return fmt.Sprintf("%q", short(n.Value))
	}
	return "not usable"
}

// short cuts a value so that a message stays one line.
func short(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:39]) + "…"
	}
	return text
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null"
}

// scalar gives the text of a node that must be one value.
func (s *source) scalar(n *yaml.Node, what, want string) (string, bool) {
	if n.Kind != yaml.ScalarNode || isNull(n) {
		s.misshapen(n, what, want, "")
		return "", false
	}
	return n.Value, true
}

// text reads one line or paragraph for people into to.
func (s *source) text(what string, longest int, to *string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		v, ok := s.scalar(n, what, "a text")
		if !ok {
			return
		}
		v = strings.TrimSpace(v)
		switch {
		case v == "":
			s.at(n, "", "%s is empty", what)
		case len([]rune(v)) > longest:
			s.at(n, "", "%s has %d characters, at most %d are shown", what, len([]rune(v)), longest)
		default:
			*to = v
		}
	}
}

// yes reads yes or no into to.
func (s *source) yes(what string, to *bool) func(*yaml.Node) {
	return func(n *yaml.Node) {
		v, ok := s.scalar(n, what, "yes or no")
		if !ok {
			return
		}
		switch strings.ToLower(v) {
		case "yes", "true":
			*to = true
		case "no", "false":
			*to = false
		default:
			s.at(n, "", "%s is %q, want yes or no", what, short(v))
		}
	}
}

// word reads one word of a list into to.
func word[T ~string](s *source, what string, to *T, list ...T) func(*yaml.Node) {
	return func(n *yaml.Node) {
		words := make([]string, len(list))
		for i, w := range list {
			words[i] = string(w)
		}
		v, ok := s.scalar(n, what, "one of "+strings.Join(words, ", "))
		if !ok {
			return
		}
		for _, w := range list {
			if string(w) == v {
				*to = w
				return
			}
		}
		hint := "there are: " + strings.Join(words, ", ")
		if best, near := nearest(strings.ToLower(v), words); near || strings.EqualFold(best, v) {
			hint = fmt.Sprintf("did you mean %q?", best)
		}
		s.at(n, hint, "%s is %q, which it cannot be", what, short(v))
	}
}

// count reads a whole number from low to high into to.
func (s *source) count(what string, low, high int, to *int) func(*yaml.Node) {
	return func(n *yaml.Node) {
		v, ok := s.scalar(n, what, "a whole number")
		if !ok {
			return
		}
		i, err := strconv.Atoi(v)
		switch {
		case err != nil:
			s.at(n, "", "%s is %q, want a whole number", what, short(v))
		case i < low || i > high:
			s.at(n, "", "%s is %d, outside what it can be (%d to %d)", what, i, low, high)
		default:
			*to = i
		}
	}
}

// measure is how one kind of quantity is read and written.
type measure[T ~float64] struct {
	parse func(string) (T, error)
	show  func(T, unit.System) string
	// habit says which unit system a figure is written in; nil where both use it.
	habit func(text string) unit.System
}

// quantity reads a number with its unit into to. low and high bound what it can
// be: a figure outside is a slip of the unit or the decimal point.
func quantity[T ~float64](s *source, m measure[T], what string, low, high T, to *T) func(*yaml.Node) {
	return func(n *yaml.Node) {
		v, ok := s.scalar(n, what, "a number with its unit")
		if !ok {
			return
		}
		system := s.units
		if m.habit != nil {
			system = m.habit(v)
		}
		q, err := m.parse(v)
		switch {
		case errors.Is(err, unit.ErrNoUnit):
			s.at(n, "write the unit behind it, for example "+m.show(low+(high-low)/4, s.units), "%s is %q, without a unit", what, short(v))
		case err != nil:
			s.at(n, "", "%s: %v", what, err)
		case !(q >= low && q <= high):
			s.at(n, "check the unit and the decimal point", "%s is %s, outside what it can be (%s to %s)", what, short(v), m.show(low, system), m.show(high, system))
		default:
			*to = q
			if m.habit != nil {
				s.written = append(s.written, written{n, what, system})
			}
		}
	}
}

// written remembers the unit system a figure was written in.
type written struct {
	node   *yaml.Node
	what   string
	system unit.System
}

// systemOf gives the system a node's figure was written in, none where it was
// not read as one.
func (s *source) systemOf(n *yaml.Node) unit.System {
	for _, w := range s.written {
		if w.node == n {
			return w.system
		}
	}
	return unit.NoSystem
}

func lengths() measure[unit.Length] {
	return measure[unit.Length]{unit.ParseLength, func(l unit.Length, system unit.System) string {
		if system == unit.InchUnits {
			return trim(l.Inch()) + " in"
		}
		return trim(l.MM()) + " mm"
	}, func(text string) unit.System {
		if strings.Contains(text, "m") {
			return unit.Metric
		}
		return unit.InchUnits
	}}
}

func torques() measure[unit.Torque] {
	return measure[unit.Torque]{unit.ParseTorque, func(t unit.Torque, system unit.System) string {
		switch {
		case system != unit.InchUnits:
			return trim(t.NewtonMetre()) + " N·m"
		case t > unit.FtLbf(20):
			return fmt.Sprintf("%.0f ft·lbf", t.FtLbf())
		}
		return fmt.Sprintf("%.1f in·lbf", t.InLbf())
	}, func(text string) unit.System {
		if strings.Contains(text, "lb") {
			return unit.InchUnits
		}
		return unit.Metric
	}}
}

func temperatures() measure[unit.Temperature] {
	return measure[unit.Temperature]{unit.ParseTemperature, func(t unit.Temperature, system unit.System) string {
		return system.Temperature(t)
	}, nil}
}

func angles() measure[unit.Angle] {
	return measure[unit.Angle]{unit.ParseAngle, func(a unit.Angle, _ unit.System) string {
		return trim(a.Deg()) + " deg"
	}, nil}
}

// length reads a length between bounds in millimetres, angle one in degrees.
func (s *source) length(what string, low, high float64, to *unit.Length) func(*yaml.Node) {
	return quantity(s, lengths(), what, unit.MM(low), unit.MM(high), to)
}

func (s *source) angle(what string, low, high float64, to *unit.Angle) func(*yaml.Node) {
	return quantity(s, angles(), what, unit.Deg(low), unit.Deg(high), to)
}

// trim writes a bound with at most three decimals.
func trim(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v, 'f', 3, 64), "0"), ".")
}
