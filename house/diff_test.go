package house_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/house/generated"
)

// TestChangesLeadFromOneHouseToTheOtherAndBack is what undo, history and exchange stand on.
func TestChangesLeadFromOneHouseToTheOtherAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := randomHouse(t), randomHouse(t)
		shuffle(a, rapid.Uint64().Draw(t, "a"))
		shuffle(b, rapid.Uint64().Draw(t, "b"))
		textA := house.Write(a)
		changes := stored(t, house.Diff(a, b))
		got, err := house.Apply(a, changes)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, b) {
			t.Fatalf("got\n%s\ninstead of\n%s", house.Write(got), house.Write(b))
		}
		back, err := house.Apply(b, house.Invert(changes))
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(back, a) {
			t.Fatalf("went back to\n%s\ninstead of\n%s", house.Write(back), textA)
		}
		if !bytes.Equal(house.Write(a), textA) {
			t.Fatal("Apply changed the house that it was given")
		}
		if n := len(house.Diff(b, got)); n > 0 {
			t.Fatalf("%d changes between a house and itself", n)
		}
	})
}

func shuffle(h *house.House, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 0))
	swap := reflect.Swapper(h.Points)
	r.Shuffle(len(h.Points), swap)
	r.Shuffle(len(h.Wishes), reflect.Swapper(h.Wishes))
	if r.IntN(2) == 0 && len(h.Wishes) > 0 {
		h.Wishes = h.Wishes[1:]
	}
	if len(h.Wishes) == 0 {
		h.Wishes = nil
	}
}

// stored sends changes through their stored form.
func stored(t interface{ Fatal(...any) }, changes []house.Change) []house.Change {
	text, err := json.Marshal(changes)
	if err != nil {
		t.Fatal(err)
	}
	var back []house.Change
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(fmt.Sprintf("%v in %s", err, text))
	}
	if len(changes)+len(back) > 0 && !reflect.DeepEqual(changes, back) {
		t.Fatal("the stored form lost something")
	}
	return back
}

// TestDiffNamesWhatChanged shows the list that a person sees, for one edit of each sort.
func TestDiffNamesWhatChanged(t *testing.T) {
	a := generated.House(16, 1)
	b := generated.House(16, 1)
	b.Title = "Another"
	b.Site.Place = "Elsewhere"
	b.Points[2].Title = "renamed"
	b.Wishes = append(b.Wishes, house.Wish{ID: "more", Text: "more light"})
	b.Rooms[0], b.Rooms[1] = b.Rooms[1], b.Rooms[0]
	b.Openings = b.Openings[1:]
	var got []string
	for _, c := range house.Diff(a, b) {
		got = append(got, fmt.Sprintf("%s %s (%t, %t) %s", c.Kind, c.ID, c.Before != nil, c.After != nil, c.Follows))
	}
	want := []string{
		"text title (true, true) ",
		"site  (true, true) ",
		"order bedroom2 (true, true) ",
		"opening living1.door (true, false) .",
		"point living1.shutter (true, true) ",
		"wish more (false, true) w1",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
}

func TestMovingOneOfManyIsOneChange(t *testing.T) {
	a, b := generated.House(2000, 1), generated.House(2000, 1)
	p := b.Points[1500]
	copy(b.Points[11:1501], b.Points[10:1500])
	b.Points[10] = p
	changes := house.Diff(a, b)
	if len(changes) != 1 || changes[0].ID != p.ID || changes[0].Kind != "order" {
		t.Fatalf("%d changes, first %v", len(changes), changes[0])
	}
}

func TestApplyRefusesAllOrNothing(t *testing.T) {
	h := generated.House(16, 1)
	p, other := h.Points[0], h.Points[0]
	other.Title = "x"
	good := house.Change{Kind: "point", ID: p.ID, Before: p, After: other}
	for _, c := range []struct {
		name string
		bad  house.Change
		want string
	}{
		{"changed since", house.Change{Kind: "point", ID: p.ID, Before: p, After: p}, "has changed since"},
		{"there already", house.Change{Kind: "point", ID: p.ID, After: p}, "is there already"},
		{"gone", house.Change{Kind: "point", ID: "nobody", Before: house.Point{ID: "nobody"}}, "is gone"},
		{"other identity", house.Change{Kind: "point", ID: "nobody", After: p}, "the change holds living1.lamp"},
		{"other type", house.Change{Kind: "point", ID: p.ID, Before: house.Room{}, After: p}, "holds no point"},
		{"holds nothing", house.Change{Kind: "point", ID: p.ID}, "holds no point"},
		{"unknown kind", house.Change{Kind: "chimney", ID: p.ID}, `nothing of kind "chimney"`},
		{"unknown text", house.Change{Kind: "text", ID: "poem", Before: "", After: "x"}, `no text "poem"`},
		{"text of another house", house.Change{Kind: "text", ID: "title", Before: "x", After: "y"}, "text title has changed since"},
		{"site without value", house.Change{Kind: "site"}, "a value before and a value after"},
		{"order without place", house.Change{Kind: "order", ID: p.ID}, "does not say where"},
		{"order of nobody", house.Change{Kind: "order", ID: "nobody", After: house.Order{List: "point"}}, "is gone"},
		{"no identity", house.Change{Kind: "wish", ID: "", After: house.Wish{Text: "x"}}, "is no identity"},
		{"mark as identity", house.Change{Kind: "wish", ID: house.AtStart, After: house.Wish{ID: house.AtStart, Text: "x"}}, "is no identity"},
		{"behind itself", house.Change{Kind: "order", ID: p.ID, After: house.Order{List: "point", Follows: p.ID}}, "behind itself"},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := house.Write(h)
			got, err := house.Apply(h, []house.Change{good, c.bad})
			if got != nil || err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, %v; want %q", got, err, c.want)
			}
			if !bytes.Equal(before, house.Write(h)) {
				t.Error("the house was changed")
			}
		})
	}
}

