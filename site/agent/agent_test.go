package agent

import (
	"bytes"
	"context"
	"crypto/sha256"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"wirewright/control"
	"wirewright/internal/pause"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// bulbs is a controller with two relays and two inputs.
type bulbs struct {
	mu    sync.Mutex
	value map[string]int32
	drive []string
}

func (b *bulbs) Has(module, channel string) bool {
	return module == "hall.box" && (channel == "out1" || channel == "out2" || channel == "in1" || channel == "sh1")
}

func (b *bulbs) Output(module, channel string, value, fade int32) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.drive = append(b.drive, channel+"="+strconv.Itoa(int(value)))
}

func (b *bulbs) Motor(module, channel string, direction int32) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.drive = append(b.drive, channel+">"+strconv.Itoa(int(direction)))
}

func (b *bulbs) Input(module, channel string) (int32, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	v, ok := b.value[channel]
	return v, ok
}

func (b *bulbs) driven() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return strings.Join(b.drive, " ")
}

// program makes a program with a lamp and a variable that outlives a loss of power; the input toggles the lamp.
func program(t testing.TB, spoil func(*control.Program)) *control.Program {
	t.Helper()
	p := &control.Program{Controller: "hall.box", Texts: []string{"lamp"}, Peers: []string{"stairs.box"}, Slots: []control.Slot{
		{Name: "hall.lamp", Kind: control.SlotSwitch, Publish: true, Peer: -1, Remote: -1, Schedule: -1, Module: "hall.box", Channel: "out1"},
		{Name: "hall.contact", Kind: control.SlotInput, Publish: true, Peer: -1, Remote: -1, Schedule: -1, Start: control.Unknown, Module: "hall.box", Channel: "in1"},
		{Name: "mode away", Kind: control.SlotVar, Publish: true, Retain: true, Peer: -1, Remote: -1, Schedule: -1},
		{Name: "stairs.lamp", Kind: control.SlotMirror, Peer: 0, Remote: 0, Schedule: -1, Start: control.Unknown},
	}}
	p.Causes = []control.Cause{{Kind: control.CauseRise, Slot: 1}}
	p.Actions = []control.Action{{Kind: control.ActionToggle, Index: 0}, {Kind: control.ActionToggle, Index: 2}}
	p.Rules = []control.Rule{{Causes: control.Range{Count: 1}, Actions: control.Range{Count: 2}}}
	if spoil != nil {
		spoil(p)
	}
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	return p
}

type accounts struct{}

func (accounts) Account(user string) (mqtt.Account, bool) {
	return mqtt.Account{Secret: "a-secret-of-" + user}, user != ""
}

// rig is an agent, a broker, and somebody at the other end who asks.
type rig struct {
	t      *testing.T
	broker *mqtt.Broker
	dir    string
	bulbs  *bulbs
	clock  *WoundClock
	agent  *Agent
	site   *mqtt.Client
	heard  chan mqtt.Message
	id     int
}

func newRig(t *testing.T) *rig {
	t.Helper()
	r := &rig{t: t, dir: t.TempDir(), bulbs: &bulbs{value: map[string]int32{"in1": 0}}, clock: NewClock(), heard: make(chan mqtt.Message, 1000)}
	var err error
	if r.broker, err = mqtt.StartBroker(mqtt.BrokerOptions{House: "mill", Accounts: accounts{}}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.broker.Close() })
	r.site = r.dial(wire.SiteUser, []string{"mill/#"}, func(m mqtt.Message) {
		select {
		case r.heard <- m:
		default: // nobody waits for what a long test says beside
		}
	})
	r.start()
	t.Cleanup(func() { r.agent.Cut() })
	return r
}

func (r *rig) dial(user string, filters []string, receive func(mqtt.Message)) *mqtt.Client {
	r.t.Helper()
	c, err := mqtt.Dial(context.Background(), mqtt.ClientOptions{Broker: r.broker.Address(), User: user, Secret: "a-secret-of-" + user,
		Filters: filters, Receive: receive})
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(c.Close)
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := c.Await(ctx); err != nil {
		r.t.Fatal(err)
	}
	return c
}

