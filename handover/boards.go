package handover

import (
	"fmt"
	"strings"

	"wirewright/check"
	"wirewright/handover/diagram"
	"wirewright/handover/scene"
	"wirewright/house"
)

// boards draws every board to scale, and lists what has no place on its rows.
func (b *builder) boards(w *paper, c chapter) {
	w.chapter(c.title, "P")
	w.paragraph("What stands in each board, seen from the front: protective devices with their rating and circuit, modules, and in dashes what is free. A thick line is a partition between mains and extra-low voltage. Devices without a place in the design are not drawn. Below each number of a row: units taken of those there are.", bodySize, 70)
	for i := range b.pack.House.Boards {
		b.board(w, &b.pack.House.Boards[i])
	}
}

func (b *builder) board(w *paper, board *house.Board) {
	sheets := b.drawer.Board(board, w.width(), w.height()-top-bottom-42)
	need := 40.0
	if len(sheets) > 0 {
		need = sheets[0].Height + 22
	}
	w.need(min(need, w.height()-top-bottom))
	w.heading(called(board.Title, board.ID))
	w.paragraph(b.boardFacts(board), bodySize, 70)
	if len(sheets) == 0 {
		w.paragraph("Its rows are not noted, or nothing stands on them yet.", bodySize, 70)
	}
	for i, s := range sheets {
		if i > 0 {
			w.need(s.Height + 8)
		}
		w.draw(s, left, w.y)
		w.y += s.Height + 2
		w.say(left, w.y+2, 2.3, false, 110, scene.Clip(s.Title, 2.3, w.width(), false))
		w.y += 6
	}
	if list := b.drawer.Unplaced(board); len(list) > 0 {
		names := make([]string, len(list))
		for i, id := range list {
			names[i] = string(id)
		}
		w.paragraph("Without a place on a row: "+strings.Join(names, ", ")+".", bodySize, 30)
	}
}

// boardFacts is where a board is and what it gives room for.
func (b *builder) boardFacts(board *house.Board) string {
	var parts []string
	if board.Room != "" {
		parts = append(parts, "in "+b.roomTitle(board.Room))
	}
	if n := b.names[board.ID]; n != "" {
		parts = append(parts, n)
	}
	if board.Rows > 0 && board.Units > 0 {
		parts = append(parts, fmt.Sprintf("%s of %d units", count(board.Rows, "row"), board.Units))
	}
	if board.Loss != 0 {
		parts = append(parts, "may dissipate "+board.Loss.String())
	}
	if n := b.circuitsOf(board.ID); n > 0 {
		parts = append(parts, count(n, "circuit"))
	}
	return joined(" · ", parts...)
}

// lineDiagrams draws every bus line and lists its taps.
func (b *builder) lineDiagrams(w *paper, c chapter) {
	w.chapter(c.title, "P")
	s := b.lines()
	w.paragraph(s.Intro+" The trunk runs from tap to tap without branches and is terminated at both ends and nowhere else (TIA-485-A; small boxes at the ends). "+
		"A voltage beside a tap is computed, with all outputs on and the cable at 40 °C; it is not measured.", bodySize, 70)
	for i := range b.pack.House.Lines {
		l := &b.pack.House.Lines[i]
		rows := b.lineRows(l)
		sheets := b.drawer.WithVolts(b.voltsOf(l)).Line(l, w.width(), w.height()-top-bottom-40)
		if len(sheets) > 0 {
			w.need(min(sheets[0].Height+20, w.height()-top-bottom))
		}
		w.heading(rows[0][0].Text)
		w.paragraph(rows[0][0].Sub, bodySize, 70)
		for _, d := range sheets {
			w.need(d.Height + 2)
			w.draw(d, left+(w.width()-d.Width)/2, w.y)
			w.y += d.Height + 2
		}
		if len(rows) > 1 {
			s.Title, s.Rows = "Bus line "+string(l.ID), rows[1:]
			w.table(s)
		}
	}
}

// voltsOf are the computed voltages at the modules of a line; none where they cannot be computed.
func (b *builder) voltsOf(l *house.Line) map[house.ID]diagram.Volts {
	volts := map[house.ID]diagram.Volts{}
	for _, t := range check.TapVoltages(b.pack.House, b.pack.Catalogue, l.ID) {
		volts[t.Module] = diagram.Volts{Volts: t.Volts, Low: t.Volts < t.Least}
	}
	return volts
}

// labels are the labels of the modules, to be cut out.
func (b *builder) labels(w *paper, c chapter) {
	w.chapter(c.title, "P")
	w.paragraph("One label for each module, to be cut out and put on it or into its box. The symbol holds the name of the module.", bodySize, 70)
	column := 0
	for i := range b.pack.House.Modules {
		m := &b.pack.House.Modules[i]
		if column == 0 {
			w.need(diagram.LabelHigh)
		}
		w.draw(b.label(m), left+float64(column)*diagram.LabelWide, w.y)
		if column++; float64(column+1)*diagram.LabelWide > w.width() {
			column = 0
			w.y += diagram.LabelHigh
		}
	}
	if column > 0 {
		w.y += diagram.LabelHigh
	}
}

// label draws a label once, however often papers are laid out.
func (b *builder) label(m *house.Module) *scene.Scene {
	if b.drawn[m.ID] == nil {
		b.drawn[m.ID] = b.drawer.Label(m, b.seat(m))
	}
	return b.drawn[m.ID]
}

// signatures is the page that is signed.
func (b *builder) signatures(w *paper, c chapter) {
	w.chapter(c.title, "P")
	w.paragraph("The system was explained, the tests of the acceptance record were shown, and these papers were handed over.", bodySize, 30)
	for _, who := range []string{"Installer", "Owner", "Electrician responsible for the installation"} {
		w.y += 16
		w.f.SetDrawColor(120, 120, 120)
		w.f.SetLineWidth(.2)
		w.f.Line(left, w.y, left+80, w.y)
		w.f.Line(left+95, w.y, left+w.width(), w.y)
		w.say(left, w.y+4, 2.5, false, 95, who+": name and signature")
		w.say(left+95, w.y+4, 2.5, false, 95, "date and place")
		w.y += 5
	}
}
