package check

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"wirewright/calc/radio"
	"wirewright/catalogue"
	"wirewright/house"
)

// What is taken for the fabric of a house where it says nothing itself (common practice, no source).
const (
	placeMost   = 1e6   // m, beyond which a place is taken for a typing error
	storeyRise  = 3.0   // m from floor to floor where the storey does not say
	wallFull    = 2.0   // m, from which on a wall goes up to the floor above
	floorApart  = 1.0   // m between floors that count as two
	wallMost    = 100.0 // dB, more than which no figure of a wall means anything
	gridCell    = 3.0   // m
	gridMost    = 64    // cells each way
	doorLeaf    = 0.040 // m of wood
	windowPane  = 0.004 // m of glass, twice, without a metal coating
	windowSpace = 0.016 // m of air between them
)

// fabric is what stands in the way of radio: walls by storey, floors between storeys, and what each costs.
type fabric struct {
	storeys []storeyWalls
	floors  []floor
	classes []wallClass
	losses  map[lossKey]float64
}

// floor is the floor of a storey over its footprint.
type floor struct {
	z    float64
	foot box
	open bool // the storey has no outlined room: its floor is taken to be everywhere
}

// box is an upright rectangle on the plan.
type box struct{ x0, y0, x1, y1 float64 }

var noBox = box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

func (b *box) take(p house.XY) {
	b.x0, b.y0, b.x1, b.y1 = min(b.x0, p.X), min(b.y0, p.Y), max(b.x1, p.X), max(b.y1, p.Y)
}

func (b *box) has(x, y float64) bool { return x >= b.x0 && x <= b.x1 && y >= b.y0 && y <= b.y1 }

// wallClass is what walls of equal layers have in common. Layers is empty where a material is not known.
type wallClass struct {
	layers []radio.Layer
	opaque string // the material that lets nothing through
}

// Classes that stand for openings, before those of walls.
const (
	doorClass = iota
	windowClass
	wallClasses // the first of a wall
)

type lossKey struct {
	class int
	ghz   float64
}

// barrier is a wall with its openings, ready to be crossed.
type barrier struct {
	wall     *house.Wall
	class    int
	low, top float64
	holes    []hole
	seen     int // number of the last path that met it
}

// hole is an opening as a part of its wall: from and to along the axis, 0 to 1.
type hole struct {
	from, to, low, top float64
	kind               house.OpeningKind
}

// newFabric reads the walls, openings and storeys of a house.
func newFabric(h *house.House, c *catalogue.Catalogue) *fabric {
	f := &fabric{losses: map[lossKey]float64{}}
	f.classes = []wallClass{
		{layers: []radio.Layer{layerOf(c, "wood", doorLeaf)}},
		{layers: []radio.Layer{layerOf(c, "glass", windowPane), {Material: radio.Air, Thickness: windowSpace}, layerOf(c, "glass", windowPane)}},
	}
	f.readFloors(h)
	f.readWalls(h, c)
	return f
}

// standard is a material for openings where the catalogue has none of its name (ITU-R P.2040-2, Table 3).
var standard = map[string]radio.Material{"wood": {A: 1.99, C: .0047, D: 1.0718}, "glass": {A: 6.31, C: .0036, D: 1.3394}}

func layerOf(c *catalogue.Catalogue, id string, thickness float64) radio.Layer {
	m := standard[id]
	if got, ok := c.Material(id); ok && got.A > 0 && !got.Opaque {
		m = radio.Material{A: got.A, B: got.B, C: got.C, D: got.D}
	}
	return radio.Layer{Material: m, Thickness: thickness}
}

func (f *fabric) readFloors(h *house.House) {
	feet := map[house.ID]*box{}
	for i := range h.Rooms {
		r := &h.Rooms[i]
		if r.Use == "outside" || len(r.Outline) < 3 {
			continue
		}
		foot := feet[r.Storey]
		if foot == nil {
			b := noBox
			foot = &b
			feet[r.Storey] = foot
		}
		for _, p := range r.Outline {
			foot.take(p)
		}
	}
	for i := range h.Storeys {
		e := floor{z: h.Storeys[i].Elevation.M(), open: true}
		if foot := feet[h.Storeys[i].ID]; foot != nil {
			e.foot, e.open = *foot, false
		}
		f.floors = append(f.floors, e)
	}
	slices.SortStableFunc(f.floors, func(a, b floor) int { return cmp.Compare(a.z, b.z) })
}

