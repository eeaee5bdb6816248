package dcline

import (
	"fmt"
	"strings"
)

// Netlist writes a line for a general-purpose circuit simulator of the SPICE family: resistors, voltage sources, current
// sources and, for constant-power loads, behavioural current sources. Run in batch mode it prints the voltage of every
// node, "v(n0) = …". The starting values are those of Solve, so that of two solutions it finds the same.
func Netlist(title string, nodes []Node) (string, error) {
	if err := validate(nodes); err != nil {
		return "", err
	}
	start := highest(nodes)
	var b strings.Builder
	fmt.Fprintf(&b, "* %s\n.options reltol=1e-10 abstol=1e-15 vntol=1e-11 itl1=1000\n", strings.Join(strings.Fields(title), " "))
	for i, n := range nodes {
		if i > 0 {
			fmt.Fprintf(&b, "r%d n%d n%d %.17g\n", i, n.Parent, i, n.Ohm)
		}
		if n.Supply > 0 {
			fmt.Fprintf(&b, "v%d n%d 0 %.17g\n", i, i, n.Supply)
			continue // a source holds the node whatever is drawn there
		}
		if n.Amps > 0 {
			fmt.Fprintf(&b, "i%d n%d 0 %.17g\n", i, i, n.Amps)
		}
		if n.Watts > 0 {
			fmt.Fprintf(&b, "b%d n%d 0 i=%.17g/v(n%d)\n", i, i, n.Watts, i)
		}
		fmt.Fprintf(&b, ".nodeset v(n%d)=%.17g\n", i, start)
	}
	b.WriteString(".control\nset numdgt=15\nop\n")
	for i := range nodes {
		fmt.Fprintf(&b, "print v(n%d)\n", i)
	}
	b.WriteString("quit\n.endc\n.end\n")
	return b.String(), nil
}
