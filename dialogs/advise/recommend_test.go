package advise

import (
	"testing"

	"shimwright/calc/unit"
	"shimwright/rules"
)

func TestFirstDirections(t *testing.T) {
	book, report := rules.LoadBook(nil)
	if err := report.Err(); err != nil {
		t.Fatal(err)
	}
	for _, name := range book.Names() {
		s, err := book.Sheet(name)
		if err != nil {
			t.Fatal(err)
		}
		a, err := newAxle(s)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s %+v", name, a)
		got, err := Recommend(Request{Sheet: s, Attempts: []Attempt{{Backlash: []unit.Length{unit.Thou(14), unit.Thou(14), unit.Thou(15)},
			Drive: Mark{2. / 3, 2. / 3, true, true}, Coast: Mark{2. / 3, 2. / 3, true, true}}}})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%+v", got)
		if got.Verdict != Change || got.Pinion <= 0 || got.Ring <= 0 {
			t.Errorf("%s: lash 14, high and heel gives %v pinion %v ring %v", name, got.Verdict, got.Pinion, got.Ring)
		}
	}
}
