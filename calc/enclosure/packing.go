package enclosure

import (
	"cmp"
	"fmt"
	"slices"
)

// packing is the search for the rows of a layout. Rows have no numbers while it runs: two rows are ordered only where an
// item of one stands after an item of the other, and those orders must not run in a circle.
type packing struct {
	items   []Item
	frame   Frame
	next    [][]int // dependents of each item
	hot     []bool
	groupOf []int // number of its group; an item without one is a group alone
	order   []int // in which the search places items
	twin    []int // for each position of order, that of an equal item before it, or -1

	best       []int // row of each item
	bestRows   int
	bestBreaks int
	bound      int
	stop       Stop
	breaksStop Stop
	nodes      int
}

func newPacking(items []Item, f Frame) *packing {
	p := &packing{items: items, frame: f, next: dependents(items), hot: make([]bool, len(items)), stop: Exact, breaksStop: Exact}
	groups := map[string]int{}
	for i, it := range items {
		p.hot[i] = f.Hot > 0 && it.Heat >= f.Hot && len(p.next[i]) == 0
		number, ok := groups[it.Group]
		if it.Group == "" || !ok {
			number = i
			groups[it.Group] = i
		}
		p.groupOf = append(p.groupOf, number)
		p.order = append(p.order, i)
	}
	slices.SortStableFunc(p.order, func(a, b int) int {
		x, y := &items[a], &items[b]
		return cmp.Or(cmp.Compare(y.Units, x.Units), cmp.Compare(x.Class, y.Class), cmp.Compare(p.groupOf[a], p.groupOf[b]))
	})
	return p
}

// twins finds the equal item before each: those two need not be tried the other way round.
func (p *packing) twins(byGroup bool) {
	p.twin = make([]int, len(p.order))
	for k, i := range p.order {
		p.twin[k] = -1
		for q := k - 1; q >= 0 && p.twin[k] < 0; q-- {
			if p.equal(p.order[q], i, byGroup) {
				p.twin[k] = q
			}
		}
	}
}

func (p *packing) equal(a, b int, byGroup bool) bool {
	x, y := &p.items[a], &p.items[b]
	return x.Units == y.Units && x.Class == y.Class && p.hot[a] == p.hot[b] && len(p.next[a]) == 0 && len(p.next[b]) == 0 &&
		slices.Equal(x.After, y.After) && (!byGroup || p.groupOf[a] == p.groupOf[b] && x.Group != "")
}

// row is what is known of one row while it fills: cool and hot items of both sides, units, and whether mains is in it.
type row struct {
	units, cool0, hot0, cool1, hot1 int
	mains                           int // of them true mains devices
}

func (p *packing) put(r row, i, sign int) row {
	r.units += sign * p.items[i].Units
	switch p.part(i) {
	case 0:
		r.cool0 += sign
	case 1:
		r.hot0 += sign
	case 2:
		r.cool1 += sign
	case 3:
		r.hot1 += sign
	}
	if p.items[i].Class == Mains {
		r.mains += sign
	}
	return r
}

// need is how many units the row takes, gaps and partition included; false where it mixes what must not share a row. It
// never gets less when an item is added.
func (p *packing) need(r row) (units int, ok bool) {
	units = r.units
	if r.mains > 0 && r.cool1+r.hot1 > 0 {
		if !p.frame.Partitions {
			return 0, false
		}
		units += p.frame.Partition
	}
	gaps := r.hot0 + r.hot1
	if r.hot0 > 0 && r.cool1 > 0 {
		gaps++ // behind the last hot one of the left part
	}
	if r.cool0 == 0 && r.hot0+r.hot1 > 0 && !(r.hot0 == 0 && r.cool1 > 0) {
		gaps-- // the first in the row has no neighbour before it
	}
	return units + gaps*p.frame.Gap, true
}

func (p *packing) holds(r row) bool {
	units, ok := p.need(r)
	return ok && units <= p.frame.Units
}

// first finds a layout without searching, item by item in the order of the feed, and the lower bound.
func (p *packing) first() error {
	order, _ := topological(p.items)
	rank := make([]int, len(p.items)) // how deep downstream
	for _, i := range order {
		for _, u := range p.items[i].After {
			rank[i] = max(rank[i], rank[u]+1)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(rank[a], rank[b]), cmp.Compare(p.items[b].Units, p.items[a].Units), cmp.Compare(a, b))
	})
	p.best = make([]int, len(p.items))
	var rows []row
	for _, i := range order {
		from := 0
		for _, u := range p.items[i].After {
			from = max(from, p.best[u])
		}
		at := slices.IndexFunc(rows[min(from, len(rows)):], func(r row) bool { return p.holds(p.put(r, i, 1)) })
		if at < 0 {
			rows = append(rows, row{})
			at = len(rows) - 1 - from
		}
		p.best[i] = from + at
		rows[from+at] = p.put(rows[from+at], i, 1)
	}
	if len(rows) > rowsMost {
		return fmt.Errorf("these devices need more than %d rows of %d units", rowsMost, p.frame.Units)
	}
	p.bestRows, p.bestBreaks, p.bound = len(rows), p.breaks(p.best), p.lower()
	return nil
}

// breaks counts how often a group goes on in a further row.
func (p *packing) breaks(at []int) int {
	seen := map[[2]int]bool{}
	groups := map[int]bool{}
	for i, r := range at {
		seen[[2]int{p.groupOf[i], r}] = true
		groups[p.groupOf[i]] = true
	}
	return len(seen) - len(groups)
}

// lower is a bound below the rows of any layout: that of bin packing for all items, and where mains and extra-low voltage
// share no row, the sum of both.
func (p *packing) lower() int {
	var all, mains, extra []int
	for _, it := range p.items {
		all = append(all, it.Units)
		switch it.Class {
		case Mains:
			mains = append(mains, it.Units)
		case Extra:
			extra = append(extra, it.Units)
		}
	}
	bound := binBound(all, p.frame.Units)
	if !p.frame.Partitions {
		bound = max(bound, binBound(mains, p.frame.Units)+binBound(extra, p.frame.Units))
	}
	return bound
}

// binBound is the bound L2 of Martello and Toth for bins of a capacity: for every k, items larger than capacity−k have a bin
// alone, those above half of it a bin each, and what the latter leave free must hold all others of k and more.
func binBound(sizes []int, capacity int) int {
	best := 0
	for k := range capacity/2 + 1 {
		alone, halves, free, small := 0, 0, 0, 0
		for _, s := range sizes {
			switch {
			case s > capacity-k:
				alone++
			case 2*s > capacity:
				halves++
				free += capacity - s
			case s >= k:
				small += s
			}
		}
		more := max(0, (small-free+capacity-1)/capacity)
		if small <= free {
			more = 0
		}
		best = max(best, alone+halves+more)
	}
	return best
}
