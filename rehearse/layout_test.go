package rehearse

import (
	"testing"
	"time"

	"wirewright/catalogue"
	"wirewright/house"
)

// A line whose house names supplies dies with the last of them, and its modules come back with the first.
func TestSuppliesOfALine(t *testing.T) {
	cat := &catalogue.Catalogue{Types: []catalogue.Type{{ID: "feed", Role: catalogue.RoleSupply}, {ID: "wired-head", Medium: catalogue.Wired, Role: catalogue.RoleHead}}}
	h := sampleHouse()
	h.Modules = append(h.Modules, house.Module{ID: "feed1", Type: "feed"}, house.Module{ID: "feed2", Type: "feed"})
	h.Modules[2].Type = "wired-head"
	h.Lines[0].Taps = append(h.Lines[0].Taps, house.Tap{Module: "feed1"}, house.Tap{Module: "feed2"})
	r := start(t, Options{Programs: sample(t), House: h, Catalogue: cat})
	lamp := func(want int32) {
		t.Helper()
		r.tap(t, "wing.keys", 1)
		r.sleep(t, 500)
		if v, _ := r.Value("wing.lamp"); v != want {
			t.Errorf("the lamp is %d, not %d", v, want)
		}
	}
	lamp(1)
	r.must(t, r.Break("supply feed1"))
	lamp(0)
	r.must(t, r.Break("module feed2"))
	lamp(0) // nobody hears the key
	r.must(t, r.Break("supply feed2"))
	r.must(t, r.Mend("supply feed1"))
	r.sleep(t, 1000)
	lamp(1)
}

// Cables are quicker than radio, and one that the catalogue calls wired has a cable though it heads no line.
func TestMedium(t *testing.T) {
	cat := &catalogue.Catalogue{Types: []catalogue.Type{{ID: "w", Medium: catalogue.Wired}, {ID: "r", Medium: catalogue.WiFi}}}
	h := &house.House{Modules: []house.Module{{ID: "hall.box", Type: "w"}, {ID: "living.box", Type: "r"}, {ID: "head", Type: "r"}},
		Lines: []house.Line{{ID: "l", Head: "head", Taps: []house.Tap{{Module: "head"}, {Module: "inputs"}, {Module: "relays"}, {Module: "motors"}}}}}
	r := start(t, Options{Programs: sample(t), House: h, Catalogue: cat})
	for i, want := range []bool{true, false, true} {
		if r.controllers[i].cable != want {
			t.Errorf("%s: cable %v", r.name(int32(i)), r.controllers[i].cable)
		}
	}
	if got := r.modules[r.controllers[2].slots[0].module]; got.name != "relays" || got.line != 0 || got.head != 2 {
		t.Errorf("the relay module: %+v", got)
	}
}

// The nearest access point counts from the module, or from the point in whose box it sits.
func TestNearestAccessPoint(t *testing.T) {
	h := &house.House{
		Points: []house.Point{{ID: "p", At: &house.XYZ{X: 9}}},
		Network: house.Network{AccessPoints: []house.AccessPoint{{ID: "nowhere"}, {ID: "left", At: &house.XYZ{}},
			{ID: "right", At: &house.XYZ{X: 10}}, {ID: "above", At: &house.XYZ{X: 10, Z: 3}}}},
	}
	for _, c := range []struct {
		m    house.Module
		want int32
	}{
		{house.Module{At: &house.XYZ{X: 1}}, 1}, {house.Module{Point: "p"}, 2}, {house.Module{At: &house.XYZ{X: 9, Z: 2.5}}, 3},
		{house.Module{Point: "p", At: &house.XYZ{X: 2}}, 1}, {house.Module{}, 0},
	} {
		if got := nearest(h, &c.m); got != c.want {
			t.Errorf("%+v: %d, want %d", c.m, got, c.want)
		}
	}
}

func TestComponentWords(t *testing.T) {
	for text, want := range map[string][2]string{"router": {"router", ""}, "module hall.box": {"module", "hall.box"},
		"access point ap1": {"access-point", "ap1"}, "access-point ap1": {"access-point", "ap1"}, " line  l1 ": {"line", "l1"}, "": {"", ""}} {
		if what, which := component(text); what != want[0] || which != want[1] {
			t.Errorf("%q: %q %q", text, what, which)
		}
	}
}

// People sleep from 23:30 to 06:30, also over the nights in which the clocks change.
func TestPeopleSleep(t *testing.T) {
	r := start(t, Options{})
	at := func(month time.Month, day, hour, minute int) {
		r.setClock(time.Date(2026, month, day, hour, minute, 0, 0, r.calendar.Zone()), time.Date(2026, month, day, hour, minute, 0, 0, r.calendar.Zone()))
	}
	for _, c := range []struct {
		month             time.Month
		day, hour, minute int
		up                bool
		wait              time.Duration // until they get up
	}{
		{3, 2, 6, 29, false, time.Minute}, {3, 2, 6, 30, true, 0}, {3, 2, 23, 29, true, 0}, {3, 2, 23, 30, false, 7 * time.Hour},
		{3, 28, 23, 30, false, 6 * time.Hour},  // 29 March 2026: clocks go forward
		{10, 24, 23, 30, false, 8 * time.Hour}, // 25 October 2026: clocks go back
	} {
		at(c.month, c.day, c.hour, c.minute)
		up, next := r.awake()
		if up != c.up || !up && time.Duration(next-r.now)*time.Millisecond != c.wait {
			t.Errorf("%+v: up %v, next in %d ms", c, up, next-r.now)
		}
	}
}

// A life presses keys by day only, about as often as asked, and repeats with its seed.
func TestPressesOfALife(t *testing.T) {
	r := start(t, Options{Trace: 1_000_000})
	report, err := r.Live(Life{Seed: 9, Days: 10, Presses: 20})
	if err != nil {
		t.Fatal(err)
	}
	presses := 0
	for _, e := range r.Trace(0, r.Elapsed()+1) {
		if e.Kind != KindPress {
			continue
		}
		presses++
		wall := r.wall.Add(time.Duration(e.At-r.wallSince) * time.Millisecond).In(r.calendar.Zone())
		if m := wall.Hour()*60 + wall.Minute(); m < 6*60+30 || m > 23*60+31 {
			t.Errorf("pressed at %s", wall)
		}
	}
	// 7 keys and 2 contacts, 20 acts a day each, of which 7 in 9 are keys; some acts are two presses.
	if presses != report.Counts.Presses || presses < 1300 || presses > 1700 {
		t.Errorf("%d presses told, %d counted; about 1500 are expected", presses, report.Counts.Presses)
	}
}
