package control

import (
	"fmt"
	"strings"
)

// canBeHeld tells whether a slot has a hold.
func (n *naive) canBeHeld(slot int16) bool {
	for _, h := range n.p.Holds {
		if h.Slot == slot {
			return true
		}
	}
	return false
}

// ruler is the hold that rules a slot, -1 for none.
func (n *naive) ruler(slot int16) int {
	best := -1
	for i, h := range n.p.Holds {
		if _, ok := n.holds[int16(i)]; ok && h.Slot == slot && (best < 0 || h.Rank > n.p.Holds[best].Rank) {
			best = i
		}
	}
	return best
}

// decide says what an action comes to.
func (n *naive) decide(a Action, rank int) []naiveWrite {
	operand := a.Const
	if a.Value.Count > 0 {
		if operand = n.worth(a.Value); operand == Unknown {
			return nil
		}
	}
	switch a.Kind {
	case ActionNotify:
		return []naiveWrite{{on: fmt.Sprint("text ", a.Index), does: "tell", rank: rank, turn: 3, do: func() { n.say("notify %d", a.Index) }}}
	case ActionStartTimer:
		ms := operand
		if a.Value.Count == 0 && a.Const == 0 || ms < 0 {
			ms = n.p.Timers[a.Index].Time
		}
		return []naiveWrite{{on: fmt.Sprint("timer ", a.Index), does: fmt.Sprint("start ", ms), rank: rank + 1, turn: 1, do: func() { n.startTimer(a.Index, ms) }}}
	case ActionCancelTimer:
		return []naiveWrite{{on: fmt.Sprint("timer ", a.Index), does: "cancel", rank: rank, turn: 1, do: func() { n.cancelTimer(a.Index) }}}
	case ActionCapture:
		return []naiveWrite{{on: fmt.Sprint("scene ", a.Index), does: "capture", rank: rank, turn: 0, do: func() { n.capture(int(a.Index)) }}}
	case ActionRecall:
		var ws []naiveWrite
		items := n.p.Scenes[a.Index].Items
		for k := range items.Count {
			v := n.scenes[[2]int{int(a.Index), int(k)}]
			if v != Unknown {
				ws = append(ws, n.drive(Action{Kind: ActionSet}, n.p.SceneItems[items.First+k].Slot, v, rank)...)
			}
		}
		return ws
	}
	switch a.To {
	case TargetHold:
		return n.holdWrite(a.Kind, a.Index, operand, rank)
	case TargetPeer:
		return n.command(a, a.Peer, a.Index, operand, rank)
	case TargetSlot:
		return n.drive(a, a.Index, operand, rank)
	}
	if a.Kind == ActionToggle {
		a.Kind = ActionOn
		for _, m := range n.p.list(a.Index) {
			if v := n.val[m]; v != 0 && v != Unknown {
				a.Kind = ActionOff
			}
		}
	}
	var ws []naiveWrite
	for _, m := range n.p.list(a.Index) {
		ws = append(ws, n.drive(a, m, operand, rank)...)
	}
	return ws
}

// drive says what an action comes to at one slot.
func (n *naive) drive(a Action, slot int16, v int32, rank int) []naiveWrite {
	s := n.p.Slots[slot]
	switch {
	case s.Kind == SlotMirror:
		return n.command(a, s.Peer, s.Remote, v, rank)
	case a.Kind == ActionHold || a.Kind == ActionRelease:
		for i, h := range n.p.Holds {
			if h.Slot == slot && h.Rank == a.Rank && h.Peer == -1 {
				return n.holdWrite(a.Kind, int16(i), v, rank)
			}
		}
	}
	kind := a.Kind
	if kind == ActionToggle {
		now := n.val[slot]
		if n.ruler(slot) >= 0 {
			now = n.asked[slot]
		}
		kind = ActionOff
		if now == 0 || now == Unknown {
			kind = ActionOn
		}
	}
	w := naiveWrite{on: fmt.Sprint("slot ", slot), rank: rank, turn: 1, fault: fmt.Sprint(slot)}
	switch {
	case kind == ActionOff:
		v, w.does = 0, "set 0"
	case kind == ActionOn && s.Kind != SlotLevel:
		v, w.does = 1, "set 1"
	case kind == ActionOn:
		w.does = "on"
	case kind == ActionAdd:
		w.does, w.adds = fmt.Sprint("add ", v), true
	default:
		w.does = fmt.Sprint("set ", v)
	}
	w.do = func() { n.set(slot, kind, v) }
	return []naiveWrite{w}
}

// set does a write to a local slot.
func (n *naive) set(slot int16, kind ActionKind, v int32) {
	s := n.p.Slots[slot]
	switch {
	case kind == ActionAdd:
		v = n.both(OpAdd, n.val[slot], v)
	case kind == ActionOn && s.Kind == SlotLevel:
		v = n.val[slot]
		if n.ruler(slot) >= 0 {
			v = n.asked[slot]
		}
		if v <= 0 {
			if v = n.lastOn[slot]; v == 0 {
				v = 1000
			}
		}
	case s.Kind == SlotSwitch:
		v = truth(v != 0)
	case s.Kind == SlotLevel && v > 0:
		v = min(1000, max(v, s.Least, 1))
	case s.Kind == SlotLevel:
		v = 0
	}
	if s.Kind == SlotVar {
		n.become(slot, v)
		return
	}
	n.asked[slot] = v
	if n.ruler(slot) < 0 {
		n.turn(slot, v)
	}
}

