package enclosure

import (
	"math/bits"
	"slices"
)

// search is one run for a number of rows.
type search struct {
	*packing
	most    int // rows allowed
	limit   int // breaks that must be undercut; rows alone are asked for where it is negative
	rows    []row
	at      []int // row of each item, -1 where not placed yet
	inRow   []map[int]int
	found   bool
	spent   bool
	stopNow bool
	broken  int   // groups that go on in a further row, so far
	lack    []int // units of the items from a position of the order on
}

// improveRows tries ever fewer rows, from the bound on, until one number is reached that works or the budget ends.
func (p *packing) improveRows() {
	p.twins(false)
	for p.bound < p.bestRows {
		s := p.run(p.bound, -1)
		switch {
		case s.found:
			p.bestBreaks = p.breaks(p.best)
			return
		case s.spent:
			p.stop = Budget
			return
		}
		p.bound++
	}
}

// improveBreaks looks for layouts of the same number of rows that break fewer groups.
func (p *packing) improveBreaks() {
	if p.bestBreaks == 0 {
		return
	}
	p.twins(true)
	p.nodes = 0
	if s := p.run(p.bestRows, p.bestBreaks); s.spent {
		p.breaksStop = Budget
	}
	if p.bestRows == p.bound { // met on the way, after the search for it ran out of steps
		p.stop = Exact
	}
}

func (p *packing) run(most, limit int) *search {
	s := &search{packing: p, most: most, limit: limit, at: make([]int, len(p.items)), inRow: make([]map[int]int, most)}
	for i := range s.at {
		s.at[i] = -1
	}
	for r := range s.inRow {
		s.inRow[r] = map[int]int{}
	}
	s.lack = make([]int, len(p.order)+1)
	for k := len(p.order) - 1; k >= 0; k-- {
		s.lack[k] = s.lack[k+1] + p.items[p.order[k]].Units
	}
	s.step(0)
	return s
}

// step places the item at a position of the order and all after it.
func (s *search) step(k int) {
	if k == len(s.order) {
		s.keep()
		return
	}
	if s.nodes++; s.nodes > s.frame.Budget {
		s.spent, s.stopNow = true, true
		return
	}
	if s.free() < s.lack[k] {
		return
	}
	i := s.order[k]
	from := 0
	if t := s.twin[k]; t >= 0 {
		from = s.at[s.order[t]]
	}
	for r := from; r < min(len(s.rows)+1, s.most) && !s.stopNow; r++ {
		s.try(k, i, r)
	}
}

// free is how many units are left at most.
func (s *search) free() int {
	n := s.most * s.frame.Units
	for _, r := range s.rows {
		n -= r.units
	}
	return n
}

// try puts an item into a row, goes on, and takes it out again.
func (s *search) try(k, i, r int) {
	fresh := r == len(s.rows)
	if fresh {
		s.rows = append(s.rows, row{})
	}
	before, newBreak := s.rows[r], 0
	next := s.put(before, i, 1)
	if group := s.groupOf[i]; s.inRow[r][group] == 0 && s.elsewhere(group) {
		newBreak = 1
	}
	if s.holds(next) && (s.limit < 0 || s.broken+newBreak < s.limit) {
		s.rows[r], s.at[i] = next, r
		s.inRow[r][s.groupOf[i]]++
		s.broken += newBreak
		if s.ordered() {
			s.step(k + 1)
		}
		s.broken -= newBreak
		s.inRow[r][s.groupOf[i]]--
		s.rows[r], s.at[i] = before, -1
	}
	if fresh {
		s.rows = s.rows[:r]
	}
}

func (s *search) elsewhere(group int) bool {
	for r := range s.rows {
		if s.inRow[r][group] > 0 {
			return true
		}
	}
	return false
}

// ordered tells whether the rows can be numbered so that what is upstream is above: the orders between rows have no circle.
func (s *search) ordered() bool {
	var before [rowsMost]uint64
	for i, it := range s.items {
		if s.at[i] < 0 {
			continue
		}
		for _, u := range it.After {
			if s.at[u] >= 0 && s.at[u] != s.at[i] {
				before[s.at[i]] |= 1 << s.at[u]
			}
		}
	}
	done := uint64(0)
	for again := true; again; {
		again = false
		for r := range s.rows {
			if done>>r&1 == 0 && before[r]&^done == 0 {
				done |= 1 << r
				again = true
			}
		}
	}
	return bits.OnesCount64(done) == len(s.rows)
}

// keep takes the layout that is complete as the best.
func (s *search) keep() {
	s.best, s.bestRows, s.most = slices.Clone(s.at), len(s.rows), len(s.rows)
	s.found = true
	if s.limit < 0 {
		s.stopNow = true
		return
	}
	s.bestBreaks, s.limit = s.broken, s.broken
	s.stopNow = s.broken == 0
}
