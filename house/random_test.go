package house_test

import (
	"encoding"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/unit"
)

// oddTexts are texts that a text form gets wrong when it gets something wrong.
var oddTexts = []string{
	"", " ", "yes", "no", "on", "off", "y", "N", "true", "null", "~", "0123", "0x10", "0o17", "1_000", "1e3", "12", "-1", "1.5", ".5", "5.", ".inf", ".nan",
	"06:30", "190:20:30", "2026-01-02", "2026-01-02 10:00:00", "=", "<<", "a: b", "a:b", "a:", ":", ": a", "# no comment", "a # b", "a#b", "- a", "-", "--- a", "...",
	"[a", "a]", "{a}", "a, b", "a,b", "&a", "*a", "!a", "|", ">", "|2-", "%a", "@a", "`a", "?", "? a", "'", "\"", "it's", "say \"no\"", "back\\slash", "\\n",
	" leading", "trailing ", "\ttab", "a\tb", "two\nlines", "two\nlines\n", "\n", "\n\n", "\nfirst is empty", "last are empty\n\n\n", "  in\n    out\n", "a\n \nb", "a \nb\n", "\n  a\n",
	"\ta\nb", "# a\nb: c\n", "---\n", "a\n---\nb", "Küche", "Ω²≥½", "東京", "кухня", "עברית", "e\u0301", "\u00a0", "a\u00a0b", "\u0085", "\u2028", "\ufeff", "\x00", "\x7f", "\r\n", "a\rb", "\U0001F4A1",
	"16 A", "1.5 mm²", "192.168.10.1", "host:1883", "C:\\dir", "100 %", "very " + strings.Repeat("long ", 60) + "text",
}

// filler fills a house with random values that the model allows; what the tags say is taken from the tags, so that new
// fields are filled too.
type filler struct {
	*rapid.T
	ids map[string][]house.ID
}

func randomHouse(t *rapid.T) *house.House {
	f := &filler{T: t, ids: map[string][]house.ID{}}
	for _, kind := range []string{"storey", "room", "wall", "opening", "slab", "board", "circuit", "point", "module", "line", "wish", "access point"} {
		for i := range rapid.IntRange(0, 4).Draw(t, kind) {
			f.ids[kind] = append(f.ids[kind], house.ID(fmt.Sprintf("%s%d.x", strings.ReplaceAll(kind, " ", "-"), i)))
		}
	}
	h := &house.House{}
	f.structure(reflect.ValueOf(h).Elem())
	f.mend(h)
	return h
}

func (f *filler) chance(percent int) bool {
	return rapid.IntRange(0, 99).Draw(f.T, "chance") < percent
}

func (f *filler) text() string {
	if f.chance(70) {
		return rapid.SampledFrom(oddTexts).Draw(f.T, "odd")
	}
	return strings.ToValidUTF8(rapid.String().Draw(f.T, "text"), "?")
}

// listKind is the kind of the entities of a list, by its key.
var listKind = map[string]string{"storeys": "storey", "rooms": "room", "walls": "wall", "openings": "opening", "slabs": "slab", "boards": "board",
	"circuits": "circuit", "points": "point", "modules": "module", "lines": "line", "wishes": "wish", "access-points": "access point"}

func (f *filler) structure(v reflect.Value) {
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag
		name, option, _ := strings.Cut(tag.Get("yaml"), ",")
		if name == "id" || option == "omitempty" && listKind[name] == "" && f.chance(45) {
			continue
		}
		f.field(v.Field(i), name, tag)
	}
}

func (f *filler) field(v reflect.Value, name string, tag reflect.StructTag) {
	ref := tag.Get("ref")
	switch {
	case listKind[name] != "" && ref == "":
		ids := f.ids[listKind[name]]
		list := reflect.MakeSlice(v.Type(), len(ids), len(ids))
		for i, id := range ids {
			list.Index(i).FieldByName("ID").SetString(string(id))
			f.structure(list.Index(i))
		}
		if len(ids) > 0 {
			v.Set(list)
		}
	case ref != "" && len(f.ids[ref]) == 0:
	case ref != "" && v.Kind() == reflect.Slice:
		v.Set(reflect.ValueOf(rapid.SliceOfNDistinct(rapid.SampledFrom(f.ids[ref]), 1, 2, rapid.ID[house.ID]).Draw(f.T, "refs")[:1]))
	case ref != "":
		v.SetString(string(rapid.SampledFrom(f.ids[ref]).Draw(f.T, "ref")))
	case tag.Get("enum") != "" && v.Kind() == reflect.String:
		v.SetString(rapid.SampledFrom(strings.Split(tag.Get("enum"), ",")).Draw(f.T, "enum"))
	case tag.Get("enum") != "":
		v.SetInt(3)
	default:
		f.plain(v, tag)
	}
}

