package rules

import (
	"regexp"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Form reads another YAML file that people edit, with the care of sheets and rules:
// every mistake in one run, each with its place. Lines that look as if a secret
// stood in them are not shown.
type Form struct{ s *source }

// Field is one key of a mapping; Must and May make one.
type Field = field

// Must is a key that has to be there.
func Must(key string, read func(*yaml.Node)) Field { return must(key, read) }

// May is a key that can be left out.
func May(key string, read func(*yaml.Node)) Field { return may(key, read) }

// OpenForm parses a file. The node is that of its one document, nil where the text
// is not usable; the report then says why.
func OpenForm(name string, data []byte, report *Report) (*Form, *yaml.Node) {
	f := &Form{newSource(name, data, report)}
	before := len(report.Problems)
	root := parse(f.s, data)
	for i, line := range f.s.lines {
		f.s.lines[i] = masked(line)
	}
	for i := range report.Problems[before:] {
		p := &report.Problems[before+i]
		p.source = masked(p.source)
	}
	return f, root
}

// secretKey is a key whose value is probably a secret, and where that begins.
var secretKey = regexp.MustCompile(`(?i)["']?(\w*(?:tok|pass|pwd|secret|key)\w*)["']?\s*:\s+([^\s,}][^,}]*)`)

// variableName is the value of a key that names an environment variable.
var variableName = regexp.MustCompile(`^["']?[A-Z][A-Z0-9_]*["']?\s*(?:#.*)?$`)

// masked cuts a line where a secret begins. The names of environment variables and
// of files are none.
func masked(line string) string {
	for _, m := range secretKey.FindAllStringSubmatchIndex(line, -1) {
		key, value := strings.ToLower(line[m[2]:m[3]]), line[m[4]:m[5]]
		if strings.HasSuffix(key, "_file") || strings.HasSuffix(key, "_env") && variableName.MatchString(value) {
			continue
		}
		return line[:m[4]] + "…"
	}
	return line
}

// Mistake and Look report at a node: what keeps the file from being used, and what
// is only to be looked at.
func (f *Form) Mistake(n *yaml.Node, hint, format string, args ...any) {
	f.s.at(n, hint, format, args...)
}

// Look is Mistake for what does no harm.
func (f *Form) Look(n *yaml.Node, hint, format string, args ...any) {
	f.s.look(n, hint, format, args...)
}

// Mapping reads a mapping key by key and gives the values of the keys that were
// read; unknown, repeated, empty and missing keys are reported.
func (f *Form) Mapping(n *yaml.Node, what string, fields ...Field) map[string]*yaml.Node {
	return f.s.mapping(n, what, fields...)
}

// List calls read with each item of a list.
func (f *Form) List(n *yaml.Node, what string, read func(*yaml.Node)) { f.s.list(n, what, read) }

// Text reads one line of at most so many characters into to.
func (f *Form) Text(what string, longest int, to *string) func(*yaml.Node) {
	return f.s.text(what, longest, to)
}

// Yes reads yes or no into to.
func (f *Form) Yes(what string, to *bool) func(*yaml.Node) { return f.s.yes(what, to) }

// Count reads a whole number from low to high into to.
func (f *Form) Count(what string, low, high int, to *int) func(*yaml.Node) {
	return f.s.count(what, low, high, to)
}

// FormWord reads one word of a list into to.
func FormWord[T ~string](f *Form, what string, to *T, list ...T) func(*yaml.Node) {
	return word(f.s, what, to, list...)
}
