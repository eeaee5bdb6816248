package handover

import (
	"archive/zip"
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Workbook makes every schedule a sheet of one spreadsheet workbook (Office Open XML): numbers as numbers, frozen head
// row, filter, and the revision on the first sheet. Text is written as text, so that a name that begins with an equals
// sign is no formula.
func Workbook(p Pack) ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close()
	styles, err := newStyles(f)
	if err != nil {
		return nil, fmt.Errorf("the workbook could not be made: %w", err)
	}
	if err := about(f, p, styles); err != nil {
		return nil, fmt.Errorf("the workbook could not be made: %w", err)
	}
	for _, s := range Schedules(p) {
		if err := sheet(f, s, styles); err != nil {
			return nil, fmt.Errorf("sheet %s could not be made: %w", s.Name, err)
		}
	}
	date := p.Date.UTC().Format("2006-01-02T15:04:05Z")
	if err := f.SetDocProps(&excelize.DocProperties{Title: or(p.House.Title, "House"), Creator: "wirewright", Created: date, Modified: date}); err != nil {
		return nil, fmt.Errorf("the workbook could not be made: %w", err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return nil, fmt.Errorf("the workbook could not be written: %w", err)
	}
	return ordered(b.Bytes())
}

// ordered puts the parts of a workbook in a fixed order, the list of their types first, since the library writes them in
// any order: same pack, same bytes.
func ordered(book []byte) ([]byte, error) {
	r, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return nil, fmt.Errorf("the workbook could not be written: %w", err)
	}
	slices.SortFunc(r.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) }) // "[" comes before letters in lower case
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range r.File {
		if err := w.Copy(f); err != nil {
			return nil, fmt.Errorf("the workbook could not be written: %w", err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("the workbook could not be written: %w", err)
	}
	return out.Bytes(), nil
}

type styles struct{ head, section, body, money, sum int }

func newStyles(f *excelize.File) (styles, error) {
	wrap := &excelize.Alignment{Vertical: "top", WrapText: true}
	two := 2 // built-in number format 0.00
	defs := []*excelize.Style{
		{Font: &excelize.Font{Bold: true}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E4E8EC"}}, Alignment: wrap},
		{Font: &excelize.Font{Bold: true}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"F4F6F8"}}},
		{Alignment: wrap},
		{NumFmt: two, Alignment: wrap},
		{Font: &excelize.Font{Bold: true}, NumFmt: two},
	}
	ids := make([]int, len(defs))
	for i, d := range defs {
		id, err := f.NewStyle(d)
		if err != nil {
			return styles{}, err
		}
		ids[i] = id
	}
	return styles{ids[0], ids[1], ids[2], ids[3], ids[4]}, nil
}

func about(f *excelize.File, p Pack, st styles) error {
	const name = "About"
	if err := f.SetSheetName("Sheet1", name); err != nil {
		return err
	}
	rows := [][2]string{{"House", p.House.Title}, {"Place", p.House.Site.Place}, {"Revision", p.Revision}, {"Of", p.Date.Format("2006-01-02 15:04")},
		{"House text (SHA-256)", p.Digest}, {"Prepared by", p.Prepared}, {"Findings", findingsText(p.Findings)}}
	for i, r := range rows {
		for c, v := range r {
			cell, err := excelize.CoordinatesToCellName(c+1, i+1)
			if err != nil {
				return err
			}
			if err := f.SetCellStr(name, cell, v); err != nil {
				return err
			}
		}
	}
	if err := f.SetColStyle(name, "A", st.section); err != nil {
		return err
	}
	return f.SetColWidth(name, "A", "B", 34)
}

func sheet(f *excelize.File, s Schedule, st styles) error {
	if _, err := f.NewSheet(s.Name); err != nil {
		return err
	}
	w, err := f.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	for i, width := range s.shares(130) {
		if err := w.SetColWidth(i+1, i+1, max(width, 8)); err != nil {
			return err
		}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	titles := make([]any, len(s.Columns))
	for i, c := range s.Columns {
		titles[i] = excelize.Cell{StyleID: st.head, Value: c.Title}
	}
	if err := w.SetRow("A1", titles); err != nil {
		return err
	}
	for i, row := range s.Rows {
		cell, err := excelize.CoordinatesToCellName(1, i+2)
		if err != nil {
			return err
		}
		if err := w.SetRow(cell, values(row, st)); err != nil {
			return err
		}
	}
	return w.Flush()
}

func values(row []Cell, st styles) []any {
	list := make([]any, len(row))
	for i, c := range row {
		switch c.Is {
		case IsNumber:
			list[i] = excelize.Cell{StyleID: st.body, Value: c.Number}
		case IsMoney:
			list[i] = excelize.Cell{StyleID: st.money, Value: c.Number}
		case IsHead:
			list[i] = excelize.Cell{StyleID: st.section, Value: joined(" · ", c.Text, c.Sub)}
		case IsSum:
			list[i] = excelize.Cell{StyleID: st.sum, Value: sumValue(c)}
		default:
			list[i] = excelize.Cell{StyleID: st.body, Value: c.Text}
		}
	}
	return list
}

func sumValue(c Cell) any {
	if c.Number != 0 {
		return c.Number
	}
	return c.Text
}
