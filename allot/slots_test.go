package allot

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

// aboutBoards is what is found about the rows of boards.
func aboutBoards(h *house.House, c *catalogue.Catalogue) []string {
	var list []string
	for _, f := range check.Check(h, c) {
		switch f.Slug {
		case "board/overlap", "board/outside", "board/unplaced", "board/device-place", "board/mixed-voltage", "board/hot-spot":
			list = append(list, f.Slug+": "+f.Text)
		}
	}
	return list
}

// homeless lists the circuits and rail modules that have no place on the rows of a board.
func homeless(h *house.House, c *catalogue.Catalogue) []string {
	var list []string
	for _, k := range h.Circuits {
		if k.Row == 0 || k.Slot == 0 {
			list = append(list, string(k.ID))
		}
	}
	for _, m := range h.Modules {
		if t, ok := c.Type(m.Type); ok && t.Mount == catalogue.Rail && (m.Row == 0 || m.Slot == 0) {
			list = append(list, string(m.ID))
		}
	}
	return list
}

func TestBoardsOfTheExampleAreLaidOut(t *testing.T) {
	c := builtin(t)
	r := allot(t, exampleHouse(t), c, Options{})
	if list := homeless(r.House, c); len(list) > 0 {
		t.Errorf("without a place: %v", list)
	}
	if list := aboutBoards(r.House, c); len(list) > 0 {
		t.Errorf("found:\n%s", strings.Join(list, "\n"))
	}
	for _, k := range r.House.Circuits {
		if k.Row != 1 {
			t.Errorf("the device of %s is in row %d, not in the first", k.ID, k.Row)
		}
	}
	if before := exampleHouse(t); before.Circuits[0].Row != 0 {
		t.Error("the house given was changed")
	}
}

// TestFeedersStandBeforeWhatTheyServe writes the incoming and two residual-current devices into the example.
func TestFeedersStandBeforeWhatTheyServe(t *testing.T) {
	c, h := builtin(t), exampleHouse(t)
	i := slices.IndexFunc(h.Boards, func(b house.Board) bool { return b.ID == "board2" })
	ids := func(n ...int) (list []house.ID) {
		for _, k := range n {
			list = append(list, house.ID(fmt.Sprint("board2.f", k)))
		}
		return list
	}
	h.Boards[i].Devices = []house.Device{
		{Name: "X0", Kind: "other", Units: 1, Extra: true},
		{Name: "F11", Kind: "residual", Units: 4, Serves: ids(1, 2, 3, 4)}, {Name: "F12", Kind: "residual", Units: 4, Serves: ids(5, 6, 7, 8)},
		{Name: "Q1", Kind: "main", Units: 3, Rating: unit.Amperes(63)}, {Name: "X1", Kind: "terminals", Units: 2, Extra: true},
	}
	r := allot(t, h, c, Options{})
	if list := aboutBoards(r.House, c); len(list) > 0 {
		t.Errorf("found:\n%s", strings.Join(list, "\n"))
	}
	at := map[string][2]int{}
	for _, d := range r.House.Boards[i].Devices {
		at[d.Name] = [2]int{d.Row, d.Slot}
	}
	for _, k := range r.House.Circuits {
		at[string(k.ID)] = [2]int{k.Row, k.Slot}
	}
	before := func(a, b string) {
		if x, y := at[a], at[b]; x[0] == 0 || x[0] > y[0] || x[0] == y[0] && x[1] >= y[1] {
			t.Errorf("%s at %v is not before %s at %v", a, x, b, y)
		}
	}
	if at["X0"][0] == 0 || at["X1"][0] == 0 || at["X1"][0] == at["Q1"][0] {
		t.Errorf("terminals stand at %v and %v, the incoming device at %v", at["X0"], at["X1"], at["Q1"])
	}
	before("Q1", "F11")
	before("Q1", "F12")
	for n := 1; n <= 8; n++ {
		before([]string{"F11", "F12"}[(n-1)/4], fmt.Sprint("board2.f", n))
	}
}

// TestBoardsAreLaidOutCleanly draws boards of every size: what has a place stands well, and what has none is told.
func TestBoardsAreLaidOutCleanly(t *testing.T) {
	c := builtin(t)
	rapid.Check(t, func(t *rapid.T) {
		h := wired(t)
		b := &h.Boards[0]
		b.Rows, b.Units = rapid.IntRange(1, 14).Draw(t, "rows"), rapid.SampledFrom([]int{12, 18, 24}).Draw(t, "row units")
		for i := range rapid.IntRange(0, 14).Draw(t, "circuits") {
			h.Circuits = append(h.Circuits, house.Circuit{ID: house.ID(fmt.Sprint("c", i)), Board: "b", Phase: rapid.SampledFrom([]string{"L1", "all"}).Draw(t, "phase")})
		}
		r, err := Allot(h, c, Options{Budget: 2000})
		if err != nil {
			t.Fatal(err)
		}
		lost := homeless(r.House, c)
		for _, id := range lost {
			if !slices.ContainsFunc(r.Notes, func(n string) bool { return strings.HasSuffix(strings.Split(n, ":")[0], " "+id) }) {
				t.Errorf("%s has no place, and no note says so: %q", id, r.Notes)
			}
		}
		for _, f := range aboutBoards(r.House, c) {
			told := slices.ContainsFunc(r.Notes, func(n string) bool { return strings.Contains(n, "no room for free units") })
			if (len(lost) == 0 && !(told && strings.HasPrefix(f, "board/hot-spot"))) || strings.HasPrefix(f, "board/overlap") || strings.HasPrefix(f, "board/outside") || strings.HasPrefix(f, "board/mixed") {
				t.Errorf("%s; without a place %v; notes %q", f, lost, r.Notes)
			}
		}
	})
}

// TestWhatStandsStays: a late point brings a module beside what stands; nothing else moves.
func TestWhatStandsStays(t *testing.T) {
	c := builtin(t)
	h := allot(t, exampleHouse(t), c, Options{}).House
	for i := range 20 {
		h.Points = append(h.Points, house.Point{ID: house.ID(fmt.Sprint("utility.late", i)), Kind: house.Contact, Room: "utility", Fitted: true, Circuit: "board2.f5"})
	}
	r := allot(t, h, c, Options{})
	if len(r.New) == 0 {
		t.Fatal("twenty contacts brought no module")
	}
	for i, m := range h.Modules {
		if now := r.House.Modules[i]; now.Row != m.Row || now.Slot != m.Slot {
			t.Errorf("%s has moved", m.ID)
		}
	}
	for i, k := range h.Circuits {
		if now := r.House.Circuits[i]; now.Row != k.Row || now.Slot != k.Slot {
			t.Errorf("the device of %s has moved", k.ID)
		}
	}
	if list := aboutBoards(r.House, c); len(list) > 0 {
		t.Errorf("found:\n%s", strings.Join(list, "\n"))
	}
}