func (r *rig) start() {
	r.t.Helper()
	a, err := Start(context.Background(), Options{House: "mill", Controller: "hall.box", Hardware: "02:00:00:00:00:11", Type: "relay", Firmware: "test",
		Broker: r.broker.Address(), Secret: "a-secret-of-hall.box", Dir: r.dir, BytesMost: 4096, SlotsMost: 6, Channels: r.bulbs, Clock: r.clock})
	if err != nil {
		r.t.Fatal(err)
	}
	r.agent = a
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := a.Await(ctx); err != nil {
		r.t.Fatal(err)
	}
}

// await waits for a message of a topic whose payload holds a part.
func (r *rig) await(topic, part string) string {
	r.t.Helper()
	limit := time.After(5 * time.Second)
	for {
		select {
		case m := <-r.heard:
			if m.Topic == topic && strings.Contains(string(m.Payload), part) {
				return string(m.Payload)
			}
		case <-limit:
			r.t.Fatalf("nothing on %s with %q", topic, part)
		}
	}
}

func (r *rig) send(topic string, payload []byte) {
	r.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := r.site.Publish(ctx, mqtt.Message{Topic: topic, Payload: payload}); err != nil {
		r.t.Fatal(err)
	}
}

func (r *rig) ask(a wire.Ask) wire.Answer {
	r.t.Helper()
	r.id++
	a.ID = "q" + strconv.Itoa(r.id)
	r.send("mill/hall.box/ask", wire.Encode(a))
	answer, err := wire.Decode[wire.Answer]([]byte(r.await("mill/hall.box/answer", `"id":"`+a.ID+`"`)))
	if err != nil {
		r.t.Fatal(err)
	}
	return answer
}

// stage stages bytes in chunks of a size.
func (r *rig) stage(epoch uint32, b []byte, chunk int) wire.Answer {
	r.t.Helper()
	var a wire.Answer
	for at := 0; at < len(b); at += chunk {
		a = r.ask(wire.Ask{Ask: wire.AskStage, Epoch: epoch, Digest: sha256.Sum256(b), Size: len(b), Offset: at, Data: b[at:min(at+chunk, len(b))]})
		if a.Error != "" {
			return a
		}
	}
	return a
}

// passed waits until everything that a peer has published has reached the agent: a last command, of an epoch that nobody
// runs, is counted when it arrives, and the broker keeps the order of one sender.
func (r *rig) passed(peer *mqtt.Client, name string) {
	r.t.Helper()
	r.id++
	mark := wire.Command{Session: "mark", Seq: uint32(r.id), Epoch: 999, Sent: 1, Expiry: 1, Verb: "set", Rule: -1}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := peer.Publish(ctx, mqtt.Message{Topic: "mill/hall.box/do/" + name, Payload: wire.Encode(mark)}); err != nil {
		r.t.Fatal(err)
	}
	for {
		if report, ok := r.agent.Report(); ok && report.Taken[name] == mark.Seq {
			return
		}
		if !pause.For(ctx, time.Millisecond) {
			r.t.Fatal("the mark did not arrive")
		}
	}
}

