package control

import (
	"fmt"
	"math/rand"
	"reflect"
	"testing"
)

// chooser makes choices for a random program: from rapid, or from the bytes of a fuzzer.
type chooser interface{ number(low, high int32) int32 }

// byBytes chooses by bytes, and 0 when they run out.
type byBytes struct{ b []byte }

func (c *byBytes) number(low, high int32) int32 {
	span := int64(high) - int64(low) + 1
	v := int64(0)
	for n := int64(1); n < span; n *= 256 {
		v *= 256
		if len(c.b) > 0 {
			v += int64(c.b[0])
			c.b = c.b[1:]
		}
	}
	return low + int32(v%span)
}

// randomProgram makes a sound program of everything there is.
func randomProgram(c chooser) *Program {
	b := newBuilder()
	peers := []int16{b.peer("p0"), b.peer("p1")}
	b.p.Schedules = []Schedule{{Window: true, Days: 127}, {Days: 127}}
	for i := range c.number(1, 3) {
		k := b.key(fmt.Sprintf("key%d", i))
		if c.number(0, 2) > 0 {
			b.gesture(k, c.number(0, 1)*30, c.number(0, 1)*500, c.number(0, 1)*300)
		}
	}
	b.key("last key")
	in, contact := b.input("number", QuantityTemperature), b.input("contact", QuantityBool)
	b.mirror("mirror", peers[0], 3)
	b.p.Slots[len(b.p.Slots)-1].Forget = c.number(0, 1) == 1
	b.slot(Slot{Name: "window", Kind: SlotClock, Schedule: 0, Start: Unknown})
	b.slot(Slot{Name: "moment", Kind: SlotClock, Schedule: 1, Publish: true})
	b.slot(Slot{Name: "link", Kind: SlotLink, Peer: peers[0], Start: Unknown})
	b.slot(Slot{Name: "message", Kind: SlotMessage})
	b.lamp("lamp")
	valve := b.lamp("valve")
	b.dimmer("dimmer", c.number(0, 1)*100)
	b.shutter("shutter", []int32{Unknown, 0, 500}[c.number(0, 2)])
	b.slot(Slot{Name: "short shutter", Kind: SlotMotor, Up: 1000, Down: 1300, Pause: 500, Start: 0, Retain: true})
	v := b.variable("variable", c.number(0, 3))
	b.p.Slots[v].Retain = c.number(0, 1) == 1
	for range c.number(0, 4) {
		var members []int16
		for range c.number(0, 4) {
			members = append(members, int16(c.number(0, int32(len(b.p.Slots)-1))))
		}
		b.list(members...)
	}
	keys := b.list(0, b.slots["last key"])
	b.list(b.slots["lamp"], b.slots["mirror"], b.slots["dimmer"])
	for range c.number(0, 4) {
		b.timer("t", TimerKind(c.number(0, int32(timerKinds-1))), int16(c.number(-1, int32(len(b.p.Slots)-1))), []int32{0, 1, 100, 700}[c.number(0, 3)])
		b.p.Timers[len(b.p.Timers)-1].Invert = c.number(0, 3) == 0
	}
	for range c.number(0, 5) {
		slot := []string{"lamp", "valve", "dimmer", "shutter", "short shutter"}[c.number(0, 4)]
		b.hold("h", b.slots[slot], Rank(c.number(1, 3)), int16(c.number(-1, 1)), c.number(0, 1) == 1)
	}
	b.p.Scenes = []Scene{{Name: -1, Stored: true, Items: Range{0, 4}}, {Name: -1, Items: Range{1, 3}}}
	b.p.SceneItems = []SceneItem{{Slot: b.slots["lamp"], Value: 1}, {Slot: b.slots["dimmer"], Value: 400, Time: 300}, {Slot: b.slots["shutter"], Value: c.number(0, 1000)}, {Slot: b.slots["shutter"], Slats: true, Value: 300}}
	if c.number(0, 1) == 1 {
		b.p.Regulators = []Regulator{{Kind: RegulatorKind(c.number(0, 1)), Name: -1, Rule: -1, Sensor: in, SetPoint: v, Output: valve, Enable: -1, Window: contact,
			SetBack: 2, Frost: 1, Half: 1, Band: 3, Reset: c.number(0, 1) * 10, Sample: 1000, Period: 2000, Shortest: 100, Blind: c.number(0, 1) * 300}}
	}
	for range c.number(1, 10) {
		randomRule(b, c, keys)
	}
	return b.p
}

