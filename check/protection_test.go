package check

import (
	"slices"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// circuitCase is one circuit with one load, as it stands in worked examples.
type circuitCase struct {
	rating      float64
	curve       string
	mm2, earth  float64
	method      string
	grouped     int
	metres      float64
	amps        float64 // of the load at 230 V; 0 for a load that is not known
	lamp, three bool
	external    float64 // Ω
	residual    float64 // mA
	earthing    house.Earthing
}

func (c circuitCase) build() *house.House {
	k := house.Circuit{ID: "k", Board: "board", Rating: unit.Amperes(c.rating), Curve: c.curve, Section: unit.SquareMillimetres(c.mm2),
		Earth: unit.SquareMillimetres(c.earth), Method: c.method, Grouped: c.grouped, Length: unit.Metres(c.metres), Residual: unit.Amperes(c.residual / 1000)}
	p := house.Point{ID: "p", Kind: house.Socket, Plain: true, Circuit: "k", Load: &house.Load{Category: house.Resistive, Factor: 1}}
	if c.lamp {
		p.Kind = house.Lamp
	}
	p.Load.Power = unit.Watts(230 * c.amps)
	if c.three {
		k.Phase, p.Load.Power = "all", 3*p.Load.Power
	}
	h := &house.House{Boards: []house.Board{{ID: "board"}}, Circuits: []house.Circuit{k}, Points: []house.Point{p}}
	h.Site.Supply = house.Supply{Voltage: unit.Volts(230), Loop: ohms(c.external), Earthing: c.earthing}
	if c.earthing == "" {
		h.Site.Supply.Earthing = house.TNS
	}
	return h
}

// aboutCircuits is what Check finds by the rules of protection.go.
func aboutCircuits(h *house.House, c *catalogue.Catalogue) []Finding {
	var list []Finding
	for _, f := range Check(h, c) {
		if slices.ContainsFunc(protectionRules, func(r Rule) bool { return r.Slug == f.Slug }) {
			list = append(list, f)
		}
	}
	return list
}

func (c circuitCase) facts() (*view, *circuit) {
	v := newView(c.build(), &catalogue.Catalogue{})
	return v, v.circuits["k"]
}

// Worked circuits: capacities from IEC 60364-5-52 Tables B.52.2, B.52.4 and B.52.17 at 30 °C, drops by its Annex G at a power
// factor of 1, loops from IEC 60228 resistances times 1.20. P2 is a published drop (40 m, 32 A, 2.5 mm²: 23.04 V, 10.02 %).
func TestWorkedCircuits(t *testing.T) {
	for _, c := range []struct {
		name                 string
		circuit              circuitCase
		capacity, drop, loop float64
	}{
		{"W1a", circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "B2", grouped: 3, metres: 25, amps: 13, external: .35}, 23 * .7, 2.543, .7946},
		{"W1b", circuitCase{rating: 16, curve: "B", mm2: 4, method: "B2", grouped: 3, metres: 25, amps: 13, external: .35}, 30 * .7, 1.590, .6266},
		{"W4", circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", metres: 22, amps: 15.2, three: true, external: .35}, 24, 1.309, .7412},
		{"W5", circuitCase{rating: 32, curve: "B", mm2: 6, method: "C", metres: 18, amps: 32, external: .2}, 46, 1.878, .3331},
		{"W6", circuitCase{rating: 16, curve: "C", mm2: 2.5, earth: 1.5, method: "C", metres: 45, amps: 16, external: .35}, 27, 5.635, 1.4035},
		{"P2", circuitCase{rating: 32, curve: "B", mm2: 2.5, method: "C", metres: 40, amps: 32, external: .35}, 27, 10.02, 1.0614},
		{"a load beyond the device counts as the device", circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", metres: 25, amps: 99, external: .35}, 27, 3.130, .7946},
		{"a load that is not known, likewise", circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", metres: 25, external: .35}, 27, 3.130, .7946},
	} {
		v, k := c.circuit.facts()
		iz, err := k.capacity(k.Section)
		if err != nil {
			t.Fatal(err)
		}
		nearly(t, c.name+" capacity", iz, c.capacity, 1e-9)
		nearly(t, c.name+" drop", k.drop(v.volts, k.Section), c.drop, 5e-3)
		f, ok := k.faultOf(v)
		if !ok {
			t.Fatalf("%s: the fault loop is not computed", c.name)
		}
		nearly(t, c.name+" loop", f.loop, c.loop, 6e-5)
	}
}

// TestLimitsOfCircuits holds each limit from both sides. The longest ways by loop alone (W3 63.19 m, W6 43.38 m, W1b 215.2 m) and
// 39.93 m for 16 A and 5 % on 2.5 mm² are worked by hand.
func TestLimitsOfCircuits(t *testing.T) {
	w3 := circuitCase{rating: 10, curve: "C", mm2: 1.5, method: "B1", amps: .5, external: .35}
	w6 := circuitCase{rating: 16, curve: "C", mm2: 2.5, earth: 1.5, method: "C", amps: 1, external: .35}
	w1 := circuitCase{rating: 16, curve: "B", mm2: 4, method: "C", amps: .1, external: .35}
	drop := circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", amps: 16, external: .35}
	with := func(c circuitCase, edit func(*circuitCase)) circuitCase { edit(&c); return c }
	for _, c := range []struct {
		name    string
		circuit circuitCase
		want    []string
	}{
		{"W3 to 63.18 m", with(w3, func(c *circuitCase) { c.metres = 63.18 }), nil},
		{"W3 to 63.20 m", with(w3, func(c *circuitCase) { c.metres = 63.20 }), []string{"circuit/earth-fault"}},
		{"W6 to 43.37 m", with(w6, func(c *circuitCase) { c.metres = 43.37 }), nil},
		{"W6 to 43.39 m", with(w6, func(c *circuitCase) { c.metres = 43.39 }), []string{"circuit/earth-fault"}},
		{"and with a residual-current device", with(w6, func(c *circuitCase) { c.metres, c.residual = 43.39, 30 }), []string{"circuit/loop"}},
		{"W1b to 215.1 m", with(w1, func(c *circuitCase) { c.metres = 215.1 }), nil},
		{"W1b to 215.3 m", with(w1, func(c *circuitCase) { c.metres = 215.3 }), []string{"circuit/earth-fault"}},
		{"16 A to 39.92 m", with(drop, func(c *circuitCase) { c.metres = 39.92 }), nil},
		{"16 A to 39.94 m", with(drop, func(c *circuitCase) { c.metres = 39.94 }), []string{"circuit/drop"}},
		{"lamps, 3 %, to 23.95 m", with(drop, func(c *circuitCase) { c.metres, c.lamp = 23.95, true }), nil},
		{"lamps to 23.97 m", with(drop, func(c *circuitCase) { c.metres, c.lamp = 23.97, true }), []string{"circuit/drop"}},
		{"16 A on 16.1 A: 2.5 mm², B2, three bunched", with(drop, func(c *circuitCase) { c.metres, c.method, c.grouped = 5, "B2", 3 }), nil},
		{"16 A on 14.95 A: four bunched", with(drop, func(c *circuitCase) { c.metres, c.method, c.grouped = 5, "B2", 4 }), []string{"circuit/capacity"}},
		{"TT, 300 mA, 50 V: 166 Ω", with(w1, func(c *circuitCase) { c.metres, c.earthing, c.residual, c.external = 1, house.TT, 300, 166.6 }), nil},
		{"TT, 300 mA: 167 Ω", with(w1, func(c *circuitCase) { c.metres, c.earthing, c.residual, c.external = 1, house.TT, 300, 166.7 }), []string{"circuit/earth-fault"}},
		{"TT without one", with(w1, func(c *circuitCase) { c.metres, c.earthing, c.external = 1, house.TT, 20 }), []string{"circuit/earth-fault"}},
		{"IT", with(w1, func(c *circuitCase) { c.metres, c.earthing = 1, house.IT }), []string{"circuit/not-checked"}},
	} {
		var got []string
		for _, f := range aboutCircuits(c.circuit.build(), &catalogue.Catalogue{}) {
			got = append(got, f.Slug)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: found %v, want %v", c.name, got, c.want)
		}
	}
}

// TestPublishedLoopLimitsStandInTheFindings: the limits that findings print are the published ones of BS 7671:2018 for 0.4 s.
func TestPublishedLoopLimitsStandInTheFindings(t *testing.T) {
	for _, c := range []struct {
		rating float64
		curve  string
		want   float64
	}{{6, "B", 7.28}, {10, "B", 4.37}, {16, "B", 2.73}, {32, "B", 1.37}, {6, "C", 3.64}, {16, "C", 1.37}, {16, "D", .68}, {32, "D", .34}} {
		k := circuitCase{rating: c.rating, curve: c.curve, mm2: 6, method: "C", metres: 10, amps: .1, external: 9}
		list := aboutCircuits(k.build(), &catalogue.Catalogue{})
		if len(list) != 1 || list[0].Slug != "circuit/earth-fault" {
			t.Fatalf("%s%g: %+v", c.curve, c.rating, list)
		}
		limit, err := unit.ParseResistance(list[0].Limit)
		if err != nil {
			t.Fatal(err)
		}
		nearly(t, c.curve, limit.Ohm(), c.want, .006)
	}
}

// TestEachMissingInputIsSaid takes away one input after the other: none is passed over, and no figure is made of nothing.
func TestEachMissingInputIsSaid(t *testing.T) {
	for want, edit := range map[string]func(*house.House){
		"section":        func(h *house.House) { h.Circuits[0].Section = 0 },
		"method":         func(h *house.House) { h.Circuits[0].Method = "" },
		"length":         func(h *house.House) { h.Circuits[0].Length = 0 },
		"characteristic": func(h *house.House) { h.Circuits[0].Curve = "" },
		"loop impedance": func(h *house.House) { h.Site.Supply.Loop = 0 },
		"earthing":       func(h *house.House) { h.Site.Supply.Earthing = "" },
		"IT system":      func(h *house.House) { h.Site.Supply.Earthing = house.IT },
		"1 mm²":          func(h *house.House) { h.Circuits[0].Section = unit.SquareMillimetres(1) },
		`"D2"`:           func(h *house.House) { h.Circuits[0].Method = "D2" },
	} {
		h := circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", metres: 10, amps: 5, external: .35}.build()
		edit(h)
		list := aboutCircuits(h, &catalogue.Catalogue{})
		if len(list) != 1 || list[0].Slug != "circuit/not-checked" || !strings.Contains(list[0].Text, want) {
			t.Errorf("without %s: %+v", want, list)
		}
	}
}

// TestSmallerDeviceIsNamedOnlyWhereTheLoadsLeaveOne: 8 A of loads on a cable for 14.95 A bear a device of 13 A, 14 A do not.
func TestSmallerDeviceIsNamedOnlyWhereTheLoadsLeaveOne(t *testing.T) {
	for amps, want := range map[float64]bool{8: true, 13: true, 14: false, 0: false} {
		c := circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "B2", grouped: 4, metres: 5, amps: amps, external: .35}
		list := aboutCircuits(c.build(), &catalogue.Catalogue{})
		if len(list) != 1 || strings.Contains(list[0].Remedy.Text, "a device of 13 A") != want {
			t.Errorf("%g A: %+v", amps, list)
		}
	}
}
