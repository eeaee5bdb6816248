package house_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
)

var (
	square = []house.XY{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 0, Y: 4}}
	ell    = []house.XY{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 10}, {X: 0, Y: 10}}
	hole   = []house.XY{{X: 1, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: 3}, {X: 1, Y: 3}}
	// right is a right triangle with legs 3 and 4: area 6, centroid at a third of the legs (Euclid; any handbook of
	// geometry), inscribed circle of radius (3+4-5)/2 = 1 about (1, 1).
	right = []house.XY{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 0, Y: 3}}
)

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func TestFloorArea(t *testing.T) {
	for _, c := range []struct {
		name string
		room house.Room
		want float64
	}{
		{"square", house.Room{Outline: square}, 16},
		{"L", house.Room{Outline: ell}, 19},
		{"with a shaft", house.Room{Outline: square, Holes: [][]house.XY{hole}}, 12},
		{"triangle", house.Room{Outline: right}, 6},
		{"stated only", house.Room{Area: 7.5}, 7.5},
		{"far away", house.Room{Outline: moved(square, 500_000)}, 16},
	} {
		if got := c.room.FloorArea(); !near(got, c.want) {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}

func moved(outline []house.XY, by float64) []house.XY {
	list := make([]house.XY, len(outline))
	for i, p := range outline {
		list[i] = house.XY{X: p.X + by, Y: p.Y - by}
	}
	return list
}

func TestContains(t *testing.T) {
	l, shaft := house.Room{Outline: ell}, house.Room{Outline: square, Holes: [][]house.XY{hole}}
	for _, c := range []struct {
		name string
		room *house.Room
		x, y float64
		want bool
	}{
		{"in the foot", &l, 5, 0.5, true}, {"in the stem", &l, 0.5, 9, true}, {"in the notch", &l, 5, 5, false},
		{"on a corner", &l, 1, 1, true}, {"on an edge", &l, 10, 0.5, true}, {"left of it", &l, -1, 0.5, false},
		{"level with corners", &l, 11, 1, false}, {"in the shaft", &shaft, 2, 2, false}, {"beside the shaft", &shaft, 0.5, 2, true},
		{"no outline", &house.Room{}, 0, 0, false},
	} {
		if got := c.room.Contains(house.XY{X: c.x, Y: c.y}); got != c.want {
			t.Errorf("%s: %t", c.name, got)
		}
	}
}

func TestMiddle(t *testing.T) {
	for _, c := range []struct {
		name string
		room house.Room
		want house.XY
	}{
		{"square", house.Room{Outline: square}, house.XY{X: 2, Y: 2}},
		{"triangle", house.Room{Outline: right}, house.XY{X: 4.0 / 3, Y: 1}},
		{"far away", house.Room{Outline: moved(square, 500_000)}, house.XY{X: 500_002, Y: -499_998}},
	} {
		got, ok := c.room.Middle()
		if !ok || math.Hypot(got.X-c.want.X, got.Y-c.want.Y) > 1e-6 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	l := house.Room{Outline: ell}
	if c, _ := l.Centroid(); l.Contains(c) {
		t.Fatal("the centroid of this L is outside of it")
	}
	// The largest circle in the corner of an L with arms of width 1 touches both outer walls and the inner corner:
	// radius r with r + r/√2 … = (2-√2), about 0.586.
	if m, ok := l.Middle(); !ok || l.WallDistance(m) < 0.586-0.011 || l.WallDistance(m) > 0.587 {
		t.Errorf("L: %v, %g m from the walls", m, l.WallDistance(m))
	}
	for _, r := range []house.Room{{}, {Outline: square[:2]}, {Outline: []house.XY{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 2, Y: 0}}}} {
		if m, ok := r.Middle(); ok {
			t.Errorf("a room without area has its middle at %v", m)
		}
	}
}

// TestMiddleIsInside holds for rectangles with a corner cut out, at any place and turned about any angle.
func TestMiddleIsInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, d := rapid.Float64Range(1, 30).Draw(t, "width"), rapid.Float64Range(1, 30).Draw(t, "depth")
		cx, cy := w*rapid.Float64Range(0.05, 0.95).Draw(t, "cut x"), d*rapid.Float64Range(0.05, 0.95).Draw(t, "cut y")
		sin, cos := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "turn"))
		r := house.Room{}
		for _, p := range []house.XY{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: cy}, {X: cx, Y: cy}, {X: cx, Y: d}, {X: 0, Y: d}} {
			r.Outline = append(r.Outline, house.XY{X: 3 + p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos - 8})
		}
		m, ok := r.Middle()
		if !ok || !r.Contains(m) {
			t.Fatalf("%v is not inside of %v", m, r.Outline)
		}
		// Half of the wider arm's half-width is always possible.
		if least := math.Max(math.Min(cx, d), math.Min(cy, w)) / 2 * 0.49; r.WallDistance(m) < least-0.01 {
			t.Fatalf("%g m from the wall, %g m is possible", r.WallDistance(m), least)
		}
	})
}

