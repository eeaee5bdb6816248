// Package sun says where the sun stands over a place, when it crosses an elevation, and how it meets a facade.
//
// Inputs are plain: degrees (north and east positive) and instants. Position gives azimuth and elevation; At gives
// the day of a local date: when the sun crosses an elevation upward and downward, or that it stays above or below it
// all day, which is an answer and not an error. Incidence, Profile and Cutoff take a position to a facade and its slats.
//
// A date's crossings are searched around the solar noon that follows the first instant of that date in the place's time
// zone, never on the UT day: far from Greenwich the UT day holds the sunset of the evening before. The evening crossing
// of a date may therefore fall on the next calendar date (Helsinki, civil dusk in June).
//
// How the sun is found: heliocentric longitude and distance from the leading terms of the series used by Reda and
// Andreas, Solar Position Algorithm, NREL/TP-560-34302 (amplitudes from 1e-6 rad up); nutation by the four-term formula
// and sidereal time after Meeus, Astronomical Algorithms, 2nd edition, chapters 12 and 22; refraction after Sæmundsson,
// same book, chapter 16; parallax for a place at sea level. The error stays within 0.001° for the years 1950 to 2100,
// beside 0.004° that come from taking UTC for UT1. Hills, buildings and weather move the moment at which it gets dark by
// minutes: light is better measured.
package sun
