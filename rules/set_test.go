package rules

import (
	"bytes"
	"io/fs"
	"log/slog"
	"math"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

// oneRule makes a shop's folder with one rule.
func oneRule(id, level, when, text, fires, quiet string) fstest.MapFS {
	return fstest.MapFS{"rules/own.yaml": {Data: []byte("rules:\n  - id: " + id + "\n    level: " + level +
		"\n    when: '" + when + "'\n    text: '" + text + "'\n    cases:\n      fires: [" + fires + "]\n      quiet: [" + quiet + "]\n")}}
}

// sharedGround reads the shipped rules once for all tests of the package.
var sharedGround = sync.OnceValue(newGround)

// loadOver is LoadRules on the shared ground.
func loadOver(shop fs.FS, log *slog.Logger) (*Set, *Report) {
	return sharedGround().under(shop, ruleFolder, log)
}

func shippedSet(t testing.TB) *Set {
	t.Helper()
	set, report := loadOver(nil, nil)
	if len(report.Problems) > 0 {
		t.Fatalf("the shipped rules have problems: %v", report.Problems)
	}
	return set
}

// TestShippedRules: no mistake, no warning, and the cases really run.
func TestShippedRules(t *testing.T) {
	set := shippedSet(t)
	if n := len(set.Rules()); n < 80 {
		t.Errorf("%d rules, want 80 or more", n)
	}
	if n := set.Cases(); n < 300 {
		t.Errorf("%d cases, want 300 or more", n)
	}
	for _, r := range set.Rules() {
		if len([]rune(r.ID)) > 40 || r.Own {
			t.Errorf("%s: own %v", r.ID, r.Own)
		}
		for _, text := range []string{templateText(r.text), templateText(r.hint)} {
			if first := []rune(text + "a")[0]; first >= 'A' && first <= 'Z' {
				t.Errorf("%s: texts begin in lower case: %s", r.ID, text)
			}
			if strings.Contains(text, "!") || strings.Contains(text, "you ") {
				t.Errorf("%s: texts do not blame: %s", r.ID, text)
			}
		}
	}
}

// TestShippedRulesInSpanish: every rule says the same about the same figures.
func TestShippedRulesInSpanish(t *testing.T) {
	for _, r := range shippedSet(t).Rules() {
		for _, c := range []struct {
			name             string
			english, spanish template
		}{{"text", r.text, r.spanish.text}, {"hint", r.hint, r.spanish.hint}} {
			if (len(c.english) == 0) != (len(c.spanish) == 0) {
				t.Errorf("%s: %s in one language only", r.ID, c.name)
				continue
			}
			want, got := figuresOf(c.english), figuresOf(c.spanish)
			slices.Sort(want)
			slices.Sort(got)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("%s: other figures in the Spanish %s (-english +spanish):\n%s", r.ID, c.name, diff)
			}
			if templateText(c.english) != "" && templateText(c.english) == templateText(c.spanish) {
				t.Errorf("%s: the %s is not translated", r.ID, c.name)
			}
		}
	}
}

func figuresOf(t template) []string {
	var out []string
	for _, p := range t {
		if p.figure != nil {
			out = append(out, p.figure.text)
		}
		out = append(out, figuresOf(p.group)...)
	}
	return out
}

func templateText(t template) string {
	var b strings.Builder
	for _, p := range t {
		b.WriteString(p.literal)
		b.WriteString(templateText(p.group))
	}
	return b.String()
}

func TestFindingText(t *testing.T) {
	set := shippedSet(t)
	facts := Facts{Units: unit.InchUnits, Lash: LashFacts{Min: Know(unit.Thou(4)), Max: Know(unit.Thou(6))},
		Limit: LimitFacts{Backlash: LengthLimit{Low: Know(unit.Thou(6)), High: Know(unit.Thou(10))}, Spread: Know(unit.Thou(2))}}
	want := []Finding{{ID: "lash-below-minimum", Level: Caution, Text: "tightest backlash 0.004 in, the sheet wants 0.006 in or more",
		Hint:    "hold. open it by 0.002 in or more, then read all positions again.",
		English: "tightest backlash 0.004 in, the sheet wants 0.006 in or more"}}
	if diff := cmp.Diff(want, set.Evaluate(facts)); diff != "" {
		t.Errorf("inch (-want +got):\n%s", diff)
	}
	facts.Units = unit.Metric
	want[0].Text = "tightest backlash 0.102 mm, the sheet wants 0.152 mm or more"
	want[0].English = want[0].Text
	want[0].Hint = "hold. open it by 0.051 mm or more, then read all positions again."
	if diff := cmp.Diff(want, set.Evaluate(facts)); diff != "" {
		t.Errorf("metric (-want +got):\n%s", diff)
	}
	facts.Language = "es"
	want[0].Text = "juego más cerrado 0.102 mm, la ficha pide 0.152 mm o más"
	want[0].Hint = "espera. ábrelo 0.051 mm o más y lee otra vez todas las posiciones."
	if diff := cmp.Diff(want, set.Evaluate(facts)); diff != "" {
		t.Errorf("spanish (-want +got):\n%s", diff)
	}
	facts.Units, facts.Language = unit.NoSystem, ""
	if got := set.Evaluate(facts)[0].Text; got != "tightest backlash 0.004 in (0.102 mm), the sheet wants 0.006 in (0.152 mm) or more" {
		t.Error(got)
	}
}

