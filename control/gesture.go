package control

// The words of a gesture's memory.
const (
	gestureRaw   = iota // last raw level of the contact
	gesturePhase        // a phase below
	gestureWords
)

// The phases of a key.
const (
	phaseRest   int32 = iota // up
	phaseDown                // down, may become short or long
	phaseGap                 // up after a short press, a second may follow
	phaseSecond              // down the second time
	phaseHeld                // down, the long mark has passed
	phaseSpent               // down, but it no longer counts: part of a chord, or down since power came
)

// contact takes a raw level of a key with a gesture. The debounced level follows when the contact has been steady.
func (r *run) contact(g int, v int32) {
	raw := &r.s[r.ix.lay.gesture+g*gestureWords+gestureRaw]
	if *raw == v {
		return
	}
	*raw = v
	clock := &r.s[r.ix.lay.debounce+g]
	switch {
	case v == r.value(r.p.Gestures[g].Slot):
		*clock = 0
	case r.p.Gestures[g].Debounce == 0:
		r.steady(g)
	default:
		*clock = r.p.Gestures[g].Debounce
	}
}

// steady is the contact of a key having been steady long enough.
func (r *run) steady(g int) {
	slot := r.p.Gestures[g].Slot
	raw := r.s[r.ix.lay.gesture+g*gestureWords+gestureRaw]
	if !r.put(slot, raw) {
		return
	}
	if raw != 0 {
		r.keyDown(g)
		r.pressed(slot)
	} else {
		r.happen(slot, CauseRelease)
		r.keyUp(g)
	}
}

// keyDown begins a press, or the second one within the gap.
func (r *run) keyDown(g int) {
	phase, clock := r.phase(g)
	if *phase == phaseGap {
		*phase = phaseSecond
	} else {
		*phase = phaseDown
	}
	*clock = r.p.Gestures[g].Long
}

// phase returns the words that hold the phase of a key and the time until it passes by itself.
func (r *run) phase(g int) (phase, clock *int32) {
	return &r.s[r.ix.lay.gesture+g*gestureWords+gesturePhase], &r.s[r.ix.lay.phase+g]
}

// keyUp ends a press.
func (r *run) keyUp(g int) {
	phase, clock := r.phase(g)
	slot := r.p.Gestures[g].Slot
	was := *phase
	*phase, *clock = phaseRest, 0
	switch was {
	case phaseDown:
		if gap := r.p.Gestures[g].Gap; gap > 0 {
			*phase, *clock = phaseGap, gap
		} else {
			r.happen(slot, CauseShort)
		}
	case phaseSecond:
		r.happen(slot, CauseDouble)
	case phaseHeld:
		r.happen(slot, CauseLetGo)
	}
}

// phaseExpired is a press having become long, or no second one having followed.
func (r *run) phaseExpired(g int) {
	phase, _ := r.phase(g)
	slot := r.p.Gestures[g].Slot
	switch *phase {
	case phaseDown:
		*phase = phaseHeld
		r.happen(slot, CauseLong)
	case phaseSecond: // the first press was short, this one is long
		*phase = phaseHeld
		r.happen(slot, CauseShort)
		r.happen(slot, CauseLong)
	case phaseGap:
		*phase = phaseRest
		r.happen(slot, CauseShort)
	}
}

// pressed is a key having gone down: at once for the rules that wait for that, and perhaps the last one of a chord.
func (r *run) pressed(slot int16) {
	f := &r.ix.slots[slot]
	for i := f.refs.from; i < f.refs.to; i++ {
		switch ref := &r.ix.refs[i]; ref.kind {
		case CausePress:
			r.mark(ref.rule)
		case CauseChord:
			if r.allOn(ref.list) == 1 {
				r.spend(ref.list)
				r.mark(ref.rule)
			}
		}
	}
}

// spend takes the keys of a chord out of any short, long or double press. A key that is held already stays held, so
// that letting it go still ends what holding it began.
func (r *run) spend(list int16) {
	for _, m := range r.p.list(list) {
		g := r.ix.slots[m].nth
		if g < 0 {
			continue
		}
		phase, clock := r.phase(int(g))
		if *phase == phaseDown || *phase == phaseSecond {
			*phase, *clock = phaseSpent, 0
		}
	}
}

// startKey returns the level of a key at the start: up, unless it was told to be down before (then it is spent).
func (r *run) startKey(slot int16, told int32) int32 {
	v := truth(told == 1)
	if g := r.ix.slots[slot].nth; g >= 0 && v == 1 {
		phase, _ := r.phase(int(g))
		*phase = phaseSpent
		r.s[r.ix.lay.gesture+int(g)*gestureWords+gestureRaw] = 1
	}
	return v
}
