package ifc

import (
	"math"

	"wirewright/house"
	"wirewright/intake/step"
)

// readOpenings reads doors and windows with the holes that they fill, and then the holes that nothing fills.
func (m *model) readOpenings(d *draft) {
	m.each(func(e entity) { d.counts.Openings++ }, "IFCOPENINGELEMENT", "IFCOPENINGSTANDARDCASE")
	holeOf := map[step.ID]step.ID{}
	filled := map[step.ID]bool{}
	m.each(func(r entity) {
		holeOf[r.ref(5)] = r.ref(4)
		filled[r.ref(4)] = true
	}, "IFCRELFILLSELEMENT")
	m.each(func(e entity) {
		kind := house.Door
		if e.is("IFCWINDOW", "IFCWINDOWSTANDARDCASE") {
			kind = house.Window
			d.counts.Windows++
		} else {
			d.counts.Doors++
		}
		o, err := m.filled(e, kind, holeOf[e.ID], d)
		if err != nil {
			m.skipFor(e, err)
			return
		}
		d.openings = append(d.openings, o)
	}, "IFCDOOR", "IFCDOORSTANDARDCASE", "IFCWINDOW", "IFCWINDOWSTANDARDCASE")
	m.each(func(e entity) {
		if !filled[e.ID] {
			m.readPassage(e, d)
		}
	}, "IFCOPENINGELEMENT", "IFCOPENINGSTANDARDCASE")
}

// filled reads one door or window.
func (m *model) filled(e entity, kind house.OpeningKind, hole step.ID, d *draft) (opening, error) {
	o := opening{source: sourceOf(e), kind: kind, bounds: m.bounds[e.ID], host: m.voidOf[hole]}
	f, err := m.place(e)
	if err != nil {
		return o, err
	}
	height, _ := e.float(8)
	width, _ := e.float(9)
	o.width, o.height = width*m.units.length, height*m.units.length
	o.sill = f.o.Z
	body := m.holeBody(hole)
	if body.isEmpty() {
		b, _, err := m.representation(e, "Body")
		if err == nil {
			body = b
		}
		o.remark = "it fills no hole that could be read; its place is that of its own body"
	}
	if err := o.fit(e, f, &body, m.wallsOf[o.host]); err != nil {
		return o, err
	}
	if !o.hostWall { // in a roof the hole reaches far below the window: its own body tells the height
		if own, _, err := m.representation(e, "Body"); err == nil {
			if low, _, ok := own.span(); ok {
				o.sill = low
			}
		}
	}
	o.storey = m.storeyFor(d, e.ID, o.sill)
	if kind == house.Door {
		o.hinge = m.hinge(e)
	}
	return o, nil
}

// holeBody reads the shape of a hole; empty where there is none.
func (m *model) holeBody(hole step.ID) shape {
	if h, ok := m.find(hole); ok {
		if s, _, err := m.representation(h, "Body"); err == nil {
			return s
		}
	}
	return shape{}
}

// fit finds the jambs: on the centre line of the wall that holds the opening, as far as the hole reaches along it. Outside a
// wall (a skylight), on the middle line of the hole.
func (o *opening) fit(e entity, f frame, body *shape, walls []wall) error {
	all := flatten(body.all())
	along := f.x.flat()
	if _, ok := along.unit(); !ok {
		along = point{1, 0}
	}
	origin := f.o.flat()
	if len(all) == 0 {
		if !(o.width > 0) || !isFinite(o.width) {
			return e.fault("it has neither a shape nor a width")
		}
		end, _ := along.unit()
		all = []point{origin, origin.plus(end.times(o.width))}
	}
	line, ok := strip{}, false
	if w, found := nearestPiece(walls, centre(all)); found {
		line, ok, o.hostWall = strip{from: w.from, to: w.to}, true, true
	} else {
		line, ok = smallestRectangle(all)
	}
	if low, high, has := body.span(); has {
		if o.hostWall {
			o.sill = low
		}
		if !(o.height > 0) {
			o.height = high - low
		}
	}
	dir, straight := line.to.minus(line.from).unit()
	if !ok || !straight {
		return e.fault("its jambs cannot be told from its shape")
	}
	if dir.dot(along) < 0 {
		dir = dir.times(-1)
	}
	low, high := extent(all, line.from, dir)
	o.from, o.to = line.from.plus(dir.times(low)), line.from.plus(dir.times(high))
	if !(o.width > 0) || !isFinite(o.width) {
		o.width = high - low
	}
	if !isFinite(o.height) || math.IsNaN(o.height) {
		return e.fault("its height is no usable number")
	}
	return nil
}

func centre(points []point) point {
	var c point
	for _, p := range points {
		c = c.plus(p)
	}
	return c.times(1 / float64(len(points)))
}

// operationAt says where the operation type of a door stands: on the door, its type or its style.
var operationAt = map[string]int{"IFCDOOR": 11, "IFCDOORSTANDARDCASE": 11, "IFCDOORTYPE": 10, "IFCDOORSTYLE": 8}

// hinge tells which jamb carries the hinges. ISO 16739 counts left and right seen along the positive y axis of the door, so
// that the left jamb is at its origin, our From.
func (m *model) hinge(e entity) string {
	word := ""
	for _, id := range []step.ID{e.ID, m.typeOf[e.ID]} {
		if x, ok := m.find(id); ok && word == "" {
			word = x.arg(operationAt[x.Keyword]).Word
		}
	}
	switch word {
	case "SINGLE_SWING_LEFT", "DOUBLE_SWING_LEFT":
		return "from"
	case "SINGLE_SWING_RIGHT", "DOUBLE_SWING_RIGHT":
		return "to"
	}
	return ""
}

// passageLeast is the smallest width and height, in metres, at which a hole in a wall counts as a passage for people.
const (
	passageWide = 0.6
	passageHigh = 1.8
)

// readPassage reads a hole that nothing fills: a passage if a person fits through it. Holes in slabs were read with the slab.
func (m *model) readPassage(e entity, d *draft) {
	host, ok := m.find(m.voidOf[e.ID])
	if !ok || !host.is(wallClasses...) {
		if !ok || !host.is("IFCSLAB", "IFCSLABSTANDARDCASE", "IFCROOF") {
			m.skip(e, "an opening in something that is neither a wall nor a slab")
		}
		return
	}
	f, err := m.place(e)
	if err != nil {
		m.skipFor(e, err)
		return
	}
	o := opening{source: sourceOf(e), kind: house.Passage, host: host.ID, bounds: m.bounds[e.ID]}
	body, _, err := m.representation(e, "Body")
	if err == nil {
		err = o.fit(e, f, &body, m.wallsOf[o.host])
	}
	switch {
	case err != nil:
		m.skipFor(e, err)
	case e.arg(8).Word == "RECESS":
		m.skip(e, "a recess: it does not go through the wall")
	case o.width < passageWide || o.height < passageHigh:
		m.skip(e, "an opening that nothing fills and that is too small for a passage")
	default:
		o.storey = m.storeyFor(d, e.ID, o.sill)
		d.openings = append(d.openings, o)
	}
}
