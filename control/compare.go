package control

// compare settles which writes of one instant are done. Of several to one thing the highest rank is done; if those of
// the highest rank differ, none is done and it is a fault, never "the last one wins". A start of a timer goes before a
// cancel, and putting a hold before ending it.
func (r *run) compare(w []write) {
	for i := range w {
		if w[i].fate != fateOpen {
			continue
		}
		best, clash := i, -1
		for j := i + 1; j < len(w); j++ {
			if w[j].fate != fateOpen || !same(&w[i], &w[j]) {
				continue
			}
			if w[i].kind == ActionAdd && w[j].kind == ActionAdd {
				continue
			}
			w[j].fate = fateDropped
			switch b, o := &w[best], &w[j]; {
			case o.weight() > b.weight():
				best, clash = j, -1
			case o.weight() == b.weight() && !agrees(b, o):
				clash = j
			}
		}
		w[i].fate = fateDropped
		if clash < 0 {
			w[best].fate = fateKept
		} else {
			r.conflict(&w[best], &w[clash])
		}
	}
}

// conflict reports two writes that fight.
func (r *run) conflict(a, b *write) {
	slot := int16(-1)
	if a.kind <= ActionAdd {
		slot = a.slot
	}
	r.cause = a.rule
	r.effect(Effect{Kind: EffectFault, Slot: slot, Value: int32(FaultConflict), Time: int32(b.rule)})
	r.cause = noRule
}

// weight is what decides between two writes to one thing.
func (w *write) weight() int {
	n := 2 * int(w.rank)
	if w.kind == ActionStartTimer || w.kind == ActionHold {
		n++
	}
	return n
}

// same tells whether two writes are to one thing. Position and slats of a motor are two things.
func same(a, b *write) bool {
	if a.slot != b.slot || a.class() != b.class() {
		return false
	}
	if a.kind != writeSend {
		return true
	}
	if a.peer != b.peer {
		return false
	}
	holding := a.verb == VerbHold || a.verb == VerbRelease
	if holding != (b.verb == VerbHold || b.verb == VerbRelease) {
		return false
	}
	return holding && a.value>>16 == b.value>>16 || !holding && (a.verb == VerbSlat) == (b.verb == VerbSlat)
}

// class is the sort of thing that a write is to.
func (w *write) class() ActionKind {
	switch w.kind {
	case ActionSlats, ActionNotify, writeSend:
		return w.kind
	case ActionHold, ActionRelease:
		return ActionHold
	case ActionStartTimer, ActionCancelTimer:
		return ActionStartTimer
	case ActionRecall, ActionCapture:
		return ActionCapture
	}
	return ActionSet
}

// agrees tells whether two writes to one thing come to the same.
func agrees(a, b *write) bool {
	ka, va := a.plain()
	kb, vb := b.plain()
	return ka == kb && va == vb && a.time == b.time && a.verb == b.verb
}

// plain returns what a write comes to, leaving out a value that its kind does not use.
func (w *write) plain() (ActionKind, int32) {
	switch w.kind {
	case ActionSet, ActionSlats, ActionAdd, ActionHold, writeSend:
		return w.kind, w.value
	}
	return w.kind, 0
}

// commit does the writes: captures first, for they take the snapshot; then the rest in order; then slats, which turn
// after the travel; then what only tells others.
func (r *run) commit(w []write) {
	for pass := range 4 {
		for i := range w {
			if w[i].fate == fateDropped || w[i].turn() != pass {
				continue
			}
			r.cause = w[i].rule
			r.carry(&w[i])
		}
	}
	r.cause = noRule
}

// turn is the pass of commit in which a write is done.
func (w *write) turn() int {
	switch w.kind {
	case ActionCapture:
		return 0
	case ActionSlats:
		return 2
	case ActionNotify, writeSend:
		return 3
	}
	return 1
}

// carry does one write.
func (r *run) carry(w *write) {
	switch w.kind {
	case ActionHold:
		r.putHold(w.slot, w.value)
	case ActionRelease:
		r.endHold(w.slot)
	case ActionStartTimer:
		r.startTimer(w.slot, w.time)
	case ActionCancelTimer:
		r.cancelTimer(w.slot)
	case ActionCapture:
		r.capture(w.slot)
	case ActionNotify:
		r.effect(Effect{Kind: EffectNotify, Slot: -1, Value: int32(w.slot)})
	case writeSend:
		r.send(w)
	default:
		r.write(w)
	}
}

// write does a write to a local slot.
func (r *run) write(w *write) {
	switch r.ix.slots[w.slot].kind {
	case SlotSwitch:
		r.writeSwitch(w)
	case SlotLevel:
		r.writeLevel(w)
	case SlotMotor:
		r.writeMotor(w)
	case SlotVar:
		r.writeVar(w)
	}
}

// writeVar gives a variable its value.
func (r *run) writeVar(w *write) {
	v := w.value
	if w.kind == ActionAdd {
		v = arithmetic(OpAdd, r.value(w.slot), v)
	}
	r.put(w.slot, v)
}

// writeSwitch gives a switch its value, or remembers it under a hold.
func (r *run) writeSwitch(w *write) {
	v := truth(w.value != 0)
	if r.ask(w.slot, v) {
		r.turnSwitch(w.slot, v)
	}
}

// turnSwitch drives a switch.
func (r *run) turnSwitch(slot int16, v int32) {
	if r.value(slot) != v {
		r.effect(Effect{Kind: EffectOutput, Slot: slot, Value: v})
		r.put(slot, v)
	}
}

// send commands a peer, with the next number.
func (r *run) send(w *write) {
	at := &r.s[r.ix.lay.sent+int(w.peer)]
	*at++
	if *at == 0 {
		*at = 1
	}
	r.effect(Effect{Kind: EffectSend, Verb: w.verb, Peer: w.peer, Slot: w.slot, Value: w.value,
		Time: w.expiry, Seq: uint32(*at), Fade: w.fade()})
}

// fade is the fade that goes with a command: only setting and switching off have one.
func (w *write) fade() int32 {
	if w.verb == VerbSet {
		return w.time
	}
	return 0
}

// capture takes the present values into a stored scene; what is unknown stays as it was.
func (r *run) capture(scene int16) {
	at := r.ix.lay.scenes[scene]
	items := r.p.Scenes[scene].Items
	for k := range items.Count {
		item := &r.p.SceneItems[items.First+k]
		v := r.value(item.Slot)
		if r.ix.slots[item.Slot].kind == SlotMotor {
			pos, slat := r.estimate(item.Slot)
			if v = thousandths(pos); item.Slats {
				v = thousandths(slat)
			}
		} else if item.Slats {
			continue
		}
		if v != Unknown {
			r.s[at+int(k)] = v
		}
	}
}
