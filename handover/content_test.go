package handover

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

// TestPermittedLoopImpedance checks what the test form prints against the maximum values published for BS 7671:2018
// (0.95 of 230 V, 0.4 s), as listed by maxzs.co.uk. Those are rounded to the nearest hundredth, ours are cut.
func TestPermittedLoopImpedance(t *testing.T) {
	p := bare(0)
	p.House.Site.Supply = house.Supply{Voltage: unit.Volts(230), Earthing: house.TNCS}
	b := newBuilder(p)
	for _, c := range []struct {
		curve     string
		rating    float64
		published float64
	}{{"B", 6, 7.28}, {"B", 10, 4.37}, {"B", 16, 2.73}, {"C", 10, 2.19}, {"C", 16, 1.37}, {"B", 32, 1.37}, {"D", 10, 1.09}} {
		got, err := strconv.ParseFloat(b.loopMost(&house.Circuit{Curve: c.curve, Rating: unit.Amperes(c.rating)}), 64)
		if err != nil || got > c.published+1e-9 || got < c.published-.0101 {
			t.Errorf("%s%g: %.2f, published %.2f (%v)", c.curve, c.rating, got, c.published, err)
		}
	}
	for _, c := range []house.Circuit{{Rating: unit.Amperes(16)}, {Curve: "B"}, {}} {
		if got := b.loopMost(&c); got != "" {
			t.Errorf("%+v: %q", c, got)
		}
	}
	p.House.Site.Supply.Earthing = house.TT
	if got := b.loopMost(&house.Circuit{Curve: "B", Rating: unit.Amperes(16)}); got != "" {
		t.Errorf("a TT system has no such limit, but %q is printed", got)
	}
}

func TestTestFormHasAPlaceForEveryReading(t *testing.T) {
	all := squeezed(strings.Join(pages(t), ""))
	for _, want := range []string{"Tester", "Licence no.", "Instrument, serial no., calibrated on", "Ze measured", "R1+R2", "L–L or", "L–PE", "N–PE", "at V d.c.", "Pola-", "Zs", "½ ×", "1 × ms", "5 × ms",
		"Test button", "Func-", "Remarks", "Loop resistance, far end joined", "Insulation against PE and mains, 250 V d.c.", "Polarity at every tap", "two, at the ends of the trunk",
		"Voltage at the last tap, idle and loaded", "Name and signature of the tester"} {
		if !strings.Contains(all, squeezed(want)) {
			t.Errorf("no place for %q", want)
		}
	}
	row := newBuilder(example()).testRow(&house.Circuit{ID: "b.f1", Curve: "B", Rating: unit.Amperes(16), Residual: 30_000, Section: unit.SquareMillimetres(2.5), Method: "C", Length: unit.Metres(18)}, 20)
	if row[2].Text != "B16" || row[3].Text != "30 mA" || row[4].Text != "2.5 mm²" || row[5].Text != "C, 18 m" || row[13].Text != "2.73" {
		t.Errorf("%+v", row)
	}
}

// TestLoopResistanceOfALine works the example of a line out by hand: 300 m of cable with 72 Ω a kilometre of loop are
// 21.6 Ω.
func TestLoopResistanceOfALine(t *testing.T) {
	p := bare(0)
	p.House.Lines = []house.Line{{ID: "line1", Cable: "bus-0.5", Taps: []house.Tap{{Module: "a"}, {Module: "b", Length: unit.Metres(180)}, {Module: "c", Length: unit.Metres(120)}}}}
	text := squeezed(textOf(t, p))
	for _, want := range []string{"21.60 Ω at 20 °C for 300.0 m (bus-0.5)", "Cable in all 300.0 m", "300.0 m"} {
		if !strings.Contains(text, squeezed(want)) {
			t.Errorf("no %q", want)
		}
	}
}

func TestStepsOfOneKindStandTogether(t *testing.T) {
	got := together([]string{"at 2025-01-13 12:00", "press hall.keys.1", "expect hall.lamp off", "expect porch.lamp off", "expect hall.stairs off", "expect hall.fan on", "set a.b to on", "set c.d to on",
		"wait 3 s", `expect notice "a b"`, `expect notice "c d"`, "set mode to winter"})
	want := []string{"at 2025-01-13 12:00", "press hall.keys.1", "expect hall.lamp, porch.lamp and hall.stairs off", "expect hall.fan on", "set a.b and c.d to on", "wait 3 s",
		`expect notice "a b"`, `expect notice "c d"`, "set mode to winter"}
	if !slices.Equal(got, want) {
		t.Errorf("%q\nwant %q", got, want)
	}
}

