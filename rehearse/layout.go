package rehearse

import (
	"fmt"
	"strings"

	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
	"wirewright/internal/problem"
)

// controller is one controller with its program and everything that the world knows about it.
type controller struct {
	program *control.Program
	state   control.State
	module  int32 // its own module
	access  int32 // access point, -1 for none
	cable   bool

	last   int64  // time of the last event
	gen    uint32 // of its next timer
	second int64  // the running second, its events, and the busy seconds before it in a row
	events int
	busy   int
	online bool   // it believes to be connected
	reach  bool   // it is
	booted bool   // it restarted since it last connected
	link   uint32 // generation of what follows from a change of reach

	up, down int64     // time of the last message either way, for order
	outbox   []message // commands that wait for a connection
	waiting  []message // commands that wait for it at the broker

	peers  []int32         // controllers by index into program.Peers
	peerOf map[int32]int16 // and back
	known  []int32         // controllers that have it as a peer

	slots []slotWorld // beside program.Slots
	keys  [][]int16   // by rule: the key slots that cause it at once
}

// slotWorld is the world's side of one slot.
type slotWorld struct {
	module      int32 // module of a local channel
	raw         int32 // inputs: what it reads; control.Unknown where nothing is there
	told        int32 // last value published
	hasTold     bool
	retained    int32 // last value at the broker
	hasRetained bool
	wanted      int32 // outputs: what the controller last asked
	wantedTime  int32
	subscribers []place // mirrors of this slot
	edge        int64   // keys: last time it went down or up
	pinned      bool    // inputs: set by a test, so the weather leaves it alone
	actuator    actuator
}

// place is one slot of one controller.
type place struct {
	who  int32
	slot int16
}

// module is one device in the house.
type module struct {
	name string
	up   bool
	line int32 // -1 where it is not on a line
	head int32 // controller that its channels belong to
	gen  uint32
	lost bool // the head has noticed that it is gone
}

// line is one wired line.
type line struct {
	name string
	up   bool
	head int32 // controller, -1 where it has no program
	fed  int   // supplies that work
	of   int   // supplies in all; 0 where the house names none
}

// access is one access point.
type access struct {
	name string
	up   bool
}

// layout builds controllers, modules and lines from the programs and the house.
type layout struct {
	r        *Rehearsal
	list     problem.List
	moduleOf map[string]int32
	controls map[string]int32
}

func (l *layout) say(format string, args ...any) {
	l.list = append(l.list, problem.Problem{Text: fmt.Sprintf(format, args...)})
}

// build fills the rehearsal.
func (l *layout) build(o *Options) error {
	l.moduleOf, l.controls = map[string]int32{}, map[string]int32{}
	for _, p := range o.Programs {
		if p == nil || p.NewState() == nil {
			l.say("a program has not been checked; call its Check first")
			continue
		}
		if _, twice := l.controls[p.Controller]; twice {
			l.say("controller %s has two programs; one a controller is expected", p.Controller)
			continue
		}
		i := int32(len(l.r.controllers))
		l.controls[p.Controller] = i
		l.r.controllers = append(l.r.controllers, controller{program: p, access: -1, peerOf: map[int32]int16{}})
		l.r.controllers[i].module = l.module(p.Controller, -1, i)
	}
	types := typesOf(o.Catalogue)
	l.lines(o.House, types)
	l.accessPoints(o.House, types)
	for i := range l.r.controllers {
		l.slots(int32(i))
	}
	for i := range l.r.controllers {
		l.mirrors(int32(i))
		l.senders(int32(i))
	}
	return l.list.Err()
}

// module finds or adds a module.
func (l *layout) module(name string, line, head int32) int32 {
	if i, ok := l.moduleOf[name]; ok {
		return i
	}
	i := int32(len(l.r.modules))
	l.moduleOf[name] = i
	l.r.modules = append(l.r.modules, module{name: name, up: true, line: line, head: head})
	return i
}

// typesOf finds catalogue types by name; none where there is no catalogue.
func typesOf(c *catalogue.Catalogue) map[string]*catalogue.Type {
	types := map[string]*catalogue.Type{}
	if c != nil {
		for i := range c.Types {
			types[c.Types[i].ID] = &c.Types[i]
		}
	}
	return types
}

// lines takes the wired lines of the house: their heads get a cable, their modules the line, their supplies a count.
func (l *layout) lines(h *house.House, types map[string]*catalogue.Type) {
	if h == nil {
		return
	}
	supply := map[house.ID]bool{}
	for i := range h.Modules {
		t := types[h.Modules[i].Type]
		supply[h.Modules[i].ID] = t != nil && t.Role == catalogue.RoleSupply
	}
	for _, hl := range h.Lines {
		n := int32(len(l.r.lines))
		head, ok := l.controls[string(hl.Head)]
		if !ok {
			head = -1
		} else {
			l.r.controllers[head].cable = true
		}
		l.r.lines = append(l.r.lines, line{name: string(hl.ID), up: true, head: head})
		for _, tap := range hl.Taps {
			if _, own := l.controls[string(tap.Module)]; !own {
				l.module(string(tap.Module), n, head)
			}
			if supply[tap.Module] {
				l.r.supplies[string(tap.Module)] = n
				l.r.lines[n].of++
			}
		}
	}
}