// randomRule adds a rule; what Check would refuse in it is left out.
func randomRule(b *builder, c chooser, keys int16) {
	r := ruleOf{name: "r", rank: Rank(c.number(0, 3))}
	sound := func() bool { // the last rule alone
		return (&Program{Slots: b.p.Slots, Peers: b.p.Peers, Schedules: b.p.Schedules, Texts: b.p.Texts, Rules: b.p.Rules[len(b.p.Rules)-1:], Causes: b.p.Causes,
			Code: b.p.Code, Actions: b.p.Actions, Lists: b.p.Lists, Members: b.p.Members, Timers: b.p.Timers, Gestures: b.p.Gestures, Scenes: b.p.Scenes, SceneItems: b.p.SceneItems,
			Holds: b.p.Holds}).Check() == nil
	}
	try := func(next ruleOf) {
		kept := *b.p
		b.rule(next)
		if sound() {
			r = next
		}
		*b.p = kept
	}
	for range c.number(1, 3) {
		cause := Cause{Kind: CauseKind(c.number(0, int32(causeKinds-1))), Slot: int16(c.number(0, int32(len(b.p.Slots)-1))), List: keys,
			Timer: int16(c.number(0, 4)), Level: c.number(-2, 3), Band: c.number(0, 2)}
		next := r
		next.causes = append(append([]Cause{}, r.causes...), cause)
		try(next)
	}
	for range c.number(1, 4) {
		next := r
		next.actions = append(append([]Action{}, r.actions...), randomAction(b, c))
		try(next)
	}
	if c.number(0, 2) == 0 {
		next := r
		next.cond = randomCode(b, c)
		try(next)
	}
	b.rule(r)
}

func randomAction(b *builder, c chooser) Action {
	a := Action{Kind: ActionKind(c.number(0, int32(actionKinds-1))), Index: int16(c.number(0, int32(len(b.p.Slots)-1))), To: Target(c.number(0, 3)), Peer: int16(c.number(0, 1)),
		Rank: Rank(c.number(0, 3)), Const: []int32{0, 1, 2, 300, 1000, HoldStill, -7}[c.number(0, 6)], Time: []int32{0, 0, 250}[c.number(0, 2)], Expiry: c.number(0, 1) * 700}
	if a.To != TargetSlot || a.Kind > ActionRelease {
		a.Index = int16(c.number(0, 4))
	}
	if c.number(0, 3) == 0 {
		a.Value = b.code(randomCode(b, c)...)
	}
	return a
}

func randomCode(b *builder, c chooser) []Instr {
	var code []Instr
	depth := 0
	for range c.number(1, 7) {
		op := Op(c.number(0, int32(opCount-1)))
		if op.needs() > depth {
			op = OpSlot
		}
		code = append(code, Instr{op, c.number(0, int32(len(b.p.Slots)-1))})
		depth += 1 - op.needs()
	}
	for ; depth > 1; depth-- {
		code = append(code, Instr{OpOr, 0})
	}
	return code
}

// randomEvent makes an event, most of which the program can have.
func randomEvent(c chooser, p *Program, seq *uint32) Event {
	e := Event{Kind: EventKind(c.number(0, int32(EventMessage))), Slot: int16(c.number(-1, int32(len(p.Slots)-1))), Elapsed: []int32{0, 0, 1, 30, 100, 270, 500, 4000, 70_000}[c.number(0, 8)]}
	if e.Kind == EventStart && c.number(0, 9) > 0 {
		e.Kind = EventAdvance
	}
	e.Value = []int32{0, 1, 0, 1, 2, -5, 1000, Unknown}[c.number(0, 7)]
	if c.number(0, 3) > 0 && e.Slot >= 0 { // let it fit
		if kind, ok := map[SlotKind]EventKind{SlotInput: EventInput, SlotKey: EventInput, SlotMirror: EventMirror, SlotClock: EventClock, SlotLink: EventLink, SlotMessage: EventMessage}[p.Slots[e.Slot].Kind]; ok {
			e.Kind = kind
		} else {
			e.Kind = EventCommand
		}
	}
	if e.Kind == EventCommand {
		*seq++
		e.Seq, e.Verb, e.Peer = *seq, Verb(c.number(0, int32(VerbOn))), int16(c.number(-1, 1))
		e.Age, e.Expiry = c.number(0, 1), c.number(0, 1)
		if e.Verb == VerbHold || e.Verb == VerbRelease {
			e.Value = c.number(1, 3)<<16 | []int32{0, 1, 400, 1000, HoldStill}[c.number(0, 4)]
		}
	}
	return e
}

// guard watches effects and states for what must never be.
type guard struct {
	p       *Program
	now     int64
	dirs    map[int16]int32
	stopped map[int16]int64
}

