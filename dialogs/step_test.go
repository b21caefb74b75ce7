package dialogs_test

import (
	"testing"

	"shimwright/dialogs"
)

// The steps keep their numbers: people and shop rules speak of them.
func TestStepsKeepTheirNumbers(t *testing.T) {
	want := []dialogs.StepID{"open", "as-found", "teardown", "parts", "start-shim", "ring", "trial", "loop",
		"final-pinion", "final-carrier", "close-up", "summary", "break-in", "after"}
	k := open(t, "lapwing")
	s, err := k.desk.Sheets.Sheet("lapwing")
	if err != nil {
		t.Fatal(err)
	}
	steps := dialogs.Steps(s, k.job)
	if len(steps) != len(want) {
		t.Fatalf("%d steps, want %d", len(steps), len(want))
	}
	for i, st := range steps {
		if st.No != i+1 || st.ID != want[i] {
			t.Errorf("step %d is number %d, %s; want %s", i+1, st.No, st.ID, want[i])
		}
	}
}
