package dnssd

import (
	"context"
	"net"
	"sync"
	"time"

	"github.com/miekg/dns"

	"wirewright/internal/pause"
)

// Pauses between queries: a second, then doubling to a minute (RFC 6762, 5.2).
const (
	queryFirst = time.Second
	queryMost  = time.Minute
)

// Browser keeps looking for services of one type until its context ends.
type Browser struct {
	socket *socket
	kind   string
	news   chan struct{}
	done   sync.WaitGroup

	mu    sync.Mutex
	cache *cache
}

// Browse joins the link and begins to look.
func Browse(ctx context.Context, iface *net.Interface, kind string) (*Browser, error) {
	s, err := open(iface)
	if err != nil {
		return nil, err
	}
	b := &Browser{socket: s, kind: kind, news: make(chan struct{}, 1), cache: newCache(kind)}
	b.done.Add(2)
	go func() { defer b.done.Done(); s.receive(b.hear) }()
	go func() { defer b.done.Done(); b.ask(ctx) }()
	return b, nil
}

// hear folds a response in.
func (b *Browser) hear(m *dns.Msg, _ *net.UDPAddr) {
	if !m.Response {
		return
	}
	b.mu.Lock()
	changed := b.cache.take(m, time.Now())
	b.mu.Unlock()
	if changed {
		select {
		case b.news <- struct{}{}:
		default:
		}
	}
}

// ask queries again and again, more and more seldom.
func (b *Browser) ask(ctx context.Context) {
	defer b.socket.close()
	for wait := queryFirst; ; wait = min(2*wait, queryMost) {
		b.mu.Lock()
		m := query(b.kind, b.cache.known(time.Now()))
		m.Question = append(m.Question, b.cache.missing(time.Now())...)
		b.mu.Unlock()
		b.send(m)
		if !pause.For(ctx, wait) {
			return
		}
	}
}

// send sends a query; where it is too long for a packet, without the known answers.
func (b *Browser) send(m *dns.Msg) {
	const comfortable = 1400
	if m.Len() > comfortable {
		m.Answer = nil
	}
	if len(m.Question) > 20 {
		m.Question = m.Question[:20]
	}
	b.socket.send(m, nil)
}

// Entries lists what is there now, by instance name.
func (b *Browser) Entries() []Entry {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.cache.entries(time.Now())
}

// News gets a token whenever something changed.
func (b *Browser) News() <-chan struct{} { return b.news }

// Wait returns when the browser has ended after its context.
func (b *Browser) Wait() { b.done.Wait() }
