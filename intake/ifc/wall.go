package ifc

import (
	"math"
	"slices"

	"wirewright/intake/step"
)

// wallClasses are the entities that are walls.
var wallClasses = []string{"IFCWALL", "IFCWALLSTANDARDCASE", "IFCWALLELEMENTEDCASE"}

// readWalls reads the walls. A wall whose reference line bends gives one wall for each straight piece.
func (m *model) readWalls(d *draft) {
	m.each(func(e entity) {
		d.counts.Walls++
		list, err := m.wall(e, d)
		if err != nil {
			m.skipFor(e, err)
			return
		}
		m.wallsOf[e.ID] = list
		d.walls = append(d.walls, list...)
	}, wallClasses...)
}

func (m *model) wall(e entity, d *draft) ([]wall, error) {
	w := wall{source: sourceOf(e), external: m.isExternal(e)}
	body, _, bodyErr := m.representation(e, "Body")
	low, high, hasBody := body.span()
	axis, err := m.axis(e)
	if err != nil {
		return nil, err
	}
	if !hasBody && len(axis) < 2 {
		if bodyErr != nil {
			return nil, bodyErr
		}
		return nil, e.fault("it has neither an axis nor a body")
	}
	if hasBody {
		w.base, w.height = low, high-low
	} else {
		w.base = axis[0].Z
		w.remark = "its body could not be read; the height is not known"
	}
	w.storey = m.storeyFor(d, e.ID, w.base)
	if len(axis) < 2 {
		return m.wallFromBody(e, w, &body)
	}
	return m.wallFromAxis(e, w, axis, &body), nil
}

func (m *model) isExternal(e entity) *bool {
	v, ok := m.property(e.ID, "Pset_WallCommon", "IsExternal")
	if word := enumOf(v); ok && (word == "T" || word == "F") {
		external := word == "T"
		return &external
	}
	return nil
}

// axis reads the reference line, in the world; empty where the wall has none.
func (m *model) axis(e entity) ([]vec, error) {
	s, found, err := m.representation(e, "Axis")
	if err != nil || !found {
		return nil, err
	}
	for _, l := range s.lines {
		if len(l) > 1 {
			return l, nil
		}
	}
	return nil, nil
}

// wallFromBody takes the smallest rectangle around the body.
func (m *model) wallFromBody(e entity, w wall, body *shape) ([]wall, error) {
	s, ok := smallestRectangle(flatten(body.all()))
	if !ok {
		return nil, e.fault("its body has no length on the plan")
	}
	w.from, w.to, w.thickness = s.from, s.to, s.width
	w.layers = m.layersOf(e).fill(w.thickness)
	return []wall{w}, nil
}

func flatten(v []vec) []point {
	out := make([]point, len(v))
	for i, p := range v {
		out[i] = p.flat()
	}
	return out
}

// wallFromAxis shifts the reference line to the middle of the wall: by what the material says, else by where the body lies.
func (m *model) wallFromAxis(e entity, w wall, axis []vec, body *shape) []wall {
	l := m.layersOf(e)
	line := flatten(axis)
	shift, thickness := l.middle(), l.total
	if !l.placed {
		if near, far, ok := reach(line, body); ok {
			shift, thickness = (near+far)/2, far-near
		}
	}
	w.thickness = thickness
	w.layers = slices.Clone(l.fill(thickness))
	if l.placed && l.positive {
		slices.Reverse(w.layers) // listed from the left
	}
	return pieces(w, offsetLine(line, shift))
}

// middle is how far, to the left of the reference line, the middle of the layers lies.
func (l layering) middle() float64 {
	if l.positive {
		return l.offset + l.total/2
	}
	return l.offset - l.total/2
}

// reach measures how far a body reaches to the left of a straight line, at its nearest and farthest.
func reach(line []point, body *shape) (near, far float64, ok bool) {
	d, straight := line[len(line)-1].minus(line[0]).unit()
	if !straight || body.isEmpty() {
		return 0, 0, false
	}
	near, far = extent(flatten(body.all()), line[0], d.left())
	return near, far, far > near
}

