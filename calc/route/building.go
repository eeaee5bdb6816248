// Package route computes how cables run in a building: along its walls in the customary zones, up and down beside corners
// and openings, through slabs where walls stand above each other, from a board to whatever it feeds.
//
// A Building goes in: storeys, walls with their openings, shafts, and the terminals (boards and points). New makes a graph
// of it: every wall gets a rail in each zone, cut where an opening lies across it; rails are joined where walls meet, at
// verticals, through slabs and, where walls of a storey stand apart, by the shortest way straight across the ceiling. A
// Search then finds the shortest ways from one terminal to many (Dijkstra's method, 1959, directed toward the terminals
// wanted as by Hart, Nilsson and Raphael, 1968), with whole micrometres as costs, so that equal ways are told apart by
// order alone: the same building gives the same ways. What cannot be reached is said so; nothing is guessed.
//
// Cut packs pieces of cable onto drums. Write exports the graph for other programs.
//
// Lengths run along the centre lines of walls; each terminal adds its way from there. The package knows nothing of houses.
//
// Sources: the zones are those of DIN 18015-3 (from memory); which ways are taken and what they cost beside their
// length is common practice, no source.
package route

import (
	"math"

	"wirewright/unit"
)

// XY is a place on the plan, in metres.
type XY struct{ X, Y float64 }

// XYZ is a place in the building, in metres.
type XYZ struct{ X, Y, Z float64 }

// Opening is a hole in a wall; heights are above the same level as all others.
type Opening struct {
	From, To   float64 // along the wall from its start, m
	Sill, Head float64 // its lower and upper edge, m
}

// Wall is a straight wall, given by its centre line.
type Wall struct {
	Storey    int // index in Building.Storeys
	From, To  XY
	Base      float64 // height of its foot, m
	Height    float64 // m
	Thickness float64 // m
	Worktop   bool    // it stands behind a worktop, and has the zone above it
	Openings  []Opening
}

// Terminal is where a cable begins or ends.
type Terminal struct {
	At     XYZ
	Storey int // index in Building.Storeys; -1 for the one in whose height it lies
}

// Building is what cables run in. Storeys are the heights of their floors, in rising order.
type Building struct {
	Storeys   []float64
	Walls     []Wall
	Shafts    []XY // ready-made ways through all slabs
	Terminals []Terminal
}

// Rules say where cables run and what ways cost. Heights and distances are in metres.
type Rules struct {
	Ceiling float64 // middle of the upper horizontal zone, below the ceiling
	Floor   float64 // middle of the lower horizontal zone, above the floor
	Worktop float64 // middle of the zone above worktops, above the floor
	Beside  float64 // middle of the vertical zones, from the corner or the edge of an opening
	Reach   float64 // how far a terminal may stand from the wall that it is fed from
	Span    float64 // how far apart walls may stand that are joined across the ceiling
	Slab    float64 // what a new hole through a slab costs, as metres of cable
	Across  float64 // what a way across the ceiling costs beside its length
}

// Customary gives the usual rules: horizontal zones 0.15 to 0.45 m below the ceiling and above the floor, 1.0 to 1.3 m
// where there are worktops, vertical zones 0.10 to 0.30 m beside corners and openings (DIN 18015-3, from memory), each
// taken in its middle. Reach, span and costs are common practice, no source.
func Customary() Rules {
	return Rules{Ceiling: 0.30, Floor: 0.30, Worktop: 1.15, Beside: 0.20, Reach: 12, Span: 8, Slab: 2, Across: 1}
}

// Zone is a customary place of cables.
type Zone uint8

// The zones.
const (
	UnderCeiling Zone = iota
	OverFloor
	OverWorktop
)

// most bounds coordinates, and longest the length of a wall, in metres: what is beyond is no part of a building.
const (
	most    = 10_000
	longest = 1000
)

// lowest is the height of a wall below which it has the lower zone only, in metres.
const lowest = 1.2

// Bad lists the walls that New leaves out: without length, or with numbers that no building has.
func (b *Building) Bad() []int {
	var list []int
	for i := range b.Walls {
		if !b.Walls[i].sound(len(b.Storeys)) {
			list = append(list, i)
		}
	}
	return list
}

func (w *Wall) sound(storeys int) bool {
	for _, v := range []float64{w.From.X, w.From.Y, w.To.X, w.To.Y, w.Base, w.Height, w.Thickness} {
		if math.IsNaN(v) || math.Abs(v) > most {
			return false
		}
	}
	return w.Storey >= 0 && w.Storey < storeys && w.length() >= 0.01 && w.length() <= longest && w.Height > 0 && w.Thickness >= 0
}

func (a XYZ) sound() bool {
	return math.Abs(a.X) <= most && math.Abs(a.Y) <= most && math.Abs(a.Z) <= most // false for NaN
}

func (w *Wall) length() float64 { return math.Hypot(w.To.X-w.From.X, w.To.Y-w.From.Y) }

// at is the place on the centre line at a distance from the start.
func (w *Wall) at(s float64) XY {
	t := s / w.length()
	return XY{w.From.X + t*(w.To.X-w.From.X), w.From.Y + t*(w.To.Y-w.From.Y)}
}

// foot is where a place lies as seen from the wall: along it from its start, not bounded by its ends, and across.
func (w *Wall) foot(p XY) (along, across float64) {
	l := w.length()
	ux, uy := (w.To.X-w.From.X)/l, (w.To.Y-w.From.Y)/l
	dx, dy := p.X-w.From.X, p.Y-w.From.Y
	return dx*ux + dy*uy, dy*ux - dx*uy
}

// Off is how far a place on the plan is from another one on the centre line of the wall: along it and across.
func (w *Wall) Off(p, from XYZ) (along, across float64) {
	s, c := w.foot(XY{p.X, p.Y})
	t, _ := w.foot(XY{from.X, from.Y})
	return math.Abs(s - t), math.Abs(c)
}

// Foot is the place on the centre line, or beyond its ends, beside a place; at the same height.
func (w *Wall) Foot(p XYZ) XYZ {
	s, _ := w.foot(XY{p.X, p.Y})
	q := w.at(s)
	return XYZ{q.X, q.Y, p.Z}
}

// open tells whether a vertical at s would meet an opening between two heights.
func (w *Wall) open(s, low, high float64) bool {
	for _, o := range w.Openings {
		if s > o.From+eps && s < o.To-eps && low < o.Head-eps && high > o.Sill+eps {
			return true
		}
	}
	return false
}

// cut tells whether an opening lies across a height anywhere between two places along the wall.
func (w *Wall) cut(from, to, z float64) bool {
	for _, o := range w.Openings {
		if to > o.From+eps && from < o.To-eps && z > o.Sill+eps && z < o.Head-eps {
			return true
		}
	}
	return false
}

// eps is a millimetre: nearer places are one.
const eps = 0.001

// length is a number of metres in whole micrometres.
func length(m float64) unit.Length { return unit.Length(math.Round(m * 1e6)) }

// between is the way from one place to another along one line. Both are rounded before, so that the parts of a way are as
// long as the whole, wherever it is divided.
func between(a, b float64) unit.Length {
	l := length(b) - length(a)
	return max(l, -l)
}
