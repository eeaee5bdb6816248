// Package dcline computes the voltages along an extra-low-voltage line that feeds its modules: a daisy chain, or a tree
// (which a serial bus does not allow, but which must still be computed to be judged), with constant-current and
// constant-power loads and one or several supplies.
//
// A line goes in as nodes, each hanging on an earlier one by a piece of cable; the voltage and the current at every
// node come out. Both conductors count: resistances are loop resistances. One round is an exact elimination from the
// leaves to the root and back, linear in the number of nodes. Constant-power loads take I = P/V, which each round replaces
// by its tangent (Newton's method), until no voltage moves by more than a nanovolt. Their current is convex in the voltage
// and the conductance matrix has no positive entry beside its diagonal; started at the highest supply voltage everywhere,
// the rounds therefore fall monotonically to the higher of the two solutions, at which a line stands, and stay above it.
// At such a voltage every pivot is positive where a solution exists; a pivot or a voltage that is not shows that none
// does. The line then collapses, which is an answer and never a number.
//
// The package knows nothing of houses or catalogues. Conservative: none of the loads drops out at low voltage.
//
// Sources: Kirchhoff's laws; conductor resistances at 20 °C after IEC 60228; temperature coefficient of copper
// 0.00393 1/K (IEC 60228, IEC 60028).
package dcline

import (
	"errors"
	"fmt"
	"math"
)

// Node is one place on the line where a module taps it.
type Node struct {
	Parent int     // index of the node that the cable comes from; -1 for the first node, which has no cable
	Ohm    float64 // loop resistance of the cable from Parent, Ω
	Amps   float64 // constant-current load, A
	Watts  float64 // constant-power load, W
	Supply float64 // voltage held by a supply at this node, V; 0 for none
}

// Result is the state of a line.
type Result struct {
	Volts    []float64 // voltage at each node, V
	Amps     []float64 // current in the cable from the parent towards the node, A
	Supplied []float64 // current that the supply at each node gives, A; 0 where there is none
	Rounds   int       // rounds that the constant-power loads needed
	Worst    int       // node with the lowest voltage
}

// ErrCollapse says that no steady state exists: the loads ask for more power than the cable can pass.
var ErrCollapse = errors.New("the line collapses: its loads ask for more power than the cable can pass")

const (
	settled   = 1e-9 // V, largest movement in the last round
	roundsMax = 100
	nodesMax  = 100_000
)

// The ranges of the figures of a node: far beyond any line, and near enough for every result to be a number.
const (
	ohmLeast, ohmMost     = 1e-9, 1e9
	ampsMost, wattsMost   = 1e6, 1e9
	voltsLeast, voltsMost = 1e-3, 1e6
)

// Solve computes the line. Errors say which node is wrong and what was expected; ErrCollapse is the answer for a line
// that cannot stand.
func Solve(nodes []Node) (Result, error) {
	if err := validate(nodes); err != nil {
		return Result{}, err
	}
	start := highest(nodes)
	v := make([]float64, len(nodes))
	for i := range v {
		v[i] = start
	}
	next := make([]float64, len(nodes))
	work := make([]elimination, len(nodes))
	for round := 1; round <= roundsMax; round++ {
		if !sweep(nodes, v, next, work) {
			return Result{}, ErrCollapse
		}
		moved := 0.0
		for i := range v {
			if !(next[i] > 0) {
				return Result{}, ErrCollapse
			}
			moved = math.Max(moved, math.Abs(next[i]-v[i]))
		}
		v, next = next, v
		if moved < settled {
			return collect(nodes, v, round), nil
		}
	}
	return Result{}, ErrCollapse
}

// highest is the highest supply voltage of a line, V.
func highest(nodes []Node) float64 {
	volts := 0.0
	for _, n := range nodes {
		volts = math.Max(volts, n.Supply)
	}
	return volts
}

