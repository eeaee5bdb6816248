package plan

import (
	"testing"

	"wirewright/handover/scene"
	"wirewright/house"
)

// TestCablesAreDrawnOnTheirStoreys draws a cable that goes up from the ground storey to the attic: on each storey only what
// runs there, with a ring where it passes the slab.
func TestCablesAreDrawnOnTheirStoreys(t *testing.T) {
	h := smallHouse()
	h.Storeys[1].Elevation = 3_000_000
	h.Rooms[3].Outline = rectangle(0, 0, 5, 5)
	way := []house.XYZ{{X: .3, Y: 5, Z: 1.5}, {X: .3, Y: 5, Z: 2.3}, {X: 1, Y: 5, Z: 2.3}, {X: 1, Y: 5, Z: 3.3}, {X: 4, Y: 5, Z: 3.3}}
	cables := []Cable{{Entity: "cellar.lamp", Label: "Cable board1 to cellar.lamp", Places: way}, {Entity: "hall.keys", Label: "bus", Bus: true, Places: way[:3]}}
	for storey, want := range map[house.ID][3]int{"ground": {2, 1, 1}, "attic": {1, 1, 0}} {
		s := Draw(h, storey, Options{Cables: cables})
		lines, rings, dashed := 0, 0, 0
		for _, i := range s.Items {
			if i.Layer != "cables" || i.Label == "" {
				continue
			}
			lines++
			for _, x := range i.Shapes {
				switch x := x.(type) {
				case scene.Circle:
					rings++
				case scene.Path:
					dashed += map[bool]int{true: 1}[x.Dashed]
				}
			}
		}
		if got := [3]int{lines, rings, dashed}; got != want {
			t.Errorf("%s: cables, rings, dashed lines %v, want %v", storey, got, want)
		}
	}
	for _, i := range Draw(h, "ground", Options{}).Items {
		if i.Layer == "cables" {
			t.Error("cables are drawn that nobody asked for")
		}
	}
}

func TestPiecesOfAWay(t *testing.T) {
	up := []house.XYZ{{Z: 1}, {Z: 2}, {Z: 4}, {Z: 5}, {Z: 2}, {X: 1, Z: 2}}
	if got := pieces(up, 0, 3); len(got) != 2 || len(got[0]) != 2 || len(got[1]) != 2 {
		t.Errorf("%v", got)
	}
	if got := pieces(up, 3, 6); len(got) != 1 || len(got[0]) != 2 {
		t.Errorf("%v", got)
	}
	if got := pieces(nil, 0, 3); got != nil {
		t.Errorf("%v", got)
	}
}
