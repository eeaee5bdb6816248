package plan

import (
	"math"
	"strconv"

	"wirewright/handover/scene"
	"wirewright/house"
)

// overlap is how much neighbouring parts have in common, in mm of the sheet.
const overlap = 8.0

// Split cuts a storey into extents that each fit a sheet of a width and height in mm at a scale, row by row from the
// upper left; one extent where all of it fits, none where the storey has no geometry. Parts in which nothing of the
// storey lies are left out.
func Split(h *house.House, storey house.ID, scale, width, height float64) []Extent {
	b, ok := bounds(h, storey)
	if !ok || scale <= 0 || width <= 4*margin || height <= 4*margin {
		return nil
	}
	metre := scale / 1000
	columns, wide := divide(b.x1-b.x0, (width-2*margin)*metre, overlap*metre)
	rows, high := divide(b.y1-b.y0, (height-2*margin)*metre, overlap*metre)
	var list []Extent
	for row := range rows {
		for column := range columns {
			x0, y1 := b.x0+float64(column)*(wide-overlap*metre), b.y1-float64(row)*(high-overlap*metre)
			e := Extent{x0, y1 - high, x0 + wide, y1}
			if columns*rows == 1 || occupied(h, storey, e) {
				list = append(list, e)
			}
		}
	}
	return list
}

// partsMost bounds the parts of a storey in each direction: beyond, they grow larger than the sheet asked for.
const partsMost = 20

// divide cuts a length into equal pieces of at most so much that overlap their neighbours; it gives how many, and the
// length of each.
func divide(length, most, overlap float64) (int, float64) {
	if length <= most {
		return 1, length
	}
	n := int(math.Min(math.Ceil((length-overlap)/(most-overlap)), partsMost))
	return n, (length + float64(n-1)*overlap) / float64(n)
}

// occupied tells whether a room or a wall of a storey lies in an extent.
func occupied(h *house.House, storey house.ID, e Extent) bool {
	window := box{e.X0, e.Y0, e.X1, e.Y1}
	for _, r := range h.Rooms {
		if r.Storey != storey {
			continue
		}
		b := nothing()
		for _, p := range r.Outline {
			b.grow(p.X, p.Y)
		}
		if b.overlaps(window) {
			return true
		}
	}
	for _, w := range h.Walls {
		b := nothing()
		b.grow(w.From.X, w.From.Y)
		b.grow(w.To.X, w.To.Y)
		if w.Storey == storey && b.padded(0.05).overlaps(window) {
			return true
		}
	}
	return false
}

// frames draws where the parts of a storey lie, each with its number in the middle.
func (d *drawing) frames() {
	for i, e := range d.opt.Parts {
		a, b := d.at(e.X0, e.Y1), d.at(e.X1, e.Y0)
		number := strconv.Itoa(i + 1)
		size := math.Min(8, math.Min(b.X-a.X, b.Y-a.Y)/2)
		c := scene.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
		d.scene.Add(scene.Item{Layer: "parts", Label: "Part " + number, Shapes: []scene.Shape{
			scene.Path{Role: scene.Highlight, Dashed: true, Closed: true, Width: 0.25, Points: []scene.Point{a, {X: b.X, Y: a.Y}, b, {X: a.X, Y: b.Y}}},
			scene.Circle{Role: scene.Highlight, Centre: c, Radius: size * .8, Filled: true, Width: 0.25},
			scene.Text{Role: scene.Label, At: scene.Point{X: c.X, Y: c.Y + size*.36}, Size: size, Anchor: scene.Middle, Bold: true, String: number}}})
	}
}
