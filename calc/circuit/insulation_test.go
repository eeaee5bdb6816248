package circuit

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Tables B.52.2 and B.52.4 of IEC 60364-5-52:2009, row by row, apart from the copy that the package computes with.
func TestCapacitiesOfTheTables(t *testing.T) {
	for mm2, rows := range map[float64][2][]float64{
		1.5: {{14.5, 14, 17.5, 16.5, 19.5, 22}, {13.5, 13, 15.5, 15, 17.5, 18}},
		2.5: {{19.5, 18.5, 24, 23, 27, 29}, {18, 17.5, 21, 20, 24, 24}},
		4:   {{26, 25, 32, 30, 36, 37}, {24, 23, 28, 27, 32, 30}},
		6:   {{34, 32, 41, 38, 46, 46}, {31, 29, 36, 34, 41, 38}},
		10:  {{46, 43, 57, 52, 63, 60}, {42, 39, 50, 46, 57, 50}},
		16:  {{61, 57, 76, 69, 85, 78}, {56, 52, 68, 62, 76, 64}},
	} {
		for k, row := range rows {
			for m, want := range row {
				celsius := 30.0
				if Methods[m] == "D1" {
					celsius = 20
				}
				got, err := CapacityOf(mm2, Laid{Method: Methods[m], Loaded: 2 + k, Celsius: celsius, Circuits: 1})
				if err != nil {
					t.Fatal(err)
				}
				near(t, fmt.Sprint(mm2, Methods[m], 2+k), got.Amps, want, 1e-9)
			}
		}
	}
}

// Guards on the tables: more copper carries more, three loaded conductors no more than two, and the better cooled method no
// less. Tables seen in public mix two and three loaded conductors (A1 of 14 / 18 / 24 A), or have 48 A for 6 mm² in C.
func TestGuardsOnTheTables(t *testing.T) {
	at := func(mm2 float64, method string, loaded int) float64 {
		got, err := Capacity(mm2, method, loaded, 30, 1)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	for _, loaded := range []int{2, 3} {
		for i, s := range Sections {
			for _, m := range Methods {
				if i > 0 && at(s, m, loaded) <= at(Sections[i-1], m, loaded) {
					t.Errorf("%s %g mm²: carries no more than the thinner one", m, s)
				}
				if at(s, m, 2) < at(s, m, 3) {
					t.Errorf("%s %g mm²: three loaded conductors carry more than two", m, s)
				}
			}
			for _, pair := range [][2]string{{"C", "B1"}, {"B1", "B2"}, {"B2", "A2"}, {"B1", "A1"}, {"A1", "A2"}} {
				if at(s, pair[0], loaded) < at(s, pair[1], loaded) {
					t.Errorf("%g mm²: %s carries less than %s", s, pair[0], pair[1])
				}
			}
		}
	}
	for mm2, wrong := range map[float64]float64{1.5: 14, 2.5: 18, 4: 24} {
		if at(mm2, "A1", 2) == wrong {
			t.Errorf("A1 %g mm² with two loaded conductors is the mixed figure %g A", mm2, wrong)
		}
	}
	if at(6, "C", 2) != 46 {
		t.Errorf("C 6 mm² carries %g A, not 46 A", at(6, "C", 2))
	}
}

// Tables B.52.14 and B.52.15, and the formula behind them: √((θmax−θa)/(θmax−θref)) gives each factor to about 0.01.
func TestFactorsForTemperature(t *testing.T) {
	for _, c := range []struct {
		name            string
		factor          func(float64) (float64, error)
		first           float64
		want            []float64
		most, reference float64
	}{
		{"PVC", func(c float64) (float64, error) { return AmbientOf(PVC, c) }, 10, []float64{1.22, 1.17, 1.12, 1.06, 1, .94, .87, .79, .71, .61, .50}, 70, 30},
		{"XLPE", func(c float64) (float64, error) { return AmbientOf(XLPE, c) }, 10, []float64{1.15, 1.12, 1.08, 1.04, 1, .96, .91, .87, .82, .76, .71}, 90, 30},
		{"ground", Ground, 10, []float64{1.10, 1.05, 1, .95, .89, .84, .77, .71, .63}, 70, 20},
	} {
		for i, want := range c.want {
			celsius := c.first + 5*float64(i)
			got, err := c.factor(celsius)
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprint(c.name, celsius), got, want, 0)
			near(t, fmt.Sprint(c.name, celsius, " by the formula"), AmbientFormula(c.most, celsius, c.reference), want, .011)
			below, err := c.factor(celsius - 1)
			if err != nil || below != want {
				t.Errorf("%s: %g °C takes %g, not the next higher column's %g", c.name, celsius-1, below, want)
			}
		}
		last := c.first + 5*float64(len(c.want)-1)
		for _, bad := range []float64{last + .1, math.NaN(), math.Inf(1), math.Inf(-1), -60} {
			if got, err := c.factor(bad); err == nil {
				t.Errorf("%s at %g °C: got %g, want a refusal", c.name, bad, got)
			}
		}
	}
	near(t, "PVC 35 °C", AmbientFormula(70, 35, 30), .9354, 5e-5)
	near(t, "PVC 45 °C", AmbientFormula(70, 45, 30), .7906, 5e-5)
	near(t, "XLPE 50 °C", AmbientFormula(90, 50, 30), .8165, 5e-5)
	if _, err := AmbientOf("paper", 30); err == nil {
		t.Error("paper was taken")
	}
}

