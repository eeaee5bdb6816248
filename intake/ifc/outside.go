package ifc

import (
	"math"

	"wirewright/house"
)

// cellsMost bounds the grid on which the outside is found; a larger house gets larger cells.
const cellsMost = 160_000

// plot is a grid over the house at one height. Walls and rooms are closed ground; the outside is what can be reached over open
// ground from the edge.
type plot struct {
	o       point
	cell    float64
	w, h    int
	closed  []bool
	outside []bool
}

// outerWalls decides which walls are external where the file does not say: those with the outside along one of their faces.
// Openings count as closed, so that an open door does not let the outside in.
func (b *builder) outerWalls() {
	if len(b.rooms) == 0 {
		return
	}
	stated := map[house.ID]bool{}
	for i, d := range b.result.drafts {
		for _, w := range d.walls {
			if w.external != nil {
				for _, id := range b.wallOf[key{i, w.id}] {
					stated[id] = true
				}
			}
		}
	}
	plots := map[int]*plot{}
	for i := range b.house.Walls {
		w := &b.house.Walls[i]
		if stated[w.ID] {
			continue
		}
		z := w.Base.M() + math.Min(1, w.Height.M()/2)
		level := int(math.Round(z * 4)) // one grid for each 0.25 m of height
		if plots[level] == nil {
			plots[level] = b.survey(z)
		}
		w.External = plots[level].touches(w)
	}
}

// survey makes the plot at a height.
func (b *builder) survey(z float64) *plot {
	p := b.emptyPlot()
	for i := range b.house.Walls {
		if w := &b.house.Walls[i]; w.Base.M() <= z && z <= w.Base.M()+w.Height.M() {
			p.closeWall(w)
		}
	}
	for i := range b.rooms {
		if r := &b.rooms[i]; r.spans(z) {
			p.close(r.outline.edge, r.outline.edge.holds)
		}
	}
	p.flood()
	return p
}

func (b *builder) emptyPlot() *plot {
	var all []point
	for i := range b.house.Walls {
		all = append(all, point(b.house.Walls[i].From), point(b.house.Walls[i].To))
	}
	for _, r := range b.rooms {
		all = append(all, r.outline.edge...)
	}
	x1, x2 := extent(all, point{}, point{1, 0})
	y1, y2 := extent(all, point{}, point{0, 1})
	const margin = 1.0
	p := &plot{o: point{x1 - margin, y1 - margin}}
	wide, deep := x2-x1+2*margin, y2-y1+2*margin
	p.cell = math.Max(0.1, math.Sqrt(wide*deep/cellsMost))
	p.cell = math.Max(p.cell, math.Max(wide, deep)/(cellsMost/8))
	p.w, p.h = int(wide/p.cell)+1, int(deep/p.cell)+1
	p.closed, p.outside = make([]bool, p.w*p.h), make([]bool, p.w*p.h)
	return p
}

// closeWall marks the ground that a wall stands on, longer by half its thickness at both ends, so that corners close.
func (p *plot) closeWall(w *house.Wall) {
	a, b := point(w.From), point(w.To)
	d, ok := b.minus(a).unit()
	if !ok {
		return
	}
	half := math.Max(w.Thickness.M()/2, 0.06)
	a, b = a.minus(d.times(half)), b.plus(d.times(half))
	n, long, reach := d.left(), b.minus(a).length(), half+p.cell/2
	side := n.times(half)
	p.close([]point{a.minus(side), b.minus(side), b.plus(side), a.plus(side)}, func(c point) bool {
		v := c.minus(a)
		t := v.dot(d)
		return t > -p.cell/2 && t < long+p.cell/2 && math.Abs(v.dot(n)) < reach
	})
}

// close marks the cells around corners whose middle an area covers.
func (p *plot) close(corners []point, covers func(point) bool) {
	low, high := extent(corners, p.o, point{0, 1})
	left, right := extent(corners, p.o, point{1, 0})
	for j := max(0, int(low/p.cell)-1); j < p.h && float64(j)*p.cell <= high+p.cell; j++ {
		for i := max(0, int(left/p.cell)-1); i < p.w && float64(i)*p.cell <= right+p.cell; i++ {
			c := p.o.plus(point{(float64(i) + 0.5) * p.cell, (float64(j) + 0.5) * p.cell})
			if k := j*p.w + i; !p.closed[k] && covers(c) {
				p.closed[k] = true
			}
		}
	}
}

// flood walks over open ground from the first cell, which lies in the margin.
func (p *plot) flood() {
	stack := []int{0}
	p.outside[0] = true
	for len(stack) > 0 {
		k := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		i, j := k%p.w, k/p.w
		for _, n := range [4][2]int{{i - 1, j}, {i + 1, j}, {i, j - 1}, {i, j + 1}} {
			if n[0] < 0 || n[1] < 0 || n[0] >= p.w || n[1] >= p.h {
				continue
			}
			if m := n[1]*p.w + n[0]; !p.closed[m] && !p.outside[m] {
				p.outside[m] = true
				stack = append(stack, m)
			}
		}
	}
}

// touches tells whether most of one face of a wall looks on the outside.
func (p *plot) touches(w *house.Wall) bool {
	from, to := point(w.From), point(w.To)
	n, ok := to.minus(from).left().unit()
	if !ok {
		return false
	}
	for _, side := range []float64{1, -1} {
		out := 0
		for _, t := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
			q := from.plus(to.minus(from).times(t)).plus(n.times(side * (w.Thickness.M()/2 + 2*p.cell)))
			if p.isOutside(q) {
				out++
			}
		}
		if out >= 3 {
			return true
		}
	}
	return false
}

func (p *plot) isOutside(q point) bool {
	i, j := int((q.X-p.o.X)/p.cell), int((q.Y-p.o.Y)/p.cell)
	return i < 0 || j < 0 || i >= p.w || j >= p.h || p.outside[j*p.w+i]
}
