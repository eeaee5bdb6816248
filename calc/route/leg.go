package route

import "wirewright/unit"

// Leg is a piece of a way that does one thing.
type Leg struct {
	Kind     Kind
	Zone     Zone // of a leg along walls
	From, To XYZ
	Places   []XYZ // all places that it passes, both ends included
	Length   unit.Length
	Walls    []int // that it runs along, in order; of a tail the wall that it comes from
}

// Legs is the way to a terminal, piece by piece from its start; nil where there is none.
func (s *Search) Legs(to int) []Leg {
	ways := s.Ways(to)
	if len(ways) == 0 {
		return nil
	}
	g := s.graph
	at := g.begin[s.from]
	var legs []Leg
	for i := len(ways) - 1; i >= 0; i-- {
		l := &g.links[ways[i]]
		next := l.to
		if next == at {
			next = l.from
		}
		legs = g.extend(legs, l, at, next)
		at = next
	}
	return legs
}

// extend adds a link to the last leg where it does the same, else as a new one.
func (g *Graph) extend(legs []Leg, l *link, from, to int32) []Leg {
	a, b := g.nodes[from], g.nodes[to]
	zone := a.zone
	if a.wall < 0 {
		zone = b.zone
	}
	if n := len(legs); n > 0 && legs[n-1].Kind == l.kind && l.kind != Tail && (l.kind != Along || legs[n-1].Zone == zone) {
		legs[n-1].grow(l, a, b)
		return legs
	}
	leg := Leg{Kind: l.kind, Zone: zone, From: a.at, Places: []XYZ{a.at}}
	leg.grow(l, a, b)
	return append(legs, leg)
}

func (leg *Leg) grow(l *link, a, b node) {
	leg.To, leg.Length = b.at, leg.Length+l.length
	leg.Places = append(leg.Places, b.at)
	if l.kind == Tail {
		leg.Walls = []int{int(max(a.wall, b.wall))}
	}
	if a.wall >= 0 && a.wall == b.wall && (len(leg.Walls) == 0 || leg.Walls[len(leg.Walls)-1] != int(a.wall)) {
		leg.Walls = append(leg.Walls, int(a.wall))
	}
}
