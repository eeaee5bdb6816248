package check

import (
	"fmt"
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
)

// boardRules look at the rows of a board and who sits in them.
var boardRules = []Rule{
	{
		Slug: "board/outside", Severity: Fault, Kind: "module",
		Title: "A module sits outside of the rows of its board",
		Why: "Rows and slots are counted from 1; a module takes as many units of 17.5 mm as its type is wide, side by side in one row. It may not " +
			"stand beyond the end of a row, and not half in the next.",
		Source: "DIN 43880 (widths); IEC 60715 (rail)", Caution: cautionMains,
		run: onKnown(outside), sees: near("board module", "board circuit"),
	},
	{
		Slug: "board/overlap", Severity: Fault, Kind: "module",
		Title:  "Two modules of a board take the same place",
		Why:    "Each unit of a row holds one device.",
		Source: "DIN 43880 (widths)", Caution: cautionMains,
		run: onKnown(overlap), sees: near("board module", "board circuit"),
	},
	{
		Slug: "board/unplaced", Severity: Remark, Kind: "module",
		Title:  "A module of a board has no row and slot yet",
		Why:    "Whether the board has room for it could not be checked, and the board drawing leaves it out.",
		Source: practice,
		run:    onKnown(unplaced), sees: near("board module", "board circuit"),
	},
	{
		Slug: "board/no-size", Severity: Remark, Kind: "board",
		Title:  "The size of a board is not known",
		Why:    "Without rows and units in a row, the places of its modules could not be checked.",
		Source: practice,
		run:    onBoard(noSize), sees: near("module"),
	},
}

func onBoard(f func(*view, *board, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) { f(v, v.boards[v.house.Boards[i].ID], say) }
}

// span is the units of a row that a module takes, first and last; false where it is not on a rail or not placed.
func (m *module) span() (first, last int, ok bool) {
	if m.typ == nil || m.typ.Mount != catalogue.Rail || m.Slot == 0 {
		return 0, 0, false
	}
	return m.Slot, m.Slot + m.typ.Units - 1, true
}

// meets tells whether a module takes any of some units of a row.
func (m *module) meets(row, first, last int) bool {
	a, b, ok := m.span()
	return ok && m.Row == row && a <= last && first <= b
}

// holds tells whether some units lie within the rows of a board of known size.
func (b *board) holds(row, first, last int) bool {
	return row >= 1 && row <= b.Rows && first >= 1 && last <= b.Units
}

// sized tells whether rows and units of a board are known.
func (b *board) sized() bool { return b.Rows > 0 && b.Units > 0 }

// free tells whether a module, widened to some units, would stand at a place of its board with nothing in its way.
func (v *view) free(m *module, row, slot, units int) bool {
	b := v.boards[m.Board]
	if b == nil || !b.sized() || !b.holds(row, slot, slot+units-1) {
		return false
	}
	for _, o := range b.modules {
		if o != m && o.meets(row, slot, slot+units-1) {
			return false
		}
	}
	return !slices.ContainsFunc(b.protection(), func(o occupant) bool { return o.meets(row, slot, slot+units-1) })
}

// boundRows and boundUnits bound the search for a free place in a board, against absurd sizes.
const (
	boundRows  = 40
	boundUnits = 200
)

// freePlace finds the first place of its board where a module would stand, row by row, and suit its neighbours.
func (v *view) freePlace(m *module) (row, slot int, ok bool) {
	b := v.boards[m.Board]
	o := m.occupant()
	return b.opening(&o, b.occupants())
}

// resettle is the remedy that moves a module to a free place of its board.
func (v *view) resettle(m *module) *Remedy {
	row, slot, ok := v.freePlace(m)
	if !ok {
		return &Remedy{Text: fmt.Sprintf("Board %s has no row with %d free units side by side where nothing beside it would mind: move something, or take a larger board.", m.Board, m.typ.Units)}
	}
	return &Remedy{
		Text:    fmt.Sprintf("Put it in row %d, slot %d, which is free.", row, slot),
		Changes: []house.Change{m.changed(func(h *house.Module) { h.Row, h.Slot = row, slot })},
	}
}

func outside(v *view, m *module, say sayer) {
	b := v.boards[m.Board]
	first, last, ok := m.span()
	if b == nil || !ok || !b.sized() || b.holds(m.Row, first, last) {
		return
	}
	text := fmt.Sprintf("%s is in row %d, slots %d to %d, outside of board %s.", m.ID, m.Row, first, last, b.ID)
	if m.Row >= 1 && m.Row <= b.Rows && first >= 1 && first <= b.Units {
		text = fmt.Sprintf("%s begins in row %d at slot %d and would end %s beyond the row.", m.ID, m.Row, first, several(last-b.Units, "unit"))
	}
	say(Finding{Text: text,
		Measured: fmt.Sprintf("row %d, slots %d to %d", m.Row, first, last), Limit: fmt.Sprintf("%d rows of %d units", b.Rows, b.Units),
		Remedy: v.resettle(m)})
}

func overlap(v *view, m *module, say sayer) {
	b := v.boards[m.Board]
	first, last, ok := m.span()
	if b == nil || !ok || (b.sized() && !b.holds(m.Row, first, last)) {
		return
	}
	for _, o := range b.modules {
		if o.order < m.order && o.meets(m.Row, first, last) {
			_, end, _ := o.span()
			say(Finding{
				Text:     fmt.Sprintf("%s in row %d, slots %d to %d, stands where %s is (slots %d to %d).", m.ID, m.Row, first, last, o.ID, o.Slot, end),
				Measured: fmt.Sprintf("slots %d to %d", first, last), Limit: fmt.Sprintf("free of slots %d to %d", o.Slot, end),
				Remedy: v.resettle(m),
			})
			return
		}
	}
}

func unplaced(v *view, m *module, say sayer) {
	if v.boards[m.Board] == nil || m.typ.Mount != catalogue.Rail || m.Slot != 0 {
		return
	}
	f := Finding{Text: fmt.Sprintf("%s is in board %s, but has no row and slot.", m.ID, m.Board), Remedy: &Remedy{Text: "Give it a row and a slot."}}
	if v.boards[m.Board].sized() {
		f.Remedy = v.resettle(m)
	}
	say(f)
}

func noSize(v *view, b *board, say sayer) {
	if !b.sized() && len(b.modules) > 0 {
		say(Finding{
			Text:     fmt.Sprintf("Board %s has %s, and the house does not say its rows and units.", b.ID, several(len(b.modules), "module")),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Count its rows and the units in a row, and write both into the house."},
		})
	}
}
