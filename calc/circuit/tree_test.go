package circuit

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// P1: 35 A, 50 m, 10 mm², cosφ 0.8, three phase: 3.2340 V by line, 1.4061 % of 230 V; P2: 32 A, 40 m, 2.5 mm²: 23.04 V.
// The tree gives the same, without being told whether b is 1 or 2.
func TestTreeOfOneStretch(t *testing.T) {
	three, err := Tree([]Stretch{{From: -1, Metres: 50, MM2: 10, Amps: 35, Factor: .8}})
	if err != nil {
		t.Fatal(err)
	}
	for k := range 3 {
		near(t, "P1", three[0].Volts[k], 3.2340, 6e-5)
	}
	near(t, "P1 %", 100*three[0].Worst/230, 1.4061, 5e-5)
	// As printed, with 0.8·0.0225·50/10·√3·35 and the reactance: 5.6015 V between lines.
	near(t, "P1 between lines", math.Sqrt(3)*three[0].Worst, 5.6015, 6e-5)
	for line := 1; line <= 3; line++ {
		one, err := Tree([]Stretch{{From: -1, Metres: 40, MM2: 2.5, Amps: 32, Factor: 1, Line: line}})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "P2", one[0].Volts[line-1], 23.04, 1e-9)
		near(t, "P2 %", 100*one[0].Worst/230, 10.02, .005)
	}
}

// P3: 21.74 A over 40 m; with the resistance that the page gives (5.62 and 3.71 Ω/km) 9.77 V and 6.45 V. P4: 30 kW, 56.60 A,
// 2.4 mV/(A·m), 50 m: 6.79 V, 1.70 %. A page's "11.8 V" for 84.9 A, 0.1 km, 0.87 and 0.08 Ω/km, cosφ 0.85 is 11.49 V.
func TestPublishedDropsByResistance(t *testing.T) {
	amps := Current(5000, 230, 1, false)
	near(t, "P3", 2*amps*40*5.62e-3, 9.77, .006)
	near(t, "P3, 6 mm²", 2*amps*40*3.71e-3, 6.45, .006)
	near(t, "P3 %", 100*2*amps*40*5.62e-3/230, 4.25, .006)
	motor := Current(30000/.9, 400, .85, true)
	near(t, "P4", motor, 56.60, .006)
	near(t, "P4 V", 2.4e-3*50*motor, 6.79, .006)
	near(t, "P4 %", 100*2.4e-3*50*motor/400, 1.70, .005)
	wrong := math.Sqrt(3) * 84.9 * .1 * (.87*.85 + .08*math.Sqrt(1-.85*.85))
	near(t, "the page's three-phase example", wrong, 11.49, .01)
}

// W7: lights along a run, as a tree without branches; then the same run with its second half turned into a branch.
func TestTreeAlongARun(t *testing.T) {
	run := []Stretch{{-1, 6, 1.5, .5, .95, 1}, {0, 5, 1.5, .5, .95, 1}, {1, 4, 1.5, .8, .95, 1}, {2, 7, 1.5, 1.2, .95, 1}}
	drops, err := Tree(run)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{.5139, .8708, 1.0992, 1.3390} {
		near(t, fmt.Sprint("load ", i), drops[i].Worst, want, 6e-5)
	}
	// From the end of the first stretch two branches of 5 m and 4 m: by hand, section by section.
	forked := []Stretch{run[0], run[1], {0, 4, 1.5, .8, .95, 1}, {2, 7, 1.5, 1.2, .95, 1}}
	drops, err = Tree(forked)
	if err != nil {
		t.Fatal(err)
	}
	first := Drop(3, 6, 1.5, .95, false)
	near(t, "first branch", drops[1].Worst, first+Drop(.5, 5, 1.5, .95, false), 1e-12)
	near(t, "second branch", drops[3].Worst, first+Drop(2, 4, 1.5, .95, false)+Drop(1.2, 7, 1.5, .95, false), 1e-12)
}

// Three-phase sums against closed forms: the neutral of unequal lines, and the drop of one loaded line of three.
func TestThreePhaseClosedForms(t *testing.T) {
	near(t, "balanced", Neutral(7, 7, 7), 0, 1e-12)
	near(t, "one line", Neutral(9, 0, 0), 9, 1e-12)
	near(t, "two equal lines", Neutral(5, 5, 0), 5, 1e-12)
	near(t, "3, 4, 5", Neutral(3, 4, 5), math.Sqrt(3), 1e-12)
	rapid.Check(t, func(t *rapid.T) {
		var amps [3]float64
		for k := range amps {
			amps[k] = rapid.Float64Range(0, 60).Draw(t, "A")
		}
		drops, err := Tree([]Stretch{{-1, .01, 2.5, amps[0], 1, 1}, {0, 20, 2.5, 0, 0, 0}, {1, .01, 2.5, amps[1], 1, 2}, {1, .01, 2.5, amps[2], 1, 3}})
		if err != nil {
			t.Fatal(err)
		}
		// On the common 20 m: lines 2 and 3 carry b and c, the neutral both; line 1 sees −(b+c)/2 of it. The reactance of the
		// neutral adds sin 120° of the others' currents.
		r, x := .0225*20/2.5, .08e-3*20*math.Sqrt(3)/2
		b, c := amps[1], amps[2]
		want := [3]float64{-r*(b+c)/2 + x*(b-c), r*(2*b-c/2) + x*c, r*(2*c-b/2) - x*b}
		for k := range 3 {
			if got := drops[1].Volts[k] - drops[0].Volts[k]; math.Abs(got-want[k]) > 1e-9 {
				t.Fatalf("line %d: %g V, want %g V", k+1, got, want[k])
			}
		}
	})
}

