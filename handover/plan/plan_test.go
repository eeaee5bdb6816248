package plan

import (
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/examples"
	"wirewright/handover/scene"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

func TestSmallHouseAsBefore(t *testing.T) {
	h := smallHouse()
	for name, opt := range map[string]Options{
		"points":  {Scale: 50, Points: true, Names: true, Marks: map[house.ID][]Mark{"bath.fan": {{scene.FaultMark, "too small"}}}},
		"modules": {Scale: 50, Points: true, Modules: true},
	} {
		got := Draw(h, "ground", opt).String()
		file := "testdata/small-" + name + ".txt"
		if *rewrite {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s differs; run the test with -rewrite and look at the change:\n%s", file, got)
		}
		if again := Draw(h, "ground", opt).String(); again != got {
			t.Error("the same storey was drawn differently")
		}
	}
}

// lettering is a text of a drawing with its item and its box.
type lettering struct {
	item scene.Item
	text scene.Text
	box  box
}

func letterings(s *scene.Scene) []lettering {
	var list []lettering
	for _, i := range s.Items {
		for _, sh := range i.Shapes {
			if x, ok := sh.(scene.Text); ok {
				w := scene.TextWidth(x.String, x.Size, x.Bold)
				left := x.At.X - [3]float64{0, w / 2, w}[x.Anchor]
				list = append(list, lettering{i, x, box{left, x.At.Y - x.Size*.72, left + w, x.At.Y + x.Size*.15}})
			}
		}
	}
	return list
}

// symbolBoxes are the boxes of the symbols by entity, their names and lines apart.
func symbolBoxes(s *scene.Scene) map[string]box {
	m := map[string]box{}
	for _, i := range s.Items {
		if i.Layer != "points" && i.Layer != "modules" {
			continue
		}
		b := nothing()
		for _, sh := range i.Shapes {
			switch sh := sh.(type) {
			case scene.Path:
				if sh.Filled {
					for _, p := range sh.Points {
						b.grow(p.X, p.Y)
					}
				}
			case scene.Circle:
				if sh.Radius > .5 {
					b.grow(sh.Centre.X-sh.Radius, sh.Centre.Y-sh.Radius)
					b.grow(sh.Centre.X+sh.Radius, sh.Centre.Y+sh.Radius)
				}
			}
		}
		m[i.Entity] = b.padded(-.05)
	}
	return m
}

// collisions counts names over symbols and names over names.
func collisions(s *scene.Scene) (overSymbols, overNames []string) {
	texts, symbols := letterings(s), symbolBoxes(s)
	for i, a := range texts {
		for entity, b := range symbols {
			if a.box.overlaps(b) {
				overSymbols = append(overSymbols, a.text.String+" over "+entity)
			}
		}
		for _, b := range texts[i+1:] {
			if a.box.overlaps(b.box) {
				overNames = append(overNames, a.text.String+" over "+b.text.String)
			}
		}
	}
	slices.Sort(overSymbols)
	return overSymbols, overNames
}

func TestNamesOfTheSmallHouseTouchNothing(t *testing.T) {
	for _, scale := range []float64{50, 75, 100} {
		for _, modules := range []bool{false, true} {
			s := Draw(smallHouse(), "ground", Options{Scale: scale, Points: true, Names: !modules, Modules: modules})
			symbols, names := collisions(s)
			if len(symbols) > 0 || len(names) > 0 {
				t.Errorf("1:%g, modules %v: %q %q", scale, modules, symbols, names)
			}
		}
	}
}

func TestHardlyANameOfTheExampleTouchesAnything(t *testing.T) {
	h, err := house.Read("house.yaml", examples.WeirHouse)
	if err != nil {
		t.Fatal(err)
	}
	for _, storey := range h.Storeys {
		s := Draw(h, storey.ID, Options{Width: 265, Height: 160, Points: true, Names: true})
		symbols, names := collisions(s)
		t.Logf("%s at 1:%g: %q %q", storey.ID, s.Model.Scale, symbols, names)
		if len(symbols)+len(names) > 2 {
			t.Errorf("%s at 1:%g: %q %q", storey.ID, s.Model.Scale, symbols, names)
		}
	}
}

func TestSymbolsDoNotCoverEachOther(t *testing.T) {
	s := Draw(smallHouse(), "ground", Options{Scale: 100, Points: true, Names: true})
	symbols := symbolBoxes(s)
	list := slices.Sorted(func(yield func(string) bool) {
		for k := range symbols {
			if !yield(k) {
				return
			}
		}
	})
	for i, a := range list {
		for _, b := range list[i+1:] {
			if x, y := symbols[a], symbols[b]; x.padded(-.2).overlaps(y.padded(-.2)) {
				t.Errorf("%s covers %s", a, b)
			}
		}
	}
	if len(list) != 14 {
		t.Errorf("%d symbols, want 14: %q", len(list), list)
	}
}

func TestRoomNamesStandInsideTheirRooms(t *testing.T) {
	h := smallHouse()
	for _, scale := range []float64{50, 100} {
		s := Draw(h, "ground", Options{Scale: scale, Points: true, Names: true})
		found := 0
		for _, l := range letterings(s) {
			if l.item.Layer != "names" || l.text.Role != scene.Label {
				continue
			}
			found++
			room := h.Rooms[slices.IndexFunc(h.Rooms, func(r house.Room) bool {
				return strings.HasPrefix(r.Title, strings.Fields(l.text.String)[0]) || strings.Contains(r.Title, l.text.String)
			})]
			for _, p := range [][2]float64{{l.box.x0, l.box.y0}, {l.box.x1, l.box.y0}, {l.box.x0, l.box.y1}, {l.box.x1, l.box.y1}} {
				k := scale / 1000
				if !inside(room.Outline, house.XY{X: s.Model.OriginX + p[0]*k, Y: s.Model.OriginY - p[1]*k}) {
					t.Errorf("1:%g: %q leaves %s", scale, l.text.String, room.ID)
				}
			}
		}
		if found < 3 {
			t.Errorf("1:%g: %d room names", scale, found)
		}
	}
}

// paths are the paths of an item.
func paths(t *testing.T, s *scene.Scene, entity string) []scene.Path {
	t.Helper()
	var list []scene.Path
	for _, i := range s.Items {
		if i.Entity == entity {
			for _, sh := range i.Shapes {
				if p, ok := sh.(scene.Path); ok {
					list = append(list, p)
				}
			}
		}
	}
	if len(list) == 0 {
		t.Fatalf("%s is not drawn", entity)
	}
	return list
}

func near(a scene.Point, x, y float64) bool { return math.Hypot(a.X-x, a.Y-y) < .01 }

func TestDoorsSwingIntoTheRoomOneEnters(t *testing.T) {
	h := smallHouse()
	s := Draw(h, "ground", Options{Scale: 100})
	on := func(x, y float64) (float64, float64) {
		return (x - s.Model.OriginX) * 10, (s.Model.OriginY - y) * 10
	}
	check := func(id string, hingeX, hingeY, openX, openY, latchX, latchY float64) {
		t.Helper()
		list := paths(t, s, id)
		leaf, arc := list[len(list)-2], list[len(list)-1]
		hx, hy := on(hingeX, hingeY)
		ox, oy := on(openX, openY)
		lx, ly := on(latchX, latchY)
		if !near(leaf.Points[0], hx, hy) || !near(leaf.Points[1], ox, oy) || !near(arc.Points[len(arc.Points)-1], lx, ly) {
			t.Errorf("%s: leaf %v, arc ends %v; want %.2f,%.2f to %.2f,%.2f and %.2f,%.2f", id, leaf.Points, arc.Points[len(arc.Points)-1], hx, hy, ox, oy, lx, ly)
		}
	}
	check("front-door", 1.7, .15, 1.7, 1.15, .7, .15)     // hinge at its second jamb, into the hall to the north
	check("living-door", 2.56, 2.8, 3.46, 2.8, 2.56, 3.7) // hinge at its first jamb, into the living room to the east
}

func TestWallsJoinInCorners(t *testing.T) {
	s := Draw(smallHouse(), "ground", Options{Scale: 100})
	covers := func(p scene.Path, x, y float64) bool {
		var ps []house.XY
		for _, q := range p.Points {
			ps = append(ps, house.XY{X: q.X, Y: q.Y})
		}
		return inside(ps, house.XY{X: x, Y: y})
	}
	for _, corner := range [][2]float64{{-.14, -.14}, {9.14, -.14}, {9.14, 6.14}, {-.14, 6.14}} { // just inside the outer corners
		x, y := (corner[0]-s.Model.OriginX)*10, (s.Model.OriginY-corner[1])*10
		covered := false
		for _, id := range []string{"south", "east", "north", "west"} {
			covered = covered || covers(paths(t, s, id)[0], x, y)
		}
		if !covered {
			t.Errorf("the corner at %v is open", corner)
		}
	}
}

func itemOf(s *scene.Scene, entity string) *scene.Item {
	for i := range s.Items {
		if s.Items[i].Entity == entity {
			return &s.Items[i]
		}
	}
	return nil
}

func TestPointsWithoutAPlaceAreDrawnAndMarked(t *testing.T) {
	h := smallHouse()
	s := Draw(h, "ground", Options{Scale: 100, Points: true, Names: true})
	mirror := itemOf(s, "bath.mirror")
	if mirror == nil || !strings.Contains(mirror.Label, "not yet placed") {
		t.Fatalf("the point without a place is told as %v", mirror)
	}
	dashed := slices.ContainsFunc(mirror.Shapes, func(sh scene.Shape) bool { p, ok := sh.(scene.Path); return ok && p.Dashed && p.Closed })
	if !dashed {
		t.Error("no dashed frame marks the point without a place")
	}
	attic := Draw(h, "attic", Options{Points: true, Names: true})
	if itemOf(attic, "cellar.lamp") == nil || !strings.Contains(attic.String(), "no rooms and no walls") {
		t.Errorf("the storey without geometry: %s", attic)
	}
	h.Points[0].At = &house.XYZ{X: 1e6, Y: 1e6}
	if far := Draw(h, "ground", Options{Scale: 100, Points: true}); !strings.Contains(itemOf(far, "hall.ceiling").Label, "not yet placed") || far.Width != s.Width {
		t.Error("a point far beyond the house spreads the sheet")
	}
}

func TestAStripHoldsWhatHasNoOutline(t *testing.T) {
	h := smallHouse()
	h.Rooms = append(h.Rooms, house.Room{ID: "bare", Storey: "ground"})
	for i := range 300 {
		h.Points = append(h.Points, house.Point{ID: house.ID(fmt.Sprintf("bare.lamp%d", i)), Kind: house.Lamp, Room: "bare"})
	}
	s := Draw(h, "ground", Options{Width: 180, Height: 240, Points: true, Names: true})
	if s.Width > 180.01 || s.Height > 240.01 {
		t.Errorf("the sheet grew to %.1f × %.1f", s.Width, s.Height)
	}
	if itemOf(s, "bare.lamp0") == nil || !strings.Contains(s.String(), "more without a place") {
		t.Error("the strip does not say what it leaves out")
	}
	free := Draw(h, "ground", Options{Scale: 50, Points: true})
	for i := range 300 {
		if itemOf(free, fmt.Sprintf("bare.lamp%d", i)) == nil {
			t.Fatalf("bare.lamp%d is not drawn on a sheet without bounds", i)
		}
	}
}

func TestScalesAreUsualAndFit(t *testing.T) {
	h := smallHouse()
	for _, c := range []struct{ width, height, want float64 }{{265, 160, 50}, {180, 240, 75}, {100, 100, 125}, {30, 30, 750}, {0, 0, 50}, {13, 13, 10000}} {
		s := Draw(h, "ground", Options{Width: c.width, Height: c.height})
		if s.Model.Scale != c.want {
			t.Errorf("on %g × %g the scale is 1:%g, want 1:%g", c.width, c.height, s.Model.Scale, c.want)
		}
		if c.width > 0 && (s.Width > c.width || s.Height > c.height || Fit(h, "ground", c.width, c.height) != c.want) {
			t.Errorf("on %g × %g the sheet is %.1f × %.1f, and Fit says 1:%g", c.width, c.height, s.Width, s.Height, Fit(h, "ground", c.width, c.height))
		}
	}
	if Fit(h, "attic", 100, 100) != 0 {
		t.Error("a storey without geometry has a scale")
	}
}

func TestAreasAndTitles(t *testing.T) {
	s := Draw(smallHouse(), "ground", Options{Scale: 50})
	for _, want := range []string{`"Room Hall, 15.0 m²"`, `"Room Bath, 6.2 m²"`, `"001  15.0 m²"`, `sheet "Ground storey"`} {
		if !strings.Contains(s.String(), want) {
			t.Errorf("no %s", want)
		}
	}
	h := smallHouse()
	h.Rooms[0].Holes = [][]house.XY{rectangle(.5, .5, 1.5, 1.5)}
	if got := squareMetres(&h.Rooms[0]); got != "14.0 m²" {
		t.Errorf("a room with a shaft of 1 m² in 15 m² has %s", got)
	}
}

func TestValuesMarksAndLivePoints(t *testing.T) {
	s := Draw(smallHouse(), "ground", Options{Scale: 50, Points: true, Names: true, Values: map[house.ID]string{"living.temperature": "21.5 °C"},
		Live: map[house.ID]bool{"bath.fan": true}, Marks: map[house.ID][]Mark{"bath.rail": {{scene.CautionMk, "one"}, {scene.FaultMark, "two"}}}})
	if got := itemOf(s, "living.temperature"); !strings.Contains(got.Label, "21.5 °C") || !strings.Contains(s.String(), `"temperature: 21.5 °C"`) {
		t.Errorf("the value is told as %q", got.Label)
	}
	if got := itemOf(s, "bath.rail").Label; !strings.HasSuffix(got, "; one; two") {
		t.Errorf("the marks are told as %q", got)
	}
	if !strings.Contains(fmt.Sprint(itemOf(s, "bath.fan").Shapes), string(scene.Live)) || strings.Contains(fmt.Sprint(itemOf(s, "bath.rail").Shapes), string(scene.Live)) {
		t.Error("what is on does not look so, or what is off does")
	}
}

func TestEverySymbolDiffersInForm(t *testing.T) {
	seen := map[string]house.Kind{}
	for _, k := range append(slices.Clone(house.Kinds), "unknown") {
		s := scene.Scene{Items: []scene.Item{{Shapes: Symbol(k, scene.Point{X: 5, Y: 5})}}}
		if other, ok := seen[s.String()]; ok {
			t.Errorf("%s and %s have one symbol", k, other)
		}
		seen[s.String()] = k
	}
	for _, sign := range Signs(scene.Point{}) {
		if sign.Says == "" || len(sign.Shapes) == 0 {
			t.Errorf("sign %q is empty", sign.Says)
		}
	}
}

func TestModulesStandWhereTheyHang(t *testing.T) {
	s := Draw(smallHouse(), "ground", Options{Scale: 50, Modules: true})
	for id, says := range map[string]string{"hall.m1": "Module hall.m1 (wifi-relay-2)", "living.m1": "Module living.m1 (keypad-4)", "board1": "Board board1", "ap1": "Access point ap1"} {
		if i := itemOf(s, id); i == nil || i.Label != says {
			t.Errorf("%s is told as %v", id, i)
		}
	}
	if itemOf(s, "board1.k1") != nil {
		t.Error("a module in a board stands on the plan")
	}
	if text := fmt.Sprint(itemOf(s, "hall.m1").Shapes); !strings.Contains(text, string(scene.Radio)) || strings.Count(text, string(scene.Cable)) != 2 {
		t.Errorf("hall.m1 should be by radio, tied to its box and to its contact: %s", text)
	}
	if text := fmt.Sprint(itemOf(s, "living.m1").Shapes); !strings.Contains(text, string(scene.Wired)) {
		t.Errorf("living.m1 is on a line, but drawn as %s", text)
	}
	byType := Draw(smallHouse(), "ground", Options{Scale: 50, Modules: true, Medium: func(module string) bool { return module == "wifi-relay-2" }})
	if text := fmt.Sprint(itemOf(byType, "hall.m1").Shapes); !strings.Contains(text, string(scene.Wired)) {
		t.Error("the medium by type is not asked")
	}
}

func TestPartsShowEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := generated.House(rapid.IntRange(1, 120).Draw(t, "points"), rapid.Uint64Range(1, 9).Draw(t, "seed"))
		width, height := rapid.Float64Range(60, 300).Draw(t, "width"), rapid.Float64Range(60, 300).Draw(t, "height")
		storey := h.Storeys[0].ID
		parts := Split(h, storey, 100, width, height)
		shown := map[house.ID]bool{}
		for i := range parts {
			s := Draw(h, storey, Options{Scale: 100, Width: width, Height: height, Window: &parts[i], Points: true, Names: true})
			if s.Width > width+.01 || s.Height > height+.01 {
				t.Errorf("part %d is %.1f × %.1f on %.1f × %.1f", i, s.Width, s.Height, width, height)
			}
			for _, item := range s.Items {
				shown[house.ID(item.Entity)] = true
			}
			for _, l := range letterings(s) {
				if !l.box.within(box{0, 0, s.Width, s.Height}.padded(.5)) {
					t.Errorf("part %d: %q leaves the sheet", i, l.text.String)
				}
			}
		}
		index := house.NewIndex(h)
		for _, p := range h.Points {
			if index.Room(p.Room).Storey == storey && !shown[p.ID] {
				t.Errorf("%s stands on no part", p.ID)
			}
		}
	})
}

