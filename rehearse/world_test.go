package rehearse

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"wirewright/control"
	"wirewright/house"
)

func TestErrorsNameWhatIsNear(t *testing.T) {
	r := start(t, Options{})
	for _, c := range []struct {
		err  error
		want string
	}{
		{r.Key("hall.kees", 1, true), "did you mean hall.keys.1?"},
		{r.Key("nowhere", 1, true), `"nowhere.1"`},
		{r.Input("wing.windov", 1), "did you mean wing.window?"},
		{r.Input("hall.lamp", 1), `"hall.lamp"`},
		{r.Message("hello"), `"hello"`},
		{r.Break("roof"), "expected one of: mains, router, broker, access-point ap1, line line1, module hall.box"},
		{r.Break("module halL.box"), "did you mean hall.box?"},
		{r.Mend("line line9"), `"line line9"`},
		{r.Advance(-1), "backward"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("%v: want %q", c.err, c.want)
		}
	}
	if _, ok := r.Value("nothing"); ok {
		t.Error("a name that is not there has no value")
	}
	if _, ok := r.Motion("hall.lamp"); ok {
		t.Error("a lamp has no motion")
	}
	if _, _, ok := r.Position("hall.lamp"); ok {
		t.Error("a lamp has no position")
	}
}

func TestNewReportsAllMistakes(t *testing.T) {
	a := newSheet("a", "ghost")
	a.mirror("x", 0, 0, false)
	unchecked := control.Program{Controller: "b"}
	one, two := newSheet("c").done(t), newSheet("c").done(t)
	_, err := New(Options{Programs: []*control.Program{a.done(t), &unchecked, nil, one, two}})
	if err == nil {
		t.Fatal("nothing is said")
	}
	for _, want := range []string{"a speaks with ghost", "not been checked", "c has two programs"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v: want %q", err, want)
		}
	}
	if _, err := New(Options{}); err == nil {
		t.Error("a rehearsal without programs")
	}
	h := sampleHouse()
	h.Site.Zone = "Mars/Base"
	if _, err := New(Options{Programs: sample(t), House: h}); err == nil || !strings.Contains(err.Error(), "Mars/Base") {
		t.Errorf("zone: %v", err)
	}
	x, y := newSheet("x", "y"), newSheet("y")
	y.lamp("l", "y")
	x.rule("r", control.Cause{Kind: control.CauseStart}, control.Action{Kind: control.ActionOn, To: control.TargetPeer})
	if _, err := New(Options{Programs: []*control.Program{x.done(t), y.done(t)}}); err == nil || !strings.Contains(err.Error(), "among its peers") {
		t.Errorf("a commander that is not known: %v", err)
	}
	z := newSheet("z", "y")
	z.mirror("m", 0, 7, false)
	if _, err := New(Options{Programs: []*control.Program{z.done(t), y.done(t)}}); err == nil || !strings.Contains(err.Error(), "slot 7 of y") {
		t.Errorf("a mirror of nothing: %v", err)
	}
}

// Reset makes tests independent of their order: what follows it is the same to the millisecond.
func TestResetForgetsEverything(t *testing.T) {
	r := start(t, Options{Network: UsualNetwork(), Seed: 5})
	story := func() string {
		r.must(t, r.Reset())
		from := r.Elapsed()
		r.tap(t, "hall.keys", 2)
		r.sleep(t, 3000)
		return r.Story(from, r.Elapsed())
	}
	first := story()
	r.must(t, r.Break("mains"))
	r.must(t, r.Input("wing.window", 1))
	r.must(t, r.Clock(r.Now().Add(100*time.Hour)))
	r.sleep(t, 5000)
	if again := story(); again != first || !strings.Contains(first, "living.lamp on") {
		t.Errorf("first\n%sthen\n%s", first, again)
	}
	if v, ok := r.Value("wing.window"); !ok || v != 0 {
		t.Errorf("the window reads %d %v", v, ok)
	}
	if want := time.Date(2026, 3, 2, 12, 0, 3, 100e6, r.calendar.Zone()); !r.Now().Equal(want) {
		t.Errorf("the clock shows %s, not %s", r.Now(), want)
	}
}

// The mains fail and return: everything that was on is off, nothing starts by itself, and keys work again.
func TestMains(t *testing.T) {
	r := start(t, Options{})
	r.tap(t, "hall.keys", 2)
	r.tap(t, "wing.keys", 1)
	r.tap(t, "hall.keys", 3)
	r.sleep(t, 5000)
	r.must(t, r.Break("mains"))
	for _, name := range []string{"hall.lamp", "living.lamp", "wing.lamp"} {
		if v, _ := r.Value(name); v != 0 {
			t.Errorf("%s is on without power", name)
		}
	}
	r.must(t, r.Key("hall.keys", 1, true))
	r.must(t, r.Key("hall.keys", 1, false))
	r.sleep(t, 60_000)
	from := r.Elapsed()
	r.must(t, r.Mend("mains"))
	r.sleep(t, 60_000)
	if way, _ := r.Motion("living.shutter"); way != 0 {
		t.Error("the shutter moves by itself")
	}
	if story := r.Story(from, r.Elapsed()); strings.Contains(story, "runs") || strings.Contains(story, " on") {
		t.Errorf("something moved by itself:\n%s", story)
	}
	r.tap(t, "hall.keys", 2)
	r.sleep(t, 1000)
	if v, _ := r.Value("living.lamp"); v != 1 || len(r.Faults()) > 0 {
		t.Errorf("lamp %d, faults %v", v, r.Faults())
	}
}

