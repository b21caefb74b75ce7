package stack

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"shimwright/calc/unit"
)

func thou(v ...float64) []unit.Length {
	out := make([]unit.Length, len(v))
	for i := range v {
		out[i] = unit.Thou(v[i])
	}
	return out
}

func kit(count int, thicknesses ...float64) []Leaf {
	var leaves []Leaf
	for _, t := range thicknesses {
		leaves = append(leaves, Leaf{unit.Thou(t), count})
	}
	return leaves
}

// asThou writes leaves as whole thou.
func asThou(leaves []unit.Length) string {
	var out []string
	for _, l := range leaves {
		out = append(out, fmt.Sprintf("%g", math.Round(l.Thou()*100)/100))
	}
	return strings.Join(out, "+")
}

func TestSolveTable(t *testing.T) {
	side := kit(2, 2, 3, 5, 10, 20, 30)
	const rules = "derived from the stated order: fewest leaves to fit, fewest in the stack, nearest"
	for _, c := range []struct {
		name   string
		in     Request
		want   string // stacks as thou
		within bool
		source string
	}{
		{"few thick leaves", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(33), Kit: "p"}}, Kits: map[string][]Leaf{"p": side}}, "30+3", true, rules},
		{"leaves in place stay", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(32), InPlace: thou(30, 5), Kit: "p"}}, Kits: map[string][]Leaf{"p": side}}, "30+2", true, rules},
		{"nothing to do", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(35), InPlace: thou(20, 10, 5), Kit: "p"}}, Kits: map[string][]Leaf{"p": kit(1, 35)}}, "20+10+5", true, rules},
		{"only take out", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(30), InPlace: thou(20, 10, 5), Kit: "p"}}, Kits: map[string][]Leaf{"p": kit(1, 30)}}, "20+10", true, rules},
		{"within the tolerance is enough", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(33), Tolerance: unit.Thou(1), InPlace: thou(30, 2), Kit: "p"}}, Kits: map[string][]Leaf{"p": side}}, "30+2", true, rules},
		{"the tolerance's edge is inside", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(30.5), Tolerance: unit.Thou(.5), Kit: "p"}}, Kits: map[string][]Leaf{"p": kit(1, 30, 29)}}, "30", true, rules},
		{"no more leaves than allowed", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(33), Kit: "p"}}, Kits: map[string][]Leaf{"p": side}, MaxLeaves: 1}, "30", false, rules},
		{"cannot be built, nearest", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(34), Kit: "p"}}, Kits: map[string][]Leaf{"p": kit(1, 30, 10)}}, "30", false, rules},
		{"nothing at hand", Request{Targets: []Target{{Name: "pinion", Thickness: unit.Thou(34)}}}, "", false, rules},
		{"a leaf goes from right to left", Request{Targets: []Target{
			{Name: "left", Thickness: unit.Thou(210), InPlace: thou(200), Kit: "s"}, {Name: "right", Thickness: unit.Thou(190), InPlace: thou(190, 10), Kit: "s"},
		}, Kits: map[string][]Leaf{"s": nil}, Together: []string{"left", "right"}}, "200+10 | 190", true, "common practice, no source: what comes off one side goes to the other"},
		{"one leaf, two stacks that want it", Request{Targets: []Target{
			{Name: "left", Thickness: unit.Thou(30), Kit: "s"}, {Name: "right", Thickness: unit.Thou(30), Kit: "s"},
		}, Kits: map[string][]Leaf{"s": {{unit.Thou(30), 1}, {unit.Thou(20), 1}, {unit.Thou(10), 1}}}}, "30 | 20+10", true, rules},
		{"the sum is held though each side may be off", Request{Targets: []Target{
			{Name: "left", Thickness: unit.Thou(31), Tolerance: unit.Thou(1), Kit: "s"}, {Name: "right", Thickness: unit.Thou(31), Tolerance: unit.Thou(1), Kit: "s"},
		}, Kits: map[string][]Leaf{"s": kit(2, 30, 32)}, Together: []string{"left", "right"}}, "32 | 30", true, rules},
		{"separate kits do not mix", Request{Targets: []Target{
			{Name: "pinion", Thickness: unit.Thou(30), Kit: "p"}, {Name: "left", Thickness: unit.Thou(20), Kit: "s"},
		}, Kits: map[string][]Leaf{"p": kit(3, 10), "s": kit(1, 20)}}, "10+10+10 | 20", true, rules},
		{"metric", Request{Targets: []Target{{Name: "pinion", Thickness: unit.MM(1.23), Tolerance: unit.MM(.005), Kit: "p"}},
			Kits: map[string][]Leaf{"p": {{unit.MM(1.1), 1}, {unit.MM(.13), 1}, {unit.MM(.61), 2}}}}, "43.31+5.12", true, rules},
	} {
		a, err := Solve(c.in)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var got []string
		for _, s := range a.Stacks {
			got = append(got, asThou(s.Leaves))
		}
		// Left and right may change places where nothing tells them apart.
		if text := strings.Join(got, " | "); text != c.want && text != swapped(c.want) || a.Within != c.within {
			t.Errorf("%s: %q within %v, want %q %v (%s)", c.name, text, a.Within, c.want, c.within, c.source)
		}
		checkAnswer(t, c.in, a)
	}
}

