package diagram

import (
	"math"
	"strings"
	"testing"

	"wirewright/handover/scene"
	"wirewright/house"
	"wirewright/unit"
)

// protected is the board of the other tests with protective devices, terminals and a partition.
func protected() *house.House {
	h := board()
	h.Boards[0].Devices = []house.Device{
		{Name: "Q1", Kind: "main", Row: 3, Slot: 1, Units: 3, Rating: unit.Amperes(63)},
		{Name: "F1", Kind: "residual", Row: 3, Slot: 4, Units: 4, Serves: []house.ID{"board1.f1", "board1.f2"}},
		{Name: "X1", Kind: "terminals", Row: 3, Slot: 11, Units: 2, Extra: true}, {Name: "unplaced", Kind: "other", Units: 1},
	}
	h.Boards[0].Partitions = []house.Partition{{Row: 3, Slot: 11}, {Row: 9, Slot: 1}, {Row: 1, Slot: 200}}
	h.Circuits = []house.Circuit{
		{ID: "board1.f1", Title: "Lights", Board: "board1", Curve: "B", Rating: unit.Amperes(10), Phase: "L1", Row: 3, Slot: 8},
		{ID: "board1.f2", Title: "Oven", Board: "board1", Curve: "C", Rating: unit.Amperes(16), Phase: "all", Row: 2, Slot: 6},
		{ID: "board1.f3", Board: "board1", Curve: "B"}, {ID: "other", Board: "empty", Row: 3, Slot: 9},
	}
	return h
}

func TestProtectiveDevicesAreDrawnToScale(t *testing.T) {
	h := protected()
	s := drawer(h).Board(&h.Boards[0], 178, 215)[0]
	for entity, want := range map[string][2]float64{"board1.f1": {7, 1}, "board1.f2": {5, 3}} {
		x, _, w, _, ok := frame(s, entity)
		if !ok || math.Abs(x-rowLabel-want[0]*17.5/2) > .2 || math.Abs(w-want[1]*17.5/2) > .3 {
			t.Errorf("%s stands at %.1f and is %.1f wide, drawn %v", entity, x, w, ok)
		}
	}
	text := s.String()
	for _, want := range []string{"B 10 A L1", "C 16 A L1 L2 L3", "incoming device 63 A", "residual-current device", "board1.f1, board1.f2", "Partition in row 3 at the left edge of unit 11",
		"Row 3: 10 of 12 units taken", `"2 free"`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
	for _, not := range []string{"unplaced", "board1.f3", `"other"`, "Partition in row 9", "Partition in row 1 "} {
		if strings.Contains(text, not) {
			t.Errorf("%q is drawn", not)
		}
	}
	if list := outside(s); len(list) > 0 {
		t.Errorf("letters leave their frames: %v", list)
	}
}

// TestNarrowDevicesShowTheirRating: at 1:4 a device of one unit is 4.4 mm wide: room for one line.
func TestNarrowDevicesShowTheirRating(t *testing.T) {
	h := protected()
	h.Boards[0].Rows, h.Boards[0].Units = 6, 24
	s := drawer(h).Board(&h.Boards[0], 178, 215)[0]
	if !strings.Contains(s.String(), `"f1  B 10 A L1"`) {
		t.Errorf("the rating of a narrow device is not to be read:\n%s", s)
	}
	for _, i := range s.Items {
		if p, ok := i.Shapes[0].(scene.Path); i.Layer == "partitions" && (!ok || math.Abs(p.Points[0].X-rowLabel-10*17.5/4) > .01) {
			t.Errorf("the partition stands at %+v", i.Shapes)
		}
	}
}

func TestABoardOfProtectiveDevicesAloneIsDrawn(t *testing.T) {
	h := &house.House{Boards: []house.Board{{ID: "b"}}, Circuits: []house.Circuit{{ID: "b.f1", Board: "b", Row: 2, Slot: 5, Units: 2}}}
	sheets := drawer(h).Board(&h.Boards[0], 178, 215)
	if len(sheets) != 1 || !strings.Contains(sheets[0].String(), "Row 2: 2 of 6 units taken") {
		t.Errorf("%v", sheets)
	}
}
