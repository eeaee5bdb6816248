package allot

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
)

// rooms runs one search a room and medium, in the order of their names, and adds the modules that it chooses.
func (j *job) rooms() {
	keys := slices.SortedFunc(maps.Keys(j.inRooms), func(a, b groupKey) int {
		return cmp.Or(cmp.Compare(a.room, b.room), cmp.Compare(a.medium, b.medium))
	})
	for _, k := range keys {
		j.room(k, j.inRooms[k])
	}
}

func (j *job) room(k groupKey, items []item) {
	s := j.newRoomSearch(j.seated(items, k), k.medium)
	j.offerExisting(s, k)
	s.run(0)
	for s.best == none && len(s.items) > 0 {
		// Each point would fit alone, but not all together: the last ones wait until the rest fits.
		last := len(s.items) - 1
		j.open(s.items[last].point, "the boxes of its room do not hold all the modules that its points need", "set one more box, or deeper ones")
		s = j.newRoomSearch(s.items[:last], k.medium)
		j.offerExisting(s, k)
		s.run(0)
	}
	if len(s.items) == 0 {
		return
	}
	part := Part{Name: fmt.Sprintf("room %s, %s", k.room, mediumWord[k.medium]), Nodes: s.nodes, Stop: Exact, model: s}
	part.Value, part.Bound = catalogue.Price(s.best), catalogue.Price(s.best)
	if s.nodes > s.budget {
		part.Stop, part.Bound = Budget, catalogue.Price(s.rootBound())
	}
	j.result.Parts = append(j.result.Parts, part)
	j.adopt(s, k)
}

var mediumWord = map[catalogue.Medium]string{catalogue.WiFi: "by radio", catalogue.Wired: "on the line"}

// rootBound is the bound before anything is placed.
func (s *roomSearch) rootBound() int64 {
	free := 0
	for _, o := range s.open {
		for _, f := range o.free {
			free += f
		}
	}
	return max(0, s.rest[0]-int64(free)*s.ratio[0])
}

// seated drops what no module can take, until nothing more has to be dropped: what is dropped houses nothing either.
func (j *job) seated(items []item, k groupKey) []item {
	for {
		s := j.newRoomSearch(items, k.medium)
		before := len(s.items)
		items = slices.DeleteFunc(slices.Clone(s.items), func(it item) bool { return !j.seatable(s, it) })
		if len(items) == before {
			return items
		}
	}
}

// seatable tells whether any type can take the item and some point of the room can house that type; what cannot is
// put on the open list with the reason.
func (j *job) seatable(s *roomSearch, it item) bool {
	i := slices.IndexFunc(s.items, func(o item) bool { return o.point == it.point })
	taken := false
	for _, c := range s.cands {
		for g := range c.suits {
			if !c.suits[g][i] {
				continue
			}
			taken = true
			for _, host := range s.items {
				if houses(c.t, host.point) {
					return true
				}
			}
		}
	}
	if !taken {
		j.open(it.point, "no type of the catalogue for this wiring takes it", "add a type to the catalogue, or split the load")
	} else {
		j.open(it.point, "the types that take it fit no box of its room", "note the true depth of the boxes, or set a deeper one")
	}
	return false
}

// offerExisting opens the modules that sit in the room already, with their free channels, for nothing.
func (j *job) offerExisting(s *roomSearch, k groupKey) {
	for i := range j.house.Modules {
		m := &j.house.Modules[i]
		t := j.types[m.ID]
		if t.Medium != k.medium || t.Mount == catalogue.Rail || j.roomOf(m) != k.room {
			continue
		}
		before := len(s.cands)
		s.addCandidate(j, t)
		if len(s.cands) == before {
			continue
		}
		s.cands[before].price = none / 1024 // never a new one of it: the catalogue's own candidate stands for that
		inst := instance{cand: before, given: m.ID, free: j.freeChannels(m, t), circuit: j.loadCircuit(m), amps: j.carried(m.ID)}
		inst.keypad = slices.ContainsFunc(m.Landings, func(l house.Landing) bool { return l.Key > 0 })
		s.open = append(s.open, inst)
	}
}

func (j *job) freeChannels(m *house.Module, t *catalogue.Type) []int {
	free := make([]int, len(t.Channels))
	for _, c := range t.ChannelList() {
		if !j.used[m.ID][c.Name] {
			for g := range t.Channels {
				if &t.Channels[g] == c.Group {
					free[g]++
				}
			}
		}
	}
	return free
}

// loadCircuit is the circuit of the loads on a module, empty for none.
func (j *job) loadCircuit(m *house.Module) house.ID {
	for _, l := range m.Landings {
		if p := j.index.Point(l.Point); p != nil && p.Kind.Moved() {
			return p.Circuit
		}
	}
	return ""
}

func (j *job) roomOf(m *house.Module) house.ID {
	if m.Room != "" {
		return m.Room
	}
	if p := j.index.Point(m.Point); p != nil {
		return p.Room
	}
	return ""
}

// adopt turns the answer of a search into modules and landings.
func (j *job) adopt(s *roomSearch, k groupKey) {
	for o, inst := range s.answer {
		t := s.cands[inst.cand].t
		m := j.moduleFor(inst.given)
		if m == nil {
			m = j.roomModule(t, s.items[s.hosts[o]].point, k)
		}
		for _, i := range inst.items {
			j.land(m, s.placed[i].group, s.items[i])
		}
	}
}

// moduleFor finds a module of the house being filled; the pointer holds until the next module is added.
func (j *job) moduleFor(id house.ID) *house.Module {
	if i, ok := j.at[id]; ok {
		return &j.house.Modules[i]
	}
	return nil
}

// roomModule adds a new module at the point that houses it.
func (j *job) roomModule(t *catalogue.Type, host *house.Point, k groupKey) *house.Module {
	m := house.Module{Type: t.ID, Point: host.ID, Title: t.Title}
	if k.medium == catalogue.WiFi {
		m.Circuit = host.Circuit
	}
	return j.add(t, m, string(k.room)+".m")
}

// add gives a module the next free identity of a stem and appends it.
func (j *job) add(t *catalogue.Type, m house.Module, stem string) *house.Module {
	for n := 1; ; n++ {
		if m.ID = house.ID(fmt.Sprintf("%s%d", stem, n)); !j.taken[string(m.ID)] {
			break
		}
	}
	j.house.Modules = append(j.house.Modules, m)
	added := &j.house.Modules[len(j.house.Modules)-1]
	j.types[m.ID], j.at[m.ID] = t, len(j.house.Modules)-1
	j.reserve(added)
	j.result.New = append(j.result.New, m.ID)
	return added
}

// land lands an item on the first free channels of a group; the caller has made sure that there are enough.
func (j *job) land(m *house.Module, group int, it item) {
	t, key := j.types[m.ID], 0
	for _, c := range t.ChannelList() {
		if c.Group != &t.Channels[group] || j.used[m.ID][c.Name] || key == it.channels {
			continue
		}
		key++
		l := house.Landing{Channel: c.Name, Point: it.point.ID}
		if it.point.Kind == house.Keypad {
			l.Key = key
		}
		m.Landings = append(m.Landings, l)
		j.used[m.ID][c.Name] = true
	}
}
