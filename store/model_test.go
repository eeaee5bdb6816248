package store

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// model is what the store must be: every revision's house in memory, and each person's undo and redo stacks.
type model struct {
	houses    []*house.House   // by revision
	documents []string         // the one document, by revision
	changes   [][]house.Change // that led to a revision
	undo      map[string][]Rev // revisions to take back, the next one last
	redo      map[string][]Rev // undos to take back, the next one last
	target    map[Rev]Rev      // what an undo took back
}

func (m *model) newest() Rev { return Rev(len(m.houses) - 1) }

// push adds a revision.
func (m *model) push(t *rapid.T, changes []house.Change) Rev {
	next, err := house.Apply(m.houses[m.newest()], HouseChanges(changes))
	if err != nil {
		t.Fatalf("the model refuses: %v", err)
	}
	document := m.documents[m.newest()]
	for _, c := range changes {
		if c.Kind == KindDocument {
			document, _ = c.After.(string)
		}
	}
	m.houses, m.documents, m.changes = append(m.houses, next), append(m.documents, document), append(m.changes, changes)
	return m.newest()
}

// pop takes the last of a stack; 0 from an empty one.
func pop(stack map[string][]Rev, who string) Rev {
	s := stack[who]
	if len(s) == 0 {
		return 0
	}
	stack[who] = s[:len(s)-1]
	return s[len(s)-1]
}

// edited makes a random edit of a house.
func edited(t *rapid.T, h *house.House) *house.House {
	next := *h
	next.Points, next.Wishes = slices.Clone(h.Points), slices.Clone(h.Wishes)
	for range rapid.IntRange(1, 4).Draw(t, "edits") {
		at := 0
		if len(next.Points) > 0 {
			at = rapid.IntRange(0, len(next.Points)-1).Draw(t, "at")
		}
		switch kind := rapid.IntRange(0, 8).Draw(t, "edit"); {
		case kind == 0:
			next.Title = rapid.SampledFrom([]string{"", "Haus Ł", "line\nbreak", "\"quoted\""}).Draw(t, "title")
		case kind == 1:
			next.Behaviour = rapid.String().Draw(t, "behaviour")
		case kind == 2:
			next.Site.Place = rapid.SampledFrom([]string{"", "Somewhere"}).Draw(t, "place")
		case kind == 3:
			next.Network.Subnet = rapid.SampledFrom([]string{"", "10.1.0.0/24"}).Draw(t, "subnet")
		case kind == 4 || len(next.Points) == 0:
			id := house.ID(fmt.Sprintf("new%d", rapid.IntRange(0, 9).Draw(t, "id")))
			if !slices.ContainsFunc(next.Points, func(p house.Point) bool { return p.ID == id }) {
				next.Points = slices.Insert(next.Points, at, lamp(id, 5))
			}
		case kind == 5:
			next.Points = slices.Delete(next.Points, at, at+1)
		case kind == 6:
			to := rapid.IntRange(0, len(next.Points)-1).Draw(t, "to")
			p := next.Points[at]
			next.Points = slices.Insert(slices.Delete(next.Points, at, at+1), to, p)
		default:
			p := next.Points[at]
			p.Title = rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "title")
			p.Load = &house.Load{Category: house.LED, Power: unit.Watts(float64(rapid.IntRange(1, 20).Draw(t, "watts")))}
			next.Points[at] = p
		}
	}
	return &next
}

// machine drives a store and a model side by side.
type machine struct {
	s *Store
	m *model
}

var people = []string{"anna", "ben"}

func (x *machine) commit(t *rapid.T) {
	changes := house.Diff(x.m.houses[x.m.newest()], edited(t, x.m.houses[x.m.newest()]))
	was := x.m.documents[x.m.newest()]
	if now := rapid.SampledFrom([]string{was, "", "types: []\n", "# comment\n"}).Draw(t, "document"); now != was {
		c := house.Change{Kind: KindDocument, ID: "types/own.yaml"}
		if was != "" {
			c.Before = was
		}
		if now != "" {
			c.After = now
		}
		changes = append(changes, c)
	}
	who := rapid.SampledFrom(people).Draw(t, "who")
	rev, err := x.s.Commit(t.Context(), x.m.newest(), changes, Meta{Who: who})
	if err != nil {
		t.Fatal(err)
	}
	if len(changes) == 0 {
		if rev != x.m.newest() {
			t.Fatalf("an empty edit made revision %d", rev)
		}
		return
	}
	if want := x.m.push(t, changes); rev != want {
		t.Fatalf("revision %d, want %d", rev, want)
	}
	x.m.undo[who], x.m.redo[who] = append(x.m.undo[who], rev), nil
}

