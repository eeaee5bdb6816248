package virtual

import (
	"bufio"
	"context"
	"crypto/rand"
	"errors"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"reflect"
	"strings"
	"testing"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/site"
	"wirewright/site/field/dnssd"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// TestHouseIsCommissioned goes through all of it: six modules, one of them a head, are set up, found, loaded, attested;
// keys light lamps through the broker; the clock is wound; the sun and the calendar work; nothing is left to do.
func TestHouseIsCommissioned(t *testing.T) {
	s := setScene(t, mill)
	standing := &site.Standing{Sealed: map[string]bool{}}
	if got := acts(site.Tasks(s.plan, standing)); got != "enrol×6 load" {
		t.Fatalf("at first: %s", got)
	}
	s.enrol()
	for i := range s.plan.Controllers {
		standing.Sealed[s.plan.Controllers[i].ID] = true
	}
	if got := acts(site.Tasks(s.plan, standing)); got != "find×6 load" {
		t.Errorf("enrolled: %s", got)
	}

	iface, err := dnssd.Interface(netip.MustParseAddr("127.0.0.1"))
	if err != nil {
		t.Skip(err)
	}
	hailed, err := site.Hail(s.ctx, site.HailOptions{Plan: s.plan, Interface: iface, Limit: 10 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range hailed {
		if h.Finding != site.Matched {
			t.Errorf("%+v", h)
		}
	}
	standing.Hailed = hailed
	if got := acts(site.Tasks(s.plan, standing)); got != "attest" {
		t.Errorf("found: %s", got)
	}

	s.connect()
	standing.Attested = site.Attest(s.ctx, s.link, nil)
	if got := acts(site.Tasks(s.plan, standing)); got != "load" {
		t.Errorf("attested: %s", got)
	}
	if epoch := s.load(); epoch != 1 {
		t.Errorf("epoch %d", epoch)
	}
	standing.Attested = site.Attest(s.ctx, s.link, nil)
	if got := site.Tasks(s.plan, standing); len(got) != 0 {
		t.Errorf("left to do: %v", got)
	}
	s.tryAll()
}

// acts counts tasks by act.
func acts(list []site.Task) string {
	var parts []string
	count := map[string]int{}
	for _, k := range list {
		if count[k.Act]++; count[k.Act] == 1 {
			parts = append(parts, k.Act)
		}
	}
	for i, p := range parts {
		if count[p] > 1 {
			parts[i] = p + "×" + string(rune('0'+count[p]))
		}
	}
	return strings.Join(parts, " ")
}

// tryAll acts on the house as a person does.
func (s *scene) tryAll() {
	t := s.t
	t.Helper()
	w := site.NewWorld(s.ctx, s.link, s.fleet.Hand())
	do := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	expect := func(name string, want int32) {
		t.Helper()
		if v, ok := w.Value(name); !ok || v != want {
			t.Errorf("%s is %d (%v), want %d", name, v, ok, want)
		}
	}
	press := func(point string, key int) {
		t.Helper()
		do(w.Key(houseID(point), key, true))
		do(w.Advance(100))
		do(w.Key(houseID(point), key, false))
	}
	do(w.Reset())
	expect("hall.lamp", 0)
	press("hall.keys", 1) // on its own controller
	expect("hall.lamp", 1)
	press("cellar.keys", 2) // from the head: a toggle, decided by the owner
	expect("hall.lamp", 0)
	press("stairs.keys", 2) // from another module
	expect("hall.lamp", 1)
	press("stairs.keys", 3)
	do(w.Advance(1000))
	if m, ok := w.Motion("study.shutter"); !ok || m != 1 {
		t.Errorf("the shutter moves %d (%v)", m, ok)
	}
	do(w.Advance(25_000))
	if m, _ := w.Motion("study.shutter"); m != 0 {
		t.Errorf("the shutter still moves %d", m)
	}
	expect("study.shutter", 1000)
	press("cellar.keys", 1)
	expect("cellar.lamp", 1)
	do(w.Advance(2 * 60_000))
	expect("cellar.lamp", 1)
	do(w.Advance(60_000))
	expect("cellar.lamp", 0)
	do(w.Message("doorbell"))
	expect("stairs.lamp", 1)
	do(w.Clock(time.Date(2026, 12, 1, 21, 29, 50, 0, w.Now().Location())))
	expect("study.lamp", 0)
	do(w.Advance(11_000))
	if v, _ := w.Value("study.lamp"); v == 0 {
		t.Error("the calendar did nothing")
	}
	press("hall.keys", 2)
	for _, lamp := range []string{"hall.lamp", "stairs.lamp", "study.lamp", "cellar.lamp"} {
		expect(lamp, 0)
	}
	if !s.diary.has("hall.box output hall.lamp 1 rule=-1 from=stairs.box") {
		t.Errorf("the journal does not say whose command lit the lamp:\n%s", strings.Join(s.diary.list, "\n"))
	}
	look, err := s.member("board1.head").Look(s.ctx)
	do(err)
	for _, r := range look.Readings {
		if r.Module == "board1.relays" && r.Name == "out1" && r.Value != 0 {
			t.Error("the relay is on and the state says off")
		}
	}
}

// TestDuplicateAndLateCommandsDoNothing speaks to a module as its peer does, with the peer's own secret.
func TestDuplicateAndLateCommandsDoNothing(t *testing.T) {
	s := setScene(t, mill)
	s.enrol()
	s.connect()
	s.load()
	s.member("stairs.box").Kill()
	s.until("its will", func() bool { return !s.link.Alive("stairs.box") })
	secret, _ := s.secrets.Open("module/stairs.box")
	peer, err := mqtt.Dial(s.ctx, mqtt.ClientOptions{Broker: s.broker.Address(), User: "stairs.box", Secret: secret})
	if err != nil {
		t.Fatal(err)
	}
	defer peer.Close()
	if err := peer.Await(s.ctx); err != nil {
		t.Fatal(err)
	}
	c, slot, _ := s.plan.Owner("hall.lamp")
	say := func(seq uint32, session string, age time.Duration, epoch uint32, verb string, value int32) {
		t.Helper()
		m := wire.Command{Session: session, Seq: seq, Epoch: epoch, Sent: time.Now().Add(-age).UnixMilli(), Expiry: 2000, Slot: slot,
			Verb: verb, Value: wire.Value(value), Rule: 0}
		topic := wire.Topic{House: s.plan.House, Controller: c.ID, Kind: wire.KindDo, Name: "stairs.box"}
		if err := peer.Publish(s.ctx, mqtt.Message{Topic: topic.String(), Payload: wire.Encode(m)}); err != nil {
			t.Fatal(err)
		}
		for { // until the module has had it
			look, err := s.member("hall.box").Look(s.ctx)
			if err != nil {
				t.Fatal(err)
			}
			if look.Report.Taken["stairs.box"] == seq {
				break
			}
		}
		// And until what the module says of it is here: its answer comes after it.
		if _, err := s.link.Ask(s.ctx, c.ID, wire.Ask{Ask: wire.AskAttest}); err != nil {
			t.Fatal(err)
		}
	}
	say(1, "s1", 0, 1, "set", 1)
	s.until("the lamp on", func() bool { return s.value("hall.lamp") == 1 })
	for _, c := range []struct {
		name, session, verb, why string
		seq                      uint32
		age                      time.Duration
		epoch                    uint32
		value                    int32
	}{
		{"a duplicate", "s1", "set", "", 1, 0, 1, 0},
		{"a late one", "s1", "set", "too late", 2, 3 * time.Second, 1, 0},
		{"one of another epoch", "s1", "set", "another epoch", 3, 0, 2, 0},
		{"one of epoch 0", "s1", "toggle", "another epoch", 4, 0, 0, 0},
	} {
		say(c.seq, c.session, c.age, c.epoch, c.verb, c.value)
		if s.value("hall.lamp") != 1 {
			t.Errorf("%s was carried out", c.name)
		}
		if c.why != "" && !s.diary.has(c.why) {
			t.Errorf("%s: the journal does not say why nothing was done", c.name)
		}
	}
	say(1, "s2", 0, 1, "set", 0) // the peer has started anew: its numbers begin anew
	s.until("the lamp off", func() bool { return s.value("hall.lamp") == 0 })
	say(5, "s1", 0, 1, "set", 1)
	if s.value("hall.lamp") != 0 || !s.diary.has("session that is over") {
		t.Error("a command of a session that is over was carried out")
	}
}

// TestKillWhileLoadingRollsBack kills a module between staging and activation; every other is as before, and after the
// module is back everything can be loaded.
func TestKillWhileLoadingRollsBack(t *testing.T) {
	s := setScene(t, mill)
	s.enrol()
	s.connect()
	first := s.load()
	before := site.Attest(s.ctx, s.link, nil)
	changed := strings.Replace(mill, "turn on cellar.lamp;", "turn on cellar.lamp, study.lamp;", 1)
	h, cat, c := readHouse(t, changed)
	next, err := site.NewPlan(h, cat, c, s.plan.Broker)
	if err != nil {
		t.Fatal(err)
	}
	old := s.plan.Controllers
	s.plan.Controllers = next.Controllers
	killed := make(chan struct{})
	_, err = site.Load(s.ctx, s.link, func(k site.Step) {
		if k.Act == "stage" && k.Done == k.All {
			s.member("study.dimmer").Kill()
			close(killed)
		}
	})
	<-killed
	var failed *site.LoadError
	if !errors.As(err, &failed) || failed.Act != "activate" || !errors.Is(err, site.ErrAway) || failed.Rollback == nil {
		t.Fatalf("error %v", err)
	}
	s.plan.Controllers = old
	for _, a := range site.Attest(s.ctx, s.link, nil) {
		if a.Controller == "study.dimmer" {
			if a.Err == nil {
				t.Error("a dead module answered")
			}
			continue
		}
		if !a.Good() || a.Answer.Running.Epoch != first || a.Answer.Staged.Epoch != 0 {
			t.Errorf("%s: %+v", a.Text(), a.Answer)
		}
	}
	if err := s.member("study.dimmer").Start(); err != nil {
		t.Fatal(err)
	}
	if err := site.AwaitAll(s.ctx, s.link, 5*time.Second); err != nil {
		t.Fatal(err)
	}
	after := site.Attest(s.ctx, s.link, nil)
	for i := range after {
		if after[i].Answer.Running != before[i].Answer.Running {
			t.Errorf("%s came back with %+v", after[i].Controller, after[i].Answer.Running)
		}
	}
	if what, err := site.Recover(s.ctx, s.link, nil); err != nil || what != site.RecoveredBackward {
		t.Errorf("recovery: %v (%v)", what, err) // the module still has the epoch staged that nobody runs
	}
	s.plan.Controllers = next.Controllers
	if epoch := s.load(); epoch <= first {
		t.Errorf("epoch %d after %d", epoch, first)
	}
	if e, good := site.OneEpoch(site.Attest(s.ctx, s.link, nil)); !good {
		t.Errorf("epoch %d is not everywhere", e)
	}
}

// TestCrashBetweenActivationsIsRecovered leaves a house between two epochs, as a crash of the commissioning side does, in
// both ways, and recovers it.
func TestCrashBetweenActivationsIsRecovered(t *testing.T) {
	s := setScene(t, mill)
	s.enrol()
	s.connect()
	first := s.load()
	stage := func(id string, epoch uint32) {
		t.Helper()
		c := s.plan.Controller(id)
		if _, err := s.link.Ask(s.ctx, id, wire.Ask{Ask: wire.AskStage, Epoch: epoch, Digest: c.Digest, Size: len(c.Encoded), Data: c.Encoded}); err != nil {
			t.Fatal(err)
		}
	}
	activate := func(id string, epoch uint32) {
		t.Helper()
		if _, err := s.link.Ask(s.ctx, id, wire.Ask{Ask: wire.AskActivate, Epoch: epoch}); err != nil {
			t.Fatal(err)
		}
	}
	for i := range s.plan.Controllers {
		stage(s.plan.Controllers[i].ID, first+1)
	}
	activate("hall.box", first+1)
	activate("board1.head", first+1)
	if what, err := site.Recover(s.ctx, s.link, nil); err != nil || what != site.RecoveredForward {
		t.Fatalf("%v (%v)", what, err)
	}
	if e, good := site.OneEpoch(site.Attest(s.ctx, s.link, nil)); !good || e != first+1 {
		t.Errorf("epoch %d (%v)", e, good)
	}
	stage("hall.box", first+2)
	stage("stairs.box", first+2)
	activate("hall.box", first+2)
	if what, err := site.Recover(s.ctx, s.link, nil); err != nil || what != site.RecoveredBackward {
		t.Fatalf("%v (%v)", what, err)
	}
	if e, good := site.OneEpoch(site.Attest(s.ctx, s.link, nil)); !good || e != first+1 {
		t.Errorf("epoch %d (%v)", e, good)
	}
	if what, err := site.Recover(s.ctx, s.link, nil); err != nil || what != site.RecoveredNothing {
		t.Errorf("%v (%v)", what, err)
	}
}

// TestModulesComeBackAsTheyWere restarts a process, pulls a plug, takes a radio away, and resets to the factory state.
func TestModulesComeBackAsTheyWere(t *testing.T) {
	s := setScene(t, mill)
	s.enrol()
	s.connect()
	epoch := s.load()
	m := s.member("hall.box")
	running := func() (wire.Loaded, bool) {
		a, err := s.link.Ask(s.ctx, "hall.box", wire.Ask{Ask: wire.AskAttest})
		return a.Running, err == nil
	}
	m.Kill()
	s.until("will after a kill", func() bool { return !s.link.Alive("hall.box") })
	if err := m.Start(); err != nil {
		t.Fatal(err)
	}
	s.until("back after a restart", func() bool { return s.link.Alive("hall.box") })
	if l, ok := running(); !ok || l.Epoch != epoch {
		t.Errorf("after a restart it runs %+v", l)
	}
	for _, c := range []struct {
		name string
		do   func(context.Context, bool) error
	}{{"power", m.Power}, {"radio", m.Radio}} {
		if err := c.do(s.ctx, false); err != nil {
			t.Fatal(err)
		}
		s.until("lost: "+c.name, func() bool { return !s.link.Alive("hall.box") })
		if err := c.do(s.ctx, true); err != nil {
			t.Fatal(err)
		}
		s.until("back: "+c.name, func() bool { return s.link.Alive("hall.box") })
		if l, ok := running(); !ok || l.Epoch != epoch {
			t.Errorf("after %s it runs %+v", c.name, l)
		}
	}
	if err := m.Factory(s.ctx); err != nil {
		t.Fatal(err)
	}
	s.until("left", func() bool { return !s.link.Alive("hall.box") })
	d, err := site.Visit(s.ctx, nil, m.Page())
	if err != nil || !d.Setup || d.Name != "" {
		t.Errorf("after a factory reset: %+v (%v)", d, err)
	}
	if _, err := site.Enrol(s.ctx, m.Page(), "hall.box", site.EnrolOptions{Plan: s.plan, Secrets: s.secrets}); err != nil {
		t.Error(err)
	}
	s.until("enrolled again", func() bool { return s.link.Alive("hall.box") })
	if l, ok := running(); !ok || l.Epoch != 0 {
		t.Errorf("a new module runs %+v", l)
	}
}

// TestLocalRulesSurviveTheLossOfTheNetwork: a rule whose cause and output share a controller needs no network.
func TestLocalRulesSurviveTheLossOfTheNetwork(t *testing.T) {
	s := setScene(t, mill)
	s.enrol()
	s.connect()
	s.load()
	hand := s.fleet.Hand()
	w := site.NewWorld(s.ctx, s.link, hand)
	if err := w.Break("router"); err != nil {
		t.Fatal(err)
	}
	for _, down := range []bool{true, false} {
		if err := w.Key("hall.keys", 1, down); err != nil {
			t.Fatal(err)
		}
		if err := w.Advance(100); err != nil {
			t.Fatal(err)
		}
	}
	look, err := s.member("hall.box").Look(s.ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range look.Readings {
		if r.Name == "out1" && r.Value != 1 {
			t.Errorf("the lamp stayed %d without the network", r.Value)
		}
	}
	if err := w.Mend("router"); err != nil {
		t.Fatal(err)
	}
	s.until("the lamp's state after the network came back", func() bool { return s.value("hall.lamp") == 1 })
}

// TestBrokerGoesAndComesBack stops the broker and starts another at its address, which remembers nothing: states that
// were retained are told again.
func TestBrokerGoesAndComesBack(t *testing.T) {
	s := setScene(t, mill)
	s.enrol()
	s.connect()
	s.load()
	hand := s.fleet.Hand()
	hand.Broker = func(up bool) error {
		if !up {
			return s.broker.Close()
		}
		accounts, err := site.NewAccounts(s.plan, s.secrets, rand.Reader)
		if err != nil {
			return err
		}
		b, err := mqtt.StartBroker(mqtt.BrokerOptions{Listen: s.plan.Broker, House: s.plan.House, Accounts: accounts})
		if err == nil {
			s.broker = b
			t.Cleanup(func() { b.Close() })
		}
		return err
	}
	w := site.NewWorld(s.ctx, s.link, hand)
	press := func(key int) {
		t.Helper()
		for _, down := range []bool{true, false} {
			if err := errors.Join(w.Key("hall.keys", key, down), w.Advance(100)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := w.Break("broker"); err != nil {
		t.Fatal(err)
	}
	press(1)
	if err := w.Mend("broker"); err != nil {
		t.Fatal(err)
	}
	s.until("the state that changed without a broker", func() bool { return s.value("hall.lamp") == 1 })
	s.until("every controller", func() bool {
		for _, c := range s.plan.Controllers {
			if !s.link.Alive(c.ID) {
				return false
			}
		}
		return true
	})
	press(1)
	s.until("the lamp off", func() bool { return s.value("hall.lamp") == 0 })
	if err := w.Break("roof"); !errors.Is(err, accept.ErrCannot) {
		t.Errorf("error %v", err)
	}
}

// TestNoProcessOutlivesItsFleet ends a fleet by its context.
func TestNoProcessOutlivesItsFleet(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	f, err := Launch(ctx, FleetOptions{Modules: []Config{{Hardware: "02:00:00:00:00:01", Type: "x", Listen: "127.0.0.1:0", Dir: folder(t, "a")},
		{Hardware: "02:00:00:00:00:02", Type: "x", Listen: "127.0.0.1:0", Dir: folder(t, "b")}}})
	if err != nil {
		t.Fatal(err)
	}
	var ended []<-chan struct{}
	for _, m := range f.Members() {
		ended = append(ended, m.running().ended)
	}
	cancel()
	for _, e := range ended {
		select {
		case <-e:
		case <-time.After(5 * time.Second):
			t.Fatal("a process outlived its fleet")
		}
	}
	f.Close()
}

// TestNoProcessOutlivesItsParent kills a program that has started a module, so that nothing of it can tidy up.
func TestNoProcessOutlivesItsParent(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, parentVerb, folder(t, "a"))
	cmd.Env = append(os.Environ(), "TMPDIR="+t.TempDir()) // what a killed program leaves behind
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	page, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	page = strings.TrimSpace(page)
	if _, err := site.Visit(t.Context(), nil, page); err != nil {
		t.Fatal(err)
	}
	cmd.Process.Kill()
	cmd.Wait()
	for limit := time.Now().Add(5 * time.Second); ; {
		c, err := net.DialTimeout("tcp", page, time.Second)
		if err != nil {
			return // nobody listens any more
		}
		c.Close()
		if time.Now().After(limit) {
			t.Fatal("the module outlived the program that started it")
		}
		time.Sleep(10 * time.Millisecond)
	}
}

func TestLaunchFailsAsAWhole(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, err = Launch(t.Context(), FleetOptions{Modules: []Config{{Hardware: "02:00:00:00:00:01", Listen: "127.0.0.1:0", Dir: folder(t, "a")},
		{Hardware: "02:00:00:00:00:02", Listen: l.Addr().String(), Dir: folder(t, "b")}}})
	if err == nil || !strings.Contains(err.Error(), "02:00:00:00:00:02") {
		t.Errorf("error %v", err)
	}
}

// TestHailNamesWhatIsWrong: a module of another type under the name, one that is not there, one that nobody planned.
func TestHailNamesWhatIsWrong(t *testing.T) {
	s := setScene(t, mill)
	pages := s.pages()
	delete(pages, "spare.box")
	if _, err := site.EnrolAll(s.ctx, pages, site.EnrolOptions{Plan: s.plan, Secrets: s.secrets, Random: zero{}}, nil); err == nil {
		t.Fatal("a broken random source was not noticed")
	}
	s.secrets.m = map[string]string{"network": "mill race 1871"}
	s.enrol()
	want := map[string]site.Finding{}
	for i := range s.plan.Controllers {
		want[s.plan.Controllers[i].ID] = site.Matched
	}
	s.plan.Controllers[0].Hardware = "02:00:00:00:99:99"
	want["hall.box"] = site.Wrong
	var addresses []string
	for _, p := range s.pages() {
		addresses = append(addresses, p)
	}
	hailed, err := site.Hail(s.ctx, site.HailOptions{Plan: s.plan, Addresses: addresses})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]site.Finding{}
	for _, h := range hailed {
		got[h.Controller] = h.Finding
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
}

// zero is a broken random source.
type zero struct{}

func (zero) Read(b []byte) (int, error) { clear(b); return len(b), nil }
