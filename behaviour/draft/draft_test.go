package draft

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/behaviour"
	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

func sample() *house.House {
	led := &house.Load{Category: house.LED, Power: unit.Watts(10), Factor: .9, Dimmed: true}
	motor := &house.Load{Category: house.Motor, Apparent: unit.VoltAmperes(180)}
	return &house.House{Format: house.FormatName, Storeys: []house.Storey{{ID: "g"}},
		Rooms: []house.Room{{ID: "küche", Storey: "g", Title: "Küche"}, {ID: "wc", Storey: "g"}, {ID: "shed", Storey: "g"}},
		Points: []house.Point{
			{ID: "küche.ceiling-1", Kind: house.Lamp, Room: "küche", Load: led}, {ID: "küche.ceiling-2", Kind: house.Lamp, Room: "küche", Load: led},
			{ID: "küche.worktop", Kind: house.Lamp, Room: "küche", Load: led}, {ID: "küche.shutter", Kind: house.Shutter, Room: "küche", Load: motor, Travel: &house.Travel{Up: 20000, Down: 20000}},
			{ID: "küche.keys", Kind: house.Keypad, Room: "küche", Keys: []string{"Ceiling", "Worktop", "Brighter", "All off", "Shutters up", "Shutters down", "Music", "Leave"}},
			{ID: "küche.temperature", Kind: house.Thermometer, Room: "küche"}, {ID: "küche.valve", Kind: house.Valve, Room: "küche"},
			{ID: "wc.lamp", Kind: house.Lamp, Room: "wc"}, {ID: "wc.presence", Kind: house.Presence, Room: "wc"}, {ID: "wc.fan", Kind: house.Fan, Room: "wc"},
			{ID: "wc.keys", Kind: house.Keypad, Room: "wc", Keys: []string{"Switch"}, Fitted: true},
		}}
}

func TestDraftReadsAloud(t *testing.T) {
	d := House(sample())
	for _, want := range []string{
		"mode away is off", "when küche.keys.1 is pressed: toggle küche.ceiling-1 and küche.ceiling-2", "when küche.keys.2 is pressed: toggle küche.worktop",
		"when küche.keys.3 is held: brighten küche.ceiling-1, küche.ceiling-2 and küche.worktop while held", "when küche.keys.4 is pressed: turn off all lamps of küche",
		"when küche.keys.5 is pressed: raise all shutters of küche", "when küche.temperature falls below 20 °C until above 21 °C, unless away: turn on küche.valve",
		"when wc.presence begins: turn on wc.fan until 3 min after it ends",
	} {
		if !strings.Contains(d.Text, want) {
			t.Errorf("%q is missing in\n%s", want, d.Text)
		}
	}
	if strings.Join(d.Open, " ") != "küche.keys.7 (Music) wc.keys.1 (Switch)" {
		t.Errorf("open: %v", d.Open)
	}
	if strings.Contains(d.Text, "shed") {
		t.Error("an empty room has a heading")
	}
}

func compiles(t interface{ Fatalf(string, ...any) }, h *house.House, cat *catalogue.Catalogue) {
	h.Behaviour = House(h).Text
	if _, problems := behaviour.Compile(h, cat); len(problems) > 0 {
		t.Fatalf("the draft does not compile:\n%v\n%s", problems.Err(), h.Behaviour)
	}
}

func TestDraftCompiles(t *testing.T) {
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	compiles(t, sample(), cat)
	rapid.Check(t, func(rt *rapid.T) {
		compiles(rt, generated.House(rapid.IntRange(0, 120).Draw(rt, "points"), rapid.Uint64().Draw(rt, "seed")), cat)
	})
}
