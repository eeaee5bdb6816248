package control

import (
	"fmt"
	"testing"
)

// The two examples of rule interaction: computed by hand from the rule "every rule sees the snapshot before the instant".

func TestRulesSeeOneSnapshot(t *testing.T) {
	b := newBuilder()
	k, l := b.key("K"), b.lamp("L")
	b.rule(ruleOf{name: "a", causes: []Cause{at1(CausePress, k)}, cond: is(l, 0), actions: []Action{set(l, 1)}})
	b.rule(ruleOf{name: "b", causes: []Cause{at1(CausePress, k)}, cond: is(l, 1), actions: []Action{set(l, 0)}})
	h := newBench(t, b.done(t))
	h.start()
	if got := h.words(h.input(k, 1)); got != "output L 1 by a; publish L 1" {
		t.Errorf("press: %s", got)
	}
	h.want(l, 1)
	h.input(k, 0)
	h.input(k, 1)
	h.want(l, 0)
}

func TestRingOfRulesIsCut(t *testing.T) {
	b := newBuilder()
	p, q := b.variable("P", 0), b.variable("Q", 0)
	b.rule(ruleOf{name: "x", causes: []Cause{on(p)}, actions: []Action{set(q, 1)}})
	b.rule(ruleOf{name: "y", causes: []Cause{on(q)}, actions: []Action{set(p, 0)}})
	b.rule(ruleOf{name: "z", causes: []Cause{off(p)}, actions: []Action{set(q, 0)}})
	b.rule(ruleOf{name: "w", causes: []Cause{off(q)}, actions: []Action{set(p, 1)}})
	h := newBench(t, b.done(t))
	h.start()
	if got := h.words(h.command(p, VerbSet, 1)); got != "fault chain - by x" {
		t.Errorf("the ring of period 4, cut after 8 instants, goes on with x: got %q", got)
	}
}

func TestEdgesOfTheStandard(t *testing.T) {
	// R_TRIG and F_TRIG of IEC 61131-3 over a row of CLK; the first value after the start loads the memory.
	for _, c := range []struct {
		clk        []int32
		rise, fall []int32
	}{
		{[]int32{0, 1, 1, 0, 1}, []int32{0, 1, 0, 0, 1}, []int32{0, 0, 0, 1, 0}},
		{[]int32{1, 1, 0}, []int32{0, 0, 0}, []int32{0, 0, 1}},
	} {
		b := newBuilder()
		clk, r, f := b.input("clk", QuantityBool), b.variable("r", 0), b.variable("f", 0)
		b.rule(ruleOf{name: "r", causes: []Cause{on(clk)}, actions: []Action{{Kind: ActionAdd, Index: r, Const: 1}}})
		b.rule(ruleOf{name: "f", causes: []Cause{off(clk)}, actions: []Action{{Kind: ActionAdd, Index: f, Const: 1}}})
		h := newBench(t, b.done(t))
		h.start()
		for i, v := range c.clk {
			wasR, wasF := h.value(r), h.value(f)
			h.input(clk, v)
			if h.value(r)-wasR != c.rise[i] || h.value(f)-wasF != c.fall[i] {
				t.Errorf("CLK %v, scan %d: rise %d fall %d", c.clk, i, h.value(r)-wasR, h.value(f)-wasF)
			}
		}
	}
}

