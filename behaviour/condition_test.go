package behaviour

import (
	"fmt"
	"testing"

	"wirewright/behaviour/syntax"
	"wirewright/control"

	"pgregory.net/rapid"
)

// three is a truth value: 0 false, 1 true, control.Unknown neither.
type three = int32

// naive evaluates a condition over contacts by the three-valued tables (Kleene's strong logic): unknown and false is
// false, unknown or true is true, not unknown is unknown.
func naive(c syntax.Condition, value map[string]three) three {
	switch c := c.(type) {
	case *syntax.Not:
		if v := naive(c.Term, value); v != control.Unknown {
			return 1 - v
		}
		return control.Unknown
	case *syntax.All:
		return fold(c.Terms, value, 0)
	case *syntax.Any:
		return fold(c.Terms, value, 1)
	}
	t := c.(*syntax.Test)
	v := value[t.Name.Text]
	if t.Word.Text == "unknown" {
		v = map[bool]three{true: 1, false: 0}[v == control.Unknown]
	} else if t.Word.Text == "closed" && v != control.Unknown {
		v = 1 - v
	}
	if t.Not && v != control.Unknown {
		v = 1 - v
	}
	return v
}

// fold joins terms: one that is the deciding value decides; else one that is unknown leaves it unknown.
func fold(terms []syntax.Condition, value map[string]three, deciding three) three {
	out := 1 - deciding
	for _, t := range terms {
		switch naive(t, value) {
		case deciding:
			return deciding
		case control.Unknown:
			out = control.Unknown
		}
	}
	return out
}

var contacts = []string{"kitchen.window", "living.door"}

// condition draws a condition over the contacts of the sample house.
func condition(t *rapid.T, depth int) string {
	if depth == 0 || rapid.IntRange(0, 3).Draw(t, "leaf") == 0 {
		words := []string{"is open", "is closed", "is unknown", "is not open", "is not unknown"}
		return rapid.SampledFrom(contacts).Draw(t, "contact") + " " + rapid.SampledFrom(words).Draw(t, "word")
	}
	switch rapid.IntRange(0, 2).Draw(t, "form") {
	case 0:
		return "not (" + condition(t, depth-1) + ")"
	case 1:
		return "(" + condition(t, depth-1) + ") and (" + condition(t, depth-1) + ")"
	}
	return "(" + condition(t, depth-1) + ") or (" + condition(t, depth-1) + ")"
}

// TestConditionsEqualTheNaiveTwin presses a key under random conditions and every state of the contacts: the lamp goes
// on exactly where the naive evaluation says true.
func TestConditionsEqualTheNaiveTwin(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := "when hall.keys.1 is pressed, if " + condition(rt, 4) + ": turn on hall.ceiling for 1 min\n"
		c := compiled(t, text)
		cond := c.Rules[0].Rule.If
		p := c.Program("board1.head")
		for _, a := range []three{0, 1, control.Unknown} {
			for _, b := range []three{0, 1, control.Unknown} {
				value := map[string]three{contacts[0]: a, contacts[1]: b}
				want := three(0)
				if naive(cond, value) == 1 {
					want = 1
				}
				if got := pressUnder(c, p, value); got != want {
					rt.Fatalf("%s with %v: the lamp is %d, want %d", text, value, got, want)
				}
			}
		}
	})
}

// pressUnder starts a program with values of contacts, presses the first key of the hall and returns the lamp.
func pressUnder(c *Compiled, p *control.Program, value map[string]three) int32 {
	slot := func(name string) int16 {
		_, s, _ := c.Place(name)
		return s
	}
	s := p.NewState()
	for name, v := range value {
		p.Step(s, control.Event{Kind: control.EventInput, Slot: slot(name), Value: v}, nil)
	}
	p.Step(s, control.Event{Kind: control.EventStart, Slot: -1}, nil)
	p.Step(s, control.Event{Kind: control.EventInput, Slot: slot("hall.keys.1"), Value: 1}, nil)
	p.Step(s, control.Event{Kind: control.EventAdvance, Slot: -1, Elapsed: control.DebounceUsual}, nil)
	return p.Value(s, slot("hall.ceiling"))
}

// TestRulesSeeTheSnapshot is the check case of the design for one event, one instant: of "if off then on" and "if on
// then off" at one press only the first does something.
func TestRulesSeeTheSnapshot(t *testing.T) {
	c := compiled(t, `when hall.keys.1 is pressed, if hall.ceiling is off: turn on hall.ceiling
when hall.keys.1 is pressed, if hall.ceiling is on: turn off hall.ceiling
`)
	if got := pressUnder(c, c.Program("board1.head"), nil); got != 1 {
		t.Errorf("the lamp is %d after the press, want on", got)
	}
}

