package handover

import "fmt"

// Align is how a column stands.
type Align int

// The alignments.
const (
	Left Align = iota
	Right
	Centre
)

// Column is one column of a schedule.
type Column struct {
	Title string
	Width float64 // share of the width in the workbook; on paper widths follow from what the cells hold
	Align Align
	Under bool    // on paper it stands in grey below the column before it
	Book  bool    // in the workbook only
	Least float64 // mm that it has on paper at least: a column to write in by hand
}

// Cell is one value of a schedule: text, or a number for the workbook to reckon with.
type Cell struct {
	Text   string
	Sub    string // of a head: what stands in grey below it
	Number float64
	Is     CellKind
}

// CellKind is what a cell holds.
type CellKind int

// The kinds of cell.
const (
	IsText CellKind = iota
	IsNumber
	IsMoney
	IsHead // a row that heads those below it; only the first cell counts
	IsSum
)

// Schedule is one table of the papers.
type Schedule struct {
	Name    string // short, for the workbook's sheet
	Title   string
	Intro   string
	Columns []Column
	Rows    [][]Cell
	Empty   string  // what to say where there are no rows
	Grid    bool    // ruled upright too, to be filled in by hand
	Least   float64 // mm that a row is high at least
}

func text(s string) Cell { return Cell{Text: s} }

func number(n int) Cell { return Cell{Text: fmt.Sprint(n), Number: float64(n), Is: IsNumber} }

func money(v float64) Cell { return Cell{Text: fmt.Sprintf("%.2f", v), Number: v, Is: IsMoney} }

func head(s, sub string) []Cell { return []Cell{{Text: s, Sub: sub, Is: IsHead}} }

// shares divides a width among the columns as the workbook has them.
func (s Schedule) shares(all float64) []float64 {
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
