package advise

import (
	"math"

	"shimwright/calc/estimate"
	"shimwright/calc/unit"
)

// What taking a member out again is worth, in utility: a change that gains less
// is left out. The pinion is the larger job.
const (
	pinionEffort = 0.02
	ringEffort   = 0.008
)

// plan is a pinion and a ring gear change together.
type plan struct {
	pinion, ring change
	worth        float64
	wanted       wanted
}

// wanted is the best change there would be with shims of any thickness.
type wanted struct {
	pinion, ring unit.Length
	worth        float64
}

// shimLimited is the loss of utility by what the kit can build from which that is
// said, and out of the kit's reach the distance of a move.
const (
	shimLimited = 0.25
	outOfReach  = 2.5 // steps of the grid
)

// change chooses the change of most worth that can be built and describes it.
func (c *consideration) change(caution estimate.Caution, describe func(*Advice)) (Advice, error) {
	if caution.Ring == 0 {
		usual := estimate.UsualCaution()
		caution.Pinion, caution.Ring, caution.LargeRing, caution.SmallPinion = usual.Pinion, usual.Ring, usual.LargeRing, usual.SmallPinion
	}
	best, err := c.choose(caution, 1, false)
	if err != nil {
		return Advice{}, err
	}
	if best.pinion.move == 0 && best.ring.move == 0 && (c.again() || c.Alone) {
		// Read twice and still not right: a shop would not build it up like that.
		if c.ring.known && inLimits(c.goal, c.ring.judged) && c.pattern.height && c.enough() {
			return c.leave(), nil
		}
		if best, err = c.choose(caution, 0, true); err != nil {
			return Advice{}, err
		}
	}
	if limited := c.beyondKit(best); limited != "" && best.pinion.move.Abs() < 2*grid(c.Sheet) && best.ring.move.Abs() < 3*grid(c.Sheet) {
		a := Advice{Verdict: Cannot, Reason: "the shims at hand do not reach: " + limited,
			Causes: []string{"shims of that thickness", "the head marking and which way it counts", "the right set of gears and bearings for this housing"}}
		if c.ring.known {
			a.Backlash = same(c.ring.judged)
		}
		return a, nil
	}
	a := Advice{Verdict: Change, Pinion: best.pinion.move, Ring: best.ring.move}
	if err := c.house(&a, best); err != nil {
		return Advice{}, err
	}
	p := c.post.After(a.Pinion, a.Ring)
	a.Backlash = interval(p.Backlash)
	m := p.Marks
	known := func(i int) bool { return marks(c.now.Drive, c.now.Coast)[i].Known }
	a.Drive = Mark{Along: m[0].Mean, Across: m[1].Mean, AlongKnown: known(0), AcrossKnown: known(1), AlongFine: true, AcrossFine: true}
	a.Coast = Mark{Along: m[2].Mean, Across: m[3].Mean, AlongKnown: known(2), AcrossKnown: known(3), AlongFine: true, AcrossFine: true}
	a.DriveSpan, a.CoastSpan = spans(p)
	a.Chance = c.post.Chance(a.Pinion, a.Ring, within(c.goal, carriesWell))
	a.Doubt = c.doubt()
	c.final(&a, a.Pinion, a.Ring)
	describe(&a)
	return a, nil
}

// choose looks for the plan of most worth: about the best change of both members,
// and about the best change of the ring gear alone. effort weighs what taking a
// member out is worth; must leaves "no change" out, where anything can be built.
func (c *consideration) choose(caution estimate.Caution, effort float64, must bool) (plan, error) {
	b := builder{sheet: c.Sheet, now: c.now.Stacks}
	best := plan{worth: math.Inf(-1), wanted: wanted{worth: math.Inf(-1)}}
	only := caution
	only.OnlyRing = true
	cautions := []estimate.Caution{only}
	if !caution.OnlyRing {
		cautions = append(cautions, caution)
	}
	for _, k := range cautions {
		pinion, ring := c.post.Best(c.goal, k)
		if u := c.post.Utility(pinion, ring, c.goal); u > best.wanted.worth {
			best.wanted = wanted{pinion, ring, u}
		}
		pinions, rings := []change{{}}, []change{{}}
		var err error
		if !k.OnlyRing {
			if pinions, err = b.pinion(pinion); err != nil {
				return plan{}, err
			}
		}
		if !k.OnlyPinion {
			if rings, err = b.ring(ring); err != nil {
				return plan{}, err
			}
		}
		// A kit with gaps builds a little past the bounds too.
		k.Pinion, k.Ring, k.LargeRing, k.SmallPinion = k.Pinion+0.03, k.Ring+0.05, k.LargeRing+0.05, k.SmallPinion+0.03
		for _, p := range pinions {
			for _, r := range rings {
				if !k.Allows(p.move, r.move) || must && p.move == 0 && r.move == 0 {
					continue
				}
				u := c.post.Utility(p.move, r.move, c.goal)
				if p.move != 0 {
					u -= effort * pinionEffort
				}
				if r.move != 0 {
					u -= effort * ringEffort
				}
				if u > best.worth {
					best.pinion, best.ring, best.worth = p, r, u
				}
			}
		}
	}
	return best, nil
}

// beyondKit says what the best change would need where the kit falls far short.
func (c *consideration) beyondKit(p plan) string {
	if p.wanted.worth-p.worth < shimLimited {
		return ""
	}
	units := c.Sheet.Units
	if off := p.wanted.pinion - p.pinion.move; off.Abs() > outOfReach*grid(c.Sheet) {
		change := p.wanted.pinion * unit.Length(c.Sheet.Pinion.Shim.Deeper())
		return "a pinion shim change of about " + units.Signed(round(change, grid(c.Sheet))) + " is wanted"
	}
	if off := p.wanted.ring - p.ring.move; off.Abs() > outOfReach*grid(c.Sheet) {
		way := "towards the pinion"
		if p.wanted.ring < 0 {
			way = "away from the pinion"
		}
		return "the ring gear is wanted about " + units.Length(round(p.wanted.ring.Abs(), grid(c.Sheet))) + " " + way
	}
	return ""
}

// house writes down what changes in the housing.
func (c *consideration) house(a *Advice, best plan) error {
	a.Build, a.Leaves, a.Misses = map[string]unit.Length{}, map[string][]unit.Length{}, map[string]unit.Length{}
	var parts []part
	parts = append(append(parts, best.pinion.parts...), best.ring.parts...)
	if len(best.pinion.parts) > 0 && c.Sheet.Preload.Coupled {
		b := builder{sheet: c.Sheet, now: c.now.Stacks}
		pack, err := b.preload(best.pinion.parts[0].change)
		if err != nil {
			return err
		}
		parts = append(parts, pack)
	}
	for _, p := range parts {
		switch p.name {
		case "pinion":
			a.PinionShim = p.change
		case "left":
			a.Left = p.change
		case "right":
			a.Right = p.change
		case "preload":
			a.Preload = p.change
		}
		if p.thickness > 0 {
			a.Build[p.name] = p.thickness
		}
		if len(p.leaves) > 0 {
			a.Leaves[p.name] = p.leaves
		}
		if p.miss.Abs() > grid(c.Sheet)/10 {
			a.Misses[p.name] = p.miss
		}
	}
	a.LeftNotches, a.RightNotches = best.ring.notches, -best.ring.notches
	if best.ring.notches == 0 {
		a.RightNotches = 0
	}
	return nil
}
