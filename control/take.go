package control

// sound tells whether an event is one that this program can have.
func (p *Program) sound(e *Event) bool {
	if e.Elapsed < 0 {
		return false
	}
	switch e.Kind {
	case EventAdvance, EventStart:
		return true
	case EventLink:
		return p.soundLink(e)
	}
	if e.Slot < 0 || int(e.Slot) >= len(p.Slots) {
		return false
	}
	f := &p.ix.slots[e.Slot]
	switch e.Kind {
	case EventInput:
		return f.kind == SlotInput && p.plausible(e) || f.kind == SlotKey && (e.Value == 0 || e.Value == 1)
	case EventMirror:
		return f.kind == SlotMirror
	case EventClock:
		return f.kind == SlotClock && (e.Value == 0 || e.Value == 1)
	case EventMessage:
		return f.kind == SlotMessage
	case EventCommand:
		return p.soundCommand(e)
	}
	return false
}

// plausible tells whether an input can have a value: contacts are 0 or 1; Unknown is a sensor that has failed.
func (p *Program) plausible(e *Event) bool {
	if p.Slots[e.Slot].Quantity == QuantityBool {
		return e.Value == 0 || e.Value == 1 || e.Value == Unknown
	}
	return true
}

// soundLink wants a link slot, or a peer (-1: the network) in its place.
func (p *Program) soundLink(e *Event) bool {
	if e.Value != 0 && e.Value != 1 {
		return false
	}
	if e.Slot >= 0 {
		return int(e.Slot) < len(p.Slots) && p.ix.slots[e.Slot].kind == SlotLink
	}
	return e.Slot == -1 && e.Peer >= -1 && int(e.Peer) < len(p.Peers)
}

// soundCommand checks sender, number, times, and that the slot understands the verb with its operand.
func (p *Program) soundCommand(e *Event) bool {
	if e.Peer < -1 || int(e.Peer) >= len(p.Peers) || e.Seq == 0 || e.Age < 0 || e.Expiry < 0 || e.Fade < 0 {
		return false
	}
	s := &p.Slots[e.Slot]
	if !s.Kind.Output() && s.Kind != SlotVar {
		return false
	}
	switch e.Verb {
	case VerbSet:
		return s.Kind == SlotVar && e.Value != Unknown || s.Kind != SlotVar && inRange(s.Kind, e.Value)
	case VerbToggle, VerbOn:
		return s.Kind != SlotMotor
	case VerbRaise, VerbLower, VerbStop:
		return s.Kind == SlotMotor || s.Kind == SlotLevel
	case VerbSlat:
		return s.Kind == SlotMotor && s.Slats > 0 && e.Value >= 0 && e.Value <= 1000
	case VerbHold, VerbRelease:
		row := p.holdRow(e.Slot, Rank(e.Value>>16), e.Peer)
		return e.Value >= 0 && row >= 0 && (e.Verb == VerbRelease || holdable(s.Kind, e.Value&0xffff))
	}
	return false
}

// holdRow returns the hold of a rank that a peer (-1: this controller, the workbench) may put on a slot, -1 for none.
func (p *Program) holdRow(slot int16, rank Rank, peer int16) int16 {
	at := p.ix.slots[slot].holds
	for _, h := range p.ix.holds[at.from:at.to] {
		if p.Holds[h].Rank == rank && p.Holds[h].Peer == peer {
			return h
		}
	}
	return -1
}

// holdable tells whether an output can be held at a value.
func holdable(k SlotKind, v int32) bool {
	return inRange(k, v) || k == SlotMotor && v == HoldStill
}

// take does what an event says.
func (r *run) take(e *Event) {
	if e.Kind == EventStart {
		r.start()
		return
	}
	if r.s[0] == 0 {
		r.adopt(e)
		return
	}
	switch e.Kind {
	case EventInput:
		r.input(e.Slot, e.Value)
	case EventMirror:
		r.put(e.Slot, e.Value)
	case EventClock:
		if r.ix.slots[e.Slot].pulse {
			r.beat(e.Slot, e.Value)
		} else {
			r.put(e.Slot, e.Value)
		}
	case EventMessage:
		r.beat(e.Slot, 1)
	case EventLink:
		r.link(e)
	case EventCommand:
		r.command(e)
	}
	r.settle()
}

// adopt takes over a value before EventStart: nothing follows from it.
func (r *run) adopt(e *Event) {
	switch e.Kind {
	case EventInput, EventMirror, EventClock:
		if r.ix.slots[e.Slot].pulse {
			return
		}
		r.s[slotBase+int(e.Slot)] = e.Value
	case EventLink:
		for i := range r.p.Slots {
			if e.concerns(i, &r.p.Slots[i]) {
				r.s[slotBase+i] = e.Value
			}
		}
	}
}

// input takes a new raw value of a local input; that of a key goes through its gesture.
func (r *run) input(slot int16, v int32) {
	f := &r.ix.slots[slot]
	switch {
	case f.kind != SlotKey:
		r.put(slot, v)
	case f.nth >= 0:
		r.contact(int(f.nth), v)
	case r.put(slot, v):
		if v != 0 {
			r.pressed(slot)
		} else {
			r.happen(slot, CauseRelease)
		}
	}
}

// beat lets a slot be on for one instant.
func (r *run) beat(slot int16, v int32) {
	if v == 0 {
		return
	}
	r.s[slotBase+int(slot)] = 0
	r.put(slot, v)
	r.pulse = slot
	if !r.any {
		r.fall()
	}
}

// fall ends the beat of a slot; no rule follows from that, but timers that it drives and mirrors elsewhere see it.
func (r *run) fall() {
	slot := r.pulse
	r.pulse = -1
	r.s[slotBase+int(slot)] = 0
	if r.ix.slots[slot].publish {
		r.effect(Effect{Kind: EffectPublish, Slot: slot, Value: 0})
	}
	r.drive(slot, 0, false)
}

