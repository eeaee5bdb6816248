package dcline

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The closed form of an even line of constant currents: the drop at its end is r·d·I·n(n+1)/2.
func TestInverseQuestionsAgainstTheClosedForm(t *testing.T) {
	e := Even{Volts: 24, Ohm: .072, Amps: .015, Least: 20.598}
	n, err := e.MostModules(15)
	if err != nil || n != 20 { // the worked line of twenty loads every 15 m ends at 20.598 V
		t.Errorf("%d modules, %v, want 20", n, err)
	}
	mm, err := e.LongestLine(20)
	if want := int64(1000 * (24 - 20.598) / (.072 * .015 * 210)); err != nil || mm != want {
		t.Errorf("%d mm between 20 modules, %v, want %d", mm, err, want)
	}
	rapid.Check(t, func(t *rapid.T) {
		e := Even{Volts: 24, Ohm: rapid.Float64Range(.02, .2).Draw(t, "ohm"), Amps: rapid.Float64Range(.002, .2).Draw(t, "amps"), Least: rapid.Float64Range(12, 23.9).Draw(t, "least")}
		d := rapid.Float64Range(.5, 50).Draw(t, "metres")
		n, err := e.MostModules(d)
		if err != nil {
			t.Fatal(err)
		}
		drop := func(n float64) float64 { return e.Ohm * d * e.Amps * n * (n + 1) / 2 }
		if have := 24 - e.Least; drop(float64(n)) > have+1e-6 || drop(float64(n+1)) < have-1e-6 {
			t.Fatalf("%d modules drop %g V, one more %g V, of %g V", n, drop(float64(n)), drop(float64(n+1)), have)
		}
	})
}

// With constant power the answer is exact if the line carries it and not one more; the single module has a closed form.
func TestInverseQuestionsWithConstantPower(t *testing.T) {
	e := Even{Volts: 24, Ohm: .072, Watts: 4}
	mm, err := e.LongestLine(1)
	if want := 1000 * 24 * 24 / (4 * 4 * .072); err != nil || math.Abs(float64(mm)-want) > 1 { // P = V²/(4R) is the limit
		t.Errorf("%d mm to a module of 4 W, %v, want %g", mm, err, want)
	}
	rapid.Check(t, func(t *rapid.T) {
		e := Even{Volts: 24, Ohm: rapid.Float64Range(.02, .2).Draw(t, "ohm"), Watts: rapid.Float64Range(.05, 4).Draw(t, "watts"), Least: rapid.Float64Range(0, 23.9).Draw(t, "least")}
		count := rapid.IntRange(1, 60).Draw(t, "modules")
		mm, err := e.LongestLine(count)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			mm   int64
			want bool
		}{{mm, true}, {mm + 1, false}} {
			if c.mm == 0 || c.mm > metresMost*1000 {
				continue
			}
			if ok, err := e.carries(count, float64(c.mm)/1000); err != nil || ok != c.want {
				t.Fatalf("at %d mm: %v, %v, want %v", c.mm, ok, err, c.want)
			}
		}
	})
}

// Fed at one place, a line of constant currents drops in proportion to its length: the moment form gives the stretch.
func TestStretch(t *testing.T) {
	nodes := chain(24, .072, places, amps, nil)
	least := []float64{0, 18, 18, 18, 18, 18}
	got, err := Stretch(nodes, least, 1_000_000)
	if want := int64(math.Floor(1000 * 6 / 2.6784)); err != nil || got != want {
		t.Errorf("%d thousandths, %v, want %d", got, err, want)
	}
	least[5] = 24
	if got, err = Stretch(nodes, least, 1_000_000); err != nil || got != 0 {
		t.Errorf("%d thousandths, %v, want none", got, err)
	}
}

func TestLargestAgainstEveryNumber(t *testing.T) {
	for most := int64(1); most <= 40; most++ {
		for limit := range most + 1 {
			asked := 0
			got, err := Largest(most, func(n int64) (bool, error) { asked++; return n <= limit, nil })
			if err != nil || got != limit || asked > 14 {
				t.Errorf("up to %d: %d after %d questions, %v, want %d", most, got, asked, err, limit)
			}
		}
	}
	if got, err := Largest(1<<61, func(n int64) (bool, error) { return n <= 1<<60, nil }); err != nil || got != 1<<60 {
		t.Errorf("%d, %v", got, err)
	}
	if _, err := Largest(0, nil); err == nil {
		t.Error("a search up to 0 was made")
	}
}

func TestBadInverseQuestionsAreRefused(t *testing.T) {
	good := Even{Volts: 24, Ohm: .072, Amps: .015, Least: 18}
	for name, edit := range map[string]func(*Even){
		"no supply": func(e *Even) { e.Volts, e.Least = 0, 0 }, "no cable": func(e *Even) { e.Ohm = 0 }, "negative current": func(e *Even) { e.Amps = -1 },
		"needs more than there is": func(e *Even) { e.Least = 25 }, "not a number": func(e *Even) { e.Watts = math.NaN() },
	} {
		e := good
		edit(&e)
		if _, err := e.MostModules(10); err == nil {
			t.Errorf("%s: modules were counted", name)
		}
		if _, err := e.LongestLine(10); err == nil {
			t.Errorf("%s: a length was given", name)
		}
	}
	if _, err := good.MostModules(0); err == nil {
		t.Error("modules 0 m apart")
	}
	if _, err := good.MostModules(50_001); err == nil {
		t.Error("modules 50 001 m apart")
	}
	if _, err := good.LongestLine(0); err == nil {
		t.Error("no modules")
	}
}
