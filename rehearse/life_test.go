package rehearse

import (
	"strings"
	"testing"

	"wirewright/control"
)

// A week with outages every half hour: no fault, and every mirror agrees whenever nothing is under way.
func TestLifeWithoutFault(t *testing.T) {
	r := start(t, Options{Network: UsualNetwork(), Physics: Physics{Spread: 30, Lag: 100}})
	for seed := range uint64(3) {
		report, err := r.Live(Life{Seed: seed, Days: 3, Presses: 60, Outages: 48})
		if err != nil {
			t.Fatal(err)
		}
		if len(report.Faults) > 0 {
			t.Errorf("%s", report)
		}
		if report.Counts.Presses < 500 || report.Counts.Answers < 200 || report.Counts.Commands < 100 {
			t.Errorf("too little happened: %+v", report.Counts)
		}
	}
}

// Same seed, same bytes; another seed, another story.
func TestDeterminism(t *testing.T) {
	network := UsualNetwork()
	network.WiFi.Loss, network.WiFi.Double, network.WiFi.Overtake = 20, 20, 20
	live := func(seed uint64) string {
		r := start(t, Options{Network: network})
		report, err := r.Live(Life{Seed: seed, Days: 1, Outages: 20})
		if err != nil {
			t.Fatal(err)
		}
		trace, err := r.TraceJSON(0, r.Elapsed()+1)
		if err != nil {
			t.Fatal(err)
		}
		return report.String() + string(trace)
	}
	a, b, c := live(7), live(7), live(8)
	if a != b {
		t.Error("the same seed told two stories")
	}
	if a == c {
		t.Error("two seeds told one story")
	}
	if strings.Count(a, "\n") < 200 {
		t.Errorf("hardly anything happened:\n%s", a)
	}
}

// A state that is lost for good leaves a mirror wrong for ever: the life must find it and say how to see it again.
func TestLostStatesAreFound(t *testing.T) {
	network := UsualNetwork()
	network.WiFi.Loss, network.Cable.Loss = 200, 200
	r := start(t, Options{Network: network})
	report, err := r.Day(1, 1)
	if err != nil {
		t.Fatal(err)
	}
	text := report.String()
	if len(report.Faults) == 0 || !strings.Contains(text, "nothing is under way") {
		t.Fatalf("a fifth of all messages is lost, and nothing is found:\n%s", text)
	}
	if !strings.Contains(text, "seed 1; repeat with: wirewright rehearse --seed 1 --days 1\n") {
		t.Errorf("it does not say how to repeat it:\n%s", text)
	}
}

// Two controllers whose rules set each other off over the network.
func TestEndlessRulesAreFound(t *testing.T) {
	build := func(name, other string, kick bool) *control.Program {
		b := newSheet(name, other)
		own := b.lamp(name+".lamp", name)
		far := b.mirror(other+".lamp", 0, 0, false)
		if kick {
			k := b.key(name+".keys.1", name)
			b.rule("kick", control.Cause{Kind: control.CausePress, Slot: k}, act(control.ActionOn, own))
			b.rule("opposite", control.Cause{Kind: control.CauseChange, Slot: far}, act(control.ActionToggle, own))
		} else {
			b.rule("follow", control.Cause{Kind: control.CauseChange, Slot: far}, act(control.ActionToggle, own))
		}
		return b.done(t)
	}
	network := perfect()
	network.WiFi = Link{Least: 1, Typical: 1}
	r := start(t, Options{Programs: []*control.Program{build("a", "b", true), build("b", "a", false)}, Network: network})
	r.tap(t, "a.keys", 1)
	r.sleep(t, 15_000)
	if list := r.Faults(); len(list) == 0 || !strings.Contains(list[0].Text, "set each other off") {
		t.Errorf("faults: %+v", list)
	}
}

// Two rules that want different things of one lamp in one instant.
func TestConflictIsReported(t *testing.T) {
	b := newSheet("box")
	lamp := b.lamp("lamp", "box")
	k := b.key("keys.1", "box")
	b.rule("on", control.Cause{Kind: control.CausePress, Slot: k}, act(control.ActionOn, lamp))
	b.rule("off", control.Cause{Kind: control.CausePress, Slot: k}, act(control.ActionOff, lamp))
	r := start(t, Options{Programs: []*control.Program{b.done(t)}})
	for range 3 {
		r.tap(t, "keys", 1)
		r.sleep(t, 500)
	}
	list := r.Faults()
	if len(list) != 1 || list[0].Count != 3 || !strings.Contains(list[0].Text, "two rules want different things of lamp") {
		t.Errorf("faults: %+v", list)
	}
}

// What the control core never does is looked for all the same: these effects are made up.
func TestOutputsThatMustNotBe(t *testing.T) {
	r := start(t, Options{})
	shutter := r.owner["living.shutter"]
	for _, c := range []struct {
		event  control.Event
		effect control.Effect
		want   string
	}{
		{control.Event{Kind: control.EventStart}, control.Effect{Kind: control.EffectMotor, Value: 1, Cause: -1}, "moves by itself when power returns"},
		{control.Event{Kind: control.EventStart}, control.Effect{Kind: control.EffectMotor, Value: 1, Cause: 0}, ""}, // a rule says so
		{control.Event{Kind: control.EventCommand, Age: 2001, Expiry: 2000}, control.Effect{Kind: control.EffectMotor, Value: 1}, "had expired"},
		{control.Event{Kind: control.EventCommand, Age: 2000, Expiry: 2000}, control.Effect{Kind: control.EffectMotor, Value: 1}, ""},
	} {
		r.faults = faults{}
		c.effect.Slot = shutter.slot
		r.checkOutput(shutter.who, &c.event, &c.effect)
		if list := r.Faults(); (c.want == "") != (len(list) == 0) || c.want != "" && !strings.Contains(list[0].Text, c.want) {
			t.Errorf("%+v: %+v", c, list)
		}
	}
}

func TestLifeRefusesNonsense(t *testing.T) {
	r := start(t, Options{})
	for _, l := range []Life{{Days: 0}, {Days: DaysMost + 1}, {Days: 1, Presses: -1}, {Days: 1, Outages: -1}} {
		if _, err := r.Live(l); err == nil {
			t.Errorf("%+v was lived", l)
		}
	}
}

// The slowest answer is measured from the key to the channel: debouncing, two legs, a bus cycle.
func TestLatencyIsMeasured(t *testing.T) {
	r := start(t, Options{})
	r.stats = Statistics{}
	r.tap(t, "hall.keys", 2)
	r.sleep(t, 1000)
	if s := r.Statistics(); s.Answers != 2 || s.Worst != 40 || s.WorstName != "living.lamp" || s.Median != 40 {
		t.Errorf("30 ms of debouncing and two legs of 5 ms: %+v", s)
	}
	r.tap(t, "wing.keys", 1)
	r.sleep(t, 1000)
	if s := r.Statistics(); s.Answers != 3 || s.Worst > 60 {
		t.Errorf("two bus cycles of 10 ms at most: %+v", s)
	}
}