func TestVerdicts(t *testing.T) {
	test := func(list ...TestResult) Test { return Test{Results: list} }
	for _, c := range []struct {
		test Test
		want string
	}{
		{test(), "not tried"},
		{test(TestResult{Where: Rehearsal, Tried: true, Passed: true}), "not tried"},
		{test(TestResult{Where: Site, Tried: true, Passed: true}), "passed"},
		{test(TestResult{Where: Site, Tried: true, Detail: "stays off"}), "FAILED: stays off"},
		{test(TestResult{Where: Site, Detail: "no router to break"}), "not tried: no router to break"},
		{test(TestResult{Where: Site, Tried: true, Detail: "stays off"}, TestResult{Where: Site, Tried: true, Passed: true}), "passed"},
	} {
		if got := c.test.verdict(Site); got != c.want {
			t.Errorf("%+v: %q, want %q", c.test, got, c.want)
		}
	}
	tests := []Test{test(TestResult{Where: Site, Tried: true, Passed: true}), test(TestResult{Where: Site, Tried: true}), test(TestResult{Where: Site})}
	if got, want := acceptance(tests), "rehearsal: 0 passed, 0 failed, 3 not tried; site: 1 passed, 1 failed, 1 not tried"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestGuideSpeaksTheOwnersWords(t *testing.T) {
	b := newBuilder(example())
	for rule, want := range map[string]string{
		"when porch.presence begins, if dark: turn on porch.lamp for 3 min": "when “Presence at the porch” begins, if dark: turn on “Porch light” for 3 min",
		"when hall.keys.2 is pressed: toggle porch.lamp":                    "when key 2 of “Keys at the front door” is pressed: toggle “Porch light”",
		"at 06:30: raise all shutters of child-1":                           "at 06:30: raise all shutters of “Children's room, south”",
		"at sunset + 10 min: turn on garden.path.":                          "at sunset + 10 min: turn on “Path lights”.",
		"when nothing.known is odd: hall":                                   "when nothing.known is odd: hall",
	} {
		if got := b.plain(rule); got != want {
			t.Errorf("%q\nwant %q", got, want)
		}
	}
}

func TestGuideTellsWhatWorksWithoutTheRouter(t *testing.T) {
	p := bare(8)
	keys := p.House.Points[slices.IndexFunc(p.House.Points, func(x house.Point) bool { return x.Kind == house.Keypad })].ID
	p.Rules = []Rule{{Name: "near", Text: "when a: b"}, {Name: "far", Text: "when c: d", Network: "router and broker"}, {Name: "own", Text: "when power returns: turn on x.y"}}
	p.Keys = []KeyLegend{{Point: keys, Key: 1, Caption: "Lamp", Lines: []string{"press: lamp"}, Rules: []string{"near"}},
		{Point: keys, Key: 2, Caption: "All off", Lines: []string{"press: all", "hold: more"}, Rules: []string{"near", "far"}}}
	text := textOf(t, p)
	for _, want := range []string{"2 of the 3 rules need no router and go on.", string(keys) + ": Lamp\n", "hold: more (router)", "press: lamp\n", "When power returns: turn on x.y.", "But: when power returns"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%.3000s", want, text)
		}
	}
	if got := newBuilder(p).keysAlone(keys); !slices.Equal(got, []string{"Lamp"}) {
		t.Errorf("keys that go on: %q", got)
	}
}

func TestFreeChannelsAreToldTogether(t *testing.T) {
	p := bare(0)
	p.House.Points = []house.Point{{ID: "a.lamp", Kind: house.Lamp, Title: "Lamp", Load: &house.Load{Category: house.LED, Power: unit.Watts(9), Count: 3, Factor: .9}, Circuit: "f1"}}
	p.House.Modules = []house.Module{{ID: "m", Type: "keypad-4", Landings: nil}, {ID: "none", Type: "no-such-type", Title: "Odd"}}
	for _, typ := range p.Catalogue.Types {
		if len(typ.Channels) > 0 && typ.Channels[0].Count >= 4 && typ.Channels[0].Kind == "out" {
			p.House.Modules[0].Type = typ.ID
		}
	}
	p.House.Modules[0].Landings = []house.Landing{{Channel: "out2", Point: "a.lamp"}}
	s := newBuilder(p).modules()
	if got := s.Rows[1][0].Text + "|" + s.Rows[1][1].Text + "|" + s.Rows[2][1].Text + "|" + s.Rows[2][4].Text; got != "out1|free|a.lamp|3 × led 9 W cosφ 0.9" {
		t.Errorf("%q", got)
	}
	if first, last := s.Rows[3][0].Text, s.Rows[3][1].Text; !strings.HasPrefix(first, "out3…out") || last != "free" {
		t.Errorf("the free channels are told as %q, %q", first, last)
	}
	if got := s.Rows[len(s.Rows)-1][0].Text; got != "none · Odd · no-such-type (not in the catalogue)" {
		t.Errorf("a module of no known type is told as %q", got)
	}
}

