package furnish

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/intake/ifc"
	"wirewright/unit"
)

// realHouse imports one or more real building models, which lie beside the repository; the test is skipped without them.
func realHouse(tb testing.TB, names ...string) *house.House {
	tb.Helper()
	var list []*ifc.Result
	for _, name := range names {
		data, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "data", "ifc", name))
		if err != nil {
			tb.Skipf("the real model %s does not lie beside the repository", name)
		}
		r, err := ifc.Import(name, data, ifc.Options{})
		if err != nil {
			tb.Fatal(err)
		}
		list = append(list, r)
	}
	return ifc.Merge(ifc.Options{}, list...).House
}

var realHouses = map[string][]string{
	"FZK-Haus":           {"AC20-FZK-Haus.ifc"},
	"two flats":          {"Duplex_A_20110907.ifc"},
	"two flats, wired":   {"Duplex_A_20110907.ifc", "Duplex_Electrical_excerpt.ifc"},
	"house in two wings": {"House.ifc"},
	"small sample":       {"Building-Architecture.ifc"},
}

// TestRealHouses furnishes imported models: all of them become valid houses whose new points lie where they belong.
func TestRealHouses(t *testing.T) {
	for title, names := range realHouses {
		t.Run(title, func(t *testing.T) {
			h := realHouse(t, names...)
			r := Furnish(h, Builtin(), Options{})
			if list := house.Validate(r.House); len(list) > 0 {
				t.Errorf("not valid: %v", list)
			}
			x := house.NewIndex(r.House)
			for _, id := range r.Added {
				checkPoint(t, x, x.Point(id))
			}
			if len(r.Added) < len(h.Rooms) && title != "small sample" {
				t.Errorf("only %d points in %d rooms", len(r.Added), len(h.Rooms))
			}
		})
	}
}

// checkPoint asks for the place of one new point: a lamp or detector inside the outline of its room, a shutter or contact at
// its opening, keys at a door of the room, everything else at the wall of its room.
func checkPoint(t *testing.T, x *house.Index, p *house.Point) {
	t.Helper()
	r := x.Room(p.Room)
	if r == nil || p.At == nil || p.Circuit == "" || p.Box == nil {
		t.Errorf("%s has no room, place, circuit or box", p.ID)
		return
	}
	at := house.XY{X: p.At.X, Y: p.At.Y}
	edge := r.WallDistance(at)
	if z := p.At.Z - r.Floor.M(); z < 0 || z > math.Max(r.Height.M(), 2.5)+0.001 {
		t.Errorf("%s hangs %.2f m above the floor of a room %s high", p.ID, z, r.Height)
	}
	switch {
	case strings.Contains(string(p.ID), ".ceiling") || p.Kind == house.Presence:
		if !r.Contains(at) || edge < 0.1 {
			t.Errorf("%s at %v lies outside its room or %.2f m from the wall", p.ID, at, edge)
		}
	case p.Opening != "":
		o := x.Opening(p.Opening)
		if d := faceDistance(x, o, at); d > 0.3 {
			t.Errorf("%s is %.2f m away from %s", p.ID, d, o.ID)
		}
		if !slices.Contains(o.Rooms, p.Room) {
			t.Errorf("%s sits at %s, which does not join %s", p.ID, o.ID, p.Room)
		}
	case edge > 0.001:
		t.Errorf("%s at %v is %.3f m off the wall of its room", p.ID, at, edge)
	case p.Kind == house.Keypad && !strings.Contains(p.Note, "no door"):
		checkKeys(t, x, p, at)
	}
}

// faceDistance is how far a place is from an opening, taken as wide as the wall is thick.
func faceDistance(x *house.Index, o *house.Opening, at house.XY) float64 {
	half := 0.0
	if w := x.Wall(o.Wall); w != nil {
		half = w.Thickness.M() / 2
	}
	d, _ := direction(o.From, o.To)
	along := dot(minus(at, o.From), d)
	across := math.Max(0, math.Abs(dot(minus(at, o.From), leftOf(d)))-half)
	return math.Hypot(math.Max(0, math.Max(-along, along-length(minus(o.To, o.From)))), across)
}

