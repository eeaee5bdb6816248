package rehearse_test

import (
	"fmt"

	"wirewright/control"
	"wirewright/rehearse"
)

// One key and one lamp on one controller.
func Example() {
	program := &control.Program{
		Controller: "hall.box",
		Texts:      []string{"hall lamp"},
		Slots: []control.Slot{
			{Name: "hall.keys.1", Kind: control.SlotKey, Start: control.Unknown, Peer: -1, Remote: -1, Schedule: -1},
			{Name: "hall.lamp", Kind: control.SlotSwitch, Peer: -1, Remote: -1, Schedule: -1, Publish: true},
		},
		Gestures: []control.Gesture{{Slot: 0, Debounce: control.DebounceUsual}},
		Rules:    []control.Rule{{Causes: control.Range{Count: 1}, Actions: control.Range{Count: 1}}},
		Causes:   []control.Cause{{Kind: control.CausePress, Slot: 0}},
		Actions:  []control.Action{{Kind: control.ActionToggle, Index: 1, Peer: -1}},
	}
	if err := program.Check(); err != nil {
		fmt.Println(err)
		return
	}
	r, err := rehearse.New(rehearse.Options{Programs: []*control.Program{program}, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	from := r.Elapsed()
	for _, down := range []bool{true, false} {
		if err := r.Key("hall.keys", 1, down); err != nil {
			fmt.Println(err)
		}
		if err := r.Advance(80); err != nil {
			fmt.Println(err)
		}
	}
	fmt.Print(r.Story(from, r.Elapsed()))
	// Output:
	//     0.000 s  hall.keys.1 pressed
	//     0.030 s  hall.lamp on (hall lamp)
	//     0.080 s  hall.keys.1 let go
}
