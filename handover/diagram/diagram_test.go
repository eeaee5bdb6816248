package diagram

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/handover/scene"
	"wirewright/house"
	"wirewright/unit"
)

// types of a small catalogue: what the drawings read of it.
func types() *catalogue.Catalogue {
	return &catalogue.Catalogue{Types: []catalogue.Type{
		{ID: "relay-8", Title: "Relays, 8 × 10 A, rail", Mount: catalogue.Rail, Units: 8},
		{ID: "input-8", Title: "Contact inputs, 8, rail", Mount: catalogue.Rail, Units: 2},
		{ID: "head", Title: "Line head", Role: catalogue.RoleHead, Mount: catalogue.Rail, Units: 2},
		{ID: "supply", Title: "Bus supply", Role: catalogue.RoleSupply, Mount: catalogue.Rail, Units: 4},
		{ID: "keypad-4", Title: "Keypad, 4 keys", Mount: catalogue.Plate},
	}}
}

func drawer(h *house.House) *Drawer {
	names := map[house.ID]string{}
	for i, m := range h.Modules {
		names[m.ID] = fmt.Sprintf("+S0-KF%d", i+1)
	}
	return New(house.NewIndex(h), types(), names)
}

func board() *house.House {
	return &house.House{
		Boards: []house.Board{{ID: "board1", Rows: 3, Units: 12}, {ID: "empty", Rows: 2, Units: 12}, {ID: "bare"}},
		Modules: []house.Module{
			{ID: "board1.k1", Type: "relay-8", Board: "board1", Row: 1, Slot: 1, Address: "1"},
			{ID: "board1.k2", Type: "input-8", Board: "board1", Row: 1, Slot: 9, Address: "2"},
			{ID: "board1.head", Type: "head", Board: "board1", Row: 2, Slot: 3},
			{ID: "board1.loose", Type: "input-8", Board: "board1"},
			{ID: "board1.beyond", Type: "relay-8", Board: "board1", Row: 2, Slot: 9},
			{ID: "bare.k1", Type: "relay-8", Board: "bare", Row: 2, Slot: 3},
		},
	}
}

// frame is the box of the first closed path of an item.
func frame(s *scene.Scene, entity string) (x, y, w, h float64, ok bool) {
	for _, i := range s.Items {
		if i.Entity != entity {
			continue
		}
		p := i.Shapes[0].(scene.Path).Points
		return p[0].X, p[0].Y, p[2].X - p[0].X, p[2].Y - p[0].Y, true
	}
	return 0, 0, 0, 0, false
}

func TestBoardIsToScale(t *testing.T) {
	h := board()
	sheets := drawer(h).Board(&h.Boards[0], 178, 215)
	if len(sheets) != 1 || !strings.Contains(sheets[0].Title, "1:2") {
		t.Fatalf("%d sheets, %q", len(sheets), sheets[0].Title)
	}
	s := sheets[0]
	for entity, want := range map[string][3]float64{ // left edge and width in units, row
		"board1.k1": {0, 8, 1}, "board1.k2": {8, 2, 1}, "board1.head": {2, 2, 2},
	} {
		x, y, w, high, ok := frame(s, entity)
		if !ok || math.Abs(x-rowLabel-want[0]*17.5/2) > .2 || math.Abs(w-want[1]*17.5/2) > .3 || math.Abs(high-45) > .01 {
			t.Errorf("%s stands at %.1f, %.1f × %.1f, drawn %v", entity, x, w, high, ok)
		}
		if row := 1 + int((y-1)/62.5); row != int(want[2]) {
			t.Errorf("%s stands on row %d", entity, row)
		}
	}
	if _, _, _, _, ok := frame(s, "board1.beyond"); ok {
		t.Error("a module that runs over the end of its row is drawn on it")
	}
	for _, want := range []string{"Row 1: 10 of 12 units taken", "Row 3: 0 of 12 units taken", `"address 1"`} {
		if !strings.Contains(s.String(), want) {
			t.Errorf("no %q", want)
		}
	}
	if got := drawer(h).Unplaced(&h.Boards[0]); !slices.Equal(got, []house.ID{"board1.loose"}) {
		t.Errorf("without a place: %q", got)
	}
}

