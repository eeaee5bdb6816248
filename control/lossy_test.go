package control

import (
	"fmt"
	"testing"
)

// A lamp over a lossy link: the key and a mirror m at one controller, the lamp l at another, one place c for a command
// under way and one place r for a report. Press: c is empty, a command to make the lamp the opposite of m is sent.
// Deliver: the command is taken, and answered with a report. Report: m becomes what it says. A command or report may be
// lost, a command delivered and yet stay (repeat). Wrong is a state in which nothing is under way and m and l differ.
//
// The counts are worked out by hand for that model; the states explored here are those of two real programs under Step.
// Numbers of commands are given anew at delivery, so that a repeated command is taken again as in the model.

// lossy is a state of the model.
type lossy struct {
	a, b State // controller of the key, controller of the lamp
	c, r Effect
}

// full tells whether a place holds something.
func full(e Effect) bool { return e.Kind == EffectSend || e.Kind == EffectPublish }

// lossyHouse is the two programs.
type lossyHouse struct {
	key, lamp    *Program
	k, mirror, l int16
}

func newLossyHouse(t *testing.T, relative bool) *lossyHouse {
	h := &lossyHouse{}
	b := newBuilder()
	h.k, h.mirror = b.key("key"), b.mirror("lamp", b.peer("lamp.box"), 0)
	press := []Cause{at1(CausePress, h.k)}
	if relative {
		b.rule(ruleOf{name: "toggle", causes: press, actions: []Action{do(ActionToggle, h.mirror)}})
	} else {
		b.rule(ruleOf{name: "on", causes: press, cond: is(h.mirror, 0), actions: []Action{set(h.mirror, 1)}})
		b.rule(ruleOf{name: "off", causes: press, cond: is(h.mirror, 1), actions: []Action{set(h.mirror, 0)}})
	}
	h.key = b.done(t)
	b = newBuilder()
	h.l = b.lamp("lamp")
	b.peer("key.box")
	h.lamp = b.done(t)
	return h
}

// first is the start: lamp off, and known to be off.
func (h *lossyHouse) first() lossy {
	s := lossy{a: h.key.NewState(), b: h.lamp.NewState()}
	h.key.Step(s.a, Event{Kind: EventStart, Slot: -1}, nil)
	h.key.Step(s.a, Event{Kind: EventMirror, Slot: h.mirror}, nil)
	h.lamp.Step(s.b, Event{Kind: EventStart, Slot: -1}, nil)
	return s
}

// clone copies a state; numbers of commands are no part of the model.
func (h *lossyHouse) clone(s lossy) lossy {
	n := lossy{a: s.a.Clone(), b: s.b.Clone(), c: s.c, r: s.r}
	clear(h.key.Sent(n.a))
	clear(h.lamp.Heard(n.b))
	return n
}

// press is the key going down and up.
func (h *lossyHouse) press(s lossy) lossy {
	n := h.clone(s)
	for _, e := range h.key.Step(n.a, Event{Kind: EventInput, Slot: h.k, Value: 1}, nil) {
		if e.Kind == EffectSend {
			n.c = Effect{Kind: EffectSend, Verb: e.Verb, Slot: e.Slot, Value: e.Value}
		}
	}
	h.key.Step(n.a, Event{Kind: EventInput, Slot: h.k}, nil)
	return h.clone(n)
}

// deliver is the command arriving.
func (h *lossyHouse) deliver(s lossy, stays bool) lossy {
	n := h.clone(s)
	e := Event{Kind: EventCommand, Verb: s.c.Verb, Slot: s.c.Slot, Value: s.c.Value, Peer: 0, Seq: 1}
	for _, e := range h.lamp.Step(n.b, e, nil) {
		if e.Kind == EffectPublish {
			n.r = Effect{Kind: EffectPublish, Value: e.Value}
		}
	}
	if !stays {
		n.c = Effect{}
	}
	return h.clone(n)
}

// report is the report arriving.
func (h *lossyHouse) report(s lossy) lossy {
	n := h.clone(s)
	h.key.Step(n.a, Event{Kind: EventMirror, Slot: h.mirror, Value: s.r.Value}, nil)
	n.r = Effect{}
	return n
}

// next returns what can follow.
func (h *lossyHouse) next(s lossy, loss, repeat bool) []lossy {
	var out []lossy
	if !full(s.c) {
		out = append(out, h.press(s))
	} else if !full(s.r) {
		out = append(out, h.deliver(s, false))
		if repeat {
			out = append(out, h.deliver(s, true))
		}
	}
	if full(s.r) {
		out = append(out, h.report(s))
	}
	if loss && full(s.c) {
		n := h.clone(s)
		n.c = Effect{}
		out = append(out, n)
	}
	if loss && full(s.r) {
		n := h.clone(s)
		n.r = Effect{}
		out = append(out, n)
	}
	return out
}

// explore counts states, transitions, the length of the longest shortest path, and wrong states.
func (h *lossyHouse) explore(loss, repeat bool) (states, transitions, depth, wrong int) {
	first := h.first()
	at := map[string]int{fmt.Sprint(first): 0}
	for queue := []lossy{h.clone(first)}; len(queue) > 0; queue = queue[1:] {
		s := queue[0]
		from := at[fmt.Sprint(s)]
		depth = max(depth, from)
		if !full(s.c) && !full(s.r) && h.key.Value(s.a, h.mirror) != h.lamp.Value(s.b, h.l) {
			wrong++
		}
		for _, n := range h.next(s, loss, repeat) {
			transitions++
			if _, ok := at[fmt.Sprint(n)]; !ok {
				at[fmt.Sprint(n)] = from + 1
				queue = append(queue, n)
			}
		}
	}
	return len(at), transitions, depth, wrong
}

func TestLampOverALossyLink(t *testing.T) {
	for _, c := range []struct {
		name                   string
		relative, loss, repeat bool
		want                   [4]int
	}{
		{"no loss", false, false, false, [4]int{14, 18, 9, 0}},
		{"loss", false, true, false, [4]int{18, 40, 9, 2}},
		{"loss and repeat", false, true, true, [4]int{20, 52, 8, 2}},
		{"relative, loss and repeat", true, true, true, [4]int{16, 40, 6, 2}},
	} {
		h := newLossyHouse(t, c.relative)
		states, transitions, depth, wrong := h.explore(c.loss, c.repeat)
		if got := [4]int{states, transitions, depth, wrong}; got != c.want {
			t.Errorf("%s: states, transitions, depth, wrong %v, want %v", c.name, got, c.want)
		}
	}
}

// TestWrongMirrorIsPutRight: after a lost report the next press changes nothing at the lamp, but its answer puts the
// mirror right, so that the press after it works.
func TestWrongMirrorIsPutRight(t *testing.T) {
	h := newLossyHouse(t, false)
	s := h.press(h.first())
	s = h.deliver(s, false)
	s.r = Effect{} // lost
	s = h.deliver(h.press(s), false)
	if h.lamp.Value(s.b, h.l) != 1 || !full(s.r) {
		t.Fatalf("the lamp is %d, report %v", h.lamp.Value(s.b, h.l), s.r)
	}
	s = h.report(s)
	s = h.deliver(h.press(s), false)
	if h.lamp.Value(s.b, h.l) != 0 {
		t.Error("the press after the answer does not work")
	}
}
