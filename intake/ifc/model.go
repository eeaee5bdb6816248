package ifc

import (
	"fmt"
	"strings"

	"wirewright/intake/step"
)

// model is one file with its relations indexed and its units known.
type model struct {
	file   *step.File
	schema string
	units  units

	inStorey   map[step.ID]step.ID   // element → spatial structure that contains it
	parent     map[step.ID]step.ID   // part → whole (aggregation)
	parts      map[step.ID][]step.ID // whole → parts
	typeOf     map[step.ID]step.ID
	properties map[step.ID][]step.ID // object → property and quantity sets
	material   map[step.ID]step.ID
	voidOf     map[step.ID]step.ID   // opening → the element that it voids
	voids      map[step.ID][]step.ID // element → its openings
	filling    map[step.ID]step.ID   // opening → door or window
	bounds     map[step.ID][]step.ID // element → spaces that it bounds
	wallsOf    map[step.ID][]wall    // wall → its straight pieces, once read
	contained  []step.ID             // every element contained anywhere, in file order

	frames map[step.ID]frame
	work   int // points and items that may still be read in all
	left   int // and of the shape being read
	unread []Item
}

// workMost bounds the geometry of one file, shapeMost that of one shape: points and items read. The real models of dwellings
// that this was tried on need below 5000 in all, because only rooms, walls, openings and slabs are looked at.
const (
	workMost  = 2_000_000
	shapeMost = 100_000
)

// nestMost bounds every chain of references: placements, nested shapes, clippings, mapped items.
const nestMost = 100

// entity is one record with its arguments.
type entity struct {
	*step.Record
	args []step.Value
}

// arg returns the argument at a position; an unset value where the record is too short.
func (e entity) arg(i int) step.Value {
	if i < 0 || i >= len(e.args) {
		return step.Value{}
	}
	return e.args[i]
}

func (e entity) text(i int) string { return strings.TrimSpace(e.arg(i).Text()) }

// ref returns the number that an argument refers to, 0 where it refers to nothing.
func (e entity) ref(i int) step.ID { return e.arg(i).Ref }

// refs returns the references of a list argument; a single reference counts as a list of one.
func (e entity) refs(i int) []step.ID {
	v := e.arg(i)
	if v.Kind == step.Ref {
		return []step.ID{v.Ref}
	}
	if v.Kind == step.Typed && len(v.List) == 1 { // a select type around a list
		v = v.List[0]
	}
	out := make([]step.ID, 0, len(v.List))
	for _, m := range v.List {
		if m.Kind == step.Ref {
			out = append(out, m.Ref)
		}
	}
	return out
}

func (e entity) float(i int) (float64, bool) { return e.arg(i).Float() }

func (e entity) is(keywords ...string) bool {
	for _, k := range keywords {
		if e.Keyword == k {
			return true
		}
	}
	return false
}

// fault is a reason why an entity could not be read.
type fault struct {
	record *step.Record
	reason string
}

// Error names entity, line and reason.
func (f *fault) Error() string {
	return fmt.Sprintf("%s on line %d: %s", f.record, f.record.Line, f.reason)
}

func (e entity) fault(reason string, args ...any) error {
	return &fault{e.Record, fmt.Sprintf(reason, args...)}
}

// get returns the entity with that number. A reference to nothing, or to a record that cannot be read, is an error that
// names the record that asked.
func (m *model) get(from entity, id step.ID) (entity, error) {
	r := m.file.Find(id)
	if r == nil {
		if id == 0 {
			return entity{}, from.fault("an attribute that is needed is not set")
		}
		return entity{}, from.fault("it refers to %s, which is not in the file", id)
	}
	args, err := m.file.Args(r)
	if err != nil {
		return entity{}, &fault{r, err.Error()}
	}
	return entity{r, args}, nil
}

// find is get for where the absence of the entity is no fault.
func (m *model) find(id step.ID) (entity, bool) {
	r := m.file.Find(id)
	if r == nil {
		return entity{}, false
	}
	args, err := m.file.Args(r)
	return entity{r, args}, err == nil
}

// each calls visit for every entity of the keywords, in the order of the keywords and of the file.
func (m *model) each(visit func(entity), keywords ...string) {
	for _, k := range keywords {
		m.file.All(k, func(r *step.Record) {
			args, err := m.file.Args(r)
			if err != nil {
				m.skip(entity{r, nil}, err.Error())
				return
			}
			visit(entity{r, args})
		})
	}
}

