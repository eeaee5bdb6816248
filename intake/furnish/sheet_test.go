package furnish

import (
	"errors"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/internal/problem"
)

func TestBuiltinSheetsReadBack(t *testing.T) {
	s := Builtin()
	if len(s.Sheets) < 15 || string(BuiltinText()) != string(builtinText) {
		t.Errorf("%d sheets", len(s.Sheets))
	}
	d := s.Defaults
	if d.KeyHeight.String() != "1.05 m" || d.KeyOffset.String() != "150 mm" {
		t.Errorf("keys hang at %s, %s beside the door", d.KeyHeight, d.KeyOffset)
	}
	bedroom, ok := s.For("bedroom")
	kinds := map[house.Kind]Place{}
	for _, e := range bedroom.Points {
		kinds[e.Kind] = e.Place
	}
	want := map[house.Kind]Place{house.Lamp: Ceiling, house.Keypad: EachDoor, house.Shutter: EachWindow, house.Valve: LargestWindow, house.Thermometer: MainDoor}
	if !ok || len(kinds) != len(want) {
		t.Errorf("a bedroom gets %v", kinds)
	}
	for k, p := range want {
		if kinds[k] != p {
			t.Errorf("a bedroom gets a %s at %q, want %q", k, kinds[k], p)
		}
	}
	for _, e := range bedroom.Points {
		if e.Kind == house.Lamp && !e.Load.Dimmed {
			t.Error("the ceiling lamp of a bedroom is dimmed")
		}
	}
}

// TestMistakesInSheets gives sheets with mistakes, the line of each and a piece of what must be said about it.
func TestMistakesInSheets(t *testing.T) {
	const head = "format: wirewright sheets 1\nsheets:\n  - use: den\n    points:\n"
	for _, c := range []struct {
		text string
		line int
		want string
	}{
		{"format: other 9\n", 1, "not a form of sheets"},
		{head + "      - {name: a, kind: lamp, place: ceiling}\n", 5, "needs a load"},
		{head + "      - {name: a, kind: lamp, place: attic, load: {category: led}}\n", 5, "attic"},
		{head + "      - {name: a, kind: lampp, place: wall}\n", 5, "lampp"},
		{head + "      - {name: a, kind: keypad, place: wall}\n", 5, "at least one key"},
		{head + "      - {name: a, kind: presence, place: wall, keys: [x]}\n", 5, "has no keys"},
		{head + "      - {name: a, kind: presence, place: wall, load: {category: led}}\n", 5, "has no load"},
		{head + "      - {name: A b, kind: presence, place: wall}\n", 5, "cannot end an identity"},
		{head + "      - {name: a, kind: presence, place: wall}\n      - {name: a, kind: light, place: wall}\n", 6, "twice"},
		{head + "      - {name: a, kind: presence, place: wall, height: 2}\n", 5, "unit"},
		{"format: wirewright sheets 1\nsheets:\n  - use: den\n  - use: den\n", 4, "second sheet"},
		{"format: wirewright sheets 1\nsheet: []\n", 2, "sheet"},
	} {
		_, err := Read("own.yaml", []byte(c.text))
		var list problem.List
		if !errors.As(err, &list) {
			t.Errorf("%q: no mistake reported (%v)", c.text, err)
			continue
		}
		if p := list[0]; p.Line != c.line || !strings.Contains(list.Error(), c.want) {
			t.Errorf("%q: %v, want line %d and %q", c.text, list, c.line, c.want)
		}
	}
}

// FuzzRead reads arbitrary sheets and furnishes a room by those that are accepted.
func FuzzRead(f *testing.F) {
	f.Add(builtinText)
	f.Add([]byte("format: wirewright sheets 1\nsheets:\n  - use: bedroom\n    points:\n      - {name: a, kind: lamp, place: wall, each: 0.001, load: {category: led, power: 1 W}}\n"))
	h := square("from", 1)
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := Read("fuzz.yaml", text)
		if err != nil {
			return
		}
		Furnish(h, s, Options{})
		Furnish(h, Builtin().With(s), Options{})
	})
}
