package agent

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"wirewright/control"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// Channels is the local hardware of a controller. Its functions are called from the agent's one goroutine.
type Channels interface {
	// Has tells whether there is such a channel; a program that wants one that is not there is refused.
	Has(module, channel string) bool
	// Output drives a relay or dimmer to a value over a fade of ms.
	Output(module, channel string, value, fade int32)
	// Motor drives a motor: -1 up, 0 still, +1 down.
	Motor(module, channel string, direction int32)
	// Input is the present raw value of an input; false while nothing is connected to it.
	Input(module, channel string) (int32, bool)
}

// Options is what a controller is.
type Options struct {
	House      string
	Controller string
	Hardware   string // identity of the very device
	Type       string // catalogue type
	Firmware   string
	Page       string // address of its page
	Broker     string // host:port
	Secret     string
	Dir        string    // where programs and memory are kept
	BytesMost  int       // capacity for a program, 0 for none
	SlotsMost  int       // capacity for slots, 0 for none
	Rand       io.Reader // for session names; crypto/rand where nil
	Clock      Clock     // a new WoundClock where nil
	Channels   Channels
	Loaded     func(wire.Loaded) // called from the agent's goroutine when another program runs
	Watch      func(Report)      // called from the agent's goroutine whenever something of the report has changed
}

// workMost bounds what waits for the agent's goroutine; whoever has more to give waits.
const workMost = 1024

// Agent is one running controller.
type Agent struct {
	o      Options
	shelf  *shelf
	out    *outbox
	work   chan func()
	ctx    context.Context
	cancel context.CancelFunc
	done   sync.WaitGroup
	start  time.Duration // clock at the start of the agent

	radio   sync.Mutex // held while the radio is switched
	mu      sync.Mutex
	client  *mqtt.Client // nil while the radio is off
	listens []string     // filters of the peers of the running program

	// What follows belongs to the goroutine of loop.
	program  *control.Program
	state    control.State
	last     time.Duration // clock at the last step
	effects  []control.Effect
	session  string
	online   bool
	peers    map[string]*peer
	told     map[int16]wire.State // last state told, by slot
	driven   map[int16]int32      // last value driven, by slot
	motion   map[int16]int8
	count    uint64 // states told
	entries  uint64 // journal entries told
	staging  staging
	place    *wire.Place
	calendar calendar
	from     string            // sender of the command being carried out, for the journal
	sent     map[string]Sent   // last command sent, by controller
	taken    map[string]uint32 // number of the last command that came in, by controller
	offset   map[string]uint32 // added to the numbers that the program gives its commands, by controller
	site     uint32            // commands of the commissioning side carried out
	first    control.State     // the state as it was after the start
	changes  uint64            // counts what a report shows
	watched  uint64            // changes at the last call of Options.Watch
}

// Start runs a controller until Close or Cut.
func Start(ctx context.Context, o Options) (*Agent, error) {
	if o.Rand == nil {
		o.Rand = rand.Reader
	}
	if o.Clock == nil {
		o.Clock = NewClock()
	}
	if o.Channels == nil || o.House == "" || o.Controller == "" || o.Secret == "" {
		return nil, errors.New("controller: house, name, secret and channels are needed")
	}
	shelf, err := openShelf(o.Dir)
	if err != nil {
		return nil, err
	}
	session := make([]byte, 6)
	if _, err := io.ReadFull(o.Rand, session); err != nil {
		return nil, fmt.Errorf("controller: no random source: %w", err)
	}
	a := &Agent{o: o, shelf: shelf, work: make(chan func(), workMost), start: o.Clock.Elapsed(), session: hex.EncodeToString(session),
		peers: map[string]*peer{}, told: map[int16]wire.State{}, driven: map[int16]int32{}, motion: map[int16]int8{}, out: newOutbox(),
		sent: map[string]Sent{}, taken: map[string]uint32{}, offset: map[string]uint32{}}
	a.ctx, a.cancel = context.WithCancel(ctx)
	a.out.drained = func() { a.post(a.touch) }
	a.last = a.start
	if err := a.restore(); err != nil {
		a.cancel()
		return nil, err
	}
	if err := a.dial(a.connection()); err != nil {
		a.cancel()
		return nil, err
	}
	a.done.Add(2)
	go func() { defer a.done.Done(); a.loop() }()
	go func() { defer a.done.Done(); a.out.run(a.ctx, a.deliver) }()
	return a, nil
}

