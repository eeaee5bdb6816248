package allot

import (
	"fmt"
	"strings"

	"wirewright/house"
)

// model is a search that can be written as a linear programme.
type model interface{ lp(b *strings.Builder) }

// Export writes the part as a mixed-integer linear programme in the LP text form, so that another solver can answer the
// same question; its optimum is the part's value in millionths of the currency.
func (p Part) Export() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "\\ %s\n", p.Name)
	if p.model != nil {
		p.model.lp(&b)
	}
	return []byte(b.String())
}

// lp writes the covering problem: x modules of each type, f items of each class on each group.
func (c *cover) lp(b *strings.Builder) {
	b.WriteString("Minimize\n cost:")
	for t, typ := range c.types {
		fmt.Fprintf(b, " + %d x%d", price(typ), t)
	}
	b.WriteString("\nSubject To\n")
	for k, cl := range c.classes {
		fmt.Fprintf(b, " all%d:", k)
		for g, gr := range c.groups {
			if gr.takes[k] {
				fmt.Fprintf(b, " + f%d_%d", k, g)
			}
		}
		fmt.Fprintf(b, " = %d\n", len(cl.items))
	}
	for g, gr := range c.groups {
		fmt.Fprintf(b, " room%d:", g)
		for k := range c.classes {
			if gr.takes[k] {
				fmt.Fprintf(b, " + f%d_%d", k, g)
			}
		}
		fmt.Fprintf(b, " - %d x%d <= %d\n", gr.count, gr.cand, c.given[g])
	}
	b.WriteString("General\n")
	for t := range c.types {
		fmt.Fprintf(b, " x%d\n", t)
	}
	b.WriteString("End\n")
}

// lp writes the room's problem with one binary u for each possible module and y for each landing, z for the circuit of a
// module, h for the box that houses it, r for a key and a lamp apart. Modules that are there already are not written:
// the export is for rooms that begin empty.
func (s *roomSearch) lp(b *strings.Builder) {
	w := &roomLP{s: s, b: b}
	w.objective()
	b.WriteString("Subject To\n")
	for i := range s.items {
		w.landsOnce(i)
	}
	for c := range s.cands {
		for n := range w.copies() {
			w.module(c, n)
		}
	}
	w.boxes()
	w.pairs()
	w.binaries()
}

type roomLP struct {
	s *roomSearch
	b *strings.Builder
}

func (w *roomLP) copies() int { return len(w.s.items) }

func (w *roomLP) objective() {
	w.b.WriteString("Minimize\n cost:")
	for c, cand := range w.s.cands {
		for n := range w.copies() {
			fmt.Fprintf(w.b, " + %d u%d_%d", cand.price, c, n)
		}
	}
	w.eachPair(func(k, l int) { fmt.Fprintf(w.b, " + %d r%d_%d", w.s.remote, k, l) })
	w.b.WriteString("\n")
}

func (w *roomLP) eachPair(do func(keypad, lamp int)) {
	for k, a := range w.s.items {
		for l, o := range w.s.items {
			if w.s.remote > 0 && a.point.Kind == house.Keypad && o.point.Kind == house.Lamp {
				do(k, l)
			}
		}
	}
}

// each calls do for every landing variable of an item on a module.
func (w *roomLP) each(i, c int, do func(g int)) {
	for g := range w.s.cands[c].suits {
		if w.s.cands[c].suits[g][i] {
			do(g)
		}
	}
}

func (w *roomLP) landsOnce(i int) {
	fmt.Fprintf(w.b, " once%d:", i)
	for c := range w.s.cands {
		for n := range w.copies() {
			w.each(i, c, func(g int) { fmt.Fprintf(w.b, " + y%d_%d_%d_%d", i, c, n, g) })
		}
	}
	w.b.WriteString(" = 1\n")
}

