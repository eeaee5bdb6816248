package control

import (
	"fmt"
	"math/rand"
	"slices"
	"sort"
	"strings"
	"testing"
)

// wandered is a random program in a state that random events have led to.
type wandered struct {
	p    *Program
	s    State
	seq  uint32
	seed int64
	c    chooser
}

// eachWandered calls try with many of them.
func eachWandered(t *testing.T, n int64, try func(w *wandered)) {
	t.Helper()
	for seed := range n {
		b := make([]byte, 2000)
		rand.New(rand.NewSource(seed + 1<<20)).Read(b)
		w := &wandered{seed: seed, c: &byBytes{b}}
		w.p = randomProgram(w.c)
		if err := w.p.Check(); err != nil {
			t.Fatal(err)
		}
		w.s = w.p.NewState()
		w.p.Step(w.s, Event{Kind: EventStart, Slot: -1}, nil)
		for range w.c.number(0, 25) {
			w.p.Step(w.s, randomEvent(w.c, w.p, &w.seq), nil)
		}
		try(w)
	}
}

// command gives the next command of the workbench.
func (w *wandered) command(s State, slot int16, verb Verb, v int32) []Effect {
	w.seq++
	return w.p.Step(s, Event{Kind: EventCommand, Slot: slot, Verb: verb, Value: v, Peer: -1, Seq: w.seq, Expiry: 1}, nil)
}

// still makes states comparable whose commands had other numbers.
func (w *wandered) still(s State) State {
	t := s.Clone()
	clear(w.p.Heard(t))
	return t
}

// TestNothingHappensBeforeDue: until 1 ms before the next clock runs out there is no effect, and only clocks have changed.
func TestNothingHappensBeforeDue(t *testing.T) {
	waited := 0
	eachWandered(t, 800, func(w *wandered) {
		due, ok := w.p.Due(w.s)
		before := w.s.Clone()
		if !ok {
			if out := w.p.Step(w.s, Event{Kind: EventAdvance, Slot: -1, Elapsed: MaxDelay}, nil); len(out) != 0 || !w.s.Equal(before) {
				t.Errorf("seed %d: nothing runs, yet %v", w.seed, out)
			}
			return
		}
		waited++
		out := w.p.Step(w.s, Event{Kind: EventAdvance, Slot: -1, Elapsed: due - 1}, nil)
		if len(out) != 0 {
			t.Errorf("seed %d: %v before due", w.seed, out)
		}
		clear(w.p.Clocks(before))
		after := w.s.Clone()
		clear(w.p.Clocks(after))
		if !after.Equal(before) {
			t.Errorf("seed %d: more than the clocks changed", w.seed)
		}
		if next, ok := w.p.Due(w.s); !ok || next != 1 {
			t.Errorf("seed %d: due %d, %v, want 1 ms", w.seed, next, ok)
		}
	})
	if waited < 200 {
		t.Errorf("only %d states waited for something", waited)
	}
}

// TestAbsoluteCommandsAreIdempotent: the same command once more changes nothing; it is only answered with the value.
func TestAbsoluteCommandsAreIdempotent(t *testing.T) {
	tried := 0
	eachWandered(t, 1500, func(w *wandered) {
		w.p = withoutRules(w.p) // what rules answer is theirs
		w.s = w.p.NewState()
		w.p.Step(w.s, Event{Kind: EventStart, Slot: -1}, nil)
		for range w.c.number(0, 20) {
			w.p.Step(w.s, randomEvent(w.c, w.p, &w.seq), nil)
		}
		w.seq += 1000
		for i := range w.p.Slots {
			e := randomEvent(w.c, w.p, &w.seq)
			e.Kind, e.Slot, e.Peer, e.Age, e.Expiry, e.Fade, e.Elapsed = EventCommand, int16(i), -1, 0, 1, 0, 0
			w.seq++
			e.Seq = w.seq
			if e.Verb == VerbToggle || !w.p.sound(&e) {
				continue
			}
			w.p.Step(w.s, e, nil)
			before := w.still(w.s)
			out := w.command(w.s, e.Slot, e.Verb, e.Value)
			tried++
			out = slices.DeleteFunc(out, func(e Effect) bool { // the report that every command is answered with
				return e.Kind == EffectPublish && e.Slot == int16(i) && e.Value == w.p.Value(w.s, int16(i))
			})
			if len(out) != 0 || !w.still(w.s).Equal(before) {
				t.Errorf("seed %d: verb %d to %d at %s again does %v", w.seed, e.Verb, e.Value, w.p.Slots[i].Name, out)
			}
		}
	})
	if tried < 1000 {
		t.Errorf("only %d commands tried", tried)
	}
}