// watch returns what is wrong, "" when nothing is. The clock of the guard must stand at the moment of the effects.
func (g *guard) watch(out []Effect) string {
	for _, e := range out {
		local := e.Kind == EffectOutput || e.Kind == EffectMotor || e.Kind == EffectPublish
		switch {
		case local && (e.Slot < 0 || int(e.Slot) >= len(g.p.Slots)):
			return fmt.Sprintf("effect on slot %d", e.Slot)
		case e.Cause < -1 || int(e.Cause) >= len(g.p.Rules):
			return fmt.Sprintf("effect of rule %d", e.Cause)
		case e.Kind == EffectOutput && !inRange(g.p.Slots[e.Slot].Kind, e.Value):
			return fmt.Sprintf("output %d", e.Value)
		case e.Kind == EffectSend && (e.Peer < 0 || int(e.Peer) >= len(g.p.Peers) || e.Seq == 0 || e.Time <= 0):
			return fmt.Sprintf("send %+v", e)
		case e.Kind == EffectMotor:
			if wrong := g.motor(e); wrong != "" {
				return wrong
			}
		}
	}
	return ""
}

func (g *guard) motor(e Effect) string {
	last := g.dirs[e.Slot]
	switch {
	case e.Value < -1 || e.Value > 1:
		return fmt.Sprintf("motor direction %d", e.Value)
	case e.Value == 0:
		g.stopped[e.Slot] = g.now
	case last != 0:
		return fmt.Sprintf("motor goes from %d to %d without stopping", last, e.Value)
	case g.now-g.stopped[e.Slot] < int64(g.p.Slots[e.Slot].Pause):
		return fmt.Sprintf("motor goes %d ms after it stopped", g.now-g.stopped[e.Slot])
	}
	g.dirs[e.Slot] = e.Value
	return ""
}

// playRandom plays a random program with random events, twice: in strides as they come, and clock by clock as the world
// does. Both must have the same effects and the same state, and nothing may be wrong.
func playRandom(c chooser, fail func(format string, args ...any)) {
	p := randomProgram(c)
	if err := p.Check(); err != nil {
		fail("the random program is not sound: %v", err)
	}
	stride, fine := p.NewState(), p.NewState()
	g := guard{p: p, dirs: map[int16]int32{}, stopped: map[int16]int64{}}
	seq := uint32(0)
	var a, z, part []Effect
	for i := range c.number(1, 40) {
		e := randomEvent(c, p, &seq)
		if i == 0 {
			e = Event{Kind: EventStart, Slot: -1}
		}
		a = p.Step(stride, e, a[:0])
		if wrong := p.Invariant(stride); wrong != "" {
			fail("after %+v: %s\n%s", e, wrong, p.Listing())
		}
		z = z[:0]
		if p.sound(&e) {
			for left := e.Elapsed; left > 0; {
				ms := left
				if due, ok := p.Due(fine); ok {
					ms = min(due, left)
				}
				g.now += int64(ms)
				left -= ms
				part = p.Step(fine, Event{Kind: EventAdvance, Slot: -1, Elapsed: ms}, part[:0])
				if wrong := g.watch(part); wrong != "" {
					fail("while time passes before %+v: %s\n%s", e, wrong, p.Listing())
				}
				z = append(z, part...)
			}
			e.Elapsed = 0
		}
		part = p.Step(fine, e, part[:0])
		if wrong := g.watch(part); wrong != "" {
			fail("after %+v: %s\n%s", e, wrong, p.Listing())
		}
		z = append(z, part...)
		if !reflect.DeepEqual(a, z) && len(a)+len(z) > 0 || !stride.Equal(fine) {
			fail("after %+v: in one stride %v, clock by clock %v\n%v\n%v\n%s", e, a, z, stride, fine, p.Listing())
		}
	}
	q, err := Decode(p.Encode())
	if err != nil || !q.Equal(p) {
		fail("decoded: %v", err)
	}
}

func TestRandomProgramsWithRandomEvents(t *testing.T) {
	for seed := range int64(3000) {
		b := make([]byte, 3000)
		rand.New(rand.NewSource(seed)).Read(b)
		playRandom(&byBytes{b}, func(format string, args ...any) {
			t.Helper()
			t.Fatalf("seed %d: "+format, append([]any{seed}, args...)...)
		})
	}
}

func FuzzStep(f *testing.F) {
	for seed := range int64(8) {
		b := make([]byte, 800)
		rand.New(rand.NewSource(seed)).Read(b)
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		playRandom(&byBytes{b}, t.Fatalf)
	})
}
