package diagram

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wirewright/handover/scene"
	"wirewright/house"
)

const (
	unitWide   = 17.5  // mm, DIN 43880
	deviceHigh = 90.0  // mm
	rowPitch   = 125.0 // mm, common practice
	railHigh   = 35.0  // mm, IEC 60715
	rowLabel   = 12.0  // mm of the sheet, for the number of the row
	unitsMost  = 200
	rowsMost   = 100
)

// boardScales are the scales of an elevation, largest first; the last one is bent until the board fits.
var boardScales = []float64{2, 2.5, 4, 5, 10, 20}

// Board draws the elevation of a board, to scale: its rows with protective devices and modules on their units, partitions and what is free, as many sheets of a width
// and height in mm as it needs; none for a board on whose rows nothing
// stands. The scale stands in the title
// of each sheet.
func (d *Drawer) Board(b *house.Board, width, height float64) []*scene.Scene {
	e := d.elevation(b)
	if e.rows == 0 || e.units == 0 || len(e.on) == 0 {
		return nil
	}
	e.choose(width-rowLabel-2, height)
	perSheet := max(1, int(height/(rowPitch/e.scale)))
	var sheets []*scene.Scene
	for first := 1; first <= e.rows; first += perSheet {
		sheets = append(sheets, e.sheet(first, min(first+perSheet-1, e.rows)))
	}
	return sheets
}

// elevation is one board being drawn.
type elevation struct {
	*Drawer
	board *house.Board
	rows  int
	units int
	scale float64
	on    map[int][]thing // what stands on each row
}

func (d *Drawer) elevation(b *house.Board) *elevation {
	e := &elevation{Drawer: d, board: b, rows: min(b.Rows, rowsMost), units: min(b.Units, unitsMost), on: map[int][]thing{}}
	e.things()
	for _, list := range e.on {
		for _, t := range list {
			if b.Rows == 0 {
				e.rows = max(e.rows, t.row)
			}
			if b.Units == 0 {
				e.units = max(e.units, min(t.slot-1+t.units, unitsMost))
			}
		}
	}
	return e
}

// choose takes the largest scale at which the board fits one sheet; where that would be too small to read, the largest at
// which it fits the width of several.
func (e *elevation) choose(width, height float64) {
	const readable, onSeveral = 5, 4
	least := unitWide * float64(e.units) / width
	for _, s := range boardScales {
		if s >= least && s <= readable && float64(e.rows)*rowPitch/s <= height {
			e.scale = s
			return
		}
	}
	for _, s := range boardScales {
		if e.scale = s; s >= least && s >= onSeveral {
			return
		}
	}
	e.scale = math.Max(least, e.scale)
}

// Unplaced lists the modules of a board that have no place on its rows.
func (d *Drawer) Unplaced(b *house.Board) []house.ID {
	var list []house.ID
	h := d.index.House()
	for i := range h.Modules {
		if m := &h.Modules[i]; m.Board == b.ID && (m.Row < 1 || m.Slot < 1 || (b.Rows > 0 && m.Row > b.Rows)) {
			list = append(list, m.ID)
		}
	}
	slices.Sort(list)
	return list
}

func (e *elevation) sheet(first, last int) *scene.Scene {
	pitch, wide := rowPitch/e.scale, unitWide*float64(e.units)/e.scale
	s := &scene.Scene{Title: fmt.Sprintf("%s, rows %d to %d, 1:%.3g", e.board.ID, first, last, e.scale),
		Width: rowLabel + wide + 2, Height: float64(last-first+1)*pitch + 2}
	s.Add(scene.Item{Layer: "enclosure", Label: "Board " + string(e.board.ID), Shapes: []scene.Shape{
		scene.Path{Role: scene.Grid, Closed: true, Width: 0.3, Points: rectangle(rowLabel-1, 0.5, wide+2, s.Height-1)}}})
	for r := first; r <= last; r++ {
		e.row(s, r, 1+float64(r-first)*pitch)
	}
	return s
}

