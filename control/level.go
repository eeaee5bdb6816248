package control

// The words of a level's memory. What runs is in its clock: a brightening, whose value is only known when it ends, or a
// fade, whose value is the one that it leads to.
const (
	levelLast  = iota // what it was when last on, 0 for never
	levelFrom         // where the run began
	levelTo           // where it leads
	levelTotal        // how long it takes in ms
	levelWords
)

// level returns the memory of a level and its clock.
func (r *run) level(slot int16) (words []int32, clock *int32) {
	n := int(r.ix.slots[slot].nth)
	at := r.ix.lay.light + n*levelWords
	return r.s[at : at+levelWords], &r.s[r.ix.lay.level+n]
}

// lit returns a level that the lamp can burn with: off, or at least its least.
func lit(s *Slot, v int32) int32 {
	switch {
	case v == Unknown:
		return Unknown
	case v <= 0:
		return 0
	}
	return clamp(v, max(1, s.Least), 1000)
}

// startLevel loads the memory of a level at the start.
func (r *run) startLevel(slot int16, v int32) {
	if words, _ := r.level(slot); v > 0 {
		words[levelLast] = v
	}
}

// writeLevel does a write to a level, or remembers it under a hold; there is no brightening under a hold.
func (r *run) writeLevel(w *write) {
	words, clock := r.level(w.slot)
	switch w.kind {
	case ActionSet:
		if v := lit(&r.p.Slots[w.slot], w.value); r.ask(w.slot, v) {
			r.turnLevel(w.slot, v, w.time)
		}
	case ActionOn:
		v := r.onLevel(w.slot, words)
		if r.ask(w.slot, v) {
			r.turnLevel(w.slot, v, w.time)
		}
	case ActionRaise, ActionLower:
		if r.standing(w.slot) < 0 {
			r.brighten(w.slot, w.kind == ActionRaise, w.time)
		}
	case ActionStop:
		if *clock != 0 && r.standing(w.slot) < 0 {
			v := r.present(w.slot)
			r.effect(Effect{Kind: EffectOutput, Slot: w.slot, Value: v})
			r.settleLevel(w.slot, v)
		}
	}
}

// onLevel returns what "on" comes to: the present level if on, what it was when last on, or full.
func (r *run) onLevel(slot int16, words []int32) int32 {
	v := r.value(slot)
	if r.standing(slot) >= 0 {
		v = r.asked(slot)
	}
	if v != Unknown && v > 0 {
		return v
	}
	if last := words[levelLast]; last > 0 {
		return last
	}
	return 1000
}

// turnLevel drives a level to a value, over ms along the dimming curve.
func (r *run) turnLevel(slot int16, v, ms int32) {
	words, clock := r.level(slot)
	if r.value(slot) == v && (*clock == 0 || ms > 0 && words[levelTo] == v) {
		return
	}
	from := r.present(slot)
	if from == Unknown {
		ms = 0
	}
	r.effect(Effect{Kind: EffectOutput, Slot: slot, Value: v, Time: ms})
	*clock = 0
	if ms > 0 {
		*clock, words[levelFrom], words[levelTo], words[levelTotal] = ms, from, v, ms
	} else {
		words[levelFrom], words[levelTo], words[levelTotal] = 0, 0, 0
	}
	if v > 0 {
		words[levelLast] = v
	}
	r.put(slot, v)
}

// brighten begins to brighten or darken at so many ms for the whole range. What is off brightens from its least; what
// is off does not darken, and nothing darkens to off.
func (r *run) brighten(slot int16, up bool, whole int32) {
	if whole == 0 {
		whole = RangeTimeUsual
	}
	words, clock := r.level(slot)
	from := max(0, r.present(slot))
	least := lit(&r.p.Slots[slot], 1)
	to := least
	if up {
		from, to = max(from, least), 1000
	}
	if from == 0 || from == to && r.value(slot) > 0 || *clock != 0 && words[levelTo] == to && r.value(slot) != to {
		return
	}
	steps := int64(max(CurveIndex(to)-CurveIndex(from), CurveIndex(from)-CurveIndex(to)))
	ms := int32(max(1, steps*int64(whole)/(CurveTop-1)))
	if r.value(slot) <= 0 {
		r.put(slot, least)
	}
	r.effect(Effect{Kind: EffectOutput, Slot: slot, Value: to, Time: ms})
	*clock, words[levelFrom], words[levelTo], words[levelTotal] = ms, from, to, ms
}

// present returns the level at this moment: on the way, by the dimming curve.
func (r *run) present(slot int16) int32 {
	words, clock := r.level(slot)
	if *clock == 0 {
		return r.value(slot)
	}
	gone := words[levelTotal] - *clock
	if gone == 0 {
		return words[levelFrom]
	}
	return between(words[levelFrom], words[levelTo], gone, words[levelTotal])
}

// between returns the level after gone of total ms on the way along the dimming curve.
func between(from, to, gone, total int32) int32 {
	a, b := CurveIndex(from), CurveIndex(to)
	n := int64(a)*int64(total) + int64(b-a)*int64(gone)
	return CurveLevel(int32((n + int64(total)/2) / int64(total)))
}

// levelArrived is the end of a fade or a brightening.
func (r *run) levelArrived(slot int16) {
	words, _ := r.level(slot)
	r.settleLevel(slot, words[levelTo])
}

// settleLevel ends what runs at a level; it now stands at v.
func (r *run) settleLevel(slot int16, v int32) {
	words, clock := r.level(slot)
	*clock, words[levelFrom], words[levelTo], words[levelTotal] = 0, 0, 0, 0
	if v > 0 {
		words[levelLast] = v
	}
	if n := r.ix.slots[slot].asked; n >= 0 && r.standing(slot) < 0 {
		r.s[r.ix.lay.asked+int(n)] = v
	}
	r.put(slot, v)
}
