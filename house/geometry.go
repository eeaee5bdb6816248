package house

import "math"

// FloorArea is the floor area in square metres: that of the outline without its holes, or, where there is no outline, the
// one that the source states (the field Area).
func (r *Room) FloorArea() float64 {
	if len(r.Outline) < 3 {
		return r.Area
	}
	area := math.Abs(signedArea(r.Outline))
	for _, hole := range r.Holes {
		area -= math.Abs(signedArea(hole))
	}
	return math.Max(area, 0)
}

// signedArea is the area by Gauss's formula: positive where the corners go counter-clockwise.
func signedArea(corners []XY) float64 {
	var twice float64
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		// Taken from the first corner, so that it stays exact far away from the origin.
		twice += (a.X-corners[0].X)*(b.Y-corners[0].Y) - (b.X-corners[0].X)*(a.Y-corners[0].Y)
	}
	return twice / 2
}

// Contains tells whether a place on the plan is within the outline and in no hole; the outline itself belongs to the
// room. A room without an outline contains nothing.
func (r *Room) Contains(p XY) bool { return len(r.Outline) >= 3 && r.depth(p) >= 0 }

// onLine is how near to a line a place counts as on it, in metres.
const onLine = 1e-9

// depth is how far a place is within the room, in metres from the nearest edge; negative outside.
func (r *Room) depth(p XY) float64 {
	within, near := false, math.Inf(1)
	for _, ring := range append([][]XY{r.Outline}, r.Holes...) {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			near = math.Min(near, distance(p, a, b))
			// Even-odd rule: count the edges that a ray to the right crosses.
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
				within = !within
			}
		}
	}
	if near <= onLine {
		return 0
	}
	if !within {
		return -near
	}
	return near
}

// distance is that of a place from the line between two others.
func distance(p, a, b XY) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if square := dx*dx + dy*dy; square > 0 {
		t = math.Min(1, math.Max(0, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/square))
	}
	return math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
}

// WallDistance is the distance of a place from the nearest edge of the room, in metres; infinite without an outline.
func (r *Room) WallDistance(p XY) float64 {
	if len(r.Outline) == 0 {
		return math.Inf(1)
	}
	return math.Abs(r.depth(p))
}

// Distance is that of a place from the centre line of the wall, in metres.
func (w *Wall) Distance(p XY) float64 { return distance(p, w.From, w.To) }

// Length is that of the centre line, in metres.
func (w *Wall) Length() float64 { return math.Hypot(w.To.X-w.From.X, w.To.Y-w.From.Y) }

// Centroid is the centre of gravity of the floor with its holes; it may lie outside of a room in the shape of an L or U.
// It is false for a room without an area.
func (r *Room) Centroid() (XY, bool) {
	if len(r.Outline) < 3 {
		return XY{}, false
	}
	origin := r.Outline[0]
	var sum XY
	var area float64
	for i, ring := range append([][]XY{r.Outline}, r.Holes...) {
		a := math.Abs(signedArea(ring))
		if i > 0 {
			a = -a
		}
		c := centroid(ring, origin)
		sum.X += a * c.X
		sum.Y += a * c.Y
		area += a
	}
	if area <= 0 {
		return XY{}, false
	}
	return XY{origin.X + sum.X/area, origin.Y + sum.Y/area}, true
}

// centroid of one ring, as seen from an origin.
func centroid(ring []XY, origin XY) XY {
	var c XY
	var twice float64
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		ax, ay, bx, by := a.X-origin.X, a.Y-origin.Y, b.X-origin.X, b.Y-origin.Y
		cross := ax*by - bx*ay
		twice += cross
		c.X += (ax + bx) * cross
		c.Y += (ay + by) * cross
	}
	if twice == 0 {
		return XY{}
	}
	return XY{c.X / (3 * twice), c.Y / (3 * twice)}
}
