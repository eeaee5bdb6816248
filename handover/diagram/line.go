package diagram

import (
	"fmt"
	"slices"

	"wirewright/catalogue"
	"wirewright/handover/scene"
	"wirewright/house"
)

const (
	tapWide  = 32.0 // mm, the box of one tap
	tapHigh  = 15.0
	tapGap   = 15.0 // mm, cable between two taps
	tapPitch = 24.0 // mm, between rows of taps
	endWide  = 7.0  // mm, for the terminations
)

// Line draws a bus line: its taps in the order in which the cable passes them, to and fro like the lines of a meander,
// with the cable between them; as many sheets of a width and height in mm as it needs, none for a line without taps. Both
// ends carry a termination, as a trunk of TIA-485-A has them.
func (d *Drawer) Line(l *house.Line, width, height float64) []*scene.Scene {
	perRow := max(1, int((width-2*endWide+tapGap)/(tapWide+tapGap)))
	rows := max(1, int(height/tapPitch))
	var sheets []*scene.Scene
	for first := 0; first < len(l.Taps); first += perRow * rows {
		last := min(first+perRow*rows, len(l.Taps))
		m := &meander{Drawer: d, line: l, perRow: perRow, first: first}
		m.scene = &scene.Scene{Title: "Line " + string(l.ID), Width: 2*endWide + float64(perRow)*(tapWide+tapGap) - tapGap,
			Height: float64((last-first-1)/perRow+1) * tapPitch}
		for i := first; i < last; i++ {
			m.cable(i)
		}
		for i := first; i < last; i++ {
			m.tap(i)
		}
		sheets = append(sheets, m.scene)
	}
	return sheets
}

// meander is one sheet of a line being drawn.
type meander struct {
	*Drawer
	line   *house.Line
	perRow int
	first  int
	scene  *scene.Scene
}

// corner is the upper left corner of the box of a tap; every second row runs from right to left.
func (m *meander) corner(i int) scene.Point {
	row, column := (i-m.first)/m.perRow, (i-m.first)%m.perRow
	if row%2 == 1 {
		column = m.perRow - 1 - column
	}
	return scene.Point{X: endWide + float64(column)*(tapWide+tapGap), Y: float64(row)*tapPitch + (tapPitch-tapHigh)/2}
}

func (m *meander) middle(i int) scene.Point {
	c := m.corner(i)
	return scene.Point{X: c.X + tapWide/2, Y: c.Y + tapHigh/2}
}

// cable draws the cable that comes to a tap, with its length, and the terminations at the ends.
func (m *meander) cable(i int) {
	at := m.middle(i)
	item := scene.Item{Layer: "bus", Label: fmt.Sprintf("Cable to %s: %s", m.line.Taps[i].Module, m.line.Taps[i].Length)}
	length := m.line.Taps[i].Length.String()
	switch {
	case i == 0 && m.terminated(i):
		item.Shapes = append(item.Shapes, termination(scene.Point{X: at.X - tapWide/2, Y: at.Y}, -1)...)
	case i == 0:
	case m.branches(i):
		from := scene.Point{X: at.X - tapWide/2 - endWide, Y: at.Y}
		item.Label = fmt.Sprintf("Cable to %s: %s from %s", m.line.Taps[i].Module, length, m.line.Taps[i].From)
		item.Shapes = append(item.Shapes, scene.Path{Role: scene.Bus, Width: 0.5, Dashed: true, Points: []scene.Point{from, at}},
			scene.Text{Role: scene.Label, At: scene.Point{X: from.X, Y: at.Y - tapHigh/2 - 1}, Size: 1.9, String: length + " from " + string(m.line.Taps[i].From)})
	case i == m.first:
		item.Shapes = append(item.Shapes, scene.Path{Role: scene.Bus, Dashed: true, Points: []scene.Point{{X: at.X - tapWide/2 - endWide, Y: at.Y}, at}},
			scene.Text{Role: scene.Label, At: scene.Point{X: at.X - tapWide/2 - endWide, Y: at.Y - 1}, Size: 1.9, String: length})
	default:
		before := m.middle(i - 1)
		item.Shapes = append(item.Shapes, scene.Path{Role: scene.Bus, Width: 0.5, Points: []scene.Point{before, at}})
		text := scene.Text{Role: scene.Label, Size: 2.1, Anchor: scene.Middle, String: length}
		if before.Y == at.Y {
			text.At = scene.Point{X: (before.X + at.X) / 2, Y: at.Y - 1}
		} else {
			text.At, text.Anchor = scene.Point{X: at.X + 1.2, Y: (before.Y+at.Y)/2 + .7}, scene.Start
		}
		item.Shapes = append(item.Shapes, text)
	}
	if i > 0 && i == len(m.line.Taps)-1 && m.terminated(i) {
		side := 1.0
		if (i-m.first)/m.perRow%2 == 1 {
			side = -1
		}
		item.Shapes = append(item.Shapes, termination(scene.Point{X: at.X + side*tapWide/2, Y: at.Y}, side)...)
	}
	m.scene.Add(item)
}

