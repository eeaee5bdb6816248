package circuit

import (
	"fmt"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.5f, want %.5f within %g", what, got, want, within)
	}
}

// Published maximum loop impedances at 230 V and 0.4 s: BS 7671:2008 Tables 41.2/41.3 (without Cmin) and the 2018
// edition (0.95). Their rounding of .xx5 goes either way, hence 0.006.
func TestPublishedLoopImpedances(t *testing.T) {
	table := map[float64][6]float64{
		6: {7.67, 7.28, 3.83, 3.64, 1.92, 1.82}, 10: {4.60, 4.37, 2.30, 2.19, 1.15, 1.09}, 16: {2.87, 2.73, 1.44, 1.37, .72, .68},
		20: {2.30, 2.19, 1.15, 1.09, .57, .55}, 25: {1.84, 1.75, .92, .87, .46, .44}, 32: {1.44, 1.37, .72, .68, .36, .34},
		40: {1.15, 1.09, .57, .55, .29, .27}, 50: {.92, .87, .46, .44, .23, .22}, 63: {.73, .69, .36, .35, .18, .17},
	}
	for rating, want := range table {
		for i, curve := range []string{"B", "C", "D"} {
			for j, minimum := range []float64{1, .95} {
				got, err := LoopMost(230, rating, curve, minimum)
				if err != nil {
					t.Fatal(err)
				}
				near(t, fmt.Sprint(curve, rating, " Cmin ", minimum), got, want[2*i+j], .006)
			}
		}
	}
}

func TestPublishedDrops(t *testing.T) {
	near(t, "35 A, 50 m, 10 mm², three phase, per phase", Drop(35, 50, 10, .8, true), 3.2340, 6e-5)
	near(t, "32 A, 40 m, 2.5 mm²", Drop(32, 40, 2.5, 1, false), 23.04, 1e-9)
	near(t, "30 kW motor, 400 V, 0.85, 0.90", Current(30000/.9, 400, .85, true), 56.60, 6e-3)
	near(t, "5 kW", Current(5000, 230, 1, false), 21.74, 6e-3)
}

// Worked circuits with resistances after IEC 60228 and the hot factor 1.20.
func TestWholeCircuits(t *testing.T) {
	for _, c := range []struct {
		name                           string
		mm2, earth                     float64
		method                         string
		loaded                         int
		celsius                        float64
		grouped                        int
		amps, metres, factor, external float64
		three                          bool
		capacity, drop, loop           float64
	}{
		{"W1a", 2.5, 2.5, "B2", 2, 35, 3, 13, 25, 1, .35, false, 15.134, 5.850, .7946},
		{"W1b", 4, 4, "B2", 2, 35, 3, 13, 25, 1, .35, false, 19.740, 3.656, .6266},
		{"W2", 1.5, 1.5, "A1", 2, 30, 1, 4.2, 28, .95, .8, false, 14.5, 3.358, 1.6131},
		{"W3", 1.5, 1.5, "B1", 2, 40, 2, 6.6, 32, .9, .35, false, 12.180, 5.717, 1.2793},
		{"W4", 2.5, 2.5, "C", 3, 30, 1, 15.2, 22, 1, .35, true, 24, 3.010, .7412},
		{"W5", 6, 6, "C", 2, 30, 1, 32, 18, 1, .2, false, 46, 4.320, .3331},
		{"W6", 2.5, 1.5, "C", 2, 30, 1, 16, 45, 1, .35, false, 27, 12.960, 1.4035},
	} {
		iz, err := Capacity(c.mm2, c.method, c.loaded, c.celsius, c.grouped)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+" capacity", iz, c.capacity, 6e-4)
		near(t, c.name+" drop", Drop(c.amps, c.metres, c.mm2, c.factor, c.three), c.drop, 6e-4)
		zs, err := Loop(c.external, c.metres, c.mm2, c.earth)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+" loop", zs, c.loop, 6e-5)
	}
}

