package site

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/control"
	"wirewright/house"
	"wirewright/site/wire"
	"wirewright/unit"
)

// Hand is a person's hands and eyes at the modules: at a bench of software modules, or a person who is told what to do.
// It fails with accept.ErrCannot for what it cannot do.
type Hand interface {
	// Put sets what an input reads: 1 for a key held down.
	Put(ctx context.Context, controller, module, channel string, value int32) error
	// See looks at what an output drives, and which way its motor moves; false for what cannot be seen.
	See(ctx context.Context, controller, module, channel string) (value, motion int32, ok bool)
	// Look makes sure that what Settle goes by is not older than this call.
	Look(ctx context.Context) error
	// Wait lets time pass, and says whether anything can have happened meanwhile.
	Wait(ctx context.Context, d time.Duration) (happened bool, err error)
	// Settle waits until everything that was sent has arrived, and says what each controller has last told. A person
	// cannot know that, and returns nothing.
	Settle(ctx context.Context) (map[string]Told, error)
	// Clock sets the time of the house; Now reads it.
	Clock(ctx context.Context, t time.Time) error
	Now(ctx context.Context) (time.Time, error)
	// Break fails a component ("router", "broker", "module hall.box"); Mend brings it back.
	Break(ctx context.Context, component string) error
	Mend(ctx context.Context, component string) error
	// Rest brings inputs to rest and programs to their start.
	Rest(ctx context.Context) error
}

// Told is what a controller has last told.
type Told struct {
	States  map[int16]uint64 // count of the state, by slot
	Entries uint64           // count of the journal entry
}

// World is the live house as accept.World: what the tests do goes through a Hand, what they see comes over the Link.
type World struct {
	ctx  context.Context
	link *Link
	hand Hand
	zone *time.Location

	broken []string // components, in the order in which they were broken
}

var (
	_ accept.World     = (*World)(nil)
	_ accept.Commander = (*World)(nil)
	_ accept.Announcer = (*World)(nil)
)

// NewWorld makes the world of a house. Everything that is done in it ends with ctx.
func NewWorld(ctx context.Context, l *Link, hand Hand) *World {
	zone, err := time.LoadLocation(l.plan.Place.Zone)
	if err != nil {
		zone = time.UTC
	}
	return &World{ctx: ctx, link: l, hand: hand, zone: zone}
}

// Key implements accept.World.
func (w *World) Key(point house.ID, key int, down bool) error {
	value := int32(0)
	if down {
		value = 1
	}
	return w.put(string(point)+"."+strconv.Itoa(key), value)
}

// Input implements accept.World.
func (w *World) Input(point house.ID, value int32) error { return w.put(string(point), value) }

// put finds the channel on which a name lands and sets what it reads.
func (w *World) put(name string, value int32) error {
	c, slot, ok := w.link.plan.Owner(name)
	if !ok {
		return fmt.Errorf("%s: no controller reads it", name)
	}
	s := &c.Program.Slots[slot]
	if s.Kind != control.SlotInput && s.Kind != control.SlotKey {
		return fmt.Errorf("%s: it is moved, not read", name)
	}
	if err := w.hand.Put(w.ctx, c.ID, s.Module, s.Channel, value); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return w.settle()
}

// hearLimit bounds the wait for what a controller says that it has told.
const hearLimit = 2 * time.Second

// settle waits until the house is at rest and everything that was told is heard here.
func (w *World) settle() error {
	told, err := w.hand.Settle(w.ctx)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(w.ctx, hearLimit)
	defer cancel()
	// What was lost on the way shows in the test as a value that does not come.
	w.link.Until(ctx, func() bool {
		for id, t := range told {
			if c := w.link.plan.Controller(id); c != nil && !w.link.hasHeard(c, t) {
				return false
			}
		}
		return true
	})
	return w.ctx.Err()
}

