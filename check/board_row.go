package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wirewright/calc/enclosure"
	"wirewright/catalogue"
	"wirewright/house"
)

// What is held against the rows of a board, and what the allotment lays them out by (common practice, no source).
const (
	HotFrom = 5.0 // W from which a module is kept apart from others that are as warm
	HotGap  = 1   // units between the two
)

// VoltageClass is what voltage a module of some type has at its terminals. One with outputs for mains counts as mains, although
// its bus terminals are extra-low voltage: its maker keeps both apart inside, at opposite edges. A supply stands on the
// border. Inputs, heads and outputs for dry contacts alone are extra-low voltage.
func VoltageClass(t *catalogue.Type) enclosure.Class {
	switch {
	case t.Does() == catalogue.RoleSupply:
		return enclosure.Border
	case t.Medium != catalogue.Wired:
		return enclosure.Mains
	}
	for i := range t.Channels {
		g := &t.Channels[i]
		if g.Kind == catalogue.MeterIn || g.Kind.Output() && !slices.ContainsFunc(g.Ratings, func(r catalogue.Rating) bool { return r.Category == house.Dry }) {
			return enclosure.Mains
		}
	}
	return enclosure.Extra
}

// occupant is something that stands on a row: a module, the device of a circuit, or another device of the board.
type occupant struct {
	name             string // as a sentence names it
	row, slot, units int
	class            enclosure.Class
	heat             float64
	module           *module
	circuit          *circuit
	device           int // position among the devices of the board, -1 for others
}

// end is the last unit that it takes.
func (o *occupant) end() int { return o.slot + o.units - 1 }

// meets tells whether it takes any of some units of a row.
func (o *occupant) meets(row, first, last int) bool {
	return o.row == row && o.slot <= last && first <= o.end()
}

// occupants lists what stands on the rows of a board, by row and slot.
func (b *board) occupants() []occupant {
	var list []occupant
	for _, m := range b.modules {
		if _, _, ok := m.span(); ok {
			list = append(list, m.occupant())
		}
	}
	list = append(list, b.protection()...)
	slices.SortStableFunc(list, func(x, y occupant) int { return cmp.Or(cmp.Compare(x.row, y.row), cmp.Compare(x.slot, y.slot)) })
	return list
}

// occupant is a module of the rail as it stands.
func (m *module) occupant() occupant {
	return occupant{string(m.ID), m.Row, m.Slot, m.typ.Units, VoltageClass(m.typ), m.typ.Heat.W(), m, nil, -1}
}

// rowBears tells whether another type would stand where a module does: with room, and no worse for its neighbours.
func (v *view) rowBears(m *module, t *catalogue.Type) bool {
	if t.Units > m.typ.Units && !v.free(m, m.Row, m.Slot, t.Units) {
		return false
	}
	b := v.boards[m.Board]
	if _, _, placed := m.span(); !placed || b == nil {
		return true
	}
	old := m.occupant()
	moved := old
	moved.units, moved.class, moved.heat = t.Units, VoltageClass(t), t.Heat.W()
	if moved.units <= old.units && moved.class == old.class && (moved.heat < HotFrom || old.heat >= HotFrom) {
		return true
	}
	return b.suits(&moved, &old, b.occupants())
}

// absurd bounds slots and widths that no reader would let in, so that sums of them stay numbers.
const absurd = 1000

// protection lists the devices of circuits and the other devices that have a place.
func (b *board) protection() []occupant {
	var list []occupant
	for i := range b.Devices {
		d := &b.Devices[i]
		if d.Row > 0 && d.Slot > 0 && d.Units > 0 {
			list = append(list, occupant{d.Name, d.Row, min(d.Slot, absurd), min(d.Units, absurd), deviceClass(d), d.Heat.W(), nil, nil, i})
		}
	}
	for _, k := range b.circuits {
		if k.Row > 0 && k.Slot > 0 {
			list = append(list, occupant{"the device of " + string(k.ID), k.Row, min(k.Slot, absurd), min(k.DeviceUnits(), absurd), enclosure.Mains, 0, nil, k, -1})
		}
	}
	return list
}

func deviceClass(d *house.Device) enclosure.Class {
	if d.Extra {
		return enclosure.Extra
	}
	return enclosure.Mains
}

