package listen

import (
	"bufio"
	"encoding/json"
	"os"
	"slices"
	"testing"

	"shimwright/calc/unit"
)

// Messages of the ends of a job, in several voices. Only what want names is compared.
func TestTheEndsOfAJob(t *testing.T) {
	file, err := os.Open("testdata/ends/ends01.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines := bufio.NewScanner(file)
	n := 0
	for lines.Scan() {
		n++
		var m struct {
			Text, Units string
			Expect      What
			Want        struct {
				Kind          Kind
				Readings      *[]Reading
				Fact, NotFact string
				Caution       string
				Command       Verb
				Signed        *[]SignOff
				Damage        *[]Damaged
			}
		}
		if err := json.Unmarshal(lines.Bytes(), &m); err != nil {
			t.Fatalf("line %d: %v", n, err)
		}
		in := Input{Text: m.Text, Sender: Tech, Expect: m.Expect, Units: unit.InchUnits}
		if m.Units == "metric" {
			in.Units = unit.Metric
		}
		u := Parse(in)
		w := m.Want
		got, _ := json.Marshal(u)
		fail := func(what string) { t.Errorf("line %d, %q: %s\n got %s", n, m.Text, what, got) }
		if w.Kind != "" && u.Kind != w.Kind {
			fail("want kind " + string(w.Kind))
		}
		if w.Readings != nil {
			if missing, extra := sameSet(u.Readings, *w.Readings, func(a, b Reading) bool {
				return a.What == b.What && sameNumbers(a, b) && a.Unit == b.Unit && (b.Which == "" || a.Which == b.Which)
			}); len(missing)+len(extra) > 0 {
				fail("readings")
			}
		}
		if w.Fact != "" && !slices.Contains(u.Facts, w.Fact) {
			fail("want fact " + w.Fact)
		}
		if w.NotFact != "" && slices.Contains(u.Facts, w.NotFact) {
			fail("does not state " + w.NotFact)
		}
		if w.Caution != "" && !slices.Contains(u.Cautions, w.Caution) {
			fail("want caution " + w.Caution)
		}
		if w.Command != "" && (u.Command == nil || u.Command.Verb != w.Command) {
			fail("want command " + string(w.Command))
		}
		if w.Signed != nil && !slices.Equal(u.Signed, *w.Signed) && len(u.Signed)+len(*w.Signed) > 0 {
			fail("signed")
		}
		if w.Damage != nil {
			if missing, extra := sameSet(u.Damage, *w.Damage, func(a, b Damaged) bool { return a == b }); len(missing)+len(extra) > 0 {
				fail("damage")
			}
		}
	}
	if n < 60 {
		t.Errorf("only %d messages", n)
	}
}
