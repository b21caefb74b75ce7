package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

// A marking has one figure: two are not taken for it, and a correction of a stack
// told before is not lost because a marking was asked for since.
func TestWhatIsNoMarkingIsNotTakenForOne(t *testing.T) {
	k := open(t, "dunlin")
	k.play("ann> used", "ann> skip 2 apart", "ann> old pinion shim 1.12, left 3.20 right 3.25")
	has(t, k.play("ann> actually right is 3.35"), "old right stack 3.35 mm")
	k.play("ann> no marks")
	has(t, k.play("ann> its 12 43"), "tooth counts 12 / 43")
	has(t, k.play("ann> 12 13"), "what measures")
	if r, ok := k.job.Slots[dialogs.NewMark]; ok {
		t.Errorf("the new marking is %v", r.Values)
	}
	if r := k.job.Slots[dialogs.OldRight]; len(r.Values) != 1 || r.Values[0] != 3.35 {
		t.Errorf("the old right stack is %v", r.Values)
	}
}
