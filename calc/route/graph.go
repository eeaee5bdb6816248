package route

import (
	"math"
	"slices"

	"wirewright/unit"
)

// Kind is what a piece of a way does.
type Kind uint8

// The kinds of way.
const (
	Along   Kind = iota // in a zone of a wall, or from wall to wall where they meet
	Upright             // in a vertical zone
	Slab                // through a slab
	Across              // straight across a ceiling to another wall
	Tail                // from a zone to the terminal
)

// node is a place on a rail, or a terminal.
type node struct {
	at   XYZ
	wall int32 // -1 for a terminal
	zone Zone
}

// link is one way between two nodes; one-way from a board or to a point.
type link struct {
	from, to int32
	kind     Kind
	oneWay   bool
	length   unit.Length
	cost     unit.Length
}

// Graph is the ways of a building. It is not changed by searches, which may run beside each other.
type Graph struct {
	building *Building
	rules    Rules
	nodes    []node
	links    []link
	first    []int32 // of each node in out; one more at the end
	out      []int32 // links by the node that they leave, as index*2, +1 where backwards
	begin    []int32 // node that each terminal sends from; -1 where it has no way
	end      []int32 // node that it is reached at
	storeys  []int   // that each terminal is fed from
	rails    []rails // of each wall
}

// rails are the zones of one wall and the stations along it. Node first+k*len(zones)+z is station k in zone z.
type rails struct {
	sound    bool
	first    int32
	zones    []rail
	stations []float64
	uprights []float64 // where cables may change from zone to zone
}

type rail struct {
	zone Zone
	z    float64
}

// New makes the graph of a building. Walls that Bad lists are left out.
func New(b *Building, r Rules) *Graph {
	g := &Graph{building: b, rules: r, rails: make([]rails, len(b.Walls))}
	w := &works{Graph: g, grid: newGrid(b)}
	w.zones()
	w.meetings()
	w.spans()
	w.slabs()
	w.shafts()
	w.terminals()
	w.stationsDone()
	w.joinRails()
	w.joinAll()
	w.joinTerminals()
	g.index()
	return g
}

// works is a graph in the making: what is to be joined, before the stations have their numbers.
type works struct {
	*Graph
	grid  *grid
	joins []join
	tails []tail
	group groups // of walls that hang together on their storey
}

// join is a way between two walls, from zone to zone.
type join struct {
	a, b   int
	sa, sb float64 // along each wall
	across float64 // m between the two places on the plan
	kind   Kind
	zones  [][2]Zone
	cost   float64 // m, beside the length
}

// zones lays out the rails of every wall with the stations at its ends and uprights.
func (w *works) zones() {
	for i := range w.building.Walls {
		wall := &w.building.Walls[i]
		r := &w.rails[i]
		if r.sound = wall.sound(len(w.building.Storeys)); !r.sound {
			continue
		}
		if wall.Base < w.building.Storeys[wall.Storey]+lowest { // not one that hangs from the ceiling
			r.zones = append(r.zones, rail{OverFloor, wall.Base + math.Min(w.rules.Floor, wall.Height/2)})
		}
		if wall.Worktop && wall.Height > w.rules.Worktop+w.rules.Ceiling {
			r.zones = append(r.zones, rail{OverWorktop, wall.Base + w.rules.Worktop})
		}
		if wall.Height >= lowest || len(r.zones) == 0 {
			r.zones = append(r.zones, rail{UnderCeiling, wall.Base + math.Max(wall.Height-w.rules.Ceiling, wall.Height/2)})
		}
		l := wall.length()
		r.stations = append(r.stations, 0, l)
		if l < 2*w.rules.Beside {
			r.uprights = append(r.uprights, l/2)
			continue
		}
		r.uprights = append(r.uprights, w.rules.Beside, l-w.rules.Beside)
		for _, o := range wall.Openings {
			for _, s := range []float64{o.From - w.rules.Beside, o.To + w.rules.Beside} {
				if s > 0 && s < l {
					r.uprights = append(r.uprights, s)
				}
			}
		}
	}
}

