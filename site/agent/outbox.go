package agent

import (
	"context"
	"errors"
	"sync"
	"time"

	"wirewright/internal/pause"
	"wirewright/site/field/mqtt"
)

// outboxMost bounds what waits to be sent. When it is full the oldest is dropped: states are told again when the broker
// is back, and commands have expired by then.
const outboxMost = 2048

// letter is one message to be sent, with the time after which it is of no use.
type letter struct {
	m     mqtt.Message
	until time.Time // commands: after which it is of no use
	keep  bool      // journal: sent even after a while without a connection
}

// lasting tells whether a letter is still of use after a time without a connection: what is neither is told anew.
func (l *letter) lasting(now time.Time) bool { return l.keep || now.Before(l.until) }

// outbox sends messages one after the other, in order, so that the agent's goroutine never waits for the network.
type outbox struct {
	mu     sync.Mutex
	list   []letter
	online bool
	busy   bool
	news   chan struct{}

	drained func() // called when the last message was sent
}

func newOutbox() *outbox { return &outbox{news: make(chan struct{}, 1)} }

// put adds a message.
func (o *outbox) put(l letter) {
	o.mu.Lock()
	if len(o.list) >= outboxMost {
		o.list = o.list[1:]
	}
	o.list = append(o.list, l)
	o.mu.Unlock()
	o.wake()
}

// link says whether there is a connection. When it comes back only what still has a use is kept: messages with a time
// limit that has not passed, and the journal. The rest is told anew by the agent.
func (o *outbox) link(online bool) {
	o.mu.Lock()
	o.online = online
	if online {
		kept := o.list[:0]
		for _, l := range o.list {
			if l.lasting(time.Now()) {
				kept = append(kept, l)
			}
		}
		o.list = kept
	}
	o.mu.Unlock()
	o.wake()
}

func (o *outbox) wake() {
	select {
	case o.news <- struct{}{}:
	default:
	}
}

// up tells whether there is a connection.
func (o *outbox) up() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.online
}

// empty tells whether all was sent.
func (o *outbox) empty() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return len(o.list) == 0 && !o.busy
}

// next takes the first message that is still of use; false while there is none or no connection.
func (o *outbox) next() (letter, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.busy = false
	for o.online && len(o.list) > 0 {
		l := o.list[0]
		o.list = o.list[1:]
		if l.until.IsZero() || time.Now().Before(l.until) {
			o.busy = true
			return l, true
		}
	}
	return letter{}, false
}

// run sends until ctx ends. A message that could not be sent although it still has a use goes back to the front.
func (o *outbox) run(ctx context.Context, send func(context.Context, mqtt.Message) error) {
	sent := false
	for {
		l, ok := o.next()
		if !ok {
			if sent && o.empty() {
				sent = false
				o.drained()
			}
			select {
			case <-o.news:
				continue
			case <-ctx.Done():
				return
			}
		}
		limit, cancel := context.WithTimeout(ctx, 5*time.Second)
		err := send(limit, l.m)
		cancel()
		sent = true
		if err == nil || ctx.Err() != nil {
			continue
		}
		o.mu.Lock()
		if l.lasting(time.Now()) && errors.Is(err, mqtt.ErrLost) {
			o.list = append([]letter{l}, o.list...)
		}
		o.mu.Unlock()
		if !pause.For(ctx, 20*time.Millisecond) {
			return
		}
	}
}