func TestBillAddsUp(t *testing.T) {
	s := newBuilder(example()).bill()
	sum, number := 0.0, 0.0
	for _, row := range s.Rows[:len(s.Rows)-1] {
		sum += row[5].Number
		if row[3].Text == "piece" {
			number += row[2].Number
		}
	}
	if last := s.Rows[len(s.Rows)-1][5].Number; sum < last-.001 || sum > last+.001 || int(number) != len(example().House.Modules) {
		t.Errorf("the sum is %.2f, the lines make %.2f; %g pieces of %d modules", last, sum, number, len(example().House.Modules))
	}
	if !slices.ContainsFunc(s.Rows, func(r []Cell) bool { return len(r) > 3 && r[3].Text == "m" }) {
		t.Error("no bus cable in the bill")
	}
}

func TestCircuitsSayWhatTheyFeed(t *testing.T) {
	b := newBuilder(example())
	if got := b.feeds("board1.f6"); !strings.Contains(got, "Porch") || !strings.Contains(got, "points: ") || !strings.Contains(got, "modules") {
		t.Errorf("%q", got)
	}
	if got := b.feeds("no-such"); got != "" {
		t.Errorf("%q", got)
	}
	c := &house.Circuit{Section: unit.SquareMillimetres(2.5), Earth: unit.SquareMillimetres(1.5)}
	if got := cableText(c); got != "2.5 mm², PE 1.5 mm²" {
		t.Errorf("%q", got)
	}
}

func TestFiguresAndUnitsStayTogether(t *testing.T) {
	for s, want := range map[string]string{"30 mA": "30_mA", "4 × led 10 W": "4_× led 10_W", "2 keys more": "2 keys more", "board 2": "board 2", "1.5 mm² B1": "1.5_mm² B1", "": ""} {
		if got := strings.ReplaceAll(glue(s), "\u00a0", "_"); got != want {
			t.Errorf("%q glues to %q, want %q", s, got, want)
		}
	}
}

func TestMarksFlagWhatIsWrong(t *testing.T) {
	m := Marks([]check.Finding{{Severity: check.Fault, Entity: "a", Text: "one"}, {Severity: check.Remark, Entity: "b"}, {Severity: check.Caution, Entity: "a", Text: "two"}})
	if len(m) != 1 || len(m["a"]) != 2 || m["a"][0].Text != "one" {
		t.Errorf("%v", m)
	}
}

func TestWhatPointsAreCalled(t *testing.T) {
	p := &house.Point{ID: "a", Kind: house.Keypad, Keys: []string{"x", "y"}}
	if got := What(p); got != "keypad with 2 keys" {
		t.Errorf("%q", got)
	}
	p.Title = "At the door"
	if got := What(p); got != "At the door (keypad with 2 keys)" {
		t.Errorf("%q", got)
	}
	if got := LoadText(&house.Point{}); got != "" {
		t.Errorf("%q", got)
	}
}

func TestPointsOfOneTitleAreToldApartByTheirRoom(t *testing.T) {
	p := bare(0)
	p.House.Rooms = []house.Room{{ID: "a", Title: "Bedroom", Number: "101"}, {ID: "b"}}
	p.House.Points = []house.Point{{ID: "a.lamp", Title: "Ceiling lamp", Room: "a"}, {ID: "b.lamp", Title: "Ceiling lamp", Room: "b"}, {ID: "b.fan", Title: "Fan", Room: "b"}, {ID: "b.x", Room: "b"}}
	b := newBuilder(p)
	for i, want := range []string{"Ceiling lamp, 101 Bedroom", "Ceiling lamp, b", "Fan", "b.x"} {
		if got := b.spoken(&p.House.Points[i]); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
