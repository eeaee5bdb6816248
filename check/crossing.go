package check

import (
	"math"

	"wirewright/calc/radio"
	"wirewright/house"
)

// storeyWalls are the walls of one storey in a grid of cells, so that a path asks only those near it.
type storeyWalls struct {
	walls         []barrier
	low, top      float64
	foot          box
	columns, rows int
	width, depth  float64 // of a cell
	cells         [][]int32
	everywhere    []int32 // walls that would fill too many cells
}

// cellsMost is how many cells a wall may stand in before it is asked for by every path.
const cellsMost = 1024

// lay builds the grid.
func (s *storeyWalls) lay() {
	s.low, s.top, s.foot = math.Inf(1), math.Inf(-1), noBox
	for i := range s.walls {
		w := &s.walls[i]
		s.low, s.top = min(s.low, w.low), max(s.top, w.top)
		s.foot.take(w.wall.From)
		s.foot.take(w.wall.To)
	}
	s.columns, s.width = divide(s.foot.x1 - s.foot.x0)
	s.rows, s.depth = divide(s.foot.y1 - s.foot.y0)
	s.cells = make([][]int32, s.columns*s.rows)
	for i := range s.walls {
		b := noBox
		b.take(s.walls[i].wall.From)
		b.take(s.walls[i].wall.To)
		c0, c1, r0, r1 := s.column(b.x0), s.column(b.x1), s.row(b.y0), s.row(b.y1)
		if (c1-c0+1)*(r1-r0+1) > cellsMost {
			s.everywhere = append(s.everywhere, int32(i))
			continue
		}
		for c := c0; c <= c1; c++ {
			for r := r0; r <= r1; r++ {
				s.cells[r*s.columns+c] = append(s.cells[r*s.columns+c], int32(i))
			}
		}
	}
}

// divide cuts a length into cells.
func divide(length float64) (cells int, width float64) {
	cells = int(math.Min(gridMost, math.Floor(length/gridCell)+1))
	return cells, math.Max(length/float64(cells), 1e-6)
}

func (s *storeyWalls) column(x float64) int { return within((x-s.foot.x0)/s.width, s.columns) }
func (s *storeyWalls) row(y float64) int    { return within((y-s.foot.y0)/s.depth, s.rows) }

// within is the cell of a row of cells that a place is in, the first or the last where it is beside them.
func within(at float64, cells int) int {
	switch {
	case !(at > 0):
		return 0
	case at >= float64(cells):
		return cells - 1
	}
	return int(at)
}

// path is a straight way of radio through a house, from one place to another.
type path struct {
	a, b     house.XYZ
	ghz      float64
	metres   float64
	walls    int     // crossed, openings included
	fabric   float64 // dB of all walls and openings
	unknown  int     // walls of unknown material
	floors   int
	shielded *house.Wall // a wall that lets nothing through, nil for none
}

// loss is that of the whole path in dB: the multi-wall sum.
func (p *path) loss() float64 { return radio.MultiWall(p.metres, p.ghz, p.fabric, p.floors) }

// tracer follows paths through a fabric.
type tracer struct {
	*fabric
	number int // of the path that is being followed
}

// trace follows a path and adds up what it crosses.
func (t *tracer) trace(a, b house.XYZ, ghz float64) path {
	t.number++
	p := path{a: a, b: b, ghz: ghz, metres: metresBetween(a, b)}
	p.floors = t.floorsBetween(a, b)
	for k := range t.storeys {
		t.through(&t.storeys[k], &p)
	}
	return p
}

func metresBetween(a, b house.XYZ) float64 { return math.Hypot(math.Hypot(a.X-b.X, a.Y-b.Y), a.Z-b.Z) }

// floorsBetween counts the floors that a straight way crosses, floors close together once.
func (f *fabric) floorsBetween(a, b house.XYZ) int {
	if a.Z > b.Z {
		a, b = b, a
	}
	n, last := 0, math.Inf(-1)
	for i := range f.floors {
		e := &f.floors[i]
		if e.z <= a.Z || e.z >= b.Z || e.z-last < floorApart {
			continue
		}
		s := (e.z - a.Z) / (b.Z - a.Z)
		if e.open || e.foot.has(a.X+s*(b.X-a.X), a.Y+s*(b.Y-a.Y)) {
			n, last = n+1, e.z
		}
	}
	return n
}

