package preload

import (
	"fmt"

	"shimwright/calc/unit"
)

// Pull gives the torque of a string wound on a drum (or a bar's end) and pulled
// square with a scale, T = F·(r + s/2): force (0 to 20,000 N), radius of the drum
// (0 to 2 m, not 0) and thickness of the string (0 where it is thin). A string of
// 2 mm on a drum of 50 mm adds 2 parts in 100.
//
// Derivation: statics; the pull acts along the string's middle.
func Pull(force unit.Force, radius, cord unit.Length) (unit.Torque, error) {
	arm, err := armOf(radius, cord)
	if err != nil {
		return 0, err
	}
	if err := sensible("pull in N", float64(force), 0, mostForce); err != nil {
		return 0, err
	}
	return unit.Torque(float64(force) * arm.MM() / 1000), nil
}

// PullFor gives what the scale shows at a torque (0 to 5,000 N·m), the reverse of
// Pull.
func PullFor(drag unit.Torque, radius, cord unit.Length) (unit.Force, error) {
	arm, err := armOf(radius, cord)
	if err != nil {
		return 0, err
	}
	if err := sensible("drag in N·m", float64(drag), 0, mostTorque); err != nil {
		return 0, err
	}
	return unit.Force(float64(drag) / (arm.MM() / 1000)), nil
}

func armOf(radius, cord unit.Length) (unit.Length, error) {
	if err := sensible("radius in mm", radius.MM(), 0.1, mostLength); err != nil {
		return 0, err
	}
	if err := sensible("string thickness in mm", cord.MM(), 0, 2*radius.MM()); err != nil {
		return 0, err
	}
	return radius + cord/2, nil
}

// Total gives the drag at the pinion with the carrier in: pinion drag + carrier
// drag / ratio. Drags 0 to 5,000 N·m; ratio (ring gear teeth over pinion teeth)
// 1 to 100. Gear mesh friction is left out, and brakes and axle shafts must be
// off.
//
// Derivation: power in steady turning; the carrier turns 1/ratio as fast as the
// pinion, so its torque counts 1/ratio as much there.
func Total(pinion, carrier unit.Torque, ratio float64) (unit.Torque, error) {
	if err := drags(ratio, pinion, carrier); err != nil {
		return 0, err
	}
	return pinion + carrier/unit.Torque(ratio), nil
}

// Carrier gives the drag of the side bearings at the carrier from total and pinion
// drag at the pinion: (total − pinion)·ratio. It errs where the total is below the
// pinion's own, which no carrier can do.
func Carrier(total, pinion unit.Torque, ratio float64) (unit.Torque, error) {
	if err := drags(ratio, total, pinion); err != nil {
		return 0, err
	}
	if total < pinion {
		return 0, fmt.Errorf("%w: total drag %.3g N·m is below the pinion's own %.3g N·m", ErrFigure, float64(total), float64(pinion))
	}
	return (total - pinion) * unit.Torque(ratio), nil
}

// Pinion gives the pinion's own drag from the total and the carrier's:
// total − carrier/ratio. It errs where that is below nothing.
func Pinion(total, carrier unit.Torque, ratio float64) (unit.Torque, error) {
	if err := drags(ratio, total, carrier); err != nil {
		return 0, err
	}
	p := total - carrier/unit.Torque(ratio)
	if p < 0 {
		return 0, fmt.Errorf("%w: carrier drag alone is over the total at the pinion", ErrFigure)
	}
	return p, nil
}

func drags(ratio float64, all ...unit.Torque) error {
	for _, d := range all {
		if err := sensible("drag in N·m", float64(d), 0, mostTorque); err != nil {
			return err
		}
	}
	return sensible("ratio", ratio, 1, 100)
}

// Bearings is how the bearings were run before.
type Bearings string

// The states of bearings.
const (
	NewBearings  Bearings = "new"
	UsedBearings Bearings = "used"
)

// Seal says whether the pinion seal was in when the drag was read.
type Seal string

// The states of the seal; SealUnknown takes the band wide enough for both.
const (
	SealUnknown Seal = ""
	SealOff     Seal = "off"
	SealOn      Seal = "on"
)

// Figures are a sheet's pinion drag figures. Used and Seal may be left at zero.
type Figures struct {
	New  Band // new bearings, without seal
	Used Band // used bearings, without seal; half of New where not given
	Seal Band // what a new seal adds; 2 to 5 in·lbf where not given
}

// Expected is the band a reading is held against, and what was assumed for it.
type Expected struct {
	Band
	AssumedUsed bool // the sheet has no figure for used bearings: half the new one was taken
	AssumedSeal bool // the sheet has no figure for the seal: 2 to 5 in·lbf was taken
}

// Expect gives the drag to be read in the state the pinion is in: the sheet's new
// or used band, plus the seal's where it is in. Where nobody said whether the seal
// is in, the low end stands without it and the high end with it.
//
// Source: used bearings run at about half the new figure, a new seal adds about 2
// to 5 in·lbf: common practice, no source; the sheet's own figures win.
func Expect(f Figures, b Bearings, s Seal) (Expected, error) {
	if err := f.New.check("drag with new bearings"); err != nil {
		return Expected{}, err
	}
	if f.New.High == 0 {
		return Expected{}, fmt.Errorf("%w: no drag figure for new bearings", ErrFigure)
	}
	e := Expected{Band: f.New}
	if b == UsedBearings {
		if e.Band = f.Used; f.Used.High == 0 {
			e.Band, e.AssumedUsed = Band{f.New.Low / 2, f.New.High / 2}, true
		}
	}
	seal := f.Seal
	if seal.High == 0 {
		seal = Band{unit.InLbf(2), unit.InLbf(5)}
	}
	for name, band := range map[string]Band{"drag with used bearings": e.Band, "seal drag": seal} {
		if err := band.check(name); err != nil {
			return Expected{}, err
		}
	}
	switch s {
	case SealOn:
		e.Low, e.High = e.Low+seal.Low, e.High+seal.High
	case SealUnknown:
		e.High += seal.High
	}
	e.AssumedSeal = s != SealOff && f.Seal.High == 0
	return e, nil
}