// TestHouseWithDoubleIdentitiesIsNotChanged: such a house is not valid, but nothing of it may be lost, and nothing hang.
func TestHouseWithDoubleIdentitiesIsNotChanged(t *testing.T) {
	for _, id := range []house.ID{"a", "", house.AtStart} {
		h := &house.House{Wishes: []house.Wish{{ID: "a"}, {ID: id}, {ID: "b"}}}
		if _, err := house.Apply(h, []house.Change{{Kind: "wish", ID: "c", After: house.Wish{ID: "c"}}}); err == nil || !strings.Contains(err.Error(), "mend it first") {
			t.Errorf("%q: %v", id, err)
		}
		house.Diff(h, &house.House{Wishes: []house.Wish{{ID: "b"}, {ID: "a"}, {ID: "a"}, {ID: ""}}})
	}
}

// FuzzChange: no text makes it panic, and what is accepted keeps its form.
func FuzzChange(f *testing.F) {
	for _, c := range house.Diff(generated.House(1, 1), generated.House(12, 2)) {
		text, err := json.Marshal(c)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		var c house.Change
		if json.Unmarshal([]byte(text), &c) == nil {
			stored(t, []house.Change{c})
		}
	})
}

// TestChangeWithoutAPlaceGoesLast is how a remedy or an edit adds something.
func TestChangeWithoutAPlaceGoesLast(t *testing.T) {
	h := generated.House(16, 1)
	for _, follows := range []house.ID{"", "not.there"} {
		got, err := house.Apply(h, []house.Change{{Kind: "wish", ID: "more", After: &house.Wish{ID: "more", Text: "x"}, Follows: follows}})
		if err != nil || got.Wishes[len(got.Wishes)-1].ID != "more" {
			t.Errorf("got %v, %v", got, err)
		}
	}
}

func TestStoredChangesAreRefusedWhenWrong(t *testing.T) {
	for _, text := range []string{
		`{"kind":"point","after":{"id":"a","knid":"lamp"}}`,
		`{"kind":"point","after":{"id":"a","kind":"lmap"}}`,
		`{"kind":"chimney","after":{"id":"a"}}`,
		`{"kind":"text","id":"title","after":7}`,
		`{"kind":`,
	} {
		var c house.Change
		if err := json.Unmarshal([]byte(text), &c); err == nil {
			t.Errorf("%s was accepted", text)
		}
	}
}

func BenchmarkDiffAndApply(b *testing.B) {
	x, y := generated.House(20_000, 1), generated.House(20_000, 1)
	y.Points[7].Title = "changed"
	y.Points = append(y.Points[:100:100], y.Points[101:]...)
	b.ReportAllocs()
	for b.Loop() {
		changes := house.Diff(x, y)
		if _, err := house.Apply(x, changes); err != nil || len(changes) != 2 {
			b.Fatal(err, len(changes))
		}
	}
}
