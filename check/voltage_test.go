package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

func nearly(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.6f, want %.6f within %g", what, got, want, within)
	}
}

// chain is a house with one line as it stands in worked examples: a supply of 24 V at one end and modules that draw milliamps
// at some metres along it. A second supply at the other end where second is not 0.
type chain struct {
	places, milliamps []float64
	least             float64 // V that each module needs
	second            float64 // m
}

// worked is the chain of five modules whose figures stand in the tests of package dcline.
var worked = chain{places: []float64{20, 60, 110, 180, 300}, milliamps: []float64{30, 25, 60, 25, 80}, least: 18}

// build makes the house and a catalogue with just what it needs; cables of some Ω/km are named bus0, bus1 and so on, and the
// line is laid with the first.
func (c chain) build(loops ...float64) (*house.House, *catalogue.Catalogue) {
	cat := &catalogue.Catalogue{Types: []catalogue.Type{
		{ID: "feed", Medium: catalogue.NoBus, Role: catalogue.RoleSupply, Mount: catalogue.Rail, Units: 1, Price: 1, Bus: &catalogue.Bus{Supply: unit.Amperes(2), Voltage: unit.Volts(24)}},
	}}
	for i, ohm := range loops {
		cat.Cables = append(cat.Cables, catalogue.Cable{ID: fmt.Sprintf("bus%d", i), Loop: ohms(ohm)})
	}
	h := &house.House{Modules: []house.Module{{ID: "supply", Type: "feed"}}}
	l := house.Line{ID: "line", Cable: "bus0", Taps: []house.Tap{{Module: "supply"}}}
	last := 0.0
	for i, x := range c.places {
		typ := catalogue.Type{ID: fmt.Sprintf("t%d", i), Medium: catalogue.Wired, Mount: catalogue.Surface,
			Bus: &catalogue.Bus{Draw: unit.Amperes(c.milliamps[i] / 1000), Voltage: unit.Volts(24), Least: unit.Volts(c.least)}}
		cat.Types = append(cat.Types, typ)
		m := house.Module{ID: house.ID(fmt.Sprintf("m%d", i)), Type: typ.ID}
		h.Modules = append(h.Modules, m)
		l.Taps = append(l.Taps, house.Tap{Module: m.ID, Length: unit.Metres(x - last)})
		last = x
	}
	if c.second > 0 {
		h.Modules = append(h.Modules, house.Module{ID: "supply2", Type: "feed"})
		l.Taps = append(l.Taps, house.Tap{Module: "supply2", Length: unit.Metres(c.second - last)})
	}
	h.Lines = []house.Line{l}
	return h, cat
}

// wireOf lays the line of a chain.
func (c chain) wireOf() *wire {
	h, cat := c.build(72)
	return lay(&newView(h, cat).lines[0])
}

// Worked by hand from V0 − r·Σ x·I, and by repeated passes for constant power; conductor resistances after IEC 60228, at 20 °C
// where nothing is said.
func TestWorstVoltageOfWorkedChains(t *testing.T) {
	for _, c := range []struct {
		perMetre float64
		power    bool
		want     float64
	}{
		{.0720, false, 21.3216}, {.0720 * 1.0786, false, 21.1111}, {.0732, false, 21.2770}, {.1336, false, 19.0301}, {.1684, false, 17.7355}, {.0490, false, 22.1772},
		{.0720, true, 21.0030}, {.0732, true, 20.9461}, {.1336, true, 17.5354}, {.1684, true, 14.4227},
	} {
		s := worked.wireOf().solve(c.perMetre, demand{c.power, 1})
		if !s.known || s.collapse || s.worst.ID != "m4" {
			t.Fatalf("%g Ω/m: %+v", c.perMetre, s)
		}
		nearly(t, fmt.Sprintf("%g Ω/m, power %v", c.perMetre, c.power), s.volts, c.want, 6e-5)
	}
	if s := worked.wireOf().solve(.1876, atPower); !s.collapse {
		t.Errorf("0.1876 Ω/m (the most that TIA-568 lets a pair have): %+v, want a collapse", s)
	}
}

