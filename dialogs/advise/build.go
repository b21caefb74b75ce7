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
	ours  map[string]bool // by stack: what is in the housing can be made of the kit
}

// Tolerances of the search for leaves: a stack within a quarter of the grid is
// as good as exact; left and right together, the side preload, are held closer.
const (
	exactShare = 0.25
	sumShare   = 0.1 // of the grid, left and right together
)

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
		out = offer(out, c, ok, step)
	}
	// Out of reach: as far that way as the housing and the kit let it go.
	for share := 1 - reachStep; len(out) == 1 && share > reachStep/2; share -= reachStep {
		c, ok, err := build(round(want*unit.Length(share), step))
		if err != nil {
			return nil, err
		}
		out = offer(out, c, ok && c.move*want > 0, step)
	}
	return out, nil
}

// reachStep is the share of a wanted move by which it is cut until it can be built.
const reachStep = 0.05

// offer adds a change that can be built and that is not there yet; of two that
// make the same move the nearer to what was wanted stays.
func offer(out []change, c change, ok bool, step unit.Length) []change {
	if !ok || c.move.Abs() < step/20 {
		return out
	}
	for i, o := range out {
		if (o.move - c.move).Abs() >= step/20 {
			continue
		}
		if len(o.parts) == 1 && len(c.parts) == 1 && c.parts[0].miss.Abs() < o.parts[0].miss.Abs() {
			out[i] = c
		}
		return out
	}
	return append(out, c)
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
	for _, t := range targets {
		want := t.now.Thickness + t.change
		if want < 0 || t.name != "preload" && t.name != "pinion" && want < b.sheet.Carrier.MinimumStack-step/2 {
			return nil, false, nil
		}
	}
	r := b.request(targets, true)
	if !b.reachable(r) {
		if b.ofKit(targets) {
			return nil, false, nil
		}
		return b.beyond(targets), true, nil
	}
	answer, err := stack.Solve(r)
	switch {
	case errors.Is(err, stack.ErrRequest):
		return nil, false, nil
	case err != nil:
		return nil, false, fmt.Errorf("stacks: %w", err)
	}
	far := false
	for _, s := range answer.Stacks {
		far = far || s.Residual.Abs() > 3*step
	}
	if far && !b.ofKit(targets) {
		// The stack in the housing is not of this kit: say the change itself.
		return b.beyond(targets), true, nil
	}
	if far && len(targets) > 1 {
		return nil, false, nil // one side alone at the kit's end is no ring gear move
	}
	for i, s := range answer.Stacks {
		parts = append(parts, part{name: s.Name, change: s.Thickness - targets[i].now.Thickness, thickness: s.Thickness, leaves: s.Leaves, miss: s.Residual})
	}
	return parts, true, nil
}

// ofKit says whether what is in the housing can be made of the kit, so that the
// kit's end is the end.
func (b builder) ofKit(targets []target) bool {
	name := targets[0].name
	ours, found := b.ours[name]
	if found {
		return ours
	}
	r := b.request(targets, false)
	ours = b.reachable(r)
	if ours {
		answer, err := stack.Solve(r)
		ours = err == nil
		for _, s := range answer.Stacks {
			ours = ours && s.Residual.Abs() <= 3*grid(b.sheet)
		}
	}
	if b.ours != nil {
		b.ours[name] = ours
	}
	return ours
}

// request asks for the stacks as they are to be, or as they are. Left and right
// together stay what they are, which is the side preload.
func (b builder) request(targets []target, changed bool) stack.Request {
	step := grid(b.sheet)
	r := stack.Request{Kits: map[string][]stack.Leaf{}, MaxLeaves: b.sheet.Carrier.MaxLeaves}
	for _, t := range targets {
		want := t.now.Thickness
		if changed {
			want += t.change
		}
		r.Kits[t.kit] = b.kit(t.kit)
		r.Targets = append(r.Targets, stack.Target{Name: t.name, Thickness: want, Tolerance: step * exactShare, InPlace: t.now.Leaves, Kit: t.kit})
	}
	if len(targets) > 1 {
		for _, t := range targets {
			r.Together = append(r.Together, t.name)
		}
		r.TogetherTolerance = step * sumShare
	}
	return r
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
