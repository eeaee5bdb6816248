package ifc

import (
	"math"
)

// footprint returns what a shape covers seen from above. The remark is empty, or says what a person should know about it.
func (m *model) footprint(e entity, s *shape) (outline, string, error) {
	parts := s.plan()
	if len(parts) == 0 {
		parts = closedLines(s.lines)
	}
	if len(parts) == 0 {
		return outline{}, "", e.fault("its shape covers no area seen from above")
	}
	if len(parts) == 1 {
		o := parts[0].tidy()
		if o.edge == nil || o.area() < areaLeast {
			return outline{}, "", e.fault("its outline has no area")
		}
		return o, "", nil
	}
	n := 0
	for _, p := range parts {
		n += len(p.edges())
	}
	if n > unionMost {
		return roughOutline(e, s)
	}
	if err := m.spend(e, n*n/64); err != nil {
		return outline{}, "", err
	}
	merged := union(parts)
	if len(merged) == 0 {
		return outline{}, "", e.fault("its faces do not join to an outline")
	}
	remark := ""
	if len(merged) > 1 {
		remark = "it has separate parts on the plan; the largest is kept"
	}
	return merged[0].tidy(), remark, nil
}

// roughOutline takes the convex hull, for shapes of too many faces.
func roughOutline(e entity, s *shape) (outline, string, error) {
	var flat []point
	for _, p := range s.all() {
		flat = append(flat, p.flat())
	}
	o := outline{edge: hull(flat)}.tidy()
	if o.edge == nil {
		return o, "", e.fault("its outline has no area")
	}
	return o, "it has too many faces for an exact outline; the outline is its convex hull", nil
}

func (o outline) tidy() outline {
	out := outline{edge: o.edge.tidy()}
	for _, h := range o.holes {
		if h = h.tidy(); h != nil && h.area() >= areaLeast {
			out.holes = append(out.holes, h)
		}
	}
	return out
}

// plan projects every face of the shape to the ground; faces that stand upright vanish, equal ones count once.
func (s *shape) plan() []outline {
	var parts []outline
	seen := map[point][]polygon{}
	add := func(r region) {
		o := r.flat()
		if math.Abs(o.edge.area()) < areaLeast/10 {
			return
		}
		key := o.edge.tidy()
		if key == nil {
			return
		}
		for _, k := range seen[key[0]] {
			if k.same(key) && len(o.holes) == 0 {
				return
			}
		}
		seen[key[0]] = append(seen[key[0]], key)
		parts = append(parts, o)
	}
	for _, x := range s.swept {
		for _, r := range x.sides() {
			add(r)
		}
	}
	for _, f := range s.faces {
		add(f)
	}
	return parts
}

func (p polygon) same(q polygon) bool {
	if len(p) != len(q) {
		return false
	}
	for i := range p {
		if !p[i].near(q[i]) {
			return false
		}
	}
	return true
}

// flat projects a region to the ground.
func (r region) flat() outline {
	ring := func(v []vec) polygon {
		p := make(polygon, 0, len(v))
		for _, q := range v {
			p = append(p, q.flat())
		}
		if len(p) > 1 && p[0].near(p[len(p)-1]) {
			p = p[:len(p)-1]
		}
		return p
	}
	o := outline{edge: ring(r.outer)}
	for _, h := range r.holes {
		o.holes = append(o.holes, ring(h))
	}
	return o
}

// sides returns the faces of an extrusion that show from above: its base, and where it is not swept straight up, also its
// top and its flanks.
func (x extrusion) sides() []region {
	out := []region{x.base}
	if (math.Hypot(x.move.X, x.move.Y)) < closeBy {
		return out
	}
	out = append(out, x.base.moved(frame{x: world.x, y: world.y, z: world.z, o: x.move}))
	for i, a := range x.base.outer {
		b := x.base.outer[(i+1)%len(x.base.outer)]
		out = append(out, region{outer: []vec{a, b, b.plus(x.move), a.plus(x.move)}})
	}
	return out
}

// closedLines makes areas of lines that close, and of lines that close when they are joined end to end.
func closedLines(lines [][]vec) []outline {
	var out []outline
	var open [][]vec
	for _, l := range lines {
		switch {
		case len(l) > 3 && l[0].flat().near(l[len(l)-1].flat()):
			out = append(out, region{outer: l}.flat())
		case len(l) > 1 && len(open) < unionMost: // joining compares every line with every other
			open = append(open, l)
		}
	}
	for len(open) > 0 {
		ring := open[0]
		open = open[1:]
		for grown := true; grown; {
			ring, open, grown = joined(ring, open)
		}
		if len(ring) > 3 && ring[0].flat().near(ring[len(ring)-1].flat()) {
			out = append(out, region{outer: ring}.flat())
		}
	}
	return out
}

// joined adds one open line to the end of a ring, if one fits.
func joined(ring []vec, open [][]vec) ([]vec, [][]vec, bool) {
	end := ring[len(ring)-1].flat()
	for i, l := range open {
		switch {
		case end.near(l[0].flat()):
		case end.near(l[len(l)-1].flat()):
			l = reversed(l)
		default:
			continue
		}
		return append(ring, l[1:]...), append(open[:i:i], open[i+1:]...), true
	}
	return ring, open, false
}