// offsetLine moves a row of points to the left. At a bend the pieces meet where their shifted lines cross.
func offsetLine(line []point, shift float64) []point {
	var out []point
	for i, p := range line {
		var normals []point
		if i > 0 {
			if n, ok := p.minus(line[i-1]).left().unit(); ok {
				normals = append(normals, n)
			}
		}
		if i+1 < len(line) {
			if n, ok := line[i+1].minus(p).left().unit(); ok {
				normals = append(normals, n)
			}
		}
		out = append(out, p.plus(bisector(normals).times(shift)))
	}
	return out
}

// bisector returns the vector that moves a corner so that both lines through it move by one.
func bisector(normals []point) point {
	switch len(normals) {
	case 1:
		return normals[0]
	case 2:
		sum := normals[0].plus(normals[1])
		if f := 1 + normals[0].dot(normals[1]); f > 0.1 {
			return sum.times(1 / f)
		}
		return normals[1]
	}
	return point{}
}

// pieces makes one wall of each straight piece of a line.
func pieces(w wall, line []point) []wall {
	line = straightLine(line)
	var out []wall
	for i := 0; i+1 < len(line); i++ {
		one := w
		one.from, one.to = line[i], line[i+1]
		out = append(out, one)
	}
	return out
}

// straightLine drops points that repeat or lie between their neighbours.
func straightLine(line []point) []point {
	var out []point
	for i, p := range line {
		last := i == len(line)-1
		if len(out) > 0 && out[len(out)-1].near(p) {
			continue
		}
		if len(out) > 0 && !last && segmentDistance(p, out[len(out)-1], line[i+1]) < closeBy/2 {
			continue
		}
		out = append(out, p)
	}
	return out
}

// nearestPiece picks, of the pieces of one wall, the one that a point lies nearest to.
func nearestPiece(walls []wall, p point) (best wall, found bool) {
	least := math.Inf(1)
	for _, w := range walls {
		if d := segmentDistance(p, w.from, w.to); d < least {
			best, least, found = w, d, true
		}
	}
	return best, found
}

// readSlabs reads floors and roofs. A roof without a shape of its own is a whole of slabs and is passed over here.
func (m *model) readSlabs(d *draft) {
	m.each(func(e entity) {
		if e.is("IFCROOF") && e.ref(6) == 0 {
			return
		}
		d.counts.Slabs++
		s, err := m.slab(e, d)
		if err != nil {
			m.skipFor(e, err)
			return
		}
		d.slabs = append(d.slabs, s)
	}, "IFCSLAB", "IFCSLABSTANDARDCASE", "IFCSLABELEMENTEDCASE", "IFCROOF")
}

func (m *model) slab(e entity, d *draft) (slab, error) {
	s := slab{source: sourceOf(e)}
	body, found, err := m.representation(e, "Body")
	if err != nil {
		return s, err
	}
	low, high, ok := body.span()
	if !found || !ok {
		return s, e.fault("it has no body")
	}
	if s.outline, s.remark, err = m.footprint(e, &body); err != nil {
		return s, err
	}
	s.top = high
	s.storey = m.storeyFor(d, e.ID, high)
	s.layers = m.layersOf(e).fill(body.thickness(low, high))
	for _, id := range m.voids[e.ID] {
		m.cutHole(&s, id)
	}
	return s, nil
}

// thickness of a slab that lies level or was swept; 0 where it cannot be told.
func (s *shape) thickness(low, high float64) float64 {
	for _, x := range s.swept {
		return x.move.length()
	}
	for _, f := range s.faces {
		for _, p := range f.outer {
			if math.Min(p.Z-low, high-p.Z) > closeBy {
				return 0
			}
		}
	}
	return high - low
}

// cutHole adds the footprint of an opening to the holes of a slab.
func (m *model) cutHole(s *slab, id step.ID) {
	o, ok := m.find(id)
	if !ok {
		return
	}
	body, found, err := m.representation(o, "Body")
	if err != nil || !found {
		m.skip(o, "its shape could not be read; the slab has no hole there")
		return
	}
	hole, _, err := m.footprint(o, &body)
	if err != nil {
		m.skipFor(o, err)
		return
	}
	s.outline.holes = append(s.outline.holes, hole.edge)
}