// link takes the loss or return of a peer or of the network. A peer that was lost may have restarted, so its numbers
// begin anew; what was under way from it is stopped by its expiry.
func (r *run) link(e *Event) {
	peer := e.Peer
	if e.Slot >= 0 {
		peer = r.p.Slots[e.Slot].Peer
	}
	if peer >= 0 && e.Value == 0 {
		r.s[r.ix.lay.heard+1+int(peer)] = 0
		for i := range r.p.Slots {
			if s := &r.p.Slots[i]; s.Kind == SlotMirror && s.Peer == peer && s.Forget {
				r.put(int16(i), Unknown)
			}
		}
	}
	for i := range r.p.Slots {
		if e.concerns(i, &r.p.Slots[i]) {
			r.put(int16(i), e.Value)
		}
	}
}

// concerns tells whether a link slot is one that an event is about.
func (e *Event) concerns(slot int, s *Slot) bool {
	if e.Slot >= 0 {
		return int(e.Slot) == slot
	}
	return s.Kind == SlotLink && s.Peer == e.Peer
}

// command takes a command from a peer. One that was taken before, or that is older than one taken before, does
// nothing; nor does one that comes too late.
func (r *run) command(e *Event) {
	heard := &r.s[r.ix.lay.heard+1+int(e.Peer)]
	if *heard != 0 && int32(e.Seq)-*heard <= 0 {
		return
	}
	*heard = int32(e.Seq)
	if e.Age > e.Expiry {
		return
	}
	w := write{slot: e.Slot, value: e.Value, time: e.Fade, rule: noRule}
	w.kind = verbs[e.Verb]
	switch e.Verb {
	case VerbToggle:
		w.settleToggle(r.opposite(e.Slot), r.ix.slots[e.Slot].kind)
	case VerbOn:
		w.settleToggle(ActionOn, r.ix.slots[e.Slot].kind)
	case VerbHold, VerbRelease:
		w.slot = r.p.holdRow(e.Slot, Rank(e.Value>>16), e.Peer)
		w.value = e.Value & 0xffff
	}
	before := len(r.out)
	r.carry(&w)
	r.report(e.Slot, before)
}

// report publishes the value of a slot that was commanded even if the command changed nothing. The sender decided on what
// its mirror says; if that is wrong because a report was lost, this is what puts it right.
func (r *run) report(slot int16, from int) {
	v := r.value(slot)
	if !r.ix.slots[slot].publish || v == Unknown {
		return
	}
	for i := from; i < len(r.out); i++ {
		if r.out[i].Kind == EffectPublish && r.out[i].Slot == slot {
			return
		}
	}
	r.effect(Effect{Kind: EffectPublish, Slot: slot, Value: v})
}

// verbs says which action a command comes to at the owner of the slot.
var verbs = [...]ActionKind{
	VerbSet: ActionSet, VerbToggle: ActionToggle, VerbRaise: ActionRaise, VerbLower: ActionLower, VerbStop: ActionStop,
	VerbSlat: ActionSlats, VerbHold: ActionHold, VerbRelease: ActionRelease, VerbOn: ActionOn,
}

// start is power coming, or a program being activated. A state that was running begins anew, save for what is retained
// and for the stored scenes; inputs told before are kept, and none of them is an edge. No motor moves by itself.
func (r *run) start() {
	if r.s[0] != 0 {
		r.renew()
	}
	r.s[0] = 1
	for i := range r.p.Slots {
		r.startSlot(int16(i), &r.p.Slots[i])
	}
	r.startRegulators()
	for _, rule := range r.ix.starts {
		r.mark(rule)
	}
	r.settle()
}

// renew empties a running state, save for what is retained: values stand in their slots for startSlot to find.
func (r *run) renew() {
	l := &r.ix.lay
	for i := range r.p.Slots {
		if s := &r.p.Slots[i]; !s.Retain || s.Kind != SlotVar && s.Kind != SlotMotor {
			r.s[slotBase+i] = Unknown
		} else if s.Kind == SlotMotor {
			r.settlePosition(int16(i))
		}
	}
	clear(r.s[l.clocks:l.heard]) // the numbers of commands go on, or a peer would take the next one for a duplicate
	clear(r.s[l.set:l.motion])
	for i := l.motion; i < l.light; i += motorWords {
		clearMotor(r.s[i : i+motorWords])
	}
	clear(r.s[l.light:l.hold])
	for i := l.hold; i < l.scene; i++ {
		r.s[i] = Unknown
	}
	clear(r.s[l.regulate:])
}

// startSlot gives a slot its value at the start. A value from before stands in it only where it was adopted or retained.
func (r *run) startSlot(slot int16, s *Slot) {
	at := &r.s[slotBase+int(slot)]
	v := *at
	if v == Unknown {
		v = s.Start
	}
	switch s.Kind {
	case SlotKey:
		v = r.startKey(slot, *at)
	case SlotMessage:
		v = 0
	case SlotClock:
		if r.ix.slots[slot].pulse {
			v = 0
		}
	case SlotMotor:
		r.startMotor(slot, v)
	case SlotLevel:
		v = lit(s, v)
		r.startLevel(slot, v)
	}
	if s.Kind == SlotSwitch || s.Kind == SlotLevel {
		if v != Unknown {
			r.effect(Effect{Kind: EffectOutput, Slot: slot, Value: v})
		}
	}
	*at = Unknown
	r.put(slot, v)
	if n := r.ix.slots[slot].asked; n >= 0 {
		r.s[r.ix.lay.asked+int(n)] = v
	}
}
