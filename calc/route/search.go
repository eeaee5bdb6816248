package route

import (
	"math"

	"wirewright/unit"
)

// Search finds shortest ways in one graph. It keeps its working memory from one question to the next; several may work on
// one graph beside each other.
type Search struct {
	graph   *Graph
	cost    []unit.Length
	length  []unit.Length
	by      []int32 // link by which a node was reached, as in Graph.out; -1 for the first
	stamp   []int32 // number of the question in which a node was reached
	wanted  []int32 // number of the question in which a node is a goal
	done    []int32
	counted []int32 // number of the question in which a goal was first settled
	asked   int32
	from    int
	queue   queue
	settled int
}

// NewSearch makes a search.
func (g *Graph) NewSearch() *Search {
	n := len(g.nodes)
	return &Search{graph: g, cost: make([]unit.Length, n), length: make([]unit.Length, n), by: make([]int32, n), stamp: make([]int32, n),
		wanted: make([]int32, n), counted: make([]int32, n), done: make([]int32, n), from: -1}
}

// From looks for the shortest ways from a terminal to others; the answers stand until the next question.
func (s *Search) From(from int, to []int) {
	s.asked++
	s.from, s.settled = from, 0
	s.queue = s.queue[:0]
	g := s.graph
	if from < 0 || from >= len(g.begin) || g.begin[from] < 0 {
		return
	}
	goal, left := s.goals(to)
	start := g.begin[from]
	s.stamp[start], s.cost[start], s.length[start], s.by[start] = s.asked, 0, 0, -1
	s.queue.push(entry{0, start})
	if left == 0 {
		return
	}
	last := unit.Length(math.MaxInt64)
	for len(s.queue) > 0 && s.queue[0].key <= last {
		e := s.queue.pop()
		n := e.node
		if s.done[n] == s.asked {
			continue
		}
		s.done[n] = s.asked
		s.settled++
		if s.wanted[n] == s.asked {
			if s.counted[n] != s.asked {
				s.counted[n] = s.asked
				left--
			}
			if left == 0 {
				last = e.key // what costs the same may still be shorter
			}
			continue
		}
		s.relax(n, goal)
	}
}

// relax tries the ways that leave a node; of ways that cost the same the shorter is taken. A node whose cost falls again is
// opened again, so that rounding cannot matter.
func (s *Search) relax(n int32, goal box) {
	g := s.graph
	for _, o := range g.out[g.first[n]:g.first[n+1]] {
		l := &g.links[o/2]
		to := l.to
		if o&1 == 1 {
			to = l.from
		}
		if g.nodes[to].wall < 0 && s.wanted[to] != s.asked {
			continue // a terminal that nobody asked for
		}
		c := s.cost[n] + l.cost
		m := s.length[n] + l.length
		if s.stamp[to] == s.asked && (c > s.cost[to] || c == s.cost[to] && m >= s.length[to]) {
			continue
		}
		s.stamp[to], s.cost[to], s.length[to], s.by[to] = s.asked, c, m, o
		s.done[to] = 0
		s.queue.push(entry{c + s.least(to, goal), to})
	}
}

// least is a bound for what is left from a node to any goal: the straight line to the box around them, and a hole in a
// slab for every storey between, where no shaft leads through it.
func (s *Search) least(n int32, goal box) unit.Length {
	g := s.graph
	at := &g.nodes[n]
	l := goal.away(at.at)
	if at.wall >= 0 && len(g.building.Shafts) == 0 {
		storey := g.building.Walls[at.wall].Storey
		l += unit.Length(max(goal.lowest-storey, storey-goal.highest, 0)) * length(g.rules.Slab)
	}
	return l
}

