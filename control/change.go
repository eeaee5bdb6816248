package control

// put gives a slot a value and lets follow what follows from that: it is published, causes are noted for the next
// instant, timers and regulators see it. It tells whether the value was another before.
func (r *run) put(slot int16, v int32) bool {
	at := &r.s[slotBase+int(slot)]
	old := *at
	if old == v {
		return false
	}
	*at = v
	f := &r.ix.slots[slot]
	if f.publish {
		r.effect(Effect{Kind: EffectPublish, Slot: slot, Value: v})
	}
	for i := f.refs.from; i < f.refs.to; i++ {
		if ref := &r.ix.refs[i]; r.crosses(ref, old, v) {
			r.mark(ref.rule)
		}
	}
	r.drive(slot, v, old == Unknown)
	return true
}

// drive tells the timers and regulators that a slot has a new value; first: it had none before.
func (r *run) drive(slot int16, v int32, first bool) {
	f := &r.ix.slots[slot]
	for i := f.ins.from; i < f.ins.to; i++ {
		t := r.ix.ins[i]
		r.timerIn(t, v != Unknown && (v != 0) != r.p.Timers[t].Invert, first)
	}
	for i := f.regs.from; i < f.regs.to; i++ {
		r.regulatorSees(r.ix.regs[i], slot, first)
	}
}

// crosses tells whether a change of a slot is what a cause waits for.
func (r *run) crosses(ref *ref, old, v int32) bool {
	if old == Unknown || v == Unknown {
		return r.appears(ref, old, v)
	}
	switch ref.kind {
	case CauseRise:
		return old == 0
	case CauseFall:
		return v == 0
	case CauseChange:
		return true
	case CauseAbove:
		return r.latch(ref, int64(v) > int64(ref.level), int64(v) <= int64(ref.level)-int64(ref.band))
	case CauseBelow:
		return r.latch(ref, int64(v) < int64(ref.level), int64(v) >= int64(ref.level)+int64(ref.band))
	}
	return false
}

// appears handles a first value and the loss of it. A first value beyond a level is taken as having been there.
func (r *run) appears(ref *ref, old, v int32) bool {
	switch {
	case ref.kind == CauseKnown:
		return v != Unknown
	case ref.kind == CauseForgot:
		return old != Unknown && v == Unknown
	case v == Unknown:
	case ref.kind == CauseAbove:
		r.setBit(ref.latch, v > ref.level)
	case ref.kind == CauseBelow:
		r.setBit(ref.latch, v < ref.level)
	}
	return false
}

// latch is the hysteresis of a crossing: it tells whether the value went beyond while armed.
func (r *run) latch(ref *ref, beyond, back bool) bool {
	was := r.bit(ref.latch)
	switch {
	case beyond && !was:
		r.setBit(ref.latch, true)
		return true
	case back && was && !beyond:
		r.setBit(ref.latch, false)
	}
	return false
}

// bit returns one bit of memory.
func (r *run) bit(n int16) bool {
	return r.s[r.ix.lay.bits+int(n)/bitsPerWord]>>(n%bitsPerWord)&1 != 0
}

// setBit sets one bit of memory.
func (r *run) setBit(n int16, on bool) {
	at, mask := &r.s[r.ix.lay.bits+int(n)/bitsPerWord], int32(1)<<(n%bitsPerWord)
	if on {
		*at |= mask
	} else {
		*at &^= mask
	}
}

// happen notes the rules that wait for something at a slot that is no change of its value.
func (r *run) happen(slot int16, kind CauseKind) {
	f := &r.ix.slots[slot]
	for i := f.refs.from; i < f.refs.to; i++ {
		if r.ix.refs[i].kind == kind {
			r.mark(r.ix.refs[i].rule)
		}
	}
}
