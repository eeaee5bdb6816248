package furnish

import (
	"cmp"
	"math"
	"slices"

	"wirewright/house"
)

// doorway is an opening as seen from one of its rooms.
type doorway struct {
	*house.Opening
	from, to house.XY   // the jambs, in the face of the wall towards the room
	inward   house.XY   // unit vector into the room
	outer    bool       // it leads outside: no other room lies behind it
	upTo     float64    // height of its upper edge above the reference level, in metres; of a stack of windows the topmost
	stack    []house.ID // further windows right above it, served by the same shutter
}

func (d doorway) mid() house.XY { return middle(d.from, d.to) }

// area of the opening with its stack, in m².
func (d doorway) area() float64 { return d.Width.M() * (d.upTo - d.Sill.M()) }

// plan is a room with what its points are placed by.
type plan struct {
	*house.Room
	index     *house.Index
	north     house.Site
	measure   Defaults
	doors     []doorway // doors and passages, the one by which people come in first
	windows   []doorway // windows and glazed outer doors; stacked ones as one
	gates     []doorway
	skylights []house.ID
	walls     []*house.Wall
	used      []house.XY // places on walls that are taken
	hung      int        // entries placed on the ceiling so far
}

// survey looks at a room: its openings from inside, and the walls around it.
func survey(x *house.Index, r *house.Room, m Defaults) *plan {
	p := &plan{Room: r, index: x, north: x.House().Site, measure: m}
	h := x.House()
	for i := range h.Openings {
		o := &h.Openings[i]
		if !slices.Contains(o.Rooms, r.ID) {
			continue
		}
		d, ok := p.doorway(o)
		if !ok {
			continue
		}
		if o.Kind != house.Window {
			p.doors = append(p.doors, d)
		}
		if o.Kind == house.Window && o.Wall == "" {
			p.skylights = append(p.skylights, o.ID)
		}
		wide := o.Kind == house.Door && d.outer && o.Width >= m.GlazedDoor
		if o.Kind == house.Window && o.Wall != "" || wide {
			p.windows = append(p.windows, d)
		}
		if o.Kind == house.Door && d.outer && o.Width >= m.GateWidth {
			p.gates = append(p.gates, d)
		}
	}
	for i := range h.Walls {
		w := &h.Walls[i]
		if w.Base.M() < r.Floor.M()+1.5 && w.Base.M()+w.Height.M() > r.Floor.M()+0.5 {
			p.walls = append(p.walls, w)
		}
	}
	p.windows = stacked(p.windows)
	p.mainDoorFirst()
	return p
}

// doorway looks at an opening from inside the room.
func (p *plan) doorway(o *house.Opening) (doorway, bool) {
	along, ok := direction(o.From, o.To)
	if !ok {
		return doorway{}, false
	}
	half := 0.0
	if w := p.index.Wall(o.Wall); w != nil {
		half = w.Thickness.M() / 2
	}
	in := p.inward(middle(o.From, o.To), leftOf(along), half)
	shift := times(in, half)
	return doorway{Opening: o, from: plus(o.From, shift), to: plus(o.To, shift), inward: in, outer: len(o.Rooms) == 1,
		upTo: o.Sill.M() + o.Height.M()}, true
}

// inward turns the normal of an opening into the room: to the side where the room begins behind the wall, or else to the side
// where its middle is.
func (p *plan) inward(mid, n house.XY, half float64) house.XY {
	for _, d := range []float64{0.05, 0.15, 0.3, 0.5} {
		for _, side := range []float64{1, -1} {
			if p.Contains(plus(mid, times(n, side*(half+d)))) {
				return times(n, side)
			}
		}
	}
	if c, ok := p.Middle(); ok && dot(minus(c, mid), n) < 0 {
		return times(n, -1)
	}
	return n
}

// stacked joins windows that stand right above one another in one wall: one shutter runs over all of them.
func stacked(list []doorway) []doorway {
	slices.SortStableFunc(list, func(a, b doorway) int { return cmp.Compare(a.Sill, b.Sill) })
	var out []doorway
	for _, d := range list {
		i := slices.IndexFunc(out, func(o doorway) bool {
			return o.Wall == d.Wall && o.Wall != "" && length(minus(o.mid(), d.mid())) < 0.1 && math.Abs(d.Sill.M()-o.upTo) < 0.3
		})
		if i < 0 {
			out = append(out, d)
			continue
		}
		out[i].upTo = d.upTo
		out[i].stack = append(out[i].stack, d.ID)
	}
	return out
}

// mainDoorFirst puts the door by which people come in first: in a hall the outer door, elsewhere the widest door from inside
// the house. The others stay in their order.
func (p *plan) mainDoorFirst() {
	best := -1
	for i, d := range p.doors {
		if best < 0 || p.rank(d) > p.rank(p.doors[best]) {
			best = i
		}
	}
	if best > 0 {
		d := p.doors[best]
		p.doors = slices.Insert(slices.Delete(p.doors, best, best+1), 0, d)
	}
}

func (p *plan) rank(d doorway) float64 {
	fromOutside := d.outer && d.Kind == house.Door
	r := math.Min(d.Width.M(), 2)
	if fromOutside == (p.Use == "hall") {
		r += 10
	}
	return r
}

// farDoor is the door farthest from the main one, if it is at least 3 m away.
func (p *plan) farDoor() (doorway, bool) {
	best, most := doorway{}, 3.0
	for _, d := range p.doors[min(1, len(p.doors)):] {
		if l := length(minus(d.mid(), p.doors[0].mid())); l >= most {
			best, most = d, l
		}
	}
	return best, best.Opening != nil
}

func (p *plan) largestWindow() (doorway, bool) {
	best, found := doorway{}, false
	for _, d := range p.windows {
		if d.Kind == house.Window && (!found || d.area() > best.area()) {
			best, found = d, true
		}
	}
	return best, found
}

// ceiling is the height of the ceiling above the reference level.
func (p *plan) ceiling() float64 {
	if p.Height > 0 {
		return p.Floor.M() + p.Height.M()
	}
	return p.Floor.M() + p.measure.Ceiling.M()
}
