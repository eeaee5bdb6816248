package sun

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func utc(t *testing.T, text string) time.Time {
	t.Helper()
	for _, layout := range []string{"2006-01-02 15:04:05.0", "2006-01-02 15:04:05", "2006-01-02 15:04"} {
		if at, err := time.Parse(layout, text); err == nil {
			return at
		}
	}
	t.Fatalf("bad time %q", text)
	return time.Time{}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6f, want %.6f ± %g", what, got, want, tolerance)
	}
}

var (
	vienna   = Place{48.2082, 16.3738}
	lisbon   = Place{38.7223, -9.1393}
	helsinki = Place{60.1699, 24.9384}
	berlin   = Place{52.52, 13.405}
	sydney   = Place{-33.8688, 151.2093}
	tromso   = Place{69.6492, 18.9553}
	golden   = Place{39.742476, -105.1786}
)

// Azimuth and elevation without refraction, topocentric, as two general-purpose astronomy libraries give them:
// astronomy-engine 2.1.19 (npm) and PyEphem 4.1.4 (Debian python3-ephem). The gate of 0.01° is what facades and calendars
// need; we hold a tenth of it against the first.
func TestPositionAgainstAstronomyLibraries(t *testing.T) {
	for _, c := range []struct {
		place              Place
		at                 string
		azimuth, elevation float64 // astronomy-engine
		az2, el2           float64 // PyEphem
	}{
		{golden, "2003-10-17 19:30:30", 194.3404, 39.8720, 194.3402, 39.8720},
		{vienna, "2025-03-20 11:00", 179.3704, 41.8209, 179.3701, 41.8206},
		{vienna, "2025-06-21 15:00", 265.1813, 36.4316, 265.1812, 36.4317},
		{vienna, "2025-12-21 08:00", 140.6070, 8.5968, 140.6071, 8.5966},
		{lisbon, "2025-09-22 17:30", 260.6399, 11.4853, 260.6396, 11.4853},
		{helsinki, "2025-06-21 00:30", 29.1193, -2.4081, 29.1192, -2.4082},
		{Place{-0.1807, -78.4678}, "2025-03-20 17:00", 86.6286, 84.6983, 86.6313, 84.6982},
		{sydney, "2025-12-21 01:00", 51.5408, 74.3859, 51.5413, 74.3860},
	} {
		d := Position(c.place, utc(t, c.at))
		cos := math.Cos(d.Elevation * degree)
		near(t, c.at+" elevation", d.Elevation, c.elevation, 0.001)
		near(t, c.at+" azimuth", d.Azimuth, c.azimuth, 0.001/cos)
		near(t, c.at+" elevation, second library", d.Elevation, c.el2, 0.001)
		near(t, c.at+" azimuth, second library", d.Azimuth, c.az2, 0.001/cos)
	}
}

// The worked example of Reda and Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302
// (revision of 2008): 2003-10-17 12:30:30 at UTC-7. The printed values are for 1830 m above the sea, 820 mbar, 11 °C.
func TestWorkedExampleOfTheSolarPositionAlgorithm(t *testing.T) {
	at := utc(t, "2003-10-17 19:30:30")
	a := sky(at)
	near(t, "heliocentric longitude", turn(a.longitude-180-a.nutation+20.4898/3600/a.radius), 24.0182616917, 2e-4)
	near(t, "radius", a.radius, 0.9965422974, 5e-6)
	near(t, "nutation in longitude", a.nutation, -3.998404e-3, 1e-4)
	near(t, "nutation in obliquity", a.nutationOblique, 1.666568e-3, 1e-4)
	near(t, "obliquity", a.obliquity, 23.440465, 1e-4)
	near(t, "apparent longitude", a.longitude, 204.0085519, 2e-4)
	near(t, "right ascension", a.ascension, 202.227408, 3e-4)
	near(t, "declination", a.declination, -9.31434, 2e-4)
	near(t, "hour angle", half(a.sidereal+golden.Longitude-a.ascension), 11.105902, 3e-4)
	d := Position(golden, at)
	near(t, "elevation without refraction", d.Elevation, 39.872046, 3e-4)
	near(t, "azimuth", d.Azimuth, 194.340241, 5e-4)
	refraction := Refraction(d.Elevation, Air{820, 11})
	near(t, "refraction", refraction, 0.016332, 2e-6)
	near(t, "elevation", d.Elevation+refraction, 39.888378, 3e-4)
	// A slope of 30° that faces 10° east of south in their count (azimuth 170° from north).
	seen := Direction{d.Azimuth, d.Elevation + refraction}
	near(t, "incidence", Incidence(seen, 170, 30), 25.187000, 5e-4)
}