func TestStagedActivatedRolledBack(t *testing.T) {
	r := newRig(t)
	one, two := program(t, nil).Encode(), program(t, func(p *control.Program) { p.Slots[0].Channel = "out2" }).Encode()
	if a := r.ask(wire.Ask{Ask: wire.AskAttest}); a.Running.Epoch != 0 || a.Hardware != "02:00:00:00:00:11" {
		t.Errorf("new: %+v", a)
	}
	if a := r.stage(1, one, 50); a.Error != "" || a.Have != len(one) || a.Staged.Epoch != 1 || a.Running.Epoch != 0 {
		t.Fatalf("staged in chunks: %+v", a)
	}
	if a := r.stage(1, one, 4000); a.Error != "" || a.Staged.Epoch != 1 {
		t.Errorf("staged twice: %+v", a)
	}
	for range 2 { // a question that comes twice changes nothing
		if a := r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 1}); a.Error != "" || a.Running.Digest != sha256.Sum256(one) || a.Staged.Epoch != 0 {
			t.Fatalf("activated: %+v", a)
		}
	}
	if got := r.bulbs.driven(); got != "out1=0" {
		t.Errorf("driven %s", got)
	}
	r.stage(2, two, 4000)
	if a := r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 2}); a.Running.Epoch != 2 || a.Previous.Epoch != 1 {
		t.Errorf("second: %+v", a)
	}
	for range 2 {
		if a := r.ask(wire.Ask{Ask: wire.AskRollback, Epoch: 2}); a.Error != "" || a.Running.Epoch != 1 || a.Previous.Epoch != 0 {
			t.Errorf("rolled back: %+v", a)
		}
	}
	r.stage(3, two, 4000)
	if a := r.ask(wire.Ask{Ask: wire.AskRollback, Epoch: 3}); a.Staged.Epoch != 0 || a.Running.Epoch != 1 {
		t.Errorf("dropped: %+v", a)
	}
	names, _ := filepath.Glob(filepath.Join(r.dir, "*.program"))
	if len(names) != 1 {
		t.Errorf("%d programs are left: %v", len(names), names)
	}
	if a := r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 3}); !strings.Contains(a.Error, "not staged") {
		t.Errorf("activated what was dropped: %+v", a)
	}
}

func TestProgramsThatDoNotFitAreRefused(t *testing.T) {
	r := newRig(t)
	good := program(t, nil).Encode()
	r.stage(5, good, 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 5})
	encode := func(spoil func(*control.Program)) []byte { return program(t, spoil).Encode() }
	other := sha256.Sum256([]byte("something else"))
	for _, c := range []struct {
		name, why string
		b         []byte
		digest    *[32]byte
		epoch     uint32
	}{
		{"another digest", "does not have the digest", good, &other, 6},
		{"no program", "cannot be read", []byte("no program at all"), nil, 6},
		{"cut short", "cannot be read", good[:len(good)-1], nil, 6},
		{"for another", "is for stairs.box", encode(func(p *control.Program) { p.Controller = "stairs.box" }), nil, 6},
		{"no such channel", "no channel out9", encode(func(p *control.Program) { p.Slots[0].Channel = "out9" }), nil, 6},
		{"of another module", "of attic.box", encode(func(p *control.Program) { p.Slots[0].Module = "attic.box" }), nil, 6},
		{"too many octets", "room for 4096", encode(func(p *control.Program) {
			for range 300 {
				p.Texts = append(p.Texts, strings.Repeat("long text ", 2))
			}
		}), nil, 6},
		{"too many slots", "room for 6", encode(func(p *control.Program) {
			for i := range 5 {
				p.Slots = append(p.Slots, control.Slot{Name: "v" + strconv.Itoa(i), Kind: control.SlotVar, Peer: -1, Remote: -1, Schedule: -1})
			}
		}), nil, 6},
		{"an epoch that was", "not above", good, nil, 5},
	} {
		d := wire.Digest(sha256.Sum256(c.b))
		if c.digest != nil {
			d = *c.digest
		}
		var a wire.Answer
		for at := 0; at < len(c.b); at += wire.ChunkMost {
			a = r.ask(wire.Ask{Ask: wire.AskStage, Epoch: c.epoch, Digest: d, Size: len(c.b), Offset: at, Data: c.b[at:min(len(c.b), at+wire.ChunkMost)]})
		}
		if !strings.Contains(a.Error, c.why) || a.Staged.Epoch != 0 || a.Running.Epoch != 5 {
			t.Errorf("%s: %+v, want %q", c.name, a, c.why)
		}
	}
	half := wire.Ask{Ask: wire.AskStage, Epoch: 7, Digest: sha256.Sum256(good), Size: len(good), Offset: 0, Data: good[:10]}
	r.ask(half)
	half.Offset = 20
	if a := r.ask(half); !strings.Contains(a.Error, "a chunk at 10 was expected") || a.Have != 10 {
		t.Errorf("a chunk too far on: %+v", a)
	}
	if a := r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 7}); a.Error == "" {
		t.Error("half a program was activated")
	}
}

