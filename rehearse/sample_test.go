package rehearse

import (
	"testing"

	"wirewright/control"
	"wirewright/house"
	"wirewright/unit"
)

// sheet builds one program row by row.
type sheet struct{ p control.Program }

func newSheet(controller string, peers ...string) *sheet {
	return &sheet{control.Program{Controller: controller, Peers: peers}}
}

func (b *sheet) text(s string) int16 {
	b.p.Texts = append(b.p.Texts, s)
	return int16(len(b.p.Texts) - 1)
}

// slot adds a slot; what a kind does not need is left out.
func (b *sheet) slot(s control.Slot) int16 {
	if s.Kind != control.SlotMirror {
		s.Peer, s.Remote = -1, -1
	}
	if s.Kind != control.SlotClock {
		s.Schedule = -1
	}
	b.p.Slots = append(b.p.Slots, s)
	return int16(len(b.p.Slots) - 1)
}

func (b *sheet) key(name, module string) int16 {
	k := b.slot(control.Slot{Name: name, Kind: control.SlotKey, Start: control.Unknown, Module: module, Channel: "in1"})
	b.p.Gestures = append(b.p.Gestures, control.Gesture{Slot: k, Debounce: control.DebounceUsual, Long: control.LongUsual})
	return k
}

func (b *sheet) lamp(name, module string) int16 {
	return b.slot(control.Slot{Name: name, Kind: control.SlotSwitch, Publish: true, Module: module, Channel: "out1"})
}

func (b *sheet) shutter(name, module string) int16 {
	return b.slot(control.Slot{Name: name, Kind: control.SlotMotor, Quantity: control.QuantityPosition, Publish: true, Module: module,
		Channel: "sh1", Up: 54_000, Down: 50_000, Slats: 1600, Pause: 500, Start: 0, Retain: true})
}

func (b *sheet) mirror(name string, peer, remote int16, forget bool) int16 {
	return b.slot(control.Slot{Name: name, Kind: control.SlotMirror, Peer: peer, Remote: remote, Start: control.Unknown, Forget: forget})
}

// rule adds a rule with one cause and actions.
func (b *sheet) rule(name string, cause control.Cause, actions ...control.Action) {
	first := int32(len(b.p.Actions))
	b.p.Actions = append(b.p.Actions, actions...)
	b.p.Causes = append(b.p.Causes, cause)
	b.p.Rules = append(b.p.Rules, control.Rule{Name: b.text(name),
		Causes: control.Range{First: int32(len(b.p.Causes) - 1), Count: 1}, Actions: control.Range{First: first, Count: int32(len(actions))}})
}

func act(kind control.ActionKind, slot int16) control.Action {
	return control.Action{Kind: kind, Index: slot, Peer: -1}
}

// list adds a list of slots.
func (b *sheet) list(slots ...int16) int16 {
	b.p.Lists = append(b.p.Lists, control.Range{First: int32(len(b.p.Members)), Count: int32(len(slots))})
	b.p.Members = append(b.p.Members, slots...)
	return int16(len(b.p.Lists) - 1)
}

func (b *sheet) done(t testing.TB) *control.Program {
	t.Helper()
	if err := b.p.Check(); err != nil {
		t.Fatal(err)
	}
	return &b.p
}