// Clock sets the wall clock without firing what lies between; windows take their value.
func TestClockAndCalendar(t *testing.T) {
	b := newSheet("box")
	lamp := b.lamp("lamp", "box")
	b.p.Schedules = []control.Schedule{
		{Days: 127, From: control.Anchor{Minute: 18 * 60, NotBefore: -1, NotAfter: -1}},
		{Days: 127, Window: true, From: control.Anchor{Minute: 22 * 60, NotBefore: -1, NotAfter: -1}, To: control.Anchor{Minute: 6 * 60, NotBefore: -1, NotAfter: -1}},
	}
	evening := b.slot(control.Slot{Name: "evening", Kind: control.SlotClock, Schedule: 0})
	night := b.slot(control.Slot{Name: "night", Kind: control.SlotClock, Schedule: 1})
	b.rule("evening light", control.Cause{Kind: control.CauseRise, Slot: evening}, act(control.ActionOn, lamp))
	b.rule("night", control.Cause{Kind: control.CauseRise, Slot: night}, act(control.ActionOff, lamp))
	r := start(t, Options{Programs: []*control.Program{b.done(t)}})
	at := func(hour, minute int) time.Time { return time.Date(2026, 3, 2, hour, minute, 0, 0, time.UTC) }
	r.must(t, r.Clock(at(17, 59)))
	r.sleep(t, 59_999)
	if v, _ := r.Value("lamp"); v == 1 {
		t.Error("a moment too early")
	}
	r.sleep(t, 1)
	if v, _ := r.Value("lamp"); v != 1 {
		t.Error("18:00 and no light")
	}
	r.must(t, r.Clock(at(21, 59)))
	r.sleep(t, 61_000)
	if v, _ := r.Value("lamp"); v != 0 {
		t.Error("22:00 and still light")
	}
	r.must(t, r.Clock(at(17, 0)))
	r.must(t, r.Clock(at(19, 0)))
	if v, _ := r.Value("lamp"); v != 0 {
		t.Error("a moment that was jumped over must not fire")
	}
	r.must(t, r.Clock(at(23, 0)))
	c := &r.controllers[0]
	if c.program.Value(c.state, night) != 1 {
		t.Error("the window does not know that it is night")
	}
}

// Messages from outside reach the controllers that wait for them, over the network only.
func TestMessage(t *testing.T) {
	b := newSheet("box")
	lamp := b.lamp("lamp", "box")
	bell := b.slot(control.Slot{Name: "message bell", Kind: control.SlotMessage})
	b.rule("bell", control.Cause{Kind: control.CauseRise, Slot: bell}, act(control.ActionToggle, lamp))
	r := start(t, Options{Programs: []*control.Program{b.done(t)}})
	for i, want := range []int32{1, 0} {
		r.must(t, r.Message([]string{"bell", "message bell"}[i]))
		r.sleep(t, 100)
		if v, _ := r.Value("lamp"); v != want {
			t.Errorf("message %d: lamp %d", i, v)
		}
	}
	r.must(t, r.Break("router"))
	r.must(t, r.Message("bell"))
	r.sleep(t, 100)
	if v, _ := r.Value("lamp"); v != 0 {
		t.Error("a message came through a dead router")
	}
}

// What a module on the line reads is unknown to the head while the module is gone, and known again when it returns.
func TestSensorOfALostModule(t *testing.T) {
	r := start(t, Options{})
	window := func() int32 {
		p := r.owner["wing.window"]
		c := &r.controllers[p.who]
		return c.program.Value(c.state, p.slot)
	}
	r.must(t, r.Input("wing.window", 1))
	r.sleep(t, 100)
	if window() != 1 {
		t.Fatalf("the head sees %d", window())
	}
	r.must(t, r.Break("module inputs"))
	r.sleep(t, 2000)
	if window() != control.Unknown {
		t.Errorf("the head still believes %d", window())
	}
	r.must(t, r.Mend("module inputs"))
	r.sleep(t, 100)
	if window() != 1 {
		t.Errorf("after return the head sees %d", window())
	}
	r.must(t, r.Break("module head"))
	r.sleep(t, 100)
	r.must(t, r.Mend("module head"))
	r.sleep(t, 100)
	if window() != 1 {
		t.Errorf("after a restart the head sees %d", window())
	}
	r.must(t, r.Input("hall.door", 1)) // a module that executes itself: told anew when it starts
	r.must(t, r.Break("module hall.box"))
	r.must(t, r.Mend("module hall.box"))
	p := r.owner["hall.door"]
	if c := &r.controllers[p.who]; c.program.Value(c.state, p.slot) != 1 {
		t.Errorf("after a restart the hall sees %d", c.program.Value(c.state, p.slot))
	}
}

