package handover

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

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
	y       float64
	known   known // from the layout before
	found   known // in this one
	links   map[string]int
	widths  columnWidths
}

// known is what one layout finds out for the next: where chapters begin, how many pages there are, which characters the
// type lacks.
type known struct {
	begins map[string]int
	pages  int
	lost   []rune
}

func (k known) equal(o known) bool {
	return k.pages == o.pages && maps.Equal(k.begins, o.begins) && slices.Equal(k.lost, o.lost)
}

// passesMost bounds how often papers are laid out until contents and page numbers stand; two do but for lost characters.
const passesMost = 4

// layout draws until the page numbers of the contents are those of the pages.
func layout(p Pack, draw func(*paper)) ([]byte, error) {
	var k known
	widths := columnWidths{}
	for pass := 1; ; pass++ {
		w := newPaper(p, k, widths)
		draw(w)
		w.found.pages = w.f.PageNo()
		slices.Sort(w.found.lost)
		if !w.found.equal(k) && pass < passesMost {
			k = w.found
			continue
		}
		var b bytes.Buffer
		if err := w.f.Output(&b); err != nil {
			return nil, fmt.Errorf("the papers could not be written: %w", err)
		}
		return b.Bytes(), nil
	}
}

func newPaper(p Pack, k known, widths columnWidths) *paper {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetCatalogSort(true)
	f.SetCreationDate(p.Date)
	f.SetModificationDate(p.Date)
	f.SetTitle(scene.Printable(or(p.House.Title, "House")), true)
	f.SetSubject(scene.Printable("Handover papers of revision "+p.Revision), true)
	f.SetAuthor(scene.Printable(p.Prepared), true)
	f.SetCreator("wirewright", true)
	f.SetProducer("wirewright", true)
	f.SetLang("en")
	f.SetAutoPageBreak(false, bottom)
	scene.AddFonts(f)
	w := &paper{f: f, pack: p, known: k, found: known{begins: map[string]int{}}, links: map[string]int{}, widths: widths}
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

// need begins a new page where less than so many mm are left on this one.
func (w *paper) need(mm float64) {
	if w.room() < mm {
		w.page(w.orientation())
	}
}

// say writes one line of type with its base line at y.
func (w *paper) say(x, y, size float64, bold bool, grey int, s string) {
	style := ""
	if bold {
		style = "B"
	}
	printed := scene.Printable(s)
	if strings.ContainsRune(printed, scene.Lost) {
		w.lose(s)
	}
	w.f.SetFont(scene.FontFamily, style, size*pointsPerMM)
	w.f.SetTextColor(grey, grey, grey)
	w.f.Text(x, y, printed)
}

// lose remembers the characters of a text that the type lacks.
func (w *paper) lose(s string) {
	for _, r := range scene.Missing(s) {
		if !slices.Contains(w.found.lost, r) {
			w.found.lost = append(w.found.lost, r)
		}
	}
}

// draw puts a scene onto the page.
func (w *paper) draw(s *scene.Scene, x, y float64) {
	for _, t := range s.Texts() {
		w.lose(t)
	}
	s.PDF(w.f, x, y)
}

func (w *paper) header() {
	x := left + w.width()
	w.say(left, 12.5, 2.6, true, 60, scene.Clip(or(w.pack.House.Title, "House"), 2.6, w.width()*.55, true))
	section := scene.Clip(w.section, 2.6, w.width()*.4, false)
	w.say(x-scene.TextWidth(section, 2.6, false), 12.5, 2.6, false, 90, section)
	w.rule(14.5, .2)
}

// rule draws a line over the width of the page.
func (w *paper) rule(y, width float64) {
	w.f.SetDrawColor(170, 170, 170)
	w.f.SetLineWidth(width)
	w.f.Line(left, y, left+w.width(), y)
}

func (w *paper) footer() {
	y := w.height() - 9
	digest := w.pack.Digest
	if len(digest) > 12 {
		digest = digest[:12]
	}
	says := fmt.Sprintf("revision %s of %s · house text %s", w.pack.Revision, w.pack.Date.Format("2006-01-02 15:04"), digest)
	w.say(left, y, 2.3, false, 110, scene.Clip(says, 2.3, w.width()*.7, false))
	page := fmt.Sprintf("page %d of %d", w.f.PageNo(), w.known.pages)
	w.say(left+w.width()-scene.TextWidth(page, 2.3, false), y, 2.3, false, 110, page)
}

// begin begins a chapter on a new page, with a bookmark, and notes where it is. Its heading is the caller's, so that a
// drawing may use the page to the full.
func (w *paper) begin(title, orientation string) {
	w.section = title
	w.page(orientation)
	w.f.Bookmark(scene.Printable(title), 0, -1)
	w.found.begins[title] = w.f.PageNo()
	w.f.SetLink(w.link(title), 0, -1)
}

// link is the target of a chapter's entry in the contents.
func (w *paper) link(title string) int {
	if _, ok := w.links[title]; !ok {
		w.links[title] = w.f.AddLink()
	}
	return w.links[title]
}

// chapter begins a chapter with a heading.
func (w *paper) chapter(title, orientation string) {
	w.begin(title, orientation)
	for _, l := range scene.Wrap(title, 5.6, w.width(), true) {
		w.say(left, w.y+4.5, 5.6, true, 0, l)
		w.y += 7
	}
	w.y += 2
}

// paragraph writes running text.
func (w *paper) paragraph(s string, size float64, grey int) {
	if s != "" {
		w.indented("", s, size, grey)
	}
}

// bullet writes a paragraph behind a mark: a dot, a number.
func (w *paper) bullet(mark, s string) { w.indented(mark, s, bodySize, 30) }

func (w *paper) indented(mark, s string, size float64, grey int) {
	in := 0.0
	if mark != "" {
		in = 4.5
	}
	for i, l := range scene.Wrap(s, size, w.width()-in, false) {
		w.need(size * lineHeight)
		if i == 0 && mark != "" {
			w.say(left, w.y+size, size, false, grey, mark)
		}
		w.say(left+in, w.y+size, size, false, grey, l)
		w.y += size * lineHeight
	}
	if mark != "" {
		w.y += size * .3
		return
	}
	w.y += size * .6
}

func (w *paper) orientation() string {
	if x, y := w.f.GetPageSize(); x > y {
		return "L"
	}
	return "P"
}

// heading writes a small heading that stays with what follows.
func (w *paper) heading(s string) {
	w.need(22)
	w.y += 2
	for _, l := range scene.Wrap(s, 3.6, w.width(), true) {
		w.say(left, w.y+3.6, 3.6, true, 0, l)
		w.y += 4.8
	}
	w.y += 1.2
}
