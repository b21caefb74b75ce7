// Package lash works with backlash: what a move of the ring gear or the pinion
// does to the dial's reading, and what readings taken round the ring gear say.
//
// A positive ring move brings the ring gear towards the pinion, a positive pinion
// move goes deeper, towards the ring gear's centre line; both close backlash.
package lash
