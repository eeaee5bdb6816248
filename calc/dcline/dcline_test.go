package dcline

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// chain makes a daisy chain fed at its first node: places in m, loads per node, loop resistance per metre.
func chain(volts, perMetre float64, places, amps, watts []float64) []Node {
	nodes := []Node{{Parent: -1, Supply: volts}}
	last := 0.0
	for i, x := range places {
		n := Node{Parent: i, Ohm: perMetre * (x - last)}
		if amps != nil {
			n.Amps = amps[i]
		}
		if watts != nil {
			n.Watts = watts[i]
		}
		nodes, last = append(nodes, n), x
	}
	return nodes
}

var (
	places = []float64{20, 60, 110, 180, 300}
	amps   = []float64{.030, .025, .060, .025, .080}
	watts  = []float64{.72, .60, 1.44, .60, 1.92}
)

func solve(t *testing.T, nodes []Node) Result {
	t.Helper()
	r, err := Solve(nodes)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within || math.IsNaN(got) {
		t.Errorf("%s: got %.6f, want %.6f within %g", what, got, want, within)
	}
}

// Computed by hand from the moment form V0 − r·Σ x·I; loop resistances after IEC 60228 (0.5 mm² and 0.75 mm²) and the
// wire gauge formula.
func TestConstantCurrentChain(t *testing.T) {
	for _, c := range []struct {
		perMetre float64
		want     []float64
	}{
		{.0720, []float64{23.6832, 23.1360, 22.5420, 22.0128, 21.3216}},
		{AtTemperature(.0720, 40), []float64{23.6583, 23.0681, 22.4274, 21.8566, 21.1111}},
		{.0732, []float64{23.6779, 23.1216, 22.5177, 21.9797, 21.2770}},
		{.1336, []float64{23.4122, 22.3968, 21.2946, 20.3126, 19.0301}},
		{.1684, []float64{23.2590, 21.9792, 20.5899, 19.3522, 17.7355}},
		{.0490, []float64{23.7844, 23.4120, 23.0078, 22.6476, 22.1772}},
	} {
		r := solve(t, chain(24, c.perMetre, places, amps, nil))
		for i, want := range c.want {
			near(t, fmt.Sprintf("%g Ω/m at %g m", c.perMetre, places[i]), r.Volts[i+1], want, 6e-5)
		}
		near(t, "supply current", r.Supplied[0], .220, 1e-9)
	}
}

func TestConstantPowerChain(t *testing.T) {
	for _, c := range []struct {
		perMetre float64
		want     []float64
		supply   float64
	}{
		{.0720, []float64{23.6548, 23.0521, 22.3923, 21.7929, 21.0030}, .23972},
		{.0732, []float64{23.6484, 23.0345, 22.3623, 21.7513, 20.9461}, .24014},
		{.1336, []float64{23.2821, 22.0117, 20.6057, 19.2908, 17.5354}, .26866},
		{.1684, []float64{22.9785, 21.1465, 19.0954, 17.1129, 14.4227}, .30330},
	} {
		r := solve(t, chain(24, c.perMetre, places, nil, watts))
		for i, want := range c.want {
			near(t, fmt.Sprintf("%g Ω/m at %g m", c.perMetre, places[i]), r.Volts[i+1], want, 6e-5)
		}
		near(t, "supply current", r.Supplied[0], c.supply, 6e-6)
	}
}

func TestCollapse(t *testing.T) {
	if _, err := Solve(chain(24, .1876, places, nil, watts)); !errors.Is(err, ErrCollapse) {
		t.Errorf("0.1876 Ω/m: got %v, want a collapse", err)
	}
	if _, err := Solve(chain(24, .1829, places, nil, watts)); err != nil {
		t.Errorf("just inside the limit of 0.18298 Ω/m: %v", err)
	}
}

// The single load has a closed form: V = (V0 + √(V0² − 4RP))/2, which exists up to P = V0²/(4R).
func TestSingleConstantPowerLoad(t *testing.T) {
	r := solve(t, []Node{{Parent: -1, Supply: 24}, {Parent: 0, Ohm: 21.6, Watts: 4}})
	near(t, "voltage", r.Volts[1], 19.5895, 6e-5)
	near(t, "closed form", r.Volts[1], (24+math.Sqrt(24*24-4*21.6*4))/2, 1e-8)
	if _, err := Solve([]Node{{Parent: -1, Supply: 24}, {Parent: 0, Ohm: 21.6, Watts: 24*24/(4*21.6) + .01}}); !errors.Is(err, ErrCollapse) {
		t.Errorf("above the limit: got %v, want a collapse", err)
	}
}

