package ifc

import (
	"math"

	"wirewright/intake/step"
)

// extrusion is a region, in the world, swept along a vector.
type extrusion struct {
	base region
	move vec
}

// shape is what a product looks like, in the world: swept regions, plane faces, and free lines.
type shape struct {
	swept   []extrusion
	faces   []region
	lines   [][]vec
	clipped bool // the body was cut after it was swept; the cut is left out
}

func (s *shape) isEmpty() bool { return len(s.swept) == 0 && len(s.faces) == 0 }

// all returns every point of bodies and faces.
func (s *shape) all() []vec {
	var out []vec
	for _, x := range s.swept {
		for _, p := range x.base.outer {
			out = append(out, p, p.plus(x.move))
		}
	}
	for _, f := range s.faces {
		out = append(out, f.outer...)
	}
	return out
}

// span returns the lowest and highest z of the shape; ok is false for an empty one.
func (s *shape) span() (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range s.all() {
		low, high = math.Min(low, p.Z), math.Max(high, p.Z)
	}
	return low, high, low <= high
}

// representation reads the representation of a product with that identifier ("Body", "Axis", "FootPrint"); found is false if
// it has none. A product without identifiers (older writers) is read by its first representation when "Body" is asked for.
func (m *model) representation(product entity, identifier string) (s shape, found bool, err error) {
	m.left = shapeMost
	def, ok := m.find(product.ref(6))
	if !ok {
		return s, false, nil
	}
	f, err := m.place(product)
	if err != nil {
		return s, false, err
	}
	list := def.refs(2)
	for _, id := range list {
		r, err := m.get(def, id)
		if err != nil {
			return s, false, err
		}
		if r.text(1) != identifier && !(identifier == "Body" && r.text(1) == "" && len(list) == 1) {
			continue
		}
		return s, true, m.items(r, r.refs(3), f, &s, 0)
	}
	return s, false, nil
}

func (m *model) items(from entity, ids []step.ID, f frame, s *shape, depth int) error {
	for _, id := range ids {
		if err := m.item(from, id, f, s, depth); err != nil {
			return err
		}
	}
	return nil
}

// item adds one representation item, given in frame f, to the shape.
func (m *model) item(from entity, id step.ID, f frame, s *shape, depth int) error {
	e, err := m.get(from, id)
	if err != nil {
		return err
	}
	if depth > nestMost {
		return e.fault("shapes are nested in one another deeper than %d", nestMost)
	}
	if err := m.spend(e, 1); err != nil {
		return err
	}
	switch e.Keyword {
	case "IFCEXTRUDEDAREASOLID", "IFCEXTRUDEDAREASOLIDTAPERED":
		return m.extruded(e, f, s)
	case "IFCBOOLEANCLIPPINGRESULT", "IFCBOOLEANRESULT":
		return m.boolean(e, f, s, depth)
	case "IFCMAPPEDITEM":
		return m.mapped(e, f, s, depth)
	case "IFCFACETEDBREP", "IFCFACETEDBREPWITHVOIDS", "IFCADVANCEDBREP", "IFCADVANCEDBREPWITHVOIDS":
		return m.shell(e, e.ref(0), f, s)
	case "IFCFACEBASEDSURFACEMODEL", "IFCSHELLBASEDSURFACEMODEL":
		for _, shell := range e.refs(0) {
			if err := m.shell(e, shell, f, s); err != nil {
				return err
			}
		}
		return nil
	case "IFCTRIANGULATEDFACESET", "IFCPOLYGONALFACESET", "IFCTRIANGULATEDIRREGULARNETWORK":
		return m.faceSet(e, f, s)
	case "IFCBOUNDINGBOX":
		return m.box(e, f, s)
	case "IFCGEOMETRICCURVESET", "IFCGEOMETRICSET":
		return m.items(e, e.refs(0), f, s, depth+1)
	case "IFCPOLYLINE", "IFCCOMPOSITECURVE", "IFCTRIMMEDCURVE", "IFCINDEXEDPOLYCURVE", "IFCCIRCLE", "IFCELLIPSE", "IFC2DCOMPOSITECURVE":
		line, err := m.curve(from, id, 0)
		s.lines = append(s.lines, moved(line, f))
		return err
	}
	return e.fault("this kind of shape is not read")
}

func (m *model) extruded(e entity, f frame, s *shape) error {
	regions, err := m.profile(e, e.ref(0), 0)
	if err != nil {
		return err
	}
	local, err := m.optionalAxis3(e, e.ref(1))
	if err != nil {
		return err
	}
	depth, ok := e.float(3)
	depth *= m.units.length
	if !ok || !isFinite(depth) || depth == 0 {
		return e.fault("a depth of extrusion is expected")
	}
	f = f.in(local)
	move := f.dir(m.direction(e.ref(2), world.z).times(depth))
	for _, r := range regions {
		s.swept = append(s.swept, extrusion{r.moved(f), move})
	}
	return nil
}

// boolean reads what a solid was before it was cut: a plan needs the base, not the cuts. Of a union both sides count.
func (m *model) boolean(e entity, f frame, s *shape, depth int) error {
	s.clipped = true
	if err := m.item(e, e.ref(1), f, s, depth+1); err != nil {
		return err
	}
	if e.arg(0).Word == "UNION" {
		return m.item(e, e.ref(2), f, s, depth+1)
	}
	return nil
}