func TestWallMeasures(t *testing.T) {
	w := house.Wall{From: house.XY{X: 0, Y: 0}, To: house.XY{X: 4, Y: 3}}
	if w.Length() != 5 {
		t.Errorf("length %g", w.Length())
	}
	// The foot of the perpendicular from (0, 5) lies at (2.4, 1.8): distance 4 (3-4-5 triangle).
	if d := w.Distance(house.XY{X: 0, Y: 5}); !near(d, 4) {
		t.Errorf("distance %g", d)
	}
	if d := w.Distance(house.XY{X: 7, Y: 7}); !near(d, 5) {
		t.Errorf("distance beyond its end %g", d)
	}
}

// TestAreaIsThatOfTheSquaresInside compares the area formula with counting: the share of a fine grid whose places the
// room contains.
func TestAreaIsThatOfTheSquaresInside(t *testing.T) {
	const step = 0.05
	for _, r := range []house.Room{{Outline: square}, {Outline: ell}, {Outline: right}, {Outline: square, Holes: [][]house.XY{hole}},
		{Outline: []house.XY{{X: 0.3, Y: 0.1}, {X: 7.7, Y: 2.2}, {X: 5.1, Y: 6.9}, {X: 3.2, Y: 3.3}, {X: 1.1, Y: 8.4}}}} {
		count := 0
		for x := step / 2; x < 12; x += step {
			for y := step / 2; y < 12; y += step {
				if r.Contains(house.XY{X: x, Y: y}) {
					count++
				}
			}
		}
		if counted := float64(count) * step * step; math.Abs(counted-r.FloorArea()) > 0.02*r.FloorArea() {
			t.Errorf("%g m² by formula, %g m² by counting", r.FloorArea(), counted)
		}
	}
}

// TestCentroidIsTheMeanOfThePlacesInside does the same for the centre of gravity.
func TestCentroidIsTheMeanOfThePlacesInside(t *testing.T) {
	const step = 0.02
	r := house.Room{Outline: square, Holes: [][]house.XY{{{X: 2, Y: 2}, {X: 3.5, Y: 2}, {X: 3.5, Y: 3}, {X: 2, Y: 3}}}}
	var sum house.XY
	n := 0.0
	for x := step / 2; x < 4; x += step {
		for y := step / 2; y < 4; y += step {
			if p := (house.XY{X: x, Y: y}); r.Contains(p) {
				sum.X, sum.Y, n = sum.X+p.X, sum.Y+p.Y, n+1
			}
		}
	}
	if c, ok := r.Centroid(); !ok || math.Hypot(c.X-sum.X/n, c.Y-sum.Y/n) > 0.01 {
		t.Errorf("%v by formula, (%g, %g) by counting", c, sum.X/n, sum.Y/n)
	}
}
