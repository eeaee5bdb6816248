package check

import (
	"fmt"
	"slices"

	"wirewright/calc/enclosure"
	"wirewright/catalogue"
	"wirewright/house"
)

// boardRowRules look at all that stands on the rows of a board: modules, protective devices, terminals and partitions.
var boardRowRules = []Rule{
	{
		Slug: "board/device-place", Severity: Fault, Kind: "board",
		Title:  "A protective device or terminal block stands outside of its board, or where something else is",
		Why:    "The devices of circuits and the other devices of a board take units of its rows as modules do, each unit once. One without a row is not looked at.",
		Source: "DIN 43880 (widths); IEC 60715 (rail)", Caution: cautionMains,
		run: onBoard(devicePlace), sees: near("module", "circuit"),
	},
	{
		Slug: "board/mixed-voltage", Severity: Caution, Kind: "board",
		Title: "Mains and extra-low voltage stand side by side in one row without a partition",
		Why: "Conductors of extra-low voltage (SELV, PELV) must not touch those of mains unless they are insulated for its voltage, and those of a row lie " +
			"in one space. So devices of one kind stand in rows of their own, or a partition parts them. Modules with outputs for mains count as mains; " +
			"a supply stands on the border of both and may be beside either. Only neighbours in a row are compared.",
		Source: "IEC 60364-4-41, 414.4; IEC 60364-5-52, 528.1; rows and partitions: " + practice, Caution: cautionMains,
		run: onBoard(mixedVoltage), sees: near("module", "circuit"),
	},
	{
		Slug: "board/hot-spot", Severity: Remark, Kind: "board",
		Title: "Two modules that get warm touch each other",
		Why: "Two modules in a row that each give off 5 W or more at full load warm one another where they touch; one free unit between them lets air through. " +
			"What the maker says goes before.",
		Formula: "free ≥ 1 where P1 ≥ 5 W and P2 ≥ 5 W", Source: practice, Caution: cautionMains,
		run: onBoard(hotSpot), sees: near("module", "circuit"),
	},
	{
		Slug: "board/too-small", Severity: Fault, Kind: "board",
		Title: "No order of its devices fits into a board",
		Why: "Modules, the devices of circuits (one unit, or three on three phases, where the house does not say) and the other devices are packed into rows with no gap, " +
			"and mains and extra-low voltage parted by plates alone. Even then there are more rows than the board has; the number is proved by a bound. " +
			"Nothing is left to spare in it.",
		Formula: "n ≤ rows of the board", Source: "DIN 43880 (widths); bound of Martello and Toth for bin packing", Caution: cautionMains,
		run: onBoard(tooSmall), sees: near("module", "circuit"),
	},
	{
		Slug: "board/terminals", Severity: Caution, Kind: "board",
		Title: "A board has fewer places on its bars than conductors that land",
		Why: "Every cable brings a neutral and a protective conductor, and each has a place alone. Counted are one cable for each circuit with something outside of " +
			"the board, and one for each point that is moved in a room that is wired in a star, where it has a cable of its own. Checked where the house says " +
			"how many places there are. Neutrals of two residual-current devices need two bars.",
		Formula: "n ≤ places", Source: "IEC 60364-5-51, 514 and IEC 61439-3 (protective conductors, from memory); " + practice, Caution: cautionMains,
		run: onBoard(terminals), sees: near("circuit point room", "circuit module"),
	},
}

