package enclosure

import (
	"fmt"
	"testing"
)

func TestRowHeats(t *testing.T) {
	list := []Warm{{"a", 2, 1, 4, 3.2}, {"b", 1, 1, 6, 8.5}, {"c", 2, 5, 2, 1.3}, {"d", 2, 7, 6, 5.5}}
	rows := RowHeats(list, 12)
	if len(rows) != 2 || rows[0].Row != 1 || rows[0].Hottest != "b" || rows[1].Hottest != "d" {
		t.Fatalf("%+v", rows)
	}
	near(t, "row 1", rows[0].PerUnit, 8.5/12, 1e-12)
	near(t, "row 2", rows[1].Watts, 10, 1e-12)
}

func TestCrowds(t *testing.T) {
	list := []Warm{{"a", 1, 1, 4, 6}, {"b", 1, 5, 4, 6}, {"cool", 1, 9, 1, 1}, {"c", 1, 10, 2, 7}, {"d", 2, 1, 4, 9}, {"e", 2, 6, 4, 9}}
	for gap, want := range map[int]string{0: "[]", 1: "[{0 1 0}]", 2: "[{0 1 0} {1 3 1} {4 5 1}]"} {
		if got := fmt.Sprint(Crowds(list, 5, gap)); got != want {
			t.Errorf("gap %d: %s, want %s", gap, got, want)
		}
	}
	if got := Crowds(list, 100, 3); got != nil {
		t.Errorf("nothing is that hot: %v", got)
	}
}

// TestTerminals counts by hand: two cables with three conductors behind one residual-current device, a shutter with two
// switched lines behind another, and a bus cable with none of these.
func TestTerminals(t *testing.T) {
	got := CountTerminals([]Cable{{1, true, true, "F1"}, {1, true, true, "F1"}, {2, true, true, "F2"}, {}})
	if got != (Terminals{Lines: 4, Neutrals: 3, Earths: 3, Bars: 2, Bridges: 3}) {
		t.Errorf("%+v", got)
	}
	if got := CountTerminals(nil); got != (Terminals{}) {
		t.Errorf("nothing lands: %+v", got)
	}
	// 10 terminals and a stop are 57.2 mm: 4 units of 17.5 mm.
	for n, want := range map[int]int{-1: 0, 0: 0, 1: 1, 2: 1, 3: 2, 10: 4} {
		if got := TerminalUnits(n); got != want {
			t.Errorf("%d terminals: %d units, want %d", n, got, want)
		}
	}
}
