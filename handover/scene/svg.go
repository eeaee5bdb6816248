package scene

import (
	"encoding/xml"
	"fmt"
	"strings"
)

// SVG renders the scene for the screen. Shapes carry their role as class names ("line wall", "area room", "text label")
// and no colours: the page's style sheet has the pens. A shape with a width of its own says so in stroke-width and by the
// class "own", since a style sheet would outrank the former. Items with an entity become focusable groups with an accessible
// name and data-entity, in one group a layer. Standalone adds the print pens as a style element.
func (s *Scene) SVG(standalone bool) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s"`, mm(s.Width), mm(s.Height))
	if standalone {
		fmt.Fprintf(&b, ` width="%smm" height="%smm"`, mm(s.Width), mm(s.Height))
	}
	fmt.Fprintf(&b, ` role="group" aria-label="%s">`, attr(s.Title))
	if standalone {
		b.WriteString("<style>" + printStyle() + "</style>")
	}
	layer := ""
	for _, i := range s.Items {
		if i.Layer != layer {
			if layer != "" {
				b.WriteString("</g>")
			}
			layer = i.Layer
			fmt.Fprintf(&b, "\n"+`<g class="layer layer-%s">`, attr(layer))
		}
		i.svg(&b)
	}
	if layer != "" {
		b.WriteString("</g>")
	}
	b.WriteString("\n</svg>\n")
	return []byte(b.String())
}

func (i Item) svg(b *strings.Builder) {
	switch {
	case i.Entity != "":
		fmt.Fprintf(b, "\n"+`<g class="item" tabindex="-1" role="button" data-entity="%s" aria-label="%s"><title>%s</title>`, attr(i.Entity), attr(i.Label), attr(i.Label))
	case i.Label != "":
		fmt.Fprintf(b, "\n"+`<g role="img" aria-label="%s">`, attr(i.Label))
	default:
		b.WriteString("\n" + `<g aria-hidden="true">`)
	}
	for _, sh := range i.Shapes {
		switch sh := sh.(type) {
		case Path:
			sh.svg(b)
		case Circle:
			fmt.Fprintf(b, `<circle class="%s%s" cx="%s" cy="%s" r="%s"%s/>`, class(sh.Filled, sh.Role), flag(sh.Width != 0, " own"), mm(sh.Centre.X), mm(sh.Centre.Y), mm(sh.Radius), strokeWidth(sh.Width))
		case Text:
			sh.svg(b)
		}
	}
	b.WriteString("</g>")
}

func (p Path) svg(b *strings.Builder) {
	fmt.Fprintf(b, `<path class="%s%s%s" d="`, class(p.Filled, p.Role), flag(p.Dashed, " dashed"), flag(p.Width != 0, " own"))
	for i, q := range p.Points {
		b.WriteString([2]string{"L", "M"}[btoi(i == 0)] + mm(q.X) + " " + mm(q.Y))
	}
	b.WriteString(flag(p.Closed, "Z") + `"` + strokeWidth(p.Width) + "/>")
}

func (t Text) svg(b *strings.Builder) {
	fmt.Fprintf(b, `<text class="text %s%s" x="%s" y="%s" font-size="%s"`, t.Role, flag(t.Bold, " bold"), mm(t.At.X), mm(t.At.Y), mm(t.Size))
	if t.Anchor != Start {
		fmt.Fprintf(b, ` text-anchor="%s"`, [3]string{"start", "middle", "end"}[t.Anchor])
	}
	if t.Turn != 0 {
		fmt.Fprintf(b, ` transform="rotate(%s %s %s)"`, mm(-t.Turn), mm(t.At.X), mm(t.At.Y))
	}
	b.WriteString(">" + attr(t.String) + "</text>")
}

func class(filled bool, r Role) string {
	if filled {
		return "area " + string(r)
	}
	return "line " + string(r)
}

func strokeWidth(w float64) string {
	if w == 0 {
		return ""
	}
	return ` stroke-width="` + mm(w) + `"`
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func attr(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}