func TestPartsAreNumberedOnTheWhole(t *testing.T) {
	h := generated.House(300, 1)
	parts := Split(h, h.Storeys[0].ID, 100, 180, 240)
	s := Draw(h, h.Storeys[0].ID, Options{Width: 265, Height: 160, Parts: parts})
	for i := range parts {
		if !strings.Contains(s.String(), fmt.Sprintf("parts \"\" \"Part %d\"", i+1)) {
			t.Errorf("part %d has no frame", i+1)
		}
	}
	if len(parts) < 2 || Split(h, "nowhere", 100, 180, 240) != nil || Split(h, h.Storeys[0].ID, 0, 180, 240) != nil {
		t.Errorf("%d parts", len(parts))
	}
}

// oddHouse draws a storey of anything: rooms of no or few corners, walls of no length, points anywhere.
func oddHouse() *rapid.Generator[*house.House] {
	return rapid.Custom(func(t *rapid.T) *house.House {
		coordinate := rapid.OneOf(rapid.Float64Range(-20, 20), rapid.SampledFrom([]float64{0, 1e9, -1e9, 1e-9}))
		xy := rapid.Custom(func(t *rapid.T) house.XY { return house.XY{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")} })
		h := &house.House{Storeys: []house.Storey{{ID: "s"}}}
		for i := range rapid.IntRange(0, 5).Draw(t, "rooms") {
			h.Rooms = append(h.Rooms, house.Room{ID: house.ID(fmt.Sprint("r", i)), Storey: "s", Title: rapid.StringN(0, 40, -1).Draw(t, "title"),
				Outline: rapid.SliceOfN(xy, 0, 6).Draw(t, "outline")})
		}
		for i := range rapid.IntRange(0, 4).Draw(t, "walls") {
			h.Walls = append(h.Walls, house.Wall{ID: house.ID(fmt.Sprint("w", i)), Storey: "s", From: xy.Draw(t, "from"), To: xy.Draw(t, "to"), Thickness: unit.Metres(rapid.Float64Range(0, 1).Draw(t, "thick"))})
			h.Openings = append(h.Openings, house.Opening{ID: house.ID(fmt.Sprint("o", i)), Storey: "s", Kind: house.Door, From: xy.Draw(t, "jamb"), To: xy.Draw(t, "jamb"), Rooms: []house.ID{"r0"}})
		}
		for i := range rapid.IntRange(0, 12).Draw(t, "points") {
			p := house.Point{ID: house.ID(fmt.Sprint("p", i)), Kind: rapid.SampledFrom(house.Kinds).Draw(t, "kind"), Room: house.ID(fmt.Sprint("r", i%6))}
			if rapid.Bool().Draw(t, "placed") {
				at := xy.Draw(t, "at")
				p.At = &house.XYZ{X: at.X, Y: at.Y}
			}
			h.Points = append(h.Points, p)
			h.Modules = append(h.Modules, house.Module{ID: house.ID(fmt.Sprint("m", i)), Point: p.ID, Landings: []house.Landing{{Channel: "out1", Point: p.ID}}})
		}
		return h
	})
}

func TestAnyStoreyIsDrawnWithinItsSheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := oddHouse().Draw(t, "house")
		opt := Options{Width: rapid.SampledFrom([]float64{0, 180, 30}).Draw(t, "width"), Points: true, Names: true, Modules: rapid.Bool().Draw(t, "modules")}
		opt.Height = opt.Width
		s := Draw(h, "s", opt)
		if opt.Width > 0 && s.Model != nil && (s.Width > opt.Width*1.01+1 || s.Height > opt.Height*1.01+1) {
			t.Errorf("the sheet is %.1f × %.1f", s.Width, s.Height)
		}
		drawn := map[string]bool{}
		for _, item := range s.Items {
			drawn[item.Entity] = true
		}
		index, text := house.NewIndex(h), s.String()
		for _, p := range h.Points {
			if index.Room(p.Room) != nil && !drawn[string(p.ID)] && !strings.Contains(text, "more without a place") {
				t.Errorf("%s is not drawn", p.ID)
			}
		}
		for entity, b := range symbolBoxes(s) {
			if !b.within(box{-1, -1, s.Width + 1, s.Height + 1}) {
				t.Errorf("%s stands beside the sheet: %v on %.1f × %.1f", entity, b, s.Width, s.Height)
			}
		}
	})
}

func BenchmarkDraw(b *testing.B) {
	for _, points := range []int{60, 300, 3000} {
		h := generated.House(points, 1)
		b.Run(fmt.Sprint(points), func(b *testing.B) {
			for b.Loop() {
				Draw(h, h.Storeys[0].ID, Options{Scale: 100, Points: true, Names: true})
			}
		})
	}
}
