package dialogs

import (
	"shimwright/calc/unit"
	"shimwright/rules"
)

// Gear moves. Positive pinion is deeper (towards the ring gear centre line);
// positive ring is towards the pinion.

// PinionMove gives how far the pinion has moved since the first trial: what the
// shim makes, and what a final bearing taller than the setup bearing pushes.
func PinionMove(s *rules.Sheet, b Build) unit.Length {
	return unit.Length(s.Pinion.Shim.Deeper())*b.Pinion.Change + b.Taller
}

// RingMove gives how far the ring gear has moved since the first trial. A thicker
// left stack (or a tightened left adjuster) pushes the carrier to the right: with
// the ring gear on the left, seen from the cover, that is towards the pinion.
// Half the difference of the two stacks counts, so that widening both is no move.
func RingMove(s *rules.Sheet, b Build) unit.Length {
	left := b.Left.Change + unit.Length(b.LeftNotches)*s.Carrier.PerNotch()
	right := b.Right.Change + unit.Length(b.RightNotches)*s.Carrier.PerNotch()
	move := (left - right) / 2
	if s.Ring.Side == rules.Right {
		return -move
	}
	return move
}

// SidesFor gives what a ring gear move adds to the left and takes from the right.
func SidesFor(s *rules.Sheet, ring unit.Length) (left, right unit.Length) {
	if s.Ring.Side == rules.Right {
		ring = -ring
	}
	return ring, -ring
}

// place resolves ring_side and opposite_ring_side to left or right.
func place(s *rules.Sheet, name string) string {
	switch name {
	case "ring_side":
		return string(s.Ring.Side)
	case "opposite_ring_side":
		return string(s.Ring.Side.Other())
	}
	return name
}
