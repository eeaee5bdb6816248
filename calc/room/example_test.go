package room_test

import (
	"fmt"

	"wirewright/calc/room"
)

// A cold hour in a room of 20 m²: what keeps it at 20 °C.
func Example() {
	r := room.NewHourly(room.Built{Floor: 20, Volume: 50, Change: 0.5, Opaque: 2.25, Windows: 3.9, Mass: room.Medium})
	hour := r.Step(20, room.Hour{Outside: -10, Internal: 60}, room.Plant{Heat: 20, Cool: 26, HeatPower: 1000})
	fmt.Printf("%.0f W, air %.1f °C, felt %.1f °C, time constant %.0f h\n", hour.Power, hour.Air, hour.Operative, r.TimeConstant())
	// Output: 272 W, air 20.0 °C, felt 19.9 °C, time constant 66 h
}
