package rehearse

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/control"
	"wirewright/house"
	"wirewright/internal/problem"
	"wirewright/unit"
)

var (
	_ accept.World     = (*Rehearsal)(nil)
	_ accept.Commander = (*Rehearsal)(nil)
	_ accept.Announcer = (*Rehearsal)(nil)
)

// settleTime is how long a fresh start is given until every mirror knows what it mirrors, ms.
const settleTime = 2000

// Reset brings every controller and everything that it drives back to the start: nothing is broken, inputs are at rest,
// the wall clock is back, and the same random numbers come again. The trace and the counts go on.
func (r *Rehearsal) Reset() error {
	r.queue.clear()
	seed := r.options.Seed
	r.forNetwork, r.forPhysics = branch(seed, forNetwork), branch(seed, forPhysics)
	r.note(Entry{Kind: KindReset})
	r.router, r.broker, r.live = true, true, nil
	for i := range r.access {
		r.access[i].up = true
	}
	for i := range r.lines {
		r.lines[i].up, r.lines[i].fed = true, r.lines[i].of
	}
	for i := range r.modules {
		r.modules[i].up, r.modules[i].lost = true, false
	}
	for i := range r.controllers {
		r.rest(&r.controllers[i])
	}
	r.told, r.commands = nil, 0
	r.wall, r.wallSince = r.options.Start, r.now
	r.clockGen++ // the calendar rests until the house has settled
	for i := range r.controllers {
		r.boot(int32(i))
	}
	for i := range r.controllers {
		c := &r.controllers[i]
		c.reach, c.online, c.booted = true, true, false
	}
	for i := range r.controllers {
		c := &r.controllers[i]
		r.tellLink(int32(i), -1, 1)
		for _, p := range c.peers {
			if p >= 0 {
				r.tellLink(int32(i), p, 1)
			}
		}
		r.flush(int32(i))
	}
	r.runTo(r.now + settleTime)
	r.setClock(r.options.Start, r.options.Start)
	return nil
}

// rest brings the world's side of a controller to rest.
func (r *Rehearsal) rest(c *controller) {
	c.state, c.gen, c.second, c.events, c.busy = nil, c.gen+1, 0, 0, 0
	c.reach, c.online, c.link = false, false, c.link+1
	c.up, c.down, c.outbox, c.waiting = r.now, r.now, nil, nil
	for k := range c.slots {
		w, s := &c.slots[k], &c.program.Slots[k]
		*w = slotWorld{module: w.module, subscribers: w.subscribers, raw: control.Unknown, edge: -1 << 40}
		switch s.Kind {
		case control.SlotInput, control.SlotKey:
			w.raw = atRest(s.Quantity)
		case control.SlotMotor:
			r.makeMotor(&w.actuator, s)
			w.actuator.since = r.now
			if s.Start > 0 {
				w.actuator.position, w.actuator.slats = int64(s.Start)*(full/1000), full
			}
		}
	}
}

// atRest is what an input of a quantity reads when nothing is going on.
func atRest(q control.Quantity) int32 {
	switch q {
	case control.QuantityTemperature:
		return 2100
	case control.QuantityLight:
		return 500
	}
	return 0
}

// Key presses or lets go a key of a keypad point.
func (r *Rehearsal) Key(point house.ID, key int, down bool) error {
	name := fmt.Sprintf("%s.%d", point, key)
	p, ok := r.owner[name]
	if !ok || r.controllers[p.who].program.Slots[p.slot].Kind != control.SlotKey {
		return r.unknown("key", name, func(k control.SlotKind) bool { return k == control.SlotKey })
	}
	value := int32(0)
	if down {
		value = 1
	}
	r.press(p, value)
	r.runTo(r.now)
	return nil
}

// press moves a key.
func (r *Rehearsal) press(p place, value int32) {
	w := &r.controllers[p.who].slots[p.slot]
	if w.raw == value {
		return
	}
	w.edge = r.now
	kind := KindRelease
	if value != 0 {
		kind = KindPress
		r.stats.Presses++
	}
	r.note(Entry{Kind: kind, Controller: r.name(p.who), Name: r.slotName(p.who, p.slot), Value: value})
	r.sense(p, value)
}

// Input sets what a point reads, until Reset.
func (r *Rehearsal) Input(point house.ID, value int32) error {
	p, ok := r.owner[string(point)]
	if !ok || r.controllers[p.who].program.Slots[p.slot].Kind != control.SlotInput {
		return r.unknown("input", string(point), func(k control.SlotKind) bool { return k == control.SlotInput })
	}
	r.controllers[p.who].slots[p.slot].pinned = true
	r.setInput(p, value)
	r.runTo(r.now)
	return nil
}

