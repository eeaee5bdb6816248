package generated

import (
	"fmt"

	"wirewright/house"
	"wirewright/unit"
)

// points gives a room what its use wants, and modules for a part of it.
func (b *builder) points(r *house.Room, x, y float64) {
	first := len(b.h.Points)
	z := b.level()
	b.lamp(r, house.XYZ{X: x + 1.5, Y: y + 2, Z: z + 2.5})
	b.add(r, house.Point{ID: "keys", Kind: house.Keypad, At: &house.XYZ{X: x + 1.6, Y: y + 0.05, Z: z + 1.05},
		Keys: []string{"Lamp", "All off", "Shutter up", "Shutter down"}[:2+2*b.draw.between(0, 1)], Box: b.box(), Fitted: b.draw.between(0, 1) == 0})
	facing := unit.Angle(270_000_000)
	b.add(r, house.Point{ID: "shutter", Kind: house.Shutter, At: &house.XYZ{X: x, Y: y + 1.6, Z: z + 2.3}, Opening: r.ID + ".window", Facing: &facing,
		Load: &house.Load{Category: house.Motor, Apparent: unit.VoltAmperes(160), Factor: 0.95}, Travel: &house.Travel{Up: 27_400, Down: 26_100, Slats: 1200}})
	b.add(r, house.Point{ID: "socket", Kind: house.Socket, At: &house.XYZ{X: x + 3, Y: y + 0.05, Z: z + 0.3},
		Load: &house.Load{Category: house.Resistive, Power: unit.Watts(float64(100 * b.draw.between(3, 20)))}})
	b.add(r, house.Point{ID: "valve", Kind: house.Valve, At: &house.XYZ{X: x + 0.1, Y: y + 1.6, Z: z + 0.2},
		Load: &house.Load{Category: house.Resistive, Power: unit.Watts(2)}})
	b.add(r, house.Point{ID: "climate", Kind: house.Thermometer, At: &house.XYZ{X: x + 2.9, Y: y + 0.05, Z: z + 1.5}})
	b.add(r, house.Point{ID: "contact", Kind: house.Contact, At: &house.XYZ{X: x, Y: y + 1.1, Z: z + 1}, Opening: r.ID + ".window", Fitted: true})
	if r.Use == "hall" || r.Use == "bath" {
		b.add(r, house.Point{ID: "presence", Kind: house.Presence, At: &house.XYZ{X: x + 1.5, Y: y + 1.5, Z: z + 2.5}})
		b.add(r, house.Point{ID: "fan", Kind: house.Fan, Load: &house.Load{Category: house.Motor, Power: unit.Watts(18), Count: 1}})
	}
	added := b.h.Points[first:]
	if r.Wiring == house.WiringStar {
		b.wired = append(b.wired, added...)
		return
	}
	b.wifi(r, added)
}

func (b *builder) lamp(r *house.Room, at house.XYZ) {
	load := house.Load{Category: house.LED, Power: unit.Watts(float64(b.draw.between(2, 12) * 5)), Factor: 0.9, Count: b.draw.between(1, 6), Inrush: unit.Amperes(8)}
	if b.draw.between(0, 2) == 0 {
		load.Dimmed, load.Edge, load.Lowest = true, "trailing", 5_000_000
	}
	b.add(r, house.Point{ID: "lamp", Title: "Ceiling lamp of " + r.Title, Kind: house.Lamp, At: &at, Box: b.box(), Load: &load, Note: "From the \"lighting list\": # 3, row " + r.Number})
}

func (b *builder) box() *house.Box {
	return &house.Box{Depth: unit.Metres(0.045 + 0.016*float64(b.draw.between(0, 1))), Neutral: b.draw.between(0, 3) > 0}
}

