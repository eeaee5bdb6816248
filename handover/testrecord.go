package handover

import (
	"fmt"
	"math"

	"wirewright/calc/circuit"
	"wirewright/handover/scene"
	"wirewright/house"
)

// testRecord is the form in which the electrician notes what was measured: the head, one table a board, one a bus line.
// What the design says is printed; what is measured is left blank.
func (b *builder) testRecord(w *paper, c chapter) {
	w.chapter(c.title, "L")
	w.paragraph("Initial verification, to be filled in by hand by whoever is licensed to test. Dead tests come first; stop at a failure, mend it and repeat what it touches. "+
		"Order: inspection; continuity of protective conductors; insulation; separation of the extra-low-voltage side; polarity; loop impedance and RCD; function.", bodySize, 30)
	for _, s := range []string{
		"Isolate and prove dead before the dead tests. Unplug the modules, or join line and neutral, before the insulation test at 500 V d.c. (at least 1.0 MΩ); bus lines at 250 V d.c. with the modules unplugged (at least 0.5 MΩ).",
		"RCDs of the general type trip within 300 ms at once and 40 ms at five times the rated residual current, and not at half of it. “Not applicable” needs a reason; a blank is not done.",
	} {
		w.bullet("•", s)
	}
	b.testHead(w)
	for i := range b.pack.House.Boards {
		b.testBoard(w, &b.pack.House.Boards[i])
	}
	for i := range b.pack.House.Lines {
		b.testLine(w, &b.pack.House.Lines[i])
	}
	w.blanks([]blank{{"Verdict", "", 2}, {"Name and signature of the tester", "", 2}, {"Date", "", 1}})
	w.paragraph("Limits after IEC 60364-6 and IEC 61008-1 (from memory, not verified); permitted loop impedance after IEC 60364-4-41, 411.4.4, with 0.95 of the supply voltage. Local rules come first.", 2.5, 95)
}

// testHead is the head of the form: who, when, with what, and the supply.
func (b *builder) testHead(w *paper) {
	s := b.pack.House.Site.Supply
	w.blanks([]blank{{"Tester", "", 2}, {"Licence no.", "", 1}, {"Date", "", 1}, {"Temperature", "", 1}})
	w.blanks([]blank{{"Instrument, serial no., calibrated on", "", 2}, {"Instrument, serial no., calibrated on", "", 2}, {"Instrument, serial no., calibrated on", "", 2}})
	w.blanks([]blank{{"System", string(s.Earthing), 1}, {"Voltage", known0(int64(s.Voltage), s.Voltage.String()), 1}, {"Phases", zeroBlank(s.Phases), 1},
		{"Ze of the design", known0(int64(s.Loop), s.Loop.String()), 1}, {"Ze measured", "", 1}, {"Fault current of the design", known0(int64(s.Fault), s.Fault.String()), 1},
		{"measured", "", 1}, {"Main device", known0(int64(s.Main), s.Main.String()), 1}})
}

