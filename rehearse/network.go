package rehearse

import (
	"wirewright/control"
)

// message is what travels over the data network.
type message struct {
	kind   messageKind
	verb   control.Verb
	slot   int16 // state: slot of its owner; command: slot of the target
	cause  int16 // rule of the sender
	from   int32
	to     int32
	value  int32
	expiry int32 // ms
	fade   int32
	seq    uint32
	sent   int64
	edge   int64 // when the key went down or up that this comes from, -1 for none
	mirror int16 // state on its way down: slot of the receiver
}

type messageKind uint8

const (
	messageState messageKind = iota
	messageCommand
	messageLink    // a peer is there or gone
	messageOutside // a message from outside, by name
)

// The bounds of what waits: older commands give way to newer ones.
const (
	outboxMost  = 64
	waitingMost = 64
)

// publish tells everybody the value of a slot.
func (r *Rehearsal) publish(who int32, slot int16, value int32) {
	c := &r.controllers[who]
	w := &c.slots[slot]
	w.told, w.hasTold = value, true
	if !c.online || !r.modules[c.module].up {
		return // told when it connects
	}
	r.stats.States++
	if len(w.subscribers) == 0 && c.reach {
		w.retained, w.hasRetained = value, true
		return
	}
	r.leg(message{kind: messageState, from: who, to: -1, slot: slot, value: value, sent: r.now, cause: -1, edge: -1}, true)
}

// command sends a command to a peer.
func (r *Rehearsal) command(who int32, f *control.Effect) {
	c := &r.controllers[who]
	m := message{kind: messageCommand, verb: f.Verb, from: who, to: c.peers[f.Peer], slot: f.Slot, value: f.Value,
		expiry: f.Time, fade: f.Fade, seq: f.Seq, cause: f.Cause, sent: r.now, edge: r.edge(who, f.Cause)}
	if m.to < 0 {
		return
	}
	r.stats.Commands++
	r.noteMessage(KindSent, &m, "")
	if !c.online || !c.reach {
		c.outbox = r.wait(c.outbox, m, outboxMost)
		return
	}
	r.leg(m, true)
}

// wait puts a command into a bounded queue.
func (r *Rehearsal) wait(list []message, m message, most int) []message {
	if len(list) >= most {
		r.stats.Dropped++
		r.noteMessage(KindLost, &list[0], "too many wait")
		copy(list, list[1:])
		list = list[:most-1]
	}
	return append(list, m)
}

// leg sends a message over one leg, up to the broker or down from it.
func (r *Rehearsal) leg(m message, up bool) {
	who, kind := m.from, happensUp
	if !up {
		who, kind = m.to, happensDown
	}
	c := &r.controllers[who]
	link := &r.network.WiFi
	if c.cable {
		link = &r.network.Cable
	}
	r.stats.Legs++
	faulty := m.kind == messageState || m.kind == messageCommand
	if faulty && r.forNetwork.chance(link.Loss) {
		r.stats.Lost++
		r.noteMessage(KindLost, &m, "")
		return
	}
	r.queue.push(happening{at: r.arrival(c, link, up), kind: kind, who: who, msg: m})
	if faulty && r.forNetwork.chance(link.Double) {
		r.stats.Doubled++
		r.noteMessage(KindDoubled, &m, "")
		r.queue.push(happening{at: r.arrival(c, link, up), kind: kind, who: who, msg: m})
	}
}

// arrival draws when a message comes over a leg.
func (r *Rehearsal) arrival(c *controller, l *Link, up bool) int64 {
	late := r.forNetwork.between(int64(l.Least), max(int64(l.Least), 2*int64(l.Typical)-int64(l.Least)))
	if r.forNetwork.chance(l.TailShare) {
		late = r.forNetwork.between(int64(l.Typical), max(int64(l.Typical), int64(l.Tail)))
	}
	last := &c.down
	if up {
		last = &c.up
	}
	at := r.now + late
	if r.forNetwork.chance(l.Overtake) {
		return at
	}
	*last = max(*last, at)
	return *last
}

