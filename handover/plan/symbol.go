package plan

import (
	"math"

	"wirewright/handover/scene"
	"wirewright/house"
)

// Symbol is the symbol of a kind of point around a place, for plans and for the legend that explains them.
func Symbol(k house.Kind, at scene.Point) []scene.Shape {
	return symbolOf(house.Point{Kind: k}, at, false)
}

// symbolOf draws a point's symbol: lamps are a circle with a cross, motors a frame with slats and an arrow, keypads a
// frame with one dot a key, and so on. Each also differs in form, none in colour alone.
func symbolOf(p house.Point, at scene.Point, live bool) []scene.Shape {
	role := scene.Symbol
	if live {
		role = scene.Live
	}
	s := pencil{at: at, role: role}
	switch p.Kind {
	case house.Lamp:
		s.lamp(p)
	case house.Shutter, house.Awning:
		s.shutter(p)
	case house.Keypad:
		s.keypad(p)
	case house.Socket:
		s.socket()
	case house.Fan:
		s.disc().line(-.55, 0, .55, 0).line(0, -.55, 0, .55).ring(-.28, -.28, .28).ring(.28, .28, .28)
	case house.Valve:
		s.area(-.95, -.6, .95, .6, .95, -.6, -.95, .6)
	case house.Gate:
		s.frame(1, .6).line(-.6, .6, -.6, -.6).line(0, .6, 0, -.6).line(.6, .6, .6, -.6)
	case house.Contactor:
		s.frame(.8, .8).line(-.8, -.8, .8, .8)
	case house.Contact:
		s.frame(.8, .8).line(-.5, 0, -.1, 0).line(-.1, 0, .4, -.45).line(.35, 0, .6, 0)
	case house.Presence:
		s.frame(.8, .8).arc(-.5, .5, .55).arc(-.5, .5, 1.0)
	case house.Thermometer:
		s.frame(.8, .8).line(0, -.55, 0, .2).ring(0, .4, .2)
	case house.Light:
		s.frame(.8, .8).ring(0, 0, .3).line(0, -.45, 0, -.62).line(0, .45, 0, .62).line(-.45, 0, -.62, 0).line(.45, 0, .62, 0)
	case house.Wind:
		s.frame(.8, .8).line(-.55, -.2, .5, -.2).line(-.55, .2, .3, .2)
	case house.Rain:
		s.frame(.8, .8).line(-.4, -.4, -.55, .1).line(.05, -.4, -.1, .1).line(.5, -.4, .35, .1)
	case house.Meter:
		s.frame(.8, .8).arc(-.5, .45, .8)
	default:
		s.disc()
	}
	return s.shapes
}

// pencil draws around a place in units of the symbol's half-size, y downward.
type pencil struct {
	at     scene.Point
	role   scene.Role
	shapes []scene.Shape
}

func (s *pencil) p(x, y float64) scene.Point {
	return scene.Point{X: s.at.X + x*symbol, Y: s.at.Y + y*symbol}
}

func (s *pencil) line(x0, y0, x1, y1 float64) *pencil {
	s.shapes = append(s.shapes, scene.Path{Role: s.role, Points: []scene.Point{s.p(x0, y0), s.p(x1, y1)}})
	return s
}

func (s *pencil) area(xy ...float64) *pencil {
	var ps []scene.Point
	for i := 0; i+1 < len(xy); i += 2 {
		ps = append(ps, s.p(xy[i], xy[i+1]))
	}
	s.shapes = append(s.shapes, scene.Path{Role: s.role, Points: ps, Closed: true, Filled: true})
	return s
}

func (s *pencil) frame(w, h float64) *pencil { return s.area(-w, -h, w, -h, w, h, -w, h) }

func (s *pencil) disc() *pencil {
	s.shapes = append(s.shapes, scene.Circle{Role: s.role, Centre: s.at, Radius: symbol * .9, Filled: true})
	return s
}

func (s *pencil) ring(x, y, r float64) *pencil {
	s.shapes = append(s.shapes, scene.Circle{Role: s.role, Centre: s.p(x, y), Radius: r * symbol})
	return s
}

// arc is a quarter circle to the upper right around a place.
func (s *pencil) arc(x, y, r float64) *pencil {
	var ps []scene.Point
	for i := range 9 {
		a := float64(i) / 8 * math.Pi / 2
		ps = append(ps, s.p(x+r*math.Cos(a), y-r*math.Sin(a)))
	}
	s.shapes = append(s.shapes, scene.Path{Role: s.role, Points: ps})
	return s
}

func (s *pencil) lamp(p house.Point) {
	const c = .636
	s.disc().line(-c, -c, c, c).line(-c, c, c, -c)
	if p.Load != nil && p.Load.Dimmed {
		s.line(-1.0, 1.0, 1.0, -1.0).line(1.0, -1.0, .62, -.92).line(1.0, -1.0, .92, -.62)
	}
}

func (s *pencil) shutter(p house.Point) {
	s.frame(1, .75).line(-1, -.35, 1, -.35).line(-1, 0, 1, 0).line(-1, .35, 1, .35)
	if p.Kind == house.Awning {
		s.line(-1, -.75, 1, .75)
	}
}

// keypad is a frame with one dot a key, at most eight.
func (s *pencil) keypad(p house.Point) {
	s.frame(.85, .85)
	n := min(max(len(p.Keys), 1), 8)
	columns := 1 + btoi(n > 1)
	rows := (n + columns - 1) / columns
	for i := range n {
		x := float64(i%columns)*.8 - .4*float64(columns-1)
		y := (float64(i/columns)+.5)/float64(rows)*1.4 - .7
		s.shapes = append(s.shapes, scene.Circle{Role: scene.Label, Centre: s.p(x, y), Radius: .13 * symbol, Filled: true})
	}
}

func (s *pencil) socket() {
	ps := []scene.Point{s.p(-.9, .3)}
	for i := range 13 {
		a := math.Pi * (1 - float64(i)/12)
		ps = append(ps, s.p(.9*math.Cos(a), .3-.9*math.Sin(a)))
	}
	s.shapes = append(s.shapes, scene.Path{Role: s.role, Points: ps, Closed: true, Filled: true})
	s.line(-.9, .75, .9, .75).line(0, .3, 0, .75)
}

func square(c scene.Point, r float64) []scene.Point {
	return []scene.Point{{X: c.X - r, Y: c.Y - r}, {X: c.X + r, Y: c.Y - r}, {X: c.X + r, Y: c.Y + r}, {X: c.X - r, Y: c.Y + r}}
}

// markShapes draws a flag for a finding: a filled triangle for a fault, an open one for a caution, a ring for a remark.
func markShapes(m Mark, at scene.Point) []scene.Shape {
	tri := []scene.Point{{X: at.X, Y: at.Y - 1.1}, {X: at.X + 1.1, Y: at.Y + .8}, {X: at.X - 1.1, Y: at.Y + .8}}
	switch m.Role {
	case scene.FaultMark:
		return []scene.Shape{scene.Path{Role: m.Role, Points: tri, Closed: true, Filled: true}}
	case scene.CautionMk:
		return []scene.Shape{scene.Path{Role: m.Role, Points: tri, Closed: true}}
	}
	return []scene.Shape{scene.Circle{Role: m.Role, Centre: at, Radius: .7}}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