func swapped(text string) string {
	a, b, ok := strings.Cut(text, " | ")
	if !ok {
		return text
	}
	return b + " | " + a
}

type failer interface {
	Helper()
	Fatalf(string, ...any)
}

// checkAnswer holds what every answer must: only leaves there are, no more than
// allowed, sums and residuals true, keep, add and remove consistent.
func checkAnswer(t failer, r Request, a Answer) {
	t.Helper()
	if r.MaxLeaves == 0 {
		r.MaxLeaves = DefaultMaxLeaves
	}
	used := map[string]map[int]int{}
	sum := unit.Length(0)
	for n, s := range a.Stacks {
		target := r.Targets[n]
		thickness := unit.Length(0)
		for _, l := range s.Leaves {
			thickness += l
		}
		if s.Name != target.Name || (thickness-s.Thickness).Abs() > 1e-9 || (s.Thickness-target.Thickness-s.Residual).Abs() > 1e-9 {
			t.Fatalf("%s: thickness or residual is not what the leaves say: %+v", target.Name, s)
		}
		if len(s.Leaves) > r.MaxLeaves {
			t.Fatalf("%s: %d leaves, %d allowed", s.Name, len(s.Leaves), r.MaxLeaves)
		}
		if !slices.IsSortedFunc(s.Leaves, func(a, b unit.Length) int { return -cmpLength(a, b) }) {
			t.Fatalf("%s: leaves are not thickest first: %v", s.Name, s.Leaves)
		}
		if !same(append(slices.Clone(s.Keep), s.Add...), s.Leaves) || !same(append(slices.Clone(s.Keep), s.Remove...), target.InPlace) {
			t.Fatalf("%s: keep %v add %v remove %v do not lead from %v to %v", s.Name, s.Keep, s.Add, s.Remove, target.InPlace, s.Leaves)
		}
		pool := target.Kit
		if pool == "" {
			pool = "only " + s.Name
		}
		if used[pool] == nil {
			used[pool] = map[int]int{}
			for _, l := range r.Kits[target.Kit] {
				used[pool][toGrid(l.Thickness)] -= l.Count
			}
		}
		for _, l := range target.InPlace {
			used[pool][toGrid(l)]--
		}
		for _, l := range s.Leaves {
			used[pool][toGrid(l)]++
		}
		if slices.Contains(r.Together, s.Name) {
			sum += s.Residual
		}
	}
	for pool, leaves := range used {
		for g, over := range leaves {
			if over > 0 {
				t.Fatalf("pool %q: %d leaves of %g mm too many", pool, over, float64(g)/gridPerMM)
			}
		}
	}
	if (a.SumResidual - sum).Abs() > 1e-9 {
		t.Fatalf("sum residual %v, want %v", a.SumResidual, sum)
	}
	if slack := scoreOf(r, a).slack; (slack == 0) != a.Within {
		t.Fatalf("within %v, but %v outside the tolerances", a.Within, slack)
	}
}

