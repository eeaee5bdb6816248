package ifc

import (
	"wirewright/house"
	"wirewright/intake/step"
	"wirewright/unit"
)

// draft is what one file holds, in metres in the coordinates of the file, before identities are given.
type draft struct {
	name     string
	schema   string
	title    string
	site     house.Site
	storeys  []storey
	spaces   []space
	walls    []wall
	openings []opening
	slabs    []slab
	devices  []device
	unread   []Item
	counts   Counts
}

// source is the identity of a piece in the file.
type source struct {
	id       step.ID
	line     int
	class    string
	globalID string
	name     string
}

func sourceOf(e entity) source {
	return source{id: e.ID, line: e.Line, class: e.Keyword, globalID: e.text(0), name: e.text(2)}
}

type storey struct {
	source
	elevation float64
}

type space struct {
	source
	storey   step.ID
	number   string
	title    string
	area     float64 // as the file states it, 0 where it does not
	outline  outline
	low      float64
	high     float64
	remark   string
	external bool
}

type wall struct {
	source
	storey    step.ID
	from, to  point // centre line
	base      float64
	height    float64
	thickness float64
	layers    []house.Layer
	external  *bool // nil where the file does not say
	remark    string
}

type opening struct {
	source
	kind     house.OpeningKind
	storey   step.ID
	host     step.ID
	hostWall bool
	from, to point
	sill     float64
	width    float64
	height   float64
	hinge    string
	bounds   []step.ID // spaces that the file says it bounds
	remark   string
}

type slab struct {
	source
	storey  step.ID
	outline outline
	top     float64
	layers  []house.Layer
	remark  string
}

// device is one electrical element.
type device struct {
	source
	tag       string
	typeClass string
	typeName  string
	role      Role
	why       string
	likely    bool // a proxy counts as an electrical element only where something says so clearly
	storey    step.ID
	at        vec
	facing    vec // where its own z axis points
	panel     string
	circuit   string
	boardName string
	apparent  *unit.Apparent // nil where the file does not say
	inWatts   bool           // the file states watts, not volt-amperes
	voltage   float64
	poles     int
}

// read fills a draft from the model.
func (m *model) read(opts Options) *draft {
	d := &draft{name: m.file.Name, schema: m.schema}
	d.counts.Entities = len(m.file.Records)
	m.readSite(d)
	m.readStoreys(d)
	m.readSpaces(d)
	m.readWalls(d)
	m.readOpenings(d)
	m.readSlabs(d)
	m.readDevices(d, opts)
	m.readRest(d)
	d.counts.Boundaries = m.file.Count("IFCRELSPACEBOUNDARY") + m.file.Count("IFCRELSPACEBOUNDARY1STLEVEL") +
		m.file.Count("IFCRELSPACEBOUNDARY2NDLEVEL")
	d.unread = m.unread
	for i := range d.unread {
		d.unread[i].File = d.name
	}
	return d
}

// readRest lists every element that stands in the building and has no place in the house.
func (m *model) readRest(d *draft) {
	taken := map[step.ID]bool{}
	for _, w := range d.walls {
		taken[w.id] = true
	}
	for _, o := range d.openings {
		taken[o.id] = true
	}
	for _, s := range d.slabs {
		taken[s.id] = true
	}
	for _, v := range d.devices {
		taken[v.id] = true
	}
	for _, i := range m.unread {
		if r := m.recordOf(i); r != 0 {
			taken[r] = true
		}
	}
	for _, id := range m.contained {
		m.listRest(id, taken, 0)
	}
}

func (m *model) recordOf(i Item) step.ID {
	var id step.ID
	for _, c := range i.Entity[1:] {
		id = id*10 + step.ID(c-'0')
	}
	return id
}

// listRest lists one element and its parts.
func (m *model) listRest(id step.ID, taken map[step.ID]bool, depth int) {
	e, ok := m.find(id)
	if !ok || depth > nestMost {
		return
	}
	if !taken[id] {
		taken[id] = true
		m.skip(e, restReason(e))
	}
	for _, part := range m.parts[id] {
		if !taken[part] {
			m.listRest(part, taken, depth+1)
		}
	}
}

func restReason(e entity) string {
	if e.is("IFCROOF", "IFCSTAIR", "IFCRAMP", "IFCCURTAINWALL") {
		return "a whole made of parts; it has no shape of its own that the house has a place for"
	}
	return "the house has no place for this kind of element"
}
