package furnish

import (
	"math"

	"wirewright/house"
	"wirewright/unit"
)

// spot is one place where an entry puts a point.
type spot struct {
	at      *house.XYZ
	opening house.ID
	facing  *unit.Angle
	door    house.ID // the door that the spot is beside, for remarks
	tall    float64  // height of the window that a motor travels, in metres
	note    string
}

// reach is how far, in metres, the outline of a room may be from where a point beside a door is expected; at a jog of the
// wall it is farther, and the other side of the door is tried.
const reach = 0.12

// spots finds the places of an entry; none where the room has no such place.
func (p *plan) spots(e Entry) []spot {
	switch e.Place {
	case Ceiling:
		return p.onCeiling()
	case EachDoor:
		return p.besideDoors(p.doors, e)
	case MainDoor:
		return p.besideDoors(p.doors[:min(1, len(p.doors))], e)
	case FarDoor:
		if d, ok := p.farDoor(); ok {
			return p.besideDoors([]doorway{d}, e)
		}
		return nil
	case OuterDoor:
		return p.overLatches()
	case EachWindow:
		return p.overOpenings(p.windows)
	case Gate:
		return p.overOpenings(p.gates)
	case LargestWindow:
		if d, ok := p.largestWindow(); ok {
			at := place(onOutline(p.Room, d.mid()), math.Min(p.Floor.M()+e.Height.M(), d.Sill.M()))
			return []spot{{at: &at}}
		}
	}
	return p.onWall(e.Height)
}

// onCeiling hangs the first thing in the middle of the room, and each further one a step beside it.
func (p *plan) onCeiling() []spot {
	c, ok := p.Middle()
	if !ok {
		return []spot{{note: "the room has no outline; its place is not known"}}
	}
	at := c
	if p.hung > 0 {
		at = p.beside(c)
	}
	p.hung++
	xyz := place(at, p.ceiling())
	return []spot{{at: &xyz}}
}

// beside finds a place a step from c, inside the room, in the direction with the most room.
func (p *plan) beside(c house.XY) house.XY {
	best, most := c, -1.0
	turn := 2 * math.Pi / 8 * float64(p.hung-1)
	for _, r := range []float64{0.6, 0.4, 0.25} {
		for i := range 8 {
			a := turn + float64(i)*2*math.Pi/8
			q := plus(c, house.XY{X: r * math.Cos(a), Y: r * math.Sin(a)})
			if d := p.WallDistance(q); p.Contains(q) && d > most+1e-6 {
				best, most = q, d
			}
		}
		if most > 0.15 {
			break
		}
	}
	return best
}

// besideDoors places something beside each door, on its latch side if the wall goes on there. In a room without doors it
// goes to a wall.
func (p *plan) besideDoors(doors []doorway, e Entry) []spot {
	height := p.measure.KeyHeight
	if e.Height > 0 {
		height = e.Height
	}
	if len(doors) == 0 {
		list := p.onWall(height)
		for i := range list {
			list[i].note = "the room has no door: say where"
		}
		return list
	}
	var out []spot
	for _, d := range doors {
		q, note := p.besideDoor(d, height.M())
		at := place(q, p.Floor.M()+height.M())
		out = append(out, spot{at: &at, door: d.ID, note: note})
	}
	return out
}

// besideDoor finds the place beside a door, in the face of the wall.
func (p *plan) besideDoor(d doorway, height float64) (house.XY, string) {
	latch, hinge := d.to, d.from
	if d.Hinge == "to" {
		latch, hinge = hinge, latch
	}
	var fallback house.XY
	for i, jambs := range [][2]house.XY{{latch, hinge}, {hinge, latch}} {
		along, _ := direction(jambs[1], jambs[0])
		want := plus(jambs[0], times(along, p.measure.KeyOffset.M()))
		q := onOutline(p.Room, want)
		room := length(minus(q, jambs[0])) >= 0.6*p.measure.KeyOffset.M() // not squeezed between jamb and corner
		if length(minus(q, want)) <= reach && room && p.clear(q, height, d.ID) {
			if i == 1 && d.Hinge != "" {
				return q, "on the hinge side: there is no free wall on the latch side"
			}
			return q, ""
		}
		if i == 0 {
			fallback = q
		}
	}
	return fallback, "there is no free wall beside the door: look for a better place"
}

// clear tells whether a place on a wall is free of openings at a height; one opening is left out of account, but not its
// width.
func (p *plan) clear(q house.XY, height float64, beside house.ID) bool {
	z := p.Floor.M() + height
	for _, list := range [][]doorway{p.doors, p.windows} {
		for _, d := range list {
			if z < d.Sill.M()-0.1 || z > d.upTo+0.1 {
				continue
			}
			gap := 0.08
			if d.ID == beside {
				gap = 0.02
			}
			if length(minus(q, onSegment(q, d.from, d.to))) < gap {
				return false
			}
		}
	}
	return true
}

// overLatches places something at the upper end of the latch side of each outer door.
func (p *plan) overLatches() []spot {
	var out []spot
	for _, d := range p.doors {
		if !d.outer || d.Kind != house.Door {
			continue
		}
		latch := d.to
		if d.Hinge == "to" {
			latch = d.from
		}
		at := place(onOutline(p.Room, latch), math.Min(d.upTo, p.ceiling())-0.05)
		out = append(out, spot{at: &at, opening: d.ID})
	}
	return out
}

// overOpenings places something over the middle of each opening, facing outward.
func (p *plan) overOpenings(list []doorway) []spot {
	var out []spot
	for _, d := range list {
		at := place(onOutline(p.Room, d.mid()), math.Min(d.upTo+0.1, p.ceiling()-0.05))
		facing := bearing(times(d.inward, -1), p.north.North)
		s := spot{at: &at, opening: d.ID, facing: &facing, tall: d.upTo - d.Sill.M()}
		for _, id := range d.stack {
			s.note = joined(s.note, "also over "+string(id))
		}
		out = append(out, s)
	}
	return out
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// onWall finds a place in the middle of a piece of wall that is clear of openings and of what hangs there already: the
// longest piece that there is.
func (p *plan) onWall(height unit.Length) []spot {
	best, most := house.XY{}, -1.0
	for i, a := range p.Outline {
		b := p.Outline[(i+1)%len(p.Outline)]
		for _, t := range []float64{0.5, 0.25, 0.75} {
			q := plus(a, times(minus(b, a), t))
			score := length(minus(b, a)) * (1 - math.Abs(t-0.5))
			if !p.clear(q, height.M(), "") || p.taken(q) {
				score /= 100
			}
			if !p.walled(q) {
				score /= 1000
			}
			if score > most+1e-9 {
				best, most = q, score
			}
		}
	}
	if most < 0 {
		return []spot{{note: "the room has no outline; its place is not known"}}
	}
	p.used = append(p.used, best)
	at := place(best, p.Floor.M()+height.M())
	return []spot{{at: &at}}
}

func (p *plan) taken(q house.XY) bool {
	for _, u := range p.used {
		if length(minus(u, q)) < 0.5 {
			return true
		}
	}
	return false
}

// walled tells whether there is a wall behind a place of the outline; in a house without walls there is one everywhere.
func (p *plan) walled(q house.XY) bool {
	for _, w := range p.walls {
		if w.Distance(q) < w.Thickness.M()/2+0.15 {
			return true
		}
	}
	return len(p.walls) == 0
}
