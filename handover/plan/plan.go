// Package plan draws the floor plan of a storey: rooms, walls, doors and windows, and the points and modules with their
// symbols and names, as one scene for screen, paper and DXF.
//
// The house goes in at one revision; nothing is drawn that is not in it, and nothing of it is left out for want of a
// place: a point whose place is not yet known stands at the foot of its room, or of the sheet where the room has no
// outline, in a dashed frame. A symbol that would cover another one is moved aside and tied to its place by a line. Names
// are put where they cover least (a search over a few places around each symbol, twice over all of them); a name that
// found room only further off has a line to its symbol.
//
// Split cuts a large storey into extents that fit sheets at a scale that can be read.
//
// Sources: symbols have the general forms of IEC 60617 (from memory); the drawing conventions are common practice.
package plan

import (
	"fmt"
	"math"

	"wirewright/handover/scene"
	"wirewright/house"
)

// Mark is a flag at an entity: a finding, for example.
type Mark struct {
	Role scene.Role // scene.FaultMark, scene.CautionMk or scene.RemarkMk
	Text string
}

// Extent is a rectangle of the house in metres: what a sheet shows.
type Extent struct{ X0, Y0, X1, Y1 float64 }

// Options say what to draw.
type Options struct {
	Scale   float64                  // 1:Scale; 0 for the largest usual one that fits Width × Height
	Width   float64                  // mm that the drawing may take; 0 for no bound
	Height  float64                  // mm
	Window  *Extent                  // only this part of the storey; nil for all of it
	Parts   []Extent                 // frames with their number, for the sheet that shows how parts lie
	Points  bool                     // points with symbols
	Names   bool                     // names beside the symbols
	Modules bool                     // where modules, boards and access points sit, with their names
	Cables  []Cable                  // ways of cables
	Marks   map[house.ID][]Mark      // flags by entity
	Values  map[house.ID]string      // present values, written behind the name (a living plan)
	Live    map[house.ID]bool        // points that are on or moving
	Medium  func(module string) bool // tells a wired module from a radio one by its type; nil: by its line
}

const (
	margin = 6.0    // mm around the drawing
	reach  = 30.0   // metres beyond walls and rooms within which a point still counts as placed
	most   = 1e7    // metres; a coordinate beyond is no place
	widest = 3000.0 // mm: no sheet grows beyond, whatever scale was asked for
)

// drawing is the state while a plan is being drawn.
type drawing struct {
	house  *house.House
	storey house.ID
	opt    Options
	scene  *scene.Scene
	model  scene.Model
	rooms  map[house.ID]*house.Room
	field  *field   // what names should keep clear of
	placed []placed // the points of the storey
	strip  []placed // those among them for which there is no place on the plan
	named  []named  // whatever wants its name beside it
}

// Draw draws one storey. A storey without geometry gives a sheet that says so.
func Draw(h *house.House, storey house.ID, opt Options) *scene.Scene {
	d := &drawing{house: h, storey: storey, opt: opt, rooms: map[house.ID]*house.Room{}, field: newField()}
	for i := range h.Rooms {
		if r := &h.Rooms[i]; r.Storey == storey {
			d.rooms[r.ID] = r
		}
	}
	b, ok := bounds(h, storey)
	if opt.Window != nil {
		b, ok = box{opt.Window.X0, opt.Window.Y0, opt.Window.X1, opt.Window.Y1}, true
	}
	if !ok {
		return d.empty()
	}
	d.sheet(b)
	d.floors()
	d.walls()
	d.openings()
	d.cables()
	if opt.Points || opt.Modules {
		d.place()
	}
	if opt.Modules {
		d.modules()
	}
	d.roomNames()
	d.write()
	d.frames()
	return d.scene
}

// sheet chooses the scale and lays out the sheet.
func (d *drawing) sheet(b box) {
	if d.opt.Scale <= 0 {
		o := d.opt
		if o.Window == nil && o.Points && o.Height > 0 {
			o.Height = math.Max(o.Height-stripHeight(d.house, d.storey, b, o.Width, o.Height), o.Height/2)
		}
		d.opt.Scale = fitScale(b, o)
	}
	if k := math.Max(b.x1-b.x0, b.y1-b.y0) * 1000 / widest; d.opt.Scale < k {
		d.opt.Scale = k
	}
	s := d.opt.Scale
	d.model = scene.Model{Scale: s, OriginX: b.x0 - margin*s/1000, OriginY: b.y1 + margin*s/1000}
	d.scene = &scene.Scene{Title: Title(d.house, d.storey), Model: &d.model,
		Width: (b.x1-b.x0)*1000/s + 2*margin, Height: (b.y1-b.y0)*1000/s + 2*margin}
	d.field.sheet = d.page().padded(50)
}

// Title is the title of a storey's plan.
func Title(h *house.House, storey house.ID) string {
	for _, s := range h.Storeys {
		if s.ID == storey && s.Title != "" {
			return s.Title
		}
	}
	return string(storey)
}

// empty is the sheet of a storey of which nothing is known but, perhaps, its points.
func (d *drawing) empty() *scene.Scene {
	const says = "This storey has no rooms and no walls yet."
	d.scene = &scene.Scene{Title: Title(d.house, d.storey), Width: 120, Height: 20}
	d.scene.Add(scene.Item{Layer: "rooms", Label: says, Shapes: []scene.Shape{
		scene.Text{Role: scene.Quiet, At: scene.Point{X: 60, Y: 12}, Size: 4, Anchor: scene.Middle, String: says}}})
	if d.opt.Points {
		d.place()
		d.write()
	}
	return d.scene
}

