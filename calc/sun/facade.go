package sun

import "math"

// Incidence is the angle in degrees between the sun and the outward normal of a surface: azimuth is the direction that
// the surface faces, tilt its angle against the horizontal (0 a flat roof, 90 a wall). From 90 up no direct sun falls on
// it.
func Incidence(d Direction, azimuth, tilt float64) float64 {
	sinE, cosE := math.Sincos(d.Elevation * degree)
	sinT, cosT := math.Sincos(tilt * degree)
	c := sinE*cosT + cosE*sinT*math.Cos((d.Azimuth-azimuth)*degree)
	return math.Acos(math.Max(-1, math.Min(1, c))) / degree
}

// Lit tells whether direct sun falls on a wall that faces azimuth.
func Lit(d Direction, azimuth float64) bool {
	return d.Elevation > 0 && math.Cos((d.Azimuth-azimuth)*degree) > 1e-9
}

// Profile is the sun's elevation in degrees as seen in a section through the wall, square to it: the angle at which its
// rays pass horizontal slats. False where no direct sun falls on the wall.
func Profile(d Direction, azimuth float64) (float64, bool) {
	if !Lit(d, azimuth) {
		return 0, false
	}
	return math.Atan2(math.Tan(d.Elevation*degree), math.Cos((d.Azimuth-azimuth)*degree)) / degree, true
}

// Cutoff is the smallest tilt of flat slats, outer edge down, in degrees from the horizontal, that lets no direct ray
// through at a profile angle. Width is that of a slat, pitch the distance from slat to slat, in one unit. A ray that
// grazes the outer edge of a slat must meet the next one below: width·(sin tilt + cos tilt·tan profile) ≥ pitch. False
// where no tilt does it, which happens only where slats are narrower than their pitch.
func Cutoff(profile, width, pitch float64) (float64, bool) {
	c := pitch / width * math.Cos(profile*degree)
	if !(width > 0) || c > 1 {
		return 90, false
	}
	return math.Max(0, math.Asin(c)/degree-profile), true
}
