package route

import (
	"testing"

	"pgregory.net/rapid"

	"wirewright/unit"
)

func metres(list ...float64) []unit.Length {
	out := make([]unit.Length, len(list))
	for i, m := range list {
		out[i] = unit.Metres(m)
	}
	return out
}

func TestCutByHand(t *testing.T) {
	// 60 + 40 and 50 + 30 + 20 fill two drums of 100 m; 130 m is longer than one; nothing is cut for 0 m.
	c := Cut(metres(20, 60, 130, 0, 50, 40, 30), unit.Metres(100))
	if len(c.Drums) != 2 || c.Least != 2 || c.Waste != 0 || len(c.Long) != 1 || c.Long[0] != 2 {
		t.Errorf("%+v", c)
	}
	// Three pieces of 51 m: no two of them on one drum, although their sum is less than two drums.
	if c := Cut(metres(51, 51, 51), unit.Metres(100)); len(c.Drums) != 3 || c.Least != 3 || c.Waste != unit.Metres(147) {
		t.Errorf("%+v", c)
	}
	if c := Cut(nil, 0); len(c.Drums) != 0 || c.Least != 0 {
		t.Errorf("%+v", c)
	}
}

// fewest tries every way of cutting.
func fewest(pieces []unit.Length, drum unit.Length, left []unit.Length, best int) int {
	if len(left) >= best {
		return best
	}
	if len(pieces) == 0 {
		return len(left)
	}
	for k := range left {
		if left[k] >= pieces[0] {
			left[k] -= pieces[0]
			best = fewest(pieces[1:], drum, left, best)
			left[k] += pieces[0]
		}
	}
	return fewest(pieces[1:], drum, append(left, drum-pieces[0]), best)
}

// TestCutAgainstEveryWay holds the drums against the fewest by trying everything, and against the bound of Dósa (2007).
func TestCutAgainstEveryWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		drum := unit.Metres(100)
		var pieces []unit.Length
		for range rapid.IntRange(1, 8).Draw(t, "n") {
			pieces = append(pieces, unit.Metres(float64(rapid.IntRange(1, 100).Draw(t, "m"))))
		}
		c := Cut(pieces, drum)
		best := fewest(pieces, drum, nil, len(pieces)+1)
		if c.Least > best || len(c.Drums) < best || 9*len(c.Drums) > 11*best+6 {
			t.Fatalf("%v: %d drums, %d are enough, bound %d", pieces, len(c.Drums), best, c.Least)
		}
		seen := map[int]bool{}
		var waste unit.Length
		for _, d := range c.Drums {
			left := drum
			for _, i := range d {
				if seen[i] {
					t.Fatalf("piece %d is cut twice", i)
				}
				seen[i] = true
				left -= pieces[i]
			}
			if left < 0 {
				t.Fatal("more than a drum on a drum")
			}
			waste += left
		}
		if len(seen) != len(pieces) || waste != c.Waste {
			t.Fatalf("%d of %d pieces, waste %v, said %v", len(seen), len(pieces), waste, c.Waste)
		}
	})
}