func TestBoardsWithNothingToDraw(t *testing.T) {
	h := board()
	if s := drawer(h).Board(&h.Boards[1], 178, 215); s != nil {
		t.Error("a board without modules is drawn")
	}
	if s := drawer(h).Board(&h.Boards[2], 178, 215); len(s) != 1 || !strings.Contains(s[0].String(), "bare.k1") {
		t.Error("a board of unknown size is not drawn as large as its modules need")
	}
}

func TestLargeBoardsTakeSeveralSheets(t *testing.T) {
	h := &house.House{Boards: []house.Board{{ID: "b", Rows: 20, Units: 24}}}
	for row := range 20 {
		h.Modules = append(h.Modules, house.Module{ID: house.ID(fmt.Sprint("b.k", row)), Type: "relay-8", Board: "b", Row: row + 1, Slot: 1})
	}
	sheets := drawer(h).Board(&h.Boards[0], 178, 215)
	drawn := 0
	for _, s := range sheets {
		if s.Width > 178 || s.Height > 217 {
			t.Errorf("a sheet is %.1f × %.1f", s.Width, s.Height)
		}
		drawn += strings.Count(s.String(), "\nmodules ")
	}
	if len(sheets) < 2 || drawn != 20 {
		t.Errorf("%d modules on %d sheets", drawn, len(sheets))
	}
}

// inside tells letters that leave the sheet, or the frame of their item.
func outside(s *scene.Scene) []string {
	var list []string
	for _, i := range s.Items {
		for _, sh := range i.Shapes {
			x, ok := sh.(scene.Text)
			if !ok {
				continue
			}
			w := scene.TextWidth(x.String, x.Size, x.Bold)
			x0 := x.At.X - [3]float64{0, w / 2, w}[x.Anchor]
			x1, y0, y1 := x0+w, x.At.Y-x.Size*.75, x.At.Y+x.Size*.2
			if x.Turn == 90 {
				x0, x1, y0, y1 = x.At.X-x.Size*.75, x.At.X+x.Size*.2, x.At.Y-w, x.At.Y
			}
			fx, fy, fw, fh := 0.0, 0.0, s.Width, s.Height
			if i.Entity != "" {
				fx, fy, fw, fh, _ = frame(s, i.Entity)
			}
			if x0 < fx-.2 || x1 > fx+fw+.2 || y0 < fy-.2 || y1 > fy+fh+.2 {
				list = append(list, fmt.Sprintf("%q of %s", x.String, i.Entity))
			}
		}
	}
	return list
}

func TestLettersStayInTheirFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := &house.House{Boards: []house.Board{{ID: "b", Rows: rapid.IntRange(0, 8).Draw(t, "rows"), Units: rapid.IntRange(0, 40).Draw(t, "units")}}}
		for range rapid.IntRange(0, 12).Draw(t, "modules") {
			id := house.ID(rapid.StringMatching(`[a-zäł0-9.-]{1,40}|居{1,20}`).Draw(t, "id"))
			m := house.Module{ID: id, Type: rapid.SampledFrom([]string{"relay-8", "input-8", "head", "keypad-4", "unknown"}).Draw(t, "type"), Board: "b",
				Row: rapid.IntRange(0, 9).Draw(t, "row"), Slot: rapid.IntRange(0, 45).Draw(t, "slot"), Address: rapid.SampledFrom([]string{"", "12", "192.168.100.200"}).Draw(t, "address")}
			if !slices.ContainsFunc(h.Modules, func(o house.Module) bool { return o.ID == id }) {
				h.Modules = append(h.Modules, m)
				h.Lines = []house.Line{{ID: "line1", Head: h.Modules[0].ID, Taps: append(lineTaps(h), house.Tap{Module: id, Length: unit.Metres(rapid.Float64Range(0, 300).Draw(t, "length"))})}}
			}
		}
		d := drawer(h)
		sheets := d.Board(&h.Boards[0], 178, 215)
		for i := range h.Lines {
			sheets = append(sheets, d.Line(&h.Lines[i], 178, 215)...)
		}
		for i := range h.Modules {
			s := d.Label(&h.Modules[i], "in the box behind something with a very long name, upstairs")
			s.Items[0].Entity = "" // its frame is the sheet
			sheets = append(sheets, s)
		}
		for _, s := range sheets {
			if list := outside(s); len(list) > 0 {
				t.Errorf("%s: %s", s.Title, strings.Join(list, "; "))
			}
		}
	})
}

