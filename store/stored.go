package store

import (
	"encoding/json"
	"reflect"
	"runtime"
	"sync"

	"wirewright/house"
	"wirewright/internal/yamldoc"
)

// stored is some entities as they lie in the file, by kind; the same reader reads them that reads the text form. Taking
// many at once spares making the reader's plan for each.
type stored struct {
	Sites    []house.Site    `yaml:"sites,omitempty"`
	Networks []house.Network `yaml:"networks,omitempty"`
	Storeys  []house.Storey  `yaml:"storeys,omitempty"`
	Rooms    []house.Room    `yaml:"rooms,omitempty"`
	Walls    []house.Wall    `yaml:"walls,omitempty"`
	Openings []house.Opening `yaml:"openings,omitempty"`
	Slabs    []house.Slab    `yaml:"slabs,omitempty"`
	Boards   []house.Board   `yaml:"boards,omitempty"`
	Circuits []house.Circuit `yaml:"circuits,omitempty"`
	Points   []house.Point   `yaml:"points,omitempty"`
	Modules  []house.Module  `yaml:"modules,omitempty"`
	Lines    []house.Line    `yaml:"lines,omitempty"`
	Wishes   []house.Wish    `yaml:"wishes,omitempty"`
}

// shelf is one list of stored: its key in the text, and how its first entity is taken.
type shelf struct {
	kind, key string
	take      func(*stored) any
}

// shelves lists the kinds of entity that are read through stored; texts and documents are plain strings.
func shelves() []shelf {
	return []shelf{
		{kindSite, "sites", func(s *stored) any { return first(&s.Sites) }},
		{kindNetwork, "networks", func(s *stored) any { return first(&s.Networks) }},
		{"storey", "storeys", func(s *stored) any { return first(&s.Storeys) }},
		{"room", "rooms", func(s *stored) any { return first(&s.Rooms) }},
		{"wall", "walls", func(s *stored) any { return first(&s.Walls) }},
		{"opening", "openings", func(s *stored) any { return first(&s.Openings) }},
		{"slab", "slabs", func(s *stored) any { return first(&s.Slabs) }},
		{"board", "boards", func(s *stored) any { return first(&s.Boards) }},
		{"circuit", "circuits", func(s *stored) any { return first(&s.Circuits) }},
		{"point", "points", func(s *stored) any { return first(&s.Points) }},
		{"module", "modules", func(s *stored) any { return first(&s.Modules) }},
		{"line", "lines", func(s *stored) any { return first(&s.Lines) }},
		{"wish", "wishes", func(s *stored) any { return first(&s.Wishes) }},
	}
}

// first takes the first entity off a list; nil from an empty one.
func first[T any](list *[]T) any {
	if len(*list) == 0 {
		return nil
	}
	v := (*list)[0]
	*list = (*list)[1:]
	return v
}

// entityText is one entity as it is stored; no data: none.
type entityText struct {
	kind, id string
	data     []byte
}

// chunkSize is how many entities are read in one go.
const chunkSize = 1000

// decodeEntities reads entities; the answer has the value of each at its place, nil where there is no data. Chunks are
// read for themselves, so all processors share the work.
func decodeEntities(list []entityText) ([]any, error) {
	values := make([]any, len(list))
	chunks := (len(list) + chunkSize - 1) / chunkSize
	faults := make([]error, chunks)
	next := make(chan int, chunks)
	for c := range chunks {
		next <- c
	}
	close(next)
	var wait sync.WaitGroup
	for range min(chunks, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for c := range next {
				from, to := c*chunkSize, min((c+1)*chunkSize, len(list))
				faults[c] = decodeChunk(list[from:to], values[from:to])
			}
		})
	}
	wait.Wait()
	for _, err := range faults {
		if err != nil {
			return nil, err
		}
	}
	return values, nil
}