// parted tells whether a partition stands between two neighbours.
func (b *board) parted(left, right *occupant) bool {
	return slices.ContainsFunc(b.Partitions, func(p house.Partition) bool {
		return p.Row == left.row && p.Slot > left.end() && p.Slot <= right.slot
	})
}

// changed is the change that an edit of a board makes; the board itself stays as it is.
func (b *board) changed(edit func(*house.Board)) house.Change {
	after := *b.Board
	after.Devices, after.Partitions = slices.Clone(b.Devices), slices.Clone(b.Partitions)
	edit(&after)
	return house.Change{Kind: "board", ID: b.ID, Before: *b.Board, After: after}
}

// resettled is the change that gives an occupant another place.
func (b *board) resettled(o *occupant, row, slot int) house.Change {
	switch {
	case o.module != nil:
		return o.module.changed(func(m *house.Module) { m.Row, m.Slot = row, slot })
	case o.circuit != nil:
		after := *o.circuit.Circuit
		after.Row, after.Slot = row, slot
		return house.Change{Kind: "circuit", ID: after.ID, Before: *o.circuit.Circuit, After: after}
	}
	return b.changed(func(h *house.Board) { h.Devices[o.device].Row, h.Devices[o.device].Slot = row, slot })
}

// opening finds the first place where an occupant could stand in the board, that its other occupants leave free and that
// raises none of the findings about its rows.
func (b *board) opening(o *occupant, list []occupant) (row, slot int, ok bool) {
	if !b.sized() || b.parts(o, list) {
		return 0, 0, false
	}
	for row := 1; row <= min(b.Rows, boundRows); row++ {
		for slot := 1; slot+o.units-1 <= min(b.Units, boundUnits); slot++ {
			moved := *o
			moved.row, moved.slot = row, slot
			if b.suits(&moved, o, list) {
				return row, slot, true
			}
		}
	}
	return 0, 0, false
}

// parts tells whether an occupant keeps mains and extra-low voltage apart where it is, so that it must not go.
func (b *board) parts(o *occupant, list []occupant) bool {
	var left, right *occupant
	for i := range list {
		x := &list[i]
		switch {
		case x.row != o.row || x.name == o.name && x.slot == o.slot:
		case x.slot <= o.slot && (left == nil || x.slot > left.slot):
			left = x
		case x.slot > o.slot && (right == nil || x.slot < right.slot):
			right = x
		}
	}
	return left != nil && right != nil && b.mixed(left, right)
}

// suits tells whether an occupant that has moved from its old place stands well with the others of its row.
func (b *board) suits(moved, old *occupant, list []occupant) bool {
	var left, right *occupant
	for i := range list {
		o := &list[i]
		if o.row != moved.row || o.name == old.name && o.row == old.row && o.slot == old.slot {
			continue
		}
		switch {
		case o.meets(moved.row, moved.slot, moved.end()):
			return false
		case o.slot < moved.slot && (left == nil || o.slot > left.slot):
			left = o
		case o.slot > moved.slot && (right == nil || o.slot < right.slot):
			right = o
		}
	}
	if left != nil && right != nil && b.mixed(left, right) { // a partition may be lost between them
		return false
	}
	return (left == nil || !b.mixed(left, moved) && !crowded(left, moved)) && (right == nil || !b.mixed(moved, right) && !crowded(moved, right))
}

// mixed tells whether two neighbours have mains and extra-low voltage alone, with no partition between.
func (b *board) mixed(left, right *occupant) bool {
	different := left.class == enclosure.Mains && right.class == enclosure.Extra || left.class == enclosure.Extra && right.class == enclosure.Mains
	return different && left.row == right.row && !b.parted(left, right)
}

// crowded tells whether two neighbours are both warm, with too little between them.
func crowded(left, right *occupant) bool {
	return left.row == right.row && left.heat >= HotFrom && right.heat >= HotFrom && right.slot-left.end()-1 < HotGap
}

// rowText names a place in a row.
func rowText(row, slot int) string { return fmt.Sprintf("row %d, slot %d", row, slot) }

// capital begins a sentence with a name that is a phrase or a number; other names stay as they are.
func capital(s string) string {
	if rest, ok := strings.CutPrefix(s, "the "); ok {
		return "The " + rest
	}
	return s
}