func TestDropAlongARun(t *testing.T) {
	loads := []Load{{6, .5}, {11, .5}, {15, .8}, {22, 1.2}}
	for i, want := range []float64{.5139, .8708, 1.0992, 1.3390} {
		near(t, fmt.Sprint("load ", i), DropAlong(loads, 1.5, .95, false)[i], want, 6e-5)
	}
	near(t, "all at the end", Drop(3, 22, 1.5, .95, false), 1.8843, 6e-5)
}

// Worked examples of a public textbook on installation work: 200 A for 0.4 s needs 1.10 mm², 90 A 0.49 mm²; and the
// factors that IEC 60364-5-54 prints rounded (115, 143, 143, 176).
func TestAdiabatic(t *testing.T) {
	near(t, "200 A", Adiabatic(200, .4, 115), 1.10, 6e-3)
	near(t, "90 A", Adiabatic(90, .4, 115), .49497, 6e-5)
	near(t, "10 kA", Adiabatic(10000, .1, 115), 27.5, .05)
	near(t, "PVC", Factor(70, 160), 115.004, 6e-4)
	near(t, "XLPE", Factor(90, 250), 143.084, 6e-4)
	near(t, "separate PVC", Factor(30, 160), 142.895, 6e-4)
	near(t, "separate XLPE", Factor(30, 250), 175.827, 6e-4)
	near(t, "1.5 mm²", Withstand(1.5, 115), 29756.25, 1e-6)
}

// A maker's published table of the capacity with three loaded conductors at several temperatures, in whole amperes,
// method B2; it reproduces B.52.4 times B.52.14.
func TestPublishedAmbientTable(t *testing.T) {
	want := map[float64][]float64{1.5: {15, 13, 12, 11, 9}, 2.5: {20, 17, 16, 14, 12}, 4: {27, 23, 21, 19, 16},
		6: {34, 30, 27, 24, 21}, 10: {46, 40, 36, 33, 28}, 16: {62, 54, 49, 44, 38}}
	for mm2, row := range want {
		for i, celsius := range []float64{30, 40, 45, 50, 55} {
			got, err := Capacity(mm2, "B2", 3, celsius, 1)
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprint(mm2, celsius), math.Round(got), row[i], 0)
		}
	}
}

// The fitted curve of Annex D guards the tables against typing errors: every cell lies within 1.6 % of it.
func TestTablesAgainstFittedCurve(t *testing.T) {
	curves := map[string][4]float64{"A1": {11.2, .6118, 10.4, .605}, "A2": {10.8, .6015, 10.1, .592}, "B1": {13.5, .625, 11.84, .628},
		"B2": {13.1, .600, 11.65, .6005}, "C": {15.0, .625, 13.5, .625}}
	for method, k := range curves {
		for _, mm2 := range Sections {
			for loaded, at := range map[int]int{2: 0, 3: 2} {
				got, err := Capacity(mm2, method, loaded, 30, 1)
				if err != nil {
					t.Fatal(err)
				}
				fit := k[at] * math.Pow(mm2, k[at+1])
				if math.Abs(got/fit-1) > .016 {
					t.Errorf("%s %g mm² %d loaded: %g A is %.1f %% off the curve", method, mm2, loaded, got, 100*(got/fit-1))
				}
			}
		}
	}
}

func TestWhatATableDoesNotHoldIsRefused(t *testing.T) {
	for _, c := range []struct {
		mm2     float64
		method  string
		loaded  int
		celsius float64
		grouped int
	}{{1, "C", 2, 30, 1}, {1.5, "X", 2, 30, 1}, {1.5, "C", 4, 30, 1}, {1.5, "C", 2, 61, 1}, {1.5, "C", 2, 30, 0}, {math.NaN(), "C", 2, 30, 1}} {
		if got, err := Capacity(c.mm2, c.method, c.loaded, c.celsius, c.grouped); err == nil {
			t.Errorf("%+v: got %g A, want a refusal", c, got)
		}
	}
	if _, err := LoopMost(230, 16, "Z", 1); err == nil {
		t.Error("characteristic Z was taken")
	}
	if _, err := Loop(.35, 10, 3, 1.5); err == nil {
		t.Error("3 mm² was taken")
	}
}
