// Package contact computes the contact pattern of a ring gear and pinion: what
// marking compound shows on the drive and the coast flank of a ring gear tooth,
// and what a move of the pinion or the ring gear does to it and to the backlash.
//
// The method is unloaded tooth contact analysis by ease-off. The ring gear's
// flanks are those its cutter leaves; the pinion is the exact conjugate of them,
// relieved by a small ease-off (crowning) so that it carries at mid flank. A
// displacement of the members adds to the ease-off, and where the sum is smallest
// along each contact line, there the teeth touch.
//
// Coordinates on the ring gear tooth are along −1 (toe) to +1 (heel) and across
// −1 (root: the lowest line the pinion's tip reaches) to +1 (top). Displacements:
// pinion + is deeper, ring gear + is towards the pinion. Millimetres and radians
// inside.
//
// What it does not model: load, tooth and housing deflection, contact of an edge
// past the end of a flank, wear.
package contact
