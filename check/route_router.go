package check

import (
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"wirewright/calc/route"
	"wirewright/house"
	"wirewright/unit"
)

// Spot names a place from which or to which a cable runs: a board, a point or a module.
type Spot struct {
	Kind string // "board", "point" or "module"
	ID   house.ID
}

// Way is how far it is from one spot to another.
type Way struct {
	Length  unit.Length // along the walls, or along the axes; without allowances
	Reached bool        // a way along the walls was found
	Note    string      // why not, or what was assumed; empty where nothing was
}

// Router finds the ways of cables in one house: along its walls in the customary zones, see package route. It remembers
// what it was asked, and is not safe for concurrent use. It sees the places of the house as it was when the Router was
// made.
type Router struct {
	building *building
	graph    *route.Graph
	search   *route.Search
	spots    map[Spot]int // terminal
	assumed  map[int]bool // terminals whose place is that of their room
	known    map[[2]int]unit.Length
	none     map[[2]int]bool
}

// NewRouter makes the graph of a house. A house without walls has no ways along them.
func NewRouter(h *house.House) *Router {
	r := &Router{building: newBuilding(h), spots: map[Spot]int{}, assumed: map[int]bool{}, known: map[[2]int]unit.Length{}, none: map[[2]int]bool{}}
	rooms := make(map[house.ID]*roomBox, len(h.Rooms))
	for s := range r.building.rooms {
		for _, x := range r.building.rooms[s] {
			rooms[x.ID] = x
		}
	}
	for i := range h.Boards {
		b := &h.Boards[i]
		r.place(Spot{"board", b.ID}, b.At, rooms[b.Room], 1.5)
	}
	for i := range h.Points {
		p := &h.Points[i]
		r.place(Spot{"point", p.ID}, p.At, rooms[p.Room], usualPlace(p.Kind))
	}
	for i := range h.Modules {
		r.placeModule(&h.Modules[i], rooms)
	}
	r.graph = route.New(&r.building.Building, route.Customary())
	r.search = r.graph.NewSearch()
	return r
}

// usualPlace is the height above the floor at which something is taken to be of which only the room is known; that of
// lamps is the ceiling.
func usualPlace(k house.Kind) float64 {
	switch k {
	case house.Lamp, house.Presence, house.Fan:
		return math.Inf(1)
	case house.Socket, house.Valve:
		return 0.3
	}
	return 1.1
}

// placeModule gives a module the place of its board or of the point in whose box it sits, else its own.
func (r *Router) placeModule(m *house.Module, rooms map[house.ID]*roomBox) {
	own := Spot{"module", m.ID}
	if _, taken := r.spots[own]; taken {
		return
	}
	for _, at := range []Spot{{"board", m.Board}, {"point", m.Point}} {
		if t, ok := r.spots[at]; ok && m.At == nil && at.ID != "" {
			r.spots[own] = t
			return
		}
	}
	r.place(own, m.At, rooms[m.Room], 1.1)
}

// place makes a terminal of a spot: where it is, else in the middle of its room, at a height above its floor.
func (r *Router) place(s Spot, at *house.XYZ, room *roomBox, height float64) {
	if _, taken := r.spots[s]; taken {
		return
	}
	storey := -1
	if room != nil {
		storey = r.building.storeys[room.Storey]
	}
	if at == nil {
		if room == nil {
			return
		}
		middle, ok := room.inside()
		if !ok {
			return
		}
		high := usualHeight
		if room.Height > 0 {
			high = room.Height.M()
		}
		at = &house.XYZ{X: middle.X, Y: middle.Y, Z: room.floor + math.Min(height, high)}
		r.assumed[len(r.building.Terminals)] = true
	}
	r.spots[s] = len(r.building.Terminals)
	r.building.Terminals = append(r.building.Terminals, route.Terminal{At: r.building.at(*at), Storey: storey})
}

// inside is a place well inside a room: its centre of gravity where that is in it, which is quickly found.
func (r *roomBox) inside() (house.XY, bool) {
	if c, ok := r.Centroid(); !ok || r.Contains(c) {
		return c, ok
	}
	return r.Middle()
}

// Way measures the way between two spots.
func (r *Router) Way(from, to Spot) Way { return r.Ways(from, []Spot{to})[0] }

// Ways measures the ways from one spot to others, in their order.
func (r *Router) Ways(from Spot, to []Spot) []Way {
	list := make([]Way, len(to))
	a, ok := r.spots[from]
	if ok {
		r.ask(a, to)
	}
	for i, s := range to {
		b, there := r.spots[s]
		switch {
		case !ok:
			list[i].Note = fmt.Sprintf("the place of %s is not known", from.ID)
		case !there:
			list[i].Note = fmt.Sprintf("the place of %s is not known", s.ID)
		default:
			list[i] = r.way(a, b)
		}
	}
	return list
}

