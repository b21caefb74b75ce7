package lash_test

import (
	"fmt"

	"shimwright/calc/gearset"
	"shimwright/calc/lash"
	"shimwright/calc/unit"
)

// Backlash reads 0.014 in and 0.008 in is wanted: how far must the ring gear go?
func ExampleSlopesOf() {
	set, err := gearset.Complete(gearset.Known{Z1: 11, Z2: 41, OuterDiameter: unit.MM(215), FaceWidth: unit.MM(33), Offset: unit.MM(35)})
	if err != nil {
		fmt.Println(err)
		return
	}
	slopes, err := lash.SlopesOf(set, lash.Dial{})
	if err != nil {
		fmt.Println(err)
		return
	}
	move := slopes.RingMove(unit.Thou(14), unit.Thou(8), 0)
	fmt.Printf("%.2f thou of lash a thou of ring gear move, %.2f a thou of pinion depth\n", slopes.Ring, slopes.Pinion)
	fmt.Printf("move the ring gear %.1f thou towards the pinion\n", move.Thou())
	// Output:
	// 0.72 thou of lash a thou of ring gear move, 0.24 a thou of pinion depth
	// move the ring gear 8.3 thou towards the pinion
}

// Eight readings round the ring gear: most of the spread comes once a turn.
func ExampleRound() {
	readings := []unit.Length{unit.Thou(7), unit.Thou(8), unit.Thou(9), unit.Thou(9), unit.Thou(9), unit.Thou(8), unit.Thou(7), unit.Thou(6)}
	ring, err := lash.Round(readings)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.1f, spread %.0f, tightest at reading %d\n", ring.Mean.Thou(), ring.Spread.Thou(), ring.MinAt+1)
	fmt.Printf("once a turn: swing %.1f, tight near reading %d, %.0f %% of it\n",
		2*ring.Harmonic.Amplitude.Thou(), ring.Harmonic.LowAt+1, 100*ring.Harmonic.Explained)
	// Output:
	// mean 7.9, spread 3, tightest at reading 8
	// once a turn: swing 2.9, tight near reading 8, 96 % of it
}