// add gives the point its full name, its room and, if it is moved, its circuit.
func (b *builder) add(r *house.Room, p house.Point) {
	p.ID, p.Room = r.ID+"."+p.ID, r.ID
	if p.Load != nil {
		if b.loads == 10 {
			b.newCircuit()
		}
		b.loads++
		p.Circuit = b.circuit
	}
	b.h.Points = append(b.h.Points, p)
}

// wifi puts a relay behind the lamp of a room and a shutter module behind its shutter, with the keys on their inputs.
func (b *builder) wifi(r *house.Room, points []house.Point) {
	relay := house.Module{ID: r.ID + ".box", Type: "relay-wifi-2x5-in2", Point: points[0].ID, Circuit: points[0].Circuit, Address: b.address(),
		Landings: []house.Landing{{Channel: "out1", Point: points[0].ID}}}
	if points[1].Fitted {
		relay.Landings = append(relay.Landings, house.Landing{Channel: "in1", Point: points[1].ID, Key: 1}, house.Landing{Channel: "in2", Point: points[1].ID, Key: 2})
	}
	b.h.Modules = append(b.h.Modules, relay, house.Module{ID: r.ID + ".motor", Type: "shutter-wifi-1x350-in2", Room: r.ID, Circuit: points[2].Circuit,
		Address: b.address(), Landings: []house.Landing{{Channel: "sh1", Point: points[2].ID}}})
}

// address gives out addresses of 10.20.0.0/16 above those of the router's pool.
func (b *builder) address() string {
	n := len(b.h.Modules) + 256
	return fmt.Sprintf("10.20.%d.%d", n/250%256, 1+n%250)
}

// closeLine ends the line of a storey: its modules are made from the points that wait.
func (b *builder) closeLine() {
	if len(b.wired) == 0 {
		return
	}
	line := house.Line{ID: house.ID(fmt.Sprintf("line%d", b.storeys)), Head: b.boardID() + ".head", Cable: "bus-0.8"}
	b.railModule(&line, house.Module{ID: line.Head, Type: "head-rail"})
	b.railModule(&line, house.Module{ID: b.boardID() + ".supply", Type: "supply-rail-640"})
	for _, c := range []struct {
		kind    house.Kind
		typ     string
		channel string
		count   int
	}{
		{house.Lamp, "relay-rail-8x10", "out", 8}, {house.Socket, "relay-rail-8x16", "out", 8}, {house.Shutter, "shutter-rail-4", "sh", 4},
		{house.Valve, "valve-rail-6", "val", 6}, {house.Contact, "input-rail-16", "in", 16},
	} {
		b.railModules(&line, c.kind, c.typ, c.channel, c.count)
	}
	b.h.Lines = append(b.h.Lines, line)
	b.wired = nil
}

// railModules lands the waiting points of one kind on modules of one type.
func (b *builder) railModules(line *house.Line, kind house.Kind, typ, channel string, count int) {
	var m house.Module
	for i := range b.wired {
		p := &b.wired[i]
		if p.Kind != kind || p.Load != nil && p.Load.Dimmed {
			continue
		}
		if len(m.Landings) == count {
			b.railModule(line, m)
			m = house.Module{}
		}
		m.Landings = append(m.Landings, house.Landing{Channel: fmt.Sprintf("%s%d", channel, len(m.Landings)+1), Point: p.ID})
		m.ID, m.Type = house.ID(fmt.Sprintf("%s.k%d", b.boardID(), len(line.Taps))), typ
	}
	if len(m.Landings) > 0 {
		b.railModule(line, m)
	}
}

// railModule puts a module into the board of the storey and onto the line.
func (b *builder) railModule(line *house.Line, m house.Module) {
	n := len(line.Taps)
	m.Board, m.Row, m.Slot = b.boardID(), 1+n/3%7, 1+8*(n%3)
	m.Address = fmt.Sprint(n + 1)
	b.h.Modules = append(b.h.Modules, m)
	line.Taps = append(line.Taps, house.Tap{Module: m.ID, Length: unit.Metres(0.2)})
}
