package allot

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
)

// boards covers the points of each board with rail modules, component by component.
func (j *job) boards() {
	for _, b := range slices.Sorted(maps.Keys(j.atBoard)) {
		items := j.atBoard[b]
		// Points of one room and circuit lie together, so that they land on neighbouring channels.
		slices.SortStableFunc(items, func(x, y item) int {
			return cmp.Or(cmp.Compare(x.point.Circuit, y.point.Circuit), cmp.Compare(x.point.Room, y.point.Room), cmp.Compare(x.point.ID, y.point.ID))
		})
		for _, comp := range j.components(j.railItems(items)) {
			j.component(b, comp)
		}
	}
}

// railTypes are the types that can cover points at a board.
func (j *job) railTypes() []*catalogue.Type {
	var list []*catalogue.Type
	for _, id := range j.cat.TypeIDs() {
		if t, _ := j.cat.Type(id); t.Medium == catalogue.Wired && t.Mount == catalogue.Rail && (t.Role == catalogue.RoleModule || t.Role == "") {
			list = append(list, t)
		}
	}
	return list
}

// railItems splits keypads into single keys, since each key has a conductor of its own, and drops what no type takes.
func (j *job) railItems(items []item) []railItem {
	var list []railItem
	for _, it := range items {
		ok := false
		for _, t := range j.railTypes() {
			for g := range t.Channels {
				ok = ok || j.suits(&t.Channels[g], item{it.point, 1})
			}
		}
		if !ok {
			j.open(it.point, "no rail module of the catalogue takes it", "add a type to the catalogue, split the load, or put a contactor between")
			continue
		}
		for key := range it.channels {
			list = append(list, railItem{item{it.point, 1}, key + 1})
		}
	}
	return list
}

// railItem is one conductor that comes to a board; key counts the keys of a keypad from 1.
type railItem struct {
	item
	key int
}

// components groups the items by the channel kinds that any type may link: relay outputs and what may land on them, motor
// outputs, inputs, and so on. Components share no type, so each is a problem of its own.
func (j *job) components(items []railItem) [][]railItem {
	var comps [][]railItem
	var types []map[string]bool
	for _, it := range items {
		mine := map[string]bool{}
		for _, t := range j.railTypes() {
			for g := range t.Channels {
				if j.suits(&t.Channels[g], it.item) {
					mine[t.ID] = true
				}
			}
		}
		merged := []railItem{it}
		var keptComps [][]railItem
		var keptTypes []map[string]bool
		for i, c := range comps {
			if !meets(types[i], mine) {
				keptComps, keptTypes = append(keptComps, c), append(keptTypes, types[i])
				continue
			}
			merged = append(slices.Clip(c), merged...)
			maps.Copy(mine, types[i])
		}
		comps, types = append(keptComps, merged), append(keptTypes, mine)
	}
	return comps
}

func meets(a, b map[string]bool) bool {
	for k := range a {
		if b[k] {
			return true
		}
	}
	return false
}

func (j *job) component(board house.ID, items []railItem) {
	plain := make([]item, len(items))
	for i, it := range items {
		plain[i] = it.item
	}
	c := j.newCover(plain, j.railTypes())
	existing := j.railModules(board)
	for _, m := range existing {
		c.offer(j, m)
	}
	c.prepare()
	c.run(0, 0)
	part := Part{Name: fmt.Sprintf("board %s, %s", board, c.words()), Value: catalogue.Price(c.best), Bound: catalogue.Price(c.best), Nodes: c.nodes, Stop: Exact, model: c}
	if c.nodes > c.budget {
		c.count = make([]int, len(c.types))
		part.Stop, part.Bound = Budget, catalogue.Price(c.bound(0))
	}
	c.count = c.answer
	if !j.fill(board, c, items, existing) {
		part.Stop = Shared
	}
	j.result.Parts = append(j.result.Parts, part)
}

// words names a component by the kinds of its channels.
func (c *cover) words() string {
	var list []string
	for _, g := range c.groups {
		if w := channelWords[c.types[g.cand].Channels[g.index].Kind]; w != "" && !slices.Contains(list, w) {
			list = append(list, w)
		}
	}
	slices.Sort(list)
	return strings.Join(list, " and ")
}

var channelWords = map[catalogue.ChannelKind]string{catalogue.Relay: "relay outputs", catalogue.Dimmer: "dimmers", catalogue.MotorOut: "motor outputs",
	catalogue.ValveOut: "valve outputs", catalogue.Input: "inputs", catalogue.Analogue: "analogue inputs", catalogue.MeterIn: "meters"}

func (j *job) railModules(board house.ID) []house.ID {
	var list []house.ID
	for _, m := range j.house.Modules {
		if t := j.types[m.ID]; m.Board == board && t.Medium == catalogue.Wired && t.Mount == catalogue.Rail {
			list = append(list, m.ID)
		}
	}
	return list
}

