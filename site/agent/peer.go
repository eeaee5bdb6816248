package agent

import (
	"slices"
	"time"

	"wirewright/control"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// Bounds of what is remembered of others.
const (
	peersMost    = 1000 // controllers heard
	slotsMost    = 4096 // states of one controller
	sessionsMost = 8    // sessions of a controller that are over
)

// peer is what is known of another controller.
type peer struct {
	alive   bool
	session string
	over    []string             // sessions before
	last    uint32               // the commissioning side only: number of its last command in this session
	states  map[int16]wire.State // by slot of its program
}

// peer finds or makes what is known of a controller.
func (a *Agent) peer(name string) *peer {
	p := a.peers[name]
	if p == nil {
		p = &peer{states: map[int16]wire.State{}}
		if len(a.peers) < peersMost {
			a.peers[name] = p
		}
	}
	return p
}

// index is the place of a controller among the peers of the running program, -1 if it is none.
func (a *Agent) index(name string) int16 {
	if a.program == nil {
		return -1
	}
	return int16(slices.Index(a.program.Peers, name))
}

// up is called when the connection is there: everything is told anew.
func (a *Agent) up() {
	a.online = true
	a.touch()
	a.out.link(true)
	a.sayAlive()
	a.announce()
	a.step(control.Event{Kind: control.EventLink, Slot: -1, Peer: -1, Value: 1})
}

// sayAlive tells that the controller is there.
func (a *Agent) sayAlive() {
	a.publish(wire.KindAlive, "", wire.Encode(wire.Alive{Alive: true, Session: a.session, Epoch: a.shelf.Running.Epoch}))
}

// card is what the controller says of itself.
func (a *Agent) card() wire.Card {
	return wire.Card{Protocol: wire.Protocol, Controller: a.o.Controller, Hardware: a.o.Hardware, Type: a.o.Type,
		Firmware: a.o.Firmware, Page: a.o.Page, Epoch: a.shelf.Running.Epoch, Digest: a.shelf.Running.Digest}
}

// announce tells card, description and every state.
func (a *Agent) announce() {
	a.publish(wire.KindCard, "", wire.Encode(a.card()))
	a.publish(wire.KindThing, "", wire.Thing(wire.ThingOptions{House: a.o.House, Card: a.card(), Broker: a.o.Broker}, a.program))
	slots := make([]int16, 0, len(a.told))
	for s := range a.told {
		slots = append(slots, s)
	}
	slices.Sort(slots)
	for _, s := range slots {
		a.tellAgain(a.told[s])
	}
}

// down is called when the connection is lost: nobody is heard any more.
func (a *Agent) down() {
	a.online = false
	a.touch()
	a.step(control.Event{Kind: control.EventLink, Slot: -1, Peer: -1, Value: 0})
	names := make([]string, 0, len(a.peers))
	for n := range a.peers {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		a.setAlive(n, false)
	}
}

// setAlive notes that a controller is there or not.
func (a *Agent) setAlive(name string, alive bool) {
	p := a.peer(name)
	if p.alive == alive {
		return
	}
	p.alive = alive
	if i := a.index(name); i >= 0 {
		a.step(control.Event{Kind: control.EventLink, Slot: -1, Peer: i, Value: truth(alive)})
	}
}

// receive takes a message of the broker. What cannot be read is left: a hostile payload must not fill the journal either.
func (a *Agent) receive(m mqtt.Message) {
	t, err := wire.ParseTopic(m.Topic)
	if err != nil || t.House != a.o.House {
		return
	}
	switch t.Kind {
	case wire.KindAlive:
		a.hearAlive(t.Controller, m.Payload)
	case wire.KindState:
		a.hearState(t, m.Payload)
	case wire.KindDo:
		if !m.Retain && t.Controller == a.o.Controller {
			a.hearCommand(t.Name, m.Payload)
		}
	case wire.KindMessage:
		if !m.Retain {
			a.hearMessage(t.Name, m.Payload)
		}
	case wire.KindPlace:
		if p, err := wire.Decode[wire.Place](m.Payload); err == nil && (a.place == nil || *a.place != p) {
			a.place = &p
			a.setCalendar()
		}
	case wire.KindAsk:
		if !m.Retain && t.Controller == a.o.Controller {
			a.hearAsk(m.Payload)
		}
	}
}

// hearAlive notes who is there. A will that comes after its controller is back is known by the session.
func (a *Agent) hearAlive(name string, b []byte) {
	m, err := wire.Decode[wire.Alive](b)
	if err != nil {
		return
	}
	if name == a.o.Controller {
		if !m.Alive && a.online {
			a.sayAlive() // our own will of a connection before this one
		}
		return
	}
	p := a.peer(name)
	switch {
	case !m.Alive && m.Session == p.session:
		a.setAlive(name, false)
	case m.Alive && a.enter(name, m.Session):
		a.setAlive(name, true)
	}
}

// enter notes the session of a controller; false for one that is over. A new one means that it has started anew, so that
// its numbers begin anew.
func (a *Agent) enter(name, session string) bool {
	p := a.peer(name)
	if p.session == session {
		return true
	}
	if slices.Contains(p.over, session) {
		return false
	}
	if p.session != "" {
		p.over = append(p.over, p.session)
		p.over = p.over[max(0, len(p.over)-sessionsMost):]
		p.alive = true // so that its loss is told even where it was lost before: the program counts its commands from there
		a.setAlive(name, false)
	}
	p.session, p.last = session, 0
	return true
}

// hearState keeps the state of a slot of another controller and hands it to the mirrors of it.
func (a *Agent) hearState(t wire.Topic, b []byte) {
	if t.Controller == a.o.Controller {
		return
	}
	m, err := wire.Decode[wire.State](b)
	if err != nil {
		return
	}
	a.touch()
	p := a.peer(t.Controller)
	if len(p.states) < slotsMost || p.states[m.Slot].Epoch != 0 {
		p.states[m.Slot] = m
	}
	peer := a.index(t.Controller)
	if peer < 0 {
		return
	}
	for i := range a.program.Slots {
		s := &a.program.Slots[i]
		if s.Kind == control.SlotMirror && s.Peer == peer && s.Remote == m.Slot {
			if v, ok := a.mirrored(s); ok {
				a.step(control.Event{Kind: control.EventMirror, Slot: int16(i), Value: v})
			}
		}
	}
}

// mirrored is the last known value of the slot that a mirror shows, if it was told in the epoch that runs here.
func (a *Agent) mirrored(s *control.Slot) (int32, bool) {
	p := a.peers[a.program.Peers[s.Peer]]
	if p == nil {
		return 0, false
	}
	m, ok := p.states[s.Remote]
	return int32(m.Value), ok && m.Epoch == a.shelf.Running.Epoch
}

// hearCommand carries out a command of a peer, or of a person at the commissioning side.
func (a *Agent) hearCommand(sender string, b []byte) {
	m, err := wire.Decode[wire.Command](b)
	if err != nil || a.program == nil {
		return
	}
	refuse := func(why string) {
		a.journal(wire.Entry{What: "refused", Slot: a.slotName(m.Slot), Value: m.Value, Rule: noRule, From: sender, Text: why})
	}
	a.taken[sender] = m.Seq
	a.touch()
	index := a.index(sender)
	switch {
	case m.Epoch != a.shelf.Running.Epoch:
		refuse("sent in another epoch")
		return
	case index < 0 && sender != wire.SiteUser:
		refuse("not from a peer")
		return
	case !a.enter(sender, m.Session):
		refuse("from a session that is over")
		return
	}
	if sender == wire.SiteUser {
		p := a.peer(sender)
		if m.Seq <= p.last {
			return
		}
		p.last = m.Seq
		a.site++
		m.Seq = a.site
	}
	verb, _ := wire.ParseVerb(m.Verb)
	age := max(0, a.o.Clock.Wall().UnixMilli()-m.Sent)
	if age > int64(m.Expiry) {
		refuse("too late")
	}
	a.from = sender
	a.step(control.Event{Kind: control.EventCommand, Verb: verb, Peer: index, Slot: m.Slot, Value: int32(m.Value), Seq: m.Seq,
		Age: int32(min(age, 1<<31-1)), Expiry: m.Expiry, Fade: m.Fade})
	a.from = ""
}

// slotName is the name of a slot, empty for one that is not there.
func (a *Agent) slotName(slot int16) string {
	if slot < 0 || int(slot) >= len(a.program.Slots) {
		return ""
	}
	return a.program.Slots[slot].Name
}

// hearMessage lets the slots of a message pulse.
func (a *Agent) hearMessage(name string, b []byte) {
	m, err := wire.Decode[wire.Message](b)
	if err != nil || a.program == nil || a.o.Clock.Wall().Sub(time.UnixMilli(m.Sent)) > time.Duration(m.Expiry)*time.Millisecond {
		return
	}
	for i := range a.program.Slots {
		if s := &a.program.Slots[i]; s.Kind == control.SlotMessage && s.Name == name {
			a.step(control.Event{Kind: control.EventMessage, Slot: int16(i), Value: 1})
		}
	}
}

// setCalendar begins the calendar anew at the present time of the house: after the clock was set, or the place became
// known. What lies between is skipped; windows take the value that they have now.
func (a *Agent) setCalendar() {
	if a.program == nil {
		return
	}
	a.calendar = newCalendar(a.place, a.program, a.o.Clock.Wall())
	for _, c := range a.calendar.state() {
		if a.program.Slots[c.slot].Kind == control.SlotClock {
			a.step(control.Event{Kind: control.EventClock, Slot: c.slot, Value: c.value})
		}
	}
}
