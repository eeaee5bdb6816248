package route

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"wirewright/unit"
)

// room is one storey with four walls 0.2 m thick on a rectangle 5 m by 4 m, 2.6 m high.
func room(terminals ...XYZ) *Building {
	b := &Building{Storeys: []float64{0}}
	b.rectangle(0, 0, 0, 5, 4, 0)
	b.put(terminals...)
	return b
}

func (b *Building) rectangle(storey int, x0, y0, x1, y1, base float64) {
	c := []XY{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
	for i := range c {
		b.Walls = append(b.Walls, Wall{Storey: storey, From: c[i], To: c[(i+1)%4], Base: base, Height: 2.6, Thickness: 0.2})
	}
}

func (b *Building) put(terminals ...XYZ) {
	for _, at := range terminals {
		b.Terminals = append(b.Terminals, Terminal{At: at, Storey: -1})
	}
}

// way is the length from the first terminal to the second in metres; NaN where there is none.
func way(b *Building) float64 {
	s := New(b, Customary()).NewSearch()
	s.From(0, []int{1})
	l, ok := s.Length(1)
	if !ok {
		return math.NaN()
	}
	return l.M()
}

// TestHandComputedWays holds lengths against sums made by hand. The zones lie at 0.30 m and 2.30 m in a storey of 2.6 m.
func TestHandComputedWays(t *testing.T) {
	door := func(b *Building) *Building {
		b.Walls[0].Openings = []Opening{{From: 2, To: 3, Sill: 0, Head: 2.05}}
		return b
	}
	two := room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 4.0})
	two.Storeys = []float64{0, 3}
	two.rectangle(1, 0, 0, 5, 4, 3)
	shaft := room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 4.0})
	shaft.Storeys, shaft.Shafts = []float64{0, 3}, []XY{{2, 0.5}}
	shaft.rectangle(1, 0, 0, 5, 4, 3)
	apart := room(XYZ{4.9, 2, 2.3}, XYZ{8.1, 2, 2.3})
	apart.rectangle(0, 8, 1, 12, 3, 0)
	worktop := door(room(XYZ{0.5, 0.1, 1.15}, XYZ{1.5, 0.1, 1.15}))
	worktop.Walls[0].Worktop = true
	window := room(XYZ{1, 0.1, 0.3}, XYZ{2.1, 0.1, 1})
	window.Walls[0].Openings = []Opening{{From: 2, To: 3.2, Sill: 0.9, Head: 2.3}}

	for _, c := range []struct {
		name string
		b    *Building
		want float64
	}{
		// 0.1 into the wall, 1.2 down from 1.5 to the lower zone, 3 along, 0.8 up to 1.1, 0.1 out of the wall.
		{"along one wall, below", room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 1.1}), 0.1 + 1.2 + 3 + 0.8 + 0.1},
		// The upper zone is nearer: 0.8 up, 0.5 down.
		{"along one wall, above", room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 1.8}), 0.1 + 0.8 + 3 + 0.5 + 0.1},
		// The door cuts the lower zone: over its lintel, 0.8 up and 1.2 down.
		{"over a door", door(room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 1.1})), 0.1 + 0.8 + 3 + 1.2 + 0.1},
		// Both low, on both sides of the door: up at 1 and down at 4 (2.0 each), rather than around the room (1+4+5+4+1).
		{"low on both sides of a door", door(room(XYZ{1, 0.1, 0.3}, XYZ{4, 0.1, 0.3})), 0.1 + 2 + 3 + 2 + 0.1},
		// Around the corner: 4 to the corner at x=5, 2 up the next wall, which one leaves by 0.1.
		{"around a corner", room(XYZ{1, 0.1, 0.3}, XYZ{4.9, 2, 0.3}), 0.1 + 4 + 2 + 0.1},
		// A lamp in the middle of the ceiling: from the zone at 2.3 at right angles 2 m to it, and 0.3 up to 2.6.
		{"ceiling lamp", room(XYZ{1, 0.1, 2.3}, XYZ{2.5, 2, 2.6}), 0.1 + 1.5 + 2 + 0.3},
		// To the storey above: 0.8 up to 2.3, 0.8 back to the vertical zone at 0.2 beside the corner, from 2.3 to 3.3 through
		// the slab, 3.8 along, 0.7 up to 4.0.
		{"to the storey above", two, 0.1 + 0.8 + 0.8 + 1 + 3.8 + 0.7 + 0.1},
		// The shaft is 0.5 m from the wall, at x = 2, and costs no drilling; it is longer by twice 0.5 m and yet chosen.
		{"through a shaft", shaft, 0.1 + 0.8 + 3 + 1 + 2*0.5 + 0.7 + 0.1},
		// To walls that stand apart: the ends of the second room are at (8, 1) and (8, 3): from (5, 2) 1 m along, 3 m across the
		// ceiling, 1 m back.
		{"across to walls apart", apart, 0.1 + 1 + 3 + 1 + 0.1},
		{"over a worktop", worktop, 0.1 + 1 + 0.1},
		// A contact in a window: beside it in the vertical zone at 1.8, 0.8 along from 1, 0.7 up, 0.3 back to 2.1.
		{"beside a window", window, 0.1 + 0.8 + 0.7 + 0.3 + 0.1},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := way(c.b); math.Abs(got-c.want) > 1e-4 {
				t.Errorf("%.4f m, want %.4f m", got, c.want)
			}
		})
	}
}

