// Package plan draws the floor plan of a storey: rooms, walls, doors and windows, and the points and modules with their
// symbols and names, as one scene for screen, paper and DXF.
//
// The house goes in at one revision; nothing is drawn that is not in it. A point without a place is put in a row at the
// foot of its room and marked so, rather than left out. Names are placed beside their symbols where they collide least.
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

// Options say what to draw.
type Options struct {
	Scale   float64                  // 1:Scale; 0 for the largest usual one that fits Width × Height
	Width   float64                  // mm that the drawing may take; 0 for no bound
	Height  float64                  // mm
	Points  bool                     // points with symbols
	Names   bool                     // names beside the symbols
	Modules bool                     // where modules sit
	Marks   map[house.ID][]Mark      // flags by entity
	Values  map[house.ID]string      // present values, shown under the symbol (a living plan)
	Live    map[house.ID]bool        // points that are on or moving
	Medium  func(module string) bool // tells a wired module from a radio one by its type; nil: by its line
}

// usualScales are the scales of building drawings.
var usualScales = []float64{20, 25, 50, 75, 100, 125, 150, 200, 250, 500, 1000}

const margin = 6 // mm around the drawing

// drawing is the state while a plan is being drawn.
type drawing struct {
	house  *house.House
	storey house.ID
	opt    Options
	scene  *scene.Scene
	model  scene.Model
	taken  []box // places of symbols and names, for the names to keep clear of
	solid  []box // walls, which names should keep clear of where they can
}

// Draw draws one storey. A storey without geometry gives a sheet that says so.
func Draw(h *house.House, storey house.ID, opt Options) *scene.Scene {
	b, ok := bounds(h, storey)
	if !ok {
		return empty(h, storey)
	}
	if opt.Scale == 0 {
		opt.Scale = fitScale(b, opt)
	}
	d := &drawing{house: h, storey: storey, opt: opt,
		model: scene.Model{Scale: opt.Scale, OriginX: b.x0 - margin*opt.Scale/1000, OriginY: b.y1 + margin*opt.Scale/1000}}
	d.scene = &scene.Scene{Title: Title(h, storey), Model: &d.model,
		Width: (b.x1-b.x0)*1000/opt.Scale + 2*margin, Height: (b.y1-b.y0)*1000/opt.Scale + 2*margin}
	d.rooms()
	d.walls()
	d.openings()
	d.roomNames()
	if opt.Points {
		d.points()
	}
	return d.scene
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

func empty(h *house.House, storey house.ID) *scene.Scene {
	s := &scene.Scene{Title: Title(h, storey), Width: 120, Height: 40}
	s.Add(scene.Item{Layer: "rooms", Label: "This storey has no rooms and no walls yet.", Shapes: []scene.Shape{
		scene.Text{Role: scene.Quiet, At: scene.Point{X: 60, Y: 22}, Size: 4, Anchor: scene.Middle, String: "This storey has no rooms and no walls yet."}}})
	return s
}

func fitScale(b box, opt Options) float64 {
	for _, s := range usualScales {
		wide := opt.Width == 0 || (b.x1-b.x0)*1000/s+2*margin <= opt.Width
		high := opt.Height == 0 || (b.y1-b.y0)*1000/s+2*margin <= opt.Height
		if wide && high && (s >= 50 || opt.Width > 0) {
			return s
		}
	}
	return usualScales[len(usualScales)-1]
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

// box is an axis-parallel rectangle, in metres or mm.
type box struct{ x0, y0, x1, y1 float64 }

func (b *box) grow(x, y float64) {
	b.x0, b.y0, b.x1, b.y1 = math.Min(b.x0, x), math.Min(b.y0, y), math.Max(b.x1, x), math.Max(b.y1, y)
}

func (b box) overlaps(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }

// bounds is the extent of a storey in metres, what lies on it included; false when it has none.
func bounds(h *house.House, storey house.ID) (box, bool) {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, w := range h.Walls {
		if w.Storey == storey {
			t := w.Thickness.M() / 2
			b.grow(math.Min(w.From.X, w.To.X)-t, math.Min(w.From.Y, w.To.Y)-t)
			b.grow(math.Max(w.From.X, w.To.X)+t, math.Max(w.From.Y, w.To.Y)+t)
		}
	}
	for _, r := range h.Rooms {
		if r.Storey == storey {
			for _, p := range r.Outline {
				b.grow(p.X, p.Y)
			}
		}
	}
	return b, b.x1 >= b.x0
}

func (d *drawing) rooms() {
	for _, r := range d.house.Rooms {
		if r.Storey != d.storey || len(r.Outline) < 3 {
			continue
		}
		shapes := []scene.Shape{scene.Path{Role: scene.Room, Points: d.outline(r.Outline), Closed: true, Filled: true}}
		for _, hole := range r.Holes {
			shapes = append(shapes, scene.Path{Role: scene.Paper, Points: d.outline(hole), Closed: true, Filled: true})
		}
		d.scene.Add(scene.Item{Layer: "rooms", Entity: string(r.ID), Label: roomLabel(r), Shapes: shapes})
	}
}

func roomLabel(r house.Room) string {
	return fmt.Sprintf("Room %s, %.1f m²", name(r.Title, r.ID), area(r.Outline))
}

func name(title string, id house.ID) string {
	if title != "" {
		return title
	}
	return string(id)
}

// area is the area of a polygon in its units squared.
func area(ps []house.XY) float64 {
	sum := 0.0
	for i, p := range ps {
		q := ps[(i+1)%len(ps)]
		sum += p.X*q.Y - q.X*p.Y
	}
	return math.Abs(sum) / 2
}