func TestMemoryOutlivesTheLossOfPower(t *testing.T) {
	r := newRig(t)
	r.stage(1, program(t, nil).Encode(), 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 1})
	r.agent.Input("hall.box", "in1", 1)
	r.await("mill/hall.box/state/mode away", `"value":1`)
	r.bulbs.mu.Lock()
	r.bulbs.value["in1"] = 1
	r.bulbs.mu.Unlock()
	r.agent.Cut()
	r.await("mill/hall.box/alive", `"alive":false`)
	r.start()
	r.await("mill/hall.box/alive", `"alive":true`)
	r.await("mill/hall.box/state/mode away", `"value":1`) // it is as it was
	if got := r.bulbs.driven(); got != "out1=0 out1=1 out1=0" {
		t.Errorf("driven %s: the lamp starts anew, and the contact that is closed already is no news", got)
	}
	r.agent.Restart() // as if it had just been loaded
	r.await("mill/hall.box/state/mode away", `"value":0`)
}

func TestDamagedFilesAreNotRun(t *testing.T) {
	r := newRig(t)
	b := program(t, nil).Encode()
	r.stage(1, b, 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 1})
	r.agent.Cut()
	path := r.agent.shelf.path(sha256.Sum256(b))
	if err := os.WriteFile(path, append(bytes.Clone(b), 0), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(context.Background(), r.agent.o); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("error %v", err)
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(r.dir, memoryFile), []byte("torn"), 0o600); err != nil {
		t.Fatal(err)
	}
	r.start() // memory that cannot be read is as none
}

// TestHostileMessagesChangeNothing sends what no controller would, and looks that the agent goes on.
func TestHostileMessagesChangeNothing(t *testing.T) {
	r := newRig(t)
	r.stage(1, program(t, nil).Encode(), 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 1})
	now := time.Now().UnixMilli()
	for _, payload := range []string{"", "{", "null", `{"seq":1}`, strings.Repeat("x", 20000),
		string(wire.Encode(wire.Command{Session: "a", Seq: 1, Epoch: 1, Sent: now, Expiry: 2000, Slot: 99, Verb: "set", Value: 1, Rule: -1})),
		string(wire.Encode(wire.Command{Session: "a", Seq: 2, Epoch: 1, Sent: now, Expiry: 2000, Slot: 1, Verb: "set", Value: 1, Rule: -1})), // an input
		string(wire.Encode(wire.Command{Session: "a", Seq: 3, Epoch: 1, Sent: now, Expiry: 2000, Slot: 0, Verb: "set", Value: 77, Rule: -1})),
		string(wire.Encode(wire.Command{Session: "a", Seq: 4, Epoch: 1, Sent: now, Expiry: 2000, Slot: 0, Verb: "slat", Value: 1, Rule: -1})),
	} {
		r.send("mill/hall.box/do/_site", []byte(payload))
	}
	stranger := r.dial("attic.box", nil, nil)
	c := wire.Encode(wire.Command{Session: "a", Seq: 1, Epoch: 1, Sent: now, Expiry: 2000, Slot: 0, Verb: "set", Value: 1, Rule: 0})
	if err := stranger.Publish(context.Background(), mqtt.Message{Topic: "mill/hall.box/do/attic.box", Payload: c}); err != nil {
		t.Fatal(err)
	}
	r.await("mill/hall.box/journal", "not from a peer")
	if a := r.ask(wire.Ask{Ask: wire.AskAttest}); a.Running.Epoch != 1 {
		t.Errorf("%+v", a)
	}
	if got := r.bulbs.driven(); got != "out1=0" {
		t.Errorf("driven %s", got)
	}
	r.send("mill/hall.box/do/_site", wire.Encode(wire.Command{Session: "a", Seq: 5, Epoch: 1, Sent: now, Expiry: 60_000, Slot: 0, Verb: "set", Value: 1, Rule: -1}))
	r.await("mill/hall.box/state/hall.lamp", `"value":1`)
}

