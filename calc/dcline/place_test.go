package dcline

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// task draws a line that wants for voltage: fed at its first node with a supply of some limit, loads of constant current and,
// where power is true, of constant power too; taps at up to most nodes.
func task(t *rapid.T, most int, power bool) Task {
	count := rapid.IntRange(2, most+1).Draw(t, "nodes")
	star := rapid.Bool().Draw(t, "star")
	k := Task{Volts: 24, Margin: 1.3, Most: most, Solves: 1 << 20, Kinds: []Kind{{"small", .4, 70}, {"middle", .8, 100}, {"large", 2, 190}}}
	for i := range count {
		n := Node{Parent: i - 1, Ohm: rapid.Float64Range(20/float64(count), 100/float64(count)).Draw(t, "ohm"), Amps: rapid.Float64Range(.3/float64(count), 1.5/float64(count)).Draw(t, "amps")}
		if i == 0 {
			n.Ohm, n.Supply = 0, 24
		} else if star {
			n.Parent = rapid.IntRange(0, i-1).Draw(t, "parent")
		}
		if power && rapid.Bool().Draw(t, "power") {
			n.Amps, n.Watts = 0, n.Amps*24
		}
		k.Nodes = append(k.Nodes, n)
		k.Least = append(k.Least, rapid.SampledFrom([]float64{20, 18, 21.6, 0}).Draw(t, "least"))
		k.Limit = append(k.Limit, 0)
		if i > 0 {
			k.Taps = append(k.Taps, i)
		}
	}
	k.Limit[0] = rapid.SampledFrom([]float64{0, .6, 1.2}).Draw(t, "limit")
	return k
}

// brute looks at every set of taps, by the same judge and without any pruning: fewest, cheapest, most to spare.
func brute(k Task) (found bool, number int, price int64, spare float64) {
	for set := range 1 << len(k.Taps) {
		nodes := append([]Node(nil), k.Nodes...)
		n := 0
		for i, tap := range k.Taps {
			if set>>i&1 == 1 {
				nodes[tap].Supply = k.Volts
				n++
			}
		}
		r, err := Solve(nodes)
		if err != nil {
			continue
		}
		cost, left, good := int64(0), math.Inf(1), true
		for i, v := range r.Volts {
			if k.Least[i] > 0 {
				left = min(left, v-k.Least[i])
			}
			if k.Limit[i] > 0 && r.Supplied[i]*k.Margin > k.Limit[i]*(1+1e-9) {
				good = false
			}
		}
		for i, tap := range k.Taps {
			if set>>i&1 == 0 {
				continue
			}
			cheapest := int64(-1)
			for _, kind := range k.Kinds {
				if r.Supplied[tap]*k.Margin <= kind.Amps*(1+1e-9) && (cheapest < 0 || kind.Price < cheapest) {
					cheapest = kind.Price
				}
			}
			good = good && cheapest >= 0
			cost += cheapest
		}
		if !good || left < -1e-9 {
			continue
		}
		if !found || n < number || n == number && (cost < price || cost == price && left > spare) {
			found, number, price, spare = true, n, cost, left
		}
	}
	return found, number, price, spare
}

// Against every set of up to 12 taps, one by one; constant current and constant power, chains and trees.
func TestPlacementAgainstEverySet(t *testing.T) {
	counts := map[int]int{}
	rapid.Check(t, func(t *rapid.T) {
		k := task(t, rapid.IntRange(6, 12).Draw(t, "most"), true)
		got, err := Place(k)
		if err != nil {
			t.Fatal(err)
		}
		found, number, price, spare := brute(k)
		if got.Found != found || found && (len(got.Sites) != number || got.Price != price || math.Abs(got.Spare-spare) > 1e-6 && !math.IsInf(spare, 1)) {
			t.Fatalf("found %v, %d supplies for %d with %g V to spare (%s); every set tried: %v, %d for %d with %g V", got.Found, len(got.Sites), got.Price, got.Spare, got.Why, found, number, price, spare)
		}
		if found && (got.Why != Optimal || got.Bound != number) || !found && got.Why != Impossible {
			t.Fatalf("why %q, bound %d of %d", got.Why, got.Bound, number)
		}
		if !found {
			number = -1
		}
		counts[number]++
	})
	t.Logf("lines by supplies added, -1 for none that mends: %v", counts)
}

