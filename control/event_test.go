package control

import (
	"sync"
	"testing"
)

// TestMalformedEventsChangeNothing: a fault, and the state, time included, stays as it was.
func TestMalformedEventsChangeNothing(t *testing.T) {
	h := newBench(t, fixture(t, "terrace")) // 0, 1 keys, 2 wind, 3 door, 4 awning, 5 lamp; peers roof, hall
	h.start()
	h.input(2, 50)
	command := func(change func(e *Event)) Event {
		e := Event{Kind: EventCommand, Slot: 5, Verb: VerbSet, Peer: 0, Seq: 9, Expiry: 100, Elapsed: 100}
		change(&e)
		return e
	}
	for i, e := range []Event{
		{Kind: EventAdvance, Slot: -1, Elapsed: -1},
		{Kind: EventInput, Slot: -1}, {Kind: EventInput, Slot: 6}, {Kind: EventInput, Slot: 4}, {Kind: EventInput, Slot: 0, Value: 2, Elapsed: 5},
		{Kind: EventInput, Slot: 0, Value: Unknown}, {Kind: EventInput, Slot: 3, Value: 2}, {Kind: EventMirror, Slot: 2}, {Kind: EventClock, Slot: 2},
		{Kind: EventMessage, Slot: 2}, {Kind: EventLink, Slot: 2}, {Kind: EventLink, Slot: -1, Peer: 2}, {Kind: EventLink, Slot: -1, Peer: 0, Value: 2}, {Kind: EventLink, Slot: -2}, {Kind: 99, Slot: 0},
		command(func(e *Event) { e.Peer = 2 }), command(func(e *Event) { e.Peer = -2 }), command(func(e *Event) { e.Seq = 0 }), command(func(e *Event) { e.Age = -1 }),
		command(func(e *Event) { e.Expiry = -1 }), command(func(e *Event) { e.Fade = -1 }), command(func(e *Event) { e.Slot = 2 }), command(func(e *Event) { e.Value = 2 }), command(func(e *Event) { e.Value = Unknown }),
		command(func(e *Event) { e.Verb = 99 }), command(func(e *Event) { e.Verb = VerbRaise }), command(func(e *Event) { e.Slot, e.Verb = 4, VerbToggle }), command(func(e *Event) { e.Slot, e.Verb = 4, VerbOn }),
		command(func(e *Event) { e.Slot, e.Verb = 4, VerbSlat }), command(func(e *Event) { e.Verb, e.Value = VerbHold, 1<<16 }), command(func(e *Event) { e.Slot, e.Verb, e.Value = 4, VerbHold, 1<<16|1001 }),
		command(func(e *Event) { e.Slot, e.Verb, e.Value = 4, VerbHold, -1 }), command(func(e *Event) { e.Slot, e.Verb, e.Value = 4, VerbRelease, 2<<16 }),
	} {
		before := h.s.Clone()
		out := h.step(e)
		if len(out) != 1 || out[0].Kind != EffectFault || out[0].Value != int32(FaultRange) || out[0].Cause != -1 {
			t.Errorf("event %d %+v: %s", i, e, h.words(out))
		}
		if !h.s.Equal(before) {
			t.Errorf("event %d %+v changed the state", i, e)
		}
	}
	if out := h.p.Step(h.s[1:], Event{Kind: EventAdvance, Slot: -1}, nil); len(out) != 1 || out[0].Value != int32(FaultRange) {
		t.Errorf("a state of another length: %v", out)
	}
}

// TestBeforeTheStartNothingFollows: values are taken over, commands and messages do nothing.
func TestBeforeTheStartNothingFollows(t *testing.T) {
	h := newBench(t, fixture(t, "hall"))
	if h.p.Value(h.s, 3) != Unknown || h.p.Value(h.s, 99) != Unknown {
		t.Error("before the start nothing is known")
	}
	for _, e := range []Event{{Kind: EventInput, Slot: 2, Value: 1}, {Kind: EventMirror, Slot: 5, Value: 1}, {Kind: EventClock, Slot: 8, Value: 1}, {Kind: EventClock, Slot: 9, Value: 1},
		{Kind: EventLink, Slot: -1, Peer: 0, Value: 1}, {Kind: EventMessage, Slot: 11}, {Kind: EventCommand, Slot: 3, Value: 1, Seq: 1, Peer: -1}, {Kind: EventAdvance, Slot: -1, Elapsed: 1000}} {
		if out := h.step(e); len(out) != 0 {
			t.Errorf("%+v: %s", e, h.words(out))
		}
	}
	h.start()
	for slot, want := range map[int16]int32{2: 1, 3: 0, 5: 1, 8: 1, 9: 0, 10: 1} {
		h.want(slot, want)
	}
	if q, _ := h.p.TimerOutput(h.s, 1); !q {
		t.Error("the off-delay of a contact that is on is on")
	}
}

