package accept

import (
	"fmt"
	"os"
	"testing"
	"time"

	"wirewright/behaviour"
	"wirewright/behaviour/almanac"
	"wirewright/calc/sun"
	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
	"wirewright/unit"
)

// tiny is the smallest world: every controller in one process, a network without delay or loss, lamps and motors that do
// what they are told. It is the reference against which the running of tests is tested.
type tiny struct {
	c     *behaviour.Compiled
	nodes []*node
	now   time.Time // wall clock
	seq   uint32
	told  []string
	down  map[string]bool
}

// node is one controller of a tiny world.
type node struct {
	p     *control.Program
	s     control.State
	since int32 // ms that have passed and that the program has not been told
	cal   *almanac.Almanac
	next  time.Time
	turns []almanac.Change
	slots []int16 // clock slots by schedule
	up    bool
}

func newTiny(t testing.TB, c *behaviour.Compiled) *tiny {
	w := &tiny{c: c}
	for _, p := range c.Programs {
		n := &node{p: p}
		site := c.House.Site
		cal, err := almanac.New(sun.Place{Latitude: site.Latitude.Deg(), Longitude: site.Longitude.Deg()}, site.Zone, p.Schedules)
		if err != nil {
			t.Fatal(err)
		}
		n.cal = cal
		n.slots = make([]int16, len(p.Schedules))
		for i, s := range p.Slots {
			if s.Kind == control.SlotClock {
				n.slots[s.Schedule] = int16(i)
			}
		}
		w.nodes = append(w.nodes, n)
	}
	if err := w.Reset(); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *tiny) Reset() error {
	w.told, w.down = nil, map[string]bool{}
	for _, n := range w.nodes {
		n.s, n.since, n.up = n.p.NewState(), 0, true
		for i, s := range n.p.Slots {
			if s.Kind == control.SlotInput {
				n.s = w.feed(n, control.Event{Kind: control.EventInput, Slot: int16(i), Value: atRest(s.Quantity)})
			}
		}
	}
	if err := w.Clock(time.Date(2025, 3, 12, 12, 0, 0, 0, w.zone())); err != nil {
		return err
	}
	for i := range w.nodes {
		w.start(i)
	}
	return nil
}

func (w *tiny) zone() *time.Location {
	if len(w.nodes) == 0 {
		return time.UTC
	}
	return w.nodes[0].cal.Zone()
}

func atRest(q control.Quantity) int32 {
	switch q {
	case control.QuantityTemperature:
		return 2100
	case control.QuantityLight:
		return 500
	}
	return 0
}

// start gives power to a controller and tells it what its peers have.
func (w *tiny) start(i int) {
	n := w.nodes[i]
	w.feed(n, control.Event{Kind: control.EventStart, Slot: -1})
	for j, s := range n.p.Slots {
		if s.Kind != control.SlotMirror {
			continue
		}
		for _, o := range w.nodes {
			if o.p.Controller == n.p.Peers[s.Peer] && o.up && !w.down["router"] {
				w.feed(n, control.Event{Kind: control.EventMirror, Slot: int16(j), Value: o.p.Value(o.s, s.Remote)})
			}
		}
	}
}

// feed steps one controller and carries out what it says.
func (w *tiny) feed(n *node, e control.Event) control.State {
	if !n.up {
		return n.s
	}
	e.Elapsed, n.since = n.since, 0
	for _, f := range n.p.Step(n.s, e, nil) {
		switch f.Kind {
		case control.EffectPublish:
			w.publish(n, f)
		case control.EffectSend:
			w.send(n, f)
		case control.EffectNotify:
			w.told = append(w.told, n.p.Texts[f.Value])
		case control.EffectFault:
			w.told = append(w.told, fmt.Sprintf("fault %d at %s", f.Value, n.p.Controller))
		}
	}
	return n.s
}

func (w *tiny) publish(from *node, f control.Effect) {
	if w.down["router"] {
		return
	}
	for _, n := range w.nodes {
		for i, s := range n.p.Slots {
			if s.Kind == control.SlotMirror && n.p.Peers[s.Peer] == from.p.Controller && s.Remote == f.Slot {
				w.feed(n, control.Event{Kind: control.EventMirror, Slot: int16(i), Value: f.Value})
			}
		}
	}
}

func (w *tiny) send(from *node, f control.Effect) {
	if w.down["router"] {
		return
	}
	for _, n := range w.nodes {
		if n.p.Controller != from.p.Peers[f.Peer] {
			continue
		}
		for i, name := range n.p.Peers {
			if name == from.p.Controller {
				w.feed(n, control.Event{Kind: control.EventCommand, Verb: f.Verb, Peer: int16(i), Slot: f.Slot, Value: f.Value, Seq: f.Seq, Expiry: f.Time, Fade: f.Fade})
			}
		}
	}
}

func (w *tiny) find(name string) (*node, int16, error) {
	controller, slot, ok := w.c.Place(name)
	for _, n := range w.nodes {
		if ok && n.p.Controller == controller {
			return n, slot, nil
		}
	}
	return nil, 0, fmt.Errorf("there is no %s", name)
}

