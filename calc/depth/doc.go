// Package depth works out the pinion shim: where to start from, what a final
// bearing changes, and what a preload pack must follow.
//
// Every answer carries its terms, which add up to it, so that it can be said why.
//
// The geometry, for every construction: the head bearing's cup rests on a seat on
// the side away from the ring gear (in the housing, or in the bolted cartridge),
// and from that seat towards the ring gear come cup, cone and pinion head. What
// lies between the seat and the head, a taller bearing, a thicker baffle or
// slinger, therefore pushes the pinion deeper, in a cartridge too. Only the shim
// differs: behind the head bearing or under its race it is one of those parts;
// under a cartridge's flange it holds the seat itself away from the ring gear, so
// that a thicker shim backs the pinion away.
package depth
