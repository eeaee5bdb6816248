package house

import (
	"bytes"
	"reflect"
	"slices"

	"wirewright/internal/yamldoc"
)

// Change is one entity that differs between two revisions. Before is nil for an entity that is new, After for one that
// is gone; otherwise both hold a value of the entity's struct type (Point, Module, …), a string (texts) or an Order.
type Change struct {
	// Kind is "site", "network", "storey", "room", "wall", "opening", "slab", "board", "circuit", "point", "module",
	// "line", "wish", "text" or "order".
	Kind string
	// ID names the entity; a text is "format", "title", "note", "behaviour" or "acceptance". Site and network have none.
	ID     ID
	Before any
	After  any
	// Follows places an entity that is new, or gone: the one that it stands behind in its list; AtStart for the first one.
	// Empty, or naming one that is not there: behind all others.
	Follows ID
}

// AtStart stands in Follows for the start of a list.
const AtStart ID = "."

// Order is where an entity stands in its list; it is the value of a change of kind "order".
type Order struct {
	List    string `yaml:"list" doc:"Kind of the entity."`
	Follows ID     `yaml:"follows" doc:"The entity that it stands behind, or a point for the start."`
}

// Diff lists what differs between two valid houses, such that Apply(a, Diff(a, b)) is b: texts, site and network first,
// then the entities kind by kind. The same houses give the same list. Empty lists and lists that are not there are the
// same to it.
func Diff(a, b *House) []Change {
	var changes []Change
	for _, t := range textsOfHouse {
		if x, y := *t.in(a), *t.in(b); x != y {
			changes = append(changes, Change{Kind: "text", ID: t.id, Before: x, After: y})
		}
	}
	if !same(a.Site, b.Site) {
		changes = append(changes, Change{Kind: "site", Before: a.Site, After: b.Site})
	}
	if !same(a.Network, b.Network) {
		changes = append(changes, Change{Kind: "network", Before: a.Network, After: b.Network})
	}
	for _, c := range collections() {
		changes = append(changes, c.diff(a, b)...)
	}
	return changes
}

// Invert returns the changes that undo changes: Apply(b, Invert(Diff(a, b))) is a.
func Invert(changes []Change) []Change {
	list := make([]Change, 0, len(changes))
	for _, c := range slices.Backward(changes) {
		c.Before, c.After = c.After, c.Before
		list = append(list, c)
	}
	return list
}

// same tells whether two values are written alike.
func same[T any](a, b T) bool {
	return reflect.DeepEqual(a, b) || bytes.Equal(yamldoc.JSON(a), yamldoc.JSON(b))
}

// text is one of the texts of a house.
type text struct {
	id ID
	in func(*House) *string
}

var textsOfHouse = []text{
	{"format", func(h *House) *string { return &h.Format }},
	{"title", func(h *House) *string { return &h.Title }},
	{"note", func(h *House) *string { return &h.Note }},
	{"behaviour", func(h *House) *string { return &h.Behaviour }},
	{"acceptance", func(h *House) *string { return &h.Acceptance }},
}

// collection is one of the lists of a house; it is the only place that knows the type of its entities.
type collection interface {
	name() string
	diff(a, b *House) []Change
	strand(h *House) (strand, error)
	decode(what string, text []byte) (any, error)
}

