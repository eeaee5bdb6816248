package control

import (
	"fmt"
	"strings"
	"testing"
)

// timerCase is one row of the timer tables: IN is on in the spans, in tenths of a second.
//
// Source of the behaviour: TP, TON and TOF of IEC 61131-3; the tables were worked out by hand in 1 ms steps, with time
// passing before the input is looked at.
type timerCase struct {
	name string
	kind TimerKind
	time int32
	in   [][2]int32
	on   [][2]int32 // when Q is on
	et   [][2]int32 // ET at a moment
}

var t1 = [][2]int32{{1000, 4000}, {6500, 14000}, {15000, 16000}}
var t2 = [][2]int32{{1000, 2000}, {3000, 4000}}
var t3 = [][2]int32{{1000, 3000}}

func ets(values ...int32) [][2]int32 {
	var out [][2]int32
	for i, at := range []int32{3000, 5000, 6200, 10000, 12000, 14500, 15500, 17000, 20500, 22000} {
		out = append(out, [2]int32{at, values[i]})
	}
	return out
}

var timerCases = []timerCase{
	{"T1 TON", TimerOnDelay, 5000, t1, [][2]int32{{11500, 14000}}, ets(2000, 0, 0, 3500, 5000, 0, 500, 0, 0, 0)},
	{"T1 TOF", TimerOffDelay, 5000, t1, [][2]int32{{1000, 21000}}, ets(0, 1000, 2200, 0, 0, 500, 0, 1000, 4500, 5000)},
	{"T1 TP", TimerPulse, 5000, t1, [][2]int32{{1000, 6000}, {6500, 11500}, {15000, 20000}}, ets(2000, 4000, 0, 3500, 5000, 0, 500, 2000, 0, 0)},
	{"T2 TON", TimerOnDelay, 5000, t2, nil, nil},
	{"T2 TOF", TimerOffDelay, 5000, t2, [][2]int32{{1000, 9000}}, [][2]int32{{2500, 500}, {3500, 0}, {6500, 2500}, {9500, 5000}}},
	{"T2 TP", TimerPulse, 5000, t2, [][2]int32{{1000, 6000}}, [][2]int32{{2500, 1500}, {3500, 2500}, {6500, 0}, {9500, 0}}},
	{"T3 TON", TimerOnDelay, 2000, t3, nil, [][2]int32{{2999, 1999}, {3000, 0}}},
	{"T3 TOF", TimerOffDelay, 2000, t3, [][2]int32{{1000, 5000}}, nil},
	{"T3 TP", TimerPulse, 2000, t3, [][2]int32{{1000, 3000}}, [][2]int32{{3000, 0}}},
	{"T4 TON", TimerOnDelay, 0, t3, [][2]int32{{1000, 3000}}, nil},
	{"T4 TOF", TimerOffDelay, 0, t3, [][2]int32{{1000, 3000}}, nil},
	{"T4 TP", TimerPulse, 0, t3, nil, nil},
}

