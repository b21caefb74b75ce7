package dialogs_test

import (
	"testing"

	"shimwright/calc/unit"
)

// After a change that went to the wrong side the log follows what really stands
// in the housing, not the change on top of what was told.
func TestAfterASlipTheStacksAreWhatStands(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 14 14 13 14, drive centered, coast centered", "ann> done")
	told := k.job.Trial().Build
	moved := told.Left.Thickness - unit.Thou(250)
	if moved.Abs() < unit.Thou(4) {
		t.Fatalf("lash 14 moved the left stack by %v only", moved)
	}
	// Opened by as much as it was to close: the shims went to the other side.
	answer := k.play("ann> lash 20 20 19 20, drive centered, coast centered")
	has(t, answer, "went the other way", "mike both stacks")
	a := k.job.Advice
	k.play("ann> done")
	now := k.job.Trial().Build
	for _, c := range []struct {
		name      string
		got, want unit.Length
	}{{"left", now.Left.Thickness, a.Build["left"]}, {"right", now.Right.Thickness, a.Build["right"]}} {
		if c.want == 0 || (c.got-c.want).Abs() > unit.Thou(0.001) {
			t.Errorf("%s stands at %s in the log, %s was advised", c.name, unit.InchUnits.Length(c.got), unit.InchUnits.Length(c.want))
		}
	}
	if sum := now.Left.Thickness + now.Right.Thickness - told.Left.Thickness - told.Right.Thickness; sum.Abs() > unit.Thou(1.5) {
		t.Errorf("the side shims add up to %s more than before: that is preload, not position", unit.InchUnits.Length(sum))
	}
	// Built as told this time, the lash comes in, and the log is believed.
	has(t, k.play("ann> lash 8 8 8 8, drive centered, coast centered"), "good", "leave it alone")
}
