package furnish

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/unit"
)

// drawHouse makes a house of one room, a rectangle or an L, with walls around it and up to four doors and windows in them, and
// turns it by any angle.
func drawHouse(t *rapid.T) *house.House {
	w, h := rapid.Float64Range(2.5, 9).Draw(t, "w"), rapid.Float64Range(2.5, 9).Draw(t, "h")
	corners := []house.XY{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
	if rapid.Bool().Draw(t, "L") {
		x, y := w*rapid.Float64Range(0.35, 0.65).Draw(t, "x"), h*rapid.Float64Range(0.35, 0.65).Draw(t, "y")
		corners = []house.XY{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: y}, {X: x, Y: y}, {X: x, Y: h}, {X: 0, Y: h}}
	}
	a := rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn")
	for i, c := range corners {
		corners[i] = house.XY{X: c.X*math.Cos(a) - c.Y*math.Sin(a), Y: c.X*math.Sin(a) + c.Y*math.Cos(a)}
	}
	out := &house.House{Format: house.FormatName, Storeys: []house.Storey{{ID: "ground"}}, Rooms: []house.Room{{ID: "den", Storey: "ground",
		Use: rapid.SampledFrom([]string{"bedroom", "living", "kitchen", "bathroom", "hall", "garage", "office", "room"}).Draw(t, "use"), Height: unit.Metres(2.5), Outline: corners}}}
	for i, from := range corners {
		to := corners[(i+1)%len(corners)]
		d, _ := direction(from, to)
		shift := times(leftOf(d), -0.1) // the outline runs counter-clockwise, so outside is on the right
		id := house.ID("wall-" + string(rune('a'+i)))
		out.Walls = append(out.Walls, house.Wall{ID: id, Storey: "ground", From: plus(from, shift), To: plus(to, shift), Thickness: unit.Metres(0.2), Height: unit.Metres(2.6)})
		if long := length(minus(to, from)); long > 1.2 && rapid.Bool().Draw(t, "opening") {
			out.Openings = append(out.Openings, drawOpening(t, id, plus(from, shift), d, long))
		}
	}
	return out
}

func drawOpening(t *rapid.T, wall house.ID, from, d house.XY, long float64) house.Opening {
	wide := rapid.Float64Range(0.7, math.Min(2, long-0.2)).Draw(t, "wide")
	at := rapid.Float64Range(0.05, long-wide-0.05).Draw(t, "at")
	o := house.Opening{ID: "o-" + wall, Wall: wall, Storey: "ground", From: plus(from, times(d, at)), To: plus(from, times(d, at+wide)),
		Width: unit.Metres(wide), Height: unit.Metres(2), Kind: house.Door, Rooms: []house.ID{"den"},
		Hinge: rapid.SampledFrom([]string{"", "from", "to"}).Draw(t, "hinge")}
	if rapid.Bool().Draw(t, "window") {
		o.Kind, o.Hinge, o.Sill, o.Height = house.Window, "", unit.Metres(0.9), unit.Metres(1.2)
	}
	return o
}

// TestPlacesProperty: whatever the room, everything is placed where it belongs, and a second run adds nothing.
func TestPlacesProperty(t *testing.T) {
	sheets := Builtin()
	rapid.Check(t, func(t *rapid.T) {
		h := drawHouse(t)
		r := Furnish(h, sheets, Options{})
		if list := house.Validate(r.House); len(list) > 0 {
			t.Fatalf("not valid: %v", list)
		}
		x := house.NewIndex(r.House)
		room := x.Room("den")
		for _, id := range r.Added {
			p := x.Point(id)
			at := house.XY{X: p.At.X, Y: p.At.Y}
			if d := room.WallDistance(at); strings.Contains(string(id), ".ceiling") || p.Kind == house.Presence {
				if !room.Contains(at) || d < 0.1 {
					t.Errorf("%s at %v is %.3f m from the wall", id, at, d)
				}
			} else if d > 0.001 {
				t.Errorf("%s at %v is %.3f m off the wall", id, at, d)
			}
			if p.Kind == house.Keypad {
				keysBesideDoors(t, x, p, at)
			}
			if p.Kind == house.Shutter {
				facesOut(t, x, room, p, at)
			}
		}
		if again := Furnish(r.House, sheets, Options{}); len(again.Added) > 0 {
			t.Errorf("a second run adds %v", again.Added)
		}
	})
}

// keysBesideDoors: keys stand clear of every opening, and on the latch side unless a note says why not.
func keysBesideDoors(t *rapid.T, x *house.Index, p *house.Point, at house.XY) {
	if strings.Contains(p.Note, "no free wall") || strings.Contains(p.Note, "no door") {
		return
	}
	near := false
	for i := range x.House().Openings {
		o := &x.House().Openings[i]
		d := faceDistance(x, o, at)
		if o.Kind == house.Door && d < 0.3 {
			near = true
			latch, hinge := o.To, o.From
			if o.Hinge == "to" {
				latch, hinge = hinge, latch
			}
			if o.Hinge != "" && !strings.Contains(p.Note, "hinge side") && length(minus(at, latch)) > length(minus(at, hinge)) && d > 0.1 && len(x.House().Openings) == 1 {
				t.Errorf("%s at %v stands on the hinge side of %s", p.ID, at, o.ID)
			}
		}
		if d < 0.02 {
			t.Errorf("%s at %v stands in %s", p.ID, at, o.ID)
		}
	}
	if !near {
		t.Errorf("%s at %v stands at no door", p.ID, at)
	}
}

