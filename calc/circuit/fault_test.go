package circuit

import (
	"fmt"
	"math"
	"testing"
)

func base(t testing.TB) *Rules {
	t.Helper()
	r, err := NamedRules("")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Table 41.1 of IEC 60364-4-41, cell by cell.
func TestDisconnectionTimes(t *testing.T) {
	for _, c := range []struct {
		system System
		direct bool
		volts  float64
		want   float64
	}{
		{TN, false, 120, .8}, {TN, false, 230, .4}, {TN, false, 400, .2}, {TN, false, 690, .1},
		{TT, false, 120, .3}, {TT, false, 230, .2}, {TT, false, 400, .07}, {TT, false, 690, .04},
		{TN, true, 230, 5}, {TN, true, 400, .4}, {TN, true, 690, .1}, {TT, true, 230, .4}, {TT, true, 400, .2}, {TT, true, 690, .1},
		{TN, false, 50.1, .8}, {TN, false, 120.1, .4}, {TN, false, 230.1, .2}, {TN, false, 400.1, .1},
	} {
		got, err := DisconnectionTime(c.system, c.volts, c.direct)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%+v", c), got, c.want, 0)
	}
	for _, c := range []struct {
		system System
		direct bool
		volts  float64
	}{{"IT", false, 230}, {TN, false, 50}, {TN, false, math.NaN()}, {TN, true, 100}, {TT, true, 100}, {TN, false, -230}, {TN, false, 2000}} {
		if got, err := DisconnectionTime(c.system, c.volts, c.direct); err == nil {
			t.Errorf("%+v: got %g s, want a refusal", c, got)
		}
	}
	r := base(t)
	for rating, want := range map[float64]float64{16: .4, 32: .4, 40: 5} {
		if got, err := TimeOf(TN, 230, rating, r); err != nil || got != want {
			t.Errorf("TN %g A: %g s, want %g", rating, got, want)
		}
	}
	if got, _ := TimeOf(TT, 230, 63, r); got != 1 {
		t.Errorf("TT 63 A: %g s, want 1", got)
	}
}

// RA·IΔn ≤ 50 V; a public note prints 50 V/0.3 A = 166 Ω.
func TestEarthElectrodes(t *testing.T) {
	r := base(t)
	for residual, want := range map[float64]float64{.03: 1666.7, .1: 500, .3: 166.7, .5: 100} {
		got, err := EarthMost(residual, r)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(residual), got, want, .05)
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := EarthMost(bad, r); err == nil {
			t.Errorf("IΔn %g was taken", bad)
		}
	}
}

// Longest runs by the loop alone, worked by hand for both variants of Cmin, and the fault current of W3.
func TestLongestRuns(t *testing.T) {
	for _, c := range []struct {
		name                 string
		rating               float64
		curve                string
		line, earth          float64
		without, withMinimum float64
	}{{"W3", 10, "C", 1.5, 1.5, 67.15, 63.19}, {"W6", 16, "C", 2.5, 1.5, 46.45, 43.38}, {"W1b", 16, "B", 4, 4, 228.2, 215.2}} {
		for minimum, want := range map[float64]float64{1: c.without, .95: c.withMinimum} {
			most, err := LoopMost(230, c.rating, c.curve, minimum)
			if err != nil {
				t.Fatal(err)
			}
			got, err := LongestRun(most, .35, c.line, c.earth)
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprint(c.name, " Cmin ", minimum), got, want, .06)
		}
	}
	zs, _ := Loop(.35, 32, 1.5, 1.5)
	near(t, "fault current of W3", 230/zs, 179.8, .05)
	if got, _ := LongestRun(.3, .35, 1.5, 1.5); got != 0 {
		t.Errorf("a supply that is too much already leaves %g m", got)
	}
	if _, err := LongestRun(2, .35, 3, 3); err == nil {
		t.Error("3 mm² was taken")
	}
}