func devicePlace(v *view, b *board, say sayer) {
	list := b.occupants()
	for i := range list {
		o := &list[i]
		if o.module != nil {
			continue
		}
		if b.sized() && !b.holds(o.row, o.slot, o.end()) {
			say(Finding{
				Text:     fmt.Sprintf("%s is in row %d, slots %d to %d, outside of board %s.", capital(o.name), o.row, o.slot, o.end(), b.ID),
				Measured: fmt.Sprintf("row %d, slots %d to %d", o.row, o.slot, o.end()), Limit: fmt.Sprintf("%d rows of %d units", b.Rows, b.Units),
				Remedy: b.settle(o, list),
			})
			continue
		}
		for k := range list {
			if p := &list[k]; k != i && (p.module != nil || k < i) && p.meets(o.row, o.slot, o.end()) {
				say(Finding{
					Text:     fmt.Sprintf("%s in row %d, slots %d to %d, stands where %s is (slots %d to %d).", capital(o.name), o.row, o.slot, o.end(), p.name, p.slot, p.end()),
					Measured: fmt.Sprintf("slots %d to %d", o.slot, o.end()), Limit: fmt.Sprintf("free of slots %d to %d", p.slot, p.end()),
					Remedy: b.settle(o, list),
				})
				break
			}
		}
	}
}

// settle is the remedy that gives an occupant a place where it stands well.
func (b *board) settle(o *occupant, list []occupant) *Remedy {
	row, slot, ok := b.opening(o, list)
	if !ok {
		return &Remedy{Text: fmt.Sprintf("Board %s has no place of %s for it where nothing is in its way: move something, or take a larger board.", b.ID, several(o.units, "unit"))}
	}
	return &Remedy{Text: fmt.Sprintf("Put %s into %s, which is free.", o.name, rowText(row, slot)), Changes: []house.Change{b.resettled(o, row, slot)}}
}

func mixedVoltage(v *view, b *board, say sayer) {
	list := b.occupants()
	for i := 1; i < len(list); i++ {
		left, right := &list[i-1], &list[i]
		if !b.mixed(left, right) || left.end() >= right.slot {
			continue
		}
		say(Finding{
			Text:     fmt.Sprintf("In row %d of board %s, %s and %s stand side by side, one on mains and one on extra-low voltage, with no partition between.", left.row, b.ID, left.name, right.name),
			Measured: "no partition", Limit: "a row of their own, or a partition",
			Remedy: &Remedy{Text: fmt.Sprintf("Set a partition in %s, at its left edge, or give one of them another row.", rowText(right.row, right.slot)),
				Changes: []house.Change{b.changed(func(h *house.Board) {
					h.Partitions = append(h.Partitions, house.Partition{Row: right.row, Slot: right.slot})
				})}},
		})
	}
}

func hotSpot(v *view, b *board, say sayer) {
	list := b.occupants()
	for i := 1; i < len(list); i++ {
		left, right := &list[i-1], &list[i]
		if !crowded(left, right) || left.end() >= right.slot {
			continue
		}
		f := Finding{
			Text:     fmt.Sprintf("In row %d of board %s, %s (%s) and %s (%s) touch each other.", left.row, b.ID, left.name, figure(left.heat, "W"), right.name, figure(right.heat, "W")),
			Measured: several(right.slot-left.end()-1, "unit") + " between", Limit: several(HotGap, "unit") + " between",
			Terms: []Term{{"heat of " + left.name, "P1", left.heat, "W"}, {"heat of " + right.name, "P2", right.heat, "W"},
				{"units between them", "free", float64(right.slot - left.end() - 1), ""}},
			Remedy: &Remedy{Text: "Leave a unit free between them, or part them by something that stays cool; their rows have no room for it now."},
		}
		for _, o := range []*occupant{right, left} {
			if row, slot, ok := b.opening(o, list); ok {
				f.Remedy = &Remedy{Text: fmt.Sprintf("Put %s into %s, where it stands apart.", o.name, rowText(row, slot)), Changes: []house.Change{b.resettled(o, row, slot)}}
				break
			}
		}
		say(f)
	}
}

// tooSmallSteps bounds the search for a layout: the bound is nearly always met at once.
const tooSmallSteps = 2000

