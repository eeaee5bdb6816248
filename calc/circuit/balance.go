package circuit

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Balance is what to spread over three lines: currents as whole numbers of one unit that the caller chooses (mA, 0.1 A).
type Balance struct {
	Base  [3]int64 // what is on each line already and stays there
	Loads []int64  // what may go on any line
}

// Assignment is how the loads lie on the lines.
type Assignment struct {
	Line   []int    // of each load: 1, 2 or 3
	Sums   [3]int64 // of each line, with its base
	Spread int64    // the greatest sum less the least
	Bound  int64    // no assignment has a smaller spread than this
	Nodes  int      // steps of the search
}

// Proved tells whether no assignment is better.
func (a Assignment) Proved() bool { return a.Spread == a.Bound }

// balanceMost bounds the numbers, so that sums stay exact; loadsMost bounds how many there are.
const (
	balanceMost = int64(1) << 40
	loadsMost   = 10_000
)

func (b Balance) check() error {
	if len(b.Loads) > loadsMost {
		return fmt.Errorf("%d loads: expected at most %d", len(b.Loads), loadsMost)
	}
	for i, n := range slices.Concat(b.Base[:], b.Loads) {
		if n < 0 || n > balanceMost {
			return fmt.Errorf("number %d is %d: expected 0 to %d", i, n, balanceMost)
		}
	}
	return nil
}

// balancer is a search for the least spread: depth first, the largest load first, on the emptiest line first. A branch ends
// where its bound is no better than the best found. Equal loads are tried in one order only: each on the line of the one
// before it or on a later one. Where a run of equal loads begins, of lines with equal sums only the first is tried: what
// another would give, it gives with the two names changed and the run put in order again.
type balancer struct {
	loads  []int64 // sorted, the largest first
	rest   []int64 // rest[i] is the sum of loads[i:]
	total  int64
	now    []int
	best   []int
	spread int64
	least  int64 // bound at the root
	step   int64 // every spread is a multiple of it
	nodes  int
	budget int
}

// Solve finds the assignment of least spread. It is exact where the search ends within budget steps; otherwise it is the
// best found, with a bound that says how much better one may be.
func (b Balance) Solve(budget int) (Assignment, error) {
	if err := b.check(); err != nil {
		return Assignment{}, err
	}
	order := make([]int, len(b.Loads))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return int(max(-1, min(1, b.Loads[j]-b.Loads[i])))
	})
	s := balancer{now: make([]int, len(order)), best: make([]int, len(order)), rest: make([]int64, len(order)+1), spread: math.MaxInt64, budget: budget}
	for _, i := range order {
		s.loads = append(s.loads, b.Loads[i])
	}
	for i := len(order) - 1; i >= 0; i-- {
		s.rest[i] = s.rest[i+1] + s.loads[i]
	}
	s.total = s.rest[0] + b.Base[0] + b.Base[1] + b.Base[2]
	s.step = stepOf(b)
	s.least = s.bound(b.Base, 0)
	s.greedy(b.Base)
	s.visit(b.Base, 0)
	a := Assignment{Line: make([]int, len(order)), Sums: b.Base, Spread: s.spread, Bound: s.spread, Nodes: s.nodes}
	if s.nodes >= s.budget {
		a.Bound = min(s.least, s.spread)
	}
	for k, i := range order {
		a.Line[i] = s.best[k] + 1
		a.Sums[s.best[k]] += b.Loads[i]
	}
	return a, nil
}

// stepOf is the greatest number that divides every load and every difference of the bases: all spreads are multiples of it.
func stepOf(b Balance) int64 {
	g := int64(0)
	for _, n := range append([]int64{b.Base[1] - b.Base[0], b.Base[2] - b.Base[0]}, b.Loads...) {
		n = max(n, -n)
		for n > 0 {
			g, n = n, g%n
		}
	}
	return max(1, g)
}

// greedy puts each load on the emptiest line: the first assignment, so that there is one whatever the budget.
func (s *balancer) greedy(sums [3]int64) {
	for i, n := range s.loads {
		line := emptiest(sums)
		s.best[i] = line
		sums[line] += n
	}
	s.spread = spreadOf(sums)
}

func emptiest(sums [3]int64) int {
	line := 0
	for k := 1; k < 3; k++ {
		if sums[k] < sums[line] {
			line = k
		}
	}
	return line
}

func spreadOf(s [3]int64) int64 { return max(s[0], s[1], s[2]) - min(s[0], s[1], s[2]) }

// bound is a spread that no completion of sums with the loads from i on goes below. The sums add up to the total; where one
// is above a third of it already, the least of the others is at most half of what is left; where one cannot reach a third
// even with all that is left, the greatest of the others is at least half of the remainder.
func (s *balancer) bound(sums [3]int64, i int) int64 {
	least := int64(0)
	if s.total%3 != 0 {
		least = 1
	}
	top, bottom := max(sums[0], sums[1], sums[2]), min(sums[0], sums[1], sums[2])
	if 3*top > s.total {
		least = max(least, top-(s.total-top)/2)
	}
	if reach := bottom + s.rest[i]; 3*reach < s.total {
		least = max(least, (s.total-reach+1)/2-reach)
	}
	return (least + s.step - 1) / s.step * s.step
}

func (s *balancer) visit(sums [3]int64, i int) {
	if s.spread <= s.least || s.nodes >= s.budget {
		return
	}
	s.nodes++
	if i == len(s.loads) {
		if d := spreadOf(sums); d < s.spread {
			s.spread = d
			copy(s.best, s.now)
		}
		return
	}
	if s.bound(sums, i) >= s.spread {
		return
	}
	lines := [3]int{0, 1, 2}
	slices.SortStableFunc(lines[:], func(a, b int) int { return int(max(-1, min(1, sums[a]-sums[b]))) })
	run := i > 0 && s.loads[i] == s.loads[i-1]
	for k, line := range lines {
		if (run && line < s.now[i-1]) || (!run && k > 0 && sums[line] == sums[lines[k-1]]) {
			continue
		}
		s.now[i] = line
		next := sums
		next[line] += s.loads[i]
		s.visit(next, i+1)
	}
}

// Export writes the problem for a mixed-integer solver, in CPLEX LP format: x_i_k is 1 where load i lies on line k, and the
// objective is the spread, between hi and lo.
func (b Balance) Export() string {
	var w strings.Builder
	w.WriteString("\\ spread of loads over three lines\nMinimize\n spread: hi - lo\nSubject To\n")
	for i := range b.Loads {
		fmt.Fprintf(&w, " once_%d: x_%d_1 + x_%d_2 + x_%d_3 = 1\n", i, i, i, i)
	}
	for k := 1; k <= 3; k++ {
		for _, side := range []struct{ name, op string }{{"hi", ">="}, {"lo", "<="}} {
			fmt.Fprintf(&w, " %s_%d: %s", side.name, k, side.name)
			for i, n := range b.Loads {
				if n > 0 {
					fmt.Fprintf(&w, " - %d x_%d_%d", n, i, k)
				}
			}
			fmt.Fprintf(&w, " %s %d\n", side.op, b.Base[k-1])
		}
	}
	w.WriteString("Bounds\n lo >= 0\n hi >= 0\nBinary\n")
	for i := range b.Loads {
		fmt.Fprintf(&w, " x_%d_1 x_%d_2 x_%d_3\n", i, i, i)
	}
	w.WriteString("End\n")
	return w.String()
}