// back is Undo and Redo: the store must do as the model, or both must refuse.
func (x *machine) back(t *rapid.T, redo bool) {
	who := rapid.SampledFrom(people).Draw(t, "who")
	from, to, act := x.m.undo, x.m.redo, x.s.Undo
	if redo {
		from, to, act = x.m.redo, x.m.undo, x.s.Redo
	}
	target := pop(from, who)
	rev, err := act(t.Context(), x.m.newest(), Meta{Who: who})
	if target == 0 {
		if KindOf(err) != Missing {
			t.Fatalf("nothing to take back: %v", err)
		}
		return
	}
	changes := house.Invert(x.m.changes[target])
	if _, bad := house.Apply(x.m.houses[x.m.newest()], HouseChanges(changes)); bad != nil || x.documentChanged(changes) {
		if KindOf(err) != Conflict {
			t.Fatalf("taking back %d, which others built upon: %v", target, err)
		}
		from[who] = append(from[who], target)
		return
	}
	if err != nil {
		t.Fatalf("taking back %d: %v", target, err)
	}
	if want := x.m.push(t, changes); rev != want {
		t.Fatalf("revision %d, want %d", rev, want)
	}
	if redo {
		to[who] = append(to[who], x.m.target[target])
	} else {
		x.m.target[rev] = target
		to[who] = append(to[who], rev)
	}
}

func (x *machine) documentChanged(changes []house.Change) bool {
	for _, c := range changes {
		if before, _ := c.Before.(string); c.Kind == KindDocument && before != x.m.documents[x.m.newest()] {
			return true
		}
	}
	return false
}

func (x *machine) stale(t *rapid.T) {
	if x.m.newest() == 0 {
		return
	}
	base := Rev(rapid.Int64Range(0, int64(x.m.newest())-1).Draw(t, "base"))
	_, err := x.s.Commit(t.Context(), base, house.Diff(x.m.houses[base], edited(t, x.m.houses[base])), Meta{})
	if KindOf(err) != Conflict {
		t.Fatalf("an edit of revision %d on %d: %v", base, x.m.newest(), err)
	}
}

// look compares one revision, or the newest, with the model.
func (x *machine) look(t *rapid.T, rev Rev) {
	h, err := x.s.House(t.Context(), rev)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := house.Write(h), house.Write(x.m.houses[rev]); !bytes.Equal(got, want) {
		t.Fatalf("revision %d reads\n%s\nwant\n%s", rev, got, want)
	}
	documents, err := x.s.Documents(t.Context(), rev)
	if err != nil {
		t.Fatal(err)
	}
	if documents["types/own.yaml"] != x.m.documents[rev] {
		t.Fatalf("revision %d has documents %q, want %q", rev, documents, x.m.documents[rev])
	}
}

// TestRandomWorkAgreesWithMemory runs random edits, undos and openings against the model.
func TestRandomWorkAgreesWithMemory(t *testing.T) {
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		path := filepath.Join(dir, fmt.Sprintf("%d.job", n))
		s, err := Create(t.Context(), path, quick())
		if err != nil {
			t.Fatal(err)
		}
		x := &machine{s: s, m: &model{houses: []*house.House{{}}, documents: []string{""}, changes: [][]house.Change{nil},
			undo: map[string][]Rev{}, redo: map[string][]Rev{}, target: map[Rev]Rev{}}}
		defer func() { _ = x.s.Close() }()
		start := house.Diff(&house.House{}, generated.House(6, 1))
		if _, err := s.Commit(t.Context(), 0, start, Meta{Who: "import"}); err != nil {
			t.Fatal(err)
		}
		x.m.push(t, start)
		t.Repeat(map[string]func(*rapid.T){
			"commit": x.commit,
			"undo":   func(t *rapid.T) { x.back(t, false) },
			"redo":   func(t *rapid.T) { x.back(t, true) },
			"stale":  x.stale,
			"look":   func(t *rapid.T) { x.look(t, Rev(rapid.Int64Range(0, int64(x.m.newest())).Draw(t, "rev"))) },
			"open again": func(t *rapid.T) {
				if err := x.s.Close(); err != nil {
					t.Fatal(err)
				}
				if x.s, err = Open(t.Context(), path, quick()); err != nil {
					t.Fatal(err)
				}
			},
			"": func(t *rapid.T) { x.look(t, x.m.newest()) },
		})
		if err := x.s.Verify(t.Context()); err != nil {
			t.Fatal(err)
		}
	})
}