// setInput sets what an input reads.
func (r *Rehearsal) setInput(p place, value int32) {
	c := &r.controllers[p.who]
	if c.slots[p.slot].raw == value {
		return
	}
	s := &c.program.Slots[p.slot]
	r.note(Entry{Kind: KindInput, Controller: c.program.Controller, Name: s.Name, Value: value, Quantity: s.Quantity})
	r.sense(p, value)
}

// Message delivers a message from outside by its name, over the network, to every controller that waits for it.
func (r *Rehearsal) Message(name string) error {
	list, ok := r.messages[name]
	if !ok {
		list, ok = r.messages["message "+name]
	}
	if !ok {
		return fmt.Errorf("rehearse: no rule waits for a message %q", name)
	}
	r.note(Entry{Kind: KindMessage, Name: name})
	for _, p := range list {
		if c := &r.controllers[p.who]; r.broker && c.reach && c.online {
			r.leg(message{kind: messageOutside, from: -1, to: p.who, slot: p.slot, cause: -1, edge: -1}, false)
		}
	}
	return nil
}

// Command sets a point or a mode ("mode away"), as a person at the workbench does: over the network, numbered, at once or
// not at all. A motor travels to the value as a position.
func (r *Rehearsal) Command(name string, value int32) error {
	p, ok := r.owner[name]
	fits := func(k control.SlotKind) bool { return k.Output() || k == control.SlotVar }
	if !ok || !fits(r.controllers[p.who].program.Slots[p.slot].Kind) {
		return r.unknown("point or mode", name, fits)
	}
	if c := &r.controllers[p.who]; !c.reach || !c.online {
		return fmt.Errorf("rehearse: %s cannot be commanded, %s has no connection", name, r.name(p.who))
	}
	r.commands++
	m := message{kind: messageCommand, verb: control.VerbSet, from: -1, to: p.who, slot: p.slot, value: value,
		expiry: control.ExpiryUsual, seq: r.commands, sent: r.now, cause: -1, edge: -1}
	r.noteMessage(KindSent, &m, "")
	r.leg(m, false)
	return nil
}

// Told lists the notices since Reset, the newest of them if there are very many.
func (r *Rehearsal) Told() []string { return slices.Clone(r.told) }

// Value is what a point stands at: a switch or level as its channel is driven, a shutter as its controller last told, an
// input as it reads, a variable as its owner has it. False where it is unknown.
func (r *Rehearsal) Value(name string) (int32, bool) {
	p, ok := r.owner[name]
	if !ok {
		return 0, false
	}
	c := &r.controllers[p.who]
	w := &c.slots[p.slot]
	v := control.Unknown
	switch c.program.Slots[p.slot].Kind {
	case control.SlotSwitch, control.SlotLevel:
		if w.actuator.known {
			v = w.actuator.value
		}
	case control.SlotInput, control.SlotKey:
		v = w.raw
	default:
		v = c.program.Value(c.state, p.slot)
	}
	return v, v != control.Unknown
}

// Position is the true position and slat angle of a shutter now, in thousandths, which its controller can only estimate.
func (r *Rehearsal) Position(point house.ID) (position, slats int32, ok bool) {
	p, ok := r.owner[string(point)]
	if !ok || r.controllers[p.who].program.Slots[p.slot].Kind != control.SlotMotor {
		return 0, 0, false
	}
	a := &r.controllers[p.who].slots[p.slot].actuator
	a.travel(r.now)
	return thousandths(a.position), thousandths(a.slats), true
}

// Motion is the direction in which a motor is driven now.
func (r *Rehearsal) Motion(point house.ID) (int32, bool) {
	p, ok := r.owner[string(point)]
	if !ok || r.controllers[p.who].program.Slots[p.slot].Kind != control.SlotMotor {
		return 0, false
	}
	return r.controllers[p.who].slots[p.slot].actuator.way, true
}

// Advance lets simulated time pass.
func (r *Rehearsal) Advance(d unit.Duration) error {
	if d < 0 {
		return fmt.Errorf("rehearse: time cannot run backward (%d ms)", d.MS())
	}
	r.runTo(r.now + d.MS())
	return nil
}

// Clock sets the wall clock. Moments of the calendar in between do not happen, one at that very time does; windows take
// the value that they have then.
func (r *Rehearsal) Clock(t time.Time) error {
	before := r.calendar.State(r.Now())
	r.note(Entry{Kind: KindWall, Text: "the clock is set to " + t.In(r.calendar.Zone()).Format("Mon 2006-01-02 15:04:05")})
	r.setClock(t, t.Add(-1))
	for i, v := range r.calendar.State(t) {
		if v != before[i] {
			r.tellClock(r.entries[i], v)
		}
	}
	r.runTo(r.now)
	return nil
}

