package rules

import (
	"testing"
	"testing/fstest"
)

// A mark stays the same over two loads, and changes with a figure and with a rule.
func TestMarks(t *testing.T) {
	first, _ := LoadRules(nil, nil)
	again, _ := LoadRules(nil, nil)
	off := first.Rules()[1].ID
	own, report := LoadRules(fstest.MapFS{"rules/a.yaml": {Data: []byte("off: [" + off + "]\n")}}, nil)
	if first.Mark() != again.Mark() || len(first.Mark()) != 8 {
		t.Errorf("two loads of the same rules: %q and %q", first.Mark(), again.Mark())
	}
	if own.Mark() == first.Mark() {
		t.Errorf("%s was switched off and the mark stays %q (%v)", off, own.Mark(), report)
	}
	s := Sheet{Name: "dunlin", Ring: Ring{Teeth: 41}}
	was := s.Mark()
	s.Ring.Teeth = 43
	if s.Mark() == was || len(was) != 8 {
		t.Errorf("the sheet changed and its mark is %q before and %q after", was, s.Mark())
	}
}
