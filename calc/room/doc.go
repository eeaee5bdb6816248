// Package room says how warm a room is and how much heat keeps it so.
//
// Hourly is the simple hourly method of ISO 13790 (five resistances, one capacity): good for comparing schedules and for
// rehearsal, not for promising a summer peak (one capacity is known to understate the swing of heavy rooms by several
// kelvin). FirstOrder is a room with one time constant, solved exactly for any span: what a rehearsal steps by seconds.
//
// Inputs are plain numbers in W, W/K, J/K, °C and hours. Sources: ISO 13790:2008, clauses 7.2.2.2, 12.2.2, 12.3.1.2 and
// annex C, whose equation numbers stand beside the formulas.
package room
