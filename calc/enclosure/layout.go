package enclosure

import (
	"fmt"
	"slices"
)

// Class is what voltage a device has at its terminals.
type Class int

// The classes. SELV circuits are kept from others (IEC 60364-4-41, 414.4): here by rows of their own, or by a partition.
const (
	Mains  Class = iota // low voltage at its terminals
	Extra               // extra-low voltage alone
	Border              // both, kept apart inside of it by its maker, as a supply of a bus line: it may stand beside either
)

// Item is one device to be put on a row.
type Item struct {
	Name  string
	Units int     // width in units of 17.5 mm (DIN 43880)
	Class Class   //
	Heat  float64 // W
	Group string  // circuit or the like; those of one group should share a row
	After []int   // the items that stand upstream of it: in a row above, or before it in its own
}

// Frame is what the items are put into, and the rules for it.
type Frame struct {
	Units      int     // in a row
	Rows       int     // rows that there are; 0 where the layout shall say how many it needs
	Hot        float64 // W from which a device needs gaps; 0 for none. A device that others depend on gets none
	Gap        int     // units kept free between such a device and its neighbours
	Partitions bool    // mains and extra-low voltage may share a row, with a partition between
	Partition  int     // units that a partition takes
	HotTop     bool    // rows with such devices as far up as the order allows; else in the order of their first items
	Budget     int     // steps of the search; BudgetUsual where it is 0
}

// BudgetUsual is enough for the boards of a house.
const BudgetUsual = 300_000

// Bounds of a layout, against absurd input.
const (
	rowsMost  = 64
	itemsMost = 1000
)

// Stop is why a search ended.
type Stop string

// The reasons.
const (
	Exact  Stop = "proved least"
	Budget Stop = "the budget of steps ran out"
)

// Place is where an item stands: row and first unit, both from 1.
type Place struct{ Row, Slot int }

// Layout is an answer of Lay.
type Layout struct {
	Places     []Place // of the items, in their order
	Rows       int     // rows that hold something
	Bound      int     // no layout has fewer rows
	Stop       Stop    // whether Rows is proved least
	Breaks     int     // how often a group goes on in a further row
	BreaksStop Stop    // whether Breaks is proved least for that number of rows
	Nodes      int     // steps taken
	Partitions []Place // rows shared by mains and extra-low voltage: the plate stands at the left edge of the unit
	Used       int     // units of the items
}

// Fits tells whether a layout finds room in the frame.
func (l *Layout) Fits(f Frame) bool { return f.Rows == 0 || l.Rows <= f.Rows }

// WithSpare is how many units a board needs that has some in use, with a share of them — of the used, not of all — free for
// what comes: 47 units with 0.2 of the used are 57. Add-ons count whole.
func WithSpare(used int, share float64) int {
	return used + ceil(float64(used)*share)
}

// WithSpareOfTotal is likewise with a share of all units: 47 with 0.2 of the total are 59.
func WithSpareOfTotal(used int, share float64) int { return ceil(float64(used) / (1 - share)) }

func ceil(x float64) int {
	n := int(x)
	if float64(n) < x-1e-9 {
		n++
	}
	return n
}

// Lay puts items into rows: the fewest rows, and among those layouts the one that breaks the fewest groups. No item
// straddles two rows; what is upstream stands before what it serves; mains and extra-low voltage share no row, or are
// parted; devices with much heat stand at the end of their part of a row with gaps. The answer is the same for the same input. An error says which item cannot be laid.
func Lay(items []Item, f Frame) (*Layout, error) {
	if f.Budget <= 0 {
		f.Budget = BudgetUsual
	}
	if err := admissible(items, f); err != nil {
		return nil, err
	}
	p := newPacking(items, f)
	if err := p.first(); err != nil {
		return nil, err
	}
	p.improveRows()
	p.improveBreaks()
	return p.layout(), nil
}

// admissible refuses what no layout could hold, or no search should be asked.
func admissible(items []Item, f Frame) error {
	if f.Units < 1 || f.Gap < 0 || f.Partition < 0 {
		return fmt.Errorf("a row has 1 unit at least, gaps and partitions none or more; %d, %d and %d found", f.Units, f.Gap, f.Partition)
	}
	if len(items) > itemsMost {
		return fmt.Errorf("a board of %d devices is not laid out; %d is the most", len(items), itemsMost)
	}
	for i, it := range items {
		if it.Units < 1 || it.Units > f.Units {
			return fmt.Errorf("%s is %d units wide; a row has %d", it.Name, it.Units, f.Units)
		}
		for _, u := range it.After {
			if u < 0 || u >= len(items) || u == i {
				return fmt.Errorf("%s stands after a device that is not there", it.Name)
			}
			if it.Class != Extra && items[u].Class == Extra {
				return fmt.Errorf("%s, on mains, cannot stand after %s, on extra-low voltage", it.Name, items[u].Name)
			}
		}
	}
	if _, ok := topological(items); !ok {
		return fmt.Errorf("the order of the devices runs in a circle")
	}
	return nil
}

