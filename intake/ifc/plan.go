package ifc

import (
	"math"
	"sort"
)

// point is a place on the plan, in metres.
type point struct{ X, Y float64 }

func (a point) minus(b point) point   { return point{a.X - b.X, a.Y - b.Y} }
func (a point) plus(b point) point    { return point{a.X + b.X, a.Y + b.Y} }
func (a point) times(f float64) point { return point{a.X * f, a.Y * f} }
func (a point) cross(b point) float64 { return a.X*b.Y - a.Y*b.X }
func (a point) dot(b point) float64   { return a.X*b.X + a.Y*b.Y }
func (a point) length() float64       { return math.Hypot(a.X, a.Y) }
func (a point) left() point           { return point{-a.Y, a.X} }
func (a point) unit() (point, bool)   { l := a.length(); return a.times(1 / l), l > 1e-9 }
func (a point) near(b point) bool     { return a.minus(b).length() < closeBy }

// polygon is a closed outline on the plan, its corners in order, not closed.
type polygon []point

// area is positive where the corners run counter-clockwise.
func (p polygon) area() float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += (a.X-p[0].X)*(b.Y-p[0].Y) - (b.X-p[0].X)*(a.Y-p[0].Y)
	}
	return sum / 2
}

// holds tells whether a point lies inside, by the crossings of a ray.
func (p polygon) holds(q point) bool {
	in := false
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// distance is how far a point is from the edge.
func (p polygon) distance(q point) float64 {
	best := math.Inf(1)
	for i, a := range p {
		best = math.Min(best, segmentDistance(q, a, p[(i+1)%len(p)]))
	}
	return best
}

// segmentDistance is how far q is from the piece of line between a and b.
func segmentDistance(q, a, b point) float64 {
	d := b.minus(a)
	l := d.dot(d)
	if l == 0 {
		return q.minus(a).length()
	}
	t := math.Max(0, math.Min(1, q.minus(a).dot(d)/l))
	return q.minus(a.plus(d.times(t))).length()
}

// outline is a plan area with its holes.
type outline struct {
	edge  polygon
	holes []polygon
}

func (o outline) area() float64 {
	a := math.Abs(o.edge.area())
	for _, h := range o.holes {
		a -= math.Abs(h.area())
	}
	return a
}

func (o outline) holds(q point) bool {
	if !o.edge.holds(q) {
		return false
	}
	for _, h := range o.holes {
		if h.holds(q) {
			return false
		}
	}
	return true
}

// distance is how far a point is from the nearest edge, of the outline or of a hole.
func (o outline) distance(q point) float64 {
	d := o.edge.distance(q)
	for _, h := range o.holes {
		d = math.Min(d, h.distance(q))
	}
	return d
}

// tidy drops corners that repeat or lie on a straight line, makes the edge run counter-clockwise and begin at its lowest,
// then leftmost corner, so that the same area always reads the same.
func (p polygon) tidy() polygon {
	out := make(polygon, 0, len(p))
	for _, q := range p {
		q = point{grid(q.X), grid(q.Y)}
		if len(out) == 0 || !out[len(out)-1].near(q) {
			out = append(out, q)
		}
	}
	for len(out) > 1 && out[0].near(out[len(out)-1]) {
		out = out[:len(out)-1]
	}
	out = out.straighten()
	if len(out) < 3 {
		return nil
	}
	if out.area() < 0 {
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
	}
	first := 0
	for i, q := range out {
		if q.Y < out[first].Y || q.Y == out[first].Y && q.X < out[first].X {
			first = i
		}
	}
	return append(append(polygon{}, out[first:]...), out[:first]...)
}

// straighten drops corners that lie on the line between their neighbours.
func (p polygon) straighten() polygon {
	for changed := true; changed && len(p) > 2; {
		changed = false
		out := make(polygon, 0, len(p))
		for i, b := range p {
			a, c := p[(i+len(p)-1)%len(p)], p[(i+1)%len(p)]
			if len(out) > 0 {
				a = out[len(out)-1]
			}
			if segmentDistance(b, a, c) < closeBy/2 {
				changed = true
				continue
			}
			out = append(out, b)
		}
		p = out
	}
	return p
}

// grid rounds a coordinate to the step of the model, 0.1 mm.
func grid(v float64) float64 {
	r := math.Round(v*1e4) / 1e4
	if r == 0 {
		return 0 // no negative zero
	}
	return r
}

// hull is the convex hull of points, counter-clockwise.
func hull(points []point) polygon {
	p := append([]point(nil), points...)
	sort.Slice(p, func(i, j int) bool { return p[i].X < p[j].X || p[i].X == p[j].X && p[i].Y < p[j].Y })
	half := func(out polygon, q point, keep int) polygon {
		for len(out) >= keep+2 && out[len(out)-1].minus(out[len(out)-2]).cross(q.minus(out[len(out)-1])) <= 0 {
			out = out[:len(out)-1]
		}
		return append(out, q)
	}
	var out polygon
	for _, q := range p {
		out = half(out, q, 0)
	}
	lower := len(out) - 1
	for i := len(p) - 2; i >= 0; i-- {
		out = half(out, p[i], lower)
	}
	if len(out) > 1 {
		out = out[:len(out)-1]
	}
	return out
}

// strip is the smallest rectangle around points: its centre line along the longer side, and its width.
type strip struct {
	from, to point
	width    float64
}

// smallestRectangle finds the strip of least area; ok is false for fewer than two different points.
func smallestRectangle(points []point) (best strip, ok bool) {
	h := hull(points)
	least := math.Inf(1)
	for i, a := range h {
		d, straight := h[(i+1)%len(h)].minus(a).unit()
		if !straight {
			continue
		}
		lo, hi := extent(h, a, d)
		near, far := extent(h, a, d.left())
		if size := (hi - lo) * (far - near); size < least-1e-9 {
			least = size
			best = asStrip(a, d, [2]float64{lo, hi}, [2]float64{near, far})
			ok = true
		}
	}
	return best, ok
}

func asStrip(o, d point, along, across [2]float64) strip {
	n := d.left()
	if along[1]-along[0] < across[1]-across[0] {
		d, n, along, across = n, d.times(-1), across, [2]float64{-along[1], -along[0]}
	}
	mid := o.plus(n.times((across[0] + across[1]) / 2))
	return strip{mid.plus(d.times(along[0])), mid.plus(d.times(along[1])), across[1] - across[0]}
}

// extent is how far points reach along a direction, measured from o.
func extent(points []point, o, d point) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		t := p.minus(o).dot(d)
		low, high = math.Min(low, t), math.Max(high, t)
	}
	return low, high
}
