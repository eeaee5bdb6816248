package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// lineRules are the slugs of what this file holds.
var lineRules = []string{"bus/tree", "bus/stub-too-long", "bus/termination", "bus/common-shift", "bus/cold-start"}

// TestRemediesOfALineAreMechanical: for each rule, and for a line that only a further supply mends, what is proposed is
// applied; the finding is gone and nothing else has come.
func TestRemediesOfALineAreMechanical(t *testing.T) {
	c := builtin(t)
	files := []string{"testdata/farattic.yaml"}
	for _, slug := range lineRules {
		files = append(files, "example/"+strings.ReplaceAll(slug, "/", ".")+".bad.yaml")
	}
	for _, file := range files {
		for _, s := range samples(t, file) {
			list := Check(s.house, c)
			before := found(list)
			for _, f := range list {
				if f.Remedy == nil || len(f.Remedy.Changes) == 0 {
					t.Errorf("%s: %s has no changes: %+v", file, f.Slug, f.Remedy)
					continue
				}
				if _, gone, come := mended(t, s.house, c, f, before); !slices.Contains(gone, f.Slug+" "+string(f.Entity)) || len(come) > 0 {
					t.Errorf("%s: %q: gone %v, come %v", file, f.Remedy.Text, gone, come)
				}
			}
		}
	}
}

// TestSupplyIsAddedInItsBoard looks at the change itself: one supply, that may stand in parallel, in the board near the far
// end; the terminating resistors stay at the ends.
func TestSupplyIsAddedInItsBoard(t *testing.T) {
	s := samples(t, "testdata/farattic.yaml")[0]
	f := Check(s.house, builtin(t))[0]
	if len(f.Remedy.Changes) != 2 || f.Remedy.Changes[0].Kind != "module" || f.Remedy.Changes[1].Kind != "line" {
		t.Fatalf("%s: %+v", f.Remedy.Text, f.Remedy.Changes)
	}
	m := f.Remedy.Changes[0].After.(house.Module)
	if m.Board != "attic-board" || m.Circuit != "attic-control" || m.Row < 1 || m.Slot < 1 {
		t.Errorf("the supply is %+v", m)
	}
	taps := f.Remedy.Changes[1].After.(house.Line).Taps
	if k := slices.IndexFunc(taps, func(t house.Tap) bool { return t.Module == m.ID }); k < 1 || taps[k-1].Module != "attic.input" {
		t.Errorf("the supply is tap %d", k)
	}
}

// TestLimitsOfTheLayout holds each limit from both sides.
func TestLimitsOfTheLayout(t *testing.T) {
	base := func() *house.House { return lineOf("temperature-wall", repeat(4, unit.Metres(5))...) }
	for _, c := range []struct {
		name string
		edit func(l *house.Line)
		want []string
	}{
		{"a stub of 4.946 m (computed from 250 ns and 0.66: 4.947 m)", func(l *house.Line) { l.Taps[3].Stub = unit.Metres(4.946) }, nil},
		{"a stub of 4.948 m", func(l *house.Line) { l.Taps[3].Stub = unit.Metres(4.948) }, []string{"bus/stub-too-long"}},
		{"two arms from the first tap", func(l *house.Line) { l.Taps[4].From = l.Taps[0].Module }, nil},
		{"three pieces at the head", func(l *house.Line) { l.Taps[4].From = l.Taps[1].Module }, []string{"bus/tree"}},
		{"from where it comes from anyway", func(l *house.Line) { l.Taps[4].From = l.Taps[3].Module }, nil},
		{"an arm of no length is no branch", func(l *house.Line) { l.Taps[4].Length, l.Taps[4].From = 0, l.Taps[3].Module }, []string{"bus/length-unknown"}},
		{"resistors at both ends", func(l *house.Line) { l.Taps[0].Ended, l.Taps[5].Ended = true, true }, nil},
		{"one resistor", func(l *house.Line) { l.Taps[5].Ended = true }, []string{"bus/termination"}},
		{"three resistors", func(l *house.Line) { l.Taps[0].Ended, l.Taps[2].Ended, l.Taps[5].Ended = true, true, true }, []string{"bus/termination"}},
		{"one in the middle", func(l *house.Line) { l.Taps[0].Ended, l.Taps[2].Ended = true, true }, []string{"bus/termination"}},
		{"at the end of a stub", func(l *house.Line) {
			l.Taps[0].Ended, l.Taps[5].Ended, l.Taps[5].Stub = true, true, unit.Metres(1)
		}, []string{"bus/termination"}},
		{"at the ends of two arms", func(l *house.Line) {
			l.Taps[4].From, l.Taps[3].Ended, l.Taps[5].Ended = l.Taps[0].Module, true, true
		}, nil},
	} {
		h := base()
		c.edit(&h.Lines[0])
		if got := slugsOf(t, h); !slices.Equal(got, c.want) {
			t.Errorf("%s: found %v, want %v", c.name, got, c.want)
		}
	}
}

