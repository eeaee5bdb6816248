package rehearse

import "wirewright/control"

// full is a whole travel or turn in the fine steps in which true positions are kept.
const full = 1_000_000_000

// actuator is the true side of one output.
type actuator struct {
	value int32 // switches and levels: what the channel gives, after the fade
	known bool  // it was driven at least once

	way             int32 // motors: -1 up, 0 still, 1 down: what the relay drives
	position, slats int64 // true, 0 to full: closed, turned down
	since           int64 // time up to which position and slats are worked out
	stopped         int64 // time of the last stop
	lastWay         int32 // direction before it
	started         int64 // time of the last start
	up, down, turn  int64 // true times in ms
}

// makeMotor gives a motor its true times, which lie near those of its data.
func (r *Rehearsal) makeMotor(a *actuator, s *control.Slot) {
	spread := func(ms int32) int64 {
		off := int64(ms) * int64(r.options.Physics.Spread) / 1000
		return max(1, int64(ms)+r.forPhysics.between(-off, off))
	}
	a.up, a.down = spread(s.Up), spread(s.Down)
	if s.Slats > 0 {
		a.turn = spread(s.Slats)
	}
	a.stopped = -1 << 40
}

// travel moves a motor up to a time. Running down, the slats turn first, then the curtain moves; running up likewise.
func (a *actuator) travel(now int64) {
	left := now - a.since
	if a.way == 0 || left <= 0 {
		a.since = max(a.since, now)
		return
	}
	a.since = now
	goal, span := int64(0), a.up
	if a.way > 0 {
		goal, span = full, a.down
	}
	a.slats, left = approach(a.slats, goal, left, a.turn)
	a.position, _ = approach(a.position, goal, left, span)
}

// approach brings a value towards a goal for so many ms, a whole way taking span ms (0: none at all), and returns what
// is left of the time.
func approach(value, goal, ms, span int64) (int64, int64) {
	if span <= 0 || value == goal {
		return goal, ms
	}
	way := goal - value
	if way < 0 {
		way = -way
	}
	need := (way*span + full - 1) / full
	if ms >= need {
		return goal, ms - need
	}
	step := ms * full / span
	if goal < value {
		step = -step
	}
	return value + step, 0
}

// thousandths rounds a true position to thousandths.
func thousandths(v int64) int32 { return int32((v + full/2000) / (full / 1000)) }

// drive lets a channel do what its controller asks.
func (r *Rehearsal) drive(h *happening, rule string) {
	p := place{h.who, h.slot}
	c := &r.controllers[h.who]
	w := &c.slots[h.slot]
	if !r.contact(w.module) {
		return
	}
	s := &c.program.Slots[h.slot]
	a := &w.actuator
	if s.Kind == control.SlotMotor {
		r.driveMotor(p, h.value, h.msg.edge, rule)
		return
	}
	if a.known && a.value == h.value {
		return
	}
	first := !a.known
	a.value, a.known = h.value, true
	if first && h.value == 0 {
		return // at rest from the beginning: not worth a line
	}
	r.countLatency(h.msg.edge, s.Name)
	r.note(Entry{Kind: KindOutput, Controller: c.program.Controller, Name: s.Name, Value: h.value, Quantity: s.Quantity, Time: h.time, Rule: rule})
}

// driveMotor starts or stops a motor and looks that no reversal comes too early.
func (r *Rehearsal) driveMotor(p place, way int32, edge int64, rule string) {
	c := &r.controllers[p.who]
	s, a := &c.program.Slots[p.slot], &c.slots[p.slot].actuator
	if way == a.way {
		return
	}
	if way == 0 {
		r.stopMotor(p, rule)
		return
	}
	a.travel(r.now)
	tolerance := int64(r.network.Cycle) // a cycle may take the stop later than the start
	switch {
	case a.way == -way:
		r.fault(p.who, s.Name+": reversed without a stop", -1)
	case a.lastWay == -way && r.now-a.stopped < int64(control.MotorPauseLeast)-tolerance:
		r.fault(p.who, s.Name+": reversed too soon after the stop", -1)
	}
	a.way, a.started = way, r.now
	a.since = r.now + r.forPhysics.below(int64(r.options.Physics.Lag)+1)
	r.countLatency(edge, s.Name)
	r.note(Entry{Kind: KindMotor, Controller: c.program.Controller, Name: s.Name, Value: way, True: thousandths(a.position), Rule: rule})
}

// stopMotor stops a motor.
func (r *Rehearsal) stopMotor(p place, why string) {
	c := &r.controllers[p.who]
	s, a := &c.program.Slots[p.slot], &c.slots[p.slot].actuator
	if a.way == 0 {
		return
	}
	a.travel(r.now)
	a.lastWay, a.way, a.stopped = a.way, 0, r.now
	r.note(Entry{Kind: KindMotor, Controller: c.program.Controller, Name: s.Name, True: thousandths(a.position), Slats: thousandths(a.slats), Rule: why})
}

// cutPower lets everything that a module drives fall off.
func (r *Rehearsal) cutPower(m int32) {
	head := r.modules[m].head
	if head < 0 {
		return
	}
	c := &r.controllers[head]
	for k := range c.slots {
		w := &c.slots[k]
		if w.module != m || !c.program.Slots[k].Kind.Output() {
			continue
		}
		if c.program.Slots[k].Kind == control.SlotMotor {
			r.stopMotor(place{head, int16(k)}, "no power")
			continue
		}
		if w.actuator.value != 0 {
			r.note(Entry{Kind: KindOutput, Controller: c.program.Controller, Name: c.program.Slots[k].Name, Quantity: c.program.Slots[k].Quantity, Rule: "no power"})
		}
		w.actuator.value = 0
	}
}
