package check

import (
	"encoding/json"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// outputs lists every output group of the built-in catalogue.
func outputs(c *catalogue.Catalogue) []*catalogue.ChannelGroup {
	var list []*catalogue.ChannelGroup
	for i := range c.Types {
		for k := range c.Types[i].Channels {
			if g := &c.Types[i].Channels[k]; g.Kind.Output() {
				list = append(list, g)
			}
		}
	}
	return list
}

// kindOn is a kind of point for a kind of output.
func kindOn(k catalogue.ChannelKind) house.Kind {
	switch k {
	case catalogue.MotorOut:
		return house.Shutter
	case catalogue.ValveOut:
		return house.Valve
	}
	return house.Lamp
}

// TestMoreLoadIsNeverEasier: whatever carries a load carries a smaller one, fewer lamps, and a softer start. (A dimmer's
// smallest load is the one limit from below, and is left out by starting above it.)
func TestMoreLoadIsNeverEasier(t *testing.T) {
	c := builtin(t)
	groups := outputs(c)
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.SampledFrom(groups).Draw(t, "group")
		l := house.Load{
			Category: rapid.SampledFrom(house.Categories).Draw(t, "category"),
			Power:    g.Least + unit.Power(rapid.Int64Range(1, 4000_000_000).Draw(t, "power")),
			Factor:   rapid.Float64Range(0.3, 1).Draw(t, "factor"),
			Count:    rapid.IntRange(1, 40).Draw(t, "count"),
			Inrush:   unit.Current(rapid.Int64Range(0, 60_000_000).Draw(t, "inrush")),
			Dimmed:   g.Kind == catalogue.Dimmer,
		}
		more := l
		more.Power += unit.Power(rapid.Int64Range(0, 1000_000_000).Draw(t, "more power"))
		more.Count += rapid.IntRange(0, 10).Draw(t, "more lamps")
		if l.Inrush > 0 {
			more.Inrush += unit.Current(rapid.Int64Range(0, 10_000_000).Draw(t, "more inrush"))
		}
		kind := kindOn(g.Kind)
		if Carries(g, &house.Point{Kind: kind, Load: &more}, 230) && !Carries(g, &house.Point{Kind: kind, Load: &l}, 230) {
			t.Fatalf("%+v carries %+v but not %+v", g, more, l)
		}
	})
}

// TestCarriesAgreesWithTheFindings holds Carries against what Check says of the same landing: carried means no finding
// about the channel, not carried means at least one.
func TestCarriesAgreesWithTheFindings(t *testing.T) {
	c := builtin(t)
	var types []*catalogue.Type
	for i := range c.Types {
		if c.Types[i].Medium == catalogue.WiFi && c.Types[i].Mount == catalogue.BoxIn {
			types = append(types, &c.Types[i])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		typ := rapid.SampledFrom(types).Draw(t, "type")
		ch := rapid.SampledFrom(typ.ChannelList()).Draw(t, "channel")
		p := house.Point{ID: "p", Kind: rapid.OneOf(rapid.Just(house.Lamp), rapid.SampledFrom(house.Kinds)).Draw(t, "kind"), Keys: []string{"one"}}
		if p.Kind != house.Keypad {
			p.Keys = nil
		}
		if p.Kind.Moved() {
			category := rapid.OneOf(rapid.Just(house.LED), rapid.SampledFrom(house.Categories)).Draw(t, "category")
			p.Load = &house.Load{Category: category, Power: unit.Watts(float64(rapid.OneOf(rapid.IntRange(1, 30), rapid.IntRange(1, 600)).Draw(t, "watts"))),
				Count: rapid.IntRange(1, 12).Draw(t, "count"), Inrush: unit.Amperes(float64(rapid.IntRange(0, 40).Draw(t, "inrush"))),
				Dimmed: rapid.Bool().Draw(t, "dimmed"), Edge: rapid.SampledFrom([]string{"", "leading", "trailing", "either"}).Draw(t, "edge")}
		}
		h := &house.House{Points: []house.Point{p}, Modules: []house.Module{{ID: "m", Type: typ.ID, Landings: []house.Landing{{Channel: ch.Name, Point: "p"}}}}}
		about := []string{"landing/wrong-kind", "landing/motor-on-relay", "landing/not-dimmed", "landing/plain-on-dimmer", "channel/no-rating", "channel/overload",
			"channel/too-many-lamps", "channel/inrush", "channel/inrush-unknown", "channel/dimmer-edge", "channel/dimmer-minimum"}
		var said []string
		for _, f := range Check(h, c) {
			if slices.Contains(about, f.Slug) {
				said = append(said, f.Slug)
			}
		}
		if Carries(ch.Group, &p, 230) != (len(said) == 0) {
			t.Fatalf("%s %s and %+v %+v: carried %v, found %v", typ.ID, ch.Name, p, p.Load, Carries(ch.Group, &p, 230), said)
		}
	})
}

// TestOrderOfPointsAndCircuitsDoesNotMatter: the findings are those of the house, not of the way it is written down.
func TestOrderOfPointsAndCircuitsDoesNotMatter(t *testing.T) {
	c := builtin(t)
	h := generated.House(80, 5)
	want, err := json.Marshal(Check(h, c))
	if err != nil {
		t.Fatal(err)
	}
	turned := *h
	turned.Points, turned.Circuits, turned.Boards = slices.Clone(h.Points), slices.Clone(h.Circuits), slices.Clone(h.Boards)
	slices.Reverse(turned.Points)
	slices.Reverse(turned.Circuits)
	slices.Reverse(turned.Boards)
	got, err := json.Marshal(Check(&turned, c))
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Error("the same house in another order has other findings")
	}
}

// TestNoCheaperReplacement holds the type that a remedy names against trying every type of the catalogue in its place and
// checking the house anew: none that is used alike and leaves nothing to find about the module's channels is cheaper.
func TestNoCheaperReplacement(t *testing.T) {
	c := builtin(t)
	tried := 0
	for _, s := range append(samples(t, "example/channel*.bad.yaml"), samples(t, "testdata/oldhouse.yaml")...) {
		list := Check(s.house, c)
		before := found(list)
		v := newView(s.house, c)
		for _, f := range list {
			m := v.byModule[f.Entity]
			if m == nil || m.typ == nil || len(f.Remedy.Changes) == 0 {
				continue
			}
			after, ok := f.Remedy.Changes[0].After.(house.Module)
			if !ok || after.Type == m.Type {
				continue
			}
			tried++
			chosen, _ := c.Type(after.Type)
			for i := range c.Types {
				other := &c.Types[i]
				if other.Price >= chosen.Price || other.ID == m.Type || !sameUse(m.typ, other) {
					continue
				}
				trial := f
				trial.Remedy = &Remedy{Changes: []house.Change{m.changed(func(h *house.Module) { h.Type = other.ID })}}
				if _, gone, come := mended(t, s.house, c, trial, before); slices.Contains(gone, f.Slug+" "+string(f.Entity)) && len(come) == 0 {
					t.Errorf("%s: %s for %s; %s is cheaper and mends it too", s.name, chosen.ID, f.Slug, other.ID)
				}
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d replacements were tried", tried)
	}
}
