package check

import "wirewright/house"

// Amps is the current in A that a load takes at a voltage in V, line to neutral; 0 where the house gives no power.
func Amps(l *house.Load, volts float64) float64 { return drawOf(l, volts).current }
