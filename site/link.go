package site

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"
	"time"

	"wirewright/control"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// askLimit is how long an answer may take; awayLimit how long to wait for a controller that is not connected.
const (
	askLimit  = 3 * time.Second
	awayLimit = 500 * time.Millisecond
)

// LinkOptions is how the commissioning side connects.
type LinkOptions struct {
	Plan    *Plan
	Broker  string // host:port; that of the plan where empty
	Secrets Secrets
	Journal Journal // nil: what controllers tell is not kept
	Client  string  // added to the client identifier where several connect at once
}

// Link is the connection of the commissioning side to the house. It keeps what controllers tell of themselves. It is safe
// for concurrent use.
type Link struct {
	plan   *Plan
	o      LinkOptions
	client *mqtt.Client

	mu      sync.Mutex
	heard   map[string]*heard
	asked   map[string]chan wire.Answer
	gone    map[string]chan struct{} // by question: closed when its controller goes
	asks    uint64
	session string
	seq     uint32
	told    []string      // notices
	news    chan struct{} // closed and renewed whenever something was heard
}

// heard is what a controller has told.
type heard struct {
	alive   wire.Alive
	card    wire.Card
	states  map[string]wire.State
	entries uint64 // count of the last journal entry
}

// Connect connects to the broker and begins to listen.
func Connect(ctx context.Context, o LinkOptions) (*Link, error) {
	if o.Broker == "" {
		o.Broker = o.Plan.Broker
	}
	secret, err := o.Secrets.Open(siteSecret)
	if err != nil {
		return nil, fmt.Errorf("broker: secret of the commissioning side: %w", err)
	}
	l := &Link{plan: o.Plan, o: o, heard: map[string]*heard{}, asked: map[string]chan wire.Answer{}, gone: map[string]chan struct{}{},
		session: rand.Text(), news: make(chan struct{})}
	client := wire.SiteUser + "-" + l.session[:8]
	h := o.Plan.House
	l.client, err = mqtt.Dial(ctx, mqtt.ClientOptions{Broker: o.Broker, User: wire.SiteUser, Client: client, Secret: secret, Receive: l.receive,
		Filters: []string{wire.Filter(h, "+", wire.KindAlive), wire.Filter(h, "+", wire.KindCard), wire.Filter(h, "+", wire.KindState),
			wire.Filter(h, "+", wire.KindAnswer), wire.Filter(h, "+", wire.KindJournal)}})
	if err != nil {
		return nil, err
	}
	if err := l.client.Await(ctx); err != nil {
		l.client.Close()
		return nil, err
	}
	return l, nil
}

// Close ends the connection.
func (l *Link) Close() { l.client.Close() }

// receive takes what a controller tells; what cannot be read is left.
func (l *Link) receive(m mqtt.Message) {
	t, err := wire.ParseTopic(m.Topic)
	if err != nil || t.House != l.plan.House {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	h := l.heard[t.Controller]
	if h == nil {
		h = &heard{states: map[string]wire.State{}}
		l.heard[t.Controller] = h
	}
	switch t.Kind {
	case wire.KindAlive:
		if v, err := wire.Decode[wire.Alive](m.Payload); err == nil {
			l.hearAlive(t.Controller, h, v)
		}
	case wire.KindCard:
		if v, err := wire.Decode[wire.Card](m.Payload); err == nil {
			h.card = v
		}
	case wire.KindState:
		if v, err := wire.Decode[wire.State](m.Payload); err == nil {
			h.states[t.Name] = v
		} else if len(m.Payload) == 0 {
			delete(h.states, t.Name)
		}
	case wire.KindAnswer:
		if v, err := wire.Decode[wire.Answer](m.Payload); err == nil && l.asked[v.ID] != nil {
			l.asked[v.ID] <- v
			delete(l.asked, v.ID)
		}
	case wire.KindJournal:
		if v, err := wire.Decode[wire.Entry](m.Payload); err == nil {
			l.hearEntry(t.Controller, h, v)
		}
	}
	close(l.news)
	l.news = make(chan struct{})
}

// hearAlive notes that a controller came or went; questions to one that went are given up.
func (l *Link) hearAlive(controller string, h *heard, v wire.Alive) {
	if !v.Alive && h.alive.Session != "" && v.Session != h.alive.Session {
		return // the will of a session that is over
	}
	h.alive = v
	if gone := l.gone[controller]; !v.Alive && gone != nil {
		close(gone)
		delete(l.gone, controller)
	}
}

// Alive tells whether a controller is connected.
func (l *Link) Alive(controller string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.heard[controller] != nil && l.heard[controller].alive.Alive
}

// State is what a controller last told of a slot, by its name; false if nothing was, or not in the epoch that it runs.
func (l *Link) State(controller, slot string) (wire.State, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	h := l.heard[controller]
	if h == nil {
		return wire.State{}, false
	}
	s, ok := h.states[slot]
	return s, ok && s.Epoch == h.alive.Epoch
}

// States copies everything that a controller has told of its slots.
func (l *Link) States(controller string) map[string]wire.State {
	l.mu.Lock()
	defer l.mu.Unlock()
	if h := l.heard[controller]; h != nil {
		return maps.Clone(h.states)
	}
	return nil
}

// hasHeard tells whether all that a controller has told is heard. Journal entries of the time before this link are not
// waited for: the journal is not retained.
func (l *Link) hasHeard(c *Controller, t Told) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	h := l.heard[c.ID]
	if h == nil {
		return len(t.States) == 0
	}
	for slot, n := range t.States {
		if int(slot) < len(c.Program.Slots) && h.states[c.Program.Slots[slot].Name].Count != n {
			return false
		}
	}
	return h.entries == 0 || h.entries >= t.Entries
}