// facesOut: a step against the facing leads into the room, a step along it out of it.
func facesOut(t *rapid.T, x *house.Index, room *house.Room, p *house.Point, at house.XY) {
	a := (p.Facing.Deg() - x.House().Site.North.Deg()) * math.Pi / 180
	out := house.XY{X: math.Sin(a), Y: math.Cos(a)}
	if room.Contains(plus(at, times(out, 0.05))) || !room.Contains(minus(at, times(out, 0.05))) {
		t.Errorf("%s at %v faces %s", p.ID, at, p.Facing)
	}
	if p.Travel == nil || p.Travel.Up <= p.Travel.Down-unit.Seconds(2) || p.Opening == "" {
		t.Errorf("%s travels %v at %q", p.ID, p.Travel, p.Opening)
	}
}

// TestCircuitsProperty: no new circuit carries more than four fifths of its rating, unless one load alone does, and every
// circuit of a three-phase supply is on one phase.
func TestCircuitsProperty(t *testing.T) {
	sheets := Builtin()
	for title, names := range realHouses {
		h := realHouse(t, names...)
		h.Site.Supply = house.Supply{Voltage: unit.Volts(230), Phases: 3}
		r := Furnish(h, sheets, Options{})
		before := house.NewIndex(h)
		phases := map[string]int{}
		for _, c := range r.House.Circuits {
			if before.Circuit(c.ID) != nil {
				continue
			}
			load, loads := 0.0, 0
			for i := range r.House.Points {
				if p := &r.House.Points[i]; p.Circuit == c.ID {
					load += demand(p)
					loads++
				}
			}
			if load > 0.8*230*c.Rating.A() && loads > 1 {
				t.Errorf("%s: %s carries %.0f VA", title, c.ID, load)
			}
			if !slices.Contains([]string{"L1", "L2", "L3"}, c.Phase) || c.Length <= 0 {
				t.Errorf("%s: %s is on phase %q, %s long", title, c.ID, c.Phase, c.Length)
			}
			phases[c.Phase]++
		}
		if len(r.House.Circuits) > 3 && len(phases) < 2 && title != "two flats, wired" {
			t.Errorf("%s: all circuits are on %v", title, phases)
		}
	}
}

// TestBoardRooms: where the house has no board, it goes to the room that a house would have it in.
func TestBoardRooms(t *testing.T) {
	h := square("from", 1)
	h.Rooms = append(h.Rooms, h.Rooms[0], h.Rooms[0])
	h.Rooms[1].ID, h.Rooms[1].Use = "vestibule", "hall"
	h.Rooms[2].ID, h.Rooms[2].Use = "plant", "utility"
	for _, want := range []house.ID{"plant", "vestibule", "snug"} {
		r := Furnish(h, Builtin(), Options{})
		if len(r.House.Boards) != 1 || r.House.Boards[0].Room != want || r.House.Boards[0].Note == "" {
			t.Errorf("the board stands in %v, want %s", r.House.Boards, want)
		}
		h.Rooms = h.Rooms[:len(h.Rooms)-1]
	}
}

// TestNearestBoard: a room without a history is fed from the nearest board.
func TestNearestBoard(t *testing.T) {
	h := square("from", 1)
	h.Boards = []house.Board{{ID: "far", At: &house.XYZ{X: 30}}, {ID: "near", At: &house.XYZ{X: 5}}, {ID: "lost"}}
	r := Furnish(h, Builtin(), Options{})
	for _, c := range r.House.Circuits {
		if c.Board != "near" {
			t.Errorf("%s hangs on %s", c.ID, c.Board)
		}
	}
	h.Boards = []house.Board{{ID: "lost"}, {ID: "lost-too"}}
	if r := Furnish(h, Builtin(), Options{}); r.House.Circuits[0].Board != "lost" {
		t.Errorf("without places the first board feeds: %v", r.House.Circuits[0])
	}
}

// TestStackedWindows: one shutter over windows that stand one above the other, one each for those side by side.
func TestStackedWindows(t *testing.T) {
	h := square("from", 1)
	up := h.Openings[1]
	up.ID, up.Sill = "window-above", unit.Metres(2.15)
	side := h.Openings[1]
	side.ID, side.From.X, side.To.X = "window-beside", 3.2, 3.9
	h.Openings = append(h.Openings, up, side)
	r := Furnish(h, Builtin(), Options{})
	var got []string
	for _, p := range r.House.Points {
		if p.Kind == house.Shutter {
			got = append(got, string(p.Opening)+" "+p.Travel.Up.String())
		}
	}
	// 8 s and 11 s a metre: 2.45 m and 1.2 m
	if strings.Join(got, "|") != "window 35 s|window-beside 22 s" {
		t.Errorf("%v", got)
	}
}

// TestGatesAndGlazedDoors: a wide outer door of a garage is a gate, one of a living room counts as a window too.
func TestGatesAndGlazedDoors(t *testing.T) {
	h := square("", 1)
	h.Openings[0].To.X, h.Openings[0].Width = 3.5, unit.Metres(2.5)
	for use, want := range map[string]house.Kind{"garage": house.Gate, "living": house.Shutter} {
		h.Rooms[0].Use = use
		r := Furnish(h, Builtin(), Options{})
		if !slices.ContainsFunc(r.House.Points, func(p house.Point) bool { return p.Kind == want && p.Opening == "door" }) {
			t.Errorf("%s: no %s at the door of 2.5 m: %v", use, want, r.Added)
		}
	}
}

// TestSkylights are mentioned, not shuttered.
func TestSkylights(t *testing.T) {
	h := square("from", 1)
	h.Openings[1].Wall = ""
	r := Furnish(h, Builtin(), Options{})
	if slices.ContainsFunc(r.House.Points, func(p house.Point) bool { return p.Kind == house.Shutter }) ||
		!slices.ContainsFunc(r.Remarks, func(m Remark) bool { return strings.Contains(m.String(), "window is in the roof") }) {
		t.Errorf("points %v, remarks %v", r.Added, r.Remarks)
	}
}