func tooSmall(v *view, b *board, say sayer) {
	if !b.sized() {
		return
	}
	items, used := b.items()
	l, err := enclosure.Lay(items, enclosure.Frame{Units: b.Units, Partitions: true, Budget: tooSmallSteps})
	if err != nil || l.Bound <= b.Rows {
		return
	}
	f := Finding{
		Text:     fmt.Sprintf("What stands in board %s takes %s and needs %s of %s; it has %d.", b.ID, several(used, "unit"), several(l.Bound, "row"), several(b.Units, "unit"), b.Rows),
		Measured: several(l.Bound, "row"), Limit: several(b.Rows, "row"),
		Terms: []Term{{"units taken", "u", float64(used), ""}, {"rows at least", "n", float64(l.Bound), ""}, {"rows of the best layout found", "best", float64(l.Rows), ""}},
	}
	if f.Remedy = (&Remedy{Text: fmt.Sprintf("Take a board of %s, or a second one.", several(l.Rows, "row"))}); l.Rows <= 100 && !b.beyond() {
		f.Remedy.Changes = []house.Change{b.changed(func(h *house.Board) { h.Rows = l.Rows })}
	}
	say(f)
}

// beyond tells whether anything stands in a row that the board does not have: more rows would show what else is wrong there.
func (b *board) beyond() bool {
	return slices.ContainsFunc(b.occupants(), func(o occupant) bool { return o.row > b.Rows || o.end() > b.Units })
}

// items are all devices of a board for a layout, those without a place too, as far as one row can hold each.
func (b *board) items() (items []enclosure.Item, used int) {
	add := func(name string, units int, class enclosure.Class) {
		if units > 0 && units <= b.Units {
			items = append(items, enclosure.Item{Name: name, Units: units, Class: class})
			used += units
		}
	}
	for i := range b.Devices {
		add(b.Devices[i].Name, b.Devices[i].Units, deviceClass(&b.Devices[i]))
	}
	for _, k := range b.circuits {
		add(string(k.ID), k.DeviceUnits(), enclosure.Mains)
	}
	for _, m := range b.modules {
		if m.typ != nil && m.typ.Mount == catalogue.Rail {
			add(string(m.ID), m.typ.Units, VoltageClass(m.typ))
		}
	}
	return items, used
}

func terminals(v *view, b *board, say sayer) {
	if b.Neutrals <= 0 && b.Earths <= 0 {
		return
	}
	need := enclosure.CountTerminals(b.cables(v))
	for _, bar := range []struct {
		what       string
		have, need int
		set        func(*house.Board)
	}{
		{"neutral", b.Neutrals, need.Neutrals, func(h *house.Board) { h.Neutrals = need.Neutrals }},
		{"protective", b.Earths, need.Earths, func(h *house.Board) { h.Earths = need.Earths }},
	} {
		if bar.have <= 0 || bar.need <= bar.have {
			continue
		}
		say(Finding{
			Text:     fmt.Sprintf("%s with a %s conductor land in board %s; its bars have places for %d.", capital(several(bar.need, "cable")), bar.what, b.ID, bar.have),
			Measured: several(bar.need, "place"), Limit: several(bar.have, "place"),
			Terms:  []Term{{"cables that land with a " + bar.what + " conductor", "n", float64(bar.need), ""}, {"places on the bars", "places", float64(bar.have), ""}},
			Remedy: &Remedy{Text: fmt.Sprintf("Add %s to the %s bars.", several(bar.need-bar.have, "place"), bar.what), Changes: []house.Change{b.changed(bar.set)}},
		})
	}
}

// cables are the mains cables that come to a board.
func (b *board) cables(v *view) []enclosure.Cable {
	star := map[house.ID]bool{}
	for i := range v.house.Rooms {
		star[v.house.Rooms[i].ID] = v.house.Rooms[i].Wiring == house.WiringStar
	}
	var list []enclosure.Cable
	for _, k := range b.circuits {
		cable := enclosure.Cable{Lines: k.poles(), Neutral: true, Earth: true, Bar: string(k.ID)}
		joint := slices.ContainsFunc(k.modules, func(m *module) bool { return m.Board != b.ID })
		for _, p := range k.points {
			switch own := p.Wiring == house.WiringStar || p.Wiring == "" && star[p.Room]; {
			case !own:
				joint = true
			case p.Kind.Moved():
				list = append(list, cable)
			}
		}
		if joint {
			list = append(list, cable)
		}
	}
	return list
}
