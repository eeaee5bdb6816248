package check

import (
	"cmp"
	"math"
	"slices"

	"wirewright/calc/route"
	"wirewright/house"
)

// What is taken of a building that the house does not say.
const (
	usualHeight = 2.6  // m, of a wall where neither it nor its storey has a height (common practice, no source)
	slabUsual   = 0.25 // m, of a slab that a wall passes on its way to the next storey (common practice, no source)
	partLeast   = 1.2  // m that a wall must rise above the floor of the next storey to be a wall there, too
	behindFace  = 0.15 // m beyond the face of a wall at which its room is looked for
)

// building is a house as package route sees it: storeys by height, coordinates from an origin near its walls.
type building struct {
	route.Building
	origin  house.XY
	storeys map[house.ID]int
	walls   []house.ID   // of route.Building.Walls
	rooms   [][]*roomBox // by storey
}

// roomBox is a room with the rectangle around it.
type roomBox struct {
	*house.Room
	low, high house.XY
	floor     float64
}

func newBuilding(h *house.House) *building {
	b := &building{storeys: map[house.ID]int{}}
	for i := range h.Walls {
		if p := h.Walls[i].From; isPlace(p) {
			b.origin = house.XY{X: math.Round(p.X), Y: math.Round(p.Y)}
			break
		}
	}
	b.readStoreys(h)
	b.readRooms(h)
	b.readWalls(h)
	return b
}

func isPlace(p house.XY) bool { return !math.IsNaN(p.X+p.Y) && !math.IsInf(p.X+p.Y, 0) }

func (b *building) readStoreys(h *house.House) {
	order := make([]*house.Storey, 0, len(h.Storeys))
	for i := range h.Storeys {
		order = append(order, &h.Storeys[i])
	}
	slices.SortStableFunc(order, func(x, y *house.Storey) int {
		return cmp.Or(cmp.Compare(x.Elevation, y.Elevation), cmp.Compare(x.ID, y.ID))
	})
	for _, s := range order {
		if _, taken := b.storeys[s.ID]; !taken {
			b.storeys[s.ID] = len(b.Storeys)
			b.Storeys = append(b.Storeys, s.Elevation.M())
		}
	}
	b.rooms = make([][]*roomBox, len(b.Storeys))
}

func (b *building) readRooms(h *house.House) {
	for i := range h.Rooms {
		r := &h.Rooms[i]
		s, ok := b.storeys[r.Storey]
		if !ok || len(r.Outline) < 3 {
			continue
		}
		x := &roomBox{Room: r, low: r.Outline[0], high: r.Outline[0], floor: r.Floor.M()}
		if r.Floor == 0 {
			x.floor = b.Storeys[s]
		}
		for _, p := range r.Outline {
			x.low = house.XY{X: math.Min(x.low.X, p.X), Y: math.Min(x.low.Y, p.Y)}
			x.high = house.XY{X: math.Max(x.high.X, p.X), Y: math.Max(x.high.Y, p.Y)}
		}
		b.rooms[s] = append(b.rooms[s], x)
		if c, ok := r.Centroid(); r.Use == "shaft" && ok {
			b.Shafts = append(b.Shafts, b.plan(c))
		}
	}
	// A shaft runs through several storeys, with a room on each: one way for all of them.
	const same = 1.0 // m
	kept := b.Shafts[:0]
	for _, p := range b.Shafts {
		if !slices.ContainsFunc(kept, func(q route.XY) bool { return math.Hypot(p.X-q.X, p.Y-q.Y) < same }) {
			kept = append(kept, p)
		}
	}
	b.Shafts = kept
}

func (b *building) plan(p house.XY) route.XY {
	return route.XY{X: p.X - b.origin.X, Y: p.Y - b.origin.Y}
}

func (b *building) at(p house.XYZ) route.XYZ {
	return route.XYZ{X: p.X - b.origin.X, Y: p.Y - b.origin.Y, Z: p.Z}
}

func (b *building) back(p route.XYZ) house.XYZ {
	return house.XYZ{X: p.X + b.origin.X, Y: p.Y + b.origin.Y, Z: p.Z}
}

