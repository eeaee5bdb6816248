package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wirewright/calc/route"
	"wirewright/house"
)

// Words says the way between two spots as one would tell it to somebody who lays the cable: "board2 – up – ceiling zone –
// hall, study – down to 1.05 m above the floor". Heights are above the floor of the room or storey. Empty where there is
// no way along walls.
func (r *Router) Words(from, to Spot) string {
	legs := r.legs(from, to)
	if len(legs) == 0 {
		return ""
	}
	words := []string{string(from.ID)}
	target, start := r.roomOfSpot(to), r.roomOfSpot(from)
	for i, l := range legs {
		switch l.Kind {
		case route.Along:
			words = append(words, zoneWords(l.Zone))
			if rooms := r.roomsAlong(l, start, target); rooms != "" {
				words = append(words, rooms)
			}
		case route.Upright:
			words = append(words, rise(l))
		case route.Slab:
			words = append(words, rise(l)+" through the slab")
		case route.Across:
			words = append(words, fmt.Sprintf("%.1f m across the ceiling", l.Length.M()))
		case route.Tail:
			words = append(words, r.tailWords(l, i == 0)...)
		}
	}
	return strings.Join(words, " – ")
}

func zoneWords(z route.Zone) string {
	switch z {
	case route.OverFloor:
		return "floor zone"
	case route.OverWorktop:
		return "zone over the worktop"
	}
	return "ceiling zone"
}

func rise(l route.Leg) string {
	if l.To.Z < l.From.Z {
		return "down"
	}
	return "up"
}

// slight is a difference in height that is not worth a word, in metres.
const slight = 0.05

// inBox is how far from the middle of a wall a box may be without a word, in metres.
const inBox = 0.6

// tailWords says how a cable leaves a board, or comes to what it feeds.
func (r *Router) tailWords(l route.Leg, first bool) []string {
	var words []string
	dz := l.To.Z - l.From.Z
	if !first && len(l.Walls) == 1 {
		along, across := r.building.Walls[l.Walls[0]].Off(l.To, l.From)
		if along > slight {
			words = append(words, fmt.Sprintf("%.1f m beside the opening", along))
		}
		if across > inBox {
			words = append(words, fmt.Sprintf("%.1f m at right angles", across))
		}
	}
	switch {
	case math.Abs(dz) < slight:
	case first:
		words = append(words, rise(l))
	default:
		words = append(words, fmt.Sprintf("%s to %.2f m above the floor", rise(l), l.To.Z-r.floorAt(l.To)))
	}
	return words
}

// floorAt is the height of the floor below a place: that of its storey.
func (r *Router) floorAt(p route.XYZ) float64 {
	if s := r.storeyAt(p.Z); s >= 0 {
		return r.building.Storeys[s]
	}
	return 0
}

// storeyAt is the highest storey whose floor is not above a height, -1 for none.
func (r *Router) storeyAt(z float64) int {
	best := -1
	for i, floor := range r.building.Storeys {
		if floor <= z+0.1 {
			best = i
		}
	}
	return max(best, min(0, len(r.building.Storeys)-1))
}

func (r *Router) roomOfSpot(s Spot) *roomBox {
	t, ok := r.spots[s]
	if !ok {
		return nil
	}
	p := r.building.Terminals[t]
	storey := p.Storey
	if storey < 0 {
		storey = r.storeyAt(p.At.Z)
	}
	q := r.building.back(p.At)
	return r.building.roomOf(storey, house.XY{X: q.X, Y: q.Y})
}

// roomsAlong names the rooms along a leg, as few as will do: one is kept as long as the cable runs beside it.
func (r *Router) roomsAlong(l route.Leg, start, target *roomBox) string {
	var names []string
	var open []*roomBox
	flush := func() {
		if len(open) > 0 {
			names = append(names, roomName(chosen(open, start, target)))
		}
	}
	for i := 0; i+1 < len(l.Places); i++ {
		beside := slices.DeleteFunc(r.besidePiece(l.Places[i], l.Places[i+1]), func(x *roomBox) bool { return x.Use == "outside" && x != target })
		if len(beside) == 0 {
			continue
		}
		both := slices.DeleteFunc(slices.Clone(open), func(x *roomBox) bool { return !slices.Contains(beside, x) })
		if len(both) == 0 {
			flush()
			both = beside
		}
		open = both
	}
	flush()
	return strings.Join(slices.Compact(names), ", ")
}

// besidePiece are the rooms on both sides of a piece of wall.
func (r *Router) besidePiece(a, b route.XYZ) []*roomBox {
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	if d < 0.02 {
		return nil
	}
	m := r.building.back(route.XYZ{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2, Z: a.Z})
	const off = 0.35 // m from the middle of a wall: within the room, even beside a thick one
	return r.building.bothSides(r.storeyAt(m.Z), house.XY{X: m.X, Y: m.Y}, house.XY{X: (b.X - a.X) / d, Y: (b.Y - a.Y) / d}, off)
}

// chosen is the room that a person would name: the one that the cable leads to or comes from, else the first.
func chosen(list []*roomBox, start, target *roomBox) *roomBox {
	for _, x := range []*roomBox{target, start} {
		if x != nil && slices.Contains(list, x) {
			return x
		}
	}
	return list[0]
}

func roomName(r *roomBox) string { return string(r.ID) }
