package mqtt

import (
	"bytes"
	"crypto/sha256"
	"crypto/subtle"
	"net"
	"strings"
	"sync"
	"time"

	broker "github.com/mochi-mqtt/server/v2"
	"github.com/mochi-mqtt/server/v2/packets"

	"wirewright/site/wire"
)

// Account is one user of the broker.
type Account struct {
	Secret string
	// Devices of other makes only: the filters of the topics that they may publish on and hear. Controllers and the
	// commissioning side leave both empty and have the rights of package wire.
	Publish []string
	Hear    []string
}

// Accounts looks users up. It must be safe for concurrent use.
type Accounts interface {
	// Account finds a user; false if there is none.
	Account(user string) (Account, bool)
}

// Throttle of wrong secrets: after wrongMost in a row from one address for one user, that pair is refused for
// wrongPause. NIST SP 800-63B, 5.2.2 allows at most 100 consecutive wrong tries; ours is stricter.
const (
	wrongMost  = 10
	wrongPause = time.Minute
	wrongPairs = 4096 // pairs remembered; when full, all are forgotten
)

// guard is the hook that admits clients and holds them to their topics.
type guard struct {
	broker.HookBase
	house    string
	accounts Accounts
	now      func() time.Time

	mu    sync.Mutex
	wrong map[string]failure

	shelf shelf
}

// failure counts wrong secrets in a row.
type failure struct {
	count int
	last  time.Time
}

func newGuard(o BrokerOptions) *guard {
	return &guard{house: o.House, accounts: o.Accounts, now: o.Now, wrong: map[string]failure{}}
}

// ID names the hook in the broker's log.
func (g *guard) ID() string { return "guard" }

// Provides lists what the hook decides.
func (g *guard) Provides(b byte) bool {
	return bytes.IndexByte([]byte{broker.OnConnectAuthenticate, broker.OnACLCheck, broker.OnPublish, broker.OnRetainMessage,
		broker.OnWill, broker.OnSubscribed, broker.OnPacketProcessed}, b) >= 0
}

// OnConnectAuthenticate admits a client that knows its secret, is called as its account (so that nobody throws another
// off by its client identifier), and leaves no will on a topic of others.
func (g *guard) OnConnectAuthenticate(cl *broker.Client, pk packets.Packet) bool {
	user := string(pk.Connect.Username)
	host, _, err := net.SplitHostPort(cl.Net.Remote)
	if err != nil {
		host = cl.Net.Remote
	}
	pair := user + " " + host
	if g.paused(pair) {
		return false
	}
	account, known := g.accounts.Account(user)
	// Both sides are hashed so that neither the length nor the first wrong letter shows in the time taken; an unknown
	// user takes as long as a known one.
	want, got := sha256.Sum256([]byte(account.Secret)), sha256.Sum256(pk.Connect.Password)
	right := subtle.ConstantTimeCompare(want[:], got[:]) == 1 && known && account.Secret != ""
	g.note(pair, right)
	if !right || (cl.ID != user && !strings.HasPrefix(cl.ID, user+"-")) {
		return false
	}
	cl.Properties.Will.WillDelayInterval = 0 // a controller that is lost is lost at once
	will := cl.Properties.Will
	return will.Flag == 0 || g.allowed(user, will.TopicName, true)
}

// paused tells whether a pair has failed too often.
func (g *guard) paused(pair string) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	f, ok := g.wrong[pair]
	return ok && f.count >= wrongMost && g.now().Sub(f.last) < wrongPause
}

// note counts a wrong secret, or forgets the count after a right one.
func (g *guard) note(pair string, right bool) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if right {
		delete(g.wrong, pair)
		return
	}
	if len(g.wrong) >= wrongPairs {
		g.wrong = map[string]failure{}
	}
	f := g.wrong[pair]
	if f.count >= wrongMost {
		f.count = 0
	}
	g.wrong[pair] = failure{f.count + 1, g.now()}
}

