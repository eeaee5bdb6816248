package control

import (
	"fmt"
	"strings"
	"testing"
)

// builder makes programs for tests in few words. Slots, timers and rules are named by text; what a rule needs is put
// together from small functions.
type builder struct {
	p     *Program
	slots map[string]int16
	times map[string]int16
}

func newBuilder() *builder {
	return &builder{p: &Program{Controller: "box"}, slots: map[string]int16{}, times: map[string]int16{}}
}

func (b *builder) text(s string) int16 {
	b.p.Texts = append(b.p.Texts, s)
	return int16(len(b.p.Texts) - 1)
}

func (b *builder) slot(s Slot) int16 {
	if s.Peer == 0 && s.Kind != SlotMirror && s.Kind != SlotLink {
		s.Peer = -1
	}
	if s.Kind != SlotMirror {
		s.Remote = -1
	}
	if s.Kind != SlotClock {
		s.Schedule = -1
	}
	b.p.Slots = append(b.p.Slots, s)
	i := int16(len(b.p.Slots) - 1)
	b.slots[s.Name] = i
	return i
}

func (b *builder) input(name string, q Quantity) int16 {
	return b.slot(Slot{Name: name, Kind: SlotInput, Quantity: q, Start: Unknown})
}
func (b *builder) key(name string) int16 { return b.slot(Slot{Name: name, Kind: SlotKey}) }
func (b *builder) lamp(name string) int16 {
	return b.slot(Slot{Name: name, Kind: SlotSwitch, Publish: true})
}
func (b *builder) dimmer(name string, least int32) int16 {
	return b.slot(Slot{Name: name, Kind: SlotLevel, Quantity: QuantityLevel, Publish: true, Least: least})
}
func (b *builder) variable(name string, start int32) int16 {
	return b.slot(Slot{Name: name, Kind: SlotVar, Start: start})
}
func (b *builder) shutter(name string, start int32) int16 {
	return b.slot(Slot{Name: name, Kind: SlotMotor, Quantity: QuantityPosition, Publish: true, Start: start,
		Up: 54_000, Down: 50_000, Slats: 1_600, Pause: 500})
}
func (b *builder) peer(name string) int16 {
	b.p.Peers = append(b.p.Peers, name)
	return int16(len(b.p.Peers) - 1)
}
func (b *builder) mirror(name string, peer, remote int16) int16 {
	return b.slot(Slot{Name: name, Kind: SlotMirror, Peer: peer, Remote: remote, Start: Unknown})
}

func (b *builder) timer(name string, kind TimerKind, in int16, ms int32) int16 {
	b.p.Timers = append(b.p.Timers, Timer{Kind: kind, Name: b.text(name), In: in, Time: ms})
	i := int16(len(b.p.Timers) - 1)
	b.times[name] = i
	return i
}

func (b *builder) gesture(slot int16, debounce, long, gap int32) {
	b.p.Gestures = append(b.p.Gestures, Gesture{Slot: slot, Debounce: debounce, Long: long, Gap: gap})
}

func (b *builder) list(slots ...int16) int16 {
	b.p.Lists = append(b.p.Lists, Range{int32(len(b.p.Members)), int32(len(slots))})
	b.p.Members = append(b.p.Members, slots...)
	return int16(len(b.p.Lists) - 1)
}

func (b *builder) code(code ...Instr) Range {
	r := Range{int32(len(b.p.Code)), int32(len(code))}
	b.p.Code = append(b.p.Code, code...)
	return r
}

func (b *builder) hold(name string, slot int16, rank Rank, peer int16, restore bool) int16 {
	b.p.Holds = append(b.p.Holds, Hold{Name: b.text(name), Slot: slot, Rank: rank, Peer: peer, Restore: restore})
	return int16(len(b.p.Holds) - 1)
}

// ruleOf is a rule as the tests write it.
type ruleOf struct {
	name    string
	rank    Rank
	causes  []Cause
	cond    []Instr
	actions []Action
}

func (b *builder) rule(r ruleOf) int16 {
	rule := Rule{Name: b.text(r.name), Rank: r.rank}
	rule.Causes = Range{int32(len(b.p.Causes)), int32(len(r.causes))}
	b.p.Causes = append(b.p.Causes, r.causes...)
	if len(r.cond) > 0 {
		rule.Cond = b.code(r.cond...)
	}
	rule.Actions = Range{int32(len(b.p.Actions)), int32(len(r.actions))}
	b.p.Actions = append(b.p.Actions, r.actions...)
	b.p.Rules = append(b.p.Rules, rule)
	return int16(len(b.p.Rules) - 1)
}

