package dnssd

import (
	"context"
	"crypto/rand"
	"fmt"
	"math/big"
	"net"
	"sync"
	"time"

	"github.com/miekg/dns"

	"wirewright/internal/pause"
)

// Times of RFC 6762: three probes 250 ms apart (8.1), two announcements a second apart (8.3), an answer to a shared
// question after 20 to 120 ms so that many do not answer at once (6), no record again within a second (6).
const (
	probeCount    = 3
	probePause    = 250 * time.Millisecond
	announcePause = time.Second
	answerLeast   = 20 * time.Millisecond
	answerSpan    = 100 * time.Millisecond
	repeatPause   = time.Second
	renameMost    = 9
)

// ResponderOptions is how a service is announced.
type ResponderOptions struct {
	Interface *net.Interface
	Service   Service
	Renamed   func(instance string) // called when another had the name: the new one, "name (2)"
	Unprobed  bool                  // leaves the probes out; for tests of the rest
}

// Responder announces one service until Close.
type Responder struct {
	o      ResponderOptions
	socket *socket
	cancel context.CancelFunc
	done   sync.WaitGroup

	mu      sync.Mutex
	service Service
	records *records
	ready   bool // probed: answers are given
	taken   chan struct{}
	sent    map[uint16]time.Time // by type: last multicast
}

// Announce joins the link, makes sure that the names are free, and announces the service. It returns once the socket is
// open; the rest goes on in the background.
func Announce(ctx context.Context, o ResponderOptions) (*Responder, error) {
	if err := o.Service.check(); err != nil {
		return nil, err
	}
	s, err := open(o.Interface)
	if err != nil {
		return nil, err
	}
	r := &Responder{o: o, socket: s, service: o.Service, records: makeRecords(&o.Service), taken: make(chan struct{}, 1),
		sent: map[uint16]time.Time{}}
	ctx, r.cancel = context.WithCancel(ctx)
	r.done.Add(2)
	go func() { defer r.done.Done(); s.receive(func(m *dns.Msg, from *net.UDPAddr) { r.hear(ctx, m, from) }) }()
	go func() { defer r.done.Done(); r.begin(ctx) }()
	return r, nil
}

// begin probes, then announces twice.
func (r *Responder) begin(ctx context.Context) {
	if !r.o.Unprobed && !r.claim(ctx) {
		return
	}
	r.mu.Lock()
	r.ready = true
	r.mu.Unlock()
	r.announce(ctx)
}

// claim probes until the names are free; false if ctx ended.
func (r *Responder) claim(ctx context.Context) bool {
	pause.For(ctx, jitter(probePause)) // RFC 6762, 8.1: so that a house full of modules does not start as one
	for rename := 2; ; rename++ {
		if !r.probe(ctx) {
			return ctx.Err() == nil
		}
		if rename > renameMost {
			return true
		}
		r.mu.Lock()
		r.service.Instance = fmt.Sprintf("%.58s (%d)", r.o.Service.Instance, rename)
		r.service.Host = fmt.Sprintf("%.60s-%d", r.o.Service.Host, rename)
		r.records = makeRecords(&r.service)
		name := r.service.Instance
		select {
		case <-r.taken: // a second answer about the name that was given up
		default:
		}
		r.mu.Unlock()
		if r.o.Renamed != nil {
			r.o.Renamed(name)
		}
	}
}

// probe asks three times; true if somebody else has the names.
func (r *Responder) probe(ctx context.Context) bool {
	for range probeCount {
		r.mu.Lock()
		m := r.records.probe()
		r.mu.Unlock()
		r.socket.send(m, nil)
		select {
		case <-r.taken:
			return true
		case <-time.After(probePause):
		case <-ctx.Done():
			return false
		}
	}
	return false
}

// announce tells all records twice.
func (r *Responder) announce(ctx context.Context) {
	for i := range 2 {
		if i > 0 && !pause.For(ctx, announcePause) {
			return
		}
		r.mu.Lock()
		m := response(r.records.list(), nil)
		r.mu.Unlock()
		r.socket.send(m, nil)
	}
}

// Update announces new texts.
func (r *Responder) Update(ctx context.Context, text []Pair) error {
	if _, err := Text(text); err != nil {
		return err
	}
	r.mu.Lock()
	r.service.Text = text
	r.records = makeRecords(&r.service)
	ready := r.ready
	r.mu.Unlock()
	if !ready {
		return nil // they are announced after the probes
	}
	r.done.Add(1)
	go func() { defer r.done.Done(); r.announce(ctx) }()
	return nil
}

// hear takes a packet: a question to answer, or a claim on our names.
func (r *Responder) hear(ctx context.Context, m *dns.Msg, from *net.UDPAddr) {
	if m.Response {
		r.hearClaim(m)
		return
	}
	r.mu.Lock()
	records, ready := r.records, r.ready
	r.mu.Unlock()
	if !ready {
		return
	}
	answer, extra := records.answers(m)
	if len(answer) == 0 {
		return
	}
	switch {
	case from.Port != port:
		r.socket.send(legacy(m, answer, extra), from)
	case m.Question[0].Qclass&flush != 0:
		r.socket.send(response(answer, extra), from)
	case len(m.Ns) > 0: // a probe for our names: defended at once
		r.socket.send(response(answer, extra), nil)
	default:
		r.done.Add(1)
		go func() { defer r.done.Done(); r.later(ctx, answer, extra) }()
	}
}

// hearClaim notes that somebody has the names that are being probed. It is looked at and noted in one stroke, so that a claim
// on a name that was given up cannot count against the next.
func (r *Responder) hearClaim(m *dns.Msg) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.ready || !r.records.conflict(m) {
		return
	}
	select {
	case r.taken <- struct{}{}:
	default:
	}
}

// later multicasts an answer after a little while, unless all of it has just been told.
func (r *Responder) later(ctx context.Context, answer, extra []dns.RR) {
	if !pause.For(ctx, answerLeast+jitter(answerSpan)) {
		return
	}
	r.mu.Lock()
	now := time.Now()
	fresh := answer[:0:0]
	for _, rr := range answer {
		if h := rr.Header(); now.Sub(r.sent[h.Rrtype]) >= repeatPause {
			r.sent[h.Rrtype] = now
			fresh = append(fresh, rr)
		}
	}
	r.mu.Unlock()
	if len(fresh) > 0 {
		r.socket.send(response(fresh, extra), nil)
	}
}

// Close says goodbye and leaves the link.
func (r *Responder) Close() {
	r.cancel()
	r.mu.Lock()
	if r.ready {
		r.socket.send(r.records.goodbye(), nil)
	}
	r.mu.Unlock()
	r.socket.close()
	r.done.Wait()
}

// Vanish leaves the link without a goodbye, as a module does whose radio is lost.
func (r *Responder) Vanish() {
	r.cancel()
	r.socket.close()
	r.done.Wait()
}

// jitter is a random part of a span.
func jitter(span time.Duration) time.Duration {
	n, err := rand.Int(rand.Reader, big.NewInt(int64(span)))
	if err != nil {
		return span / 2
	}
	return time.Duration(n.Int64())
}
