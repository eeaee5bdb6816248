package circuit

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// brute tries every assignment.
func brute(b Balance) int64 {
	best := int64(math.MaxInt64)
	var visit func(i int, sums [3]int64)
	visit = func(i int, sums [3]int64) {
		if i == len(b.Loads) {
			best = min(best, spreadOf(sums))
			return
		}
		for k := range 3 {
			next := sums
			next[k] += b.Loads[i]
			visit(i+1, next)
		}
	}
	visit(0, b.Base)
	return best
}

func balances(t *rapid.T, most int) Balance {
	b := Balance{Loads: rapid.SliceOfN(rapid.Int64Range(0, 320), 0, most).Draw(t, "loads")}
	for k := range b.Base {
		b.Base[k] = rapid.Int64Range(0, 300).Draw(t, "base")
	}
	return b
}

// whole holds what an assignment says of itself against its lines.
func whole(t interface{ Fatalf(string, ...any) }, b Balance, a Assignment) {
	sums := b.Base
	for i, line := range a.Line {
		if line < 1 || line > 3 {
			t.Fatalf("load %d is on line %d", i, line)
			return
		}
		sums[line-1] += b.Loads[i]
	}
	if sums != a.Sums || spreadOf(sums) != a.Spread || a.Bound > a.Spread {
		t.Fatalf("%+v says %+v; its sums are %v", b, a, sums)
	}
}

func TestBalanceAgainstEveryAssignment(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := balances(t, 8)
		a, err := b.Solve(1_000_000)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, b, a)
		if want := brute(b); a.Spread != want || !a.Proved() {
			t.Fatalf("%+v: spread %d (bound %d), the best is %d", b, a.Spread, a.Bound, want)
		}
	})
}

// Loads of few sizes, as a house of alike rooms has them: equal ones are tried in one order only, and still nothing is missed.
func TestBalanceOfAlikeLoads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sizes := rapid.SliceOfN(rapid.Int64Range(0, 9), 1, 3).Draw(t, "sizes")
		b := Balance{Loads: rapid.SliceOfN(rapid.SampledFrom(sizes), 0, 9).Draw(t, "loads")}
		for k := range b.Base {
			b.Base[k] = rapid.Int64Range(0, 6).Draw(t, "base")
		}
		a, err := b.Solve(1_000_000)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, b, a)
		if want := brute(b); a.Spread != want || !a.Proved() {
			t.Fatalf("%+v: spread %d (bound %d), the best is %d", b, a.Spread, a.Bound, want)
		}
	})
	for n := 1; n <= 200; n++ {
		b := Balance{Loads: make([]int64, n)}
		for i := range b.Loads {
			b.Loads[i] = 130
		}
		want := int64(0)
		if n%3 > 0 {
			want = 130
		}
		if a, err := b.Solve(1000); err != nil || a.Spread != want || !a.Proved() {
			t.Fatalf("%d circuits of 13 A: %+v %v", n, a, err)
		}
	}
}

// A budget of any size gives a whole assignment, with a bound that holds.
func TestBalanceWithinABudget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := balances(t, 8)
		a, err := b.Solve(rapid.IntRange(0, 40).Draw(t, "budget"))
		if err != nil {
			t.Fatal(err)
		}
		whole(t, b, a)
		if want := brute(b); a.Spread < want || a.Bound > want {
			t.Fatalf("%+v: spread %d, bound %d, the best is %d", b, a.Spread, a.Bound, want)
		}
	})
}

func TestBalanceRefuses(t *testing.T) {
	for _, b := range []Balance{{Loads: []int64{-1}}, {Base: [3]int64{0, -1, 0}}, {Loads: []int64{math.MaxInt64}}, {Loads: make([]int64, loadsMost+1)}} {
		if _, err := b.Solve(10); err == nil {
			t.Errorf("%d loads were taken", len(b.Loads))
		}
	}
	if a, err := (Balance{}).Solve(10); err != nil || a.Spread != 0 || len(a.Line) != 0 {
		t.Errorf("nothing to spread: %+v %v", a, err)
	}
}

