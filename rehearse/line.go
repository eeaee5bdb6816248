package rehearse

import "wirewright/control"

// contact tells whether a module's channels are joined to their controller: it has power, and the line between works.
func (r *Rehearsal) contact(m int32) bool {
	mod := &r.modules[m]
	if !mod.up || mod.head < 0 {
		return false
	}
	if mod.line < 0 {
		return r.modules[r.controllers[mod.head].module].up
	}
	return r.lineWorks(mod.line)
}

// lineWorks tells whether a line carries anything.
func (r *Rehearsal) lineWorks(n int32) bool {
	l := &r.lines[n]
	return l.up && l.head >= 0 && (l.of == 0 || l.fed > 0) && r.modules[r.controllers[l.head].module].up
}

// delay is how long a signal takes between a channel and its controller: nothing inside one module, up to one cycle on a
// line. Signals of one module in one direction keep their order, for every cycle carries all of them.
func (r *Rehearsal) delay(m int32) int64 {
	if r.modules[m].line < 0 {
		return 0
	}
	cycle := max(1, int64(r.network.Cycle))
	phase := int64(m) * 7919 % cycle // every module has its place in the cycle
	return cycle - (r.now+phase)%cycle
}

// sense gives an input a new value.
func (r *Rehearsal) sense(p place, value int32) {
	w := &r.controllers[p.who].slots[p.slot]
	if w.raw == value {
		return
	}
	w.raw = value
	r.queue.push(happening{at: r.now + r.delay(w.module), kind: happensInput, who: p.who, slot: p.slot, value: value})
}

// inputArrives is an input at its controller.
func (r *Rehearsal) inputArrives(h *happening) {
	w := &r.controllers[h.who].slots[h.slot]
	if !r.contact(w.module) {
		return // told again when contact returns
	}
	r.step(h.who, control.Event{Kind: control.EventInput, Slot: h.slot, Value: h.value}, nil)
}

// output is a controller driving one of its channels.
func (r *Rehearsal) output(who int32, f *control.Effect, from *message) {
	c := &r.controllers[who]
	w := &c.slots[f.Slot]
	w.wanted, w.wantedTime = f.Value, f.Time
	edge := r.edge(who, f.Cause)
	rule := r.rule(who, f.Cause)
	if from != nil && f.Cause < 0 {
		edge, rule = from.edge, r.source(from.from, from.cause)
	}
	h := happening{at: r.now + r.delay(w.module), kind: happensOutput, who: who, slot: f.Slot, value: f.Value, time: f.Time}
	h.msg = message{edge: edge, from: who, cause: f.Cause}
	if from != nil && f.Cause < 0 {
		h.msg.from, h.msg.cause = from.from, from.cause
	}
	if h.at == r.now && r.modules[w.module].line < 0 {
		r.drive(&h, rule)
		return
	}
	r.queue.push(h)
}

// outputArrives is an output at its channel.
func (r *Rehearsal) outputArrives(h *happening) {
	r.drive(h, r.source(h.msg.from, h.msg.cause))
}

// source says what an output comes from: a rule of a controller, or the workbench.
func (r *Rehearsal) source(who int32, rule int16) string {
	if who < 0 {
		return r.name(who)
	}
	return r.rule(who, rule)
}

// edge is when the key was last moved that a rule hangs on; -1 where it hangs on none, or the key was long ago.
func (r *Rehearsal) edge(who int32, rule int16) int64 {
	if rule < 0 {
		return -1
	}
	c := &r.controllers[who]
	last := int64(-1)
	for _, k := range c.keys[rule] {
		last = max(last, c.slots[k].edge)
	}
	if last >= 0 && r.now-last > edgeMost {
		return -1
	}
	return last
}

// edgeMost is after how many ms an output is no answer to a key any more.
const edgeMost = 3000

// recontact follows from a module or line breaking or working again: what is out of contact stops its motors after a
// while, what is back is refreshed.
func (r *Rehearsal) recontact() {
	for m := range r.modules {
		mod := &r.modules[m]
		if mod.line < 0 || mod.head < 0 {
			continue
		}
		joined := r.contact(int32(m))
		switch {
		case !joined && !mod.lost:
			mod.lost = true
			mod.gen++
			r.queue.push(happening{at: r.now + int64(r.network.Watch), kind: happensWatch, who: int32(m), gen: mod.gen})
		case joined && mod.lost:
			mod.lost = false
			mod.gen++
			r.refresh(int32(m))
		}
	}
}

// watch is a module without a head stopping its motors, and the head without a module forgetting what it read.
func (r *Rehearsal) watch(h *happening) {
	mod := &r.modules[h.who]
	if mod.gen != h.gen {
		return
	}
	c := &r.controllers[mod.head]
	for k := range c.slots {
		if c.slots[k].module != h.who {
			continue
		}
		switch s := &c.program.Slots[k]; s.Kind {
		case control.SlotMotor:
			r.stopMotor(place{mod.head, int16(k)}, "the module has no head")
		case control.SlotInput:
			r.step(mod.head, control.Event{Kind: control.EventInput, Slot: int16(k), Value: control.Unknown}, nil)
		case control.SlotKey:
			r.step(mod.head, control.Event{Kind: control.EventInput, Slot: int16(k), Value: 0}, nil)
		}
	}
}

// refresh brings a module that is back in step with its head: inputs are told, switches and levels driven as wanted.
func (r *Rehearsal) refresh(m int32) {
	head := r.modules[m].head
	c := &r.controllers[head]
	for k := range c.slots {
		w := &c.slots[k]
		if w.module != m {
			continue
		}
		at := r.now + r.delay(m)
		switch s := &c.program.Slots[k]; s.Kind {
		case control.SlotInput, control.SlotKey:
			if w.raw != control.Unknown {
				r.queue.push(happening{at: at, kind: happensInput, who: head, slot: int16(k), value: w.raw})
			}
		case control.SlotSwitch, control.SlotLevel:
			r.queue.push(happening{at: at, kind: happensOutput, who: head, slot: int16(k), value: w.wanted,
				msg: message{edge: -1, from: head, cause: -1}})
		}
	}
}
