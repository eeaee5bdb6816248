package ifc

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
)

// moved back: turn undoes the style of a cottage.
func (s style) undo(p house.XY) point {
	sin, cos := math.Sincos(-s.turn * math.Pi / 180)
	d := point{p.X - s.x, p.Y - s.y}
	return point{d.X*cos - d.Y*sin, d.X*sin + d.Y*cos}
}

// TestSameHouseWhateverTheStyle writes the cottage turned, shifted, in feet and backwards: the same house must come out. Only
// the identities by number may differ with the order of the records, so entities are compared by their Source.
func TestSameHouseWhateverTheStyle(t *testing.T) {
	want := importCottage(t, Options{}).House
	rapid.Check(t, func(t *rapid.T) {
		how := style{x: rapid.Float64Range(-500, 500).Draw(t, "x"), y: rapid.Float64Range(-500, 500).Draw(t, "y"),
			turn: rapid.Float64Range(-180, 180).Draw(t, "turn"), feet: rapid.Bool().Draw(t, "feet"), backwards: rapid.Bool().Draw(t, "backwards")}
		r, err := Import("styled.ifc", cottageIn(how), Options{})
		if err != nil {
			t.Fatal(err)
		}
		sameHouse(t, how, want, r.House)
	})
}

func sameHouse(t *rapid.T, how style, want, got *house.House) {
	if len(got.Rooms) != len(want.Rooms) || len(got.Walls) != len(want.Walls) || len(got.Openings) != len(want.Openings) ||
		len(got.Points) != len(want.Points) || len(got.Slabs) != len(want.Slabs) || len(got.Circuits) != len(want.Circuits) {
		t.Fatalf("rooms %d, walls %d, openings %d, points %d, slabs %d, circuits %d", len(got.Rooms), len(got.Walls), len(got.Openings),
			len(got.Points), len(got.Slabs), len(got.Circuits))
	}
	names := sources(got)
	is := func(id, source house.ID) bool { return names[id] == string(source) }
	for _, w := range want.Rooms {
		g := bySource(got.Rooms, w.Source, func(r house.Room) string { return r.Source })
		if g.ID != w.ID || g.Use != w.Use || !near(g.Floor.M(), w.Floor.M(), 1e-3) || !near(g.Height.M(), w.Height.M(), 1e-3) {
			t.Errorf("room %s became %s (%s), floor %s, height %s", w.ID, g.ID, g.Use, g.Floor, g.Height)
		}
		sameCorners(t, how, w.ID, w.Outline, g.Outline)
	}
	for _, w := range want.Walls {
		g := bySource(got.Walls, w.Source, func(r house.Wall) string { return r.Source })
		if how.undo(g.From).minus(point(w.From)).length() > 1e-3 || how.undo(g.To).minus(point(w.To)).length() > 1e-3 ||
			!near(g.Thickness.M(), w.Thickness.M(), 1e-4) || g.External != w.External || len(g.Layers) != len(w.Layers) || g.Layers[0].Material != w.Layers[0].Material {
			t.Errorf("wall %s became %v to %v, %s thick, external %v, %v", w.ID, how.undo(g.From), how.undo(g.To), g.Thickness, g.External, g.Layers)
		}
	}
	for _, w := range want.Openings {
		g := bySource(got.Openings, w.Source, func(r house.Opening) string { return r.Source })
		if how.undo(g.From).minus(point(w.From)).length() > 1e-3 || how.undo(g.To).minus(point(w.To)).length() > 1e-3 || g.Kind != w.Kind ||
			g.Hinge != w.Hinge || !near(g.Width.M(), w.Width.M(), 1e-3) || !near(g.Sill.M(), w.Sill.M(), 1e-3) || !slices.Equal(g.Rooms, w.Rooms) {
			t.Errorf("opening %s became %v to %v, %s, hinge %q, between %v", w.ID, how.undo(g.From), how.undo(g.To), g.Width, g.Hinge, g.Rooms)
		}
	}
	for _, w := range want.Points {
		g := bySource(got.Points, w.Source, func(r house.Point) string { return r.Source })
		at := how.undo(house.XY{X: g.At.X, Y: g.At.Y})
		if at.minus(point{w.At.X, w.At.Y}).length() > 1e-3 || !near(g.At.Z, w.At.Z, 1e-3) || g.Room != w.Room || g.Kind != w.Kind {
			t.Errorf("point %s became %s at %v %v in %s", w.ID, g.ID, at, g.At.Z, g.Room)
		}
		if w.Circuit != "" && !is(g.Circuit, house.ID(sources(want)[w.Circuit])) {
			t.Errorf("point %s is on circuit %s, was on %s", w.ID, g.Circuit, w.Circuit)
		}
	}
}

// sources maps the circuits of a house to their sources.
func sources(h *house.House) map[house.ID]string {
	out := map[house.ID]string{}
	for _, c := range h.Circuits {
		out[c.ID] = c.Source
	}
	return out
}

func bySource[T any](list []T, source string, of func(T) string) T {
	i := slices.IndexFunc(list, func(x T) bool { return of(x) == source })
	if i < 0 {
		var none T
		return none
	}
	return list[i]
}

// sameCorners compares outlines corner by corner, wherever they begin.
func sameCorners(t *rapid.T, how style, id house.ID, want, got []house.XY) {
	if len(got) != len(want) {
		t.Errorf("%s has %d corners, want %d", id, len(got), len(want))
		return
	}
	for _, g := range got {
		if p := how.undo(g); !slices.ContainsFunc(want, func(w house.XY) bool { return point(w).minus(p).length() < 1e-3 }) {
			t.Errorf("%s has a corner at %v", id, p)
		}
	}
}

// TestMergeOfHalves splits the cottage into an architect's and an electrician's model: together they are the whole.
func TestMergeOfHalves(t *testing.T) {
	whole := importCottage(t, Options{}).House
	build, err := Import("build.ifc", withoutItems(cottage(), true), Options{})
	if err != nil {
		t.Fatal(err)
	}
	wires, err := Import("wires.ifc", withoutItems(cottageIn(style{feet: true}), false), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(build.House.Points) != 0 || len(build.House.Rooms) != 7 || len(wires.House.Rooms) != 0 || len(wires.House.Points) != len(whole.Points) {
		t.Fatalf("halves: %d points and %d rooms; %d points and %d rooms", len(build.House.Points), len(build.House.Rooms), len(wires.House.Points), len(wires.House.Rooms))
	}
	for _, p := range wires.House.Points {
		if p.Room != "" {
			t.Errorf("%s has the room %s in a model without rooms", p.ID, p.Room)
		}
	}
	both := Merge(Options{}, build, wires)
	if a, b := string(house.Write(both.House)), string(house.Write(whole)); a != b {
		t.Errorf("the halves together differ from the whole:\n%s", firstDifference(a, b))
	}
	if len(both.Mapped) != 13 || both.Mapped[0].File != "wires.ifc" {
		t.Errorf("%d elements mapped, the first of %s", len(both.Mapped), both.Mapped[0].File)
	}
}

func firstDifference(a, b string) string {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			from := max(0, i-80)
			return a[from:min(len(a), i+80)] + "\n--- want ---\n" + b[from:min(len(b), i+80)]
		}
	}
	return "one is longer"
}