func zeroBlank(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// blank is a field to be filled in: what it is for, what is known already, its share of the width.
type blank struct {
	title, value string
	share        float64
}

// blanks draws fields side by side.
func (w *paper) blanks(list []blank) {
	w.need(12)
	shares := 0.0
	for _, f := range list {
		shares += f.share
	}
	x := left
	for _, f := range list {
		wide := w.width() * f.share / shares
		w.f.SetDrawColor(150, 154, 158)
		w.f.SetLineWidth(.12)
		w.f.Rect(x, w.y, wide, 9.5, "D")
		w.say(x+1, w.y+2.9, 2.2, false, 95, scene.Clip(f.title, 2.2, wide-2, false))
		w.say(x+1, w.y+7.6, bodySize, true, 0, scene.Clip(f.value, bodySize, wide-2, true))
		x += wide
	}
	w.y += 10.5
}

// testBoard is the table of a board: a row a circuit.
func (b *builder) testBoard(w *paper, board *house.Board) {
	const blankWide = 11.5
	s := Schedule{Title: "Test record of " + string(board.ID), Grid: true, Least: 10,
		Columns: []Column{{Title: "Circuit", Width: 1}, {Title: "Title", Under: true}, {Title: "Device", Width: 0}, {Title: "RCD", Width: 0}, {Title: "Cable", Width: 0}, {Title: "Method, length", Under: true}}}
	for _, title := range []string{"R1+R2\nor R2 Ω", "L–L or\nL–N MΩ", "L–PE MΩ", "N–PE MΩ", "at V d.c.", "Pola-\nrity", "Zs Ω"} {
		s.Columns = append(s.Columns, Column{Title: title, Least: blankWide})
	}
	s.Columns = append(s.Columns, Column{Title: "most\nΩ"})
	for _, title := range []string{"RCD\n½ ×", "1 × ms", "5 × ms", "Test button", "Func-\ntion"} {
		s.Columns = append(s.Columns, Column{Title: title, Least: blankWide})
	}
	s.Columns = append(s.Columns, Column{Title: "Remarks", Least: 24, Width: 1})
	for i := range b.pack.House.Circuits {
		if c := &b.pack.House.Circuits[i]; c.Board == board.ID {
			s.Rows = append(s.Rows, b.testRow(c, len(s.Columns)))
		}
	}
	if len(s.Rows) == 0 {
		return
	}
	w.need(40)
	w.heading(called(board.Title, board.ID))
	w.table(s)
}

// testRow is one circuit: what the design says of it in the first cells, the permitted loop impedance, and blanks.
func (b *builder) testRow(c *house.Circuit, columns int) []Cell {
	row := make([]Cell, columns)
	row[0], row[1] = text(string(c.ID)), text(or(c.Title, b.feeds(c.ID)))
	row[2], row[3], row[4] = text(deviceText(c)), text(known0(int64(c.Residual), c.Residual.String())), text(cableText(c))
	row[5] = text(joined(", ", c.Method, known0(int64(c.Length), c.Length.String())))
	const mostAt = 13
	row[mostAt] = text(b.loopMost(c))
	return row
}

// loopMost is the highest fault-loop impedance that still trips the device of a circuit at once, empty where the house
// does not say enough or is no TN system.
func (b *builder) loopMost(c *house.Circuit) string {
	s := b.pack.House.Site.Supply
	tn := s.Earthing == house.TNS || s.Earthing == house.TNCS || s.Earthing == house.TNC
	if !tn || c.Rating <= 0 || s.Voltage <= 0 {
		return ""
	}
	ohm, err := circuit.LoopMost(s.Voltage.V(), c.Rating.A(), c.Curve, 0.95)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%.2f", math.Floor(ohm*100+1e-6)/100) // a limit is not rounded up
}

// testLine is the table of a bus line: what is predicted, and what is measured.
func (b *builder) testLine(w *paper, l *house.Line) {
	s := Schedule{Title: "Test record of line " + string(l.ID), Grid: true, Least: 7.5,
		Columns: []Column{{Title: "What", Width: 3}, {Title: "Expected", Width: 3}, {Title: "Measured", Least: 40, Width: 1}, {Title: "Remarks", Least: 60, Width: 1}}}
	metres, loads := 0.0, 0.0
	for _, t := range l.Taps {
		metres += t.Length.M()
		if m := b.index.Module(t.Module); m != nil {
			if t, ok := b.pack.Catalogue.Type(m.Type); ok && t.Bus != nil {
				loads += t.Bus.UnitLoad
			}
		}
	}
	loop := ""
	if c, ok := b.pack.Catalogue.Cable(l.Cable); ok && c.Loop > 0 && metres > 0 {
		loop = fmt.Sprintf("%.2f Ω at 20 °C for %.1f m (%s)", c.Loop.Ohm()*metres/1000, metres, c.ID)
	}
	for _, r := range [][2]string{
		{"Cable in all", fmt.Sprintf("%.1f m", metres)},
		{"Loop resistance, far end joined", loop},
		{"Insulation against PE and mains, 250 V d.c.", "at least 0.5 MΩ, modules unplugged"},
		{"Polarity at every tap", "right"},
		{"Terminations", "two, at the ends of the trunk"},
		{"Unit loads", fmt.Sprintf("%.3g of 32 (TIA-485-A)", loads)},
		{"Voltage at the supply, idle and loaded", ""},
		{"Voltage at the last tap, idle and loaded", ""},
		{"Voltage between the data conductors, idle", "more than 0.2 V"},
	} {
		s.Rows = append(s.Rows, []Cell{text(r[0]), text(r[1]), text(""), text("")})
	}
	w.need(60)
	w.heading(called(l.Title, l.ID))
	w.table(s)
}