// What the pruning rests on: one more supply of the highest voltage never lowers a voltage, never raises what another gives,
// and a line that stands still stands.
func TestOneMoreSupplyNeverHarms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := wide(t, 40, rapid.Bool().Draw(t, "star"))
		for i := range nodes {
			if nodes[i].Supply > 0 {
				nodes[i].Supply = 24
			}
		}
		before, err := Solve(nodes)
		if err != nil {
			return
		}
		k := rapid.IntRange(0, len(nodes)-1).Draw(t, "where")
		more := append([]Node(nil), nodes...)
		more[k].Supply = 24
		after, err := Solve(more)
		if err != nil {
			t.Fatalf("with one more supply at %d: %v", k, err)
		}
		for i := range nodes {
			if after.Volts[i] < before.Volts[i]-1e-7 {
				t.Fatalf("node %d fell from %g to %g V", i, before.Volts[i], after.Volts[i])
			}
			if nodes[i].Supply > 0 && after.Supplied[i] > before.Supplied[i]+1e-6 {
				t.Fatalf("the supply at %d gives %g A instead of %g A", i, after.Supplied[i], before.Supplied[i])
			}
		}
	})
}

// optimum answers a model with glpsol or cbc; infeasible where it has no answer.
func optimum(t *rapid.T, dir, solver, model string) (value float64, feasible bool) {
	lp, out := filepath.Join(dir, "model.lp"), filepath.Join(dir, "answer.txt")
	if err := os.WriteFile(lp, []byte(model), 0o600); err != nil {
		t.Fatal(err)
	}
	args, pattern := []string{"--lp", lp, "--tmlim", "60", "-o", out}, `Objective:\s+cost = ([0-9.e+-]+)`
	if solver == "cbc" {
		// Without preprocessing and cuts: version 2.10.8 calls some of these models infeasible whose solution can be written
		// down (its cut generators do; glpsol and the search agree on them).
		args, pattern = []string{lp, "sec", "60", "ratio", "0", "allow", "0", "preprocess", "off", "cuts", "off", "branch", "solution", out}, `Optimal - objective value ([0-9.e+-]+)`
	}
	msg, err := exec.Command(solver, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", solver, err, msg)
	}
	text, err := os.ReadFile(out)
	all := string(text) // cbc says it at the top of its answer, glpsol on its console
	if solver == "glpsol" {
		all += string(msg)
	}
	if strings.Contains(all, "NO PRIMAL FEASIBLE") || strings.Contains(all, "NO INTEGER FEASIBLE") || strings.Contains(all, "nfeasible") || strings.Contains(all, "INTEGER EMPTY") || strings.Contains(all, "INTEGER UNDEFINED") {
		return 0, false
	}
	if err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	m := regexp.MustCompile(pattern).FindStringSubmatch(string(text))
	if m == nil {
		t.Fatalf("%s found no optimum:\n%.400s\n%.400s", solver, text, msg)
	}
	if value, err = strconv.ParseFloat(m[1], 64); err != nil {
		t.Fatal(err)
	}
	return value, true
}

// Against general-purpose solvers (GLPK's glpsol, COIN-OR's cbc): lines of constant currents as mixed-integer programs.
func TestPlacementAgainstSolvers(t *testing.T) {
	const weight = 100_000
	for _, solver := range []string{"cbc", "glpsol"} {
		t.Run(solver, func(t *testing.T) {
			if _, err := exec.LookPath(solver); err != nil {
				t.Skipf("%s is not installed", solver)
			}
			dir := t.TempDir()
			counts := map[int]int{}
			rapid.Check(t, func(t *rapid.T) {
				k := task(t, 16, false)
				model, err := k.Model(weight)
				if err != nil {
					t.Fatal(err)
				}
				got, err := Place(k)
				if err != nil {
					t.Fatal(err)
				}
				value, feasible := optimum(t, dir, solver, model)
				want := float64(len(got.Sites))*weight + float64(got.Price)
				if got.Found != feasible || feasible && math.Abs(value-want) > .5 {
					t.Fatalf("found %v: %d supplies for %d (%s); %s: %v, %g", got.Found, len(got.Sites), got.Price, got.Why, solver, feasible, value)
				}
				if !feasible {
					counts[-1]++
				} else {
					counts[len(got.Sites)]++
				}
			})
			t.Logf("lines by supplies added, -1 for none that mends: %v", counts)
		})
	}
}

// A search that runs out says so, with an answer that mends where it found one and a bound that it proved.
func TestPlacementWithinABudget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := task(t, 12, true)
		whole, err := Place(k)
		if err != nil {
			t.Fatal(err)
		}
		k.Solves = rapid.IntRange(1, 30).Draw(t, "budget")
		got, err := Place(k)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case got.Solves > k.Solves:
			t.Fatalf("%d solves of %d", got.Solves, k.Solves)
		case got.Found && !whole.Found, got.Why == Impossible && whole.Found:
			t.Fatalf("with a budget: %v %s; without: %v", got.Found, got.Why, whole.Found)
		case whole.Found && (got.Bound > len(whole.Sites) || got.Found && len(got.Sites) < len(whole.Sites)):
			t.Fatalf("bound %d and %d supplies, but the smallest set has %d", got.Bound, len(got.Sites), len(whole.Sites))
		case got.Why == Optimal && got.Price != whole.Price:
			t.Fatalf("an optimum of %d that is %d", got.Price, whole.Price)
		}
	})
}