func (m *model) mapped(e entity, f frame, s *shape, depth int) error {
	source, err := m.get(e, e.ref(0))
	if err != nil {
		return err
	}
	origin, err := m.optionalAxis3(source, source.ref(0))
	if err != nil {
		return err
	}
	target := world
	if e.ref(1) != 0 {
		if target, err = m.transformation(e, e.ref(1)); err != nil {
			return err
		}
	}
	r, err := m.get(source, source.ref(1))
	if err != nil {
		return err
	}
	// ISO 16739: the origin of the map is brought onto the target. Origins are the identity in practice; a moved one is undone.
	return m.items(r, r.refs(3), f.in(target).in(origin.inverse()), s, depth+1)
}

// inverse of a rigid frame.
func (f frame) inverse() frame {
	g := frame{x: vec{f.x.X, f.y.X, f.z.X}, y: vec{f.x.Y, f.y.Y, f.z.Y}, z: vec{f.x.Z, f.y.Z, f.z.Z}}
	g.o = g.dir(f.o).times(-1)
	return g
}

// shell adds the faces of a shell.
func (m *model) shell(from entity, id step.ID, f frame, s *shape) error {
	e, err := m.get(from, id)
	if err != nil {
		return err
	}
	for _, face := range e.refs(0) {
		r, err := m.face(e, face)
		if err != nil {
			return err
		}
		s.faces = append(s.faces, r.moved(f))
	}
	return nil
}

// face reads one face; without an outer bound the first bound counts as such.
func (m *model) face(from entity, id step.ID) (region, error) {
	e, err := m.get(from, id)
	if err != nil {
		return region{}, err
	}
	var r region
	for _, id := range e.refs(0) {
		b, err := m.get(e, id)
		if err != nil {
			return r, err
		}
		loop, err := m.loop(b, b.ref(0))
		if err != nil {
			return r, err
		}
		switch {
		case r.outer == nil:
			r.outer = loop
		case b.is("IFCFACEOUTERBOUND"):
			r.holes = append(r.holes, r.outer)
			r.outer = loop
		default:
			r.holes = append(r.holes, loop)
		}
	}
	return r, nil
}

// loop reads the corners of a face; curved edges count as straight.
func (m *model) loop(from entity, id step.ID) ([]vec, error) {
	e, err := m.get(from, id)
	if err != nil {
		return nil, err
	}
	switch e.Keyword {
	case "IFCPOLYLOOP":
		return m.points(e, e.refs(0))
	case "IFCEDGELOOP":
		var out []vec
		for _, id := range e.refs(0) {
			p, err := m.edgeStart(e, id)
			if err != nil {
				return nil, err
			}
			out = append(out, p)
		}
		return out, nil
	}
	return nil, e.fault("this kind of loop is not read")
}

// edgeStart reads where an oriented edge begins.
func (m *model) edgeStart(from entity, id step.ID) (vec, error) {
	o, err := m.get(from, id)
	if err != nil {
		return vec{}, err
	}
	edge, err := m.get(o, o.ref(2))
	if err != nil {
		return vec{}, err
	}
	end := 0
	if o.arg(3).Word == "F" {
		end = 1
	}
	vertex, err := m.get(edge, edge.ref(end))
	if err != nil {
		return vec{}, err
	}
	return m.point(vertex, vertex.ref(0))
}

// faceSet reads a tessellated body.
func (m *model) faceSet(e entity, f frame, s *shape) error {
	all, err := m.pointList(e, e.ref(0))
	if err != nil {
		return err
	}
	all = moved(all, f)
	if e.is("IFCPOLYGONALFACESET") {
		return m.polygonFaces(e, all, s)
	}
	triangles := e.arg(3).List
	if err := m.spend(e, 3*len(triangles)); err != nil {
		return err
	}
	for _, t := range triangles {
		corners, err := pick(e, all, t.List)
		if err != nil {
			return err
		}
		s.faces = append(s.faces, region{outer: corners})
	}
	return nil
}

func (m *model) polygonFaces(e entity, all []vec, s *shape) error {
	for _, id := range e.refs(2) {
		p, err := m.get(e, id)
		if err != nil {
			return err
		}
		var r region
		if r.outer, err = pick(p, all, p.arg(0).List); err != nil {
			return err
		}
		for _, h := range p.arg(1).List {
			hole, err := pick(p, all, h.List)
			if err != nil {
				return err
			}
			r.holes = append(r.holes, hole)
		}
		if err := m.spend(p, len(r.outer)); err != nil {
			return err
		}
		s.faces = append(s.faces, r)
	}
	return nil
}

// box reads a bounding box as a swept rectangle.
func (m *model) box(e entity, f frame, s *shape) error {
	o, err := m.point(e, e.ref(0))
	if err != nil {
		return err
	}
	var d [3]float64
	for i := range d {
		n, _ := e.float(i + 1)
		if d[i] = n * m.units.length; !isFinite(d[i]) {
			return e.fault("a side of the box is no usable number")
		}
	}
	base := region{outer: []vec{o, o.plus(vec{d[0], 0, 0}), o.plus(vec{d[0], d[1], 0}), o.plus(vec{0, d[1], 0})}}
	s.swept = append(s.swept, extrusion{base.moved(f), f.dir(vec{0, 0, d[2]})})
	return nil
}
