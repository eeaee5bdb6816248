package house_test

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/internal/problem"
)

// TestEveryMistakeIsToldAtItsLine reads wrong texts. Each line that is wrong says beside it, after "# want:", how the
// problem begins; all of them, and no others, must be told in one pass.
func TestEveryMistakeIsToldAtItsLine(t *testing.T) {
	files, err := filepath.Glob("testdata/wrong/*.yaml")
	if err != nil || len(files) < 3 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			h, err := house.Read(file, text)
			var list problem.List
			if h != nil || !errors.As(err, &list) {
				t.Fatalf("accepted, or %v", err)
			}
			compare(t, strings.Split(string(text), "\n"), list)
		})
	}
}

func compare(t *testing.T, lines []string, list problem.List) {
	t.Helper()
	told := map[int][]string{}
	for _, p := range list {
		s := p.Text
		if p.Hint != "" {
			s += " (" + p.Hint + ")"
		}
		if p.Column < 1 || p.Line < 1 || p.Line > len(lines) {
			t.Fatalf("place of %v", p)
		}
		told[p.Line] = append(told[p.Line], s)
	}
	for i, line := range lines {
		wants := strings.Split(line, " # want: ")[1:]
		got := told[i+1]
		for _, want := range wants {
			if !begins(got, want) {
				t.Errorf("line %d: not told: %s\nbut %q", i+1, want, got)
			}
		}
		if len(got) > len(wants) {
			t.Errorf("line %d: %d problems, %d expected: %q", i+1, len(got), len(wants), got)
		}
	}
}

func begins(got []string, want string) bool {
	for _, g := range got {
		if strings.HasPrefix(g, want) {
			return true
		}
	}
	return false
}

// TestValidateSaysWhatReadSays: the same mistakes in a house that was built in code name the entity in the place of the
// line.
func TestValidateSaysWhatReadSays(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*house.House)
		want  string
		about string
	}{
		{"reference", func(h *house.House) { h.Points[0].Room = "livng1" }, `living1.lamp: room: there is no room "livng1" (did you mean living1?)`, "living1.lamp"},
		{"reference in a list", func(h *house.House) { h.Openings[0].Rooms = []house.ID{"x9999"} }, `living1.door: rooms[0]: there is no room "x9999"`, "living1.door"},
		{"identity twice", func(h *house.House) { h.Points[1].ID = h.Points[0].ID }, `living1.lamp: id: "living1.lamp" is the identity of a point already`, "living1.lamp"},
		{"kind", func(h *house.House) { h.Points[3].Kind = "sokcet" }, `living1.socket: kind: "sokcet" is not one of`, "living1.socket"},
		{"negative", func(h *house.House) { h.Points[3].Load.Power = -1 }, `living1.socket: load.power: -0.001 mW is below 0 W`, "living1.socket"},
		{"power factor", func(h *house.House) { h.Points[3].Load.Factor = 1.01 }, `living1.socket: load.factor: 1.01 is above 1`, "living1.socket"},
		{"format", func(h *house.House) { h.Format = "" }, `format: it must not be empty`, ""},
		{"two places", func(h *house.House) { h.Modules[1].Point = h.Points[0].ID }, `bedroom2.motor: a module sits in a board, in the box of a point, or hangs in a room; 2 of these found`, "bedroom2.motor"},
		{"not UTF-8", func(h *house.House) { h.Note = "\xff" }, `note: the text is not UTF-8`, ""},
		{"quantity out of range", func(h *house.House) { h.Site.Supply.Loop = -1 << 62 }, `site.supply.loop: `, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := generated.House(12, 1)
			if problems := house.Validate(h); problems != nil {
				t.Fatal(problems)
			}
			c.spoil(h)
			problems := house.Validate(h)
			if len(problems) == 0 || !strings.HasPrefix(problems[0].String(), c.want) || problems[0].Entity != c.about {
				t.Errorf("got %v about %q", problems, problems[0].Entity)
			}
			if _, err := house.Read("", house.Write(h)); err == nil && c.name != "not UTF-8" { // which cannot be written
				t.Error("Read accepts it")
			}
		})
	}
}

