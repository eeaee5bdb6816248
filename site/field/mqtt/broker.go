package mqtt

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"sync"
	"syscall"
	"time"

	broker "github.com/mochi-mqtt/server/v2"
	"github.com/mochi-mqtt/server/v2/listeners"
)

// Bounds of the embedded broker.
const (
	clientsMost = 2000     // connections at once
	packetMost  = 64 << 10 // octets of one packet
)

// BrokerOptions is how an embedded broker is set up.
type BrokerOptions struct {
	Listen   string           // host:port; port 0 lets the system choose; "127.0.0.1:0" where empty
	Open     bool             // must be said where Listen is not a loopback address: the house network may then connect
	House    string           // first level of the topics that controllers use
	Accounts Accounts         // who may connect
	Now      func() time.Time // clock for the throttle of wrong secrets; time.Now where nil
	Log      *slog.Logger     // nothing is logged where nil; secrets never are
}

// Broker is a running embedded broker.
type Broker struct {
	server   *broker.Server
	listener net.Listener
	address  string
	close    sync.Once
}

// StartBroker opens the port and serves until Close.
func StartBroker(o BrokerOptions) (*Broker, error) {
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	if o.Accounts == nil || o.House == "" {
		return nil, errors.New("broker: a house and its accounts are needed")
	}
	listener, err := listen(o.Listen, o.Open)
	if err != nil {
		return nil, err
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	s := broker.New(&broker.Options{Logger: o.Log, Capabilities: capabilities(), SysTopicResendInterval: 3600})
	// Serve answers before its listeners accept, so that errors here are ours alone.
	err = errors.Join(s.AddHook(newGuard(o), nil), s.AddListener(listeners.NewNet("house", listener)))
	if err == nil {
		err = s.Serve()
	}
	if err != nil {
		listener.Close()
		return nil, fmt.Errorf("broker: %w", err)
	}
	return &Broker{server: s, listener: listener, address: listener.Addr().String()}, nil
}

// listen opens the port, or says in words why it cannot.
func listen(address string, open bool) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("broker: address %q is not host:port, e.g. 127.0.0.1:1883", address)
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) && !open {
		return nil, fmt.Errorf("broker: %s is reachable from the network; say expressly that the broker is to be opened to it, or listen on 127.0.0.1", address)
	}
	l, err := net.Listen("tcp", address)
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, fmt.Errorf("broker: port %s of %s is in use by another program; stop that, or choose another port (0 lets the system choose)", port, host)
	}
	if err != nil {
		return nil, fmt.Errorf("broker: %w", err)
	}
	return l, nil
}

// capabilities bounds what clients may take. Messages that are kept have no expiry of the broker's own: a state that was
// told last week still stands.
func capabilities() *broker.Capabilities {
	c := broker.NewDefaultServerCapabilities()
	c.MaximumMessageExpiryInterval = 0
	c.MaximumClients = clientsMost
	c.MaximumPacketSize = packetMost
	c.MaximumSessionExpiryInterval = 3600
	c.MinimumProtocolVersion = 4 // devices of other makes may speak the edition before 5
	return c
}

// Address is where the broker listens, host:port.
func (b *Broker) Address() string { return b.address }

// Close ends every connection and frees the port.
func (b *Broker) Close() error {
	var err error
	b.close.Do(func() {
		b.listener.Close() // first, so that nobody who was thrown off comes back in between
		err = b.server.Close()
	})
	return err
}
