package room

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6f, want %.6f ± %g", what, got, want, tolerance)
	}
}

// sample is the room of all cases below: 20 m², 50 m³, half an air change, 2.25 W/K opaque, 3.9 W/K windows, medium.
func sample() Hourly {
	return NewHourly(Built{Floor: 20, Volume: 50, Change: 0.5, Opaque: 2.25, Windows: 3.9, Mass: Medium})
}

// The conductances follow by hand from ISO 13790, equations 9, 63, 64 and C.6 to C.8.
func TestConductances(t *testing.T) {
	r := sample()
	near(t, "At", r.area, 90, 0)
	near(t, "H_ms", r.mass, 455, 1e-9)
	near(t, "H_is", r.surface, 310.5, 1e-9)
	near(t, "H_em", r.outside, 2.261182, 1e-6)
	near(t, "H_ve", r.air, 8.333333, 1e-6)
	near(t, "H_1", r.net1, 8.115525, 1e-6)
	near(t, "H_2", r.net2, 12.015525, 1e-6)
	near(t, "H_3", r.net3, 11.706386, 1e-6)
	near(t, "time constant", r.TimeConstant(), 65.6282, 1e-4)
}

// R1 to R6: single hours computed apart from this code, from the same equations of ISO 13790, annex C.
func TestHours(t *testing.T) {
	none := 1e9
	for _, c := range []struct {
		name                            string
		mass                            float64
		hour                            Hour
		plant                           Plant
		power, end, surface, air, feels float64
	}{
		{"R1", 20, Hour{-10, 60, 0}, Plant{20, 30, none, 0}, 272.1175, 19.8886, 19.8321, 20.0000, 19.8825},
		{"R2 weak plant", 20, Hour{-10, 60, 0}, Plant{20, 30, 200, 0}, 200, 19.8146, 19.6457, 19.5922, 19.6296},
		{"R3 nothing to do", 22, Hour{8, 60, 100}, Plant{20, 26, none, none}, 0, 21.9576, 21.8041, 21.5374, 21.7241},
		{"R4 sun helps", 20, Hour{5, 60, 300}, Plant{20, 26, none, none}, 41.8302, 20.1985, 20.1712, 20.0000, 20.1199},
		{"R5 cooling", 27, Hour{32, 60, 900}, Plant{20, 26, none, none}, -492.3723, 27.5913, 27.3281, 26.0000, 26.9297},
	} {
		got := sample().Step(c.mass, c.hour, c.plant)
		near(t, c.name+" power", got.Power, c.power, 1e-4)
		near(t, c.name+" mass", got.Mass, c.end, 1e-4)
		near(t, c.name+" surface", got.Surface, c.surface, 1e-4)
		near(t, c.name+" air", got.Air, c.air, 1e-4)
		near(t, c.name+" operative", got.Operative, c.feels, 1e-4)
	}
}

// R6: the steady state needs a little less than the plain loss (2.25 + 3.9 + 8.3333) · 30 = 434.5 W, for the surfaces are
// colder than the air.
func TestSteadyState(t *testing.T) {
	mass := 20.0
	var got Result
	for range 2000 {
		got = sample().Step(mass, Hour{Outside: -10}, Plant{20, 30, 1e9, 0})
		mass = got.Mass
	}
	near(t, "power", got.Power, 430.9166, 1e-4)
	near(t, "mass", got.Mass, 19.2719, 1e-4)
	near(t, "surface", got.Surface, 19.4173, 1e-4)
	near(t, "operative", got.Operative, 19.5921, 1e-4)
	near(t, "air", got.Air, 20, 1e-9)
}

// R7: cooling down from 20 °C at -10 °C without gains; the exact exponential of the mass after a day is 10.8114.
func TestCoolDown(t *testing.T) {
	want := map[int][3]float64{1: {19.5463, 18.2490, 18.7797}, 2: {19.0995, 17.8218, 18.3445}, 6: {17.3789, 16.1767, 16.6685},
		12: {14.9868, 13.8896, 14.3384}, 24: {10.8113, 9.8975, 10.2713}}
	mass, met := 20.0, 0
	for hour := 1; hour <= 24; hour++ {
		got := sample().Step(mass, Hour{Outside: -10}, Plant{})
		mass = got.Mass
		if w, ok := want[hour]; ok {
			met++
			near(t, "mass", got.Mass, w[0], 1e-4)
			near(t, "air", got.Air, w[1], 1e-4)
			near(t, "operative", got.Operative, w[2], 1e-4)
		}
	}
	near(t, "cases met", float64(met), 5, 0)
	near(t, "exact", -10+30*math.Exp(-24/sample().TimeConstant()), 10.8114, 1e-4)
}

