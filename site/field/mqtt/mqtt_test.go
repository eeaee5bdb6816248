package mqtt

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"wirewright/catalogue"
	"wirewright/site/wire"
)

type accounts map[string]Account

func (a accounts) Account(user string) (Account, bool) { v, ok := a[user]; return v, ok }

var people = accounts{
	"hall.box":    {Secret: "hall-secret-1234"},
	"stairs.keys": {Secret: "stairs-secret-99"},
	wire.SiteUser: {Secret: "site-secret-5678"},
	"driver":      {Secret: "driver-secret-0", Publish: []string{"plugs/+/command"}, Hear: []string{"plugs/+/report"}},
	"plug":        {Secret: "plug-secret-4321", Publish: []string{"plugs/p1/report"}, Hear: []string{"plugs/p1/command"}},
}

func startBroker(t testing.TB, o BrokerOptions) *Broker {
	t.Helper()
	o.House, o.Accounts = "mill-lane", people
	b, err := StartBroker(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// ear collects messages and lets a test wait for one.
type ear struct {
	mu   sync.Mutex
	list []Message
	news chan struct{}
}

func newEar() *ear { return &ear{news: make(chan struct{}, 1000)} }

func (e *ear) hear(m Message) {
	e.mu.Lock()
	e.list = append(e.list, m)
	e.mu.Unlock()
	e.news <- struct{}{}
}

func (e *ear) messages() []Message {
	e.mu.Lock()
	defer e.mu.Unlock()
	return append([]Message(nil), e.list...)
}

func (e *ear) count() int { return len(e.messages()) }

func (e *ear) await(t testing.TB, what string, ok func(Message) bool) Message {
	t.Helper()
	limit := time.After(5 * time.Second)
	for {
		e.mu.Lock()
		for _, m := range e.list {
			if ok(m) {
				e.mu.Unlock()
				return m
			}
		}
		e.mu.Unlock()
		select {
		case <-e.news:
		case <-limit:
			t.Fatalf("nothing heard: %s", what)
		}
	}
}

func on(topic, payload string) func(Message) bool {
	return func(m Message) bool { return m.Topic == topic && string(m.Payload) == payload }
}

func dial(t testing.TB, o ClientOptions) *Client {
	t.Helper()
	if o.Secret == "" {
		o.Secret = people[o.User].Secret
	}
	c, err := Dial(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	if err := c.Await(ctx); err != nil {
		t.Fatal(err)
	}
	return c
}

func publish(t testing.TB, c *Client, m Message) error {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	return c.Publish(ctx, m)
}

func TestOnlyWhoHasTheSecretComesIn(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	for _, c := range []struct{ user, secret, client string }{
		{"hall.box", "wrong", ""},
		{"hall.box", "", ""},
		{"", "", "x"},
		{"nobody", "hall-secret-1234", ""},
		{"hall.box", "hall-secret-1234", "stairs.keys"}, // would throw another off
	} {
		k, err := Dial(t.Context(), ClientOptions{Broker: b.Address(), User: c.user, Secret: c.secret, Client: c.client, Retry: time.Hour})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
		if err := k.Await(ctx); !errors.Is(err, ErrRefused) {
			t.Errorf("%+v: error %v", c, err)
		}
		cancel()
		k.Close()
	}
	dial(t, ClientOptions{Broker: b.Address(), User: "hall.box"})
}

// TestWrongSecretsAreThrottled: NIST SP 800-63B, 5.2.2 (at most 100 consecutive wrong tries).
func TestWrongSecretsAreThrottled(t *testing.T) {
	now := time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC)
	g := newGuard(BrokerOptions{House: "mill-lane", Accounts: people, Now: func() time.Time { return now }})
	for range wrongMost {
		if g.paused("hall.box 127.0.0.1") {
			t.Fatal("paused too early")
		}
		g.note("hall.box 127.0.0.1", false)
	}
	if !g.paused("hall.box 127.0.0.1") || g.paused("hall.box 127.0.0.2") || g.paused("plug 127.0.0.1") {
		t.Error("the pause does not hold for just that user from that address")
	}
	now = now.Add(wrongPause)
	if g.paused("hall.box 127.0.0.1") {
		t.Error("the pause does not end")
	}
	g.note("hall.box 127.0.0.1", true)
	if len(g.wrong) != 0 {
		t.Error("a right secret does not clear the count")
	}
}

func TestEveryoneKeepsToTheirTopics(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	site, module := newEar(), newEar()
	s := dial(t, ClientOptions{Broker: b.Address(), User: wire.SiteUser, Filters: []string{"mill-lane/#"}, Receive: site.hear})
	m := dial(t, ClientOptions{Broker: b.Address(), User: "hall.box", Receive: module.hear,
		Filters: []string{wire.Filter("mill-lane", "hall.box", wire.KindDo)}})
	if err := publish(t, m, Message{Topic: "mill-lane/stairs.keys/state/stairs.lamp", Payload: []byte("forged")}); err == nil {
		t.Error("a controller could write the state of another")
	}
	if err := publish(t, m, Message{Topic: "mill-lane/stairs.keys/do/hall.box", Payload: []byte("kept"), Retain: true}); err == nil {
		t.Error("a command could be retained")
	}
	if err := publish(t, m, Message{Topic: "mill-lane/stairs.keys/do/hall.box", Payload: []byte("command")}); err != nil {
		t.Error(err)
	}
	if err := publish(t, s, Message{Topic: "mill-lane/hall.box/do/_site", Payload: []byte("set")}); err != nil {
		t.Error(err)
	}
	module.await(t, "the command of a person", on("mill-lane/hall.box/do/_site", "set"))
	site.await(t, "the command of a peer", on("mill-lane/stairs.keys/do/hall.box", "command"))
	if module.count() != 1 {
		t.Errorf("the module heard %v", module.messages())
	}
	for _, h := range site.messages() {
		if string(h.Payload) == "forged" || string(h.Payload) == "kept" {
			t.Errorf("%q went through", h.Payload)
		}
	}
}

// TestNothingIsKeptThatMustNotBe: with neither quality of service may a command be retained.
func TestNothingIsKeptThatMustNotBe(t *testing.T) {
	pub := program(t, "mosquitto_pub")
	b := startBroker(t, BrokerOptions{})
	host, port, _ := net.SplitHostPort(b.Address())
	for _, qos := range []string{"0", "1"} {
		// The independent publisher is answered with a refusal or with nothing; what matters is what is kept.
		_ = exec.Command(pub, "-V", "mqttv5", "-h", host, "-p", port, "-u", "hall.box", "-P", people["hall.box"].Secret, "-i", "hall.box", "-q", qos,
			"-r", "-t", "mill-lane/stairs.keys/do/hall.box", "-m", "kept").Run()
		if err := exec.Command(pub, "-V", "mqttv5", "-h", host, "-p", port, "-u", "hall.box", "-P", people["hall.box"].Secret, "-i", "hall.box", "-q", qos,
			"-r", "-t", "mill-lane/hall.box/state/lamp"+qos, "-m", "kept").Run(); err != nil {
			t.Fatal(err)
		}
	}
	e := newEar()
	dial(t, ClientOptions{Broker: b.Address(), User: wire.SiteUser, Filters: []string{"mill-lane/#"}, Receive: e.hear})
	e.await(t, "state 0", on("mill-lane/hall.box/state/lamp0", "kept"))
	e.await(t, "state 1", on("mill-lane/hall.box/state/lamp1", "kept"))
	for _, m := range e.messages() {
		if strings.Contains(m.Topic, "/do/") {
			t.Errorf("kept: %s", m.Topic)
		}
	}
}

func TestForbiddenFilterFails(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	c, err := Dial(t.Context(), ClientOptions{Broker: b.Address(), User: "hall.box", Secret: people["hall.box"].Secret, Filters: []string{"#"}})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	if err := c.Await(ctx); err == nil {
		t.Error("subscribed to everything")
	}
}

func TestWillIsSentWhenTheLinkIsCutAndNotAtAGoodbye(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	e := newEar()
	dial(t, ClientOptions{Broker: b.Address(), User: wire.SiteUser, Filters: []string{"mill-lane/#"}, Receive: e.hear})
	will := &Message{Topic: "mill-lane/hall.box/alive", Payload: []byte("lost"), Retain: true}
	dial(t, ClientOptions{Broker: b.Address(), User: "hall.box", Will: will}).Cut()
	e.await(t, "the will", on("mill-lane/hall.box/alive", "lost"))

	late := newEar()
	dial(t, ClientOptions{Broker: b.Address(), User: "stairs.keys", Filters: []string{"mill-lane/+/alive"}, Receive: late.hear})
	if m := late.await(t, "the retained will", on("mill-lane/hall.box/alive", "lost")); !m.Retain {
		t.Error("not marked as retained")
	}

	n := e.count()
	will2 := &Message{Topic: "mill-lane/hall.box/alive", Payload: []byte("lost again"), Retain: true}
	k := dial(t, ClientOptions{Broker: b.Address(), User: "hall.box", Will: will2})
	k.Close()
	// Another client identifier: the same might come before the goodbye is read, and then the broker sends the will by right
	// (MQTT 5, 3.1.4).
	if err := publish(t, dial(t, ClientOptions{Broker: b.Address(), User: "hall.box", Client: "hall.box-2"}), Message{Topic: "mill-lane/hall.box/journal", Payload: []byte("mark")}); err != nil {
		t.Fatal(err)
	}
	e.await(t, "the mark", on("mill-lane/hall.box/journal", "mark"))
	for _, m := range e.messages()[n:] {
		if string(m.Payload) == "lost again" {
			t.Error("a will after a goodbye")
		}
	}
}

func TestNobodyLeavesAWillForOthers(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	c, err := Dial(t.Context(), ClientOptions{Broker: b.Address(), User: "hall.box", Secret: people["hall.box"].Secret,
		Will: &Message{Topic: "mill-lane/stairs.keys/alive", Payload: []byte("forged")}, Retry: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	if err := c.Await(ctx); !errors.Is(err, ErrRefused) {
		t.Errorf("error %v", err)
	}
}

func TestClientComesBackAfterTheBrokerRestarts(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	address := b.Address()
	e := newEar()
	ups, downs := make(chan struct{}, 10), make(chan struct{}, 10)
	c := dial(t, ClientOptions{Broker: address, User: "hall.box", Retry: 20 * time.Millisecond, Receive: e.hear,
		Filters: []string{"mill-lane/+/state/+"}, Up: func() { ups <- struct{}{} }, Down: func() { downs <- struct{}{} }})
	<-ups
	b.Close()
	<-downs
	if err := publish(t, c, Message{Topic: "mill-lane/hall.box/journal", Payload: []byte("x")}); err == nil {
		t.Error("published without a broker")
	}
	startBroker(t, BrokerOptions{Listen: address})
	select {
	case <-ups:
	case <-time.After(10 * time.Second):
		t.Fatal("did not come back")
	}
	if err := publish(t, c, Message{Topic: "mill-lane/hall.box/state/hall.lamp", Payload: []byte("1"), Retain: true}); err != nil {
		t.Fatal(err)
	}
	e.await(t, "its own state over the renewed subscription", on("mill-lane/hall.box/state/hall.lamp", "1"))
}

func TestBrokerSaysWhyItCannotListen(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	for _, c := range []struct{ listen, why string }{
		{b.Address(), "is in use by another program"},
		{"0.0.0.0:0", "say expressly"},
		{":0", "say expressly"},
		{"127.0.0.1", "not host:port"},
	} {
		if _, err := StartBroker(BrokerOptions{Listen: c.listen, House: "h", Accounts: people}); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v", c.listen, err)
		}
	}
	open, err := StartBroker(BrokerOptions{Listen: "0.0.0.0:0", Open: true, House: "h", Accounts: people})
	if err != nil {
		t.Fatal(err)
	}
	open.Close()
}

// TestMatch holds the examples of MQTT 5, 4.7.1, and those that a general-purpose broker answered the same way.
func TestMatch(t *testing.T) {
	for _, c := range []struct {
		filter, topic string
		want          bool
	}{
		{"home/hall/#", "home/hall", true},
		{"home/hall/#", "home/hall/relay/1", true},
		{"home/hall/#", "home/hallway", false},
		{"home/+", "home/", true},
		{"home/+", "home/a", true},
		{"home/+", "home", false},
		{"home/+", "home/a/b", false},
		{"home/+", "/home/a", false},
		{"#", "$internal/x", false},
		{"a/+", "a/#", false}, // a filter wider than what is allowed
		{"a/+", "a/+", true},
		{"a/b", "a/+", false},
	} {
		if got := Match(c.filter, c.topic); got != c.want {
			t.Errorf("%q matches %q: %v", c.filter, c.topic, got)
		}
	}
}

func TestDeviceOfAnotherMake(t *testing.T) {
	b := startBroker(t, BrokerOptions{})
	maps := []catalogue.MQTTMap{
		{Channel: "out1", Command: "plugs/{host}/command", On: `{"relay":"on"}`, Off: `{"relay":"off"}`, State: "plugs/{host}/report", Field: "relay"},
		{Channel: "meter1", State: "plugs/{host}/report", Field: "watts"},
	}
	// The plug itself: an independent client that answers a command with a report.
	var plug *Client
	ready := make(chan struct{})
	plug = dial(t, ClientOptions{Broker: b.Address(), User: "plug", Filters: []string{"plugs/p1/command"}, Receive: func(m Message) {
		<-ready
		go publish(t, plug, Message{Topic: "plugs/p1/report", Payload: []byte(strings.Replace(string(m.Payload), "}", `,"watts":42.4}`, 1))})
	}})
	close(ready)
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	d, err := OpenDevice(ctx, ClientOptions{Broker: b.Address(), User: "driver", Secret: "driver-secret-0"}, "p1", maps)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if err := d.Write(ctx, "out1", 1); err != nil {
		t.Fatal(err)
	}
	w, err := d.Read(ctx, "meter1")
	if err != nil || w != 42 {
		t.Errorf("meter %d (%v)", w, err)
	}
	if err := d.Write(ctx, "meter1", 1); err == nil {
		t.Error("a meter was written")
	}
	if _, err := d.Read(ctx, "out9"); err == nil {
		t.Error("a channel without mapping was read")
	}
}

func TestReports(t *testing.T) {
	m := catalogue.MQTTMap{Channel: "out1", On: "ON", Off: "OFF"}
	field := catalogue.MQTTMap{Channel: "out1", On: "ON", Off: "OFF", Field: "power"}
	for _, c := range []struct {
		m    catalogue.MQTTMap
		text string
		want int32
		ok   bool
	}{
		{m, "ON", 1, true}, {m, "OFF", 0, true}, {m, "21.5", 22, true}, {m, "true", 1, true}, {m, "on", 0, false},
		{m, "NaN", 0, false}, {m, "1e300", 0, false}, {m, "", 0, false},
		{field, `{"power":"ON"}`, 1, true}, {field, `{"power":false}`, 0, true}, {field, `{"power":7}`, 7, true},
		{field, `{"other":7}`, 0, false}, {field, `ON`, 0, false},
	} {
		got, err := report(&c.m, []byte(c.text))
		if got != c.want || (err == nil) != c.ok {
			t.Errorf("%q: %d (%v)", c.text, got, err)
		}
	}
	if got := payload(&catalogue.MQTTMap{On: `{"level":{value}}`}, 340); got != `{"level":340}` {
		t.Errorf("payload %s", got)
	}
}

// program finds an outside program or skips the test.
func program(t testing.TB, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed: make test installs it", name)
	}
	return p
}

// startMosquitto runs a general-purpose broker with the same accounts.
func startMosquitto(t testing.TB) string {
	t.Helper()
	path := program(t, "mosquitto")
	dir := t.TempDir()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	l.Close()
	conf := fmt.Sprintf("listener %d 127.0.0.1\nallow_anonymous false\npassword_file %s\nset_tcp_nodelay true\npersistence false\n", port, filepath.Join(dir, "users"))
	if os.Getuid() == 0 {
		conf += "user root\n"
	}
	users := ""
	for _, u := range []string{"hall.box", "stairs.keys", wire.SiteUser} {
		users += u + ":" + people[u].Secret + "\n"
	}
	for name, text := range map[string]string{"conf": conf, "users": users} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command(program(t, "mosquitto_passwd"), "-U", filepath.Join(dir, "users")).CombinedOutput(); err != nil {
		t.Fatalf("mosquitto_passwd: %v %s", err, out)
	}
	cmd := exec.Command(path, "-c", filepath.Join(dir, "conf"))
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	return fmt.Sprintf("127.0.0.1:%d", port)
}

// TestMosquittoSubSeesTheSameOnBothBrokers publishes a will, a retained state and a command through our client and lets
// an independent subscriber (mosquitto_sub) write down what it sees, on the embedded broker and on an external one.
func TestMosquittoSubSeesTheSameOnBothBrokers(t *testing.T) {
	sub := program(t, "mosquitto_sub")
	seen := map[string]string{}
	for name, address := range map[string]string{"embedded": startBroker(t, BrokerOptions{}).Address(), "external": startMosquitto(t)} {
		m := dial(t, ClientOptions{Broker: address, User: "hall.box", Retry: 20 * time.Millisecond,
			Will: &Message{Topic: "mill-lane/hall.box/alive", Payload: []byte(`{"alive":false}`), Retain: true}})
		if err := publish(t, m, Message{Topic: "mill-lane/hall.box/state/hall.lamp", Payload: []byte(`{"value":1}`), Retain: true}); err != nil {
			t.Fatal(err)
		}
		host, port, _ := net.SplitHostPort(address)
		cmd := exec.Command(sub, "-V", "mqttv5", "-h", host, "-p", port, "-u", wire.SiteUser, "-P", people[wire.SiteUser].Secret,
			"-i", wire.SiteUser+"-watch", "-q", "1", "-t", "mill-lane/#", "-F", "%t retain=%r qos=%q %p", "-C", "3", "-W", "8")
		out := &line{news: make(chan struct{}, 10)}
		cmd.Stdout = out
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		out.await(t, "retain=1") // the retained state is there: the subscription stands
		if err := publish(t, m, Message{Topic: "mill-lane/stairs.keys/do/hall.box", Payload: []byte(`{"seq":1}`), Expiry: 2 * time.Second}); err != nil {
			t.Fatal(err)
		}
		out.await(t, "seq")
		m.Cut()
		if err := cmd.Wait(); err != nil {
			t.Errorf("%s: mosquitto_sub: %v, heard %s", name, err, out.text())
		}
		seen[name] = out.text()
	}
	want := "mill-lane/hall.box/state/hall.lamp retain=1 qos=1 {\"value\":1}\n" +
		"mill-lane/stairs.keys/do/hall.box retain=0 qos=1 {\"seq\":1}\n" +
		"mill-lane/hall.box/alive retain=0 qos=1 {\"alive\":false}\n"
	for name, got := range seen {
		if got != want {
			t.Errorf("%s: mosquitto_sub saw\n%swant\n%s", name, got, want)
		}
	}
}

// line is the output of a program, to be waited for.
type line struct {
	mu   sync.Mutex
	buf  strings.Builder
	news chan struct{}
}

func (l *line) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.buf.Write(p)
	select {
	case l.news <- struct{}{}:
	default:
	}
	return len(p), nil
}

func (l *line) text() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

func (l *line) await(t testing.TB, part string) {
	t.Helper()
	limit := time.After(8 * time.Second)
	for !strings.Contains(l.text(), part) {
		select {
		case <-l.news:
		case <-limit:
			t.Fatalf("never said %q, but %q", part, l.text())
		}
	}
}

// BenchmarkRoundTrip measures publish to receipt through the embedded broker and through an external one.
func BenchmarkRoundTrip(b *testing.B) {
	for _, name := range []string{"embedded", "external"} {
		b.Run(name, func(b *testing.B) {
			var address string
			if name == "embedded" {
				address = startBroker(b, BrokerOptions{}).Address()
			} else {
				address = startMosquitto(b)
			}
			got := make(chan struct{}, 1)
			dial(b, ClientOptions{Broker: address, User: "stairs.keys", Retry: 20 * time.Millisecond,
				Filters: []string{"mill-lane/stairs.keys/do/+"}, Receive: func(Message) { got <- struct{}{} }})
			c := dial(b, ClientOptions{Broker: address, User: "hall.box", Retry: 20 * time.Millisecond})
			b.ResetTimer()
			for range b.N {
				if err := publish(b, c, Message{Topic: "mill-lane/stairs.keys/do/hall.box", Payload: []byte("{}")}); err != nil {
					b.Fatal(err)
				}
				<-got
			}
		})
	}
}
