package mqtt

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net"
	"net/url"
	"slices"
	"sync"
	"time"

	"github.com/eclipse/paho.golang/autopaho"
	"github.com/eclipse/paho.golang/paho"
)

// Message is one message, sent or received. Quality of service is 1 throughout.
type Message struct {
	Topic   string
	Payload []byte
	Retain  bool
	Expiry  time.Duration // after which the broker must not deliver it; rounded up to seconds, 0 for never
}

// ClientOptions is how a client connects. Receive is called for one message at a time; Up and Down are called from other
// goroutines, and retained messages may arrive before Up. None may block for long.
type ClientOptions struct {
	Broker  string // host:port
	Client  string // client identifier; the user where empty
	User    string
	Secret  string
	Will    *Message      // published by the broker when the connection is lost
	Filters []string      // subscribed to at every connection
	Receive func(Message) // in the order of arrival
	Up      func()        // connected and subscribed
	Down    func()        // the connection was lost; the client tries again
	Alive   time.Duration // keep-alive; 10 s where 0
	Retry   time.Duration // pause between tries; 500 ms where 0
}

// Client keeps a connection to a broker up until Close or Cut.
type Client struct {
	o       ClientOptions
	manager *autopaho.ConnectionManager
	cancel  context.CancelFunc

	mu   sync.Mutex
	conn net.Conn
	cut  bool
	more []string      // filters beside those of the options
	up   chan struct{} // closed while connected and subscribed
	lost chan struct{} // closed when the connection is lost: what was not acknowledged never will be
	fail error         // why the last try failed
}

// ErrRefused is what Await returns when the broker does not accept the user or the secret.
var ErrRefused = errors.New("the broker refused the user or its secret")

// ErrLost is what Publish returns when the connection was lost before the broker had the message.
var ErrLost = errors.New("the connection was lost")

// Dial begins to connect and returns at once; the connection lives until Close or Cut, or until ctx ends.
func Dial(ctx context.Context, o ClientOptions) (*Client, error) {
	if o.Alive == 0 {
		o.Alive = 10 * time.Second
	}
	if o.Retry == 0 {
		o.Retry = 500 * time.Millisecond
	}
	if o.Client == "" {
		o.Client = o.User
	}
	if _, _, err := net.SplitHostPort(o.Broker); err != nil {
		return nil, fmt.Errorf("broker address %q is not host:port", o.Broker)
	}
	c := &Client{o: o, up: make(chan struct{}), lost: make(chan struct{})}
	ctx, c.cancel = context.WithCancel(ctx)
	var err error
	if c.manager, err = autopaho.NewConnection(ctx, c.config(ctx)); err != nil {
		c.cancel()
		return nil, fmt.Errorf("broker %s: %w", o.Broker, err)
	}
	return c, nil
}

// config is what the connection manager is told.
func (c *Client) config(ctx context.Context) autopaho.ClientConfig {
	cfg := autopaho.ClientConfig{
		ServerUrls:      []*url.URL{{Scheme: "mqtt", Host: c.o.Broker}},
		KeepAlive:       uint16(max(1, c.o.Alive/time.Second)),
		ConnectUsername: c.o.User,
		ConnectPassword: []byte(c.o.Secret),
		ReconnectBackoff: func(try int) time.Duration {
			if try == 0 {
				return 0
			}
			return c.o.Retry
		},
		ConnectTimeout:    3 * time.Second,
		AttemptConnection: c.connect,
		DisconnectPacketBuilder: func() *paho.Disconnect {
			c.mu.Lock()
			defer c.mu.Unlock()
			if c.cut {
				return nil
			}
			return &paho.Disconnect{}
		},
		ConnectPacketBuilder: func(p *paho.Connect, _ *url.URL) (*paho.Connect, error) {
			p.CleanStart = true // nothing is left over from before: states are retained, commands are past
			return p, nil
		},
		OnConnectionUp:   func(m *autopaho.ConnectionManager, _ *paho.Connack) { go c.subscribe(ctx, m) },
		OnConnectionDown: c.down,
		OnConnectError:   c.failed,
		ClientConfig: paho.ClientConfig{
			ClientID:      c.o.Client,
			PacketTimeout: 5 * time.Second,
			OnPublishReceived: []func(paho.PublishReceived) (bool, error){func(p paho.PublishReceived) (bool, error) {
				if c.o.Receive != nil {
					c.o.Receive(Message{Topic: p.Packet.Topic, Payload: p.Packet.Payload, Retain: p.Packet.Retain})
				}
				return true, nil
			}},
		},
	}
	if c.o.Will != nil {
		cfg.WillMessage = &paho.WillMessage{Topic: c.o.Will.Topic, Payload: c.o.Will.Payload, Retain: c.o.Will.Retain, QoS: 1}
	}
	return cfg
}

