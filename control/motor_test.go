package control

import (
	"fmt"
	"testing"
)

// TestShutterFromTravelTimes is the case with 50 s down, 54 s up and 1.6 s for the slats, computed by hand from: the slats
// turn first, what is left of the run moves the curtain. That this is how a shutter behaves is common practice, no source.
func TestShutterFromTravelTimes(t *testing.T) {
	b := newBuilder()
	m := b.shutter("m", 0)
	h := newBench(t, b.done(t))
	h.start()
	h.wait(500)
	for _, c := range []struct {
		verb      Verb
		ms        int32
		pos, slat int32
	}{
		{VerbLower, 26_600, 500, 1000},
		{VerbRaise, 800, 500, 500},
		{VerbRaise, 3_500, 450, 0},
		{VerbLower, 1_600, 450, 1000},
		{VerbLower, 60_000, 1000, 1000},
		{VerbRaise, 10_000, 844, 0},
		{VerbRaise, 100_000, 0, 0},
	} {
		h.command(m, c.verb, 0)
		h.wait(c.ms)
		h.command(m, VerbStop, 0)
		dir, pos, slat := h.p.Motion(h.s, m)
		if dir != 0 || pos != c.pos || slat != c.slat {
			t.Errorf("after verb %d for %d ms: direction %d, position %d, slats %d, want 0, %d, %d", c.verb, c.ms, dir, pos, slat, c.pos, c.slat)
		}
		h.want(m, c.pos)
		h.wait(500)
	}
}

// TestEstimateDoesNotDependOnLooking: the estimate on the way is the same however the time was cut up.
func TestEstimateDoesNotDependOnLooking(t *testing.T) {
	check(t, func(g gen) {
		b := newBuilder()
		m := b.shutter("m", g.oneOf(0, 300, 1000))
		p := b.done(t)
		one, many := newBench(t, p), newBench(t, p)
		for _, h := range []*bench{one, many} {
			h.start()
			h.wait(500)
		}
		for range 4 {
			verb, v, ms := Verb(g.oneOf(int32(VerbSet), int32(VerbRaise), int32(VerbLower), int32(VerbStop), int32(VerbSlat))), g.number(0, 1000), g.number(0, 30_000)
			one.command(m, verb, v)
			many.command(m, verb, v)
			one.wait(ms)
			for left := ms; left > 0; {
				n := min(left, g.number(1, 9000))
				many.wait(n)
				left -= n
			}
			if !one.s.Equal(many.s) {
				g.fatalf("after verb %d to %d and %d ms: %v, but in pieces %v", verb, v, ms, one.s, many.s)
			}
		}
	})
}

// motorWordsOf collects what a motor did while time passes, clock by clock: "-1@0 0@500".
func motorLog(h *bench, ms int64, out []Effect) string {
	log, end := "", h.now+ms
	note := func(out []Effect) {
		for _, e := range out {
			if e.Kind == EffectMotor {
				log += fmt.Sprintf("%d@%d ", e.Value, h.now)
			}
		}
	}
	note(out)
	for h.now < end {
		step := end - h.now
		if due, ok := h.p.Due(h.s); ok && int64(due) < step {
			step = int64(due)
		}
		note(h.wait(int32(step)))
	}
	return log
}

func shutterBed(t testing.TB, start int32) (*bench, int16) {
	b := newBuilder()
	m := b.shutter("m", start)
	h := newBench(t, b.done(t))
	h.start()
	h.wait(500)
	h.now = 0
	return h, m
}

func TestReversalWaits(t *testing.T) {
	h, m := shutterBed(t, 0)
	log := motorLog(h, 10_000, h.command(m, VerbLower, 0))
	log += motorLog(h, 100, h.command(m, VerbRaise, 0))
	log += motorLog(h, 70_000, h.command(m, VerbRaise, 0))
	// down at 0, at 10 s the reversal: stop at once, up half a second later; up is a full run: (54 + 1.6) s and a tenth.
	if want := "1@0 0@10000 -1@10500 0@71660 "; log != want {
		t.Errorf("motor: %s, want %s", log, want)
	}
	h.want(m, 0)
}

func TestFullRunHasItsMargin(t *testing.T) {
	h, m := shutterBed(t, Unknown)
	if log := motorLog(h, 80_000, h.command(m, VerbLower, 0)); log != "1@0 0@56760 " {
		t.Errorf("a run to the end takes travel 50 s, slats 1.6 s and a tenth: %s", log)
	}
	h.want(m, 1000)
	b := newBuilder()
	short := b.slot(Slot{Name: "s", Kind: SlotMotor, Up: 3000, Down: 3000, Pause: 500, Start: 0})
	h = newBench(t, b.done(t))
	h.start()
	h.wait(500)
	h.now = 0
	if log := motorLog(h, 80_000, h.command(short, VerbLower, 0)); log != "1@0 0@5000 " {
		t.Errorf("a short travel of 3 s has a margin of 2 s at least: %s", log)
	}
}

