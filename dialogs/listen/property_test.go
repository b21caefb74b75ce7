package listen

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// phrasings of one backlash reading; %s is the figure.
var lashPhrasings = []string{
	"lash %s", "backlash is %s", "bl %s", "got %s on the lash", "%s lash", "lash: %s", "ok lash came out at %s", "backlash reads %s all round",
	"LASH %s", "lash at %s with caps torqued", "%s for backlash",
}

// Whatever the phrasing, an inch shop's bare figure is thou and a typed decimal
// is inches; the value is exact.
func TestLashReadsTheSameInEveryPhrasing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thou := rapid.IntRange(4, 29).Draw(t, "thou")
		half := rapid.Bool().Draw(t, "half")
		figure, want := strconv.Itoa(thou), float64(thou)/1000
		if half {
			figure, want = figure+".5", (float64(thou)+0.5)/1000
		}
		switch rapid.IntRange(0, 3).Draw(t, "form") {
		case 1:
			figure += " thou"
		case 2:
			figure = fmt.Sprintf(".%03d", thou)
			if half {
				figure += "5"
			}
		case 3:
			figure = fmt.Sprintf("0.%03d", thou)
			if half {
				figure += "5"
			}
			figure += " in"
		}
		text := fmt.Sprintf(rapid.SampledFrom(lashPhrasings).Draw(t, "phrasing"), figure)
		u := Parse(Input{Text: text, Units: unit.InchUnits})
		if u.Kind != Read || len(u.Readings) != 1 || u.Readings[0].What != Backlash || u.Readings[0].Value == nil || math.Abs(*u.Readings[0].Value-want) > 1e-9 || u.Readings[0].Unit != "in" {
			t.Fatalf("%q: %+v, want %v in", text, u, want)
		}
	})
}

// A metric shop's bare two digits are hundredths.
func TestMetricLash(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.IntRange(10, 60).Draw(t, "hundredths")
		forms := []string{strconv.Itoa(h), fmt.Sprintf("0.%02d", h), fmt.Sprintf("0,%02d", h), fmt.Sprintf(".%02d mm", h), fmt.Sprintf("%d hundredths", h)}
		text := fmt.Sprintf(rapid.SampledFrom(lashPhrasings).Draw(t, "phrasing"), rapid.SampledFrom(forms).Draw(t, "form"))
		u := Parse(Input{Text: text, Units: unit.Metric})
		if u.Kind != Read || len(u.Readings) != 1 || u.Readings[0].Value == nil || math.Abs(*u.Readings[0].Value-float64(h)/100) > 1e-9 || u.Readings[0].Unit != "mm" {
			t.Fatalf("%q: %+v, want %d hundredths", text, u, h)
		}
	})
}

// Case, invisible characters, spaces at the ends and a greeting change nothing
// in what would be committed.
func TestDressChangesNothing(t *testing.T) {
	var corpus []message
	for _, name := range corpusFiles(t) {
		corpus = append(corpus, loadCorpus(t, name)...)
	}
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(corpus).Draw(t, "message")
		in := m.input()
		if strings.ContainsAny(in.Text, "{}<>|`") {
			return // markup is text of its own kind
		}
		plain := Parse(in)
		dressed := in
		switch rapid.IntRange(0, 3).Draw(t, "dress") {
		case 0:
			dressed.Text = strings.ToUpper(in.Text)
		case 1:
			dressed.Text = "\u200b" + in.Text + "\ufeff"
		case 2:
			dressed.Text = "  " + in.Text + "  \n"
		case 3:
			dressed.Text = strings.ReplaceAll(in.Text, " ", "  ")
		}
		got := Parse(dressed)
		a, _ := json.Marshal(struct {
			K Kind
			R []Reading
			M []Move
		}{plain.Kind, plain.Readings, plain.Moves})
		b, _ := json.Marshal(struct {
			K Kind
			R []Reading
			M []Move
		}{got.Kind, got.Readings, got.Moves})
		if string(a) != string(b) {
			t.Fatalf("%q gives\n%s\n%q gives\n%s", in.Text, a, dressed.Text, b)
		}
	})
}

// A choice of a question back, sent instead of the message, is understood: it
// asks nothing again.
func TestChoicesAreUnderstood(t *testing.T) {
	for _, name := range corpusFiles(t) {
		for _, m := range loadCorpus(t, name) {
			u := Parse(m.input())
			if u.Ask == nil || u.Kind != Clarify {
				continue
			}
			for _, c := range u.Ask.Choices {
				in := m.input()
				in.Text, in.Context = c, nil
				if again := Parse(in); again.Kind == Clarify || again.Kind == Ignore {
					t.Errorf("%q asks %q; the choice %q comes to %s: %s", m.Text, u.Ask.Key, c, again.Kind, again.Note)
				}
			}
		}
	}
}
