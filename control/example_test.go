package control_test

import (
	"fmt"

	"wirewright/control"
)

// A staircase light: a press switches the lamp on for two minutes, and each further press begins them anew.
func Example() {
	p := &control.Program{
		Controller: "hall.box",
		Texts:      []string{"stair on", "stair off"},
		Slots: []control.Slot{
			{Name: "hall.keys.1", Kind: control.SlotKey, Peer: -1, Remote: -1, Schedule: -1},
			{Name: "hall.lamp", Kind: control.SlotSwitch, Publish: true, Peer: -1, Remote: -1, Schedule: -1},
		},
		Timers: []control.Timer{{Kind: control.TimerRunOn, Name: -1, In: -1, Time: 120_000}},
		Causes: []control.Cause{{Kind: control.CausePress, Slot: 0}, {Kind: control.CauseExpired, Timer: 0}},
		Actions: []control.Action{
			{Kind: control.ActionOn, Index: 1}, {Kind: control.ActionStartTimer, Index: 0},
			{Kind: control.ActionOff, Index: 1},
		},
		Rules: []control.Rule{
			{Name: 0, Causes: control.Range{First: 0, Count: 1}, Actions: control.Range{First: 0, Count: 2}},
			{Name: 1, Causes: control.Range{First: 1, Count: 1}, Actions: control.Range{First: 2, Count: 1}},
		},
	}
	if err := p.Check(); err != nil {
		fmt.Println(err)
		return
	}
	s := p.NewState()
	var out []control.Effect
	for _, e := range []control.Event{
		{Kind: control.EventStart, Slot: -1},
		{Kind: control.EventInput, Slot: 0, Value: 1, Elapsed: 1000},
		{Kind: control.EventInput, Slot: 0, Value: 0, Elapsed: 100},
		{Kind: control.EventAdvance, Slot: -1, Elapsed: 119_900},
	} {
		out = p.Step(s, e, out[:0])
		for _, effect := range out {
			if effect.Kind == control.EffectOutput {
				fmt.Printf("after %d ms: %s = %d\n", e.Elapsed, p.Slots[effect.Slot].Name, effect.Value)
			}
		}
	}
	// Output:
	// after 0 ms: hall.lamp = 0
	// after 1000 ms: hall.lamp = 1
	// after 119900 ms: hall.lamp = 0
}