// checkKeys: 1.05 m above the floor, within 0.3 m of a door of the room and not in it.
func checkKeys(t *testing.T, x *house.Index, p *house.Point, at house.XY) {
	t.Helper()
	r := x.Room(p.Room)
	if z := p.At.Z - r.Floor.M(); math.Abs(z-1.05) > 0.001 {
		t.Errorf("%s hangs %.3f m above the floor", p.ID, z)
	}
	least := math.Inf(1)
	for i := range x.House().Openings {
		o := &x.House().Openings[i]
		if o.Kind != house.Window && slices.Contains(o.Rooms, r.ID) {
			least = math.Min(least, faceDistance(x, o, at))
		}
	}
	if least > 0.3 || least < 0.02 && !strings.Contains(p.Note, "no free wall") {
		t.Errorf("%s at %v is %.3f m from the nearest door", p.ID, at, least)
	}
}

// TestFZKHaus names the points that the detached house must get, with the places that a person reads off its plan.
func TestFZKHaus(t *testing.T) {
	r := Furnish(realHouse(t, "AC20-FZK-Haus.ifc"), Builtin(), Options{Wiring: house.WiringNone})
	x := house.NewIndex(r.House)
	for _, c := range []struct {
		id     house.ID
		at     house.XYZ
		facing float64 // clockwise from true north, which lies 50° clockwise of the plan's y axis; -1 for none
	}{
		{"schlafzimmer.keys-1", house.XYZ{X: 7.65, Y: 4.4075, Z: 1.05}, -1},   // hinges at To, so the latch is at y = 4.5575
		{"bad.keys-1", house.XYZ{X: 6.2525, Y: 5.99, Z: 1.05}, -1},            // hinges at From
		{"schlafzimmer.shutter-1", house.XYZ{X: 11.7, Y: 7.5024, Z: 2.1}, 40}, // looks along +x
		{"bad.shutter-1", house.XYZ{X: 5.66, Y: 9.7, Z: 2.1}, 310},            // looks along +y
		{"wohnen.shutter-2", house.XYZ{X: 9.21, Y: 0.3, Z: 2.1}, 130},         // looks along -y
		{"buero.shutter-1", house.XYZ{X: 0.3, Y: 7.495, Z: 2.1}, 220},         // looks along -x
		{"flur.door-contact-1", house.XYZ{X: 0.3, Y: 4.495, Z: 1.96}, -1},
	} {
		p := x.Point(c.id)
		if p == nil {
			t.Errorf("there is no %s", c.id)
			continue
		}
		if math.Abs(p.At.X-c.at.X)+math.Abs(p.At.Y-c.at.Y)+math.Abs(p.At.Z-c.at.Z) > 0.002 {
			t.Errorf("%s is at %v, want %v", c.id, *p.At, c.at)
		}
		if (p.Facing == nil) != (c.facing < 0) || p.Facing != nil && math.Abs(p.Facing.Deg()-c.facing) > 0.2 {
			t.Errorf("%s faces %v, want %v", c.id, p.Facing, c.facing)
		}
	}
	if b := x.Board("board"); b == nil || b.Room != "flur" {
		t.Errorf("without a utility room the board goes to the hall: %v", r.House.Boards)
	}
	if w := x.Room("bad").Wiring; w != house.WiringNone {
		t.Errorf("wiring of the bathroom: %q", w)
	}
	if keys := x.Point("wohnen.keys-1").Keys; !slices.Contains(keys, "Shutters up") {
		t.Errorf("a room with shutters has keys for them: %v", keys)
	}
}

// TestWhatIsThereStays furnishes the flats with their electrical design: no room that has a lamp gets another, no door with a
// switch beside it other keys, and new circuits go to the board of the same flat.
func TestWhatIsThereStays(t *testing.T) {
	h := realHouse(t, "Duplex_A_20110907.ifc", "Duplex_Electrical_excerpt.ifc")
	before := house.NewIndex(h)
	r := Furnish(h, Builtin(), Options{})
	x := house.NewIndex(r.House)
	lit := map[house.ID]int{}
	for _, id := range r.Added {
		p := x.Point(id)
		if p.Kind != house.Lamp {
			continue
		}
		lit[p.Room]++
		for _, q := range before.PointsIn(p.Room) {
			if q.Kind == house.Lamp {
				t.Errorf("%s was added beside %s", p.ID, q.ID)
			}
		}
	}
	for _, room := range []house.ID{"a103-kitchen", "b103-kitchen", "a205-utility", "b205-utility", "a201-hallway"} {
		if lit[room] == 0 {
			t.Errorf("%s had no lamp and has got none", room)
		}
	}
	for i := range h.Points {
		p, q := &h.Points[i], x.Point(h.Points[i].ID)
		if q == nil || q.Kind != p.Kind || *q.At != *p.At || p.Circuit != "" && q.Circuit != p.Circuit {
			t.Errorf("%s was changed to %v", p.ID, q)
		}
	}
	for _, id := range r.Added {
		p := x.Point(id)
		flat := p.Room[:1] // a… or b…
		if board := x.Circuit(p.Circuit).Board; len(before.PointsIn(p.Room)) > 0 && board != house.ID("unit-"+flat+"-panelboard") {
			t.Errorf("%s of flat %s is fed by %s", p.ID, flat, board)
		}
	}
	if c := x.Point("b201-hallway.ceiling").Circuit; c != "unit-b-panelboard.c7" {
		t.Errorf("the new lamp of the hallway is on %s, its switch on unit-b-panelboard.c7", c)
	}
	// Three windows stand one above the other in each of four bedrooms: one shutter each, not three.
	n := 0
	for _, p := range r.House.Points {
		n += map[bool]int{true: 1}[p.Kind == house.Shutter && p.Room == "a202-bedroom-1"]
	}
	if n != 2 {
		t.Errorf("the bedroom with a large and three small windows has %d shutters, want 2", n)
	}
}

