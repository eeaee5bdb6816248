package behaviour

import (
	"fmt"
	"strings"

	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// builder fills the tables of one controller's program.
type builder struct {
	c      *compiler
	at     int // index of the controller
	p      control.Program
	origin []int // for each rule of the program the rule of the text, -1 for none

	peers     map[string]int16
	texts     map[string]int16
	mirrors   map[*thing]int16
	named     map[string]int16 // clock, link, message and hidden slots by name
	lists     map[string]int16
	scenes    map[string]int16
	holds     map[control.Hold]int16
	keepers   []keeper // what keeps outputs on for a time
	rule      int      // the rule of the text that is being lowered, -1 for none
	nextLocal int      // numbers hidden variables and timers
}

// keeper keeps outputs in a state for a time; when it is done the outputs go back, unless another keeper wants them.
type keeper struct {
	rule   int
	name   int16
	class  syntax.Verb // the effect: what keeps a lamp on does not matter to what keeps it off
	things []*thing
	busy   []control.Instr // it is at work
	done   control.Cause   // it has ended
	back   func(things []*thing) []control.Action
	clear  []control.Action // done with the first of its rules
}

func newBuilder(c *compiler, at int) *builder {
	b := &builder{
		c: c, at: at, rule: -1,
		peers: map[string]int16{}, texts: map[string]int16{}, mirrors: map[*thing]int16{}, named: map[string]int16{},
		lists: map[string]int16{}, scenes: map[string]int16{}, holds: map[control.Hold]int16{},
	}
	b.p.Controller = string(c.controllers[at].module.ID)
	for i := range c.house.Modules {
		m := &c.house.Modules[i]
		if home, _ := c.controllerOf(m); home == at {
			b.landings(i)
		}
	}
	return b
}

// landings makes the slots of what lands on one module.
func (b *builder) landings(module int) {
	m := &b.c.house.Modules[module]
	for i := range m.Landings {
		l := &m.Landings[i]
		name := string(l.Point)
		t := b.c.things[name]
		if t == nil {
			t = b.c.things[fmt.Sprintf("%s.%d", name, max(1, l.Key))]
		}
		if t != nil && t.landing == l {
			t.slot = b.slot(b.local(t, string(m.ID), l.Channel))
		}
	}
}

// local is the slot of a thing that lands here.
func (b *builder) local(t *thing, module, channel string) control.Slot {
	s := control.Slot{
		Name: t.slotName(), Kind: t.slotKind, Quantity: t.quantity, Publish: t.kind != thingKey,
		Peer: -1, Remote: -1, Schedule: -1, Module: module, Channel: channel, Start: control.Unknown,
	}
	switch t.slotKind {
	case control.SlotSwitch:
		s.Start = 0
	case control.SlotLevel:
		s.Start = 0
		if t.point.Load != nil {
			s.Least = min(1000, max(0, int32(t.point.Load.Lowest/100_000)))
		}
	case control.SlotMotor:
		b.motor(&s, t)
	}
	return s
}

// travelUsual is the travel of a motor of which none is known: common practice, no source.
const travelUsual = 60_000

// motor fills the times of a motor, within the bounds of the control core.
func (b *builder) motor(s *control.Slot, t *thing) {
	s.Retain = true
	s.Up, s.Down = travelUsual, travelUsual
	if tr := t.point.Travel; tr != nil && tr.Up > 0 && tr.Down > 0 {
		s.Up = int32(min(int64(tr.Up), control.MotorTravelMost))
		s.Down = int32(min(int64(tr.Down), control.MotorTravelMost))
		s.Slats = int32(max(0, min(int64(tr.Slats), control.MotorSlatsMost)))
	} else {
		b.c.out.Findings = append(b.c.out.Findings, Finding{Slug: "motor/no-travel", Severity: Caution, Point: t.point.ID,
			Text: fmt.Sprintf("%s has no travel times; 60 s are assumed", t.name), Remedy: "measure the travel up and down and note it at the point"})
	}
	s.Pause = int32(max(control.MotorPauseLeast, min(int64(t.group.Pause), control.MotorPauseMost)))
}

// slot adds a slot.
func (b *builder) slot(s control.Slot) int16 {
	b.p.Slots = append(b.p.Slots, s)
	return int16(len(b.p.Slots) - 1)
}

// text adds a text once.
func (b *builder) text(s string) int16 {
	if len(s) > control.MaxTextBytes {
		s = strings.ToValidUTF8(s[:control.MaxTextBytes-3], "") + "…"
	}
	if i, ok := b.texts[s]; ok {
		return i
	}
	i := int16(len(b.p.Texts))
	b.p.Texts = append(b.p.Texts, s)
	b.texts[s] = i
	return i
}

// peer adds another controller that this one hears or commands.
func (b *builder) peer(at int) int16 {
	name := string(b.c.controllers[at].module.ID)
	if i, ok := b.peers[name]; ok {
		return i
	}
	i := int16(len(b.p.Peers))
	b.p.Peers = append(b.p.Peers, name)
	b.peers[name] = i
	return i
}

// commandee is the peer that owns a thing which this controller commands; both must know each other.
func (b *builder) commandee(t *thing) int16 {
	b.c.builders[t.home].peer(b.at)
	return b.peer(t.home)
}

// read is the slot of a thing here: its own, or a mirror of it.
func (b *builder) read(t *thing) int16 {
	if t.home == b.at {
		return t.slot
	}
	if i, ok := b.mirrors[t]; ok {
		return i
	}
	owner := b.c.builders[t.home]
	owner.p.Slots[t.slot].Publish = true
	i := b.slot(control.Slot{
		Name: t.slotName(), Kind: control.SlotMirror, Quantity: t.quantity, Peer: b.peer(t.home), Remote: t.slot,
		Start: control.Unknown, Schedule: -1,
	})
	b.mirrors[t] = i
	return i
}

// once adds a slot without a channel, found again by its name.
func (b *builder) once(name string, s control.Slot) (int16, bool) {
	if i, ok := b.named[name]; ok {
		return i, false
	}
	s.Name, s.Remote = name, -1
	i := b.slot(s)
	b.named[name] = i
	return i, true
}

// clock is the slot of a calendar entry.
func (b *builder) clock(name string, s control.Schedule) int16 {
	i, fresh := b.once(name, control.Slot{Kind: control.SlotClock, Peer: -1, Schedule: int16(len(b.p.Schedules))})
	if fresh {
		b.p.Schedules = append(b.p.Schedules, s)
	}
	return i
}

// link is the slot that is on while a peer, or the network where the peer is -1, is heard.
func (b *builder) link(peer int16) int16 {
	name := "network"
	if peer >= 0 {
		name = "module " + b.p.Peers[peer]
	}
	i, _ := b.once(name, control.Slot{Kind: control.SlotLink, Peer: peer, Start: 1, Schedule: -1})
	return i
}

// message is the slot that beats when a message arrives.
func (b *builder) message(text string) int16 {
	i, _ := b.once(text, control.Slot{Kind: control.SlotMessage, Peer: -1, Schedule: -1})
	return i
}

// hidden is a variable of the compiler's own; what tells what it remembers.
func (b *builder) hidden(what string) int16 {
	b.nextLocal++
	return b.slot(control.Slot{Name: fmt.Sprintf("(%d) %s", b.nextLocal, what), Kind: control.SlotVar, Peer: -1, Remote: -1, Schedule: -1})
}

// timer adds a timer.
func (b *builder) timer(t control.Timer, name string) int16 {
	t.Name = b.text(name)
	b.p.Timers = append(b.p.Timers, t)
	return int16(len(b.p.Timers) - 1)
}

// list adds a list of slots once.
func (b *builder) list(slots []int16) int16 {
	name := fmt.Sprint(slots)
	if i, ok := b.lists[name]; ok {
		return i
	}
	i := int16(len(b.p.Lists))
	b.p.Lists = append(b.p.Lists, control.Range{First: int32(len(b.p.Members)), Count: int32(len(slots))})
	b.p.Members = append(b.p.Members, slots...)
	b.lists[name] = i
	return i
}

// hold adds a row of holds once.
func (b *builder) hold(t *thing, rank control.Rank, peer int16) int16 {
	h := control.Hold{Slot: t.slot, Rank: rank, Peer: peer, Restore: !t.motor()}
	if i, ok := b.holds[h]; ok {
		return i
	}
	i := int16(len(b.p.Holds))
	b.holds[h] = i
	h.Name = b.text("hold of " + t.name)
	b.p.Holds = append(b.p.Holds, h)
	return i
}

// code adds a condition or operand.
func (b *builder) code(code []control.Instr) control.Range {
	if len(code) == 0 {
		return control.Range{}
	}
	r := control.Range{First: int32(len(b.p.Code)), Count: int32(len(code))}
	b.p.Code = append(b.p.Code, code...)
	return r
}

// emission is one rule of the program.
type emission struct {
	name    string
	rank    control.Rank
	causes  []control.Cause
	cond    []control.Instr
	actions []control.Action
}

// emit adds a rule.
func (b *builder) emit(e emission) {
	if len(e.causes) == 0 || len(e.actions) == 0 {
		return
	}
	r := control.Rule{Name: b.text(e.name), Rank: e.rank, Cond: b.code(e.cond)}
	r.Causes = control.Range{First: int32(len(b.p.Causes)), Count: int32(len(e.causes))}
	b.p.Causes = append(b.p.Causes, e.causes...)
	r.Actions = control.Range{First: int32(len(b.p.Actions)), Count: int32(len(e.actions))}
	b.p.Actions = append(b.p.Actions, e.actions...)
	b.p.Rules = append(b.p.Rules, r)
	b.origin = append(b.origin, b.rule)
}

// finish adds what is known only when every rule has been lowered: the gestures of keys, and the ends of keepers.
func (b *builder) finish() {
	for i := range b.keepers {
		b.endKeeper(i)
	}
	for _, name := range b.c.names {
		t := b.c.things[name]
		if t.kind != thingKey || t.home != b.at || t.gesture == (gesture{}) {
			continue
		}
		g := control.Gesture{Slot: t.slot, Debounce: control.DebounceUsual}
		if t.gesture.hold {
			g.Long = control.LongUsual
		}
		if t.gesture.twice {
			g.Gap = control.GapUsual
		}
		b.p.Gestures = append(b.p.Gestures, g)
	}
}

// endKeeper emits what happens when a keeper is done: its outputs go back, each unless another keeper wants it still.
func (b *builder) endKeeper(i int) {
	k := &b.keepers[i]
	groups := map[string][]*thing{}
	conds := map[string][]control.Instr{}
	var order []string
	for _, t := range k.things {
		name, cond := "", []control.Instr(nil)
		for j := range b.keepers {
			if o := &b.keepers[j]; j != i && o.class == k.class && o.keeps(t) {
				name += fmt.Sprint(j, " ")
				cond = and(cond, not(o.busy))
			}
		}
		if groups[name] == nil {
			order = append(order, name)
		}
		groups[name], conds[name] = append(groups[name], t), cond
	}
	b.rule = k.rule
	for n, name := range order {
		actions := k.back(groups[name])
		if n == 0 && conds[name] == nil {
			actions = append(actions, k.clear...)
		} else if n == 0 && len(k.clear) > 0 {
			b.emit(emission{name: b.p.Texts[k.name], causes: []control.Cause{k.done}, actions: k.clear})
		}
		b.emit(emission{name: b.p.Texts[k.name], causes: []control.Cause{k.done}, cond: conds[name], actions: actions})
	}
	b.rule = -1
}

func (k *keeper) keeps(t *thing) bool {
	for _, o := range k.things {
		if o == t {
			return true
		}
	}
	return false
}

// and joins two conditions, either of which may be missing.
func and(a, b []control.Instr) []control.Instr {
	switch {
	case len(a) == 0:
		return b
	case len(b) == 0:
		return a
	}
	return append(append(append([]control.Instr{}, a...), b...), control.Instr{Op: control.OpAnd})
}

// not turns a condition round.
func not(a []control.Instr) []control.Instr {
	return append(append([]control.Instr{}, a...), control.Instr{Op: control.OpNot})
}

// one is a piece of code of one instruction.
func one(op control.Op, arg int32) []control.Instr { return []control.Instr{{Op: op, Arg: arg}} }