func (w *tiny) Key(point house.ID, key int, down bool) error {
	n, slot, err := w.find(fmt.Sprintf("%s.%d", point, key))
	if err != nil {
		return err
	}
	v := int32(0)
	if down {
		v = 1
	}
	w.feed(n, control.Event{Kind: control.EventInput, Slot: slot, Value: v})
	return nil
}

func (w *tiny) Input(point house.ID, value int32) error {
	n, slot, err := w.find(string(point))
	if err != nil {
		return err
	}
	if n.p.Slots[slot].Kind != control.SlotInput {
		return ErrCannot
	}
	w.feed(n, control.Event{Kind: control.EventInput, Slot: slot, Value: value})
	return nil
}

func (w *tiny) Command(name string, value int32) error {
	n, slot, err := w.find(name)
	if err != nil {
		return err
	}
	w.seq++
	w.feed(n, control.Event{Kind: control.EventCommand, Verb: control.VerbSet, Peer: -1, Slot: slot, Value: value, Seq: w.seq, Expiry: 2000})
	return nil
}

func (w *tiny) Told() []string { return w.told }

func (w *tiny) Message(name string) error {
	for _, n := range w.nodes {
		for i, s := range n.p.Slots {
			if s.Kind == control.SlotMessage && s.Name == name {
				w.feed(n, control.Event{Kind: control.EventMessage, Slot: int16(i)})
			}
		}
	}
	return nil
}

func (w *tiny) Value(name string) (int32, bool) {
	n, slot, err := w.find(name)
	if err != nil {
		return 0, false
	}
	v := n.p.Value(n.s, slot)
	return v, v != control.Unknown
}

func (w *tiny) Motion(point house.ID) (int32, bool) {
	n, slot, err := w.find(string(point))
	if err != nil {
		return 0, false
	}
	dir, _, _ := n.p.Motion(n.s, slot)
	return dir, true
}

func (w *tiny) Clock(t time.Time) error {
	w.now = t
	for _, n := range w.nodes {
		n.next, n.turns = n.cal.Next(t)
		for i, v := range n.cal.State(t) {
			if n.p.Schedules[i].Window {
				w.feed(n, control.Event{Kind: control.EventClock, Slot: n.slots[i], Value: v})
			}
		}
	}
	return nil
}

func (w *tiny) Now() time.Time { return w.now }

// Advance lets time pass from one thing that happens to the next.
func (w *tiny) Advance(d unit.Duration) error {
	for d > 0 {
		step := d
		for _, n := range w.nodes {
			if due, runs := n.p.Due(n.s); runs && n.up {
				step = min(step, max(1, unit.Duration(due-n.since)))
			}
			if len(n.turns) > 0 {
				step = min(step, max(1, unit.Duration(n.next.Sub(w.now)/time.Millisecond)))
			}
		}
		d -= step
		w.now = w.now.Add(time.Duration(step) * time.Millisecond)
		for _, n := range w.nodes {
			n.since += int32(step)
		}
		for _, n := range w.nodes {
			w.catchUp(n)
		}
	}
	return nil
}

func (w *tiny) catchUp(n *node) {
	if due, runs := n.p.Due(n.s); runs && due <= n.since {
		w.feed(n, control.Event{Kind: control.EventAdvance, Slot: -1})
	}
	for len(n.turns) > 0 && !n.next.After(w.now) {
		turns := n.turns
		n.next, n.turns = n.cal.Next(n.next)
		for _, c := range turns {
			w.feed(n, control.Event{Kind: control.EventClock, Slot: n.slots[c.Schedule], Value: c.Value})
		}
	}
}

func (w *tiny) Break(component string) error { return w.fail(component, true) }
func (w *tiny) Mend(component string) error  { return w.fail(component, false) }

func (w *tiny) fail(component string, down bool) error {
	heard := int32(1)
	if down {
		heard = 0
	}
	if component == "router" {
		w.down[component] = down
		for _, n := range w.nodes {
			w.feed(n, control.Event{Kind: control.EventLink, Slot: -1, Peer: -1, Value: heard})
		}
		return nil
	}
	for i, n := range w.nodes {
		if component == "module "+n.p.Controller {
			w.linkOf(n, heard)
			n.up, n.since = !down, 0
			if !down {
				w.start(i)
			}
			return nil
		}
	}
	return ErrCannot
}

func (w *tiny) linkOf(gone *node, heard int32) {
	for _, n := range w.nodes {
		for i, name := range n.p.Peers {
			if name == gone.p.Controller {
				w.feed(n, control.Event{Kind: control.EventLink, Slot: -1, Peer: int16(i), Value: heard})
			}
		}
	}
}

// sample compiles the house of the behaviour package's test data with a text.
func sample(t testing.TB, text string) *behaviour.Compiled {
	t.Helper()
	b, err := os.ReadFile("../testdata/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	h, err := house.Read("house.yaml", b)
	if err != nil {
		t.Fatal(err)
	}
	if text == "" {
		b, err := os.ReadFile("../testdata/sample.txt")
		if err != nil {
			t.Fatal(err)
		}
		text = string(b)
	}
	h.Behaviour = text
	c, problems := behaviour.Compile(h, builtin(t))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return c
}

func builtin(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return cat
}
