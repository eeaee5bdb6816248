package plan

import (
	"wirewright/house"
	"wirewright/unit"
)

// smallHouse is a storey of three rooms: a hall, a bath, and a living room in the form of an L, with what each usually
// gets. All its points have a place but one.
func smallHouse() *house.House {
	h := &house.House{
		Format:  house.FormatName,
		Storeys: []house.Storey{{ID: "ground", Title: "Ground storey"}, {ID: "attic", Title: "Attic"}},
		Rooms: []house.Room{
			{ID: "hall", Title: "Hall", Number: "001", Storey: "ground", Outline: rectangle(0, 0, 2.5, 6)},
			{ID: "bath", Title: "Bath", Storey: "ground", Outline: rectangle(2.5, 0, 5, 2.5)},
			{ID: "living", Title: "Living room with the long name", Number: "003", Storey: "ground",
				Outline: []house.XY{{X: 2.5, Y: 2.5}, {X: 9, Y: 2.5}, {X: 9, Y: 6}, {X: 6.5, Y: 6}, {X: 6.5, Y: 4.2}, {X: 2.5, Y: 4.2}}},
			{ID: "cellar", Storey: "attic"},
		},
	}
	wall := func(id house.ID, from, to house.XY, thick float64) {
		h.Walls = append(h.Walls, house.Wall{ID: id, Storey: "ground", From: from, To: to, Thickness: unit.Metres(thick)})
	}
	wall("south", house.XY{}, house.XY{X: 9}, .3)
	wall("east", house.XY{X: 9}, house.XY{X: 9, Y: 6}, .3)
	wall("north", house.XY{X: 9, Y: 6}, house.XY{Y: 6}, .3)
	wall("west", house.XY{Y: 6}, house.XY{}, .3)
	wall("hall-east", house.XY{X: 2.5}, house.XY{X: 2.5, Y: 6}, .12)
	wall("slanting", house.XY{X: 5}, house.XY{X: 6, Y: 2.5}, .12)
	h.Openings = []house.Opening{
		{ID: "front-door", Kind: house.Door, Wall: "south", Storey: "ground", From: house.XY{X: .7}, To: house.XY{X: 1.7}, Width: unit.Metres(1), Hinge: "to", Rooms: []house.ID{"hall"}},
		{ID: "living-door", Kind: house.Door, Wall: "hall-east", Storey: "ground", From: house.XY{X: 2.5, Y: 2.8}, To: house.XY{X: 2.5, Y: 3.7}, Width: unit.Metres(.9), Rooms: []house.ID{"hall", "living"}},
		{ID: "window", Kind: house.Window, Wall: "east", Storey: "ground", From: house.XY{X: 9, Y: 3}, To: house.XY{X: 9, Y: 4.4}, Width: unit.Metres(1.4), Rooms: []house.ID{"living"}},
	}
	point := func(id house.ID, kind house.Kind, room house.ID, x, y float64) {
		h.Points = append(h.Points, house.Point{ID: id, Kind: kind, Room: room, At: &house.XYZ{X: x, Y: y, Z: 1}})
	}
	point("hall.ceiling", house.Lamp, "hall", 1.25, 3)
	point("hall.presence", house.Presence, "hall", 1.25, 2.7)
	point("hall.keys", house.Keypad, "hall", 1.9, .15)
	point("hall.door-contact", house.Contact, "hall", 1.2, 0)
	point("bath.ceiling", house.Lamp, "bath", 3.75, 1.25)
	point("bath.fan", house.Fan, "bath", 3.75, 2.3)
	point("bath.rail", house.Socket, "bath", 4.8, 1)
	point("living.ceiling-south", house.Lamp, "living", 4, 3.3)
	point("living.ceiling-north", house.Lamp, "living", 7.7, 5)
	point("living.keys", house.Keypad, "living", 2.56, 3.9)
	point("living.temperature", house.Thermometer, "living", 2.56, 3.95)
	point("living.shutter", house.Shutter, "living", 8.9, 3.7)
	point("living.valve", house.Valve, "living", 8.8, 3.7)
	h.Points[0].Load = &house.Load{Category: house.LED, Dimmed: true}
	h.Points[9].Keys = []string{"Ceiling", "Blind", "Film", "Off"}
	h.Points = append(h.Points, house.Point{ID: "bath.mirror", Kind: house.Lamp, Room: "bath", Title: "Mirror lamp"},
		house.Point{ID: "cellar.lamp", Kind: house.Lamp, Room: "cellar"})
	h.Boards = []house.Board{{ID: "board1", Room: "hall", At: &house.XYZ{X: .3, Y: 5}, Rows: 2, Units: 12}}
	h.Modules = []house.Module{
		{ID: "hall.m1", Type: "wifi-relay-2", Point: "hall.ceiling", Landings: []house.Landing{{Channel: "out1", Point: "hall.ceiling"}, {Channel: "in1", Point: "hall.door-contact"}}},
		{ID: "living.m1", Type: "keypad-4", Point: "living.keys", Landings: []house.Landing{{Channel: "key1", Point: "living.keys", Key: 1}}},
		{ID: "board1.k1", Type: "relay-8", Board: "board1", Row: 1, Slot: 1},
	}
	h.Lines = []house.Line{{ID: "line1", Head: "board1.k1", Taps: []house.Tap{{Module: "board1.k1"}, {Module: "living.m1"}}}}
	h.Network.AccessPoints = []house.AccessPoint{{ID: "ap1", Room: "living"}}
	return h
}

func rectangle(x0, y0, x1, y1 float64) []house.XY {
	return []house.XY{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}