// accessPoints puts every controller without a cable on the nearest access point, or the first where nobody knows where
// things are.
func (l *layout) accessPoints(h *house.House, types map[string]*catalogue.Type) {
	if h == nil {
		return
	}
	for _, a := range h.Network.AccessPoints {
		l.r.access = append(l.r.access, access{string(a.ID), true})
	}
	for i := range h.Modules {
		m := &h.Modules[i]
		n, ok := l.controls[string(m.ID)]
		if !ok {
			continue
		}
		if t := types[m.Type]; t != nil && t.Medium == catalogue.Wired {
			l.r.controllers[n].cable = true
		}
		if len(h.Network.AccessPoints) > 0 {
			l.r.controllers[n].access = nearest(h, m)
		}
	}
}

// nearest is the access point nearest to a module, the first where nothing is known.
func nearest(h *house.House, m *house.Module) int32 {
	at := m.At
	for i := range h.Points {
		if at == nil && m.Point != "" && h.Points[i].ID == m.Point {
			at = h.Points[i].At
		}
	}
	best, least := int32(0), -1.0
	for i, a := range h.Network.AccessPoints {
		if at == nil || a.At == nil {
			continue
		}
		x, y, z := a.At.X-at.X, a.At.Y-at.Y, a.At.Z-at.Z
		if d := x*x + y*y + z*z; least < 0 || d < least {
			best, least = int32(i), d
		}
	}
	return best
}

// slots prepares the world's side of the slots of a controller and gives their names an owner.
func (l *layout) slots(i int32) {
	c := &l.r.controllers[i]
	c.slots = make([]slotWorld, len(c.program.Slots))
	for k := range c.program.Slots {
		s := &c.program.Slots[k]
		w := &c.slots[k]
		w.module = c.module
		if s.Module != "" && s.Module != c.program.Controller {
			w.module = l.module(s.Module, -1, i)
			if l.r.modules[w.module].head != i {
				l.say("%s: channel %s %s belongs to another controller", c.program.Controller, s.Module, s.Channel)
			}
		}
		switch s.Kind {
		case control.SlotMirror, control.SlotLink, control.SlotClock:
		case control.SlotMessage:
			l.r.messages[s.Name] = append(l.r.messages[s.Name], place{i, int16(k)})
		default:
			if _, twice := l.r.owner[s.Name]; !twice {
				l.r.owner[s.Name] = place{i, int16(k)}
				l.r.names = append(l.r.names, s.Name)
			}
		}
	}
	c.keys = make([][]int16, len(c.program.Rules))
	for n, rule := range c.program.Rules {
		for _, cause := range c.program.Causes[rule.Causes.First : rule.Causes.First+rule.Causes.Count] {
			switch cause.Kind {
			case control.CausePress, control.CauseRelease, control.CauseShort, control.CauseDouble, control.CauseLetGo:
				c.keys[n] = append(c.keys[n], cause.Slot)
			}
		}
	}
}

// mirrors resolves the peers of a controller and puts its mirrors on the lists of their owners.
func (l *layout) mirrors(i int32) {
	c := &l.r.controllers[i]
	for k, name := range c.program.Peers {
		peer, ok := l.controls[name]
		if !ok {
			l.say("%s speaks with %s, which has no program", c.program.Controller, name)
			peer = -1
		} else {
			l.r.controllers[peer].known = append(l.r.controllers[peer].known, i)
		}
		c.peers = append(c.peers, peer)
		c.peerOf[peer] = int16(k)
	}
	for k, s := range c.program.Slots {
		if s.Kind != control.SlotMirror || c.peers[s.Peer] < 0 {
			continue
		}
		owner := &l.r.controllers[c.peers[s.Peer]]
		if int(s.Remote) < 0 || int(s.Remote) >= len(owner.slots) {
			l.say("%s: %s mirrors slot %d of %s, which has only %d", c.program.Controller, s.Name, s.Remote, owner.program.Controller, len(owner.slots))
			continue
		}
		w := &owner.slots[s.Remote]
		w.subscribers = append(w.subscribers, place{i, int16(k)})
	}
}

// senders makes sure that whoever is commanded knows who commands it: numbers of commands are kept by sender.
func (l *layout) senders(i int32) {
	c := &l.r.controllers[i]
	for _, a := range c.program.Actions {
		peer := int32(-1)
		switch {
		case a.To == control.TargetPeer && a.Peer >= 0:
			peer = c.peers[a.Peer]
		case a.To == control.TargetSlot && a.Kind <= control.ActionRelease && int(a.Index) < len(c.program.Slots) &&
			c.program.Slots[a.Index].Kind == control.SlotMirror:
			peer = c.peers[c.program.Slots[a.Index].Peer]
		}
		if peer < 0 {
			continue
		}
		target := l.r.controllers[peer].program
		if !contains(target.Peers, c.program.Controller) {
			l.say("%s commands %s, which does not count it among its peers", c.program.Controller, target.Controller)
			return
		}
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// component splits "module hall.box" into what and which; "router" has no which.
func component(text string) (what, which string) {
	what, which, _ = strings.Cut(strings.TrimSpace(text), " ")
	if what == "access" {
		which = strings.TrimPrefix(which, "point ")
		what = "access-point"
	}
	return what, strings.TrimSpace(which)
}