// Refraction at the horizon is 34′ when the sun seems to touch it (Meeus, chapter 16: 0.57° for an apparent 0°), and it
// must not grow or turn negative elsewhere.
func TestRefraction(t *testing.T) {
	near(t, "true -0.57°", Refraction(-0.57, StandardAir()), 0.57, 0.02)
	near(t, "zenith", Refraction(90, StandardAir()), 0, 1e-3)
	near(t, "below the horizon", Refraction(-5, StandardAir()), 0, 0)
	last := math.Inf(1)
	for e := Horizon; e <= 90; e += 0.5 {
		r := Refraction(e, StandardAir())
		if r > last || r < 0 {
			t.Fatalf("refraction %.4f at %.1f° after %.4f", r, e, last)
		}
		last = r
	}
}

// The facade case is computed from the formulas beside the functions: sun of Vienna 2025-06-21 15:00 UTC on a wall that
// faces 240°.
func TestFacade(t *testing.T) {
	d := Direction{265.1813, 36.4316}
	near(t, "cosine of incidence", math.Cos(Incidence(d, 240, 90)*degree), 0.728105, 1e-5)
	near(t, "incidence", Incidence(d, 240, 90), 43.27, 0.01)
	profile, ok := Profile(d, 240)
	if !ok {
		t.Fatal("the wall is lit, yet no profile angle")
	}
	near(t, "profile", profile, 39.20, 0.01)
	near(t, "flat roof sees the zenith angle", Incidence(d, 77, 0), 90-36.4316, 1e-9)
	for _, azimuth := range []float64{80, 170, 355.2} {
		if _, ok := Profile(d, azimuth); ok || Lit(d, azimuth) {
			t.Errorf("a wall that faces %g° has no direct sun from 265°", azimuth)
		}
	}
	if Lit(Direction{180, -1}, 180) {
		t.Error("no direct sun after sunset")
	}
}

// Slats as wide as their pitch cut off at 90° minus twice the profile angle (common practice; follows from the formula).
func TestCutoff(t *testing.T) {
	for _, c := range []struct {
		profile, width, pitch, want float64
		ok                          bool
	}{
		{30, 80, 80, 30, true}, {10, 80, 80, 70, true}, {45, 80, 80, 0, true}, {60, 80, 80, 0, true},
		{39.20, 80, 72, math.Asin(0.9*math.Cos(39.20*degree))/degree - 39.20, true},
		{10, 60, 80, 90, false}, {50, 60, 80, math.Asin(8.0/6*math.Cos(50*degree))/degree - 50, true},
		{30, 0, 80, 90, false},
	} {
		got, ok := Cutoff(c.profile, c.width, c.pitch)
		if ok != c.ok {
			t.Errorf("%+v: ok %v", c, ok)
		}
		near(t, "cut-off", got, c.want, 1e-9)
	}
}

// Rays traced through two slats: at the cut-off nothing passes, half a degree flatter something does.
func TestCutoffAgainstTracedRays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		profile := rapid.Float64Range(1, 85).Draw(t, "profile")
		pitch := rapid.Float64Range(0.5, 1).Draw(t, "pitch")
		tilt, ok := Cutoff(profile, 1, pitch)
		if !ok {
			t.Fatalf("slats wider than their pitch can always be closed")
		}
		if tilt > 0 && passes(profile, tilt+0.01, pitch) {
			t.Fatalf("a ray passes at %.2f°", tilt)
		}
		if tilt > 1 && !passes(profile, tilt-0.5, pitch) {
			t.Fatalf("%.2f° would do too, half a degree less", tilt)
		}
	})
}

// passes shoots rays at the gap between the outer edges of two slats of width 1 and looks whether one reaches the room.
func passes(profile, tilt, pitch float64) bool {
	sin, cos := math.Sincos(tilt * degree)
	slope := math.Tan(profile * degree)
	for i := 1; i <= 2000; i++ {
		share := min(float64(i)/2000, 1-1e-9)
		y := -sin + pitch*share // height at the outer plane, between the lower and the upper slat
		// Height over the lower slat along the ray: the ray sinks by slope, the slat rises by sin/cos.
		if y-slope*cos > 0 {
			return true
		}
	}
	return false
}

func TestPositionIsSaneEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Place{rapid.Float64Range(-90, 90).Draw(t, "latitude"), rapid.Float64Range(-180, 180).Draw(t, "longitude")}
		at := time.Unix(rapid.Int64Range(-631152000, 4102444800).Draw(t, "unix"), 0) // 1950 to 2100
		d := Position(p, at)
		if !(d.Azimuth >= 0 && d.Azimuth < 360 && d.Elevation >= -90.1 && d.Elevation <= 90) {
			t.Fatalf("%+v", d)
		}
		if delta := sky(at).declination; math.Abs(delta) > 23.46 {
			t.Fatalf("declination %f", delta)
		}
	})
}

func BenchmarkPosition(b *testing.B) {
	at := time.Unix(1_750_000_000, 0)
	for b.Loop() {
		Position(vienna, at)
	}
}