func (w *roomLP) module(c, n int) {
	cand := w.s.cands[c]
	for g := range cand.suits {
		var row, keypads strings.Builder
		for i, it := range w.s.items {
			if cand.suits[g][i] {
				fmt.Fprintf(&row, " + %d y%d_%d_%d_%d", it.channels, i, c, n, g)
				if string(cand.t.Channels[g].Kind) == "key" {
					fmt.Fprintf(&keypads, " + y%d_%d_%d_%d", i, c, n, g)
				}
			}
		}
		if row.Len() > 0 {
			fmt.Fprintf(w.b, " cap%d_%d_%d:%s - %d u%d_%d <= 0\n", c, n, g, row.String(), cand.t.Channels[g].Count, c, n)
		}
		if keypads.Len() > 0 {
			fmt.Fprintf(w.b, " plate%d_%d_%d:%s <= 1\n", c, n, g, keypads.String())
		}
	}
	if common := cand.t.Common; common > 0 {
		fmt.Fprintf(w.b, " common%d_%d:", c, n)
		for i := range w.s.items {
			w.each(i, c, func(g int) { fmt.Fprintf(w.b, " + %.6f y%d_%d_%d_%d", w.s.amps[i], i, c, n, g) })
		}
		fmt.Fprintf(w.b, " - %.6f u%d_%d <= 0\n", common.A(), c, n)
	}
	w.circuits(c, n)
	fmt.Fprintf(w.b, " sit%d_%d:", c, n)
	for i, it := range w.s.items {
		if houses(cand.t, it.point) {
			fmt.Fprintf(w.b, " + h%d_%d_%d", i, c, n)
		}
	}
	fmt.Fprintf(w.b, " - u%d_%d >= 0\n", c, n)
	for i, it := range w.s.items {
		if houses(cand.t, it.point) {
			fmt.Fprintf(w.b, " own%d_%d_%d: h%d_%d_%d", i, c, n, i, c, n)
			w.each(i, c, func(g int) { fmt.Fprintf(w.b, " - y%d_%d_%d_%d", i, c, n, g) })
			w.b.WriteString(" <= 0\n")
		}
	}
}

func (w *roomLP) circuitList() []house.ID {
	var list []house.ID
	seen := map[house.ID]bool{}
	for _, it := range w.s.items {
		if it.point.Circuit != "" && !seen[it.point.Circuit] {
			seen[it.point.Circuit] = true
			list = append(list, it.point.Circuit)
		}
	}
	return list
}

func (w *roomLP) circuits(c, n int) {
	list := w.circuitList()
	if len(list) < 2 {
		return
	}
	fmt.Fprintf(w.b, " feed%d_%d:", c, n)
	for z := range list {
		fmt.Fprintf(w.b, " + z%d_%d_%d", z, c, n)
	}
	w.b.WriteString(" <= 1\n")
	for i, it := range w.s.items {
		for z, circuit := range list {
			if it.point.Circuit != circuit {
				continue
			}
			if houses(w.s.cands[c].t, it.point) {
				fmt.Fprintf(w.b, " fed%d_%d_%d: h%d_%d_%d - z%d_%d_%d <= 0\n", i, c, n, i, c, n, z, c, n)
			}
			if it.point.Kind.Moved() {
				w.each(i, c, func(g int) {
					fmt.Fprintf(w.b, " of%d_%d_%d_%d: y%d_%d_%d_%d - z%d_%d_%d <= 0\n", i, c, n, g, i, c, n, g, z, c, n)
				})
			}
		}
	}
}

func (w *roomLP) boxes() {
	for i, it := range w.s.items {
		row := ""
		for c := range w.s.cands {
			if houses(w.s.cands[c].t, it.point) {
				for n := range w.copies() {
					row += fmt.Sprintf(" + h%d_%d_%d", i, c, n)
				}
			}
		}
		if row != "" {
			fmt.Fprintf(w.b, " box%d:%s <= 1\n", i, row)
		}
	}
}

func (w *roomLP) pairs() {
	w.eachPair(func(k, l int) {
		for c := range w.s.cands {
			for n := range w.copies() {
				fmt.Fprintf(w.b, " apart%d_%d_%d_%d: r%d_%d", k, l, c, n, k, l)
				w.each(k, c, func(g int) { fmt.Fprintf(w.b, " - y%d_%d_%d_%d", k, c, n, g) })
				w.each(l, c, func(g int) { fmt.Fprintf(w.b, " + y%d_%d_%d_%d", l, c, n, g) })
				w.b.WriteString(" >= 0\n")
			}
		}
	})
}

func (w *roomLP) binaries() {
	w.b.WriteString("Binary\n")
	w.eachPair(func(k, l int) { fmt.Fprintf(w.b, " r%d_%d\n", k, l) })
	circuits := w.circuitList()
	for c, cand := range w.s.cands {
		for n := range w.copies() {
			fmt.Fprintf(w.b, " u%d_%d\n", c, n)
			for i, it := range w.s.items {
				w.each(i, c, func(g int) { fmt.Fprintf(w.b, " y%d_%d_%d_%d\n", i, c, n, g) })
				if houses(cand.t, it.point) {
					fmt.Fprintf(w.b, " h%d_%d_%d\n", i, c, n)
				}
			}
			for z := range circuits {
				if len(circuits) > 1 {
					fmt.Fprintf(w.b, " z%d_%d_%d\n", z, c, n)
				}
			}
		}
	}
	w.b.WriteString("End\n")
}