// TestNumbersOfCommands: what was taken before or is older does nothing, also where the numbers wrap; numbers are kept by
// sender, and a late command does nothing but counts as taken.
func TestNumbersOfCommands(t *testing.T) {
	h := newBench(t, fixture(t, "terrace"))
	h.start()
	toggle := func(peer int16, seq uint32, age int32) bool {
		was := h.value(5)
		h.step(Event{Kind: EventCommand, Verb: VerbToggle, Slot: 5, Peer: peer, Seq: seq, Age: age, Expiry: 500})
		return h.value(5) != was
	}
	for i, c := range []struct {
		peer int16
		seq  uint32
		age  int32
		done bool
	}{
		{0, 1, 0, true}, {0, 1, 0, false}, {1, 1, 0, true}, {-1, 1, 0, true}, {0, 3, 500, true}, {0, 2, 0, false}, {0, 4, 501, false}, {0, 4, 0, false}, {0, 5, 0, true},
		{1, 1<<31 + 1, 0, false}, {1, 1 << 31, 0, true}, {1, 1<<32 - 1, 0, true}, {1, 1, 0, true}, {1, 1<<32 - 1, 0, false},
	} {
		if got := toggle(c.peer, c.seq, c.age); got != c.done {
			t.Errorf("command %d %+v: done %v", i, c, got)
		}
	}
}

// TestSentNumbersRiseAndSkipZero also over the wrap.
func TestSentNumbersRiseAndSkipZero(t *testing.T) {
	h := newBench(t, fixture(t, "hall"))
	h.start()
	h.p.Sent(h.s)[0] = -2
	want := []uint32{1<<32 - 1, 1, 2}
	for i := range want {
		h.step(Event{Kind: EventMessage, Slot: 11}) // away: the group is switched off
		h.command(6, VerbSet, 0)
		for _, e := range h.step(Event{Kind: EventAdvance, Slot: -1}) {
			t.Errorf("%v", e)
		}
		if got := uint32(h.p.Sent(h.s)[0]); got != want[i] {
			t.Errorf("command %d has number %d, want %d", i, got, want[i])
		}
	}
}

// TestLinks: a link is named by its slot, or all links to a peer or to the network by the peer.
func TestLinks(t *testing.T) {
	b := newBuilder()
	first := b.slot(Slot{Name: "link p", Kind: SlotLink, Peer: 0, Start: Unknown})
	p := b.peer("p")
	mirror := b.mirror("m", p, 0)
	b.p.Slots[mirror].Forget = true
	net := b.slot(Slot{Name: "network", Kind: SlotLink, Peer: -1, Start: Unknown})
	lamp := b.lamp("lamp")
	h := newBench(t, b.done(t))
	h.start()
	command := func() { h.step(Event{Kind: EventCommand, Verb: VerbToggle, Slot: lamp, Peer: p, Seq: 1, Expiry: 1}) }
	command()
	h.step(Event{Kind: EventMirror, Slot: mirror, Value: 1})
	h.step(Event{Kind: EventLink, Slot: -1, Peer: -1, Value: 0})
	h.want(net, 0)
	h.want(first, Unknown)
	h.want(mirror, 1)
	command()
	h.want(lamp, 1) // the network says nothing about the peer's numbers
	h.step(Event{Kind: EventLink, Slot: first, Value: 0})
	h.want(first, 0)
	h.want(mirror, Unknown)
	command()
	h.want(lamp, 0)
	h.step(Event{Kind: EventLink, Slot: -1, Peer: p, Value: 1})
	h.want(first, 1)
	h.want(net, 0)
}

