package yamldoc_test

import (
	"reflect"
	"testing"

	"wirewright/house"
	"wirewright/internal/yamldoc"
)

func TestHouseComesBackAsItWas(t *testing.T) {
	h := house.House{
		Format: house.FormatName, Title: "yes", Note: "two\nlines: # no comment\n",
		Storeys: []house.Storey{{ID: "ground", Title: "0123"}},
		Rooms: []house.Room{{ID: "hall", Storey: "ground", Outline: []house.XY{{X: 0, Y: 0}, {X: 1.25, Y: 0}, {X: 1.25, Y: -3.4}},
			Holes: [][]house.XY{{{X: 0.1, Y: 0.1}, {X: 0.2, Y: 0.1}, {X: 0.2, Y: 0.2}}}}},
		Points:  []house.Point{{ID: "hall.lamp", Kind: house.Lamp, Room: "hall", At: &house.XYZ{X: 1, Y: 2, Z: 2.5}, Load: &house.Load{Category: house.LED, Power: 60e6, Count: 3}, Keys: []string{"on", "a, b", "~"}}},
		Modules: []house.Module{{ID: "board1.k1", Type: "rail-8", Landings: []house.Landing{{Channel: "out1", Point: "hall.lamp"}, {Channel: "in1", Point: "hall.lamp", Note: "x: y"}}}},
	}
	text := yamldoc.Encode(&h)
	t.Logf("\n%s", text)
	var back house.House
	if problems := yamldoc.Decode("h.yaml", text, &back); problems != nil {
		t.Fatal(problems)
	}
	if !reflect.DeepEqual(h, back) {
		t.Errorf("came back as\n%s", yamldoc.Encode(&back))
	}
	if problems := yamldoc.Decode("h.json", yamldoc.JSON(&h), &back); problems != nil || !reflect.DeepEqual(h, back) {
		t.Error(problems)
	}
}
