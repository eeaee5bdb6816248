package sun

import "time"

// The elevations of the sun's centre, in degrees, at which a part of the day begins or ends.
const (
	Horizon      = -0.833 // sunrise and sunset: 34′ of refraction and 16′ of the sun's half width
	Civil        = -6.0
	Nautical     = -12.0
	Astronomical = -18.0
)

// Course is how the sun's course of one day lies to an elevation.
type Course uint8

// The courses.
const (
	Crosses   Course = iota // it crosses the elevation at least once
	AlwaysUp                // above it all day: for Horizon, polar day
	AlwaysLow               // below it all day: for Horizon, polar night
)

// Day is one day of the sun at one elevation. On the first and last days of a polar day or night only one of the two
// crossings may exist.
type Day struct {
	Course  Course
	Rise    time.Time // crossing upward before Noon; zero where there is none
	Set     time.Time // crossing downward after Noon; zero where there is none
	Noon    time.Time // upper culmination
	Before  time.Time // lower culmination before Noon
	After   time.Time // lower culmination after Noon
	Highest float64   // elevation at Noon in degrees
}

// At is the sun's day of the date whose first instant is midnight (which in some zones is not 00:00), at an elevation in
// degrees. Times are in UTC, to the second.
func At(p Place, midnight time.Time, elevation float64) Day {
	noon := culmination(p, midnight.Add(12*time.Hour), 0)
	if noon.Before(midnight) {
		noon = culmination(p, noon.Add(24*time.Hour), 0)
	}
	if early := culmination(p, noon.Add(-24*time.Hour), 0); !early.Before(midnight) {
		noon = early
	}
	d := Day{
		Noon:    noon,
		Before:  culmination(p, noon.Add(-12*time.Hour), 180),
		After:   culmination(p, noon.Add(12*time.Hour), 180),
		Highest: Position(p, noon).Elevation,
	}
	if d.Highest < elevation {
		d.Course = AlwaysLow
		return d
	}
	if Position(p, d.Before).Elevation < elevation {
		d.Rise = crossing(p, d.Before, noon, elevation)
	}
	if Position(p, d.After).Elevation < elevation {
		d.Set = crossing(p, d.After, noon, elevation)
	}
	if d.Rise.IsZero() && d.Set.IsZero() {
		d.Course = AlwaysUp
	}
	return d
}

// culmination finds the instant nearest to a guess at which the sun has an hour angle, to the second. The guess may be
// half a day off: the first step leaves less than a minute, the second less than a hundredth of a second.
func culmination(p Place, guess time.Time, hour float64) time.Time {
	for range 2 {
		a := sky(guess)
		off := half(a.sidereal + p.Longitude - a.ascension - hour)
		guess = guess.Add(-time.Duration(off / 360 * 24 * float64(time.Hour)))
	}
	return second(guess)
}

// crossingSteps bounds the search for a crossing; five to ten are usual.
const crossingSteps = 60

// crossing finds where the elevation is passed between an instant when the sun is lower and one when it is higher, by
// false position after Illinois (an end that stays twice counts half); the span may run backward in time.
func crossing(p Place, low, high time.Time, elevation float64) time.Time {
	below, above := Position(p, low).Elevation-elevation, Position(p, high).Elevation-elevation
	kept := 0
	for range crossingSteps {
		span := high.Sub(low)
		step := time.Duration(float64(span) * below / (below - above))
		at := low.Add(step)
		if step.Abs() < 20*time.Millisecond || (span-step).Abs() < 20*time.Millisecond {
			return second(at)
		}
		if e := Position(p, at).Elevation - elevation; e < 0 {
			low, below = at, e
			if kept == 1 {
				above /= 2
			}
			kept = 1
		} else {
			high, above = at, e
			if kept == -1 {
				below /= 2
			}
			kept = -1
		}
	}
	return second(low)
}

// second rounds to the second, so that a difference in the last bit of a float does not show.
func second(t time.Time) time.Time { return t.UTC().Round(time.Second) }
