package ifc

import (
	"math"
	"slices"

	"wirewright/intake/step"
)

// readSpaces reads the rooms.
func (m *model) readSpaces(d *draft) {
	m.each(func(e entity) {
		d.counts.Spaces++
		s, err := m.space(e, d)
		if err != nil {
			m.skipFor(e, err)
			return
		}
		d.spaces = append(d.spaces, s)
	}, "IFCSPACE")
}

func (m *model) space(e entity, d *draft) (space, error) {
	s := space{source: sourceOf(e), number: e.text(2), title: e.text(7), external: e.arg(9).Word == "EXTERNAL"}
	if s.title == "" {
		s.title = s.number
	}
	body, found, err := m.representation(e, "Body")
	if err != nil || !found || body.isEmpty() {
		print, ok, printErr := m.representation(e, "FootPrint")
		if !ok || printErr != nil {
			if err == nil {
				err = e.fault("it has neither a body nor a footprint")
			}
			return s, err
		}
		s.remark = "its body could not be read; the outline is its footprint, the height is not known"
		body = print
	}
	var remark string
	if s.outline, remark, err = m.footprint(e, &body); err != nil {
		return s, err
	}
	if remark != "" {
		s.remark = remark
	}
	low, high, ok := body.span()
	if !ok {
		low, high = s.lineHeight(&body)
	}
	s.low, s.high = low, body.ceiling(low, high, s.outline.area())
	s.storey = m.storeyFor(d, e.ID, low)
	s.area = m.statedArea(e)
	return s, nil
}

// ceiling is the height of the largest level face above the floor, if it covers at least half of the room: a shaft that
// rises to a skylight does not make the room higher. Under slopes it is the highest point.
func (s *shape) ceiling(low, high, floor float64) float64 {
	type level struct{ z, area float64 }
	var levels []level
	for _, f := range s.faces {
		z, flat := f.level()
		if !flat || z < low+1 {
			continue
		}
		a, at := f.flat().area(), slices.IndexFunc(levels, func(l level) bool { return math.Abs(l.z-z) < 0.01 })
		if at < 0 {
			levels = append(levels, level{z, a})
			continue
		}
		levels[at].area += a
	}
	best := level{z: high}
	for _, l := range levels {
		if l.area > best.area {
			best = l
		}
	}
	if best.area < floor/2 {
		return high
	}
	return best.z
}

// level returns the height of a face, and whether it lies level.
func (r region) level() (float64, bool) {
	if len(r.outer) < 3 {
		return 0, false
	}
	for _, p := range r.outer {
		if math.Abs(p.Z-r.outer[0].Z) > closeBy {
			return 0, false
		}
	}
	return r.outer[0].Z, true
}

func (s space) lineHeight(body *shape) (float64, float64) {
	for _, l := range body.lines {
		for _, p := range l {
			return p.Z, p.Z
		}
	}
	return 0, 0
}

// areaNames are the quantities that state the floor area of a room, the best first: a gross area reaches to the middle or
// the outside of the walls, a net area is what is left under slopes, so the plain floor comes before both.
var areaNames = []string{"GrossFloorArea", "Area", "GSA BIM Area", "NetFloorArea"}

// statedArea returns the floor area that the file states for a room, in m²; 0 where it states none.
func (m *model) statedArea(e entity) float64 {
	found := map[string]float64{}
	for _, id := range m.properties[e.ID] {
		set, ok := m.find(id)
		if !ok || !set.is("IFCELEMENTQUANTITY") {
			continue
		}
		for _, q := range set.refs(5) {
			if a, ok := m.find(q); ok && a.is("IFCQUANTITYAREA") {
				name := a.text(0)
				if v, ok := a.float(3); ok && found[name] == 0 && isFinite(v*m.units.area) {
					found[name] = v * m.unitOf(a.ref(2), m.units.area)
				}
			}
		}
	}
	for _, name := range areaNames {
		if found[name] > 0 {
			return found[name]
		}
	}
	return 0
}

// unitOf is the factor of a unit named by a quantity itself, or the default.
func (m *model) unitOf(id step.ID, def float64) float64 {
	if e, ok := m.find(id); ok {
		if f, err := m.unitFactor(e, 0); err == nil {
			return f
		}
	}
	return def
}
