package control

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// The tests of this file leave nothing to chance: they try everything that is small.

// TestEveryShortSignalAtEveryTimer: all signals of eleven milliseconds, at each kind of timer and several times, beside the
// naive timer.
func TestEveryShortSignalAtEveryTimer(t *testing.T) {
	const length = 11
	for _, kind := range []TimerKind{TimerPulse, TimerOnDelay, TimerOffDelay, TimerRunOn} {
		for _, pt := range []int32{0, 1, 2, 3, 5} {
			h, in, _ := timerBed(t, kind, pt)
			rest := h.s.Clone()
			for signal := range 1 << length {
				copy(h.s, rest)
				twin := &naiveTimer{kind: kind, pt: pt, since: -1}
				for ms := range length {
					level := int32(signal >> ms & 1)
					h.out = h.p.Step(h.s, Event{Kind: EventInput, Slot: in, Value: level, Elapsed: 1}, h.out[:0])
					twin.scan(1, level == 1)
					if q, et := h.p.TimerOutput(h.s, 0); q != twin.q || et != twin.et {
						t.Fatalf("kind %d, PT %d, signal %011b at %d ms: Q %v ET %d, the naive one Q %v ET %d", kind, pt, signal, ms, q, et, twin.q, twin.et)
					}
				}
			}
		}
	}
}

// TestEveryShortPressOfAKey: all rows of up to five edges whose distances are around the marks, beside the naive
// recogniser.
func TestEveryShortPressOfAKey(t *testing.T) {
	const debounce, long, gap = 3, 20, 10
	distances := []int32{1, 2, 3, 4, 10, 13, 20, 23}
	for _, wantGap := range []int32{0, gap} {
		h, k := gestureBed(t, debounce, long, wantGap)
		rest := h.s.Clone()
		for n := range len(distances) * len(distances) * len(distances) * len(distances) {
			edges, at, rows := [][2]int32{{5, 1}}, int32(5), n
			for i := range 4 {
				at += distances[rows%len(distances)]
				rows /= len(distances)
				edges = append(edges, [2]int32{at, int32(i % 2)})
			}
			edges = append(edges, [2]int32{at + 40, 0})
			copy(h.s, rest)
			h.now = 0
			got := playEdges(h, k, edges, int64(at)+200)
			want := (&naiveKey{debounce: debounce, long: long, gap: wantGap}).play(edges, at+200)
			if got != want && sorted(got) != sorted(want) {
				t.Fatalf("gap %d, edges %v: %s, the naive one: %s", wantGap, edges, got, want)
			}
		}
	}
}

// playEdges is playKey without its checks of the state, until a moment.
func playEdges(h *bench, k int16, edges [][2]int32, until int64) string {
	var got []string
	step := func(e Event) {
		h.now += int64(e.Elapsed)
		h.out = h.p.Step(h.s, e, h.out[:0])
		for _, e := range h.out {
			if e.Kind == EffectNotify {
				got = append(got, fmt.Sprintf("%s %d", h.p.Texts[e.Value], h.now))
			}
		}
	}
	pass := func(at int64) {
		for h.now < at {
			ms := at - h.now
			if due, ok := h.p.Due(h.s); ok {
				ms = min(ms, int64(due))
			}
			step(Event{Kind: EventAdvance, Slot: -1, Elapsed: int32(ms)})
		}
	}
	for _, e := range edges {
		pass(int64(e[0]))
		step(Event{Kind: EventInput, Slot: k, Value: e[1]})
	}
	pass(until)
	return strings.Join(got, ", ")
}

// TestEveryShortDrive: all rows of three commands with waits between them, at a small shutter, beside one that really
// moves: the estimate follows it, no reversal comes within the pause, and it comes to rest where the last command wants.
func TestEveryShortDrive(t *testing.T) {
	type order struct {
		verb Verb
		v    int32
	}
	orders := []order{{VerbRaise, 0}, {VerbLower, 0}, {VerbStop, 0}, {VerbSet, 0}, {VerbSet, 250}, {VerbSet, 1000}, {VerbSlat, 500}, {VerbSlat, 0}}
	waits := []int64{0, 300, 1500}
	b := newBuilder()
	m := b.slot(Slot{Name: "m", Kind: SlotMotor, Start: 500, Up: 2200, Down: 2000, Slats: 400, Pause: 500})
	p := b.done(t)
	first := p.NewState()
	p.Step(first, Event{Kind: EventStart, Slot: -1}, nil)
	n := len(orders) * len(waits)
	for row := range n * n * n {
		d := drive{t: t, p: p, s: first.Clone(), m: m, real: shutter{slot: &p.Slots[m], pos: 0.5}}
		var told []order
		for k := row; len(told) < 3; k /= n {
			o := orders[k%n%len(orders)]
			told = append(told, o)
			d.step(Event{Kind: EventCommand, Verb: o.verb, Value: o.v, Slot: m, Peer: -1, Seq: uint32(len(told))})
			d.pass(waits[k%n/len(orders)])
		}
		d.pass(12_000)
		pos := math.Round(d.real.pos * 1000)
		last := told[2]
		if last.verb == VerbSet && math.Abs(pos-float64(last.v)) > 1 || last.verb == VerbRaise && pos != 0 || last.verb == VerbLower && pos != 1000 {
			t.Errorf("after %v it stands at %v", told, pos)
		}
		if last.verb == VerbSlat && math.Abs(d.real.slat*1000-float64(last.v)) > 1.5 && told[1].verb != VerbRaise && told[1].verb != VerbLower {
			t.Errorf("after %v the slats stand at %.1f", told, d.real.slat*1000)
		}
		if d.dir != 0 {
			t.Errorf("after %v it still moves", told)
		}
	}
}

