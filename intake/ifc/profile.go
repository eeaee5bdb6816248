package ifc

import (
	"math"

	"wirewright/intake/step"
)

// region is a piece of a plane: its edge and its holes, in the coordinates of the profile.
type region struct {
	outer []vec
	holes [][]vec
}

// moved returns the region in the world.
func (r region) moved(f frame) region {
	out := region{outer: moved(r.outer, f)}
	for _, h := range r.holes {
		out.holes = append(out.holes, moved(h, f))
	}
	return out
}

func moved(p []vec, f frame) []vec {
	out := make([]vec, len(p))
	for i, v := range p {
		out[i] = f.at(v)
	}
	return out
}

// profile reads a profile as one or more regions.
func (m *model) profile(from entity, id step.ID, depth int) ([]region, error) {
	e, err := m.get(from, id)
	if err != nil {
		return nil, err
	}
	if depth > nestMost {
		return nil, e.fault("profiles are nested in one another deeper than %d", nestMost)
	}
	if err := m.spend(e, 1); err != nil {
		return nil, err
	}
	switch e.Keyword {
	case "IFCRECTANGLEPROFILEDEF", "IFCROUNDEDRECTANGLEPROFILEDEF", "IFCRECTANGLEHOLLOWPROFILEDEF":
		return m.rectangleProfile(e)
	case "IFCCIRCLEPROFILEDEF", "IFCCIRCLEHOLLOWPROFILEDEF", "IFCELLIPSEPROFILEDEF":
		return m.roundProfile(e)
	case "IFCARBITRARYCLOSEDPROFILEDEF", "IFCARBITRARYPROFILEDEFWITHVOIDS":
		return m.arbitraryProfile(e)
	case "IFCDERIVEDPROFILEDEF", "IFCMIRROREDPROFILEDEF":
		return m.derivedProfile(e, depth)
	case "IFCCOMPOSITEPROFILEDEF":
		var out []region
		for _, id := range e.refs(2) {
			part, err := m.profile(e, id, depth+1)
			if err != nil {
				return nil, err
			}
			out = append(out, part...)
		}
		return out, nil
	}
	return nil, e.fault("this kind of profile is not read")
}

// rectangleProfile ignores rounded corners and keeps the hole of a hollow one.
func (m *model) rectangleProfile(e entity) ([]region, error) {
	f, err := m.optionalAxis3(e, e.ref(2))
	if err != nil {
		return nil, err
	}
	dx, ok1 := e.float(3)
	dy, ok2 := e.float(4)
	dx, dy = dx*m.units.length/2, dy*m.units.length/2
	if !ok1 || !ok2 || !(dx > 0 && dy > 0) || !isFinite(dx) || !isFinite(dy) {
		return nil, e.fault("two sides above 0 are expected")
	}
	r := region{outer: rectangle(dx, dy)}
	if t, ok := e.float(5); ok && e.is("IFCRECTANGLEHOLLOWPROFILEDEF") {
		if t *= m.units.length; t > 0 && t < dx && t < dy {
			r.holes = [][]vec{rectangle(dx-t, dy-t)}
		}
	}
	return []region{r.moved(f)}, nil
}

func rectangle(dx, dy float64) []vec {
	return []vec{{-dx, -dy, 0}, {dx, -dy, 0}, {dx, dy, 0}, {-dx, dy, 0}}
}

func (m *model) roundProfile(e entity) ([]region, error) {
	f, err := m.optionalAxis3(e, e.ref(2))
	if err != nil {
		return nil, err
	}
	a, _ := e.float(3)
	b := a
	if e.is("IFCELLIPSEPROFILEDEF") {
		b, _ = e.float(4)
	}
	a, b = a*m.units.length, b*m.units.length
	if !(a > 0 && b > 0) || !isFinite(a) || !isFinite(b) {
		return nil, e.fault("a radius above 0 is expected")
	}
	round := conic{f, a, b}.arc(0, 2*math.Pi)
	return []region{{outer: round[:len(round)-1]}}, nil
}

func (m *model) arbitraryProfile(e entity) ([]region, error) {
	outer, err := m.curve(e, e.ref(2), 0)
	if err != nil {
		return nil, err
	}
	r := region{outer: outer}
	for _, id := range e.refs(3) {
		hole, err := m.curve(e, id, 0)
		if err != nil {
			return nil, err
		}
		r.holes = append(r.holes, hole)
	}
	return []region{r}, nil
}

func (m *model) derivedProfile(e entity, depth int) ([]region, error) {
	base, err := m.profile(e, e.ref(2), depth+1)
	if err != nil {
		return nil, err
	}
	f := frame{x: world.x.times(-1), y: world.y, z: world.z}
	if e.ref(3) != 0 {
		if f, err = m.transformation(e, e.ref(3)); err != nil {
			return nil, err
		}
	}
	for i := range base {
		base[i] = base[i].moved(f)
	}
	return base, nil
}
