package virtual

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"strings"
	"sync"
	"time"

	"wirewright/site/agent"
	"wirewright/site/field/dnssd"
	"wirewright/site/wire"
)

// ServiceType is the type under which controllers announce themselves.
const ServiceType = "_wirewright._tcp"

// firmware is the edition of the software of these modules.
const firmware = "virtual 1"

// setupLimit is how long the set-up page is open after power comes: an open network must not stand for ever.
const setupLimit = 15 * time.Minute

// Config is what a software module is made of.
type Config struct {
	Hardware  string // identity, MAC-like and locally administered: "02:…"
	Type      string // catalogue type
	Listen    string // address of its page, e.g. "127.0.0.7:0"
	Dir       string // where it keeps what outlives a loss of power
	Channels  []Channel
	BytesMost int    // capacity for a program, 0 for none
	SlotsMost int    // capacity for slots, 0 for none
	Token     string // what the bench must show; there is no bench where empty
	Clock     string // file of the bench's clock; a clock of its own where empty
	Silent    bool   // does not announce itself: for places where multicast does not work
}

// Module is one running software module.
type Module struct {
	c        Config
	hardware *hardware
	clock    clock
	push     func(Look) // tells the bench of changes; nil where nobody wants to know
	page     net.Listener
	ctx      context.Context

	mu        sync.Mutex
	join      Join
	joined    bool
	powered   bool
	radio     bool
	since     time.Time // power came
	agent     *agent.Agent
	responder *dnssd.Responder
}

// Start powers a module: in set-up mode, or joined where it was before.
func Start(ctx context.Context, c Config) (*Module, error) { return start(ctx, c, nil) }

// start powers a module that tells its news.
func start(ctx context.Context, c Config, push func(Look)) (*Module, error) {
	if err := os.MkdirAll(c.Dir, 0o700); err != nil {
		return nil, fmt.Errorf("module %s: %w", c.Hardware, err)
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return nil, fmt.Errorf("module %s: %w", c.Hardware, err)
	}
	m := &Module{c: c, hardware: newHardware(c.Channels), clock: agent.NewClock(), page: l, ctx: ctx, radio: true, push: push}
	if c.Clock != "" {
		shared, err := openBenchClock(c.Clock)
		if err != nil {
			l.Close()
			return nil, err
		}
		m.clock = shared
	}
	if err := m.Power(true); err != nil {
		l.Close()
		return nil, err
	}
	return m, nil
}

// Run serves the page and the bench of a module until ctx ends.
func Run(ctx context.Context, c Config, ready func(*Module)) error {
	m, err := Start(ctx, c)
	if err != nil {
		return err
	}
	return m.run(ctx, ready)
}

// run serves a started module until ctx ends.
func (m *Module) run(ctx context.Context, ready func(*Module)) error {
	defer m.Close()
	if ready != nil {
		ready(m)
	}
	return m.serve(ctx)
}

// Page is the address of the module's page, host:port.
func (m *Module) Page() string { return m.page.Addr().String() }

// Power plugs the module in or pulls the plug: without a goodbye, outputs fall off.
func (m *Module) Power(on bool) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if on == m.powered {
		return nil
	}
	m.powered = on
	if !on {
		m.quit(false)
		m.hardware.dark()
		return nil
	}
	m.since = time.Now()
	j, joined, err := readJoin(m.c.Dir)
	if err != nil {
		return err
	}
	m.join, m.joined = j, joined
	if joined {
		return m.begin()
	}
	return nil
}

// begin connects and announces a module that has joined.
func (m *Module) begin() error {
	m.hardware.call(m.join.Name)
	a, err := agent.Start(m.ctx, agent.Options{House: m.join.House, Controller: m.join.Name, Hardware: m.c.Hardware, Type: m.c.Type,
		Firmware: firmware, Page: m.Page(), Broker: m.join.Broker, Secret: m.join.Secret, Dir: m.c.Dir, BytesMost: m.c.BytesMost,
		SlotsMost: m.c.SlotsMost, Clock: m.clock, Channels: m.hardware, Loaded: m.loaded, Watch: m.watch})
	if err != nil {
		return fmt.Errorf("module %s: %w", m.c.Hardware, err)
	}
	m.agent = a
	if !m.radio {
		return a.Radio(false)
	}
	return m.announce(wire.Loaded{})
}