// Fit is the largest usual scale at which a storey fits a sheet of a width and height in mm; 0 for one without geometry.
func Fit(h *house.House, storey house.ID, width, height float64) float64 {
	b, ok := bounds(h, storey)
	if !ok {
		return 0
	}
	return fitScale(b, Options{Width: width, Height: math.Max(height-stripHeight(h, storey, b, width, height), height/2)})
}

// usualScales are the scales of building drawings, decade by decade (common practice; ISO 5455 has 20, 50 and 100 of
// them).
var usualScales = []float64{20, 25, 50, 75, 100, 125, 150, 200, 250, 500, 750}

// fitScale is the largest usual scale at which an extent fits; 1:50 at most where no size is given.
func fitScale(b box, opt Options) float64 {
	for decade := 1.0; decade < 1e9; decade *= 50 {
		for _, s := range usualScales {
			s *= decade
			wide := opt.Width == 0 || (b.x1-b.x0)*1000/s+2*margin <= opt.Width
			high := opt.Height == 0 || (b.y1-b.y0)*1000/s+2*margin <= opt.Height
			if wide && high && (s >= 50 || opt.Width > 0) {
				return s
			}
		}
	}
	return 1e9
}

// at maps metres of the house to the sheet.
func (d *drawing) at(x, y float64) scene.Point {
	return scene.Point{X: (x - d.model.OriginX) * 1000 / d.model.Scale, Y: (d.model.OriginY - y) * 1000 / d.model.Scale}
}

func (d *drawing) outline(ps []house.XY) []scene.Point {
	out := make([]scene.Point, len(ps))
	for i, p := range ps {
		out[i] = d.at(p.X, p.Y)
	}
	return out
}

// add appends an item, unless it lies wholly beside the window.
func (d *drawing) add(i scene.Item, extent box) {
	if d.opt.Window == nil || extent.overlaps(d.page()) {
		d.scene.Add(i)
	}
}

// page is the whole sheet.
func (d *drawing) page() box { return box{0, 0, d.scene.Width, d.scene.Height} }

// box is an axis-parallel rectangle, in metres or mm.
type box struct{ x0, y0, x1, y1 float64 }

func nothing() box { return box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)} }

func around(ps []scene.Point) box {
	b := nothing()
	for _, p := range ps {
		b.grow(p.X, p.Y)
	}
	return b
}

func (b *box) grow(x, y float64) {
	b.x0, b.y0, b.x1, b.y1 = math.Min(b.x0, x), math.Min(b.y0, y), math.Max(b.x1, x), math.Max(b.y1, y)
}

func (b box) overlaps(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }

func (b box) within(c box) bool {
	return b.x0 >= c.x0 && b.y0 >= c.y0 && b.x1 <= c.x1 && b.y1 <= c.y1
}

func (b box) padded(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

func (b box) has(x, y float64) bool { return x >= b.x0 && x <= b.x1 && y >= b.y0 && y <= b.y1 }

// bounds is the extent of a storey in metres, points that stand near it included; false when it has none.
func bounds(h *house.House, storey house.ID) (box, bool) {
	b := nothing()
	put := func(x, y float64) {
		if math.Abs(x) < most && math.Abs(y) < most {
			b.grow(x, y)
		}
	}
	for _, w := range h.Walls {
		if w.Storey == storey {
			t := w.Thickness.M() / 2
			put(math.Min(w.From.X, w.To.X)-t, math.Min(w.From.Y, w.To.Y)-t)
			put(math.Max(w.From.X, w.To.X)+t, math.Max(w.From.Y, w.To.Y)+t)
		}
	}
	on := map[house.ID]bool{}
	for _, r := range h.Rooms {
		if r.Storey == storey {
			on[r.ID] = true
			for _, p := range r.Outline {
				put(p.X, p.Y)
			}
		}
	}
	if b.x1 < b.x0 {
		return b, false
	}
	near := b.padded(reach)
	for _, p := range h.Points {
		if on[p.Room] && p.At != nil && near.has(p.At.X, p.At.Y) {
			b.grow(p.At.X, p.At.Y)
		}
	}
	return b, true
}

// floors draws the areas of the rooms.
func (d *drawing) floors() {
	for i := range d.house.Rooms {
		r := &d.house.Rooms[i]
		if r.Storey != d.storey || len(r.Outline) < 3 {
			continue
		}
		ps := d.outline(r.Outline)
		shapes := []scene.Shape{scene.Path{Role: scene.Room, Points: ps, Closed: true, Filled: true}}
		for _, hole := range r.Holes {
			shapes = append(shapes, scene.Path{Role: scene.Paper, Points: d.outline(hole), Closed: true, Filled: true})
		}
		d.add(scene.Item{Layer: "rooms", Entity: string(r.ID), Label: roomLabel(r), Shapes: shapes}, around(ps))
	}
}

func roomLabel(r *house.Room) string {
	return fmt.Sprintf("Room %s, %s", name(r.Title, r.ID), squareMetres(r))
}

func name(title string, id house.ID) string {
	if title != "" {
		return title
	}
	return string(id)
}

// squareMetres is the floor area of a room, without its holes.
func squareMetres(r *house.Room) string { return fmt.Sprintf("%.1f m²", r.FloorArea()) }
