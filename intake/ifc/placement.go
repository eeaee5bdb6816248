package ifc

import "wirewright/intake/step"

// place returns the frame of a product in the world.
func (m *model) place(product entity) (frame, error) {
	m.left = shapeMost
	if product.ref(5) == 0 {
		return world, nil
	}
	return m.placement(product, product.ref(5), 0)
}

// placement reads a local placement and the chain above it; frames are remembered.
func (m *model) placement(from entity, id step.ID, depth int) (frame, error) {
	if f, ok := m.frames[id]; ok {
		return f, nil
	}
	e, err := m.get(from, id)
	if err != nil {
		return world, err
	}
	if depth > nestMost {
		return world, e.fault("its chain of placements is longer than %d or runs in a circle", nestMost)
	}
	if !e.is("IFCLOCALPLACEMENT") {
		return world, e.fault("this kind of placement is not read; a local placement is expected")
	}
	parent := world
	if e.ref(0) != 0 {
		if parent, err = m.placement(e, e.ref(0), depth+1); err != nil {
			return world, err
		}
	}
	local, err := m.axis3(e, e.ref(1))
	if err != nil {
		return world, err
	}
	f := parent.in(local)
	if !f.o.isFinite() {
		return world, e.fault("it lies more than %g m away", farthest)
	}
	m.frames[id] = f
	return f, nil
}

// axis3 reads a placement given by axes in space; one in the plane is taken as lying in z = 0.
func (m *model) axis3(from entity, id step.ID) (frame, error) {
	e, err := m.get(from, id)
	if err != nil {
		return world, err
	}
	o, err := m.point(e, e.ref(0))
	if err != nil {
		return world, err
	}
	switch e.Keyword {
	case "IFCAXIS2PLACEMENT2D":
		return axes(o, world.z, m.direction(e.ref(1), world.x)), nil
	case "IFCAXIS2PLACEMENT3D":
		return axes(o, m.direction(e.ref(1), world.z), m.direction(e.ref(2), world.x)), nil
	}
	return world, e.fault("a placement by axes is expected")
}

// optionalAxis3 is axis3 where an unset reference means no change.
func (m *model) optionalAxis3(from entity, id step.ID) (frame, error) {
	if id == 0 {
		return world, nil
	}
	return m.axis3(from, id)
}

// direction reads a direction; the default where it is unset or useless.
func (m *model) direction(id step.ID, unset vec) vec {
	e, ok := m.find(id)
	if !ok || !e.is("IFCDIRECTION") {
		return unset
	}
	v := numbers(e.arg(0))
	if u, ok := v.unit(); ok {
		return u
	}
	return unset
}

// point reads a Cartesian point, in metres.
func (m *model) point(from entity, id step.ID) (vec, error) {
	e, err := m.get(from, id)
	if err != nil {
		return vec{}, err
	}
	if !e.is("IFCCARTESIANPOINT") {
		return vec{}, e.fault("a Cartesian point is expected")
	}
	if err := m.spend(e, 1); err != nil {
		return vec{}, err
	}
	v := numbers(e.arg(0)).times(m.units.length)
	if !v.isFinite() || len(e.arg(0).List) < 2 {
		return vec{}, e.fault("two or three coordinates below %g m are expected", farthest)
	}
	return v, nil
}

// numbers reads up to three numbers of a list.
func numbers(v step.Value) vec {
	var n [3]float64
	for i := range min(3, len(v.List)) {
		n[i], _ = v.List[i].Float()
	}
	return vec{n[0], n[1], n[2]}
}

// transformation reads a Cartesian transformation operator: axes, origin and scale of a mapped item.
func (m *model) transformation(from entity, id step.ID) (frame, error) {
	e, err := m.get(from, id)
	if err != nil {
		return world, err
	}
	o, err := m.point(e, e.ref(2))
	if err != nil {
		return world, err
	}
	scale := 1.0
	if s, ok := e.float(3); ok {
		scale = s
	}
	var f frame
	switch e.Keyword {
	case "IFCCARTESIANTRANSFORMATIONOPERATOR3D", "IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM":
		f = m.operatorAxes(e, m.direction(e.ref(4), world.z))
	case "IFCCARTESIANTRANSFORMATIONOPERATOR2D", "IFCCARTESIANTRANSFORMATIONOPERATOR2DNONUNIFORM":
		f = m.operatorAxes(e, world.z)
	default:
		return world, e.fault("a transformation operator is expected")
	}
	sy, sz := scale, scale
	if s, ok := e.float(5); ok && e.is("IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM") {
		sy = s
	}
	if s, ok := e.float(6); ok {
		sz = s
	}
	if !isFinite(scale) || !isFinite(sy) || !isFinite(sz) {
		return world, e.fault("its scale is no usable number")
	}
	return frame{x: f.x.times(scale), y: f.y.times(sy), z: f.z.times(sz), o: o}, nil
}

// operatorAxes makes x from the first axis, square to z, and y from the second, which may mirror.
func (m *model) operatorAxes(e entity, z vec) frame {
	f := axes(vec{}, z, m.direction(e.ref(0), world.x))
	if e.ref(1) != 0 && m.direction(e.ref(1), f.y).dot(f.y) < 0 {
		f.y = f.y.times(-1)
	}
	return f
}
