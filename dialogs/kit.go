package dialogs

import (
	"shimwright/calc/stack"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// kitStack makes one stack from the kit: its leaves, thickest first, and what they
// add up to. Without a kit, or where nothing can be asked of it, the wanted
// thickness itself comes back without leaves.
func kitStack(kit []rules.Leaf, want unit.Length, maxLeaves int) ([]unit.Length, unit.Length) {
	if len(kit) == 0 {
		return nil, want
	}
	leaves := make([]stack.Leaf, len(kit))
	for i, l := range kit {
		leaves[i] = stack.Leaf{Thickness: l.Thickness, Count: l.Count}
	}
	a, err := stack.Solve(stack.Request{
		Targets:   []stack.Target{{Name: "pinion", Thickness: want, Tolerance: unit.Thou(0.5), Kit: "pinion"}},
		Kits:      map[string][]stack.Leaf{"pinion": leaves},
		MaxLeaves: maxLeaves,
	})
	if err != nil || len(a.Stacks) != 1 || len(a.Stacks[0].Leaves) == 0 {
		return nil, want
	}
	return a.Stacks[0].Leaves, a.Stacks[0].Thickness
}
