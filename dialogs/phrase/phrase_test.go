package phrase

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

func TestSay(t *testing.T) {
	b, err := load(fstest.MapFS{
		"en/a.yaml": {Data: []byte("x: \"{by} read {n} {n:leaf|leaves}{late? late}, {{}}\"\nplain: yes then\nonly: only english")},
		"es/a.yaml": {Data: []byte("x: \"{n} {n:hoja|hojas}: {by}\"\nplain: sí")},
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		lang Language
		key  string
		args []any
		want string
	}{
		{English, "a.x", []any{"by", "mo", "n", 1, "late", ""}, "mo read 1 leaf, {}"},
		{English, "a.x", []any{"n", 0, "by", "mo", "late", true}, "mo read 0 leaves late, {}"},
		{English, "a.x", []any{"n", 2}, "‹by› read 2 leaves‹late›, {}"},
		{Spanish, "a.x", []any{"n", 1, "by", "mo"}, "1 hoja: mo"},
		{Spanish, "a.only", nil, "only english"},
		{"", "a.plain", nil, "yes then"},
		{"fr", "a.plain", nil, "yes then"},
		{English, "a.none", nil, "‹a.none›"},
	} {
		if got := b.In(c.lang).Say(c.key, c.args...); got != c.want {
			t.Errorf("%s %s: %q, want %q", c.lang, c.key, got, c.want)
		}
	}
}

func TestMistakesInATextAreErrors(t *testing.T) {
	for _, source := range []string{"{", "}", "{Name}", "{}", "{n:leaf}", "{n:a|b|c}", "x {a b} y"} {
		if got, err := parse(source); err == nil {
			t.Errorf("%q: %v, want an error", source, got)
		}
	}
}

// Every language says all that English says, about the same values.
func TestLanguagesAreComplete(t *testing.T) {
	b, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	english := b.texts[English]
	for _, lang := range Languages()[1:] {
		for key, en := range english {
			other, ok := b.texts[lang][key]
			if !ok {
				t.Errorf("%s has no %s", lang, key)
				continue
			}
			if got, want := other.names(), en.names(); !slices.Equal(got, want) {
				t.Errorf("%s %s speaks of %v, English of %v", lang, key, got, want)
			}
		}
		for key := range b.texts[lang] {
			if _, ok := english[key]; !ok {
				t.Errorf("%s has %s, English has not", lang, key)
			}
		}
	}
}

// The code asks only for phrases there are, with their values, and every phrase is
// asked for somewhere.
func TestCodeAndPhrasesAgree(t *testing.T) {
	b, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	english := b.texts[English]
	dialogs := map[string]bool{}
	for key := range english {
		dialog, _, _ := strings.Cut(key, ".")
		dialogs[dialog] = true
	}
	shape := regexp.MustCompile(`^([a-z0-9-]+)\.[a-z0-9_]+$`)
	used := map[string]bool{}
	keyOf := func(e ast.Expr) string {
		lit, ok := e.(*ast.BasicLit)
		if !ok || lit.Kind != token.STRING {
			return ""
		}
		s, err := strconv.Unquote(lit.Value)
		if m := shape.FindStringSubmatch(s); err == nil && m != nil && dialogs[m[1]] {
			return s
		}
		return ""
	}
	root := filepath.Join("..", "..")
	fset := token.NewFileSet()
	err = filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return err
		}
		source, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(fset, name, source, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if call, ok := n.(*ast.CallExpr); ok && call.Ellipsis == token.NoPos {
				checkCall(t, fset, call, keyOf, english)
			}
			if e, ok := n.(ast.Expr); ok {
				if key := keyOf(e); key != "" {
					used[key] = true
					if _, ok := english[key]; !ok && !isFile(key) {
						t.Errorf("%s: no phrase %s", fset.Position(e.Pos()), key)
					}
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for key := range english {
		if !used[key] {
			t.Errorf("nothing asks for %s", key)
		}
	}
}

// isFile says whether a literal of the shape of a key is a file's name.
func isFile(s string) bool {
	switch filepath.Ext(s) {
	case ".txt", ".json", ".yaml", ".pdf", ".csv", ".png", ".go", ".db":
		return true
	}
	return false
}

// checkCall holds the names a call gives with a key against those of the phrase.
func checkCall(t *testing.T, fset *token.FileSet, call *ast.CallExpr, keyOf func(ast.Expr) string, english map[string]text) {
	for i, arg := range call.Args {
		key := keyOf(arg)
		want, ok := english[key]
		if !ok {
			continue
		}
		var given []string
		for _, name := range call.Args[i+1:] {
			lit, ok := name.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				continue
			}
			s, err := strconv.Unquote(lit.Value)
			if err == nil {
				given = append(given, s)
			}
		}
		for _, name := range want.names() {
			if !slices.Contains(given, name) {
				t.Errorf("%s: %s wants {%s}", fset.Position(call.Pos()), key, name)
			}
		}
		return
	}
}