// offer adds the free channels of a module that is there already.
func (c *cover) offer(j *job, id house.ID) {
	m := j.moduleFor(id)
	free := j.freeChannels(m, j.types[id])
	for g, gr := range c.groups {
		if c.types[gr.cand].ID == m.Type {
			c.given[g] += free[gr.index]
		}
	}
}

// fill makes the modules of an answer and lands the items on them. It reports whether the shared terminals of every
// module carry what was put on it; where the plain order does not, the heaviest loads are spread first.
func (j *job) fill(board house.ID, c *cover, items []railItem, existing []house.ID) bool {
	flow := c.flow()
	targets := make([][]*seatable, len(c.groups))
	modules := j.targets(board, c, existing, targets)
	within := true
	for k, cl := range c.classes {
		order := slices.Clone(cl.items)
		heavy := func(i int) float64 { return j.amps(items[i].point) }
		if c.tight(k) {
			slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(heavy(b), heavy(a)) })
		}
		for g := range c.groups {
			for range flow[k][g] {
				ok := j.landOnRail(targets[g], c.groups[g].index, items[order[0]], c.tight(k))
				within, order = within && ok, order[1:]
			}
		}
	}
	j.nameTitles(modules)
	return within
}

// tight tells whether any group that takes a class has a shared terminal.
func (c *cover) tight(k int) bool {
	for _, g := range c.groups {
		if g.takes[k] && c.types[g.cand].Common > 0 {
			return true
		}
	}
	return false
}

// seatable is one module that a component may land on, with the current on its shared terminal.
type seatable struct {
	id   house.ID
	amps float64
}

// targets lists, by group, the modules to land on: the existing ones with free channels, then the new ones.
func (j *job) targets(board house.ID, c *cover, existing []house.ID, targets [][]*seatable) []house.ID {
	var added []house.ID
	for t, typ := range c.types {
		var seats []*seatable
		for _, id := range existing {
			if j.types[id].ID == typ.ID {
				seats = append(seats, &seatable{id, j.carried(id)})
			}
		}
		for range c.count[t] {
			m := j.add(typ, house.Module{Type: typ.ID, Board: board, Title: typ.Title}, string(board)+".k")
			seats, added = append(seats, &seatable{m.ID, 0}), append(added, m.ID)
		}
		for g, gr := range c.groups {
			if gr.cand == t {
				targets[g] = seats
			}
		}
	}
	return added
}

func (j *job) amps(p *house.Point) float64 { return check.Amps(p.Load, j.volts) }

func (j *job) carried(id house.ID) float64 {
	sum := 0.0
	for _, l := range j.moduleFor(id).Landings {
		if p := j.index.Point(l.Point); p != nil {
			sum += j.amps(p)
		}
	}
	return sum
}

// landOnRail lands one conductor on the first module with a free channel whose shared terminal carries it; with spread,
// on the least loaded one. False where no terminal carries it: it lands all the same, and the checks will say so.
func (j *job) landOnRail(seats []*seatable, group int, it railItem, spread bool) bool {
	var best, any *seatable
	for _, s := range seats {
		m, t := j.moduleFor(s.id), j.types[s.id]
		if j.freeChannels(m, t)[group] == 0 {
			continue
		}
		any = s
		if t.Common > 0 && s.amps+j.amps(it.point) > t.Common.A() {
			continue
		}
		if best == nil || (spread && s.amps < best.amps) {
			best = s
		}
	}
	s := best
	if s == nil {
		s = any
	}
	m, t := j.moduleFor(s.id), j.types[s.id]
	s.amps += j.amps(it.point)
	for _, c := range t.ChannelList() {
		if c.Group == &t.Channels[group] && !j.used[m.ID][c.Name] {
			l := house.Landing{Channel: c.Name, Point: it.point.ID}
			if it.point.Kind == house.Keypad {
				l.Key = it.key
			}
			m.Landings = append(m.Landings, l)
			j.used[m.ID][c.Name] = true
			break
		}
	}
	return best != nil
}

// nameTitles is kept apart so that titles follow what has landed: a module that serves one room is called after it.
func (j *job) nameTitles(ids []house.ID) {
	for _, id := range ids {
		m, rooms := j.moduleFor(id), map[house.ID]bool{}
		for _, l := range m.Landings {
			if p := j.index.Point(l.Point); p != nil {
				rooms[p.Room] = true
			}
		}
		if len(rooms) == 1 {
			for r := range rooms {
				if room := j.index.Room(r); room != nil && room.Title != "" {
					m.Title = fmt.Sprintf("%s, %s", room.Title, m.Title)
				}
			}
		}
	}
}
