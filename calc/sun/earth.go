package sun

import (
	"math"
	"time"
)

// j2000 is the epoch of the series, 2000-01-01 12:00.
const j2000Unix = 946_728_000

// deltaT is the difference between terrestrial time and UTC in seconds. It was 64 in 2000 and 69 in 2025 and will be
// near 90 in 2070; the sun moves 0.0004° in twenty seconds more or less, so one value serves (value from memory).
const deltaT = 69

const degree = math.Pi / 180

// term is one term a·cos(b + c·x) of a series, x in thousands of Julian years from 2000; amplitudes in 1e-8.
type term struct{ a, b, c float64 }

// The leading terms of the earth's heliocentric longitude (radians) and radius (astronomical units).
var (
	longitude0 = []term{{175347046, 0, 0}, {3341656, 4.6692568, 6283.07585}, {34894, 4.6261, 12566.1517},
		{3497, 2.7441, 5753.3849}, {3418, 2.8289, 3.5231}, {3136, 3.6277, 77713.7715}, {2676, 4.4181, 7860.4194},
		{2343, 6.1352, 3930.2097}, {1324, 0.7425, 11506.7698}, {1273, 2.0371, 529.691}, {1199, 1.1096, 1577.3435},
		{990, 5.233, 5884.927}, {902, 2.045, 26.298}, {857, 3.508, 398.149}, {780, 1.179, 5223.694},
		{753, 2.533, 5507.553}, {505, 4.583, 18849.228}, {492, 4.205, 775.523}, {357, 2.92, 0.067},
		{317, 5.849, 11790.629}, {284, 1.899, 796.298}, {271, 0.315, 10977.079}, {243, 0.345, 5486.778},
		{206, 4.806, 2544.314}, {205, 1.869, 5573.143}, {202, 2.458, 6069.777}, {156, 0.833, 213.299},
		{132, 3.411, 2942.463}, {126, 1.083, 20.775}, {115, 0.645, 0.98}, {103, 0.636, 4694.003},
		{102, 0.976, 15720.839}, {102, 4.267, 7.114}}
	longitude1 = []term{{628331966747, 0, 0}, {206059, 2.678235, 6283.07585}, {4303, 2.6351, 12566.1517},
		{425, 1.59, 3.523}, {119, 5.769, 26.298}, {109, 2.966, 1577.344}}
	longitude2 = []term{{52919, 0, 0}, {8720, 1.0721, 6283.0758}, {309, 0.867, 12566.152}}
	radius0    = []term{{100013989, 0, 0}, {1670700, 3.0984635, 6283.07585}, {13956, 3.05525, 12566.1517},
		{3084, 5.1985, 77713.7715}, {1628, 1.1739, 5753.3849}, {1576, 2.8469, 7860.4194}, {925, 5.453, 11506.77},
		{542, 4.564, 3930.21}}
	radius1 = []term{{103019, 1.10749, 6283.07585}, {1721, 1.0644, 12566.1517}}
)

// series sums the terms at x.
func series(terms []term, x float64) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t.a * math.Cos(t.b+t.c*x)
	}
	return sum * 1e-8
}

// earth is the earth's place on its way: heliocentric longitude in degrees, distance in astronomical units.
func earth(x float64) (longitude, radius float64) {
	l := series(longitude0, x) + x*(series(longitude1, x)+x*series(longitude2, x))
	return turn(l / degree), series(radius0, x) + x*series(radius1, x)
}

// apparent is the sun on the sky, seen from the centre of the earth: all in degrees, the radius in astronomical units.
type apparent struct {
	longitude, radius      float64 // apparent ecliptic longitude; distance
	obliquity              float64 // true obliquity of the ecliptic
	ascension, declination float64
	sidereal               float64 // apparent sidereal time at Greenwich
	nutation               float64 // in longitude
	nutationOblique        float64 // in obliquity
}

// sky computes the apparent sun at an instant.
func sky(t time.Time) apparent {
	days := (float64(t.Unix()-j2000Unix) + float64(t.Nanosecond())*1e-9) / 86400 // from J2000, universal time
	century := (days + deltaT/86400.0) / 36525                                   // terrestrial time
	helio, radius := earth(century / 10)

	omega := (125.04452 - 1934.136261*century) * degree
	sunMean, moonMean := (280.4665+36000.7698*century)*degree, (218.3165+481267.8813*century)*degree
	a := apparent{radius: radius}
	a.nutation = (-17.20*math.Sin(omega) - 1.32*math.Sin(2*sunMean) - 0.23*math.Sin(2*moonMean) + 0.21*math.Sin(2*omega)) / 3600
	a.nutationOblique = (9.20*math.Cos(omega) + 0.57*math.Cos(2*sunMean) + 0.10*math.Cos(2*moonMean) - 0.09*math.Cos(2*omega)) / 3600
	a.obliquity = 23.4392911 - 0.0130042*century + a.nutationOblique
	aberration := -20.4898 / 3600 / radius
	a.longitude = turn(helio + 180 + a.nutation + aberration)

	sinL, cosL := math.Sincos(a.longitude * degree)
	sinE, cosE := math.Sincos(a.obliquity * degree)
	a.ascension = turn(math.Atan2(sinL*cosE, cosL) / degree)
	a.declination = math.Asin(sinE*sinL) / degree
	a.sidereal = turn(280.46061837 + 360.98564736629*days + 0.000387933*century*century + a.nutation*cosE)
	return a
}

// turn brings an angle into 0 up to 360 degrees.
func turn(a float64) float64 {
	a = math.Mod(a, 360)
	if a < 0 {
		a += 360
	}
	return a
}

// half brings an angle into -180 up to 180 degrees.
func half(a float64) float64 {
	a = turn(a)
	if a >= 180 {
		a -= 360
	}
	return a
}
