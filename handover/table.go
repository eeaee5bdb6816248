package handover

import "wirewright/handover/scene"

const (
	cellSize = 2.45 // mm, height of the type in tables
	subSize  = 2.2  // mm, of what stands in grey below
	cellPad  = 1.0  // mm
)

// table lays out a schedule: head row repeated on every page, no row cut, heads kept with the row below.
func (w *paper) table(s Schedule) {
	if len(s.Rows) == 0 {
		w.paragraph(s.Empty, bodySize, 90)
		return
	}
	t := &tableLayout{paper: w, s: s, columns: w.widths.of(s, w.width())}
	if t.least() > w.room() {
		w.page(w.orientation())
	}
	t.headRow()
	for i, row := range s.Rows {
		r := t.wrap(row)
		need := r.height
		if isHead(row) && i+1 < len(s.Rows) {
			need += t.wrap(s.Rows[i+1]).height
		}
		if w.room() < need {
			t.close()
			w.page(w.orientation())
			t.headRow()
		}
		t.row(r)
	}
	t.close()
	w.y += 4
}

func isHead(row []Cell) bool { return len(row) > 0 && row[0].Is == IsHead }

// tableLayout is one schedule on its way onto pages.
type tableLayout struct {
	paper   *paper
	s       Schedule
	columns []paperColumn
	began   float64 // where the table begins on this page
}

// rowLines is one row, broken into lines.
type rowLines struct {
	cells  []cellLines
	head   bool
	height float64
}

// cellLines is one cell, broken into lines.
type cellLines struct {
	main, sub []string
	bold      bool
	align     Align
}

func (c cellLines) height() float64 {
	return float64(len(c.main))*cellSize*lineHeight + float64(len(c.sub))*subSize*lineHeight
}

// least is the height of the head row with the first rows: less is not begun on a page.
func (t *tableLayout) least() float64 {
	h := t.headHeight() + t.wrap(t.s.Rows[0]).height
	if isHead(t.s.Rows[0]) && len(t.s.Rows) > 1 {
		h += t.wrap(t.s.Rows[1]).height
	}
	return h
}

func (t *tableLayout) headHeight() float64 {
	most := 1
	for _, c := range t.columns {
		most = max(most, len(c.title))
	}
	return float64(most)*cellSize*lineHeight + 2*cellPad
}

func (t *tableLayout) headRow() {
	w := t.paper
	t.began = w.y
	h := t.headHeight()
	w.f.SetFillColor(228, 232, 236)
	w.f.Rect(left, w.y, w.width(), h, "F")
	x := left
	for _, c := range t.columns {
		t.lines(c.title, x, w.y+cellPad*.8, c.width, c.align, lettering{cellSize, true, 20})
		x += c.width
	}
	w.y += h
}

// wrap breaks the cells of a row into lines and computes the row's height in mm. A row never grows beyond a page.
func (t *tableLayout) wrap(row []Cell) rowLines {
	r := rowLines{head: isHead(row)}
	most := 0.0
	limit := int((t.paper.height() - top - bottom - 40) / (cellSize * lineHeight))
	if r.head {
		wide := t.paper.width() - 2*cellPad
		c := cellLines{bold: true, main: wrapped(row[0].Text, limit/2, lettering{cellSize, true, 0}, wide)}
		if row[0].Sub != "" {
			c.sub = wrapped(row[0].Sub, limit/2, lettering{subSize, false, 0}, wide)
		}
		r.cells, most = []cellLines{c}, c.height()
	} else {
		for _, c := range t.columns {
			cell := t.cell(c, row, limit)
			most = max(most, cell.height())
			r.cells = append(r.cells, cell)
		}
	}
	r.height = max(most+2*cellPad*.8, t.s.Least)
	return r
}

// cell breaks one cell into lines, with what stands below it.
func (t *tableLayout) cell(c paperColumn, row []Cell, limit int) cellLines {
	var out cellLines
	out.align = c.align
	wide := c.width - 2*cellPad
	if c.at < len(row) {
		out.bold = row[c.at].Is == IsSum
		out.main = wrapped(glue(row[c.at].Text), limit, lettering{cellSize, out.bold, 0}, wide)
	}
	for _, u := range c.under {
		if u < len(row) && row[u].Text != "" {
			out.sub = append(out.sub, scene.Wrap(glue(row[u].Text), subSize, wide, false)...)
		}
	}
	if n := limit - len(out.main); len(out.sub) > n {
		out.sub = scene.Shorten(out.sub, max(n, 1), subSize, wide, false)
	}
	return out
}

// wrapped breaks a text into at most so many lines.
func wrapped(s string, most int, l lettering, wide float64) []string {
	return scene.Shorten(scene.Wrap(s, l.size, wide, l.bold), most, l.size, wide, l.bold)
}

func (t *tableLayout) row(r rowLines) {
	w := t.paper
	if r.head {
		w.f.SetFillColor(244, 246, 248)
		w.f.Rect(left, w.y, w.width(), r.height, "F")
	}
	x := left
	for i, c := range r.cells {
		width := w.width()
		if !r.head {
			width = t.columns[i].width
		}
		y := t.lines(c.main, x, w.y+cellPad*.6, width, c.align, lettering{cellSize, c.bold, 20})
		t.lines(c.sub, x, y, width, c.align, lettering{subSize, false, 95})
		x += width
	}
	w.y += r.height
	w.f.SetDrawColor(205, 208, 212)
	w.f.SetLineWidth(.12)
	w.f.Line(left, w.y, left+w.width(), w.y)
}

// close rules the columns of a table to be filled in by hand.
func (t *tableLayout) close() {
	if !t.s.Grid {
		return
	}
	w := t.paper
	w.f.SetDrawColor(170, 174, 178)
	w.f.SetLineWidth(.12)
	x := left
	for _, c := range t.columns {
		w.f.Line(x, t.began, x, w.y)
		x += c.width
	}
	w.f.Line(x, t.began, x, w.y)
}

// lettering is how a line of a table is set.
type lettering struct {
	size float64
	bold bool
	grey int
}

// lines sets lines below each other from y and returns where they end.
func (t *tableLayout) lines(list []string, x, y, width float64, a Align, l lettering) float64 {
	for _, s := range list {
		at := x + cellPad
		switch a {
		case Right:
			at = x + width - cellPad - scene.TextWidth(s, l.size, l.bold)
		case Centre:
			at = x + (width-scene.TextWidth(s, l.size, l.bold))/2
		}
		t.paper.say(at, y+l.size*1.1, l.size, l.bold, l.grey, s)
		y += l.size * lineHeight
	}
	return y
}
