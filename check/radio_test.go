package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/calc/radio"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// radioHouse is one storey with an access point at the origin, 1.5 m up, and one module some metres east, as high.
func radioHouse(metres float64, walls ...house.Wall) *house.House {
	h := &house.House{
		Storeys: []house.Storey{{ID: "g", Height: unit.Metres(3)}},
		Rooms:   []house.Room{{ID: "hall", Storey: "g", Outline: []house.XY{{X: -1, Y: -2}, {X: 1, Y: -2}, {X: 1, Y: 2}, {X: -1, Y: 2}}}},
		Modules: []house.Module{{ID: "m", Type: "relay-wifi-1x5-in1", At: &house.XYZ{X: metres, Z: 1.5}}},
	}
	h.Network.AccessPoints = []house.AccessPoint{{ID: "ap", At: &house.XYZ{Z: 1.5}, EIRP: level(20), Channel: 6}}
	for i, w := range walls {
		w.ID, w.Storey = house.ID(fmt.Sprintf("w%d", i)), "g"
		w.From, w.To = house.XY{X: 1 + float64(i)/10, Y: -3}, house.XY{X: 1 + float64(i)/10, Y: 3}
		h.Walls = append(h.Walls, w)
	}
	return h
}

func level(dBm float64) unit.Level { return unit.Level(math.Round(dBm * 1e6)) }

func wallOf(material string, mm float64) house.Wall {
	return house.Wall{Layers: []house.Layer{{Material: material, Thickness: unit.Metres(mm / 1000)}}}
}

func linkOf(t testing.TB, h *house.House) *link {
	t.Helper()
	v := newView(h, builtin(t))
	return v.radioPlan().links[&v.modules[0]]
}

// Worked by the COST 231 multi-wall model at channel 6: free space of 5 m 54.16 dB, of 8 m 58.25 dB with one heavy wall 65.15;
// 6 m over one floor is the tabled 77.45 dB less the light wall of 3.4 dB.
func TestWorkedWays(t *testing.T) {
	for _, c := range []struct {
		name   string
		metres float64
		walls  []house.Wall
		rise   float64
		want   float64
	}{
		{"free space", 5, nil, 0, 54.16},
		{"nearer than a metre counts as a metre", .2, nil, 0, 40.185},
		{"one heavy wall, of unknown material", 8, []house.Wall{wallOf("unobtainium", 100)}, 0, 58.246 + 6.9},
		{"two, one without layers", 8, []house.Wall{wallOf("unobtainium", 100), {}}, 0, 58.246 + 13.8},
		{"one floor", 0, nil, 6, 77.45 - 3.4},
	} {
		h := radioHouse(c.metres, c.walls...)
		if c.rise > 0 {
			h.Storeys = append(h.Storeys, house.Storey{ID: "u", Elevation: unit.Metres(3)})
			h.Modules[0].At.Z += c.rise
		}
		l := linkOf(t, h)
		nearly(t, c.name, l.loss(), c.want, 6e-3)
		// Both directions, 17 dBm and −90 dBm of the module's type: the way to the access point is the weaker one.
		nearly(t, c.name+" at the module", l.atModule, 20-c.want, 6e-3)
		nearly(t, c.name+" margin", l.margin, 17-c.want+67, 6e-3)
		nearly(t, c.name+" probability", l.reach(), radio.Reaches(17-c.want+67, 5), 1e-3)
		if l.down {
			t.Errorf("%s: the weaker direction is said to be the one to the module", c.name)
		}
	}
}

// Plan losses of walls by ITU-R P.2040-2 at 2.4 and 5 GHz, worked as the power mean over half a wavelength.
func TestWallsFromTheirLayers(t *testing.T) {
	for _, c := range []struct {
		material   string
		mm         float64
		low, upper float64
	}{{"concrete", 100, 7.99, 13.05}, {"Stahlbeton", 150, 11.22, 18.84}, {"Бетон", 200, 14.48, 24.65}, {"brick", 115, 3.60, 3.91}, {"Ziegel", 240, 6.42, 7.10}} {
		for mhz, want := range map[float64]float64{2400: c.low, 5000: c.upper} {
			h := radioHouse(5, wallOf(c.material, c.mm))
			h.Network.AccessPoints[0].Centre = unit.Frequency(mhz * 1e6)
			l := linkOf(t, h)
			nearly(t, fmt.Sprint(c.material, c.mm, mhz), l.fabric, want, .012)
			if l.path.unknown > 0 || l.walls != 1 {
				t.Errorf("%s: %+v", c.material, l.path)
			}
		}
	}
}