// TestHeadSaysHowLongAStubMayBe: the catalogue goes before the usual driver.
func TestHeadSaysHowLongAStubMayBe(t *testing.T) {
	h, cat := worked.build(10)
	cat.Types = append(cat.Types, catalogue.Type{ID: "chief", Medium: catalogue.Wired, Role: catalogue.RoleHead, Mount: catalogue.Rail, Units: 1,
		Bus: &catalogue.Bus{Voltage: unit.Volts(24), MaxTaps: 64, MaxStub: unit.Metres(0.198)}})
	h.Modules = append(h.Modules, house.Module{ID: "chief", Type: "chief"})
	h.Lines[0].Head = "chief"
	for stub, want := range map[float64]bool{0.198: false, 0.199: true} {
		h.Lines[0].Taps[2].Stub = unit.Metres(stub)
		if got := slices.Contains(found(Check(h, cat)), "bus/stub-too-long line"); got != want {
			t.Errorf("a stub of %g m where 0.198 m are allowed: found %v", stub, got)
		}
	}
}

// Worked: the chain of constant currents lifts the last 0 V by 1.339 V at 0.0720 Ω/m; in proportion 7 V are reached at
// 5.228 times the resistance.
func TestCommonShiftOfAWorkedChain(t *testing.T) {
	s := worked.wireOf().solve(.0720, atNominal)
	// The first module is at 20 m: what it has above the last is what shifts it.
	nearly(t, "shift between first and last module", s.shift, (23.6832-21.3216)/2, 6e-5)
	if s.deepest.ID != "m4" || s.highest.ID != "m0" {
		t.Errorf("between %s and %s", s.deepest.ID, s.highest.ID)
	}
	k := worked
	k.least = .1
	for _, c := range []struct {
		share float64
		want  bool
	}{{6.99, false}, {7.01, true}} {
		h, cat := k.build(72 / 1.0786 * c.share / s.shift)
		if got := slices.Contains(found(Check(h, cat)), "bus/common-shift line"); got != c.want {
			t.Errorf("%g V: found %v", c.share, got)
		}
	}
}