// stationsDone sorts the stations of every wall, takes those that are one as one, and gives them their nodes.
func (w *works) stationsDone() {
	total := 0
	for i := range w.rails {
		r := &w.rails[i]
		r.stations = append(r.stations, r.uprights...)
		slices.Sort(r.stations)
		kept := r.stations[:0]
		for _, s := range r.stations {
			if len(kept) == 0 || s-kept[len(kept)-1] > eps {
				kept = append(kept, s)
			}
		}
		r.stations = kept
		r.first = int32(total)
		total += len(kept) * len(r.zones)
	}
	w.nodes = make([]node, total, total+2*len(w.building.Terminals))
	w.links = make([]link, 0, 2*total)
	for i := range w.rails {
		r, wall := &w.rails[i], &w.building.Walls[i]
		n := r.first
		for _, s := range r.stations {
			p := wall.at(s)
			for _, z := range r.zones {
				w.nodes[n] = node{XYZ{p.X, p.Y, z.z}, int32(i), z.zone}
				n++
			}
		}
	}
}

// station is the number of the station at a distance along a wall.
func (r *rails) station(s float64) int {
	k, _ := slices.BinarySearch(r.stations, s-eps)
	if k >= len(r.stations) || k+1 < len(r.stations) && math.Abs(r.stations[k+1]-s) < math.Abs(r.stations[k]-s) {
		return min(k+1, len(r.stations)-1)
	}
	return k
}

// node is that of a station in a zone; -1 where the wall has no such zone.
func (r *rails) node(station int, z Zone) int32 {
	for k := range r.zones {
		if r.zones[k].zone == z {
			return r.first + int32(station*len(r.zones)+k)
		}
	}
	return -1
}

// joinRails links the stations of each wall along its zones, and the zones at its uprights.
func (w *works) joinRails() {
	for i := range w.rails {
		r, wall := &w.rails[i], &w.building.Walls[i]
		n := int32(len(r.zones))
		for k := 0; k+1 < len(r.stations); k++ {
			from, to := r.stations[k], r.stations[k+1]
			for z := range n {
				if !wall.cut(from, to, r.zones[z].z) {
					a := r.first + int32(k)*n + z
					w.link(a, a+n, Along, between(from, to), 0)
				}
			}
		}
		for _, s := range r.uprights {
			k := int32(r.station(s))
			for z := int32(0); z+1 < n; z++ {
				if low, high := r.zones[z].z, r.zones[z+1].z; !wall.open(s, low, high) {
					a := r.first + k*n + z
					w.link(a, a+1, Upright, between(low, high), 0)
				}
			}
		}
	}
}

// joinAll links what joins walls.
func (w *works) joinAll() {
	for _, j := range w.joins {
		a, b := &w.rails[j.a], &w.rails[j.b]
		ka, kb := a.station(j.sa), b.station(j.sb)
		for _, z := range j.zones {
			m, n := a.node(ka, z[0]), b.node(kb, z[1])
			if m >= 0 && n >= 0 && m != n {
				w.link(m, n, j.kind, length(j.across)+between(w.nodes[m].at.Z, w.nodes[n].at.Z), j.cost)
			}
		}
	}
}

// link adds a way that costs so many metres more than its length.
func (w *works) link(a, b int32, k Kind, l unit.Length, extra float64) {
	w.links = append(w.links, link{from: a, to: b, kind: k, length: l, cost: l + length(extra)})
}

// index sorts the links by the nodes that they leave.
func (g *Graph) index() {
	g.first = make([]int32, len(g.nodes)+1)
	for i := range g.links {
		g.first[g.links[i].from+1]++
		if !g.links[i].oneWay {
			g.first[g.links[i].to+1]++
		}
	}
	for i := range g.nodes {
		g.first[i+1] += g.first[i]
	}
	g.out = make([]int32, g.first[len(g.nodes)])
	next := slices.Clone(g.first)
	for i := range g.links {
		l := &g.links[i]
		g.out[next[l.from]] = int32(i * 2)
		next[l.from]++
		if !l.oneWay {
			g.out[next[l.to]] = int32(i*2 + 1)
			next[l.to]++
		}
	}
}

// Size is the number of places and of ways between them.
func (g *Graph) Size() (nodes, links int) { return len(g.nodes), len(g.links) }
