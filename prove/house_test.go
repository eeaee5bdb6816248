package prove

import (
	"context"
	"strings"
	"testing"

	"wirewright/allot"
	"wirewright/behaviour"
	"wirewright/catalogue"
	"wirewright/examples"
	"wirewright/house"
	"wirewright/unit"
)

// small is a house of two radio controllers: key and lamp on one, key and lamp on the other, and whatever rules are given.
func small(t testing.TB, rules string) *behaviour.Compiled {
	t.Helper()
	led := &house.Load{Category: house.LED, Power: unit.Watts(10), Factor: .9}
	h := &house.House{Format: house.FormatName, Storeys: []house.Storey{{ID: "g"}}, Rooms: []house.Room{{ID: "hall", Storey: "g"}},
		Points: []house.Point{
			{ID: "hall.lamp", Kind: house.Lamp, Room: "hall", Load: led}, {ID: "hall.spot", Kind: house.Lamp, Room: "hall", Load: led},
			{ID: "hall.keys", Kind: house.Keypad, Room: "hall", Keys: []string{"a", "b"}, Fitted: true},
			{ID: "hall.more", Kind: house.Keypad, Room: "hall", Keys: []string{"a", "b"}, Fitted: true},
			{ID: "hall.door", Kind: house.Contact, Room: "hall", Fitted: true},
		},
		Modules: []house.Module{
			{ID: "hall.m1", Type: "relay-wifi-2x1-in4", Room: "hall", Landings: []house.Landing{{Channel: "out1", Point: "hall.lamp"}, {Channel: "in1", Point: "hall.keys", Key: 1}, {Channel: "in2", Point: "hall.keys", Key: 2}, {Channel: "in3", Point: "hall.door"}}},
			{ID: "hall.m2", Type: "relay-wifi-2x1-in4", Room: "hall", Landings: []house.Landing{{Channel: "out1", Point: "hall.spot"}, {Channel: "in1", Point: "hall.more", Key: 1}, {Channel: "in2", Point: "hall.more", Key: 2}}},
		}, Behaviour: rules}
	return compile(t, h)
}

func compile(t testing.TB, h *house.House) *behaviour.Compiled {
	t.Helper()
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	c, problems := behaviour.Compile(h, cat)
	if len(problems) > 0 {
		t.Fatal(problems.Err())
	}
	return c
}

func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name, rules string
		never, off  Verdict
		story       string
	}{
		{"plain key", "when hall.keys.1 is pressed: toggle hall.lamp", Proved, Proved, ""},
		{"two keys on two controllers", "when hall.keys.1 is pressed: toggle hall.lamp\nwhen hall.more.1 is pressed: toggle hall.lamp", Proved, Proved, ""},
		{"run-on", "when hall.keys.1 is pressed: turn on hall.lamp for 3 min", Proved, Proved, ""},
		{"no key puts it off", "when hall.keys.1 is pressed: turn on hall.lamp\nwhen hall.door closes: turn off hall.lamp", Proved, Refuted, "hall.keys.1 goes down"},
		{"endless chain", "when hall.keys.1 is pressed: turn on hall.lamp\nwhen hall.keys.2 is pressed: turn off hall.lamp\n" +
			"when hall.lamp turns on: turn off hall.lamp\nwhen hall.lamp turns off: turn on hall.lamp", Refuted, "", "hall.keys.1 goes down"},
	} {
		t.Run(c.name, func(t *testing.T) {
			list := Point(small(t, c.rules), small(t, c.rules).House.Points[0], 100_000)
			for i, want := range []Verdict{c.never, c.off} {
				if want == "" || i >= len(list) {
					continue
				}
				if list[i].Verdict != want {
					t.Errorf("%s: %s (%s) %v, want %s", list[i].Question, list[i].Verdict, list[i].Reason, list[i].Story, want)
				}
				if want == Refuted && !strings.Contains(strings.Join(list[i].Story, "\n"), c.story) {
					t.Errorf("story %q does not tell %q", list[i].Story, c.story)
				}
			}
		})
	}
}

func TestAnUnseenRestIsUndecided(t *testing.T) {
	c := small(t, "when hall.keys.1 is pressed: toggle hall.lamp\nwhen hall.more.1 is pressed: toggle hall.lamp")
	for _, a := range Point(c, c.House.Points[0], 3) {
		if a.Verdict != Undecided || a.Reason == "" {
			t.Errorf("%s: %s with three states", a.Question, a.Verdict)
		}
	}
}

func TestEncodingIsExact(t *testing.T) {
	s, ok := cut(small(t, "when hall.keys.1 is pressed: toggle hall.lamp\nwhen hall.more.1 is pressed: toggle hall.lamp"), "hall.lamp")
	if !ok {
		t.Fatal("no slice")
	}
	w := newWorld(s)
	for _, text := range explore(w, 2000).states {
		st := w.decode(text)
		if again := w.encode(&st); again != text {
			t.Fatalf("a state of %d octets comes back different", len(text))
		}
	}
}

func TestExampleHouse(t *testing.T) {
	if testing.Short() {
		t.Skip("explores the whole example house")
	}
	c := example(t)
	answers, err := House(context.Background(), c, Options{States: 4000})
	if err != nil {
		t.Fatal(err)
	}
	count := map[Verdict]int{}
	for _, a := range answers {
		count[a.Verdict]++
		if a.Verdict == Refuted {
			t.Errorf("refuted: %s: %s\n  %s", a.Question, a.Reason, strings.Join(a.Story, "\n  "))
		}
	}
	if count[Proved] == 0 {
		t.Error("nothing is proved")
	}
	t.Log(count)
}

func example(t testing.TB) *behaviour.Compiled {
	t.Helper()
	h, err := house.Read("house.yaml", examples.WeirHouse)
	if err != nil {
		t.Fatal(err)
	}
	h.Behaviour = examples.WeirBehaviour
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	r, err := allot.Allot(h, cat, allot.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return compile(t, r.House)
}

func BenchmarkExampleLamp(b *testing.B) {
	c := example(b)
	var p house.Point
	for _, q := range c.House.Points {
		if q.ID == "pantry.ceiling" {
			p = q
		}
	}
	states := 0
	for b.Loop() {
		states += Point(c, p, 100_000)[0].States
	}
	b.ReportMetric(float64(states)/b.Elapsed().Seconds(), "states/s")
}
