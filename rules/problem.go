package rules

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
)

// Problem is one mistake, or one thing to look at, in a file the shop edits.
type Problem struct {
	File    string
	Line    int // from 1; 0 where the file as a whole is meant
	Column  int // from 1, in characters
	Text    string
	Hint    string // what to do or the nearest name; may be empty
	Warning bool   // the file can be used all the same

	source string // the line it is in
}

// String gives the problem in one line without its source.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Column)
	}
	b.WriteString(": ")
	if p.Warning {
		b.WriteString("look at this: ")
	}
	b.WriteString(p.Text)
	return b.String()
}

// Report collects the problems of one run. The zero value is ready.
type Report struct {
	Problems []Problem
}

// Mistakes counts the problems that keep a file from being used.
func (r *Report) Mistakes() int {
	n := 0
	for _, p := range r.Problems {
		if !p.Warning {
			n++
		}
	}
	return n
}

// Err gives nil where there is no mistake, and otherwise an error whose text is
// the first of them and how many more there are.
func (r *Report) Err() error {
	for _, p := range r.Problems {
		if !p.Warning {
			if n := r.Mistakes() - 1; n > 0 {
				return fmt.Errorf("%s (and %d more)", p, n)
			}
			return fmt.Errorf("%s", p)
		}
	}
	return nil
}

// mistakesIn counts the mistakes in one file.
func (r *Report) mistakesIn(file string) int {
	n := 0
	for _, p := range r.Problems {
		if p.File == file && !p.Warning {
			n++
		}
	}
	return n
}

// sort orders the problems by file and place.
func (r *Report) sort() { sortProblems(r.Problems) }

func sortProblems(problems []Problem) {
	slices.SortStableFunc(problems, func(a, b Problem) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
}

// Print writes every problem as file:line:col, the line and a caret under the
// place, and the hint on its own line.
func (r *Report) Print(w io.Writer) error {
	for _, p := range r.Problems {
		if _, err := fmt.Fprintln(w, p); err != nil {
			return err
		}
		if p.source != "" {
			line, caret := excerpt(p.source, p.Column)
			if _, err := fmt.Fprintf(w, "  %s\n  %s^\n", line, caret); err != nil {
				return err
			}
		}
		if p.Hint != "" {
			if _, err := fmt.Fprintf(w, "  %s\n", p.Hint); err != nil {
				return err
			}
		}
	}
	return nil
}

// excerptWidth is how much of a line is shown, in characters: a long line is cut
// round the place that is meant.
const excerptWidth = 76

// excerpt gives the part of a line round a column and the spaces that bring a
// caret under it. Characters that would upset a terminal are shown as ·.
func excerpt(line string, column int) (text, spaces string) {
	runes := []rune(line)
	at := min(max(column-1, 0), len(runes))
	from := 0
	if len(runes) > excerptWidth {
		from = min(max(at-excerptWidth/2, 0), len(runes)-excerptWidth)
		runes = runes[:from+excerptWidth]
	}
	clean := func(rs []rune) string {
		return strings.Map(func(r rune) rune {
			switch {
			case r == '\t':
				return ' '
			case !unicode.IsPrint(r):
				return '·'
			}
			return r
		}, string(rs))
	}
	text = clean(runes[from:])
	if from > 0 {
		return "…" + text, strings.Repeat(" ", at-from+1)
	}
	return text, strings.Repeat(" ", at-from)
}
