package check

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/unit"
)

// hostile are edits of a clean house that no house can have, each with the entity that it makes wrong.
var hostile = []struct {
	name   string
	entity house.ID
	edit   func(h *house.House)
}{
	{"cable of no length", "line", func(h *house.House) { h.Lines[0].Taps[2].Length = 0 }},
	{"cable of negative length", "line", func(h *house.House) { h.Lines[0].Taps[2].Length = -unit.Metres(3) }},
	{"50 000 m of cable", "line", func(h *house.House) { h.Lines[0].Taps[2].Length = unit.Metres(50_000) }},
	{"a million times too much cable", "line", func(h *house.House) { h.Lines[0].Taps[2].Length = unit.Metres(3e6) }},
	{"cable that is not in the catalogue", "line", func(h *house.House) { h.Lines[0].Cable = "bus-9" }},
	{"a module twice on its line", "line", func(h *house.House) { h.Lines[0].Taps = append(slices.Clone(h.Lines[0].Taps), h.Lines[0].Taps[2]) }},
	{"a module on two lines", "other", func(h *house.House) {
		h.Lines = append(slices.Clone(h.Lines), house.Line{ID: "other", Head: "head", Cable: "bus-1.0", Taps: []house.Tap{{Module: "head"}, {Module: "s0", Length: unit.Metres(2)}}})
	}},
	{"negative power", "lamp", func(h *house.House) { h.Points[0].Load.Power = -unit.Watts(9) }},
	{"negative apparent power", "lamp", func(h *house.House) { h.Points[0].Load.Apparent = -1 }},
	{"a power factor above 1", "lamp", func(h *house.House) { h.Points[0].Load.Factor = 1.3 }},
	{"a power factor that is no number", "lamp", func(h *house.House) { h.Points[0].Load.Factor = math.NaN() }},
	{"a million times too much power", "relay", func(h *house.House) { h.Points[0].Load.Power *= 1_000_000 }},
	{"a million lamps", "relay", func(h *house.House) { h.Points[0].Load.Count = 1_000_000 }},
	{"a negative number of lamps", "lamp", func(h *house.House) { h.Points[0].Load.Count = -4 }},
	{"a closing current below 0", "lamp", func(h *house.House) { h.Points[0].Load.Inrush = -unit.Amperes(5) }},
	{"a place that is no number", "lamp", func(h *house.House) { h.Points[0].At = &house.XYZ{X: math.NaN()} }},
	{"a place on another star", "lamp", func(h *house.House) { h.Points[0].At = &house.XYZ{X: 1e12, Y: 1e12} }},
	{"a circuit of negative length", "control", func(h *house.House) { h.Circuits[0].Length = -unit.Metres(2) }},
	{"a circuit of 50 000 m", "control", func(h *house.House) { h.Circuits[0].Length = unit.Metres(50_000) }},
	{"a section outside of the tables", "control", func(h *house.House) { h.Circuits[0].Section = unit.SquareMillimetres(1.7) }},
	{"a section of 3000 mm²", "control", func(h *house.House) { h.Circuits[0].Section = unit.SquareMillimetres(3000) }},
	{"a negative section", "control", func(h *house.House) { h.Circuits[0].Section = -1 }},
	{"a negative rating", "control", func(h *house.House) { h.Circuits[0].Rating = -unit.Amperes(6) }},
	{"a rating of a million ampere", "control", func(h *house.House) { h.Circuits[0].Rating = unit.Amperes(1e6) }},
	{"a curve that is none", "control", func(h *house.House) { h.Circuits[0].Curve = "Z" }},
	{"a method that is none", "control", func(h *house.House) { h.Circuits[0].Method = "Q7" }},
	{"a bunch of a million circuits", "control", func(h *house.House) { h.Circuits[0].Grouped = 1_000_000 }},
	{"a bunch of fewer than none", "control", func(h *house.House) { h.Circuits[0].Grouped = -3 }},
	{"a board of negative size", "board", func(h *house.House) { h.Boards[0].Rows = -1 }},
	{"a board of negative depth", "board", func(h *house.House) { h.Boards[0].Depth = -unit.Metres(1) }},
	{"a slot beyond the row", "relay", func(h *house.House) { h.Modules[3].Slot = 4_000_000 }},
	{"a slot below 0", "relay", func(h *house.House) { h.Modules[3].Slot = -7 }},
	{"a supply of negative voltage", "", func(h *house.House) { h.Site.Supply.Voltage = -unit.Volts(230) }},
	{"a supply of a million volts", "", func(h *house.House) { h.Site.Supply.Voltage = unit.Volts(1e6) }},
	{"a loop of negative impedance", "", func(h *house.House) { h.Site.Supply.Loop = -1 }},
}

