package ifc

import (
	"math"

	"wirewright/intake/step"
)

// arcStep is the largest angle between two points by which an arc is drawn. A full circle then loses 0.13 % of its area.
const arcStep = 5 * math.Pi / 180

// curve reads a curve as a row of points, in the coordinates that it is written in.
func (m *model) curve(from entity, id step.ID, depth int) ([]vec, error) {
	e, err := m.get(from, id)
	if err != nil {
		return nil, err
	}
	if depth > nestMost {
		return nil, e.fault("curves are nested in one another deeper than %d", nestMost)
	}
	if err := m.spend(e, 1); err != nil {
		return nil, err
	}
	switch e.Keyword {
	case "IFCPOLYLINE":
		return m.points(e, e.refs(0))
	case "IFCCOMPOSITECURVE", "IFC2DCOMPOSITECURVE":
		return m.composite(e, depth)
	case "IFCTRIMMEDCURVE":
		return m.trimmed(e, depth)
	case "IFCINDEXEDPOLYCURVE":
		return m.indexed(e)
	case "IFCCIRCLE", "IFCELLIPSE":
		c, err := m.conic(e)
		if err != nil {
			return nil, err
		}
		return c.arc(0, 2*math.Pi), nil
	}
	return nil, e.fault("this kind of curve is not read")
}