// Worked: 24 V at both ends, 300 m apart; the lowest voltage lies inside.
func TestLineFedAtBothEnds(t *testing.T) {
	c := chain{places: []float64{20, 60, 110, 180, 240}, milliamps: worked.milliamps, least: 18, second: 300}
	s := c.wireOf().solve(.072, atNominal)
	if s.worst.ID != "m2" {
		t.Errorf("lowest at %s, want m2", s.worst.ID)
	}
	nearly(t, "lowest", s.volts, 23.3974, 6e-5)
	nearly(t, "far supply", s.given[6], .1080, 6e-6)
}

// slugsIn is what Check finds about the voltage of a line.
func slugsIn(h *house.House, c *catalogue.Catalogue) (slugs []string, first Finding) {
	for _, f := range Check(h, c) {
		if slices.ContainsFunc(voltageRules(), func(r Rule) bool { return r.Slug == f.Slug }) {
			if len(slugs) == 0 {
				first = f
			}
			slugs = append(slugs, f.Slug)
		}
	}
	return slugs, first
}

// TestLimitsOfVoltage holds each rule from both sides of its limit. The cable is computed at 40 °C, so its resistance at
// 20 °C is 1.0786 times less than that of the worked chain.
func TestLimitsOfVoltage(t *testing.T) {
	for _, c := range []struct {
		name  string
		perKm float64 // Ω at 40 °C
		least float64
		want  []string
	}{
		{"21.3216 V where 21.32 V is enough, without headroom", 72, 21.32, []string{"bus/no-headroom"}},
		{"21.3216 V where 21.33 V is wanted", 72, 21.33, []string{"bus/voltage-low"}},
		{"17.5354 V with constant power at 0.1336 Ω/m", 133.6 / 1.1, 17.53, nil},
		{"one hundredth of a volt more", 133.6 / 1.1, 17.54, []string{"bus/no-headroom"}},
		{"constant power just stands at 0.1829 Ω/m", 182.9 / 1.1, 5, nil},
		{"and collapses above 0.18298 Ω/m", 183.1 / 1.1, 5, []string{"bus/no-headroom"}},
		{"constant current: 37.2 A·m at 0.64 Ω/m are 23.8 V", 640, 0.1, []string{"bus/no-headroom"}},
		{"and at 0.65 Ω/m more than there is", 650, 0.1, []string{"bus/collapse"}},
	} {
		k := worked
		k.least = c.least
		h, cat := k.build(c.perKm / 1.0786)
		if got, f := slugsIn(h, cat); !slices.Equal(got, c.want) {
			t.Errorf("%s: found %v (%s), want %v", c.name, got, f.Text, c.want)
		}
	}
}

// TestNextCableIsTheThinnestThatSuffices: of all cables with less resistance, the remedy names the one with most that leaves
// nothing to find, whatever their order; a cable that is none for a line is not proposed.
func TestNextCableIsTheThinnestThatSuffices(t *testing.T) {
	h, cat := worked.build(168.4, 36.2, 49, 73.2, 133.6)
	cat.Cables = append(cat.Cables, catalogue.Cable{ID: "mains-1.5", Loop: ohms(24.2)})
	_, f := slugsIn(h, cat)
	if f.Slug != "bus/voltage-low" || len(f.Remedy.Changes) != 1 {
		t.Fatalf("%+v", f)
	}
	chosen := f.Remedy.Changes[0].After.(house.Line).Cable
	want, most := "", unit.Resistance(0)
	for _, c := range cat.Cables {
		h.Lines[0].Cable = c.ID
		if got, _ := slugsIn(h, cat); len(got) == 0 && c.Loop > most && c.ID != "mains-1.5" {
			want, most = c.ID, c.Loop
		}
	}
	if chosen != want {
		t.Errorf("the remedy names %s; trying each finds %s", chosen, want)
	}
}