func (f *fabric) readWalls(h *house.House, c *catalogue.Catalogue) {
	holes := map[house.ID][]*house.Opening{}
	for i := range h.Openings {
		holes[h.Openings[i].Wall] = append(holes[h.Openings[i].Wall], &h.Openings[i])
	}
	storeys := map[house.ID]*house.Storey{}
	for i := range h.Storeys {
		storeys[h.Storeys[i].ID] = &h.Storeys[i]
	}
	sorter := &classifier{cat: c, of: map[string]int{}, materials: map[string]*catalogue.Material{}, fabric: f}
	at := map[house.ID]int{}
	for i := range h.Walls {
		w := &h.Walls[i]
		if !sane(w.From.X, w.From.Y, w.To.X, w.To.Y) || w.Length() <= 0 {
			continue
		}
		b := barrier{wall: w, class: sorter.class(w)}
		b.stand(storeys[w.Storey])
		b.pierce(holes[w.ID])
		k, ok := at[w.Storey]
		if !ok {
			k, at[w.Storey] = len(f.storeys), len(f.storeys)
			f.storeys = append(f.storeys, storeyWalls{})
		}
		f.storeys[k].walls = append(f.storeys[k].walls, b)
	}
	for k := range f.storeys {
		f.storeys[k].lay()
	}
}

// sane tells whether figures are places on this earth.
func sane(figures ...float64) bool {
	for _, x := range figures {
		if !(math.Abs(x) <= placeMost) {
			return false
		}
	}
	return true
}

// stand finds foot and top of a wall. A full wall goes up to the floor above.
func (b *barrier) stand(s *house.Storey) {
	elevation, rise := 0.0, storeyRise
	if s != nil {
		elevation = s.Elevation.M()
		if s.Height > 0 {
			rise = s.Height.M()
		}
	}
	b.low = b.wall.Base.M()
	if b.low == 0 {
		b.low = elevation
	}
	height := b.wall.Height.M()
	b.top = b.low + height
	if height <= 0 || height >= wallFull {
		b.top = max(b.top, elevation+rise)
	}
}

// pierce makes the openings of a wall holes in it.
func (b *barrier) pierce(list []*house.Opening) {
	for _, o := range list {
		if !sane(o.From.X, o.From.Y, o.To.X, o.To.Y) {
			continue
		}
		h := hole{from: b.along(o.From), to: b.along(o.To), low: o.Sill.M(), kind: o.Kind}
		if h.from > h.to {
			h.from, h.to = h.to, h.from
		}
		if h.low == 0 {
			h.low = b.low
		}
		h.top = h.low + o.Height.M()
		b.holes = append(b.holes, h)
	}
}

// along is where a place is along the axis of a wall: 0 at its start, 1 at its end.
func (b *barrier) along(p house.XY) float64 {
	dx, dy := b.wall.To.X-b.wall.From.X, b.wall.To.Y-b.wall.From.Y
	return ((p.X-b.wall.From.X)*dx + (p.Y-b.wall.From.Y)*dy) / (dx*dx + dy*dy)
}

// classifier gives walls of equal layers one class.
type classifier struct {
	*fabric
	cat       *catalogue.Catalogue
	of        map[string]int
	materials map[string]*catalogue.Material // memo; nil for a name that the catalogue does not know
}

func (s *classifier) class(w *house.Wall) int {
	var key strings.Builder
	for _, l := range w.Layers {
		key.WriteString(l.Material)
		key.WriteByte(0)
		key.WriteString(strconv.FormatInt(int64(l.Thickness), 36))
		key.WriteByte(0)
	}
	if len(w.Layers) == 1 && w.Layers[0].Thickness <= 0 {
		key.WriteString(strconv.FormatInt(int64(w.Thickness), 36))
	}
	if k, ok := s.of[key.String()]; ok {
		return k
	}
	s.of[key.String()] = len(s.classes)
	s.classes = append(s.classes, s.build(w))
	return len(s.classes) - 1
}

// build reads the layers of a wall; one whose material or thickness is not known makes the whole wall unknown.
func (s *classifier) build(w *house.Wall) wallClass {
	var c wallClass
	for _, l := range w.Layers {
		m, thickness := s.material(l.Material), l.Thickness
		if thickness <= 0 && len(w.Layers) == 1 {
			thickness = w.Thickness
		}
		switch {
		case m != nil && m.Opaque:
			return wallClass{opaque: m.ID}
		case m == nil || m.A <= 0:
			return wallClass{}
		case thickness > 0:
			c.layers = append(c.layers, radio.Layer{Material: radio.Material{A: m.A, B: m.B, C: m.C, D: m.D}, Thickness: thickness.M()})
		}
	}
	return c
}

func (s *classifier) material(name string) *catalogue.Material {
	m, known := s.materials[name]
	if !known {
		m, _ = s.cat.Material(name)
		s.materials[name] = m
	}
	return m
}

// loss is what a class costs in dB at a frequency; a wall of unknown material costs a heavy wall of COST 231.
func (f *fabric) loss(class int, ghz float64) float64 {
	if len(f.classes[class].layers) == 0 {
		return radio.HeavyWall
	}
	key := lossKey{class, ghz}
	db, ok := f.losses[key]
	if !ok {
		db = radio.PlanLoss(f.classes[class].layers, ghz)
		if !(db >= 0 && db <= wallMost) {
			db = wallMost
		}
		f.losses[key] = db
	}
	return db
}
