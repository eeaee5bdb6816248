package plan

import (
	"wirewright/handover/scene"
	"wirewright/house"
)

const (
	moduleWide = 1.5 // mm, half of it
	moduleHigh = 1.0
	boardWide  = 2.6
	boardHigh  = 1.3
)

// modules draws boards, modules outside boards with a line to each of their points, and access points.
func (d *drawing) modules() {
	stands := map[house.ID]scene.Point{}
	for _, p := range d.placed {
		stands[p.point.ID] = p.at
	}
	for i := range d.house.Boards {
		if b := &d.house.Boards[i]; d.rooms[b.Room] != nil || d.onStorey(b.At, b.Room) {
			if at, ok := d.siteOf(b.At, b.Room); ok {
				d.device(at, boardWide, boardHigh, "Board "+name(b.Title, b.ID), string(b.ID), string(b.ID), scene.Symbol, nil)
			}
		}
	}
	wired := d.wired()
	for i := range d.house.Modules {
		m := &d.house.Modules[i]
		if m.Board != "" {
			continue
		}
		at, ok := stands[m.Point]
		if !ok && m.Point == "" && d.rooms[m.Room] != nil {
			at, ok = d.siteOf(m.At, m.Room)
		}
		if !ok {
			continue
		}
		role := scene.Radio
		if wired(m) {
			role = scene.Wired
		}
		d.device(at, moduleWide, moduleHigh, "Module "+name(m.Title, m.ID)+" ("+m.Type+")", string(m.ID), lastWord(m.ID), role, d.loads(m, stands))
	}
	for i := range d.house.Network.AccessPoints {
		a := &d.house.Network.AccessPoints[i]
		if d.rooms[a.Room] == nil {
			continue
		}
		if at, ok := d.siteOf(a.At, a.Room); ok {
			d.device(at, 1.2, 1.2, "Access point "+name(a.Title, a.ID), string(a.ID), string(a.ID), scene.Highlight, nil)
		}
	}
}

// onStorey tells whether something without a room stands at the height of this storey.
func (d *drawing) onStorey(at *house.XYZ, room house.ID) bool {
	if at == nil || room != "" {
		return false
	}
	var own house.ID
	best := 0.0
	for _, s := range d.house.Storeys {
		if e := s.Elevation.M(); e <= at.Z+0.01 && (own == "" || e > best) {
			own, best = s.ID, e
		}
	}
	return own == d.storey
}

// wired tells the modules on a line from those by radio.
func (d *drawing) wired() func(*house.Module) bool {
	if d.opt.Medium != nil {
		return func(m *house.Module) bool { return d.opt.Medium(m.Type) }
	}
	index := house.NewIndex(d.house)
	return func(m *house.Module) bool { return index.LineOf(m.ID) != nil }
}

// siteOf is where something stands: at its place, else in the middle of its room.
func (d *drawing) siteOf(at *house.XYZ, room house.ID) (scene.Point, bool) {
	if at != nil {
		p := d.at(at.X, at.Y)
		return p, d.page().has(p.X, p.Y)
	}
	if r := d.rooms[room]; r != nil && len(r.Outline) >= 3 {
		p := d.at(anchor(r.Outline))
		return p, d.page().has(p.X, p.Y)
	}
	return scene.Point{}, false
}

// loads are the places of the points that land on a module, itself standing at one of them.
func (d *drawing) loads(m *house.Module, stands map[house.ID]scene.Point) []scene.Point {
	var list []scene.Point
	for _, l := range m.Landings {
		if at, ok := stands[l.Point]; ok && l.Point != m.Point && l.Key <= 1 {
			list = append(list, at)
		}
	}
	return list
}

// device draws a box with its name and lines to what it serves; it stands beside whatever stands there already.
func (d *drawing) device(home scene.Point, w, h float64, label, entity, text string, role scene.Role, serves []scene.Point) {
	at := home
	for try := 0; try < 60 && !d.field.free(at, symbol+w+0.1); try++ {
		at = d.kept(aside(home, try))
	}
	var shapes []scene.Shape
	if at != home {
		serves = append(serves, home)
	}
	for _, p := range serves {
		line := []scene.Point{at, p}
		shapes = append(shapes, scene.Path{Role: scene.Cable, Width: 0.12, Points: line})
		d.field.line(line, onLine)
	}
	shapes = append(shapes, scene.Path{Role: role, Closed: true, Filled: true,
		Points: []scene.Point{{X: at.X - w, Y: at.Y - h}, {X: at.X + w, Y: at.Y - h}, {X: at.X + w, Y: at.Y + h}, {X: at.X - w, Y: at.Y + h}}})
	d.field.put(box{at.X - w, at.Y - h, at.X + w, at.Y + h}, onSymbol, len(d.named))
	d.named = append(d.named, named{at: at, gap: w, text: text, size: nameSize,
		item: scene.Item{Layer: "modules", Entity: entity, Label: label, Shapes: shapes}})
}
