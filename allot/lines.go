package allot

import (
	"cmp"
	"fmt"
	"math"
	"net/netip"
	"slices"
	"strings"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

// startMargin is how much more than its steady current a line takes when it starts (common practice, no source).
const startMargin = 1.3

// tail is the cable that is lost at each tap, into the box and out again, in m (common practice, no source).
const tail = 1.0

// lines puts every new wired module on a line: the line of its board, or of the board that feeds the room's wiring. A
// line that is full, too long or not there yet is begun with a head and supplies.
func (j *job) lines() {
	byBoard := map[house.ID][]house.ID{}
	for _, id := range j.result.New {
		m, t := j.moduleFor(id), j.types[id]
		if t.Medium != catalogue.Wired {
			continue
		}
		b := m.Board
		if b == "" {
			if p := j.index.Point(m.Point); p != nil {
				b = j.boardFor(p)
			}
		}
		byBoard[b] = append(byBoard[b], id)
	}
	for _, b := range j.boardOrder() {
		if ids := byBoard[b]; len(ids) > 0 {
			j.wire(b, ids)
		}
	}
	j.slots()
	j.tellReach()
	for _, id := range byBoard[""] {
		j.result.Notes = append(j.result.Notes, fmt.Sprintf("module %s is wired, but the house has no board for a line head", id))
	}
}

func (j *job) boardOrder() []house.ID {
	var list []house.ID
	for _, b := range j.house.Boards {
		list = append(list, b.ID)
	}
	return list
}

// boardFor is the board that a point's cables come from: that of its own circuit, else that of another circuit in its room,
// else the nearest.
func (j *job) boardFor(p *house.Point) house.ID {
	if c := j.index.Circuit(p.Circuit); c != nil {
		return c.Board
	}
	for _, q := range j.index.PointsIn(p.Room) {
		if c := j.index.Circuit(q.Circuit); c != nil {
			return c.Board
		}
	}
	return j.nearestBoard(p)
}

// wire puts the modules of a board on its lines in cable order: those in the board first, then those in the rooms, each
// time the nearest to the one before.
func (j *job) wire(board house.ID, ids []house.ID) {
	from := j.placeOfBoard(board)
	order := j.cableOrder(from, ids)
	line := j.lineAt(board)
	at, spot := from, check.Spot{Kind: "board", ID: board}
	for _, id := range order {
		p := j.placeOf(id, from)
		length := j.lead(board, spot, at, id, p)
		if line == nil || !j.takes(line, length) {
			if line = j.beginLine(board); line == nil {
				return
			}
			length = j.lead(board, check.Spot{Kind: "board", ID: board}, from, id, p)
		}
		line.Taps = append(line.Taps, house.Tap{Module: id, Length: length})
		at, spot = p, j.spotOf(id)
	}
	j.supply(board)
}

// lead is the cable from one tap to the next: along the rail within a board, else along the walls.
func (j *job) lead(board house.ID, from check.Spot, a house.XYZ, id house.ID, b house.XYZ) unit.Length {
	if j.moduleFor(id).Board == board {
		return unit.Metres(0.2)
	}
	return j.cable(from, a, id, b)
}

func (j *job) cableOrder(from house.XYZ, ids []house.ID) []house.ID {
	left, order, at := slices.Clone(ids), []house.ID(nil), from
	slices.SortStableFunc(left, func(a, b house.ID) int {
		return cmp.Compare(btoi(j.moduleFor(a).Board == ""), btoi(j.moduleFor(b).Board == ""))
	})
	for len(left) > 0 {
		best, least := 0, math.Inf(1)
		for i, id := range left {
			d := distance(at, j.placeOf(id, from))
			if j.moduleFor(id).Board == "" {
				d += 1000 // what is in the board comes first
			}
			if d < least-1e-9 {
				best, least = i, d
			}
		}
		at = j.placeOf(left[best], from)
		order = append(order, left[best])
		left = slices.Delete(left, best, best+1)
	}
	return order
}

// distance is measured along walls: the sum of the ways along the axes.
func distance(a, b house.XYZ) float64 {
	return math.Abs(a.X-b.X) + math.Abs(a.Y-b.Y) + math.Abs(a.Z-b.Z)
}

func (j *job) placeOfBoard(id house.ID) house.XYZ {
	if b := j.index.Board(id); b != nil && b.At != nil {
		return *b.At
	}
	return house.XYZ{}
}

func (j *job) placeOf(id house.ID, unknown house.XYZ) house.XYZ {
	m := j.moduleFor(id)
	if m.At != nil {
		return *m.At
	}
	if m.Board != "" {
		return j.placeOfBoard(m.Board)
	}
	if p := j.index.Point(m.Point); p != nil && p.At != nil {
		return *p.At
	}
	return unknown
}

// lineAt is the last line whose head sits in the board, nil for none.
func (j *job) lineAt(board house.ID) *house.Line {
	for i := len(j.house.Lines) - 1; i >= 0; i-- {
		if h := j.moduleFor(j.house.Lines[i].Head); h != nil && h.Board == board {
			return &j.house.Lines[i]
		}
	}
	return nil
}

// takes tells whether a line has room for one more tap at the end of a piece of cable.
func (j *job) takes(l *house.Line, more unit.Length) bool {
	bus := j.types[l.Head].Bus
	if bus == nil {
		return false
	}
	sum, taps := more, 0
	for _, t := range l.Taps {
		sum += t.Length + t.Stub
		if tt := j.types[t.Module]; tt != nil && tt.Medium == catalogue.Wired {
			taps++
		}
	}
	most := bus.MaxLength
	if most == 0 {
		most = unit.Metres(300) // common practice, no source
	}
	return sum <= most && (bus.MaxTaps == 0 || taps < bus.MaxTaps)
}

// beginLine adds a head to the board and a line behind it: the cheapest head that can take the taps of the new modules.
func (j *job) beginLine(board house.ID) *house.Line {
	wanted := 0
	for _, id := range j.result.New {
		if j.types[id].Medium == catalogue.Wired && j.lineHas(id) == nil {
			wanted++
		}
	}
	var best *catalogue.Type
	for _, id := range j.cat.TypeIDs() {
		t, _ := j.cat.Type(id)
		if t.Role != catalogue.RoleHead || t.Bus == nil {
			continue
		}
		reach := func(t *catalogue.Type) int { return min(wanted, t.Bus.MaxTaps) }
		if best == nil || reach(t) > reach(best) || (reach(t) == reach(best) && t.Price < best.Price) {
			best = t
		}
	}
	if best == nil {
		j.result.Notes = append(j.result.Notes, "the catalogue has no line head: wired modules stand without a line")
		return nil
	}
	head := j.add(best, house.Module{Type: best.ID, Board: board, Title: best.Title, Circuit: j.controlCircuit(board)}, string(board)+".head")
	id := house.ID(fmt.Sprintf("line%d", len(j.house.Lines)+1))
	for n := len(j.house.Lines) + 2; j.index.Line(id) != nil; n++ {
		id = house.ID(fmt.Sprintf("line%d", n))
	}
	j.house.Lines = append(j.house.Lines, house.Line{ID: id, Head: head.ID, Cable: j.busCable(), Taps: []house.Tap{{Module: head.ID}}})
	return &j.house.Lines[len(j.house.Lines)-1]
}

func (j *job) lineHas(id house.ID) *house.Line {
	for i := range j.house.Lines {
		for _, t := range j.house.Lines[i].Taps {
			if t.Module == id {
				return &j.house.Lines[i]
			}
		}
	}
	return nil
}

// busCable is the bus cable with the lowest loop resistance of the catalogue that costs no more than the usual one.
func (j *job) busCable() string {
	best := ""
	var least catalogue.Price
	for _, c := range j.cat.Cables {
		if c.Loop > 0 && strings.HasPrefix(c.ID, "bus") && (best == "" || c.Price < least) {
			best, least = c.ID, c.Price
		}
	}
	return best
}

// controlCircuit is the circuit of a board that feeds nothing else yet, the smallest first; empty where there is none.
func (j *job) controlCircuit(board house.ID) house.ID {
	busy := map[house.ID]bool{}
	for _, p := range j.house.Points {
		busy[p.Circuit] = true
	}
	best := house.ID("")
	var least unit.Current
	for _, c := range j.house.Circuits {
		if c.Board == board && !busy[c.ID] && (best == "" || c.Rating < least) {
			best, least = c.ID, c.Rating
		}
	}
	return best
}

// supply gives every line of a board enough current to start all its modules: supplies are added at the head, the
// cheapest sum that is enough.
func (j *job) supply(board house.ID) {
	for i := range j.house.Lines {
		l := &j.house.Lines[i]
		if h := j.moduleFor(l.Head); h == nil || h.Board != board {
			continue
		}
		need, have := 0.0, 0.0
		for _, t := range l.Taps {
			if b := j.types[t.Module].Bus; b != nil {
				need += b.Draw.A() * startMargin
				have += b.Supply.A()
			}
		}
		for _, t := range j.cheapestSupplies(need - have) {
			m := j.add(t, house.Module{Type: t.ID, Board: board, Title: t.Title, Circuit: j.controlCircuit(board)}, string(board)+".supply")
			at := min(1, len(l.Taps))
			l.Taps = slices.Insert(l.Taps, at, house.Tap{Module: m.ID, Length: unit.Metres(0.2)})
		}
	}
}

// cheapestSupplies is the cheapest multiset of supplies that gives at least some amperes; plain recursion over few types.
func (j *job) cheapestSupplies(amps float64) []*catalogue.Type {
	if amps <= 0 {
		return nil
	}
	var best, chosen []*catalogue.Type
	least := none
	var types []*catalogue.Type
	for _, id := range j.cat.TypeIDs() {
		if t, _ := j.cat.Type(id); t.Role == catalogue.RoleSupply && t.Bus != nil && t.Bus.Supply > 0 {
			types = append(types, t)
		}
	}
	var try func(from int, left float64, cost int64)
	try = func(from int, left float64, cost int64) {
		if cost >= least || len(chosen) > 8 {
			return
		}
		if left <= 0 {
			least, best = cost, slices.Clone(chosen)
			return
		}
		for i := from; i < len(types); i++ {
			chosen = append(chosen, types[i])
			try(i, left-types[i].Bus.Supply.A(), cost+price(types[i]))
			chosen = chosen[:len(chosen)-1]
		}
	}
	try(0, amps, 0)
	return best
}

// addresses gives every new controller on the network an address outside the pool and a host name, and every module on
// a line its number.
func (j *job) addresses() {
	for _, id := range j.result.New {
		m, t := j.moduleFor(id), j.types[id]
		if t.Medium == catalogue.WiFi || t.Role == catalogue.RoleHead {
			m.Host = j.hostName(id)
			m.Address = j.freeAddress()
		}
	}
	for i := range j.house.Lines {
		l := &j.house.Lines[i]
		n := 0
		for _, t := range l.Taps {
			m := j.moduleFor(t.Module)
			if m == nil || j.types[m.ID].Medium != catalogue.Wired || m.ID == l.Head {
				continue
			}
			n++
			if m.Address == "" {
				m.Address = fmt.Sprint(n)
			}
		}
	}
}

// hostName makes a host name (RFC 1123) of an identity: what is no letter, digit or hyphen becomes a hyphen.
func (j *job) hostName(id house.ID) string {
	var b strings.Builder
	for _, r := range string(id) {
		if r < 128 && (r == '-' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z') {
			b.WriteRune(r)
		} else {
			b.WriteByte('-')
		}
	}
	stem := strings.Trim(b.String(), "-")
	if stem == "" {
		stem = "module"
	}
	stem = strings.TrimRight(stem[:min(len(stem), 56)], "-")
	name := stem
	for n := 2; j.taken[name]; n++ {
		name = fmt.Sprintf("%s-%d", stem, n)
	}
	j.taken[name] = true
	return name
}

// freeAddress is the next free IPv4 address of the subnet from its twentieth on, outside the pool and not the router's;
// empty where the house gives no subnet or none is left.
func (j *job) freeAddress() string {
	n := j.house.Network
	prefix, err := netip.ParsePrefix(n.Subnet)
	if err != nil || !prefix.Addr().Is4() {
		return ""
	}
	first, _ := netip.ParseAddr(n.PoolFirst)
	last, _ := netip.ParseAddr(n.PoolLast)
	a := prefix.Masked().Addr()
	for i := 0; prefix.Contains(a) && i < 1<<16; i, a = i+1, a.Next() {
		pooled := first.IsValid() && last.IsValid() && a.Compare(first) >= 0 && a.Compare(last) <= 0
		if i < 20 || pooled || a.String() == n.Router || j.taken[a.String()] || !prefix.Contains(a.Next()) {
			continue
		}
		j.taken[a.String()] = true
		return a.String()
	}
	return ""
}