// row draws one row: its rail, the units that are free, what stands on it, and its partitions.
func (e *elevation) row(s *scene.Scene, number int, y float64) {
	pitch, high, unit := rowPitch/e.scale, deviceHigh/e.scale, unitWide/e.scale
	top := y + (pitch-high)/2
	rail := scene.Item{Layer: "rail", Label: e.rowLabel(number)}
	rail.Shapes = append(rail.Shapes,
		scene.Text{Role: scene.Label, At: scene.Point{X: rowLabel - 2.5, Y: top + high/2}, Size: 3, Anchor: scene.End, Bold: true, String: fmt.Sprint(number)},
		scene.Text{Role: scene.Quiet, At: scene.Point{X: rowLabel - 2.5, Y: top + high/2 + 3}, Size: 1.7, Anchor: scene.End, String: fmt.Sprintf("%d of %d", e.taken(number), e.units)},
		scene.Path{Role: scene.Grid, Closed: true, Width: 0.15, Points: rectangle(rowLabel, top+(high-railHigh/e.scale)/2, unit*float64(e.units), railHigh/e.scale)})
	for u := range e.units {
		rail.Shapes = append(rail.Shapes, scene.Path{Role: scene.Grid, Closed: true, Dashed: true, Width: 0.1, Points: rectangle(rowLabel+float64(u)*unit, top, unit, high)})
	}
	rail.Shapes = append(rail.Shapes, e.spare(number, top)...)
	s.Add(rail)
	for _, t := range e.on[number] {
		if x, w := float64(t.slot-1)*unit, float64(t.units)*unit; x+w <= float64(e.units)*unit+0.01 {
			t.draw(s, rowLabel+x, top, w, high)
		}
	}
	e.partitions(s, number, y)
}

// spare says on each run of free units how many they are, in words where they are wide enough.
func (e *elevation) spare(number int, top float64) []scene.Shape {
	taken := make([]bool, e.units+1)
	for _, t := range e.on[number] {
		for u := t.slot - 1; u < min(t.slot-1+t.units, e.units); u++ {
			taken[u] = true
		}
	}
	taken[e.units] = true // the end of the row ends a run
	var shapes []scene.Shape
	unit, from := unitWide/e.scale, 0
	for u, full := range taken {
		if !full {
			continue
		}
		if text := fmt.Sprintf("%d free", u-from); u > from && scene.TextWidth(text, 1.7, false) < float64(u-from)*unit-1 {
			shapes = append(shapes, scene.Text{Role: scene.Quiet, At: scene.Point{X: rowLabel + float64(u+from)/2*unit, Y: top - 0.8}, Size: 1.7, Anchor: scene.Middle, String: text})
		}
		from = u + 1
	}
	return shapes
}

// partitions draws the plates of a row, as high as the row.
func (e *elevation) partitions(s *scene.Scene, number int, y float64) {
	for _, p := range e.board.Partitions {
		if p.Row != number || p.Slot < 1 || p.Slot > e.units+1 {
			continue
		}
		x := rowLabel + float64(p.Slot-1)*unitWide/e.scale
		s.Add(scene.Item{Layer: "partitions", Label: fmt.Sprintf("Partition in row %d at the left edge of unit %d", p.Row, p.Slot), Shapes: []scene.Shape{
			scene.Path{Role: scene.Label, Width: 0.9, Points: []scene.Point{{X: x, Y: y + 1}, {X: x, Y: y + rowPitch/e.scale - 1}}}}})
	}
}

func (e *elevation) rowLabel(number int) string {
	return fmt.Sprintf("Row %d: %d of %d units taken", number, e.taken(number), e.units)
}

// taken is how many units of a row something takes.
func (e *elevation) taken(number int) int {
	n := 0
	for _, t := range e.on[number] {
		n += t.units
	}
	return n
}

// upright sets rows from bottom to top, side by side as far as the width goes.
func upright(rows []row, x, y, w, h float64) []scene.Shape {
	var shapes []scene.Shape
	at := x + .6
	for _, r := range rows {
		if r.text == "" || strings.TrimSpace(r.text) == "" {
			continue
		}
		if at += r.size; at > x+w-.3 {
			break
		}
		shapes = append(shapes, scene.Text{Role: r.role, At: scene.Point{X: at - r.size*.15, Y: y + h - .8}, Size: r.size, Bold: r.bold, Turn: 90, String: scene.Clip(r.text, r.size, h-1.6, r.bold)})
		at += r.size * .2
	}
	return shapes
}
