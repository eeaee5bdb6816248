// Package dcline computes the voltages along an extra-low-voltage line that feeds its modules: a daisy chain, or a tree
// (which a serial bus does not allow, but which must still be computed to be judged), with constant-current and
// constant-power loads and one or several supplies.
//
// A line goes in as nodes, each hanging on an earlier one by a piece of cable; the voltage and the current at every
// node come out. Both conductors count: resistances are loop resistances. One round is an exact elimination from the
// leaves to the root and back, linear in the number of nodes; constant-power loads are taken as I = P/V and the rounds
// repeated until no voltage moves by more than a nanovolt. Starting at the supply voltage everywhere the rounds fall
// monotonically, so the higher of the two solutions of each load is the one found; where no solution exists the line
// collapses, which is an answer and never a number.
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
	roundsMax = 500
	nodesMax  = 100_000
)

// Solve computes the line. Errors say which node is wrong and what was expected; ErrCollapse is the answer for a line
// that cannot stand.
func Solve(nodes []Node) (Result, error) {
	if err := validate(nodes); err != nil {
		return Result{}, err
	}
	start := 0.0
	for _, n := range nodes {
		start = math.Max(start, n.Supply)
	}
	v := make([]float64, len(nodes))
	for i := range v {
		v[i] = start
	}
	next := make([]float64, len(nodes))
	work := make([]elimination, len(nodes))
	for round := 1; round <= roundsMax; round++ {
		sweep(nodes, v, next, work)
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

func validate(nodes []Node) error {
	if len(nodes) == 0 || len(nodes) > nodesMax {
		return fmt.Errorf("a line has 1 to %d nodes, not %d", nodesMax, len(nodes))
	}
	fed := false
	for i, n := range nodes {
		switch {
		case i == 0 && n.Parent != -1:
			return errors.New("node 0 is the first of the line and has no parent: expected -1")
		case i > 0 && (n.Parent < 0 || n.Parent >= i):
			return fmt.Errorf("node %d hangs on node %d: expected an earlier node (0 to %d)", i, n.Parent, i-1)
		case i > 0 && !(n.Ohm > 0 && n.Ohm < 1e9):
			return fmt.Errorf("node %d has a cable of %v Ω: expected more than 0", i, n.Ohm)
		case !(n.Amps >= 0 && n.Amps < 1e6) || !(n.Watts >= 0 && n.Watts < 1e9):
			return fmt.Errorf("node %d has a load of %v A and %v W: expected 0 or more", i, n.Amps, n.Watts)
		case !(n.Supply >= 0 && n.Supply < 1e6):
			return fmt.Errorf("node %d has a supply of %v V: expected 0 (none) or more", i, n.Supply)
		}
		fed = fed || n.Supply > 0
	}
	if !fed {
		return errors.New("no node has a supply: expected at least one")
	}
	return nil
}

// elimination is what is left of a node when its subtree has been eliminated: g·V(node) − g_parent·V(parent) = b.
type elimination struct{ g, b float64 }

// sweep solves the resistive network with the loads at the voltages v into next: leaves first, then root first.
func sweep(nodes []Node, v, next []float64, work []elimination) {
	for i, n := range nodes {
		work[i] = elimination{b: -(n.Amps + n.Watts/v[i])}
		if i > 0 {
			work[i].g = 1 / n.Ohm
		}
	}
	for i := len(nodes) - 1; i > 0; i-- {
		n, p := nodes[i], &work[nodes[i].Parent]
		g := 1 / n.Ohm
		p.g += g
		if n.Supply > 0 {
			p.b += g * n.Supply
			continue
		}
		// The node's own equation is work.g·V = b + g·V(parent); put V into the parent's.
		p.g -= g * g / work[i].g
		p.b += g * work[i].b / work[i].g
	}
	for i, n := range nodes {
		switch {
		case n.Supply > 0:
			next[i] = n.Supply
		case i == 0:
			next[i] = work[i].b / work[i].g
		default:
			next[i] = (work[i].b + next[n.Parent]/n.Ohm) / work[i].g
		}
	}
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

// AtTemperature converts a resistance at 20 °C to another conductor temperature in °C (copper, 0.00393 1/K).
func AtTemperature(ohm20, celsius float64) float64 { return ohm20 * (1 + 0.00393*(celsius-20)) }