// connect opens the network connection and remembers it, so that Cut can drop it.
func (c *Client) connect(ctx context.Context, _ autopaho.ClientConfig, u *url.URL) (net.Conn, error) {
	d := net.Dialer{Timeout: 5 * time.Second}
	conn, err := d.DialContext(ctx, "tcp", u.Host)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.cut {
		conn.Close()
		return nil, net.ErrClosed
	}
	c.conn = conn
	return conn, nil
}

// subscribe asks for the filters and reports that the client is up.
func (c *Client) subscribe(ctx context.Context, m *autopaho.ConnectionManager) {
	c.mu.Lock()
	filters := append(slices.Clone(c.o.Filters), c.more...)
	c.mu.Unlock()
	if err := request(ctx, m, filters); err != nil {
		c.failed(fmt.Errorf("subscribe: %w", err))
		return
	}
	c.mu.Lock()
	c.fail = nil
	select {
	case <-c.up:
	default:
		close(c.up)
	}
	c.mu.Unlock()
	if c.o.Up != nil {
		c.o.Up()
	}
}

// request subscribes to filters, if there are any.
func request(ctx context.Context, m *autopaho.ConnectionManager, filters []string) error {
	if len(filters) == 0 {
		return nil
	}
	s := &paho.Subscribe{}
	for _, f := range filters {
		s.Subscriptions = append(s.Subscriptions, paho.SubscribeOptions{Topic: f, QoS: 1})
	}
	_, err := m.Subscribe(ctx, s)
	return err
}

// Listen subscribes to other filters beside those of the options, in place of those of the last call. Without a connection
// it is done when there is one.
func (c *Client) Listen(ctx context.Context, filters []string) error {
	c.mu.Lock()
	var gone, fresh []string
	for _, f := range c.more {
		if !slices.Contains(filters, f) {
			gone = append(gone, f)
		}
	}
	for _, f := range filters {
		if !slices.Contains(c.more, f) {
			fresh = append(fresh, f)
		}
	}
	c.more = slices.Clone(filters)
	c.mu.Unlock()
	if len(gone) > 0 {
		if _, err := c.manager.Unsubscribe(ctx, &paho.Unsubscribe{Topics: gone}); err != nil {
			return fmt.Errorf("unsubscribe: %w", err)
		}
	}
	if err := request(ctx, c.manager, fresh); err != nil {
		return fmt.Errorf("subscribe: %w", err)
	}
	return nil
}

// down marks the connection as lost; it is tried again unless it was cut.
func (c *Client) down() bool {
	c.mu.Lock()
	select {
	case <-c.up:
		c.up = make(chan struct{})
	default:
	}
	again := !c.cut
	close(c.lost)
	c.lost = make(chan struct{})
	c.mu.Unlock()
	if c.o.Down != nil {
		c.o.Down()
	}
	return again
}

// failed remembers why a try failed.
func (c *Client) failed(err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	var refused *autopaho.ConnackError
	if errors.As(err, &refused) && refused.ReasonCode >= 0x84 && refused.ReasonCode <= 0x87 {
		err = fmt.Errorf("%w (reason code 0x%02X)", ErrRefused, refused.ReasonCode)
	}
	c.fail = err
}

// Await waits until the client is connected and subscribed. When ctx ends first, the error says why the last try failed.
func (c *Client) Await(ctx context.Context) error {
	c.mu.Lock()
	up := c.up
	c.mu.Unlock()
	select {
	case <-up:
		return nil
	case <-ctx.Done():
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.fail != nil {
		return fmt.Errorf("broker %s: %w", c.o.Broker, c.fail)
	}
	return fmt.Errorf("broker %s: %w", c.o.Broker, ctx.Err())
}

// Publish sends a message and waits until the broker has it.
func (c *Client) Publish(ctx context.Context, m Message) error {
	p := &paho.Publish{Topic: m.Topic, Payload: m.Payload, Retain: m.Retain, QoS: 1, Properties: &paho.PublishProperties{}}
	if m.Expiry > 0 {
		s := uint32(min(math.MaxUint32, (m.Expiry+time.Second-1)/time.Second))
		p.Properties.MessageExpiry = &s
	}
	c.mu.Lock()
	lost := c.lost
	c.mu.Unlock()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	done := make(chan error, 1)
	go func() {
		_, err := c.manager.Publish(ctx, p)
		done <- err
	}()
	select {
	case err := <-done:
		if err != nil {
			return fmt.Errorf("publish on %s: %w", m.Topic, err)
		}
		return nil
	case <-lost:
		return fmt.Errorf("publish on %s: %w", m.Topic, ErrLost)
	}
}

// Close says goodbye to the broker, which then publishes no will.
func (c *Client) Close() {
	c.cancel()
	<-c.manager.Done()
}

// Cut drops the connection as a lost radio link does, and does not try again: the broker publishes the will.
func (c *Client) Cut() {
	c.mu.Lock()
	c.cut = true
	if c.conn != nil {
		c.conn.Close()
	}
	close(c.lost)
	c.lost = make(chan struct{})
	c.mu.Unlock()
	c.cancel()
	<-c.manager.Done()
}
