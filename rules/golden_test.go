package rules

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file of testdata, or writes it.
func golden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", file, diff)
	}
}

// TestSheetMistakes holds what a shop reads when a sheet is wrong: every mistake
// of the file in one run, at its place, with what was found, what can be there
// and the nearest word. Each file must be refused.
func TestSheetMistakes(t *testing.T) {
	files, err := filepath.Glob("testdata/sheets/*.yaml")
	if err != nil || len(files) < 15 {
		t.Fatalf("found %d files, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			var report Report
			if sheet := ReadSheet("x", filepath.Base(file), data, &report); sheet != nil {
				t.Error("the sheet was taken")
			}
			if report.Mistakes() == 0 {
				t.Error("no mistake was reported")
			}
			report.sort()
			var out bytes.Buffer
			if err := report.Print(&out); err != nil {
				t.Fatal(err)
			}
			golden(t, strings.TrimSuffix(file, ".yaml")+".txt", out.Bytes())
		})
	}
}

// TestRuleMistakes is the same for rules, in a shop's folder.
func TestRuleMistakes(t *testing.T) {
	files, err := filepath.Glob("testdata/rules/*.yaml")
	if err != nil || len(files) < 3 {
		t.Fatalf("found %d files, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			shop := fstest.MapFS{"rules/" + filepath.Base(file): {Data: data}}
			set, report := loadOver(shop, nil)
			for _, r := range set.Rules() {
				if r.Own && r.ID != "no-limit-case" && r.ID != "wrong-side" {
					t.Errorf("rule %s was taken", r.ID)
				}
			}
			var out bytes.Buffer
			if err := report.Print(&out); err != nil {
				t.Fatal(err)
			}
			golden(t, strings.TrimSuffix(file, ".yaml")+".txt", out.Bytes())
		})
	}
}

// TestShow holds how the shipped sheets read on a phone.
func TestShow(t *testing.T) {
	book, _ := LoadBook(nil)
	for _, name := range book.Names() {
		sheet, err := book.Sheet(name)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := sheet.Show(&out); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(out.String(), "\n") {
			if n := len([]rune(line)); n > phoneWidth {
				t.Errorf("%s: a line has %d characters, a phone shows %d: %s", name, n, phoneWidth, line)
			}
		}
		golden(t, "testdata/show/"+name+".txt", out.Bytes())
	}
}

// TestFolderMistakes is what is said of the folder itself.
func TestFolderMistakes(t *testing.T) {
	shop := fstest.MapFS{
		"rules/lash.yml":      {Data: []byte("rules: []")},
		"rules/.swp.yaml":     {Data: []byte("x")},
		"rules/pipe.yaml":     {Mode: fs.ModeNamedPipe},
		"rules/folder.yaml":   {Mode: fs.ModeDir},
		"rules/huge.yaml":     {Data: bytes.Repeat([]byte("# 16 characters\n"), 20_000)},
		"sheets/My Axle.yaml": {Data: []byte("title: x")},
	}
	_, _, report := CheckFolder(shop)
	var out bytes.Buffer
	if err := report.Print(&out); err != nil {
		t.Fatal(err)
	}
	golden(t, "testdata/folder.txt", out.Bytes())
}