// TestManyMistakesAreBounded: a text in which everything is wrong is refused in a moment, with a bounded list.
func TestManyMistakesAreBounded(t *testing.T) {
	h := generated.House(20_000, 1)
	h.Rooms = nil
	_, err := house.Read("", house.Write(h))
	var list problem.List
	if !errors.As(err, &list) || len(list) != 1001 || !strings.HasPrefix(list[1000].Text, "and ") {
		t.Errorf("%d problems, the last: %v", len(list), list[len(list)-1])
	}
}

func TestCommentsAreToldBeforeTheyAreLost(t *testing.T) {
	text := "# a house\nformat: wirewright house 1\nsite: {} # nowhere\nnote: |\n  # not a comment\n"
	places := house.Comments([]byte(text))
	if len(places) != 2 || places[0].Line != 1 || places[1].Line != 3 || places[1].Column != 10 {
		t.Errorf("got %v", places)
	}
}

// FuzzRead: no text makes it panic, and what it accepts is the same again after Write.
func FuzzRead(f *testing.F) {
	f.Add(string(house.Write(generated.House(10, 1))))
	for _, text := range goodTexts {
		f.Add(text)
	}
	files, _ := filepath.Glob("testdata/wrong/*.yaml")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		h, err := house.Read("", []byte(text))
		if err != nil {
			return
		}
		again := house.Write(h)
		back, err := house.Read("", again)
		if err != nil {
			t.Fatalf("%v\n%s", err, again)
		}
		if !reflect.DeepEqual(h, back) {
			t.Fatalf("came back as\n%s\ninstead of\n%s", house.Write(back), again)
		}
		if problems := house.Validate(h); problems != nil {
			t.Fatalf("Validate refuses what Read accepts: %v", problems)
		}
	})
}

func TestIndexFinds(t *testing.T) {
	h := generated.House(300, 1)
	x := house.NewIndex(h)
	if x.House() != h || x.Room("living1") != &h.Rooms[0] || x.Room("nowhere") != nil || x.Storey("storey1") == nil || x.Wall("living1.w1") == nil ||
		x.Opening("living1.door") == nil || x.Board("board1") == nil || x.Circuit(h.Circuits[0].ID) != &h.Circuits[0] || x.Point("living1.lamp") != &h.Points[0] ||
		x.Line("line1") != &h.Lines[0] || x.Wish("w1") != &h.Wishes[0] || x.AccessPoint("ap1") == nil || x.Slab("none") != nil {
		t.Error("something is not found, or something that is not there is")
	}
	if points := x.PointsIn("living1"); len(points) != 7 || points[0].ID != "living1.lamp" {
		t.Errorf("%d points in the room", len(points))
	}
	line := &h.Lines[0]
	for _, tap := range line.Taps {
		if x.LineOf(tap.Module) != line || x.ControllerOf(tap.Module) != line.Head {
			t.Errorf("%s is not on its line", tap.Module)
		}
	}
	if x.LineOf(line.Head) != line || x.ControllerOf("bedroom2.box") != "bedroom2.box" || x.LineOf("bedroom2.box") != nil {
		t.Error("controllers")
	}
	landed := 0
	for i := range h.Points {
		for _, l := range x.LandingsOf(h.Points[i].ID) {
			landed++
			if l.Landing.Point != h.Points[i].ID || x.Module(l.Module.ID) != l.Module {
				t.Errorf("landing of %s", h.Points[i].ID)
			}
		}
	}
	all := 0
	for i := range h.Modules {
		all += len(h.Modules[i].Landings)
	}
	if landed != all || all == 0 {
		t.Errorf("%d of %d landings found", landed, all)
	}
}

func TestIdentities(t *testing.T) {
	for _, good := range []house.ID{"a", "living.ceiling", "hall.keys", "board1.k3", "küche.licht-2", "東京", "кухня.лампа", "a.1", "ward-2b"} {
		if why := good.Check(); why != "" {
			t.Errorf("%s: %s", good, why)
		}
	}
	for _, bad := range []house.ID{"", "A", "1a", ".a", "a.", "a..b", "a.-b", "-a", "a-", "a b", "a_b", "a/b", "yes", "on", "null", "e\u0301", "a\x00", "\xff", "Ǆ", house.ID(strings.Repeat("a", 81))} {
		if bad.Check() == "" {
			t.Errorf("%q is accepted", bad)
		}
	}
}
