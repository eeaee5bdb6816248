package workbench

import (
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"

	"wirewright/house"
)

// drawing is a plan as the page shows it: the scene's own SVG read back into plain values, which the template writes out
// again. So the page's markup stands in templates alone, every text and attribute passes their escaping, and nothing but
// the shapes named here can come through, whatever a name in the house says.
type drawing struct {
	Label  string
	Whole  box // the sheet
	Shown  box // the section that the page shows
	Ring   *box
	Layers []layer
	Still  bool // a small picture beside a text: no links, nothing to walk through
}

// layer is one layer of the plan.
type layer struct {
	Class string `xml:"class,attr"`
	Items []item `xml:"g"`
}

// item is one thing of the plan; those with an entity can be pointed at.
type item struct {
	Entity house.ID `xml:"data-entity,attr"`
	Label  string   `xml:"aria-label,attr"`
	Shapes []shape  `xml:",any"`
	Kind   string   `xml:"-"` // of the entity, as its passport knows it
	Box    box      `xml:"-"`
}

// shape is a path, a circle or a text; what does not belong to it is empty.
type shape struct {
	XMLName   xml.Name
	Class     string `xml:"class,attr"`
	Path      string `xml:"d,attr"`
	CX        string `xml:"cx,attr"`
	CY        string `xml:"cy,attr"`
	R         string `xml:"r,attr"`
	X         string `xml:"x,attr"`
	Y         string `xml:"y,attr"`
	Size      string `xml:"font-size,attr"`
	Anchor    string `xml:"text-anchor,attr"`
	Transform string `xml:"transform,attr"`
	Width     string `xml:"stroke-width,attr"`
	Text      string `xml:",chardata"`
}

// kindOfLayer is what the entities of a layer are.
var kindOfLayer = map[string]string{"layer layer-rooms": "room", "layer layer-walls": "wall", "layer layer-openings": "opening",
	"layer layer-points": "point", "layer layer-modules": "module", "layer layer-boards": "board"}

// readDrawing reads what the scene has written.
func readDrawing(svg []byte) (*drawing, error) {
	var root struct {
		XMLName xml.Name `xml:"svg"`
		ViewBox string   `xml:"viewBox,attr"`
		Label   string   `xml:"aria-label,attr"`
		Layers  []layer  `xml:"g"`
	}
	if err := xml.Unmarshal(svg, &root); err != nil {
		return nil, fmt.Errorf("the plan cannot be read back: %w", err)
	}
	d := &drawing{Label: root.Label, Layers: root.Layers}
	v := numbers(root.ViewBox)
	if len(v) != 4 || v[2] <= 0 || v[3] <= 0 {
		return nil, fmt.Errorf("the plan cannot be read back: its view box is %q", root.ViewBox)
	}
	d.Whole = box{v[0], v[1], v[2], v[3]}
	d.Shown = d.Whole
	for i := range d.Layers {
		l := &d.Layers[i]
		for k := range l.Items {
			it := &l.Items[k]
			it.Kind, it.Box = kindOfLayer[l.Class], boxOf(it.Shapes)
			if it.Entity == "" {
				it.Kind = ""
			} else if !strings.Contains(it.Label, string(it.Entity)) {
				it.Label += ", " + string(it.Entity) // what stands beside the symbol is a part of it (WCAG 2.2, 2.5.3)
			}
		}
	}
	return d, nil
}

// Pointed tells whether an item is one that people point at: walls and openings are drawn, and told apart by the rooms.
func (i item) Pointed() bool { return i.Kind != "" && i.Kind != "wall" && i.Kind != "opening" }

// Small tells whether an item needs a larger area to be hit.
func (i item) Small() bool { return i.Pointed() && i.Kind != "room" }

// Far tells whether the section is so large that names beside symbols would be too small to read.
func (d *drawing) Far() bool { return d.Shown.W > farWidth }

// farWidth is in mm of the sheet: a page shows some 900 px of it.
const farWidth = 240

