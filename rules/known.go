package rules

import "shimwright/calc/unit"

// Known is a value that may not be known yet. The zero value is not known, and a
// rule that needs it stays quiet.
type Known[T any] struct {
	Value T
	Set   bool
}

// Know makes a known value.
func Know[T any](v T) Known[T] { return Known[T]{Value: v, Set: true} }

// Rise is a difference of two temperatures, in kelvin.
type Rise float64

// The kinds of value a rule can ask about.
type (
	Length      = Known[unit.Length]
	Torque      = Known[unit.Torque]
	Temperature = Known[unit.Temperature]
	Difference  = Known[Rise]    // of temperatures
	Number      = Known[float64] // a count, a ratio, minutes
	Word        = Known[string]  // one word of a fixed list, see Vocabulary; not known where empty
)

// Say makes a word; an empty text is a word that is not known.
func Say[S ~string](s S) Word { return Word{Value: string(s), Set: s != ""} }

// YesNo makes the word "yes" or "no". A fact nobody has stated is left unset,
// which is neither.
func YesNo(yes bool) Word {
	if yes {
		return Say("yes")
	}
	return Say("no")
}
