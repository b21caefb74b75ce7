package preload

import (
	"fmt"
	"math"

	"shimwright/calc/unit"
)

// Rate is drag gained by a thinner preload pack, in N·m per mm.
type Rate float64

// PerThou makes a rate from a torque per thousandth of an inch.
func PerThou(t unit.Torque) Rate { return Rate(float64(t) / unit.Thou(1).MM()) }

// PerThou gives the drag that a thousandth of an inch changes.
func (r Rate) PerThou() unit.Torque { return unit.Torque(float64(r) * unit.Thou(1).MM()) }

// Rates is a range of rates with its best guess.
type Rates struct {
	Low, Likely, High Rate
}

// UsualRates is 4 to 8 in·lbf per thou, 6 as the likely one. Use the axle's own
// once two packs were tried (RatesFrom).
//
// Source: common practice, no source.
func UsualRates() Rates {
	return Rates{PerThou(unit.InLbf(4)), PerThou(unit.InLbf(6)), PerThou(unit.InLbf(8))}
}

func (r Rates) check() error {
	if !finite(float64(r.Low), float64(r.Likely), float64(r.High)) || r.Low <= 0 || r.Likely < r.Low || r.High < r.Likely {
		return fmt.Errorf("%w: rates %.3g, %.3g, %.3g N·m per mm", ErrFigure, float64(r.Low), float64(r.Likely), float64(r.High))
	}
	return nil
}

// Tried is a pack thickness and the drag it gave.
type Tried struct {
	Pack unit.Length
	Drag unit.Torque
}

// RatesFrom gives the axle's own rate from two packs: −Δdrag/Δpack, with the band
// that a reading error on each drag leaves (error ±, 0.1 N·m or about 1 in·lbf is
// usual). Both drags must show preload (be above the seal's). It errs where the
// packs are alike, or the thinner one did not turn harder by more than the error.
//
// Derivation: the errors of two readings add in squares.
func RatesFrom(a, b Tried, reading unit.Torque) (Rates, error) {
	if err := drags(1, a.Drag, b.Drag, reading); err != nil {
		return Rates{}, err
	}
	thinner := (a.Pack - b.Pack).MM()
	if !finite(thinner) || math.Abs(thinner) < 0.005 {
		return Rates{}, fmt.Errorf("%w: the two packs are alike", ErrFigure)
	}
	rate := float64(b.Drag-a.Drag) / thinner
	spread := math.Sqrt2 * float64(reading) / math.Abs(thinner)
	if !(rate > spread) {
		return Rates{}, fmt.Errorf("%w: the thinner pack did not turn harder by more than the reading error", ErrFigure)
	}
	return Rates{Rate(rate - spread), Rate(rate), Rate(rate + spread)}, nil
}

// PackChange is what to do to a preload pack. Lengths are signed: negative takes
// shim out (thinner pack, more preload).
type PackChange struct {
	Change unit.Length // with the likely rate, to the middle of the band
	Safe   unit.Length // the change that stays under the band's top even with the highest rate
	// Of Change: the drag to be read after it, with the lowest, likely and highest rate.
	Low, Likely, High unit.Torque
}

// ChangePack gives the change of a preload pack that brings a drag into a band:
// thinner by (wanted − read)/rate. Drag 0 to 5,000 N·m, read without change of
// seal; rates positive. Inside the band no change is advised. The spread of the
// rate is carried through to the drag after it. A pack under no preload at all
// (drag 0 or the seal's alone) has play of an unknown size first: then the change
// is the least one.
//
// Source: thinner pack is more preload, about 4 to 8 in·lbf per thou: common
// practice, no source.
func ChangePack(drag unit.Torque, want Band, r Rates) (PackChange, error) {
	if err := drags(1, drag); err != nil {
		return PackChange{}, err
	}
	if err := want.check("wanted drag"); err != nil {
		return PackChange{}, err
	}
	if err := r.check(); err != nil {
		return PackChange{}, err
	}
	c := PackChange{Low: drag, Likely: drag, High: drag}
	if want.Judge(drag) == Inside {
		return c, nil
	}
	more := float64(want.Middle() - drag)
	c.Change = unit.MM(-more / float64(r.Likely))
	thinner := -c.Change.MM()
	ends := []float64{float64(r.Low) * thinner, float64(r.High) * thinner}
	c.Low = drag + unit.Torque(min(ends[0], ends[1]))
	c.High = drag + unit.Torque(max(ends[0], ends[1]))
	c.Likely = want.Middle()
	// Coming from below the stiffest rate must not pass the top; coming from above
	// the softest one must at least reach it.
	rate := r.High
	if drag > want.High {
		rate = r.Low
	}
	c.Safe = unit.MM(-float64(want.High-drag) / float64(rate))
	if drag < want.High && c.Safe < c.Change {
		c.Safe = c.Change
	}
	return c, nil
}
