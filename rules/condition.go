package rules

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/compiler"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/optimizer"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/vm"
)

// Bounds of a condition. There are no loops in the language, so the nodes bound
// the time as well.
const (
	maxCondition = 600 // characters
	maxNodes     = 160
	memoryBudget = 4096 // values the evaluator may make
)

// environment is what a condition is evaluated against.
type environment struct {
	Facts
	HeardID  func(string) bool `expr:"heard"`
	StatedID func(string) bool `expr:"stated"`

	machine vm.VM // used for one expression after the other
}

func newEnvironment(f Facts) *environment {
	return &environment{
		Facts:    f,
		machine:  vm.VM{MemoryBudget: memoryBudget},
		HeardID:  func(id string) bool { return slices.Contains(f.Heard, id) },
		StatedID: func(id string) bool { return slices.Contains(f.Stated, id) },
	}
}

// expression is a compiled condition or figure.
type expression struct {
	text    string
	program *vm.Program
	kind    kind
	reads   []string // the paths it reads
	hears   []string // the dangers it listens for
	limits  []limit  // its comparisons
	// needs is a danger without which the condition cannot hold, empty for none: most
	// rules wait for one, and most messages name none.
	needs string
}

// limit is one comparison of a condition, with a program that says whether the
// two sides are equal: whether a case sits on it.
type limit struct {
	text string
	at   *expression
}

// slip is a mistake in an expression.
type slip struct {
	offset int // in characters
	text   string
	hint   string
}

// compile reads an expression, checks it against the language and compiles it.
// Every slip that can be told apart is given, and nil with them.
func (l *language) compile(text string) (*expression, []slip) {
	if n := len([]rune(text)); n > maxCondition {
		return nil, []slip{{0, fmt.Sprintf("%d characters, at most %d are read", n, maxCondition), "make two rules of it"}}
	}
	if strings.TrimSpace(text) == "" {
		return nil, []slip{{0, "nothing to evaluate", ""}}
	}
	tree, err := parser.ParseWithConfig(text, l.config)
	if err != nil {
		return nil, []slip{syntaxSlip(err)}
	}
	c := &reader{language: l, out: &expression{text: text}}
	c.out.kind = c.kind(tree.Node)
	if len(c.slips) > 0 {
		return nil, c.slips
	}
	c.out.needs = needed(tree.Node)
	program, err := l.program(text, c.out.kind)
	if err != nil {
		return nil, []slip{syntaxSlip(err)}
	}
	c.out.program = program
	for i, lim := range c.out.limits {
		at, err := l.program(lim.at.text, truthKind)
		if err != nil {
			return nil, []slip{syntaxSlip(err)}
		}
		c.out.limits[i].at.program = at
	}
	return c.out, nil
}

// needed gives the danger that a condition is about: heard("x"), or an "and" with
// that on its left.
func needed(n ast.Node) string {
	switch n := n.(type) {
	case *ast.BinaryNode:
		if n.Operator == "and" || n.Operator == "&&" {
			return needed(n.Left)
		}
	case *ast.CallNode:
		if callee, ok := n.Callee.(*ast.IdentifierNode); ok && callee.Value == "heard" {
			if id, ok := n.Arguments[0].(*ast.StringNode); ok {
				return id.Value
			}
		}
	}
	return ""
}

// program compiles a checked expression. It is what expr.Compile does, with one
// configuration for all: making one anew for each of some hundred expressions
// would take most of the time of a load.
func (l *language) program(text string, k kind) (*vm.Program, error) {
	config := *l.config
	if k == truthKind {
		config.Expect, config.ExpectAny = reflect.Bool, true
	}
	tree, err := checker.ParseCheck(text, &config)
	if err != nil {
		return nil, err
	}
	if err := optimizer.Optimize(&tree.Node, &config); err != nil {
		return nil, err
	}
	return compiler.Compile(tree, &config)
}

// run evaluates an expression. It never panics.
func (e *expression) run(env *environment) (any, error) {
	v, err := env.machine.Run(e.program, env)
	var fe *file.Error
	if errors.As(err, &fe) {
		if fe.Prev != nil {
			return nil, fe.Prev
		}
		return nil, errors.New(fe.Message)
	}
	return v, err
}

// holds evaluates a condition.
func (e *expression) holds(env *environment) (bool, error) {
	if e.needs != "" && !env.HeardID(e.needs) {
		return false, nil
	}
	v, err := e.run(env)
	b, _ := v.(bool)
	return b && err == nil, err
}

// syntaxSlip turns a parser's error into a slip with its place.
func syntaxSlip(err error) slip {
	var fe *file.Error
	if !errors.As(err, &fe) {
		return slip{0, err.Error(), ""}
	}
	return slip{fe.From, "cannot be read: " + strings.ReplaceAll(fe.Message, "token EOF", "end"), "check parentheses, quotes and operators (and, or, not, <, <=, >, >=, ==, !=, in)"}
}
