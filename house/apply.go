package house

import (
	"encoding/json"
	"fmt"

	"wirewright/internal/problem"
	"wirewright/internal/yamldoc"
)

// Apply returns the house with the changes made to it, one after the other; h itself stays as it is (the two share what
// is equal in them). Each change must meet what it was made on: where an entity has changed since, is gone, or is there
// already, the error, a problem.List, says so for every such change, and no house is returned. Apply does not look
// whether the result is valid; Validate does.
func Apply(h *House, changes []Change) (*House, error) {
	a := applier{house: *h, strands: map[string]strand{}}
	for i := range changes {
		if err := a.apply(&changes[i]); err != nil {
			a.problems = append(a.problems, problem.Problem{Text: err.Error(), Entity: string(changes[i].ID)})
		}
	}
	if len(a.problems) > 0 {
		return nil, a.problems
	}
	for _, c := range collections() {
		if s := a.strands[c.name()]; s != nil {
			s.store(&a.house)
		}
	}
	return &a.house, nil
}

type applier struct {
	house    House
	strands  map[string]strand // lists that were touched, by kind
	problems problem.List
}

func (a *applier) apply(c *Change) error {
	switch c.Kind {
	case "text":
		for _, t := range textsOfHouse {
			if t.id == c.ID {
				return replace(t.in(&a.house), c)
			}
		}
		return fmt.Errorf("a house has no text %q", string(c.ID))
	case "site":
		return replace(&a.house.Site, c)
	case "network":
		return replace(&a.house.Network, c)
	case "order":
		o, ok := c.After.(Order)
		if !ok {
			return fmt.Errorf("order of %s: it does not say where it goes", c.ID)
		}
		s, err := a.strand(o.List)
		if err != nil {
			return err
		}
		return s.move(c.ID, o.Follows)
	}
	s, err := a.strand(c.Kind)
	if err != nil {
		return err
	}
	return s.apply(c)
}

func replace[T any](at *T, c *Change) error {
	before, ok := c.Before.(T)
	after, good := c.After.(T)
	switch {
	case !ok || !good:
		return fmt.Errorf("%s %s: a value before and a value after are expected", c.Kind, c.ID)
	case !same(*at, before):
		return fmt.Errorf("%s %s has changed since", c.Kind, c.ID)
	}
	*at = after
	return nil
}

// strand is one list of a house while changes are made to it.
type strand interface {
	apply(c *Change) error
	move(id, behind ID) error
	store(h *House)
}

func (a *applier) strand(kind string) (strand, error) {
	if s := a.strands[kind]; s != nil {
		return s, nil
	}
	for _, c := range collections() {
		if c.name() == kind {
			s, err := c.strand(&a.house)
			if err != nil {
				return nil, err
			}
			a.strands[kind] = s
			return s, nil
		}
	}
	return nil, fmt.Errorf("a house has nothing of kind %q", kind)
}

func (l listOf[T]) strand(h *House) (strand, error) {
	list := *l.in(h)
	s := &strandOf[T]{list: l, order: newChain(l.ids(list)), values: make(map[ID]*T, len(list))}
	for i := range list {
		id := l.id(&list[i])
		if s.values[id] != nil || id == "" || id == AtStart {
			return nil, fmt.Errorf("the house has a %s with the identity %q that is missing or there twice; mend it first", l.kind, string(id))
		}
		s.values[id] = &list[i]
	}
	return s, nil
}

// strandOf holds the order of a list and its entities; entities are replaced, never written to.
type strandOf[T any] struct {
	list   listOf[T]
	order  *chain
	values map[ID]*T
}

