package rules_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"shimwright/rules"
)

// constants reads the values of the string constants whose names begin with a
// prefix from a Go file.
func constants(t *testing.T, file, prefix string) []string {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	ast.Inspect(parsed, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 || !strings.HasPrefix(spec.Names[0].Name, prefix) {
			return true
		}
		if literal, ok := spec.Values[0].(*ast.BasicLit); ok && literal.Kind == token.STRING {
			value, err := strconv.Unquote(literal.Value)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, value)
		}
		return true
	})
	return out
}

// TestWordsAgree holds the words a rule can use against those the rest of the
// program says: a danger a message can name that no rule can listen for would be
// passed over in silence.
func TestWordsAgree(t *testing.T) {
	vocabulary := rules.Vocabulary()
	for _, row := range []struct{ file, prefix, path string }{
		{"../dialogs/listen/dangers.go", "Danger", "heard"},
		{"../dialogs/listen/topics.go", "Fact", "stated"},
		{"../dialogs/step.go", "Step", "step"},
	} {
		if _, err := os.Stat(row.file); err != nil {
			t.Fatal(err)
		}
		said := constants(t, row.file, row.prefix)
		if len(said) < 8 {
			t.Fatalf("%s: found %d constants", row.file, len(said))
		}
		for _, word := range said {
			if !slices.Contains(vocabulary[row.path], word) {
				t.Errorf("%s says %q, which no rule can ask for with %s", row.file, word, row.path)
			}
		}
	}
}

// TestEveryDangerIsAnswered: whatever hazard a message names, a rule speaks.
func TestEveryDangerIsAnswered(t *testing.T) {
	set, report := rules.LoadRules(nil, nil)
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	for _, danger := range rules.Dangers() {
		if got := set.Evaluate(rules.Facts{Heard: []string{danger}}); len(got) == 0 || got[0].Hint == "" {
			t.Errorf("heard %s: %v", danger, got)
		}
	}
}