// skip lists an entity as not read.
func (m *model) skip(e entity, reason string) {
	m.unread = append(m.unread, Item{Entity: e.ID.String(), Line: e.Line, Class: e.Keyword, Name: e.text(2),
		GlobalID: e.text(0), Reason: reason})
}

// skipFor lists an entity as not read for an error met underneath it.
func (m *model) skipFor(e entity, err error) {
	if f, ok := err.(*fault); ok && f.record == e.Record {
		m.skip(e, f.reason)
		return
	}
	m.skip(e, err.Error())
}

// spend takes n from the budgets of geometry.
func (m *model) spend(e entity, n int) error {
	if m.left -= n; m.left < 0 {
		return e.fault("the shape holds more than %d points and items", shapeMost)
	}
	if m.work -= n; m.work < 0 {
		return e.fault("the file holds more geometry than %d points and items; the rest is not read", workMost)
	}
	return nil
}

// open indexes a file.
func open(file *step.File) (*model, error) {
	m := &model{file: file, schema: file.Schema(), work: workMost, left: shapeMost, frames: map[step.ID]frame{},
		inStorey: map[step.ID]step.ID{}, parent: map[step.ID]step.ID{}, parts: map[step.ID][]step.ID{},
		typeOf: map[step.ID]step.ID{}, properties: map[step.ID][]step.ID{}, material: map[step.ID]step.ID{},
		voidOf: map[step.ID]step.ID{}, voids: map[step.ID][]step.ID{}, filling: map[step.ID]step.ID{},
		bounds: map[step.ID][]step.ID{}, wallsOf: map[step.ID][]wall{}}
	if !strings.HasPrefix(m.schema, "IFC") {
		return nil, fmt.Errorf("%s: the header names the schema %q; a building model in IFC2X3 or IFC4 is expected", file.Name, m.schema)
	}
	m.relate()
	m.units = m.readUnits()
	return m, nil
}

// relate indexes the relations between objects.
func (m *model) relate() {
	m.each(func(r entity) {
		for _, id := range r.refs(4) {
			if _, twice := m.inStorey[id]; !twice {
				m.inStorey[id] = r.ref(5)
				m.contained = append(m.contained, id)
			}
		}
	}, "IFCRELCONTAINEDINSPATIALSTRUCTURE")
	m.each(func(r entity) {
		for _, id := range r.refs(5) {
			m.parent[id] = r.ref(4)
			m.parts[r.ref(4)] = append(m.parts[r.ref(4)], id)
		}
	}, "IFCRELAGGREGATES", "IFCRELNESTS")
	m.eachRelated(m.typeOf, 4, 5, "IFCRELDEFINESBYTYPE")
	m.eachRelated(m.material, 4, 5, "IFCRELASSOCIATESMATERIAL")
	m.each(func(r entity) {
		for _, id := range r.refs(4) {
			m.properties[id] = append(m.properties[id], r.refs(5)...)
		}
	}, "IFCRELDEFINESBYPROPERTIES")
	m.each(func(r entity) {
		m.voidOf[r.ref(5)] = r.ref(4)
		m.voids[r.ref(4)] = append(m.voids[r.ref(4)], r.ref(5))
	}, "IFCRELVOIDSELEMENT")
	m.each(func(r entity) { m.filling[r.ref(4)] = r.ref(5) }, "IFCRELFILLSELEMENT")
	m.each(func(r entity) {
		if r.ref(5) != 0 {
			m.bounds[r.ref(5)] = append(m.bounds[r.ref(5)], r.ref(4))
		}
	}, "IFCRELSPACEBOUNDARY", "IFCRELSPACEBOUNDARY1STLEVEL", "IFCRELSPACEBOUNDARY2NDLEVEL")
}

// eachRelated fills a map from the members of one list argument to the reference in another.
func (m *model) eachRelated(into map[step.ID]step.ID, list, one int, keyword string) {
	m.each(func(r entity) {
		for _, id := range r.refs(list) {
			into[id] = r.ref(one)
		}
	}, keyword)
}

// storeyOf climbs from an element to its storey: through containment, spaces, wholes and, for a door, its opening and wall.
// 0 where there is none.
func (m *model) storeyOf(id step.ID) step.ID {
	for range nestMost {
		if r := m.file.Find(id); r != nil && r.Keyword == "IFCBUILDINGSTOREY" {
			return id
		}
		next, ok := m.inStorey[id]
		if !ok {
			next, ok = m.parent[id]
		}
		if !ok {
			next, ok = m.voidOf[id]
		}
		if !ok {
			return 0
		}
		id = next
	}
	return 0
}
