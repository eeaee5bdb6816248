package handover

import (
	"bytes"
	"fmt"

	"github.com/go-pdf/fpdf"

	"wirewright/handover/scene"
)

// The sheet: A4, margins in mm.
const (
	left, right, top, bottom = 18.0, 14.0, 22.0, 18.0
	bodySize                 = 3.0 // mm, height of the type
	lineHeight               = 1.32
	pointsPerMM              = 72 / 25.4
)

// paper lays blocks onto pages.
type paper struct {
	f       *fpdf.Fpdf
	pack    Pack
	section string
	pages   int // in all; 0 while counting
	y       float64
	err     error
}

// layout runs the drawing twice: once to count the pages, once to number them.
func layout(p Pack, draw func(*paper)) ([]byte, error) {
	count := newPaper(p, 0)
	draw(count)
	final := newPaper(p, count.f.PageNo())
	draw(final)
	if final.err != nil {
		return nil, final.err
	}
	var b bytes.Buffer
	if err := final.f.Output(&b); err != nil {
		return nil, fmt.Errorf("the papers could not be written: %w", err)
	}
	return b.Bytes(), nil
}

func newPaper(p Pack, pages int) *paper {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetCatalogSort(true)
	f.SetCreationDate(p.Date)
	f.SetModificationDate(p.Date)
	f.SetTitle(or(p.House.Title, "House"), true)
	f.SetProducer("wirewright", true)
	f.SetLang("en")
	f.SetAutoPageBreak(false, bottom)
	scene.AddFonts(f)
	w := &paper{f: f, pack: p, pages: pages}
	f.SetHeaderFunc(w.header)
	f.SetFooterFunc(w.footer)
	return w
}

func (w *paper) width() float64  { x, _ := w.f.GetPageSize(); return x - left - right }
func (w *paper) height() float64 { _, y := w.f.GetPageSize(); return y }
func (w *paper) room() float64   { return w.height() - bottom - w.y }

func (w *paper) page(orientation string) {
	w.f.AddPageFormat(orientation, fpdf.SizeType{Wd: 210, Ht: 297})
	w.y = top
}

// say writes one line of type with its base line at y.
func (w *paper) say(x, y, size float64, bold bool, grey int, s string) {
	style := ""
	if bold {
		style = "B"
	}
	w.f.SetFont(scene.FontFamily, style, size*pointsPerMM)
	w.f.SetTextColor(grey, grey, grey)
	w.f.Text(x, y, s)
}

func (w *paper) header() {
	x := left + w.width()
	w.say(left, 12.5, 2.6, true, 60, scene.Clip(or(w.pack.House.Title, "House"), 2.6, w.width()*.6, true))
	w.say(x-scene.TextWidth(w.section, 2.6, false), 12.5, 2.6, false, 90, w.section)
	w.f.SetDrawColor(170, 170, 170)
	w.f.SetLineWidth(.2)
	w.f.Line(left, 14.5, x, 14.5)
}

func (w *paper) footer() {
	y := w.height() - 9
	digest := w.pack.Digest
	if len(digest) > 12 {
		digest = digest[:12]
	}
	w.say(left, y, 2.3, false, 110, fmt.Sprintf("revision %s of %s · house text %s", w.pack.Revision, w.pack.Date.Format("2006-01-02 15:04"), digest))
	page := fmt.Sprintf("page %d of %d", w.f.PageNo(), w.pages)
	w.say(left+w.width()-scene.TextWidth(page, 2.3, false), y, 2.3, false, 110, page)
}

// chapter begins a new page with a heading and a bookmark.
func (w *paper) chapter(title, orientation string) {
	w.section = title
	w.page(orientation)
	w.f.Bookmark(title, 0, -1)
	w.say(left, w.y+4.5, 5.6, true, 0, title)
	w.y += 9
}

// paragraph writes running text.
func (w *paper) paragraph(s string, size float64, grey int) {
	for _, l := range scene.Wrap(s, size, w.width(), false) {
		if w.room() < size*lineHeight {
			w.page(w.orientation())
		}
		w.say(left, w.y+size, size, false, grey, l)
		w.y += size * lineHeight
	}
	w.y += size * .7
}

func (w *paper) orientation() string {
	if x, y := w.f.GetPageSize(); x > y {
		return "L"
	}
	return "P"
}

// heading writes a small heading that stays with what follows.
func (w *paper) heading(s string) {
	if w.room() < 22 {
		w.page(w.orientation())
	}
	w.y += 2
	w.say(left, w.y+3.6, 3.6, true, 0, s)
	w.y += 6
}
