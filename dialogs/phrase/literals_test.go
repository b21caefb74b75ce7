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
)

// sentence is two words in a row, which is how what people read begins.
var sentence = regexp.MustCompile(`\pL{2,}[,;:]? \pL{2,}`)

// Calls whose texts nobody reads in a chat: errors and logs are for who runs the
// program, patterns are for what people type.
var notSaid = map[string]bool{
	"New": true, "Errorf": true, "inputError": true, "requestError": true, "badRequest": true, "MustCompile": true,
	"Debug": true, "Info": true, "Warn": true, "Error": true, "Log": true, "report": true, "refuse": true, "panic": true, "checkLength": true, "Contains": true, "HasPrefix": true, "CutPrefix": true, "hasAny": true,
}

// Literals that are no text of the assistant's, each with what it is.
var otherLiterals = map[string]string{
	"text/csv; charset=utf-8": "a media type",
	"pinion nut":              "the name of a fastener of a sheet",
	"bearing caps":            "the name of a fastener of a sheet",
	"head bearing height":     "the name of a term, said by termName",
	"(taken out)":             "stands in a log for words that were taken out",
	" US pt":                  "a unit",
	"total drag ":             "a choice as it is typed",
	"ring bolts":              "words that are read",
	"ring runout ":            "put before a figure to read it",
	", socket extension":      "put behind a question to read it",
}

// Folders under the project's root whose code speaks to people, and files in them that
// hold texts or words on purpose.
var (
	speaking  = []string{"dialogs", "dialogs/advise", "dialogs/sheet", "dialogs/picture", "bot"}
	wordLists = []string{
		"dialogs/picture/labels.go", "dialogs/picture/labels_es.go", // the same idea as this catalogue, for pictures
		"dialogs/askwords.go",    // choices as they are typed, with their phrases
		"dialogs/glossary.go",    // words that are asked about
		"dialogs/reviewwords.go", // words by which a mentor names a reading
		"bot/audit.go",           // for who runs the program
	}
)

// What is said stands in the catalogue: no sentence hides in the code.
func TestNoSentenceStandsInTheCode(t *testing.T) {
	root := filepath.Join("..", "..")
	fset := token.NewFileSet()
	used := map[string]bool{}
	for _, folder := range speaking {
		files, err := fs.Glob(os.DirFS(root), folder+"/*.go")
		if err != nil || len(files) == 0 {
			t.Fatalf("%d files in %s: %v", len(files), folder, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") || slices.Contains(wordLists, name) {
				continue
			}
			file, err := parser.ParseFile(fset, filepath.Join(root, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(file, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.ImportSpec, *ast.CaseClause:
					if c, ok := n.(*ast.CaseClause); ok {
						for _, s := range c.Body {
							ast.Inspect(s, func(n ast.Node) bool { return spoken(t, fset, n, used) })
						}
					}
					return false
				}
				return spoken(t, fset, n, used)
			})
		}
	}
	for text, why := range otherLiterals {
		if !used[text] {
			t.Errorf("%q (%s) is in no code any more", text, why)
		}
	}
}

// spoken complains about a literal that reads like something said; false where what
// is below the node is not said.
func spoken(t *testing.T, fset *token.FileSet, n ast.Node, used map[string]bool) bool {
	switch n := n.(type) {
	case *ast.FuncDecl:
		return n.Name.Name != "Error" // an error's text
	case *ast.CallExpr:
		name := ""
		switch f := n.Fun.(type) {
		case *ast.Ident:
			name = f.Name
		case *ast.SelectorExpr:
			name = f.Sel.Name
		}
		return !notSaid[name]
	case *ast.Field:
		return n.Tag == nil
	case *ast.BasicLit:
		text, err := strconv.Unquote(n.Value)
		if n.Kind != token.STRING || err != nil || !sentence.MatchString(text) {
			return false
		}
		if _, ok := otherLiterals[text]; ok {
			used[text] = true
			return false
		}
		t.Errorf("%s: %q belongs into the catalogue, in every language", fset.Position(n.Pos()), text)
	}
	return true
}
