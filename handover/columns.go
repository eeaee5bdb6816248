package handover

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"wirewright/handover/scene"
)

// paperColumn is one column as it stands on paper: with the columns that stand below it.
type paperColumn struct {
	at    int   // in Schedule.Columns
	under []int // the columns that stand in grey below
	title []string
	width float64
	align Align
}

// columnWidths remembers the widths of each schedule, since papers are laid out more than once.
type columnWidths map[string][]paperColumn

// of is the columns of a schedule on paper of a width. Each needs room for its longest word, and wants room for nearly
// all of its cells in one line; what there is beyond the needs is divided by the wants, and what is left over after them
// by the shares of the columns.
func (c columnWidths) of(s Schedule, all float64) []paperColumn {
	if list, ok := c[s.Title]; ok {
		return list
	}
	var list []paperColumn
	for i, col := range s.Columns {
		if col.Book {
			continue
		}
		if col.Under && len(list) > 0 {
			list[len(list)-1].under = append(list[len(list)-1].under, i)
			continue
		}
		list = append(list, paperColumn{at: i, align: col.Align})
	}
	need, want, share := make([]float64, len(list)), make([]float64, len(list)), make([]float64, len(list))
	for i, p := range list {
		need[i], want[i] = s.measure(p, all)
		share[i] = s.Columns[p.at].Width
	}
	for i, w := range divide(all, need, want, share) {
		list[i].width = w
		list[i].title = scene.Wrap(s.Columns[list[i].at].Title, cellSize, w-2*cellPad, true)
	}
	c[s.Title] = list
	return list
}

// measure is what a column needs and wants in mm.
func (s Schedule) measure(p paperColumn, all float64) (need, want float64) {
	const longest, whole = 45, 20 // mm: a longer word is broken in its letters, a shorter one not even behind a dot
	c := s.Columns[p.at]
	for _, word := range strings.Fields(c.Title) {
		need = math.Max(need, scene.TextWidth(word, cellSize, true))
	}
	var widths []float64
	look := func(text string, size float64) {
		for _, line := range strings.Split(glue(text), "\n") {
			widths = append(widths, scene.TextWidth(line, size, false))
			for _, word := range strings.Split(line, " ") {
				need = math.Max(need, math.Min(scene.TextWidth(word, size, false), whole))
				for _, piece := range scene.Pieces(word) {
					need = math.Max(need, math.Min(scene.TextWidth(piece, size, false), longest))
				}
			}
		}
	}
	for _, row := range s.Rows {
		if isHead(row) {
			continue
		}
		if p.at < len(row) {
			look(row[p.at].Text, cellSize)
		}
		for _, u := range p.under {
			if u < len(row) {
				look(row[u].Text, subSize)
			}
		}
	}
	want = need
	if len(widths) > 0 {
		slices.Sort(widths)
		want = math.Max(want, widths[(len(widths)-1)*95/100])
	}
	pad := 2*cellPad + .1
	return math.Max(need+pad, c.Least), math.Max(math.Min(want, all*.7)+pad, c.Least)
}

// glue keeps a figure and its unit on one line.
func glue(s string) string {
	if !strings.ContainsAny(s, "0123456789") {
		return s
	}
	runes := []rune(s)
	for i := 1; i+1 < len(runes); i++ {
		if runes[i] == ' ' && unicode.IsDigit(runes[i-1]) && !unicode.IsDigit(runes[i+1]) && wordLength(runes[i+1:]) <= 3 {
			runes[i] = '\u00a0'
		}
	}
	return string(runes)
}

// wordLength is the number of letters up to the next blank.
func wordLength(runes []rune) int {
	for i, r := range runes {
		if unicode.IsSpace(r) || i > 3 {
			return i
		}
	}
	return len(runes)
}

// divide gives every column at least what it needs, as far as the width goes.
func divide(all float64, need, want, share []float64) []float64 {
	needs, wants, shares := sum(need), sum(want), sum(share)
	out := make([]float64, len(need))
	for i := range out {
		switch {
		case needs >= all:
			out[i] = need[i] * all / needs
		case wants > all:
			out[i] = need[i] + (want[i]-need[i])*(all-needs)/(wants-needs)
		case shares > 0:
			out[i] = want[i] + (all-wants)*share[i]/shares
		default:
			out[i] = want[i] + (all-wants)/float64(len(out))
		}
	}
	return out
}

func sum(list []float64) float64 {
	s := 0.0
	for _, v := range list {
		s += v
	}
	return s
}