// Break fails a component: "router", "broker", "access-point ap1", "line line1", "module hall.box", "mains".
func (r *Rehearsal) Break(component string) error { return r.change(component, false) }

// Mend brings a component back.
func (r *Rehearsal) Mend(component string) error { return r.change(component, true) }

// change breaks or mends a component.
func (r *Rehearsal) change(text string, up bool) error {
	what, which := component(text)
	var flag *bool
	switch what {
	case "router":
		flag = &r.router
	case "broker":
		flag = &r.broker
	case "access-point":
		for i := range r.access {
			if r.access[i].name == which {
				flag = &r.access[i].up
			}
		}
	case "line":
		for i := range r.lines {
			if r.lines[i].name == which {
				flag = &r.lines[i].up
			}
		}
	case "module", "supply":
		return r.changeModule(text, which, up)
	case "mains":
		r.changeMains(up)
		return nil
	}
	if flag == nil {
		return fmt.Errorf("rehearse: there is no %q to break; expected one of: %s", text, strings.Join(r.Components(), ", "))
	}
	if *flag == up {
		return nil
	}
	*flag = up
	r.noteChange(text, up)
	if what == "broker" && !up {
		r.forget()
	}
	r.follow()
	return nil
}

// Components lists everything that can break, in the words of Break.
func (r *Rehearsal) Components() []string {
	list := []string{"mains", "router", "broker"}
	for _, a := range r.access {
		list = append(list, "access-point "+a.name)
	}
	for _, l := range r.lines {
		list = append(list, "line "+l.name)
	}
	for _, m := range r.modules {
		list = append(list, "module "+m.name)
	}
	return list
}

func (r *Rehearsal) noteChange(text string, up bool) {
	kind := KindBroken
	if up {
		kind = KindMended
	}
	r.note(Entry{Kind: kind, Name: text})
}

// forget is a broker that lost its memory.
func (r *Rehearsal) forget() {
	for i := range r.controllers {
		c := &r.controllers[i]
		c.waiting = nil
		for k := range c.slots {
			c.slots[k].hasRetained = false
		}
	}
}

// follow lets lines and connections follow from what broke or works again.
func (r *Rehearsal) follow() {
	r.recontact()
	r.rewire()
	r.runTo(r.now)
}

// changeModule takes the power from a module, or gives it back.
func (r *Rehearsal) changeModule(text, which string, up bool) error {
	for i := range r.modules {
		if r.modules[i].name != which {
			continue
		}
		if r.modules[i].up != up {
			r.noteChange(text, up)
			r.power(int32(i), up)
			r.follow()
		}
		return nil
	}
	names := make([]string, len(r.modules))
	for i := range r.modules {
		names[i] = r.modules[i].name
	}
	if hint := problem.DidYouMean(which, names); hint != "" {
		return fmt.Errorf("rehearse: there is no module %q that runs or serves a program; %s", which, hint)
	}
	return fmt.Errorf("rehearse: there is no module %q that runs or serves a program", which)
}

// power switches one module.
func (r *Rehearsal) power(m int32, up bool) {
	mod := &r.modules[m]
	if !up {
		r.cutPower(m)
	}
	mod.up = up
	for i := range r.controllers {
		c := &r.controllers[i]
		if c.module != m {
			continue
		}
		c.online = false
		c.gen++
		if up {
			r.boot(int32(i))
		} else {
			c.outbox = nil
		}
	}
	r.powerOwn(m, up)
}

// powerOwn lets a supply that breaks take its line with it.
func (r *Rehearsal) powerOwn(m int32, up bool) {
	n, ok := r.supplies[r.modules[m].name]
	if !ok {
		return
	}
	if up {
		r.lines[n].fed++
	} else {
		r.lines[n].fed--
	}
}

// changeMains takes the power from everything, or gives it back to everything.
func (r *Rehearsal) changeMains(up bool) {
	r.noteChange("mains", up)
	r.router, r.broker = up, up
	if !up {
		r.forget()
	}
	for i := range r.access {
		r.access[i].up = up
	}
	for i := range r.modules {
		if r.modules[i].up != up {
			r.power(int32(i), up)
		}
	}
	r.follow()
}

// unknown says that a name is not there, with the nearest that is.
func (r *Rehearsal) unknown(what, name string, fits func(control.SlotKind) bool) error {
	var names []string
	for _, n := range r.names {
		if p := r.owner[n]; fits(r.controllers[p.who].program.Slots[p.slot].Kind) {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	if hint := problem.DidYouMean(name, names); hint != "" {
		return fmt.Errorf("rehearse: no program reads a %s %q; %s", what, name, hint)
	}
	return fmt.Errorf("rehearse: no program reads a %s %q", what, name)
}
