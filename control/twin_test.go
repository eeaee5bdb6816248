package control

import (
	"math"
	"testing"
)

// naiveTimer is a timer of IEC 61131-3 written down as plainly as can be, one scan a millisecond.
type naiveTimer struct {
	kind       TimerKind
	pt         int32
	in, q      bool
	since      int32 // ms since the timing began, -1 while nothing is timed
	et         int32
	everFallen bool
}

// scan is one scan: dt ms have passed, then IN has the value.
func (n *naiveTimer) scan(dt int32, in bool) {
	rise, fall := in && !n.in, !in && n.in
	n.in = in
	if n.since >= 0 {
		n.since += dt
	}
	switch n.kind {
	case TimerPulse:
		if n.since >= n.pt {
			n.since, n.q = -1, false
		}
		if rise && n.since < 0 && n.pt > 0 {
			n.since, n.q = 0, true
		}
		switch {
		case n.since >= 0:
			n.et = n.since
		case in:
			n.et = n.pt
		default:
			n.et = 0
		}
	case TimerOnDelay:
		if rise {
			n.since = 0
		}
		if !in {
			n.since = -1
		}
		n.et = max(0, min(n.since, n.pt))
		n.q = in && n.since >= n.pt
	case TimerOffDelay:
		if fall {
			n.since, n.everFallen = 0, true
		}
		if in {
			n.since = -1
		}
		switch {
		case in || !n.everFallen:
			n.et = 0
		default:
			n.et = min(n.since, n.pt)
		}
		n.q = in || n.everFallen && n.since < n.pt
	case TimerRunOn:
		if n.since >= n.pt {
			n.since = -1
		}
		if rise {
			n.since = 0
		}
		n.q = n.since >= 0 && n.pt > 0
		switch {
		case n.since >= 0:
			n.et = n.since
		case in:
			n.et = n.pt
		default:
			n.et = 0
		}
	}
}

func TestTimersAgreeWithANaiveOne(t *testing.T) {
	check(t, func(g gen) {
		kind := TimerKind(g.oneOf(int32(TimerPulse), int32(TimerOnDelay), int32(TimerOffDelay), int32(TimerRunOn)))
		pt := g.oneOf(0, 1, 10, 25)
		h, in, q := timerBed(t, kind, pt)
		twin := &naiveTimer{kind: kind, pt: pt, since: -1}
		level := int32(0)
		for range 150 {
			if g.number(0, 6) == 0 {
				level = 1 - level
			}
			h.wait(1)
			h.input(in, level)
			twin.scan(1, level == 1)
			gotQ, gotET := h.p.TimerOutput(h.s, 0)
			if gotQ != twin.q || gotET != twin.et {
				g.fatalf("kind %d, PT %d, at %d ms with IN %d: Q %v ET %d, the naive one has Q %v ET %d", kind, pt, h.now, level, gotQ, gotET, twin.q, twin.et)
			}
			if pt > 0 && truth(gotQ) != h.value(q) {
				g.fatalf("kind %d: the rules put the lamp to %d while Q is %v", kind, h.value(q), gotQ)
			}
		}
	})
}

// shutter is a real shutter: it has a place, and moves while its motor is on.
type shutter struct {
	slot      *Slot
	pos, slat float64
	dir       int32
}

// run moves it for ms, in small steps.
func (s *shutter) run(ms int64) {
	for range ms {
		left := 1.0 // ms
		if s.slot.Slats > 0 && s.dir > 0 && s.slat < 1 {
			turn := math.Min(left, (1-s.slat)*float64(s.slot.Slats))
			s.slat += turn / float64(s.slot.Slats)
			left -= turn
		}
		if s.slot.Slats > 0 && s.dir < 0 && s.slat > 0 {
			turn := math.Min(left, s.slat*float64(s.slot.Slats))
			s.slat -= turn / float64(s.slot.Slats)
			left -= turn
		}
		switch {
		case s.dir > 0:
			s.pos = math.Min(1, s.pos+left/float64(s.slot.Down))
		case s.dir < 0:
			s.pos = math.Max(0, s.pos-left/float64(s.slot.Up))
		}
	}
}

