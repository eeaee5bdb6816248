package behaviour

import (
	"slices"

	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// Matrix is the cause-and-effect matrix of a house: a row for each cause, a column for each thing that rules move or
// set, and in the cell what the cause does to it.
type Matrix struct {
	Columns []string // points and modes, in the order of the house and the text
	Rows    []MatrixRow
}

// MatrixRow is one cause of one rule.
type MatrixRow struct {
	Rule       string
	Line       int
	Cause      string
	Condition  string // with the word before it; empty for none
	Controller string
	Cells      []string // one a column, empty where nothing happens
	Notice     string   // what people are told
}

// Matrix makes the cause-and-effect matrix.
func (c *Compiled) Matrix() Matrix {
	k := c.from
	var m Matrix
	column := map[*thing]int{}
	for _, t := range k.columnThings() {
		column[t] = len(m.Columns)
		m.Columns = append(m.Columns, t.slotName())
	}
	for i := range k.rules {
		w := &k.rules[i]
		if w.wrong {
			continue
		}
		row := MatrixRow{Rule: w.info.Name, Line: w.info.Line, Controller: w.info.Controller, Cells: make([]string, len(m.Columns))}
		if w.rule.If != nil {
			row.Condition = conditionWords(w.rule)
		}
		for j := range w.effects {
			k.fill(&row, column, &w.effects[j])
		}
		if w.rule.While != nil {
			row.Cause = "while " + syntax.Cond(w.rule.While)
			m.Rows = append(m.Rows, row)
			continue
		}
		for _, cause := range w.rule.Causes {
			r := row
			r.Cause = cause.String()
			m.Rows = append(m.Rows, r)
		}
	}
	return m
}

func conditionWords(r *syntax.Rule) string {
	if r.Unless {
		return "unless " + syntax.Cond(r.If)
	}
	return "if " + syntax.Cond(r.If)
}

// columnThings lists what rules move or set: points in the order of the house, then modes.
func (c *compiler) columnThings() []*thing {
	moved := map[*thing]bool{}
	for i := range c.rules {
		for _, t := range c.rules[i].targets {
			moved[t] = true
		}
	}
	var list []*thing
	for i := range c.house.Points {
		if t := c.things[string(c.house.Points[i].ID)]; t != nil && moved[t] && !slices.Contains(list, t) {
			list = append(list, t)
		}
	}
	for _, t := range c.modes {
		if moved[t] {
			list = append(list, t)
		}
	}
	return list
}

// fill writes one effect into the cells of a row.
func (c *compiler) fill(row *MatrixRow, column map[*thing]int, w *effectWork) {
	e := w.effect
	put := func(t *thing, s string) {
		cell := &row.Cells[column[t]]
		if *cell != "" {
			*cell += ", "
		}
		*cell += s
	}
	switch e.Verb {
	case syntax.Notify:
		row.Notice = e.Text
		return
	case syntax.SetScene:
		if s := c.scenes[e.Scene.Text]; s != nil {
			for _, v := range c.sceneValues(s) {
				put(v.thing, valueWord(v.thing, v.value))
			}
		}
		return
	}
	word := effectWord(e)
	switch {
	case e.For != nil:
		word += " for " + e.For.String()
	case e.Until != nil:
		word += " + " + e.Until.String()
	case e.After != nil:
		word += " after " + e.After.String()
	}
	for _, t := range w.things {
		put(t, word)
	}
}

// valueWord says a value of a scene.
func valueWord(t *thing, v int32) string {
	switch {
	case t.motor() && v == 0:
		return "up"
	case t.motor() && v == 1000:
		return "down"
	case t.motor(), t.slotKind == control.SlotLevel && v > 0 && v < 1000:
		return syntax.Quantity{Kind: syntax.Percent, Value: int64(v) * 100_000}.String()
	case v == 0:
		return "off"
	}
	return "on"
}
