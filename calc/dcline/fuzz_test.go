package dcline

import (
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"testing"
)

// decode makes nodes of any bytes: 33 a node, so that every bit pattern of every figure occurs.
func decode(data []byte) []Node {
	var nodes []Node
	for len(data) >= 33 && len(nodes) < 300 {
		f := func(k int) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(data[1+8*k:])) }
		nodes = append(nodes, Node{Parent: int(int8(data[0])), Ohm: f(0), Amps: f(1), Watts: f(2), Supply: f(3)})
		data = data[33:]
	}
	return nodes
}

func encode(nodes []Node) []byte {
	var data []byte
	for _, n := range nodes {
		data = append(data, byte(n.Parent))
		for _, x := range []float64{n.Ohm, n.Amps, n.Watts, n.Supply} {
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(x))
		}
	}
	return data
}

// FuzzSolve: whatever the nodes are, the answer is an error that says where and what was expected, a collapse, or numbers.
func FuzzSolve(f *testing.F) {
	head := Node{Parent: -1, Supply: 24}
	for _, nodes := range [][]Node{
		chain(24, .072, places, amps, watts),
		{head, {Parent: 2, Ohm: 1}, {Parent: 1, Ohm: 1}}, // a cycle
		{head, {Parent: 1, Ohm: 1}},                      // on itself
		{head, {Parent: 0, Ohm: 0}},                      // zero length
		{head, {Parent: 0, Ohm: 1, Watts: -4}},           // negative power
		{head, {Parent: 0, Ohm: .072 * 50_000, Watts: 4}},
		{head, {Parent: 0, Ohm: 1e-9, Amps: 1e6}, {Parent: 1, Ohm: 1e9, Watts: 1e9}},
		{{Parent: -1}, {Parent: 0, Ohm: 5e-324, Supply: 24}},
		{head, {Parent: 0, Ohm: math.NaN()}},
		{{Parent: -1, Supply: 1e-3}, {Parent: 0, Ohm: 1, Supply: 1e6}},
	} {
		f.Add(encode(nodes))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		nodes := decode(data)
		r, err := Solve(nodes)
		switch {
		case errors.Is(err, ErrCollapse):
		case err != nil:
			if !strings.Contains(err.Error(), "node") || !strings.Contains(err.Error(), "expected") && len(nodes) > 0 {
				t.Fatalf("%v names no node or no range", err)
			}
		default:
			for i, v := range r.Volts {
				if !(v > 0 && v <= highest(nodes)*(1+1e-9)) || math.IsNaN(r.Amps[i]) || math.IsInf(r.Amps[i], 0) || math.IsNaN(r.Supplied[i]) || math.IsInf(r.Supplied[i], 0) {
					t.Fatalf("node %d: %g V, %g A, supplied %g A", i, v, r.Amps[i], r.Supplied[i])
				}
			}
		}
	})
}