// TestEstimateFollowsARealShutter drives a shutter that moves in milliseconds by the effects of Step, with commands at any
// time, and compares the estimate with where it is. It also sees that no reversal comes within the pause.
func TestEstimateFollowsARealShutter(t *testing.T) {
	check(t, func(g gen) {
		b := newBuilder()
		start := g.oneOf(0, 1000, 350)
		m := b.slot(Slot{Name: "m", Kind: SlotMotor, Start: start, Up: g.oneOf(1000, 3700, 20_000), Down: g.oneOf(1000, 3300, 18_000), Slats: g.oneOf(0, 900, 1600), Pause: g.oneOf(500, 1500)})
		h := newBench(t, b.done(t))
		real := &shutter{slot: &h.p.Slots[m], pos: float64(start) / 1000}
		if start == 1000 {
			real.slat = 1
		}
		if real.slot.Slats == 0 {
			real.slat = 0
		}
		stopped := int64(0)
		follow := func(out []Effect) {
			for _, e := range out {
				if e.Kind != EffectMotor {
					continue
				}
				switch {
				case e.Value == 0:
					stopped = h.now
				case real.dir != 0:
					g.fatalf("direction %d while moving %d", e.Value, real.dir)
				case h.now-stopped < int64(real.slot.Pause):
					g.fatalf("moves %d ms after a stop, the pause is %d ms", h.now-stopped, real.slot.Pause)
				}
				real.dir = e.Value
			}
		}
		follow(h.start())
		for range 8 {
			verb := Verb(g.oneOf(int32(VerbSet), int32(VerbSet), int32(VerbRaise), int32(VerbLower), int32(VerbStop), int32(VerbSlat)))
			if verb == VerbSlat && real.slot.Slats == 0 {
				verb = VerbStop
			}
			follow(h.command(m, verb, g.number(0, 1000)))
			for end := h.now + int64(g.number(0, 9000)); h.now < end; {
				ms := end - h.now
				if due, ok := h.p.Due(h.s); ok && int64(due) < ms {
					ms = int64(due)
				}
				real.run(ms)
				follow(h.wait(int32(ms)))
			}
			_, pos, slat := h.p.Motion(h.s, m)
			if math.Abs(float64(pos)-real.pos*1000) > 1.5 || real.slot.Slats > 0 && math.Abs(float64(slat)-real.slat*1000) > 1.5 {
				g.fatalf("after %d commands: believed at %d, slats %d; is at %.1f, %.1f", h.seq, pos, slat, real.pos*1000, real.slat*1000)
			}
		}
	})
}

// TestToggleOfAGroupNeverSplits: whatever the lamps are at, after a toggle all of them are alike.
func TestToggleOfAGroupNeverSplits(t *testing.T) {
	check(t, func(g gen) {
		b := newBuilder()
		k, peer := b.key("k"), b.peer("far")
		var members []int16
		for i := range g.number(1, 6) {
			if g.yes() {
				members = append(members, b.lamp("l"))
			} else {
				members = append(members, b.mirror("m", peer, int16(i)))
			}
		}
		b.rule(ruleOf{name: "toggle", causes: []Cause{at1(CausePress, k)}, actions: []Action{{Kind: ActionToggle, To: TargetList, Index: b.list(members...)}}})
		h := newBench(t, b.done(t))
		h.start()
		lit := false
		for _, m := range members {
			v := g.oneOf(0, 1, 1, Unknown)
			if h.p.Slots[m].Kind == SlotMirror {
				h.step(Event{Kind: EventMirror, Slot: m, Value: v})
			} else {
				v = max(v, 0)
				h.command(m, VerbSet, v)
			}
			lit = lit || v == 1
		}
		sent := map[int16]int32{}
		for _, e := range h.input(k, 1) {
			if e.Kind == EffectSend {
				sent[e.Slot] = truth(e.Verb == VerbOn)
				if e.Verb != VerbOn && (e.Verb != VerbSet || e.Value != 0) {
					g.fatalf("%s is not absolute", h.p.effectWords(e))
				}
			}
		}
		for _, m := range members {
			got, ok := h.value(m), true
			if h.p.Slots[m].Kind == SlotMirror {
				got, ok = sent[h.p.Slots[m].Remote]
			}
			if !ok || got != truth(!lit) {
				g.fatalf("the group was lit: %v; now %s is %d, %v", lit, h.p.Slots[m].Name, got, ok)
			}
		}
	})
}
