package store

import (
	"encoding/json"
	"reflect"
	"runtime"
	"sync"

	"wirewright/house"
	"wirewright/internal/yamldoc"
)

// shelf reads the entities of one kind; the same reader reads them that reads the text form. Taking many at once spares
// making the reader's plan for each.
type shelf struct {
	kind string
	read func(list []byte) ([]any, error)
}

// shelves lists the kinds of entity that are read so; texts and documents are plain strings.
func shelves() []shelf {
	return []shelf{
		{kindSite, readList[house.Site]},
		{kindNetwork, readList[house.Network]},
		{"storey", readList[house.Storey]},
		{"room", readList[house.Room]},
		{"wall", readList[house.Wall]},
		{"opening", readList[house.Opening]},
		{"slab", readList[house.Slab]},
		{"board", readList[house.Board]},
		{"circuit", readList[house.Circuit]},
		{"point", readList[house.Point]},
		{"module", readList[house.Module]},
		{"line", readList[house.Line]},
		{"wish", readList[house.Wish]},
	}
}

// readList reads a list of entities.
func readList[T any](list []byte) ([]any, error) {
	var read struct {
		List []T `yaml:"list"`
	}
	text := append(append([]byte(`{"list":`), list...), '}')
	if problems := yamldoc.Decode("", text, &read); problems != nil {
		return nil, problems
	}
	values := make([]any, len(read.List))
	for i, v := range read.List {
		values[i] = v
	}
	return values, nil
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
	lists := map[string][]byte{} // by kind, the texts with commas between
	members := map[string][]int{}
	for i, e := range list {
		switch {
		case e.data == nil:
		case e.kind == kindText || e.kind == KindDocument:
			s, err := e.text()
			if err != nil {
				return err
			}
			values[i] = s
		default:
			lists[e.kind] = append(append(lists[e.kind], ','), e.data...)
			members[e.kind] = append(members[e.kind], i)
		}
	}
	for _, s := range shelves() {
		body := lists[s.kind]
		if body == nil {
			continue
		}
		body[0] = '['
		read, err := s.read(append(body, ']'))
		if err != nil {
			return torn("an entity of kind %s cannot be read: %v", s.kind, err)
		}
		for n, i := range members[s.kind] {
			if n >= len(read) || identity(read[n]) != house.ID(list[i].id) {
				return torn("%s %s is stored under another identity", s.kind, list[i].id)
			}
			values[i] = read[n]
		}
		delete(members, s.kind)
	}
	for kind := range members {
		return invalid("a house has nothing of kind %q", kind)
	}
	return nil
}

// text reads a text of the house, or a document.
func (e entityText) text() (string, error) {
	var s string
	if err := json.Unmarshal(e.data, &s); err != nil {
		return "", torn("%s %s cannot be read: %v", e.kind, e.id, err)
	}
	if e.kind == kindText && textOf(&house.House{}, e.id) == nil {
		return "", torn("a house has no text %q", e.id)
	}
	return s, nil
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