// goals marks the nodes that are looked for, and says how many there are and where they lie.
func (s *Search) goals(to []int) (box, int) {
	b := box{low: XYZ{math.Inf(1), math.Inf(1), math.Inf(1)}, high: XYZ{math.Inf(-1), math.Inf(-1), math.Inf(-1)}, lowest: math.MaxInt32, highest: -1}
	left := 0
	for _, t := range to {
		if t < 0 || t >= len(s.graph.end) || s.graph.end[t] < 0 {
			continue
		}
		n := s.graph.end[t]
		if s.wanted[n] != s.asked {
			s.wanted[n] = s.asked
			left++
			b.grow(s.graph.nodes[n].at)
			storey := s.graph.storeys[t]
			b.lowest, b.highest = min(b.lowest, storey), max(b.highest, storey)
		}
	}
	return b, left
}

// rounding is by how much a way may come out too short because its parts are rounded, in µm.
const rounding = 1000

// box holds the places looked for; no way to any of them is shorter than the straight line to the box.
type box struct {
	low, high       XYZ
	lowest, highest int // storeys that the goals are fed from
}

func (b *box) grow(p XYZ) {
	b.low = XYZ{math.Min(b.low.X, p.X), math.Min(b.low.Y, p.Y), math.Min(b.low.Z, p.Z)}
	b.high = XYZ{math.Max(b.high.X, p.X), math.Max(b.high.Y, p.Y), math.Max(b.high.Z, p.Z)}
}

func (b box) away(p XYZ) unit.Length {
	dx := math.Max(0, math.Max(b.low.X-p.X, p.X-b.high.X))
	dy := math.Max(0, math.Max(b.low.Y-p.Y, p.Y-b.high.Y))
	dz := math.Max(0, math.Max(b.low.Z-p.Z, p.Z-b.high.Z))
	return unit.Length(math.Max(0, math.Floor(math.Sqrt(dx*dx+dy*dy+dz*dz)*1e6-rounding)))
}

// Reached tells whether the last question found a way to a terminal.
func (s *Search) Reached(to int) bool { _, ok := s.node(to); return ok }

// Length is that of the way to a terminal, without allowances; false where there is none.
func (s *Search) Length(to int) (unit.Length, bool) {
	n, ok := s.node(to)
	if !ok {
		return 0, false
	}
	return s.length[n], true
}

// Cost is what the way costs: its length and the extra of holes and crossings; false where there is no way.
func (s *Search) Cost(to int) (unit.Length, bool) {
	n, ok := s.node(to)
	if !ok {
		return 0, false
	}
	return s.cost[n], true
}

func (s *Search) node(to int) (int32, bool) {
	if to < 0 || to >= len(s.graph.end) || s.graph.end[to] < 0 || s.asked == 0 {
		return 0, false
	}
	n := s.graph.end[to]
	return n, s.wanted[n] == s.asked && s.stamp[n] == s.asked
}

// Ways lists the numbers of the ways that lead to a terminal, the last first; ways of one number are one and the same.
func (s *Search) Ways(to int) []int {
	n, ok := s.node(to)
	var list []int
	for ok && s.by[n] >= 0 {
		o := s.by[n]
		list = append(list, int(o/2))
		n = s.graph.links[o/2].from
		if o&1 == 1 {
			n = s.graph.links[o/2].to
		}
	}
	return list
}

// Way says what the way of a number is.
func (g *Graph) Way(n int) (Kind, unit.Length) { return g.links[n].kind, g.links[n].length }

// entry is one node that waits, by the least that a way through it can cost.
type entry struct {
	key  unit.Length
	node int32
}

func (e entry) before(f entry) bool { return e.key < f.key || e.key == f.key && e.node < f.node }

// queue is a binary heap.
type queue []entry

func (q *queue) push(e entry) {
	*q = append(*q, e)
	h := *q
	i := len(h) - 1
	for i > 0 && e.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = e
}

func (q *queue) pop() entry {
	h := *q
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	*q = h
	i := 0
	for 2*i+1 < len(h) {
		c := 2*i + 1
		if c+1 < len(h) && h[c+1].before(h[c]) {
			c++
		}
		if !h[c].before(last) {
			break
		}
		h[i] = h[c]
		i = c
	}
	if len(h) > 0 {
		h[i] = last
	}
	return top
}
