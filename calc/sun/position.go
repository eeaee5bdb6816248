package sun

import (
	"math"
	"time"
)

// Place is a place on the earth in degrees, north and east positive.
type Place struct{ Latitude, Longitude float64 }

// Direction is where the sun stands, in degrees: azimuth from north clockwise, elevation of its centre above the
// horizon.
type Direction struct{ Azimuth, Elevation float64 }

// Position is the true direction of the sun's centre from a place at an instant, without refraction: what a facade and a
// calendar need. See Refraction for what the eye sees.
func Position(p Place, t time.Time) Direction {
	a := sky(t)
	return direction(p, a, half(a.sidereal+p.Longitude-a.ascension))
}

// direction turns an apparent sun at an hour angle into azimuth and elevation, parallax included.
func direction(p Place, a apparent, hour float64) Direction {
	sinP, cosP := math.Sincos(p.Latitude * degree)
	sinD, cosD := math.Sincos(a.declination * degree)
	sinH, cosH := math.Sincos(hour * degree)
	e := math.Asin(math.Max(-1, math.Min(1, sinP*sinD+cosP*cosD*cosH)))
	e -= 8.794 / 3600 * degree / a.radius * math.Cos(e) // horizontal parallax of the sun
	az := math.Atan2(-cosD*sinH, sinD*cosP-cosD*cosH*sinP)
	return Direction{turn(az / degree), e / degree}
}

// Air is the state of the air that bends the light.
type Air struct {
	Pressure    float64 // hPa
	Temperature float64 // °C
}

// StandardAir is 1010 hPa and 10 °C, for which the formula is made.
func StandardAir() Air { return Air{1010, 10} }

// Refraction is by how many degrees the air lifts the sun at a true elevation in degrees; 0 where its upper limb is below
// the horizon. (Sæmundsson; Meeus, chapter 16.)
func Refraction(elevation float64, air Air) float64 {
	if elevation < Horizon {
		return 0
	}
	angle := (elevation + 10.3/(elevation+5.11)) * degree
	return math.Max(0, air.Pressure/1010*283/(273+air.Temperature)*1.02/60/math.Tan(angle))
}