// sound tells whether nodes are a tree of cables: how they hang together and what lies between them.
func sound(nodes []Node) error {
	if len(nodes) == 0 || len(nodes) > nodesMax {
		return fmt.Errorf("a line has 1 to %d nodes, not %d", nodesMax, len(nodes))
	}
	for i, n := range nodes {
		switch {
		case i == 0 && n.Parent != -1:
			return errors.New("node 0 is the first of the line and has no parent: expected -1")
		case i > 0 && (n.Parent < 0 || n.Parent >= i):
			return fmt.Errorf("node %d hangs on node %d: expected an earlier node (0 to %d), since a line has no cycle", i, n.Parent, i-1)
		case i > 0 && !(n.Ohm >= ohmLeast && n.Ohm <= ohmMost):
			return fmt.Errorf("node %d has a cable of %v Ω: expected %g to %g Ω", i, n.Ohm, ohmLeast, ohmMost)
		}
	}
	return nil
}

func validate(nodes []Node) error {
	if err := sound(nodes); err != nil {
		return err
	}
	fed := false
	for i, n := range nodes {
		switch {
		case !(n.Amps >= 0 && n.Amps <= ampsMost):
			return fmt.Errorf("node %d has a load of %v A: expected 0 to %g A", i, n.Amps, ampsMost)
		case !(n.Watts >= 0 && n.Watts <= wattsMost):
			return fmt.Errorf("node %d has a load of %v W: expected 0 to %g W", i, n.Watts, wattsMost)
		case n.Supply != 0 && !(n.Supply >= voltsLeast && n.Supply <= voltsMost):
			return fmt.Errorf("node %d has a supply of %v V: expected 0 (none) or %g to %g V", i, n.Supply, voltsLeast, voltsMost)
		}
		fed = fed || n.Supply > 0
	}
	if !fed {
		return errors.New("no node has a supply: expected at least one")
	}
	return nil
}

// elimination is what is left of a node when its subtree has been eliminated: with the conductance g of its own cable,
// (g + h)·V(node) − g·V(parent) = b. Keeping h apart from g loses no digits where a cable is very short.
type elimination struct{ h, b float64 }

// sweep solves the network into next, each constant-power load replaced by its tangent at the voltages v: the current
// P/v − P/v²·(V − v). Leaves first, then root first. False where a pivot is not positive: the line collapses.
func sweep(nodes []Node, v, next []float64, work []elimination) bool {
	for i, n := range nodes {
		slope := n.Watts / v[i] / v[i]
		work[i] = elimination{h: -slope, b: -(n.Amps + 2*n.Watts/v[i])}
	}
	for i := len(nodes) - 1; i > 0; i-- {
		n, p, w := nodes[i], &work[nodes[i].Parent], work[i]
		g := 1 / n.Ohm
		if n.Supply > 0 {
			p.h += g
			p.b += g * n.Supply
			continue
		}
		pivot := g + w.h
		if !(pivot > 0) {
			return false
		}
		p.h += g * (w.h / pivot)
		p.b += g * (w.b / pivot)
	}
	for i, n := range nodes {
		switch {
		case n.Supply > 0:
			next[i] = n.Supply
		case i == 0:
			if !(work[i].h > 0) {
				return false
			}
			next[i] = work[i].b / work[i].h
		default:
			next[i] = (work[i].b + next[n.Parent]/n.Ohm) / (1/n.Ohm + work[i].h)
		}
	}
	return true
}

func collect(nodes []Node, v []float64, rounds int) Result {
	r := Result{Volts: v, Amps: make([]float64, len(nodes)), Supplied: make([]float64, len(nodes)), Rounds: rounds}
	out := make([]float64, len(nodes))
	for i, n := range nodes {
		out[i] += n.Amps + n.Watts/v[i]
		if i > 0 {
			r.Amps[i] = (v[n.Parent] - v[i]) / n.Ohm
			out[i] -= r.Amps[i]
			out[n.Parent] += r.Amps[i]
		}
		if v[i] < v[r.Worst] {
			r.Worst = i
		}
	}
	for i, n := range nodes {
		if n.Supply > 0 {
			r.Supplied[i] = out[i]
		}
	}
	return r
}