func (f *filler) plain(v reflect.Value, tag reflect.StructTag) {
	if e, ok := v.Interface().(interface{ Values() []string }); ok {
		v.SetString(rapid.SampledFrom(e.Values()).Draw(f.T, "value"))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(f.text())
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(int64(rapid.IntRange(1, 100).Draw(f.T, "int")))
	case reflect.Int64:
		low := int64(-80_000_000)
		if tag.Get("min") == "0" || v.Type() == reflect.TypeFor[unit.Duration]() {
			low = 0
		}
		v.SetInt(rapid.Int64Range(low, 80_000_000).Draw(f.T, "quantity"))
		back := reflect.New(v.Type()).Interface().(encoding.TextUnmarshaler)
		if text := fmt.Sprint(v.Interface()); back.UnmarshalText([]byte(text)) != nil {
			v.SetInt(-v.Int()) // a quantity that is never negative
		}
	case reflect.Float64:
		high := 1e6
		if tag.Get("max") == "1" {
			high = 1
		}
		v.SetFloat(rapid.Float64Range(1e-12, high).Draw(f.T, "float"))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.plain(v.Elem(), tag)
	case reflect.Slice:
		list := reflect.MakeSlice(v.Type(), 4, 4)
		for i := range 4 {
			f.plain(list.Index(i), tag)
		}
		v.Set(list)
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[house.XY]() || v.Type() == reflect.TypeFor[house.XYZ]() {
			for i := range v.NumField() {
				v.Field(i).SetFloat(rapid.Float64Range(-1e6, 1e6).Draw(f.T, "coordinate"))
			}
			return
		}
		f.structure(v)
	}
}

// mend brings in what the tags do not say.
func (f *filler) mend(h *house.House) {
	h.Network.Subnet, h.Network.Router, h.Network.PoolFirst, h.Network.PoolLast, h.Network.Broker = "10.0.0.0/8", "10.0.0.1", "", "", "b:1"
	if len(f.ids["storey"]) == 0 {
		h.Rooms, h.Walls, h.Openings, h.Slabs = nil, nil, nil, nil
		f.forget(h, "room", "wall", "opening")
	}
	if len(h.Boards) == 0 {
		h.Circuits = nil
	}
	if len(h.Circuits) == 0 {
		f.forget(h, "circuit")
	}
	for i := range h.Points {
		p := &h.Points[i]
		if p.Kind != house.Keypad {
			p.Keys = nil
		}
		if p.Travel != nil {
			p.Travel = &house.Travel{Up: 1 + p.Travel.Up, Down: 1, Slats: p.Travel.Slats}
		}
	}
	for i := range h.Wishes {
		h.Wishes[i].Text += "."
	}
	for i := range h.Boards {
		for k := range h.Boards[i].Devices {
			h.Boards[i].Devices[k].Name += "."
		}
	}
	f.mendWalls(h)
	f.mendModules(h)
}

func (f *filler) mendWalls(h *house.House) {
	for i := range h.Walls {
		mendLayers(h.Walls[i].Layers)
	}
	for i := range h.Slabs {
		mendLayers(h.Slabs[i].Layers)
	}
}

func mendLayers(layers []house.Layer) {
	for i := range layers {
		layers[i].Material += "."
	}
}

func (f *filler) mendModules(h *house.House) {
	taken := map[house.ID]bool{}
	for i := range h.Modules {
		m := &h.Modules[i]
		m.Type += "-"
		m.Address, m.Host, m.Board, m.Row, m.Slot = "7", "a-1", "", 0, 0
		if m.Point != "" {
			m.Room = ""
		}
		if len(h.Points) == 0 {
			m.Landings = nil
		}
		for k := range m.Landings {
			m.Landings[k].Channel, m.Landings[k].Key = fmt.Sprintf("out%d", k), 0
		}
	}
	if len(h.Modules) == 0 {
		h.Lines = nil
	}
	lines := h.Lines
	h.Lines = nil
	for _, l := range lines {
		l.Taps = slices.DeleteFunc(l.Taps, func(t house.Tap) bool { return taken[t.Module] || t.Module == l.Head })
		l.Taps = l.Taps[:min(2, len(l.Taps))]
		if len(l.Taps) == 2 && l.Taps[0].Module == l.Taps[1].Module {
			l.Taps = l.Taps[:1]
		}
		for k := range l.Taps {
			if from := &l.Taps[k].From; *from != "" {
				*from = l.Taps[0].Module // the cable comes from an earlier tap
			}
			if k == 0 {
				l.Taps[k].From = ""
			}
		}
		if len(l.Taps) == 0 {
			l.Taps = nil
		}
		if taken[l.Head] {
			continue
		}
		taken[l.Head] = true
		for _, t := range l.Taps {
			taken[t.Module] = true
		}
		h.Lines = append(h.Lines, l)
	}
}

// forget takes away the references to kinds that the house does not have.
func (f *filler) forget(h *house.House, kinds ...string) {
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Struct:
			for i := range v.NumField() {
				if slices.Contains(kinds, v.Type().Field(i).Tag.Get("ref")) {
					v.Field(i).SetZero()
					continue
				}
				walk(v.Field(i))
			}
		}
	}
	walk(reflect.ValueOf(h).Elem())
}
