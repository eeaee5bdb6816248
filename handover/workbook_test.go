package handover

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// hostilePack is a house with names that a spreadsheet program might take for something else.
func hostilePack() Pack {
	p := bare(30)
	for i, s := range []string{"=A1", "+1+1", "-2", "@SUM(A1)", "=cmd|' /C calc'!A0", "'quoted", "0123", "1e5", "TRUE", "line\nfeed", "tab\tstop", "<b>&amp;\"", "\x01control", "2026-01-02"} {
		p.House.Points[i].Title = s
	}
	return p
}

// calc has a workbook converted to one CSV file a sheet by LibreOffice, text in quotation marks and numbers bare.
func calc(t *testing.T, b []byte) map[string]string {
	t.Helper()
	need(t, "soffice")
	file := write(t, "book.xlsx", b)
	folder := t.TempDir()
	const all = `csv:Text - txt - csv (StarCalc):44,34,76,1,,0,true,true,false,false,false,-1` // UTF-8, quote all text, every sheet
	cmd := exec.Command("soffice", "-env:UserInstallation=file://"+filepath.Join(folder, "profile"), "--headless", "--convert-to", all, "--outdir", folder, file)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	sheets := map[string]string{}
	files, _ := filepath.Glob(filepath.Join(folder, "book-*.csv"))
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(strings.TrimPrefix(filepath.Base(f), "book-"), ".csv")
		sheets[name] = string(text)
	}
	return sheets
}

// TestWorkbookByAnotherProgram has LibreOffice open the workbook, and compares every cell with the schedules.
func TestWorkbookByAnotherProgram(t *testing.T) {
	for name, p := range map[string]Pack{"example": example(), "hostile": hostilePack()} {
		b, err := Workbook(p)
		if err != nil {
			t.Fatal(err)
		}
		sheets := calc(t, b)
		for _, s := range Schedules(p) {
			compareSheet(t, name, s, sheets[s.Name])
		}
		if bill := sheets["Materials"]; name == "example" && !regexp.MustCompile(`(?m)^"[^"]+","[^"]+",\d+,"piece",[\d.]+,[\d.]+$`).MatchString(bill) {
			t.Errorf("LibreOffice does not take figures for numbers:\n%.300s", bill)
		}
		for _, want := range []string{`"=A1"`, `"+1+1"`, `"@SUM(A1)"`, `"0123"`, `"1e5"`, `"TRUE"`, `"2026-01-02"`} {
			if name == "hostile" && !strings.Contains(sheets["Points"], want) {
				t.Errorf("%s is not on the sheet as text", want)
			}
		}
		if !strings.Contains(sheets["About"], `"Revision","`+p.Revision+`"`) {
			t.Errorf("%s: the first sheet says %q", name, sheets["About"])
		}
	}
}

func compareSheet(t *testing.T, name string, s Schedule, text string) {
	t.Helper()
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Errorf("%s, sheet %s: %v", name, s.Name, err)
		return
	}
	if len(rows) != len(s.Rows)+1 {
		t.Errorf("%s, sheet %s: %d rows, want %d and a head", name, s.Name, len(rows), len(s.Rows))
		return
	}
	for i, row := range s.Rows {
		for c, cell := range row {
			want := sheetText(cell)
			if got := rows[i+1][c]; got != want && !sameNumber(cell, got) {
				t.Errorf("%s, sheet %s, row %d, %s: %q, want %q", name, s.Name, i+2, s.Columns[c].Title, got, want)
			}
		}
	}
	for c, column := range s.Columns {
		if rows[0][c] != column.Title {
			t.Errorf("%s, sheet %s: column %d is headed %q", name, s.Name, c+1, rows[0][c])
		}
	}
}

// sheetText is a cell as a spreadsheet program tells it.
func sheetText(c Cell) string {
	switch c.Is {
	case IsHead:
		return joined(" · ", c.Text, c.Sub)
	case IsText:
		return strings.ReplaceAll(c.Text, "\x01", "\ufffd")
	}
	return c.Text
}

// sameNumber tells whether a text is the number of a cell.
func sameNumber(c Cell, text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && (c.Is == IsNumber || c.Is == IsMoney || c.Is == IsSum) && math.Abs(v-c.Number) < 1e-6
}

func TestNumbersAreNumbers(t *testing.T) {
	b, err := Workbook(example())
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	kind := func(sheet, cell string, want excelize.CellType) {
		t.Helper()
		got, err := f.GetCellType(sheet, cell)
		if err != nil || got != want {
			v, _ := f.GetCellValue(sheet, cell)
			t.Errorf("%s!%s (%q) is of type %d, want %d (%v)", sheet, cell, v, got, want, err)
		}
	}
	kind("Materials", "A2", excelize.CellTypeInlineString)
	for _, cell := range []string{"C2", "E2", "F2"} {
		kind("Materials", cell, excelize.CellTypeUnset) // a number has no type of its own in Office Open XML
	}
	kind("Wishes", "D2", excelize.CellTypeUnset)
	if formula, err := f.GetCellFormula("Materials", "F2"); err != nil || formula != "" {
		t.Errorf("a formula: %q %v", formula, err)
	}
	rows, err := f.GetRows("Materials", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	s := newBuilder(example()).bill()
	if got, want := rows[len(rows)-1][5], s.Rows[len(s.Rows)-1][5]; !sameNumber(want, got) {
		t.Errorf("the sum is %q, want %f", got, want.Number)
	}
}

func TestWorkbooksAreTheSameEachTime(t *testing.T) {
	for name, p := range map[string]Pack{"example": example(), "nothing": bare(0)} {
		a, err := Workbook(p)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := Workbook(p)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two workbooks of one pack differ", name)
		}
	}
}

func TestWorkbookSheets(t *testing.T) {
	b, err := Workbook(example())
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want := []string{"About", "Wishes", "Keys", "Points", "Modules", "Circuits", "Lines", "Cables", "Materials", "Rules", "Findings", "Acceptance"}
	if got := f.GetSheetList(); !slices.Equal(got, want) {
		t.Errorf("sheets %q, want %q", got, want)
	}
	props, err := f.GetDocProps()
	if err != nil || props.Title != "House at the weir" || !regexp.MustCompile(`^2026-05-17T14:30:00Z$`).MatchString(props.Created) || props.Created != props.Modified {
		t.Errorf("properties %+v (%v)", props, err)
	}
	panes, err := f.GetPanes("Points")
	if err != nil || !panes.Freeze || panes.YSplit != 1 {
		t.Errorf("the head row is not frozen: %+v (%v)", panes, err)
	}
}

func BenchmarkWorkbook(b *testing.B) {
	p := example()
	for b.Loop() {
		if _, err := Workbook(p); err != nil {
			b.Fatal(err)
		}
	}
}
