package check

import (
	"cmp"
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
)

// Checker keeps the findings of a house that is being edited. After an edit it runs again only the rules whose sight the
// edit touches, on the entities from which it is seen, and has exactly the findings that Check has of the house as it is
// then. It is not safe for concurrent use.
type Checker struct {
	cat   *catalogue.Catalogue
	view  *view
	rules []Rule      // by severity and slug, as findings are listed
	said  [][]Finding // by rule, sorted by entity and text
}

// New checks a house whole and keeps what is found. The house must not be changed afterwards: an edit makes a new one, as
// house.Apply does.
func New(h *house.House, c *catalogue.Catalogue) *Checker {
	k := &Checker{cat: c, rules: allRules()}
	slices.SortStableFunc(k.rules, func(a, b Rule) int { return cmp.Compare(a.Severity.rank(), b.Severity.rank()) })
	k.said = make([][]Finding, len(k.rules))
	k.renew(newView(h, c))
	return k
}

// House is the house that the findings are about.
func (k *Checker) House() *house.House { return k.view.house }

// Findings lists what is wrong with the house, in the order of Check. The list is the caller's.
func (k *Checker) Findings() []Finding {
	n := 0
	for _, list := range k.said {
		n += len(list)
	}
	if n == 0 {
		return nil
	}
	all := make([]Finding, 0, n)
	for _, list := range k.said {
		all = append(all, list...)
	}
	return all
}

// Update takes the house after an edit and lists its findings. The changes are those that lead to it from the house that
// the Checker has, as house.Diff gives them; where they are nil, they are found out here. Of a change only kind and
// identity are used: a list that names too much costs time, one that names too little leaves old findings.
func (k *Checker) Update(h *house.House, changes []house.Change) []Finding {
	if changes == nil {
		changes = house.Diff(k.view.house, h)
	}
	before, after := k.view, newView(h, k.cat)
	k.view = after
	e := newEdit(before, after, changes)
	after.inherit(before, e)
	switch {
	case e.everything:
		k.renew(after)
	case len(changes) > 0:
		for i := range k.rules {
			k.rerun(i, e)
		}
	}
	return k.Findings()
}

// rerun runs a rule again as far as an edit touches what it looks at.
func (k *Checker) rerun(i int, e *edit) {
	r := &k.rules[i]
	if !r.sees.known || e.anywhere(r.sees.wide) {
		k.said[i] = k.whole(r)
	} else if ids := e.dirty(r); len(ids) > 0 {
		k.said[i] = k.part(r, k.said[i], ids)
	}
}

// renew runs every rule on everything.
func (k *Checker) renew(v *view) {
	k.view = v
	v.ahead()
	for i := range k.rules {
		k.said[i] = k.whole(&k.rules[i])
	}
}

// whole runs a rule on everything.
func (k *Checker) whole(r *Rule) []Finding {
	var list []Finding
	for i := range k.view.count(r.Kind) {
		r.look(k.view, i, &list)
	}
	sortFindings(list)
	return list
}

// part runs a rule on some entities and puts what it says in the place of what it said of them.
func (k *Checker) part(r *Rule, said []Finding, ids map[house.ID]bool) []Finding {
	list := make([]Finding, 0, len(said)+len(ids))
	for i := range said {
		if !ids[said[i].Entity] {
			list = append(list, said[i])
		}
	}
	kept := len(list)
	for _, i := range k.view.positions(r.Kind, ids) {
		r.look(k.view, i, &list)
	}
	if len(list) > kept {
		sortFindings(list)
	}
	return list
}

// positions are those of some entities of a kind in the list of the house; those that are gone have none.
func (v *view) positions(kind string, ids map[house.ID]bool) []int {
	var list []int
	for i := range v.count(kind) {
		if ids[v.id(kind, i)] {
			list = append(list, i)
		}
	}
	return list
}

// edit is what changes between two views of a house.
type edit struct {
	before, after *view
	touched       map[node]bool
	aspects       map[aspect]bool
	everything    bool                         // so much changes that every rule is run on everything
	seen          map[string]map[house.ID]bool // memo of from, by way
}

