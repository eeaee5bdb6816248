package agent

import (
	"context"
	"math"
	"slices"
	"time"

	"wirewright/control"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// noRule is the cause of what no rule caused.
const noRule int16 = -1

// restore takes the running program off the shelf after a start.
func (a *Agent) restore() error {
	if a.shelf.Running.Epoch == 0 {
		return nil
	}
	p, err := a.shelf.program(a.shelf.Running)
	if err != nil {
		return err
	}
	a.install(p)
	return nil
}

// install makes a program the running one, nil for none, and begins with it. What the channels read and the peers are
// known to have stands in the slots before the start, so that none of it is news.
func (a *Agent) install(p *control.Program) {
	if p != a.program {
		a.forgetSlots(p)
		a.told, a.driven, a.motion = map[int16]wire.State{}, map[int16]int32{}, map[int16]int8{}
	}
	a.program = p
	for name, s := range a.sent {
		a.offset[name] = s.Seq // a new state counts its commands from 1, and the peers know the numbers before
	}
	a.last = a.o.Clock.Elapsed()
	if p == nil {
		a.state = nil
		return
	}
	a.state = p.NewState()
	if old := a.shelf.recall(a.shelf.Running.Digest, len(a.state)); old != nil {
		a.state = old
		a.step(control.Event{Kind: control.EventStart, Slot: -1})
		a.adopt()
	} else {
		a.adopt()
		a.step(control.Event{Kind: control.EventStart, Slot: -1})
	}
	for i := range p.Slots {
		if p.Slots[i].Publish { // what has become unknown, so that nobody believes what was told before
			a.tell(int16(i), wire.Value(p.Value(a.state, int16(i))))
		}
	}
	a.journal(wire.Entry{What: "start", Rule: noRule})
	a.first = slices.Clone(a.state)
	a.listen()
}

// listen hears the peers of the running program, and no others: what the rest of the house tells is not worth the air.
func (a *Agent) listen() {
	var filters []string
	for _, p := range a.program.Peers {
		filters = append(filters, wire.Filter(a.o.House, p, wire.KindAlive), wire.Filter(a.o.House, p, wire.KindState))
	}
	if slices.Equal(filters, a.listens) {
		return
	}
	a.mu.Lock()
	a.listens = filters
	c := a.client
	a.mu.Unlock()
	if c == nil {
		return
	}
	a.done.Go(func() { // a connection that is lost meanwhile comes back with the new filters
		ctx, cancel := context.WithTimeout(a.ctx, 5*time.Second)
		defer cancel()
		_ = c.Listen(ctx, filters)
	})
}

// adopt tells the program what is so already.
func (a *Agent) adopt() {
	a.calendar = newCalendar(a.place, a.program, a.o.Clock.Wall())
	for i := range a.program.Slots {
		s, slot := &a.program.Slots[i], int16(i)
		switch s.Kind {
		case control.SlotInput, control.SlotKey:
			if v, ok := a.o.Channels.Input(s.Module, s.Channel); ok {
				a.step(control.Event{Kind: control.EventInput, Slot: slot, Value: v})
			}
		case control.SlotMirror:
			if v, ok := a.mirrored(s); ok {
				a.step(control.Event{Kind: control.EventMirror, Slot: slot, Value: v})
			}
		}
	}
	for _, c := range a.calendar.state() {
		a.step(control.Event{Kind: control.EventClock, Slot: c.slot, Value: c.value})
	}
	a.step(control.Event{Kind: control.EventLink, Slot: -1, Peer: -1, Value: truth(a.online)})
	for i, name := range a.program.Peers {
		a.step(control.Event{Kind: control.EventLink, Slot: -1, Peer: int16(i), Value: truth(a.peer(name).alive)})
	}
}

func truth(b bool) int32 {
	if b {
		return 1
	}
	return 0
}

// step lets one thing happen and carries out what comes of it.
func (a *Agent) step(e control.Event) {
	if a.program == nil {
		return
	}
	e.Elapsed = a.elapsed()
	a.touch()
	a.effects = a.program.Step(a.state, e, a.effects[:0])
	keep := false
	for i := range a.effects {
		keep = a.carry(&a.effects[i]) || keep
	}
	if keep {
		a.keepMemory()
	}
}

// elapsed is the time since the last step in ms; what does not make a whole ms is left for the next.
func (a *Agent) elapsed() int32 {
	ms := (a.o.Clock.Elapsed() - a.last) / time.Millisecond
	ms = min(max(ms, 0), math.MaxInt32)
	a.last += ms * time.Millisecond
	return int32(ms)
}

// carry does one effect; true if the memory is worth keeping after it.
func (a *Agent) carry(e *control.Effect) bool {
	switch e.Kind {
	case control.EffectOutput:
		s := &a.program.Slots[e.Slot]
		a.o.Channels.Output(s.Module, s.Channel, e.Value, e.Time)
		if last, known := a.driven[e.Slot]; known && last == e.Value {
			return false // as it was: a start that changes nothing is no news
		}
		a.driven[e.Slot] = e.Value
		a.journal(wire.Entry{What: "output", Slot: s.Name, Value: wire.Value(e.Value), Rule: e.Cause, From: a.from})
	case control.EffectMotor:
		s := &a.program.Slots[e.Slot]
		a.o.Channels.Motor(s.Module, s.Channel, e.Value)
		a.motion[e.Slot] = int8(e.Value)
		a.tell(e.Slot, a.position(e.Slot))
		a.journal(wire.Entry{What: "motor", Slot: s.Name, Value: wire.Value(e.Value), Rule: e.Cause, From: a.from})
		return e.Value == 0 && s.Retain
	case control.EffectPublish:
		a.tell(e.Slot, wire.Value(e.Value))
		return a.program.Slots[e.Slot].Retain
	case control.EffectSend:
		a.send(e)
	case control.EffectNotify:
		a.journal(wire.Entry{What: "notify", Rule: e.Cause, Text: a.text(e.Value)})
	case control.EffectFault:
		a.journal(wire.Entry{What: "fault", Value: wire.Value(e.Value), Rule: e.Cause})
	}
	return false
}

// text is a text of the program.
func (a *Agent) text(n int32) string {
	if n < 0 || int(n) >= len(a.program.Texts) {
		return ""
	}
	return a.program.Texts[n]
}

// position is what was last told of a motor.
func (a *Agent) position(slot int16) wire.Value {
	if s, ok := a.told[slot]; ok {
		return s.Value
	}
	return wire.Value(control.Unknown)
}

// tell publishes the state of a slot, unless it was told just so.
func (a *Agent) tell(slot int16, v wire.Value) {
	if last, told := a.told[slot]; told && last.Value == v && last.Motion == a.motion[slot] && last.Epoch == a.shelf.Running.Epoch {
		return
	}
	a.count++
	s := wire.State{Slot: slot, Value: v, Motion: a.motion[slot], Count: a.count, Epoch: a.shelf.Running.Epoch, At: a.o.Clock.Wall().UnixMilli()}
	a.told[slot] = s
	a.tellAgain(s)
}

// tellAgain publishes a state as it was told.
func (a *Agent) tellAgain(s wire.State) {
	a.publish(wire.KindState, a.program.Slots[s.Slot].Name, wire.Encode(s))
}

// forgetSlots deletes what the broker keeps of slots that the next program does not have.
func (a *Agent) forgetSlots(next *control.Program) {
	if a.program == nil {
		return
	}
	kept := map[string]bool{}
	if next != nil {
		for i := range next.Slots {
			kept[next.Slots[i].Name] = next.Slots[i].Publish || kept[next.Slots[i].Name]
		}
	}
	for i := range a.program.Slots {
		if s := &a.program.Slots[i]; s.Publish && !kept[s.Name] {
			a.publish(wire.KindState, s.Name, nil)
		}
	}
}

// publish sends something of this controller's own.
func (a *Agent) publish(kind wire.Kind, name string, b []byte) {
	t := wire.Topic{House: a.o.House, Controller: a.o.Controller, Kind: kind, Name: name}
	a.out.put(letter{m: mqtt.Message{Topic: t.String(), Payload: b, Retain: wire.Retained(kind)}, keep: kind == wire.KindJournal})
}

// send commands a peer.
func (a *Agent) send(e *control.Effect) {
	name := a.program.Peers[e.Peer]
	expiry := max(e.Time, 1)
	now := a.o.Clock.Wall()
	seq := a.offset[name] + e.Seq
	c := wire.Command{Session: a.session, Seq: seq, Epoch: a.shelf.Running.Epoch, Sent: now.UnixMilli(), Expiry: expiry,
		Slot: e.Slot, Verb: wire.VerbText(e.Verb), Value: wire.Value(e.Value), Fade: e.Fade, Rule: e.Cause}
	t := wire.Topic{House: a.o.House, Controller: name, Kind: wire.KindDo, Name: a.o.Controller}
	span := time.Duration(expiry) * time.Millisecond
	a.out.put(letter{m: mqtt.Message{Topic: t.String(), Payload: wire.Encode(c), Expiry: span}, until: time.Now().Add(span)})
	a.sent[name] = Sent{seq, int64((a.o.Clock.Elapsed() + span) / time.Millisecond)}
}

// journal tells what happened.
func (a *Agent) journal(e wire.Entry) {
	a.entries++
	e.Count, e.At, e.Epoch = a.entries, a.o.Clock.Wall().UnixMilli(), a.shelf.Running.Epoch
	a.publish(wire.KindJournal, "", wire.Encode(e))
}

// keepMemory writes down what outlives a loss of power.
func (a *Agent) keepMemory() {
	if a.program == nil {
		return
	}
	if err := a.shelf.remember(memory{a.shelf.Running.Digest, a.state}); err != nil {
		a.journal(wire.Entry{What: "fault", Rule: noRule, Text: err.Error()})
	}
}

// Input tells a new raw value of a local input.
func (a *Agent) Input(module, channel string, value int32) {
	a.Do(func() {
		if a.program == nil {
			return
		}
		for i := range a.program.Slots {
			s := &a.program.Slots[i]
			if (s.Kind == control.SlotInput || s.Kind == control.SlotKey) && s.Channel == channel && s.Module == module {
				a.step(control.Event{Kind: control.EventInput, Slot: int16(i), Value: value})
			}
		}
	})
}

// wait is how long nothing happens by itself; false if nothing is due.
func (a *Agent) wait() (time.Duration, bool) {
	if a.program == nil {
		return 0, false
	}
	wait, ok := time.Duration(math.MaxInt64), false
	if ms, due := a.program.Due(a.state); due {
		wait, ok = time.Duration(ms)*time.Millisecond-(a.o.Clock.Elapsed()-a.last), true
	}
	if at := a.calendar.peek(); !at.IsZero() {
		wait, ok = min(wait, at.Sub(a.o.Clock.Wall())), true
	}
	return max(wait, 0), ok
}

// tick lets time pass: timers that are due, and what the calendar says.
func (a *Agent) tick() {
	if a.program == nil {
		return
	}
	a.step(control.Event{Kind: control.EventAdvance, Slot: -1})
	for _, c := range a.calendar.due(a.o.Clock.Wall()) {
		a.step(control.Event{Kind: control.EventClock, Slot: c.slot, Value: c.value})
	}
}
