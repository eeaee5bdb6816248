package plan

import (
	"wirewright/handover/scene"
	"wirewright/house"
)

// Sign is one sign of a plan that is no symbol of a point, with what it says.
type Sign struct {
	Says   string
	Shapes []scene.Shape
}

// Signs are the signs of a plan around a place, for the legend that explains them.
func Signs(at scene.Point) []Sign {
	dimmed := symbolOf(house.Point{Kind: house.Lamp, Load: &house.Load{Dimmed: true}}, at, false)
	loose := append(Symbol(house.Lamp, at), scene.Path{Role: scene.Quiet, Dashed: true, Closed: true, Points: square(at, symbol*1.35)})
	box := func(r scene.Role, w, h float64) []scene.Shape {
		return []scene.Shape{scene.Path{Role: r, Closed: true, Filled: true,
			Points: []scene.Point{{X: at.X - w, Y: at.Y - h}, {X: at.X + w, Y: at.Y - h}, {X: at.X + w, Y: at.Y + h}, {X: at.X - w, Y: at.Y + h}}}}
	}
	return []Sign{
		{"lamp that is dimmed", dimmed},
		{"place not yet known", loose},
		{"fault found here", markShapes(Mark{Role: scene.FaultMark}, at)},
		{"caution found here", markShapes(Mark{Role: scene.CautionMk}, at)},
		{"module by radio", box(scene.Radio, moduleWide, moduleHigh)},
		{"module on a bus line", box(scene.Wired, moduleWide, moduleHigh)},
		{"board", box(scene.Symbol, boardWide, boardHigh)},
		{"access point", box(scene.Highlight, 1.2, 1.2)},
	}
}