func cmpLength(a, b unit.Length) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func same(a, b []unit.Length) bool {
	a, b = slices.Clone(a), slices.Clone(b)
	slices.Sort(a)
	slices.Sort(b)
	return slices.EqualFunc(a, b, func(x, y unit.Length) bool { return toGrid(x) == toGrid(y) })
}

// score is what is minimised in one part: the worst slack on the grid, then the
// rest.
type score struct {
	slack int
	key
}

func (a score) less(b score) bool {
	return a.slack < b.slack || a.slack == b.slack && a.key.compare(b.key) < 0
}

// off enters how far outside its tolerance something is.
func (a *score) off(miss int) {
	a.slack, a.outside = max(a.slack, miss), a.outside+max(miss, 0)
}

// scoreOf works out anew what is minimised, with all stacks as one part.
func scoreOf(r Request, a Answer) score {
	var out score
	sum := 0
	for n, s := range a.Stacks {
		away := -toGrid(r.Targets[n].Thickness)
		for _, l := range s.Leaves {
			away += toGrid(l)
		}
		out.off(abs(away) - toGrid(r.Targets[n].Tolerance))
		out.key = out.key.plus(key{0, len(s.Add), len(s.Leaves), abs(away)})
		if slices.Contains(r.Together, s.Name) {
			sum += away
		}
	}
	if len(r.Together) > 0 {
		out.off(abs(sum) - toGrid(r.TogetherTolerance))
	}
	return out
}

// split cuts a request and its answer into the parts that share neither a kit nor
// the held sum.
func split(r Request, a Answer) (requests []Request, answers []Answer) {
	beds, sum := r.lay()
	for _, p := range components(beds, sum) {
		part, answer := r, Answer{}
		part.Targets, part.Together = nil, nil
		for _, b := range p.beds {
			part.Targets = append(part.Targets, r.Targets[b.index])
			answer.Stacks = append(answer.Stacks, a.Stacks[b.index])
			if b.held != nil {
				part.Together = append(part.Together, r.Targets[b.index].Name)
			}
		}
		requests, answers = append(requests, part), append(answers, answer)
	}
	return requests, answers
}

// bruteForce goes through everything that can be built.
func bruteForce(r Request) score {
	if r.MaxLeaves == 0 {
		r.MaxLeaves = DefaultMaxLeaves
	}
	pools := map[string]map[int]int{}
	poolOf := func(t Target) string {
		if t.Kit == "" {
			return "only " + t.Name
		}
		return t.Kit
	}
	for _, t := range r.Targets {
		pool := poolOf(t)
		if pools[pool] == nil {
			pools[pool] = map[int]int{}
			for _, l := range r.Kits[t.Kit] {
				pools[pool][toGrid(l.Thickness)] += l.Count
			}
		}
		for _, l := range t.InPlace {
			pools[pool][toGrid(l)]++
		}
	}
	best := score{slack: math.MaxInt}
	var stackUp func(n, sum int, now score)
	stackUp = func(n, sum int, now score) {
		if n == len(r.Targets) {
			if len(r.Together) > 0 {
				now.off(abs(sum) - toGrid(r.TogetherTolerance))
			}
			if now.less(best) {
				best = now
			}
			return
		}
		t := r.Targets[n]
		pool := pools[poolOf(t)]
		var grids []int
		for g := range pool {
			grids = append(grids, g)
		}
		was := map[int]int{}
		for _, l := range t.InPlace {
			was[toGrid(l)]++
		}
		var leaf func(i, thickness, added, leaves int)
		leaf = func(i, thickness, added, leaves int) {
			if i == len(grids) {
				away := thickness - toGrid(t.Thickness)
				held := 0
				if slices.Contains(r.Together, t.Name) {
					held = away
				}
				next := score{now.slack, now.key.plus(key{0, added, leaves, abs(away)})}
				next.off(abs(away) - toGrid(t.Tolerance))
				stackUp(n+1, sum+held, next)
				return
			}
			g := grids[i]
			there := pool[g]
			for x := 0; x <= there && leaves+x <= r.MaxLeaves; x++ {
				pool[g] = there - x
				leaf(i+1, thickness+x*g, added+max(x-was[g], 0), leaves+x)
			}
			pool[g] = there
		}
		leaf(0, 0, 0, 0)
	}
	stackUp(0, 0, score{})
	return best
}

