package plan

import (
	"math"

	"wirewright/handover/scene"
	"wirewright/house"
)

// Cable is the way of one cable through the house, as corners of a line.
type Cable struct {
	Entity house.ID // what it leads to
	Label  string
	Bus    bool // extra-low voltage
	Places []house.XYZ
}

// beside is how far bus cables are drawn from the middle of a wall, so that they show beside mains cables, in mm.
const beside = 0.5

// halo is the width of the light line below cables, so that they show in walls, in mm.
const halo = 0.7

// cables draws the pieces of the cables that run on the storey, and a ring where one goes through a slab. On the plan all
// zones of a wall lie upon each other; cables of one kind share a line.
func (d *drawing) cables() {
	low, high := d.span()
	var halos, items []scene.Item
	var extents []box
	for _, c := range d.opt.Cables {
		role, off := scene.Cable, 0.0
		if c.Bus {
			role, off = scene.Bus, beside
		}
		var below, shapes []scene.Shape
		extent := nothing()
		for _, points := range d.cableLines(c, low, high, off) {
			below = append(below, scene.Path{Role: scene.Paper, Width: halo, Points: points})
			shapes = append(shapes, scene.Path{Role: role, Width: 0.25, Points: points, Dashed: c.Bus})
			for _, p := range points {
				extent.grow(p.X, p.Y)
			}
		}
		for _, p := range d.slabs(c, low, high, off) {
			shapes = append(shapes, scene.Circle{Role: role, Centre: p, Radius: 0.7})
			extent.grow(p.X, p.Y)
		}
		if len(shapes) > 0 {
			halos = append(halos, scene.Item{Layer: "cables", Shapes: below})
			items = append(items, scene.Item{Layer: "cables", Entity: string(c.Entity), Label: c.Label, Shapes: shapes})
			extents = append(extents, extent.padded(1))
		}
	}
	for _, list := range [][]scene.Item{halos, items} {
		for i := range list {
			if len(list[i].Shapes) > 0 {
				d.add(list[i], extents[i])
			}
		}
	}
}

// cableLines are the pieces of a cable between two heights, on the sheet.
func (d *drawing) cableLines(c Cable, low, high, off float64) [][]scene.Point {
	var list [][]scene.Point
	for _, piece := range pieces(c.Places, low, high) {
		if len(piece) < 2 {
			continue
		}
		points := make([]scene.Point, len(piece))
		for i, p := range piece {
			q := d.at(p.X, p.Y)
			points[i] = scene.Point{X: q.X + off, Y: q.Y + off}
		}
		list = append(list, points)
	}
	return list
}

// slabs are the places where a cable leaves the storey through a slab.
func (d *drawing) slabs(c Cable, low, high, off float64) []scene.Point {
	var list []scene.Point
	for i := 0; i+1 < len(c.Places); i++ {
		a, b := c.Places[i], c.Places[i+1]
		if through(a, b, low) || through(a, b, high) {
			p := d.at(b.X, b.Y)
			list = append(list, scene.Point{X: p.X + off, Y: p.Y + off})
		}
	}
	return list
}

// span is from the floor of the storey to that of the next one above.
func (d *drawing) span() (low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	for _, s := range d.house.Storeys {
		if s.ID == d.storey {
			low = s.Elevation.M()
		}
	}
	for _, s := range d.house.Storeys {
		if e := s.Elevation.M(); e > low {
			high = math.Min(high, e)
		}
	}
	return low, high
}

// through tells whether a piece passes a height.
func through(a, b house.XYZ, z float64) bool {
	return (a.Z < z-0.01) != (b.Z < z-0.01)
}

// pieces cuts a way into its parts between two heights.
func pieces(places []house.XYZ, low, high float64) [][]house.XYZ {
	var list [][]house.XYZ
	open := false
	for _, p := range places {
		in := p.Z >= low-0.01 && p.Z < high-0.01
		if in && !open {
			list = append(list, nil)
		}
		if in {
			list[len(list)-1] = append(list[len(list)-1], p)
		}
		open = in
	}
	return list
}