func TestPlacementOfFewerThanNeeded(t *testing.T) {
	k := Task{Volts: 24, Margin: 1, Most: 1, Solves: 10_000, Kinds: []Kind{{"any", 10, 1}}}
	k.Nodes = []Node{{Parent: -1, Supply: 24}}
	for i := range 9 {
		k.Nodes = append(k.Nodes, Node{Parent: i, Ohm: 10, Amps: .2})
		k.Taps = append(k.Taps, i+1)
	}
	k.Least, k.Limit = make([]float64, 10), make([]float64, 10)
	for i := range k.Least {
		k.Least[i] = 21
	}
	got, err := Place(k)
	if err != nil || got.Found || got.Why != TooMany || got.Bound != 2 {
		t.Errorf("%+v, %v: want more supplies than 1", got, err)
	}
	k.Most = 9
	if got, err = Place(k); err != nil || !got.Found || len(got.Sites) != 3 || got.Why != Optimal {
		t.Errorf("%d supplies (%s), %v: want 3, one for every two neighbours that would fall by 2 V on their own", len(got.Sites), got.Why, err)
	}
}

func TestBadTasksAreRefused(t *testing.T) {
	for name, edit := range map[string]func(*Task){
		"a cycle":          func(k *Task) { k.Nodes[1].Parent = 2 },
		"two voltages":     func(k *Task) { k.Nodes[0].Supply = 12 },
		"no voltage":       func(k *Task) { k.Volts = 0; k.Nodes[0].Supply = 0 },
		"short needs":      func(k *Task) { k.Least = nil },
		"not a number":     func(k *Task) { k.Least[1] = math.NaN() },
		"negative limit":   func(k *Task) { k.Limit[0] = -1 },
		"no such tap":      func(k *Task) { k.Taps[0] = 9 },
		"tap twice":        func(k *Task) { k.Taps = []int{1, 1} },
		"kind of nothing":  func(k *Task) { k.Kinds[0].Amps = 0 },
		"negative price":   func(k *Task) { k.Kinds[0].Price = -1 },
		"margin below one": func(k *Task) { k.Margin = .5 },
		"no budget":        func(k *Task) { k.Solves = 0 },
	} {
		k := Task{Volts: 24, Margin: 1, Most: 3, Solves: 10, Kinds: []Kind{{"any", 1, 1}}, Taps: []int{1},
			Nodes: chain(24, .1, []float64{10, 20}, []float64{.1, .1}, nil), Least: make([]float64, 3), Limit: make([]float64, 3)}
		if _, err := Place(k); err != nil {
			t.Fatalf("before the fault: %v", err)
		}
		edit(&k)
		if _, err := Place(k); err == nil {
			t.Errorf("%s: not refused", name)
		}
	}
	k := Task{Volts: 24, Margin: 1, Solves: 1, Nodes: chain(24, .1, []float64{10}, nil, []float64{1}), Least: make([]float64, 2), Limit: make([]float64, 2)}
	if _, err := k.Model(1); err == nil {
		t.Error("a load of constant power in a linear model")
	}
}

// BenchmarkPlace64 mends a line of 64 modules that needs three supplies.
func BenchmarkPlace64(b *testing.B) {
	k := Task{Volts: 24, Margin: 1.3, Most: 8, Solves: 1 << 20, Kinds: []Kind{{"small", .64, 98}, {"large", 2.5, 186}}}
	k.Nodes = []Node{{Parent: -1, Supply: 24}}
	for i := range 64 {
		k.Nodes = append(k.Nodes, Node{Parent: i, Ohm: .072 * 9, Watts: .55})
		k.Taps = append(k.Taps, i+1)
	}
	k.Least, k.Limit = make([]float64, 65), make([]float64, 65)
	for i := range k.Least {
		k.Least[i] = 22
	}
	var p Placement
	for b.Loop() {
		var err error
		if p, err = Place(k); err != nil {
			b.Fatal(err)
		}
	}
	if !p.Found || p.Why != Optimal {
		b.Fatalf("%v %s", p.Found, p.Why)
	}
	b.ReportMetric(float64(p.Solves), "solves/op")
	b.ReportMetric(float64(len(p.Sites)), "supplies")
}