// TestOpeningsCountAsOpenings: what crosses an opening pays for what fills it, at its height only.
func TestOpeningsCountAsOpenings(t *testing.T) {
	for _, c := range []struct {
		name    string
		opening house.Opening
		most    float64 // dB; a wall of 200 mm of concrete has 14.6
		least   float64
	}{
		{"passage", house.Opening{Kind: house.Passage, Height: unit.Metres(2)}, 0, 0},
		{"door", house.Opening{Kind: house.Door, Height: unit.Metres(2)}, 1.4, .5},
		{"window", house.Opening{Kind: house.Window, Sill: unit.Metres(.9), Height: unit.Metres(1.4)}, 5, .1},
		{"window above the way", house.Opening{Kind: house.Window, Sill: unit.Metres(1.6), Height: unit.Metres(.6)}, 15, 14},
		{"door below the way", house.Opening{Kind: house.Door, Height: unit.Metres(1.4)}, 15, 14},
	} {
		h := radioHouse(5, wallOf("concrete", 200))
		c.opening.ID, c.opening.Wall, c.opening.From, c.opening.To = "o", "w0", house.XY{X: 1, Y: .5}, house.XY{X: 1, Y: -.5}
		h.Openings = []house.Opening{c.opening}
		l := linkOf(t, h)
		if l.walls != 1 || l.fabric > c.most+1e-9 || l.fabric < c.least {
			t.Errorf("%s: %.2f dB over %d, want %g to %g over 1", c.name, l.fabric, l.walls, c.least, c.most)
		}
		h.Openings[0].From.Y, h.Openings[0].To.Y = 1, 2 // beside the way
		if l := linkOf(t, h); l.fabric < 14 {
			t.Errorf("%s beside the way: %.2f dB", c.name, l.fabric)
		}
	}
}

// TestFloors: a floor counts where its storey is, floors close together count once, and a terrace is no storey.
func TestFloors(t *testing.T) {
	h := radioHouse(0)
	h.Storeys = []house.Storey{{ID: "g"}, {ID: "split", Elevation: unit.Metres(2.7)}, {ID: "u", Elevation: unit.Metres(3)}, {ID: "attic", Elevation: unit.Metres(6)}}
	square := func(x float64) []house.XY {
		return []house.XY{{X: x, Y: -2}, {X: x + 4, Y: -2}, {X: x + 4, Y: 2}, {X: x, Y: 2}}
	}
	h.Rooms = []house.Room{{ID: "a", Storey: "u", Outline: square(-2)}, {ID: "b", Storey: "attic", Outline: square(-2)},
		{ID: "c", Storey: "split", Outline: square(-2)}, {ID: "terrace", Use: "outside", Storey: "attic", Outline: square(30)}}
	f := newFabric(h, builtin(t))
	for _, c := range []struct {
		a, b house.XYZ
		want int
	}{
		{house.XYZ{Z: 1}, house.XYZ{Z: 2.5}, 0}, {house.XYZ{Z: 1}, house.XYZ{Z: 4}, 1}, {house.XYZ{Z: 1}, house.XYZ{Z: 7}, 2}, {house.XYZ{Z: 7}, house.XYZ{Z: 1}, 2},
		{house.XYZ{Z: 3}, house.XYZ{Z: 6}, 0},               // on a floor is above it
		{house.XYZ{X: 30, Z: 1}, house.XYZ{X: 31, Z: 7}, 0}, // outside
		{house.XYZ{X: -3, Z: -1}, house.XYZ{X: 1, Z: 4}, 2}, // the ground storey has no room that bounds its floor
	} {
		if got := f.floorsBetween(c.a, c.b); got != c.want {
			t.Errorf("%v to %v: %d floors, want %d", c.a, c.b, got, c.want)
		}
	}
}

