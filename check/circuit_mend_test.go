package check

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	iec "wirewright/calc/circuit"
	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// TestOneRemedyMendsAllOfACircuit: the cable that a remedy names leaves no condition of its circuit failing, where one does
// that; and the next thinner one leaves the finding, or another of the circuit.
func TestOneRemedyMendsAllOfACircuit(t *testing.T) {
	c := &catalogue.Catalogue{}
	mended, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		k := circuitCase{rating: rapid.SampledFrom([]float64{10, 16, 20, 32}).Draw(t, "In"), curve: rapid.SampledFrom(iec.Curves).Draw(t, "curve"),
			mm2: rapid.SampledFrom(iec.Sections[:4]).Draw(t, "mm²"), method: rapid.SampledFrom(iec.Methods).Draw(t, "method"),
			grouped: rapid.IntRange(0, 8).Draw(t, "grouped"), metres: rapid.Float64Range(1, 80).Draw(t, "m"), amps: rapid.Float64Range(.1, 10).Draw(t, "A"),
			lamp: rapid.Bool().Draw(t, "lamp"), three: rapid.Bool().Draw(t, "three"), external: .35,
			residual: rapid.SampledFrom([]float64{0, 30}).Draw(t, "mA")}
		h := k.build()
		list := aboutCircuits(h, c)
		for _, f := range list {
			if len(f.Remedy.Changes) == 0 {
				continue
			}
			mended++
			after, err := house.Apply(h, f.Remedy.Changes)
			if err != nil {
				t.Fatal(err)
			}
			left := aboutCircuits(after, c)
			if slices.ContainsFunc(left, func(g Finding) bool { return g.Slug == f.Slug }) {
				t.Fatalf("%q leaves %s", f.Remedy.Text, f.Slug)
			}
			if len(left) == 0 {
				all++
			}
			thin := f.Remedy.Changes[0].After.(house.Circuit)
			i := slices.Index(iec.Sections, thin.Section.MM2())
			if thin.Rating != h.Circuits[0].Rating || iec.Sections[i-1] <= h.Circuits[0].Section.MM2() {
				continue
			}
			thin.Section = unit.SquareMillimetres(iec.Sections[i-1])
			thinner := *h
			thinner.Circuits = []house.Circuit{thin}
			if len(aboutCircuits(&thinner, c)) == 0 {
				t.Fatalf("%q, but %s leaves nothing to find", f.Remedy.Text, thin.Section)
			}
		}
	})
	if mended < 50 || all < mended/2 {
		t.Errorf("%d remedies tried, %d mended the whole circuit", mended, all)
	}
}

// TestWarmthCounts: by IEC 60364-5-52 2.5 mm² laid by C carries 27 A in 30 °C, and 27·0.71 = 19.17 A in 50 °C; in the ground by D1
// 29 A at 20 °C and 29·0.63 = 18.27 A at 50 °C (B.52.14, B.52.15). Above the tables it is said, not passed.
func TestWarmthCounts(t *testing.T) {
	for _, c := range []struct {
		method  string
		celsius float64
		want    float64
	}{{"C", 0, 27}, {"C", 50, 27 * .71}, {"D1", 0, 29}, {"D1", 50, 29 * .63}} {
		h := circuitCase{rating: 16, curve: "B", mm2: 2.5, method: c.method, metres: 5, amps: 5, external: .35}.build()
		h.Circuits[0].Ambient = unit.Temperature(c.celsius * 1e6)
		k := newView(h, &catalogue.Catalogue{}).circuits["k"]
		iz, err := k.capacity(k.Section)
		if err != nil {
			t.Fatal(err)
		}
		nearly(t, c.method, iz, c.want, 1e-9)
	}
	h := circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", metres: 5, amps: 5, external: .35}.build()
	h.Circuits[0].Ambient = unit.Temperature(65e6)
	if list := aboutCircuits(h, &catalogue.Catalogue{}); len(list) != 1 || list[0].Slug != "circuit/not-checked" || !strings.Contains(list[0].Text, "65 °C") {
		t.Errorf("at 65 °C: %+v", list)
	}
}

