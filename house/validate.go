package house

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/internal/problem"
	"wirewright/internal/yamldoc"
)

// Validate says everything that is wrong with a house that was built in code: the same as Read says of a text, with
// the entity in the place of the line. It looks at the form of the model only, that is at what would make it
// meaningless: identities, references, values that no house can have. Whether the house is well designed is the
// business of package check.
func Validate(h *House) problem.List {
	var list problem.List
	for _, is := range append(yamldoc.Check(h), h.issues()...) {
		p := problem.Problem{Text: subject(is) + is.Text, Hint: is.Hint, Entity: is.Entity}
		for _, n := range is.Notes {
			p.Notes = append(p.Notes, problem.Note{Text: n.Text})
		}
		list = append(list, p)
	}
	return list
}

// subject names what an issue is about: the entity and the field, or the path where there is no entity.
func subject(is yamldoc.Issue) string {
	path := is.Path
	if is.Entity != "" && len(path) > 2 {
		path = path[2:]
	} else if is.Entity != "" {
		path = nil
	}
	parts := make([]string, 0, 3)
	for _, s := range []string{is.Entity, path.String()} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(append(parts, ""), ": ")
}

// validator collects what is wrong with one house.
type validator struct {
	*House
	known    map[string]map[ID]spot // where the identities of each kind stand
	aloud    map[ID]spot            // the same for the kinds that share one name space
	names    map[string][]string    // identities of a kind, sorted, for the nearest name; made when first needed
	compared int                    // names compared for hints so far
	issues   []yamldoc.Issue
}

// issues says everything that is wrong with the meaning of the house.
func (h *House) issues() []yamldoc.Issue {
	v := &validator{House: h, known: map[string]map[ID]spot{}, aloud: map[ID]spot{}, names: map[string][]string{}}
	v.identities()
	v.references()
	v.shapes()
	v.addresses()
	v.travels()
	v.landings()
	v.taps()
	return v.issues
}

func (v *validator) report(entity ID, path yamldoc.Path, hint, text string, args ...any) *yamldoc.Issue {
	v.issues = append(v.issues, yamldoc.Issue{Path: path, Text: fmt.Sprintf(text, args...), Hint: hint, Entity: string(entity)})
	return &v.issues[len(v.issues)-1]
}

// spot is where an entity stands in the house.
type spot struct {
	kind  string
	list  string
	index int
}

func (s spot) path(more ...any) yamldoc.Path {
	path := yamldoc.Path{}
	for _, name := range strings.Split(s.list, ".") {
		path = append(path, name)
	}
	return append(append(path, s.index), more...)
}

// shared are the kinds whose identities are one name space, because behaviour and acceptance texts, topics, labels and
// the people on site name a room, a board, a point, a module or a line by its identity alone. The identities of the
// other kinds are unique over their kind.
var shared = map[string]bool{"room": true, "board": true, "point": true, "module": true, "line": true}

func (v *validator) identities() {
	h := v.House
	register(v, "access point", "network.access-points", h.Network.AccessPoints, func(e *AccessPoint) ID { return e.ID })
	register(v, "storey", "storeys", h.Storeys, func(e *Storey) ID { return e.ID })
	register(v, "room", "rooms", h.Rooms, func(e *Room) ID { return e.ID })
	register(v, "wall", "walls", h.Walls, func(e *Wall) ID { return e.ID })
	register(v, "opening", "openings", h.Openings, func(e *Opening) ID { return e.ID })
	register(v, "slab", "slabs", h.Slabs, func(e *Slab) ID { return e.ID })
	register(v, "board", "boards", h.Boards, func(e *Board) ID { return e.ID })
	register(v, "circuit", "circuits", h.Circuits, func(e *Circuit) ID { return e.ID })
	register(v, "point", "points", h.Points, func(e *Point) ID { return e.ID })
	register(v, "module", "modules", h.Modules, func(e *Module) ID { return e.ID })
	register(v, "line", "lines", h.Lines, func(e *Line) ID { return e.ID })
	register(v, "wish", "wishes", h.Wishes, func(e *Wish) ID { return e.ID })
	v.keyNames()
}

// register enters the identities of one kind and checks their form and that each is there once.
func register[T any](v *validator, kind, list string, entities []T, id func(*T) ID) {
	known := make(map[ID]spot, len(entities))
	v.known[kind] = known
	for i := range entities {
		e, at := id(&entities[i]), spot{kind, list, i}
		if e == "" {
			continue // said by yamldoc: it is required
		}
		if why := e.Check(); why != "" {
			v.report(e, at.path("id"), "write for example living.ceiling", "%q is no identity: %s", string(e), why)
		}
		first, taken := known[e]
		if !taken {
			known[e] = at
		}
		if shared[kind] && !taken {
			if first, taken = v.aloud[e]; !taken {
				v.aloud[e] = at
			}
		}
		if taken {
			is := v.report(e, at.path("id"), "give one of the two another identity", "%q is the identity of a %s already", string(e), first.kind)
			is.Note(first.path("id"), "the other one is here")
		}
	}
}

// keyNames refuses an identity that reads like a key of a keypad: hall.keys.2 is the second key of hall.keys.
func (v *validator) keyNames() {
	for i := range v.Points {
		p := &v.Points[i]
		if p.Kind != Keypad {
			continue
		}
		for k := range p.Keys {
			name := ID(fmt.Sprintf("%s.%d", p.ID, k+1))
			if at, taken := v.aloud[name]; taken {
				v.report(name, at.path("id"), "give it another identity", "%q is the name of a key of %s", string(name), p.ID)
			}
		}
	}
}

// references checks that everything that is named is there.
func (v *validator) references() {
	yamldoc.Walk(v.House, func(at *yamldoc.Visit) {
		if at.Ref == "" || at.Value.Len() == 0 {
			return
		}
		id := ID(at.Value.String())
		if _, ok := v.known[at.Ref][id]; ok {
			return
		}
		v.report(ID(at.Entity()), at.Path(), v.nearest(at.Ref, string(id)), "there is no %s %q", at.Ref, string(id))
	})
}

// hintBudget bounds how many names are compared for hints in one pass: where thousands of references fail, their cause is
// another one than misspelling.
const hintBudget = 1_000_000

// nearest is the hint for a name that is not there.
func (v *validator) nearest(kind, name string) string {
	names := v.namesOf(kind)
	if v.compared += len(names); v.compared > hintBudget {
		return ""
	}
	return problem.DidYouMean(name, names)
}

func (v *validator) namesOf(kind string) []string {
	if names := v.names[kind]; names != nil {
		return names
	}
	names := make([]string, 0, len(v.known[kind]))
	for id := range v.known[kind] {
		names = append(names, string(id))
	}
	slices.Sort(names)
	v.names[kind] = names
	return names
}
