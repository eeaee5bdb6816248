package control

// ask remembers what was asked of an output that can be held, and tells whether it may be done now.
func (r *run) ask(slot int16, v int32) bool {
	n := r.ix.slots[slot].asked
	if n < 0 {
		return true
	}
	r.s[r.ix.lay.asked+int(n)] = v
	return r.standing(slot) < 0
}

// asked returns what was last asked of an output.
func (r *run) asked(slot int16) int32 {
	if n := r.ix.slots[slot].asked; n >= 0 {
		return r.s[r.ix.lay.asked+int(n)]
	}
	return r.value(slot)
}

// standing returns the hold that rules an output now, -1 for none.
func (r *run) standing(slot int16) int16 {
	at := r.ix.slots[slot].holds
	for _, h := range r.ix.holds[at.from:at.to] {
		if r.s[r.ix.lay.hold+int(h)] != Unknown {
			return h
		}
	}
	return -1
}

// heldRank returns the rank of the hold that rules an output now, 0 for none.
func (r *run) heldRank(slot int16) int32 {
	if h := r.standing(slot); h >= 0 {
		return int32(r.p.Holds[h].Rank)
	}
	return 0
}

// putHold lets a hold stand.
func (r *run) putHold(h int16, v int32) {
	slot := r.p.Holds[h].Slot
	if !holdable(r.ix.slots[slot].kind, v) {
		r.fault(FaultRange, slot)
		return
	}
	if r.ix.slots[slot].kind == SlotLevel {
		v = lit(&r.p.Slots[slot], v)
	}
	r.s[r.ix.lay.hold+int(h)] = v
	if r.standing(slot) == h {
		r.force(slot, v)
	}
}

// endHold ends a hold. The next one down takes over; if there is none, what was last asked for is done, or not, as the
// hold says.
func (r *run) endHold(h int16) {
	at := &r.s[r.ix.lay.hold+int(h)]
	slot := r.p.Holds[h].Slot
	ruled := r.standing(slot) == h
	*at = Unknown
	if !ruled {
		return
	}
	switch next := r.standing(slot); {
	case next >= 0:
		r.force(slot, r.s[r.ix.lay.hold+int(next)])
	case r.p.Holds[h].Restore:
		if v := r.asked(slot); v != Unknown {
			r.force(slot, v)
		}
	default:
		r.s[r.ix.lay.asked+int(r.ix.slots[slot].asked)] = r.stays(slot)
	}
}

// stays returns what an output is on its way to, for it to stay so.
func (r *run) stays(slot int16) int32 {
	if r.ix.slots[slot].kind == SlotMotor {
		if words := r.motorWords(slot); words[motorTarget] != Unknown {
			return words[motorTarget]
		}
	}
	return r.value(slot)
}

// force drives an output to a value whatever was asked of it.
func (r *run) force(slot int16, v int32) {
	switch r.ix.slots[slot].kind {
	case SlotSwitch:
		r.turnSwitch(slot, v)
	case SlotLevel:
		r.turnLevel(slot, v, 0)
	case SlotMotor:
		if v == HoldStill {
			r.stopMotor(slot)
		} else {
			r.travel(slot, v, false)
		}
	}
}
