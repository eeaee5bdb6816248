package control

import "testing"

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