// drive is a shutter that really moves behind a Step.
type drive struct {
	t       *testing.T
	p       *Program
	s       State
	m       int16
	real    shutter
	dir     int32
	now     int64
	stopped int64
	out     []Effect
}

func (d *drive) step(e Event) {
	d.out = d.p.Step(d.s, e, d.out[:0])
	for _, e := range d.out {
		if e.Kind != EffectMotor {
			continue
		}
		if e.Value == 0 {
			d.stopped = d.now
		} else if d.dir != 0 || d.now-d.stopped < int64(d.p.Slots[d.m].Pause) {
			d.t.Fatalf("direction %d after %d, %d ms after the stop", e.Value, d.dir, d.now-d.stopped)
		}
		d.dir = e.Value
	}
	if wrong := d.p.Invariant(d.s); wrong != "" {
		d.t.Fatal(wrong)
	}
}

// pass lets time pass, clock by clock; the shutter moves in one piece between.
func (d *drive) pass(ms int64) {
	for end := d.now + ms; d.now < end; {
		step := end - d.now
		if due, ok := d.p.Due(d.s); ok {
			step = min(step, int64(due))
		}
		d.real.dir = d.dir
		d.real.glide(float64(step))
		d.now += step
		d.step(Event{Kind: EventAdvance, Slot: -1, Elapsed: int32(step)})
		_, pos, slat := d.p.Motion(d.s, d.m)
		if math.Abs(float64(pos)-d.real.pos*1000) > 1.5 || math.Abs(float64(slat)-d.real.slat*1000) > 1.5 {
			d.t.Fatalf("believed at %d, %d; is at %.2f, %.2f", pos, slat, d.real.pos*1000, d.real.slat*1000)
		}
	}
}

// glide is run in one piece.
func (s *shutter) glide(ms float64) {
	switch {
	case s.dir > 0:
		turn := math.Min(ms, (1-s.slat)*float64(s.slot.Slats))
		s.slat += turn / float64(s.slot.Slats)
		s.pos = math.Min(1, s.pos+(ms-turn)/float64(s.slot.Down))
	case s.dir < 0:
		turn := math.Min(ms, s.slat*float64(s.slot.Slats))
		s.slat -= turn / float64(s.slot.Slats)
		s.pos = math.Max(0, s.pos-(ms-turn)/float64(s.slot.Up))
	}
}

// TestEveryInstructionOnEveryValue: all instructions of two values on the values at the edges, beside plain 64-bit
// arithmetic and the truth tables.
func TestEveryInstructionOnEveryValue(t *testing.T) {
	values := []int32{Unknown, -math.MaxInt32, -2, -1, 0, 1, 2, 7, math.MaxInt32}
	plain := &naive{}
	for op := OpEqual; int(op) < opCount; op++ {
		if op.needs() != 2 {
			continue
		}
		for _, a := range values {
			for _, b := range values {
				if got, want := combine(op, a, b), plain.both(op, a, b); got != want {
					t.Errorf("instruction %d on %d and %d gives %d, want %d", op, a, b, got, want)
				}
			}
		}
	}
}

