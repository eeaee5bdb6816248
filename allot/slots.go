package allot

import (
	"fmt"

	"wirewright/catalogue"
	"wirewright/house"
)

// slots puts every new rail module into its board: heads and supplies in the upper free row, the others row by row; a
// module never straddles rows. The first row is left to the protective devices where the board has more than one.
func (j *job) slots() {
	for i := range j.house.Boards {
		b := &j.house.Boards[i]
		if b.Rows == 0 || b.Units == 0 {
			continue
		}
		rows := j.occupied(b)
		for _, first := range []bool{true, false} {
			for _, id := range j.result.New {
				m, t := j.moduleFor(id), j.types[id]
				leading := t.Role == catalogue.RoleHead || t.Role == catalogue.RoleSupply
				if m.Board == b.ID && m.Row == 0 && t.Units > 0 && leading == first {
					j.slot(b, rows, m, t.Units)
				}
			}
		}
	}
}

// occupied marks the units of each row that modules take already.
func (j *job) occupied(b *house.Board) [][]bool {
	rows := make([][]bool, b.Rows)
	for r := range rows {
		rows[r] = make([]bool, b.Units)
	}
	for _, m := range j.house.Modules {
		if m.Board != b.ID || m.Row < 1 || m.Row > b.Rows {
			continue
		}
		for u := range j.types[m.ID].Units {
			if at := m.Slot - 1 + u; at >= 0 && at < b.Units {
				rows[m.Row-1][at] = true
			}
		}
	}
	return rows
}

func (j *job) slot(b *house.Board, rows [][]bool, m *house.Module, units int) {
	order := make([]int, 0, len(rows))
	for r := range rows {
		if r > 0 || len(rows) == 1 {
			order = append(order, r)
		}
	}
	if len(rows) > 1 {
		order = append(order, 0) // the row of the protective devices only when all others are full
	}
	for _, r := range order {
		for at := 0; at+units <= b.Units; at++ {
			if free(rows[r][at : at+units]) {
				for u := range units {
					rows[r][at+u] = true
				}
				m.Row, m.Slot = r+1, at+1
				return
			}
		}
	}
	j.result.Notes = append(j.result.Notes, fmt.Sprintf("board %s has no %d free units side by side for module %s: a larger board or a second one is needed", b.ID, units, m.ID))
}

func free(units []bool) bool {
	for _, u := range units {
		if u {
			return false
		}
	}
	return true
}
