package depth_test

import (
	"fmt"

	"shimwright/calc/depth"
	"shimwright/calc/unit"
)

// The old pinion was marked +2 and had 0.030 in; the new one is marked −1, and +
// means farther from the ring gear's centre line. The new head bearing is 0.002 in
// taller.
func ExampleFromOld() {
	shim, err := depth.FromOld(depth.Old{
		Sense: depth.ThickerDeeper, Shim: unit.Thou(30),
		OldMark: depth.Mark{Value: unit.Thou(2), Meaning: depth.Farther},
		NewMark: depth.Mark{Value: unit.Thou(-1), Meaning: depth.Farther},
		Pushes:  []depth.Push{{Name: "head bearing, stand height", Old: unit.Inch(1.184), New: unit.Inch(1.186)}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, term := range shim.Terms {
		fmt.Println(unit.InchUnits.Signed(term.Value), term.Name)
	}
	fmt.Println(unit.InchUnits.Length(shim.Thickness))
	// Output:
	// +0.030 in old shim
	// +0.003 in head markings, old to new
	// -0.002 in head bearing, stand height
	// 0.031 in
}