// TestFindingOrder: stops come first.
func TestFindingOrder(t *testing.T) {
	set := shippedSet(t)
	got := set.Evaluate(Facts{Heard: []string{"towing_in_break_in", "injected_text", "smoke", "lost_part", "brake_dust"}})
	var levels []Level
	for _, f := range got {
		levels = append(levels, f.Level)
	}
	if diff := cmp.Diff([]Level{Stop, Stop, Caution, Caution, Note}, levels); diff != "" {
		t.Errorf("%v (-want +got):\n%s", got, diff)
	}
}

// TestQuietOnNothing: facts nobody stated fire nothing.
func TestQuietOnNothing(t *testing.T) {
	set := shippedSet(t)
	if got := set.Evaluate(Facts{}); len(got) > 0 {
		t.Errorf("fired on nothing: %v", got)
	}
	book, _ := LoadBook(nil)
	for _, name := range book.Names() {
		sheet, err := book.Sheet(name)
		if err != nil {
			t.Fatal(err)
		}
		if got := set.Evaluate(FromSheet(sheet)); len(got) > 0 {
			t.Errorf("fired on the bare sheet %s: %v", name, got)
		}
	}
}

// TestBrokenRuleIsLogged: one rule fails at run time, the others go on.
func TestBrokenRuleIsLogged(t *testing.T) {
	var log bytes.Buffer
	shop := oneRule("by-teeth", "stop", "lash.count / ring.teeth > 1", "x", "{lash.count: 3, ring.teeth: 2}", "{lash.count: 2, ring.teeth: 2}")
	set, report := loadOver(shop, slog.New(slog.NewTextHandler(&log, nil)))
	if report.Mistakes() > 0 {
		t.Fatal(report.Err())
	}
	got := set.Evaluate(Facts{Heard: []string{"smoke"}, Lash: LashFacts{Count: Know(3.0)}, Ring: RingFacts{Teeth: Know(0.0)}})
	if len(got) != 1 || got[0].ID != "smoke" {
		t.Errorf("findings %v, want smoke alone", got)
	}
	for _, part := range []string{"a rule could not be evaluated", "rule=by-teeth", "division by zero"} {
		if !strings.Contains(log.String(), part) {
			t.Errorf("the log has no %q: %s", part, log.String())
		}
	}
}

// TestEvaluateNeverPanics throws arbitrary facts at the shipped rules, values
// that are not finite among them, and no rule may fire on one.
func TestEvaluateNeverPanics(t *testing.T) {
	set := shippedSet(t)
	rapid.Check(t, func(rt *rapid.T) {
		var f Facts
		fillRandom(rt, reflect.ValueOf(&f).Elem(), "")
		f.Heard = rapid.SliceOfN(rapid.SampledFrom(append(Dangers(), "", "x")), 0, 3).Draw(rt, "heard")
		for _, finding := range set.Evaluate(f) {
			if strings.Contains(finding.Text+finding.Hint, "NaN") || strings.Contains(finding.Text+finding.Hint, "Inf") {
				rt.Fatalf("%v", finding)
			}
		}
	})
}

