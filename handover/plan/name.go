package plan

import (
	"math"

	"wirewright/handover/scene"
	"wirewright/house"
)

// named is something that wants its name beside it.
type named struct {
	at    scene.Point
	gap   float64 // mm from its middle to its edge
	text  string
	size  float64
	room  *house.Room // the room that the name should stay in
	fixed bool        // the name stands to the right, come what may
	item  scene.Item  // what is drawn with it, for what is no point
}

// try is one place for a name.
type try struct {
	at     scene.Point
	anchor scene.Anchor
	box    box
	cost   float64
	ring   int
}

// Far names cost so much by ring; a name that is further off than its symbol's side has a line.
var ringCost = []float64{0, 5, 8, 12, 16, 21}

const (
	ringStep = 2.3 // mm
	rounds   = 4   // the first puts all names, the others put each again
)

// settle finds a place for every name: each where it costs least, then each again now that the others stand. The result
// has the shapes of each name.
func (d *drawing) settle() [][]scene.Shape {
	chosen := make([]try, len(d.named))
	inks := make([]int, len(d.named))
	for round := range rounds {
		for i := range d.named {
			if d.named[i].text == "" {
				continue
			}
			if round > 0 {
				d.field.take(inks[i])
			}
			chosen[i] = d.best(i)
			inks[i] = d.field.put(chosen[i].box, onText, i)
		}
	}
	shapes := make([][]scene.Shape, len(d.named))
	for i, n := range d.named {
		if n.text != "" {
			shapes[i] = n.shapes(chosen[i])
		}
	}
	return shapes
}

func (n named) shapes(t try) []scene.Shape {
	text := scene.Text{Role: scene.Quiet, At: t.at, Size: n.size, Anchor: t.anchor, String: n.text}
	if t.ring == 0 {
		return []scene.Shape{text}
	}
	start, end := n.tie(t)
	return []scene.Shape{scene.Path{Role: scene.Quiet, Width: 0.08, Points: []scene.Point{start, end}}, text}
}

// tie is the line from the edge of a symbol to the nearest place of its name.
func (n named) tie(t try) (start, end scene.Point) {
	end = scene.Point{X: math.Max(t.box.x0, math.Min(n.at.X, t.box.x1)), Y: math.Max(t.box.y0, math.Min(n.at.Y, t.box.y1))}
	l := math.Max(math.Hypot(end.X-n.at.X, end.Y-n.at.Y), 1e-6)
	k := math.Min(n.gap/l, 1)
	return scene.Point{X: n.at.X + (end.X-n.at.X)*k, Y: n.at.Y + (end.Y-n.at.Y)*k}, end
}

// best is the place for a name at which it costs least.
func (d *drawing) best(i int) try {
	n := d.named[i]
	best := try{cost: math.Inf(1)}
	for ring, extra := range ringCost {
		if best.cost <= extra {
			break
		}
		for direction, t := range n.tries(ring) {
			t.cost = extra + 0.1*float64(direction) + d.field.cost(t.box.padded(0.15), i) + d.astray(n, t.box)
			if ring > 0 && t.cost < best.cost {
				t.cost += d.crossed(n, t, i)
			}
			if t.cost < best.cost {
				best = t
			}
		}
		if n.fixed {
			break
		}
	}
	return best
}

// crossed is the cost of what the line from a symbol to its name runs over.
func (d *drawing) crossed(n named, t try, owner int) float64 {
	start, end := n.tie(t)
	cost := 0.0
	const steps = 4
	for i := 1; i < steps; i++ {
		k := float64(i) / steps
		x, y := start.X+(end.X-start.X)*k, start.Y+(end.Y-start.Y)*k
		cost += 0.3 * d.field.cost(box{x - 0.2, y - 0.2, x + 0.2, y + 0.2}, owner)
	}
	return cost
}

// astray is the cost of a name that leaves the sheet or its room.
func (d *drawing) astray(n named, b box) float64 {
	cost := 0.0
	if !b.within(d.page()) {
		cost += 200
	}
	if n.room != nil && len(n.room.Outline) >= 3 && d.scene.Model != nil {
		x, y := d.house2d((b.x0+b.x1)/2, (b.y0+b.y1)/2)
		if !inside(n.room.Outline, house.XY{X: x, Y: y}) {
			cost += 2.5
		}
	}
	return cost
}

// house2d maps the sheet back to metres.
func (d *drawing) house2d(x, y float64) (float64, float64) {
	k := d.model.Scale / 1000
	return d.model.OriginX + x*k, d.model.OriginY - y*k
}

// tries lists the places of a ring: right, left, below, above, and the corners.
func (n named) tries(ring int) []try {
	w := scene.TextWidth(n.text, n.size, false)
	gap := n.gap + 0.6 + float64(ring)*ringStep
	x, y, k := n.at.X, n.at.Y, 0.75
	middle, below, above := y+n.size*0.35, y+gap+n.size*0.75, y-gap+n.size*0.05
	list := []try{
		{at: scene.Point{X: x + gap, Y: middle}, anchor: scene.Start}, {at: scene.Point{X: x - gap, Y: middle}, anchor: scene.End},
		{at: scene.Point{X: x, Y: below}, anchor: scene.Middle}, {at: scene.Point{X: x, Y: above}, anchor: scene.Middle},
		{at: scene.Point{X: x + gap*k, Y: below - gap*(1-k)}, anchor: scene.Start}, {at: scene.Point{X: x - gap*k, Y: below - gap*(1-k)}, anchor: scene.End},
		{at: scene.Point{X: x + gap*k, Y: above + gap*(1-k)}, anchor: scene.Start}, {at: scene.Point{X: x - gap*k, Y: above + gap*(1-k)}, anchor: scene.End},
	}
	if n.fixed {
		list = list[:1]
	}
	for i := range list {
		t := &list[i]
		t.ring = ring
		left := t.at.X - [3]float64{0, w / 2, w}[t.anchor]
		t.box = box{left, t.at.Y - n.size*0.78, left + w, t.at.Y + n.size*0.22}
	}
	return list
}
