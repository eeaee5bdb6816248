package prove

// space is what a search explores: states as strings, which are stored exactly, and moves between them.
type space interface {
	// start is the state in which everything begins.
	start() string
	// moves calls visit for every move from a state: what is done, and the state that it leads to. A note that is not
	// empty names something that must never happen and that this move does.
	moves(state string, visit func(act, next, note string))
}

// graph is what a search has found.
type graph struct {
	states []string
	index  map[string]int32
	from   []int32  // by state: the state from which it was first reached, -1 for the start
	act    []string // by state: the move that reached it first
	edges  []edge
	notes  []note // what must never happen, in the order in which it was met (shortest first)
	whole  bool   // every state was looked at
	depth  int    // longest of the shortest paths
	levels []int32
}

// edge is one move between two states.
type edge struct {
	from, to int32
	act      string
}

// note is something that must never happen and the move that does it.
type note struct {
	from int32
	act  string
	text string
}

// explore searches breadth first from the start, until all states are known or there are more than most.
func explore(s space, most int) *graph {
	g := &graph{index: map[string]int32{}, whole: true}
	g.add(s.start(), -1, "")
	for at := 0; at < len(g.states); at++ {
		from := int32(at)
		s.moves(g.states[at], func(act, next, text string) {
			if text != "" {
				g.notes = append(g.notes, note{from, act, text})
			}
			to, known := g.index[next]
			if !known {
				if len(g.states) >= most {
					g.whole = false
					return
				}
				to = g.add(next, from, act)
			}
			g.edges = append(g.edges, edge{from, to, act})
		})
	}
	return g
}

func (g *graph) add(state string, from int32, act string) int32 {
	n := int32(len(g.states))
	g.states, g.from, g.act = append(g.states, state), append(g.from, from), append(g.act, act)
	g.index[state] = n
	level := int32(0)
	if from >= 0 {
		level = g.levels[from] + 1
	}
	g.levels = append(g.levels, level)
	g.depth = max(g.depth, int(level))
	return n
}

// path is the moves that first led to a state.
func (g *graph) path(state int32) []string {
	var acts []string
	for s := state; g.from[s] >= 0; s = g.from[s] {
		acts = append(acts, g.act[s])
	}
	for i, k := 0, len(acts)-1; i < k; i, k = i+1, k-1 {
		acts[i], acts[k] = acts[k], acts[i]
	}
	return acts
}

// stranded is the first state that satisfies `in` and from which no sequence of the moves that `uses` allows leads to
// a state that satisfies `out`; -1 where there is none.
func (g *graph) stranded(in, out func(state string) bool, uses func(act string) bool) int32 {
	back := make([][]int32, len(g.states))
	for _, e := range g.edges {
		if uses(e.act) {
			back[e.to] = append(back[e.to], e.from)
		}
	}
	reach := make([]bool, len(g.states))
	var queue []int32
	for i, s := range g.states {
		if out(s) {
			reach[i] = true
			queue = append(queue, int32(i))
		}
	}
	for len(queue) > 0 {
		s := queue[0]
		queue = queue[1:]
		for _, b := range back[s] {
			if !reach[b] {
				reach[b] = true
				queue = append(queue, b)
			}
		}
	}
	for i, s := range g.states {
		if in(s) && !reach[i] {
			return int32(i)
		}
	}
	return -1
}