// P5: Zs 1.15 Ω at 230 V is 200 A, for 0.4 s 1.10 mm²; P6: 90 A 0.49 mm²; P7: 10 kA for 0.1 s 27.5 mm². Textbook examples.
func TestPublishedAdiabatic(t *testing.T) {
	near(t, "P5 current", 230/1.15, 200, 1e-9)
	near(t, "P5", Adiabatic(230/1.15, .4, 115), 1.10, 5e-3)
	near(t, "P6", Adiabatic(90, .4, 115), .49497, 1e-5)
	near(t, "P7", Adiabatic(10000, .1, 115), 27.5, .05)
	// The same equation solved for the time.
	near(t, "time", Endures(Adiabatic(90, .4, 115), 90, 115), .4, 1e-12)
}

// The factors k of IEC 60364-5-54, Annex A, computed from temperatures, with what the standard prints.
func TestAdiabaticFactors(t *testing.T) {
	for _, c := range []struct {
		name           string
		m              Material
		initial, final float64
		computed       float64
		printed        float64
	}{
		{"PVC", Copper, 70, 160, 115.004, 115}, {"PVC above 300 mm²", Copper, 70, 140, 102.804, 103}, {"XLPE", Copper, 90, 250, 143.084, 143},
		{"rubber", Copper, 60, 200, 140.941, 141}, {"separate, PVC", Copper, 30, 160, 142.895, 143}, {"separate, XLPE", Copper, 30, 250, 175.827, 176},
		{"separate, rubber", Copper, 30, 200, 159.223, 159}, {"steel, PVC", Steel, 30, 160, 52.027, 52},
	} {
		got := c.m.Factor(c.initial, c.final)
		near(t, c.name, got, c.computed, 6e-4)
		near(t, c.name+" as printed", got, c.printed, .25)
	}
	near(t, "K of PVC", K(PVC), Factor(70, 160), .01)
	near(t, "K of XLPE", K(XLPE), Factor(90, 250), .1)
	for mm2, want := range map[float64]float64{1: 13225, 1.5: 29756.25, 2.5: 82656.25, 4: 211600} {
		near(t, fmt.Sprint(mm2), Withstand(mm2, 115), want, 1e-6)
	}
}

// Sizes that need no calculation (IEC 60364-5-54, Table 54.2), and the least of a separate conductor (a textbook's table).
func TestProtectiveConductors(t *testing.T) {
	for _, c := range []struct {
		line                float64
		separate, protected bool
		want                float64
	}{{1.5, false, false, 1.5}, {16, false, false, 16}, {25, false, false, 16}, {35, false, false, 16}, {50, false, false, 25}, {70, false, false, 35},
		{1.5, true, true, 2.5}, {1.5, true, false, 4}, {6, true, false, 6}} {
		got, err := EarthFor(c.line, c.separate, c.protected)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%+v", c), got, c.want, 0)
	}
	for _, bad := range []float64{0, -1, math.NaN(), 1e9} {
		if _, err := EarthFor(bad, false, false); err == nil {
			t.Errorf("%g mm² was taken", bad)
		}
	}
}

// Both variants stand in the published tables; the default is the stricter.
func TestVariantsOfTheLoop(t *testing.T) {
	strict := base(t)
	old, err := NamedRules("bs7671-2008")
	if err != nil {
		t.Fatal(err)
	}
	a, _ := LoopMost(230, 16, "B", strict.Value(VoltageLeast))
	b, _ := LoopMost(230, 16, "B", old.Value(VoltageLeast))
	near(t, "2018", a, 2.73, .006)
	near(t, "2008", b, 2.87, .006)
	if a >= b {
		t.Error("the base set is not the stricter")
	}
	cold, err := ColdMost(230, 16, "B", strict)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "measured cold", cold, 2.875*2/3, 1e-9)
	// The column of 3 A, which is no preferred rating of ours: 15.33 and 14.57 Ω.
	c, _ := LoopMost(230, 3, "B", 1)
	d, _ := LoopMost(230, 3, "B", .95)
	near(t, "B3", c, 15.33, .006)
	near(t, "B3 with 0.95", d, 14.57, .006)
}
