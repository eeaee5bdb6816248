package dcline

import (
	"errors"
	"fmt"
	"strings"
)

// Model writes the search of Place as a mixed-integer program in LP format, for general-purpose solvers. It is exact for
// constant currents: the laws of Kirchhoff are linear, a binary variable for each tap and kind says whether a supply of that
// kind stands there, which holds the voltage of its node and bounds what flows in. The objective counts each supply as
// weight and adds the prices, so that with a weight above all prices together it first asks for the fewest. It is an error
// to ask about loads of constant power, which are not linear.
func (t *Task) Model(weight int64) (string, error) {
	if err := t.validate(); err != nil {
		return "", err
	}
	for i, n := range t.Nodes {
		if n.Watts > 0 {
			return "", fmt.Errorf("node %d has a load of constant power: expected constant currents only", i)
		}
	}
	var rows, bounds, names strings.Builder
	var cost []string
	flow := make([]string, len(t.Nodes)) // by node: what flows out of it, less what flows in
	for i, n := range t.Nodes {
		if i == 0 {
			continue
		}
		fmt.Fprintf(&rows, " piece%d: %.15g f%d - v%d + v%d = 0\n", i, n.Ohm, i, n.Parent, i)
		fmt.Fprintf(&bounds, " f%d free\n", i)
		flow[i] += fmt.Sprintf(" - f%d", i)
		flow[n.Parent] += fmt.Sprintf(" + f%d", i)
	}
	for i, n := range t.Nodes {
		if n.Supply > 0 {
			flow[i] += fmt.Sprintf(" - s%d", i)
			fmt.Fprintf(&bounds, " v%d = %.15g\n", i, t.Volts)
			if t.Limit[i] > 0 {
				fmt.Fprintf(&bounds, " s%d <= %.15g\n", i, t.Limit[i]/t.Margin)
			}
			continue
		}
		fmt.Fprintf(&bounds, " %.15g <= v%d <= %.15g\n", t.Least[i], i, t.Volts)
	}
	for _, tap := range t.Taps {
		if t.Nodes[tap].Supply > 0 {
			continue
		}
		hold, size, one := fmt.Sprintf(" v%d", tap), fmt.Sprintf(" %.15g s%d", t.Margin, tap), ""
		for k, kind := range t.Kinds {
			y := fmt.Sprintf("y%d_%d", tap, k)
			cost = append(cost, fmt.Sprintf("%d %s", weight+kind.Price, y))
			hold += fmt.Sprintf(" - %.15g %s", t.Volts, y)
			size += fmt.Sprintf(" - %.15g %s", kind.Amps, y)
			one += " + " + y
			names.WriteString(" " + y + "\n")
		}
		flow[tap] += fmt.Sprintf(" - s%d", tap)
		fmt.Fprintf(&rows, " hold%d:%s >= 0\n size%d:%s <= 0\n one%d:%s <= 1\n", tap, hold, tap, size, tap, one)
	}
	if len(cost) == 0 {
		return "", errors.New("no tap where a supply may be put: expected at least one")
	}
	for i, f := range flow {
		fmt.Fprintf(&rows, " node%d:%s = %.15g\n", i, f, -t.Nodes[i].Amps)
	}
	return "Minimize\n cost: " + strings.Join(cost, "\n + ") + "\nSubject To\n" + rows.String() + "Bounds\n" + bounds.String() + "Binaries\n" + names.String() + "End\n", nil
}
