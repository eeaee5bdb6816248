package diagram

import (
	"fmt"

	"github.com/boombuler/barcode/qr"

	"wirewright/handover/scene"
	"wirewright/house"
)

// The size of a label in mm.
const (
	LabelWide = 59.0
	LabelHigh = 26.0
)

// Label draws the label of a module, to be cut out and put on it: its identity in letters and as a two-dimensional symbol
// (ISO/IEC 18004), designation, address, type and seat. An identity too long for a symbol has letters alone.
func (d *Drawer) Label(m *house.Module, seat string) *scene.Scene {
	s := &scene.Scene{Title: string(m.ID), Width: LabelWide, Height: LabelHigh}
	item := scene.Item{Layer: "label", Entity: string(m.ID), Label: "Label of module " + string(m.ID)}
	item.Shapes = append(item.Shapes, scene.Path{Role: scene.Grid, Closed: true, Dashed: true, Points: rectangle(0, 0, LabelWide, LabelHigh)})
	const code, quiet = 17.0, 3.2 // mm; four squares around it must stay free
	if symbol, err := Code(string(m.ID), quiet, (LabelHigh-code)/2, code); err == nil {
		item.Shapes = append(item.Shapes, symbol...)
	}
	address := ""
	if m.Address != "" {
		address = "address " + m.Address
	}
	if m.Host != "" {
		address += " · " + m.Host
	}
	rows := []row{{string(m.ID), 2.8, true, scene.Label}, {d.names[m.ID], 2.0, false, scene.Label}, {address, 1.9, false, scene.Label},
		{seat, 1.9, false, scene.Quiet}, {d.typeTitle(m), 1.8, false, scene.Quiet}}
	item.Shapes = append(item.Shapes, stack(rows, code+2*quiet, 2.6, LabelWide-code-2*quiet-2, LabelHigh-4.6)...)
	s.Add(item)
	return s
}

// Code draws a text as a two-dimensional symbol of medium error correction into a square, quiet zone apart; every run of
// dark squares is one rectangle. A text that no symbol holds is an error.
func Code(text string, x, y, size float64) ([]scene.Shape, error) {
	mode := qr.Unicode // any script; a byte a letter for plain ones
	c, err := qr.Encode(text, qr.M, mode)
	if err != nil {
		return nil, fmt.Errorf("label %q cannot be drawn: %w", text, err)
	}
	n := c.Bounds().Dx()
	cell := size / float64(n)
	dark := func(i, j int) bool { r, _, _, _ := c.At(i, j).RGBA(); return r < 0x8000 }
	var shapes []scene.Shape
	for j := range n {
		for i := 0; i < n; i++ {
			from := i
			for i < n && dark(i, j) {
				i++
			}
			if i > from {
				shapes = append(shapes, scene.Path{Role: scene.Label, Closed: true, Filled: true, Width: 0.01,
					Points: rectangle(x+float64(from)*cell, y+float64(j)*cell, float64(i-from)*cell, cell)})
			}
		}
	}
	return shapes, nil
}
