package advise

import (
	"errors"
	"fmt"
	"math"

	"shimwright/calc/estimate"
	"shimwright/calc/lash"
	"shimwright/calc/unit"
	"shimwright/rules"
)

// ErrRequest is wrapped by errors about a request that cannot be worked.
var ErrRequest = errors.New("no recommendation")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrRequest, fmt.Sprintf(format, args...))
}

// marks gives the four pattern coordinates in the estimator's order.
func marks(drive, coast Mark) (out [estimate.Coordinates]estimate.Mark) {
	for i, m := range [2]Mark{drive, coast} {
		out[2*i] = estimate.Mark{Known: m.AlongKnown, At: m.Along, Fine: m.AlongFine}
		out[2*i+1] = estimate.Mark{Known: m.AcrossKnown, At: m.Across, Fine: m.AcrossFine}
	}
	return out
}

// check refuses what is not a number or cannot be.
func (r Request) check() error {
	if r.Sheet == nil {
		return refuse("no axle sheet")
	}
	l := r.Sheet.Limits.Backlash
	if !(l.Low >= 0 && l.High > l.Low) {
		return refuse("sheet %s has no backlash range", r.Sheet.Name)
	}
	for i, a := range r.Attempts {
		for name, s := range map[string]Stack{"pinion": a.Stacks.Pinion, "left": a.Stacks.Left, "right": a.Stacks.Right, "preload": a.Stacks.Preload} {
			if s.Known && !(s.Thickness >= 0 && s.Thickness <= mostStack) {
				return refuse("attempt %d has a %s stack of %s", i+1, name, r.Sheet.Units.Length(s.Thickness))
			}
		}
	}
	if r.Used != nil && !(r.Used.Backlash >= 0 && r.Used.Backlash <= mostLash) {
		return refuse("the old backlash of %s cannot be", r.Sheet.Units.Length(r.Used.Backlash))
	}
	return nil
}

// Bounds of what a request can hold; a figure outside is a slip of the unit.
const (
	mostStack = unit.Length(25) // mm
	mostLash  = unit.Length(10)
)

// attempts turns the attempts into the estimator's.
func (r Request) attempts() []estimate.Attempt {
	out := make([]estimate.Attempt, len(r.Attempts))
	for i, a := range r.Attempts {
		out[i] = estimate.Attempt{Pinion: a.Pinion, Ring: a.Ring, Backlash: a.Backlash, Marks: marks(a.Drive, a.Coast), Reseated: a.Reseated, Sure: a.Sure}
	}
	return out
}

// round is what the last attempt's backlash says.
type ringReading struct {
	known  bool
	judged unit.Length // at the point the sheet judges by
	lash.Ring
}

func (r Request) lash(a Attempt) (ringReading, error) {
	if len(a.Backlash) == 0 {
		return ringReading{}, nil
	}
	ring, err := lash.Round(a.Backlash)
	if err != nil {
		return ringReading{}, fmt.Errorf("%w: %w", ErrRequest, err)
	}
	out := ringReading{known: true, judged: ring.Min, Ring: ring}
	if r.Sheet.Limits.JudgeBacklash == rules.JudgeMean {
		out.judged = ring.Mean
	}
	return out, nil
}

// How far a pattern's centre may lie from where it belongs: as read, and as it
// is aimed for and hoped to be in truth. The middle third, with a little to spare
// where a number was read.
const (
	carriesRead = 0.42
	carriesAim  = 0.40
	carriesWell = 0.50
	carriesAny  = 0.62 // beyond this on a flank no shop lets it go
)

// goal is what the build is to come to.
func (r Request) goal() estimate.Goal {
	l := r.Sheet.Limits.Backlash
	g := estimate.Goal{Low: l.Low, High: l.High}
	for i := range g.Within {
		g.Within[i] = carriesAim
	}
	if r.Used == nil {
		return g
	}
	if r.Used.Backlash > 0 {
		// A worn set goes back to the backlash it ran at, held as closely as the
		// sheet holds a new one.
		half := (l.High - l.Low) / 2
		g.Low, g.High = max(0, r.Used.Backlash-half), r.Used.Backlash+half
	}
	for i, m := range marks(r.Used.Drive, r.Used.Coast) {
		if m.Known {
			g.At[i] = m.At
		}
	}
	return g
}

// within gives the goal with another allowance for the patterns.
func within(g estimate.Goal, allowance float64) estimate.Goal {
	for i := range g.Within {
		g.Within[i] = allowance
	}
	return g
}

// inLimits says whether a backlash is inside the goal, with a tenth of a micron
// to spare for rounding.
func inLimits(g estimate.Goal, l unit.Length) bool { return l >= g.Low-1e-4 && l <= g.High+1e-4 }

// patternRead is what the last attempt's patterns say by themselves.
type patternRead struct {
	any, drive, coast bool // something is known, of each flank
	across            bool // root to top is known of one flank at least
	fine              bool // every known coordinate is where it belongs
	off               int  // coordinates that are not
	height            bool // every known coordinate root to top is where it belongs
	crossed           bool // one flank high and the other low
	oneEnd            bool // both flanks at the toe or both at the heel
	sameEnd           bool // both flanks at the toe or both at the heel, and neither too high or low
}

func readPattern(a Attempt, g estimate.Goal) patternRead {
	p := patternRead{drive: a.Drive.Known(), coast: a.Coast.Known(), fine: true, height: true}
	p.any = p.drive || p.coast
	p.across = a.Drive.AcrossKnown || a.Coast.AcrossKnown
	for i, m := range marks(a.Drive, a.Coast) {
		if m.Known && math.Abs(m.At-g.At[i]) > carriesRead {
			p.fine = false
			p.off++
			p.height = p.height && estimate.Coordinate(i).Along()
		}
	}
	if a.Drive.AcrossKnown && a.Coast.AcrossKnown {
		d, c := a.Drive.Across-g.At[estimate.DriveAcross], a.Coast.Across-g.At[estimate.CoastAcross]
		p.crossed = d*c < 0 && math.Abs(d) > 0.5 && math.Abs(c) > 0.5
	}
	if a.Drive.AlongKnown && a.Coast.AlongKnown && p.across {
		d, c := a.Drive.Along-g.At[estimate.DriveAlong], a.Coast.Along-g.At[estimate.CoastAlong]
		p.oneEnd = d*c > 0 && math.Abs(d) > 0.5 && math.Abs(c) > 0.5
		p.sameEnd = p.oneEnd && p.height
	}
	return p
}
