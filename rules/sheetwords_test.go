package rules

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Every sheet shipped says all its texts in Spanish, with the same figures.
func TestShippedSheetsInSpanish(t *testing.T) {
	book, report := LoadBook(nil)
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	for _, name := range book.Names() {
		s, err := book.Sheet(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range append(s.texts(), s.Note) {
			said := s.Said("es", text)
			if said == text {
				t.Errorf("%s: %q has no Spanish", name, text)
			}
			if got, want := digitsOf(said), digitsOf(text); got != want {
				t.Errorf("%s: %q has the figures %s, in Spanish %s", name, text, want, got)
			}
			if s.Said("en", text) != text {
				t.Errorf("%s: %q is not said as it stands in English", name, text)
			}
		}
	}
}

func digitsOf(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, text)
}

func TestMistakesInTheSpanishOfASheet(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("sheets", "saltmarsh.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	own, _, _ := strings.Cut(string(data), "\nes:")
	for _, row := range []struct {
		name, es string
		mistake  bool
		want     []string // of what is said, each
	}{
		{"none at all", "", false, nil},
		{"a part of it", "es:\n  title: eje rígido\n  words: {ring gear bolts: tornillos de la corona}\n", false, []string{`"bearing caps" has no Spanish`, `"pinion nut" has no Spanish`}},
		{"a text that is not there", "es:\n  words: {ring gear bolt: tornillos}\n", true, []string{`the sheet has no text "ring gear bolt"`, "ring gear bolts"}},
		{"an empty one", "es:\n  words: {ring gear bolts: \"\"}\n", true, []string{"the Spanish of ring gear bolts is empty"}},
		{"no map", "es:\n  words: tornillos\n", true, []string{"words"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			var report Report
			s := ReadSheet("saltmarsh", "saltmarsh.yaml", []byte(own+"\n"+row.es), &report)
			if (s == nil) != row.mistake {
				t.Errorf("read: %v, want a mistake: %v\n%+v", s != nil, row.mistake, report.Problems)
			}
			var said []string
			for _, p := range report.Problems {
				said = append(said, p.Text+" "+p.Hint)
			}
			for _, w := range row.want {
				if !slices.ContainsFunc(said, func(s string) bool { return strings.Contains(s, w) }) {
					t.Errorf("nothing says %q: %q", w, said)
				}
			}
			if row.want == nil && len(said) > 0 {
				t.Errorf("said %q, want nothing", said)
			}
		})
	}
}