func TestTwentyEqualLoads(t *testing.T) {
	var p, a []float64
	for i := 1; i <= 20; i++ {
		p, a = append(p, float64(i)*15), append(a, .015)
	}
	near(t, "last node", solve(t, chain(24, .072, p, a, nil)).Volts[20], 20.598, 6e-4)
}

func TestFedAtBothEnds(t *testing.T) {
	for _, c := range []struct {
		right, leftAmps, rightAmps float64
		want                       []float64
		worst                      int
	}{
		{24, .1120, .1080, []float64{23.8387, 23.6026, 23.3974, 23.4125, 23.5334}, 3},
		{23.8, .12126, .09874, []float64{23.8254, 23.5626, 23.3240, 23.2925, 23.3734}, 4},
	} {
		nodes := chain(24, .072, []float64{20, 60, 110, 180, 240}, amps, nil)
		nodes = append(nodes, Node{Parent: 5, Ohm: .072 * 60, Supply: c.right})
		r := solve(t, nodes)
		for i, want := range c.want {
			near(t, fmt.Sprintf("node %d", i+1), r.Volts[i+1], want, 6e-5)
		}
		near(t, "left supply", r.Supplied[0], c.leftAmps, 6e-6)
		near(t, "right supply", r.Supplied[6], c.rightAmps, 6e-6)
		if r.Worst != c.worst {
			t.Errorf("worst node %d, want %d", r.Worst, c.worst)
		}
	}
}

// tree draws a random line: chain or tree, loads of both kinds, one or more supplies.
func tree(t *rapid.T) []Node {
	nodes := []Node{{Parent: -1, Supply: 24}}
	for i := range rapid.IntRange(1, 40).Draw(t, "nodes") {
		n := Node{Parent: rapid.IntRange(0, i).Draw(t, "parent"), Ohm: rapid.Float64Range(.01, 3).Draw(t, "ohm"),
			Amps: rapid.Float64Range(0, .02).Draw(t, "amps")}
		if rapid.IntRange(0, 9).Draw(t, "supply") == 0 {
			n.Supply = rapid.Float64Range(23, 25).Draw(t, "volts")
		}
		if rapid.Bool().Draw(t, "power") {
			n.Watts = rapid.Float64Range(0, .2).Draw(t, "watts")
		}
		nodes = append(nodes, n)
	}
	return nodes
}

func TestKirchhoffHoldsAtEveryNode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := tree(t)
		r, err := Solve(nodes)
		if err != nil {
			t.Skip(err)
		}
		sum := make([]float64, len(nodes))
		for i, n := range nodes {
			sum[i] += r.Amps[i] - n.Amps - n.Watts/r.Volts[i] + r.Supplied[i]
			if i > 0 {
				sum[n.Parent] -= r.Amps[i]
			}
		}
		for i, s := range sum {
			if math.Abs(s) > 1e-7 {
				t.Fatalf("node %d: currents add up to %g A", i, s)
			}
		}
	})
}

func TestMoreLoadNeverRaisesAVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := tree(t)
		before, err := Solve(nodes)
		if err != nil {
			t.Skip(err)
		}
		k := rapid.IntRange(0, len(nodes)-1).Draw(t, "where")
		nodes[k].Amps += .01
		after, err := Solve(nodes)
		if errors.Is(err, ErrCollapse) {
			return
		}
		for i := range nodes {
			if after.Volts[i] > before.Volts[i]+1e-7 {
				t.Fatalf("node %d rose from %g to %g V when node %d took more", i, before.Volts[i], after.Volts[i], k)
			}
		}
	})
}

func TestBadInputIsRefused(t *testing.T) {
	head := Node{Parent: -1, Supply: 24}
	for name, nodes := range map[string][]Node{
		"empty":            nil,
		"no supply":        {{Parent: -1}},
		"parent ahead":     {head, {Parent: 1, Ohm: 1}},
		"no cable":         {head, {Parent: 0}},
		"negative load":    {head, {Parent: 0, Ohm: 1, Amps: -1}},
		"not a number":     {head, {Parent: 0, Ohm: math.NaN()}},
		"infinite power":   {head, {Parent: 0, Ohm: 1, Watts: math.Inf(1)}},
		"negative supply":  {{Parent: -1, Supply: -24}},
		"root with parent": {{Parent: 0, Supply: 24}},
	} {
		if _, err := Solve(nodes); err == nil || errors.Is(err, ErrCollapse) {
			t.Errorf("%s: got %v, want a refusal", name, err)
		}
	}
}

func BenchmarkSolveChain200(b *testing.B) {
	nodes := chain200()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(nodes); err != nil {
			b.Fatal(err)
		}
	}
}