func TestPositionFromUnknownIsFoundAtAnEnd(t *testing.T) {
	h, m := shutterBed(t, Unknown)
	log := motorLog(h, 100_000, h.command(m, VerbSet, 400))
	// nearer end up: full run 61.16 s; then, after the pause, down: slats 1.6 s and 0.4 of 50 s.
	if want := "-1@0 0@61160 1@61660 0@83260 "; log != want {
		t.Errorf("motor: %s, want %s", log, want)
	}
	h.want(m, 400)
	if log := motorLog(h, 60_000, h.command(m, VerbSet, 400)); log != "" {
		t.Errorf("asked for where it stands, it moves: %s", log)
	}
}

func TestSlatsAfterTravel(t *testing.T) {
	h, m := shutterBed(t, 0)
	h.command(m, VerbSet, 500)
	log := motorLog(h, 40_000, h.command(m, VerbSlat, 250))
	// 1.6 + 25 s down, pause, then the slats 0.75 of 1.6 s up.
	if want := "0@26600 -1@27100 0@28300 "; log != want {
		t.Errorf("motor: %s, want %s", log, want)
	}
	if _, pos, slat := h.p.Motion(h.s, m); pos != 500 || slat != 250 {
		t.Errorf("position %d, slats %d", pos, slat)
	}
}

// TestSlatsToEitherEnd commands the angles at the ends, which are values like any other.
func TestSlatsToEitherEnd(t *testing.T) {
	h, m := shutterBed(t, 500)
	for _, c := range []struct {
		angle int32
		want  string
	}{{1000, "1@0 0@1600 "}, {0, "-1@0 0@1600 "}, {500, "1@0 0@800 "}, {500, ""}} {
		h.now = 0
		if log := motorLog(h, 5000, h.command(m, VerbSlat, c.angle)); log != c.want {
			t.Errorf("slats to %d: %s, want %s", c.angle, log, c.want)
		}
		if _, pos, slat := h.p.Motion(h.s, m); pos != 500 || slat != c.angle {
			t.Errorf("slats to %d: position %d, slats %d", c.angle, pos, slat)
		}
	}
}

// TestMotionOfWhatIsNoMotor is nothing.
func TestMotionOfWhatIsNoMotor(t *testing.T) {
	p := fixture(t, "terrace")
	s := p.NewState()
	for _, slot := range []int16{-1, 0, 5, 99} {
		if dir, pos, slat := p.Motion(s, slot); dir != 0 || pos != Unknown || slat != Unknown {
			t.Errorf("slot %d: %d %d %d", slot, dir, pos, slat)
		}
	}
}

// TestSlatsFromUnknown: the nearer end is found first, then the angle; the position stays unknown.
func TestSlatsFromUnknown(t *testing.T) {
	h, m := shutterBed(t, Unknown)
	if log := motorLog(h, 10_000, h.command(m, VerbSlat, 750)); log != "1@0 0@1600 -1@2100 0@2500 " {
		t.Errorf("motor: %s", log)
	}
	if _, pos, slat := h.p.Motion(h.s, m); pos != Unknown || slat != 750 {
		t.Errorf("position %d, slats %d", pos, slat)
	}
}

func TestNewPositionOnTheWay(t *testing.T) {
	h, m := shutterBed(t, 0)
	log := motorLog(h, 10_000, h.command(m, VerbSet, 800))
	log += motorLog(h, 100_000, h.command(m, VerbSet, 300)) // same direction, shorter: no stop on the way
	if want := "1@0 0@16600 "; log != want {
		t.Errorf("motor: %s, want %s", log, want)
	}
	h.want(m, 300)
	h.now = 0
	log = motorLog(h, 1000, h.command(m, VerbRaise, 0))
	log += motorLog(h, 100_000, h.command(m, VerbRaise, 0)) // again: nothing new
	if want := "-1@0 0@61160 "; log != want {
		t.Errorf("motor: %s, want %s", log, want)
	}
}

func TestStopForgetsWhatWaits(t *testing.T) {
	h, m := shutterBed(t, 0)
	h.command(m, VerbLower, 0)
	h.wait(5000)
	h.command(m, VerbRaise, 0) // waits for the pause
	h.wait(100)
	h.command(m, VerbStop, 0)
	if log := motorLog(h, 10_000, nil); log != "" {
		t.Errorf("after stop it still moves: %s", log)
	}
}

