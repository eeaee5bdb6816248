package handover

import "wirewright/handover/scene"

const (
	cellSize = 2.45 // mm, height of the type in tables
	cellPad  = 1.0  // mm
)

// table lays out a schedule: head row repeated on every page, no row cut, heads kept with the row below.
func (w *paper) table(s Schedule) {
	if len(s.Rows) == 0 {
		w.paragraph(s.Empty, bodySize, 90)
		return
	}
	t := &tableLayout{paper: w, s: s, widths: s.widths(w.width())}
	t.headRow()
	for i, row := range s.Rows {
		lines, height := t.wrap(row)
		need := height
		if len(row) > 0 && row[0].Is == IsHead && i+1 < len(s.Rows) {
			_, next := t.wrap(s.Rows[i+1])
			need += next
		}
		if w.room() < need {
			w.page(w.orientation())
			t.headRow()
		}
		t.row(row, lines, height)
	}
	w.y += 4
}

func (s Schedule) widths(all float64) []float64 {
	sum := 0.0
	for _, c := range s.Columns {
		sum += c.Width
	}
	list := make([]float64, len(s.Columns))
	for i, c := range s.Columns {
		list[i] = c.Width / sum * all
	}
	return list
}

type tableLayout struct {
	paper  *paper
	s      Schedule
	widths []float64
}

func (t *tableLayout) headRow() {
	w := t.paper
	w.f.SetFillColor(228, 232, 236)
	w.f.Rect(left, w.y, w.width(), cellSize*lineHeight+2*cellPad, "F")
	x := left
	for i, c := range t.s.Columns {
		t.put(scene.Clip(c.Title, cellSize, t.widths[i]-2*cellPad, true), x, w.y+cellPad+cellSize, t.widths[i], c.Align, true)
		x += t.widths[i]
	}
	w.y += cellSize*lineHeight + 2*cellPad
}

// wrap breaks the cells of a row into lines and computes the row's height in mm. A cell never grows beyond a page.
func (t *tableLayout) wrap(row []Cell) ([][]string, float64) {
	lines, most := make([][]string, len(row)), 1
	for i, c := range row {
		width := t.widths[min(i, len(t.widths)-1)] - 2*cellPad
		if c.Is == IsHead {
			width = t.paper.width() - 2*cellPad
		}
		lines[i] = scene.Wrap(c.Text, cellSize, width, c.Is == IsHead || c.Is == IsSum)
		if limit := int((t.paper.height() - top - bottom - 20) / (cellSize * lineHeight)); len(lines[i]) > limit {
			lines[i] = append(lines[i][:limit-1], "…")
		}
		most = max(most, len(lines[i]))
	}
	return lines, float64(most)*cellSize*lineHeight + 2*cellPad*.8
}

func (t *tableLayout) row(row []Cell, lines [][]string, height float64) {
	w := t.paper
	if row[0].Is == IsHead {
		w.f.SetFillColor(244, 246, 248)
		w.f.Rect(left, w.y, w.width(), height, "F")
	}
	x := left
	for i := range row {
		bold := row[i].Is == IsHead || row[i].Is == IsSum
		align := t.s.Columns[min(i, len(t.s.Columns)-1)].Align
		if row[i].Is == IsHead {
			align = Left
		}
		for n, l := range lines[i] {
			t.put(l, x, w.y+cellPad*.8+cellSize+float64(n)*cellSize*lineHeight, t.widths[min(i, len(t.widths)-1)], align, bold)
		}
		x += t.widths[min(i, len(t.widths)-1)]
	}
	w.y += height
	w.f.SetDrawColor(205, 208, 212)
	w.f.SetLineWidth(.12)
	w.f.Line(left, w.y, left+w.width(), w.y)
}

func (t *tableLayout) put(s string, x, y, width float64, a Align, bold bool) {
	at := x + cellPad
	switch a {
	case Right:
		at = x + width - cellPad - scene.TextWidth(s, cellSize, bold)
	case Centre:
		at = x + (width-scene.TextWidth(s, cellSize, bold))/2
	}
	t.paper.say(at, y, cellSize, bold, 20, s)
}
