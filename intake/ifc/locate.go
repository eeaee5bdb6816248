package ifc

import (
	"math"
	"slices"
	"sort"

	"wirewright/house"
)

func stableSort[T any](list []T, less func(a, b T) bool) {
	sort.SliceStable(list, func(i, j int) bool { return less(list[i], list[j]) })
}

// onEdge is the distance, in metres, within which a point counts as lying on the edge of a room.
const onEdge = 0.005

// roomAt finds the room that a place lies in. A place on the edge of several rooms belongs to the one with the smaller floor:
// what hangs over the edge of a stairwell belongs to the stairs, which have little room for anything else. Of rooms above one
// another, the one whose height span holds z wins, the nearest otherwise.
func (b *builder) roomAt(p point, z float64, level house.ID) (house.ID, bool) {
	var best *room
	for i := range b.rooms {
		r := &b.rooms[i]
		if !r.spans(z) || !r.nearBox(p, onEdge) || !r.outline.holds(p) && r.outline.distance(p) > onEdge {
			continue
		}
		if best == nil || better(r, best, p, level) {
			best = r
		}
	}
	if best == nil {
		return "", false
	}
	return best.id, true
}

// spans tells whether a height lies in a room, with a hand's breadth for what is set into its ceiling or floor.
func (r *room) spans(z float64) bool { return z > r.low-0.2 && z < r.high+0.2 }

// better tells whether room r suits a place better than room s, both having it inside or on the edge.
func better(r, s *room, p point, level house.ID) bool {
	rIn, sIn := r.outline.holds(p) && r.outline.distance(p) > onEdge, s.outline.holds(p) && s.outline.distance(p) > onEdge
	if rIn != sIn {
		return rIn
	}
	if rIn && (r.level == level) != (s.level == level) {
		return r.level == level
	}
	if ra, sa := r.outline.area(), s.outline.area(); math.Abs(ra-sa) > 1e-3 {
		return ra < sa
	}
	return r.id < s.id
}

// joins finds the rooms on both sides of an opening: by geometry, and where that finds none by what the file says it bounds.
func (b *builder) joins(draft int, o opening, wallID house.ID) []house.ID {
	var out []house.ID
	add := func(id house.ID) {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	mid := o.from.plus(o.to).times(0.5)
	n, ok := o.to.minus(o.from).left().unit()
	if !o.hostWall || !ok {
		add(b.below(mid, o.sill))
	} else {
		half := b.halfThickness(wallID)
		for _, side := range []float64{1, -1} {
			add(b.roomBeside(mid, n.times(side), half, o))
		}
	}
	if len(out) == 0 {
		for _, s := range o.bounds {
			add(b.roomOf[key{draft, s}])
		}
	}
	return out
}

// roomBeside looks for a room in front of an opening, first close to the face of the wall and then further off, because a
// room's outline may end at a lining.
func (b *builder) roomBeside(mid, n point, half float64, o opening) house.ID {
	z := o.sill + math.Min(o.height/2, 1)
	for _, d := range []float64{0.05, 0.15, 0.3, 0.5} {
		if id, ok := b.roomAt(mid.plus(n.times(half+d)), z, ""); ok {
			return id
		}
	}
	return ""
}

func (b *builder) halfThickness(id house.ID) float64 {
	if i, ok := b.walls[id]; ok {
		return b.house.Walls[i].Thickness.M() / 2
	}
	return 0
}

// below finds the room under an opening in a roof: the highest floor below it.
func (b *builder) below(p point, z float64) house.ID {
	best, floor := house.ID(""), math.Inf(-1)
	for i := range b.rooms {
		r := &b.rooms[i]
		if r.nearBox(p, 0) && r.outline.holds(p) && r.low < z-0.5 && r.low > floor {
			best, floor = r.id, r.low
		}
	}
	return best
}