// decodeChunk reads some entities into values.
func decodeChunk(list []entityText, values []any) error {
	texts := map[string][]byte{} // by kind, what follows the key
	for i, e := range list {
		switch {
		case e.data == nil:
		case e.kind == kindText || e.kind == KindDocument:
			var s string
			if err := json.Unmarshal(e.data, &s); err != nil {
				return torn("%s %s cannot be read: %v", e.kind, e.id, err)
			}
			if e.kind == kindText && textOf(&house.House{}, e.id) == nil {
				return torn("a house has no text %q", e.id)
			}
			values[i] = s
		default:
			texts[e.kind] = append(append(texts[e.kind], ','), e.data...)
		}
	}
	text := []byte{'{'}
	taken := 0
	takers := map[string]func(*stored) any{}
	for _, s := range shelves() {
		if body := texts[s.kind]; body != nil {
			if taken > 0 {
				text = append(text, ',')
			}
			body[0] = '['
			text = append(append(append(append(text, '"'), s.key...), `":`...), body...)
			text = append(text, ']')
			takers[s.kind] = s.take
			taken++
		}
	}
	var s stored
	if problems := yamldoc.Decode("", append(text, '}'), &s); problems != nil {
		return torn("an entity cannot be read: %v", problems)
	}
	for i, e := range list {
		if e.data == nil || values[i] != nil {
			continue
		}
		take := takers[e.kind]
		if take == nil {
			return invalid("a house has nothing of kind %q", e.kind)
		}
		if values[i] = take(&s); values[i] == nil || identity(values[i]) != house.ID(e.id) {
			return torn("%s %s is stored under another identity", e.kind, e.id)
		}
	}
	return nil
}

// identity is the ID of an entity; empty for what has none.
func identity(v any) house.ID {
	f := reflect.ValueOf(v).FieldByName("ID")
	if !f.IsValid() {
		return ""
	}
	return house.ID(f.String())
}

// decodeHouse builds a house of the entities that stand at one revision, in their order.
func decodeHouse(versions []version) (*house.House, error) {
	list := make([]entityText, len(versions))
	for i, v := range versions {
		list[i] = entityText{v.kind, v.id, v.data}
	}
	values, err := decodeEntities(list)
	if err != nil {
		return nil, err
	}
	h := &house.House{}
	for i, v := range values {
		if list[i].kind == KindDocument {
			continue
		}
		if !shelve(h, list[i].id, v) {
			return nil, torn("a house has no %s %q", list[i].kind, list[i].id)
		}
	}
	return h, nil
}

// shelve puts an entity into a house; false where it has no place for it.
func shelve(h *house.House, id string, v any) bool {
	switch v := v.(type) {
	case string:
		text := textOf(h, id)
		if text == nil {
			return false
		}
		*text = v
	case house.Site:
		h.Site = v
	case house.Network:
		h.Network = v
	case house.Storey:
		h.Storeys = append(h.Storeys, v)
	case house.Room:
		h.Rooms = append(h.Rooms, v)
	case house.Wall:
		h.Walls = append(h.Walls, v)
	case house.Opening:
		h.Openings = append(h.Openings, v)
	case house.Slab:
		h.Slabs = append(h.Slabs, v)
	case house.Board:
		h.Boards = append(h.Boards, v)
	case house.Circuit:
		h.Circuits = append(h.Circuits, v)
	case house.Point:
		h.Points = append(h.Points, v)
	case house.Module:
		h.Modules = append(h.Modules, v)
	case house.Line:
		h.Lines = append(h.Lines, v)
	case house.Wish:
		h.Wishes = append(h.Wishes, v)
	default:
		return false
	}
	return true
}

// textOf finds a text of a house by its identity; nil where a house has no such text.
func textOf(h *house.House, id string) *string {
	switch id {
	case "format":
		return &h.Format
	case "title":
		return &h.Title
	case "note":
		return &h.Note
	case "behaviour":
		return &h.Behaviour
	case "acceptance":
		return &h.Acceptance
	}
	return nil
}