// announce says by DNS-SD that the module is there. A link without multicast is no fault of the module: it can still be
// reached by its address.
func (m *Module) announce(l wire.Loaded) error {
	if m.c.Silent {
		return nil
	}
	at, err := netip.ParseAddrPort(m.Page())
	if err != nil {
		return fmt.Errorf("module %s: %w", m.c.Hardware, err)
	}
	iface, err := dnssd.Interface(at.Addr().Unmap())
	if err != nil {
		return err
	}
	if r, ok := m.agent.Report(); ok && l.Epoch == 0 {
		l = r.Running
	}
	r, err := dnssd.Announce(m.ctx, dnssd.ResponderOptions{Interface: iface, Service: dnssd.Service{Instance: m.join.Name, Type: ServiceType,
		Host: hostName(m.join.Name), Address: at.Addr().Unmap(), Port: at.Port(), Text: m.text(l)}})
	if err == nil {
		m.responder = r
	}
	return nil
}

// text is what the announcement says: nothing that is secret, and no more than is needed to find and match.
func (m *Module) text(l wire.Loaded) []dnssd.Pair {
	return []dnssd.Pair{{Key: "txtvers", Value: "1"}, {Key: "id", Value: m.join.Name}, {Key: "hw", Value: m.c.Hardware},
		{Key: "type", Value: m.c.Type}, {Key: "house", Value: m.join.House}, {Key: "epoch", Value: fmt.Sprint(l.Epoch)}}
}

// hostName makes a host name of a name in the house: letters, digits and hyphens (RFC 1123).
func hostName(name string) string {
	s := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(name))
	return s[:min(len(s), 60)]
}

// loaded is called when the agent runs another program; the announcement follows.
func (m *Module) loaded(l wire.Loaded) {
	go func() {
		m.mu.Lock()
		r := m.responder
		text := m.text(l)
		m.mu.Unlock()
		if r != nil {
			_ = r.Update(m.ctx, text) // texts of these keys always fit
		}
	}()
}

// errJoined is what the page says of a second set-up.
var errJoined = errors.New("this module has joined already: only a factory reset opens its set-up again")

// Join takes what a module is given; once.
func (m *Module) Join(j Join) error {
	if err := j.Check(); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	switch {
	case !m.powered:
		return errors.New("this module has no power")
	case m.joined:
		return errJoined
	case time.Since(m.since) > setupLimit:
		return errors.New("the time for set-up is over: switch the module off and on again")
	}
	if strings.EqualFold(j.Secret, m.c.Hardware) {
		return errors.New("secret: it is the module's own identity")
	}
	if err := keepJoin(m.c.Dir, j); err != nil {
		return err
	}
	m.join, m.joined = j, true
	return m.begin()
}

// Radio takes the module out of reach, or back.
func (m *Module) Radio(on bool) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.radio = on
	if m.agent == nil {
		return nil
	}
	if err := m.agent.Radio(on); err != nil {
		return err
	}
	if !on && m.responder != nil {
		m.responder.Vanish()
		m.responder = nil
	}
	if on && m.responder == nil {
		return m.announce(wire.Loaded{})
	}
	return nil
}

// Factory forgets everything and opens the set-up again.
func (m *Module) Factory() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.quit(true)
	if err := os.RemoveAll(m.c.Dir); err != nil {
		return fmt.Errorf("module %s: %w", m.c.Hardware, err)
	}
	if err := os.MkdirAll(m.c.Dir, 0o700); err != nil {
		return fmt.Errorf("module %s: %w", m.c.Hardware, err)
	}
	m.join, m.joined, m.powered, m.since = Join{}, false, true, time.Now()
	m.hardware.call("")
	m.hardware.rest()
	return nil
}

// quit ends agent and announcement, with a goodbye or without.
func (m *Module) quit(goodbye bool) {
	if r := m.responder; r != nil {
		m.responder = nil
		if goodbye {
			r.Close()
		} else {
			r.Vanish()
		}
	}
	if a := m.agent; a != nil {
		m.agent = nil
		if goodbye {
			a.Close()
		} else {
			a.Cut()
		}
	}
}

// Close ends the module in order.
func (m *Module) Close() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.quit(true)
	m.page.Close()
}

// running is the agent, nil while the module has not joined or has no power.
func (m *Module) running() *agent.Agent {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.agent
}
