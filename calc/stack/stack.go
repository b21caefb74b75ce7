// Package stack builds shim stacks from a measured kit: pinion, left and right at
// once, exactly.
//
// Of all stacks that can be built it takes, in this order: those inside their
// tolerances, or else those whose worst is least outside and then least outside in
// all; the fewest leaves to fit that are not in place already; the fewest leaves in
// the stacks; the least distance from the wanted thicknesses, summed; and then
// thick leaves before thin ones. Stacks that share neither a kit nor a held sum
// are built each for itself. No stack gets more leaves than allowed, and no leaf is used twice, also
// where two stacks draw on one kit or a leaf moves from one to the other. The
// search is exact, and the same question always has the same answer.
package stack

import (
	"errors"
	"fmt"
	"slices"

	"shimwright/calc/unit"
)

// Leaf is one measured thickness of shim and how many of it lie in the kit,
// beside those in place.
type Leaf struct {
	Thickness unit.Length
	Count     int
}

// Target is one stack to build.
type Target struct {
	Name      string
	Thickness unit.Length   // wanted
	Tolerance unit.Length   // allowed distance from it, either way, limits included
	InPlace   []unit.Length // leaves that are in it now
	Kit       string        // the kit it draws on; empty for none but the leaves in place
}

// Request is what is to be built.
type Request struct {
	Targets []Target
	Kits    map[string][]Leaf

	// Together names the targets whose sum is held, as left and right are by the
	// side preload: the sum may miss the wanted sum by TogetherTolerance only.
	Together          []string
	TogetherTolerance unit.Length

	// MaxLeaves is the most leaves one stack may have; zero takes DefaultMaxLeaves.
	MaxLeaves int
}

// DefaultMaxLeaves is the most leaves of a stack where nothing is said; more
// than that is a spring.
const DefaultMaxLeaves = 16

// Limits of a request; beyond them something was mistyped.
const (
	maxTargets   = 6
	maxKitSizes  = 200              // distinct thicknesses a stack can draw on
	maxThickness = unit.Length(25)  // of a leaf and of a stack, mm
	minLeaf      = unit.Length(.01) // thinnest leaf, mm
	maxLeafLimit = 40
)

// Answer is what can be built: the wanted stacks, or where the kit cannot do that
// the nearest to them.
type Answer struct {
	Stacks []Stack // in the order of the targets

	// Within says that every stack and the held sum are inside their tolerances.
	// Where it is false these are the nearest stacks that can be built.
	Within bool

	// Proven is false where a hard request (several stacks that want more of the
	// same few leaves than there are) was given up on: the stacks were then built
	// one after the other, and a better division may exist.
	Proven bool

	SumResidual unit.Length // built less wanted, of the targets held together; zero without any
	SumWithin   bool        // the held sum is inside its tolerance; true without any
}

// Stack is one stack as it is to be built.
type Stack struct {
	Name      string
	Leaves    []unit.Length // all of it, thickest first
	Thickness unit.Length
	Residual  unit.Length // built less wanted
	Within    bool        // inside its tolerance

	Keep   []unit.Length // leaves in place that stay, thickest first
	Add    []unit.Length // leaves to fit
	Remove []unit.Length // leaves to take out
}

// ErrRequest is wrapped by every error about a request that makes no sense.
var ErrRequest = errors.New("the stacks cannot be asked for like that")

// Solve builds the stacks of a request. Thicknesses are compared on a grid of
// 0.01 µm, on which every leaf measured in 0.0001 in or 0.001 mm lies exactly;
// where a kit's thicknesses share no step of 0.1 µm or more (inch and metric
// leaves measured fine and mixed) they are taken to the nearest 0.1 µm.
//
// That a kit cannot build a target is an answer (see Answer.Within); it errs only,
// wrapping ErrRequest, on a request that makes no sense.
func Solve(r Request) (Answer, error) { return r.solve(maxWays) }

func (r Request) solve(maxWays int) (Answer, error) {
	if r.MaxLeaves == 0 {
		r.MaxLeaves = DefaultMaxLeaves
	}
	if err := r.check(); err != nil {
		return Answer{}, err
	}
	stacks, held := r.lay()
	chosen := make([][]int, len(stacks))
	proven := true
	for _, part := range components(stacks, held) {
		s, sure := search(part, maxWays)
		proven = proven && sure
		for i, b := range part.beds {
			chosen[b.index] = s.counts[i]
		}
	}
	a := r.answer(stacks, chosen)
	a.Proven = proven
	return a, nil
}

