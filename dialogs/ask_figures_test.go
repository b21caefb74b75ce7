package dialogs_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"shimwright/calc/unit"
	"shimwright/dialogs"
	"shimwright/dialogs/listen"
	"shimwright/dialogs/phrase"
)

// askedFigures is one line of a set of questions: what was typed, what it asks, and
// the figures that the answer must have.
type askedFigures struct {
	Text    string       `json:"text"`
	Units   unit.System  `json:"units"`
	About   listen.About `json:"about"`
	Figures []struct {
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
		Tol   float64 `json:"tol"`
	} `json:"figures"`
	Voice  string `json:"voice"`
	Source string `json:"source"`
}

var saidNumber = regexp.MustCompile(`[-−]?\d+(?:\.\d+)?`)

// says says whether a text has a number within tol, right before the unit where one
// is given (or before a range's end and its unit).
func says(text string, value float64, name string, tol float64) bool {
	for _, m := range saidNumber.FindAllStringIndex(text, -1) {
		number := strings.Replace(text[m[0]:m[1]], "−", "-", 1)
		v, err := strconv.ParseFloat(number, 64)
		if err != nil || math.Abs(v-value) > tol && math.Abs(-v-value) > tol {
			continue
		}
		rest := strings.TrimLeft(text[m[1]:], " ")
		if name == "" || strings.HasPrefix(rest, name) || (strings.HasPrefix(rest, "to ") || strings.HasPrefix(rest, "a ")) && strings.Contains(rest[:min(len(rest), 24)], name) {
			return true
		}
	}
	return false
}

// Every question of the set is answered with its figures, in few lines, without a
// job. The figures were worked out apart from the program, each from the source
// beside it.
func TestFiguresAreAnswered(t *testing.T) {
	var paths []string
	for _, set := range []string{"set17.jsonl", "set18.jsonl", "set19.jsonl", "set20.jsonl"} {
		paths = append(paths, filepath.Join("listen", "testdata", set))
	}
	if extra := os.Getenv("ASK_CORPUS"); extra != "" { // an unseen set, tried by hand
		paths = []string{extra}
	}
	d := newDesk(t)
	for _, path := range paths {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		asked, right := 0, 0
		sc := bufio.NewScanner(bytes.NewReader(raw))
		for n := 1; sc.Scan(); n++ {
			var q askedFigures
			if err := json.Unmarshal(sc.Bytes(), &q); err != nil {
				t.Fatalf("%s:%d: %v", path, n, err)
			}
			if q.About == "" {
				continue
			}
			asked++
			u := d.Listen(listen.Input{Text: q.Text, Units: q.Units})
			if u.Reckoning == nil || u.Reckoning.About != q.About {
				t.Errorf("%s:%d: %q: understood as %s %+v, want %s", path, n, q.Text, u.Kind, u.Reckoning, q.About)
				continue
			}
			good := true
			for _, lang := range phrase.Languages() {
				text, err := askedIn(d, q, lang)
				if err != nil {
					t.Errorf("%s:%d: %q: %v", path, n, q.Text, err)
				}
				text = strings.ReplaceAll(text, "milésimas", "thou")
				for _, f := range q.Figures {
					if !says(text, f.Value, f.Unit, f.Tol) {
						good = false
						t.Errorf("%s:%d: %q (%s): no %g %s ± %g (%s) in:\n%s", path, n, q.Text, lang, f.Value, f.Unit, f.Tol, q.Source, text)
					}
				}
				if strings.Contains(text, "‹") {
					t.Errorf("%s:%d: a phrase lacks a value:\n%s", path, n, text)
				}
				if lines := strings.Count(text, "\n"); lines > 6 {
					t.Errorf("%s:%d: %q: %d lines:\n%s", path, n, q.Text, lines, text)
				}
			}
			if good {
				right++
			}
		}
		t.Logf("%s: %d of %d answered with their figures", path, right, asked)
		if asked == 0 {
			t.Errorf("%s has no question", path)
		}
	}
}

// askedIn gives the answer to a question in a language, each message and line on its
// own line.
func askedIn(d *dialogs.Desk, q askedFigures, lang phrase.Language) (string, error) {
	out, err := d.Ask(dialogs.Said{ID: "q", Text: q.Text, Addressed: true, By: dialogs.Person{Name: "ann", Role: dialogs.Technician, Units: q.Units, Language: lang}}, "lapwing")
	text := ""
	for _, o := range out {
		text += o.Text + "\n"
	}
	return text, err
}

// What is missing is asked for, and what cannot be is said, instead of a number.
// Source of all rows: common practice, no source.
func TestFiguresAskBack(t *testing.T) {
	d := newDesk(t)
	for _, c := range []struct{ text, say string }{
		{"rpm at 65", "on which tyre?"},
		{"speedo with 33s", "from what to what?"},
		{"60 ftlb with a 2 in extension", "how long is the wrench"},
		{"what does a grade 8 bolt take", "which thread?"},
		{"torque 7/16 grade 8", "7/16-20 grade 8: 77.9"},
		{"total 14 pinion 20 ratio 3.7 whats the carrier", "cannot be"},
		{"how hot for 12 thou clearance on a 4 in ring", "that is over 250 °F"},
		{"how cold for 5 thou on a 1 in pin", "chilling alone does not"},
		{"nut moved 10 degrees drag went 10 to 20 want 12 to 18 how far", "the sleeve is scrap"},
		{"nut moved 10 degrees drag went 5 to 15 want 12 to 18 how far", "stop turning"},
		{"drag 15 want 12 to 18 how much out of the pack", "leave the pack"},
		{"torque m36 class 9.8", "do not go together"},
		{"can i use 75w91", "no gear oil grade"},
		{"how long till a 100 degree ring is cool enough to touch", "it can be touched now"},
		{"can i put the ring in the oven at 500f", "no: 500 °F"},
	} {
		text, err := askedIn(d, askedFigures{Text: c.text, Units: unit.InchUnits}, phrase.English)
		if err != nil || !strings.Contains(text, c.say) {
			t.Errorf("%q: no %q in:\n%s%v", c.text, c.say, text, err)
		}
	}
}
