package check

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/calc/dcline"
	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// Bounds of the search for more supplies.
const (
	suppliesMore = 4     // supplies that are added to one line, at most
	placeSolves  = 3_000 // how often the line is computed, at most
	placeTaps    = 256   // taps that are looked at, at most
)

// besideTap is the cable between a tap and a supply that is set beside it.
const besideTap = 300 * unit.Length(1_000)

// site is a supply that is put on a line: its type and the tap that it stands beside.
type site struct {
	typ *catalogue.Type
	tap int
}

// sited is an answer to where supplies go, with how the line then stands.
type sited struct {
	sites    []site
	stands   state
	smallest bool // proved: with fewer the line is not mended
}

// moreSupplies finds the smallest set of supplies, at some of the taps, that gives a wire of a loop resistance in Ω/m the
// voltage, the headroom and the start. The search is exact for one demand at a time, as it starts and with constant power;
// what it finds for one is then held against all.
func (w *wire) moreSupplies(perMetre float64, taps []int, kinds []*catalogue.Type) (sited, bool) {
	var best sited
	bound, found := 0, false
	for _, c := range []struct {
		demand demand
		share  float64
	}{{atStart, 1}, {atPower, busHeadroom}} {
		p, err := dcline.Place(w.task(perMetre*c.share, c.demand, taps, kinds))
		if err != nil {
			return sited{}, false
		}
		bound = max(bound, p.Bound)
		if !p.Found {
			if p.Why == dcline.Impossible || p.Why == dcline.TooMany {
				return sited{}, false
			}
			continue
		}
		trial := w.with(p.Sites, kinds)
		s, ok := trial.enough(perMetre)
		if !ok || found && len(best.sites) <= len(p.Sites) {
			continue
		}
		best, found = sited{stands: s}, true
		for _, x := range p.Sites {
			best.sites = append(best.sites, site{kinds[x.Kind], w.tapAt(x.Node, taps)})
		}
	}
	best.smallest = len(best.sites) == bound
	return best, found && len(best.sites) > 0
}

// task asks package dcline about a wire.
func (w *wire) task(perMetre float64, d demand, taps []int, kinds []*catalogue.Type) dcline.Task {
	t := dcline.Task{Nodes: w.nodes(perMetre, d), Least: make([]float64, len(w.parent)), Limit: slices.Clone(w.rated), Margin: 1,
		Most: suppliesMore, Solves: placeSolves}
	for _, f := range w.feed {
		t.Volts = max(t.Volts, f)
	}
	for _, m := range w.taps {
		t.Least[m.node] = max(t.Least[m.node], m.typ.Bus.Least.V())
	}
	for _, k := range taps {
		if node := w.trunk[k]; !slices.Contains(t.Taps, node) && w.feed[node] == 0 {
			t.Taps = append(t.Taps, node)
		}
	}
	for _, k := range kinds {
		t.Kinds = append(t.Kinds, dcline.Kind{Name: k.ID, Amps: k.Bus.Supply.A(), Price: int64(k.Price)})
	}
	return t
}

// with is a wire with more supplies.
func (w *wire) with(sites []dcline.Site, kinds []*catalogue.Type) *wire {
	more := *w
	more.feed, more.rated, more.fed = slices.Clone(w.feed), slices.Clone(w.rated), slices.Clone(w.fed)
	for _, x := range sites {
		typ := kinds[x.Kind]
		more.tap(&module{Module: &house.Module{Type: typ.ID}, typ: typ}, x.Node)
	}
	return &more
}

// tapAt is the last of some taps at a node of the trunk.
func (w *wire) tapAt(node int, taps []int) int {
	best := -1
	for _, k := range taps {
		if w.trunk[k] == node {
			best = k
		}
	}
	return best
}

// addSupplies is the remedy for a line that more supplies mend: as changes, where all that are on it may stand in parallel and
// taps are in boards with a place for one; else in words. Nil where none mend it.
func (v *view) addSupplies(l *line, slug string) *Remedy {
	f := v.voltages(l)
	supplies := budgetOf(l).supplies
	parallel := !slices.ContainsFunc(supplies, func(m *module) bool { return !m.typ.Bus.Parallel })
	if parallel {
		kinds := v.supplyKinds(supplies[0].typ.Bus.Voltage, true)
		var roomy []int
		for k, m := range l.taps[:min(len(l.taps), placeTaps)] {
			if slices.ContainsFunc(kinds, func(t *catalogue.Type) bool { _, ok := v.installed(m, t); return ok }) {
				roomy = append(roomy, k)
			}
		}
		if s, ok := f.wire.moreSupplies(loopOf(f.cable), roomy, kinds); ok {
			if changes, boards, ok := v.installAll(l, s.sites); ok && v.harmless(changes, l, slug, boards...) {
				return &Remedy{Text: s.text(l, f.wire, len(supplies)), Changes: changes}
			}
		}
	}
	all := make([]int, min(len(f.wire.trunk), placeTaps))
	for k := range all {
		all[k] = k
	}
	if s, ok := f.wire.moreSupplies(loopOf(f.cable), all, v.supplyKinds(supplies[0].typ.Bus.Voltage, false)); ok {
		return &Remedy{Text: s.text(l, f.wire, len(supplies)) + " Take supplies that may stand in parallel, or split the plus conductor between them."}
	}
	return nil
}