// TestSecondSupplyStandsWhereItMendsMost holds the place that the remedy names against building the house with a supply at
// every tap.
func TestSecondSupplyStandsWhereItMendsMost(t *testing.T) {
	k := worked
	k.milliamps = []float64{140, 110, 170, 80, 130}
	h, cat := k.build(73.2)
	_, f := slugsIn(h, cat)
	if f.Slug != "bus/voltage-low" || !strings.Contains(f.Remedy.Text, "second supply (feed)") {
		t.Fatalf("%+v, remedy %+v", f, f.Remedy)
	}
	best, spare := house.ID(""), 0.0
	for i := range h.Lines[0].Taps {
		trial := *h
		trial.Modules = append(slices.Clone(h.Modules), house.Module{ID: "supply2", Type: "feed"})
		trial.Lines = slices.Clone(h.Lines)
		trial.Lines[0].Taps = slices.Insert(slices.Clone(h.Lines[0].Taps), i+1, house.Tap{Module: "supply2"})
		v := newView(&trial, cat)
		if s := v.voltages(&v.lines[0]).steady; len(mustSlugs(&trial, cat)) == 0 && s.volts > spare+1e-9 {
			best, spare = h.Lines[0].Taps[i].Module, s.volts
		}
	}
	if best == "" || !strings.Contains(f.Remedy.Text, "beside "+string(best)+",") || !strings.Contains(f.Remedy.Text, figure(spare, "V")) {
		t.Errorf("the best place is beside %s with %s; the remedy says: %s", best, figure(spare, "V"), f.Remedy.Text)
	}
}

func mustSlugs(h *house.House, c *catalogue.Catalogue) []string {
	slugs, _ := slugsIn(h, c)
	return slugs
}

func TestLineThatNothingMendsIsDivided(t *testing.T) {
	k := worked
	k.milliamps = []float64{3000, 3000, 3000, 3000, 3000} // more than any supply gives
	h, cat := k.build(168.4)
	if got, f := slugsIn(h, cat); !slices.Equal(got, []string{"bus/collapse"}) || !strings.HasPrefix(f.Remedy.Text, "No cable") {
		t.Errorf("found %v, remedy %q", got, f.Remedy.Text)
	}
}

// TestWhereTapsAre: a stub hangs beside the trunk, a length that is not known counts as none, a head that is no tap is at the
// first one.
func TestWhereTapsAre(t *testing.T) {
	h, cat := worked.build(72)
	h.Lines[0].Taps[2].Stub = unit.Metres(8)
	h.Lines[0].Taps[4].Length = 0
	h.Modules = append(h.Modules, house.Module{ID: "head", Type: "t0"})
	h.Lines[0].Head = "head"
	w := lay(&newView(h, cat).lines[0])
	at := map[house.ID]float64{}
	for _, m := range w.taps {
		at[m.ID] = w.reach(m.node)
	}
	for id, want := range map[house.ID]float64{"head": 0, "m0": 20, "m1": 68, "m2": 110, "m3": 110, "m4": 230} {
		nearly(t, string(id), at[id], want, 1e-9)
	}
	if w.reach(w.trunk[2]) != 60 {
		t.Error("a stub has moved its place on the trunk")
	}
}

// TestVoltageIsNotComputedFromNothing: without supply, with two nominal voltages or with a cable of no resistance no figure is
// named, and another finding says why.
func TestVoltageIsNotComputedFromNothing(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*house.House, *catalogue.Catalogue)
		want string
	}{
		{"no supply", func(h *house.House, _ *catalogue.Catalogue) { h.Lines[0].Taps = h.Lines[0].Taps[1:] }, "bus/no-supply"},
		{"two voltages", func(_ *house.House, c *catalogue.Catalogue) { c.Types[1].Bus.Voltage = unit.Volts(12) }, "bus/wrong-voltage"},
		{"no cable", func(h *house.House, _ *catalogue.Catalogue) { h.Lines[0].Cable = "" }, "bus/no-cable"},
		{"cable of no resistance", func(_ *house.House, c *catalogue.Catalogue) { c.Cables[0].Loop = 0 }, "bus/no-cable"},
		{"foreign cable", func(h *house.House, _ *catalogue.Catalogue) { h.Lines[0].Cable = "wire" }, "bus/unknown-cable"},
	} {
		h, cat := worked.build(900)
		c.edit(h, cat)
		v := newView(h, cat)
		if v.voltages(&v.lines[0]).steady.known {
			t.Errorf("%s: computed all the same", c.name)
		}
		if got := found(Check(h, cat)); !slices.Contains(got, c.want+" line") {
			t.Errorf("%s: %s is not found: %v", c.name, c.want, got)
		}
	}
}
