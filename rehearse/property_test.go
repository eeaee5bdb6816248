package rehearse

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wirewright/control"
	"wirewright/unit"
)

// Whatever people and outages do in whatever order: nothing that must not happen happens, no true position leaves its
// range, and once everything works and people leave the house alone, it agrees with itself.
func TestAnyOrderOfEvents(t *testing.T) {
	programs, h := sample(t), sampleHouse()
	rapid.Check(t, func(t *rapid.T) {
		network := UsualNetwork()
		network.WiFi.Double = rapid.SampledFrom([]int{0, 100}).Draw(t, "double")
		r, err := New(Options{Programs: programs, House: h, Network: network, Seed: rapid.Uint64().Draw(t, "seed"),
			Physics: Physics{Spread: 30, Lag: 150}})
		if err != nil {
			t.Fatal(err)
		}
		components := r.Components()
		keys := []string{"hall.keys.1", "hall.keys.2", "hall.keys.3", "hall.keys.4", "wing.keys.1", "wing.keys.2", "wing.keys.3"}
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			switch rapid.IntRange(0, 5).Draw(t, "what") {
			case 0, 1:
				p := r.owner[rapid.SampledFrom(keys).Draw(t, "key")]
				r.press(p, rapid.Int32Range(0, 1).Draw(t, "down"))
			case 2:
				err = r.Break(rapid.SampledFrom(components).Draw(t, "break"))
			case 3:
				err = r.Mend(rapid.SampledFrom(components).Draw(t, "mend"))
			case 4:
				err = r.Input("wing.window", rapid.Int32Range(0, 1).Draw(t, "window"))
			case 5:
				err = r.Clock(r.Now().Add(time.Duration(rapid.Int64Range(-90000, 90000).Draw(t, "clock")) * time.Second))
			}
			if err == nil {
				err = r.Advance(unit.Duration(rapid.OneOf(rapid.Int64Range(0, 100), rapid.Int64Range(0, 30_000)).Draw(t, "wait")))
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, name := range []string{"living.shutter", "wing.shutter"} {
				a := &r.controllers[r.owner[name].who].slots[r.owner[name].slot].actuator
				if a.travel(r.now); a.position < 0 || a.position > full || a.slats < 0 || a.slats > full {
					t.Fatalf("%s: %+v", name, a)
				}
			}
		}
		r.live = &live{components: components}
		r.end()
		if list := r.Faults(); len(list) > 0 {
			t.Fatalf("%+v\n%s", list, r.Story(0, r.Elapsed()))
		}
	})
}

// Latencies stay within their link's bounds; without overtaking a leg keeps the order; with a tail some are late.
func TestLatencies(t *testing.T) {
	r := start(t, Options{})
	rapid.Check(t, func(t *rapid.T) {
		least := rapid.Int64Range(0, 50).Draw(t, "least")
		typical := least + rapid.Int64Range(0, 100).Draw(t, "more")
		l := Link{Least: unit.Duration(least), Typical: unit.Duration(typical), Tail: unit.Duration(typical + 500),
			TailShare: rapid.IntRange(0, 300).Draw(t, "share")}
		c := &controller{}
		last := int64(0)
		for range 200 {
			at := r.arrival(c, &l, true)
			if at < last || at < r.now+least {
				t.Fatalf("%d after %d, least %d", at, last, least)
			}
			if l.TailShare == 0 && at > r.now+2*typical-least {
				t.Fatalf("%d ms without a tail, typical %d", at-r.now, typical)
			}
			last = at
		}
	})
	// Every draw on its own: the mean of the body is Typical, and about TailShare of a thousand lie beyond it.
	l := Link{Least: 2, Typical: 8, Tail: 250, TailShare: 50}
	late, sum, body := 0, int64(0), int64(0)
	for range 20_000 {
		d := r.arrival(&controller{}, &l, false) - r.now
		if d > 14 {
			late++
		} else {
			sum, body = sum+d, body+1
		}
	}
	if late < 850 || late > 1150 || sum*100/body < 790 || sum*100/body > 810 {
		t.Errorf("%d of 20000 late (about 975 are expected), mean of the others %.2f ms", late, float64(sum)/float64(body))
	}
}

// What waits is bounded: of many commands to a target that is away the newest are kept.
func TestWaitingIsBounded(t *testing.T) {
	r := start(t, Options{})
	var list []message
	for i := range 100 {
		list = r.wait(list, message{kind: messageCommand, from: 0, to: 1, seq: uint32(i), cause: -1}, 10)
	}
	if len(list) != 10 || list[0].seq != 90 || list[9].seq != 99 || r.stats.Dropped != 90 {
		t.Errorf("%d wait, from %d to %d, %d dropped", len(list), list[0].seq, list[len(list)-1].seq, r.stats.Dropped)
	}
	if story := r.Story(0, r.Elapsed()+1); !strings.Contains(story, "too many wait) is lost") {
		t.Errorf("the story does not tell it:\n%s", story)
	}
}

