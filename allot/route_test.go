package allot

import (
	"math"
	"strings"
	"testing"

	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

// TestTapsFollowTheWalls holds every tap of the example house against the way along the walls from the tap before it.
func TestTapsFollowTheWalls(t *testing.T) {
	r := allot(t, exampleHouse(t), builtin(t), Options{})
	router, checked := check.NewRouter(r.House), 0
	for _, l := range r.House.Lines {
		for i := 1; i < len(l.Taps); i++ {
			from, to := check.Spot{Kind: "module", ID: l.Taps[i-1].Module}, check.Spot{Kind: "module", ID: l.Taps[i].Module}
			w := router.Way(from, to)
			if !w.Reached {
				t.Errorf("no way from %s to %s", from.ID, to.ID)
			}
			if w.Length == 0 { // along the rail
				continue
			}
			checked++
			if want := math.Round((w.Length.M()+tail)*10) / 10; l.Taps[i].Length != unit.Metres(want) {
				t.Errorf("%s: %s from %s, the way is %s", to.ID, l.Taps[i].Length, from.ID, w.Length)
			}
		}
	}
	if checked < 5 {
		t.Errorf("only %d taps outside boards", checked)
	}
	for _, n := range r.Notes {
		if strings.Contains(n, "along the axes") {
			t.Error(n)
		}
	}
}

// TestWithoutWallsTheAxesAreNamed: the same house with its walls taken away.
func TestWithoutWallsTheAxesAreNamed(t *testing.T) {
	h := *exampleHouse(t)
	with := allot(t, &h, builtin(t), Options{})
	h.Walls, h.Openings = nil, nil
	without := allot(t, &h, builtin(t), Options{})
	named := false
	for _, n := range without.Notes {
		named = named || strings.Contains(n, "along the axes")
	}
	if !named {
		t.Errorf("nothing said of lengths along the axes: %v", without.Notes)
	}
	if a, b := cableOf(with.House), cableOf(without.House); a < b {
		t.Errorf("%.1f m along walls, %.1f m along the axes", a, b)
	}
}

func cableOf(h *house.House) float64 {
	sum := 0.0
	for _, l := range h.Lines {
		for _, t := range l.Taps {
			sum += t.Length.M()
		}
	}
	return sum
}
