package control

import "testing"

// fixtures are the programs that scripts, listings and vectors are about: a small invented house.
var fixtures = map[string]func(b *builder){
	"hall":    hallProgram,
	"living":  livingProgram,
	"terrace": terraceProgram,
	"bath":    bathProgram,
}

func fixture(t testing.TB, name string) *Program {
	t.Helper()
	make, ok := fixtures[name]
	if !ok {
		t.Fatalf("there is no program %q", name)
	}
	b := newBuilder()
	b.p.Controller = name + ".box"
	make(b)
	return b.done(t)
}

// hallProgram: a key with short, long and double press, a staircase light, a group with a lamp of another controller,
// a mode, a night window, a link.
func hallProgram(b *builder) {
	peer := b.peer("living.box")
	k1, k2 := b.key("hall.keys.1"), b.key("hall.keys.2")
	presence := b.input("hall.presence", QuantityBool)
	lamp, wall := b.lamp("hall.lamp"), b.lamp("hall.wall")
	table := b.mirror("living.table", peer, 3)
	away := b.variable("mode away", 0)
	b.p.Slots[away].Publish, b.p.Slots[away].Retain = true, true
	presses := b.variable("presses", 0)
	b.p.Slots[presses].Quantity = QuantityCount
	b.p.Schedules = append(b.p.Schedules, Schedule{Window: true, Days: 127, From: Anchor{Minute: 1320, NotBefore: -1, NotAfter: -1}, To: Anchor{Minute: 360, NotBefore: -1, NotAfter: -1}})
	night := b.slot(Slot{Name: "night", Kind: SlotClock, Start: Unknown, Schedule: 0})
	b.p.Schedules = append(b.p.Schedules, Schedule{Days: 31, From: Anchor{Kind: AnchorSunset, Minute: 15, NotBefore: 960, NotAfter: -1}})
	dusk := b.slot(Slot{Name: "dusk", Kind: SlotClock, Schedule: 1})
	link := b.slot(Slot{Name: "link living.box", Kind: SlotLink, Peer: peer, Start: Unknown})
	leave := b.slot(Slot{Name: "leave", Kind: SlotMessage})
	b.gesture(k1, 30, 500, 300)
	stair := b.timer("staircase", TimerRunOn, -1, 120_000)
	left := b.timer("left alone", TimerOffDelay, presence, 60_000)
	group := b.list(lamp, wall, table)
	chord := b.list(k1, k2)
	b.rule(ruleOf{name: "hall lamp", rank: RankManual, causes: []Cause{at1(CauseShort, k1)}, actions: []Action{do(ActionToggle, lamp), {Kind: ActionAdd, Index: presses, Const: 1}}})
	b.rule(ruleOf{name: "whole group", rank: RankManual, causes: []Cause{at1(CauseDouble, k1)}, actions: []Action{{Kind: ActionToggle, To: TargetList, Index: group}}})
	b.rule(ruleOf{name: "everything off", rank: RankManual, causes: []Cause{at1(CauseLong, k1)}, actions: []Action{{Kind: ActionOff, To: TargetList, Index: group, Expiry: 5000}}})
	b.rule(ruleOf{name: "staircase", causes: []Cause{at1(CausePress, k2)}, cond: is(away, 0), actions: []Action{set(wall, 1), {Kind: ActionStartTimer, Index: stair}}})
	b.rule(ruleOf{name: "staircase ends", causes: []Cause{{Kind: CauseExpired, Timer: stair}}, actions: []Action{set(wall, 0)}})
	b.rule(ruleOf{name: "both keys", causes: []Cause{{Kind: CauseChord, List: chord}}, actions: []Action{set(away, 1)}})
	b.rule(ruleOf{name: "leave", causes: []Cause{on(leave)}, actions: []Action{set(away, 1), {Kind: ActionNotify, Index: b.text("the house is alone")}}})
	b.rule(ruleOf{name: "someone at night", causes: []Cause{{Kind: CauseTimerOn, Timer: left}}, cond: []Instr{{OpSlot, int32(night)}, {OpSlot, int32(away)}, {OpNot, 0}, {OpAnd, 0}}, actions: []Action{set(lamp, 1)}})
	b.rule(ruleOf{name: "nobody any more", causes: []Cause{{Kind: CauseTimerOff, Timer: left}}, actions: []Action{set(lamp, 0)}})
	b.rule(ruleOf{name: "evening", causes: []Cause{on(dusk)}, actions: []Action{set(wall, 1)}})
	b.rule(ruleOf{name: "living is lost", causes: []Cause{off(link)}, actions: []Action{{Kind: ActionNotify, Index: b.text("the living room does not answer")}}})
	b.rule(ruleOf{name: "away", causes: []Cause{on(away)}, actions: []Action{{Kind: ActionOff, To: TargetList, Index: group}}})
}

