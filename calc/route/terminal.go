package route

import "math"

// onWall is how far from the face of a wall something may stand and still hang on it, in metres.
const onWall = 0.42

// tail is the way from a zone of a wall to a terminal.
type tail struct {
	terminal, wall int
	zone           Zone
	s              float64 // station on the wall
	way            float64 // m, from there to the terminal
}

// terminals finds for each terminal the walls that it is fed from.
func (w *works) terminals() {
	for i := range w.building.Terminals {
		t := &w.building.Terminals[i]
		if !t.At.sound() || len(w.building.Storeys) == 0 {
			continue
		}
		storey := w.storeyOf(t)
		if k := w.hangsOn(storey, t.At); k >= 0 {
			for _, z := range w.rails[k].zones {
				w.drop(i, k, z)
			}
			continue
		}
		w.standsFree(i, storey)
	}
}

// storeyOf is the storey of a terminal: the one that it names, else the highest whose floor is not above it.
func (w *works) storeyOf(t *Terminal) int {
	if t.Storey >= 0 && t.Storey < len(w.building.Storeys) {
		return t.Storey
	}
	best := 0
	for i, floor := range w.building.Storeys {
		if floor <= t.At.Z+0.1 {
			best = i
		}
	}
	return best
}

// hangsOn is the wall at whose face something stands, the nearest one; -1 for none.
func (w *works) hangsOn(storey int, at XYZ) int {
	best, least := -1, math.Inf(1)
	p := XY{at.X, at.Y}
	for _, k := range w.grid.near(storey, p, 1) {
		b := &w.building.Walls[k]
		s, across := b.foot(p)
		off := math.Abs(across) - b.Thickness/2
		beyond := math.Max(0, math.Max(-s, s-b.length()))
		if off <= onWall && beyond <= b.Thickness/2+eps && at.Z >= b.Base-0.3 && at.Z <= b.Base+b.Height+0.3 {
			if d := math.Max(off, 0) + beyond; d < least-1e-9 {
				best, least = k, d
			}
		}
	}
	return best
}

// drop leads from one zone of a wall up or down to what hangs on it; around an opening, where one is in the way.
func (w *works) drop(terminal, wall int, z rail) {
	b, at := &w.building.Walls[wall], w.building.Terminals[terminal].At
	s, across := b.foot(XY{at.X, at.Y})
	l := b.length()
	here := math.Max(0, math.Min(s, l))
	low, high := math.Min(at.Z, z.z), math.Max(at.Z, z.z)
	from, ok := here, !b.open(here, low, high)
	for _, o := range b.Openings {
		for _, jamb := range []float64{o.From - w.rules.Beside, o.To + w.rules.Beside} {
			nearer := !ok || from != here && math.Abs(jamb-here) < math.Abs(from-here)
			if nearer && jamb >= 0 && jamb <= l && !b.open(jamb, low, high) {
				from, ok = jamb, true
			}
		}
	}
	if ok {
		w.tail(tail{terminal, wall, z.zone, from, math.Abs(s-from) + math.Abs(across) + high - low})
	}
}

// standsFree leads to something in the middle of a room: at right angles from the walls around it, one on each side, under
// the ceiling or over the floor, whichever it is nearer to; from the nearest wall where none faces it.
func (w *works) standsFree(terminal, storey int) {
	at := w.building.Terminals[terminal].At
	p := XY{at.X, at.Y}
	walls, ways := [4]int{-1, -1, -1, -1}, [4]float64{}
	for _, k := range w.grid.near(storey, p, w.rules.Reach) {
		b := &w.building.Walls[k]
		s, across := b.foot(p)
		if d := math.Abs(across); s >= 0 && s <= b.length() && d <= w.rules.Reach {
			side := sideOf(b, across)
			if walls[side] < 0 || d < ways[side]-1e-9 {
				walls[side], ways[side] = k, d
			}
		}
	}
	found := false
	for _, k := range walls {
		found = k >= 0 || found
		if k >= 0 {
			w.feed(terminal, k)
		}
	}
	if !found {
		if k, _, _ := w.closest(storey, p, w.rules.Reach); k >= 0 {
			w.feed(terminal, k)
		}
	}
}

// sideOf is the quarter of the plan in which a wall lies as seen from a place so far across from it.
func sideOf(w *Wall, across float64) int {
	dx, dy := (w.To.Y-w.From.Y)*across, -(w.To.X-w.From.X)*across
	switch {
	case math.Abs(dx) > math.Abs(dy) && dx > 0:
		return 0
	case math.Abs(dx) > math.Abs(dy):
		return 1
	case dy > 0:
		return 2
	}
	return 3
}

// feed leads from a wall to something that stands free.
func (w *works) feed(terminal, wall int) {
	b, at := &w.building.Walls[wall], w.building.Terminals[terminal].At
	s, across := b.foot(XY{at.X, at.Y})
	t := math.Max(0, math.Min(s, b.length()))
	zones := w.rails[wall].zones
	z := zones[0]
	if at.Z > b.Base+b.Height/2 {
		z = zones[len(zones)-1]
	}
	if !b.cut(t, t, z.z) {
		w.tail(tail{terminal, wall, z.zone, t, math.Abs(across) + math.Abs(s-t) + math.Abs(at.Z-z.z)})
	}
}

func (w *works) tail(t tail) {
	w.rails[t.wall].stations = append(w.rails[t.wall].stations, t.s)
	w.tails = append(w.tails, t)
}

// joinTerminals gives each terminal the node that it sends from and the node where it is reached: no way leads on through
// a terminal.
func (w *works) joinTerminals() {
	n := len(w.building.Terminals)
	w.begin, w.end, w.storeys = make([]int32, n), make([]int32, n), make([]int, n)
	for i := range n {
		w.begin[i], w.end[i] = -1, -1
	}
	for _, t := range w.tails {
		r := &w.rails[t.wall]
		at := r.node(r.station(t.s), t.zone)
		if w.begin[t.terminal] < 0 {
			place := node{at: w.building.Terminals[t.terminal].At, wall: -1}
			w.begin[t.terminal], w.end[t.terminal] = int32(len(w.nodes)), int32(len(w.nodes)+1)
			w.nodes = append(w.nodes, place, place)
		}
		w.storeys[t.terminal] = w.building.Walls[t.wall].Storey // one for all tails of a terminal
		b, e := w.begin[t.terminal], w.end[t.terminal]
		w.link(b, at, Tail, length(t.way), 0)
		w.links[len(w.links)-1].oneWay = true
		w.link(at, e, Tail, length(t.way), 0)
		w.links[len(w.links)-1].oneWay = true
	}
}
