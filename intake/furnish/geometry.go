package furnish

import (
	"math"

	"wirewright/house"
	"wirewright/unit"
)

func plus(a, b house.XY) house.XY          { return house.XY{X: a.X + b.X, Y: a.Y + b.Y} }
func minus(a, b house.XY) house.XY         { return house.XY{X: a.X - b.X, Y: a.Y - b.Y} }
func times(a house.XY, f float64) house.XY { return house.XY{X: a.X * f, Y: a.Y * f} }
func dot(a, b house.XY) float64            { return a.X*b.X + a.Y*b.Y }
func length(a house.XY) float64            { return math.Hypot(a.X, a.Y) }
func middle(a, b house.XY) house.XY        { return times(plus(a, b), 0.5) }
func leftOf(a house.XY) house.XY           { return house.XY{X: -a.Y, Y: a.X} }

// direction is the unit vector from one place to another; false where they are one.
func direction(from, to house.XY) (house.XY, bool) {
	d := minus(to, from)
	l := length(d)
	if l < 1e-9 {
		return house.XY{}, false
	}
	return times(d, 1/l), true
}

// grid rounds to 0.1 mm, so that the same house always gets the same coordinates.
func grid(v float64) float64 {
	if r := math.Round(v*1e4) / 1e4; r != 0 {
		return r
	}
	return 0
}

func place(p house.XY, z float64) house.XYZ { return house.XYZ{X: grid(p.X), Y: grid(p.Y), Z: grid(z)} }

// onSegment is the place nearest to p between a and b.
func onSegment(p, a, b house.XY) house.XY {
	d := minus(b, a)
	l := dot(d, d)
	if l == 0 {
		return a
	}
	return plus(a, times(d, math.Max(0, math.Min(1, dot(minus(p, a), d)/l))))
}

// onOutline is the place of a room's outline nearest to p.
func onOutline(r *house.Room, p house.XY) house.XY {
	best, least := p, math.Inf(1)
	for i, a := range r.Outline {
		q := onSegment(p, a, r.Outline[(i+1)%len(r.Outline)])
		if d := length(minus(p, q)); d < least {
			best, least = q, d
		}
	}
	return best
}

// bearing is the direction of a vector of the plan, clockwise from true north, from 0 up to 360 degrees.
func bearing(v house.XY, north unit.Angle) unit.Angle {
	deg := math.Atan2(v.X, v.Y)*180/math.Pi + north.Deg()
	deg = math.Mod(math.Mod(deg, 360)+360, 360)
	return unit.Angle(math.Mod(math.Round(deg*10), 3600) * 100_000)
}
