package ifc

import (
	"math"

	"wirewright/intake/step"
)

// units holds what one unit of the file is in metres, square metres and radians.
type units struct{ length, area, angle float64 }

// prefixes of SI units (BIPM SI brochure) as IFC spells them.
var prefixes = map[string]float64{"EXA": 1e18, "PETA": 1e15, "TERA": 1e12, "GIGA": 1e9, "MEGA": 1e6, "KILO": 1e3, "HECTO": 1e2,
	"DECA": 10, "DECI": 0.1, "CENTI": 0.01, "MILLI": 1e-3, "MICRO": 1e-6, "NANO": 1e-9, "PICO": 1e-12, "FEMTO": 1e-15, "ATTO": 1e-18}

// readUnits reads the unit assignment of the project. Where the file names no area unit, it is the length unit squared;
// where it names no angle unit, radians.
func (m *model) readUnits() units {
	u := units{length: 1, angle: 1}
	for _, id := range m.unitList() {
		e, ok := m.find(id)
		if !ok || !e.is("IFCSIUNIT", "IFCCONVERSIONBASEDUNIT", "IFCCONVERSIONBASEDUNITWITHOFFSET") {
			continue
		}
		factor, err := m.unitFactor(e, 0)
		if err != nil {
			m.skipFor(e, err)
			continue
		}
		switch e.arg(1).Word {
		case "LENGTHUNIT":
			u.length = factor
		case "AREAUNIT":
			u.area = factor
		case "PLANEANGLEUNIT":
			u.angle = factor
		}
	}
	if u.area == 0 {
		u.area = u.length * u.length
	}
	return u
}

func (m *model) unitList() []step.ID {
	var list []step.ID
	m.each(func(e entity) {
		if a, ok := m.find(e.ref(8)); ok && list == nil {
			list = a.refs(0)
		}
	}, "IFCPROJECT")
	if list == nil {
		m.each(func(e entity) {
			if list == nil {
				list = e.refs(0)
			}
		}, "IFCUNITASSIGNMENT")
	}
	return list
}

// unitFactor says what one of the unit is in its SI unit without prefix.
func (m *model) unitFactor(e entity, depth int) (float64, error) {
	if depth > nestMost {
		return 0, e.fault("units are defined by one another in a circle")
	}
	if e.is("IFCSIUNIT") {
		f := 1.0
		if p := e.arg(2).Word; p != "" {
			f = prefixes[p]
		}
		switch e.arg(3).Word { // the prefix belongs to the metre
		case "SQUARE_METRE":
			f *= f
		case "CUBIC_METRE":
			f *= f * f
		}
		return checkFactor(e, f)
	}
	measure, err := m.get(e, e.ref(3))
	if err != nil {
		return 0, err
	}
	value, ok := measure.float(0)
	if !ok {
		return 0, measure.fault("a number is expected as the conversion factor")
	}
	of, err := m.get(measure, measure.ref(1))
	if err != nil {
		return 0, err
	}
	f, err := m.unitFactor(of, depth+1)
	if err != nil {
		return 0, err
	}
	return checkFactor(e, value*f)
}

func checkFactor(e entity, f float64) (float64, error) {
	if !(f > 1e-15 && f < 1e15) || math.IsInf(f, 0) {
		return 0, e.fault("%g is no usable conversion factor", f)
	}
	return f, nil
}
