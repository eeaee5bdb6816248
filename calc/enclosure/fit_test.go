package enclosure

import (
	"testing"

	"pgregory.net/rapid"
)

func TestFit(t *testing.T) {
	stood := []Stood{{Place{1, 1}, 4, Mains, 6}, {Place{1, 9}, 2, Extra, 0}}
	f := Frame{Units: 12, Hot: 5, Gap: 1}
	for _, c := range []struct {
		it   Item
		want Place
		ok   bool
	}{
		{Item{Units: 2, Class: Mains}, Place{2, 1}, true},           // beside the extra-low voltage in row 1
		{Item{Units: 2, Class: Extra}, Place{1, 11}, true},          // behind the other one
		{Item{Units: 4, Class: Border}, Place{1, 5}, true},          // beside either
		{Item{Units: 3, Class: Border, Heat: 7}, Place{1, 6}, true}, // with a gap to the warm one
		{Item{Units: 12, Class: Extra}, Place{2, 1}, true}, {Item{Units: 13}, Place{}, false},
	} {
		if got, ok := Fit(stood, nil, c.it, f, []int{1, 2}); got != c.want || ok != c.ok {
			t.Errorf("%+v: %v, %v; want %v", c.it, got, ok, c.want)
		}
	}
	if got, _ := Fit(stood, []Place{{1, 9}}, Item{Units: 2, Class: Mains}, f, []int{1}); got != (Place{1, 5}) {
		t.Errorf("with a plate at the left edge of unit 9: %v", got)
	}
	if got, ok := Fit(stood, nil, Item{Units: 2, Class: Mains}, f, []int{1}); got != (Place{1, 5}) || !ok {
		t.Errorf("where nothing suits, what is free: %v", got)
	}
}

// TestFitTakesFreeUnitsOnly places one device after another: none may overlap, and none is refused while a row has room.
func TestFitTakesFreeUnitsOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, plates, stood, taken := drawFrame(t, 10), []Place{{1, 4}}, []Stood(nil), [2][10]bool{}
		for _, it := range drawItems(t, 12, 6) {
			at, ok := Fit(stood, plates, it, f, []int{1, 2})
			room := false
			for _, row := range taken {
				run := 0
				for _, u := range row {
					if run++; u {
						run = 0
					}
					room = room || run >= it.Units
				}
			}
			if ok != room {
				t.Fatalf("%d units: found %v, room %v", it.Units, ok, room)
			}
			if !ok {
				continue
			}
			for u := range it.Units {
				if taken[at.Row-1][at.Slot-1+u] {
					t.Fatalf("%v is taken", at)
				}
				taken[at.Row-1][at.Slot-1+u] = true
			}
			stood = append(stood, Stood{at, it.Units, it.Class, it.Heat})
		}
	})
}
