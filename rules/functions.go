package rules

import (
	"errors"
	"fmt"
	"math"

	"github.com/expr-lang/expr"

	"shimwright/calc/unit"
)

// signature is how a function of a condition may be called. In args, truthKind
// stands for a path or quantity of any kind, noKind for a quantity of the same
// kind as the other arguments, numberKind and literalKind for written ones.
type signature struct {
	args   []kind
	result kind // noKind: that of the arguments
}

// functions lists what a condition can call.
func functions() map[string]signature {
	constant := func(k kind) signature { return signature{[]kind{numberKind}, k} }
	pair := signature{[]kind{noKind, noKind}, noKind}
	return map[string]signature{
		"mm": constant(lengthKind), "inch": constant(lengthKind), "thou": constant(lengthKind),
		"hundredths": constant(lengthKind), "mi": constant(lengthKind), "km": constant(lengthKind),
		"inlbf": constant(torqueKind), "ftlbf": constant(torqueKind), "newtonmetre": constant(torqueKind),
		"degc": constant(temperatureKind), "degf": constant(temperatureKind),
		"kelvin": constant(differenceKind), "degf_more": constant(differenceKind),
		"abs":    {[]kind{noKind}, noKind},
		"near":   {[]kind{noKind, noKind, noKind}, truthKind},
		"least":  pair,
		"most":   pair,
		"orelse": pair,
		"has":    {[]kind{truthKind}, truthKind},
		"is":     {[]kind{wordKind, literalKind}, truthKind},
		"heard":  {[]kind{literalKind}, truthKind},
		"stated": {[]kind{literalKind}, truthKind},
	}
}

// Errors of evaluating a condition.
var (
	errDivision = errors.New("division by zero")
	errInfinite = errors.New("a figure that is not finite")
	errMixed    = errors.New("figures of different kinds")
)

// Two figures closer than this count as equal, so that a reading that sits on
// its limit is never decided by the last bit of its conversion: a tenth of a
// micron, a tenth of a millinewton-metre, a thousandth of a degree.
func slack(k kind) float64 {
	switch k {
	case lengthKind, torqueKind:
		return 1e-4
	case temperatureKind, differenceKind:
		return 1e-3
	}
	return 1e-9
}

// finite says whether a size is a number that can be worked with; 1e15 mm is
// beyond anything that is measured here.
func finite(size float64) bool { return math.Abs(size) <= 1e15 }

// sizes takes values of one kind apart. known is false where one is not known;
// it errs where the kinds differ or a size is not finite.
func sizes(vs ...any) (k kind, size []float64, known bool, err error) {
	size, known = make([]float64, len(vs)), true
	for i, v := range vs {
		vk, s, set := kindOfValue(v)
		if i > 0 && vk != k {
			return noKind, nil, false, fmt.Errorf("%w: %s and %s", errMixed, k, vk)
		}
		k = vk
		if set && !finite(s) {
			return noKind, nil, false, errInfinite
		}
		size[i], known = s, known && set
	}
	return k, size, known, nil
}

// compare makes a comparison of sizes: false where one of them is not known.
func compare(holds func(a, b, slack float64) bool) func(...any) (any, error) {
	return func(vs ...any) (any, error) {
		k, s, known, err := sizes(vs...)
		return known && holds(s[0], s[1], slack(k)), err
	}
}

// same and other compare words, or numbers, or a word with a quoted one.
func same(want bool) func(...any) (any, error) {
	return func(vs ...any) (any, error) {
		a, aKnown := textOf(vs[0])
		b, bKnown := textOf(vs[1])
		if aKnown.text && bKnown.text {
			return aKnown.set && bKnown.set && (a == b) == want, nil
		}
		k, s, known, err := sizes(vs...)
		return known && (math.Abs(s[0]-s[1]) <= slack(k)) == want, err
	}
}

type textState struct{ text, set bool }

func textOf(v any) (string, textState) {
	switch v := v.(type) {
	case Word:
		return v.Value, textState{true, v.Set}
	case string:
		return v, textState{true, true}
	}
	return "", textState{}
}

// within says whether two figures are at most a tolerance apart, or (want false)
// farther; false where one of them is not known.
func within(want bool) func(...any) (any, error) {
	return func(vs ...any) (any, error) {
		k, s, known, err := sizes(vs[0], vs[1])
		tk, tol, set := kindOfValue(vs[2])
		switch {
		case err != nil:
			return false, err
		case tk != toleranceKind(k):
			return false, fmt.Errorf("%w: %s and a tolerance that is %s", errMixed, k, tk)
		case set && !(tol >= 0 && finite(tol)):
			return false, errInfinite
		}
		return known && set && (math.Abs(s[0]-s[1]) <= tol+slack(k)) == want, nil
	}
}

// toleranceKind is the kind of a difference of two values of a kind.
func toleranceKind(k kind) kind {
	if k == temperatureKind {
		return differenceKind
	}
	return k
}

