package estimate

import (
	"errors"
	"fmt"
	"math"
)

// ErrPrior is wrapped by errors about a prior that cannot be worked with.
var ErrPrior = errors.New("the prior cannot be used")

// ErrAttempt is wrapped by errors about attempts that cannot be worked with.
var ErrAttempt = errors.New("the readings cannot be used")

// Normal is a normal belief about one number.
type Normal struct{ Mean, Spread float64 }

// Coordinate names one of the four pattern coordinates.
type Coordinate int

// The four pattern coordinates, in the order of every array of four here.
const (
	DriveAlong Coordinate = iota
	DriveAcross
	CoastAlong
	CoastAcross
	Coordinates = 4
)

// Along says whether the coordinate runs toe to heel; the others run root to top.
func (c Coordinate) Along() bool { return c == DriveAlong || c == CoastAlong }

// Drive says whether the coordinate is of the drive flank.
func (c Coordinate) Drive() bool { return c < CoastAlong }

// Prior is what is known of an axle before anything is read on it.
type Prior struct {
	Depth Normal // where the first build's pinion stands against its right place, mm, + too deep
	Ring  Normal // where its ring gear stands, mm, + too far towards the pinion
	Lash  Normal // mean dial reading with both at their right place, mm

	LashPinion, LashRing             float64 // dial reading closed per unit of move, both positive
	LashPinionSpread, LashRingSpread float64 // standard deviation of their logarithm

	// Pattern coordinate per mm of move, and two scales common to all along and
	// all across slopes (standard deviation of the logarithm): a crown that is
	// flatter than thought makes every pattern travel farther.
	PinionSlope, RingSlope    [Coordinates]Normal
	AlongSpread, AcrossSpread float64

	// Where the patterns lie with both members at their right place, the set's own
	// and the eye's together: what both flanks have in common, and by how much drive
	// lies to one side of that and coast to the other. Toe to heel, and root to top.
	AlongBoth, AcrossBoth   Normal
	AlongApart, AcrossApart Normal
}

// Errors are the standard deviations of what is read and built.
type Errors struct {
	Dial     float64 // one dial reading, mm
	Setup    float64 // what all dial readings of one assembly share, mm
	Assembly float64 // where a member stands after an assembly, against its shims, mm
	Eye      float64 // where a pattern lies, in pattern coordinates
	Tight    float64 // how far below the mean the tightest point is, where only one point was read, mm
}

// DefaultErrors are a careful shop's: a dial read to half a thou, members that
// come back to a quarter of a thou, and a pattern placed by eye. Common practice,
// no source.
func DefaultErrors() Errors {
	return Errors{Dial: 0.010, Setup: 0.004, Assembly: 0.006, Eye: 0.17, Tight: 0.012}
}

func (p Prior) check() error {
	good := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	normals := []Normal{p.Depth, p.Ring, p.Lash, {p.LashPinion, p.LashPinionSpread}, {p.LashRing, p.LashRingSpread},
		{0, p.AlongSpread}, {0, p.AcrossSpread}, p.AlongBoth, p.AcrossBoth, p.AlongApart, p.AcrossApart}
	for i := range Coordinates {
		normals = append(normals, p.PinionSlope[i], p.RingSlope[i])
	}
	for _, n := range normals {
		if !good(n.Mean) || !good(n.Spread) || n.Spread <= 0 {
			return fmt.Errorf("%w: %g ± %g", ErrPrior, n.Mean, n.Spread)
		}
	}
	if p.LashPinion <= 0 || p.LashRing <= 0 {
		return fmt.Errorf("%w: backlash closes by %g per unit of pinion move and %g of ring gear move, both must be positive", ErrPrior, p.LashPinion, p.LashRing)
	}
	return nil
}

func (e Errors) check() error {
	for _, v := range []float64{e.Dial, e.Setup, e.Assembly, e.Eye, e.Tight} {
		if !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: a reading error of %g", ErrPrior, v)
		}
	}
	return nil
}
