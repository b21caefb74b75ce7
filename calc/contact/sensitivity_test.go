package contact

import (
	"math"
	"testing"
)

// The slopes are those of a much finer grid and a much smaller step.
func TestSlopesAgainstFineDifferences(t *testing.T) {
	for name, g := range map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3(), "axle": axle()} {
		table, err := mustModel(t, g, Options{}).Sensitivities()
		if err != nil {
			t.Fatal(err)
		}
		fine := mustModel(t, g, Options{Along: 161, Across: 81, StepsPerPitch: 48})
		ws := fine.NewWorkspace()
		for i, s := range []Slope{table.Pinion, table.Ring, table.Offset, table.Shaft} {
			what := []string{"pinion", "ring gear", "offset", "shaft angle"}[i]
			scale := []float64{1, 1, 1, g.ConeDistance.MM()}[i]
			x := 0.02 / scale
			want, err := fine.odd(ws, i, x)
			if err != nil {
				t.Fatal(err)
			}
			for k, got := range []float64{s.DriveAlong, s.DriveAcross, s.CoastAlong, s.CoastAcross} {
				if w := want[k] / x; math.Abs(got-w) > scale*(0.02+0.02*math.Abs(w/scale)) {
					t.Errorf("%s, %s, %d: slope %.4f, by fine differences %.4f (derived)", name, what, k, got, w)
				}
			}
			if w := want[5] / x; math.Abs(s.BacklashTransverseInContact-w) > 0.003*scale {
				t.Errorf("%s, %s: backlash slope in contact %.5f, by fine differences %.5f (derived)", name, what, s.BacklashTransverseInContact, w)
			}
		}
	}
}

// Inside the valid range the straight line holds; a little outside it does not,
// unless the range is as long as is looked at.
func TestValidRange(t *testing.T) {
	m := mustModel(t, axle(), Options{})
	ws := m.NewWorkspace()
	table, err := m.Sensitivities()
	if err != nil {
		t.Fatal(err)
	}
	rest, err := m.shift(ws, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range []Slope{table.Pinion, table.Ring, table.Offset} {
		slope := []float64{s.DriveAlong, s.DriveAcross, s.CoastAlong, s.CoastAcross}
		worst := func(x float64) float64 {
			off := 0.0
			for _, x := range []float64{x, -x} {
				at, err := m.shift(ws, i, x)
				if err != nil {
					t.Fatal(err)
				}
				for k, v := range slope {
					off = max(off, math.Abs(at[k]-rest[k]-v*x))
				}
			}
			return off
		}
		if !(s.Valid > 0.05) {
			t.Errorf("motion %d: valid to %.3f mm only", i, s.Valid)
		}
		if off := worst(0.98 * s.Valid); off > LinearTolerance*1.05 {
			t.Errorf("motion %d: %.3f off the line inside the valid range", i, off)
		}
		if off := worst(1.1 * s.Valid); s.Valid < RoughBeyond.MM() && off < LinearTolerance {
			t.Errorf("motion %d: still on the line (%.3f) outside the valid range of %.3f mm", i, off, s.Valid)
		}
	}
	if table.Ring.Valid > RoughBeyond.MM() {
		t.Errorf("valid to %.3f mm", table.Ring.Valid)
	}
}