// noticesMost bounds what people were told and nobody has read.
const noticesMost = 1000

// hearEntry takes a line of a controller's journal.
func (l *Link) hearEntry(controller string, h *heard, e wire.Entry) {
	h.entries = e.Count
	if e.What == "notify" && len(l.told) < noticesMost {
		l.told = append(l.told, e.Text)
	}
	if l.o.Journal != nil {
		l.o.Journal.Happened(controller, e)
	}
}

// notices lists what people were told since they were forgotten.
func (l *Link) notices() []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.told)
}

// forgetNotices begins anew.
func (l *Link) forgetNotices() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.told = nil
}

// News returns a channel that is closed when the next thing is heard.
func (l *Link) News() <-chan struct{} {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.news
}

// Until waits until something holds, looking again whenever something is heard; false if ctx ended first.
func (l *Link) Until(ctx context.Context, holds func() bool) bool {
	for {
		news := l.News()
		if holds() {
			return true
		}
		select {
		case <-news:
		case <-ctx.Done():
			return false
		}
	}
}

// ErrAway is why a controller does not answer: it is not connected, or went away meanwhile.
var ErrAway = errors.New("the controller is not connected")

// Ask puts a question to a controller and waits for its answer. An answer with an error is an error.
func (l *Link) Ask(ctx context.Context, controller string, ask wire.Ask) (wire.Answer, error) {
	ctx, cancel := context.WithTimeout(ctx, askLimit)
	defer cancel()
	here, stop := context.WithTimeout(ctx, awayLimit)
	defer stop()
	if !l.Until(here, func() bool { return l.Alive(controller) }) {
		return wire.Answer{}, fmt.Errorf("%s: %w", controller, ErrAway)
	}
	answers, gone := l.question(controller, &ask)
	defer func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		delete(l.asked, ask.ID)
	}()
	topic := wire.Topic{House: l.plan.House, Controller: controller, Kind: wire.KindAsk}
	if err := l.client.Publish(ctx, mqtt.Message{Topic: topic.String(), Payload: wire.Encode(ask), Expiry: askLimit}); err != nil {
		return wire.Answer{}, fmt.Errorf("%s: %w", controller, err)
	}
	select {
	case a := <-answers:
		if a.Error != "" {
			return a, fmt.Errorf("%s: %s: %s", controller, ask.Ask, a.Error)
		}
		return a, nil
	case <-gone:
		return wire.Answer{}, fmt.Errorf("%s: %w", controller, ErrAway)
	case <-ctx.Done():
		return wire.Answer{}, fmt.Errorf("%s: %s: no answer within %s", controller, ask.Ask, askLimit)
	}
}

// question gives a question its name and what is waited for.
func (l *Link) question(controller string, ask *wire.Ask) (<-chan wire.Answer, <-chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.asks++
	ask.ID = l.session[:8] + "-" + strconv.FormatUint(l.asks, 10)
	answers := make(chan wire.Answer, 1)
	l.asked[ask.ID] = answers
	gone := l.gone[controller]
	if gone == nil {
		gone = make(chan struct{})
		l.gone[controller] = gone
	}
	return answers, gone
}

// Order is what a person commands at the workbench.
type Order struct {
	Name   string // point or mode
	Verb   control.Verb
	Value  int32
	Expiry time.Duration // 2 s where 0
	Sent   time.Time     // time of the house
}

// Command commands the owner of a point or mode.
func (l *Link) Command(ctx context.Context, o Order) error {
	c, slot, ok := l.plan.Owner(o.Name)
	if !ok {
		return fmt.Errorf("%s: no controller owns it", o.Name)
	}
	if o.Expiry == 0 {
		o.Expiry = 2 * time.Second
	}
	l.mu.Lock()
	l.seq++
	m := wire.Command{Session: l.session, Seq: l.seq, Epoch: 0, Sent: o.Sent.UnixMilli(), Expiry: int32(o.Expiry.Milliseconds()), Slot: slot,
		Verb: wire.VerbText(o.Verb), Value: wire.Value(o.Value), Rule: -1}
	if h := l.heard[c.ID]; h != nil {
		m.Epoch = h.alive.Epoch
	}
	l.mu.Unlock()
	topic := wire.Topic{House: l.plan.House, Controller: c.ID, Kind: wire.KindDo, Name: wire.SiteUser}
	return l.client.Publish(ctx, mqtt.Message{Topic: topic.String(), Payload: wire.Encode(m), Expiry: o.Expiry})
}

// Message delivers a message from outside, by name, to whoever has a slot for it.
func (l *Link) Message(ctx context.Context, name string, sent time.Time) error {
	const expiry = 5 * time.Second
	topic := wire.Topic{House: l.plan.House, Controller: wire.AllUser, Kind: wire.KindMessage, Name: name}
	m := wire.Message{Sent: sent.UnixMilli(), Expiry: int32(expiry.Milliseconds())}
	return l.client.Publish(ctx, mqtt.Message{Topic: topic.String(), Payload: wire.Encode(m), Expiry: expiry})
}

// SetPlace tells every controller where the house is.
func (l *Link) SetPlace(ctx context.Context) error {
	topic := wire.Topic{House: l.plan.House, Controller: wire.AllUser, Kind: wire.KindPlace}
	return l.client.Publish(ctx, mqtt.Message{Topic: topic.String(), Payload: wire.Encode(l.plan.Place), Retain: true})
}
