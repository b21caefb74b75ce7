package stack_test

import (
	"fmt"

	"shimwright/calc/stack"
	"shimwright/calc/unit"
)

// A carrier move of 0.010 in from right to left, and a pinion shim of 0.034 in,
// from what lies in the kits and in the axle.
func ExampleSolve() {
	thou := unit.Thou
	a, err := stack.Solve(stack.Request{
		Targets: []stack.Target{
			{Name: "pinion", Thickness: thou(34), Tolerance: thou(.5), Kit: "pinion", InPlace: []unit.Length{thou(30)}},
			{Name: "left", Thickness: thou(260), Tolerance: thou(.5), Kit: "side", InPlace: []unit.Length{thou(250)}},
			{Name: "right", Thickness: thou(240), Tolerance: thou(.5), Kit: "side", InPlace: []unit.Length{thou(240), thou(10)}},
		},
		Kits: map[string][]stack.Leaf{
			"pinion": {{Thickness: thou(3), Count: 2}, {Thickness: thou(4), Count: 1}},
			"side":   {{Thickness: thou(5), Count: 1}},
		},
		Together:          []string{"left", "right"},
		TogetherTolerance: thou(.5),
		MaxLeaves:         4,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range a.Stacks {
		fmt.Printf("%s: %s", s.Name, unit.InchUnits.Length(s.Thickness))
		for _, l := range s.Add {
			fmt.Printf(", add %s", unit.InchUnits.Length(l))
		}
		for _, l := range s.Remove {
			fmt.Printf(", take out %s", unit.InchUnits.Length(l))
		}
		fmt.Println()
	}
	fmt.Println("inside the tolerances:", a.Within)
	// Output:
	// pinion: 0.034 in, add 0.004 in
	// left: 0.260 in, add 0.010 in
	// right: 0.240 in, take out 0.010 in
	// inside the tolerances: true
}
