package advise

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/stack"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// change is a buildable change of one member: the gear move it makes and what
// changes in the housing.
type change struct {
	move    unit.Length // of the gear, signed as everywhere
	parts   []part
	notches float64 // left adjuster, tightened positive; the right one goes as much the other way
}

// part is one stack of a change.
type part struct {
	name      string
	change    unit.Length // thicker positive
	thickness unit.Length // after it; 0 where the stack is not known
	leaves    []unit.Length
	miss      unit.Length // built less wanted
}

// grid is the step the sheet's habit rounds to.
func grid(s *rules.Sheet) unit.Length {
	if s.Units == unit.Metric {
		return unit.MM(0.01)
	}
	return unit.Thou(1)
}

func round(l, step unit.Length) unit.Length {
	return unit.Length(math.Round(float64(l/step))) * step
}

// builder makes changes out of what is in the housing and in the kit.
type builder struct {
	sheet *rules.Sheet
	now   Stacks
}

// Tolerances of the search for leaves: a stack within a quarter of the grid is
// as good as exact, and the preload may change by the grid between left and right.
const exactShare = 0.25

// offers are how many steps of the grid either way of the wanted move are looked
// at, so that the best of what can be built is found and not only the nearest.
const offers = 3

// pinion gives the buildable pinion moves about a wanted one.
func (b builder) pinion(want unit.Length) ([]change, error) {
	step, sign := grid(b.sheet), unit.Length(b.sheet.Pinion.Shim.Deeper())
	return b.around(want, step, func(move unit.Length) (change, bool, error) {
		targets := []target{{"pinion", b.now.Pinion, sign * move, "pinion"}}
		parts, ok, err := b.stacks(targets)
		if err != nil || !ok {
			return change{}, ok, err
		}
		return change{move: sign * parts[0].change, parts: parts}, true, nil
	})
}

// preload gives the change of the preload pack that a pinion shim change needs.
func (b builder) preload(shim unit.Length) (part, error) {
	parts, ok, err := b.stacks([]target{{"preload", b.now.Preload, shim, "preload"}})
	if err != nil {
		return part{}, err
	}
	if !ok {
		return part{name: "preload", change: shim, miss: -shim}, nil
	}
	return parts[0], nil
}

// ring gives the buildable ring gear moves about a wanted one.
func (b builder) ring(want unit.Length) ([]change, error) {
	left := unit.Length(1) // a thicker left stack pushes a ring gear on the left towards the pinion
	if b.sheet.Ring.Side == rules.Right {
		left = -1
	}
	if per := b.sheet.Carrier.PerNotch(); per > 0 {
		return b.around(want, per, func(move unit.Length) (change, bool, error) {
			n := math.Round(float64(move / per))
			return change{move: unit.Length(n) * per, notches: float64(left) * n}, true, nil
		})
	}
	return b.around(want, grid(b.sheet), func(move unit.Length) (change, bool, error) {
		parts, ok, err := b.stacks([]target{{"left", b.now.Left, left * move, "side"}, {"right", b.now.Right, -left * move, "side"}})
		if err != nil || !ok {
			return change{}, ok, err
		}
		return change{move: left * (parts[0].change - parts[1].change) / 2, parts: parts}, true, nil
	})
}

// around collects what can be built near a wanted move, no change included.
func (b builder) around(want, step unit.Length, build func(unit.Length) (change, bool, error)) ([]change, error) {
	out := []change{{}}
	middle := round(want, step)
	for i := -offers; i <= offers; i++ {
		move := middle + unit.Length(i)*step
		if move.Abs() < step/2 {
			continue
		}
		c, ok, err := build(move)
		if err != nil {
			return nil, err
		}
		known := !ok || c.move.Abs() < step/20 // nothing to build, or nothing changes
		for _, o := range out {
			known = known || (o.move-c.move).Abs() < step/20
		}
		if !known {
			out = append(out, c)
		}
	}
	return out, nil
}

// target is one stack and what is wanted of it.
type target struct {
	name   string
	now    Stack
	change unit.Length
	kit    string
}

// stacks builds stacks from the kit, together where there are two. Where a stack
// is not known the change is made as it is; ok is false where the stacks cannot
// be thinned that far.
func (b builder) stacks(targets []target) (parts []part, ok bool, err error) {
	step := grid(b.sheet)
	known := true
	for _, t := range targets {
		known = known && t.now.Known
	}
	if !known {
		for _, t := range targets {
			parts = append(parts, part{name: t.name, change: t.change})
		}
		return parts, true, nil
	}
	r := stack.Request{Kits: map[string][]stack.Leaf{}, MaxLeaves: b.sheet.Carrier.MaxLeaves}
	for _, t := range targets {
		want := t.now.Thickness + t.change
		if want < 0 || t.name != "preload" && t.name != "pinion" && want < b.sheet.Carrier.MinimumStack-step/2 {
			return nil, false, nil
		}
		r.Kits[t.kit] = b.kit(t.kit)
		r.Targets = append(r.Targets, stack.Target{Name: t.name, Thickness: want, Tolerance: step * exactShare, InPlace: t.now.Leaves, Kit: t.kit})
	}
	if len(targets) > 1 {
		for _, t := range targets {
			r.Together = append(r.Together, t.name)
		}
		r.TogetherTolerance = step
	}
	if !b.reachable(r) {
		return b.beyond(targets), true, nil
	}
	answer, err := stack.Solve(r)
	switch {
	case errors.Is(err, stack.ErrRequest):
		return nil, false, nil
	case err != nil:
		return nil, false, fmt.Errorf("stacks: %w", err)
	}
	for i, s := range answer.Stacks {
		if s.Residual.Abs() > 3*step {
			// The stack in the housing is not of this kit: say the change itself.
			return b.beyond(targets), true, nil
		}
		parts = append(parts, part{name: s.Name, change: s.Thickness - targets[i].now.Thickness, thickness: s.Thickness, leaves: s.Leaves, miss: s.Residual})
	}
	return parts, true, nil
}

// beyond changes stacks that the kit does not reach at all by what is wanted.
func (b builder) beyond(targets []target) (parts []part) {
	for _, t := range targets {
		parts = append(parts, part{name: t.name, change: t.change, thickness: t.now.Thickness + t.change})
	}
	return parts
}

// reachable says whether the kit's leaves can be thick enough at all, so that a
// stack of another kit is not searched for.
func (b builder) reachable(r stack.Request) bool {
	for _, t := range r.Targets {
		thickest := unit.Length(0)
		for _, l := range r.Kits[t.Kit] {
			thickest = max(thickest, l.Thickness)
		}
		for _, l := range t.InPlace {
			thickest = max(thickest, l)
		}
		leaves := r.MaxLeaves
		if leaves == 0 {
			leaves = stack.DefaultMaxLeaves
		}
		if thickest*unit.Length(leaves) < t.Thickness-t.Tolerance {
			return false
		}
	}
	return true
}

func (b builder) kit(name string) []stack.Leaf {
	leaves := map[string][]rules.Leaf{"pinion": b.sheet.Kit.Pinion, "side": b.sheet.Kit.Side, "preload": b.sheet.Kit.Preload}[name]
	out := make([]stack.Leaf, len(leaves))
	for i, l := range leaves {
		out[i] = stack.Leaf{Thickness: l.Thickness, Count: l.Count}
	}
	return out
}