// TestColdStartOfALine holds both halves of the rule: the voltage at 1.3 times the current, worked by hand, and the share of
// one of two supplies.
func TestColdStartOfALine(t *testing.T) {
	// At 72 Ω/km and 40 °C the chain drops 2.6784 V, at the start 3.4819 V: 20.5181 V. With constant power and 10 % more
	// resistance it has 20.53 V or more, so that only the start can fail.
	tight := worked.wireOf().solve(.0720*busHeadroom, atPower)
	start := worked.wireOf().solve(.0720, atStart)
	nearly(t, "start", start.volts, 24-1.3*2.6784, 6e-5)
	if tight.volts <= start.volts {
		t.Fatalf("constant power gives %g V, the start %g V", tight.volts, start.volts)
	}
	k := worked
	for least, want := range map[float64][]string{20.51: nil, 20.53: {"bus/cold-start"}} {
		k.least = least
		h, cat := k.build(72 / 1.0786)
		var got []string
		for _, f := range Check(h, cat) {
			if f.Slug == "bus/cold-start" || f.Slug == "bus/no-headroom" || f.Slug == "bus/voltage-low" {
				got = append(got, f.Slug)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("modules that need %g V: found %v, want %v", least, got, want)
		}
	}
	// Worked: fed at both ends with 24 V, the left gives 112.0 mA, the right 108.0 mA; at the start 145.6 mA and 140.4 mA.
	two := chain{places: []float64{20, 60, 110, 180, 240}, milliamps: worked.milliamps, least: 18, second: 300}
	for _, c := range []struct {
		limit float64
		want  bool
	}{{.1461, false}, {.1451, true}} {
		h, cat := two.build(72 / 1.0786)
		cat.Types[0].Bus.Parallel = true
		small := cat.Types[0]
		bus := *small.Bus
		bus.Supply = unit.Amperes(c.limit)
		small.ID, small.Bus = "small", &bus
		cat.Types = append(cat.Types, small)
		h.Modules[0].Type = "small"
		if got := slices.Contains(found(Check(h, cat)), "bus/cold-start line"); got != c.want {
			t.Errorf("145.6 mA from a supply of %g A: found %v", c.limit, got)
		}
	}
}

// TestFurtherSuppliesAreTheFewest holds the number that a remedy names against every set of taps of a short line, each built
// and checked.
func TestFurtherSuppliesAreTheFewest(t *testing.T) {
	tried := map[int]int{}
	rapid.Check(t, func(t *rapid.T) {
		k := chain{least: rapid.SampledFrom([]float64{18, 20, 22}).Draw(t, "least")}
		at := 0.0
		for range rapid.IntRange(2, 6).Draw(t, "modules") {
			at += rapid.Float64Range(20, 60).Draw(t, "metres")
			k.places, k.milliamps = append(k.places, at), append(k.milliamps, rapid.Float64Range(50, 400).Draw(t, "milliamps"))
		}
		h, cat := k.build(73.2)
		v := newView(h, cat)
		w := lay(&v.lines[0])
		perMetre := loopOf(&cat.Cables[0])
		if _, ok := w.enough(perMetre); ok {
			return
		}
		kinds := v.supplyKinds(unit.Volts(24), false)
		var taps []int
		for i := range w.trunk {
			taps = append(taps, i)
		}
		s, ok := w.moreSupplies(perMetre, taps, kinds)
		fewest := -1
		for set := range 1 << len(k.places) {
			trial := *w
			trial.feed, trial.rated, trial.fed = slices.Clone(w.feed), slices.Clone(w.rated), slices.Clone(w.fed)
			n := 0
			for i := range k.places {
				if set>>i&1 == 1 {
					trial.tap(&module{Module: &house.Module{}, typ: kinds[0]}, w.trunk[i+1])
					n++
				}
			}
			if _, good := trial.enough(perMetre); good && (fewest < 0 || n < fewest) {
				fewest = n
			}
		}
		if ok && s.smallest && len(s.sites) != fewest {
			t.Fatalf("said to be the fewest: %d; every set tried: %d", len(s.sites), fewest)
		}
		if ok && (fewest < 0 || len(s.sites) < fewest) || !ok && fewest >= 0 && fewest <= suppliesMore {
			t.Fatalf("found %v, %d supplies; every set tried: %d", ok, len(s.sites), fewest)
		}
		tried[fewest]++
	})
	t.Logf("lines by supplies added, -1 for none: %v", tried)
}

// TestTapsThatComeFromNowhere: a cycle, a tap that is not there, itself: package house refuses them, and Check takes the
// tap before and stays calm.
func TestTapsThatComeFromNowhere(t *testing.T) {
	for _, from := range []house.ID{"s1", "s2", "nobody", "head"} {
		h := lineOf("temperature-wall", repeat(3, unit.Metres(5))...)
		h.Format, h.Lines[0].Taps[3].From = house.FormatName, from // s1 itself, s2 behind it
		problems := house.Validate(h)
		if refused := len(problems) > 0; refused == (from == "head") {
			t.Errorf("from %s: %v", from, problems)
		}
		if got := slugsOf(t, h); from != "head" && len(got) > 0 {
			t.Errorf("from %s: found %v", from, got)
		}
	}
}

// TestAbsurdLines: lengths that no cable has give findings and no nonsense.
func TestAbsurdLines(t *testing.T) {
	for _, l := range []unit.Length{0, -unit.Metres(5), unit.Metres(50_000), math.MaxInt64, math.MinInt64} {
		h := lineOf("weather-mast", l, unit.Metres(1))
		h.Lines[0].Taps[3].Stub = l
		list := Check(h, builtin(t))
		if len(list) == 0 {
			t.Errorf("%v of cable: nothing found", l)
		}
		for _, f := range list {
			if text := fmt.Sprint(f); strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Errorf("%v of cable: %s", l, text)
			}
		}
	}
}

// TestGeneratedHousesHaveSoundLines: lines as a generated house has them are in series, with short stubs, and come up.
func TestGeneratedHousesHaveSoundLines(t *testing.T) {
	lines := 0
	for _, h := range []*house.House{generated.House(60, 3), generated.House(300, 1)} {
		v := newView(h, builtin(t))
		for i := range v.lines {
			lines++
			if s := v.voltages(&v.lines[i]); s.cable == nil || !s.steady.suffices() || !s.start.suffices() {
				t.Errorf("line %s: %+v", v.lines[i].ID, s)
			}
		}
		for _, f := range Check(h, builtin(t)) {
			if slices.Contains(lineRules, f.Slug) {
				t.Errorf("%s: %s", f.Slug, f.Text)
			}
		}
	}
	if lines == 0 {
		t.Error("the generated houses have no line")
	}
}
