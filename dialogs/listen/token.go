package listen

import (
	"strconv"
	"strings"
	"unicode"
)

// kind of a token.
type tokenKind uint8

const (
	word tokenKind = iota
	numeral
	mark    // punctuation, one character, or a small sign
	newline // end of a line
)

// token is a word, a number or a sign of a message.
type token struct {
	kind  tokenKind
	text  string // lower case; of a number as typed
	raw   string // of a word, before its spelling was mended
	num   number
	glued bool // nothing between it and the token before
	a, b  int  // where in the normalised text
}

// number is a number as typed.
type number struct {
	val    float64
	sign   byte // '+' or '-' where typed
	whole  int  // digits before the point
	frac   int  // digits after it
	point  bool // has a point or a decimal comma
	spelt  bool // in words
	padded bool // starts with 0 without a point: 009
	dotted bool // one of 8.8.9.8
}

// small says that the number is a decimal below one, as inches and millimetres
// are typed: .008, 0.23.
func (n number) small() bool { return n.point && n.val < 1 && n.val > -1 }

// scan cuts normalised text into tokens.
func scan(text string) []token {
	text = zeroLetters(text)
	tokens := make([]token, 0, len(text)/4+4)
	end := -1 // of the token before
	add := func(t token) {
		t.glued = t.a == end
		end = t.b
		tokens = append(tokens, t)
	}
	for i := 0; i < len(text); {
		c := text[i]
		switch {
		case c == ' ':
			i++
		case c == '\n':
			add(token{kind: newline, text: "\n", a: i, b: i + 1})
			i++
		case isDigit(c), c == '.' && i+1 < len(text) && isDigit(text[i+1]):
			j := i
			for j < len(text) && (isDigit(text[j]) || text[j] == '.' && j+1 < len(text) && isDigit(text[j+1])) {
				j++
			}
			for _, p := range splitDots(text[i:j]) {
				t := token{kind: numeral, text: text[i+p.a : i+p.b], num: p.num, a: i + p.a, b: i + p.b}
				add(t)
			}
			i = j
		case (c == '-' || c == '+') && startsNumber(text[i+1:]) && signHere(text, i, tokens):
			j := i + 1
			for j < len(text) && (isDigit(text[j]) || text[j] == '.' && j+1 < len(text) && isDigit(text[j+1])) {
				j++
			}
			parts := splitDots(text[i+1 : j])
			for k, p := range parts {
				n, a := p.num, i+1+p.a
				if k == 0 {
					n.sign, a = c, i
					if c == '-' {
						n.val = -n.val
					}
				}
				add(token{kind: numeral, text: text[a : i+1+p.b], num: n, a: a, b: i + 1 + p.b})
			}
			i = j
		default:
			r, size := decode(text[i:])
			if !unicode.IsLetter(r) && r != '@' {
				add(token{kind: mark, text: text[i : i+size], a: i, b: i + size})
				i += size
				continue
			}
			j := i + size
			for j < len(text) {
				r, n := decode(text[j:])
				if unicode.IsLetter(r) || r == '\'' && j+1 < len(text) && isLetterAt(text, j+1) {
					j += n
					continue
				}
				break
			}
			for _, w := range splitApostrophe(text[i:j]) {
				add(token{kind: word, text: w.text, raw: w.text, a: i + w.a, b: i + w.b})
			}
			i = j
		}
	}
	return tokens
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func decode(s string) (rune, int) {
	for _, r := range s {
		return r, len(string(r))
	}
	return ' ', 1
}

func isLetterAt(s string, i int) bool {
	r, _ := decode(s[i:])
	return unicode.IsLetter(r)
}

func startsNumber(s string) bool {
	return len(s) > 0 && isDigit(s[0]) || len(s) > 1 && s[0] == '.' && isDigit(s[1])
}

// signHere says whether the + or - at i is a sign of the number after it and not
// a dash or a plus between two numbers.
func signHere(text string, i int, before []token) bool {
	if len(before) == 0 {
		return true
	}
	last := before[len(before)-1]
	glued := last.b == i
	switch last.kind {
	case numeral:
		return !glued && last.num.sign != 0
	case word:
		return !glued || text[i] == '+'
	case mark:
		return last.text != ")" || !glued
	}
	return true
}

// dotPart is one number of a run of digits and points.
type dotPart struct {
	a, b int
	num  number
}

// splitDots reads a run of digits and points: one number, or several where
// points stand between them (8.8.9.8, .008.009).
func splitDots(run string) []dotPart {
	dots := strings.Count(run, ".")
	if dots <= 1 {
		return []dotPart{{0, len(run), parseNumber(run, 0)}}
	}
	var parts []dotPart
	start := 0
	if run[0] == '.' { // a new number at each point
		for i := 1; i <= len(run); i++ {
			if i == len(run) || run[i] == '.' {
				parts = append(parts, dotPart{start, i, parseNumber(run[start:i], 0)})
				start = i
			}
		}
		return parts
	}
	for i := 0; i <= len(run); i++ {
		if i == len(run) || run[i] == '.' {
			n := parseNumber(run[start:i], 0)
			n.dotted = true
			parts = append(parts, dotPart{start, i, n})
			start = i + 1
		}
	}
	return parts
}

// parseNumber reads digits with at most one point; point is where the decimal
// comma stood, or 0.
func parseNumber(s string, comma int) number {
	if comma > 0 {
		s = s[:comma] + "." + s[comma+1:]
	}
	whole, frac, point := strings.Cut(s, ".")
	v, err := strconv.ParseFloat("0"+s, 64)
	if err != nil || v > 1e15 {
		v = 1e15 // beyond anything; no quantity finds it plausible
	}
	return number{
		val: v, whole: len(whole), frac: len(frac), point: point,
		padded: !point && len(whole) > 1 && whole[0] == '0',
	}
}

// zeroLetters turns the letter o typed for a zero inside a number (".oo8",
// "0.o9", "2o mm") into the digit.
func zeroLetters(text string) string {
	if !strings.Contains(text, "o") {
		return text
	}
	b := []byte(text)
	for i := 1; i < len(b); i++ {
		if b[i] != 'o' {
			continue
		}
		j := i
		for j < len(b) && b[j] == 'o' {
			j++
		}
		digitAfter := j < len(b) && isDigit(b[j])
		endAfter := isDigit(b[i-1]) && (j == len(b) || !isLetterAt(text, j) || strings.HasPrefix(text[j:], "mm") || strings.HasPrefix(text[j:], "thou"))
		if digitAfter && (isDigit(b[i-1]) || b[i-1] == '.') || endAfter {
			for k := i; k < j; k++ {
				b[k] = '0'
			}
		}
		i = j
	}
	return string(b)
}

// piece is a part of a word with an apostrophe in it.
type piece struct {
	text string
	a, b int
}

// splitApostrophe parts what is run together: "it's" is "it" "'s", "we'll" is
// "we" "will"; "didn't" becomes "didnt" and "o'clock" "oclock".
func splitApostrophe(w string) []piece {
	i := strings.IndexByte(w, '\'')
	if i < 0 {
		return []piece{{w, 0, len(w)}}
	}
	head, tail := w[:i], strings.ReplaceAll(w[i+1:], "'", "")
	switch tail {
	case "s":
		return []piece{{head, 0, i}, {"'s", i, len(w)}}
	case "ll":
		return []piece{{head, 0, i}, {"will", i, len(w)}}
	case "re":
		return []piece{{head, 0, i}, {"are", i, len(w)}}
	case "ve":
		return []piece{{head, 0, i}, {"have", i, len(w)}}
	case "d":
		if !contracts[head] && head != "i" && head != "you" && head != "we" && head != "they" {
			break // "ok'd"
		}
		return []piece{{head, 0, i}, {"would", i, len(w)}}
	}
	return []piece{{head + tail, 0, len(w)}}
}
