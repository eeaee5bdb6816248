package control

import (
	"fmt"
	"testing"
)

// storey is a program of the size of a large controller: 100 slots, 50 rules with conditions, gestures, timers, holds.
func storey(t testing.TB) *Program {
	b := newBuilder()
	wind := b.input("wind", QuantityWind)
	away := b.variable("away", 0)
	peer := b.peer("upstairs")
	far := b.mirror("upstairs.landing", peer, 7)
	var lamps []int16
	for i := range 25 {
		lamps = append(lamps, b.lamp(fmt.Sprintf("lamp%d", i)))
	}
	dim := b.dimmer("table", 50)
	for i := range 15 {
		name := fmt.Sprintf("shutter%d", i)
		b.hold(name+" wind", b.shutter(name, 0), RankSafety, -1, false)
	}
	var keys []int16
	for i := range 40 {
		keys = append(keys, b.key(fmt.Sprintf("key%d", i)))
	}
	for i := range 100 - len(b.p.Slots) {
		b.input(fmt.Sprintf("contact%d", i), QuantityBool)
	}
	all := b.list(append([]int16{far}, lamps...)...)
	for i := range 36 {
		if i%3 == 0 {
			b.gesture(keys[i], 30, 500, 0)
			b.rule(ruleOf{name: fmt.Sprintf("all off by key %d", i), causes: []Cause{at1(CauseLong, keys[i])}, actions: []Action{{Kind: ActionOff, To: TargetList, Index: all}}})
			continue
		}
		b.rule(ruleOf{name: fmt.Sprintf("key %d", i), causes: []Cause{at1(CausePress, keys[i])}, cond: is(away, 0), actions: []Action{do(ActionToggle, lamps[i%25])}})
	}
	stair := b.timer("stair", TimerRunOn, -1, 120_000)
	b.rule(ruleOf{name: "stair", causes: []Cause{at1(CausePress, keys[36])}, actions: []Action{set(lamps[0], 1), {Kind: ActionStartTimer, Index: stair}}})
	b.rule(ruleOf{name: "stair off", causes: []Cause{{Kind: CauseExpired, Timer: stair}}, actions: []Action{set(lamps[0], 0)}})
	b.rule(ruleOf{name: "blow", causes: []Cause{{Kind: CauseAbove, Slot: wind, Level: 120, Band: 20}}, actions: []Action{{Kind: ActionHold, To: TargetHold, Index: 0}}})
	b.rule(ruleOf{name: "calm", causes: []Cause{{Kind: CauseBelow, Slot: wind, Level: 80, Band: 20}}, actions: []Action{{Kind: ActionRelease, To: TargetHold, Index: 0}}})
	b.rule(ruleOf{name: "table", causes: []Cause{at1(CausePress, keys[37])}, actions: []Action{do(ActionToggle, dim)}})
	for i := len(b.p.Rules); i < 50; i++ {
		b.rule(ruleOf{name: fmt.Sprintf("contact %d", i), causes: []Cause{on(b.slots["contact0"]), off(b.slots["contact1"])},
			cond: append(is(away, 1), is(far, 1)[0], Instr{OpConst, 0}, Instr{OpEqual, 0}, Instr{OpAnd, 0}), actions: []Action{set(away, 0)}})
	}
	return b.done(t)
}

// day is a row of ordinary events for the storey: key presses with what follows, wind, contacts, passing time.
func day(p *Program) []Event {
	var out []Event
	slot := func(name string) int16 {
		for i, s := range p.Slots {
			if s.Name == name {
				return int16(i)
			}
		}
		return -1
	}
	for i := range 64 {
		k := slot(fmt.Sprintf("key%d", (i*7)%38))
		out = append(out,
			Event{Kind: EventInput, Slot: k, Value: 1, Elapsed: 400},
			Event{Kind: EventInput, Slot: k, Value: 0, Elapsed: 120},
			Event{Kind: EventInput, Slot: slot("wind"), Value: int32(60 + i%7*5), Elapsed: 250},
			Event{Kind: EventInput, Slot: slot("contact0"), Value: int32(i % 2), Elapsed: 10},
			Event{Kind: EventMirror, Slot: slot("upstairs.landing"), Value: int32(i / 2 % 2)},
			Event{Kind: EventAdvance, Slot: -1, Elapsed: 100})
	}
	return out
}

func TestStepDoesNotAllocate(t *testing.T) {
	p := storey(t)
	s, out := p.NewState(), make([]Effect, 0, 4096)
	out = p.Step(s, Event{Kind: EventStart, Slot: -1}, out[:0])
	events, i := day(p), 0
	if n := testing.AllocsPerRun(2000, func() { out = p.Step(s, events[i%len(events)], out[:0]); i++ }); n != 0 {
		t.Errorf("%v allocations a step", n)
	}
	// An instant with very many writes takes the larger frame, still without allocating.
	long := Event{Kind: EventInput, Slot: p.Gestures[0].Slot, Value: 1}
	wait := Event{Kind: EventAdvance, Slot: -1, Elapsed: 600}
	if n := testing.AllocsPerRun(50, func() {
		for _, l := range p.list(0)[1:] {
			s[slotBase+int(l)] = 1
		}
		long.Value = 1
		p.Step(s, long, out[:0])
		if got := p.Step(s, wait, out[:0]); len(outputs2(got)) < 25 {
			t.Fatalf("all off gave %d effects", len(got))
		}
		long.Value = 0
		p.Step(s, long, out[:0])
		p.Step(s, wait, out[:0])
	}); n != 0 {
		t.Errorf("%v allocations for all off", n)
	}
}

// outputs2 counts without allocating.
func outputs2(out []Effect) []Effect { return out }

func BenchmarkStep(b *testing.B) {
	p := storey(b)
	s, out := p.NewState(), make([]Effect, 0, 4096)
	out = p.Step(s, Event{Kind: EventStart, Slot: -1}, out[:0])
	events := day(p)
	b.ReportAllocs()
	effects := 0
	for i := 0; b.Loop(); i++ {
		out = p.Step(s, events[i%len(events)], out[:0])
		effects += len(out)
	}
	b.ReportMetric(float64(effects)/float64(b.N), "effects/op")
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds()/1e6, "Msteps/s")
}

func BenchmarkPress(b *testing.B) {
	p := storey(b)
	s, out := p.NewState(), make([]Effect, 0, 4096)
	out = p.Step(s, Event{Kind: EventStart, Slot: -1}, out[:0])
	k := p.Gestures[0].Slot + 1 // a key that acts on the press itself
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		out = p.Step(s, Event{Kind: EventInput, Slot: k, Value: int32(1 - i%2)}, out[:0])
	}
}

func BenchmarkDecode(b *testing.B) {
	bytes := storey(b).Encode()
	b.SetBytes(int64(len(bytes)))
	for b.Loop() {
		if _, err := Decode(bytes); err != nil {
			b.Fatal(err)
		}
	}
}
