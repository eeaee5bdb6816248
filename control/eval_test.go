package control

import (
	"math"
	"testing"
)

// evalOf evaluates code in a program with a few slots: 0 is 0, 1 is 1, 2 is unknown, 3 is 42.
func evalOf(t *testing.T, code ...Instr) int32 {
	t.Helper()
	b := newBuilder()
	b.variable("zero", 0)
	b.variable("one", 1)
	b.variable("unknown", Unknown)
	b.variable("many", 42)
	b.list(0, 2)
	b.list(1, 2)
	b.list(1, 3)
	b.list(0, 0)
	b.list()
	r := b.code(code...)
	b.p.Rules = append(b.p.Rules, Rule{Name: -1, Cond: r})
	p := b.done(t)
	s := p.NewState()
	p.Step(s, Event{Kind: EventStart, Slot: -1}, nil)
	run := run{p: p, ix: p.ix, s: s}
	return run.eval(r)
}

func slotIs(i int32) Instr { return Instr{OpSlot, i} }

// TestThreeValues: the truth tables with unknown as third value.
func TestThreeValues(t *testing.T) {
	const f, tr, u = 0, 1, Unknown
	values := []int32{f, tr, u}
	slots := map[int32]int32{f: 0, tr: 1, u: 2}
	andTable := [3][3]int32{{f, f, f}, {f, tr, u}, {f, u, u}}
	orTable := [3][3]int32{{f, tr, u}, {tr, tr, tr}, {u, tr, u}}
	for i, a := range values {
		for j, b := range values {
			if got := evalOf(t, slotIs(slots[a]), slotIs(slots[b]), Instr{OpAnd, 0}); got != andTable[i][j] {
				t.Errorf("%d and %d is %d", a, b, got)
			}
			if got := evalOf(t, slotIs(slots[a]), slotIs(slots[b]), Instr{OpOr, 0}); got != orTable[i][j] {
				t.Errorf("%d or %d is %d", a, b, got)
			}
		}
	}
}

func TestInstructions(t *testing.T) {
	const most, least = math.MaxInt32, -math.MaxInt32
	c := func(v int32) Instr { return Instr{OpConst, v} }
	for _, x := range []struct {
		name string
		code []Instr
		want int32
	}{
		{"not 0", []Instr{c(0), {OpNot, 0}}, 1}, {"not 42", []Instr{slotIs(3), {OpNot, 0}}, 0}, {"not unknown", []Instr{slotIs(2), {OpNot, 0}}, Unknown},
		{"known", []Instr{slotIs(3), {OpKnown, 0}}, 1}, {"known unknown", []Instr{slotIs(2), {OpKnown, 0}}, 0},
		{"else of unknown", []Instr{slotIs(2), c(7), {OpElse, 0}}, 7}, {"else of known", []Instr{slotIs(0), c(7), {OpElse, 0}}, 0},
		{"less", []Instr{c(3), c(4), {OpLess, 0}}, 1}, {"less equal", []Instr{c(4), c(4), {OpLess, 0}}, 0}, {"at most", []Instr{c(4), c(4), {OpAtMost, 0}}, 1},
		{"more", []Instr{c(5), c(4), {OpMore, 0}}, 1}, {"at least", []Instr{c(3), c(4), {OpAtLeast, 0}}, 0}, {"differs", []Instr{c(3), c(4), {OpDiffers, 0}}, 1},
		{"equal with unknown", []Instr{slotIs(2), slotIs(2), {OpEqual, 0}}, Unknown}, {"differs from unknown", []Instr{c(1), slotIs(2), {OpDiffers, 0}}, Unknown},
		{"sum", []Instr{c(2), c(-5), {OpAdd, 0}}, -3}, {"sum at the top", []Instr{c(most), c(1), {OpAdd, 0}}, most}, {"sum at the bottom", []Instr{c(least), c(-1), {OpAdd, 0}}, least},
		{"difference", []Instr{c(2), c(5), {OpSub, 0}}, -3}, {"product beyond", []Instr{c(1 << 20), c(-(1 << 20)), {OpMul, 0}}, least},
		{"quotient towards 0", []Instr{c(-7), c(2), {OpDiv, 0}}, -3}, {"quotient by 0", []Instr{c(7), c(0), {OpDiv, 0}}, Unknown}, {"sum with unknown", []Instr{c(7), slotIs(2), {OpAdd, 0}}, Unknown},
		{"min", []Instr{c(7), c(2), {OpMin, 0}}, 2}, {"max", []Instr{c(7), c(2), {OpMax, 0}}, 7}, {"neg", []Instr{c(7), {OpNeg, 0}}, -7}, {"neg unknown", []Instr{slotIs(2), {OpNeg, 0}}, Unknown},
		{"pick true", []Instr{c(1), c(7), c(8), {OpPick, 0}}, 7}, {"pick false", []Instr{c(0), c(7), c(8), {OpPick, 0}}, 8}, {"pick unknown", []Instr{slotIs(2), c(7), c(8), {OpPick, 0}}, Unknown},
		{"any of 0, unknown", []Instr{{OpAny, 0}}, Unknown}, {"all of 0, unknown", []Instr{{OpAll, 0}}, 0}, {"any of 1, unknown", []Instr{{OpAny, 1}}, 1}, {"all of 1, unknown", []Instr{{OpAll, 1}}, Unknown},
		{"all of 1, 42", []Instr{{OpAll, 2}}, 1}, {"sum of 1, 42", []Instr{{OpSum, 2}}, 2}, {"any of 0, 0", []Instr{{OpAny, 3}}, 0}, {"sum with one unknown", []Instr{{OpSum, 1}}, Unknown},
		{"any of none", []Instr{{OpAny, 4}}, 0}, {"all of none", []Instr{{OpAll, 4}}, 1},
	} {
		if got := evalOf(t, x.code...); got != x.want {
			t.Errorf("%s is %d, want %d", x.name, got, x.want)
		}
	}
}

