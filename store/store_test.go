package store

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"wirewright/house"
	"wirewright/unit"
)

// clock is a clock that goes on by a second at each look, so that no test hangs on the machine's.
func clock() func() time.Time {
	now := time.Date(2026, 3, 14, 8, 0, 0, 0, time.UTC)
	var one sync.Mutex
	return func() time.Time {
		one.Lock()
		defer one.Unlock()
		now = now.Add(time.Second)
		return now
	}
}

// quick opens fast: a clock of its own, and a work factor that no real job should have.
func quick() Options { return Options{Now: clock(), Who: "test", WorkFactor: 4} }

// newJob makes an empty job in a folder of its own.
func newJob(t testing.TB) *Store {
	t.Helper()
	s, err := Create(t.Context(), filepath.Join(t.TempDir(), "house.job"), quick())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// lamp is a lamp point.
func lamp(id house.ID, watts float64) house.Point {
	return house.Point{ID: id, Title: "Lamp " + string(id), Kind: house.Lamp, Room: "hall",
		At: &house.XYZ{X: 1, Y: 2, Z: 2.4}, Load: &house.Load{Category: house.LED, Power: unit.Watts(watts)}}
}

// add is the change that adds a point, swap one that changes it, drop one that removes it.
func add(p house.Point) house.Change { return house.Change{Kind: "point", ID: p.ID, After: p} }
func swap(a, b house.Point) house.Change {
	return house.Change{Kind: "point", ID: a.ID, Before: a, After: b}
}
func drop(p house.Point) house.Change { return house.Change{Kind: "point", ID: p.ID, Before: p} }
func document(name house.ID, before, after any) house.Change {
	return house.Change{Kind: KindDocument, ID: name, Before: before, After: after}
}

// must commits an edit that is right.
func must(t testing.TB, s *Store, base Rev, changes ...house.Change) Rev {
	t.Helper()
	rev, err := s.Commit(t.Context(), base, changes, Meta{Who: "anna", Why: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return rev
}

// wantKind fails unless the error is of a kind and says some words.
func wantKind(t testing.TB, err error, kind Kind, words ...string) {
	t.Helper()
	if KindOf(err) != kind {
		t.Fatalf("got %v (kind %q), want kind %q", err, KindOf(err), kind)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("the error %q does not say %q", err, w)
		}
	}
}

func TestCreateOpenClose(t *testing.T) {
	ctx := context.Background()
	s := newJob(t)
	path := s.Path()
	if rev, err := s.Newest(ctx); err != nil || rev != 0 {
		t.Fatalf("a new job stands at revision %d, %v", rev, err)
	}
	must(t, s, 0, add(lamp("hall.lamp", 8)))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	names, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(names) != 1 {
		t.Fatalf("after closing the folder holds %v, %v; want the one file", names, err)
	}
	s, err = Open(ctx, path, quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if rev, err := s.Newest(ctx); err != nil || rev != 1 {
		t.Fatalf("opened again the job stands at revision %d, %v", rev, err)
	}
	_, err = Create(ctx, path, quick())
	wantKind(t, err, Exists)
	_, err = Open(ctx, path+".none", quick())
	wantKind(t, err, Missing)
}

func TestCommitRefusesWhatContradicts(t *testing.T) {
	s := newJob(t)
	a, b := lamp("hall.lamp", 8), lamp("hall.lamp", 10)
	must(t, s, 0, add(a))
	for _, c := range []struct {
		name    string
		base    Rev
		changes []house.Change
		kind    Kind
	}{
		{"added twice", 1, []house.Change{add(a)}, Invalid},
		{"changed from what does not stand", 1, []house.Change{swap(b, a)}, Invalid},
		{"removed what is not there", 1, []house.Change{drop(lamp("x", 1))}, Invalid},
		{"two changes of one", 1, []house.Change{swap(a, b), swap(a, b)}, Invalid},
		{"an unknown kind", 1, []house.Change{{Kind: "chimney", ID: "x", After: lamp("x", 1)}}, Invalid},
		{"another kind's entity", 1, []house.Change{{Kind: "room", ID: "x", After: lamp("x", 1)}}, Invalid},
		{"another identity", 1, []house.Change{{Kind: "point", ID: "x", After: lamp("y", 1)}}, Invalid},
		{"a number that is none", 1, []house.Change{add(house.Point{ID: "x", Kind: house.Lamp, At: &house.XYZ{X: math.NaN()}})}, Invalid},
		{"an unknown text", 1, []house.Change{{Kind: "text", ID: "poem", Before: "", After: "x"}}, Invalid},
		{"a move of nothing", 1, []house.Change{{Kind: "order", ID: "x", Before: house.Order{List: "point"}, After: house.Order{List: "point", Follows: "."}}}, Invalid},
		{"a move that does not say where", 1, []house.Change{{Kind: "order", ID: "hall.lamp", After: house.Order{List: "point"}}}, Invalid},
		{"a document that is no text", 1, []house.Change{document("x", nil, 3)}, Invalid},
		{"no kind", 1, []house.Change{{ID: "x", After: 1}}, Invalid},
		{"a revision to come", 2, []house.Change{swap(a, b)}, Missing},
		{"a negative revision", -1, []house.Change{swap(a, b)}, Missing},
		{"the revision before", 0, []house.Change{swap(a, b)}, Conflict},
	} {
		_, err := s.Commit(t.Context(), c.base, c.changes, Meta{})
		if KindOf(err) != c.kind {
			t.Errorf("%s: %v, want kind %s", c.name, err, c.kind)
		}
	}
	far := Meta{When: time.Date(12000, 1, 1, 0, 0, 0, 0, time.UTC)}
	_, err := s.Commit(t.Context(), 1, []house.Change{swap(a, b)}, far)
	wantKind(t, err, Invalid, "year")
	if rev := must(t, s, 1, swap(a, a)); rev != 1 {
		t.Errorf("an edit that changes nothing made revision %d", rev)
	}
	if rev, _ := s.Newest(t.Context()); rev != 1 {
		t.Errorf("refused edits left revision %d", rev)
	}
}

func TestConflictCarriesBothSides(t *testing.T) {
	s := newJob(t)
	a, b, c := lamp("hall.lamp", 8), lamp("bath.lamp", 8), lamp("hall.lamp", 12)
	must(t, s, 0, add(a), add(b))
	if _, err := s.Commit(t.Context(), 1, []house.Change{swap(a, c)}, Meta{Who: "ben", Why: "brighter"}); err != nil {
		t.Fatal(err)
	}
	mine := []house.Change{swap(a, lamp("hall.lamp", 5))}
	_, err := s.Commit(t.Context(), 1, mine, Meta{Who: "anna"})
	var conflict *ConflictError
	if !errors.As(err, &conflict) {
		t.Fatal(err)
	}
	wantKind(t, err, Conflict, "revision 1", "revision 2", "ben", "point hall.lamp")
	if conflict.Base != 1 || conflict.Newest != 2 || len(conflict.Between) != 1 || len(conflict.Overlap) != 1 {
		t.Fatalf("%+v", conflict)
	}
	if got := conflict.Between[0]; got.Meta.Why != "brighter" || len(got.Changes) != 1 {
		t.Errorf("between: %+v", got)
	}
	if _, err := s.Rebase(t.Context(), 1, mine); KindOf(err) != Conflict {
		t.Errorf("rebase of an edit of the same entity: %v", err)
	}
	other := []house.Change{swap(b, lamp("bath.lamp", 9))}
	_, err = s.Commit(t.Context(), 1, other, Meta{})
	if !errors.As(err, &conflict) || len(conflict.Overlap) != 0 {
		t.Fatalf("an edit of another entity: %v", err)
	}
	if newest, err := s.Rebase(t.Context(), 1, other); err != nil || newest != 2 {
		t.Fatalf("rebase: %d, %v", newest, err)
	}
	must(t, s, 2, other...)
}

func TestUndoIsEachPersonsOwn(t *testing.T) {
	s := newJob(t)
	ctx := t.Context()
	a, b := lamp("hall.lamp", 8), lamp("bath.lamp", 8)
	anna, ben := Meta{Who: "anna"}, Meta{Who: "ben"}
	must(t, s, 0, add(a))
	if _, err := s.Commit(ctx, 1, []house.Change{add(b)}, Meta{Who: "ben", Why: "bath"}); err != nil {
		t.Fatal(err)
	}
	if rev, err := s.Undo(ctx, 2, anna); err != nil || rev != 3 {
		t.Fatal(rev, err)
	}
	changes, err := s.Changes(ctx, 3)
	if err != nil || len(changes) != 1 || changes[0].ID != "hall.lamp" || changes[0].After != nil {
		t.Fatalf("anna's undo did %+v, %v", changes, err)
	}
	undo, redo, err := s.Undoable(ctx, "ben")
	if err != nil || undo == nil || undo.Meta.Why != "bath" || redo != nil {
		t.Fatalf("ben may undo %+v, redo %+v, %v", undo, redo, err)
	}
	_, err = s.Redo(ctx, 3, ben)
	wantKind(t, err, Missing, "nothing to redo")
	if _, err := s.Redo(ctx, 3, anna); err != nil {
		t.Fatal(err)
	}
	_, err = s.Undo(ctx, 3, anna)
	wantKind(t, err, Conflict)
	if _, err := s.Commit(ctx, 4, []house.Change{swap(a, lamp("hall.lamp", 11))}, ben); err != nil {
		t.Fatal(err)
	}
	_, err = s.Undo(ctx, 5, anna)
	wantKind(t, err, Conflict, "ben", "hall.lamp")
	if _, err := s.Revert(ctx, 5, 5, anna); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Undo(ctx, 6, anna); err != nil { // takes back the revert, so that ben's change stands again
		t.Fatal(err)
	}
	log, err := s.Log(ctx)
	if err != nil {
		t.Fatal(err)
	}
	var acts []string
	for _, e := range log {
		acts = append(acts, string(e.Act))
	}
	if got := strings.Join(acts, " "); got != "edit edit undo redo edit revert undo" {
		t.Errorf("the log reads %s", got)
	}
}

func TestHistoryOfOneEntity(t *testing.T) {
	s := newJob(t)
	a, b := lamp("hall.lamp", 8), lamp("hall.lamp", 9)
	must(t, s, 0, add(a))
	must(t, s, 1, add(lamp("x", 1)))
	must(t, s, 2, swap(a, b))
	must(t, s, 3, drop(b))
	must(t, s, 4, add(a))
	list, err := s.History(t.Context(), "point", "hall.lamp")
	if err != nil {
		t.Fatal(err)
	}
	var revs []Rev
	for _, r := range list {
		revs = append(revs, r.Rev)
	}
	if want := []Rev{1, 3, 4, 5}; len(revs) != 4 || revs[0] != want[0] || revs[1] != want[1] || revs[2] != want[2] || revs[3] != want[3] {
		t.Errorf("hall.lamp changed at %v, want %v", revs, want)
	}
	if list[2].Changes[0].After != nil || list[3].Changes[0].Before != nil {
		t.Errorf("removed and added again reads %+v", list[2:])
	}
}

// TestStoredHoldsEverythingOfAHouse: a field that the model gains must not be left behind by the store.
func TestStoredHoldsEverythingOfAHouse(t *testing.T) {
	model := reflect.TypeFor[house.House]()
	lists := 0
	for i := range model.NumField() {
		f := model.Field(i)
		var h house.House
		if f.Type.Kind() == reflect.String {
			if !shelve(&h, strings.ToLower(f.Name), "x") || reflect.ValueOf(h).Field(i).String() != "x" {
				t.Errorf("the text %s of a house is not stored", f.Name)
			}
			continue
		}
		one := f.Type
		if one.Kind() == reflect.Slice {
			one = one.Elem()
		}
		lists++
		if !shelve(&h, "x", reflect.Zero(one).Interface()) {
			t.Errorf("%s of a house is not stored", f.Name)
		}
	}
	if lists != len(shelves()) {
		t.Errorf("a house has %d kinds of entity, the store reads %d", lists, len(shelves()))
	}
}
