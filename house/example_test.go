package house_test

import (
	"fmt"

	"wirewright/house"
)

// A text with mistakes is refused whole, with all of them.
func ExampleRead() {
	_, err := house.Read("villa.yaml", []byte(`
format: wirewright house 1
site: {}
storeys: [{id: ground, elevation: 0 m}]
rooms: [{id: hall, storey: ground}]
points:
  - id: hall.lamp
    kind: lamp
    room: hal
    load: {category: led, power: 60}
`))
	fmt.Println(err)
	// Output:
	// villa.yaml:9:11: room: there is no room "hal" (did you mean hall?)
	// villa.yaml:10:34: power: "60" is not a power: the unit is missing (W, mW, kW); write for example "60 W"
}

// The difference between two revisions leads from one to the other, and back.
func ExampleDiff() {
	before := &house.House{Format: house.FormatName, Points: []house.Point{{ID: "hall.lamp", Kind: house.Lamp}}}
	after := &house.House{Format: house.FormatName, Points: []house.Point{{ID: "hall.keys", Kind: house.Keypad}, {ID: "hall.lamp", Kind: house.Lamp, Title: "Lamp", Fitted: true}}}
	changes := house.Diff(before, after)
	for _, c := range changes {
		fmt.Println(c.Kind, c.ID, c.Fields())
	}
	back, err := house.Apply(after, house.Invert(changes))
	fmt.Println(len(back.Points), err)
	// Output:
	// point hall.keys []
	// point hall.lamp [title fitted]
	// 1 <nil>
}