func TestWhatCannotBeReachedIsSaidSo(t *testing.T) {
	far := room(XYZ{1, 0.1, 1.5}, XYZ{100, 0.1, 1.1})
	if got := way(far); !math.IsNaN(got) {
		t.Errorf("a point 95 m from every wall was reached in %.2f m", got)
	}
	barn := room(XYZ{1, 0.1, 1.5}, XYZ{30, 0.1, 1.1})
	barn.rectangle(0, 28, 0, 34, 4, 0)
	if got := way(barn); !math.IsNaN(got) {
		t.Errorf("a barn 23 m away was reached in %.2f m", got)
	}
	if got := way(room(XYZ{1, 0.1, 1.5}, XYZ{math.NaN(), 0, math.Inf(1)})); !math.IsNaN(got) {
		t.Errorf("nowhere was reached in %.2f m", got)
	}
	bad := room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 1.1})
	bad.Walls = append(bad.Walls, Wall{From: XY{1, 1}, To: XY{1, 1}, Height: 2}, Wall{To: XY{5e4, 0}, Height: 2}, Wall{Storey: 7, To: XY{1, 0}, Height: 2})
	if got := bad.Bad(); len(got) != 3 || got[0] != 4 {
		t.Errorf("bad walls: %v", got)
	}
	if got := way(bad); math.Abs(got-5.2) > 1e-4 {
		t.Errorf("%.4f m beside bad walls, want 5.2 m", got)
	}
}

func TestLegsSayTheWay(t *testing.T) {
	b := room(XYZ{1, 0.1, 1.5}, XYZ{4, 0.1, 4.0})
	b.Storeys = []float64{0, 3}
	b.rectangle(1, 0, 0, 5, 4, 3)
	s := New(b, Customary()).NewSearch()
	s.From(0, []int{1})
	legs := s.Legs(1)
	want := []Kind{Tail, Along, Slab, Along, Tail}
	var sum unit.Length
	at := b.Terminals[0].At
	for i, l := range legs {
		if i >= len(want) || l.Kind != want[i] || l.From != at || l.To != l.Places[len(l.Places)-1] {
			t.Errorf("leg %d: %+v", i, l)
		}
		at = l.To
		sum += l.Length
	}
	if got, _ := s.Length(1); at != b.Terminals[1].At || sum != got {
		t.Errorf("the legs lead to %v over %v, the way is %v", at, sum, got)
	}
	if s.Legs(0) != nil || s.Reached(0) {
		t.Error("an answer to what was not asked")
	}
}

