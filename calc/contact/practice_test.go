package contact

import (
	"fmt"
	"math"
	"testing"

	"shimwright/calc/gearset"
	"shimwright/calc/unit"
)

// Where the rules of practice and the model are held against each other: five
// invented axles of usual proportions, the two published samples, and small and
// large cutters.
func practiceSets(t *testing.T) map[string]Gear {
	t.Helper()
	sets := map[string]Gear{"F.2": sampleF2(), "F.3": sampleF3()}
	in, mm, deg := unit.Inch, unit.MM, unit.Deg
	for name, k := range map[string]gearset.Known{
		"45/11 reverse cut": {Z1: 11, Z2: 45, OuterDiameter: in(8.54), FaceWidth: in(1.34), Offset: in(1.38), RingSpiral: deg(27), Pressure: deg(20), RingPitchAngle: deg(72.5), CutterRadius: in(3.75)},
		"41/11":             {Z1: 11, Z2: 41, OuterDiameter: in(8.9), FaceWidth: in(1.44), Offset: in(1.5), RingSpiral: deg(28), Pressure: deg(20), RingPitchAngle: deg(72.6), CutterRadius: in(4.5)},
		"37/9":              {Z1: 9, Z2: 37, OuterDiameter: mm(205), FaceWidth: mm(32), Offset: mm(32), RingSpiral: deg(28.5), Pressure: deg(20), RingPitchAngle: deg(72.5), CutterRadius: mm(88.9)},
		"41/10":             {Z1: 10, Z2: 41, OuterDiameter: in(9.72), FaceWidth: in(1.57), Offset: in(1.5), RingSpiral: deg(29.7), Pressure: deg(20), RingPitchAngle: deg(73.4), CutterRadius: in(4.5)},
		"43/12 uniform":     {Z1: 12, Z2: 43, OuterDiameter: mm(185), FaceWidth: mm(29), Offset: mm(25), RingSpiral: deg(28.5), Pressure: deg(20), RingPitchAngle: deg(70), UniformDepth: true},
	} {
		g, err := FromSet(mustSet(t, k))
		if err != nil {
			t.Fatal(name, err)
		}
		sets[name] = g
	}
	return sets
}

// TestRulesOfPractice holds every firm rule of practice against the model on every
// set and says for each whether they agree. A rule of practice that the model does
// not bear out is listed with its set, so that a change of either is noticed; why
// they differ is in DEVELOPERS.md, "Where model and practice differ".
func TestRulesOfPractice(t *testing.T) {
	const source = "common practice, no source"
	rules := []struct {
		rule string
		of   func(Table) float64
		low  float64 // what practice says the value lies between
		high float64
		not  []string // sets on which the model disagrees
	}{
		{"deeper closes backlash, 0.2 to 0.45 per unit", func(t Table) float64 { return -t.Pinion.BacklashNormal }, 0.2, 0.45, nil},
		{"deeper closes backlash, 0.2 to 0.45 per unit, taken where the flanks touch", func(t Table) float64 { return -t.Pinion.BacklashNormalInContact }, 0.2, 0.45, nil},
		{"ring gear towards the pinion closes backlash, 0.55 to 0.85 per unit", func(t Table) float64 { return -t.Ring.BacklashNormal }, 0.55, 0.85, nil},
		{"a pinion move does about a third of a ring gear move to backlash", func(t Table) float64 { return t.Pinion.BacklashNormal / t.Ring.BacklashNormal }, 0.2, 0.45, nil},
		{"deeper moves the drive pattern to the root", func(t Table) float64 { return t.Pinion.DriveAcross }, -20, 0, nil},
		{"deeper moves the drive pattern to the toe", func(t Table) float64 { return t.Pinion.DriveAlong }, -20, 0, nil},
		{"deeper moves the coast pattern to the root", func(t Table) float64 { return t.Pinion.CoastAcross }, -20, 0, nil},
		{"deeper moves the coast pattern to the heel", func(t Table) float64 { return t.Pinion.CoastAlong }, 0, 20, []string{"F.3", "43/12 uniform"}},
		{"ring gear towards the pinion moves the drive pattern to the toe", func(t Table) float64 { return t.Ring.DriveAlong }, -20, 0, nil},
		{"ring gear towards the pinion moves the drive pattern a bit lower", func(t Table) float64 { return t.Ring.DriveAcross }, -0.5, 0, nil},
		{"ring gear towards the pinion moves the coast pattern to the toe", func(t Table) float64 { return t.Ring.CoastAlong }, -20, 0, []string{"F.3", "43/12 uniform"}},
		{"ring gear towards the pinion moves the coast pattern a bit lower", func(t Table) float64 { return t.Ring.CoastAcross }, -0.5, 0, nil},
		{"a depth change acts mostly across the profile, drive", func(t Table) float64 { return across(t.Pinion.DriveAlong, t.Pinion.DriveAcross) }, 1, 1e9, nil},
		{"a depth change acts mostly across the profile, coast", func(t Table) float64 { return across(t.Pinion.CoastAlong, t.Pinion.CoastAcross) }, 1, 1e9, nil},
		{"a ring gear move acts mostly along the tooth, drive", func(t Table) float64 { return across(t.Ring.DriveAcross, t.Ring.DriveAlong) }, 1, 1e9, nil},
		{"an offset change moves the two patterns to opposite ends", func(t Table) float64 { return t.Offset.DriveAlong * t.Offset.CoastAlong }, -400, 0, nil},
	}
	sets := practiceSets(t)
	for name, g := range sets {
		table, err := mustModel(t, g, Options{}).Sensitivities()
		if err != nil {
			t.Fatal(name, err)
		}
		for _, r := range rules {
			v := r.of(table)
			agrees, expected := v > r.low && v < r.high, true
			for _, n := range r.not {
				expected = expected && n != name
			}
			word := map[bool]string{true: "agree", false: "disagree"}
			line := fmt.Sprintf("%s: %s: %s (model %+.3f, practice %g to %g; %s)", name, r.rule, word[agrees], v, r.low, r.high, source)
			t.Log(line)
			if agrees != expected {
				t.Errorf("no longer as recorded: %s", line)
			}
		}
	}
	for _, r := range rules {
		for _, n := range r.not {
			if _, ok := sets[n]; !ok {
				t.Errorf("%s: no set %q", r.rule, n)
			}
		}
	}
}

// across is how many times larger b is than a.
func across(a, b float64) float64 { return math.Abs(b / a) }

// Teeth of uniform depth answer a depth change mostly across the profile, tapered
// teeth both ways: the ratio of the two travels is larger on the uniform set.
// (Common practice, no source.)
func TestUniformDepthMovesAcross(t *testing.T) {
	sets := practiceSets(t)
	travel := func(g Gear) float64 {
		table, err := mustModel(t, g, Options{}).Sensitivities()
		if err != nil {
			t.Fatal(err)
		}
		return across(table.Pinion.DriveAlong, table.Pinion.DriveAcross)
	}
	if uniform, tapered := travel(sets["43/12 uniform"]), travel(sets["41/11"]); !(uniform > tapered) {
		t.Errorf("travel across over travel along: uniform %.2f, tapered %.2f", uniform, tapered)
	}
}
