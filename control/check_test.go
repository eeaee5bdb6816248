package control

import (
	"strings"
	"testing"
)

// unsound is a program that is spoilt in one place, with what Check must say about it.
type unsound struct {
	name  string
	spoil func(p *Program)
	want  string
}

// rule0 spoils the only action of rule 0 of the hall program.
func action0(change func(a *Action)) func(p *Program) {
	return func(p *Program) { change(&p.Actions[p.Rules[0].Actions.First]) }
}

func cause0(change func(c *Cause)) func(p *Program) {
	return func(p *Program) { change(&p.Causes[p.Rules[0].Causes.First]) }
}

func cond3(code ...Instr) func(p *Program) {
	return func(p *Program) {
		p.Rules[3].Cond = Range{int32(len(p.Code)), int32(len(code))}
		p.Code = append(p.Code, code...)
	}
}

// hallUnsound are mistakes in the hall program: slots 0 and 1 keys, 2 input, 3 and 4 switches, 5 mirror, 6 and 7 variables.
var hallUnsound = []unsound{
	{"kind of slot", func(p *Program) { p.Slots[2].Kind = 77 }, "slot 2 (hall.presence): kind 77 does not exist"},
	{"quantity", func(p *Program) { p.Slots[2].Quantity = 77 }, "quantity 77"},
	{"peer", func(p *Program) { p.Slots[10].Peer = 5 }, "peer 5 does not exist"},
	{"mirror of nobody", func(p *Program) { p.Slots[5].Remote = -1 }, "a mirror needs a peer"},
	{"schedule", func(p *Program) { p.Slots[8].Schedule = 9 }, "schedule 9 does not exist"},
	{"anchor", func(p *Program) { p.Schedules[0].From.Kind = 9 }, "kind of anchor"},
	{"start value", func(p *Program) { p.Slots[3].Start = 2 }, "start value 2"},
	{"long text", func(p *Program) { p.Texts[0] = strings.Repeat("x", MaxTextBytes+1) }, "text 0 is 1025 bytes long"},
	{"too many rules", func(p *Program) { p.Rules = make([]Rule, MaxRules+1) }, "2049 rules, but a program has room for 2048"},
	{"name of a rule", func(p *Program) { p.Rules[0].Name = 999 }, "text 999 does not exist"},
	{"rank", func(p *Program) { p.Rules[0].Rank = 4 }, "rank 4 does not exist"},
	{"causes beyond", func(p *Program) { p.Rules[0].Causes.Count = 999 }, "rows 0 to 998 do not exist"},
	{"causes before", func(p *Program) { p.Rules[0].Causes.First = -1 }, "rows -1 to -1 do not exist"},
	{"count below 0", func(p *Program) { p.Rules[0].Actions.Count = -1 }, "do not exist"},
	{"range beyond 32 bits", func(p *Program) { p.Rules[0].Actions = Range{1<<31 - 1, 1<<31 - 1} }, "do not exist"},
	{"rows shared too often", func(p *Program) {
		for range MaxRules - len(p.Rules) {
			p.Rules = append(p.Rules, Rule{Name: -1, Actions: Range{0, int32(len(p.Actions))}})
		}
	}, "rows are shared too often"},
	{"lists that reach too far", func(p *Program) {
		p.Members = make([]int16, 10_000)
		p.Lists = []Range{{0, 10_000}}
		p.Rules = []Rule{{Name: -1, Actions: Range{0, 14}}}
		p.Actions = make([]Action, 14)
		for i := range p.Members {
			p.Members[i] = 3
		}
		for i := range p.Actions {
			p.Actions[i] = Action{Kind: ActionOn, To: TargetList}
		}
		p.Causes = nil
	}, "lists reach more than"},
	{"kind of cause", cause0(func(c *Cause) { c.Kind = 99 }), "kind 99 does not exist"},
	{"slot of a cause", cause0(func(c *Cause) { c.Slot = 99 }), "slot 99 does not exist (there are 12)"},
	{"slot of a cause below 0", cause0(func(c *Cause) { c.Slot = -1 }), "slot -1 does not exist"},
	{"press of an input", cause0(func(c *Cause) { *c = Cause{Kind: CausePress, Slot: 2} }), "is not a key"},
	{"double where only short is recognised", cause0(func(c *Cause) { c.Slot = 1 }), "key hall.keys.2 has no gesture"},
	{"motion of a lamp", cause0(func(c *Cause) { *c = Cause{Kind: CauseMoves, Slot: 3} }), "is not a motor"},
	{"hysteresis", cause0(func(c *Cause) { *c = Cause{Kind: CauseAbove, Slot: 2, Band: -1} }), "hysteresis -1"},
	{"timer of a cause", cause0(func(c *Cause) { *c = Cause{Kind: CauseExpired, Timer: 9} }), "timer 9 does not exist"},
	{"chord of lamps", cause0(func(c *Cause) { *c = Cause{Kind: CauseChord, List: 0} }), "is not a key"},
	{"chord of one key", func(p *Program) { p.Lists[1].Count = 1 }, "a chord needs two keys"},
	{"list of a chord", cause0(func(c *Cause) { *c = Cause{Kind: CauseChord, List: 7} }), "list 7 does not exist"},
	{"kind of action", action0(func(a *Action) { a.Kind = 99 }), "kind 99 does not exist"},
	{"target", action0(func(a *Action) { a.To = 9 }), "target 9 does not exist"},
	{"raise a lamp", action0(func(a *Action) { a.Kind = ActionRaise }), "slot 3 (hall.lamp) cannot be driven so"},
	{"set a key", action0(func(a *Action) { a.Index = 0 }), "slot 0 (hall.keys.1) cannot be driven so"},
	{"add to a lamp", action0(func(a *Action) { a.Kind = ActionAdd }), "cannot be driven so"},
	{"add to a peer", action0(func(a *Action) { *a = Action{Kind: ActionAdd, To: TargetPeer} }), "local variables only"},
	{"peer of an action", action0(func(a *Action) { a.To, a.Peer = TargetPeer, 3 }), "peer 3 does not exist"},
	{"slot of a peer", action0(func(a *Action) { a.To, a.Index = TargetPeer, -3 }), "slot -3 of a peer"},
	{"hold by slot without a row", action0(func(a *Action) { a.Kind, a.Rank = ActionHold, RankSafety }), "has no hold of rank 3"},
	{"hold of no rank", action0(func(a *Action) { a.Kind = ActionHold }), "rank 0 cannot hold"},
	{"hold by row", action0(func(a *Action) { a.Kind, a.To = ActionHold, TargetHold }), "hold 3 does not exist"},
	{"toggle of a hold", action0(func(a *Action) { a.To = TargetHold }), "only holds and releases name a hold"},
	{"timer of an action", action0(func(a *Action) { a.Kind, a.Index = ActionStartTimer, 9 }), "timer 9 does not exist"},
	{"timer that a slot drives", action0(func(a *Action) { a.Kind, a.Index = ActionCancelTimer, 1 }), "is driven by a slot"},
	{"text of an action", action0(func(a *Action) { a.Kind, a.Index = ActionNotify, 999 }), "text 999 does not exist"},
	{"scene of an action", action0(func(a *Action) { a.Kind, a.Index = ActionRecall, 0 }), "scene 0 does not exist"},
	{"fade below 0", action0(func(a *Action) { a.Time = -1 }), "times below 0"},
	{"instruction", cond3(Instr{99, 0}), "code 99 does not exist"},
	{"slot of an instruction", cond3(Instr{OpSlot, 99}), "slot 99 does not exist"},
	{"slot of an instruction below 0", cond3(Instr{OpSlot, -1}), "slot -1 does not exist"},
	{"position of a lamp", cond3(Instr{OpPosition, 3}), "is not a local motor"},
	{"hold of an input", cond3(Instr{OpHeld, 2}), "is not a local output"},
	{"timer of an instruction", cond3(Instr{OpTimerET, 4}), "timer 4 does not exist"},
	{"list of an instruction", cond3(Instr{OpAny, 1 << 20}), "list 1048576 does not exist"},
	{"stack runs dry", cond3(Instr{OpConst, 1}, Instr{OpAnd, 0}), "2 values are needed, 1 are on the stack"},
	{"stack runs dry at the opposite", cond3(Instr{OpNot, 0}), "1 values are needed, 0 are on the stack"},
	{"two values are left", cond3(Instr{OpConst, 1}, Instr{OpConst, 1}), "2 values are left"},
	{"stack runs over", cond3(append(make([]Instr, MaxStack+1), Instr{OpAnd, 0})...), "more than 16 values"},
	{"kind of timer", func(p *Program) { p.Timers[0].Kind = 9 }, "timer 0: kind 9"},
	{"time of a timer", func(p *Program) { p.Timers[0].Time = -1 }, "a time of -1 ms"},
	{"input of a timer", func(p *Program) { p.Timers[0].In = 99 }, "slot 99 does not exist"},
	{"gesture of a lamp", func(p *Program) { p.Gestures[0].Slot = 3 }, "is not a key"},
	{"gesture of nothing", func(p *Program) { p.Gestures[0].Slot = 300 }, "slot 300 does not exist"},
	{"two gestures", func(p *Program) { p.Gestures = append(p.Gestures, p.Gestures[0]) }, "has a gesture already"},
	{"gesture below 0", func(p *Program) { p.Gestures[0].Gap = -1 }, "times below 0"},
	{"member", func(p *Program) { p.Members[0] = 99 }, "member 0: slot 99"},
	{"list", func(p *Program) { p.Lists[0].Count = 99 }, "list 0: rows 0 to 98"},
}