func (r *Router) way(a, b int) Way {
	if a == b {
		return Way{Reached: true}
	}
	w := Way{}
	if w.Length, w.Reached = r.known[[2]int{a, b}]; !w.Reached {
		w.Length = r.axes(a, b)
		w.Note = "no way along the walls was found: measured along the axes"
	} else if r.assumed[a] || r.assumed[b] {
		w.Note = "its place is not known: taken in the middle of its room"
	}
	return w
}

// ask searches for what is not known yet.
func (r *Router) ask(a int, to []Spot) {
	if missing := r.missing(a, to); len(missing) > 0 {
		r.search.From(a, missing)
		r.learn(r.search, a, missing)
	}
}

// missing are the terminals to which no way was looked for yet.
func (r *Router) missing(a int, to []Spot) []int {
	var list []int
	for _, s := range to {
		b, ok := r.spots[s]
		if k := [2]int{a, b}; ok && b != a && !r.none[k] {
			if _, known := r.known[k]; !known {
				list = append(list, b)
			}
		}
	}
	return list
}

// learn remembers what a search has found.
func (r *Router) learn(s *route.Search, a int, to []int) {
	for _, b := range to {
		if l, ok := s.Length(b); ok {
			r.known[[2]int{a, b}] = l
		} else {
			r.none[[2]int{a, b}] = true
		}
	}
}

// question is one spot and what its ways are asked to.
type question struct {
	from    int
	missing []int
}

// askAll searches from many spots at once, on as many cores as there are.
func (r *Router) askAll(from []Spot, to [][]Spot) {
	var list []question
	for i, s := range from {
		if a, ok := r.spots[s]; ok {
			if missing := r.missing(a, to[i]); len(missing) > 0 {
				list = append(list, question{a, missing})
			}
		}
	}
	var next atomic.Int64
	var memory sync.Mutex
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(list)) {
		all.Go(func() {
			s := r.graph.NewSearch()
			for i := next.Add(1) - 1; i < int64(len(list)); i = next.Add(1) - 1 {
				s.From(list[i].from, list[i].missing)
				memory.Lock()
				r.learn(s, list[i].from, list[i].missing)
				memory.Unlock()
			}
		})
	}
	all.Wait()
}

// axes is the way along the axes of the plan; 0 where a place is no place.
func (r *Router) axes(a, b int) unit.Length {
	p, q := r.building.Terminals[a].At, r.building.Terminals[b].At
	m := math.Abs(p.X-q.X) + math.Abs(p.Y-q.Y) + math.Abs(p.Z-q.Z)
	if !(m < 1e6) {
		return 0
	}
	return unit.Metres(m)
}

// Places are the corners of the way between two spots, both ends included; nil where there is no way along walls.
func (r *Router) Places(from, to Spot) []house.XYZ {
	var list []house.XYZ
	for i, l := range r.legs(from, to) {
		places := l.Places
		if l.Kind == route.Tail && len(l.Walls) == 1 {
			end := l.To
			if i == 0 {
				end = l.From
			}
			places = []route.XYZ{l.From, r.building.Walls[l.Walls[0]].Foot(end), l.To}
		}
		for _, p := range places {
			if q := r.building.back(p); len(list) == 0 || list[len(list)-1] != q {
				list = append(list, q)
			}
		}
	}
	return list
}

func (r *Router) legs(from, to Spot) []route.Leg {
	a, ok := r.spots[from]
	b, there := r.spots[to]
	if !ok || !there || a == b {
		return nil
	}
	r.search.From(a, []int{b})
	return r.search.Legs(b)
}

// Allowance is what a cable needs beyond its way.
type Allowance struct {
	Board, Point unit.Length // tail at a board, and in a box or at a lamp
	Slack        float64     // share of the way, for bends and what is cut off
}

// UsualAllowance is 1 m at a board, 0.3 m in a box and 5 % of the way (common practice, no source).
func UsualAllowance() Allowance {
	return Allowance{Board: unit.Metres(1), Point: unit.Metres(0.3), Slack: 0.05}
}

// Of is the length of cable for a way between two spots, in whole decimetres, rounded up.
func (a Allowance) Of(w Way, from, to Spot) unit.Length {
	l := w.Length.M() * (1 + a.Slack)
	for _, s := range []Spot{from, to} {
		if s.Kind == "board" {
			l += a.Board.M()
		} else {
			l += a.Point.M()
		}
	}
	return unit.Metres(math.Ceil(l*10-1e-6) / 10)
}