// withoutRules is a program with its rules and regulators taken out.
func withoutRules(p *Program) *Program {
	q := *p
	q.Rules, q.Regulators = nil, nil
	if err := q.Check(); err != nil {
		panic(err)
	}
	return &q
}

// TestMotorsComeToRest: with nobody commanding, every motor stands within two full runs and pauses, and then nothing is
// wanted of it any more.
func TestMotorsComeToRest(t *testing.T) {
	moved := 0
	eachWandered(t, 800, func(w *wandered) {
		p := withoutRules(w.p)
		s := p.NewState()
		p.Step(s, Event{Kind: EventStart, Slot: -1}, nil)
		for range w.c.number(1, 20) {
			p.Step(s, randomEvent(w.c, p, &w.seq), nil)
		}
		out := p.Step(s, Event{Kind: EventAdvance, Slot: -1, Elapsed: 4 * 70_000}, nil)
		for _, e := range out {
			if e.Kind == EffectMotor && e.Value != 0 {
				moved++
			}
		}
		for i, slot := range p.Slots {
			if slot.Kind != SlotMotor {
				continue
			}
			r := run{p: p, ix: p.ix, s: s}
			m := r.motorWords(int16(i))
			if m[motorDir] != 0 || m[motorTarget] != Unknown || m[motorAngle] != Unknown || m[motorCause] != 0 || *r.motorClock(int16(i)) != 0 {
				t.Errorf("seed %d: %s does not come to rest: %v", w.seed, slot.Name, m)
			}
		}
	})
	if moved < 20 {
		t.Errorf("only %d runs began meanwhile", moved)
	}
}

// TestAllOffPutsAllOff: a list that is switched off is off, save for what a hold keeps on.
func TestAllOffPutsAllOff(t *testing.T) {
	eachWandered(t, 600, func(w *wandered) {
		p := *w.p
		p.Rules, p.Regulators, p.Causes, p.Timers = nil, nil, nil, nil
		p.Members = append(slices.Clone(p.Members), 0)
		p.Members = p.Members[:len(p.Members)-1]
		var lamps []int16
		for i, s := range p.Slots {
			if s.Kind == SlotSwitch || s.Kind == SlotLevel {
				lamps = append(lamps, int16(i))
			}
		}
		p.Lists = append(slices.Clone(p.Lists), Range{int32(len(p.Members)), int32(len(lamps))})
		p.Members = append(p.Members, lamps...)
		p.Actions = []Action{{Kind: ActionOff, To: TargetList, Index: int16(len(p.Lists) - 1)}}
		p.Causes = []Cause{{Kind: CauseRise, Slot: slotNamed(&p, "message")}}
		p.Rules = []Rule{{Name: -1, Causes: Range{0, 1}, Actions: Range{0, 1}}}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		s := p.NewState()
		p.Step(s, Event{Kind: EventStart, Slot: -1}, nil)
		for range 15 {
			p.Step(s, randomEvent(w.c, &p, &w.seq), nil)
		}
		p.Step(s, Event{Kind: EventMessage, Slot: slotNamed(&p, "message")}, nil)
		r := run{p: &p, ix: p.ix, s: s}
		for _, l := range lamps {
			want := int32(0)
			if h := r.standing(l); h >= 0 {
				want = s[p.ix.lay.hold+int(h)]
			}
			if got := p.Value(s, l); got != want {
				t.Errorf("seed %d: %s stands at %d, want %d", w.seed, p.Slots[l].Name, got, want)
			}
		}
	})
}

