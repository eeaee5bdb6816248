package sun_test

import (
	"fmt"
	"time"

	"wirewright/calc/sun"
)

// Sunrise and sunset of a date, and how steeply the afternoon sun meets slats of a facade that looks to 240°.
func Example() {
	vienna := sun.Place{Latitude: 48.2082, Longitude: 16.3738}
	midnight := time.Date(2025, 6, 20, 22, 0, 0, 0, time.UTC) // 21 June begins in Vienna
	day := sun.At(vienna, midnight, sun.Horizon)
	fmt.Println(day.Rise.Format(time.TimeOnly), day.Set.Format(time.TimeOnly), "UTC")

	d := sun.Position(vienna, time.Date(2025, 6, 21, 15, 0, 0, 0, time.UTC))
	profile, lit := sun.Profile(d, 240)
	tilt, _ := sun.Cutoff(profile, 80, 72)
	fmt.Printf("%.1f° %.1f° lit %v, profile %.1f°, slats at %.1f°\n", d.Azimuth, d.Elevation, lit, profile, tilt)
	// Output:
	// 02:53:58 18:58:44 UTC
	// 265.2° 36.4° lit true, profile 39.2°, slats at 5.0°
}
