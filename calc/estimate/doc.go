// Package estimate turns the readings of trial assemblies into what is known of
// an axle, and that into the next gear move.
//
// Unknown are the depth error of the pinion and the position error of the ring
// gear, the backlash the set has where both stand right, by how much backlash and
// the four pattern coordinates answer to a move of either member, and where the
// pattern lies of itself. Each has a normal prior (the two backlash answers and
// two common pattern scales in their logarithm); each reading has an error of its
// own, and moves are known up to the error of an assembly. The posterior is found
// by Gauss–Newton steps, each a pass of a linear filter over the readings, and
// then sampled by importance, so that products of unknowns and pattern words,
// which are intervals, are not pressed into normals.
//
// Beside the plain course of events others are held against the readings: one
// reading wrong, the last shims put in the other way, a bearing not seated, and
// flanks that no shim brings together. See Hypothesis.
//
// Moves: positive pinion is deeper (towards the ring gear centre line), positive
// ring is towards the pinion. Pattern coordinates: along −1 toe … +1 heel, across
// −1 root … +1 top.
package estimate