// turn drives an output.
func (n *naive) turn(slot int16, v int32) {
	if n.val[slot] != v {
		n.say("output %d %d", slot, v)
		if v > 0 {
			n.lastOn[slot] = v
		}
		n.become(slot, v)
	}
}

// holdWrite puts or ends a hold.
func (n *naive) holdWrite(kind ActionKind, row int16, v int32, rank int) []naiveWrite {
	w := naiveWrite{on: fmt.Sprint("hold ", row), does: "release", rank: rank, turn: 1, fault: fmt.Sprint(row)}
	w.do = func() { n.endHold(row) }
	if kind == ActionHold {
		w.does, w.rank = fmt.Sprint("hold ", v), rank+1
		w.do = func() { n.putHold(row, v) }
	}
	return []naiveWrite{w}
}

func (n *naive) putHold(row int16, v int32) {
	slot := n.p.Holds[row].Slot
	s := n.p.Slots[slot]
	if v < 0 || v > 1000 || s.Kind == SlotSwitch && v > 1 {
		n.say("fault range %d", slot)
		return
	}
	if s.Kind == SlotLevel && v > 0 {
		v = max(v, s.Least, 1)
	}
	n.holds[row] = v
	if n.ruler(slot) == int(row) {
		n.turn(slot, v)
	}
}

func (n *naive) endHold(row int16) {
	slot := n.p.Holds[row].Slot
	ruled := n.ruler(slot) == int(row)
	delete(n.holds, row)
	next := n.ruler(slot)
	switch {
	case !ruled:
	case next >= 0:
		n.turn(slot, n.holds[int16(next)])
	case n.p.Holds[row].Restore:
		if v := n.asked[slot]; v != Unknown {
			n.turn(slot, v)
		}
	default:
		n.asked[slot] = n.val[slot]
	}
}

// command says what is sent to a peer.
func (n *naive) command(a Action, peer, slot int16, v int32, rank int) []naiveWrite {
	verb := map[ActionKind]Verb{ActionSet: VerbSet, ActionOff: VerbSet, ActionOn: VerbOn, ActionToggle: VerbToggle, ActionRaise: VerbRaise, ActionLower: VerbLower,
		ActionStop: VerbStop, ActionSlats: VerbSlat, ActionHold: VerbHold, ActionRelease: VerbRelease}[a.Kind]
	class := "value"
	switch a.Kind {
	case ActionOff:
		v = 0
	case ActionSlats:
		class = "slats"
	case ActionHold:
		if v < 0 || v > HoldStill {
			return nil
		}
		v += int32(a.Rank) << 16
	case ActionRelease:
		v = int32(a.Rank) << 16
	}
	if verb == VerbHold || verb == VerbRelease {
		class = fmt.Sprint("hold ", v>>16)
	}
	expiry := a.Expiry
	if expiry == 0 {
		expiry = ExpiryUsual
	}
	w := naiveWrite{on: fmt.Sprint("peer ", peer, slot, class), does: fmt.Sprint(verb, v), rank: rank, turn: 3, fault: "-1"}
	w.do = func() {
		n.sent[peer]++
		n.say("send %d %d %d %d %d %d", peer, slot, verb, v, n.sent[peer], expiry)
	}
	return []naiveWrite{w}
}

// capture takes the values of a scene.
func (n *naive) capture(scene int) {
	items := n.p.Scenes[scene].Items
	for k := range items.Count {
		if v := n.val[n.p.SceneItems[items.First+k].Slot]; v != Unknown {
			n.scenes[[2]int{scene, int(k)}] = v
		}
	}
}

// startTimer and cancelTimer drive a timer that no slot drives.
func (n *naive) startTimer(i int16, ms int32) {
	t := n.timerOf(i)
	was := t.q
	switch t.kind {
	case TimerOnDelay:
		if !t.in {
			t.in, t.since, t.pt = true, 0, ms
			t.q = ms == 0
			n.timerSays(i, was, t.q, ms == 0)
		}
	case TimerOffDelay:
		if !t.in {
			t.in, t.q, t.since, t.pt = true, true, -1, ms
			n.timerSays(i, was, true, false)
		}
	case TimerPulse:
		if t.since < 0 && ms > 0 {
			t.since, t.q, t.pt = 0, true, ms
			n.timerSays(i, was, true, false)
		}
	default:
		t.since, t.q, t.pt = 0, true, ms
		n.timerSays(i, was, true, false)
		if ms == 0 {
			t.since, t.q = -1, false
			n.timerSays(i, true, false, true)
		}
	}
}