func slotNamed(p *Program, name string) int16 {
	for i, s := range p.Slots {
		if s.Name == name {
			return int16(i)
		}
	}
	return -1
}

// TestOrderOfRulesDoesNotMatter: with another order of the rules the same is done, because every rule sees the same
// snapshot and no write wins for coming last. (Adding and capturing included; the order of effects may differ.)
func TestOrderOfRulesDoesNotMatter(t *testing.T) {
	effects := 0
	eachWandered(t, 1500, func(w *wandered) {
		p := w.p
		q := *p
		q.Rules = slices.Clone(p.Rules)
		slices.Reverse(q.Rules)
		if err := q.Check(); err != nil {
			t.Fatal(err)
		}
		s, u := p.NewState(), q.NewState()
		a := p.Step(s, Event{Kind: EventStart, Slot: -1}, nil)
		z := q.Step(u, Event{Kind: EventStart, Slot: -1}, nil)
		for range 20 {
			if hasFault(a) || hasFault(z) { // which rules are named then depends on the order
				return
			}
			if x, y := unordered(a), unordered(z); x != y {
				t.Fatalf("seed %d: %s\n in the other order %s\n%s", w.seed, x, y, p.Listing())
			}
			effects += len(a)
			e := randomEvent(w.c, p, &w.seq)
			a, z = p.Step(s, e, nil), q.Step(u, e, nil)
		}
	})
	if effects < 3000 {
		t.Errorf("only %d effects compared", effects)
	}
}

func hasFault(out []Effect) bool {
	return slices.ContainsFunc(out, func(e Effect) bool { return e.Kind == EffectFault })
}

// unordered prints effects for comparison regardless of their order, without the numbers of commands. Where several
// rules do the same, only one is named: so the causes are left out of what is compared.
func unordered(out []Effect) string {
	var lines []string
	for _, e := range out {
		e.Seq, e.Cause = 0, 0
		lines = append(lines, fmt.Sprintf("%+v", e))
	}
	sort.Strings(lines)
	return strings.Join(lines, "\n")
}

// TestRestartEndsLikeAFreshStart: a start in the middle of anything leads to the state of a fresh start, save for what is
// retained, the stored scenes and the numbers of commands.
func TestRestartEndsLikeAFreshStart(t *testing.T) {
	eachWandered(t, 600, func(w *wandered) {
		p := *w.p
		p.Slots = slices.Clone(p.Slots)
		for i := range p.Slots {
			p.Slots[i].Retain = false
		}
		p.Scenes = slices.Clone(p.Scenes)
		p.Rules = slices.Clone(p.Rules)
		for i := range p.Rules { // no captures
			p.Rules[i].Actions.Count = 0
		}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		fresh, old := p.NewState(), p.NewState()
		first := p.Step(fresh, Event{Kind: EventStart, Slot: -1}, nil)
		p.Step(old, Event{Kind: EventStart, Slot: -1}, nil)
		for range 20 {
			p.Step(old, randomEvent(w.c, &p, &w.seq), nil)
		}
		again := p.Step(old, Event{Kind: EventStart, Slot: -1}, nil)
		clear(p.Heard(old))
		clear(p.Sent(old))
		if !old.Equal(fresh) {
			t.Errorf("seed %d:\n%v\n%v", w.seed, old, fresh)
		}
		if unordered(first) != unordered(again) {
			t.Errorf("seed %d: %v, but at first %v", w.seed, again, first)
		}
	})
}
