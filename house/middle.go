package house

import (
	"container/heap"
	"math"
)

const (
	middlePrecision = 0.01   // metres: the place is at most this much nearer to an edge than the best one
	middleCells     = 20_000 // bound of the search
	centroidShare   = 0.5    // of the best distance from the edges that the centroid must have to be taken
)

// Middle is a place well inside the room, where its ceiling lamp would hang: the centre of gravity where that is well
// inside, otherwise the place farthest from all edges (the pole of inaccessibility), as in a room in the shape of an L. It
// is false for a room without an area.
//
// The search halves cells in the order of the best that they could hold, after the quadtree method that V. Agafonkin
// published in 2016.
func (r *Room) Middle() (XY, bool) {
	centre, ok := r.Centroid()
	if !ok {
		return XY{}, false
	}
	best := r.cellAt(centre, 0)
	low, high := bounds(r.Outline)
	cells := &cellHeap{}
	side := math.Min(high.X-low.X, high.Y-low.Y)
	if side <= 0 || math.Max(high.X-low.X, high.Y-low.Y)/side > 1000 {
		return centre, best.depth > 0
	}
	for x := low.X; x < high.X; x += side {
		for y := low.Y; y < high.Y; y += side {
			heap.Push(cells, r.cellAt(XY{x + side/2, y + side/2}, side/2))
		}
	}
	pole := best
	for n := 0; cells.Len() > 0 && n < middleCells; n++ {
		c := heap.Pop(cells).(cell)
		if c.depth > pole.depth {
			pole = c
		}
		if c.most-pole.depth <= middlePrecision {
			break
		}
		half := c.half / 2
		for _, d := range [4]XY{{-half, -half}, {half, -half}, {-half, half}, {half, half}} {
			heap.Push(cells, r.cellAt(XY{c.at.X + d.X, c.at.Y + d.Y}, half))
		}
	}
	if best.depth >= centroidShare*pole.depth && best.depth > 0 {
		return centre, true
	}
	return pole.at, pole.depth > 0
}

// cell is a square of the plan: its middle, how far that is inside, and the farthest inside that any place in it can be.
type cell struct {
	at          XY
	half        float64
	depth, most float64
}

func (r *Room) cellAt(at XY, half float64) cell {
	d := r.depth(at)
	return cell{at, half, d, d + half*math.Sqrt2}
}

// cellHeap gives the most promising cell first.
type cellHeap []cell

func (h cellHeap) Len() int           { return len(h) }
func (h cellHeap) Less(i, j int) bool { return h[i].most > h[j].most }
func (h cellHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }

// Push implements heap.Interface.
func (h *cellHeap) Push(x any) { *h = append(*h, x.(cell)) }

// Pop implements heap.Interface.
func (h *cellHeap) Pop() any {
	last := (*h)[len(*h)-1]
	*h = (*h)[:len(*h)-1]
	return last
}

// bounds is the rectangle around places.
func bounds(places []XY) (low, high XY) {
	low, high = places[0], places[0]
	for _, p := range places {
		low = XY{math.Min(low.X, p.X), math.Min(low.Y, p.Y)}
		high = XY{math.Max(high.X, p.X), math.Max(high.Y, p.Y)}
	}
	return low, high
}
