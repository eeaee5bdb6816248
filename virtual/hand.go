package virtual

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/site"
)

var _ site.Hand = (*Hand)(nil)

// Hand is one person at all benches of a fleet. It implements site.Hand: time that it is told to wait is wound on all
// clocks together, from one thing that is due to the next, so that what follows from each happens at its time.
//
// It is lazy: as long as nothing is due, waiting only adds up, and the clocks are wound when something is done or due.
type Hand struct {
	f      *Fleet
	Broker func(up bool) error // stops and starts the broker; nil where nobody can

	mu    sync.Mutex
	names map[string]*Member // by controller
	owed  time.Duration      // waited, and not yet wound
	due   time.Duration      // until the next thing is due, counted with owed; negative for not known
}

// Hand makes the person for a fleet.
func (f *Fleet) Hand() *Hand { return &Hand{f: f, names: map[string]*Member{}, due: -1} }

// never is how long nothing is due where nothing is.
const never = 1 << 62

// glances sees the numbers of all modules whose processes run.
func (h *Hand) glances(ctx context.Context) ([]Look, error) {
	return h.all(ctx, func(m *Member) (Look, error) { return m.call(ctx, http.MethodGet, "glance", nil) })
}

// all does something at every running member at once.
func (h *Hand) all(ctx context.Context, do func(*Member) (Look, error)) ([]Look, error) {
	list := make([]Look, len(h.f.members))
	index := map[*Member]int{}
	for i, m := range h.f.members {
		index[m] = i
	}
	err := h.f.each(func(m *Member) error {
		if !m.runs() {
			return nil
		}
		l, err := do(m)
		list[index[m]] = l
		return err
	})
	return list, errors.Join(err, ctx.Err())
}

// member finds the module that has joined as a controller.
func (h *Hand) member(ctx context.Context, controller string) (*Member, error) {
	if m := h.names[controller]; m != nil {
		return m, nil
	}
	list, err := h.glances(ctx)
	if err != nil {
		return nil, err
	}
	for i := range list {
		if list[i].Name != "" {
			h.names[list[i].Name] = h.f.members[i]
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
	h.due = -1
	return m.Put(ctx, module, channel, value)
}

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
	return h.settle(ctx, nil)
}

// settle compares until all has arrived; list is a look that was had already, nil for none.
func (h *Hand) settle(ctx context.Context, list []Look) (map[string]site.Told, error) {
	limit := time.Now().Add(settleLimit)
	for wait := 500 * time.Microsecond; ; wait = min(2*wait, 20*time.Millisecond) {
		var err error
		if list == nil {
			if list, err = h.glances(ctx); err != nil {
				return nil, err
			}
		}
		if settled(list) || time.Now().After(limit) {
			h.note(list)
			return told(list), nil
		}
		list = nil
		t := time.NewTimer(wait)
		select {
		case <-t.C:
		case <-ctx.Done():
			t.Stop()
			return nil, ctx.Err()
		}
	}
}

// note keeps when the next thing is due.
func (h *Hand) note(list []Look) {
	h.due = never
	for i := range list {
		if r := list[i].Report; r != nil && r.Due {
			h.due = min(h.due, time.Duration(r.DueMS)*time.Millisecond)
		}
	}
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
	if h.due < 0 {
		if _, err := h.settle(ctx, nil); err != nil {
			return false, err
		}
	}
	h.owed += d
	if h.owed < h.due {
		return false, nil
	}
	return true, h.pay(ctx)
}

// windSteps bounds what may happen while the clocks are wound by one wait.
const windSteps = 200_000

// pay winds the clocks by what is owed.
func (h *Hand) pay(ctx context.Context) error {
	left := h.owed.Round(time.Millisecond)
	for n := 0; left > 0; n++ {
		if n > windSteps {
			return fmt.Errorf("bench: more than %d things happened while the clocks were wound", windSteps)
		}
		step := min(left, h.due)
		if err := h.wind(ctx, step); err != nil {
			return err
		}
		left -= step
	}
	h.owed = 0
	return nil
}

// wind winds all clocks by a step and lets the house come to rest.
func (h *Hand) wind(ctx context.Context, step time.Duration) error {
	list, err := h.all(ctx, func(m *Member) (Look, error) { return m.act(ctx, "wind", handRequest{MS: step.Milliseconds()}) })
	if err == nil {
		_, err = h.settle(ctx, list)
	}
	return err
}

// Clock implements site.Hand.
func (h *Hand) Clock(ctx context.Context, t time.Time) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.pay(ctx); err != nil {
		return err
	}
	list, err := h.all(ctx, func(m *Member) (Look, error) { return m.act(ctx, "clock", handRequest{MS: t.UnixMilli()}) })
	if err == nil {
		_, err = h.settle(ctx, list)
	}
	return err
}

// Now implements site.Hand: the time of the house as the first module that runs has it.
func (h *Hand) Now(ctx context.Context) (time.Time, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, m := range h.f.members {
		if m.runs() {
			l, err := m.call(ctx, http.MethodGet, "glance", nil)
			return time.UnixMilli(l.Now).Add(h.owed), err
		}
	}
	return time.Time{}, errors.New("bench: no module runs")
}

// Rest implements site.Hand. Everything is brought to its start twice: what the first tells of the states before is no
// longer there at the second.
func (h *Hand) Rest(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.owed = 0
	for range 2 {
		list, err := h.all(ctx, func(m *Member) (Look, error) { return m.act(ctx, "rest", handRequest{}) })
		if err == nil {
			_, err = h.settle(ctx, list)
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
	h.due = -1
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
		if _, err := h.all(ctx, func(m *Member) (Look, error) { return m.act(ctx, "radio", handRequest{On: up}) }); err != nil {
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
	limit := time.Now().Add(onlineLimit)
	for {
		list, err := h.glances(ctx)
		if err != nil {
			return err
		}
		done := true
		for i := range list {
			r := list[i].Report
			done = done && (r == nil || r.Online == up || (!up && one))
		}
		if done {
			_, err := h.settle(ctx, nil)
			return err
		}
		if time.Now().After(limit) {
			return fmt.Errorf("bench: the modules are not as they should be after %s", onlineLimit)
		}
		t := time.NewTimer(5 * time.Millisecond)
		select {
		case <-t.C:
		case <-ctx.Done():
			t.Stop()
			return ctx.Err()
		}
	}
}