func (s *strandOf[T]) apply(c *Change) error {
	before, okBefore := value[T](c.Before)
	after, okAfter := value[T](c.After)
	now := s.values[c.ID]
	switch {
	case !okBefore || !okAfter || before == nil && after == nil:
		return fmt.Errorf("%s %s: the change holds no %s", c.Kind, c.ID, c.Kind)
	case after != nil && s.list.id(after) != c.ID:
		return fmt.Errorf("%s %s: the change holds %s", c.Kind, c.ID, s.list.id(after))
	case before == nil && c.ID.Check() != "":
		return fmt.Errorf("%s %q is no identity: %s", c.Kind, string(c.ID), c.ID.Check())
	case before == nil && now != nil:
		return fmt.Errorf("%s %s is there already", c.Kind, c.ID)
	case before != nil && now == nil:
		return fmt.Errorf("%s %s is gone", c.Kind, c.ID)
	case before != nil && !same(*before, *now):
		return fmt.Errorf("%s %s has changed since", c.Kind, c.ID)
	}
	switch {
	case after == nil:
		s.order.remove(c.ID)
		delete(s.values, c.ID)
	case before == nil:
		s.order.insert(c.ID, c.Follows)
		s.values[c.ID] = after
	default:
		s.values[c.ID] = after
	}
	return nil
}

// value takes a T, a pointer to one, or nothing out of a change.
func value[T any](v any) (*T, bool) {
	switch v := v.(type) {
	case nil:
		return nil, true
	case T:
		return &v, true
	case *T:
		return v, true
	}
	return nil, false
}

func (s *strandOf[T]) move(id, behind ID) error {
	if s.values[id] == nil {
		return fmt.Errorf("%s %s is gone", s.list.kind, id)
	}
	if id == behind {
		return fmt.Errorf("%s %s cannot stand behind itself", s.list.kind, id)
	}
	s.order.remove(id)
	s.order.insert(id, behind)
	return nil
}

func (s *strandOf[T]) store(h *House) {
	var list []T
	if len(s.values) > 0 {
		list = make([]T, 0, len(s.values))
	}
	for id := s.order.next[AtStart]; id != ""; id = s.order.next[id] {
		list = append(list, *s.values[id])
	}
	*s.list.in(h) = list
}

// changeJSON is a change as it is stored: entities with the names and forms of the text form.
type changeJSON struct {
	Kind    string          `json:"kind"`
	ID      ID              `json:"id,omitempty"`
	Before  json.RawMessage `json:"before,omitempty"`
	After   json.RawMessage `json:"after,omitempty"`
	Follows ID              `json:"follows,omitempty"`
}

// MarshalJSON writes the change with its entities as the text form names and writes them.
func (c Change) MarshalJSON() ([]byte, error) {
	j := changeJSON{Kind: c.Kind, ID: c.ID, Follows: c.Follows}
	if c.Before != nil {
		j.Before = yamldoc.JSON(c.Before)
	}
	if c.After != nil {
		j.After = yamldoc.JSON(c.After)
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON wrote; the kind says the type of the values. A value that is not of that type, or
// that no house could hold, is refused as Read refuses it.
func (c *Change) UnmarshalJSON(text []byte) error {
	var j changeJSON
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	read := Change{Kind: j.Kind, ID: j.ID, Follows: j.Follows}
	var err error
	if read.Before, err = entity(j.Kind, j.Before); err != nil {
		return fmt.Errorf("before: %w", err)
	}
	if read.After, err = entity(j.Kind, j.After); err != nil {
		return fmt.Errorf("after: %w", err)
	}
	*c = read
	return nil
}

// entity reads one value of a change.
func entity(kind string, text []byte) (any, error) {
	if len(text) == 0 || string(text) == "null" {
		return nil, nil
	}
	switch kind {
	case "text":
		var s string
		err := json.Unmarshal(text, &s)
		return s, err
	case "site":
		return decode[Site](kind, text)
	case "network":
		return decode[Network](kind, text)
	case "order":
		return decode[Order](kind, text)
	}
	for _, c := range collections() {
		if c.name() == kind {
			return c.decode(kind, text)
		}
	}
	return nil, fmt.Errorf("a house has nothing of kind %q", kind)
}

func (l listOf[T]) decode(what string, text []byte) (any, error) { return decode[T](what, text) }

func decode[T any](what string, text []byte) (any, error) {
	var v T
	if problems := yamldoc.Decode(what, text, &v); problems != nil {
		return nil, problems
	}
	return v, nil
}
