package plan

import (
	"fmt"
	"math"
	"strings"

	"wirewright/handover/scene"
	"wirewright/house"
)

const (
	symbol   = 1.9 // mm, half-size of a symbol
	nameSize = 1.9 // mm
	stripSet = 30  // mm, one place in the strip at the foot of the sheet
	stripRow = 6   // mm
)

// placed is one point with its place on the sheet.
type placed struct {
	point *house.Point
	at    scene.Point
	home  scene.Point // where it is in the house
	loose bool        // it has no place in the house
}

// moved tells whether the symbol stands so far from its place that a line must tie it there.
func (p placed) moved() bool { return math.Hypot(p.at.X-p.home.X, p.at.Y-p.home.Y) > symbol/2 }

// place puts every point of the storey on the sheet: where it is, moved aside while it would cover another symbol; in a
// row at the foot of its room where it has no place; or in the strip at the foot of the sheet.
func (d *drawing) place() {
	row := map[house.ID]int{}
	for i := range d.house.Points {
		p := &d.house.Points[i]
		r := d.rooms[p.Room]
		if r == nil {
			continue
		}
		q := placed{point: p, loose: !d.stands(p)}
		switch {
		case !q.loose:
			q.home = d.at(p.At.X, p.At.Y)
		case len(r.Outline) >= 3:
			q.home = d.foot(r, row[r.ID])
			row[r.ID]++
			if d.opt.Window == nil {
				q.home = d.kept(q.home)
			}
		default:
			d.strip = append(d.strip, q)
			continue
		}
		if d.opt.Window != nil && !d.page().padded(-margin/2).has(q.home.X, q.home.Y) {
			continue
		}
		q.at = q.home
		for try := 0; try < 60 && !d.field.free(q.at, symbol*2.05); try++ {
			q.at = d.kept(aside(q.home, try))
		}
		d.standing(q)
	}
	d.layStrip()
}

// standing enters a point whose place is settled.
func (d *drawing) standing(q placed) {
	n := len(d.named)
	d.field.put(box{q.at.X - symbol, q.at.Y - symbol, q.at.X + symbol, q.at.Y + symbol}, onSymbol, n)
	if q.moved() {
		d.field.line([]scene.Point{q.at, q.home}, onTie)
	}
	d.placed = append(d.placed, q)
	text := ""
	if d.opt.Names {
		text = lastWord(q.point.ID)
		if v := d.opt.Values[q.point.ID]; v != "" {
			text += ": " + v
		}
	}
	d.named = append(d.named, named{at: q.at, gap: symbol, text: text, size: nameSize, room: d.rooms[q.point.Room]})
}

// lastWord is the part of an identity behind its last dot: the room says the rest.
func lastWord(id house.ID) string {
	return string(id[strings.LastIndexByte(string(id), '.')+1:])
}

// stands tells whether a point has a place that lies on or near the storey.
func (d *drawing) stands(p *house.Point) bool {
	if p.At == nil || d.scene.Model == nil {
		return false
	}
	if d.opt.Window != nil {
		return math.Abs(p.At.X) < most && math.Abs(p.At.Y) < most
	}
	at := d.at(p.At.X, p.At.Y)
	return d.page().has(at.X, at.Y)
}

// kept keeps a symbol on the sheet.
func (d *drawing) kept(p scene.Point) scene.Point {
	p.X = math.Max(symbol, math.Min(p.X, d.scene.Width-symbol))
	p.Y = math.Max(symbol, math.Min(p.Y, d.scene.Height-symbol))
	return p
}

// aside steps outward in a spiral around the symbol's own place.
func aside(home scene.Point, try int) scene.Point {
	a, r := float64(try)*2.399963, symbol*(2.06+0.1*float64(try)) // the golden angle spreads the tries evenly
	return scene.Point{X: home.X + r*math.Cos(a), Y: home.Y + r*math.Sin(a)}
}

// foot is the n-th place in the row along the lower edge of a room.
func (d *drawing) foot(r *house.Room, n int) scene.Point {
	b := around(d.outline(r.Outline))
	step := symbol * 2.8
	perRow := int(math.Max(1, (b.x1-b.x0-2*symbol)/step))
	p := scene.Point{X: b.x0 + symbol*2 + float64(n%perRow)*step, Y: b.y1 - symbol*2 - float64(n/perRow)*step}
	if y := b.y0 + symbol; p.Y < y {
		p.Y = y
	}
	return p
}

