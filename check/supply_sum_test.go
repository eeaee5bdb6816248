package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// suppliedHouse has one circuit with one heater for each current in A, on the lines named.
func suppliedHouse(main float64, phases []string, amps []float64) *house.House {
	h := &house.House{Boards: []house.Board{{ID: "board"}}}
	h.Site.Supply = house.Supply{Voltage: unit.Volts(230), Phases: 3, Main: unit.Amperes(main), Loop: ohms(.2), Earthing: house.TNS}
	for i, a := range amps {
		id := house.ID(fmt.Sprintf("k%02d", i))
		k := wholeCircuit(id)
		k.Phase, k.Rating, k.Residual, k.Section = phases[i], unit.Amperes(32), 30_000, unit.SquareMillimetres(6)
		h.Circuits = append(h.Circuits, k)
		h.Points = append(h.Points, house.Point{ID: id + ".heater", Kind: house.Contactor, Plain: true, Circuit: id,
			Load: &house.Load{Category: house.Resistive, Factor: 1, Power: unit.Watts(230 * a)}})
	}
	return h
}

// ofSupply is what demandRules find.
func ofSupply(h *house.House) []Finding {
	var list []Finding
	for _, f := range Check(h, &catalogue.Catalogue{}) {
		if slices.ContainsFunc(demandRules, func(r Rule) bool { return r.Slug == f.Slug }) {
			list = append(list, f)
		}
	}
	return list
}

func slugLine(list []Finding) string {
	var slugs []string
	for _, f := range list {
		slugs = append(slugs, f.Slug)
	}
	return strings.Join(slugs, " ")
}

// Sums worked by hand; loads that are neither lamps, sockets nor motors count wholly.
func TestSumsOfTheSupply(t *testing.T) {
	for _, c := range []struct {
		name   string
		main   float64
		phases []string
		amps   []float64
		want   string
	}{
		{"20 A on 20 A", 20, []string{"L1", "L2", "L3"}, []float64{20, 15, 15}, ""},
		{"20.1 A on 20 A", 20, []string{"L1", "L2", "L3"}, []float64{20.1, 15, 15}, "supply/demand"},
		{"all three lines", 16, []string{"all", "L1"}, []float64{30, 6.1}, "supply/demand"},
		{"all three lines, 16 A", 16, []string{"all", "L1"}, []float64{30, 5.9}, ""},
		{"no main device", 0, []string{"L1"}, []float64{9}, ""},
		{"a line that is not known", 20, []string{""}, []float64{9}, "supply/demand-unknown"},
		{"10 A apart", 0, []string{"L1", "L1"}, []float64{5, 5}, ""},
		{"10.2 A apart, at best 5.1 A", 0, []string{"L1", "L1"}, []float64{5.1, 5.1}, "supply/unbalance"},
		{"10.3 A apart, at best 5.2 A", 0, []string{"L1", "L1"}, []float64{5.1, 5.2}, ""},
		{"12 A apart, in thirds", 0, []string{"L1", "L1", "L1"}, []float64{4, 4, 4}, "supply/unbalance"},
		{"one circuit that cannot be parted", 0, []string{"L1"}, []float64{20}, ""},
	} {
		if got := slugLine(ofSupply(suppliedHouse(c.main, c.phases, c.amps))); got != c.want {
			t.Errorf("%s: found %q, want %q", c.name, got, c.want)
		}
	}
	one := suppliedHouse(20, []string{""}, []float64{21})
	one.Site.Supply.Phases = 1
	if got := slugLine(ofSupply(one)); got != "supply/demand" {
		t.Errorf("a supply of one line: found %q", got)
	}
}

// TestDiversityOfTheHouse: lamps of 10 A count 6.6 A, sockets of 10 and 5 A count 12 A: 18.6 A.
func TestDiversityOfTheHouse(t *testing.T) {
	h := suppliedHouse(18, []string{"L1", "L1", "L1"}, []float64{10, 10, 5})
	h.Points[0].Kind, h.Points[1].Kind, h.Points[2].Kind = house.Lamp, house.Socket, house.Socket
	list := ofSupply(h)
	if i := slices.IndexFunc(list, func(f Finding) bool { return f.Slug == "supply/demand" }); i < 0 || list[i].Measured != "18.6 A" {
		t.Errorf("%+v", list)
	}
}

// TestMovingMends: whatever the lines are, the changes of a remedy mend its finding, raise no other of the supply, and leave
// circuits on all three lines alone.
func TestMovingMends(t *testing.T) {
	moved := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "circuits")
		phases, amps := make([]string, n), make([]float64, n)
		for i := range n {
			phases[i] = rapid.SampledFrom([]string{"L1", "L1", "L2", "L3", "all"}).Draw(t, "line")
			amps[i] = float64(rapid.IntRange(1, 160).Draw(t, "0.1 A")) / 10
		}
		h := suppliedHouse(rapid.SampledFrom([]float64{0, 25, 40}).Draw(t, "main"), phases, amps)
		list := ofSupply(h)
		for _, f := range list {
			if len(f.Remedy.Changes) == 0 {
				continue
			}
			moved++
			after, err := house.Apply(h, f.Remedy.Changes)
			if err != nil {
				t.Fatal(err)
			}
			for i := range h.Circuits {
				if phases[i] == "all" && after.Circuits[i].Phase != "all" {
					t.Fatalf("%s was moved from all lines to one", h.Circuits[i].ID)
				}
			}
			for _, g := range ofSupply(after) {
				if g.Slug == f.Slug || !strings.Contains(slugLine(list), g.Slug) {
					t.Fatalf("%q leaves or raises %s", f.Remedy.Text, g.Slug)
				}
			}
		}
	})
	if moved < 20 {
		t.Errorf("only %d remedies moved circuits", moved)
	}
}

func BenchmarkSupplyOfAHouse(b *testing.B) {
	h := generated.House(300, 1)
	h.Site.Supply.Main = unit.Amperes(1)
	for i := range h.Circuits {
		h.Circuits[i].Phase = "L1"
	}
	v := newView(h, builtin(b))
	b.ReportMetric(float64(len(h.Circuits)), "circuits")
	for b.Loop() {
		supplyUnbalance(v, func(Finding) {})
		supplyDemand(v, func(Finding) {})
	}
}
