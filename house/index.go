package house

// Index finds the entities of one house by identity. It holds pointers into the house that it was made of, and is right
// as long as the lists of that house do not change. Where two entities have one identity, which Validate refuses, the
// first is found.
type Index struct {
	house    *House
	storeys  map[ID]*Storey
	rooms    map[ID]*Room
	walls    map[ID]*Wall
	openings map[ID]*Opening
	slabs    map[ID]*Slab
	boards   map[ID]*Board
	circuits map[ID]*Circuit
	points   map[ID]*Point
	modules  map[ID]*Module
	lines    map[ID]*Line
	wishes   map[ID]*Wish
	access   map[ID]*AccessPoint
	inRoom   map[ID][]*Point
	landings map[ID][]Landed
	lineOf   map[ID]*Line
}

// Landed is a landing together with the module that has it.
type Landed struct {
	Module  *Module
	Landing *Landing
}

// NewIndex makes the index of a house.
func NewIndex(h *House) *Index {
	x := &Index{
		house:    h,
		storeys:  byID(h.Storeys, func(e *Storey) ID { return e.ID }),
		rooms:    byID(h.Rooms, func(e *Room) ID { return e.ID }),
		walls:    byID(h.Walls, func(e *Wall) ID { return e.ID }),
		openings: byID(h.Openings, func(e *Opening) ID { return e.ID }),
		slabs:    byID(h.Slabs, func(e *Slab) ID { return e.ID }),
		boards:   byID(h.Boards, func(e *Board) ID { return e.ID }),
		circuits: byID(h.Circuits, func(e *Circuit) ID { return e.ID }),
		points:   byID(h.Points, func(e *Point) ID { return e.ID }),
		modules:  byID(h.Modules, func(e *Module) ID { return e.ID }),
		lines:    byID(h.Lines, func(e *Line) ID { return e.ID }),
		wishes:   byID(h.Wishes, func(e *Wish) ID { return e.ID }),
		access:   byID(h.Network.AccessPoints, func(e *AccessPoint) ID { return e.ID }),
		inRoom:   map[ID][]*Point{},
		landings: map[ID][]Landed{},
		lineOf:   map[ID]*Line{},
	}
	x.relate()
	return x
}

func byID[T any](list []T, id func(*T) ID) map[ID]*T {
	m := make(map[ID]*T, len(list))
	for i := range list {
		if _, taken := m[id(&list[i])]; !taken {
			m[id(&list[i])] = &list[i]
		}
	}
	return m
}

// relate fills what is found from the other side.
func (x *Index) relate() {
	for i := range x.house.Points {
		p := &x.house.Points[i]
		if p.Room != "" {
			x.inRoom[p.Room] = append(x.inRoom[p.Room], p)
		}
	}
	for i := range x.house.Modules {
		m := &x.house.Modules[i]
		for j := range m.Landings {
			l := &m.Landings[j]
			x.landings[l.Point] = append(x.landings[l.Point], Landed{m, l})
		}
	}
	for i := range x.house.Lines {
		l := &x.house.Lines[i]
		for _, tap := range l.Taps {
			if x.lineOf[tap.Module] == nil {
				x.lineOf[tap.Module] = l
			}
		}
		if x.lineOf[l.Head] == nil {
			x.lineOf[l.Head] = l
		}
	}
}

// House is the house that the index was made of.
func (x *Index) House() *House { return x.house }

// Storey finds a storey, nil if there is none of that identity; so do its sisters for the other kinds.
func (x *Index) Storey(id ID) *Storey { return x.storeys[id] }

// Room finds a room, nil if there is none.
func (x *Index) Room(id ID) *Room { return x.rooms[id] }

// Wall finds a wall, nil if there is none.
func (x *Index) Wall(id ID) *Wall { return x.walls[id] }

// Opening finds an opening, nil if there is none.
func (x *Index) Opening(id ID) *Opening { return x.openings[id] }

// Slab finds a slab, nil if there is none.
func (x *Index) Slab(id ID) *Slab { return x.slabs[id] }

// Board finds a board, nil if there is none.
func (x *Index) Board(id ID) *Board { return x.boards[id] }

// Circuit finds a circuit, nil if there is none.
func (x *Index) Circuit(id ID) *Circuit { return x.circuits[id] }

// Point finds a point, nil if there is none.
func (x *Index) Point(id ID) *Point { return x.points[id] }

// Module finds a module, nil if there is none.
func (x *Index) Module(id ID) *Module { return x.modules[id] }

// Line finds a line, nil if there is none.
func (x *Index) Line(id ID) *Line { return x.lines[id] }

// AccessPoint finds a Wi-Fi access point, nil if there is none.
func (x *Index) AccessPoint(id ID) *AccessPoint { return x.access[id] }

// Wish finds a wish, nil if there is none.
func (x *Index) Wish(id ID) *Wish { return x.wishes[id] }

// PointsIn lists the points of a room, in the order of the house.
func (x *Index) PointsIn(room ID) []*Point { return x.inRoom[room] }

// LandingsOf lists where a point lands, in the order of the modules: nowhere yet, on one channel, or, for the keys of a
// keypad, on several.
func (x *Index) LandingsOf(point ID) []Landed { return x.landings[point] }

// LineOf is the line that a module is on, its head included; nil if it is on none.
func (x *Index) LineOf(module ID) *Line { return x.lineOf[module] }

// ControllerOf is the module that executes for a module: the head of its line, or itself.
func (x *Index) ControllerOf(module ID) ID {
	if l := x.lineOf[module]; l != nil {
		return l.Head
	}
	return module
}