// layStrip puts the points without any place in rows below the drawing; the sheet grows by them, up to the height that
// it may take. What does not fit is counted.
func (d *drawing) layStrip() {
	if len(d.strip) == 0 || d.opt.Window != nil {
		return
	}
	wide := math.Max(d.scene.Width, math.Min(d.opt.Width, widest))
	perRow := stripColumns(wide)
	d.scene.Width = math.Max(d.scene.Width, math.Min(wide, 2*margin+float64(min(perRow, len(d.strip)))*stripSet))
	shown := len(d.strip)
	if d.opt.Height > 0 {
		shown = min(shown, max(0, int((d.opt.Height-d.scene.Height-stripRow/2)/stripRow))*perRow)
	}
	if shown < len(d.strip) {
		shown = max(0, shown-1)
	}
	top := d.scene.Height + stripRow/2
	for i, q := range d.strip[:shown] {
		d.inStrip(q, scene.Point{X: margin + float64(i%perRow)*stripSet + symbol, Y: top + float64(i/perRow)*stripRow})
	}
	if rest := len(d.strip) - shown; rest > 0 {
		says := fmt.Sprintf("%d more without a place", rest)
		d.scene.Add(scene.Item{Layer: "points", Label: says, Shapes: []scene.Shape{scene.Text{Role: scene.Quiet,
			At: scene.Point{X: margin + float64(shown%perRow)*stripSet, Y: top + float64(shown/perRow)*stripRow + nameSize*.35}, Size: nameSize, String: says}}})
		shown++
	}
	d.scene.Height = top + float64((shown-1)/perRow+1)*stripRow
}

// inStrip puts one point into the strip, its name clipped to what there is room for.
func (d *drawing) inStrip(q placed, at scene.Point) {
	q.home, q.at = at, at
	d.placed = append(d.placed, q)
	text := ""
	if d.opt.Names {
		text = scene.Clip(string(q.point.ID), nameSize, stripSet-2*symbol-2, false)
	}
	d.field.put(box{at.X - symbol, at.Y - symbol, at.X + symbol, at.Y + symbol}, onSymbol, len(d.named))
	d.named = append(d.named, named{at: at, gap: symbol, text: text, size: nameSize, fixed: true})
}

func stripColumns(wide float64) int { return int(math.Max(1, (wide-2*margin)/stripSet)) }

// stripHeight is the height that the strip of a storey wants on a sheet of a width, at most half of its height.
func stripHeight(h *house.House, storey house.ID, b box, width, height float64) float64 {
	bare := map[house.ID]bool{}
	for _, r := range h.Rooms {
		if r.Storey == storey && len(r.Outline) < 3 {
			bare[r.ID] = true
		}
	}
	n := 0
	for _, p := range h.Points {
		if bare[p.Room] && (p.At == nil || !b.has(p.At.X, p.At.Y)) {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return math.Min(stripRow/2+float64((n-1)/stripColumns(width)+1)*stripRow, height/2)
}

// write draws the symbols with their names.
func (d *drawing) write() {
	names := d.settle()
	if d.opt.Points {
		for i, p := range d.placed {
			d.scene.Add(d.pointItem(p, names[i]))
		}
	}
	for i := len(d.placed); i < len(d.named); i++ {
		item := d.named[i].item
		item.Shapes = append(item.Shapes, names[i]...)
		d.scene.Add(item)
	}
}

func (d *drawing) pointItem(p placed, name []scene.Shape) scene.Item {
	id := p.point.ID
	var shapes []scene.Shape
	if p.moved() {
		shapes = append(shapes, scene.Path{Role: scene.Quiet, Width: 0.1, Points: []scene.Point{p.at, p.home}},
			scene.Circle{Role: scene.Quiet, Centre: p.home, Radius: 0.3, Filled: true})
	}
	shapes = append(shapes, symbolOf(*p.point, p.at, d.opt.Live[id])...)
	if p.loose {
		shapes = append(shapes, scene.Path{Role: scene.Quiet, Dashed: true, Closed: true, Points: square(p.at, symbol*1.35)})
	}
	if marks := d.opt.Marks[id]; len(marks) > 0 {
		shapes = append(shapes, markShapes(marks[0], scene.Point{X: p.at.X + symbol, Y: p.at.Y - symbol})...)
	}
	return scene.Item{Layer: "points", Entity: string(id), Label: d.pointLabel(p), Shapes: append(shapes, name...)}
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