// section shows a part of the sheet and leaves out what lies wholly outside of it.
func (d *drawing) section(b box) {
	d.Shown = b
	for i := range d.Layers {
		l := &d.Layers[i]
		var in []item
		for _, it := range l.Items {
			if it.Box.touches(b) {
				in = append(in, it)
			}
		}
		l.Items = in
	}
}

// find is where an entity is drawn, and whether it is.
func (d *drawing) find(id house.ID) (box, bool) {
	for _, l := range d.Layers {
		for _, it := range l.Items {
			if it.Entity == id && id != "" {
				return it.Box, true
			}
		}
	}
	return box{}, false
}

// box is a rectangle of the sheet in mm.
type box struct{ X, Y, W, H float64 }

// String is the form of a view box and of the section in an address.
func (b box) String() string {
	return strings.Join([]string{number(b.X), number(b.Y), number(b.W), number(b.H)}, " ")
}

// CX and CY are the middle.
func (b box) CX() string { return number(b.X + b.W/2) }

// CY is the height of the middle.
func (b box) CY() string { return number(b.Y + b.H/2) }

func number(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), ".")
}

func (b box) touches(c box) bool {
	return b.X <= c.X+c.W && c.X <= b.X+b.W && b.Y <= c.Y+c.H && c.Y <= b.Y+b.H
}

// zoom makes the section smaller or larger around its middle.
func (b box) zoom(k float64) box {
	return box{b.X + b.W*(1-k)/2, b.Y + b.H*(1-k)/2, b.W * k, b.H * k}
}

// move shifts the section by shares of its size.
func (b box) move(x, y float64) box { return box{b.X + b.W*x, b.Y + b.H*y, b.W, b.H} }

// within keeps the section at a sensible size and its middle on the sheet.
func (b box) within(whole box) box {
	k := math.Min(1, math.Min(whole.W*sectionMost/b.W, whole.H*sectionMost/b.H))
	k = math.Max(k, sectionLeast/math.Max(b.W, b.H))
	if k != 1 {
		b = b.zoom(k)
	}
	b.X = math.Min(math.Max(b.X, whole.X-b.W/2), whole.X+whole.W-b.W/2)
	b.Y = math.Min(math.Max(b.Y, whole.Y-b.H/2), whole.Y+whole.H-b.H/2)
	return b
}

const (
	sectionMost  = 1.5 // of the sheet
	sectionLeast = 12  // mm
)

// readBox reads a section from an address, "x y w h" in mm; false where it is none.
func readBox(s string) (box, bool) {
	v := numbers(s)
	if len(v) != 4 || v[2] <= 0 || v[3] <= 0 {
		return box{}, false
	}
	return box{v[0], v[1], v[2], v[3]}, true
}

// numbers reads the numbers of a text that are separated by anything else; none where one is out of all range.
func numbers(s string) []float64 {
	if len(s) > pathMost {
		return nil
	}
	var list []float64
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != '-' }) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil || math.Abs(v) > numberMost {
			return nil
		}
		list = append(list, v)
	}
	return list
}

const (
	pathMost   = 1 << 16 // bytes
	numberMost = 1e6     // mm
)

// boxOf is the extent of shapes, texts left out unless there is nothing else.
func boxOf(shapes []shape) box {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	grow := func(x, y, r float64) {
		x0, y0, x1, y1 = math.Min(x0, x-r), math.Min(y0, y-r), math.Max(x1, x+r), math.Max(y1, y+r)
	}
	for pass := 0; pass < 2 && x1 < x0; pass++ {
		for _, s := range shapes {
			switch v := numbers(s.Path + " " + s.CX + " " + s.CY + " " + s.R); {
			case s.Path != "":
				for i := 0; i+1 < len(v); i += 2 {
					grow(v[i], v[i+1], 0)
				}
			case s.R != "" && len(v) == 3:
				grow(v[0], v[1], v[2])
			case pass == 1:
				if at := numbers(s.X + " " + s.Y); len(at) == 2 {
					grow(at[0], at[1], 1)
				}
			}
		}
	}
	if x1 < x0 {
		return box{}
	}
	return box{x0, y0, x1 - x0, y1 - y0}
}

// layerName is the scene's name of a layer.
func layerName(class string) string { return strings.TrimPrefix(class, "layer layer-") }