// Message implements accept.World. Whoever is asked after it has taken it: the broker keeps the order.
func (w *World) Message(name string) error {
	now, err := w.hand.Now(w.ctx)
	if err == nil {
		err = w.link.Message(w.ctx, name, now)
	}
	if err != nil {
		return err
	}
	for _, a := range Attest(w.ctx, w.link, nil) {
		if a.Err != nil && !errors.Is(a.Err, ErrAway) {
			return a.Err
		}
	}
	return w.then(w.hand.Look(w.ctx))
}

// Value implements accept.World. A lamp whose controller is not connected is looked at.
func (w *World) Value(name string) (int32, bool) {
	c, slot, ok := w.link.plan.Owner(name)
	if !ok {
		return 0, false
	}
	k := &c.Program.Slots[slot]
	if lamp := k.Kind == control.SlotSwitch || k.Kind == control.SlotLevel; lamp && !w.link.Alive(c.ID) {
		v, _, ok := w.hand.See(w.ctx, c.ID, k.Module, k.Channel)
		return v, ok
	}
	s, ok := w.link.State(c.ID, name)
	if !ok || int32(s.Value) == control.Unknown {
		return 0, false
	}
	return int32(s.Value), true
}

// Motion implements accept.World.
func (w *World) Motion(point house.ID) (int32, bool) {
	c, slot, ok := w.link.plan.Owner(string(point))
	if !ok {
		return 0, false
	}
	if !w.link.Alive(c.ID) {
		_, m, ok := w.hand.See(w.ctx, c.ID, c.Program.Slots[slot].Module, c.Program.Slots[slot].Channel)
		return m, ok
	}
	s, ok := w.link.State(c.ID, string(point))
	return int32(s.Motion), ok
}

// Advance implements accept.World.
func (w *World) Advance(d unit.Duration) error {
	happened, err := w.hand.Wait(w.ctx, time.Duration(d)*time.Millisecond)
	if err != nil || !happened {
		return err
	}
	return w.settle()
}

// Clock implements accept.World.
func (w *World) Clock(t time.Time) error { return w.then(w.hand.Clock(w.ctx, t)) }

// Now implements accept.World; the zero time when the house does not say.
func (w *World) Now() time.Time {
	t, err := w.hand.Now(w.ctx)
	if err != nil {
		return time.Time{}
	}
	return t.In(w.zone)
}

// Break implements accept.World.
func (w *World) Break(component string) error {
	w.broken = append(w.broken, component)
	return w.then(w.hand.Break(w.ctx, component))
}

// Mend implements accept.World.
func (w *World) Mend(component string) error {
	w.broken = slices.DeleteFunc(w.broken, func(b string) bool { return b == component })
	return w.then(w.hand.Mend(w.ctx, component))
}

// Told implements accept.Announcer.
func (w *World) Told() []string { return w.link.notices() }

// Reset implements accept.World: what a test left broken is mended first.
func (w *World) Reset() error {
	for len(w.broken) > 0 {
		if err := w.Mend(w.broken[len(w.broken)-1]); err != nil {
			return err
		}
	}
	defer w.link.forgetNotices()
	return w.then(w.hand.Rest(w.ctx))
}

// then lets the house come to rest after something was done.
func (w *World) then(err error) error {
	if err != nil {
		return err
	}
	return w.settle()
}

// Command implements accept.Commander: as a person at the workbench does.
func (w *World) Command(name string, value int32) error {
	c, _, ok := w.link.plan.Owner(name)
	if !ok {
		return fmt.Errorf("%s: %w", name, accept.ErrCannot)
	}
	now, err := w.hand.Now(w.ctx)
	if err == nil {
		err = w.link.Command(w.ctx, Order{Name: name, Verb: control.VerbSet, Value: value, Sent: now})
	}
	if err == nil {
		_, err = w.link.Ask(w.ctx, c.ID, wire.Ask{Ask: wire.AskAttest}) // answered after the command was taken
	}
	if err == nil {
		err = w.hand.Look(w.ctx)
	}
	return w.then(err)
}