func lineTaps(h *house.House) []house.Tap {
	if len(h.Lines) == 0 {
		return nil
	}
	return h.Lines[0].Taps
}

func TestLineShowsEveryTapInOrder(t *testing.T) {
	h := &house.House{}
	l := house.Line{ID: "line1", Head: "m0"}
	for i := range 50 {
		h.Modules = append(h.Modules, house.Module{ID: house.ID(fmt.Sprint("m", i)), Type: "keypad-4", Address: fmt.Sprint(i)})
		l.Taps = append(l.Taps, house.Tap{Module: house.ID(fmt.Sprint("m", i)), Length: unit.Metres(float64(i) + .5), Stub: unit.Metres(float64(i%2) * .3)})
	}
	h.Lines = []house.Line{l}
	sheets := drawer(h).Line(&h.Lines[0], 178, 215)
	all, next, ends := "", 0, 0
	for _, s := range sheets {
		all += s.String()
		if s.Width > 178 || s.Height > 215 {
			t.Errorf("a sheet is %.1f × %.1f", s.Width, s.Height)
		}
		for _, i := range s.Items {
			switch {
			case i.Layer == "taps" && i.Entity == fmt.Sprint("m", next):
				next++
			case i.Layer == "bus":
				for _, sh := range i.Shapes {
					if p, ok := sh.(scene.Path); ok && p.Closed {
						ends++ // the resistor of a termination
					}
				}
			}
		}
	}
	if next != 50 || len(sheets) < 2 {
		t.Errorf("%d of 50 taps in order on %d sheets", next, len(sheets))
	}
	if ends != 2 {
		t.Errorf("%d terminations: a trunk has one at each end", ends)
	}
	for _, want := range []string{`"49.5 m"`, `"head of the line"`, `"address 49, stub 300 mm"`} {
		if !strings.Contains(all, want) {
			t.Errorf("no %s", want)
		}
	}
	if drawer(h).Line(&house.Line{ID: "none"}, 178, 215) != nil {
		t.Error("a line without taps is drawn")
	}
}

// TestNeighboursOnALineAreNeighboursOnTheSheet checks that the cable never jumps: from tap to tap it runs to the next
// box, sideways or down.
func TestNeighboursOnALineAreNeighboursOnTheSheet(t *testing.T) {
	m := &meander{perRow: 3}
	for i := 1; i < 12; i++ {
		a, b := m.corner(i-1), m.corner(i)
		dx, dy := math.Abs(a.X-b.X), b.Y-a.Y
		if !(dx == tapWide+tapGap && dy == 0) && !(dx == 0 && dy == tapPitch) {
			t.Errorf("from tap %d to %d the cable runs %.0f across and %.0f down", i, i+1, dx, dy)
		}
	}
}

