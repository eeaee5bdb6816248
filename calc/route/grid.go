package route

import (
	"math"
	"slices"
)

// cell is the side of a field of the grid, in metres.
const cell = 4.0

// wide is the radius in metres beyond which all walls of a storey are looked at.
const wide = 100.0

// grid finds the walls of a storey near a place.
type grid struct {
	building *Building
	fields   map[[3]int32][]int32 // by storey, column and row
	long     [][]int32            // by storey: walls that lie across too many fields
	all      [][]int32            // by storey
	seen     []int32              // number of the last question in which a wall came
	asked    int32
	list     []int
}

func newGrid(b *Building) *grid {
	g := &grid{building: b, fields: map[[3]int32][]int32{}, long: make([][]int32, len(b.Storeys)),
		all: make([][]int32, len(b.Storeys)), seen: make([]int32, len(b.Walls))}
	for i := range b.Walls {
		w := &b.Walls[i]
		if !w.sound(len(b.Storeys)) {
			continue
		}
		g.all[w.Storey] = append(g.all[w.Storey], int32(i))
		x0, x1 := field(math.Min(w.From.X, w.To.X)), field(math.Max(w.From.X, w.To.X))
		y0, y1 := field(math.Min(w.From.Y, w.To.Y)), field(math.Max(w.From.Y, w.To.Y))
		if (x1-x0+1)*(y1-y0+1) > 400 {
			g.long[w.Storey] = append(g.long[w.Storey], int32(i))
			continue
		}
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				k := [3]int32{int32(w.Storey), x, y}
				g.fields[k] = append(g.fields[k], int32(i))
			}
		}
	}
	return g
}

func field(v float64) int32 { return int32(math.Floor(v / cell)) }

// near lists the walls of a storey that may come within a radius of a place, in the order of the building. The list is
// good until the next question.
func (g *grid) near(storey int, p XY, radius float64) []int {
	g.asked++
	g.list = g.list[:0]
	put := func(walls []int32) {
		for _, i := range walls {
			if g.seen[i] != g.asked {
				g.seen[i] = g.asked
				g.list = append(g.list, int(i))
			}
		}
	}
	if radius > wide {
		put(g.all[storey])
		return g.list
	}
	for x := field(p.X - radius); x <= field(p.X+radius); x++ {
		for y := field(p.Y - radius); y <= field(p.Y+radius); y++ {
			put(g.fields[[3]int32{int32(storey), x, y}])
		}
	}
	put(g.long[storey])
	slices.Sort(g.list)
	return g.list
}

// groups tells which walls hang together (disjoint sets).
type groups []int32

func newGroups(n int) groups {
	g := make(groups, n)
	for i := range g {
		g[i] = int32(i)
	}
	return g
}

func (g groups) of(i int) int32 {
	for g[i] != int32(i) {
		g[i] = g[g[i]]
		i = int(g[i])
	}
	return int32(i)
}

// join makes one group of two; false where they were one.
func (g groups) join(a, b int) bool {
	x, y := g.of(a), g.of(b)
	if x == y {
		return false
	}
	g[max(x, y)] = min(x, y)
	return true
}