func TestCausesOfASlot(t *testing.T) {
	kinds := []struct {
		name  string
		cause Cause
		want  []int // steps of the row below at which it fires
	}{
		{"rise", Cause{Kind: CauseRise}, []int{2, 9}},
		{"fall", Cause{Kind: CauseFall}, []int{8}},
		{"change", Cause{Kind: CauseChange}, []int{2, 3, 4, 5, 8, 9}},
		{"known", Cause{Kind: CauseKnown}, []int{0, 7}},
		{"forgot", Cause{Kind: CauseForgot}, []int{6}},
		{"above", Cause{Kind: CauseAbove, Level: 50, Band: 10}, []int{3, 9}},
		{"below", Cause{Kind: CauseBelow, Level: 20, Band: 10}, []int{8}},
		{"above, no band", Cause{Kind: CauseAbove, Level: 50}, []int{3, 5, 9}},
	}
	row := []int32{0, 0, 20, 51, 45, 60, Unknown, 20, 0, 100}
	for _, k := range kinds {
		b := newBuilder()
		in, n := b.input("in", QuantityLight), b.variable("n", 0)
		k.cause.Slot = in
		b.rule(ruleOf{name: k.name, causes: []Cause{k.cause}, actions: []Action{{Kind: ActionAdd, Index: n, Const: 1}}})
		h := newBench(t, b.done(t))
		h.start()
		var got []int
		for i, v := range row {
			was := h.value(n)
			h.input(in, v)
			if h.value(n) != was {
				got = append(got, i)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(k.want) {
			t.Errorf("%s fires at %v, want %v, of %v", k.name, got, k.want, row)
		}
	}
}

// conflictBed has two rules of given rank that write to one lamp in one instant.
func conflict(t *testing.T, ra, rb Rank, a, z func(l int16) Action) string {
	b := newBuilder()
	k, l := b.key("K"), b.dimmer("L", 0)
	b.rule(ruleOf{name: "a", rank: ra, causes: []Cause{at1(CausePress, k)}, actions: []Action{a(l)}})
	b.rule(ruleOf{name: "b", rank: rb, causes: []Cause{at1(CausePress, k)}, actions: []Action{z(l)}})
	h := newBench(t, b.done(t))
	h.start()
	return h.words(h.input(k, 1))
}

func TestConflictingWrites(t *testing.T) {
	to := func(v int32) func(int16) Action { return func(l int16) Action { return set(l, v) } }
	verb := func(k ActionKind) func(int16) Action { return func(l int16) Action { return do(k, l) } }
	for _, c := range []struct {
		name   string
		ra, rb Rank
		a, z   func(int16) Action
		want   string
	}{
		{"equal rank, different", 0, 0, to(300), to(700), "fault conflict L by a and b"},
		{"equal rank, the same", 0, 0, to(300), to(300), "output L 300 by a; publish L 300"},
		{"first outranks", RankManual, RankAutomatic, to(300), to(700), "output L 300 by a; publish L 300"},
		{"second outranks", RankManual, RankSafety, to(300), to(700), "output L 700 by b; publish L 700"},
		{"off and set to 0 are the same", 0, 0, verb(ActionOff), to(0), ""},
		{"on and off", 0, 0, verb(ActionOn), verb(ActionOff), "fault conflict L by a and b"},
		{"raise and stop", 0, 0, verb(ActionRaise), verb(ActionStop), "fault conflict L by a and b"},
	} {
		if got := conflict(t, c.ra, c.rb, c.a, c.z); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestThirdWriterOutranksAFight(t *testing.T) {
	b := newBuilder()
	k, l := b.key("K"), b.lamp("L")
	for i, rank := range []Rank{RankManual, RankManual, RankSafety} {
		b.rule(ruleOf{name: string(rune('a' + i)), rank: rank, causes: []Cause{at1(CausePress, k)}, actions: []Action{set(l, int32(1-i%2))}})
	}
	h := newBench(t, b.done(t))
	h.start()
	if got := h.words(h.input(k, 1)); got != "output L 1 by c; publish L 1" {
		t.Errorf("%s", got)
	}
}

func TestAddsAllCount(t *testing.T) {
	b := newBuilder()
	k, n := b.key("K"), b.variable("n", 5)
	for _, v := range []int32{1, 10, -3} {
		b.rule(ruleOf{name: "add", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionAdd, Index: n, Const: v}}})
	}
	h := newBench(t, b.done(t))
	h.start()
	h.input(k, 1)
	h.want(n, 13)
}

// TestAddAgainstSet: adding and setting one variable in one instant is a fight, in whatever order.
func TestAddAgainstSet(t *testing.T) {
	for _, first := range []ActionKind{ActionAdd, ActionSet} {
		b := newBuilder()
		k, n := b.key("K"), b.variable("n", 5)
		second := ActionAdd + ActionSet - first
		b.rule(ruleOf{name: "a", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: first, Index: n, Const: 2}}})
		b.rule(ruleOf{name: "b", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: second, Index: n, Const: 2}}})
		h := newBench(t, b.done(t))
		h.start()
		if got := h.words(h.input(k, 1)); got != "fault conflict n by a and b" {
			t.Errorf("kind %d first: %s", first, got)
		}
		h.want(n, 5)
	}
}

func TestRestartInOneInstant(t *testing.T) {
	// Cancelling and starting one timer in one instant starts it: the way to begin a sequence anew.
	b := newBuilder()
	k, w := b.key("K"), b.timer("w", TimerWait, -1, 1000)
	b.rule(ruleOf{name: "start", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionStartTimer, Index: w}}})
	b.rule(ruleOf{name: "cancel", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionCancelTimer, Index: w}}})
	h := newBench(t, b.done(t))
	h.start()
	if got := h.words(h.input(k, 1)); got != "" {
		t.Errorf("effects: %s", got)
	}
	if ms, _ := h.p.Due(h.s); ms != 1000 {
		t.Errorf("due in %d ms", ms)
	}
}

// TestChainBound: eight instants run, the ninth is cut. A chain that ends by itself in time is no fault.
func TestChainBound(t *testing.T) {
	for _, n := range []int{MaxChain - 1, MaxChain, MaxChain + 1} {
		b := newBuilder()
		k := b.key("K")
		vars := []int16{}
		for i := range n {
			vars = append(vars, b.variable(fmt.Sprintf("v%d", i), 0))
		}
		b.rule(ruleOf{name: "first", causes: []Cause{at1(CausePress, k)}, actions: []Action{set(vars[0], 1)}})
		for i := 1; i < n; i++ {
			b.rule(ruleOf{name: fmt.Sprintf("link%d", i), causes: []Cause{on(vars[i-1])}, actions: []Action{set(vars[i], 1)}})
		}
		b.rule(ruleOf{name: "never", causes: []Cause{on(vars[n-1])}, cond: is(k, 0), actions: []Action{set(vars[0], 0)}})
		h := newBench(t, b.done(t))
		h.start()
		want := ""
		if n > MaxChain {
			want = fmt.Sprintf("fault chain - by link%d", MaxChain)
		}
		if got := h.words(h.input(k, 1)); got != want {
			t.Errorf("chain of %d: %q, want %q", n, got, want)
		}
	}
}