// Table B.52.17, items 1 to 4; ten circuits take the column of twelve, more than twenty that of twenty.
func TestFactorsForGrouping(t *testing.T) {
	counts := []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 16, 20}
	for a, row := range map[Arrangement][]float64{
		Bunched:    {1, .80, .70, .65, .60, .57, .54, .52, .50, .45, .41, .38},
		OnWall:     {1, .85, .79, .75, .73, .72, .72, .71, .70, .70, .70, .70},
		Ceiling:    {.95, .81, .72, .68, .66, .64, .63, .62, .61, .61, .61, .61},
		Perforated: {1, .88, .82, .77, .75, .73, .73, .72, .72, .72, .72, .72},
	} {
		for i, want := range row {
			got, err := GroupingOf(a, counts[i])
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprint("item ", a, " ", counts[i]), got, want, 0)
		}
	}
	for n, want := range map[int]float64{10: .45, 13: .41, 21: .38, 1000: .38} {
		if got, _ := GroupingOf(0, n); got != want {
			t.Errorf("%d bunched: %g, want %g", n, got, want)
		}
	}
	for _, c := range []struct {
		a Arrangement
		n int
	}{{5, 1}, {-1, 1}, {OnWall, 0}, {Bunched, -3}} {
		if got, err := GroupingOf(c.a, c.n); err == nil {
			t.Errorf("item %d, %d circuits: got %g, want a refusal", c.a, c.n, got)
		}
	}
	// P10: three circuits of 245 A in one conduit carry 171.5 A each (a public test of such a table).
	three, _ := GroupingOf(Bunched, 3)
	near(t, "P10", 245*three, 171.5, 1e-9)
	if n := Countable([]float64{3, 3.1, 9}, []float64{10, 10, 10}); n != 2 {
		t.Errorf("%d circuits count, want 2: 30 %% of the capacity may be left out", n)
	}
}

// A maker's table of capacities with three loaded conductors by temperature, in whole amperes; method C. It cuts 17.5 A to 17.
func TestPublishedAmbientTableOfMethodC(t *testing.T) {
	for mm2, row := range map[float64][]float64{1.5: {17, 15, 14, 12, 11}, 2.5: {24, 21, 19, 17, 15}, 4: {32, 28, 25, 23, 20},
		6: {41, 36, 32, 29, 25}, 10: {57, 50, 45, 40, 35}, 16: {76, 66, 60, 54, 46}} {
		for i, celsius := range []float64{30, 40, 45, 50, 55} {
			got, err := CapacityOf(mm2, Laid{Method: "C", Loaded: 3, Celsius: celsius, Circuits: 1})
			if err != nil {
				t.Fatal(err)
			}
			whole := math.Round(got.Amps)
			if got.Amps == 17.5 {
				whole = 17
			}
			near(t, fmt.Sprint(mm2, " at ", celsius), whole, row[i], 0)
		}
	}
}

