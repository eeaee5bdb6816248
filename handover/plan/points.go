package plan

import (
	"math"
	"slices"
	"strings"

	"wirewright/handover/scene"
	"wirewright/house"
)

const (
	symbol   = 1.9 // mm, half-size of a symbol
	nameSize = 1.9 // mm
	roomSize = 2.8 // mm
)

// roomNames writes title, number and area of each room where it is widest, and keeps the place clear.
func (d *drawing) roomNames() {
	for _, r := range d.house.Rooms {
		if r.Storey != d.storey || len(r.Outline) < 3 {
			continue
		}
		b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, p := range d.outline(r.Outline) {
			b.grow(p.X, p.Y)
		}
		c := d.at(anchor(r.Outline))
		wide := b.x1 - b.x0 - 2
		lines := scene.Wrap(name(r.Title, r.ID), roomSize, wide, true)
		if len(lines) > 2 {
			lines = lines[:2]
		}
		y := c.Y - float64(len(lines)-1)*roomSize*1.2/2 + 5.5
		var shapes []scene.Shape
		for _, l := range lines {
			l = scene.Clip(l, roomSize, wide, true)
			shapes = append(shapes, scene.Text{Role: scene.Label, At: scene.Point{X: c.X, Y: y}, Size: roomSize, Anchor: scene.Middle, Bold: true, String: l})
			d.keepClear(c.X, y-roomSize/3, scene.TextWidth(l, roomSize, true), roomSize)
			y += roomSize * 1.2
		}
		under := strings.TrimSpace(r.Number + "  " + squareMetres(r.Outline))
		shapes = append(shapes, scene.Text{Role: scene.Quiet, At: scene.Point{X: c.X, Y: y}, Size: nameSize, Anchor: scene.Middle, String: under})
		d.keepClear(c.X, y-nameSize/3, scene.TextWidth(under, nameSize, false), nameSize)
		d.scene.Add(scene.Item{Layer: "names", Shapes: shapes})
	}
}

