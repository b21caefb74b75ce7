package rules

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
)

// reader finds the kind of every part of an expression.
type reader struct {
	*language
	out   *expression
	slips []slip
}

func (c *reader) fault(n ast.Node, hint, format string, args ...any) kind {
	c.slips = append(c.slips, slip{n.Location().From, fmt.Sprintf(format, args...), hint})
	return noKind
}

// kind gives the kind of a node; noKind where it has a slip, which is reported
// once and not again by what stands round it.
func (c *reader) kind(node ast.Node) kind {
	switch n := node.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		return numberKind
	case *ast.StringNode:
		return literalKind
	case *ast.IdentifierNode, *ast.MemberNode:
		return c.pathKind(node)
	case *ast.UnaryNode:
		return c.unaryKind(n)
	case *ast.BinaryNode:
		return c.binaryKind(n)
	case *ast.CallNode:
		return c.callKind(n)
	case *ast.ArrayNode:
		for _, item := range n.Nodes {
			if _, ok := item.(*ast.StringNode); !ok {
				return c.fault(item, "", "a list may hold quoted words only")
			}
		}
		if len(n.Nodes) == 0 {
			return c.fault(n, "", "the list is empty")
		}
		return listKind
	case *ast.NilNode:
		return c.fault(n, "ask has(…) whether something is known", "nil is not used in rules")
	case *ast.BoolNode:
		return c.fault(n, `write == "yes" or == "no"`, "%v is not used in rules", n.Value)
	}
	return c.fault(node, "use and, or, not, comparisons, + - * / and the functions of the rules", "%s is not used in rules", short(node.String()))
}

// pathOf writes a chain of names as a path.
func pathOf(node ast.Node) (string, bool) {
	switch n := node.(type) {
	case *ast.IdentifierNode:
		return n.Value, true
	case *ast.MemberNode:
		property, ok := n.Property.(*ast.StringNode)
		if !ok || n.Optional || n.Method {
			return "", false
		}
		front, ok := pathOf(n.Node)
		return front + "." + property.Value, ok
	}
	return "", false
}

// start gives the place where a chain of names begins.
func start(node ast.Node) ast.Node {
	if n, ok := node.(*ast.MemberNode); ok {
		return start(n.Node)
	}
	return node
}

func (c *reader) pathKind(node ast.Node) kind {
	path, ok := pathOf(node)
	if !ok {
		return c.fault(node, "names are joined with a dot, for example lash.min", "%s is not a name", short(node.String()))
	}
	f, ok := c.facts[path]
	switch {
	case ok:
		if !slices.Contains(c.out.reads, path) {
			c.out.reads = append(c.out.reads, path)
		}
		return f.kind
	case c.groups[path]:
		return c.fault(start(node), "there are: "+c.among(path), "%s is a group of facts, not one", path)
	}
	if _, isCall := c.functions[path]; isCall {
		return c.fault(start(node), "write "+path+"(…)", "%s is a function", path)
	}
	return c.fault(start(node), c.suggestPath(path), "there is no fact %q", path)
}

// suggestPath gives the nearest path, else the paths of its group.
func (c *reader) suggestPath(path string) string {
	if best, ok := nearest(path, c.paths); ok {
		return fmt.Sprintf("did you mean %q?", best)
	}
	group, _, found := strings.Cut(path, ".")
	if found && c.groups[group] {
		return "there are: " + c.among(group)
	}
	return ""
}

func (c *reader) unaryKind(n *ast.UnaryNode) kind {
	k := c.kind(n.Node)
	switch n.Operator {
	case "not", "!":
		if k != truthKind && k != noKind {
			return c.fault(n, "put parentheses round the comparison: not (a < b)", "not wants a condition, found %s", k)
		}
		return k
	case "-", "+":
		if k != noKind && !k.isQuantity() {
			return c.fault(n, "", "%s wants a figure, found %s", n.Operator, k)
		}
		return k
	}
	return c.fault(n, "", "the sign %s is not used in rules", n.Operator)
}

func (c *reader) binaryKind(n *ast.BinaryNode) kind {
	a, b := c.kind(n.Left), c.kind(n.Right)
	if a == noKind || b == noKind {
		return noKind
	}
	switch n.Operator {
	case "and", "or", "&&", "||":
		for _, side := range []struct {
			node ast.Node
			kind kind
		}{{n.Left, a}, {n.Right, b}} {
			if side.kind != truthKind {
				return c.fault(start(side.node), conditionHint(side.kind, side.node), "%s wants conditions, found %s", n.Operator, side.kind)
			}
		}
		return truthKind
	case "<", ">", "<=", ">=":
		if a != b || !a.isQuantity() {
			return c.fault(n, unitHint(a, b), "%s cannot be compared with %s", a, b)
		}
		left, right := n.Left.String(), n.Right.String()
		c.limit(left+" at "+right, left, right)
		return truthKind
	case "==", "!=":
		return c.equalKind(n, a, b)
	case "in":
		if a != wordKind || b != listKind {
			return c.fault(n, `for example step in ["trial", "loop"]`, "in wants a word and a list of words, found %s and %s", a, b)
		}
		for _, item := range n.Right.(*ast.ArrayNode).Nodes {
			c.checkWord(n.Left, item)
		}
		return truthKind
	case "+", "-", "*", "/":
		k := arithmetic(n.Operator, a, b)
		switch {
		case k == noKind:
			return c.fault(n, unitHint(a, b), "%s %s %s makes no sense", a, n.Operator, b)
		case n.Operator == "/" && isZero(n.Right):
			return c.fault(n, "", "a division by zero")
		}
		return k
	}
	return c.fault(n, "", "%s is not used in rules", n.Operator)
}