// harmlessHouse is a house with a lamp on a relay on a line, in which nothing is wrong.
func harmlessHouse() *house.House {
	h := lineOf("temperature-wall", unit.Metres(5))
	h.Format = house.FormatName
	h.Boards[0].Rows = 2
	h.Points = []house.Point{{ID: "lamp", Kind: house.Lamp, Room: "attic", Circuit: "control",
		Load: &house.Load{Category: house.LED, Power: unit.Watts(9), Factor: 0.9, Count: 2, Inrush: unit.Amperes(10)}}}
	h.Modules = append(h.Modules, house.Module{ID: "relay", Type: "relay-rail-4x10", Board: "board", Row: 2, Slot: 1, Landings: []house.Landing{{Channel: "out1", Point: "lamp"}}})
	h.Lines[0].Taps = append(h.Lines[0].Taps, house.Tap{Module: "relay", Length: unit.Metres(1)})
	return h
}

// TestHostileHousesAreAnswered: each is refused by the house itself, with the entity and what is expected, or there is a
// finding of the entity that was not there before. None passes.
func TestHostileHousesAreAnswered(t *testing.T) {
	c := builtin(t)
	before := found(Check(harmlessHouse(), c))
	if problems := house.Validate(harmlessHouse()); len(problems) > 0 {
		t.Fatalf("the house to begin with is not valid: %v", problems)
	}
	for _, x := range hostile {
		h := harmlessHouse()
		x.edit(h)
		list := Check(h, c)
		sober(t, x.name, list)
		said := slices.ContainsFunc(minus(found(list), before), func(s string) bool { return strings.HasSuffix(s, " "+string(x.entity)) })
		refused := false
		for _, p := range house.Validate(h) {
			refused = refused || (p.Entity == string(x.entity) || strings.Contains(p.Text, string(x.entity))) && expects.MatchString(p.Text+p.Hint)
		}
		if !said && !refused {
			t.Errorf("%s passes: found %v, valid %v", x.name, found(list), house.Validate(h))
		}
		if _, err := house.Read("h", house.Write(h)); refused && err == nil {
			t.Errorf("%s can be read", x.name)
		}
	}
}

// expects is how a refusal says what is expected.
var expects = regexp.MustCompile(`below|above|within|outside|one of|expected|already`)

// sober holds that findings print no nonsense, and that their figures are numbers.
func sober(t failer, name string, list []Finding) {
	t.Helper()
	for _, f := range list {
		text := f.Text + f.Measured + f.Limit + Working(f)
		if f.Remedy != nil {
			text += f.Remedy.Text
		}
		if nonsense := notANumber.FindString(text); nonsense != "" {
			t.Fatalf("%s: %s prints %s: %+v", name, f.Slug, nonsense, f)
		}
	}
	if _, err := json.Marshal(list); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// TestHostileEditsTogether makes several of them at a time, in a house where all that a check asks for is known, follows
// them with a Checker, and applies what remedies there are.
func TestHostileEditsTogether(t *testing.T) {
	c := builtin(t)
	rapid.Check(t, func(t *rapid.T) {
		h := harmlessHouse()
		k := New(h, c)
		for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(hostile)-1), 1, 8).Draw(t, "edits") {
			h = apart(h)
			hostile[i].edit(h)
		}
		list := Check(h, c)
		sober(t, "together", list)
		alike(t, "together", k.Update(h, nil), list)
		for _, f := range list {
			if f.Remedy != nil && len(f.Remedy.Changes) > 0 {
				if after, err := house.Apply(h, f.Remedy.Changes); err == nil {
					sober(t, "after the remedy of "+f.Slug, Check(after, c))
				}
			}
		}
	})
}

// apart copies what the hostile edits write to, so that no two houses share it.
func apart(h *house.House) *house.House {
	next := *h
	next.Points, next.Modules, next.Lines = slices.Clone(h.Points), slices.Clone(h.Modules), slices.Clone(h.Lines)
	next.Circuits, next.Boards = slices.Clone(h.Circuits), slices.Clone(h.Boards)
	for i := range next.Points {
		load := *next.Points[i].Load
		next.Points[i].Load = &load
	}
	for i := range next.Lines {
		next.Lines[i].Taps = slices.Clone(next.Lines[i].Taps)
	}
	return &next
}