// collections lists the lists of a house in the order of the text form.
func collections() []collection {
	return []collection{
		listOf[Storey]{"storey", func(h *House) *[]Storey { return &h.Storeys }, func(e *Storey) ID { return e.ID }},
		listOf[Room]{"room", func(h *House) *[]Room { return &h.Rooms }, func(e *Room) ID { return e.ID }},
		listOf[Wall]{"wall", func(h *House) *[]Wall { return &h.Walls }, func(e *Wall) ID { return e.ID }},
		listOf[Opening]{"opening", func(h *House) *[]Opening { return &h.Openings }, func(e *Opening) ID { return e.ID }},
		listOf[Slab]{"slab", func(h *House) *[]Slab { return &h.Slabs }, func(e *Slab) ID { return e.ID }},
		listOf[Board]{"board", func(h *House) *[]Board { return &h.Boards }, func(e *Board) ID { return e.ID }},
		listOf[Circuit]{"circuit", func(h *House) *[]Circuit { return &h.Circuits }, func(e *Circuit) ID { return e.ID }},
		listOf[Point]{"point", func(h *House) *[]Point { return &h.Points }, func(e *Point) ID { return e.ID }},
		listOf[Module]{"module", func(h *House) *[]Module { return &h.Modules }, func(e *Module) ID { return e.ID }},
		listOf[Line]{"line", func(h *House) *[]Line { return &h.Lines }, func(e *Line) ID { return e.ID }},
		listOf[Wish]{"wish", func(h *House) *[]Wish { return &h.Wishes }, func(e *Wish) ID { return e.ID }},
	}
}

// listOf is a collection of entities of type T.
type listOf[T any] struct {
	kind string
	in   func(*House) *[]T
	id   func(*T) ID
}

func (l listOf[T]) name() string { return l.kind }

func (l listOf[T]) ids(list []T) []ID {
	ids := make([]ID, len(list))
	for i := range list {
		ids[i] = l.id(&list[i])
	}
	return ids
}

func (l listOf[T]) diff(a, b *House) []Change {
	x, y := *l.in(a), *l.in(b)
	idsX, idsY := l.ids(x), l.ids(y)
	inX, inY := positions(idsX), positions(idsY)
	var changes []Change
	if !slices.Equal(idsX, idsY) {
		changes = l.rearrange(x, y, inX, inY, newChain(idsX))
	}
	for i := range y {
		if at, kept := inX[idsY[i]]; kept && !same(x[at], y[i]) {
			changes = append(changes, Change{Kind: l.kind, ID: idsY[i], Before: x[at], After: y[i]})
		}
	}
	return changes
}

func positions(ids []ID) map[ID]int {
	m := make(map[ID]int, len(ids))
	for i, id := range ids {
		m[id] = i
	}
	return m
}

// rearrange lists what is gone, new and moved, and follows the order of the list through these changes, so that each can
// be undone.
func (l listOf[T]) rearrange(x, y []T, inX, inY map[ID]int, order *chain) []Change {
	var changes []Change
	for i := range x {
		id := l.id(&x[i])
		if _, kept := inY[id]; !kept {
			changes = append(changes, Change{Kind: l.kind, ID: id, Before: x[i], Follows: order.before(id)})
			order.remove(id)
		}
	}
	var kept []int // positions in x of what is kept, in the order of y
	for i := range y {
		if at, ok := inX[l.id(&y[i])]; ok {
			kept = append(kept, at)
		}
	}
	stays := longestRise(kept)
	last := AtStart
	for i := range y {
		id := l.id(&y[i])
		at, ok := inX[id]
		switch was := order.before(id); {
		case !ok:
			changes = append(changes, Change{Kind: l.kind, ID: id, After: y[i], Follows: last})
			order.insert(id, last)
		case !stays[at] && was != last:
			changes = append(changes, Change{Kind: "order", ID: id, Before: Order{l.kind, was}, After: Order{l.kind, last}})
			order.remove(id)
			order.insert(id, last)
		}
		last = id
	}
	return changes
}

// longestRise picks a longest rising run out of a list of different numbers: those that need not move.
func longestRise(numbers []int) map[int]bool {
	var tails []int // index into numbers of the smallest end of a run of each length
	before := make([]int, len(numbers))
	for i, n := range numbers {
		k, _ := slices.BinarySearchFunc(tails, n, func(t, n int) int { return numbers[t] - n })
		before[i] = -1
		if k > 0 {
			before[i] = tails[k-1]
		}
		if k == len(tails) {
			tails = append(tails, i)
		} else {
			tails[k] = i
		}
	}
	run := make(map[int]bool, len(tails))
	if len(tails) == 0 {
		return run
	}
	for i := tails[len(tails)-1]; i >= 0; i = before[i] {
		run[numbers[i]] = true
	}
	return run
}
