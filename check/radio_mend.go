package check

import (
	"cmp"
	"fmt"
	"slices"

	"wirewright/calc/radio"
	"wirewright/house"
)

// The bounds of the search for a place for a further access point.
const (
	furtherRounds = 6    // access points that are looked for, one after the other
	furtherTried  = 24   // rooms that are computed in each round: those with most weak modules near
	furtherNear   = 12.0 // m on the plan, of which modules count as near
	furtherFar    = 40.0 // m, beyond which no access point is expected to help
	furtherStorey = 4.0  // m up and down, likewise
	ceilingPlace  = 2.2  // m above the floor
)

// spot is a place where an access point could be: the middle of a room, under its ceiling.
type spot struct {
	room  *house.Room
	at    house.XYZ
	near  int
	order int
}

// further is what a further access point would do for a module.
type further struct {
	room  *house.Room
	reach float64 // probability that it then reaches it
	mends int     // weak modules that it would mend in all
	of    int     // weak modules of the house
}

// plan looks for rooms where further access points would mend the weak modules: each time the one that mends most of those
// that are left, among the rooms with most of them near.
func (p *radioPlan) plan(v *view, x *rooms) {
	weak := slices.DeleteFunc(slices.Clone(p.placed), func(m *module) bool { return !p.links[m].weak() })
	if len(weak) == 0 {
		return
	}
	slices.SortStableFunc(weak, func(a, b *module) int { return cmp.Compare(p.links[a].a.Z, p.links[b].a.Z) })
	p.further = make(map[*module]*further, len(weak))
	spots, all := spotsOf(v.house, x), len(weak)
	for range furtherRounds {
		best, mended := p.bestSpot(spots, weak)
		if len(mended) == 0 {
			return
		}
		for _, l := range mended {
			p.further[l.module] = &further{room: best.room, reach: l.reach(), mends: len(mended), of: all}
		}
		weak = slices.DeleteFunc(weak, func(m *module) bool { return p.further[m] != nil })
	}
}

// mendedLink is the link that a module would have to a further access point.
type mendedLink struct {
	link
	module *module
}

func spotsOf(h *house.House, x *rooms) []spot {
	var list []spot
	for i := range h.Rooms {
		if r := &h.Rooms[i]; r.Use != "outside" {
			if at, ok := x.middle(r.ID, ceilingPlace); ok {
				list = append(list, spot{room: r, at: at, order: i})
			}
		}
	}
	return list
}

// bestSpot is the spot that mends most of the weak modules, which are sorted by height.
func (p *radioPlan) bestSpot(spots []spot, weak []*module) (best spot, mended []mendedLink) {
	for i := range spots {
		spots[i].near = 0
		for _, m := range p.about(weak, spots[i].at) {
			dx, dy := p.links[m].a.X-spots[i].at.X, p.links[m].a.Y-spots[i].at.Y
			if dx*dx+dy*dy <= furtherNear*furtherNear {
				spots[i].near++
			}
		}
	}
	slices.SortFunc(spots, func(a, b spot) int { return cmp.Or(cmp.Compare(b.near, a.near), cmp.Compare(a.order, b.order)) })
	for _, s := range spots[:min(len(spots), furtherTried)] {
		if got := p.mendedBy(s, weak); len(got) > len(mended) {
			best, mended = s, got
		}
	}
	return best, mended
}

// about are those of some modules, sorted by height, that are on the storey of a place or near it.
func (p *radioPlan) about(list []*module, at house.XYZ) []*module {
	from, _ := slices.BinarySearchFunc(list, at.Z-furtherStorey, func(m *module, z float64) int { return cmp.Compare(p.links[m].a.Z, z) })
	to, _ := slices.BinarySearchFunc(list, at.Z+furtherStorey, func(m *module, z float64) int { return cmp.Compare(p.links[m].a.Z, z) })
	return list[from:max(from, to)]
}

// mendedBy lists the weak modules that an access point at a spot would mend, with the power that is planned with and the
// frequency of the first one.
func (p *radioPlan) mendedBy(s spot, weak []*module) []mendedLink {
	ap := &station{at: s.at, eirp: planEIRP, ghz: p.stations[0].ghz}
	var list []mendedLink
	for _, m := range p.about(weak, s.at) {
		l := p.links[m]
		if metresBetween(l.a, s.at) > furtherFar {
			continue
		}
		way := p.tracer.trace(l.a, s.at, ap.ghz)
		next := l.weigh(m, ap, way.loss())
		if way.shielded == nil && next.margin >= radio.MarginFor(reachShare, spreadSigma) {
			list = append(list, mendedLink{next, m})
		}
	}
	return list
}

// remedy says what would bring the radio of a weak module to an access point.
func (p *radioPlan) remedy(m *module) *Remedy {
	f := p.further[m]
	if f == nil {
		return &Remedy{Text: "Put an access point into its room or bring one nearer, or take a wired module; then measure."}
	}
	return &Remedy{Text: fmt.Sprintf("A further access point of %s under the ceiling of %s would reach it with a probability of %s, and mend %d of the %d weak modules in all. Then measure.",
		figure(planEIRP, "dBm"), f.room.ID, share(f.reach), f.mends, f.of)}
}
