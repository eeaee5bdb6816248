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
	asked   int32
	from    int
	queue   queue
	settled int
}

// NewSearch makes a search.
func (g *Graph) NewSearch() *Search {
	n := len(g.nodes)
	return &Search{graph: g, cost: make([]unit.Length, n), length: make([]unit.Length, n), by: make([]int32, n), stamp: make([]int32, n),
		wanted: make([]int32, n), done: make([]int32, n), from: -1}
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
	s.queue.push(entry{goal.away(g.nodes[start].at), start})
	for len(s.queue) > 0 && left > 0 {
		e := s.queue.pop()
		n := e.node
		if s.done[n] == s.asked {
			continue
		}
		s.done[n] = s.asked
		s.settled++
		if s.wanted[n] == s.asked {
			left--
			continue
		}
		s.relax(n, goal)
	}
}

// relax tries the ways that leave a node. A node whose cost falls again is opened again, so that rounding cannot matter.
func (s *Search) relax(n int32, goal box) {
	g := s.graph
	for _, o := range g.out[g.first[n]:g.first[n+1]] {
		l := &g.links[o/2]
		to := l.to
		if o&1 == 1 {
			to = l.from
		}
		c := s.cost[n] + l.cost
		if s.stamp[to] == s.asked && c >= s.cost[to] {
			continue
		}
		s.stamp[to], s.cost[to], s.length[to], s.by[to] = s.asked, c, s.length[n]+l.length, o
		s.done[to] = 0
		s.queue.push(entry{c + goal.away(g.nodes[to].at), to})
	}
}

// goals marks the nodes that are looked for, and says how many there are and where they lie.
func (s *Search) goals(to []int) (box, int) {
	b := box{XYZ{math.Inf(1), math.Inf(1), math.Inf(1)}, XYZ{math.Inf(-1), math.Inf(-1), math.Inf(-1)}}
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
		}
	}
	return b, left
}

// box holds the places looked for; no way to any of them is shorter than the straight line to the box.
type box struct{ low, high XYZ }

func (b *box) grow(p XYZ) {
	b.low = XYZ{math.Min(b.low.X, p.X), math.Min(b.low.Y, p.Y), math.Min(b.low.Z, p.Z)}
	b.high = XYZ{math.Max(b.high.X, p.X), math.Max(b.high.Y, p.Y), math.Max(b.high.Z, p.Z)}
}

func (b box) away(p XYZ) unit.Length {
	dx := math.Max(0, math.Max(b.low.X-p.X, p.X-b.high.X))
	dy := math.Max(0, math.Max(b.low.Y-p.Y, p.Y-b.high.Y))
	dz := math.Max(0, math.Max(b.low.Z-p.Z, p.Z-b.high.Z))
	return unit.Length(math.Max(0, math.Floor(math.Sqrt(dx*dx+dy*dy+dz*dz)*1e6-1)))
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
