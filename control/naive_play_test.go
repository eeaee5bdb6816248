package control

import (
	"fmt"
	"math/rand"
	"sort"
	"strings"
	"testing"
)

// simple prints effects the way the naive core says them.
func simple(out []Effect) []string {
	var lines []string
	for _, e := range out {
		switch e.Kind {
		case EffectOutput:
			lines = append(lines, fmt.Sprintf("output %d %d", e.Slot, e.Value))
		case EffectPublish:
			lines = append(lines, fmt.Sprintf("publish %d %d", e.Slot, e.Value))
		case EffectSend:
			lines = append(lines, fmt.Sprintf("send %d %d %d %d %d %d", e.Peer, e.Slot, e.Verb, e.Value, e.Seq, e.Time))
		case EffectNotify:
			lines = append(lines, fmt.Sprintf("notify %d", e.Value))
		default:
			name := map[FaultCode]string{FaultConflict: fmt.Sprint("fault conflict ", e.Slot), FaultChain: "fault chain", FaultRange: fmt.Sprint("fault range ", e.Slot)}
			lines = append(lines, name[FaultCode(e.Value)])
		}
	}
	return lines
}

// plainProgram is a random program of what the naive core knows.
func plainProgram(c chooser) *Program {
	p := randomProgram(c)
	p.Gestures, p.Regulators = nil, nil
	for i := range p.Slots {
		if p.Slots[i].Kind == SlotMotor {
			p.Slots[i] = Slot{Name: "was a motor", Kind: SlotVar, Peer: -1, Remote: -1, Schedule: -1}
		}
	}
	p.SceneItems[3].Slats = false
	for i := range p.SceneItems {
		p.SceneItems[i].Time = 0
	}
	for i := range p.Timers {
		p.Timers[i].Time = min(p.Timers[i].Time, 100)
	}
	var holds []Hold
	for _, h := range p.Holds {
		if p.Slots[h.Slot].Kind.Output() {
			holds = append(holds, h)
		}
	}
	p.Holds = holds
	for i := range p.Actions {
		p.Actions[i].Time = 0
	}
	dropUnsound(p)
	return p
}

// dropUnsound takes out, from each rule, the causes, condition and actions that the naive core does not know or that are
// not sound any more.
func dropUnsound(p *Program) {
	rules := p.Rules
	var kept []Rule
	for _, r := range rules {
		p.Rules = []Rule{r}
		known := p.Check() == nil
		for k := range r.Causes.Count {
			kind := p.Causes[r.Causes.First+k].Kind
			known = known && (kind < CauseShort || kind > CauseDouble) && kind < CauseMoves
		}
		for k := range r.Actions.Count {
			a := p.Actions[r.Actions.First+k]
			known = known && (a.Kind < ActionRaise || a.Kind > ActionSlats || a.To == TargetPeer)
			known = known && plainCode(p, a.Value) && (a.To != TargetHold || a.Kind > ActionRelease || int(a.Index) < len(p.Holds))
		}
		if known && plainCode(p, r.Cond) {
			kept = append(kept, r)
		}
	}
	p.Rules = kept
}

// plainCode tells whether the naive core knows all of the code.
func plainCode(p *Program, r Range) bool {
	for _, in := range p.Code[r.First : r.First+r.Count] {
		if in.Op == OpPosition || in.Op == OpSlats || in.Op == OpMotion || in.Op == OpTimerET {
			return false
		}
	}
	return true
}

// TestAgainstANaiveCore plays random programs on both.
func TestAgainstANaiveCore(t *testing.T) {
	effects, faults := 0, 0
	for seed := range int64(3000) {
		b := make([]byte, 3000)
		rand.New(rand.NewSource(seed)).Read(b)
		c := &byBytes{b}
		p := plainProgram(c)
		if err := p.Check(); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		twin, s, seq := newNaive(p), p.NewState(), uint32(0)
		var log []string
		for i := range 25 {
			e := randomEvent(c, p, &seq)
			e.Elapsed = min(e.Elapsed, 300)
			if i == 0 {
				e = Event{Kind: EventStart, Slot: -1}
			}
			if !p.sound(&e) || i > 0 && e.Kind == EventStart || e.Verb >= VerbRaise && e.Verb <= VerbSlat {
				continue
			}
			twin.step(e)
			got, want := simple(p.Step(s, e, nil)), twin.out
			log = append(log, fmt.Sprintf("%+v: %s", e, strings.Join(got, ", ")))
			sort.Strings(got)
			sort.Strings(want)
			if fmt.Sprint(got) != fmt.Sprint(want) {
				t.Fatalf("seed %d: %s\nthe naive core: %s\n%s\n%s", seed, strings.Join(got, ", "), strings.Join(want, ", "), strings.Join(log, "\n"), p.Listing())
			}
			effects += len(got)
			faults += strings.Count(fmt.Sprint(got), "fault")
			for slot := range p.Slots {
				if p.Value(s, int16(slot)) != twin.val[int16(slot)] {
					t.Fatalf("seed %d: %s is %d, at the naive core %d\n%s\n%s", seed, p.Slots[slot].Name, p.Value(s, int16(slot)), twin.val[int16(slot)], strings.Join(log, "\n"), p.Listing())
				}
			}
		}
	}
	if effects < 10_000 || faults < 100 {
		t.Errorf("only %d effects and %d faults compared", effects, faults)
	}
}
