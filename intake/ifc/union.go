package ifc

import (
	"math"
	"sort"
)

// unionMost bounds the edges of one union, because it compares every edge with every other.
const unionMost = 1500

// fine is the grid, in metres, on which corners are matched while a union is made; beside is how far from an edge the
// union looks to see whether that side is covered.
const (
	fine   = 1e-5
	beside = 1e-4
)

// piece is a straight edge, or a part of one, with its covered side on the left.
type piece struct{ a, b point }

// union merges areas that may touch and overlap into outlines, the largest first. It splits every edge where another one
// meets it, keeps the parts that have the area on exactly one side, and walks them round.
func union(parts []outline) []outline {
	var edges []piece
	for _, p := range parts {
		edges = append(edges, p.edges()...)
	}
	covered := func(q point) bool {
		for _, p := range parts {
			if p.holds(q) {
				return true
			}
		}
		return false
	}
	return assembleLoops(loops(border(edges, covered)))
}

func (o outline) edges() []piece {
	var out []piece
	for _, ring := range append([]polygon{o.edge}, o.holes...) {
		for i, a := range ring {
			if b := ring[(i+1)%len(ring)]; !a.near(b) {
				out = append(out, piece{a, b})
			}
		}
	}
	return out
}

// border returns the parts of edges that separate covered from uncovered ground, each once.
func border(edges []piece, covered func(point) bool) []piece {
	seen := map[piece]bool{}
	var out []piece
	for i, e := range edges {
		d := e.b.minus(e.a)
		n, ok := d.left().unit()
		if !ok {
			continue
		}
		cuts := cutsOf(e, i, edges)
		for k := 0; k+1 < len(cuts); k++ {
			p, q := e.a.plus(d.times(cuts[k])), e.a.plus(d.times(cuts[k+1]))
			mid := p.plus(q).times(0.5)
			left, right := covered(mid.plus(n.times(beside))), covered(mid.minus(n.times(beside)))
			if left == right {
				continue
			}
			part := piece{snap(p), snap(q)}
			if right {
				part = piece{part.b, part.a}
			}
			if part.a != part.b && !seen[part] {
				seen[part] = true
				out = append(out, part)
			}
		}
	}
	return out
}

func snap(p point) point {
	return point{math.Round(p.X/fine) * fine, math.Round(p.Y/fine) * fine}
}

// cutsOf returns where, from 0 to 1, an edge is met by the others, in order, with both ends.
func cutsOf(e piece, self int, edges []piece) []float64 {
	d := e.b.minus(e.a)
	l := d.dot(d)
	cuts := []float64{0, 1}
	add := func(t float64) {
		if t > 1e-9 && t < 1-1e-9 {
			cuts = append(cuts, t)
		}
	}
	for j, o := range edges {
		if j == self || apart(e, o) {
			continue
		}
		for _, q := range []point{o.a, o.b} { // a corner of the other on this edge
			if segmentDistance(q, e.a, e.b) < fine {
				add(q.minus(e.a).dot(d) / l)
			}
		}
		od := o.b.minus(o.a)
		cross := d.cross(od)
		if math.Abs(cross) < 1e-12 {
			continue
		}
		t, u := o.a.minus(e.a).cross(od)/cross, o.a.minus(e.a).cross(d)/cross
		if u > -1e-9 && u < 1+1e-9 {
			add(t)
		}
	}
	sort.Float64s(cuts)
	kept := cuts[:1]
	for _, t := range cuts[1:] {
		if (t-kept[len(kept)-1])*math.Sqrt(l) > fine {
			kept = append(kept, t)
		}
	}
	kept[len(kept)-1] = 1
	return kept
}

// apart tells whether the boxes around two edges do not touch.
func apart(a, b piece) bool {
	return math.Max(a.a.X, a.b.X) < math.Min(b.a.X, b.b.X)-fine || math.Max(b.a.X, b.b.X) < math.Min(a.a.X, a.b.X)-fine ||
		math.Max(a.a.Y, a.b.Y) < math.Min(b.a.Y, b.b.Y)-fine || math.Max(b.a.Y, b.b.Y) < math.Min(a.a.Y, a.b.Y)-fine
}

// loops walks border pieces round. Where several go on from one corner, the sharpest turn to the left is taken, so that
// areas that touch in a corner stay apart.
func loops(pieces []piece) []polygon {
	from := map[point][]int{}
	for i, p := range pieces {
		from[p.a] = append(from[p.a], i)
	}
	used := make([]bool, len(pieces))
	var out []polygon
	for i := range pieces {
		if used[i] {
			continue
		}
		if ring, closed := walk(i, pieces, from, used); closed {
			out = append(out, ring)
		}
	}
	return out
}

func walk(start int, pieces []piece, from map[point][]int, used []bool) (polygon, bool) {
	var ring polygon
	for i := start; ; {
		used[i] = true
		ring = append(ring, pieces[i].a)
		if pieces[i].b == pieces[start].a {
			return ring, true
		}
		next, best := -1, math.Inf(-1)
		in := pieces[i].b.minus(pieces[i].a)
		for _, j := range from[pieces[i].b] {
			if used[j] {
				continue
			}
			out := pieces[j].b.minus(pieces[j].a)
			if turn := math.Atan2(in.cross(out), in.dot(out)); turn > best {
				next, best = j, turn
			}
		}
		if next < 0 {
			return nil, false
		}
		i = next
	}
}

// areaLeast is the area, in m², below which a loop of a union is an artefact of rounding.
const areaLeast = 1e-3

// assembleLoops makes outlines of loops: those that run counter-clockwise are edges, the others holes of the edge around
// them. An edge inside another edge is an artefact of two nearly equal areas and is dropped.
func assembleLoops(rings []polygon) []outline {
	var edges, holes []polygon
	for _, r := range rings {
		switch a := r.area(); {
		case a > areaLeast:
			edges = append(edges, r)
		case a < -areaLeast:
			holes = append(holes, r)
		}
	}
	sort.SliceStable(edges, func(i, j int) bool { return edges[i].area() > edges[j].area() })
	var out []outline
	for _, e := range edges {
		if o := aroundOf(out, e); o == nil {
			out = append(out, outline{edge: e})
		}
	}
	for _, h := range holes {
		if o := aroundOf(out, h); o != nil {
			o.holes = append(o.holes, h)
		}
	}
	return out
}

// aroundOf finds the outline that a ring lies in.
func aroundOf(list []outline, ring polygon) *outline {
	for i := range list {
		in := 0
		for j, a := range ring {
			if list[i].edge.holds(a.plus(ring[(j+1)%len(ring)]).times(0.5)) {
				in++
			}
		}
		if 2*in > len(ring) {
			return &list[i]
		}
	}
	return nil
}
