package advise

import (
	"math"
	"strings"

	"shimwright/calc/estimate"
	"shimwright/calc/unit"
)

// What taking a member out again is worth, in utility: a change that gains less
// is left out. The pinion is the larger job.
const (
	pinionEffort = 0.02
	ringEffort   = 0.008
	preloadWorth = 0.20 // of left and right together staying what they are
)

// widens is by how much left and right together change.
func (c change) widens() (sum unit.Length) {
	for _, p := range c.parts {
		if p.name == "left" || p.name == "right" {
			sum += p.change
		}
	}
	return sum
}

// way is the likelier way of the pinion: 1 deeper, -1 shallower. A step the
// other way is not taken, however little it costs.
func (c *consideration) way() int {
	switch deep := c.post.Share(func(depth float64) bool { return depth > 0 }); {
	case deep > 0.5:
		return -1
	case deep < 0.5:
		return 1
	}
	return 0
}

// plan is a pinion and a ring gear change together.
type plan struct {
	pinion, ring change
	worth        float64
	wanted       wanted
	closing      unit.Length // large lash: the ring gear move that closes most of it; 0 where that is not the plan
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
	closing, blocked, err := c.close(best, caution)
	switch {
	case err != nil:
		return Advice{}, err
	case blocked != "":
		return c.short(blocked), nil
	case closing.closing != 0:
		best = closing
	}
	if best.pinion.move == 0 && best.ring.move == 0 && (c.again() || c.Alone) {
		// Read twice and still not right: a shop would not build it up like that.
		if c.ring.known && inLimits(c.goal, c.ring.judged) && c.pattern.height && c.enough() {
			return c.leave()
		}
		if best, err = c.choose(caution, 0, true); err != nil {
			return Advice{}, err
		}
	}
	if limited := c.beyondKit(best); limited != "" && best.pinion.move.Abs() < 2*grid(c.Sheet) && best.ring.move.Abs() < 3*grid(c.Sheet) {
		return c.short(limited), nil
	}
	a := Advice{Verdict: Change, Pinion: best.pinion.move, Ring: best.ring.move}
	if err := c.house(&a, best); err != nil {
		return Advice{}, err
	}
	p := c.post.After(a.Pinion, a.Ring)
	a.Backlash, a.Round = interval(p.Backlash), interval(p.Mean)
	m := p.Marks
	known := func(i int) bool { return marks(c.now.Drive, c.now.Coast)[i].Known }
	a.Drive = Mark{Along: m[0].Mean, Across: m[1].Mean, AlongKnown: known(0), AcrossKnown: known(1), AlongFine: true, AcrossFine: true}
	a.Coast = Mark{Along: m[2].Mean, Across: m[3].Mean, AlongKnown: known(2), AcrossKnown: known(3), AlongFine: true, AcrossFine: true}
	a.DriveSpan, a.CoastSpan = spans(p)
	a.Chance = c.post.Chance(a.Pinion, a.Ring, within(c.goal, carriesWell))
	a.Doubt = c.doubt()
	c.final(&a, a.Pinion, a.Ring)
	describe(&a)
	if words := c.built(&a, best); words != "" {
		a.Reason += ". " + words
	}
	return a, nil
}

// short says that no shim of the kit goes where it has to.
func (c *consideration) short(limited string) Advice {
	return Advice{Verdict: Cannot, Reason: c.say("advise.out_of_reach", "limited", limited),
		Causes: []string{c.say("advise.shims_of_that"), c.say("advise.marking_way"), c.say("advise.right_set")}}
}

// Large lash is over the limit by more than this many widths of the limits; a
// plan that brings less of the ring gear's way than closingShare gives way to
// closing most of it in one go. Common practice, no source.
const (
	largeLash    = 2.0
	closingShare = 0.6
	closingOver  = 1.02

	closingEnough = 0.9 // share of the wanted way from which the stacks are not said to be short
)

