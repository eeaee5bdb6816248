package ifc

import "math"

// vec is a place or a direction in space, in metres.
type vec struct{ X, Y, Z float64 }

func (a vec) plus(b vec) vec      { return vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a vec) minus(b vec) vec     { return vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a vec) times(f float64) vec { return vec{a.X * f, a.Y * f, a.Z * f} }
func (a vec) dot(b vec) float64   { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a vec) length() float64     { return math.Sqrt(a.dot(a)) }
func (a vec) flat() point         { return point{a.X, a.Y} }
func (a vec) isFinite() bool      { return isFinite(a.X) && isFinite(a.Y) && isFinite(a.Z) }
func isFinite(f float64) bool     { return !math.IsNaN(f) && math.Abs(f) <= farthest }
func (a vec) cross(b vec) vec     { return vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X} }
func (a vec) unit() (vec, bool)   { l := a.length(); return a.times(1 / l), l > 1e-12 && isFinite(l) }

// farthest is the largest coordinate, in metres, that is taken for one: a little more than the way round the Earth, so that
// models in map coordinates pass and numbers that only do harm do not.
const farthest = 1e8

// frame is a right-handed (or, under a mirror, left-handed) set of axes with an origin: it turns local places into places
// of the world.
type frame struct{ x, y, z, o vec }

var world = frame{x: vec{1, 0, 0}, y: vec{0, 1, 0}, z: vec{0, 0, 1}}

func (f frame) dir(v vec) vec {
	return f.x.times(v.X).plus(f.y.times(v.Y)).plus(f.z.times(v.Z))
}

func (f frame) at(v vec) vec { return f.o.plus(f.dir(v)) }

// in places frame g, given in the coordinates of f, into the world.
func (f frame) in(g frame) frame {
	return frame{x: f.dir(g.x), y: f.dir(g.y), z: f.dir(g.z), o: f.at(g.o)}
}

// axes makes a frame from a z axis and a direction that shows roughly where x goes: x is made square to z. Unset or useless
// directions mean the axes of the world.
func axes(o, z, ref vec) frame {
	uz, ok := z.unit()
	if !ok {
		uz = world.z
	}
	ux, ok := ref.minus(uz.times(ref.dot(uz))).unit()
	if !ok {
		ux, ok = world.x.minus(uz.times(world.x.dot(uz))).unit()
		if !ok {
			ux, _ = world.y.minus(uz.times(world.y.dot(uz))).unit()
		}
	}
	return frame{x: ux, y: uz.cross(ux), z: uz, o: o}
}