// drawRequest makes a small request of any shape.
func drawRequest(t *rapid.T) Request {
	length := func(name string, low, high int) unit.Length {
		v := float64(rapid.IntRange(low, high).Draw(t, name))
		switch rapid.SampledFrom([]string{"thou", "thou", "hundredth", "tenth of a thou"}).Draw(t, name+" unit") {
		case "thou":
			return unit.Thou(v)
		case "hundredth":
			return unit.Hundredth(2 * v)
		}
		return unit.Thou(v + float64(rapid.IntRange(0, 9).Draw(t, "tenths"))/10)
	}
	r := Request{Kits: map[string][]Leaf{}, MaxLeaves: rapid.IntRange(0, 4).Draw(t, "max leaves")}
	for _, name := range []string{"p", "s"} {
		var leaves []Leaf
		for range rapid.IntRange(0, 3).Draw(t, "sizes of "+name) {
			leaves = append(leaves, Leaf{length("leaf", 1, 12), rapid.IntRange(0, 2).Draw(t, "count")})
		}
		r.Kits[name] = leaves
	}
	for n := range rapid.IntRange(1, 3).Draw(t, "targets") {
		target := Target{
			Name: []string{"left", "right", "pinion"}[n], Thickness: length("wanted", 0, 30),
			Tolerance: unit.Thou(rapid.SampledFrom([]float64{0, .5, 1, 3}).Draw(t, "tolerance")),
			Kit:       rapid.SampledFrom([]string{"s", "s", "p", ""}).Draw(t, "kit"),
		}
		for range rapid.IntRange(0, 2).Draw(t, "in place") {
			target.InPlace = append(target.InPlace, length("leaf in place", 1, 12))
		}
		r.Targets = append(r.Targets, target)
	}
	if len(r.Targets) > 1 && rapid.Bool().Draw(t, "sum held") {
		r.Together = []string{"left", "right"}
		r.TogetherTolerance = unit.Thou(rapid.SampledFrom([]float64{0, .2, 1}).Draw(t, "sum tolerance"))
	}
	return r
}

// The search is exact: nothing that can be built is better.
func TestSolveAgainstBruteForce(t *testing.T) {
	asked, proven := 0, 0
	defer func() { t.Logf("%d of %d answers proven", proven, asked) }()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRequest(t)
		for _, target := range r.Targets {
			var all []size
			all = r.sizesFor(slices.IndexFunc(r.Targets, func(o Target) bool { return o.Name == target.Name }))
			if commonStep(all) < coarseGrid {
				t.Skip("thicknesses are taken to 0.1 µm here")
			}
		}
		const bruteWays = 100000 // more would take brute force too long
		for _, p := range components(r.lay()) {
			if p.ways(bruteWays) > bruteWays {
				t.Skip("too many ways for brute force")
			}
		}
		// Small kits are simply gone through; the search for large ones must find
		// the same.
		for _, ways := range []int{maxWays, 0} {
			a, err := r.solve(ways)
			if err != nil {
				t.Fatal(err)
			}
			checkAnswer(t, r, a)
			requests, answers := split(r, a)
			for i := range requests {
				got, want := scoreOf(requests[i], answers[i]), bruteForce(requests[i])
				if a.Proven && got != want || got.less(want) {
					t.Fatalf("with %d ways found %+v, brute force %+v\n%+v\n%+v", ways, got, want, r, a)
				}
			}
			asked++
			if a.Proven {
				proven++
			}
		}
	})
}