// R8: a day that repeats until it is steady.
func TestRepeatingDay(t *testing.T) {
	mass := 20.0
	var sum, start float64
	var day [24]Result
	for range 200 {
		sum, start = 0, mass
		for h := range 24 {
			hour := Hour{Outside: -2 + 4*math.Sin(2*math.Pi*float64(h-9)/24), Internal: 60}
			if h >= 8 && h <= 16 {
				hour.Sun = 200 * math.Sin(math.Pi*float64(h-8)/8)
			}
			plant := Plant{Heat: 17, Cool: 26, HeatPower: 800, CoolPower: 800}
			if h >= 6 && h < 22 {
				plant.Heat = 21
			}
			day[h] = sample().Step(mass, hour, plant)
			mass, sum = day[h].Mass, sum+math.Max(0, day[h].Power)
		}
	}
	near(t, "kWh a day", sum/1000, 5.22572, 1e-5)
	near(t, "mass at the start", start, 20.06138, 1e-5)
	for h, w := range map[int]float64{6: 698.129, 7: 617.650, 12: 259.823, 16: 196.257, 21: 252.573, 22: 0, 5: 0} {
		near(t, "power", day[h].Power, w, 1e-3)
	}
	near(t, "06:00 operative", day[6].Operative, 19.8437, 1e-4)
	near(t, "22:00 air", day[22].Air, 19.4918, 1e-4)
	near(t, "05:00 air", day[5].Air, 17.2972, 1e-4)
}

// Table 12: the heavier, the slower; a sealed room and one without opaque walls stay finite.
func TestMassAndEdges(t *testing.T) {
	last := 0.0
	for m := VeryLight; m <= VeryHeavy; m++ {
		r := NewHourly(Built{Floor: 20, Volume: 50, Change: 0.5, Opaque: 2.25, Windows: 3.9, Mass: m})
		if r.TimeConstant() <= last {
			t.Errorf("mass %d: %.2f h after %.2f h", m, r.TimeConstant(), last)
		}
		last = r.TimeConstant()
	}
	for _, b := range []Built{{Floor: 20, Volume: 50, Windows: 3}, {Floor: 20, Volume: 50, Change: 1, Opaque: 1e6, Windows: 3}} {
		got := NewHourly(b).Step(20, Hour{Outside: 0, Internal: 50}, Plant{20, 26, 1e4, 1e4})
		if math.IsNaN(got.Air) || got.Air < 0 || got.Air > 30 {
			t.Errorf("%+v: %+v", b, got)
		}
	}
}

// Two-point control of a first-order room: on- and off-times by t = τ·ln of the ratio of distances to the final value,
// computed apart from this code.
func TestFirstOrderTwoPoint(t *testing.T) {
	for _, c := range []struct {
		outside, power, loss, set, half float64
		on, off                         float64 // minutes
	}{
		{0, 2000, 50, 20, 0.5, 12.0025, 12.0025},
		{0, 2000, 50, 20, 0.25, 6.0003, 6.0003},
		{0, 2000, 50, 20, 1, 24.0200, 24.0200},
		{-10, 2000, 50, 21, 0.3, 16.006, 4.645},
		{5, 1500, 60, 20, 0.5, 24.020, 16.006},
	} {
		r := FirstOrder{c.loss, 4}
		on, ok := r.Hours(c.set-c.half, c.set+c.half, c.outside, c.power)
		off, ok2 := r.Hours(c.set+c.half, c.set-c.half, c.outside, 0)
		if !ok || !ok2 {
			t.Fatalf("%+v: never there", c)
		}
		near(t, "on", on*60, c.on, 1e-3)
		near(t, "off", off*60, c.off, 1e-3)
		near(t, "there", r.Step(c.set-c.half, c.outside, c.power, on), c.set+c.half, 1e-9)
	}
	if _, ok := (FirstOrder{50, 4}).Hours(20, 25, 0, 1000); ok {
		t.Error("1000 W over 50 W/K end at 20 °C and never reach 25 °C")
	}
	if _, ok := (FirstOrder{50, 4}).Hours(19, 20, 0, 1000); ok {
		t.Error("the end itself is never reached")
	}
}

// Steps add up: two steps are one of the sum, and the temperature stays between start and end.
func TestFirstOrderSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := FirstOrder{rapid.Float64Range(1, 500).Draw(t, "loss"), rapid.Float64Range(0.1, 200).Draw(t, "constant")}
		start, outside := rapid.Float64Range(-20, 40).Draw(t, "start"), rapid.Float64Range(-20, 40).Draw(t, "outside")
		heat := rapid.Float64Range(0, 5000).Draw(t, "heat")
		a, b := rapid.Float64Range(0, 10).Draw(t, "a"), rapid.Float64Range(0, 10).Draw(t, "b")
		once, twice := r.Step(start, outside, heat, a+b), r.Step(r.Step(start, outside, heat, a), outside, heat, b)
		if math.Abs(once-twice) > 1e-6*(1+math.Abs(once)) {
			t.Fatalf("%f in one step, %f in two", once, twice)
		}
		end := outside + heat/r.Loss
		if once < math.Min(start, end)-1e-9 || once > math.Max(start, end)+1e-9 {
			t.Fatalf("%f is not between %f and %f", once, start, end)
		}
	})
}