// livingProgram: a dimmer that brightens while a key is held, a stored scene, a sequence with waits.
func livingProgram(b *builder) {
	b.peer("hall.box")
	k, up, down, store := b.key("living.keys.1"), b.key("living.keys.2"), b.key("living.keys.3"), b.key("living.keys.4")
	_ = k
	table, ceiling := b.dimmer("living.table", 50), b.dimmer("living.ceiling", 0)
	blind := b.shutter("living.blind", Unknown)
	night := b.variable("night light", 300)
	b.p.Slots[night].Quantity = QuantityLevel
	for _, g := range []int16{k, up, down} {
		b.gesture(g, 30, 400, 0)
	}
	b.p.Scenes = append(b.p.Scenes, Scene{Name: b.text("film"), Stored: true, Items: Range{0, 4}})
	b.p.SceneItems = append(b.p.SceneItems, SceneItem{Slot: table, Value: 200, Time: 3000}, SceneItem{Slot: ceiling, Value: 0, Time: 3000},
		SceneItem{Slot: blind, Value: 1000}, SceneItem{Slot: blind, Slats: true, Value: 500})
	pause := b.timer("then the ceiling", TimerWait, -1, 5000)
	b.rule(ruleOf{name: "table", causes: []Cause{at1(CauseShort, k)}, actions: []Action{do(ActionToggle, table)}})
	b.rule(ruleOf{name: "film", causes: []Cause{at1(CauseLong, k)}, actions: []Action{{Kind: ActionRecall, Index: 0}}})
	b.rule(ruleOf{name: "store film", causes: []Cause{at1(CausePress, store)}, actions: []Action{{Kind: ActionCapture, Index: 0}}})
	b.rule(ruleOf{name: "table on", causes: []Cause{at1(CauseShort, up)}, actions: []Action{do(ActionOn, table)}})
	b.rule(ruleOf{name: "brighter", causes: []Cause{at1(CauseLong, up)}, actions: []Action{{Kind: ActionRaise, Index: table, Time: 5000}}})
	b.rule(ruleOf{name: "darker", causes: []Cause{at1(CauseLong, down)}, actions: []Action{{Kind: ActionLower, Index: table}}})
	b.rule(ruleOf{name: "enough", causes: []Cause{at1(CauseLetGo, up), at1(CauseLetGo, down)}, actions: []Action{do(ActionStop, table)}})
	b.rule(ruleOf{name: "night light", causes: []Cause{at1(CauseShort, down)},
		actions: []Action{{Kind: ActionSet, Index: table, Value: b.code(Instr{OpSlot, int32(night)}, Instr{OpConst, 2}, Instr{OpDiv, 0}), Time: 2000}, {Kind: ActionStartTimer, Index: pause}}})
	b.rule(ruleOf{name: "then the ceiling", causes: []Cause{{Kind: CauseExpired, Timer: pause}}, actions: []Action{{Kind: ActionOff, Index: ceiling, Time: 1000}}})
}