// timerBed is a program with one timer that is driven by an input, and a lamp that follows its output by rules.
func timerBed(t testing.TB, kind TimerKind, ms int32) (*bench, int16, int16) {
	b := newBuilder()
	in, q := b.input("in", QuantityBool), b.lamp("q")
	timer := b.timer("t", kind, in, ms)
	b.rule(ruleOf{name: "goes on", causes: []Cause{{Kind: CauseTimerOn, Timer: timer}}, actions: []Action{set(q, 1)}})
	b.rule(ruleOf{name: "goes off", causes: []Cause{{Kind: CauseTimerOff, Timer: timer}}, actions: []Action{set(q, 0)}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(in, 0)
	return h, in, q
}

// edge is a moment at which IN changes.
func inAt(spans [][2]int32, ms int32) (v int32, changes bool) {
	for _, s := range spans {
		if ms == s[0] || ms == s[1] {
			changes = true
		}
		if ms >= s[0] && ms < s[1] {
			v = 1
		}
	}
	return v, changes
}

func TestTimersOfTheStandard(t *testing.T) {
	for _, c := range timerCases {
		t.Run(c.name, func(t *testing.T) {
			h, in, q := timerBed(t, c.kind, c.time)
			if ms := driveTimer(h, in, c, 22_001, func(ms int32) { checkTimer(t, h, c, q, ms) }); ms != 22_001 {
				t.Errorf("stopped at %d ms", ms)
			}
		})
	}
}

// driveTimer plays the spans in 1 ms steps and calls look after each.
func driveTimer(h *bench, in int16, c timerCase, until int32, look func(ms int32)) int32 {
	ms := int32(0)
	for ; ms < until; ms++ {
		if ms > 0 {
			h.wait(1)
		}
		if v, changes := inAt(c.in, ms); changes {
			h.input(in, v)
		}
		look(ms)
	}
	return ms
}

func checkTimer(t *testing.T, h *bench, c timerCase, lamp int16, ms int32) {
	t.Helper()
	want, _ := inAt(c.on, ms)
	q, et := h.p.TimerOutput(h.s, 0)
	if truth(q) != want {
		t.Fatalf("Q at %d ms is %v", ms, q)
	}
	if c.name != "T4 TP" && h.value(lamp) != want {
		t.Fatalf("the rules that follow Q have put the lamp to %d at %d ms", h.value(lamp), ms)
	}
	for _, e := range c.et {
		if e[0] == ms && et != e[1] {
			t.Errorf("ET at %d ms is %d ms, want %d", ms, et, e[1])
		}
	}
}

// TestTimersInOneStride plays the same tables with as few events as possible: time beyond Due must give the same.
func TestTimersInOneStride(t *testing.T) {
	for _, c := range timerCases {
		var edges []int32
		for _, s := range c.in {
			edges = append(edges, s[0], s[1])
		}
		h, in, q := timerBed(t, c.kind, c.time)
		var got, want strings.Builder
		at := int32(0)
		for _, e := range append(edges, 22_000) {
			out := h.step(Event{Kind: EventAdvance, Slot: -1, Elapsed: e - at})
			got.WriteString(fmt.Sprint(outputs(out)))
			if v, changes := inAt(c.in, e); changes {
				got.WriteString(fmt.Sprint(outputs(h.input(in, v))))
			}
			at = e
		}
		want.WriteString(strings.Repeat("[1][0]", len(c.on)))
		if c.name == "T3 TON" {
			want.WriteString("[1][0]") // IN falls at the very moment: the expiry has its own instant, so Q is on for 0 ms
		}
		if g := strings.ReplaceAll(strings.ReplaceAll(got.String(), "[]", ""), " ", "]["); g != want.String() {
			t.Errorf("%s: outputs %s, want %s", c.name, g, want.String())
		}
		h.want(q, 0)
	}
}

func outputs(out []Effect) []int32 {
	var v []int32
	for _, e := range out {
		if e.Kind == EffectOutput {
			v = append(v, e.Value)
		}
	}
	return v
}

func TestRunOnIsProlonged(t *testing.T) {
	b := newBuilder()
	k, l := b.key("stair"), b.lamp("lamp")
	timer := b.timer("stair", TimerRunOn, -1, 60_000)
	b.rule(ruleOf{name: "light", causes: []Cause{at1(CausePress, k)}, actions: []Action{set(l, 1), {Kind: ActionStartTimer, Index: timer}}})
	b.rule(ruleOf{name: "dark", causes: []Cause{{Kind: CauseExpired, Timer: timer}}, actions: []Action{set(l, 0)}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(k, 1)
	h.input(k, 0)
	h.wait(40_000)
	h.input(k, 1)
	h.wait(59_999)
	h.want(l, 1)
	if got := h.words(h.wait(1)); got != "output lamp 0 by dark; publish lamp 0" {
		t.Errorf("60 s after the second press: %s", got)
	}
}

func TestWaitIsCancelledWithoutExpiring(t *testing.T) {
	b := newBuilder()
	k, stop, l := b.key("k"), b.key("stop"), b.lamp("l")
	timer := b.timer("step", TimerWait, -1, 1000)
	b.rule(ruleOf{name: "begin", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionStartTimer, Index: timer, Const: 250}}})
	b.rule(ruleOf{name: "cancel", causes: []Cause{at1(CausePress, stop)}, actions: []Action{{Kind: ActionCancelTimer, Index: timer}}})
	b.rule(ruleOf{name: "then", causes: []Cause{{Kind: CauseExpired, Timer: timer}}, actions: []Action{set(l, 1)}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(k, 1)
	if ms, ok := h.p.Due(h.s); !ok || ms != 250 {
		t.Fatalf("due %d %v, want 250 ms: the action gave another time than the timer", ms, ok)
	}
	h.wait(249)
	h.input(stop, 1)
	if _, ok := h.p.Due(h.s); ok {
		t.Error("a cancelled wait still runs")
	}
	h.wait(5000)
	h.want(l, 0)
	h.input(k, 0)
	h.input(k, 1)
	h.wait(250)
	h.want(l, 1)
}

// TestOffDelayDrivenByActions: for an off-delay without a slot, starting is IN going on and cancelling is IN going off.
func TestOffDelayDrivenByActions(t *testing.T) {
	b := newBuilder()
	a, z := b.key("a"), b.key("z")
	timer := b.timer("t", TimerOffDelay, -1, 1000)
	b.rule(ruleOf{name: "on", causes: []Cause{at1(CausePress, a)}, actions: []Action{{Kind: ActionStartTimer, Index: timer, Const: 300}}})
	b.rule(ruleOf{name: "off", causes: []Cause{at1(CausePress, z)}, actions: []Action{{Kind: ActionCancelTimer, Index: timer}}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(a, 1)
	h.wait(10_000)
	if q, et := h.p.TimerOutput(h.s, timer); !q || et != 0 {
		t.Fatalf("while IN is on: Q %v ET %d", q, et)
	}
	h.input(z, 1)
	h.wait(299)
	if q, et := h.p.TimerOutput(h.s, timer); !q || et != 299 {
		t.Fatalf("299 ms after IN fell: Q %v ET %d", q, et)
	}
	h.wait(1)
	if q, _ := h.p.TimerOutput(h.s, timer); q {
		t.Fatal("Q is still on at the time that the start gave")
	}
}

// TestStartIsNoEdgeForTimers: an input that is on when power comes does not start a pulse, and an off-delay is on without
// having gone on; an on-delay does count from then.
func TestStartIsNoEdgeForTimers(t *testing.T) {
	for kind, want := range map[TimerKind]string{
		TimerPulse: "", TimerRunOn: "", TimerWait: "", TimerOffDelay: "", TimerOnDelay: "output q 1 by goes on; publish q 1",
	} {
		b := newBuilder()
		in, q := b.input("in", QuantityBool), b.lamp("q")
		timer := b.timer("t", kind, in, 1000)
		b.rule(ruleOf{name: "goes on", causes: []Cause{{Kind: CauseTimerOn, Timer: timer}}, actions: []Action{set(q, 1)}})
		h := newBench(t, b.done(t))
		h.start()
		if got := h.words(h.input(in, 1)); got != "" {
			t.Errorf("kind %d: first value does %q", kind, got)
		}
		if got := h.words(h.wait(2000)); got != want {
			t.Errorf("kind %d: after 2 s %q, want %q", kind, got, want)
		}
		on, _ := h.p.TimerOutput(h.s, timer)
		if on != (kind == TimerOffDelay || kind == TimerOnDelay) {
			t.Errorf("kind %d: Q is %v", kind, on)
		}
	}
}

// TestInvertedTimer: a contact that is 0 while open drives "has been open for 10 min".
func TestInvertedTimer(t *testing.T) {
	b := newBuilder()
	in, l := b.input("closed", QuantityBool), b.lamp("warning")
	timer := b.timer("open", TimerOnDelay, in, 600_000)
	b.p.Timers[timer].Invert = true
	b.rule(ruleOf{name: "warn", causes: []Cause{{Kind: CauseTimerOn, Timer: timer}}, actions: []Action{set(l, 1)}})
	h := newBench(t, b.done(t))
	h.start()
	h.wait(700_000) // unknown is not open
	h.want(l, 0)
	h.input(in, 1)
	h.input(in, 0)
	h.wait(599_999)
	h.want(l, 0)
	h.wait(1)
	h.want(l, 1)
}

func TestTimerThatIsNotThere(t *testing.T) {
	h, _, _ := timerBed(t, TimerOffDelay, 100)
	for _, timer := range []int16{-1, 1} {
		if q, et := h.p.TimerOutput(h.s, timer); q || et != 0 {
			t.Errorf("timer %d: Q %v ET %d", timer, q, et)
		}
	}
	if q, et := h.p.TimerOutput(h.s[1:], 0); q || et != 0 {
		t.Errorf("a state of another length: Q %v ET %d", q, et)
	}
	if q, et := (&Program{Timers: h.p.Timers}).TimerOutput(nil, 0); q || et != 0 {
		t.Errorf("before Check: Q %v ET %d", q, et)
	}
}
