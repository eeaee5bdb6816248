package enclosure

import (
	"fmt"
	"strings"
)

// Export writes the question for the fewest rows as a mixed-integer linear programme in the LP text form, so that another
// solver can answer it: x is an item in a row, y a row in use, m and s mains and extra-low voltage in it, e its first
// device hot, f cool extra-low voltage behind hot mains. Rows are as many as there are items, at most rows.
func Export(items []Item, f Frame, rows int) ([]byte, error) {
	if err := admissible(items, f); err != nil {
		return nil, err
	}
	e := &exporter{p: newPacking(items, f), rows: min(rows, len(items))}
	e.b.WriteString("Minimize\n cost:")
	e.eachRow(func(r int) { fmt.Fprintf(&e.b, " + y%d", r) })
	e.b.WriteString("\nSubject To\n")
	for i := range items {
		e.item(i)
	}
	e.eachRow(e.row)
	e.b.WriteString("Binary\n")
	e.eachRow(func(r int) {
		fmt.Fprintf(&e.b, " y%d\n m%d\n s%d\n e%d\n f%d\n", r, r, r, r, r)
		for i := range items {
			fmt.Fprintf(&e.b, " x%d_%d\n", i, r)
		}
	})
	e.b.WriteString("End\n")
	return []byte(e.b.String()), nil
}

type exporter struct {
	p    *packing
	rows int
	b    strings.Builder
}

func (e *exporter) eachRow(do func(r int)) {
	for r := range e.rows {
		do(r)
	}
}

// item is in one row, and in none above that of what it stands after.
func (e *exporter) item(i int) {
	fmt.Fprintf(&e.b, " once%d:", i)
	e.eachRow(func(r int) { fmt.Fprintf(&e.b, " + x%d_%d", i, r) })
	e.b.WriteString(" = 1\n")
	for _, u := range e.p.items[i].After {
		fmt.Fprintf(&e.b, " after%d_%d:", u, i)
		e.eachRow(func(r int) { fmt.Fprintf(&e.b, " + %d x%d_%d - %d x%d_%d", r+1, i, r, r+1, u, r) })
		e.b.WriteString(" >= 0\n")
	}
}

func (e *exporter) row(r int) {
	p, f := e.p, e.p.frame
	fmt.Fprintf(&e.b, " room%d:", r)
	for i, it := range p.items {
		units := it.Units
		if p.hot[i] {
			units += f.Gap
		}
		fmt.Fprintf(&e.b, " + %d x%d_%d", units, i, r)
	}
	fmt.Fprintf(&e.b, " - %d e%d + %d f%d + %d m%d + %d s%d - %d y%d <= %d\n", f.Gap, r, f.Gap, r, f.Partition, r, f.Partition, r, f.Units+f.Partition, r, 0)
	if !f.Partitions {
		fmt.Fprintf(&e.b, " apart%d: m%d + s%d <= 1\n", r, r, r)
	}
	for i, it := range p.items {
		switch {
		case it.Class == Mains:
			fmt.Fprintf(&e.b, " mains%d_%d: x%d_%d - m%d <= 0\n", i, r, i, r, r)
		case it.Class == Extra:
			fmt.Fprintf(&e.b, " extra%d_%d: x%d_%d - s%d <= 0\n", i, r, i, r, r)
		}
		switch p.part(i) {
		case 0:
			fmt.Fprintf(&e.b, " begins%d_%d: x%d_%d + e%d <= 1\n", i, r, i, r, r)
		case 2:
			e.coolExtra(i, r)
		}
	}
}

// coolExtra stands first in its row unless a hot device of the left part is there, and behind one with a gap.
func (e *exporter) coolExtra(i, r int) {
	fmt.Fprintf(&e.b, " begins%d_%d: x%d_%d + e%d", i, r, i, r, r)
	for h := range e.p.items {
		if e.p.part(h) == 1 {
			fmt.Fprintf(&e.b, " - x%d_%d", h, r)
		}
	}
	e.b.WriteString(" <= 1\n")
	for h := range e.p.items {
		if e.p.part(h) == 1 {
			fmt.Fprintf(&e.b, " behind%d_%d_%d: x%d_%d + x%d_%d - f%d <= 1\n", i, h, r, i, r, h, r, r)
		}
	}
}