func on(slot int16) Cause  { return Cause{Kind: CauseRise, Slot: slot} }
func off(slot int16) Cause { return Cause{Kind: CauseFall, Slot: slot} }
func at1(kind CauseKind, slot int16) Cause {
	return Cause{Kind: kind, Slot: slot}
}
func set(slot int16, v int32) Action { return Action{Kind: ActionSet, Index: slot, Const: v} }
func do(kind ActionKind, slot int16) Action {
	return Action{Kind: kind, Index: slot}
}
func is(slot int16, v int32) []Instr {
	return []Instr{{OpSlot, int32(slot)}, {OpConst, v}, {OpEqual, 0}}
}

func (b *builder) done(t testing.TB) *Program {
	t.Helper()
	if err := b.p.Check(); err != nil {
		t.Fatal(err)
	}
	return b.p
}

// bench runs a program in a test: it keeps the state, checks the invariant and the clocks after every step, and knows
// when each motor moved.
type bench struct {
	t    testing.TB
	p    *Program
	s    State
	out  []Effect
	now  int64
	seq  uint32
	last map[int16]struct {
		dir int32
		at  int64
	}
}

func newBench(t testing.TB, p *Program) *bench {
	t.Helper()
	return &bench{t: t, p: p, s: p.NewState(), last: map[int16]struct {
		dir int32
		at  int64
	}{}}
}

func (h *bench) step(e Event) []Effect {
	h.t.Helper()
	h.out = h.p.Step(h.s, e, h.out[:0])
	h.now += int64(e.Elapsed)
	if wrong := h.p.Invariant(h.s); wrong != "" {
		h.t.Fatalf("at %d ms after %+v: %s", h.now, e, wrong)
	}
	return h.out
}

func (h *bench) start() []Effect { h.t.Helper(); return h.step(Event{Kind: EventStart, Slot: -1}) }
func (h *bench) wait(ms int32) []Effect {
	h.t.Helper()
	return h.step(Event{Kind: EventAdvance, Slot: -1, Elapsed: ms})
}
func (h *bench) input(slot int16, v int32) []Effect {
	h.t.Helper()
	return h.step(Event{Kind: EventInput, Slot: slot, Value: v})
}
func (h *bench) command(slot int16, verb Verb, v int32) []Effect {
	h.t.Helper()
	h.seq++
	return h.step(Event{Kind: EventCommand, Verb: verb, Slot: slot, Value: v, Peer: -1, Seq: h.seq, Expiry: 1000})
}
func (h *bench) value(slot int16) int32 { return h.p.Value(h.s, slot) }

func (h *bench) want(slot int16, v int32) {
	h.t.Helper()
	if got := h.value(slot); got != v {
		h.t.Fatalf("at %d ms: %s is %d, want %d", h.now, h.p.Slots[slot].Name, got, v)
	}
}

// words prints effects for comparison.
func (h *bench) words(out []Effect) string {
	var parts []string
	for _, e := range out {
		parts = append(parts, h.p.effectWords(e))
	}
	return strings.Join(parts, "; ")
}

var verbWords = [...]string{"set", "toggle", "raise", "lower", "stop", "slats", "hold", "release", "on"}

func (p *Program) effectWords(e Effect) string {
	name := "-"
	if e.Slot >= 0 && int(e.Slot) < len(p.Slots) {
		name = p.Slots[e.Slot].Name
	}
	by := ""
	if e.Cause >= 0 {
		by = " by " + p.Texts[p.Rules[e.Cause].Name]
	}
	value := fmt.Sprint(e.Value)
	if e.Value == Unknown {
		value = "unknown"
	}
	switch e.Kind {
	case EffectOutput:
		if e.Time > 0 {
			value += fmt.Sprintf(" over %d ms", e.Time)
		}
		return "output " + name + " " + value + by
	case EffectMotor:
		return "motor " + name + " " + value + by
	case EffectPublish:
		return "publish " + name + " " + value
	case EffectSend:
		s := fmt.Sprintf("send %s slot %d %s %s seq %d expiry %d", p.Peers[e.Peer], e.Slot, verbWords[e.Verb], value, e.Seq, e.Time)
		if e.Fade > 0 {
			s += fmt.Sprintf(" fade %d", e.Fade)
		}
		return s + by
	case EffectNotify:
		return "notify " + p.Texts[e.Value] + by
	}
	fault := [...]string{"?", "conflict", "chain", "range", "crowd", "time"}[e.Value]
	if FaultCode(e.Value) == FaultConflict && e.Time >= 0 && e.Cause >= 0 {
		by += " and " + p.Texts[p.Rules[e.Time].Name]
	}
	return "fault " + fault + " " + name + by
}
