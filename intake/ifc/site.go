package ifc

import (
	"math"
	"sort"

	"wirewright/intake/step"
	"wirewright/unit"
)

// readSite reads where the building stands and how it is turned.
func (m *model) readSite(d *draft) {
	m.each(func(e entity) {
		if d.site.Latitude == 0 && d.site.Longitude == 0 {
			d.site.Latitude, d.site.Longitude = compound(e.arg(9)), compound(e.arg(10))
		}
	}, "IFCSITE")
	found := false
	m.each(func(e entity) {
		if e.ref(5) == 0 || found {
			return
		}
		dir, ok := m.find(e.ref(5))
		if !ok {
			return
		}
		v := numbers(dir.arg(0))
		if len(dir.arg(0).List) != 2 || math.Hypot(v.X, v.Y) < 1e-9 {
			m.skip(dir, "the direction of true north must have two components; north is left where the plan's y axis points")
			return
		}
		found = true
		d.site.North = degrees(math.Atan2(v.Y, v.X)*180/math.Pi - 90)
	}, "IFCGEOMETRICREPRESENTATIONCONTEXT")
	m.each(func(e entity) {
		if d.title == "" {
			d.title = e.text(2)
		}
	}, "IFCBUILDING", "IFCPROJECT")
}

// degrees makes an angle of a number of degrees, from above −180 to 180, in steps of a thousandth.
func degrees(v float64) unit.Angle {
	v = math.Mod(v, 360)
	if v <= -180 {
		v += 360
	}
	if v > 180 {
		v -= 360
	}
	return unit.Angle(math.Round(v*1000) * 1000)
}

// compound reads an angle given as degrees, minutes, seconds and millionths of a second, all of one sign.
func compound(v step.Value) unit.Angle {
	var n [4]float64
	for i := range min(4, len(v.List)) {
		n[i], _ = v.List[i].Float()
	}
	a := n[0] + n[1]/60 + (n[2]+n[3]/1e6)/3600
	if math.IsNaN(a) || math.Abs(a) > 180 {
		return 0
	}
	return unit.Angle(math.Round(a * 1e6))
}

// readStoreys reads the storeys, the lowest first.
func (m *model) readStoreys(d *draft) {
	m.each(func(e entity) {
		d.counts.Storeys++
		s := storey{source: sourceOf(e)}
		f, err := m.place(e)
		if err != nil {
			m.skipFor(e, err)
			f = world
		}
		s.elevation = f.o.Z
		if v, ok := e.float(9); ok && e.ref(5) == 0 {
			s.elevation = v * m.units.length
		}
		if !isFinite(s.elevation) {
			s.elevation = 0
		}
		d.storeys = append(d.storeys, s)
	}, "IFCBUILDINGSTOREY")
	sort.SliceStable(d.storeys, func(i, j int) bool { return d.storeys[i].elevation < d.storeys[j].elevation })
}

// storeyFor is the storey that the file puts an element on; where it puts it on none, the highest that lies below it.
func (m *model) storeyFor(d *draft, id step.ID, z float64) step.ID {
	if s := m.storeyOf(id); s != 0 {
		return s
	}
	var best step.ID
	for _, s := range d.storeys {
		if best == 0 || s.elevation <= z+0.5 {
			best = s.id
		}
	}
	return best
}
