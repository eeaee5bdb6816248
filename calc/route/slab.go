package route

import "math"

// slabs joins walls of storeys above each other where the upper one stands on the lower one: near both ends of what
// they have in common, from below the ceiling to above the floor.
func (w *works) slabs() {
	for i := range w.building.Walls {
		a := &w.building.Walls[i]
		if !w.rails[i].sound || a.Storey+1 >= len(w.building.Storeys) || a.Height < lowest {
			continue
		}
		l := a.length()
		for _, k := range w.grid.near(a.Storey+1, a.at(l/2), l/2) {
			w.above(i, k)
		}
	}
}

// up leads from the upper zone of one storey to the lower zone of the next.
var up = [][2]Zone{{UnderCeiling, OverFloor}}

// above joins wall i to wall k of the storey above it, where it stands on it.
func (w *works) above(i, k int) {
	a, b := &w.building.Walls[i], &w.building.Walls[k]
	s0, c0 := a.foot(b.From)
	s1, c1 := a.foot(b.To)
	reach := (a.Thickness + b.Thickness) / 2
	if math.Abs(c0) > reach || math.Abs(c1) > reach || b.Base < a.Base+lowest {
		return
	}
	low, high := math.Max(0, math.Min(s0, s1)), math.Min(a.length(), math.Max(s0, s1))
	if high-low < 2*w.rules.Beside {
		return
	}
	places := []float64{low + w.rules.Beside, high - w.rules.Beside}
	for _, o := range b.Openings {
		for _, sb := range []float64{o.From - w.rules.Beside, o.To + w.rules.Beside} {
			if s, _ := a.foot(b.at(sb)); s > low && s < high {
				places = append(places, s)
			}
		}
	}
	first, last := math.Inf(1), math.Inf(-1)
	for _, s := range places {
		if w.clear(i, k, s) {
			first, last = math.Min(first, s), math.Max(last, s)
		}
	}
	if first > last {
		return
	}
	w.through(i, k, first)
	if last-first > eps {
		w.through(i, k, last)
	}
}

// clear tells whether no opening is in the way of a cable that goes up at s of wall i into wall k.
func (w *works) clear(i, k int, s float64) bool {
	a, b := &w.building.Walls[i], &w.building.Walls[k]
	sb, _ := b.foot(a.at(s))
	top, foot := a.Base+a.Height, b.Base+w.rules.Floor
	return sb >= -eps && sb <= b.length()+eps && !a.open(s, top-w.rules.Ceiling, top) && !b.open(sb, b.Base, foot)
}

func (w *works) through(i, k int, s float64) {
	a, b := &w.building.Walls[i], &w.building.Walls[k]
	sb, across := b.foot(a.at(s))
	sb = math.Max(0, math.Min(sb, b.length()))
	w.add(join{a: i, b: k, sa: s, sb: sb, across: math.Abs(across), kind: Slab, cost: w.rules.Slab, zones: up})
}

// shafts joins storey to storey through ready-made ways: each from the wall nearest to it, at no cost but its length.
func (w *works) shafts() {
	for _, p := range w.building.Shafts {
		if !(XYZ{p.X, p.Y, 0}).sound() {
			continue
		}
		below := -1
		var sa, da float64
		for storey := range w.building.Storeys {
			k, s, d := w.closest(storey, p, w.rules.Span)
			if k >= 0 && below >= 0 {
				w.add(join{a: below, b: k, sa: sa, sb: s, across: da + d, kind: Slab, zones: up})
			}
			below, sa, da = k, s, d
		}
	}
}

// closest is the wall of a storey nearest to a place, -1 for none, with the place along it and the way there.
func (w *works) closest(storey int, p XY, radius float64) (wall int, along, way float64) {
	wall, way = -1, math.Inf(1)
	for _, k := range w.grid.near(storey, p, radius) {
		b := &w.building.Walls[k]
		s, across := b.foot(p)
		t := math.Max(0, math.Min(s, b.length()))
		if d := math.Abs(across) + math.Abs(s-t); d < way-1e-9 && d <= radius && b.Height >= lowest {
			wall, along, way = k, t, d
		}
	}
	return wall, along, way
}