// close plans for a large lash: the ring gear goes in by the lash over its answer
// (0.7 and so), less a margin so that the steepest likely answer does not close it
// altogether, as far as the stacks let it. Nothing is planned where the best plan
// does as much; blocked says what stands in the way where it cannot go at all.
func (c *consideration) close(best plan, caution estimate.Caution) (out plan, blocked string, err error) {
	l := c.goal
	if !c.ring.known || caution.OnlyPinion || c.ring.judged-l.High < largeLash*(l.High-l.Low) || c.doubt() != "" {
		return plan{}, "", nil
	}
	_, answer := c.post.Answers()
	want := min((c.ring.judged-(l.Low+l.High)/2)/unit.Length(answer.High), caution.Ring)
	if best.ring.move >= closingShare*want {
		return plan{}, "", nil
	}
	rings, err := c.builder().ring(want)
	if err != nil {
		return plan{}, "", err
	}
	out = plan{wanted: best.wanted}
	for _, r := range rings {
		if r.move > out.ring.move && r.move <= want*closingOver+grid(c.Sheet)/2 {
			out.ring = r
		}
	}
	if out.ring.move < 2*grid(c.Sheet) && best.ring.move <= 0 {
		return plan{}, c.say("advise.ring_wanted_in", "by", c.length(round(want, grid(c.Sheet)))), nil
	}
	if out.ring.move <= best.ring.move {
		return plan{}, "", nil
	}
	out.closing = want
	return out, "", nil
}

// built says where the kit or the housing makes something else of a plan than
// what was wanted.
func (c *consideration) built(a *Advice, p plan) string {
	if a.Verdict != Change && a.Verdict != Bracket {
		return ""
	}
	var words []string
	step := grid(c.Sheet)
	if p.closing != 0 {
		text := c.say("advise.closing")
		if p.ring.move < min(closingEnough*p.closing, p.closing-3*step) {
			text = c.say("advise.closing_limited", "wanted", c.length(round(p.closing, step)))
		}
		words = append(words, text)
	} else if p.ring.move.Abs() < min(closingEnough*p.wanted.ring.Abs(), p.wanted.ring.Abs()-3*step) && p.ring.move*p.wanted.ring > 0 && c.now.Stacks.Left.Known {
		words = append(words, c.say("advise.ring_limited", "wanted", c.length(round(p.wanted.ring.Abs(), step))))
	}
	if sign := unit.Length(c.Sheet.Pinion.Shim.Deeper()); c.now.Stacks.Pinion.Known && len(c.Sheet.Kit.Pinion) > 0 {
		thinnest := c.Sheet.Kit.Pinion[0].Thickness
		for _, l := range c.Sheet.Kit.Pinion {
			thinnest = min(thinnest, l.Thickness)
		}
		wanted := c.now.Stacks.Pinion.Thickness + sign*p.wanted.pinion
		if stands := c.now.Stacks.Pinion.Thickness + a.PinionShim; wanted < thinnest-step && stands > wanted+step {
			words = append(words, c.say("advise.thinnest", "wanted", c.length(round(wanted, step)), "thinnest", c.length(thinnest)))
		}
	}
	if sum := a.Left + a.Right; sum.Abs() > step/10 {
		if sum > 0 {
			words = append(words, c.say("advise.more_preload", "by", c.length(sum)))
		} else {
			words = append(words, c.say("advise.less_preload", "by", c.length(sum.Abs())))
		}
	}
	return strings.Join(words, ". ")
}

// builder works with what is really in the housing.
func (c *consideration) builder() builder {
	if c.ours == nil {
		c.ours = map[string]bool{}
	}
	return builder{sheet: c.Sheet, now: c.now.Stacks, ours: c.ours}
}

// choose looks for the plan of most worth: about the best change of both members,
// and about the best change of the ring gear alone. effort weighs what taking a
// member out is worth; must leaves "no change" out, where anything can be built.
func (c *consideration) choose(caution estimate.Caution, effort float64, must bool) (plan, error) {
	b := c.builder()
	caution.Way = c.way()
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
				if r.widens().Abs() > grid(c.Sheet)/10 {
					u -= effort * preloadWorth
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
	units := c.units()
	if off := p.wanted.pinion - p.pinion.move; off.Abs() > outOfReach*grid(c.Sheet) {
		change := p.wanted.pinion * unit.Length(c.Sheet.Pinion.Shim.Deeper())
		return c.say("advise.pinion_wanted", "change", units.Signed(round(change, grid(c.Sheet))))
	}
	if off := p.wanted.ring - p.ring.move; off.Abs() > outOfReach*grid(c.Sheet) {
		key := "advise.ring_wanted_in"
		if p.wanted.ring < 0 {
			key = "advise.ring_wanted_out"
		}
		return c.say(key, "by", units.Length(round(p.wanted.ring.Abs(), grid(c.Sheet))))
	}
	return ""
}

// house writes down what changes in the housing.
func (c *consideration) house(a *Advice, best plan) error {
	a.Build, a.Leaves, a.Misses = map[string]unit.Length{}, map[string][]unit.Length{}, map[string]unit.Length{}
	var parts []part
	parts = append(append(parts, best.pinion.parts...), best.ring.parts...)
	if len(best.pinion.parts) > 0 && c.Sheet.Preload.Coupled {
		b := c.builder()
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