func (r Request) check() error {
	wrong := func(format string, args ...any) error {
		return fmt.Errorf("%w: %s", ErrRequest, fmt.Sprintf(format, args...))
	}
	if len(r.Targets) == 0 || len(r.Targets) > maxTargets {
		return wrong("%d stacks, 1 to %d can be built at once", len(r.Targets), maxTargets)
	}
	if r.MaxLeaves < 0 || r.MaxLeaves > maxLeafLimit {
		return wrong("at most %d leaves in a stack, 1 to %d can be worked", r.MaxLeaves, maxLeafLimit)
	}
	leaf := func(where string, t unit.Length) error {
		if !(t >= minLeaf && t <= maxThickness) {
			return wrong("%s: a leaf of %s", where, unit.Metric.Length(t))
		}
		return nil
	}
	names := map[string]bool{}
	for _, t := range r.Targets {
		if names[t.Name] {
			return wrong("two stacks are named %q", t.Name)
		}
		names[t.Name] = true
		if !(t.Thickness >= 0 && t.Thickness <= maxThickness) {
			return wrong("%s: a stack of %s", t.Name, unit.Metric.Length(t.Thickness))
		}
		if !(t.Tolerance >= 0 && t.Tolerance <= maxThickness) {
			return wrong("%s: a tolerance of %s", t.Name, unit.Metric.Length(t.Tolerance))
		}
		if len(t.InPlace) > maxLeafLimit {
			return wrong("%s: %d leaves in place", t.Name, len(t.InPlace))
		}
		for _, l := range t.InPlace {
			if err := leaf(t.Name, l); err != nil {
				return err
			}
		}
		if _, ok := r.Kits[t.Kit]; t.Kit != "" && !ok {
			return wrong("%s draws on a kit %q that is not there", t.Name, t.Kit)
		}
	}
	for name, kit := range r.Kits {
		if len(kit) > maxKitSizes {
			return wrong("kit %q has %d thicknesses, up to %d can be worked", name, len(kit), maxKitSizes)
		}
		for _, l := range kit {
			if err := leaf("kit "+name, l.Thickness); err != nil {
				return err
			}
			if l.Count < 0 {
				return wrong("kit %q has %d leaves of %s", name, l.Count, unit.Metric.Length(l.Thickness))
			}
		}
	}
	for i, name := range r.Together {
		if !names[name] || slices.Contains(r.Together[:i], name) {
			return wrong("the sum names a stack %q that is not there, or twice", name)
		}
	}
	if len(r.Together) > 0 && !(r.TogetherTolerance >= 0 && r.TogetherTolerance <= maxThickness) {
		return wrong("a tolerance of the sum of %s", unit.Metric.Length(r.TogetherTolerance))
	}
	return nil
}

// answer writes the chosen counts out as leaves.
func (r Request) answer(stacks []*bed, chosen [][]int) Answer {
	a := Answer{Within: true, SumWithin: true}
	grid, wantedGrid := 0, 0
	for n, b := range stacks {
		t := r.Targets[n]
		s := Stack{Name: t.Name}
		sum := 0
		for i, size := range b.sizes {
			count, was := chosen[n][i], size.inPlace
			sum += count * size.grid
			for range count {
				s.Leaves = append(s.Leaves, size.thickness)
				s.Thickness += size.thickness
			}
			for range min(count, was) {
				s.Keep = append(s.Keep, size.thickness)
			}
			for range count - was {
				s.Add = append(s.Add, size.thickness)
			}
			for range was - count {
				s.Remove = append(s.Remove, size.thickness)
			}
		}
		s.Residual = s.Thickness - t.Thickness
		s.Within = abs(sum-b.wanted) <= b.tolerance
		a.Within = a.Within && s.Within
		if b.held != nil {
			grid, wantedGrid = grid+sum, wantedGrid+b.wanted
			a.SumResidual += s.Residual
			a.SumWithin = abs(grid-wantedGrid) <= b.held.tolerance
		}
		a.Stacks = append(a.Stacks, s)
	}
	a.Within = a.Within && a.SumWithin
	return a
}

func abs(v int) int {
	if v < 0 {
		return -v
	}
	return v
}
