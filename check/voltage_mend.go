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

// secondMost bounds the places that are tried for a second supply.
const secondMost = 256

// liftVoltage is the remedy for a line whose voltage is too low: the next cable that suffices, else a second supply where it
// mends most, else a division of the line.
func (v *view) liftVoltage(l *line) *Remedy {
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
	if k, s, ok := w.secondSupply(loopOf(v.voltages(l).cable)); ok {
		if t, ok := v.supplyFor(l, s.given[w.trunk[k]]); ok {
			return &Remedy{Text: fmt.Sprintf("Put a second supply (%s) beside %s, %s of cable from the first tap: %s then has %s. Take supplies that "+
				"may stand in parallel, or split the plus conductor between them.", t.ID, l.Taps[k].Module, figure(w.reach(w.trunk[k]), "m"), s.worst.ID, figure(s.volts, "V"))}
		}
	}
	return &Remedy{Text: "No cable of the catalogue and no second supply is enough: divide the line in two, each with a head and a supply of its own."}
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

// secondSupply tries a second supply at every tap and finds the one that leaves most to spare.
func (w *wire) secondSupply(perMetre float64) (tap int, stands state, ok bool) {
	volts := 0.0
	for _, f := range w.feed {
		volts = max(volts, f)
	}
	spare := 0.0
	for k, node := range w.trunk[:min(len(w.trunk), secondMost)] {
		if w.feed[node] > 0 {
			continue
		}
		w.feed[node] = volts
		s, good := w.enough(perMetre)
		w.feed[node] = 0
		if left := s.volts - leastOf(s); good && (!ok || left > spare+1e-9) {
			tap, stands, ok, spare = k, s, true, left
		}
	}
	return tap, stands, ok
}

func leastOf(s state) float64 {
	if s.worst.module == nil {
		return 0
	}
	return s.worst.typ.Bus.Least.V()
}

// supplyFor finds the cheapest supply of the voltage of a line for a current in A, with the margin for its start.
func (v *view) supplyFor(l *line, amps float64) (*catalogue.Type, bool) {
	voltage := budgetOf(l).supplies[0].typ.Bus.Voltage
	var best *catalogue.Type
	for i := range v.cat.Types {
		t := &v.cat.Types[i]
		if t.Does() != catalogue.RoleSupply || t.Bus == nil || t.Bus.Voltage != voltage || above(amps*startMargin, t.Bus.Supply.A()) {
			continue
		}
		if best == nil || cmp.Or(cmp.Compare(t.Price, best.Price), cmp.Compare(t.ID, best.ID)) < 0 {
			best = t
		}
	}
	return best, best != nil
}

// reach is the cable in m from the first tap to a node.
func (w *wire) reach(node int) float64 {
	sum := 0.0
	for ; node >= 0; node = w.parent[node] {
		sum += w.metres[node]
	}
	return sum
}