// TestEveryPairOfWrites: all pairs of writes to one lamp by two rules, with all pairs of ranks. The higher rank is done;
// of equal rank the writes must come to the same, else neither is done and it is a fault.
func TestEveryPairOfWrites(t *testing.T) {
	kinds := []Action{{Kind: ActionSet, Const: 300}, {Kind: ActionSet, Const: 700}, {Kind: ActionOff}, {Kind: ActionOn}, {Kind: ActionSet}, {Kind: ActionToggle},
		{Kind: ActionRaise}, {Kind: ActionLower}, {Kind: ActionStop}}
	alone := map[string]string{} // what a write does by itself, by its kind and value
	key := func(a Action) string { return fmt.Sprint(a.Kind, a.Const) }
	run := func(a, z Action, ra, rz Rank, both bool) string {
		b := newBuilder()
		k := b.key("K")
		l := b.dimmer("L", 0)
		b.p.Slots[l].Start = 500
		a.Index, z.Index = l, l
		b.rule(ruleOf{name: "r", rank: ra, causes: []Cause{at1(CausePress, k)}, actions: []Action{a}})
		if both {
			b.rule(ruleOf{name: "r", rank: rz, causes: []Cause{at1(CausePress, k)}, actions: []Action{z}})
		}
		h := newBench(t, b.done(t))
		h.start()
		return h.words(h.input(k, 1))
	}
	same := func(a, z Action) bool { // off, "set to 0", and a toggle of what is on
		zero := func(x Action) bool {
			return x.Kind == ActionOff || x.Kind == ActionToggle || x.Kind == ActionSet && x.Const == 0
		}
		return a == z || zero(a) && zero(z)
	}
	for _, a := range kinds {
		alone[key(a)] = run(a, a, 0, 0, false)
	}
	for _, a := range kinds {
		for _, z := range kinds {
			for ra := RankNone; ra < RankCount; ra++ {
				for rz := RankNone; rz < RankCount; rz++ {
					want := "fault conflict L by r and r"
					switch {
					case ra > rz || ra == rz && same(a, z):
						want = alone[key(a)]
					case rz > ra:
						want = alone[key(z)]
					}
					if got := run(a, z, ra, rz, true); got != want {
						t.Errorf("%s at rank %d and %s at rank %d: %q, want %q", key(a), ra, key(z), rz, got, want)
					}
				}
			}
		}
	}
}

// TestEveryOrderOfHolds: all orders in which three holds of different rank come and go: the output is always what the
// strongest of those that stand says, and at the end what was last asked for.
func TestEveryOrderOfHolds(t *testing.T) {
	b := newBuilder()
	l := b.dimmer("l", 0)
	for rank := RankAutomatic; rank <= RankSafety; rank++ {
		b.hold("h", l, rank, -1, true)
	}
	p := b.done(t)
	events := []int{1, 2, 3, -1, -2, -3} // put and end by rank
	for _, order := range permutations(events) {
		h := newBench(t, p)
		h.start()
		h.command(l, VerbSet, 77)
		standing := [4]bool{}
		for _, e := range order {
			rank := max(e, -e)
			standing[rank] = e > 0
			if e > 0 {
				h.command(l, VerbHold, int32(rank)<<16|int32(rank*100))
			} else {
				h.command(l, VerbRelease, int32(rank)<<16)
			}
			want := int32(77)
			for r := 1; r <= 3; r++ {
				if standing[r] {
					want = int32(r * 100)
				}
			}
			if got := h.value(l); got != want {
				t.Fatalf("order %v: after %d the lamp is %d, want %d", order, e, got, want)
			}
		}
	}
}

// permutations returns all orders of a row.
func permutations(row []int) [][]int {
	if len(row) == 1 {
		return [][]int{row}
	}
	var all [][]int
	for i := range row {
		rest := append(slices.Clone(row[:i]), row[i+1:]...)
		for _, p := range permutations(rest) {
			all = append(all, append([]int{row[i]}, p...))
		}
	}
	return all
}

// TestEveryStateOfAHeldAwning explores the terrace program over key, wind and time, until there is nothing new, and looks
// in each state: while the wind hold stands, the awning is on its way in or in.
func TestEveryStateOfAHeldAwning(t *testing.T) {
	p := fixture(t, "terrace")
	const key, wind, awning = 0, 2, 4
	first := p.NewState()
	p.Step(first, Event{Kind: EventStart, Slot: -1}, nil)
	p.Step(first, Event{Kind: EventInput, Slot: wind, Value: 50}, nil)
	seen := map[string]bool{fmt.Sprint(first): true}
	held, out := 0, 0
	for queue := []State{first}; len(queue) > 0; queue = queue[1:] {
		s := queue[0]
		events := []Event{{Kind: EventInput, Slot: key, Value: 1}, {Kind: EventInput, Slot: key}, {Kind: EventInput, Slot: wind, Value: 50},
			{Kind: EventInput, Slot: wind, Value: 100}, {Kind: EventInput, Slot: wind, Value: 130}, {Kind: EventInput, Slot: wind, Value: Unknown}}
		if due, ok := p.Due(s); ok {
			events = append(events, Event{Kind: EventAdvance, Slot: -1, Elapsed: due})
		}
		for _, e := range events {
			n := s.Clone()
			for _, effect := range p.Step(n, e, nil) {
				if effect.Kind == EffectFault {
					t.Fatalf("%+v", effect)
				}
			}
			if wrong := p.Invariant(n); wrong != "" {
				t.Fatal(wrong)
			}
			dir, _, _ := p.Motion(n, awning)
			if n[p.ix.lay.hold] != Unknown {
				held++
				if dir > 0 {
					t.Fatal("the awning goes out while it blows")
				}
			} else if dir > 0 {
				out++
			}
			if key := fmt.Sprint(n); !seen[key] {
				seen[key] = true
				queue = append(queue, n)
			}
		}
	}
	if len(seen) < 50 || held < 50 || out < 10 {
		t.Errorf("only %d states, %d with the hold, %d going out", len(seen), held, out)
	}
}
