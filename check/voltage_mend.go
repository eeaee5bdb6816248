package check

import (
	"cmp"
	"fmt"
	"strings"

	"wirewright/catalogue"
	"wirewright/house"
)

// busCable is how the ids of the catalogue's bus cables begin; only those are proposed for a line.
const busCable = "bus"

// liftVoltage is the remedy for a line whose voltage is too low: the next cable that suffices, else the fewest more supplies
// where they mend most, else a division of the line. The slug names the finding.
func (v *view) liftVoltage(l *line, slug string) *Remedy {
	if v.trial {
		return nil
	}
	w := v.voltages(l).wire
	if c, s, ok := v.nextCable(l, w); ok {
		after := *l.Line
		after.Cable = c.ID
		return &Remedy{
			Text:    fmt.Sprintf("Lay it with %s (%s): %s then has %s.", c.ID, c.Title, s.worst.ID, figure(s.volts, "V")),
			Changes: []house.Change{{Kind: "line", ID: l.ID, Before: *l.Line, After: after}},
		}
	}
	if r := v.addSupplies(l, slug); r != nil {
		return r
	}
	return &Remedy{Text: "No cable of the catalogue and no further supply is enough: divide the line in two, each with a head and a supply of its own."}
}

// enough tells whether a wire of a loop resistance in Ω/m has the voltage and the headroom, and how it stands.
func (w *wire) enough(perMetre float64) (state, bool) {
	s := w.solve(perMetre, atNominal)
	if !s.suffices() || s.worst.module == nil {
		return s, false
	}
	tight, start := w.solve(perMetre*busHeadroom, atPower), w.solve(perMetre, atStart)
	over, _ := w.overloaded(&start)
	return s, tight.suffices() && start.suffices() && over == nil
}

// nextCable finds, among the bus cables with less resistance than that of a line, the one with the most that suffices.
func (v *view) nextCable(l *line, w *wire) (*catalogue.Cable, state, bool) {
	var best *catalogue.Cable
	var stands state
	for i := range v.cat.Cables {
		c := &v.cat.Cables[i]
		if c.Loop <= 0 || c.Loop >= v.voltages(l).cable.Loop || !strings.HasPrefix(c.ID, busCable) {
			continue
		}
		if best != nil && cmp.Or(-cmp.Compare(c.Loop, best.Loop), cmp.Compare(c.Price, best.Price), cmp.Compare(c.ID, best.ID)) >= 0 {
			continue
		}
		if s, ok := w.enough(loopOf(c)); ok {
			best, stands = c, s
		}
	}
	return best, stands, best != nil
}

// reach is the cable in m from the first tap to a node.
func (w *wire) reach(node int) float64 {
	sum := 0.0
	for ; node >= 0; node = w.parent[node] {
		sum += w.metres[node]
	}
	return sum
}