// TestCrowdedInstant: beyond the room for writes none is done, and that is a fault.
func TestCrowdedInstant(t *testing.T) {
	for _, n := range []int{MaxWrites, MaxWrites + 1} {
		b := newBuilder()
		k := b.key("K")
		var lamps []int16
		for i := range n {
			lamps = append(lamps, b.slot(Slot{Name: fmt.Sprintf("l%d", i), Kind: SlotSwitch}))
		}
		b.rule(ruleOf{name: "all", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionOn, To: TargetList, Index: b.list(lamps...)}}})
		h := newBench(t, b.done(t))
		h.start()
		out := h.input(k, 1)
		if n == MaxWrites && len(out) != n || n > MaxWrites && h.words(out) != "fault crowd -" {
			t.Errorf("%d lamps: %d effects", n, len(out))
		}
	}
}

// TestEndlessExpiriesAreCut: a wait of 1 ms that starts itself cannot hold up a Step that brings a day.
func TestEndlessExpiriesAreCut(t *testing.T) {
	b := newBuilder()
	w := b.timer("w", TimerWait, -1, 1)
	b.rule(ruleOf{name: "again", causes: []Cause{at1(CauseStart, 0), {Kind: CauseExpired, Timer: w}}, actions: []Action{{Kind: ActionStartTimer, Index: w}}})
	h := newBench(t, b.done(t))
	h.start()
	if got := h.words(h.wait(MaxExpiries)); got != "" {
		t.Errorf("%d expiries: %s", MaxExpiries, got)
	}
	if got := h.words(h.wait(MaxDelay)); got != "fault time -" {
		t.Errorf("24 days: %s", got)
	}
	if ms, ok := h.p.Due(h.s); !ok || ms != 1 {
		t.Errorf("afterwards due in %d ms, %v", ms, ok)
	}
}

// TestZeroWaitIsAChain: a wait of no time that starts itself is a chain, and is cut as one.
func TestZeroWaitIsAChain(t *testing.T) {
	b := newBuilder()
	k, w := b.key("K"), b.timer("w", TimerWait, -1, 0)
	b.rule(ruleOf{name: "again", causes: []Cause{at1(CausePress, k), {Kind: CauseExpired, Timer: w}}, actions: []Action{{Kind: ActionStartTimer, Index: w}}})
	h := newBench(t, b.done(t))
	h.start()
	if got := h.words(h.input(k, 1)); got != "fault chain - by again" {
		t.Errorf("%s", got)
	}
}

// TestExpiriesHaveTheirOwnInstant: two timers that run out in one moment do so one after the other, in table order, and
// the second sees what the first one changed.
func TestExpiriesHaveTheirOwnInstant(t *testing.T) {
	b := newBuilder()
	k, n := b.key("K"), b.variable("n", 1)
	first, second := b.timer("first", TimerWait, -1, 100), b.timer("second", TimerWait, -1, 100)
	b.rule(ruleOf{name: "begin", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionStartTimer, Index: second}, {Kind: ActionStartTimer, Index: first}}})
	b.rule(ruleOf{name: "double", causes: []Cause{{Kind: CauseExpired, Timer: second}}, actions: []Action{{Kind: ActionSet, Index: n, Value: b.code(Instr{OpSlot, int32(n)}, Instr{OpConst, 2}, Instr{OpMul, 0})}}})
	b.rule(ruleOf{name: "three", causes: []Cause{{Kind: CauseExpired, Timer: first}}, actions: []Action{set(n, 3)}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(k, 1)
	h.wait(150)
	h.want(n, 6)
}

// TestBeatOfAMessage: in its instant the message is on, and it falls back before anything follows.
func TestBeatOfAMessage(t *testing.T) {
	b := newBuilder()
	m := b.slot(Slot{Name: "bell", Kind: SlotMessage})
	n, fell := b.variable("n", 0), b.variable("fell", 0)
	b.rule(ruleOf{name: "rings", causes: []Cause{on(m)}, cond: []Instr{{OpSlot, int32(m)}}, actions: []Action{{Kind: ActionAdd, Index: n, Const: 1}}})
	b.rule(ruleOf{name: "after", causes: []Cause{at1(CauseChange, n)}, cond: is(m, 0), actions: []Action{{Kind: ActionAdd, Index: fell, Const: 1}}})
	h := newBench(t, b.done(t))
	h.start()
	for range 3 {
		h.step(Event{Kind: EventMessage, Slot: m})
	}
	h.want(n, 3)
	h.want(fell, 3)
	h.want(m, 0)
}
