package allot

import (
	"cmp"
	"slices"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
)

// candidate is one type that may serve a room: what each of its channel groups takes.
type candidate struct {
	t      *catalogue.Type
	price  int64
	suits  [][]bool // by group, by item
	usable int      // channels that any item can use
}

// open is one module while a room is being searched.
type instance struct {
	cand    int
	given   house.ID // the existing module that this is; empty for a new one
	free    []int    // channels left, by group
	circuit house.ID // of the loads that it moves; empty for none yet
	amps    float64  // of those loads, on its shared terminal
	items   []int
	keypad  bool // its keys are taken
}

// roomSearch is the search over the partitions of one room's items into modules.
type roomSearch struct {
	items  []item
	amps   []float64 // of each item
	same   []bool    // the item before it is alike in all respects
	boxes  int       // that could house a box module
	cands  []candidate
	remote int64 // cost of a key and a lamp on different controllers
	share  []int64
	rest   []int64 // sum of the shares of the items from k on
	ratio  []int64 // greatest share a channel among the items from k on
	budget int

	open   []instance
	where  []place // by item
	cost   int64
	nodes  int
	best   int64
	answer []instance
	placed []place
	hosts  []int // by instance of the answer: the item in whose box it sits, -1 for given ones
}

// place is where an item lands: an instance and a group.
type place struct{ instance, group int }

const none = int64(1) << 60

// newRoomSearch prepares a search: items largest first and keypads before lamps, types that any item can use.
func (j *job) newRoomSearch(items []item, medium catalogue.Medium) *roomSearch {
	s := &roomSearch{items: slices.Clone(items), budget: j.opt.Budget, best: none}
	if medium == catalogue.WiFi {
		s.remote = int64(j.opt.Remote)
	}
	slices.SortStableFunc(s.items, func(a, b item) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(b.channels, a.channels), cmp.Compare(a.point.Kind, b.point.Kind), cmp.Compare(a.point.Circuit, b.point.Circuit), cmp.Compare(check.Amps(a.point.Load, j.volts), check.Amps(b.point.Load, j.volts)), cmp.Compare(a.point.ID, b.point.ID))
	})
	for _, id := range j.cat.TypeIDs() {
		t, _ := j.cat.Type(id)
		if t.Medium == medium && t.Mount != catalogue.Rail && (t.Role == catalogue.RoleModule || t.Role == "") {
			s.addCandidate(j, t)
		}
	}
	s.prune()
	s.liken(j)
	s.bounds()
	return s
}

// rank orders the items: keypads, then what is moved, then the rest, so that keys are placed before their lamps.
func rank(it item) int {
	switch {
	case it.point.Kind == house.Keypad:
		return 0
	case it.point.Kind.Moved():
		return 1
	}
	return 2
}

func (s *roomSearch) addCandidate(j *job, t *catalogue.Type) {
	c := candidate{t: t, price: price(t)}
	for g := range t.Channels {
		row, wanted := make([]bool, len(s.items)), 0
		for i, it := range s.items {
			row[i] = j.suits(&t.Channels[g], it) && (t.Common == 0 || check.Amps(it.point.Load, j.volts) <= t.Common.A())
			if row[i] {
				wanted += it.channels
			}
		}
		c.suits = append(c.suits, row)
		c.usable += min(wanted, t.Channels[g].Count)
	}
	if c.usable > 0 {
		s.cands = append(s.cands, c)
	}
}

// liken marks the items that are like the one before them, so that the search tries only one order of them, and counts
// the boxes.
func (s *roomSearch) liken(j *job) {
	s.amps, s.same = make([]float64, len(s.items)), make([]bool, len(s.items))
	for i, it := range s.items {
		s.amps[i] = check.Amps(it.point.Load, j.volts)
		s.boxes += btoi(it.point.Box != nil)
		s.same[i] = i > 0 && s.alike(i-1, i)
	}
}