// The same question has the same answer, also with kit and leaves in another
// order.
func TestSolveDeterministic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRequest(t)
		a, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		for name, leaves := range r.Kits {
			slices.Reverse(leaves)
			r.Kits[name] = leaves
		}
		for _, target := range r.Targets {
			slices.Reverse(target.InPlace)
		}
		b, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		if scoreOf(r, a) != scoreOf(r, b) {
			t.Fatalf("%+v and then %+v", a, b)
		}
		again, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(b, again); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Stacks that fall out over a few leaves: every bed alone needs the one odd leaf.
func TestSolveContested(t *testing.T) {
	even := []Leaf{{unit.Thou(1), 1}}
	for v := 2.0; v <= 78; v += 2 {
		even = append(even, Leaf{unit.Thou(v), 4})
	}
	r := Request{Kits: map[string][]Leaf{"s": even}, Targets: []Target{
		{Name: "left", Thickness: unit.Thou(201), Kit: "s"}, {Name: "right", Thickness: unit.Thou(203), Kit: "s"},
	}}
	a, err := Solve(r)
	if err != nil {
		t.Fatal(err)
	}
	checkAnswer(t, r, a)
	const source = "derived: one of two odd stacks must miss by the thinnest step"
	if k := scoreOf(r, a); a.Within || !a.Proven || k.slack != toGrid(unit.Thou(1)) {
		t.Errorf("outside by %v grid units, want one thou (%s)", k.slack, source)
	}
	// Each bed can only be exact with the one leaf both want.
	r.Targets[1].Thickness = unit.Thou(202)
	if a, err = Solve(r); err != nil || !a.Within {
		t.Errorf("one odd and one even stack: %+v, %v (%s)", a, err, source)
	}
}

func TestSolveRefuses(t *testing.T) {
	ok := func() Request {
		return Request{Targets: []Target{{Name: "left", Thickness: unit.MM(1), Kit: "s"}, {Name: "right", Thickness: unit.MM(1), Kit: "s"}},
			Kits: map[string][]Leaf{"s": {{unit.MM(1), 2}}}, Together: []string{"left", "right"}}
	}
	if a, err := Solve(ok()); err != nil || !a.Within {
		t.Fatalf("the request the others are made from: %+v, %v", a, err)
	}
	for _, c := range []struct {
		name string
		edit func(*Request)
		want string
	}{
		{"nothing asked", func(r *Request) { r.Targets = nil }, "0 stacks"},
		{"same name", func(r *Request) { r.Targets[1].Name = "left" }, `two stacks are named "left"`},
		{"no such kit", func(r *Request) { r.Targets[0].Kit = "x" }, `kit "x" that is not there`},
		{"negative thickness", func(r *Request) { r.Targets[0].Thickness = unit.MM(-1) }, "left: a stack of -1.00 mm"},
		{"not a number", func(r *Request) { r.Targets[0].Thickness = unit.MM(math.NaN()) }, "left: a stack of NaN"},
		{"tolerance endless", func(r *Request) { r.Targets[0].Tolerance = unit.MM(math.Inf(1)) }, "tolerance"},
		{"leaf of nothing", func(r *Request) { r.Kits["s"][0].Thickness = 0 }, "a leaf of 0.00 mm"},
		{"leaf in whole inches", func(r *Request) { r.Targets[0].InPlace = []unit.Length{unit.Inch(30)} }, "left: a leaf of 762.00 mm"},
		{"fewer than none", func(r *Request) { r.Kits["s"][0].Count = -1 }, "-1 leaves of 1.00 mm"},
		{"sum of a stranger", func(r *Request) { r.Together[1] = "pinion" }, `"pinion" that is not there`},
		{"no leaves allowed", func(r *Request) { r.MaxLeaves = -1 }, "at most -1 leaves"},
	} {
		r := ok()
		c.edit(&r)
		if _, err := Solve(r); !errors.Is(err, ErrRequest) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
}
