// Package generated makes large plausible houses for tests and benchmarks: the same numbers give the same house, byte for
// byte, on every machine.
//
// House(points, seed) lays rooms on a grid, storey upon storey, and gives each what a room usually gets: a ceiling lamp, a
// keypad beside the door, a shutter at each window, a socket, a valve and its thermometer, sensors. Boards, circuits and
// walls follow from the rooms. One third of the rooms has star wiring to the board of its storey, where modules on a bus
// line carry their points; the others have Wi-Fi modules in a part of their boxes. Module types are those of the built-in
// catalogue, by name.
//
// The figures are within the usual range of the trade (common practice, no source); nothing here is a design that a house
// should have.
package generated