// TestForgottenMirror: where the slot says so, a mirror is unknown while its peer is lost.
func TestForgottenMirror(t *testing.T) {
	b := newBuilder()
	p := b.peer("p")
	keeps, forgets := b.mirror("keeps", p, 0), b.mirror("forgets", p, 1)
	b.p.Slots[forgets].Forget = true
	link := b.slot(Slot{Name: "link", Kind: SlotLink, Peer: p, Start: Unknown})
	n := b.variable("n", 0)
	b.rule(ruleOf{name: "forgot", causes: []Cause{at1(CauseForgot, forgets)}, actions: []Action{{Kind: ActionAdd, Index: n, Const: 1}}})
	h := newBench(t, b.done(t))
	h.start()
	for _, m := range []int16{keeps, forgets} {
		h.step(Event{Kind: EventMirror, Slot: m, Value: 1})
	}
	h.step(Event{Kind: EventLink, Slot: link, Value: 0})
	h.want(keeps, 1)
	h.want(forgets, Unknown)
	h.want(n, 1)
}

// TestInvariantSeesBrokenStates spoils good states; each must be noticed.
func TestInvariantSeesBrokenStates(t *testing.T) {
	p := fixture(t, "terrace")
	for name, spoil := range map[string]func(s State){
		"clock below 0":        func(s State) { p.Clocks(s)[0] = -1 },
		"lamp out of range":    func(s State) { s[slotBase+5] = 2 },
		"lamp breaks its hold": func(s State) { s[p.ix.lay.hold+2], s[slotBase+5] = 1, 0 },
		"motor in both ways":   func(s State) { s[p.ix.lay.motion+motorDir] = 2 },
		"motor without end":    func(s State) { s[p.ix.lay.motion+motorDir], p.Clocks(s)[0] = 1, 0 },
		"run beyond full": func(s State) {
			s[p.ix.lay.motion+motorDir], s[p.ix.lay.motion+motorTotal], p.Clocks(s)[0] = 1, 1<<20, 5
		},
		"pause too long":     func(s State) { p.Clocks(s)[0] = 601 },
		"wanted but still":   func(s State) { s[p.ix.lay.motion+motorTarget], p.Clocks(s)[0] = 0, 0 },
		"place out of range": func(s State) { s[p.ix.lay.motion+motorPos] = million + 1 },
		"held still but wanted": func(s State) {
			s[p.ix.lay.hold], s[p.ix.lay.motion+motorTarget] = HoldStill, 0
		},
		"travels elsewhere":     func(s State) { s[p.ix.lay.hold], s[p.ix.lay.motion+motorTarget] = 0, 1000 },
		"stands elsewhere":      func(s State) { s[p.ix.lay.hold], s[p.ix.lay.motion+motorPos] = 0, 500_000 },
		"state of another kind": nil,
	} {
		s := p.NewState()
		p.Step(s, Event{Kind: EventStart, Slot: -1}, nil)
		if wrong := p.Invariant(s); wrong != "" {
			t.Fatal(wrong)
		}
		if spoil == nil {
			s = s[1:]
		} else {
			spoil(s)
		}
		if p.Invariant(s) == "" {
			t.Errorf("%s is not noticed", name)
		}
	}
}

// TestOneProgramInManyHands steps, encodes and lists one program from several goroutines, for the race detector.
func TestOneProgramInManyHands(t *testing.T) {
	p := storey(t)
	events, digest := day(p), p.Digest()
	var wg sync.WaitGroup
	ends := make([]State, 4)
	for i := range ends {
		wg.Go(func() {
			s := p.NewState()
			var out []Effect
			out = p.Step(s, Event{Kind: EventStart, Slot: -1}, out)
			for _, e := range events {
				out = p.Step(s, e, out[:0])
			}
			if p.Digest() != digest || p.Listing() == "" {
				t.Error("the program changed")
			}
			ends[i] = s
		})
	}
	wg.Wait()
	for _, s := range ends[1:] {
		if !s.Equal(ends[0]) {
			t.Error("the same events lead to different states")
		}
	}
}

// TestStateDoesNotDependOnWhen: the same events a year later lead to the same state.
func TestStateDoesNotDependOnWhen(t *testing.T) {
	p := fixture(t, "hall")
	early, late := newBench(t, p), newBench(t, p)
	early.start()
	late.start()
	for range 12 {
		late.wait(MaxDelay)
	}
	for _, h := range []*bench{early, late} {
		h.input(2, 1)
		h.wait(100)
		h.input(0, 1)
		h.wait(300)
		h.input(2, 0)
	}
	if !early.s.Equal(late.s) {
		t.Errorf("%v\n%v", early.s, late.s)
	}
}