// through adds the walls of one storey that a path crosses.
func (t *tracer) through(s *storeyWalls, p *path) {
	from, to := 0.0, 1.0
	dz := p.b.Z - p.a.Z
	switch {
	case dz > 0:
		from, to = math.Max(0, (s.low-p.a.Z)/dz), math.Min(1, (s.top-p.a.Z)/dz)
	case dz < 0:
		from, to = math.Max(0, (s.top-p.a.Z)/dz), math.Min(1, (s.low-p.a.Z)/dz)
	case p.a.Z < s.low || p.a.Z > s.top:
		return
	}
	if from > to {
		return
	}
	dx, dy := p.b.X-p.a.X, p.b.Y-p.a.Y
	x0, y0, x1, y1 := p.a.X+from*dx, p.a.Y+from*dy, p.a.X+to*dx, p.a.Y+to*dy
	if math.Max(x0, x1) < s.foot.x0 || math.Min(x0, x1) > s.foot.x1 || math.Max(y0, y1) < s.foot.y0 || math.Min(y0, y1) > s.foot.y1 {
		return
	}
	t.meetAll(s, s.everywhere, p)
	if x0 > x1 {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	share := func(x float64) float64 { return math.Max(0, math.Min(1, (x-x0)/(x1-x0))) }
	for c := s.column(x0); c <= s.column(x1); c++ {
		// The part of the way within this column, and the cells that it passes there.
		left, right := s.foot.x0+float64(c)*s.width, s.foot.x0+float64(c+1)*s.width
		ya, yb := y0, y1
		if x1 > x0 {
			ya, yb = y0+share(left)*(y1-y0), y0+share(right)*(y1-y0)
		}
		const hair = 1e-6 // m, so that what stands on the edge of a cell is not missed
		for r := s.row(math.Min(ya, yb) - hair); r <= s.row(math.Max(ya, yb)+hair); r++ {
			t.meetAll(s, s.cells[r*s.columns+c], p)
		}
	}
}

func (t *tracer) meetAll(s *storeyWalls, list []int32, p *path) {
	for _, i := range list {
		if w := &s.walls[i]; w.seen != t.number {
			w.seen = t.number
			t.meet(w, p)
		}
	}
}

// meet adds one wall, or its opening, if a path crosses it.
func (t *tracer) meet(w *barrier, p *path) {
	s, u, ok := crossing(p.a, p.b, w.wall.From, w.wall.To)
	z := p.a.Z + s*(p.b.Z-p.a.Z)
	if !ok || z < w.low || z > w.top {
		return
	}
	p.walls++
	for _, h := range w.holes {
		if u < h.from || u > h.to || z < h.low || z > h.top {
			continue
		}
		switch h.kind {
		case house.Door:
			p.fabric += t.loss(doorClass, p.ghz)
		case house.Window:
			p.fabric += t.loss(windowClass, p.ghz)
		}
		return
	}
	switch c := &t.classes[w.class]; {
	case c.opaque != "":
		if p.shielded == nil {
			p.shielded = w.wall
		}
	case len(c.layers) == 0:
		p.unknown++
		p.fabric += radio.HeavyWall
	default:
		p.fabric += t.loss(w.class, p.ghz)
	}
}

// atEnd is the share of a way from its ends within which a wall is where the module or the access point is.
const atEnd = 1e-9

// crossing is where two lines on the plan cross: as shares of the way from a to b and of the axis from c to d. Ends of the
// way do not count, so that a module in a wall is on neither side of it; the end of the axis belongs to the next wall.
func crossing(a, b house.XYZ, c, d house.XY) (along, axis float64, ok bool) {
	rx, ry, sx, sy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	cross := rx*sy - ry*sx
	if cross == 0 {
		return 0, 0, false
	}
	qx, qy := c.X-a.X, c.Y-a.Y
	along, axis = (qx*sy-qy*sx)/cross, (qx*ry-qy*rx)/cross
	return along, axis, along > atEnd && along < 1-atEnd && axis >= 0 && axis < 1
}