func (m *model) points(e entity, ids []step.ID) ([]vec, error) {
	out := make([]vec, 0, len(ids))
	for _, id := range ids {
		p, err := m.point(e, id)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// composite joins the segments of a composite curve; a segment against the sense is turned round.
func (m *model) composite(e entity, depth int) ([]vec, error) {
	var out []vec
	for _, id := range e.refs(0) {
		s, err := m.get(e, id)
		if err != nil {
			return nil, err
		}
		part, err := m.curve(s, s.ref(2), depth+1)
		if err != nil {
			return nil, err
		}
		if s.arg(1).Word == "F" {
			part = reversed(part)
		}
		if len(out) > 0 && len(part) > 0 && out[len(out)-1].minus(part[0]).length() < closeBy {
			part = part[1:]
		}
		if err := m.spend(s, len(part)); err != nil {
			return nil, err
		}
		out = append(out, part...)
	}
	return out, nil
}

// closeBy is the distance, in metres, below which two points of a plan are one: the step of the model.
const closeBy = 1e-4

func reversed(p []vec) []vec {
	out := make([]vec, len(p))
	for i, v := range p {
		out[len(p)-1-i] = v
	}
	return out
}

// trimmed reads a piece of a line, a circle or an ellipse.
func (m *model) trimmed(e entity, depth int) ([]vec, error) {
	b, err := m.get(e, e.ref(0))
	if err != nil {
		return nil, err
	}
	sense := e.arg(3).Word != "F"
	switch b.Keyword {
	case "IFCLINE":
		return m.trimmedLine(e, b)
	case "IFCCIRCLE", "IFCELLIPSE":
		c, err := m.conic(b)
		if err != nil {
			return nil, err
		}
		t1, err1 := m.trim(e, 1, c)
		t2, err2 := m.trim(e, 2, c)
		if err1 != nil || err2 != nil {
			return nil, e.fault("its ends are given neither as parameters nor as points")
		}
		return c.between(t1, t2, sense), nil
	}
	whole, err := m.curve(e, e.ref(0), depth+1)
	if err != nil {
		return nil, err
	}
	if len(whole) > 2 {
		return nil, e.fault("a piece of this kind of curve (%s) is not read", b.Keyword)
	}
	return whole, nil
}

func (m *model) trimmedLine(e, line entity) ([]vec, error) {
	o, err := m.point(line, line.ref(0))
	if err != nil {
		return nil, err
	}
	v, err := m.get(line, line.ref(1))
	if err != nil {
		return nil, err
	}
	size, _ := v.float(1)
	along := m.direction(v.ref(0), world.x).times(size * m.units.length)
	var ends []vec
	for _, i := range []int{1, 2} {
		p, t, isPoint, err := m.trimEnd(e, i)
		switch {
		case err != nil:
			return nil, err
		case isPoint:
			ends = append(ends, p)
		default:
			ends = append(ends, o.plus(along.times(t)))
		}
	}
	if !ends[0].isFinite() || !ends[1].isFinite() {
		return nil, e.fault("it ends more than %g m away", farthest)
	}
	return ends, nil
}

// trimEnd reads one end of a trimmed curve: a point, or a parameter where the file prefers or only has one.
func (m *model) trimEnd(e entity, i int) (p vec, t float64, isPoint bool, err error) {
	var hasPoint, hasNumber bool
	for _, v := range e.arg(i).List {
		if v.Kind == step.Ref {
			if p, err = m.point(e, v.Ref); err != nil {
				return
			}
			hasPoint = true
		} else if n, ok := v.Float(); ok {
			t, hasNumber = n, true
		}
	}
	if !hasPoint && !hasNumber || !isFinite(t) {
		return p, t, false, e.fault("an end is given neither as a parameter nor as a point")
	}
	return p, t, hasPoint && (!hasNumber || e.arg(4).Word == "CARTESIAN"), nil
}

// trim is trimEnd on a conic, as an angle in radians.
func (m *model) trim(e entity, i int, c conic) (float64, error) {
	p, t, isPoint, err := m.trimEnd(e, i)
	if err != nil {
		return 0, err
	}
	if isPoint {
		d := p.minus(c.f.o)
		return math.Atan2(d.dot(c.f.y)/c.b, d.dot(c.f.x)/c.a), nil
	}
	return t * m.units.angle, nil
}

// conic is a circle or an ellipse.
type conic struct {
	f    frame
	a, b float64
}

func (m *model) conic(e entity) (conic, error) {
	f, err := m.axis3(e, e.ref(0))
	if err != nil {
		return conic{}, err
	}
	a, _ := e.float(1)
	b := a
	if e.is("IFCELLIPSE") {
		b, _ = e.float(2)
	}
	a, b = a*m.units.length, b*m.units.length
	if !(a > 0 && b > 0) || !isFinite(a) || !isFinite(b) {
		return conic{}, e.fault("a radius above 0 is expected")
	}
	return conic{f, a, b}, m.spend(e, int(2*math.Pi/arcStep))
}

func (c conic) point(t float64) vec {
	return c.f.at(vec{c.a * math.Cos(t), c.b * math.Sin(t), 0})
}

// between draws the arc from one angle to another, counter-clockwise where sense is true.
func (c conic) between(t1, t2 float64, sense bool) []vec {
	turn := 2 * math.Pi
	t1, t2 = math.Mod(t1, turn), math.Mod(t2, turn)
	if sense && t2 <= t1 {
		t2 += turn
	}
	if !sense && t2 >= t1 {
		t2 -= turn
	}
	return c.arc(t1, t2)
}

func (c conic) arc(t1, t2 float64) []vec {
	n := int(math.Ceil(math.Abs(t2-t1)/arcStep - 1e-9))
	n = max(1, min(n, 720))
	out := make([]vec, 0, n+1)
	for i := 0; i <= n; i++ {
		out = append(out, c.point(t1+(t2-t1)*float64(i)/float64(n)))
	}
	return out
}

// indexed reads a curve of lines and three-point arcs over a list of points.
func (m *model) indexed(e entity) ([]vec, error) {
	all, err := m.pointList(e, e.ref(0))
	if err != nil {
		return nil, err
	}
	if len(e.arg(1).List) == 0 {
		return all, nil
	}
	var out []vec
	for _, s := range e.arg(1).List {
		var picked []vec
		if s.Kind == step.Typed && len(s.List) == 1 {
			picked, err = pick(e, all, s.List[0].List)
		}
		if err != nil {
			return nil, err
		}
		if s.Word == "IFCARCINDEX" && len(picked) == 3 {
			picked = arcThrough(picked[0], picked[1], picked[2])
		}
		if len(out) > 0 && len(picked) > 0 {
			picked = picked[1:]
		}
		if err := m.spend(e, len(picked)); err != nil {
			return nil, err
		}
		out = append(out, picked...)
	}
	return out, nil
}

// pick takes points by their numbers, which count from 1.
func pick(e entity, all []vec, numbers []step.Value) ([]vec, error) {
	out := make([]vec, 0, len(numbers))
	for _, v := range numbers {
		if v.Kind != step.Integer || v.Number < 1 || v.Number > float64(len(all)) {
			return nil, e.fault("a point number from 1 to %d is expected", len(all))
		}
		out = append(out, all[int(v.Number)-1])
	}
	return out, nil
}

// pointList reads a list of Cartesian points.
func (m *model) pointList(from entity, id step.ID) ([]vec, error) {
	e, err := m.get(from, id)
	if err != nil {
		return nil, err
	}
	if !e.is("IFCCARTESIANPOINTLIST2D", "IFCCARTESIANPOINTLIST3D") {
		return nil, e.fault("a list of points is expected")
	}
	list := e.arg(0).List
	if err := m.spend(e, len(list)); err != nil {
		return nil, err
	}
	out := make([]vec, 0, len(list))
	for _, v := range list {
		p := numbers(v).times(m.units.length)
		if !p.isFinite() {
			return nil, e.fault("a point lies more than %g m away", farthest)
		}
		out = append(out, p)
	}
	return out, nil
}

// arcThrough draws the arc through three points of a plane z = constant; straight lines where they lie on one.
func arcThrough(a, b, c vec) []vec {
	d := 2 * (a.X*(b.Y-c.Y) + b.X*(c.Y-a.Y) + c.X*(a.Y-b.Y))
	if math.Abs(d) < 1e-12 {
		return []vec{a, b, c}
	}
	sq := func(p vec) float64 { return p.X*p.X + p.Y*p.Y }
	o := vec{(sq(a)*(b.Y-c.Y) + sq(b)*(c.Y-a.Y) + sq(c)*(a.Y-b.Y)) / d,
		(sq(a)*(c.X-b.X) + sq(b)*(a.X-c.X) + sq(c)*(b.X-a.X)) / d, a.Z}
	r := a.minus(o).length()
	if !isFinite(r) {
		return []vec{a, b, c}
	}
	circle := conic{frame{x: world.x, y: world.y, z: world.z, o: o}, r, r}
	angle := func(p vec) float64 { return math.Atan2(p.Y-o.Y, p.X-o.X) }
	arc := circle.between(angle(a), angle(c), d > 0)
	arc[0], arc[len(arc)-1] = a, c
	return arc
}
