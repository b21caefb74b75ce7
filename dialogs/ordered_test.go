package dialogs_test

import "testing"

// A pair of moves that the mentor ordered is no slip when it is typed as made; a
// pair of the technician's own is cautioned.
func TestAnOrderedPairIsNoSlip(t *testing.T) {
	k := toLoop(t, "lapwing")
	k.play("ann> lash 14 14 13 14, drive high and heel, coast high and heel")
	hasNot(t, k.play("mentor> add 6 to the pinion, and pull 6 out of the right and put it left", "ann> added 6 to the pinion, took 6 out of the right and put it left"), "depth and lash changed by large amounts")
	k = toLoop(t, "lapwing")
	k.play("ann> lash 14 14 13 14, drive high and heel, coast high and heel")
	has(t, k.play("ann> added 6 to the pinion, took 6 out of the right and put it left"), "depth and lash changed by large amounts")
}

func TestAWarmRingIsNotTouchedYet(t *testing.T) {
	k, _ := toStart(t, "lapwing", "ann> old pinion shim 30", "ann> left 250 right 245", "ann> old mark 0", "ann> new mark 0")
	k.play("ann> done")
	has(t, k.play("ann> ring at 200 f"), "until a bare hand may touch it (118 °F)")
}