// house draws loads of final circuits in 0.1 A, by a fixed sequence.
func house(n int, seed int64) Balance {
	b := Balance{Loads: make([]int64, n)}
	for i := range b.Loads {
		seed = (seed*1103515245 + 12345) & 0x7fffffff
		b.Loads[i] = 2 + seed>>8%158
	}
	return b
}

// Houses of 6 to 60 circuits are solved to the proved optimum within the budget that the checks give.
func TestHousesAreBalancedExactly(t *testing.T) {
	for n := 6; n <= 60; n += 3 {
		for seed := range int64(5) {
			b := house(n, seed+1)
			a, err := b.Solve(2_000_000)
			if err != nil {
				t.Fatal(err)
			}
			whole(t, b, a)
			if !a.Proved() {
				t.Errorf("%d circuits, seed %d: spread %d, bound %d after %d steps", n, seed, a.Spread, a.Bound, a.Nodes)
			}
		}
	}
}

// The exported problem, solved by glpsol and by cbc, has the same optimum. Both are general-purpose mixed-integer solvers.
func TestBalanceAgainstSolvers(t *testing.T) {
	solvers := map[string]func(lp, out string) *exec.Cmd{
		"glpsol": func(lp, out string) *exec.Cmd {
			return exec.Command("glpsol", "--lp", lp, "-o", out, "--tmlim", "20", "--cuts")
		},
		"cbc": func(lp, out string) *exec.Cmd {
			return exec.Command("cbc", lp, "sec", "20", "ratio", "0", "allow", "0", "solve", "solution", out)
		},
	}
	objective := map[string]*regexp.Regexp{"glpsol": regexp.MustCompile(`Objective:\s+spread = ([-0-9.e+]+)`), "cbc": regexp.MustCompile(`Optimal - objective value ([-0-9.e+]+)`)}
	for name, command := range solvers {
		t.Run(name, func(t *testing.T) {
			if _, err := exec.LookPath(name); err != nil {
				t.Skipf("%s is not installed", name)
			}
			for k, n := range []int{3, 5, 6, 7, 8, 9} {
				b := house(n, int64(n))
				b.Base = [3]int64{int64(10 * k), 0, 5}
				dir := t.TempDir()
				lp, out := filepath.Join(dir, "b.lp"), filepath.Join(dir, "b.sol")
				if err := os.WriteFile(lp, []byte(b.Export()), 0o600); err != nil {
					t.Fatal(err)
				}
				if text, err := command(lp, out).CombinedOutput(); err != nil {
					t.Fatalf("%v: %s", err, text)
				}
				text, err := os.ReadFile(out)
				if err != nil {
					t.Fatal(err)
				}
				m := objective[name].FindSubmatch(text)
				if m == nil {
					t.Fatalf("no objective in %s", text)
				}
				theirs, err := strconv.ParseFloat(string(m[1]), 64)
				if err != nil {
					t.Fatal(err)
				}
				ours, err := b.Solve(1_000_000)
				if err != nil {
					t.Fatal(err)
				}
				near(t, fmt.Sprint(n, " loads"), float64(ours.Spread), theirs, 1e-6)
			}
		})
	}
}

func benchmarkBalance(b *testing.B, n int) {
	problem := house(n, 7)
	nodes := 0
	for b.Loop() {
		a, err := problem.Solve(2_000_000)
		if err != nil {
			b.Fatal(err)
		}
		nodes = a.Nodes
	}
	b.ReportMetric(float64(nodes), "steps")
}

func BenchmarkBalance12(b *testing.B) { benchmarkBalance(b, 12) }
func BenchmarkBalance30(b *testing.B) { benchmarkBalance(b, 30) }
func BenchmarkBalance60(b *testing.B) { benchmarkBalance(b, 60) }