// sample is a small house: a Wi-Fi module in the hall with keys and a lamp, one in the living room with a lamp and a
// shutter, and a wired line whose head serves a key module and a relay module.
//
//	hall.keys.1: hall lamp        hall.keys.2: both lamps, decided once     hall.keys.3: living shutter down
//	hall.keys.4: living shutter up        wing.keys.1: wing lamp (one line)        wing.keys.2: hall lamp off
func sample(t testing.TB) []*control.Program {
	hall := newSheet("hall.box", "living.box", "head")
	hallLamp := hall.lamp("hall.lamp", "hall.box") // 0
	k1, k2 := hall.key("hall.keys.1", "hall.box"), hall.key("hall.keys.2", "hall.box")
	k3, k4 := hall.key("hall.keys.3", "hall.box"), hall.key("hall.keys.4", "hall.box")
	livingLamp := hall.mirror("living.lamp", 0, 0, false)
	shutter := hall.mirror("living.shutter", 0, 1, false)
	hall.rule("hall lamp", control.Cause{Kind: control.CauseShort, Slot: k1}, act(control.ActionToggle, hallLamp))
	both := act(control.ActionToggle, hall.list(hallLamp, livingLamp))
	both.To = control.TargetList
	hall.rule("both lamps", control.Cause{Kind: control.CauseShort, Slot: k2}, both)
	hall.rule("shutter down", control.Cause{Kind: control.CausePress, Slot: k3}, act(control.ActionLower, shutter))
	hall.rule("shutter up", control.Cause{Kind: control.CausePress, Slot: k4}, act(control.ActionRaise, shutter))

	hall.slot(control.Slot{Name: "hall.door", Kind: control.SlotInput, Start: control.Unknown, Module: "hall.box", Channel: "in5"})

	living := newSheet("living.box", "hall.box")
	living.lamp("living.lamp", "living.box")
	living.shutter("living.shutter", "living.box")

	head := newSheet("head", "hall.box")
	wingLamp := head.lamp("wing.lamp", "relays")
	w1, w2 := head.key("wing.keys.1", "inputs"), head.key("wing.keys.2", "inputs")
	head.shutter("wing.shutter", "motors")
	w3 := head.key("wing.keys.3", "inputs")
	mirrored := head.mirror("hall.lamp", 0, 0, true)
	head.slot(control.Slot{Name: "wing.window", Kind: control.SlotInput, Start: control.Unknown, Module: "inputs", Channel: "in4", Publish: true})
	head.rule("wing lamp", control.Cause{Kind: control.CauseShort, Slot: w1}, act(control.ActionToggle, wingLamp))
	head.rule("hall lamp off", control.Cause{Kind: control.CauseShort, Slot: w2}, act(control.ActionOff, mirrored))
	head.rule("wing shutter down", control.Cause{Kind: control.CausePress, Slot: w3}, act(control.ActionLower, 3))
	return []*control.Program{hall.done(t), living.done(t), head.done(t)}
}

// sampleHouse is the house of sample: a line with its modules, one access point, in Vienna.
func sampleHouse() *house.House {
	return &house.House{
		Site:    house.Site{Latitude: 48_208_200, Longitude: 16_373_800, Zone: "Europe/Vienna"},
		Network: house.Network{AccessPoints: []house.AccessPoint{{ID: "ap1"}}},
		Modules: []house.Module{{ID: "hall.box"}, {ID: "living.box"}, {ID: "head"}, {ID: "inputs"}, {ID: "relays"}, {ID: "motors"}},
		Lines:   []house.Line{{ID: "line1", Head: "head", Taps: []house.Tap{{Module: "head"}, {Module: "inputs"}, {Module: "relays"}, {Module: "motors"}}}},
		Points: []house.Point{{ID: "hall.keys", Kind: house.Keypad, Room: "hall"}, {ID: "hall.lamp", Kind: house.Lamp, Room: "hall"},
			{ID: "living.lamp", Kind: house.Lamp, Room: "living"}, {ID: "living.shutter", Kind: house.Shutter, Room: "living"},
			{ID: "wing.lamp", Kind: house.Lamp, Room: "wing"}, {ID: "wing.window", Kind: house.Contact, Room: "wing"}},
	}
}

// perfect is a network that is fast and regular, so that stories are easy to read.
func perfect() *Network {
	return &Network{WiFi: Link{Least: 5, Typical: 5}, Cable: Link{Least: 1, Typical: 1}, Cycle: 10, Watch: 1000, Keep: 3000, Will: 2000, Retry: 1000}
}

func start(t testing.TB, o Options) *Rehearsal {
	t.Helper()
	if o.Programs == nil {
		o.Programs, o.House = sample(t), sampleHouse()
	}
	if o.Network == nil {
		o.Network = perfect()
	}
	r, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (r *Rehearsal) must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// tap presses a key for 100 ms.
func (r *Rehearsal) tap(t testing.TB, point house.ID, key int) {
	t.Helper()
	r.must(t, r.Key(point, key, true))
	r.must(t, r.Advance(100))
	r.must(t, r.Key(point, key, false))
}

func (r *Rehearsal) sleep(t testing.TB, d unit.Duration) {
	t.Helper()
	r.must(t, r.Advance(d))
}