// TestADeviceMendsWhatNoCableDoes: 16 A of type D on a loop of 0.60 Ω is above 0.683 Ω over some length whatever the cable;
// with 5 A of loads a smaller device is named and mends it.
func TestADeviceMendsWhatNoCableDoes(t *testing.T) {
	c := circuitCase{rating: 16, curve: "D", mm2: 2.5, method: "C", metres: 20, amps: 5, external: .7}
	list := aboutCircuits(c.build(), &catalogue.Catalogue{})
	if len(list) != 1 || list[0].Slug != "circuit/earth-fault" || len(list[0].Remedy.Changes) != 1 {
		t.Fatalf("%+v", list)
	}
	after, err := house.Apply(c.build(), list[0].Remedy.Changes)
	if err != nil {
		t.Fatal(err)
	}
	// 0.95·230/(20·10) = 1.0925 Ω, and 0.7 + 14.82 mΩ/m·20 m·1.2 = 1.0557 Ω.
	if after.Circuits[0].Rating != unit.Amperes(10) || len(aboutCircuits(after, &catalogue.Catalogue{})) != 0 {
		t.Errorf("%s: %+v", list[0].Remedy.Text, after.Circuits[0])
	}
}

// residualCase finds what residualRules say of one circuit.
func residualCase(edit func(*house.House)) []string {
	h := circuitCase{rating: 16, curve: "B", mm2: 2.5, method: "C", metres: 5, amps: 5, external: .35, residual: 30}.build()
	edit(h)
	var slugs []string
	for _, f := range Check(h, &catalogue.Catalogue{}) {
		if slices.ContainsFunc(residualRules, func(r Rule) bool { return r.Slug == f.Slug }) {
			slugs = append(slugs, f.Slug)
		}
	}
	return slugs
}

// IEC 60364-4-41, 411.3.3 (sockets to 32 A, 30 mA), and breaking capacities from both sides.
func TestResidualDeviceAndBreakingCapacity(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*house.House)
		want string
	}{
		{"30 mA", func(*house.House) {}, ""},
		{"10 mA", func(h *house.House) { h.Circuits[0].Residual = 10_000 }, ""},
		{"none", func(h *house.House) { h.Circuits[0].Residual = 0 }, "circuit/no-residual"},
		{"300 mA", func(h *house.House) { h.Circuits[0].Residual = 300_000 }, "circuit/no-residual"},
		{"40 A", func(h *house.House) { h.Circuits[0].Residual, h.Circuits[0].Rating = 0, unit.Amperes(40) }, ""},
		{"no rating", func(h *house.House) { h.Circuits[0].Residual, h.Circuits[0].Rating = 0, 0 }, ""},
		{"a lamp", func(h *house.House) { h.Circuits[0].Residual, h.Points[0].Kind = 0, house.Lamp }, ""},
		{"AC and a heater", func(h *house.House) { h.Circuits[0].ResidualType = "AC" }, ""},
		{"AC and drivers", func(h *house.House) { h.Circuits[0].ResidualType, h.Points[0].Load.Category = "AC", house.LED }, "circuit/residual-type"},
		{"A and drivers", func(h *house.House) { h.Circuits[0].ResidualType, h.Points[0].Load.Category = "A", house.LED }, ""},
		{"B and a dimmer", func(h *house.House) { h.Circuits[0].ResidualType, h.Points[0].Load.Dimmed = "B", true }, ""},
		{"6 kA on 6 kA", func(h *house.House) {
			h.Circuits[0].Breaking, h.Site.Supply.Fault = unit.Amperes(6000), unit.Amperes(6000)
		}, ""},
		{"6 kA on 6.001 kA", func(h *house.House) {
			h.Circuits[0].Breaking, h.Site.Supply.Fault = unit.Amperes(6000), unit.Amperes(6001)
		}, "circuit/breaking"},
		{"nothing known", func(h *house.House) { h.Circuits[0].Breaking = unit.Amperes(3000) }, ""},
	} {
		if got := strings.Join(residualCase(c.edit), " "); got != c.want {
			t.Errorf("%s: found %q, want %q", c.name, got, c.want)
		}
	}
}