// isZero says whether a node is a zero as written.
func isZero(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.IntegerNode:
		return n.Value == 0
	case *ast.FloatNode:
		return n.Value == 0
	}
	return false
}

func conditionHint(k kind, n fmt.Stringer) string {
	if k == wordKind {
		return fmt.Sprintf("for example %s == %q", n, "yes")
	}
	return "compare it with a limit, or ask has(…)"
}

func unitHint(a, b kind) string {
	if a == numberKind {
		return b.example()
	}
	if b == numberKind {
		return a.example()
	}
	return ""
}

func (c *reader) equalKind(n *ast.BinaryNode, a, b kind) kind {
	switch {
	case a == wordKind && b == literalKind:
		c.checkWord(n.Left, n.Right)
	case a == literalKind && b == wordKind:
		c.checkWord(n.Right, n.Left)
	case a == wordKind && b == wordKind, a == numberKind && b == numberKind:
	case a == b && a.isQuantity():
		return c.fault(n, "near(a, b, tolerance) says how near is near enough", "measured figures are never exactly equal")
	default:
		return c.fault(n, unitHint(a, b), "%s cannot be compared with %s", a, b)
	}
	return truthKind
}

// checkWord says whether a fact can be the word it is compared with.
func (c *reader) checkWord(path, literal ast.Node) {
	name, _ := pathOf(path)
	list := vocabulary(name)
	text, ok := literal.(*ast.StringNode)
	if !ok || list == nil || slices.Contains(list, text.Value) {
		return
	}
	c.fault(literal, suggest(text.Value, list), "%s is never %q", name, short(text.Value))
}

func (c *reader) callKind(n *ast.CallNode) kind {
	callee, ok := n.Callee.(*ast.IdentifierNode)
	if !ok {
		return c.fault(n, "", "%s cannot be called", short(n.Callee.String()))
	}
	f, ok := c.functions[callee.Value]
	if !ok {
		names := slices.Sorted(maps.Keys(c.functions))
		hint := "there are: " + strings.Join(names, ", ")
		if best, near := nearest(callee.Value, names); near {
			hint = fmt.Sprintf("did you mean %q?", best)
		}
		return c.fault(callee, hint, "there is no function %q", short(callee.Value))
	}
	if len(n.Arguments) != len(f.args) {
		return c.fault(callee, "", "%s wants %d between its parentheses, found %d", callee.Value, len(f.args), len(n.Arguments))
	}
	return c.argumentsKind(callee, f, n.Arguments)
}

func (c *reader) argumentsKind(callee *ast.IdentifierNode, f signature, args []ast.Node) kind {
	name := callee.Value
	if f.args[0] == literalKind {
		text, ok := args[0].(*ast.StringNode)
		if !ok {
			return c.fault(args[0], "", "%s wants a quoted id", name)
		}
		list := Dangers()
		if name == "stated" {
			list = statements()
		} else {
			c.out.hears = append(c.out.hears, text.Value)
		}
		if !slices.Contains(list, text.Value) {
			return c.fault(text, suggest(text.Value, list), "nothing that can be %s is called %q", name, short(text.Value))
		}
		return truthKind
	}
	kinds := make([]kind, len(args))
	for i, a := range args {
		if kinds[i] = c.kind(a); kinds[i] == noKind {
			return noKind
		}
	}
	switch f.args[0] {
	case numberKind: // a written quantity
		if !isWritten(args[0]) {
			return c.fault(args[0], "", "%s wants a written number, for example %s(6)", name, name)
		}
		return f.result
	case wordKind: // is
		if kinds[0] != wordKind || kinds[1] != literalKind {
			return c.fault(args[0], `for example is(carrier.locked, "yes")`, "is wants a word and a quoted word, found %s and %s", kinds[0], kinds[1])
		}
		c.checkWord(args[0], args[1])
		return f.result
	case truthKind: // has
		if _, ok := pathOf(args[0]); !ok {
			return c.fault(args[0], "for example has(lash.min)", "%s wants the name of a fact", name)
		}
		return f.result
	}
	for i, k := range kinds {
		want := kinds[0]
		if name == "near" && i == 2 {
			want = toleranceKind(want)
		}
		if !k.isQuantity() || k != want {
			return c.fault(args[i], unitHint(kinds[0], k), "%s wants figures of one kind, found %s", name, k)
		}
	}
	if name == "near" {
		c.limit(fmt.Sprintf("near(%s, %s) at %s", args[0], args[1], args[2]), fmt.Sprintf("abs((%s) - (%s))", args[0], args[1]), args[2].String())
	}
	if f.result == noKind {
		return kinds[0]
	}
	return f.result
}

// isWritten says whether a node is a number as written, with a sign or without.
func isWritten(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		return true
	case *ast.UnaryNode:
		return (n.Operator == "-" || n.Operator == "+") && isWritten(n.Node)
	}
	return false
}

// limit notes a comparison of a and b, to see later whether a case sits on it:
// the two are equal where neither is over the other.
func (c *reader) limit(text, a, b string) {
	at := fmt.Sprintf("(%s) <= (%s) and (%s) >= (%s)", a, b, a, b)
	c.out.limits = append(c.out.limits, limit{text: text, at: &expression{text: at}})
}
