package rules

import (
	"unicode"

	"go.yaml.in/yaml/v4"
)

// place gives the line and column of a character inside the value of a scalar,
// which may be plain, quoted or run over several lines. The value has lost
// indentation and line ends, so what is counted is the characters that are not
// space.
func (s *source) place(n *yaml.Node, offset int) (line, column int) {
	value := []rune(n.Value)
	if offset >= len(value) && len(value) > 0 {
		offset = len(value) - 1
	}
	before := 0
	for _, r := range value[:min(offset, len(value))] {
		if !unicode.IsSpace(r) {
			before++
		}
	}
	line, column = n.Line, n.Column
	switch {
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		line, column = line+1, 1
	case n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		column++
	}
	for line <= len(s.lines) {
		runes := []rune(s.lines[line-1])
		for column <= len(runes) {
			r := runes[column-1]
			switch {
			case unicode.IsSpace(r):
			case escapes(n, r, runes[column:]):
			case before == 0:
				return line, column
			default:
				before--
			}
			column++
		}
		line, column = line+1, 1
	}
	return n.Line, n.Column
}

// escapes says whether a character only introduces the next one in a quoted
// value.
func escapes(n *yaml.Node, r rune, rest []rune) bool {
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		return r == '\\'
	case n.Style&yaml.SingleQuotedStyle != 0:
		return r == '\'' && len(rest) > 0 && rest[0] == '\''
	}
	return false
}