// IEC 60228 for classes 1, 2 and 5, and what is wrong in public: 24.20 mΩ/m is 1.5/1.5, not 1.5/1.
func TestResistances(t *testing.T) {
	for class, row := range map[Class]map[float64]float64{
		Solid:    {.5: 36, .75: 24.5, 1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15},
		Stranded: {.14: 134, .22: 99, .25: 79, .34: 56, .5: 36, 16: 1.15},
		Flexible: {.14: 138, .22: 96, .25: 76, .34: 53, .5: 39, .75: 26, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21},
	} {
		for mm2, want := range row {
			got, err := ResistanceOf(class, mm2)
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprint("class ", class, " ", mm2), got, want, 0)
		}
	}
	for pair, want := range map[[2]float64]float64{{1.5, 1.5}: 24.20, {2.5, 1.5}: 19.51, {2.5, 2.5}: 14.82, {4, 2.5}: 12.02, {4, 4}: 9.22,
		{6, 6}: 6.16, {10, 10}: 3.66, {1.5, 1}: 30.20} {
		near(t, fmt.Sprint("R1+R2 of ", pair), Resistance[pair[0]]+Resistance[pair[1]], want, 1e-9)
	}
	// Factors Kt printed with IEC 60228: R at 20 °C is the measured one times Kt.
	for celsius, kt := range map[float64]float64{30: .962, 40: .926, 50: .893, 70: .833} {
		near(t, fmt.Sprint(celsius), Heated(celsius)*kt, 1, .0035)
	}
	near(t, "the hot factor", Heated(70), hotter, .004)
	for _, c := range []struct {
		class Class
		mm2   float64
	}{{Solid, .14}, {3, 1.5}, {Flexible, 25}, {Stranded, math.NaN()}} {
		if got, err := ResistanceOf(c.class, c.mm2); err == nil {
			t.Errorf("class %d %g mm²: got %g, want a refusal", c.class, c.mm2, got)
		}
	}
	if _, err := ResistanceOf(Flexible, 3); err == nil || !strings.Contains(err.Error(), "2.5") {
		t.Errorf("the refusal does not say what there is: %v", err)
	}
}

func TestWhatNoTableOfCapacitiesHolds(t *testing.T) {
	for name, c := range map[string]Laid{
		"XLPE in the ground":   {Method: "D1", Loaded: 2, Insulation: XLPE, Celsius: 20, Circuits: 1},
		"direct in the ground": {Method: "D2", Loaded: 2, Celsius: 20, Circuits: 1},
		"no circuit":           {Method: "C", Loaded: 2, Celsius: 30},
		"one loaded conductor": {Method: "C", Loaded: 1, Celsius: 30, Circuits: 1},
	} {
		if got, err := CapacityOf(2.5, c); err == nil {
			t.Errorf("%s: got %+v, want a refusal", name, got)
		}
	}
	if _, err := CapacityOf(1, Laid{Method: "C", Loaded: 2, Celsius: 30, Circuits: 1}); err == nil {
		t.Error("1 mm² is not in the tables of IEC 60364-5-52, and was taken")
	}
}

// Whatever makes it hotter carries less: temperature, company, a third loaded conductor.
func TestHotterCarriesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		laid := Laid{Method: rapid.SampledFrom(Methods).Draw(t, "method"), Loaded: 2, Celsius: rapid.Float64Range(-20, 45).Draw(t, "°C"),
			Circuits: rapid.IntRange(1, 30).Draw(t, "circuits"), Arrangement: Arrangement(rapid.IntRange(1, 4).Draw(t, "arrangement"))}
		mm2 := rapid.SampledFrom(Sections).Draw(t, "mm²")
		got, err := CapacityOf(mm2, laid)
		if err != nil {
			t.Fatal(err)
		}
		for _, edit := range []func(*Laid){func(l *Laid) { l.Celsius += 5 }, func(l *Laid) { l.Circuits++ }, func(l *Laid) { l.Loaded = 3 }} {
			worse := laid
			edit(&worse)
			if w, err := CapacityOf(mm2, worse); err != nil || w.Amps > got.Amps {
				t.Fatalf("%+v carries %+v, %+v more: %+v %v", laid, got, worse, w, err)
			}
		}
	})
}
