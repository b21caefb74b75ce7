package rules

import (
	"reflect"
	"slices"
	"strings"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/conf"

	"shimwright/calc/unit"
)

// kind is what a part of a condition is.
type kind int

const (
	noKind kind = iota
	truthKind
	numberKind
	lengthKind
	torqueKind
	temperatureKind
	differenceKind
	wordKind
	literalKind // a quoted text
	listKind    // of quoted texts
)

func (k kind) String() string {
	return [...]string{"nothing", "a condition", "a number", "a length", "a torque", "a temperature",
		"a temperature difference", "a word", "a quoted word", "a list of words"}[k]
}

// example says how such a value is written in a rule, for hints.
func (k kind) example() string {
	switch k {
	case lengthKind:
		return "write its unit: thou(6), inch(0.006), mm(0.15)"
	case torqueKind:
		return "write its unit: inlbf(15), ftlbf(70), newtonmetre(1.7)"
	case temperatureKind:
		return "write its unit: degc(120), degf(250)"
	case differenceKind:
		return "write its unit: kelvin(17), degf_more(30)"
	}
	return ""
}

// isQuantity says whether values of the kind can be compared by size.
func (k kind) isQuantity() bool { return k >= numberKind && k <= differenceKind }

// fact is one field of Facts as conditions see it.
type fact struct {
	path  string
	kind  kind
	index []int // for reflect
}

// language is what a condition can name: the fields of Facts by path, and the
// functions. It is made once for all the rules of a load.
type language struct {
	facts     map[string]fact
	groups    map[string]bool
	paths     []string
	functions map[string]signature
	config    *conf.Config // of the expression language, for one goroutine
}

func newLanguage() *language {
	l := &language{facts: map[string]fact{}, groups: map[string]bool{}, functions: functions()}
	l.config = conf.CreateNew()
	options := append(evaluator(), expr.Env(&environment{}), expr.DisableAllBuiltins(), expr.MaxNodes(maxNodes), expr.Patch(operators{}))
	for _, option := range options {
		option(l.config)
	}
	l.config.Builtins = conf.FunctionsTable{}
	l.add(reflect.TypeFor[Facts](), "", nil)
	slices.Sort(l.paths)
	return l
}

func (l *language) add(t reflect.Type, prefix string, index []int) {
	for i := range t.NumField() {
		f := t.Field(i)
		name := f.Tag.Get("expr")
		if name == "-" || name == "" {
			continue
		}
		at := append(slices.Clone(index), i)
		path := prefix + name
		if k := kindOfType(f.Type); k != noKind {
			l.facts[path] = fact{path, k, at}
			l.paths = append(l.paths, path)
			continue
		}
		l.groups[path] = true
		l.add(f.Type, path+".", at)
	}
}

func kindOfType(t reflect.Type) kind {
	switch t {
	case reflect.TypeFor[Number]():
		return numberKind
	case reflect.TypeFor[Length]():
		return lengthKind
	case reflect.TypeFor[Torque]():
		return torqueKind
	case reflect.TypeFor[Temperature]():
		return temperatureKind
	case reflect.TypeFor[Difference]():
		return differenceKind
	case reflect.TypeFor[Word]():
		return wordKind
	}
	return noKind
}

// kindOfValue gives the kind of a value and, for a quantity, its size and
// whether it is known.
func kindOfValue(v any) (k kind, size float64, set bool) {
	switch v := v.(type) {
	case Number:
		return numberKind, v.Value, v.Set
	case Length:
		return lengthKind, float64(v.Value), v.Set
	case Torque:
		return torqueKind, float64(v.Value), v.Set
	case Temperature:
		return temperatureKind, float64(v.Value), v.Set
	case Difference:
		return differenceKind, float64(v.Value), v.Set
	case float64:
		return numberKind, v, true
	case int:
		return numberKind, float64(v), true
	case Word:
		return wordKind, 0, v.Set
	case string:
		return literalKind, 0, true
	}
	return noKind, 0, false
}

// make gives a known or unknown value of a kind from its size.
func (k kind) make(size float64, set bool) any {
	switch k {
	case lengthKind:
		return Length{unit.Length(size), set}
	case torqueKind:
		return Torque{unit.Torque(size), set}
	case temperatureKind:
		return Temperature{unit.Temperature(size), set}
	case differenceKind:
		return Difference{Rise(size), set}
	}
	return Number{size, set}
}

// among lists the paths of a group, for hints.
func (l *language) among(group string) string {
	var names []string
	for _, p := range l.paths {
		if strings.HasPrefix(p, group+".") {
			names = append(names, p)
		}
	}
	if len(names) > 6 {
		names = append(names[:6], "…")
	}
	return strings.Join(names, ", ")
}