// OnACLCheck is asked for every topic published, every filter subscribed to, and every message delivered.
func (g *guard) OnACLCheck(cl *broker.Client, topic string, write bool) bool {
	return g.allowed(string(cl.Properties.Username), topic, write)
}

// allowed applies the rights of the user.
func (g *guard) allowed(user, topic string, write bool) bool {
	account, known := g.accounts.Account(user)
	if !known {
		return false
	}
	if len(account.Publish)+len(account.Hear) > 0 {
		filters := account.Hear
		if write {
			filters = account.Publish
		}
		for _, f := range filters {
			if Match(f, topic) {
				return true
			}
		}
		return false
	}
	if write {
		return wire.MayPublish(g.house, user, topic)
	}
	return wire.MayHear(g.house, user, topic)
}

// OnPublish refuses to keep what must not be kept: a command that is retained would be carried out by a controller that
// comes back later.
func (g *guard) OnPublish(_ *broker.Client, pk packets.Packet) (packets.Packet, error) {
	if !pk.FixedHeader.Retain {
		return pk, nil
	}
	t, err := wire.ParseTopic(pk.TopicName)
	if err == nil && t.House == g.house && !wire.Retained(t.Kind) && len(pk.Payload) > 0 {
		if pk.FixedHeader.Qos == 0 {
			return pk, packets.ErrRejectPacket // there is no answer in which another reason could be said
		}
		return pk, packets.ErrNotAuthorized
	}
	g.shelf.write()
	return pk, nil
}

// OnRetainMessage is called right after a message was put on the shelf.
func (g *guard) OnRetainMessage(*broker.Client, packets.Packet, int64) { g.shelf.wrote() }

// OnWill is called before a will is published, and kept where it is to be.
func (g *guard) OnWill(_ *broker.Client, will broker.Will) (broker.Will, error) {
	if will.Retain {
		g.shelf.write()
	}
	return will, nil
}

// OnSubscribed is called before the messages that are kept are read for a client.
func (g *guard) OnSubscribed(cl *broker.Client, _ packets.Packet, _ []byte) { g.shelf.read(cl) }

// OnPacketProcessed is called when that is done.
func (g *guard) OnPacketProcessed(cl *broker.Client, pk packets.Packet, _ error) {
	if pk.FixedHeader.Type == packets.Subscribe {
		g.shelf.done(cl)
	}
}

// readMost bounds how long one client may hold the shelf: its answer goes over the network, and a client that does not read
// must not hold up the house.
const readMost = time.Second

// shelf keeps readers and writers of retained messages apart. The broker library writes the topic of a message that is
// kept while it may be reading it for a subscriber (the race detector says so), and calls its hooks on both sides of each.
type shelf struct {
	lock    sync.RWMutex
	readers sync.Map // *broker.Client → func() that lets go, once
}

func (s *shelf) write() { s.lock.Lock() }
func (s *shelf) wrote() { s.lock.Unlock() }

func (s *shelf) read(cl *broker.Client) {
	s.lock.RLock()
	release := sync.OnceFunc(s.lock.RUnlock)
	s.readers.Store(cl, release)
	time.AfterFunc(readMost, release)
}

func (s *shelf) done(cl *broker.Client) {
	if release, ok := s.readers.LoadAndDelete(cl); ok {
		release.(func())()
	}
}

// Match tells whether a topic, or a narrower filter, lies under a filter (MQTT 5, 4.7).
func Match(filter, topic string) bool {
	if strings.HasPrefix(topic, "$") != strings.HasPrefix(filter, "$") {
		return false
	}
	f, t := strings.Split(filter, "/"), strings.Split(topic, "/")
	for i, level := range f {
		if level == "#" {
			return i == len(f)-1
		}
		if i >= len(t) || t[i] == "#" || (level != "+" && level != t[i]) {
			return false
		}
	}
	return len(f) == len(t)
}