func TestCheckTellsEveryMistake(t *testing.T) {
	for _, c := range hallUnsound {
		expectMistake(t, "hall", c)
	}
	for _, c := range []unsound{
		{"travel time", func(p *Program) { p.Slots[6].Up = 10 }, "travel times 10 ms up"},
		{"slats", func(p *Program) { p.Slots[6].Slats = -1 }, "time of the slats -1 ms"},
		{"pause", func(p *Program) { p.Slots[6].Pause = 499 }, "pause before a reversal 499 ms"},
		{"least", func(p *Program) { p.Slots[4].Least = 1001 }, "least level 1001"},
		{"items of a scene", func(p *Program) { p.Scenes[0].Items.Count = 9 }, "scene 0: rows 0 to 8"},
		{"slot of an item", func(p *Program) { p.SceneItems[0].Slot = 99 }, "slot 99"},
		{"key in a scene", func(p *Program) { p.SceneItems[0].Slot = 0 }, "cannot be driven so"},
		{"slats of a lamp", func(p *Program) { p.SceneItems[0].Slats = true }, "cannot be driven so"},
		{"fade of an item", func(p *Program) { p.SceneItems[0].Time = -1 }, "a fade of -1 ms"},
		{"capture of a fixed scene", func(p *Program) { p.Scenes[0].Stored = false }, "is not a stored one"},
		{"slats where there are none", func(p *Program) { p.Slots[6].Slats = 0 }, "cannot be driven so"},
	} {
		expectMistake(t, "living", c)
	}
	for _, c := range []unsound{
		{"rank of a hold", func(p *Program) { p.Holds[0].Rank = 0 }, "rank 0 cannot hold"},
		{"peer of a hold", func(p *Program) { p.Holds[0].Peer = 7 }, "peer 7 does not exist"},
		{"hold of an input", func(p *Program) { p.Holds[0].Slot = 2 }, "is not a local output"},
	} {
		expectMistake(t, "terrace", c)
	}
	for _, c := range []unsound{
		{"kind of regulator", func(p *Program) { p.Regulators[0].Kind = 9 }, "kind 9 does not exist"},
		{"rule", func(p *Program) { p.Regulators[0].Rule = 9 }, "rule 9 does not exist"},
		{"sensor", func(p *Program) { p.Regulators[0].Sensor = -1 }, "slot -1 does not exist"},
		{"output", func(p *Program) { p.Regulators[0].Output = 2 }, "cannot be regulated"},
		{"hysteresis", func(p *Program) { p.Regulators[0].Half = 0 }, "half of the hysteresis"},
		{"blind", func(p *Program) { p.Regulators[0].Blind = 1001 }, "1001 thousandths"},
		{"blind without a period", func(p *Program) { p.Regulators[0].Period = 0 }, "need a period"},
		{"band", func(p *Program) { p.Regulators[1].Band = 0 }, "the band and the period"},
		{"shortest", func(p *Program) { p.Regulators[1].Shortest = 500_000 }, "more than half of the period"},
		{"set back", func(p *Program) { p.Regulators[1].SetBack = -1 }, "below 0"},
		{"sample", func(p *Program) { p.Regulators[1].Sample = 1 << 30 }, "more than a day"},
		{"window", func(p *Program) { p.Regulators[1].Window = 99 }, "slot 99 does not exist"},
	} {
		expectMistake(t, "bath", c)
	}
}

