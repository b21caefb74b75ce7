package rules

import "github.com/expr-lang/expr/ast"

// Names of the functions operators are turned into. They hold a character that
// cannot be typed in a condition, so a rule cannot call them.
const (
	opLess     = "<·"
	opMore     = ">·"
	opAtMost   = "<=·"
	opAtLeast  = ">=·"
	opSame     = "==·"
	opOther    = "!=·"
	opApart    = "apart·"
	opAdd      = "+·"
	opSubtract = "-·"
	opMultiply = "*·"
	opDivide   = "/·"
	opNegate   = "neg·"
)

// operators turns the operators of a condition into calls of our functions,
// which know units and values that are not known.
//
// A comparison with a value that is not known is false, and so is its opposite:
// neither "lash below the limit" nor "lash not below the limit" can be said of a
// lash nobody read. Negations are therefore carried inwards to the comparisons
// (De Morgan), each of which is turned into its opposite. What is left is true
// exactly where the condition is true whatever the unknown values are (Kleene's
// strong logic), so an unknown value never makes a rule fire by negation, and
// never silences an "or" whose other side is true.
type operators struct{}

// Visit is called for each node after its children.
func (operators) Visit(node *ast.Node) {
	switch n := (*node).(type) {
	case *ast.BinaryNode:
		if name := operatorFunction(n.Operator); name != "" {
			ast.Patch(node, call(name, n.Left, n.Right))
		} else if n.Operator == "in" {
			ast.Patch(node, oneOf(n))
		}
	case *ast.UnaryNode:
		switch n.Operator {
		case "-":
			ast.Patch(node, call(opNegate, n.Node))
		case "+":
			ast.Patch(node, n.Node)
		case "not", "!":
			ast.Patch(node, opposite(n.Node))
		}
	}
}

func operatorFunction(op string) string {
	switch op {
	case "<":
		return opLess
	case ">":
		return opMore
	case "<=":
		return opAtMost
	case ">=":
		return opAtLeast
	case "==":
		return opSame
	case "!=":
		return opOther
	case "+":
		return opAdd
	case "-":
		return opSubtract
	case "*":
		return opMultiply
	case "/":
		return opDivide
	}
	return ""
}

func call(name string, args ...ast.Node) ast.Node {
	return &ast.CallNode{Callee: &ast.IdentifierNode{Value: name}, Arguments: args}
}

// oneOf turns `x in ["a", "b"]` into x == "a" or x == "b".
func oneOf(n *ast.BinaryNode) ast.Node {
	list, ok := n.Right.(*ast.ArrayNode)
	if !ok {
		return n // the check has refused it
	}
	var out ast.Node = &ast.BoolNode{Value: false}
	for i, item := range list.Nodes {
		is := call(opSame, n.Left, item)
		if i == 0 {
			out = is
		} else {
			out = &ast.BinaryNode{Operator: "or", Left: out, Right: is}
		}
	}
	return out
}

// opposite gives the negation of a condition whose operators are calls already.
func opposite(n ast.Node) ast.Node {
	switch n := n.(type) {
	case *ast.UnaryNode:
		if n.Operator == "not" || n.Operator == "!" {
			return n.Node
		}
	case *ast.BinaryNode:
		switch n.Operator {
		case "and", "&&":
			return &ast.BinaryNode{Operator: "or", Left: opposite(n.Left), Right: opposite(n.Right)}
		case "or", "||":
			return &ast.BinaryNode{Operator: "and", Left: opposite(n.Left), Right: opposite(n.Right)}
		}
	case *ast.BoolNode:
		return &ast.BoolNode{Value: !n.Value}
	case *ast.CallNode:
		if callee, ok := n.Callee.(*ast.IdentifierNode); ok {
			if name := oppositeFunction(callee.Value); name != "" {
				return call(name, n.Arguments...)
			}
		}
	}
	// What is always known (has, heard, stated) is negated as it stands.
	return &ast.UnaryNode{Operator: "not", Node: n}
}

func oppositeFunction(name string) string {
	switch name {
	case opLess:
		return opAtLeast
	case opAtLeast:
		return opLess
	case opMore:
		return opAtMost
	case opAtMost:
		return opMore
	case opSame:
		return opOther
	case opOther:
		return opSame
	case "near":
		return opApart
	case opApart:
		return "near"
	}
	return ""
}
