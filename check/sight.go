package check

import (
	"slices"
	"strings"

	"wirewright/house"
)

// sight is what a rule looks at when it looks at one entity, so that an edit elsewhere need not run it again. The zero value
// is the whole house: a rule that does not say what it looks at is run on everything after every edit, which is always
// right. A rule that says too little is wrong; the property tests of the Checker are there to find it.
type sight struct {
	near  []string // ways along references that begin at the entity; see near
	own   bool     // it looks at the entity itself
	wide  []aspect // what it looks at all over the house
	known bool     // the rule has said what it looks at
}

// aspect is a part of the house that rules look at all over it: a kind of entity ("wall"), or those fields of a kind that
// belong together ("module place").
type aspect string

// The aspects that are less than a whole kind.
const (
	placeOfModule aspect = "module place" // type, board, box, room and coordinates
	nameOfModule  aspect = "module name"  // type, address, host name and hardware
	placeOfPoint  aspect = "point place"  // kind, room and coordinates
	placeOfBoard  aspect = "board place"  // coordinates
)

// near is the sight of a rule that looks at its entity and along references from it: "board module" are its board and all
// modules there, "point" what is landed on it or where it sits. A way goes from kind to kind as the house refers: point,
// module, line, circuit, board and room; references count in both directions. Where a rule builds a remedy it looks at what
// the remedy looks at, too. The supply of the site and the catalogue are in every sight.
func near(ways ...string) sight { return sight{near: ways, own: true, known: true} }

// and widens a sight by aspects of the whole house.
func (s sight) and(list ...aspect) sight {
	s.wide = append(slices.Clip(s.wide), list...)
	return s
}

// only is the sight of a rule that looks at nothing but some aspects of the whole house.
func only(list ...aspect) sight { return sight{wide: list, known: true} }

// mending is what view.mend and view.replacement look at: what is landed on a module, and who is beside it in its board, in
// its box and on its lines.
func mending() sight { return near("point module", "board module", "board circuit", "line module") }

// mendingFrom is mending of the modules that are one reference away, by a line or a point.
func mendingFrom() sight {
	return near("module point module", "module board module", "module board circuit", "module line module")
}

// lifting is what view.liftVoltage looks at: the boards where a supply could go, all in them, and which names are taken.
func lifting() sight {
	return near("module board module", "module board circuit", "module circuit").and(nameOfModule, "line")
}

// named is what rules about addresses look at: who else has the name, and which one is free.
func named() sight { return near().and(nameOfModule, "line", "network") }

// onAir is what the prediction of radio looks at: every place, and all that stands between.
func onAir() sight {
	return only("storey", "room", "wall", "opening", "network", placeOfModule, placeOfPoint, placeOfBoard)
}

// node is one entity in the net of references.
type node struct {
	kind string
	id   house.ID
}

// beside lists the entities of a kind that refer to an entity, or that it refers to.
func (v *view) beside(n node, want string) []house.ID {
	switch n.kind {
	case "point":
		return besidePoint(v.byPoint[n.id], want)
	case "module":
		return v.besideModule(v.byModule[n.id], want)
	case "line":
		return besideLine(v.byLine[n.id], want)
	case "circuit":
		return besideCircuit(v.circuits[n.id], want)
	case "board":
		return besideBoard(v.boards[n.id], want)
	case "room":
		return v.besideRoom(n.id, want)
	}
	return nil
}

func besidePoint(p *point, want string) []house.ID {
	if p == nil {
		return nil
	}
	switch want {
	case "circuit":
		return []house.ID{p.Circuit}
	case "room":
		return []house.ID{p.Room}
	case "module":
		list := idsOf(p.hosts)
		for _, l := range p.landings {
			list = append(list, l.module.ID)
		}
		return list
	}
	return nil
}

func (v *view) besideModule(m *module, want string) []house.ID {
	if m == nil {
		return nil
	}
	switch want {
	case "board":
		return []house.ID{m.Board}
	case "circuit":
		return []house.ID{m.Circuit}
	case "room":
		return []house.ID{m.Room}
	case "point":
		list := []house.ID{m.Point}
		for i := range m.Landings {
			list = append(list, m.Landings[i].Point)
		}
		return list
	case "line":
		return v.linesOf(m)
	}
	return nil
}

// linesOf are the lines that a module is the head of, and those that it is on.
func (v *view) linesOf(m *module) []house.ID {
	var list []house.ID
	for i := range v.lines {
		if v.lines[i].Head == m.ID {
			list = append(list, v.lines[i].ID)
		}
	}
	for _, l := range m.lines {
		list = append(list, l.ID)
	}
	return list
}

func besideLine(l *line, want string) []house.ID {
	if l == nil || want != "module" {
		return nil
	}
	list := []house.ID{l.Head}
	for i := range l.Taps {
		list = append(list, l.Taps[i].Module)
	}
	return list
}

func besideCircuit(k *circuit, want string) []house.ID {
	if k == nil {
		return nil
	}
	switch want {
	case "board":
		return []house.ID{k.Board}
	case "module":
		return idsOf(k.modules)
	case "point":
		var list []house.ID
		for _, p := range k.points {
			list = append(list, p.ID)
		}
		return list
	}
	return nil
}

func besideBoard(b *board, want string) []house.ID {
	if b == nil {
		return nil
	}
	switch want {
	case "module":
		return idsOf(b.modules)
	case "room":
		return []house.ID{b.Room}
	case "circuit":
		var list []house.ID
		for _, k := range b.circuits {
			list = append(list, k.ID)
		}
		return list
	}
	return nil
}

// besideRoom looks through the house: it is asked only where a room has changed.
func (v *view) besideRoom(id house.ID, want string) []house.ID {
	var list []house.ID
	switch want {
	case "point":
		for i := range v.points {
			if v.points[i].Room == id {
				list = append(list, v.points[i].ID)
			}
		}
	case "module":
		for i := range v.modules {
			if v.modules[i].Room == id {
				list = append(list, v.modules[i].ID)
			}
		}
	case "board":
		for i := range v.house.Boards {
			if v.house.Boards[i].Room == id {
				list = append(list, v.house.Boards[i].ID)
			}
		}
	}
	return list
}

func idsOf(modules []*module) []house.ID {
	list := make([]house.ID, len(modules))
	for i, m := range modules {
		list[i] = m.ID
	}
	return list
}

// wayOf is a way of a rule as kinds, its own first.
func wayOf(kind, way string) []string { return append([]string{kind}, strings.Fields(way)...) }