// terminated tells whether a tap at an end of the drawing carries a resistor: it says so, or no tap of the line says anything.
func (m *meander) terminated(i int) bool {
	return m.line.Taps[i].Ended || !slices.ContainsFunc(m.line.Taps, func(t house.Tap) bool { return t.Ended })
}

// branches tells whether the cable to a tap comes from another than the one before it.
func (m *meander) branches(i int) bool {
	from := m.line.Taps[i].From
	return from != "" && from != m.line.Taps[i-1].Module
}

// termination is a resistor at the end of the trunk, to the left (-1) or right (1) of a place.
func termination(at scene.Point, side float64) []scene.Shape {
	x := at.X + side*2
	return []scene.Shape{scene.Path{Role: scene.Bus, Width: 0.5, Points: []scene.Point{at, {X: x, Y: at.Y}}},
		scene.Path{Role: scene.Bus, Closed: true, Points: rectangle(min(x, x+side*3.4), at.Y-.8, 3.4, 1.6)}}
}

// tap draws the box of one tap: number, module, what it is and its address.
func (m *meander) tap(i int) {
	t := m.line.Taps[i]
	c := m.corner(i)
	item := scene.Item{Layer: "taps", Entity: string(t.Module), Label: fmt.Sprintf("Tap %d: %s", i+1, t.Module)}
	item.Shapes = append(item.Shapes, scene.Path{Role: scene.Wired, Closed: true, Filled: true, Points: rectangle(c.X, c.Y, tapWide, tapHigh)})
	rows := []row{{string(t.Module), 2.1, true, scene.Label}}
	if mod := m.index.Module(t.Module); mod != nil {
		if t, ok := m.catalogue.Type(mod.Type); mod.ID == m.line.Head || ok && t.Does() != catalogue.RoleModule {
			item.Shapes = append(item.Shapes, scene.Path{Role: scene.Wired, Closed: true, Width: 0.2, Points: rectangle(c.X-.8, c.Y-.8, tapWide+1.6, tapHigh+1.6)})
		}
		rows = append(rows, row{m.names[mod.ID], 1.6, false, scene.Quiet}, row{m.says(mod, t), 1.8, false, scene.Label}, row{m.typeTitle(mod), 1.6, false, scene.Quiet})
	}
	item.Shapes = append(item.Shapes, stack(rows, c.X+6, c.Y+.8, tapWide-6.6, tapHigh-1.4)...)
	item.Shapes = append(item.Shapes, scene.Text{Role: scene.Label, At: scene.Point{X: c.X + 3, Y: c.Y + 3.6}, Size: 2.8, Anchor: scene.Middle, Bold: true, String: fmt.Sprint(i + 1)})
	if v, ok := m.volts[t.Module]; ok {
		text := scene.Text{Role: scene.Quiet, At: scene.Point{X: c.X + tapWide, Y: c.Y + tapHigh + 3.4}, Size: 2.1, Anchor: scene.End, String: fmt.Sprintf("%.2f V", v.Volts)}
		if v.Low {
			text.Role, text.Bold, text.String = scene.FaultMark, true, text.String+", too low"
		}
		item.Shapes = append(item.Shapes, text)
	}
	m.scene.Add(item)
}

// says is address and branch of a tap.
func (m *meander) says(mod *house.Module, t house.Tap) string {
	s := ""
	if mod.Address != "" {
		s = "address " + mod.Address
	}
	if mod.ID == m.line.Head {
		s = "head of the line"
	}
	if t.Stub != 0 {
		s += ", stub " + t.Stub.String()
	}
	if t.Ended {
		s = joined(s, "terminated")
	}
	return s
}

// joined puts a comma between two texts that are not empty.
func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}