func (s *roomSearch) alike(i, k int) bool {
	a, b := s.items[i].point, s.items[k].point
	if a.Kind != b.Kind || a.Circuit != b.Circuit || s.items[i].channels != s.items[k].channels || s.amps[i] != s.amps[k] || (a.Box == nil) != (b.Box == nil) || a.Fitted != b.Fitted {
		return false
	}
	if a.Box != nil && (a.Box.Depth != b.Box.Depth || a.Box.Neutral != b.Box.Neutral) {
		return false
	}
	for _, c := range s.cands {
		for g := range c.suits {
			if c.suits[g][i] != c.suits[g][k] {
				return false
			}
		}
	}
	return true
}

// prune drops every type that another one replaces in all respects for these items: as cheap, as shallow, and at least
// as many channels of each group for at least the same items. Of two equal ones the first stays.
func (s *roomSearch) prune() {
	var kept []candidate
	for i, c := range s.cands {
		dominated := false
		for k, d := range s.cands {
			if k != i && replaces(d, c) && (!replaces(c, d) || k < i) {
				dominated = true
				break
			}
		}
		if !dominated {
			kept = append(kept, c)
		}
	}
	s.cands = kept
}

// replaces tells whether d can stand wherever c stands.
func replaces(d, c candidate) bool {
	if d.t.Common > 0 && (c.t.Common == 0 || d.t.Common < c.t.Common) {
		return false
	}
	if d.price > c.price || d.t.Mount != c.t.Mount || d.t.Depth > c.t.Depth || (d.t.Neutral && !c.t.Neutral) {
		return false
	}
	for g := range c.t.Channels {
		if !slices.Contains(c.suits[g], true) {
			continue
		}
		if g >= len(d.t.Channels) || d.t.Channels[g].Count < c.t.Channels[g].Count {
			return false
		}
		for i, ok := range c.suits[g] {
			if ok && !d.suits[g][i] {
				return false
			}
		}
	}
	return true
}

// bounds computes, for each item, the least share of a module's price that its channels take in any allotment.
func (s *roomSearch) bounds() {
	n := len(s.items)
	s.share, s.rest, s.ratio = make([]int64, n), make([]int64, n+1), make([]int64, n+1)
	for i, it := range s.items {
		s.share[i] = none
		for _, c := range s.cands {
			for g := range c.suits {
				if c.suits[g][i] {
					s.share[i] = min(s.share[i], c.price*int64(it.channels)/int64(c.usable))
				}
			}
		}
		if s.share[i] == none {
			s.share[i] = 0
		}
	}
	for i := n - 1; i >= 0; i-- {
		s.rest[i] = s.rest[i+1] + s.share[i]
		s.ratio[i] = max(s.ratio[i+1], s.share[i]/int64(s.items[i].channels)+1)
	}
}

// bound is a lower bound on the cost of every completion of the items from k on: their shares, less what the free
// channels of open modules can take of them.
func (s *roomSearch) bound(k int) int64 {
	free := 0
	for _, o := range s.open {
		for _, f := range o.free {
			free += f
		}
	}
	return s.cost + max(0, s.rest[k]-int64(free)*s.ratio[k])
}

// run places the items from k on in every way that could be cheaper than the best known.
func (s *roomSearch) run(k int) {
	s.nodes++
	if s.nodes > s.budget || s.bound(k) >= s.best {
		return
	}
	if k == len(s.items) {
		if hosts, ok := s.host(); ok {
			s.record(hosts)
		}
		return
	}
	first := 0
	if s.same[k] {
		first = s.where[k-1].instance
	}
	for o := first; o < len(s.open); o++ {
		s.into(k, o)
	}
	for c := range s.cands {
		if s.cands[c].t.Mount == catalogue.BoxIn && s.boxed() >= s.boxes {
			continue
		}
		s.open = append(s.open, instance{cand: c, free: counts(s.cands[c].t)})
		s.cost += s.cands[c].price
		s.into(k, len(s.open)-1)
		s.cost -= s.cands[c].price
		s.open = s.open[:len(s.open)-1]
	}
}

// boxed counts the open modules that need a box of the room.
func (s *roomSearch) boxed() int {
	n := 0
	for _, o := range s.open {
		if t := s.cands[o.cand].t; o.given == "" && (t.Mount == catalogue.BoxIn || t.Mount == catalogue.Plate) {
			n++
		}
	}
	return n
}