// TestCodesAreReadBack has the symbols read by zbarimg, a reader that is not ours, byte for byte: the standard leaves the
// script open, and what reads labels takes UTF-8 for granted (common practice).
func TestCodesAreReadBack(t *testing.T) {
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("zbarimg is not installed")
	}
	for i, text := range []string{"hall.m1", "a", "garden-room.terrace-keys.m12", "küche.łazienka", strings.Repeat("long.", 12) + "name"} {
		shapes, err := Code(text, 0, 0, 40)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), fmt.Sprint(i, ".pgm"))
		if err := os.WriteFile(file, raster(shapes, 40, 12), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(reader, "--raw", "-q", "-Sbinary", file).Output()
		if got := strings.TrimSpace(string(out)); err != nil || got != text {
			t.Errorf("%q was read as %q (%v)", text, got, err)
		}
	}
	if _, err := Code(strings.Repeat("x", 5000), 0, 0, 40); err == nil {
		t.Error("a text that no symbol holds was drawn")
	}
}

// raster paints dark rectangles on a white sheet with a quiet zone, as a portable grey map.
func raster(shapes []scene.Shape, size float64, perMM int) []byte {
	const quiet = 6.0
	n := int((size + 2*quiet) * float64(perMM))
	pixels := make([]byte, n*n)
	for i := range pixels {
		pixels[i] = 255
	}
	at := func(v float64) int { return int(math.Round((v + quiet) * float64(perMM))) }
	for _, sh := range shapes {
		p := sh.(scene.Path).Points
		for y := at(p[0].Y); y < at(p[2].Y); y++ {
			for x := at(p[0].X); x < at(p[2].X); x++ {
				pixels[y*n+x] = 0
			}
		}
	}
	return append([]byte(fmt.Sprintf("P5\n%d %d\n255\n", n, n)), pixels...)
}

func TestLabelSaysWhatIsKnown(t *testing.T) {
	h := board()
	h.Modules[0].Host = "relays"
	s := drawer(h).Label(&h.Modules[0], "board1 row 1 unit 1")
	for _, want := range []string{`"board1.k1"`, `"+S0-KF1"`, `"address 1 · relays"`, `"board1 row 1 unit 1"`, `"Relays, 8 × 10 A, rail"`} {
		if !strings.Contains(s.String(), want) {
			t.Errorf("no %s on the label:\n%s", want, s)
		}
	}
	long := house.Module{ID: house.ID(strings.Repeat("x", 5000))}
	if s := drawer(h).Label(&long, ""); len(s.Items) != 1 {
		t.Error("a module with an absurd name has no label")
	}
}

// TestLineShowsVoltagesBranchesAndResistors looks at what a tap says beyond its name: the voltage that was computed for it and
// whether it is too low, where its cable comes from, and whether it is terminated.
func TestLineShowsVoltagesBranchesAndResistors(t *testing.T) {
	h := &house.House{}
	l := house.Line{ID: "line1"}
	for i := range 4 {
		id := house.ID(fmt.Sprint("m", i))
		h.Modules = append(h.Modules, house.Module{ID: id, Type: "keypad-4"})
		l.Taps = append(l.Taps, house.Tap{Module: id, Length: unit.Metres(7)})
	}
	l.Taps[3].From, l.Taps[1].Ended = "m1", true
	h.Lines = []house.Line{l}
	plain := drawer(h).Line(&h.Lines[0], 178, 215)[0].String()
	if strings.Contains(plain, " V") {
		t.Error("a voltage is drawn that nobody computed")
	}
	s := drawer(h).WithVolts(map[house.ID]Volts{"m0": {Volts: 23.996}, "m2": {Volts: 17.4, Low: true}}).Line(&h.Lines[0], 178, 215)[0]
	for _, want := range []string{`"24.00 V"`, `"17.40 V, too low"`, `"7 m from m1"`, `"terminated"`} {
		if !strings.Contains(s.String(), want) {
			t.Errorf("no %s", want)
		}
	}
	ends := 0
	for _, i := range s.Items {
		for _, sh := range i.Shapes {
			if p, ok := sh.(scene.Path); ok && i.Layer == "bus" && p.Closed {
				ends++
			}
		}
	}
	if ends != 0 {
		t.Errorf("%d resistors at the ends, but the line says that they are elsewhere", ends)
	}
}
