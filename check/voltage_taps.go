package check

import (
	"wirewright/catalogue"
	"wirewright/house"
)

// TapVoltage is what a module on a line gets with all outputs on, as the rules about voltage compute it.
type TapVoltage struct {
	Module house.ID
	Volts  float64 // V
	Least  float64 // V that its type needs, 0 where the catalogue does not say
	Feeds  bool    // it is a supply, and holds this voltage
}

// TapVoltages computes the voltages along a line of a house: the cable warm, each module at its nominal current. One for
// each tap with a module that faces the line, in their order; nil where the line cannot be computed (no supply, no known
// cable, two nominal voltages, no such line) or collapses, as findings then say.
func TapVoltages(h *house.House, c *catalogue.Catalogue, id house.ID) []TapVoltage {
	one := house.House{Site: h.Site, Modules: h.Modules}
	for i := range h.Lines {
		if h.Lines[i].ID == id {
			one.Lines = h.Lines[i : i+1]
		}
	}
	v := newView(&one, c)
	if len(v.lines) == 0 {
		return nil
	}
	l := &v.lines[0]
	f := v.voltages(l)
	if f.cable == nil || !f.steady.known || f.steady.collapse {
		return nil
	}
	at := map[*module]int{}
	for _, t := range f.wire.taps {
		at[t.module] = t.node
	}
	for _, t := range f.wire.fed {
		at[t.module] = t.node
	}
	var list []TapVoltage
	for _, m := range l.taps {
		if node, ok := at[m]; ok && m != nil {
			list = append(list, TapVoltage{Module: m.ID, Volts: f.steady.volt[node], Least: m.typ.Bus.Least.V(), Feeds: m.typ.Does() == catalogue.RoleSupply})
		}
	}
	return list
}