// messageUp is a message at the broker.
func (r *Rehearsal) messageUp(m *message) {
	c := &r.controllers[m.from]
	if !c.reach {
		if m.kind == messageCommand { // not acknowledged, so the sender keeps it
			c.outbox = r.wait(c.outbox, *m, outboxMost)
		}
		return
	}
	if m.kind == messageState {
		w := &c.slots[m.slot]
		w.retained, w.hasRetained = m.value, true
		for _, s := range w.subscribers {
			if d := &r.controllers[s.who]; d.reach && d.online {
				copied := *m
				copied.to, copied.mirror = s.who, s.slot
				r.leg(copied, false)
			}
		}
		return
	}
	d := &r.controllers[m.to]
	if !d.reach || !d.online {
		d.waiting = r.wait(d.waiting, *m, waitingMost)
		return
	}
	r.leg(*m, false)
}

// messageDown is a message at its receiver.
func (r *Rehearsal) messageDown(m *message) {
	d := &r.controllers[m.to]
	if !d.reach {
		if m.kind == messageCommand { // not acknowledged, so the broker keeps it
			d.waiting = r.wait(d.waiting, *m, waitingMost)
		}
		return
	}
	switch m.kind {
	case messageState:
		r.step(m.to, control.Event{Kind: control.EventMirror, Slot: m.mirror, Value: m.value}, nil)
	case messageLink:
		r.tellLink(m.to, m.from, m.value)
	case messageOutside:
		r.step(m.to, control.Event{Kind: control.EventMessage, Slot: m.slot}, nil)
	case messageCommand:
		r.commandArrives(m)
	}
}

// commandArrives gives a command to the controller that it is for.
func (r *Rehearsal) commandArrives(m *message) {
	d := &r.controllers[m.to]
	peer, ok := d.peerOf[m.from]
	if !ok {
		peer = -1
	}
	age := r.now - m.sent
	if age > int64(m.expiry) {
		r.stats.Expired++
		r.noteMessage(KindExpired, m, "")
		r.step(m.to, control.Event{Kind: control.EventAdvance, Slot: -1}, nil) // so that what follows is of the command alone
	}
	r.step(m.to, control.Event{Kind: control.EventCommand, Verb: m.verb, Peer: peer, Slot: m.slot, Value: m.value,
		Seq: m.seq, Age: int32(min(age, elapsedMost)), Expiry: m.expiry, Fade: m.fade}, m)
}

// tellLink tells a controller that a peer (or, from -1, the network) is gone or there.
func (r *Rehearsal) tellLink(who, from, value int32) {
	peer := int16(-1)
	if from >= 0 {
		var ok bool
		if peer, ok = r.controllers[who].peerOf[from]; !ok {
			return
		}
	}
	r.step(who, control.Event{Kind: control.EventLink, Peer: peer, Slot: -1, Value: value}, nil)
}

// rewire works out who reaches the broker after something broke or was mended.
func (r *Rehearsal) rewire() {
	for i := range r.controllers {
		c := &r.controllers[i]
		up := r.modules[c.module].up && r.router && r.broker && (c.access < 0 || c.cable || r.access[c.access].up)
		switch {
		case c.reach && !up:
			r.lose(int32(i))
		case !c.reach && up:
			r.regain(int32(i))
		}
	}
}

// lose begins the time after which a broken connection is noticed.
func (r *Rehearsal) lose(who int32) {
	c := &r.controllers[who]
	c.reach = false
	c.link++
	keep := r.now + int64(r.network.Keep)
	r.queue.push(happening{at: keep, kind: happensNotice, who: who, gen: c.link})
	r.queue.push(happening{at: keep + int64(r.network.Will), kind: happensWill, who: who, gen: c.link})
}

