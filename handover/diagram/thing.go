package diagram

import (
	"fmt"
	"strings"

	"wirewright/handover/scene"
	"wirewright/house"
)

// thing is what stands on a row: a module, the device of a circuit, or another device of the board.
type thing struct {
	entity, layer, label string
	row, slot, units     int
	role                 scene.Role
	lines                []row
	short                string // what stands on one that is too narrow for two lines
}

// things gathers what stands on the rows of the board.
func (e *elevation) things() {
	h := e.index.House()
	for i := range h.Modules {
		if m := &h.Modules[i]; m.Board == e.board.ID {
			e.add(thing{string(m.ID), "modules", fmt.Sprintf("Module %s, %s, row %d unit %d", m.ID, e.typeTitle(m), m.Row, m.Slot), m.Row, m.Slot, e.Drawer.units(m), scene.Wired, e.moduleLines(m), ""})
		}
	}
	for i := range h.Circuits {
		if k := &h.Circuits[i]; k.Board == e.board.ID {
			e.add(thing{string(k.ID), "protection", strings.TrimSuffix(fmt.Sprintf("Device of circuit %s, %s", k.ID, deviceText(k)), ", ") + fmt.Sprintf(", row %d unit %d", k.Row, k.Slot),
				k.Row, k.Slot, min(k.DeviceUnits(), unitsMost), scene.Cable, e.circuitLines(k),
				strings.TrimPrefix(string(k.ID), string(e.board.ID)+".") + "  " + deviceText(k)})
		}
	}
	for i := range e.board.Devices {
		d := &e.board.Devices[i]
		role := scene.Cable
		if d.Extra {
			role = scene.Bus
		}
		e.add(thing{"", "protection", fmt.Sprintf("%s, %s, row %d unit %d", d.Name, deviceWords(d), d.Row, d.Slot), d.Row, d.Slot, min(max(d.Units, 1), unitsMost), role,
			[]row{{d.Name, 2.1, true, scene.Label}, {deviceWords(d), 1.7, false, scene.Label}, {served(d), 1.7, false, scene.Quiet}}, ""})
	}
}

func (e *elevation) add(t thing) {
	if t.row >= 1 && t.row <= rowsMost && t.slot >= 1 && t.slot <= unitsMost {
		e.on[t.row] = append(e.on[t.row], t)
	}
}

func (e *elevation) moduleLines(m *house.Module) []row {
	address := ""
	if m.Address != "" {
		address = "address " + m.Address
	}
	return []row{{string(m.ID), 2.1, true, scene.Label}, {e.names[m.ID], 1.7, false, scene.Quiet}, {address, 1.7, false, scene.Label}, {e.typeTitle(m), 1.7, false, scene.Label}}
}

// circuitLines are identity and rating first: on a device of one unit there is room for little more.
func (e *elevation) circuitLines(k *house.Circuit) []row {
	return []row{{string(k.ID), 2.1, true, scene.Label}, {deviceText(k), 1.7, false, scene.Label}, {k.Title, 1.7, false, scene.Quiet}, {e.names[k.ID], 1.7, false, scene.Quiet}}
}

// deviceText is the characteristic and rating of a circuit's device, as it is printed on one, and its lines.
func deviceText(k *house.Circuit) string {
	text := k.Curve
	if k.Rating > 0 {
		text = strings.TrimSpace(text + " " + k.Rating.String())
	}
	if k.Phase != "" {
		text = strings.TrimSpace(text + " " + strings.ReplaceAll(k.Phase, "all", "L1 L2 L3"))
	}
	return text
}

// deviceWords says what a device of the board is.
func deviceWords(d *house.Device) string {
	what := map[string]string{"main": "incoming device", "residual": "residual-current device", "surge": "surge protection", "meter": "meter", "terminals": "terminals"}[d.Kind]
	if what == "" {
		what = "device"
	}
	if d.Rating > 0 {
		what += " " + d.Rating.String()
	}
	return what
}

// served names the circuits downstream of a device.
func served(d *house.Device) string {
	list := make([]string, len(d.Serves))
	for i, id := range d.Serves {
		list[i] = string(id)
	}
	return strings.Join(list, ", ")
}

// twoLines is the least width in mm of a thing on which two upright lines are to be read.
const twoLines = 5.0

// draw draws a thing with what is to be read on it; the letters stand upright on narrow ones.
func (t *thing) draw(s *scene.Scene, x, y, w, h float64) {
	item := scene.Item{Layer: t.layer, Entity: t.entity, Label: t.label}
	item.Shapes = append(item.Shapes, scene.Path{Role: scene.Paper, Closed: true, Filled: true, Points: rectangle(x+.1, y, w-.2, h)},
		scene.Path{Role: t.role, Closed: true, Filled: t.role == scene.Wired, Width: 0.25, Points: rectangle(x+.1, y, w-.2, h)})
	if w < twoLines && t.short != "" {
		t.lines = []row{{t.short, 1.9, true, scene.Label}}
	}
	if w >= 15 {
		item.Shapes = append(item.Shapes, stack(t.lines, x+1, y+.8, w-2, h-1.6)...)
	} else {
		item.Shapes = append(item.Shapes, upright(t.lines, x, y, w, h)...)
	}
	s.Add(item)
}
