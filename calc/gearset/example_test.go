package gearset_test

import (
	"fmt"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// From the measurements of a ring gear to its cones, with what had to be taken.
func ExampleComplete() {
	set, err := gearset.Complete(gearset.Known{
		Z1: 11, Z2: 41, OuterDiameter: unit.MM(215), FaceWidth: unit.MM(33), Offset: unit.MM(35),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("ring gear: pitch angle %.1f°, spiral %.1f°; pinion: pitch angle %.1f°, spiral %.1f°\n",
		set.Delta2.Deg(), set.Beta2.Deg(), set.Delta1.Deg(), set.Beta1.Deg())
	for _, a := range set.Assumed[:3] {
		fmt.Printf("taken: %s %.1f ± %.1f %s\n", a.Name, a.Value, a.PlusMinus, a.Unit)
	}
	// Output:
	// ring gear: pitch angle 70.8°, spiral 28.5°; pinion: pitch angle 18.0°, spiral 49.5°
	// taken: shaft angle 90.0 ± 0.0 deg
	// taken: ring gear spiral angle 28.5 ± 4.0 deg
	// taken: mean normal pressure angle 20.0 ± 2.5 deg
}

// A figure that cannot be is said in a sentence.
func ExampleComplete_impossible() {
	_, err := gearset.Complete(gearset.Known{Z1: 11, Z2: 41, OuterDiameter: unit.MM(215), FaceWidth: unit.MM(33), Offset: unit.MM(135)})
	fmt.Println(err)
	// Output: no such gear set: an offset of 135.00 mm is too large for a ring gear of 215.00 mm outside diameter; hypoid sets have up to about a quarter of it
}