// TestGridLosesNoWall holds the grid against asking every wall of the house, on random ways through generated houses.
func TestGridLosesNoWall(t *testing.T) {
	h := generated.House(300, 7)
	for i := range 40 { // and some that are long and slanting
		x := float64(i)
		h.Walls = append(h.Walls, house.Wall{ID: house.ID(fmt.Sprintf("slant%d", i)), Storey: h.Storeys[0].ID, From: house.XY{X: x, Y: -3}, To: house.XY{X: 60 - x, Y: 30}, Height: unit.Metres(2.5)})
	}
	grid := &tracer{fabric: newFabric(h, builtin(t))}
	plain := &tracer{fabric: newFabric(h, builtin(t))}
	crossed := 0
	rapid.Check(t, func(t *rapid.T) {
		place := func(name string) house.XYZ {
			return house.XYZ{X: rapid.Float64Range(-5, 60).Draw(t, name+" x"), Y: rapid.Float64Range(-5, 25).Draw(t, name+" y"), Z: rapid.Float64Range(-1, 8).Draw(t, name+" z")}
		}
		a, b := place("a"), place("b")
		if rapid.Bool().Draw(t, "along an axis") {
			b.X = a.X
		}
		got := grid.trace(a, b, 2.437)
		want := path{a: a, b: b, ghz: 2.437}
		for k := range plain.storeys {
			for i := range plain.storeys[k].walls {
				plain.meet(&plain.storeys[k].walls[i], &want)
			}
		}
		if got.walls != want.walls || got.unknown != want.unknown || math.Abs(got.fabric-want.fabric) > 1e-9 {
			t.Fatalf("%v to %v: the grid finds %d walls, %.2f dB; asking all finds %d, %.2f dB", a, b, got.walls, got.fabric, want.walls, want.fabric)
		}
		back := grid.trace(b, a, 2.437)
		if back.walls != got.walls || math.Abs(back.fabric-got.fabric) > 1e-9 || back.floors != got.floors {
			t.Fatalf("%v to %v: there %+v, back %+v", a, b, got, back)
		}
		crossed += got.walls
	})
	if crossed == 0 {
		t.Error("no way crossed a wall")
	}
}

// TestMoreWallsNeverHelp: one wall more on the way never makes the best link better.
func TestMoreWallsNeverHelp(t *testing.T) {
	materials := []string{"concrete", "brick", "plasterboard", "wood", "glass", "no such thing", "air gap"}
	c := builtin(t)
	rapid.Check(t, func(t *rapid.T) {
		var walls []house.Wall
		for range rapid.IntRange(1, 5).Draw(t, "walls") {
			walls = append(walls, wallOf(rapid.SampledFrom(materials).Draw(t, "material"), float64(rapid.IntRange(0, 400).Draw(t, "mm"))))
		}
		margin := func(h *house.House) float64 {
			v := newView(h, c)
			return v.radioPlan().links[&v.modules[0]].margin
		}
		metres := rapid.Float64Range(2, 30).Draw(t, "metres")
		if with, without := margin(radioHouse(metres, walls...)), margin(radioHouse(metres, walls[1:]...)); with > without+1e-9 {
			t.Fatalf("%v: %.3f dB to spare with the first wall, %.3f without", walls, with, without)
		}
	})
}

// TestBestAccessPoint: the one with most to spare is chosen, whatever the order; one behind metal only if there is no other.
func TestBestAccessPoint(t *testing.T) {
	far := house.AccessPoint{ID: "far", At: &house.XYZ{X: 40, Z: 1.5}, EIRP: level(20), Channel: 6}
	steel := radioHouse(5, wallOf("steel", 1))
	if l := linkOf(t, steel); l.shielded == nil || l.station.ID != "ap" || l.weak() {
		t.Errorf("behind steel: %+v", l)
	}
	for _, first := range []bool{true, false} {
		h := radioHouse(5, wallOf("steel", 1))
		h.Network.AccessPoints = append(h.Network.AccessPoints, far)
		open := radioHouse(5)
		open.Network.AccessPoints = append(open.Network.AccessPoints, far)
		if first {
			slices.Reverse(h.Network.AccessPoints)
			slices.Reverse(open.Network.AccessPoints)
		}
		if l := linkOf(t, h); l.shielded != nil || l.station.ID != "far" {
			t.Errorf("steel before the near one: %s", l.station.ID)
		}
		if l := linkOf(t, open); l.station.ID != "ap" {
			t.Errorf("nothing between: %s", l.station.ID)
		}
	}
}