// regain ends it: a connection that nobody missed goes on, another is made anew.
func (r *Rehearsal) regain(who int32) {
	c := &r.controllers[who]
	c.reach = true
	c.link++
	if c.online && !c.booted {
		r.flush(who)
		return
	}
	retry := int64(r.network.Retry)
	r.queue.push(happening{at: r.now + r.forNetwork.between(retry/2, retry), kind: happensConnect, who: who, gen: c.link})
}

// notice is a controller finding out that it has no connection.
func (r *Rehearsal) notice(h *happening) {
	c := &r.controllers[h.who]
	if h.gen != c.link {
		return
	}
	c.online = false
	if !r.modules[c.module].up {
		return
	}
	r.note(Entry{Kind: KindOffline, Controller: r.name(h.who)})
	r.tellLink(h.who, -1, 0)
	for _, p := range c.peers {
		if p >= 0 {
			r.tellLink(h.who, p, 0)
		}
	}
}

// will is the broker telling the others that a controller is gone.
func (r *Rehearsal) will(h *happening) {
	c := &r.controllers[h.who]
	if h.gen != c.link || !r.broker || !r.router {
		return // there is nobody who could tell, or be told
	}
	r.note(Entry{Kind: KindGone, Controller: r.name(h.who)})
	r.announce(h.who, 0)
}

// announce tells all that know a controller whether it is there.
func (r *Rehearsal) announce(who, value int32) {
	for _, k := range r.controllers[who].known {
		if d := &r.controllers[k]; d.reach && d.online {
			r.leg(message{kind: messageLink, from: who, to: k, value: value, cause: -1, edge: -1}, false)
		}
	}
}

// connect is a controller with a new connection: it learns who is there and how things stand, and tells its own.
func (r *Rehearsal) connect(h *happening) {
	c := &r.controllers[h.who]
	if h.gen != c.link || !c.reach {
		return
	}
	c.online = true
	r.note(Entry{Kind: KindOnline, Controller: r.name(h.who)})
	r.tellLink(h.who, -1, 1)
	if c.booted { // it may have lost the numbers of its commands, and they begin anew
		r.announce(h.who, 0)
		c.booted = false
	}
	r.announce(h.who, 1)
	for _, p := range c.peers {
		if p >= 0 && r.controllers[p].online && r.controllers[p].reach {
			r.leg(message{kind: messageLink, from: p, to: h.who, value: 1, cause: -1, edge: -1}, false)
		}
	}
	r.deliverRetained(h.who)
	r.flush(h.who)
}

// deliverRetained sends a controller the last states of what it mirrors.
func (r *Rehearsal) deliverRetained(who int32) {
	c := &r.controllers[who]
	for k := range c.program.Slots {
		s := &c.program.Slots[k]
		if s.Kind != control.SlotMirror || c.peers[s.Peer] < 0 {
			continue
		}
		if w := &r.controllers[c.peers[s.Peer]].slots[s.Remote]; w.hasRetained {
			r.leg(message{kind: messageState, from: c.peers[s.Peer], to: who, slot: s.Remote, mirror: int16(k),
				value: w.retained, sent: r.now, cause: -1, edge: -1}, false)
		}
	}
}

// flush is a connection that works again: the controller sends the commands that are still good and all its states, and
// the broker the commands that waited for it.
func (r *Rehearsal) flush(who int32) {
	c := &r.controllers[who]
	outbox := c.outbox
	c.outbox = nil
	for i := range outbox {
		if m := &outbox[i]; r.fresh(m) {
			r.leg(*m, true)
		}
	}
	for k := range c.slots {
		if w := &c.slots[k]; w.hasTold {
			r.publish(who, int16(k), w.told)
		}
	}
	waiting := c.waiting
	c.waiting = nil
	for i := range waiting {
		if m := &waiting[i]; r.fresh(m) {
			r.leg(*m, false)
		}
	}
}

// fresh tells whether a command that waited is still good; who keeps it throws it away otherwise.
func (r *Rehearsal) fresh(m *message) bool {
	if r.now-m.sent <= int64(m.expiry) {
		return true
	}
	r.stats.Expired++
	r.noteMessage(KindExpired, m, "")
	return false
}