// expectMistake spoils a program, and sees that Check says so, that Step then refuses everything, that the listing does
// not mind, and that the encoding is refused too.
func expectMistake(t *testing.T, program string, c unsound) {
	t.Helper()
	p := fixture(t, program)
	s := p.NewState()
	c.spoil(p)
	err := p.Check()
	if err == nil || !strings.Contains(err.Error(), c.want) {
		t.Errorf("%s: %v, want %q", c.name, err, c.want)
		return
	}
	if out := p.Step(s, Event{Kind: EventStart, Slot: -1}, nil); len(out) != 1 || out[0].Value != int32(FaultRange) {
		t.Errorf("%s: Step does %v", c.name, out)
	}
	if p.NewState() != nil || p.Listing() == "" || p.Invariant(s) == "" {
		t.Errorf("%s: state, listing or invariant of an unsound program", c.name)
	}
	if _, due := p.Due(s); due {
		t.Errorf("%s: something is due", c.name)
	}
	if _, err := Decode(p.Encode()); err == nil {
		t.Errorf("%s: Decode takes it", c.name)
	}
}

// TestManyMistakesAtOnce: all are told, up to a bound.
func TestManyMistakesAtOnce(t *testing.T) {
	p := fixture(t, "hall")
	for i := range p.Slots {
		p.Slots[i].Kind = 50
	}
	if n := strings.Count(p.Check().Error(), "kind 50 does not exist"); n != len(p.Slots) {
		t.Errorf("%d mistakes told, want %d", n, len(p.Slots))
	}
	p = fixture(t, "hall")
	p.Members = make([]int16, MaxMembers)
	for i := range p.Members {
		p.Members[i] = -1
	}
	if n := len(strings.Split(p.Check().Error(), "\n")); n != mistakesMost {
		t.Errorf("%d mistakes told, at most %d are", n, mistakesMost)
	}
}