// drawGrid draws a storey or two of rooms in a rectangular grid, with doors and windows, and terminals at walls and in
// ceilings.
func drawGrid(t *rapid.T) *Building {
	b := &Building{}
	columns, rows := rapid.IntRange(1, 4).Draw(t, "columns"), rapid.IntRange(1, 3).Draw(t, "rows")
	for storey := range rapid.IntRange(1, 3).Draw(t, "storeys") {
		b.Storeys = append(b.Storeys, 3*float64(storey))
		wall := func(from, to XY) {
			w := Wall{Storey: storey, From: from, To: to, Base: 3 * float64(storey), Height: 2.6, Thickness: 0.2}
			if rapid.Bool().Draw(t, "opening") {
				o := Opening{From: float64(rapid.IntRange(3, 20).Draw(t, "from")) / 10, Sill: w.Base, Head: w.Base + 2.05}
				o.To = o.From + 0.9
				if rapid.Bool().Draw(t, "window") {
					o.Sill += 0.9
				}
				w.Openings = []Opening{o}
			}
			b.Walls = append(b.Walls, w)
		}
		for x := range columns + 1 {
			for y := range rows + 1 {
				if x < columns {
					wall(XY{4 * float64(x), 3.5 * float64(y)}, XY{4 * float64(x+1), 3.5 * float64(y)})
				}
				if y < rows {
					wall(XY{4 * float64(x), 3.5 * float64(y)}, XY{4 * float64(x), 3.5 * float64(y+1)})
				}
			}
		}
	}
	for range rapid.IntRange(2, 8).Draw(t, "terminals") {
		w := &b.Walls[rapid.IntRange(0, len(b.Walls)-1).Draw(t, "wall")]
		p := w.at(float64(rapid.IntRange(1, 33).Draw(t, "along")) / 10)
		z := w.Base + float64(rapid.IntRange(1, 25).Draw(t, "height"))/10
		if rapid.Bool().Draw(t, "lamp") {
			p, z = XY{p.X + 1.7, p.Y + 1.1}, w.Base+2.6
		}
		b.Terminals = append(b.Terminals, Terminal{At: XYZ{p.X, p.Y, z}, Storey: w.Storey})
	}
	return b
}

func allOf(b *Building) []int {
	list := make([]int, len(b.Terminals))
	for i := range list {
		list[i] = i
	}
	return list
}

// TestNoWayIsShorterThanItCanBe: in rooms whose walls stand at right angles no way is shorter than the sum of the ways
// along the axes, the same way back is as long, and no detour over a third place is cheaper.
func TestNoWayIsShorterThanItCanBe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawGrid(t)
		s := New(b, Customary()).NewSearch()
		n := len(b.Terminals)
		cost := make([][]unit.Length, n)
		for i := range n {
			s.From(i, allOf(b))
			cost[i] = make([]unit.Length, n)
			for k := range n {
				c, ok := s.Cost(k)
				l, _ := s.Length(k)
				if !ok {
					t.Fatalf("no way from %d to %d", i, k)
				}
				p, q := b.Terminals[i].At, b.Terminals[k].At
				axes := math.Abs(p.X-q.X) + math.Abs(p.Y-q.Y) + math.Abs(p.Z-q.Z)
				if i != k && l.M() < axes-1e-6 {
					t.Fatalf("from %v to %v in %.4f m, along the axes %.4f m", p, q, l.M(), axes)
				}
				if c < l {
					t.Fatalf("%v long, but costs %v", l, c)
				}
				cost[i][k] = c
			}
		}
		for i := range n {
			for k := range n {
				if i != k && cost[i][k] != cost[k][i] {
					t.Fatalf("%d to %d costs %v, back %v", i, k, cost[i][k], cost[k][i])
				}
			}
		}
	})
}

// TestOneQuestionOrMany: a search directed toward one terminal finds the same cost as one that spreads to all.
func TestOneQuestionOrMany(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawGrid(t)
		g := New(b, Customary())
		all, one := g.NewSearch(), g.NewSearch()
		all.From(0, allOf(b))
		for k := range b.Terminals {
			one.From(0, []int{k})
			c, ok := all.Cost(k)
			if d, found := one.Cost(k); d != c || ok != found {
				t.Fatalf("terminal %d: %v alone, %v among all", k, d, c)
			}
		}
	})
}

