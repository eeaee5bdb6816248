// Package diagram draws what is no floor plan: the elevation of a board, the diagram of a bus line, and labels for
// modules. Each is a scene, or several where one sheet does not hold it, for paper and screen alike.
//
// The house goes in at one revision, with the catalogue for widths and titles; nothing is drawn that they do not say.
//
// Sources: widths after DIN 43880 (17.5 mm a unit, 90 mm high) and rows 125 mm apart (common practice); the symbol is
// that of ISO/IEC 18004, made by a library.
package diagram

import (
	"wirewright/catalogue"
	"wirewright/handover/scene"
	"wirewright/house"
)

// Drawer makes the diagrams of one house.
type Drawer struct {
	index     *house.Index
	catalogue *catalogue.Catalogue
	names     map[house.ID]string
	volts     map[house.ID]Volts
}

// Volts is the voltage at a module of a line, as computed with all outputs on.
type Volts struct {
	Volts float64 // V
	Low   bool    // less than it needs
}

// WithVolts makes a drawer that writes voltages beside the taps of lines, where it is given them.
func (d *Drawer) WithVolts(volts map[house.ID]Volts) *Drawer {
	with := *d
	with.volts = volts
	return &with
}

// New makes a drawer; names are the reference designations that stand beside the identities.
func New(index *house.Index, c *catalogue.Catalogue, names map[house.ID]string) *Drawer {
	return &Drawer{index: index, catalogue: c, names: names}
}

// units is the width of a module on a rail; one unit where the catalogue does not say.
func (d *Drawer) units(m *house.Module) int {
	if t, ok := d.catalogue.Type(m.Type); ok && t.Units > 0 {
		return min(t.Units, unitsMost)
	}
	return 1
}

// typeTitle is what a module is, in the words of the catalogue.
func (d *Drawer) typeTitle(m *house.Module) string {
	if t, ok := d.catalogue.Type(m.Type); ok && t.Title != "" {
		return t.Title
	}
	return m.Type
}

// row is one line of lettering in a box.
type row struct {
	text string
	size float64
	bold bool
	role scene.Role
}

// stack sets rows below each other into a rectangle, each broken into as many lines as there is room for, and leaves out
// what finds no room any more.
func stack(rows []row, x, y, w, h float64) []scene.Shape {
	var shapes []scene.Shape
	end := y + h
	for _, r := range rows {
		if r.text == "" {
			continue
		}
		lines := scene.Wrap(r.text, r.size, w, r.bold)
		for i, l := range lines {
			if y+r.size > end {
				return shapes
			}
			if y+2.2*r.size > end && i+1 < len(lines) {
				l = scene.Clip(l+" …", r.size, w, r.bold)
			}
			y += r.size
			shapes = append(shapes, scene.Text{Role: r.role, At: scene.Point{X: x, Y: y}, Size: r.size, Bold: r.bold, String: scene.Clip(l, r.size, w, r.bold)})
			y += r.size * .22
		}
	}
	return shapes
}

func rectangle(x, y, w, h float64) []scene.Point {
	return []scene.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}