// topological orders items so that each comes after what it stands after; false for a circle.
func topological(items []Item) ([]int, bool) {
	missing, order := make([]int, len(items)), make([]int, 0, len(items))
	next := dependents(items)
	for i, it := range items {
		missing[i] = len(it.After)
	}
	for i := range items {
		if missing[i] == 0 {
			order = append(order, i)
		}
	}
	for k := 0; k < len(order); k++ {
		for _, d := range next[order[k]] {
			if missing[d]--; missing[d] == 0 {
				order = append(order, d)
			}
		}
	}
	return order, len(order) == len(items)
}

func dependents(items []Item) [][]int {
	next := make([][]int, len(items))
	for i, it := range items {
		for _, u := range it.After {
			next[u] = append(next[u], i)
		}
	}
	return next
}

// layout turns the best packing into places.
func (p *packing) layout() *Layout {
	l := &Layout{Places: make([]Place, len(p.items)), Rows: p.bestRows, Bound: p.bound, Stop: p.stop, BreaksStop: p.breaksStop, Nodes: p.nodes, Breaks: p.bestBreaks}
	rows := make([][]int, p.bestRows)
	for i, r := range p.best {
		rows[r] = append(rows[r], i)
		l.Used += p.items[i].Units
	}
	for number, r := range p.rowOrder(rows) {
		p.place(l, number+1, rows[r])
	}
	return l
}

// rowOrder numbers rows so that what is upstream is above; then warm rows first, then by their first item.
func (p *packing) rowOrder(rows [][]int) []int {
	before := make([]uint64, len(rows)) // rows that must come before
	for i, it := range p.items {
		for _, u := range it.After {
			if p.best[u] != p.best[i] {
				before[p.best[i]] |= 1 << p.best[u]
			}
		}
	}
	heat := func(r int) (w float64) {
		for _, i := range rows[r] {
			if p.hot[i] && p.frame.HotTop {
				w += p.items[i].Heat
			}
		}
		return w
	}
	var order []int
	for done := uint64(0); len(order) < len(rows); {
		next := -1
		for r := range rows {
			if done>>r&1 == 1 || before[r]&^done != 0 {
				continue
			}
			if next < 0 || heat(r) > heat(next) || heat(r) == heat(next) && rows[r][0] < rows[next][0] {
				next = r
			}
		}
		order, done = append(order, next), done|1<<next
	}
	return order
}

// place sets the items of one row side by side, with gaps and partition.
func (p *packing) place(l *Layout, number int, row []int) {
	sequence := p.sequence(row)
	slot := 1
	shared := p.shared(row)
	for k, i := range sequence {
		if k > 0 {
			last := sequence[k-1]
			if p.hot[i] || p.hot[last] {
				slot += p.frame.Gap
			}
			if shared && p.side(i) == 1 && p.side(last) == 0 {
				l.Partitions = append(l.Partitions, Place{number, slot + p.frame.Partition/2})
				slot += p.frame.Partition
			}
		}
		l.Places[i] = Place{number, slot}
		slot += p.items[i].Units
	}
}

// side is 0 for mains and border, 1 for extra-low voltage, which stands to the right.
func (p *packing) side(i int) int {
	if p.items[i].Class == Extra {
		return 1
	}
	return 0
}

func (p *packing) shared(row []int) bool {
	return slices.ContainsFunc(row, func(i int) bool { return p.items[i].Class == Mains }) &&
		slices.ContainsFunc(row, func(i int) bool { return p.items[i].Class == Extra })
}

// sequence orders a row from left to right: cool mains, hot mains, cool extra-low voltage, hot; within these what is upstream
// directly before what it serves, and groups together.
func (p *packing) sequence(row []int) []int {
	emitted := map[int]bool{}
	in := map[int]bool{}
	for _, i := range row {
		in[i] = true
	}
	var flat []int
	var emit func(i int)
	emit = func(i int) {
		if emitted[i] || slices.ContainsFunc(p.items[i].After, func(u int) bool { return in[u] && !emitted[u] }) {
			return
		}
		emitted[i] = true
		flat = append(flat, i)
		for _, d := range p.next[i] {
			if in[d] {
				emit(d)
			}
		}
	}
	byGroup := slices.Clone(row)
	slices.SortStableFunc(byGroup, func(a, b int) int { return p.groupOf[a] - p.groupOf[b] })
	for _, i := range byGroup {
		emit(i)
	}
	slices.SortStableFunc(flat, func(a, b int) int { return p.part(a) - p.part(b) })
	return flat
}

// part is which of the four parts of a row an item stands in.
func (p *packing) part(i int) int {
	n := 2 * p.side(i)
	if p.hot[i] {
		n++
	}
	return n
}