// TestOldWillsAreKnownByTheirSession: a will that comes after its controller is back must not take it away again.
func TestOldWillsAreKnownByTheirSession(t *testing.T) {
	r := newRig(t)
	r.stage(1, program(t, nil).Encode(), 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 1})
	peer := r.dial("stairs.box", nil, nil)
	say := func(m wire.Alive) {
		t.Helper()
		if err := peer.Publish(context.Background(), mqtt.Message{Topic: "mill/stairs.box/alive", Payload: wire.Encode(m), Retain: true}); err != nil {
			t.Fatal(err)
		}
		r.passed(peer, "stairs.box")
	}
	alive := func() (alive bool) {
		r.agent.Do(func() { alive = r.agent.peer("stairs.box").alive })
		return alive
	}
	for i, c := range []struct {
		m    wire.Alive
		want bool
	}{
		{wire.Alive{Alive: true, Session: "one"}, true},
		{wire.Alive{Alive: true, Session: "two"}, true},
		{wire.Alive{Alive: false, Session: "one"}, true}, // the will of a session that is over
		{wire.Alive{Alive: false, Session: "two"}, false},
		{wire.Alive{Alive: true, Session: "one"}, false}, // nobody comes back in a session that is over
		{wire.Alive{Alive: true, Session: "two"}, true},
	} {
		say(c.m)
		if alive() != c.want {
			t.Errorf("%d: after %+v it counts as alive: %v", i, c.m, !c.want)
		}
	}
}

func TestMirrorsBelieveTheirOwnEpochOnly(t *testing.T) {
	r := newRig(t)
	r.stage(4, program(t, nil).Encode(), 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 4})
	peer := r.dial("stairs.box", nil, nil)
	for _, c := range []struct {
		epoch uint32
		value int32
		want  int32
	}{{3, 1, control.Unknown}, {4, 1, 1}, {5, 0, 1}, {4, 0, 0}} {
		b := wire.Encode(wire.State{Slot: 0, Value: wire.Value(c.value), Count: 1, Epoch: c.epoch, At: 1})
		if err := peer.Publish(context.Background(), mqtt.Message{Topic: "mill/stairs.box/state/stairs.lamp", Payload: b, Retain: true}); err != nil {
			t.Fatal(err)
		}
		r.passed(peer, "stairs.box")
		r.agent.Do(func() {
			for i := range r.agent.program.Slots {
				if s := &r.agent.program.Slots[i]; s.Kind == control.SlotMirror {
					if v := r.agent.program.Value(r.agent.state, int16(i)); v != c.want {
						t.Errorf("epoch %d value %d: the mirror shows %d, want %d", c.epoch, c.value, v, c.want)
					}
				}
			}
		})
	}
}

func TestWoundClock(t *testing.T) {
	c := NewClock()
	at := time.Date(2026, 12, 1, 6, 0, 0, 0, time.UTC)
	c.Set(at)
	before := c.Elapsed()
	c.Wind(time.Hour)
	c.Wind(-time.Hour) // a clock is not wound back
	if d := c.Elapsed() - before; d < time.Hour || d > time.Hour+time.Minute {
		t.Errorf("elapsed by %s", d)
	}
	if d := c.Wall().Sub(at); d < time.Hour || d > time.Hour+time.Minute {
		t.Errorf("the house is %s on", d)
	}
	c.Set(at.AddDate(0, 0, -1))
	if c.Elapsed() < before+time.Hour {
		t.Error("setting the house back turned time back")
	}
}
