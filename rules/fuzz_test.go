package rules

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"shimwright/calc/unit"
)

// seeds adds the files of a pattern to a corpus.
func seeds(f *testing.F, patterns ...string) {
	for _, pattern := range patterns {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			f.Fatalf("%s: %v, %v", pattern, files, err)
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
}

// printed prints a report and checks that it can be read.
func printed(t *testing.T, report *Report) {
	t.Helper()
	var out bytes.Buffer
	if err := report.Print(&out); err != nil {
		t.Fatal(err)
	}
	for _, p := range report.Problems {
		if p.Line < 0 || p.Line > 0 && p.Column < 1 || p.Text == "" {
			t.Errorf("a problem without a place: %+v", p)
		}
		if utf8.ValidString(p.source) && strings.ContainsAny(p.String(), "\n\x00\x1b") {
			t.Errorf("a problem that upsets a terminal: %q", p.String())
		}
	}
}

// FuzzSheet: any bytes give either a sheet whose figures are finite and can be
// used, or a mistake with its place.
func FuzzSheet(f *testing.F) {
	seeds(f, "sheets/*.yaml", "testdata/sheets/*.yaml")
	f.Fuzz(func(t *testing.T, data []byte) {
		var report Report
		sheet := ReadSheet("x", "x.yaml", data, &report)
		printed(t, &report)
		if sheet == nil {
			if report.Mistakes() == 0 {
				t.Error("refused without a mistake")
			}
			return
		}
		if report.Mistakes() > 0 {
			t.Error("taken with a mistake")
		}
		for _, v := range []float64{float64(sheet.Ring.OutsideDiameter), float64(sheet.Limits.Backlash.Low), float64(sheet.Limits.PinionDragNew.High), sheet.Oil.Litres} {
			if !(v > 0) || math.IsInf(v, 0) {
				t.Errorf("a figure of %g", v)
			}
		}
		if sheet.Limits.Backlash.Low > sheet.Limits.Backlash.High || sheet.Pinion.Teeth >= sheet.Ring.Teeth {
			t.Error("a sheet that makes no sense was taken")
		}
		var out bytes.Buffer
		if err := sheet.Show(&out); err != nil || out.Len() == 0 {
			t.Error(err)
		}
	})
}

// FuzzRules: any bytes in a rule file leave a set that can be evaluated, and the
// shipped cautions in force.
func FuzzRules(f *testing.F) {
	seeds(f, "testdata/rules/*.yaml", "shop/people.yaml")
	l := newLanguage()
	facts := Facts{Lash: LashFacts{Min: Know(unit.Thou(4)), Count: Know(0.0)}, Heard: []string{"smoke"}, Step: Say("loop")}
	f.Fuzz(func(t *testing.T, data []byte) {
		report := &Report{}
		s := &Set{log: discard()}
		s.load(l, fstest.MapFS{"rules/x.yaml": {Data: data}}, ruleFolder, true, report)
		printed(t, report)
		for _, finding := range s.Evaluate(facts) {
			if finding.ID == "" || finding.Level.rank() < 0 {
				t.Errorf("%+v", finding)
			}
		}
	})
}

// FuzzCondition: any text gives slips with a place inside it, or a condition that
// evaluates without a panic and never holds on a figure that is not finite.
func FuzzCondition(f *testing.F) {
	for _, text := range []string{
		"lash.min < thou(6)", `heard("smoke") or not (lash.max >= mm(1) and step in ["loop"])`, "near(lash.min, lash.max, thou(1))",
		"lash.count / ring.teeth > 1", "1 < 2 < 3", "((", "lash?.min", "any([1], # > 0)", "let x = 1; x", "\"\xff\"", "a ?? b", "lash[\"min\"] < mm(1)",
		"not not has(lash.min)", "1e308 * 1e308 > 1", "-9223372036854775808 < 1", "{} == {}", "lash.min|abs", "if 1<2 {1<2} else {1<3}",
	} {
		f.Add(text)
	}
	l := newLanguage()
	f.Fuzz(func(t *testing.T, text string) {
		e, slips := l.compile(text)
		if (e == nil) != (len(slips) > 0) {
			t.Fatalf("%v, %v", e, slips)
		}
		for _, s := range slips {
			if s.offset < 0 || s.offset > len([]rune(text)) || s.text == "" {
				t.Errorf("a slip outside: %+v", s)
			}
		}
		if e == nil {
			return
		}
		for _, facts := range []Facts{{}, {
			Lash: LashFacts{Min: Know(unit.Length(math.NaN())), Max: Know(unit.Length(math.Inf(1))), Count: Know(0.0)}, Step: Say("loop"),
		}} {
			v, err := e.run(newEnvironment(facts))
			if k, size, set := kindOfValue(v); err == nil && e.kind.isQuantity() && set && k != numberKind && !finite(size) && !strings.Contains(text, "lash") {
				t.Errorf("a figure of %g", size)
			}
		}
	})
}