// TestUnknownDoesNotFire: neither the rule nor the opposite one.
func TestUnknownDoesNotFire(t *testing.T) {
	b := newBuilder()
	k, far, n := b.key("K"), b.mirror("far", b.peer("x"), 0), b.variable("n", 0)
	b.rule(ruleOf{name: "if", causes: []Cause{at1(CausePress, k)}, cond: []Instr{{OpSlot, int32(far)}}, actions: []Action{set(n, 1)}})
	b.rule(ruleOf{name: "if not", causes: []Cause{at1(CausePress, k)}, cond: []Instr{{OpSlot, int32(far)}, {OpNot, 0}}, actions: []Action{set(n, 2)}})
	b.rule(ruleOf{name: "if not known", causes: []Cause{at1(CauseRelease, k)}, cond: []Instr{{OpSlot, int32(far)}, {OpKnown, 0}, {OpNot, 0}}, actions: []Action{set(n, 3)}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(k, 1)
	h.want(n, 0)
	h.input(k, 0)
	h.want(n, 3)
	h.step(Event{Kind: EventMirror, Slot: far, Value: 0})
	h.input(k, 1)
	h.want(n, 2)
}

// TestUnknownOperandDoesNothing: an action whose operand is unknown is left out, the others are done.
func TestUnknownOperandDoesNothing(t *testing.T) {
	b := newBuilder()
	k, far := b.key("K"), b.mirror("far", b.peer("x"), 0)
	n, m := b.variable("n", 5), b.variable("m", 5)
	b.rule(ruleOf{name: "copy", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionSet, Index: n, Value: b.code(slotIs(int32(far)))}, set(m, 6)}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(k, 1)
	h.want(n, 5)
	h.want(m, 6)
}

// TestMotorInConditions: position, motion and angle are those of this moment; the slot is where the motor last stood.
func TestMotorInConditions(t *testing.T) {
	b := newBuilder()
	k, m := b.key("K"), b.shutter("m", 0)
	pos, slat, dir, slot := b.variable("pos", 0), b.variable("slat", 0), b.variable("dir", 0), b.variable("slot", 7)
	b.rule(ruleOf{name: "look", causes: []Cause{at1(CausePress, k)}, actions: []Action{
		{Kind: ActionSet, Index: pos, Value: b.code(Instr{OpPosition, int32(m)})}, {Kind: ActionSet, Index: slat, Value: b.code(Instr{OpSlats, int32(m)})},
		{Kind: ActionSet, Index: dir, Value: b.code(Instr{OpMotion, int32(m)})}, {Kind: ActionSet, Index: slot, Value: b.code(slotIs(int32(m)))}}})
	h := newBench(t, b.done(t))
	h.start()
	h.wait(500)
	h.command(m, VerbLower, 0)
	h.wait(11_600)
	h.input(k, 1)
	h.want(pos, 200)
	h.want(slat, 1000)
	h.want(dir, 1)
	h.want(slot, 0)
}
