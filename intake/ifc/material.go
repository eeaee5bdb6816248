package ifc

import (
	"wirewright/house"
	"wirewright/intake/step"
	"wirewright/unit"
)

// layering is what a wall or slab is made of, and where its layers lie beside its reference.
type layering struct {
	layers   []house.Layer // in the order of the file
	total    float64       // sum of the thicknesses
	offset   float64       // from the reference to where the layers begin
	positive bool          // the layers follow one another in the positive sense
	placed   bool          // offset and sense are stated
}

// layersOf reads the material of an element, or else of its type.
func (m *model) layersOf(e entity) layering {
	for _, id := range []step.ID{e.ID, m.typeOf[e.ID]} {
		if mat, ok := m.find(m.material[id]); ok {
			return m.layering(mat)
		}
	}
	return layering{}
}

func (m *model) layering(mat entity) layering {
	var l layering
	switch mat.Keyword {
	case "IFCMATERIALLAYERSETUSAGE":
		if set, ok := m.find(mat.ref(0)); ok && set.is("IFCMATERIALLAYERSET") {
			l = m.layering(set)
		}
		offset, ok := mat.float(3)
		l.offset, l.positive = offset*m.units.length, mat.arg(2).Word == "POSITIVE"
		l.placed = ok && isFinite(l.offset) && l.total > 0
	case "IFCMATERIALLAYERSET":
		for _, id := range mat.refs(0) {
			layer, ok := m.find(id)
			if !ok {
				continue
			}
			t, _ := layer.float(1)
			t *= m.units.length
			if !(t > 0) || !isFinite(t) {
				continue // a membrane without thickness
			}
			l.layers = append(l.layers, house.Layer{Material: m.materialName(layer), Thickness: unit.Metres(grid(t))})
			l.total += t
		}
	case "IFCMATERIAL", "IFCMATERIALLIST", "IFCMATERIALCONSTITUENTSET":
		l.layers = m.plainMaterials(mat)
	}
	return l
}

// plainMaterials names materials whose thickness the file does not state.
func (m *model) plainMaterials(mat entity) []house.Layer {
	if mat.is("IFCMATERIAL") {
		return []house.Layer{{Material: orUnnamed(mat.text(0))}}
	}
	list, at := mat.refs(0), -1
	if mat.is("IFCMATERIALCONSTITUENTSET") {
		list, at = mat.refs(2), 2
	}
	var out []house.Layer
	for _, id := range list {
		one, ok := m.find(id)
		if ok && at >= 0 {
			one, ok = m.find(one.ref(at))
		}
		if ok && one.is("IFCMATERIAL") {
			out = append(out, house.Layer{Material: orUnnamed(one.text(0))})
		}
	}
	return out
}

// materialName is the name of a layer's material; of a layer without material, the name of the layer.
func (m *model) materialName(layer entity) string {
	if mat, ok := m.find(layer.ref(0)); ok && mat.text(0) != "" {
		return mat.text(0)
	}
	return orUnnamed(layer.text(3))
}

func orUnnamed(s string) string {
	if s == "" {
		return "not named"
	}
	return s
}

// fill gives the whole thickness to a single material that came without one.
func (l layering) fill(thickness float64) []house.Layer {
	if len(l.layers) == 1 && l.layers[0].Thickness == 0 {
		l.layers[0].Thickness = unit.Metres(grid(thickness))
	}
	return l.layers
}

// property returns the value of a property of an element or of its type, by the names of set and property; an empty set name
// means any set.
func (m *model) property(id step.ID, set, name string) (step.Value, bool) {
	for _, p := range m.propertiesOf(id) {
		if (set == "" || p.set == set) && p.name == name {
			return p.value, true
		}
	}
	return step.Value{}, false
}

// property of an element, with the set that it stands in.
type property struct {
	set, name string
	value     step.Value
}

// propertiesOf lists the single-valued properties of an element, then those of its type.
func (m *model) propertiesOf(id step.ID) []property {
	sets := m.properties[id]
	if t, ok := m.find(m.typeOf[id]); ok {
		sets = append(sets[:len(sets):len(sets)], t.refs(5)...)
	}
	var out []property
	for _, s := range sets {
		set, ok := m.find(s)
		if !ok || !set.is("IFCPROPERTYSET") {
			continue
		}
		for _, p := range set.refs(4) {
			if e, ok := m.find(p); ok && e.is("IFCPROPERTYSINGLEVALUE") {
				out = append(out, property{set.text(2), e.text(0), e.arg(2)})
			}
		}
	}
	return out
}

// enumOf returns the word of an enumeration or truth value, also inside a typed value.
func enumOf(v step.Value) string {
	if v.Kind == step.Typed && len(v.List) == 1 {
		v = v.List[0]
	}
	if v.Kind == step.Enum {
		return v.Word
	}
	return ""
}
