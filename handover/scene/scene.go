// Package scene is the one drawing model of this project: a sheet with a few kinds of shape, rendered to SVG for the
// screen, to PDF for paper and to DXF for other drawing programs.
//
// A drawing is built once, in millimetres on paper with y downward, and every shape says what it means (its Role), not
// what it looks like: each renderer has one table from roles to pens, so that screen, paper and export agree and light,
// dark and black-and-white are a matter of that table. An Item is one thing that a person can point at; it carries the
// identity of the entity that it stands for and a sentence for those who cannot see it. Model maps paper back to the
// metres of the house for DXF.
//
// Symbols are vectors, never letters of a symbol font. Sources: general forms after IEC 60617 (from memory).
package scene

import (
	"fmt"
	"math"
	"strings"
)

// Point is a place on the sheet, in mm from its upper left corner.
type Point struct{ X, Y float64 }

// Role is what a shape means; renderers choose the pen.
type Role string

// The roles.
const (
	Wall      Role = "wall"      // cut walls
	Room      Role = "room"      // floor area
	Opening   Role = "opening"   // doors, windows
	Symbol    Role = "symbol"    // symbols of points
	Live      Role = "live"      // symbols of what is on or moving
	Cable     Role = "cable"     // mains cables
	Bus       Role = "bus"       // bus lines
	Grid      Role = "grid"      // rulings, frames
	Label     Role = "label"     // lettering
	Quiet     Role = "quiet"     // secondary lettering
	FaultMark Role = "fault"     // findings
	CautionMk Role = "caution"   //
	RemarkMk  Role = "remark"    //
	Wired     Role = "wired"     // modules on a line
	Radio     Role = "radio"     // modules by radio
	Paper     Role = "paper"     // knocks out what is below
	Highlight Role = "highlight" // selection
)

// Shape is one of Path, Circle and Text.
type Shape interface{ dump(b *strings.Builder) }

// Path is a line or an area through points.
type Path struct {
	Role   Role
	Points []Point
	Closed bool
	Filled bool
	Dashed bool
	Width  float64 // mm; 0 for the role's usual
}

// Circle is a circle line or a disc.
type Circle struct {
	Role   Role
	Centre Point
	Radius float64
	Filled bool
	Width  float64
}

// Anchor is which end of a text stands at its point.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of lettering; its point is on the base line.
type Text struct {
	Role   Role
	At     Point
	Size   float64 // height of the type in mm
	Anchor Anchor
	Bold   bool
	Turn   float64 // degrees, counter-clockwise
	String string
}

// Item is one thing that can be pointed at.
type Item struct {
	Layer  string // "walls", "points", … ; DXF layer and SVG group
	Entity string // identity of what it stands for, empty for none
	Label  string // a sentence for those who cannot see it, empty for mere lines
	Shapes []Shape
}

// Model maps the sheet back to the house: x = OriginX + X·Scale/1000, y = OriginY − Y·Scale/1000, in metres.
type Model struct{ Scale, OriginX, OriginY float64 }

// Scene is one sheet.
type Scene struct {
	Title         string
	Width, Height float64 // mm
	Model         *Model
	Items         []Item
}

// Add appends an item.
func (s *Scene) Add(i Item) { s.Items = append(s.Items, i) }

// String dumps the scene as text, a line a shape: what golden files hold.
func (s *Scene) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "sheet %q %s x %s\n", s.Title, mm(s.Width), mm(s.Height))
	for _, i := range s.Items {
		fmt.Fprintf(&b, "%s %q %q\n", i.Layer, i.Entity, i.Label)
		for _, sh := range i.Shapes {
			b.WriteString("  ")
			sh.dump(&b)
			b.WriteByte('\n')
		}
	}
	return b.String()
}

func (p Path) dump(b *strings.Builder) {
	fmt.Fprintf(b, "path %s%s%s%s%s", p.Role, flag(p.Closed, " closed"), flag(p.Filled, " filled"), flag(p.Dashed, " dashed"), widthText(p.Width))
	for _, q := range p.Points {
		b.WriteString(" " + mm(q.X) + "," + mm(q.Y))
	}
}

func (c Circle) dump(b *strings.Builder) {
	fmt.Fprintf(b, "circle %s%s%s %s,%s r %s", c.Role, flag(c.Filled, " filled"), widthText(c.Width), mm(c.Centre.X), mm(c.Centre.Y), mm(c.Radius))
}

func (t Text) dump(b *strings.Builder) {
	turn := ""
	if t.Turn != 0 {
		turn = " turned " + mm(t.Turn)
	}
	fmt.Fprintf(b, "text %s%s%s%s %s,%s size %s %q", t.Role, [3]string{"", " middle", " end"}[t.Anchor], flag(t.Bold, " bold"), turn, mm(t.At.X), mm(t.At.Y), mm(t.Size), t.String)
}

func widthText(w float64) string {
	if w == 0 {
		return ""
	}
	return " width " + mm(w)
}

func flag(on bool, s string) string {
	if on {
		return s
	}
	return ""
}

// mm prints millimetres to a hundredth, so that a sheet does not depend on the last bits of a processor.
func mm(v float64) string {
	r := math.Round(v*100) / 100
	if r == 0 {
		r = 0 // no negative zero
	}
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", r), "0"), ".")
}

// Texts lists all lettering of the scene, in its order.
func (s *Scene) Texts() []string {
	var list []string
	for _, i := range s.Items {
		for _, sh := range i.Shapes {
			if t, ok := sh.(Text); ok {
				list = append(list, t.String)
			}
		}
	}
	return list
}