func newEdit(before, after *view, changes []house.Change) *edit {
	e := &edit{before: before, after: after, touched: map[node]bool{}, aspects: map[aspect]bool{}, seen: map[string]map[house.ID]bool{}}
	e.everything = !before.single() || !after.single()
	for i := range changes {
		switch c := &changes[i]; c.Kind {
		case "order", "site":
			e.everything = true
		case "text":
			e.aspects["text"] = true
		default:
			e.touch(node{c.Kind, c.ID})
		}
	}
	return e
}

// single tells whether every entity that rules look at has an identity of its own.
func (v *view) single() bool {
	return len(v.byPoint) == len(v.points) && len(v.byModule) == len(v.modules) && len(v.byLine) == len(v.lines) &&
		len(v.boards) == len(v.house.Boards) && len(v.circuits) == len(v.house.Circuits)
}

// touch enters one entity that changes, and which of its aspects do.
func (e *edit) touch(n node) {
	e.touched[n] = true
	e.aspects[aspect(n.kind)] = true
	switch n.kind {
	case "module":
		a, b := e.before.byModule[n.id], e.after.byModule[n.id]
		e.differs(placeOfModule, a == nil || b == nil || a.Type != b.Type || a.Board != b.Board || a.Point != b.Point || a.Room != b.Room || !samePlace(a.At, b.At))
		e.differs(nameOfModule, a == nil || b == nil || a.Type != b.Type || a.Address != b.Address || a.Host != b.Host || a.Hardware != b.Hardware)
	case "point":
		a, b := e.before.byPoint[n.id], e.after.byPoint[n.id]
		e.differs(placeOfPoint, a == nil || b == nil || a.Kind != b.Kind || a.Room != b.Room || !samePlace(a.At, b.At))
	case "board":
		a, b := e.before.boards[n.id], e.after.boards[n.id]
		e.differs(placeOfBoard, a == nil || b == nil || !samePlace(a.At, b.At))
	}
}

func (e *edit) differs(a aspect, yes bool) {
	if yes {
		e.aspects[a] = true
	}
}

// samePlace tells whether two places are one; what is no number is no place and never the same.
func samePlace(a, b *house.XYZ) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// anywhere tells whether any of some aspects changes.
func (e *edit) anywhere(list []aspect) bool {
	return slices.ContainsFunc(list, func(a aspect) bool { return e.aspects[a] })
}

// dirty are the entities from which a rule sees something that changes, as the house was or as it is.
func (e *edit) dirty(r *Rule) map[house.ID]bool {
	ids := map[house.ID]bool{}
	if r.sees.own {
		e.add(ids, e.from(r.Kind, ""))
	}
	for _, way := range r.sees.near {
		e.add(ids, e.from(r.Kind, way))
	}
	return ids
}

func (e *edit) add(ids, more map[house.ID]bool) {
	for id := range more {
		ids[id] = true
	}
}

// from lists the entities of a kind from which a touched one is seen along a way: it goes back from every touched entity
// of a kind that is on the way. It is done once for each way.
func (e *edit) from(kind, way string) map[house.ID]bool {
	key := kind + ": " + way
	if ids, ok := e.seen[key]; ok {
		return ids
	}
	kinds := wayOf(kind, way)
	at := map[house.ID]bool{}
	for i := len(kinds) - 1; i >= 0; i-- {
		for n := range e.touched {
			if n.kind == kinds[i] {
				at[n.id] = true
			}
		}
		if i > 0 {
			at = e.back(at, kinds[i], kinds[i-1])
		}
	}
	e.seen[key] = at
	return at
}

// back goes one reference back from some entities of a kind to those of another, in both views.
func (e *edit) back(at map[house.ID]bool, kind, to string) map[house.ID]bool {
	next := map[house.ID]bool{}
	for id := range at {
		for _, v := range []*view{e.before, e.after} {
			for _, other := range v.beside(node{kind, id}, to) {
				next[other] = true
			}
		}
	}
	return next
}
