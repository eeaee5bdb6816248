package agent

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wirewright/control"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// TestCommandsAreCarriedOutAtMostOnce sends commands doubled, out of order, late, of other epochs and of sessions that are
// over, and compares with a model of what PROTOCOL.md says: a command counts if its epoch is the running one, its session is
// not over, its number is above the last of the session, and it is not late.
func TestCommandsAreCarriedOutAtMostOnce(t *testing.T) {
	r := newRig(t)
	p := program(t, func(p *control.Program) {
		p.Slots[2] = control.Slot{Name: "count", Kind: control.SlotVar, Quantity: control.QuantityCount, Publish: true, Peer: -1, Remote: -1, Schedule: -1}
		p.Actions = p.Actions[:1]
		p.Rules[0].Actions.Count = 1
	})
	r.stage(1, p.Encode(), 4000)
	r.ask(wire.Ask{Ask: wire.AskActivate, Epoch: 1})
	peer := r.dial("stairs.box", nil, nil)
	round := 0
	rapid.Check(t, func(rt *rapid.T) {
		round++
		var got []string
		last := map[string]uint32{}
		var over []string
		current := ""
		for i := range rapid.IntRange(1, 12).Draw(rt, "commands") {
			session := fmt.Sprintf("%d-%d", round, rapid.IntRange(0, 2).Draw(rt, "session"))
			c := wire.Command{Session: session, Seq: uint32(rapid.IntRange(1, 4).Draw(rt, "seq")), Epoch: uint32(rapid.IntRange(0, 2).Draw(rt, "epoch")),
				Sent: time.Now().UnixMilli(), Expiry: 20_000, Slot: 2, Verb: "set", Value: wire.Value(round*100 + i), Rule: 0}
			late := rapid.Bool().Draw(rt, "late")
			if late {
				c.Sent -= 30_000
			}
			ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
			if err := peer.Publish(ctx, mqtt.Message{Topic: "mill/hall.box/do/stairs.box", Payload: wire.Encode(c)}); err != nil {
				rt.Fatal(err)
			}
			cancel()
			// The model.
			if c.Epoch != 1 || slices.Contains(over, session) {
				continue
			}
			if current != session {
				if current != "" {
					over = append(over, current)
				}
				current = session
				last[session] = 0
			}
			if c.Seq > last[session] {
				last[session] = c.Seq
				if !late {
					got = append(got, fmt.Sprint(int32(c.Value)))
				}
			}
		}
		r.passed(peer, "stairs.box")
		want := "unchanged"
		if len(got) > 0 {
			want = got[len(got)-1]
		}
		r.agent.Do(func() {
			v := r.agent.program.Value(r.agent.state, 2)
			if want == "unchanged" && v/100 == int32(round) || want != "unchanged" && fmt.Sprint(v) != want {
				rt.Fatalf("the variable is %d, want %s (%s)", v, want, strings.Join(got, " "))
			}
		})
	})
}

func TestOutboxKeepsWhatIsStillOfUse(t *testing.T) {
	o := newOutbox()
	o.drained = func() {}
	now := time.Now()
	for _, l := range []letter{
		{m: mqtt.Message{Topic: "state"}},
		{m: mqtt.Message{Topic: "late"}, until: now.Add(-time.Second)},
		{m: mqtt.Message{Topic: "journal"}, keep: true},
		{m: mqtt.Message{Topic: "command"}, until: now.Add(time.Minute)},
	} {
		o.put(l)
	}
	if _, ok := o.next(); ok {
		t.Error("sent without a connection")
	}
	o.link(true)
	var got []string
	for l, ok := o.next(); ok; l, ok = o.next() {
		got = append(got, l.m.Topic)
	}
	if s := strings.Join(got, " "); s != "journal command" {
		t.Errorf("after the connection came back: %s", s)
	}
	for range 2 * outboxMost {
		o.put(letter{m: mqtt.Message{Topic: "x"}})
	}
	if len(o.list) != outboxMost {
		t.Errorf("%d wait", len(o.list))
	}
}

// TestOutboxTriesAgain: what was lost on the way is sent again where it has a use, in order.
func TestOutboxTriesAgain(t *testing.T) {
	o := newOutbox()
	drained := make(chan struct{}, 10)
	o.drained = func() { drained <- struct{}{} }
	var sent []string
	fail := 2
	for _, topic := range []string{"a", "b"} {
		o.put(letter{m: mqtt.Message{Topic: topic}, keep: true})
	}
	o.put(letter{m: mqtt.Message{Topic: "state"}})
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	ended := make(chan struct{})
	o.link(true)
	o.put(letter{m: mqtt.Message{Topic: "state"}})
	go func() {
		defer close(ended)
		o.run(ctx, func(_ context.Context, m mqtt.Message) error {
			if fail > 0 {
				fail--
				return fmt.Errorf("sent: %w", mqtt.ErrLost)
			}
			sent = append(sent, m.Topic)
			return nil
		})
	}()
	select {
	case <-drained:
	case <-time.After(5 * time.Second):
		t.Fatal("never empty")
	}
	cancel()
	<-ended
	if s := strings.Join(sent, " "); s != "a b state" {
		t.Errorf("sent %s", s)
	}
}
