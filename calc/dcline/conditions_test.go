package dcline

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestConditionsAgainstWorkedChains(t *testing.T) {
	c := Nominal()
	c.Celsius = 40
	r, err := Under(chain(24, .072, places, amps, nil), c)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "40 °C", r.Volts[5], 21.1111, 6e-5)
	// By hand: at the start the drop of 2.6784 V becomes 1.3 times as much; a supply 5 % low begins at 22.8 V.
	r, err = Under(chain(24, .072, places, amps, nil), Nominal().Start())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "start", r.Volts[5], 24-1.3*2.6784, 1e-9)
	near(t, "start current", r.Supplied[0], 1.3*.220, 1e-9)
	c = Nominal()
	c.Low = .05
	r, err = Under(chain(24, .072, places, amps, nil), c)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "supply 5 % low", r.Volts[5], 22.8-2.6784, 1e-9)
}

func TestConditionsOutOfRange(t *testing.T) {
	nodes := chain(24, .072, places, amps, nil)
	for name, edit := range map[string]func(*Conditions){
		"below absolute zero": func(c *Conditions) { c.Celsius = -300 },
		"no temperature":      func(c *Conditions) { c.Celsius = math.NaN() },
		"joints":              func(c *Conditions) { c.Joints = -1 },
		"no supply left":      func(c *Conditions) { c.Low = 1 },
		"demand":              func(c *Conditions) { c.Demand = math.Inf(1) },
	} {
		c := Nominal()
		edit(&c)
		if _, err := Under(nodes, c); err == nil || errors.Is(err, ErrCollapse) {
			t.Errorf("%s: %v, want a refusal", name, err)
		}
	}
}

// Computed: half of the drop, worked chains of constant current and constant power.
func TestCommonShift(t *testing.T) {
	all := []int{0, 1, 2, 3, 4, 5}
	r := solve(t, chain(24, .072, places, amps, nil))
	low, high, shift := r.Between(all)
	near(t, "constant current", shift, 1.339, 6e-4)
	if low != 5 || high != 0 {
		t.Errorf("between %d and %d, want 5 and 0", low, high)
	}
	r = solve(t, chain(24, .1684, places, nil, watts))
	_, _, shift = r.Between(all)
	near(t, "constant power", shift, 4.789, 6e-4)
	if _, _, shift = r.Between(nil); shift != 0 {
		t.Errorf("a shift of %g V between no places", shift)
	}
}

// The shift is computed by symmetry; here it is held against both conductors solved one by one: a chain of 2n cores with the
// loads across, as two networks with opposite currents.
func TestShiftAgainstBothConductors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := wide(t, 30, true)
		for i := range nodes {
			nodes[i].Watts = 0
			if i > 0 {
				nodes[i].Supply = 0
			}
		}
		r, err := Solve(nodes)
		if err != nil {
			return
		}
		// The return core alone: from the leaves each piece carries what its subtree takes, through half the loop.
		through, zero := make([]float64, len(nodes)), make([]float64, len(nodes))
		for i := len(nodes) - 1; i > 0; i-- {
			through[i] += nodes[i].Amps
			through[nodes[i].Parent] += through[i]
		}
		for i := 1; i < len(nodes); i++ {
			zero[i] = zero[nodes[i].Parent] + through[i]*nodes[i].Ohm/2
			if d := Shift(r.Volts[i], r.Volts[0]) - zero[i]; math.Abs(d) > 1e-9 {
				t.Fatalf("node %d: %g V beside", i, d)
			}
		}
	})
}

// On a line fed at one place thicker cable never raises the drop anywhere, and a line that stood still stands. (Between
// several supplies it may: a thicker piece also lets a heavy load draw on a neighbour's supply.)
func TestThickerCableNeverRaisesTheDrop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := wide(t, 40, rapid.Bool().Draw(t, "star"))
		for i := range nodes[1:] {
			nodes[i+1].Supply = 0
		}
		before, err := Solve(nodes)
		if err != nil {
			return
		}
		k := rapid.IntRange(1, len(nodes)-1).Draw(t, "piece")
		nodes[k].Ohm *= rapid.Float64Range(.05, .99).Draw(t, "share")
		after, err := Solve(nodes)
		if err != nil {
			t.Fatalf("thicker cable at node %d: %v", k, err)
		}
		for i := range nodes {
			if after.Volts[i] < before.Volts[i]-1e-7 {
				t.Fatalf("node %d fell from %g to %g V when the piece to %d became thicker", i, before.Volts[i], after.Volts[i], k)
			}
		}
	})
}

// Scaling laws: with resistances a-fold and voltages b-fold, currents are b/a-fold and powers b²/a-fold.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := wide(t, 40, true)
		r, err := Solve(nodes)
		if err != nil {
			return
		}
		a, b := rapid.Float64Range(.1, 10).Draw(t, "a"), rapid.Float64Range(.5, 2).Draw(t, "b")
		for i := range nodes {
			n := &nodes[i]
			n.Ohm, n.Supply, n.Amps, n.Watts = n.Ohm*a, n.Supply*b, n.Amps*b/a, n.Watts*b*b/a
		}
		s, err := Solve(nodes)
		if err != nil {
			t.Fatal(err)
		}
		for i := range nodes {
			if math.Abs(s.Volts[i]-b*r.Volts[i]) > 1e-6 {
				t.Fatalf("node %d: %g V, want %g V", i, s.Volts[i], b*r.Volts[i])
			}
		}
	})
}
