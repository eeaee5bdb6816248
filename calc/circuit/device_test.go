package circuit

import (
	"math"
	"testing"
)

// IEC 60898-1: tests a to e, with the figures of a maker's leaflet. "C takes 5·In", which is seen in public, is wrong.
func TestTrippingBands(t *testing.T) {
	bands, err := Device{Rating: 16, Curve: "C"}.Bands()
	if err != nil {
		t.Fatal(err)
	}
	want := []Band{{"a", 18.08, false, 3600, 0}, {"b", 23.2, true, 3600, 0}, {"c", 40.8, true, 60, 1}, {"d", 80, false, .1, 0}, {"e", 160, true, .1, 0}}
	for i, w := range want {
		g := bands[i]
		near(t, w.Test, g.Amps, w.Amps, 1e-9)
		if g.Test != w.Test || g.Trips != w.Trips || g.Seconds != w.Seconds || g.Least != w.Least {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
	big, _ := Device{Rating: 80, Curve: "D"}.Bands()
	if big[0].Seconds != 7200 || big[2].Seconds != 120 || big[3].Amps != 800 || big[4].Amps != 1600 {
		t.Errorf("D80: %+v", big)
	}
	if _, err := (Device{Rating: 16, Curve: "K"}).Bands(); err == nil {
		t.Error("K was taken")
	}
}

// 1.45·In of a breaker and 1.6·In of a fuse: the fuse needs In ≤ 0.906·Iz (1.45/1.6).
func TestConventionalCurrents(t *testing.T) {
	breaker, err := Device{Rating: 16, Curve: "B"}.CapacityLeast()
	if err != nil {
		t.Fatal(err)
	}
	fuse, err := Device{Rating: 16, Fuse: true}.CapacityLeast()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "breaker", breaker, 16, 1e-12)
	near(t, "fuse", 16/fuse, .906, 3e-4)
	for _, d := range []Device{{Rating: 10, Fuse: true}, {Rating: 0, Curve: "B"}, {Rating: math.NaN(), Curve: "B"}, {Rating: math.Inf(1), Curve: "B"}} {
		if got, err := d.Conventional(); err == nil {
			t.Errorf("%+v: got %g A, want a refusal", d, got)
		}
	}
}

// W8: 35 000 A²s on 1.5 mm² is too much, on 2.5 mm² it is borne.
func TestLetThroughEnergy(t *testing.T) {
	for d, want := range map[Device]float64{{Rating: 16, Curve: "B"}: 35000, {Rating: 20, Curve: "B"}: 45000, {Rating: 10, Curve: "C"}: 42000, {Rating: 32, Curve: "C"}: 55000} {
		if got, err := d.LetThrough(); err != nil || got != want {
			t.Errorf("%s: %g, want %g (%v)", d, got, want, err)
		}
	}
	energy, _ := Device{Rating: 16, Curve: "B"}.LetThrough()
	if Withstand(1.5, 115) >= energy || Withstand(2.5, 115) < energy {
		t.Error("1.5 mm² bears 35 000 A²s, or 2.5 mm² does not")
	}
	for _, d := range []Device{{Rating: 16, Curve: "D"}, {Rating: 40, Curve: "B"}, {Rating: 16, Fuse: true}} {
		if _, err := d.LetThrough(); err == nil {
			t.Errorf("%s: made of nothing", d)
		}
	}
	for fault, want := range map[float64]float64{1: 3000, 3000: 3000, 3001: 4500, 6000: 6000, 10000: 10000} {
		if got, err := BreakingFor(fault); err != nil || got != want {
			t.Errorf("%g A: %g, want %g", fault, got, want)
		}
	}
	for _, bad := range []float64{0, -1, 10001, math.NaN()} {
		if _, err := BreakingFor(bad); err == nil {
			t.Errorf("%g A was taken", bad)
		}
	}
}

func TestSelectivity(t *testing.T) {
	r := base(t)
	for _, c := range []struct {
		up, down Device
		overload bool
		upTo     float64
	}{
		{Device{Rating: 35, Fuse: true}, Device{Rating: 16, Curve: "B"}, true, 0},
		{Device{Rating: 25, Fuse: true}, Device{Rating: 16, Fuse: true}, false, 0},
		{Device{Rating: 40, Fuse: true}, Device{Rating: 25, Fuse: true}, true, math.Inf(1)},
		{Device{Rating: 32, Curve: "C"}, Device{Rating: 16, Curve: "B"}, true, 160},
		{Device{Rating: 16, Curve: "B"}, Device{Rating: 16, Curve: "B"}, false, 48},
		{Device{Rating: 16, Curve: "D"}, Device{Rating: 10, Curve: "B"}, true, 160},
	} {
		got, err := Selectivity(c.up, c.down, r)
		if err != nil {
			t.Fatal(err)
		}
		if got.Overload != c.overload || got.UpTo != c.upTo || got.Text == "" {
			t.Errorf("%s over %s: %+v", c.up, c.down, got)
		}
	}
	if _, err := Selectivity(Device{Rating: 16, Curve: "Q"}, Device{Rating: 6, Curve: "B"}, r); err == nil {
		t.Error("Q was taken")
	}
	if _, err := Selectivity(Device{Fuse: true}, Device{Rating: 6, Curve: "B"}, r); err == nil {
		t.Error("a rating of 0 was taken")
	}
}

// Break times of IEC 61008-1, as makers print them.
func TestResidualBreakTimes(t *testing.T) {
	for multiple, want := range map[int][3]float64{1: {.3, .5, .13}, 2: {.15, .2, .06}, 5: {.04, .15, .05}} {
		general, none, err1 := BreakTime(multiple, false)
		most, least, err2 := BreakTime(multiple, true)
		if err1 != nil || err2 != nil || general != want[0] || none != 0 || most != want[1] || least != want[2] {
			t.Errorf("%d·IΔn: %g %g %g %g", multiple, general, none, most, least)
		}
	}
	if _, _, err := BreakTime(3, false); err == nil {
		t.Error("3·IΔn was taken")
	}
}

func TestResidualTypesAndNeed(t *testing.T) {
	r := base(t)
	for e, want := range map[Equipment]ResidualType{{}: TypeAC, {Electronic: true}: TypeA, {Electronic: true, Inverter: true}: TypeF, {SmoothFault: true}: TypeB} {
		if got := ResidualFor(e); got != want {
			t.Errorf("%+v: %s, want %s", e, got, want)
		}
	}
	for i, have := range ResidualTypes {
		for j, want := range ResidualTypes {
			if have.Sees(want) != (i >= j) {
				t.Errorf("%s where %s is asked: %v", have, want, have.Sees(want))
			}
		}
	}
	if ResidualType("Z").Sees(TypeAC) || TypeB.Sees("Z") {
		t.Error("type Z is believed")
	}
	for _, c := range []struct {
		p      Purpose
		rating float64
		need   bool
	}{{Purpose{Sockets: true}, 32, true}, {Purpose{Sockets: true}, 40, false}, {Purpose{Lighting: true}, 10, true}, {Purpose{}, 16, false},
		{Purpose{Outdoors: true}, 16, true}} {
		if got := ResidualNeed(c.p, c.rating, r); (got != "") != c.need {
			t.Errorf("%+v %g A: %q", c.p, c.rating, got)
		}
	}
	near(t, "leakage on 30 mA", LeakageMost(.03, r), .009, 1e-12)
	if !ResidualSelective(.3, true, .03, r) || ResidualSelective(.3, false, .03, r) || ResidualSelective(.05, true, .03, r) || ResidualSelective(.3, true, 0, r) {
		t.Error("selectivity of residual-current devices")
	}
}
