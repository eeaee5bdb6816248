package enclosure

import (
	"cmp"
	"slices"
)

// Warm is a device that stands on a row and gives off heat.
type Warm struct {
	Name             string
	Row, Slot, Units int
	Watts            float64
}

// RowHeat is the heat of one row.
type RowHeat struct {
	Row     int
	Watts   float64
	PerUnit float64 // W for each unit of the row, taken or not
	Hottest string  // the device with the most
}

// RowHeats sums the heat of rows of a number of units, from the top.
func RowHeats(list []Warm, units int) []RowHeat {
	at := map[int]int{}
	var rows []RowHeat
	most := map[int]float64{}
	for _, w := range list {
		k, ok := at[w.Row]
		if !ok {
			k, at[w.Row] = len(rows), len(rows)
			rows = append(rows, RowHeat{Row: w.Row})
		}
		rows[k].Watts += w.Watts
		if w.Watts > most[w.Row] {
			most[w.Row], rows[k].Hottest = w.Watts, w.Name
		}
	}
	for k := range rows {
		if units > 0 {
			rows[k].PerUnit = rows[k].Watts / float64(units)
		}
	}
	slices.SortFunc(rows, func(a, b RowHeat) int { return cmp.Compare(a.Row, b.Row) })
	return rows
}

// Crowd is two devices with much heat and too little between them.
type Crowd struct {
	Left, Right int // their places in the list given
	Between     int // units
}

// Crowds finds the devices of a row that both give off hot W or more and have fewer than gap units between them.
func Crowds(list []Warm, hot float64, gap int) []Crowd {
	var warm []int
	for i, w := range list {
		if w.Watts >= hot {
			warm = append(warm, i)
		}
	}
	slices.SortStableFunc(warm, func(a, b int) int {
		return cmp.Or(cmp.Compare(list[a].Row, list[b].Row), cmp.Compare(list[a].Slot, list[b].Slot))
	})
	var found []Crowd
	for k := 1; k < len(warm); k++ {
		a, b := &list[warm[k-1]], &list[warm[k]]
		if between := b.Slot - a.Slot - a.Units; a.Row == b.Row && between < gap {
			found = append(found, Crowd{warm[k-1], warm[k], max(0, between)})
		}
	}
	return found
}