// dial begins to connect.
func (a *Agent) dial(o mqtt.ClientOptions) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	o.Filters = append(o.Filters, a.listens...)
	c, err := mqtt.Dial(a.ctx, o)
	if err == nil {
		a.client = c
	}
	return err
}

// errOff is what sending says while the radio is off.
var errOff = errors.New("the radio is off")

// deliver sends one message.
func (a *Agent) deliver(ctx context.Context, m mqtt.Message) error {
	c := a.connected()
	if c == nil {
		return errOff
	}
	return c.Publish(ctx, m)
}

// connected is the client, nil while the radio is off.
func (a *Agent) connected() *mqtt.Client {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.client
}

// connection is how the agent connects: alive until the will says otherwise.
func (a *Agent) connection() mqtt.ClientOptions {
	h, c := a.o.House, a.o.Controller
	will := wire.Encode(wire.Alive{Session: a.session, Epoch: a.shelf.Running.Epoch})
	return mqtt.ClientOptions{
		Broker: a.o.Broker, User: c, Secret: a.o.Secret,
		Will: &mqtt.Message{Topic: wire.Topic{House: h, Controller: c, Kind: wire.KindAlive}.String(), Payload: will, Retain: true},
		Filters: []string{wire.Filter(h, c, wire.KindAlive), wire.Filter(h, c, wire.KindDo), wire.Filter(h, c, wire.KindAsk),
			wire.Filter(h, wire.AllUser, wire.KindMessage), wire.Filter(h, wire.AllUser, wire.KindPlace)},
		Receive: func(m mqtt.Message) { a.post(func() { a.receive(m) }) },
		Up:      func() { a.post(a.up) },
		Down:    func() { a.out.link(false); a.post(a.down) },
	}
}

// post hands work to the agent's goroutine.
func (a *Agent) post(f func()) {
	select {
	case a.work <- f:
	case <-a.ctx.Done():
	}
}

// Do runs f in the agent's goroutine and waits for it; false if the agent has ended.
func (a *Agent) Do(f func()) bool {
	done := make(chan struct{})
	a.post(func() { f(); close(done) })
	select {
	case <-done:
		return true
	case <-a.ctx.Done():
		return false
	}
}

// loop is the one goroutine that owns the state.
func (a *Agent) loop() {
	timer := time.NewTimer(time.Hour)
	defer timer.Stop()
	for {
		if wait, ok := a.wait(); ok {
			timer.Reset(wait)
		} else {
			timer.Reset(time.Hour)
		}
		select {
		case f := <-a.work:
			f()
		case <-timer.C:
			a.tick()
		case <-a.ctx.Done():
			return
		}
		if a.o.Watch != nil && a.changes != a.watched && len(a.work) == 0 && (!a.online || a.out.empty()) {
			a.watched = a.changes
			a.o.Watch(a.report())
		}
	}
}

// touch notes that a report would say something else.
func (a *Agent) touch() { a.changes++ }

// Close ends the controller with a goodbye: it says itself that it is no longer there.
func (a *Agent) Close() {
	var will *mqtt.Message
	a.Do(func() {
		a.keepMemory()
		will = a.connection().Will
		a.online = false // what is told from here on is the goodbye, and is not to be taken back
	})
	if c := a.connected(); c != nil {
		if will != nil && a.out.up() {
			ctx, cancel := context.WithTimeout(a.ctx, time.Second)
			_ = c.Publish(ctx, *will) // a broker that is gone tells nobody anything
			cancel()
		}
		c.Close()
	}
	a.cancel()
	a.done.Wait()
}

// Cut ends the controller as a loss of power does: without a goodbye.
func (a *Agent) Cut() {
	if c := a.connected(); c != nil {
		c.Cut()
	}
	a.cancel()
	a.done.Wait()
}

// Await waits until the controller is connected.
func (a *Agent) Await(ctx context.Context) error {
	if c := a.connected(); c != nil {
		return c.Await(ctx)
	}
	return errOff
}
