package plan

import (
	"math"
	"slices"
	"strings"

	"wirewright/handover/scene"
	"wirewright/house"
)

// roomSizes are the heights of a room's title in mm, the usual one first, then what small rooms have to do with.
var roomSizes = []float64{2.8, 2.4, 2.0, 1.6}

// sign is the title, number and area of a room in lines.
type sign struct {
	lines []string
	size  float64
	under string
	w, h  float64
}

// makeSign sets a room's title in a size, at most so wide; bare has no number and no area.
func makeSign(r *house.Room, size, wide float64, bare bool) sign {
	s := sign{size: size, lines: scene.Wrap(name(r.Title, r.ID), size, wide, true)}
	s.lines = scene.Shorten(s.lines, 2, size, wide, true)
	for i := range s.lines {
		s.lines[i] = scene.Clip(s.lines[i], size, wide, true)
		s.w = math.Max(s.w, scene.TextWidth(s.lines[i], size, true))
	}
	if s.h = float64(len(s.lines)) * size * 1.2; bare {
		return s
	}
	s.under = scene.Clip(strings.TrimSpace(r.Number+"  "+squareMetres(r)), size*.7, math.Max(wide, 6), false)
	s.w = math.Max(s.w, scene.TextWidth(s.under, size*.7, false))
	s.h += size * .9
	return s
}

// whole tells whether the title stands in full and no word of it was broken.
func (s sign) whole(r *house.Room) bool {
	return !strings.HasSuffix(s.under, "…") && strings.Join(s.lines, " ") == strings.Join(strings.Fields(name(r.Title, r.ID)), " ")
}

func (s sign) around(c scene.Point) box {
	return box{c.X - s.w/2, c.Y - s.h/2, c.X + s.w/2, c.Y + s.h/2}
}

func (s sign) shapes(c scene.Point) []scene.Shape {
	var shapes []scene.Shape
	y := c.Y - s.h/2 + s.size*.95
	for _, l := range s.lines {
		shapes = append(shapes, scene.Text{Role: scene.Label, At: scene.Point{X: c.X, Y: y}, Size: s.size, Anchor: scene.Middle, Bold: true, String: l})
		y += s.size * 1.2
	}
	if s.under == "" {
		return shapes
	}
	return append(shapes, scene.Text{Role: scene.Quiet, At: scene.Point{X: c.X, Y: y - s.size*.15}, Size: s.size * .7, Anchor: scene.Middle, String: s.under})
}

// roomNames writes title, number and area of each room where they cover least, inside it.
func (d *drawing) roomNames() {
	for i := range d.house.Rooms {
		r := &d.house.Rooms[i]
		if r.Storey != d.storey || len(r.Outline) < 3 {
			continue
		}
		visible := around(d.outline(r.Outline))
		if d.opt.Window != nil {
			if !visible.overlaps(d.page()) {
				continue
			}
			visible = box{math.Max(visible.x0, 0), math.Max(visible.y0, 0), math.Min(visible.x1, d.scene.Width), math.Min(visible.y1, d.scene.Height)}
		}
		s, c, ok := d.signOf(r, visible)
		if !ok || (d.opt.Window != nil && !s.whole(r) && !around(d.outline(r.Outline)).within(d.page())) {
			continue // the part that shows all of the room names it
		}
		d.field.put(s.around(c), onText, -1)
		d.scene.Add(scene.Item{Layer: "names", Shapes: s.shapes(c)})
	}
}

// signOf chooses size and place of a room's sign.
func (d *drawing) signOf(r *house.Room, visible box) (sign, scene.Point, bool) {
	ax, ay := anchor(r.Outline)
	home := d.at(ax, ay)
	var best sign
	var at scene.Point
	least := math.Inf(1)
	for k, size := range roomSizes {
		for _, v := range []struct {
			share float64
			bare  bool
		}{{1, false}, {.6, false}, {1, true}} {
			s := makeSign(r, size, (visible.x1-visible.x0)*v.share-1.6, v.bare)
			cost := float64(k)*6 + 30*float64(btoi(!s.whole(r))) + 8*float64(btoi(v.bare))
			if cost >= least {
				continue
			}
			if c, more, ok := d.spot(r, s, visible, home); ok && cost+more < least {
				best, at, least = s, c, cost+more
			}
		}
		if least < float64(k+1)*6 {
			break
		}
	}
	if !math.IsInf(least, 1) {
		return best, at, true
	}
	if d.opt.Window != nil && !visible.has(home.X, home.Y) {
		return best, home, false
	}
	s := makeSign(r, roomSizes[len(roomSizes)-1], math.Max(visible.x1-visible.x0, 6), false)
	return s, home, s.around(home).within(d.page())
}

// spot looks over a room for the place at which a sign covers least; false where it does not fit in.
func (d *drawing) spot(r *house.Room, s sign, visible box, home scene.Point) (scene.Point, float64, bool) {
	const steps = 12
	var at scene.Point
	least := math.Inf(1)
	look := func(c scene.Point) {
		b := s.around(c)
		if !b.within(visible) || !d.holds(r, b) {
			return
		}
		cost := 0.12*math.Hypot(c.X-home.X, c.Y-home.Y) + d.field.cost(b.padded(0.3), -1) + 0.08*d.field.cost(b.padded(3), -1)
		if cost < least {
			at, least = c, cost
		}
	}
	look(home)
	for i := 1; i < steps; i++ {
		for j := 1; j < steps; j++ {
			look(scene.Point{X: visible.x0 + (visible.x1-visible.x0)*float64(i)/steps, Y: visible.y0 + (visible.y1-visible.y0)*float64(j)/steps})
		}
	}
	return at, least, !math.IsInf(least, 1)
}

// holds tells whether a box on the sheet lies inside a room, seen at its corners and the middles of its sides.
func (d *drawing) holds(r *house.Room, b box) bool {
	xs, ys := []float64{b.x0, (b.x0 + b.x1) / 2, b.x1}, []float64{b.y0, (b.y0 + b.y1) / 2, b.y1}
	for _, x := range xs {
		for _, y := range ys {
			hx, hy := d.house2d(x, y)
			p := house.XY{X: hx, Y: hy}
			if !inside(r.Outline, p) || slices.ContainsFunc(r.Holes, func(hole []house.XY) bool { return inside(hole, p) }) {
				return false
			}
		}
	}
	return true
}

// anchor is a place inside a polygon for its name: the middle of the widest horizontal chord of several.
func anchor(ps []house.XY) (float64, float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		lo, hi = math.Min(lo, p.Y), math.Max(hi, p.Y)
	}
	bestX, bestY, best := ps[0].X, ps[0].Y, -1.0
	for _, k := range []float64{.5, .4, .6, .3, .7, .2, .8} {
		y := lo + (hi-lo)*k
		var xs []float64
		for i, a := range ps {
			b := ps[(i+1)%len(ps)]
			if (a.Y > y) != (b.Y > y) {
				xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			if w := xs[i+1] - xs[i]; w > best*1.1 {
				bestX, bestY, best = (xs[i]+xs[i+1])/2, y, w
			}
		}
	}
	return bestX, bestY
}