func (n *naive) cancelTimer(i int16) {
	t := n.timerOf(i)
	was := t.q
	switch t.kind {
	case TimerOnDelay:
		if t.in {
			t.in, t.since, t.q = false, -1, false
			n.timerSays(i, was, false, false)
		}
	case TimerOffDelay:
		if t.in {
			t.in, t.since, t.q, t.everFallen = false, 0, t.pt > 0, true
			n.timerSays(i, was, t.q, t.pt == 0)
		}
	default:
		if t.since >= 0 && t.since < t.pt {
			t.since, t.q = -1, false
			n.timerSays(i, was, false, false)
		}
	}
}

// step takes an event that Step has found well formed.
func (n *naive) step(e Event) {
	n.out = nil
	for range e.Elapsed {
		n.millisecond()
	}
	switch e.Kind {
	case EventStart:
		n.start()
	case EventInput:
		n.input(e)
	case EventMirror:
		n.become(e.Slot, e.Value)
	case EventClock:
		if s := n.p.Slots[e.Slot]; !n.p.Schedules[s.Schedule].Window {
			n.beatOf(e.Slot, e.Value)
		} else {
			n.become(e.Slot, e.Value)
		}
	case EventMessage:
		n.beatOf(e.Slot, 1)
	case EventLink:
		n.link(e)
	case EventCommand:
		n.commanded(e)
	}
	n.settle()
}

func (n *naive) input(e Event) {
	was := n.val[e.Slot]
	n.become(e.Slot, e.Value)
	if n.p.Slots[e.Slot].Kind != SlotKey || was == e.Value {
		return
	}
	n.causes(func(rule, _ int, c Cause) {
		fires := c.Slot == e.Slot && (c.Kind == CausePress && e.Value == 1 || c.Kind == CauseRelease && e.Value == 0)
		if c.Kind == CauseChord && e.Value == 1 {
			all, member := true, false
			for _, m := range n.p.list(c.List) {
				all, member = all && n.val[m] == 1, member || m == e.Slot
			}
			fires = all && member
		}
		if fires {
			n.pending[int16(rule)] = true
		}
	})
}

func (n *naive) beatOf(slot int16, v int32) {
	if v == 0 {
		return
	}
	n.become(slot, 1)
	n.beat = slot
	if len(n.pending) == 0 {
		n.instant()
	}
}

func (n *naive) link(e Event) {
	peer := e.Peer
	if e.Slot >= 0 {
		peer = n.p.Slots[e.Slot].Peer
	}
	if peer >= 0 && e.Value == 0 {
		delete(n.heard, peer)
		for i, s := range n.p.Slots {
			if s.Kind == SlotMirror && s.Peer == peer && s.Forget {
				n.become(int16(i), Unknown)
			}
		}
	}
	for i, s := range n.p.Slots {
		if s.Kind == SlotLink && (e.Slot == int16(i) || e.Slot < 0 && s.Peer == e.Peer) {
			n.become(int16(i), e.Value)
		}
	}
}

func (n *naive) commanded(e Event) {
	if e.Seq <= n.heard[e.Peer] {
		return
	}
	n.heard[e.Peer] = e.Seq
	if e.Age > e.Expiry {
		return
	}
	a := Action{Kind: map[Verb]ActionKind{VerbSet: ActionSet, VerbToggle: ActionToggle, VerbOn: ActionOn}[e.Verb]}
	var ws []naiveWrite
	if e.Verb == VerbHold || e.Verb == VerbRelease {
		for i, h := range n.p.Holds {
			if h.Slot == e.Slot && int32(h.Rank) == e.Value>>16 && h.Peer == e.Peer && ws == nil {
				ws = n.holdWrite(map[Verb]ActionKind{VerbHold: ActionHold, VerbRelease: ActionRelease}[e.Verb], int16(i), e.Value&0xffff, 0)
			}
		}
	} else {
		ws = n.drive(a, e.Slot, e.Value, 0)
	}
	before := len(n.out)
	for _, w := range ws {
		w.do()
	}
	if n.p.Slots[e.Slot].Publish && n.val[e.Slot] != Unknown && !strings.Contains(strings.Join(n.out[before:], "\n"), fmt.Sprintf("publish %d ", e.Slot)) {
		n.say("publish %d %d", e.Slot, n.val[e.Slot])
	}
}

func (n *naive) start() {
	n.started = true
	for i, s := range n.p.Slots {
		slot, v := int16(i), s.Start
		if s.Kind == SlotKey || s.Kind == SlotMessage || s.Kind == SlotClock && !n.p.Schedules[s.Schedule].Window {
			v = 0
		}
		if s.Kind == SlotSwitch || s.Kind == SlotLevel {
			n.say("output %d %d", slot, v)
			if v > 0 {
				n.lastOn[slot] = v
			}
		}
		n.become(slot, v)
		n.asked[slot] = v
	}
	n.causes(func(rule, _ int, c Cause) {
		if c.Kind == CauseStart {
			n.pending[int16(rule)] = true
		}
	})
}