// TestWeakFromTheThresholdOn: 6.408 dB must be left for 90 %, so of 17 dBm 17 + 67 − 6.408 = 77.592 dB may be lost: at channel 6,
// 60.185 dB at 10 m, that is 74.19 m of free space.
func TestWeakFromTheThresholdOn(t *testing.T) {
	for metres, want := range map[float64]bool{74.1: false, 74.3: true} {
		v := newView(radioHouse(metres), builtin(t))
		l := v.radioPlan().links[&v.modules[0]]
		if l.weak() != want {
			t.Errorf("%g m: loss %.3f dB, margin %.3f dB, weak %v", metres, l.loss(), l.margin, l.weak())
		}
	}
}

// TestPlaceOfAModule: its own place, that of its box, of its board, else the middle of its room, else none.
func TestPlaceOfAModule(t *testing.T) {
	at := func(x float64) *house.XYZ { return &house.XYZ{X: x, Z: 1} }
	for _, c := range []struct {
		name  string
		edit  func(*house.House)
		want  float64
		guess bool
		ok    bool
	}{
		{"own", func(h *house.House) { h.Modules[0].At = at(1) }, 1, false, true},
		{"box", func(h *house.House) {}, 2, false, true},
		{"box of no place in a room", func(h *house.House) { h.Points[0].At = nil }, 6, true, true},
		{"board", func(h *house.House) { h.Modules[0].Point, h.Modules[0].Board = "", "board" }, 3, false, true},
		{"room", func(h *house.House) { h.Modules[0].Point, h.Modules[0].Room = "", "r" }, 6, true, true},
		{"beyond the earth", func(h *house.House) { h.Modules[0].At, h.Modules[0].Point = at(1e9), "" }, 0, true, false},
		{"nowhere", func(h *house.House) { h.Modules[0].Point = "" }, 0, true, false},
	} {
		h := &house.House{
			Rooms:   []house.Room{{ID: "r", Outline: []house.XY{{X: 4}, {X: 8}, {X: 8, Y: 2}, {X: 4, Y: 2}}}},
			Boards:  []house.Board{{ID: "board", At: at(3)}},
			Points:  []house.Point{{ID: "p", Room: "r", At: at(2)}},
			Modules: []house.Module{{ID: "m", Type: "relay-wifi-1x5-in1", Point: "p"}},
		}
		c.edit(h)
		v := newView(h, builtin(t))
		got, guess, ok := v.placeOf(&v.modules[0], newRooms(h))
		if ok != c.ok || ok && (got.X != c.want || guess != c.guess) {
			t.Errorf("%s: %v, guess %v, %v", c.name, got, guess, ok)
		}
	}
}

// TestFurtherAccessPointMendsWhatItPromises builds what the remedies propose: a house with access points where they say has no
// weak module left of those that were promised to be mended.
func TestFurtherAccessPointMendsWhatItPromises(t *testing.T) {
	c := builtin(t)
	h := generated.House(300, 4)
	v := newView(h, c)
	p := v.radioPlan()
	var weak, promised []house.ID
	places := map[house.ID]bool{}
	for _, m := range p.placed {
		if !p.links[m].weak() {
			continue
		}
		weak = append(weak, m.ID)
		if f := p.further[m]; f != nil {
			promised = append(promised, m.ID)
			places[f.room.ID] = true
		}
	}
	if len(weak) < 5 || len(promised) == 0 || len(places) > furtherRounds {
		t.Fatalf("%d weak, %d promised, %d places", len(weak), len(promised), len(places))
	}
	x := newRooms(h)
	for _, r := range h.Rooms {
		if places[r.ID] {
			at, _ := x.middle(r.ID, ceilingPlace)
			h.Network.AccessPoints = append(h.Network.AccessPoints, house.AccessPoint{ID: "ap." + r.ID, At: &at, EIRP: level(planEIRP), Channel: 6})
		}
	}
	for _, f := range Check(h, c) {
		if f.Slug == "radio/weak" && slices.Contains(promised, f.Entity) {
			t.Errorf("still weak: %s", f.Text)
		}
	}
	t.Logf("%d weak modules, %d mended by %d further access points", len(weak), len(promised), len(places))
}

