package dcline

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Computed from L = 0.1·tr·v·c; the rule stands in a maker's data sheet for TIA-485-A transceivers.
func TestLongestStub(t *testing.T) {
	for _, c := range []struct{ rise, velocity, want float64 }{
		{10e-9, .66, .198}, {50e-9, .66, .989}, {250e-9, .66, 4.947}, {500e-9, .66, 9.893}, {10e-9, .78, .234},
	} {
		got, err := LongestStub(c.rise, c.velocity)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%g s, %g", c.rise, c.velocity), got, c.want, 6e-4)
	}
	for _, bad := range [][2]float64{{0, .66}, {-1, .66}, {10e-9, 0}, {10e-9, 1.1}, {math.NaN(), .66}, {10e-9, math.NaN()}} {
		if _, err := LongestStub(bad[0], bad[1]); err == nil {
			t.Errorf("a stub of %v was computed", bad)
		}
	}
}

// Computed: two terminations of 120 Ω with 32 and 20 unit loads of 12 kΩ; the driver must give 1.5 V into 54 Ω, TIA-485-A.
func TestDriverLoad(t *testing.T) {
	near(t, "2 terminations, 32 unit loads", DriverLoad(2, 32), 51.72, 6e-3)
	near(t, "2 terminations, 20 unit loads", DriverLoad(2, 20), 54.55, 6e-3)
	near(t, "32 unit loads alone", DriverLoad(0, UnitLoads), 375, 1e-9)
	near(t, "an eighth of a unit load is 96 kΩ", DriverLoad(0, 1./8), 96_000, 1e-6)
	if !math.IsInf(DriverLoad(0, 0), 1) {
		t.Error("nothing loads a driver that is alone")
	}
}

// Computed: 200 mV on 60 Ω from 5 V needs at most 720 Ω in each of two resistors.
func TestMostBias(t *testing.T) {
	got, err := MostBias(5, DriverLoad(2, 0))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias", got, 720, 1e-9)
	near(t, "voltage with it", 5*60/(60+2*got), Threshold, 1e-12)
	if _, err := MostBias(.2, 60); err == nil {
		t.Error("a bias from 0.2 V was computed")
	}
}

// The limits of TIA-485-A that makers' guides give: 10 Mb/s to 12 m, 100 kb/s to 1200 m; between them the rule of thumb, of
// which 333 kb/s at 300 m is one case.
func TestLongestAtRate(t *testing.T) {
	for _, c := range []struct{ rate, want, within float64 }{{1e5, 1000, 0}, {9.6e3, 1200, 0}, {333_333, 300, .01}, {1e7, 12, 2.1}} {
		got, err := LongestAtRate(c.rate)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%g bit/s", c.rate), got, c.want, c.within)
	}
}

// The table of loop resistances of 3 gauges and of 0.8 mm wire, computed from ideal copper.
func TestWireLoop(t *testing.T) {
	near(t, "0.8 mm", WireLoop(.8)*1000, 68.60, .006)
	for gauge, want := range map[float64]float64{22: 105.9, 23: 133.6, 24: 168.4, 26: 267.8} {
		near(t, fmt.Sprintf("gauge %g", gauge), WireLoop(GaugeDiameter(gauge))*1000, want, .06)
	}
}

func TestEndsAndBranches(t *testing.T) {
	piece := func(parent int, ohm float64) Node { return Node{Parent: parent, Ohm: ohm} }
	first := Node{Parent: -1}
	for _, c := range []struct {
		name           string
		nodes          []Node
		ends, branches []int
	}{
		{"one place", []Node{first}, []int{0}, nil},
		{"a chain", []Node{first, piece(0, 1), piece(1, 1)}, []int{0, 2}, nil},
		{"fed in its middle", []Node{first, piece(0, 1), piece(0, 2), piece(2, 1)}, []int{1, 3}, nil},
		{"a short stub", []Node{first, piece(0, 1), piece(1, 1), piece(1, .1)}, []int{0, 2}, []int{1}},
		{"a star", []Node{first, piece(0, 1), piece(0, 2), piece(0, 3)}, []int{2, 3}, []int{0}},
	} {
		ends, err := Ends(c.nodes)
		if err != nil || !slices.Equal(ends, c.ends) {
			t.Errorf("%s: ends %v (%v), want %v", c.name, ends, err, c.ends)
		}
		branches, err := Branches(c.nodes)
		if err != nil || !slices.Equal(branches, c.branches) {
			t.Errorf("%s: branches %v (%v), want %v", c.name, branches, err, c.branches)
		}
	}
}

// No two places are further apart than the ends.
func TestEndsAreFurthestApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := tree(t)
		ends, err := Ends(nodes)
		if err != nil {
			t.Fatal(err)
		}
		apart := func(a, b int) float64 {
			sum := 0.0
			for a != b {
				if a < b {
					a, b = b, a
				}
				sum += nodes[a].Ohm
				a = nodes[a].Parent
			}
			return sum
		}
		most := apart(ends[0], ends[1])
		for a := range nodes {
			for b := range a {
				if apart(a, b) > most+1e-9 {
					t.Fatalf("%d and %d are %g Ω apart, the ends %v only %g Ω", a, b, apart(a, b), ends, most)
				}
			}
		}
	})
}
