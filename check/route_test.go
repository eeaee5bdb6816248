package check

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/intake/ifc"
	"wirewright/unit"
)

func weirhouse(t testing.TB) *house.House {
	t.Helper()
	text, err := os.ReadFile("../examples/weirhouse/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return read(t, "weirhouse", string(text))
}

// fedFrom is the board that a point is wired to: that of its circuit, else the first.
func fedFrom(h *house.House, p *house.Point) Spot {
	if k := house.NewIndex(h).Circuit(p.Circuit); k != nil {
		return Spot{"board", k.Board}
	}
	return Spot{"board", h.Boards[0].ID}
}

// reachAll asks for the ways to all points; none may be shorter than along the axes, where walls stand along them.
func reachAll(t *testing.T, h *house.House, square bool) (reached, missed int, r *Router) {
	t.Helper()
	r = NewRouter(h)
	for i := range h.Points {
		p := &h.Points[i]
		from, to := fedFrom(h, p), Spot{"point", p.ID}
		w := r.Way(from, to)
		if !w.Reached {
			if w.Note == "" {
				t.Errorf("%s: no way, and not a word", p.ID)
			}
			missed++
			continue
		}
		reached++
		a, b := r.building.Terminals[r.spots[from]].At, r.building.Terminals[r.spots[to]].At
		least := math.Sqrt((a.X-b.X)*(a.X-b.X) + (a.Y-b.Y)*(a.Y-b.Y) + (a.Z-b.Z)*(a.Z-b.Z))
		if square {
			least = r.axes(r.spots[from], r.spots[to]).M()
		}
		if w.Length.M() < least-1e-3 || w.Length.M() > 12*least+60 {
			t.Errorf("%s: %s along walls, %.3f m apart", p.ID, w.Length, least)
		}
		places := r.Places(from, to)
		if len(places) < 2 || r.Words(from, to) == "" {
			t.Errorf("%s: a way without places or words", p.ID)
		}
	}
	return reached, missed, r
}

func TestEveryPointOfTheExampleIsReached(t *testing.T) {
	h := weirhouse(t)
	reached, missed, _ := reachAll(t, h, true)
	if missed > 0 || reached < 100 {
		t.Errorf("%d points reached, %d not", reached, missed)
	}
}

// TestWayByHand computes one way of the example house from its coordinates: from board2 at (17.6, 1.2, 1.5), 0.25 m from the
// middle of the east wall (x = 17.85), up to the zone at 2.3 m, along the wall to the lamp's y, at right angles to it, up.
func TestWayByHand(t *testing.T) {
	h := weirhouse(t)
	x := house.NewIndex(h)
	at := x.Point("utility.ceiling").At
	board := x.Board("board2").At
	if *board != (house.XYZ{X: 17.6, Y: 1.2, Z: 1.5}) {
		t.Skip("the board was moved")
	}
	want := 0.25 + 0.8 + math.Abs(at.Y-1.2) + (17.85 - at.X) + (at.Z - 2.3)
	if w := NewRouter(h).Way(Spot{"board", "board2"}, Spot{"point", "utility.ceiling"}); math.Abs(w.Length.M()-want) > 1e-4 {
		t.Errorf("%s, by hand %.3f m", w.Length, want)
	}
	words := NewRouter(h).Words(Spot{"board", "board2"}, Spot{"point", "study.keys"})
	if want := "board2 – up – ceiling zone – utility, study – down to 1.05 m above the floor"; words != want {
		t.Errorf("%q, want %q", words, want)
	}
}

// TestImportedHouses routes lamps in every room of the building models in the shared data, and the devices of the
// electrical model in the walls of the architect's.
func TestImportedHouses(t *testing.T) {
	folder := filepath.Join("..", "..", "shared", "data", "ifc")
	load := func(name string) *ifc.Result {
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Skipf("no building models here: %v", err)
		}
		r, err := ifc.Import(name, data, ifc.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, name := range []string{"AC20-FZK-Haus.ifc", "House.ifc", "Duplex_A_20110907.ifc", "Building-Architecture.ifc"} {
		h := load(name).House
		h.Boards = []house.Board{{ID: "board", Room: h.Rooms[0].ID}}
		for i := range h.Rooms {
			h.Points = append(h.Points, house.Point{ID: h.Rooms[i].ID + ".lamp", Kind: house.Lamp, Room: h.Rooms[i].ID})
		}
		reached, missed, r := reachAll(t, h, false)
		nodes, links := r.graph.Size()
		t.Logf("%s: %d of %d rooms reached, %d walls, %d places, %d links", name, reached, reached+missed, len(h.Walls), nodes, links)
		if missed > 0 {
			t.Errorf("%s: %d rooms are not reached", name, missed)
		}
	}
	both := ifc.Merge(ifc.Options{}, load("Duplex_A_20110907.ifc"), load("Duplex_Electrical_excerpt.ifc")).House
	reached, missed, _ := reachAll(t, both, false)
	t.Logf("duplex with its electrical model: %d of %d devices reached", reached, reached+missed)
	if reached < 80 {
		t.Errorf("only %d of %d devices are reached", reached, reached+missed)
	}
}

// TestNothingIsGuessedSilently: without walls, without places, with a place that is none.
func TestNothingIsGuessedSilently(t *testing.T) {
	h := &house.House{Format: house.FormatName, Storeys: []house.Storey{{ID: "g"}},
		Boards: []house.Board{{ID: "b", At: &house.XYZ{X: 1, Y: 2, Z: 1.5}}, {ID: "lost"}},
		Points: []house.Point{{ID: "p", At: &house.XYZ{X: 4, Y: 6, Z: 1}}, {ID: "q"}, {ID: "r", At: &house.XYZ{X: math.NaN(), Y: math.Inf(1)}}}}
	r := NewRouter(h)
	w := r.Way(Spot{"board", "b"}, Spot{"point", "p"})
	if w.Reached || w.Note == "" || w.Length != unit.Metres(7.5) {
		t.Errorf("along the axes: %+v", w)
	}
	for _, pair := range [][2]Spot{{{"board", "b"}, {"point", "q"}}, {{"board", "lost"}, {"point", "p"}}, {{"board", "b"}, {"point", "r"}}, {{"board", "none"}, {"point", "p"}}} {
		if w := r.Way(pair[0], pair[1]); w.Reached || w.Note == "" || w.Length != 0 {
			t.Errorf("%v: %+v", pair, w)
		}
	}
	if r.Words(Spot{"board", "b"}, Spot{"point", "p"}) != "" || r.Places(Spot{"board", "b"}, Spot{"point", "p"}) != nil {
		t.Error("a way is told that there is not")
	}
}

func TestAllowance(t *testing.T) {
	a := UsualAllowance()
	// 10 m, 5 % more, 1 m at the board and 0.3 m in the box; 0.31 m, twice 0.3 m, rounded up.
	if got := a.Of(Way{Length: unit.Metres(10)}, Spot{Kind: "board"}, Spot{Kind: "point"}); got != unit.Metres(11.8) {
		t.Error(got)
	}
	if got := a.Of(Way{Length: unit.Metres(0.31)}, Spot{Kind: "point"}, Spot{Kind: "module"}); got != unit.Metres(1) {
		t.Error(got)
	}
}

// TestWaysAskedTogether: asked all at once on several cores, ways are as long as asked one by one.
func TestWaysAskedTogether(t *testing.T) {
	h := generated.House(300, 4)
	v := newView(h, builtin(t))
	together, alone := v.loads(), NewRouter(h)
	for i := range h.Circuits {
		k := v.circuits[h.Circuits[i].ID]
		for _, s := range k.loads() {
			from := Spot{"board", k.Board}
			if a, b := together.Way(from, s), alone.Way(from, s); a != b {
				t.Errorf("%s: %+v together, %+v alone", s.ID, a, b)
			}
		}
	}
}

// TestRemedyOfShortCircuits: a lengthened circuit is clean, and where the length asks for it its cable is thicker.
func TestRemedyOfShortCircuits(t *testing.T) {
	c := builtin(t)
	h := read(t, "short", example("circuit/length-short", "bad"))
	h.Walls[0].To.X, h.Points[0].At.X = 60, 58
	list := Check(h, c)
	for _, f := range list {
		if f.Slug == "circuit/length-short" {
			changed, err := house.Apply(h, f.Remedy.Changes)
			if err != nil || len(f.Remedy.Changes) == 0 {
				t.Fatalf("%v: %s", err, f.Remedy.Text)
			}
			if k := changed.Circuits[0]; k.Section <= h.Circuits[0].Section || !strings.Contains(f.Remedy.Text, k.Section.String()) {
				t.Errorf("%s of %s: %s", k.Length, k.Section, f.Remedy.Text)
			}
			if left := found(Check(changed, c)); len(left) > 0 {
				t.Errorf("left: %v", left)
			}
			return
		}
	}
	t.Errorf("not found: %v", found(list))
}

func benchmarkRouter(b *testing.B, h *house.House) {
	c := builtin(b)
	for b.Loop() {
		v := newView(h, c)
		v.loads()
	}
}

// The benchmarks make the graph of a house and find the ways from every board to all its loads.
func BenchmarkRoutesExample(b *testing.B) { benchmarkRouter(b, weirhouse(b)) }
func BenchmarkRoutes300(b *testing.B)     { benchmarkRouter(b, generated.House(300, 1)) }
func BenchmarkRoutes20000(b *testing.B)   { benchmarkRouter(b, generated.House(20_000, 1)) }
