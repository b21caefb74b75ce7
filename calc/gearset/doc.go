// Package gearset holds the geometry of a ring gear and pinion set: pitch cones,
// tooth depths, blanks and tooth thicknesses of spiral bevel and hypoid sets.
//
// Dimensions works ISO 23509 from a full set of design data (method 0, spiral
// bevel, and method 1, hypoid face milled). Complete starts from what a shop can
// measure or read off the parts and fills the rest with stated proportions, each
// listed with its uncertainty in Set.Assumed.
//
// Source: ISO 23509:2016 (ANSI/AGMA ISO 23509-B17), Bevel and hypoid gear
// geometry; formula numbers in the comments are that standard's.
package gearset
