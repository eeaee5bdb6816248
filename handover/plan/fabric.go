package plan

import (
	"math"

	"wirewright/handover/scene"
	"wirewright/house"
)

// strip is the rectangle of half-width t around a line, as corners in order.
func strip(a, b house.XY, t float64) []house.XY {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return nil
	}
	nx, ny := -(b.Y-a.Y)/l*t, (b.X-a.X)/l*t
	return []house.XY{{X: a.X + nx, Y: a.Y + ny}, {X: b.X + nx, Y: b.Y + ny}, {X: b.X - nx, Y: b.Y - ny}, {X: a.X - nx, Y: a.Y - ny}}
}

// walls draws the walls; at its ends a wall runs on by half its thickness where another wall stands, so that corners
// close.
func (d *drawing) walls() {
	for _, w := range d.house.Walls {
		if w.Storey != d.storey {
			continue
		}
		t := math.Max(w.Thickness.M()/2, 0.02)
		a, b := d.joined(w, w.From, w.To), d.joined(w, w.To, w.From)
		if ps := strip(a, b, t); ps != nil {
			out := d.outline(ps)
			if d.opt.Window == nil || around(out).overlaps(d.page()) {
				for _, b := range along(out) {
					d.field.put(b, onWall, -1)
				}
			}
			d.add(scene.Item{Layer: "walls", Entity: string(w.ID), Label: "Wall " + name(w.Title, w.ID),
				Shapes: []scene.Shape{scene.Path{Role: scene.Wall, Points: out, Closed: true, Filled: true}}}, around(out))
		}
	}
}

// joined is the end point of a wall, lengthened into the corner where another wall of the storey ends nearby.
func (d *drawing) joined(w house.Wall, end, other house.XY) house.XY {
	l := math.Hypot(end.X-other.X, end.Y-other.Y)
	if l == 0 {
		return end
	}
	for _, v := range d.house.Walls {
		if v.ID == w.ID || v.Storey != w.Storey || parallel(v, w) {
			continue
		}
		reach := (v.Thickness.M()+w.Thickness.M())/2 + 0.01
		for _, e := range []house.XY{v.From, v.To} {
			if math.Hypot(e.X-end.X, e.Y-end.Y) <= reach {
				k := v.Thickness.M() / 2 / l
				return house.XY{X: end.X + (end.X-other.X)*k, Y: end.Y + (end.Y-other.Y)*k}
			}
		}
	}
	return end
}

func parallel(v, w house.Wall) bool {
	cross := (v.To.X-v.From.X)*(w.To.Y-w.From.Y) - (v.To.Y-v.From.Y)*(w.To.X-w.From.X)
	return math.Abs(cross) < 1e-6
}

func (d *drawing) openings() {
	walls := map[house.ID]house.Wall{}
	for _, w := range d.house.Walls {
		walls[w.ID] = w
	}
	for _, o := range d.house.Openings {
		if o.Storey != d.storey {
			continue
		}
		t := 0.1
		if w, ok := walls[o.Wall]; ok {
			t = math.Max(w.Thickness.M()/2, 0.02)
		}
		ps := strip(o.From, o.To, t)
		if ps == nil {
			continue
		}
		shapes := []scene.Shape{scene.Path{Role: scene.Paper, Points: d.outline(ps), Closed: true, Filled: true},
			scene.Path{Role: scene.Opening, Points: d.outline([]house.XY{ps[0], ps[3]})}, scene.Path{Role: scene.Opening, Points: d.outline([]house.XY{ps[1], ps[2]})}}
		switch o.Kind {
		case house.Window:
			shapes = append(shapes, d.window(o, ps)...)
		case house.Door:
			shapes = append(shapes, d.door(o, t)...)
		}
		d.add(scene.Item{Layer: "openings", Entity: string(o.ID), Label: string(o.Kind) + " " + name(o.Title, o.ID), Shapes: shapes}, around(d.outline(ps)).padded(o.Width.M()*1000/d.model.Scale))
	}
}

func (d *drawing) window(o house.Opening, ps []house.XY) []scene.Shape {
	return []scene.Shape{
		scene.Path{Role: scene.Opening, Points: d.outline([]house.XY{ps[0], ps[1]})},
		scene.Path{Role: scene.Opening, Points: d.outline([]house.XY{ps[3], ps[2]})},
		scene.Path{Role: scene.Opening, Points: d.outline([]house.XY{o.From, o.To})},
	}
}

// door draws the leaf standing open at a right angle and the arc of its edge. It opens into the first of its rooms
// that has an outline; the hinge is the jamb that the house names, else the first.
func (d *drawing) door(o house.Opening, t float64) []scene.Shape {
	hinge, latch := o.From, o.To
	if o.Hinge == "to" {
		hinge, latch = latch, hinge
	}
	dx, dy := latch.X-hinge.X, latch.Y-hinge.Y
	l := math.Hypot(dx, dy)
	nx, ny := -dy/l, dx/l
	if !d.opensTo(o, house.XY{X: (hinge.X+latch.X)/2 + nx*(t+0.3), Y: (hinge.Y+latch.Y)/2 + ny*(t+0.3)}) {
		nx, ny = -nx, -ny
	}
	h := house.XY{X: hinge.X + nx*t, Y: hinge.Y + ny*t}
	arc := []house.XY{h}
	for i := range 13 {
		a := float64(i) / 12 * math.Pi / 2
		arc = append(arc, house.XY{X: h.X + l*(math.Sin(a)*dx/l+math.Cos(a)*nx), Y: h.Y + l*(math.Sin(a)*dy/l+math.Cos(a)*ny)})
	}
	d.field.line(d.outline(arc), onLine)
	return []scene.Shape{scene.Path{Role: scene.Opening, Points: d.outline(arc[:2]), Width: 0.35}, scene.Path{Role: scene.Opening, Points: d.outline(arc[1:]), Width: 0.1}}
}

// opensTo tells whether a place lies in the last of the rooms that the door joins: the room that one enters.
func (d *drawing) opensTo(o house.Opening, p house.XY) bool {
	if len(o.Rooms) == 0 {
		return true
	}
	into := o.Rooms[len(o.Rooms)-1]
	for _, r := range d.house.Rooms {
		if r.ID == into {
			return inside(r.Outline, p)
		}
	}
	return true
}

// inside is the even-odd test of a place against a polygon.
func inside(ps []house.XY, p house.XY) bool {
	in := false
	for i, a := range ps {
		b := ps[(i+1)%len(ps)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}