// arithmetic gives the kind of a op b, noKind where that makes no sense.
func arithmetic(op string, a, b kind) kind {
	if !a.isQuantity() || !b.isQuantity() {
		return noKind
	}
	switch op {
	case "+", "-":
		switch {
		case a == temperatureKind && b == temperatureKind && op == "-":
			return differenceKind
		case a == temperatureKind && b == differenceKind:
			return temperatureKind
		case a == differenceKind && b == temperatureKind && op == "+":
			return temperatureKind
		case a == b && a != temperatureKind:
			return a
		}
	case "*":
		switch {
		case a == numberKind && b != temperatureKind:
			return b
		case b == numberKind && a != temperatureKind:
			return a
		}
	case "/":
		switch {
		case b == numberKind && a != temperatureKind:
			return a
		case a == b && a != temperatureKind:
			return numberKind
		}
	}
	return noKind
}

// calculate makes an arithmetic operation. The result is not known where an
// operand is not; a division by zero and a result that is not finite are errors.
func calculate(op string) func(...any) (any, error) {
	return func(vs ...any) (any, error) {
		ak, a, aSet := kindOfValue(vs[0])
		bk, b, bSet := kindOfValue(vs[1])
		k := arithmetic(op, ak, bk)
		if k == noKind {
			return nil, fmt.Errorf("%w: %s %s %s", errMixed, ak, op, bk)
		}
		if !aSet || !bSet {
			return k.make(0, false), nil
		}
		var r float64
		switch op {
		case "+":
			r = a + b
		case "-":
			r = a - b
		case "*":
			r = a * b
		case "/":
			if b == 0 {
				return nil, errDivision
			}
			r = a / b
		}
		if !finite(r) {
			return nil, errInfinite
		}
		return k.make(r, true), nil
	}
}

// each makes a function of quantities of one kind that gives one of that kind.
func each(f func(s []float64) float64) func(...any) (any, error) {
	return func(vs ...any) (any, error) {
		k, s, known, err := sizes(vs...)
		if err != nil || !known {
			return k.make(0, false), err
		}
		return k.make(f(s), true), nil
	}
}

// constant makes a quantity written in a rule.
func constant[T any](f func(float64) T) func(...any) (any, error) {
	return func(vs ...any) (any, error) {
		_, v, set := kindOfValue(vs[0])
		if !set || !finite(v) {
			return nil, errInfinite
		}
		return Know(f(v)), nil
	}
}

// evaluator gives the options that make the functions, and those the operators
// are turned into, known to the evaluator.
func evaluator() []expr.Option {
	var options []expr.Option
	add := func(name string, f func(...any) (any, error), types ...any) {
		options = append(options, expr.Function(name, f, types...))
	}
	truth1, truth2, truth3 := new(func(any) bool), new(func(any, any) bool), new(func(any, any, any) bool)
	any1, any2 := new(func(any) any), new(func(any, any) any)

	add(opLess, compare(func(a, b, s float64) bool { return a < b-s }), truth2)
	add(opMore, compare(func(a, b, s float64) bool { return a > b+s }), truth2)
	add(opAtMost, compare(func(a, b, s float64) bool { return a <= b+s }), truth2)
	add(opAtLeast, compare(func(a, b, s float64) bool { return a >= b-s }), truth2)
	add(opSame, same(true), truth2)
	add(opOther, same(false), truth2)
	add("near", within(true), truth3)
	add(opApart, within(false), truth3)
	for op, name := range map[string]string{"+": opAdd, "-": opSubtract, "*": opMultiply, "/": opDivide} {
		add(name, calculate(op), any2)
	}
	add(opNegate, each(func(s []float64) float64 { return -s[0] }), any1)
	add("abs", each(func(s []float64) float64 { return math.Abs(s[0]) }), any1)
	add("least", each(func(s []float64) float64 { return min(s[0], s[1]) }), any2)
	add("most", each(func(s []float64) float64 { return max(s[0], s[1]) }), any2)
	add("orelse", func(vs ...any) (any, error) {
		if _, _, set := kindOfValue(vs[0]); set {
			return vs[0], nil
		}
		return vs[1], nil
	}, any2)
	// What is not known is not "yes"; unlike ==, its negation is then true.
	add("is", same(true), truth2)
	add("has", func(vs ...any) (any, error) {
		_, _, set := kindOfValue(vs[0])
		return set, nil
	}, truth1)

	add("mm", constant(unit.MM), any1)
	add("inch", constant(unit.Inch), any1)
	add("thou", constant(unit.Thou), any1)
	add("hundredths", constant(unit.Hundredth), any1)
	add("mi", constant(func(v float64) unit.Length { return unit.Length(v) * mile }), any1)
	add("km", constant(func(v float64) unit.Length { return unit.Length(v) * kilometre }), any1)
	add("inlbf", constant(unit.InLbf), any1)
	add("ftlbf", constant(unit.FtLbf), any1)
	add("newtonmetre", constant(unit.NewtonMetre), any1)
	add("degc", constant(unit.Celsius), any1)
	add("degf", constant(unit.Fahrenheit), any1)
	add("kelvin", constant(func(v float64) Rise { return Rise(v) }), any1)
	// A difference of 1 °F is 1/1.8 K. Source: NIST SP 811 (2008) appendix B.8.
	add("degf_more", constant(func(v float64) Rise { return Rise(v / 1.8) }), any1)
	return options
}