// TestMotorCausesAndTrace: the rule that asked is named even where the pause comes between.
func TestMotorCausesAndTrace(t *testing.T) {
	b := newBuilder()
	k, m, l := b.key("k"), b.shutter("m", 0), b.lamp("moving")
	b.rule(ruleOf{name: "up", causes: []Cause{at1(CausePress, k)}, actions: []Action{do(ActionRaise, m)}})
	b.rule(ruleOf{name: "moves", causes: []Cause{at1(CauseMoves, m)}, actions: []Action{set(l, 1)}})
	b.rule(ruleOf{name: "stops", causes: []Cause{at1(CauseStops, m)}, actions: []Action{set(l, 0)}})
	h := newBench(t, b.done(t))
	h.start()
	h.wait(500)
	h.command(m, VerbLower, 0)
	h.want(l, 1)
	h.wait(5000)
	if got := h.words(h.input(k, 1)); got != "motor m 0 by up; publish m 68; output moving 0 by stops; publish moving 0" {
		t.Errorf("reversal: %s", got)
	}
	if got := h.words(h.wait(500)); got != "motor m -1 by up; output moving 1 by moves; publish moving 1" {
		t.Errorf("after the pause: %s", got)
	}
}

// TestShutterModel explores the shutter with dead time over the real Step and compares with the counts of the tick model:
// state (direction, what waits, ticks of dead time left); 3P + 3 states and 9P + 6 transitions without self-loops
// (worked out by hand for P = 1, 2, 5, 10: 6/15, 9/24, 18/51, 33/96).
func TestShutterModel(t *testing.T) {
	for _, ticks := range []int32{1, 2, 5, 10} {
		states, transitions := exploreShutter(t, ticks)
		if want := int(3*ticks + 3); states != want {
			t.Errorf("P = %d: %d states, want %d", ticks, states, want)
		}
		if want := int(9*ticks + 6); transitions != want {
			t.Errorf("P = %d: %d transitions, want %d", ticks, transitions, want)
		}
	}
}

// exploreShutter walks through everything that three commands and the tick can do. Commands take no time, and the tick is
// enabled during dead time only, so the position never changes.
func exploreShutter(t *testing.T, ticks int32) (states, transitions int) {
	b := newBuilder()
	m := b.slot(Slot{Name: "m", Kind: SlotMotor, Quantity: QuantityPosition, Up: 20_000, Down: 20_000, Pause: 1000, Start: 500})
	p := b.done(t)
	first := p.NewState()
	p.Step(first, Event{Kind: EventStart, Slot: -1}, nil)
	seen := map[string]bool{fmt.Sprint(first): true}
	for queue := []State{first}; len(queue) > 0; queue = queue[1:] {
		s := queue[0]
		for _, verb := range []Verb{VerbRaise, VerbLower, VerbStop, VerbSet} {
			next := s.Clone()
			e := Event{Kind: EventCommand, Verb: verb, Slot: m, Peer: -1, Seq: 1}
			if verb == VerbSet { // stands for the tick
				if dir, _, _ := p.Motion(s, m); dir != 0 || p.Clocks(s)[0] == 0 {
					continue
				}
				e = Event{Kind: EventAdvance, Slot: -1, Elapsed: 1000 / ticks}
			}
			for _, effect := range p.Step(next, e, nil) {
				if effect.Kind == EffectMotor && effect.Value != 0 && (e.Kind == EventCommand && p.Clocks(s)[0] != 0) {
					t.Errorf("P = %d: a motor is switched on without the pause", ticks)
				}
			}
			if wrong := p.Invariant(next); wrong != "" {
				t.Errorf("P = %d: %s", ticks, wrong)
			}
			p.Heard(next)[0] = 0 // numbers of commands are no part of the model
			if next.Equal(s) {
				continue
			}
			transitions++
			if key := fmt.Sprint(next); !seen[key] {
				seen[key] = true
				queue = append(queue, next)
			}
		}
	}
	return len(seen), transitions
}

// TestPersonAtTheEndIsObeyed: raise and lower run again where the motor is believed to be there already, because a person
// who presses sees that it is not; a position that is reached is not driven to again.
func TestPersonAtTheEndIsObeyed(t *testing.T) {
	for _, c := range []struct {
		start int32
		verb  Verb
		v     int32
		want  string
	}{
		{0, VerbRaise, 0, "-1@0 0@61160 "}, {1000, VerbLower, 0, "1@0 0@56760 "},
		{0, VerbSet, 0, ""}, {1000, VerbSet, 1000, ""}, {350, VerbSet, 350, ""},
	} {
		h, m := shutterBed(t, c.start)
		if log := motorLog(h, 80_000, h.command(m, c.verb, c.v)); log != c.want {
			t.Errorf("verb %d to %d from %d: %q, want %q", c.verb, c.v, c.start, log, c.want)
		}
	}
}