func (d *drawing) keepClear(x, y, w, h float64) {
	d.taken = append(d.taken, box{x - w/2, y - h/2, x + w/2, y + h/2})
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

// placed is one point with its place on the sheet.
type placed struct {
	point  house.Point
	at     scene.Point
	loose  bool // it has no place in the house
	beside bool // moved aside, because another symbol stands there
}

// points draws the symbols first and the names then, so that names can keep clear of all symbols.
func (d *drawing) points() {
	list := d.place()
	for _, p := range list {
		d.keepClear(p.at.X, p.at.Y, 2*symbol, 2*symbol)
	}
	for _, p := range list {
		id := p.point.ID
		shapes := symbolOf(p.point, p.at, d.opt.Live[id])
		if p.loose {
			shapes = append(shapes, scene.Path{Role: scene.Quiet, Dashed: true, Closed: true, Points: square(p.at, symbol*1.35)})
		}
		for i, m := range d.opt.Marks[id] {
			if i == 0 {
				shapes = append(shapes, markShapes(m, scene.Point{X: p.at.X + symbol, Y: p.at.Y - symbol})...)
			}
		}
		if d.opt.Names {
			shapes = append(shapes, d.nameOf(p)...)
		}
		d.scene.Add(scene.Item{Layer: "points", Entity: string(id), Label: d.pointLabel(p), Shapes: shapes})
	}
}

func (d *drawing) pointLabel(p placed) string {
	s := string(p.point.Kind) + " " + name(p.point.Title, p.point.ID)
	if v := d.opt.Values[p.point.ID]; v != "" {
		s += ", " + v
	}
	if p.loose {
		s += ", not yet placed"
	}
	for _, m := range d.opt.Marks[p.point.ID] {
		s += "; " + m.Text
	}
	return s
}

// place puts every point of the storey on the sheet: where it is, moved aside while it would cover another symbol; or
// in a row at the foot of its room where it has no place.
func (d *drawing) place() []placed {
	rooms := map[house.ID]house.Room{}
	for _, r := range d.house.Rooms {
		rooms[r.ID] = r
	}
	row := map[house.ID]int{}
	var list []placed
	for _, p := range d.house.Points {
		r, ok := rooms[p.Room]
		if !ok || r.Storey != d.storey {
			continue
		}
		q := placed{point: p}
		switch {
		case p.At != nil:
			q.at = d.at(p.At.X, p.At.Y)
		case len(r.Outline) >= 3:
			q.loose = true
			q.at = d.foot(r, row[r.ID])
			row[r.ID]++
		default:
			continue
		}
		for home, try := q.at, 0; try < 40 && covered(list, q.at); try++ {
			q.at, q.beside = aside(home, try), true
		}
		list = append(list, q)
	}
	return list
}

// aside steps outward in a spiral around the symbol's own place.
func aside(home scene.Point, try int) scene.Point {
	a, r := float64(try)*2.399963, symbol*(2.06+0.1*float64(try)) // the golden angle spreads the tries evenly
	return scene.Point{X: home.X + r*math.Cos(a), Y: home.Y + r*math.Sin(a)}
}

func covered(list []placed, p scene.Point) bool {
	for _, q := range list {
		if math.Hypot(q.at.X-p.X, q.at.Y-p.Y) < symbol*2.05 {
			return true
		}
	}
	return false
}

func (d *drawing) foot(r house.Room, n int) scene.Point {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range d.outline(r.Outline) {
		b.grow(p.X, p.Y)
	}
	step := symbol * 2.8
	perRow := int(math.Max(1, (b.x1-b.x0-2*symbol)/step))
	return scene.Point{X: b.x0 + symbol*2 + float64(n%perRow)*step, Y: b.y1 - symbol*2 - float64(n/perRow)*step}
}

// nameOf writes the last part of the point's name where it collides least: right, left, below, above, then the corners.
func (d *drawing) nameOf(p placed) []scene.Shape {
	text := string(p.point.ID)
	if i := strings.LastIndexByte(text, '.'); i >= 0 {
		text = text[i+1:]
	}
	w, gap := scene.TextWidth(text, nameSize, false), symbol+0.6
	middle := p.at.Y + nameSize*0.35
	tries := []struct {
		x, y float64
		a    scene.Anchor
	}{
		{p.at.X + gap, middle, scene.Start}, {p.at.X - gap, middle, scene.End},
		{p.at.X, p.at.Y + gap + nameSize*0.7, scene.Middle}, {p.at.X, p.at.Y - gap, scene.Middle},
		{p.at.X + gap*.7, p.at.Y + gap + nameSize*.4, scene.Start}, {p.at.X - gap*.7, p.at.Y + gap + nameSize*.4, scene.End},
		{p.at.X + gap*.7, p.at.Y - gap*.8, scene.Start}, {p.at.X - gap*.7, p.at.Y - gap*.8, scene.End},
		{p.at.X, p.at.Y + gap + nameSize*1.8, scene.Middle}, {p.at.X, p.at.Y - gap - nameSize*1.1, scene.Middle},
	}
	best, bestHits, bestBox := tries[0], math.MaxInt, box{}
	for _, t := range tries {
		left := t.x - [3]float64{0, w / 2, w}[t.a]
		b := box{left, t.y - nameSize*0.8, left + w, t.y + nameSize*0.2}
		hits := 6*count(d.taken, b) + count(d.solid, b) + 20*btoi(b.x0 < 0 || b.x1 > d.scene.Width || b.y0 < 0 || b.y1 > d.scene.Height)
		if hits < bestHits {
			best, bestHits, bestBox = t, hits, b
		}
	}
	d.taken = append(d.taken, bestBox)
	return []scene.Shape{scene.Text{Role: scene.Quiet, At: scene.Point{X: best.x, Y: best.y}, Size: nameSize, Anchor: best.a, String: text}}
}

func count(list []box, b box) int {
	n := 0
	for _, c := range list {
		n += btoi(b.overlaps(c))
	}
	return n
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