func (b *building) readWalls(h *house.House) {
	heights := map[house.ID]float64{}
	for i := range h.Storeys {
		heights[h.Storeys[i].ID] = h.Storeys[i].Height.M()
	}
	openings := map[house.ID][]*house.Opening{}
	for i := range h.Openings {
		o := &h.Openings[i]
		openings[o.Wall] = append(openings[o.Wall], o)
	}
	for i := range h.Walls {
		w := &h.Walls[i]
		s, ok := b.storeys[w.Storey]
		if !ok || !isPlace(w.From) || !isPlace(w.To) {
			continue
		}
		base, height := w.Base.M(), w.Height.M()
		if w.Base == 0 {
			base = b.Storeys[s]
		}
		if height <= 0 {
			height = cmp.Or(math.Max(heights[w.Storey], 0), usualHeight)
		}
		x := route.Wall{Storey: s, From: b.plan(w.From), To: b.plan(w.To), Base: base, Height: height, Thickness: w.Thickness.M()}
		for _, o := range openings[w.ID] {
			x.Openings = append(x.Openings, openingIn(w, o, base))
		}
		b.putWall(w, x)
	}
}

// putWall enters a wall; one that stands through several storeys is a wall of each of them.
func (b *building) putWall(w *house.Wall, x route.Wall) {
	top := x.Base + x.Height
	for s := x.Storey; s < len(b.Storeys); s++ {
		part := x
		part.Storey = s
		if s > x.Storey {
			part.Base = b.Storeys[s]
		}
		high := top
		if s+1 < len(b.Storeys) && top-b.Storeys[s+1] >= partLeast {
			high = math.Min(top, b.Storeys[s+1]-slabUsual)
		}
		part.Height = high - part.Base
		part.Worktop = slices.ContainsFunc(b.roomsAt(w, s), func(r *roomBox) bool { return r.Use == "kitchen" })
		b.Walls, b.walls = append(b.Walls, part), append(b.walls, w.ID)
		if high == top {
			return
		}
	}
}

// openingIn is an opening as seen along its wall; one whose jambs are not known has its width about its middle.
func openingIn(w *house.Wall, o *house.Opening, base float64) route.Opening {
	l := w.Length()
	along := func(p house.XY) float64 {
		return ((p.X-w.From.X)*(w.To.X-w.From.X) + (p.Y-w.From.Y)*(w.To.Y-w.From.Y)) / l
	}
	from, to := along(o.From), along(o.To)
	from, to = math.Min(from, to), math.Max(from, to)
	if wide := o.Width.M(); to-from < wide/2 {
		from, to = (from+to-wide)/2, (from+to+wide)/2
	}
	sill := math.Max(o.Sill.M(), base)
	return route.Opening{From: from, To: to, Sill: sill, Head: sill + o.Height.M()}
}

// roomsAt are the rooms on both sides of the middle of a wall.
func (b *building) roomsAt(w *house.Wall, storey int) []*roomBox {
	middle := house.XY{X: (w.From.X + w.To.X) / 2, Y: (w.From.Y + w.To.Y) / 2}
	l := w.Length()
	if l <= 0 {
		return nil
	}
	return b.bothSides(storey, middle, house.XY{X: (w.To.X - w.From.X) / l, Y: (w.To.Y - w.From.Y) / l}, w.Thickness.M()/2+behindFace)
}

// bothSides are the rooms on both sides of a place on a line.
func (b *building) bothSides(storey int, p, along house.XY, off float64) []*roomBox {
	var list []*roomBox
	for _, side := range []float64{off, -off} {
		if r := b.roomOf(storey, house.XY{X: p.X - along.Y*side, Y: p.Y + along.X*side}); r != nil && !slices.Contains(list, r) {
			list = append(list, r)
		}
	}
	return list
}

// roomOf is the first room of a storey that a place lies in, nil for none.
func (b *building) roomOf(storey int, p house.XY) *roomBox {
	if storey < 0 || storey >= len(b.rooms) {
		return nil
	}
	for _, r := range b.rooms[storey] {
		if p.X >= r.low.X && p.X <= r.high.X && p.Y >= r.low.Y && p.Y <= r.high.Y && r.Contains(p) {
			return r
		}
	}
	return nil
}