// TestTwiceIsOnce: furnishing a furnished house changes nothing.
func TestTwiceIsOnce(t *testing.T) {
	for title, names := range realHouses {
		once := Furnish(realHouse(t, names...), Builtin(), Options{})
		twice := Furnish(once.House, Builtin(), Options{})
		if len(twice.Added) > 0 || len(twice.Changes) > 0 {
			t.Errorf("%s: the second time adds %v, changes %d", title, twice.Added, len(twice.Changes))
		}
	}
}

// TestSameInputSameOutput compares two runs byte for byte, and applies the changes to the house before.
func TestSameInputSameOutput(t *testing.T) {
	h := realHouse(t, "House.ifc")
	text := house.Write(h)
	a, b := Furnish(h, Builtin(), Options{}), Furnish(h, Builtin(), Options{})
	if string(house.Write(a.House)) != string(house.Write(b.House)) {
		t.Error("two runs differ")
	}
	if string(house.Write(h)) != string(text) {
		t.Error("the house that was given has changed")
	}
	applied, err := house.Apply(h, a.Changes)
	if err != nil || string(house.Write(applied)) != string(house.Write(a.House)) {
		t.Errorf("the changes do not lead to the furnished house: %v", err)
	}
}

// square is a house of one room, 4 m by 3 m, with a door of 0.9 m in the south wall and a window in the north wall.
func square(hinge string, doorAt float64) *house.House {
	wall := func(id house.ID, a, b house.XY) house.Wall {
		return house.Wall{ID: id, Storey: "ground", From: a, To: b, Thickness: unit.Metres(0.2), Height: unit.Metres(2.6)}
	}
	return &house.House{Format: house.FormatName,
		Storeys: []house.Storey{{ID: "ground"}},
		Rooms: []house.Room{{ID: "snug", Storey: "ground", Use: "bedroom", Height: unit.Metres(2.5),
			Outline: []house.XY{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 3}, {X: 0, Y: 3}}}},
		Walls: []house.Wall{wall("south", house.XY{X: -0.2, Y: -0.1}, house.XY{X: 4.2, Y: -0.1}), wall("north", house.XY{X: -0.2, Y: 3.1}, house.XY{X: 4.2, Y: 3.1})},
		Openings: []house.Opening{
			{ID: "door", Kind: house.Door, Wall: "south", Storey: "ground", From: house.XY{X: doorAt, Y: -0.1}, To: house.XY{X: doorAt + 0.9, Y: -0.1},
				Width: unit.Metres(0.9), Height: unit.Metres(2), Hinge: hinge, Rooms: []house.ID{"snug"}},
			{ID: "window", Kind: house.Window, Wall: "north", Storey: "ground", From: house.XY{X: 1, Y: 3.1}, To: house.XY{X: 3, Y: 3.1},
				Sill: unit.Metres(0.9), Width: unit.Metres(2), Height: unit.Metres(1.2), Rooms: []house.ID{"snug"}},
		}}
}