// TestMoreWaysAreNeverDearer: another wall between two others, where no terminal stands, never makes a way dearer.
func TestMoreWaysAreNeverDearer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := &Building{Storeys: []float64{0}}
		b.rectangle(0, 0, 0, 9, 7, 0)
		for range 4 {
			w := &b.Walls[rapid.IntRange(0, 3).Draw(t, "wall")]
			p := w.at(float64(rapid.IntRange(1, 65).Draw(t, "along")) / 10)
			b.put(XYZ{p.X, p.Y, float64(rapid.IntRange(1, 25).Draw(t, "height")) / 10})
		}
		more := *b
		x := float64(rapid.IntRange(10, 80).Draw(t, "x")) / 10
		more.Walls = append(append([]Wall(nil), b.Walls...), Wall{From: XY{x, 0}, To: XY{x, 7}, Height: 2.6})
		s, m := New(b, Customary()).NewSearch(), New(&more, Customary()).NewSearch()
		s.From(0, allOf(b))
		m.From(0, allOf(b))
		for k := range b.Terminals {
			c, _ := s.Cost(k)
			d, ok := m.Cost(k)
			if !ok || d > c+20 { // rounding up adds at most a micrometre for each of the new pieces
				t.Fatalf("to %d: %v, with another wall %v", k, c, d)
			}
		}
	})
}

// TestTurnedBuildingsHaveTheSameWays turns a building about the origin.
func TestTurnedBuildingsHaveTheSameWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawGrid(t)
		a := rapid.Float64Range(0, 6.28).Draw(t, "angle")
		turn := func(p XY) XY { return XY{p.X*math.Cos(a) - p.Y*math.Sin(a), p.X*math.Sin(a) + p.Y*math.Cos(a)} }
		turned := *b
		turned.Walls, turned.Terminals = nil, nil
		for _, w := range b.Walls {
			w.From, w.To = turn(w.From), turn(w.To)
			turned.Walls = append(turned.Walls, w)
		}
		for _, x := range b.Terminals {
			if x.At.Z == math.Trunc(x.At.Z) || b.free(x) { // the sides from which a lamp is fed are told apart along the axes
				x.At.Z = b.Storeys[x.Storey] + 1
			}
			p := turn(XY{x.At.X, x.At.Y})
			turned.Terminals = append(turned.Terminals, Terminal{XYZ{p.X, p.Y, x.At.Z}, x.Storey})
		}
		same := *b
		same.Terminals = nil
		for i := range b.Terminals {
			x := b.Terminals[i]
			x.At.Z = turned.Terminals[i].At.Z
			same.Terminals = append(same.Terminals, x)
		}
		s, m := New(&same, Customary()).NewSearch(), New(&turned, Customary()).NewSearch()
		s.From(0, allOf(b))
		m.From(0, allOf(b))
		for k := range b.Terminals {
			if b.free(b.Terminals[k]) || b.free(b.Terminals[0]) {
				continue
			}
			c, _ := s.Cost(k)
			d, _ := m.Cost(k)
			if math.Abs(c.M()-d.M()) > 1e-3 {
				t.Fatalf("to %d: %v, turned by %.3f: %v", k, c, a, d)
			}
		}
	})
}

// free tells whether a terminal hangs on no wall.
func (b *Building) free(x Terminal) bool {
	w := &works{Graph: &Graph{building: b, rules: Customary()}, grid: newGrid(b)}
	return w.hangsOn(x.Storey, x.At) < 0
}

func FuzzNew(f *testing.F) {
	f.Add(0.0, 0.0, 5.0, 0.0, 2.6, 0.2, 1.0, 0.1, 1.5)
	f.Add(math.NaN(), 1e300, -5.0, 0.0, -2.6, 0.2, 1.0, math.Inf(1), 1.5)
	f.Add(0.0, 0.0, 9999.0, 9999.0, 2.6, 0.2, 50.0, 50.0, 0.0)
	f.Fuzz(func(t *testing.T, x0, y0, x1, y1, height, thick, px, py, pz float64) {
		b := room(XYZ{1, 0.1, 1.5}, XYZ{px, py, pz}, XYZ{4, 0.1, 1})
		b.Walls = append(b.Walls, Wall{From: XY{x0, y0}, To: XY{x1, y1}, Base: pz, Height: height, Thickness: thick,
			Openings: []Opening{{px, py, x0, y0}}})
		s := New(b, Customary()).NewSearch()
		s.From(0, []int{1, 2})
		for k := range 3 {
			if l, ok := s.Length(k); ok && (l < 0 || l > 1e12) {
				t.Errorf("a way of %v", l)
			}
		}
	})
}