// Faults are told once each, counted, and bounded.
func TestFaultsAreBounded(t *testing.T) {
	r := start(t, Options{})
	for i := range faultsMost + 20 {
		for range 3 {
			r.fault(0, "fault "+strings.Repeat("x", i), -1)
		}
	}
	list := r.Faults()
	if len(list) != faultsMost || list[0].Count != 3 || r.faults.more < 20 {
		t.Errorf("%d faults, the first %d times, %d more", len(list), list[0].Count, r.faults.more)
	}
	if list[0].At != r.Elapsed() || !list[0].Wall.Equal(r.Now()) || list[0].Controller != "hall.box" {
		t.Errorf("%+v", list[0])
	}
}

func TestEntriesReadAsSentences(t *testing.T) {
	for _, c := range []struct {
		e    Entry
		want string
	}{
		{Entry{Kind: KindPress, Name: "hall.keys.1"}, "hall.keys.1 pressed"},
		{Entry{Kind: KindInput, Name: "out.temp", Value: -550, Quantity: control.QuantityTemperature}, "out.temp reads -5.50 °C"},
		{Entry{Kind: KindInput, Name: "mast", Value: 123, Quantity: control.QuantityWind}, "mast reads 12.3 m/s"},
		{Entry{Kind: KindInput, Name: "sky", Value: 54000, Quantity: control.QuantityLight}, "sky reads 54000 lx"},
		{Entry{Kind: KindInput, Name: "meter", Value: 7, Quantity: control.QuantityCount}, "meter reads 7"},
		{Entry{Kind: KindInput, Name: "door", Value: control.Unknown}, "door reads unknown"},
		{Entry{Kind: KindOutput, Name: "lamp", Value: 405, Quantity: control.QuantityLevel, Time: 1500, Rule: "evening"}, "lamp 40.5 % over 1.500 s (evening)"},
		{Entry{Kind: KindOutput, Name: "mode", Value: 2}, "mode 2"},
		{Entry{Kind: KindMotor, Name: "blind", Value: -1, True: 1000}, "blind runs up from 100 %"},
		{Entry{Kind: KindMotor, Name: "blind", True: 333, Slats: 500, Rule: "x"}, "blind stops at 33.3 %, slats at 50 % (x)"},
		{Entry{Kind: KindSent, Controller: "a", Peer: "b", Name: "lamp", Text: "on", Rule: "x"}, "a sends lamp to b: on (x)"},
		{Entry{Kind: KindDoubled, Controller: "a", Name: "lamp", Text: "state on"}, "message from a about lamp (state on) comes twice"},
		{Entry{Kind: KindGone, Controller: "a"}, "a is gone, the others are told"},
		{Entry{Kind: KindMended, Name: "router"}, "router works again"},
		{Entry{Kind: KindClock, Name: "at 06:30", Value: 1}, "calendar: at 06:30 on"},
		{Entry{Kind: KindNotice, Text: "hello"}, `notice: "hello"`},
		{Entry{Kind: KindMessage, Name: "bell"}, `message "bell" arrives`},
		{Entry{Kind: KindFault, Controller: "a", Text: "wrong", Rule: "x"}, "FAULT at a: wrong (x)"},
		{Entry{Kind: KindWall, Text: "the clock is set"}, "the clock is set"},
		{Entry{Kind: KindReset}, ""},
	} {
		if got := c.e.String(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	for v, want := range map[control.Verb]string{control.VerbToggle: "toggle", control.VerbRaise: "raise", control.VerbStop: "stop",
		control.VerbOn: "on", control.VerbRelease: "release", control.VerbSlat: "slats 30 %", 99: "verb 99"} {
		if got := verb(v, 300, control.QuantityBool); got != want {
			t.Errorf("verb %d: %q, want %q", v, got, want)
		}
	}
	if got := verb(control.VerbHold, 2<<16|control.HoldStill, control.QuantityPosition); got != "hold still" {
		t.Error(got)
	}
	if got := verb(control.VerbHold, 2<<16|1000, control.QuantityPosition); got != "hold 100 %" {
		t.Error(got)
	}
	for code, want := range map[control.FaultCode]string{control.FaultConflict: "two rules want different things of x in one instant",
		control.FaultChain: "rules set each other off without end", control.FaultRange: "an event that the program does not have (x)", 99: "code 99 (x)"} {
		if got := faultText(code, "x"); got != want {
			t.Errorf("fault %d: %q, want %q", code, got, want)
		}
	}
}