func counts(t *catalogue.Type) []int {
	list := make([]int, len(t.Channels))
	for g := range t.Channels {
		list[g] = t.Channels[g].Count
	}
	return list
}

// into tries item k on every group of an open module and goes on.
func (s *roomSearch) into(k, o int) {
	it := s.items[k]
	for g := range s.cands[s.open[o].cand].suits {
		inst := &s.open[o]
		if !s.cands[inst.cand].suits[g][k] || inst.free[g] < it.channels || !inst.joins(s, k, g) {
			continue
		}
		before, cost := *inst, s.cost
		inst.take(s, k, g)
		s.cost += s.apart(k, o)
		s.where = append(s.where, place{o, g})
		s.run(k + 1)
		s.where = s.where[:k]
		s.cost = cost
		s.open[o].free[g] += it.channels
		before.free = s.open[o].free
		s.open[o] = before
	}
}

// joins tells whether an item may join a module: loads of one circuit only, and one keypad a plate.
func (inst *instance) joins(s *roomSearch, k, g int) bool {
	p := s.items[k].point
	if p.Kind.Moved() && inst.circuit != "" && inst.circuit != p.Circuit {
		return false
	}
	if c := s.cands[inst.cand].t.Common; c > 0 && inst.amps+s.amps[k] > c.A() {
		return false
	}
	return !(inst.keypad && s.cands[inst.cand].t.Channels[g].Kind == catalogue.Key)
}

func (inst *instance) take(s *roomSearch, k, g int) {
	p := s.items[k].point
	inst.free[g] -= s.items[k].channels
	inst.items = append(slices.Clip(inst.items), k)
	inst.amps += s.amps[k]
	if p.Kind.Moved() {
		inst.circuit = p.Circuit
	}
	if s.cands[inst.cand].t.Channels[g].Kind == catalogue.Key {
		inst.keypad = true
	}
}

// apart is the cost of the keypads placed before item k that now sit on another controller than it, where it is a lamp.
func (s *roomSearch) apart(k, o int) int64 {
	if s.remote == 0 || s.items[k].point.Kind != house.Lamp {
		return 0
	}
	sum := int64(0)
	for i := range k {
		if s.items[i].point.Kind == house.Keypad && s.where[i].instance != o {
			sum += s.remote
		}
	}
	return sum
}

func (s *roomSearch) record(hosts []int) {
	s.best = s.cost
	s.answer = make([]instance, len(s.open))
	for i, o := range s.open {
		o.items, o.free = slices.Clone(o.items), slices.Clone(o.free)
		s.answer[i] = o
	}
	s.placed, s.hosts = slices.Clone(s.where), hosts
}

// host finds for every new module the item in whose box (or at whose place) it sits, no box twice; false where some
// module finds none.
func (s *roomSearch) host() ([]int, bool) {
	hosts, guest := make([]int, len(s.open)), make([]int, len(s.items))
	for i := range guest {
		guest[i] = -1
	}
	for o := range s.open {
		hosts[o] = -1
		if s.open[o].given == "" && !s.seat(o, hosts, guest, make([]bool, len(s.items))) {
			return nil, false
		}
	}
	return hosts, true
}

// fedAt tells whether a module may be fed where a point is: from the circuit of the loads that it switches, since two
// circuits must not meet in one box. What is not known is taken as fitting, and the checks will ask.
func (inst *instance) fedAt(p *house.Point) bool {
	return inst.circuit == "" || p.Circuit == "" || p.Circuit == inst.circuit
}

// seat is one round of augmenting paths: it seats module o, moving others aside where that frees a box.
func (s *roomSearch) seat(o int, hosts, guest []int, tried []bool) bool {
	t := s.cands[s.open[o].cand].t
	for _, i := range s.open[o].items {
		if tried[i] || !houses(t, s.items[i].point) || !s.open[o].fedAt(s.items[i].point) {
			continue
		}
		tried[i] = true
		if guest[i] < 0 || s.seat(guest[i], hosts, guest, tried) {
			guest[i], hosts[o] = o, i
			return true
		}
	}
	return false
}
