package route

import (
	"cmp"
	"math"
	"slices"
)

// gap is how far beyond its half thicknesses a wall may end from another one and still meet it, in metres.
const gap = 0.06

// level zones: from each zone to the same of the other wall.
var level = [][2]Zone{{UnderCeiling, UnderCeiling}, {OverFloor, OverFloor}, {OverWorktop, OverWorktop}}

// meetings joins walls of a storey where one ends at another, and where two cross.
func (w *works) meetings() {
	w.group = newGroups(len(w.building.Walls))
	for i := range w.building.Walls {
		if !w.rails[i].sound {
			continue
		}
		a := &w.building.Walls[i]
		for end, p := range []XY{a.From, a.To} {
			for _, k := range w.grid.near(a.Storey, p, 1.5) {
				if k != i {
					w.meet(i, k, end, p)
				}
			}
		}
		w.crossings(i)
	}
}

// meet joins an end of wall i to wall k where it lies at it.
func (w *works) meet(i, k, end int, p XY) {
	a, b := &w.building.Walls[i], &w.building.Walls[k]
	along, across := b.foot(p)
	s := math.Max(0, math.Min(along, b.length()))
	reach := (a.Thickness+b.Thickness)/2 + gap
	if math.Abs(across) > reach || math.Abs(along-s) > reach || !beside(a, b) {
		return
	}
	sa := 0.0
	if end == 1 {
		sa = a.length()
	}
	// Where both end here, the join is made once, from the wall that comes first.
	if k < i && (s < eps || s > b.length()-eps) && w.ends(b, s, a, p) {
		return
	}
	w.add(join{a: i, b: k, sa: sa, sb: s, across: math.Abs(across) + math.Abs(along-s), kind: Along, zones: level})
	w.group.join(i, k)
}

// ends tells whether the end of wall b at s was joined to the same end p of wall a already.
func (w *works) ends(b *Wall, s float64, a *Wall, p XY) bool {
	along, across := a.foot(b.at(s))
	t := math.Max(0, math.Min(along, a.length()))
	reach := (a.Thickness+b.Thickness)/2 + gap
	q := a.at(t)
	return math.Abs(across) <= reach && math.Abs(along-t) <= reach && math.Hypot(q.X-p.X, q.Y-p.Y) < eps
}

// beside tells whether two walls stand in one height.
func beside(a, b *Wall) bool {
	return math.Min(a.Base+a.Height, b.Base+b.Height)-math.Max(a.Base, b.Base) > 0.1
}

// crossings joins wall i to those of a higher number that it crosses away from the ends of both.
func (w *works) crossings(i int) {
	a := &w.building.Walls[i]
	l := a.length()
	middle := a.at(l / 2)
	for _, k := range w.grid.near(a.Storey, middle, l/2) {
		b := &w.building.Walls[k]
		if k <= i || !beside(a, b) {
			continue
		}
		s0, c0 := a.foot(b.From)
		s1, c1 := a.foot(b.To)
		if c0*c1 >= 0 {
			continue
		}
		t := c0 / (c0 - c1)
		s, sb := s0+t*(s1-s0), t*b.length()
		if s > eps && s < l-eps && sb > eps && sb < b.length()-eps {
			w.add(join{a: i, b: k, sa: s, sb: sb, kind: Along, zones: level})
			w.group.join(i, k)
		}
	}
}

// add notes a join and its stations.
func (w *works) add(j join) {
	w.rails[j.a].stations = append(w.rails[j.a].stations, j.sa)
	w.rails[j.b].stations = append(w.rails[j.b].stations, j.sb)
	w.joins = append(w.joins, j)
}

// span is a way across the ceiling from the end of one wall to another.
type span struct {
	a, b           int
	sa, sb, across float64
}

// spansMost bounds the rounds in which groups of walls are joined; each halves their number at least.
const spansMost = 32

// spans joins the groups of walls that stand apart on a storey, each to its nearest, until none is near another
// (Borůvka's method, 1926).
func (w *works) spans() {
	single := make([]bool, len(w.building.Storeys)) // storeys with one group
	for range spansMost {
		w.oneGroup(single)
		best := map[int32]span{}
		for i := range w.building.Walls {
			if w.rails[i].sound && !single[w.building.Walls[i].Storey] {
				w.nearest(i, best)
			}
		}
		list := make([]span, 0, len(best))
		for _, s := range best {
			list = append(list, s)
		}
		slices.SortFunc(list, compareSpans)
		joined := false
		for _, s := range list {
			if w.group.join(s.a, s.b) {
				w.add(join{a: s.a, b: s.b, sa: s.sa, sb: s.sb, across: s.across, kind: Across, cost: w.rules.Across, zones: [][2]Zone{{UnderCeiling, UnderCeiling}}})
				joined = true
			}
		}
		if !joined {
			return
		}
	}
}

func compareSpans(x, y span) int {
	return cmp.Or(cmp.Compare(x.across, y.across), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b), cmp.Compare(x.sa, y.sa))
}

// oneGroup marks the storeys whose walls all hang together.
func (w *works) oneGroup(single []bool) {
	first := make([]int32, len(single))
	for i := range first {
		first[i], single[i] = -1, true
	}
	for i := range w.building.Walls {
		if !w.rails[i].sound {
			continue
		}
		s, g := w.building.Walls[i].Storey, w.group.of(i)
		if first[s] >= 0 && first[s] != g {
			single[s] = false
		}
		first[s] = g
	}
}

// nearest looks from both ends of a wall for the nearest wall of another group, and keeps the best for its own group.
func (w *works) nearest(i int, best map[int32]span) {
	a, own := &w.building.Walls[i], w.group.of(i)
	if a.Height < lowest {
		return
	}
	for end, p := range []XY{a.From, a.To} {
		for _, k := range w.grid.near(a.Storey, p, w.rules.Span) {
			b := &w.building.Walls[k]
			if w.group.of(k) == own || b.Height < lowest {
				continue
			}
			along, across := b.foot(p)
			sb := math.Max(0, math.Min(along, b.length()))
			d := math.Abs(across) + math.Abs(along-sb)
			s := span{a: i, b: k, sa: float64(end) * a.length(), sb: sb, across: d}
			if old, ok := best[own]; d <= w.rules.Span && (!ok || compareSpans(s, old) < 0) {
				best[own] = s
			}
		}
	}
}
