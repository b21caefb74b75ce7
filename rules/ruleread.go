package rules

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/calc/unit"
)

// Rule is one caution: when it fires, how loud it is and what it says.
type Rule struct {
	ID     string
	Level  Level
	Steps  []string // empty: at any step
	Roles  []string // empty: whoever wrote
	Source string   // where its figures come from, for people
	When   string   // the condition as written
	File   string
	Own    bool // from the shop's folder

	condition *expression
	saying
	spanish     saying // empty texts where the rule has none
	fires       []example
	quiet       []example
	src         *source
	node, whenN *yaml.Node
}

// saying is what a rule says, in one language.
type saying struct{ text, hint template }

// example is one case of a rule: facts and where they stand in the file.
type example struct {
	facts Facts
	keys  map[string]*yaml.Node // by path
	node  *yaml.Node
}

// What a text may hold, in characters: two or three lines of a phone.
const maxText = 220

// ruleFile is what one file says.
type ruleFile struct {
	rules []*Rule
	off   []offEntry
}

// offEntry switches a rule off by its id.
type offEntry struct {
	id   string
	src  *source
	node *yaml.Node
}

// readRules reads one rule file. Rules with a mistake are left out.
func readRules(l *language, file string, data []byte, report *Report) ruleFile {
	s := newSource(file, data, report)
	var out ruleFile
	root := parse(s, data)
	if root == nil {
		return out
	}
	s.mapping(root, "the file",
		may("rules", func(n *yaml.Node) {
			s.list(n, "rules", func(item *yaml.Node) {
				if r := s.rule(l, item); r != nil {
					out.rules = append(out.rules, r)
				}
			})
		}),
		may("off", func(n *yaml.Node) {
			s.list(n, "off", func(item *yaml.Node) {
				var id string
				s.text("an id", 60, &id)(item)
				if id != "" {
					out.off = append(out.off, offEntry{id, s, item})
				}
			})
		}),
	)
	return out
}

// rule reads one rule; nil where it has a mistake.
func (s *source) rule(l *language, n *yaml.Node) *Rule {
	before := s.report.mistakesIn(s.name)
	r := &Rule{File: s.name, src: s, node: n}
	v := s.mapping(n, "the rule",
		must("id", s.ruleID(&r.ID)),
		must("level", word(s, "level", &r.Level, Note, Caution, Stop)),
		may("steps", s.words("steps", vocabulary("step"), &r.Steps)),
		may("roles", s.words("roles", vocabulary("role"), &r.Roles)),
		must("when", func(n *yaml.Node) { r.whenN, r.condition = n, s.condition(l, n) }),
		must("text", func(n *yaml.Node) { r.text = s.sentence(l, n, "text") }),
		may("hint", func(n *yaml.Node) { r.hint = s.sentence(l, n, "hint") }),
		may("es", func(n *yaml.Node) {
			s.mapping(n, "es",
				must("text", func(n *yaml.Node) { r.spanish.text = s.sentence(l, n, "text") }),
				may("hint", func(n *yaml.Node) { r.spanish.hint = s.sentence(l, n, "hint") }),
			)
		}),
		may("source", s.text("source", 160, &r.Source)),
		must("cases", func(n *yaml.Node) {
			s.mapping(n, "cases",
				must("fires", s.examples(l, &r.fires)),
				must("quiet", s.examples(l, &r.quiet)),
			)
		}),
	)
	if len(s.mistakesSince(before)) > 0 {
		return nil
	}
	r.When = v["when"].Value
	return r
}

// mistakesSince gives the mistakes of this file after the first n.
func (s *source) mistakesSince(n int) []Problem {
	var out []Problem
	for _, p := range s.report.Problems {
		if p.File == s.name && !p.Warning {
			out = append(out, p)
		}
	}
	return out[n:]
}

func (s *source) ruleID(to *string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		var id string
		if s.text("id", 60, &id)(n); id == "" {
			return
		}
		if id != plainName(id) || id[0] < 'a' {
			s.at(n, "small letters, digits and hyphens, for example "+orElse(plainName(id), "lash-too-tight"), "id %q cannot be the name of a rule", short(id))
			return
		}
		*to = id
	}
}

func orElse(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// words reads a list of words of a vocabulary.
func (s *source) words(what string, list []string, to *[]string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		s.list(n, what, func(item *yaml.Node) {
			var w string
			word(s, "one of the "+what, &w, list...)(item)
			if w != "" {
				*to = append(*to, w)
			}
		})
	}
}

