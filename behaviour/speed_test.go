package behaviour

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
)

// bigHouse is a house of n rooms, each a Wi-Fi module with a lamp, a shutter, four keys and a contact, and its rules:
// four a room, one of which crosses the network.
func bigHouse(n int) *house.House {
	h := &house.House{Site: house.Site{Zone: "Europe/Vienna"}}
	h.Storeys = []house.Storey{{ID: "ground"}}
	var b strings.Builder
	b.WriteString("mode away is off\n")
	for i := range n {
		room := house.ID(fmt.Sprintf("room%d", i))
		h.Rooms = append(h.Rooms, house.Room{ID: room, Storey: "ground"})
		h.Points = append(h.Points,
			house.Point{ID: room + ".lamp", Kind: house.Lamp, Room: room},
			house.Point{ID: room + ".keys", Kind: house.Keypad, Room: room, Keys: []string{"a", "b", "c", "d"}},
			house.Point{ID: room + ".presence", Kind: house.Presence, Room: room})
		h.Modules = append(h.Modules, house.Module{ID: room + ".box", Type: "box", Landings: []house.Landing{
			{Channel: "out1", Point: room + ".lamp"}, {Channel: "in1", Point: room + ".keys", Key: 1},
			{Channel: "in2", Point: room + ".keys", Key: 2}, {Channel: "in3", Point: room + ".keys", Key: 3},
			{Channel: "in4", Point: room + ".keys", Key: 4}, {Channel: "in5", Point: room + ".presence"},
		}})
		fmt.Fprintf(&b, "when room%d.keys.1 is pressed: toggle room%d.lamp\n", i, i)
		fmt.Fprintf(&b, "when room%d.keys.2 is held, unless away: toggle room%d.lamp\n", i, (i+1)%n)
		fmt.Fprintf(&b, "when room%d.presence begins, if dark: turn on room%d.lamp for 3 min\n", i, i)
		fmt.Fprintf(&b, "at 23:%02d on Monday to Friday: turn off room%d.lamp\n", i%60, i)
	}
	h.Behaviour = b.String()
	return h
}

func boxCatalogue() *catalogue.Catalogue {
	return &catalogue.Catalogue{Types: []catalogue.Type{{ID: "box", Medium: catalogue.WiFi,
		Channels: []catalogue.ChannelGroup{{Kind: catalogue.Relay, Count: 1}, {Kind: catalogue.Input, Count: 5}},
		Capacity: &catalogue.Capacity{Rules: 60, Bytes: 12288, Slots: 120}}}}
}

func BenchmarkCompile2000Rules(b *testing.B) {
	h, cat := bigHouse(500), boxCatalogue()
	b.ReportAllocs()
	for b.Loop() {
		if c, problems := Compile(h, cat); len(problems) > 0 || len(c.Rules) != 2000 {
			b.Fatal(problems)
		}
	}
}

func TestSameInputGivesTheSameBytes(t *testing.T) {
	h, cat := sampleHouse(t, read(t, "testdata/sample.txt"))
	first, _ := Compile(h, cat)
	for range 20 {
		again, _ := Compile(h, cat)
		if again.Listing() != first.Listing() || fmt.Sprint(again.Findings) != fmt.Sprint(first.Findings) || fmt.Sprint(again.Matrix()) != fmt.Sprint(first.Matrix()) {
			t.Fatal("listing, findings or matrix differ from one compilation to the next")
		}
		for i, p := range again.Programs {
			if b := p.Encode(); len(b) == 0 || !bytes.Equal(b, first.Programs[i].Encode()) || p.Digest() != first.Programs[i].Digest() {
				t.Fatalf("%s: other bytes (%d) from the same text", p.Controller, len(b))
			}
		}
	}
}