// TestFirstFurtherPlaceIsTheBest holds the first place that is proposed against trying every room of the house.
func TestFirstFurtherPlaceIsTheBest(t *testing.T) {
	h := generated.House(150, 4)
	v := newView(h, builtin(t))
	p := v.radioPlan()
	most, claimed := 0, 0
	weak := slices.DeleteFunc(slices.Clone(p.placed), func(m *module) bool { return !p.links[m].weak() })
	for _, s := range spotsOf(h, newRooms(h)) {
		n := 0
		for _, m := range weak {
			way := p.tracer.trace(p.links[m].a, s.at, p.stations[0].ghz)
			if l := p.links[m].weigh(m, &station{eirp: planEIRP}, way.loss()); way.shielded == nil && l.margin >= radio.MarginFor(reachShare, spreadSigma) {
				n++
			}
		}
		most = max(most, n)
	}
	for _, f := range p.further {
		claimed = max(claimed, f.mends)
	}
	if most == 0 || claimed != most {
		t.Errorf("the best room mends %d of %d, the first proposal %d", most, len(weak), claimed)
	}
}

// TestNothingIsPassedInSilence: without access point, place or material the house is told so, once.
func TestNothingIsPassedInSilence(t *testing.T) {
	for want, edit := range map[string]func(*house.House){
		"no access point":           func(h *house.House) { h.Network.AccessPoints[0].At = nil },
		"The place of 1":            func(h *house.House) { h.Modules[0].At = nil },
		"whose material is not":     func(h *house.House) { h.Walls[0].Layers = nil },
		"inside board":              func(h *house.House) { h.Modules[0].Type, h.Modules[0].Board = "relay-wifi-rail-4x16", "b" },
		"taken at 20 dBm and 2.437": func(h *house.House) { h.Network.AccessPoints[0].EIRP, h.Modules[0].At.X = 0, 80 },
		"taken as heavy (COST 231)": func(h *house.House) { h.Walls[0].Layers, h.Modules[0].At.X = nil, 80 },
		"from the middle of its":    func(h *house.House) { h.Modules[0].At, h.Modules[0].Room = nil, "far" },
	} {
		h := radioHouse(5, wallOf("brick", 100))
		h.Rooms = append(h.Rooms, house.Room{ID: "far", Storey: "g", Outline: []house.XY{{X: 98}, {X: 102}, {X: 102, Y: 2}, {X: 98, Y: 2}}})
		h.Boards = []house.Board{{ID: "b"}}
		edit(h)
		n := 0
		for _, f := range Check(h, builtin(t)) {
			if slices.ContainsFunc(radioRules, func(r Rule) bool { return r.Slug == f.Slug }) && strings.Contains(f.Text, want) {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%q is said %d times", want, n)
		}
	}
}

// TestOpaqueMaterialsOfTheCatalogueShield: foil and metal in a layer of a wall shut radio in, whatever stands beside them.
func TestOpaqueMaterialsOfTheCatalogueShield(t *testing.T) {
	c := builtin(t)
	for _, m := range c.Materials {
		w := wallOf("plasterboard", 12.5)
		w.Layers = append(w.Layers, house.Layer{Material: m.ID, Thickness: unit.Metres(.05)})
		if l := linkOf(t, radioHouse(5, w)); (l.shielded != nil) != m.Opaque {
			t.Errorf("%s: shielded %v", m.ID, l.shielded != nil)
		}
	}
}
