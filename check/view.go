package check

import (
	"sync"

	iec "wirewright/calc/circuit"
	"wirewright/catalogue"
	"wirewright/house"
)

// view is a house as the rules see it: references resolved, types beside modules, and the tables that rules about
// uniqueness need. It is made once for each Check and not changed.
type view struct {
	house    *house.House
	cat      *catalogue.Catalogue
	volts    float64    // line to neutral; 230 V where the house does not say
	rules    *iec.Rules // limits and factors that differ between countries: the IEC base
	points   []point
	modules  []module
	lines    []line
	boards   map[house.ID]*board
	circuits map[house.ID]*circuit
	byPoint  map[house.ID]*point
	byModule map[house.ID]*module
	byLine   map[house.ID]*line
	heads    map[house.ID]bool // modules that are the head of a line
	nearest  map[string]string // memo of nearest type names
	network  network
	radio    *radioPlan      // memo of view.radioPlan
	trial    bool            // made to try a remedy: findings need none
	routes   *routing        // memo of view.routing
	coming   func() *routing // of a large house, on its way; see view.ahead
}

// point is a point with the landings that name it.
type point struct {
	*house.Point
	landings []*landing
	hosts    []*module // modules that sit in its box
}

// module is a module with its type; typ is nil where the catalogue has no such type.
type module struct {
	*house.Module
	typ      *catalogue.Type
	channels map[string]*catalogue.ChannelGroup
	landings []landing
	lines    []*line
	order    int // position in the list of the house
}

// landing is a landing with what it joins; channel and point are nil where there is none of that name.
type landing struct {
	*house.Landing
	module  *module
	channel *catalogue.ChannelGroup
	point   *point
	order   int // position among the landings of its module
}

// line is a line with its head and the modules on it; entries are nil where the house has no such module.
type line struct {
	*house.Line
	head  *module
	taps  []*module
	volts *voltages // memo of view.voltages
}

// board is a board with the modules and circuits that name it.
type board struct {
	*house.Board
	modules  []*module
	circuits []*circuit
}

// circuit is a circuit with what it feeds.
type circuit struct {
	*house.Circuit
	points  []*point
	modules []*module
}

// defaultVolts is the nominal voltage between line and neutral where the house does not say (IEC 60038).
const defaultVolts = 230

func newView(h *house.House, c *catalogue.Catalogue) *view {
	v := &view{house: h, cat: c, volts: h.Site.Supply.Voltage.V(), rules: iec.IEC(), heads: map[house.ID]bool{}, nearest: map[string]string{}}
	if v.volts <= 0 {
		v.volts = defaultVolts
	}
	v.resolveEntities()
	v.resolveModules()
	v.resolveLines()
	v.network = newNetwork(v)
	return v
}

func (v *view) resolveEntities() {
	h := v.house
	v.points = make([]point, len(h.Points))
	v.byPoint = make(map[house.ID]*point, len(h.Points))
	v.boards = make(map[house.ID]*board, len(h.Boards))
	v.circuits = make(map[house.ID]*circuit, len(h.Circuits))
	for i := range h.Boards {
		v.boards[h.Boards[i].ID] = &board{Board: &h.Boards[i]}
	}
	for i := range h.Circuits {
		v.circuits[h.Circuits[i].ID] = &circuit{Circuit: &h.Circuits[i]}
	}
	for i := range h.Circuits {
		if b := v.boards[h.Circuits[i].Board]; b != nil {
			b.circuits = append(b.circuits, v.circuits[h.Circuits[i].ID])
		}
	}
	for i := range h.Points {
		p := &v.points[i]
		p.Point = &h.Points[i]
		v.byPoint[p.ID] = p
		if k := v.circuits[p.Circuit]; k != nil {
			k.points = append(k.points, p)
		}
	}
}

func (v *view) resolveModules() {
	h := v.house
	v.modules = make([]module, len(h.Modules))
	v.byModule = make(map[house.ID]*module, len(h.Modules))
	channels := map[*catalogue.Type]map[string]*catalogue.ChannelGroup{}
	for i := range h.Modules {
		m := &v.modules[i]
		m.Module, m.order = &h.Modules[i], i
		v.byModule[m.ID] = m
		if t, ok := v.cat.Type(m.Type); ok {
			if channels[t] == nil {
				channels[t] = channelTable(t)
			}
			m.typ, m.channels = t, channels[t]
		}
		v.attach(m)
		v.resolveLandings(m)
	}
}

// attach tells board, circuit and box of a module that it is there.
func (v *view) attach(m *module) {
	if b := v.boards[m.Board]; b != nil {
		b.modules = append(b.modules, m)
	}
	if k := v.circuits[m.Circuit]; k != nil {
		k.modules = append(k.modules, m)
	}
	if p := v.byPoint[m.Point]; p != nil {
		p.hosts = append(p.hosts, m)
	}
}

func (v *view) resolveLandings(m *module) {
	m.landings = make([]landing, len(m.Landings))
	for k := range m.Landings {
		l := &m.landings[k]
		l.Landing, l.module, l.order = &m.Landings[k], m, k
		l.channel = m.channels[l.Channel]
		if l.point = v.byPoint[l.Point]; l.point != nil {
			l.point.landings = append(l.point.landings, l)
		}
	}
}

func (v *view) resolveLines() {
	v.lines = make([]line, len(v.house.Lines))
	v.byLine = make(map[house.ID]*line, len(v.lines))
	for i := range v.lines {
		l := &v.lines[i]
		l.Line = &v.house.Lines[i]
		l.head = v.byModule[l.Head]
		v.heads[l.Head] = true
		v.byLine[l.ID] = l
		for _, t := range l.Taps {
			m := v.byModule[t.Module]
			l.taps = append(l.taps, m)
			if m != nil {
				m.lines = append(m.lines, l)
			}
		}
	}
}

func channelTable(t *catalogue.Type) map[string]*catalogue.ChannelGroup {
	list := t.ChannelList()
	m := make(map[string]*catalogue.ChannelGroup, len(list))
	for _, c := range list {
		m[c.Name] = c.Group
	}
	return m
}

// count is the number of entities of a kind.
func (v *view) count(kind string) int {
	switch kind {
	case "point":
		return len(v.points)
	case "module":
		return len(v.modules)
	case "line":
		return len(v.lines)
	case "circuit":
		return len(v.house.Circuits)
	case "board":
		return len(v.house.Boards)
	case "network", "site":
		return 1
	}
	return 0
}

// id is the identity of the entity of a kind that stands at i; the network has none.
func (v *view) id(kind string, i int) house.ID {
	switch kind {
	case "point":
		return v.points[i].ID
	case "module":
		return v.modules[i].ID
	case "line":
		return v.lines[i].ID
	case "circuit":
		return v.house.Circuits[i].ID
	case "board":
		return v.house.Boards[i].ID
	}
	return ""
}

// aheadFrom is how many walls a house has for which ways are prepared on a core of their own.
const aheadFrom = 1000

// ahead begins to prepare the ways of cables of a large house, so that other rules need not wait for them. The view is only
// read by it.
func (v *view) ahead() {
	if v.routes != nil || v.coming != nil || len(v.house.Walls) < aheadFrom || len(v.house.Circuits) == 0 {
		return
	}
	h := v.house
	v.coming = sync.OnceValue(func() *routing { return &routing{router: NewRouter(h)} })
	go v.coming()
}