// arbitrary draws a circuit with branches whose loads are all on one line, or all balanced.
func arbitrary(t *rapid.T, most int) []Stretch {
	line := rapid.IntRange(0, 3).Draw(t, "line")
	list := make([]Stretch, rapid.IntRange(1, most).Draw(t, "stretches"))
	for i := range list {
		list[i] = Stretch{From: rapid.IntRange(-1, i-1).Draw(t, "from"), Metres: rapid.Float64Range(.1, 60).Draw(t, "m"),
			MM2: rapid.SampledFrom(Sections).Draw(t, "mm²"), Amps: rapid.Float64Range(0, 20).Draw(t, "A"),
			Factor: rapid.Float64Range(.3, 1).Draw(t, "cosφ"), Line: line}
	}
	return list
}

// Properties of drops: thicker copper never raises one, another load never lowers one, twice the load or the length gives
// twice the drop, and the sum over loads is the sum of the drops of each load alone.
func TestPropertiesOfTrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := arbitrary(t, 12)
		before := mustTree(t, list)
		i := rapid.IntRange(0, len(list)-1).Draw(t, "which")

		thicker := append([]Stretch{}, list...)
		thicker[i].MM2 *= 1.5
		for k, d := range mustTree(t, thicker) {
			if d.Worst > before[k].Worst+1e-9 {
				t.Fatalf("thicker stretch %d raises the drop at %d from %g to %g V", i, k, before[k].Worst, d.Worst)
			}
		}
		more := append([]Stretch{}, list...)
		more[i].Amps += rapid.Float64Range(0, 10).Draw(t, "more")
		for k, d := range mustTree(t, more) {
			if d.Worst < before[k].Worst-1e-9 {
				t.Fatalf("a load at %d lowers the drop at %d", i, k)
			}
		}
		factor := rapid.Float64Range(.1, 4).Draw(t, "scale")
		scaled, longer := append([]Stretch{}, list...), append([]Stretch{}, list...)
		for k := range list {
			scaled[k].Amps *= factor
			longer[k].Metres *= factor
		}
		a, b := mustTree(t, scaled), mustTree(t, longer)
		alone := make([]float64, len(list))
		for k := range list {
			one := append([]Stretch{}, list...)
			for n := range one {
				if n != k {
					one[n].Amps = 0
				}
			}
			for n, d := range mustTree(t, one) {
				alone[n] += d.Worst
			}
		}
		for k, d := range before {
			for _, got := range []float64{a[k].Worst / factor, b[k].Worst / factor, alone[k]} {
				if math.Abs(got-d.Worst) > 1e-9*(1+d.Worst) {
					t.Fatalf("stretch %d: %g V, want %g V", k, got, d.Worst)
				}
			}
		}
	})
}

func mustTree(t *rapid.T, list []Stretch) []TreeDrop {
	drops, err := Tree(list)
	if err != nil {
		t.Fatal(err)
	}
	return drops
}

func TestTreesThatAreNone(t *testing.T) {
	good := Stretch{From: -1, Metres: 1, MM2: 1.5, Amps: 1, Factor: 1}
	for name, edit := range map[string]func(*Stretch){
		"from itself": func(s *Stretch) { s.From = 0 }, "from a later one": func(s *Stretch) { s.From = 5 }, "from -2": func(s *Stretch) { s.From = -2 },
		"no length": func(s *Stretch) { s.Metres = 0 }, "50 000 m": func(s *Stretch) { s.Metres = 50000 }, "NaN m": func(s *Stretch) { s.Metres = math.NaN() },
		"no copper": func(s *Stretch) { s.MM2 = 0 }, "negative load": func(s *Stretch) { s.Amps = -1 }, "infinite load": func(s *Stretch) { s.Amps = math.Inf(1) },
		"power factor above 1": func(s *Stretch) { s.Factor = 1.01 }, "no power factor": func(s *Stretch) { s.Factor = 0 }, "line 4": func(s *Stretch) { s.Line = 4 },
	} {
		s := good
		edit(&s)
		if got, err := Tree([]Stretch{s}); err == nil {
			t.Errorf("%s: got %+v, want a refusal", name, got)
		}
	}
}

func BenchmarkTree1000(b *testing.B) {
	list := make([]Stretch, 1000)
	for i := range list {
		list[i] = Stretch{From: i - 1 - i%3, Metres: 2, MM2: 2.5, Amps: .1, Factor: .95, Line: 1}
	}
	for i := range list {
		list[i].From = max(-1, list[i].From)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Tree(list); err != nil {
			b.Fatal(err)
		}
	}
}