// seen is what a controller believes about something of another.
func (r *Rehearsal) seen(controller, name string) int32 {
	for i := range r.controllers {
		c := &r.controllers[i]
		for k, s := range c.program.Slots {
			if c.program.Controller == controller && s.Name == name && s.Kind == control.SlotMirror {
				return c.program.Value(c.state, int16(k))
			}
		}
	}
	return -99
}

// A controller without a network does not trust a mirror that is to be forgotten; the others it goes on believing.
func TestMirrorsWithoutNetwork(t *testing.T) {
	r := start(t, Options{})
	r.tap(t, "hall.keys", 2)
	r.sleep(t, 500)
	if r.seen("head", "hall.lamp") != 1 || r.seen("hall.box", "living.lamp") != 1 {
		t.Fatalf("mirrors %d %d", r.seen("head", "hall.lamp"), r.seen("hall.box", "living.lamp"))
	}
	r.must(t, r.Break("router"))
	r.sleep(t, 10_000)
	if r.seen("head", "hall.lamp") != control.Unknown || r.seen("hall.box", "living.lamp") != 1 {
		t.Errorf("without network %d %d", r.seen("head", "hall.lamp"), r.seen("hall.box", "living.lamp"))
	}
	r.must(t, r.Mend("router"))
	r.sleep(t, 10_000)
	if r.seen("head", "hall.lamp") != 1 {
		t.Errorf("with network again %d", r.seen("head", "hall.lamp"))
	}
}

// A broker keeps states over the loss of their owner, unless it loses its own memory too.
func TestBrokerMemory(t *testing.T) {
	for _, lost := range []bool{false, true} {
		r := start(t, Options{})
		r.tap(t, "hall.keys", 2)
		r.sleep(t, 500)
		r.must(t, r.Break("module living.box"))
		if lost {
			r.must(t, r.Break("broker"))
			r.sleep(t, 5000)
			r.must(t, r.Mend("broker"))
		}
		r.must(t, r.Break("module hall.box"))
		r.must(t, r.Mend("module hall.box"))
		r.sleep(t, 5000)
		want := int32(1)
		if lost {
			want = control.Unknown
		}
		if got := r.seen("hall.box", "living.lamp"); got != want {
			t.Errorf("broker lost its memory: %v; the mirror is %d, not %d", lost, got, want)
		}
	}
}

// A controller that lost even its memory counts its commands from one again; the others are told that it was gone, and
// do not take them for old ones.
func TestControllerWithoutMemory(t *testing.T) {
	r := start(t, Options{})
	for range 4 {
		r.tap(t, "hall.keys", 2)
		r.sleep(t, 500)
	}
	r.must(t, r.Break("module hall.box"))
	r.controllers[0].state = nil
	r.must(t, r.Mend("module hall.box"))
	r.sleep(t, 3000)
	r.tap(t, "hall.keys", 2)
	r.sleep(t, 500)
	if v, _ := r.Value("living.lamp"); v != 1 {
		t.Errorf("the command was not taken:\n%s", r.Story(0, r.Elapsed()))
	}
}

func TestTraceAsJSONAndItsBound(t *testing.T) {
	r := start(t, Options{Trace: 40})
	for range 30 {
		r.tap(t, "hall.keys", 1)
		r.sleep(t, 200)
	}
	if n := len(r.trace.entries); n > 40 || n < 20 || r.trace.dropped == 0 {
		t.Errorf("%d entries, %d dropped", n, r.trace.dropped)
	}
	text, err := r.TraceJSON(0, r.Elapsed()+1)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	if len(lines) != len(r.trace.entries) {
		t.Errorf("%d lines for %d entries", len(lines), len(r.trace.entries))
	}
	for _, line := range lines {
		var e Entry
		if err := json.Unmarshal([]byte(line), &e); err != nil || e.Kind == "" {
			t.Fatalf("%s: %v", line, err)
		}
	}
}

// Access points: a controller hangs on the nearest one, and falls silent with it.
func TestAccessPoints(t *testing.T) {
	h := sampleHouse()
	h.Network.AccessPoints = []house.AccessPoint{{ID: "up", At: &house.XYZ{X: 0}}, {ID: "down", At: &house.XYZ{X: 10}}}
	h.Modules[0].At, h.Modules[1].At = &house.XYZ{X: 1}, &house.XYZ{X: 9}
	r := start(t, Options{Programs: sample(t), House: h})
	r.must(t, r.Break("access-point down"))
	r.tap(t, "hall.keys", 2)
	r.sleep(t, 5000)
	if a, _ := r.Value("hall.lamp"); a != 1 {
		t.Error("the hall has its own access point")
	}
	if b, _ := r.Value("living.lamp"); b != 0 {
		t.Error("the living room is out of reach")
	}
	r.must(t, r.Mend("access point down"))
	r.sleep(t, 10_000)
	r.tap(t, "hall.keys", 2)
	r.sleep(t, 1000)
	if a, _ := r.Value("hall.lamp"); a != 0 {
		t.Error("any on: all off")
	}
}
