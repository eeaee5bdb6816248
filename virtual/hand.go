package virtual

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/site"
)

var _ site.Hand = (*Hand)(nil)

// Hand is one person at all benches of a fleet. It implements site.Hand: time that it is told to wait is wound on the clock
// that all modules share, from one thing that is due to the next, so that what follows from each happens at its time.
//
// Modules tell what changes without being asked, so that the person need touch only the modules that are concerned: a key
// pressed in a house of fifty modules costs what it costs in a house of two. As long as nothing is due, waiting only adds up,
// and the clock is wound when something is done or due.
type Hand struct {
	f      *Fleet
	Broker func(up bool) error // stops and starts the broker; nil where nobody can

	mu    sync.Mutex
	names map[string]*Member // by controller
	owed  time.Duration      // waited, and not yet wound
}

// Hand makes the person for a fleet.
func (f *Fleet) Hand() *Hand { return &Hand{f: f, names: map[string]*Member{}} }

// never is how long nothing is due where nothing is.
const never = 1 << 62

// glances is what was last seen of all modules, in their order.
func (h *Hand) glances() []Look {
	list := make([]Look, len(h.f.members))
	for i, m := range h.f.members {
		list[i] = m.seen()
	}
	return list
}

// some does something at every running member that is chosen, at once.
func (h *Hand) some(ctx context.Context, q handRequest, chosen func(*Look) bool) error {
	return errors.Join(h.f.each(func(m *Member) error {
		l := m.seen()
		if m.running() == nil || (chosen != nil && !chosen(&l)) {
			return nil
		}
		_, err := m.act(ctx, q)
		return err
	}), ctx.Err())
}

// member finds the module that has joined as a controller.
func (h *Hand) member(ctx context.Context, controller string) (*Member, error) {
	if m := h.names[controller]; m != nil {
		return m, nil
	}
	if err := h.some(ctx, handRequest{Act: actGlance}, nil); err != nil {
		return nil, err
	}
	for i, l := range h.glances() {
		if l.Name != "" {
			h.names[l.Name] = h.f.members[i]
		}
	}
	if m := h.names[controller]; m != nil {
		return m, nil
	}
	return nil, fmt.Errorf("no module of the bench has joined as %s", controller)
}

// Put implements site.Hand.
func (h *Hand) Put(ctx context.Context, controller, module, channel string, value int32) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	m, err := h.member(ctx, controller)
	if err == nil {
		err = h.pay(ctx)
	}
	if err != nil {
		return err
	}
	return m.Put(ctx, module, channel, value)
}

// Look implements site.Hand: every module is looked at anew.
func (h *Hand) Look(ctx context.Context) error { return h.some(ctx, handRequest{Act: actGlance}, nil) }

// See implements site.Hand.
func (h *Hand) See(ctx context.Context, controller, module, channel string) (value, motion int32, ok bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	m, err := h.member(ctx, controller)
	if err != nil {
		return 0, 0, false
	}
	l, err := m.Look(ctx)
	if err != nil {
		return 0, 0, false
	}
	if module == controller {
		module = ""
	}
	for _, r := range l.Readings {
		if r.Module == module && r.Name == channel {
			return r.Value, r.Motion, true
		}
	}
	return 0, 0, false
}

// settleLimit bounds the wait for a house that does not come to rest.
const settleLimit = 2 * time.Second

// Settle implements site.Hand. It gives up after a while without an error: a house may have lost messages for good.
func (h *Hand) Settle(ctx context.Context) (map[string]site.Told, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.settle(ctx)
}