// supplyKinds are the supplies of a voltage, by price; only those that may stand in parallel, where that is asked.
func (v *view) supplyKinds(voltage unit.Voltage, parallel bool) []*catalogue.Type {
	var list []*catalogue.Type
	for i := range v.cat.Types {
		t := &v.cat.Types[i]
		if t.Does() == catalogue.RoleSupply && t.Bus != nil && t.Bus.Voltage == voltage && t.Bus.Supply > 0 && (t.Bus.Parallel || !parallel) {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(a, b *catalogue.Type) int {
		if a.Price != b.Price {
			return int(max(-1, min(1, a.Price-b.Price)))
		}
		return strings.Compare(a.ID, b.ID)
	})
	return list
}

// installed is a supply of a type in the board of a module, in the first place that is free, fed as others there are. False
// where there is no board, place or circuit.
func (v *view) installed(beside *module, t *catalogue.Type) (house.Module, bool) {
	if beside == nil || t.Mount != catalogue.Rail {
		return house.Module{}, false
	}
	b := v.boards[beside.Board]
	if b == nil {
		return house.Module{}, false
	}
	m := house.Module{Type: t.ID, Board: b.ID}
	for _, o := range b.modules {
		if m.Circuit == "" && o.typ != nil && o.typ.Does() == catalogue.RoleSupply {
			m.Circuit = o.Circuit
		}
	}
	if m.Circuit == "" && len(b.circuits) > 0 {
		m.Circuit = b.circuits[0].ID
	}
	row, slot, ok := v.freePlace(&module{Module: &m, typ: t})
	m.Row, m.Slot = row, slot
	return m, ok && m.Circuit != ""
}

// installAll makes the changes that put supplies on a line, no two in one board, and names the boards.
func (v *view) installAll(l *line, sites []site) ([]house.Change, []house.ID, bool) {
	after := *l.Line
	after.Taps = slices.Clone(l.Taps)
	var changes []house.Change
	var boards []house.ID
	for i := len(sites) - 1; i >= 0; i-- {
		s := sites[i]
		m, ok := v.installed(l.taps[s.tap], s.typ)
		if !ok || slices.Contains(boards, m.Board) {
			return nil, nil, false
		}
		m.ID = v.freeID(fmt.Sprintf("%s.supply", m.Board))
		if m.ID == "" {
			return nil, nil, false
		}
		tap := house.Tap{Module: m.ID, Length: besideTap, Ended: after.Taps[s.tap].Ended}
		after.Taps[s.tap].Ended = false
		after.Taps = slices.Insert(after.Taps, s.tap+1, tap)
		changes, boards = append(changes, house.Change{Kind: "module", ID: m.ID, After: m}), append(boards, m.Board)
	}
	return append(changes, house.Change{Kind: "line", ID: l.ID, Before: *l.Line, After: after}), boards, true
}

// freeID is a name that no entity has, made of another; "" where there is none within reason.
func (v *view) freeID(name string) house.ID {
	const most = 1000
	for i := 2; i < most; i++ {
		id := house.ID(fmt.Sprintf("%s%d", name, i))
		if v.byModule[id] == nil && v.byPoint[id] == nil && v.byLine[id] == nil && v.boards[id] == nil && v.circuits[id] == nil {
			return id
		}
	}
	return ""
}

// text says which supplies go where, and what that does.
func (s *sited) text(l *line, w *wire, has int) string {
	var parts []string
	for _, x := range s.sites {
		parts = append(parts, fmt.Sprintf("(%s) beside %s, %s of cable from the first tap", x.typ.ID, l.Taps[x.tap].Module, figure(w.reach(w.trunk[x.tap]), "m")))
	}
	text := "Put one more supply " + parts[0]
	if len(parts) == 1 && has == 1 {
		text = "Put a second supply " + parts[0]
	}
	if len(parts) > 1 {
		text = fmt.Sprintf("Put %d more supplies on it: one %s", len(parts), strings.Join(parts, ", one "))
	}
	if s.smallest && len(parts) > 1 {
		text += "; fewer do not mend it"
	}
	return text + fmt.Sprintf(": %s then has %s.", s.stands.worst.ID, figure(s.stands.volts, "V"))
}
