// Package calc_test holds what the calculations promise together.
package calc_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// The calculations stand on the standard library, gonum and each other only, so
// that they can be checked, and used, without the rest. Tests may use more.
func TestImports(t *testing.T) {
	files := 0
	err := filepath.WalkDir(".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		files++
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range file.Imports {
			name, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			if !allowed(name) {
				t.Errorf("%s imports %s; only the standard library, gonum.org/v1/gonum and shimwright/calc are allowed", path, name)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files == 0 {
		t.Fatal("no source file was looked at")
	}
}

func allowed(name string) bool {
	if strings.HasPrefix(name, "gonum.org/v1/gonum/") || strings.HasPrefix(name, "shimwright/calc/") {
		return true
	}
	// The standard library's paths have no dot in their first element, and this
	// module's own first element is its name.
	first, _, _ := strings.Cut(name, "/")
	return !strings.Contains(first, ".") && first != "shimwright" && first != "C"
}

func TestAllowed(t *testing.T) {
	for name, want := range map[string]bool{
		"math": true, "encoding/json": true, "gonum.org/v1/gonum/mat": true, "shimwright/calc/unit": true,
		"shimwright/rules": false, "shimwright": false, "pgregory.net/rapid": false, "github.com/google/go-cmp/cmp": false, "C": false,
	} {
		if got := allowed(name); got != want {
			t.Errorf("allowed(%q) = %v, want %v", name, got, want)
		}
	}
}
