package allot

import (
	"cmp"
	"slices"

	"wirewright/catalogue"
)

// class is a number of items that the same groups take.
type class struct {
	items []int // of the cover's items
	signa string
}

// group is one channel group of one type that takes at least one class.
type group struct {
	cand, index int    // candidate, and group of its type
	count       int    // channels
	takes       []bool // by class
}

// cover is a covering search: how many modules of each type give every item of a board's component a channel.
type cover struct {
	items   []item
	classes []class
	types   []*catalogue.Type
	groups  []group
	given   []int // free channels of modules that are there already, by group
	budget  int

	subsets []subset
	order   []int // types, cheapest a channel first
	count   []int // modules chosen, by type
	nodes   int
	best    int64
	answer  []int
}

// subset is a set of classes with what it demands; Hall's condition asks that the groups that take any class of it have
// at least as many channels together.
type subset struct {
	demand int
	given  int
	cap    []int // channels that one module of a type adds, by type
}

const subsetsMost = 1 << 10

// newCover classifies the items and lists the types; a type that no item can use does not appear.
func (j *job) newCover(items []item, types []*catalogue.Type) *cover {
	c := &cover{items: items, budget: j.opt.Budget, best: none}
	var accept [][]bool // by group, by item
	for _, t := range types {
		used := false
		for g := range t.Channels {
			row, any := make([]bool, len(items)), false
			for i, it := range items {
				row[i] = j.suits(&t.Channels[g], it)
				any = any || row[i]
			}
			if any {
				c.groups = append(c.groups, group{cand: len(c.types), index: g, count: t.Channels[g].Count})
				accept, used = append(accept, row), true
			}
		}
		if used {
			c.types = append(c.types, t)
		}
	}
	c.given = make([]int, len(c.groups))
	c.classify(accept)
	return c
}

func (c *cover) classify(accept [][]bool) {
	at := map[string]int{}
	for i := range c.items {
		sig := make([]byte, len(accept))
		for g := range accept {
			sig[g] = '0' + byte(btoi(accept[g][i]))
		}
		k, ok := at[string(sig)]
		if !ok {
			k = len(c.classes)
			at[string(sig)] = k
			c.classes = append(c.classes, class{signa: string(sig)})
		}
		c.classes[k].items = append(c.classes[k].items, i)
	}
	for g := range c.groups {
		c.groups[g].takes = make([]bool, len(c.classes))
		for k, cl := range c.classes {
			c.groups[g].takes[k] = cl.signa[g] == '1'
		}
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// prepare builds the subsets for the bounds and the order of the types. With more classes than the subsets bound
// allows, single classes and all together are used: the bounds are weaker then, the answer is as exact.
func (c *cover) prepare() {
	k := len(c.classes)
	if 1<<k <= subsetsMost {
		for mask := 1; mask < 1<<k; mask++ {
			c.addSubset(func(i int) bool { return mask>>i&1 == 1 })
		}
	} else {
		for one := range k {
			c.addSubset(func(i int) bool { return i == one })
		}
		c.addSubset(func(int) bool { return true })
	}
	c.count = make([]int, len(c.types))
	for t := range c.types {
		c.order = append(c.order, t)
	}
	slices.SortStableFunc(c.order, func(a, b int) int {
		return cmp.Or(cmp.Compare(price(c.types[a])*int64(c.channels(b)), price(c.types[b])*int64(c.channels(a))), cmp.Compare(c.types[a].ID, c.types[b].ID))
	})
}

func (c *cover) channels(t int) int {
	n := 0
	for _, g := range c.groups {
		if g.cand == t {
			n += g.count
		}
	}
	return n
}

func (c *cover) addSubset(in func(class int) bool) {
	s := subset{cap: make([]int, len(c.types))}
	for k, cl := range c.classes {
		if in(k) {
			s.demand += len(cl.items)
		}
	}
	for g, gr := range c.groups {
		for k, ok := range gr.takes {
			if ok && in(k) {
				s.cap[gr.cand] += gr.count
				s.given += c.given[g]
				break
			}
		}
	}
	c.subsets = append(c.subsets, s)
}

// bound is a lower bound on what the types from position d of the order on must still cost.
func (c *cover) bound(d int) int64 {
	most := int64(0)
	for i := range c.subsets {
		s := &c.subsets[i]
		lack := s.demand - s.given
		for t, n := range c.count {
			lack -= n * s.cap[t]
		}
		if lack <= 0 {
			continue
		}
		least := none
		for _, t := range c.order[d:] {
			if s.cap[t] > 0 {
				least = min(least, (price(c.types[t])*int64(lack)+int64(s.cap[t])-1)/int64(s.cap[t]))
			}
		}
		most = max(most, least)
	}
	return most
}

// run chooses how many modules of each type, in order; more of the cheaper a channel first.
func (c *cover) run(d int, cost int64) {
	c.nodes++
	b := c.bound(d)
	if c.nodes > c.budget || cost+b >= c.best {
		return
	}
	if b == 0 && c.flow() != nil {
		c.best, c.answer = cost, slices.Clone(c.count)
		return
	}
	if d == len(c.order) {
		return
	}
	t := c.order[d]
	for n := c.most(t); n >= 0; n-- {
		c.count[t] = n
		c.run(d+1, cost+int64(n)*price(c.types[t]))
	}
	c.count[t] = 0
}

// most is the number of modules of a type beyond which another one adds nothing: enough for every item that it takes.
func (c *cover) most(t int) int {
	items, channels := 0, 0
	for k, cl := range c.classes {
		for _, g := range c.groups {
			if g.cand == t && g.takes[k] {
				items += len(cl.items)
				break
			}
		}
	}
	channels = max(1, c.least(t))
	return (items + channels - 1) / channels
}

func (c *cover) least(t int) int {
	n := 1 << 30
	for _, g := range c.groups {
		if g.cand == t {
			n = min(n, g.count)
		}
	}
	return n
}

// flow spreads the classes over the groups of the modules chosen: by class and group the number of items, nil where
// they do not fit. Augmenting paths over classes and groups, which are few.
func (c *cover) flow() [][]int {
	f := make([][]int, len(c.classes))
	for k := range f {
		f[k] = make([]int, len(c.groups))
	}
	left := make([]int, len(c.groups))
	for g, gr := range c.groups {
		left[g] = c.given[g] + c.count[gr.cand]*gr.count
	}
	for k, cl := range c.classes {
		for range cl.items {
			if !c.augment(k, f, left, make([]bool, len(c.groups))) {
				return nil
			}
		}
	}
	return f
}

func (c *cover) augment(k int, f [][]int, left []int, tried []bool) bool {
	for g, gr := range c.groups {
		if !gr.takes[k] || tried[g] {
			continue
		}
		tried[g] = true
		if left[g] > 0 {
			left[g]--
			f[k][g]++
			return true
		}
		for other := range c.classes {
			if other != k && f[other][g] > 0 && c.augment(other, f, left, tried) {
				f[other][g]--
				f[k][g]++
				return true
			}
		}
	}
	return false
}