// condition compiles the condition a node holds; nil where it has slips.
func (s *source) condition(l *language, n *yaml.Node) *expression {
	text, ok := s.scalar(n, "when", "a condition")
	if !ok {
		return nil
	}
	e, slips := l.compile(text)
	s.slips(n, "when", slips)
	if e != nil && e.kind != truthKind {
		s.at(n, conditionHint(e.kind, plainText(text)), "when is %s, want a condition", e.kind)
		return nil
	}
	return e
}

// plainText lets a text stand in for a node of an expression.
type plainText string

func (p plainText) String() string { return string(p) }

// sentence compiles a text with its figures.
func (s *source) sentence(l *language, n *yaml.Node, what string) template {
	text, ok := s.scalar(n, what, "a text")
	if !ok {
		return nil
	}
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		s.at(n, "", "%s is empty", what)
		return nil
	case len([]rune(text)) > maxText:
		s.at(n, "say what is the matter in text, what to do in hint", "%s has %d characters, at most %d fit a phone", what, len([]rune(text)), maxText)
		return nil
	}
	t, slips := l.template(text)
	s.slips(n, what, slips)
	return t
}

func (s *source) slips(n *yaml.Node, what string, slips []slip) {
	for _, p := range slips {
		line, column := s.place(n, p.offset)
		s.fault(line, column, p.hint, "%s: %s", what, p.text)
	}
}

// examples reads a list of cases.
func (s *source) examples(l *language, to *[]example) func(*yaml.Node) {
	return func(n *yaml.Node) {
		s.list(n, "cases", func(item *yaml.Node) {
			if e, ok := s.example(l, item); ok {
				*to = append(*to, e)
			}
		})
		if n.Kind == yaml.SequenceNode && len(n.Content) == 0 {
			s.at(n, "", "there is no case")
		}
	}
}

// example reads one case: facts by path, and heard and stated ids.
func (s *source) example(l *language, n *yaml.Node) (example, bool) {
	e := example{keys: map[string]*yaml.Node{}, node: n}
	before := s.report.mistakesIn(s.name)
	if n.Kind != yaml.MappingNode {
		s.at(n, "for example {lash.min: 0.004 in}", "a case is %s, want facts with values", kindOf(n))
		return e, false
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		path := key.Value
		if first := e.keys[path]; first != nil {
			s.at(key, "", "%s is given twice, first on line %d", path, first.Line)
			continue
		}
		e.keys[path] = key
		switch f, known := l.facts[path]; {
		case known:
			s.setFact(&e.facts, f, value)
		case path == "heard":
			s.words("dangers", Dangers(), &e.facts.Heard)(value)
		case path == "stated":
			s.words("statements", statements(), &e.facts.Stated)(value)
		case l.groups[path]:
			s.at(key, "there are: "+l.among(path), "%s is a group of facts, not one", path)
		default:
			hint := ""
			if best, ok := nearest(path, l.paths); ok {
				hint = fmt.Sprintf("did you mean %q?", best)
			}
			s.at(key, hint, "there is no fact %q", short(path))
		}
	}
	return e, s.report.mistakesIn(s.name) == before
}

// setFact reads the value of a case into the field it names.
func (s *source) setFact(facts *Facts, f fact, n *yaml.Node) {
	text, ok := s.scalar(n, f.path, f.kind.String())
	if !ok {
		return
	}
	v, err := parseFact(f.kind, text)
	if err != nil {
		s.at(n, "", "%s: %v", f.path, err)
		return
	}
	if f.kind == wordKind {
		if list := vocabulary(f.path); list != nil && !slices.Contains(list, text) {
			s.at(n, suggest(text, list), "%s is never %q", f.path, short(text))
			return
		}
	}
	reflect.ValueOf(facts).Elem().FieldByIndex(f.index).Set(reflect.ValueOf(v))
}

// parseFact reads a value of a kind, with its unit.
func parseFact(k kind, text string) (any, error) {
	switch k {
	case lengthKind:
		if l, err := parseRoad(text); err == nil {
			return Know(l), nil
		}
		l, err := unit.ParseLength(text)
		return Know(l), err
	case torqueKind:
		t, err := unit.ParseTorque(text)
		return Know(t), err
	case temperatureKind:
		t, err := unit.ParseTemperature(text)
		return Know(t), err
	case differenceKind:
		number, name, _ := strings.Cut(text, " ")
		v, err := strconv.ParseFloat(number, 64)
		if err != nil || strings.TrimSpace(name) != "K" || v < -1000 || v > 1000 {
			return nil, fmt.Errorf("%q is not a temperature difference, want for example 17 K", short(text))
		}
		return Know(Rise(v)), nil
	case numberKind:
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || v != v || v < -1e9 || v > 1e9 {
			return nil, fmt.Errorf("%q is not a number", short(text))
		}
		return Know(v), nil
	case wordKind:
		return Say(text), nil
	}
	return nil, fmt.Errorf("cannot be set")
}