func fillRandom(t *rapid.T, v reflect.Value, name string) {
	for i := range v.NumField() {
		field, at := v.Field(i), name+"."+v.Type().Field(i).Name
		switch field.Kind() {
		case reflect.Struct:
			fillRandom(t, field, at)
		case reflect.Float64:
			field.SetFloat(rapid.SampledFrom([]float64{0, 1, -1, 0.15, 400, 1e308, math.NaN(), math.Inf(1), math.Inf(-1)}).Draw(t, at))
		case reflect.Bool:
			field.SetBool(rapid.Bool().Draw(t, at))
		case reflect.String:
			field.SetString(rapid.SampledFrom([]string{"", "yes", "no", "new", "loop", "close", "adjusters", "crush-sleeve", "center", "\x00{"}).Draw(t, at))
		}
	}
}

// TestShopOverShipped: the shop's rule replaces the shipped one of its id and
// "off" takes one out; nothing else changes.
func TestShopOverShipped(t *testing.T) {
	shop := oneRule("smoke", "note", `heard("smoke")`, "our own words", "{heard: [smoke]}", "{}")
	shop["rules/off.yaml"] = &fstest.MapFile{Data: []byte("off: [growl]\n")}
	set, report := loadOver(shop, nil)
	if report.Mistakes() > 0 {
		t.Fatal(report.Err())
	}
	got := set.Evaluate(Facts{Heard: []string{"smoke", "growl"}})
	if diff := cmp.Diff([]Finding{{ID: "smoke", Level: Note, Text: "our own words", English: "our own words"}}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if a, b := len(set.Rules()), len(shippedSet(t).Rules()); a != b-1 {
		t.Errorf("%d rules, want %d", a, b-1)
	}
	warned := 0
	for _, p := range report.Problems {
		if strings.Contains(p.Text, "growl") {
			warned++
		}
	}
	if warned != 2 { // it was a stop, and nothing answers that danger now
		t.Errorf("%d warnings about growl, want 2: %v", warned, report.Problems)
	}
}

// TestBrokenOverride: a shop's rule with a mistake leaves the shipped one.
func TestBrokenOverride(t *testing.T) {
	for name, shop := range map[string]fstest.MapFS{
		"condition": oneRule("smoke", "note", `heard("smok")`, "x", "{heard: [smoke]}", "{}"),
		"case":      oneRule("smoke", "note", `heard("growl")`, "x", "{heard: [smoke]}", "{}"),
	} {
		set, report := loadOver(shop, nil)
		if report.Mistakes() == 0 {
			t.Errorf("%s: no mistake", name)
		}
		if got := set.Evaluate(Facts{Heard: []string{"smoke"}}); len(got) != 1 || got[0].Level != Stop {
			t.Errorf("%s: %v, want the shipped stop", name, got)
		}
	}
}

// TestStepsAndRoles: a rule for some steps or people keeps to them, and is quiet
// where the step is not known.
func TestStepsAndRoles(t *testing.T) {
	shop := fstest.MapFS{"rules/own.yaml": {Data: []byte(`
rules:
  - id: for-loop
    level: note
    steps: [loop, trial]
    roles: [apprentice]
    when: heard("smoke")
    text: "x"
    cases:
      fires: [{heard: [smoke]}, {heard: [smoke], step: trial, role: apprentice}]
      quiet: [{heard: [smoke], step: ring}, {heard: [smoke], role: mentor}]
off: [smoke]
`)}}
	set, report := loadOver(shop, nil)
	if report.Mistakes() > 0 {
		t.Fatal(report.Err())
	}
	for _, row := range []struct {
		step, role string
		want       int
	}{{"loop", "apprentice", 1}, {"trial", "apprentice", 1}, {"ring", "apprentice", 0}, {"loop", "mentor", 0}, {"", "apprentice", 0}, {"loop", "", 0}} {
		got := set.Evaluate(Facts{Heard: []string{"smoke"}, Step: Say(row.step), Role: Say(row.role)})
		if len(got) != row.want {
			t.Errorf("step %q role %q: %v, want %d", row.step, row.role, got, row.want)
		}
	}
}

// TestDerived: what follows from the rest is filled in, what is stated stays.
func TestDerived(t *testing.T) {
	f := Facts{
		Lash:    LashFacts{Min: Know(unit.Thou(6)), Max: Know(unit.Thou(9))},
		Drag:    DragFacts{Pinion: Know(unit.InLbf(16)), Total: Know(unit.InLbf(21)), Bearings: Say("new"), Seal: Say("on")},
		Bearing: BearingFacts{SetupHeight: Know(unit.Inch(1)), FinalHeight: Know(unit.Inch(1.002))},
		Temp:    TempFacts{Housing: Know(unit.Celsius(80)), Before: Know(unit.Celsius(50))},
		Pattern: PatternFacts{Drive: FlankFacts{Along: Say("toe")}, Coast: FlankFacts{Along: Say("heel")}},
		Limit: LimitFacts{DragNew: TorqueLimit{Know(unit.InLbf(12)), Know(unit.InLbf(18))}, DragUsed: TorqueLimit{Know(unit.InLbf(6)), Know(unit.InLbf(9))},
			Seal: TorqueLimit{Know(unit.InLbf(2)), Know(unit.InLbf(5))}},
	}
	seal := func(bearings, seal string) (low, high float64) {
		g := f
		g.Drag.Bearings, g.Drag.Seal = Say(bearings), Say(seal)
		g.derive()
		if !g.Limit.Drag.Low.Set || !g.Limit.Drag.High.Set {
			return -1, -1
		}
		return math.Round(g.Limit.Drag.Low.Value.InLbf()), math.Round(g.Limit.Drag.High.Value.InLbf())
	}
	for _, row := range []struct {
		bearings, seal string
		low, high      float64
		source         string
	}{
		{"new", "on", 14, 23, "common practice, no source: a new seal adds about 2 to 5 in·lbf"},
		{"new", "off", 12, 18, "derived"},
		{"new", "", 12, 23, "derived: not said, so only the top is widened"},
		{"used", "off", 6, 9, "common practice, no source: used bearings about half the new figure"},
		{"", "off", -1, -1, "derived: no band where nobody said which bearings"},
	} {
		if low, high := seal(row.bearings, row.seal); low != row.low || high != row.high {
			t.Errorf("%q, seal %q: %g to %g, want %g to %g (%s)", row.bearings, row.seal, low, high, row.low, row.high, row.source)
		}
	}
	f.derive()
	if math.Abs(f.Lash.Spread.Value.Thou()-3) > 1e-9 || math.Abs(f.Drag.Added.Value.InLbf()-5) > 1e-9 ||
		math.Abs(f.Bearing.Taller.Value.Thou()-2) > 1e-9 || f.Temp.Rising.Value != 30 || f.Pattern.Ends.Value != "opposite" {
		t.Errorf("derived: %+v", f)
	}
	stated := Facts{Lash: LashFacts{Min: Know(unit.Thou(6)), Max: Know(unit.Thou(9)), Spread: Know(unit.Thou(1))}}
	stated.derive()
	if math.Abs(stated.Lash.Spread.Value.Thou()-1) > 1e-9 {
		t.Error("a stated spread was changed")
	}
}

// TestDerivedFromIsComplete holds derivedFrom against derive: a fact follows
// from others exactly where that list says so.
func TestDerivedFromIsComplete(t *testing.T) {
	l := newLanguage()
	for _, path := range l.paths {
		sources := derivedFrom(path)
		var f Facts
		v := reflect.ValueOf(&f).Elem()
		for _, from := range sources {
			at, ok := l.facts[from]
			if !ok {
				t.Errorf("%s follows from %s, which there is not", path, from)
				continue
			}
			field := v.FieldByIndex(at.index)
			field.FieldByName("Set").SetBool(true)
			switch value := field.FieldByName("Value"); value.Kind() {
			case reflect.String:
				value.SetString(orElse(strings.Join(vocabulary(from)[:1], ""), "x"))
			default:
				value.SetFloat(2)
			}
		}
		f.derive()
		got := v.FieldByIndex(l.facts[path].index).FieldByName("Set").Bool()
		if got != (len(sources) > 0) {
			t.Errorf("%s: derived %v, listed sources %v", path, got, sources)
		}
	}
}

func BenchmarkEvaluate(b *testing.B) {
	set := shippedSet(b)
	book, _ := LoadBook(nil)
	sheet, err := book.Sheet("lapwing")
	if err != nil {
		b.Fatal(err)
	}
	f := FromSheet(sheet)
	f.Step = Say("loop")
	f.Lash = LashFacts{Min: Know(unit.Thou(4)), Max: Know(unit.Thou(6)), Mean: Know(unit.Thou(5)), Count: Know(4.0)}
	b.ReportAllocs()
	for b.Loop() {
		if len(set.Evaluate(f)) == 0 {
			b.Fatal("nothing fired")
		}
	}
}

func BenchmarkLoadRules(b *testing.B) {
	for b.Loop() {
		if _, report := LoadRules(nil, nil); len(report.Problems) > 0 {
			b.Fatal(report.Err())
		}
	}
}
