package almanac_test

import (
	"fmt"
	"time"

	"wirewright/behaviour/almanac"
	"wirewright/calc/sun"
	"wirewright/control"
)

// A window from sunset to 23:00 over the night in which the clocks go back.
func Example() {
	none := int16(-1)
	evening := control.Schedule{Window: true, Days: 127,
		From: control.Anchor{Kind: control.AnchorSunset, NotBefore: none, NotAfter: none},
		To:   control.Anchor{Minute: 23 * 60, NotBefore: none, NotAfter: none}}
	a, err := almanac.New(sun.Place{Latitude: 48.2082, Longitude: 16.3738}, "Europe/Vienna", []control.Schedule{evening})
	if err != nil {
		fmt.Println(err)
		return
	}
	walk := a.Walk(time.Date(2025, 10, 25, 12, 0, 0, 0, time.UTC))
	for range 4 {
		at, changes := walk.Next()
		fmt.Println(at.In(a.Zone()).Format("Mon 15:04 MST"), changes[0].Value)
	}
	// Output:
	// Sat 17:47 CEST 1
	// Sat 23:00 CEST 0
	// Sun 16:45 CET 1
	// Sun 23:00 CET 0
}