// settle compares until all has arrived.
func (h *Hand) settle(ctx context.Context) (map[string]site.Told, error) {
	limit := time.NewTimer(settleLimit)
	defer limit.Stop()
	for {
		next := h.f.next()
		list := h.glances()
		if settled(list) {
			return told(list), nil
		}
		select {
		case <-next:
		case <-limit.C:
			return told(list), nil
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// due is how long nothing is due at any module, counted from how far the clock is wound now.
func (h *Hand) due() time.Duration {
	wound, due := h.f.clock.Wound(), time.Duration(never)
	for _, l := range h.glances() {
		if r := l.Report; r != nil && r.Due {
			due = min(due, time.Duration(r.DueMS)*time.Millisecond-(wound-l.Wound))
		}
	}
	return max(due, 0)
}

// told lists what every controller has last told, so that whoever listens can wait until it is heard.
func told(list []Look) map[string]site.Told {
	m := map[string]site.Told{}
	for i := range list {
		if r := list[i].Report; r != nil && r.Online {
			m[list[i].Name] = site.Told{States: r.Told, Entries: r.Entries}
		}
	}
	return m
}

// settled compares what was sent with what has arrived, over all modules that are connected.
func settled(list []Look) bool {
	here := map[string]*Look{}
	for i := range list {
		if r := list[i].Report; r != nil && r.Online {
			if !r.Idle {
				return false
			}
			here[list[i].Name] = &list[i]
		}
	}
	for _, l := range here {
		if !heardAll(l, here) {
			return false
		}
	}
	return true
}

// heardAll tells whether one module has heard its peers, and its peers its commands.
func heardAll(l *Look, here map[string]*Look) bool {
	for _, m := range l.Report.Mirrors {
		peer := here[m.Peer]
		if peer == nil || peer.Report.Running.Epoch != l.Report.Running.Epoch {
			continue
		}
		if count, ok := peer.Report.Told[m.Slot]; ok && count != m.Count {
			return false
		}
	}
	for name, sent := range l.Report.Sent {
		if peer := here[name]; peer != nil && l.Report.Elapsed < sent.Until && peer.Report.Taken[l.Name] != sent.Seq {
			return false
		}
	}
	return true
}

// Wait implements site.Hand.
func (h *Hand) Wait(ctx context.Context, d time.Duration) (happened bool, err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.owed += d
	if h.owed < h.due() {
		return false, nil
	}
	return true, h.pay(ctx)
}

// windSteps bounds what may happen while the clocks are wound by one wait.
const windSteps = 200_000

// pay winds the clock by what is owed, in steps from one thing that is due to the next. After each step those modules where
// something is due let it happen, and the house comes to rest.
func (h *Hand) pay(ctx context.Context) error {
	for n := 0; h.owed > 0; n++ {
		if n > windSteps {
			return fmt.Errorf("bench: more than %d things happened while the clock was wound", windSteps)
		}
		step := min(h.owed, h.due())
		h.f.clock.Wind(step)
		h.owed -= step
		wound := h.f.clock.Wound()
		err := h.some(ctx, handRequest{Act: actWind}, func(l *Look) bool {
			r := l.Report
			return r != nil && r.Due && time.Duration(r.DueMS)*time.Millisecond <= wound-l.Wound
		})
		if err == nil {
			_, err = h.settle(ctx)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Clock implements site.Hand.
func (h *Hand) Clock(ctx context.Context, t time.Time) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.pay(ctx); err != nil {
		return err
	}
	h.f.clock.Set(t)
	err := h.some(ctx, handRequest{Act: actClocked}, func(l *Look) bool { return l.Report != nil && l.Report.Calendar })
	if err == nil {
		_, err = h.settle(ctx)
	}
	return err
}

// Now implements site.Hand.
func (h *Hand) Now(context.Context) (time.Time, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.f.clock.Wall().Add(h.owed), nil
}

// restRounds bounds how often modules are brought to rest: a first time, then those that heard of the states before, and
// once more those that heard of these.
const restRounds = 4

// Rest implements site.Hand: every module that is not as it was at its start is brought there.
func (h *Hand) Rest(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.owed = 0
	for range restRounds {
		all := true
		for _, l := range h.glances() {
			all = all && (l.AtRest || l.Report == nil)
		}
		if all {
			return nil
		}
		err := h.some(ctx, handRequest{Act: actRest}, func(l *Look) bool { return !l.AtRest && l.Report != nil })
		if err == nil {
			_, err = h.settle(ctx)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Break implements site.Hand.
func (h *Hand) Break(ctx context.Context, component string) error {
	return h.fail(ctx, component, false)
}

// Mend implements site.Hand.
func (h *Hand) Mend(ctx context.Context, component string) error { return h.fail(ctx, component, true) }

// fail breaks a component, or mends it. The router carries every module; a module loses its power.
func (h *Hand) fail(ctx context.Context, component string, up bool) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.pay(ctx); err != nil {
		return err
	}
	kind, name, _ := strings.Cut(component, " ")
	switch {
	case kind == "module" && name != "":
		m, err := h.member(ctx, name)
		if err != nil {
			return err
		}
		if err := m.Power(ctx, up); err != nil || !up {
			return err
		}
	case component == "router":
		if err := h.some(ctx, handRequest{Act: actRadio, On: up}, nil); err != nil {
			return err
		}
	case component == "broker" && h.Broker != nil:
		if err := h.Broker(up); err != nil {
			return err
		}
	default:
		return fmt.Errorf("%s: %w", component, accept.ErrCannot)
	}
	return h.online(ctx, up, kind == "module")
}

// onlineLimit bounds the wait for modules to be connected again, or to have noticed that they are not.
const onlineLimit = 5 * time.Second

// online waits until the modules have noticed: all are connected, or (unless only one was concerned) none is.
func (h *Hand) online(ctx context.Context, up, one bool) error {
	limit := time.NewTimer(onlineLimit)
	defer limit.Stop()
	for {
		next := h.f.next()
		done := true
		for _, l := range h.glances() {
			done = done && (l.Report == nil || l.Report.Online == up || (!up && one))
		}
		if done {
			_, err := h.settle(ctx)
			return err
		}
		select {
		case <-next:
		case <-limit.C:
			return fmt.Errorf("bench: the modules are not as they should be after %s", onlineLimit)
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
