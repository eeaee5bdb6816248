package rehearse

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"wirewright/behaviour"
	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// mill is the small house in which the behaviour language is tested, half on a bus line, half on Wi-Fi.
func mill(t testing.TB) (*house.House, *catalogue.Catalogue) {
	t.Helper()
	text, err := os.ReadFile("../behaviour/testdata/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	h, err := house.Read("house.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	rules, err := os.ReadFile("../behaviour/testdata/sample.txt")
	if err != nil {
		t.Fatal(err)
	}
	h.Behaviour = string(rules)
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return h, cat
}

// compiled rehearses the behaviour of a house.
func compiled(t testing.TB, h *house.House, cat *catalogue.Catalogue, o Options) *Rehearsal {
	t.Helper()
	c, problems := behaviour.Compile(h, cat)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	o.House, o.Catalogue, o.Programs = h, cat, c.Programs
	r, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What the text says is what happens, across line and radio.
func TestCompiledHouse(t *testing.T) {
	h, cat := mill(t)
	r := compiled(t, h, cat, Options{Seed: 1})
	is := func(name string, want int32) {
		t.Helper()
		if got, ok := r.Value(name); !ok || got != want {
			t.Errorf("%s is %d (%v), not %d\n%s", name, got, ok, want, r.Story(max(0, r.Elapsed()-5000), r.Elapsed()+1))
		}
	}
	r.tap(t, "hall.keys", 1)
	r.tap(t, "kitchen.keys", 1)
	r.tap(t, "bedroom.keys", 1)
	r.sleep(t, 1000)
	is("hall.ceiling", 1)
	is("kitchen.ceiling", 1)
	is("bedroom.ceiling", 1)
	r.tap(t, "bedroom.keys", 2)
	r.sleep(t, 1000)
	is("hall.ceiling", 0)
	is("kitchen.ceiling", 0)
	is("bedroom.ceiling", 0)
	r.must(t, r.Message("door bell"))
	r.sleep(t, 1000)
	is("porch.lamp", 1)
	r.sleep(t, 60_000)
	is("porch.lamp", 0)
	// The storm hold: the awning goes up while it blows, and stays up though the sun asks for shade.
	r.must(t, r.Input("garden.wind", 150))
	r.sleep(t, 6000)
	r.must(t, r.Key("living.keys", 4, true))
	r.sleep(t, 100)
	r.must(t, r.Key("living.keys", 4, false))
	r.sleep(t, 40_000)
	if p, s, _ := r.Position("living.shutter"); p < 790 || p > 810 || s < 490 || s > 510 {
		t.Errorf("living shutter at %d with slats %d, asked for 800 and 500", p, s)
	}
	if list := r.Faults(); len(list) > 0 {
		t.Errorf("faults: %+v", list)
	}
}

// A month in the small house, with outages: no fault of any kind.
func TestCompiledLife(t *testing.T) {
	h, cat := mill(t)
	h.Network.AccessPoints = []house.AccessPoint{{ID: "ap1"}}
	r := compiled(t, h, cat, Options{Trace: 20_000})
	for seed := range uint64(4) {
		report, err := r.Live(Life{Seed: seed, Days: 7, Presses: 30, Outages: 12})
		if err != nil {
			t.Fatal(err)
		}
		if len(report.Faults) > 0 {
			f := report.Faults[0]
			t.Errorf("%s%s", report, r.Story(max(0, f.At-120_000), f.At+1000))
		}
	}
}

// large is a generated house of so many rooms, half on one bus line after another, half on Wi-Fi: each room has two lamps,
// a shutter, a valve, a thermometer, a contact, a presence detector and a keypad with three keys.
func large(rooms int) *house.House {
	h := &house.House{Format: house.FormatName, Site: house.Site{Latitude: 48_208_200, Longitude: 16_373_800, Zone: "Europe/Vienna"},
		Network: house.Network{AccessPoints: []house.AccessPoint{{ID: "ap1"}, {ID: "ap2"}}}}
	h.Storeys = []house.Storey{{ID: "ground"}}
	var text strings.Builder
	text.WriteString("mode away is off\nhours night: between 22:00 and 06:00\n")
	for n := range rooms {
		id := fmt.Sprintf("r%d", n)
		point := func(name string, kind house.Kind) house.ID {
			p := house.Point{ID: house.ID(id + "." + name), Kind: kind, Room: house.ID(id)}
			switch kind {
			case house.Lamp:
				p.Load = &house.Load{Category: house.LED, Power: unit.Watts(20), Dimmed: name == "dimmed"}
			case house.Shutter:
				p.Travel = &house.Travel{Up: 24_000, Down: 22_000, Slats: 1600}
			case house.Keypad:
				p.Keys = []string{"Lamp", "Dimmed", "Shutter"}
			}
			h.Points = append(h.Points, p)
			return p.ID
		}
		h.Rooms = append(h.Rooms, house.Room{ID: house.ID(id), Storey: "ground"})
		lamp, dimmed, shutter, valve := point("lamp", house.Lamp), point("dimmed", house.Lamp), point("shutter", house.Shutter), point("valve", house.Valve)
		keys, warmth := point("keys", house.Keypad), point("warmth", house.Thermometer)
		window, presence := point("window", house.Contact), point("presence", house.Presence)
		land := func(module, kind string, landings ...house.Landing) {
			h.Modules = append(h.Modules, house.Module{ID: house.ID(id + "." + module), Type: kind, Room: house.ID(id), Landings: landings})
		}
		on := func(channel string, p house.ID, key int) house.Landing {
			return house.Landing{Channel: channel, Point: p, Key: key}
		}
		keyRows := []house.Landing{on("in1", keys, 1), on("in2", keys, 2), on("in3", keys, 3)}
		if n%2 == 0 { // on the line of its group of eight rooms
			line := fmt.Sprintf("line%d", n/16)
			if n%16 == 0 {
				h.Modules = append(h.Modules, house.Module{ID: house.ID(line + ".head"), Type: "head-rail"})
				h.Lines = append(h.Lines, house.Line{ID: house.ID(line), Head: house.ID(line + ".head"), Taps: []house.Tap{{Module: house.ID(line + ".head")}}})
			}
			land("in", "input-rail-16", append(keyRows, on("in4", window, 0), on("in5", presence, 0))...)
			land("sense", "analogue-rail-4", on("ai1", warmth, 0))
			land("relays", "relay-rail-8x10", on("out1", lamp, 0), on("out2", valve, 0))
			land("dimmers", "dimmer-rail-2x300", on("dim1", dimmed, 0))
			land("shutters", "shutter-rail-2", on("sh1", shutter, 0))
			taps := &h.Lines[len(h.Lines)-1].Taps
			for _, m := range []string{"in", "sense", "relays", "dimmers", "shutters"} {
				*taps = append(*taps, house.Tap{Module: house.ID(id + "." + m)})
			}
		} else {
			land("box", "relay-wifi-2x1-in4", append(keyRows, on("out1", lamp, 0), on("out2", valve, 0), on("in4", presence, 0))...)
			land("dim", "dimmer-wifi-1x150-in2", on("dim1", dimmed, 0), on("in1", window, 0))
			land("sh", "shutter-wifi-1x350-in2", on("sh1", shutter, 0))
			land("plate", "climate-wifi", on("temp1", warmth, 0))
		}
		fmt.Fprintf(&text, `
when %[1]s.keys.1 is pressed: toggle %[1]s.lamp
when %[1]s.keys.2 is pressed: toggle %[1]s.dimmed
when %[1]s.keys.2 is held: brighten or darken %[1]s.dimmed while held
when %[1]s.keys.3 is pressed: raise or lower %[1]s.shutter
when %[1]s.keys.3 is held: turn off %[1]s.lamp and r%[2]d.lamp
when %[1]s.presence begins, if night: set %[1]s.dimmed to 20 %% for 2 min
when %[1]s.warmth falls below 20 °C until above 20.5 °C, unless %[1]s.window is open: turn on %[1]s.valve
when %[1]s.warmth rises above 20.5 °C until below 20 °C: turn off %[1]s.valve
at sunset but not before 17:00: lower %[1]s.shutter
at 07:00 on Monday to Friday, unless away: raise %[1]s.shutter
`, id, (n+1)%rooms)
	}
	h.Behaviour = text.String()
	return h
}

// A day in a house of 304 points: no fault, and no answer to a key takes longer than people bear.
func TestLargeLife(t *testing.T) {
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	h := large(38)
	r := compiled(t, h, cat, Options{Trace: 50_000})
	report, err := r.Live(Life{Seed: 1, Days: 1, Outages: 24})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d points, %d controllers: %s", len(h.Points), len(r.controllers), report)
	if len(report.Faults) > 0 {
		f := report.Faults[0]
		t.Errorf("%s", r.Story(max(0, f.At-60_000), f.At+1000))
	}
	if report.Counts.Answers < 500 || report.Counts.Median > 100 {
		t.Errorf("answers: %+v", report.Counts)
	}
}

// BenchmarkLargeDay is one day in a house of 304 points.
func BenchmarkLargeDay(b *testing.B) {
	cat, err := catalogue.Builtin()
	if err != nil {
		b.Fatal(err)
	}
	r := compiled(b, large(38), cat, Options{Trace: -1})
	happenings := 0
	for b.Loop() {
		report, err := r.Live(Life{Seed: 1, Days: 1})
		if err != nil {
			b.Fatal(err)
		}
		happenings += report.Counts.Happenings
	}
	s := b.Elapsed().Seconds()
	b.ReportMetric(float64(happenings)/s, "events/s")
	b.ReportMetric(86400*float64(b.N)/s, "simulated-s/s")
}
