package virtual

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wirewright/site/agent"
	"wirewright/site/wire"
)

func TestBenchClockIsOneForAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clock")
	bench, err := newBenchClock(path)
	if err != nil {
		t.Fatal(err)
	}
	defer bench.close()
	module, err := openBenchClock(path)
	if err != nil {
		t.Fatal(err)
	}
	defer module.close()
	near := func(what string, got, want time.Duration) {
		t.Helper()
		if d := got - want; d < -time.Second || d > 10*time.Second {
			t.Errorf("%s: %s, want %s", what, got, want)
		}
	}
	before := module.Elapsed()
	bench.Wind(time.Hour)
	near("wound", module.Elapsed()-before, time.Hour)
	near("the house", time.Until(module.Wall()), time.Hour)
	at := time.Date(2026, 12, 1, 6, 0, 0, 0, time.UTC)
	module.Set(at)
	near("set by a module, read at the bench", bench.Wall().Sub(at), 0)
	bench.Wind(-time.Hour)
	near("a clock is not wound back", module.Elapsed()-before, time.Hour)
	if bench.Wound() != time.Hour {
		t.Errorf("wound by %s", bench.Wound())
	}
	if err := os.Truncate(path, 3); err != nil {
		t.Fatal(err)
	}
	near("a damaged clock", module.Elapsed(), 0)
	if _, err := openBenchClock(filepath.Join(t.TempDir(), "none")); err == nil {
		t.Error("a clock that is not there was opened")
	}
}

// TestNobodySeesAHalfSetClock reads while another writes.
func TestNobodySeesAHalfSetClock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clock")
	bench, err := newBenchClock(path)
	if err != nil {
		t.Fatal(err)
	}
	defer bench.close()
	done := make(chan struct{})
	go func() {
		defer close(done)
		for i := range 20_000 {
			d := time.Duration(i) * 0x0101010101
			if err := bench.write(d, -d); err != nil {
				t.Error(err)
			}
		}
	}()
	module, err := openBenchClock(path)
	if err != nil {
		t.Fatal(err)
	}
	defer module.close()
	for {
		if wound, ahead := module.read(); wound != -ahead {
			t.Fatalf("half set: %d %d", wound, ahead)
		}
		select {
		case <-done:
			return
		default:
		}
	}
}

// look makes what is seen of a module.
func look(name string, change func(*agent.Report)) Look {
	r := &agent.Report{Online: true, Idle: true, Running: wire.Loaded{Epoch: 1}, Told: map[int16]uint64{}, Sent: map[string]agent.Sent{}, Taken: map[string]uint32{}}
	if change != nil {
		change(r)
	}
	return Look{Card: Card{Name: name}, Report: r}
}

func TestRestIsKnownByTheNumbers(t *testing.T) {
	told := func(n uint64) func(*agent.Report) { return func(r *agent.Report) { r.Told[3] = n } }
	mirror := func(n uint64) func(*agent.Report) {
		return func(r *agent.Report) { r.Mirrors = []agent.Mirror{{Peer: "a", Slot: 3, Count: n}} }
	}
	sent := func(seq uint32, until int64) func(*agent.Report) {
		return func(r *agent.Report) { r.Sent["b"], r.Elapsed = agent.Sent{Seq: seq, Until: until}, 1000 }
	}
	taken := func(seq uint32) func(*agent.Report) { return func(r *agent.Report) { r.Taken["a"] = seq } }
	away := func(f func(*agent.Report)) func(*agent.Report) {
		return func(r *agent.Report) { f(r); r.Online = false }
	}
	for _, c := range []struct {
		name string
		a, b func(*agent.Report)
		want bool
	}{
		{"nothing under way", nil, nil, true},
		{"something waits to be sent", func(r *agent.Report) { r.Idle = false }, nil, false},
		{"a state is on its way", told(7), mirror(6), false},
		{"a state has arrived", told(7), mirror(7), true},
		{"a slot that was never told", nil, mirror(0), true},
		{"the teller is away", away(told(7)), mirror(6), true},
		{"the listener is away", told(7), away(mirror(6)), true},
		{"another epoch", func(r *agent.Report) { told(7)(r); r.Running.Epoch = 2 }, mirror(6), true},
		{"a command is on its way", sent(5, 2000), taken(4), false},
		{"a command has arrived", sent(5, 2000), taken(5), true},
		{"a command has expired", sent(5, 999), taken(4), true},
	} {
		list := []Look{look("a", c.a), look("b", c.b), {}}
		if got := settled(list); got != c.want {
			t.Errorf("%s: at rest %v", c.name, got)
		}
	}
}

// TestTheNewerReportIsKept: answers and news come over one line, but may have been made in another order.
func TestTheNewerReportIsKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := &process{fleet: &Fleet{news: make(chan struct{})}, asked: map[uint64]chan reply{}}
		newest := uint64(0)
		for range rapid.IntRange(1, 10).Draw(t, "replies") {
			v := uint64(rapid.IntRange(1, 9).Draw(t, "version"))
			newest = max(newest, v)
			l := Look{Card: Card{Name: "hall.box"}, Report: &agent.Report{Session: "one", Version: v}}
			p.take(reply{Number: uint64(rapid.IntRange(0, 1).Draw(t, "answer")), Look: &l})
		}
		if got := p.seen().Report.Version; got != newest {
			t.Fatalf("version %d is kept, %d was told", got, newest)
		}
		p.take(reply{Number: 1, Look: &Look{Report: &agent.Report{Session: "two", Version: 1}}})
		if p.seen().Report.Session != "two" {
			t.Fatal("a new session does not replace the old")
		}
	})
}