// TestEndlessRingIsCut: the ring of four modes is cut at the bound of the chain and told as a fault.
func TestEndlessRingIsCut(t *testing.T) {
	c := compiled(t, `mode p is off
mode q is off
when hall.keys.1 is pressed: set p to on
when p turns on: set q to on
when q turns on: set p to off
when p turns off: set q to off
when q turns off: set p to on
`)
	p := c.Program("board1.head")
	s := p.NewState()
	p.Step(s, control.Event{Kind: control.EventStart, Slot: -1}, nil)
	_, key, _ := c.Place("hall.keys.1")
	p.Step(s, control.Event{Kind: control.EventInput, Slot: key, Value: 1}, nil)
	for _, e := range p.Step(s, control.Event{Kind: control.EventAdvance, Slot: -1, Elapsed: control.DebounceUsual}, nil) {
		if e.Kind == control.EffectFault && control.FaultCode(e.Value) == control.FaultChain {
			return
		}
	}
	t.Error("the endless chain is not told")
}

func TestSchedules(t *testing.T) {
	none := control.Anchor{NotBefore: -1, NotAfter: -1}
	clock := func(m int16) control.Anchor {
		return control.Anchor{Minute: m, NotBefore: -1, NotAfter: -1}
	}
	for _, c := range []struct {
		text string
		want control.Schedule
	}{
		{"at 06:30", control.Schedule{Days: 127, From: clock(390), To: none}},
		{"at 06:30 on Monday to Friday", control.Schedule{Days: 0b11111, From: clock(390), To: none}},
		{"at 06:30 on Saturday to Monday", control.Schedule{Days: 0b1100001, From: clock(390), To: none}},
		{"at 06:30 from 1 November to 31 March", control.Schedule{Days: 127, From: clock(390), To: none, First: 1101, Last: 331}},
		{"at 06:30 on 24 December", control.Schedule{Days: 127, From: clock(390), To: none, First: 1224, Last: 1224}},
		{"at sunrise - 20 min", control.Schedule{Days: 127, To: none, From: control.Anchor{Kind: control.AnchorSunrise, Minute: -20, NotBefore: -1, NotAfter: -1}}},
		{"at sunset + 15 min but not before 17:00 and not after 21:30", control.Schedule{Days: 127, To: none,
			From: control.Anchor{Kind: control.AnchorSunset, Minute: 15, NotBefore: 1020, NotAfter: 1290}}},
		{"at sun below -4.5 °", control.Schedule{Days: 127, To: none, From: control.Anchor{Kind: control.AnchorSunBelow, Elevation: -45, NotBefore: -1, NotAfter: -1}}},
		{"at sun above 10 °", control.Schedule{Days: 127, To: none, From: control.Anchor{Kind: control.AnchorSunAbove, Elevation: 100, NotBefore: -1, NotAfter: -1}}},
		{"every 90 min on Sunday", control.Schedule{Days: 0b1000000, From: none, To: none, Every: 90}},
	} {
		p := compiled(t, c.text+": turn on hall.ceiling for 1 min\n").Program("board1.head")
		if len(p.Schedules) != 1 || p.Schedules[0] != c.want {
			t.Errorf("%s: got %+v, want %+v", c.text, p.Schedules, c.want)
		}
	}
	c := compiled(t, "hours night: between 22:00 and sunrise on Friday\nwhen hall.keys.1 is pressed, if night and dark: toggle hall.ceiling\n")
	want := fmt.Sprint([]control.Schedule{
		{Window: true, Days: 0b10000, From: clock(1320), To: control.Anchor{Kind: control.AnchorSunrise, NotBefore: -1, NotAfter: -1}}, darkness(),
	})
	if got := fmt.Sprint(c.Program("board1.head").Schedules); got != want {
		t.Errorf("windows: got %s, want %s", got, want)
	}
}

func TestQuantitiesBecomeSteps(t *testing.T) {
	for _, c := range []struct {
		text string
		want int32
	}{{"40 %", 400}, {"0.05 %", 1}, {"21.5 °C", 2150}, {"-2.5 °C", -250}, {"-0.004 °C", 0}, {"12 m/s", 120}, {"7.96 m/s", 80}, {"200 lx", 200}, {"1,5 klx", 1500}, {"42", 42}} {
		q, err := syntax.ParseQuantity(c.text)
		if err != nil || q.Steps() != c.want {
			t.Errorf("%s: %d steps, want %d (%v)", c.text, q.Steps(), c.want, err)
		}
	}
	for _, bad := range []string{"", "x", "3 min", "3 % 4", "%", "99999999999999999999"} {
		if q, err := syntax.ParseQuantity(bad); err == nil {
			t.Errorf("%q is read as %s", bad, q)
		}
	}
}