// terraceProgram: an awning under a wind hold with hysteresis, a manual hold, a hold that another controller puts.
func terraceProgram(b *builder) {
	roof := b.peer("roof.box")
	b.peer("hall.box")
	k, off := b.key("terrace.keys.1"), b.key("terrace.keys.2")
	wind := b.input("terrace.wind", QuantityWind)
	door := b.input("terrace.door", QuantityBool)
	awning := b.slot(Slot{Name: "terrace.awning", Kind: SlotMotor, Quantity: QuantityPosition, Publish: true, Start: Unknown, Up: 30_000, Down: 28_000, Pause: 600, Module: "terrace.box", Channel: "motor1"})
	lamp := b.lamp("terrace.lamp")
	blow := b.hold("wind", awning, RankSafety, -1, false)
	rain := b.hold("rain", awning, RankAutomatic, roof, true)
	party := b.hold("party", lamp, RankManual, -1, true)
	_ = rain
	b.rule(ruleOf{name: "awning out", causes: []Cause{at1(CausePress, k)}, actions: []Action{do(ActionLower, awning)}})
	b.rule(ruleOf{name: "it blows", rank: RankSafety, causes: []Cause{{Kind: CauseAbove, Slot: wind, Level: 120, Band: 40}}, actions: []Action{{Kind: ActionHold, To: TargetHold, Index: blow}}})
	b.rule(ruleOf{name: "wind is gone", rank: RankSafety, causes: []Cause{{Kind: CauseBelow, Slot: wind, Level: 80, Band: 40}}, actions: []Action{{Kind: ActionRelease, To: TargetHold, Index: blow}}})
	b.rule(ruleOf{name: "wind is not heard", rank: RankSafety, causes: []Cause{at1(CauseForgot, wind)}, actions: []Action{{Kind: ActionHold, To: TargetHold, Index: blow}, {Kind: ActionNotify, Index: b.text("the wind sensor is silent")}}})
	b.rule(ruleOf{name: "door light", causes: []Cause{on(door)}, actions: []Action{set(lamp, 1)}})
	b.rule(ruleOf{name: "door light off", causes: []Cause{{Kind: CauseFall, Slot: door}}, actions: []Action{set(lamp, 0)}})
	b.rule(ruleOf{name: "party", causes: []Cause{at1(CausePress, off)}, cond: []Instr{{OpHeld, int32(lamp)}, {OpNot, 0}}, actions: []Action{{Kind: ActionHold, Index: lamp, Rank: RankManual, Const: 1}}})
	b.rule(ruleOf{name: "party is over", causes: []Cause{at1(CausePress, off)}, cond: []Instr{{OpHeld, int32(lamp)}}, actions: []Action{{Kind: ActionRelease, To: TargetHold, Index: party}}})
}

// bathProgram: a two-point thermostat with window and frost limit, and a proportional one with pulses.
func bathProgram(b *builder) {
	temp, floor := b.input("bath.temperature", QuantityTemperature), b.input("bath.floor", QuantityTemperature)
	set, floorSet := b.variable("bath.wanted", 2100), b.variable("bath.floor wanted", 2500)
	b.p.Slots[set].Quantity, b.p.Slots[floorSet].Quantity = QuantityTemperature, QuantityTemperature
	heat := b.variable("heating period", 1)
	window := b.input("bath.window", QuantityBool)
	valve, mat := b.lamp("bath.radiator"), b.lamp("bath.mat")
	rule := b.rule(ruleOf{name: "keep the bath warm"})
	b.p.Regulators = append(b.p.Regulators,
		Regulator{Kind: RegulatorTwoPoint, Name: b.text("bath air"), Rule: rule, Sensor: temp, SetPoint: set, Output: valve, Enable: heat, Window: window, SetBack: 500, Frost: 500, Half: 30, Period: 600_000, Blind: 250},
		Regulator{Kind: RegulatorProportional, Name: b.text("bath floor"), Rule: -1, Sensor: floor, SetPoint: floorSet, Output: mat, Enable: -1, Window: -1, Frost: Unknown, Band: 400, Reset: 6000, Sample: 60_000, Period: 900_000, Shortest: 60_000, Blind: 0})
}
