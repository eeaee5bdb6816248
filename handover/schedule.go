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
	Width float64 // share of the width
	Align Align
}

// Cell is one value of a schedule: text, or a number with its unit for the workbook to reckon with.
type Cell struct {
	Text   string
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
	Empty   string // what to say where there are no rows
}

func text(s string) Cell { return Cell{Text: s} }

func number(n int) Cell { return Cell{Text: fmt.Sprint(n), Number: float64(n), Is: IsNumber} }

func money(v float64) Cell { return Cell{Text: fmt.Sprintf("%.2f", v), Number: v, Is: IsMoney} }

func head(s string) []Cell { return []Cell{{Text: s, Is: IsHead}} }