func TestLatchSide(t *testing.T) {
	for _, c := range []struct {
		hinge  string
		doorAt float64
		want   house.XY
		note   string
	}{
		{"from", 1, house.XY{X: 2.05, Y: 0}, ""},
		{"to", 1, house.XY{X: 0.85, Y: 0}, ""},
		{"", 1, house.XY{X: 2.05, Y: 0}, ""},
		{"from", 3.05, house.XY{X: 2.9, Y: 0}, "hinge side"}, // 0.05 m of wall is left on the latch side
		{"", 3.05, house.XY{X: 2.9, Y: 0}, ""},
	} {
		r := Furnish(square(c.hinge, c.doorAt), Builtin(), Options{})
		p := house.NewIndex(r.House).Point("snug.keys-1")
		if p == nil || length(minus(house.XY{X: p.At.X, Y: p.At.Y}, c.want)) > 0.001 || math.Abs(p.At.Z-1.05) > 1e-9 {
			t.Errorf("hinge %q, door at %v: keys %v, want %v", c.hinge, c.doorAt, p, c.want)
			continue
		}
		if !strings.Contains(p.Note, c.note) || c.note == "" && strings.Contains(p.Note, "hinge") {
			t.Errorf("hinge %q, door at %v: note %q", c.hinge, c.doorAt, p.Note)
		}
	}
}

func TestLampInTheCornerOfAnL(t *testing.T) {
	h := square("from", 1)
	h.Rooms[0].Outline = []house.XY{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 6, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 6}, {X: 0, Y: 6}}
	p := house.NewIndex(Furnish(h, Builtin(), Options{}).House).Point("snug.ceiling")
	if p == nil || !h.Rooms[0].Contains(house.XY{X: p.At.X, Y: p.At.Y}) || p.At.Z != 2.5 {
		t.Errorf("the lamp hangs at %v", p)
	}
}

func TestOwnSheets(t *testing.T) {
	own, err := Read("own.yaml", []byte("format: wirewright sheets 1\ndefaults:\n  key-height: 1.15 m\n  neutral: true\nsheets:\n"+
		"  - use: bedroom\n    points:\n      - {name: keys, kind: keypad, place: door, keys: [Only]}\n"+
		"      - {name: fan, kind: fan, place: wall, height: 2 m, load: {category: motor, power: 20 W}}\n"))
	if err != nil {
		t.Fatal(err)
	}
	r := Furnish(square("from", 1), Builtin().With(own), Options{})
	if fmt.Sprint(r.Added) != "[snug.keys-1 snug.fan]" {
		t.Errorf("added %v", r.Added)
	}
	p := house.NewIndex(r.House).Point("snug.keys-1")
	if math.Abs(p.At.Z-1.15) > 1e-9 || fmt.Sprint(p.Keys) != "[Only]" || p.Box.Depth.String() != "60 mm" {
		t.Errorf("keys at %v with %v, box %v", p.At, p.Keys, p.Box)
	}
}

func TestUnknownUses(t *testing.T) {
	h := square("from", 1)
	for use, want := range map[string]string{"": "not known", "ballroom": "no sheet for the use"} {
		h.Rooms[0].Use = use
		r := Furnish(h, Builtin(), Options{})
		if !slices.ContainsFunc(r.Remarks, func(m Remark) bool { return strings.Contains(m.Text, want) }) || len(r.Added) == 0 {
			t.Errorf("use %q: remarks %v, added %v", use, r.Remarks, r.Added)
		}
	}
	h.Rooms[0].Use = "shaft"
	if r := Furnish(h, Builtin(), Options{}); len(r.Added) > 0 || len(r.House.Boards) > 0 {
		t.Errorf("a shaft gets %v", r.Added)
	}
}

func TestOnlySomeRooms(t *testing.T) {
	h := realHouse(t, "AC20-FZK-Haus.ifc")
	r := Furnish(h, Builtin(), Options{Rooms: []house.ID{"bad"}})
	for _, id := range r.Added {
		if !strings.HasPrefix(string(id), "bad.") {
			t.Errorf("%s was added", id)
		}
	}
	if len(r.Added) < 4 {
		t.Errorf("added %v", r.Added)
	}
}

func TestEmptyHouses(t *testing.T) {
	for _, h := range []*house.House{{}, {Rooms: []house.Room{{ID: "void", Use: "bedroom"}, {ID: "line", Use: "kitchen", Outline: []house.XY{{X: 1}, {X: 1}, {X: 1}}}}}} {
		r := Furnish(h, Builtin(), Options{})
		if r.House == nil {
			t.Error("no house")
		}
		for _, p := range r.House.Points {
			if p.At != nil && (math.IsNaN(p.At.X) || math.IsNaN(p.At.Y)) {
				t.Errorf("%s at %v", p.ID, *p.At)
			}
		}
	}
}

func BenchmarkFurnish(b *testing.B) {
	h, sheets := realHouse(b, "Duplex_A_20110907.ifc"), Builtin()
	for b.Loop() {
		Furnish(h, sheets, Options{})
	}
}
