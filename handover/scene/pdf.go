package scene

import (
	"math"

	"github.com/go-pdf/fpdf"
)

// FontFamily is the name under which AddFonts registers the type.
const FontFamily = "sans"

// AddFonts registers the type of this package with a document, regular and bold.
func AddFonts(f *fpdf.Fpdf) {
	f.AddUTF8FontFromBytes(FontFamily, "", FontRegular)
	f.AddUTF8FontFromBytes(FontFamily, "B", FontBold)
}

// pointsPerMM is the number of typographic points in a millimetre.
const pointsPerMM = 72 / 25.4

// PDF draws the scene onto the current page of a document whose unit is mm, with its upper left corner at x, y.
// AddFonts must have been called.
func (s *Scene) PDF(f *fpdf.Fpdf, x, y float64) {
	for _, i := range s.Items {
		for _, sh := range i.Shapes {
			switch sh := sh.(type) {
			case Path:
				sh.pdf(f, x, y)
			case Circle:
				style := setPen(f, sh.Role, sh.Width, sh.Filled, false)
				f.Circle(x+sh.Centre.X, y+sh.Centre.Y, sh.Radius, style)
			case Text:
				sh.pdf(f, x, y)
			}
		}
	}
	f.SetDashPattern(nil, 0)
}

// setPen prepares line width, dash and colours and returns the drawing style.
func setPen(f *fpdf.Fpdf, r Role, width float64, filled, dashed bool) string {
	p := penOf(r)
	if width == 0 {
		width = p.width
	}
	f.SetLineWidth(width)
	if dashed {
		f.SetDashPattern([]float64{1, 0.8}, 0)
	} else {
		f.SetDashPattern(nil, 0)
	}
	f.SetDrawColor(p.line[0], p.line[1], p.line[2])
	if !filled {
		return "D"
	}
	f.SetFillColor(p.area[0], p.area[1], p.area[2])
	return "FD"
}

func (p Path) pdf(f *fpdf.Fpdf, x, y float64) {
	if len(p.Points) == 0 {
		return
	}
	style := setPen(f, p.Role, p.Width, p.Filled, p.Dashed)
	f.MoveTo(x+p.Points[0].X, y+p.Points[0].Y)
	for _, q := range p.Points[1:] {
		f.LineTo(x+q.X, y+q.Y)
	}
	if p.Closed {
		f.ClosePath()
	}
	f.DrawPath(style)
}

func (t Text) pdf(f *fpdf.Fpdf, x, y float64) {
	style := ""
	if t.Bold {
		style = "B"
	}
	f.SetFont(FontFamily, style, t.Size*pointsPerMM)
	c := penOf(t.Role).line
	f.SetTextColor(c[0], c[1], c[2])
	px, py := x+t.At.X, y+t.At.Y
	shift := [3]float64{0, 0.5, 1}[t.Anchor] * TextWidth(t.String, t.Size, t.Bold)
	if t.Turn == 0 {
		f.Text(px-shift, py, Printable(t.String))
		return
	}
	f.TransformBegin()
	f.TransformRotate(math.Mod(t.Turn, 360), px, py)
	f.Text(px-shift, py, Printable(t.String))
	f.TransformEnd()
}
