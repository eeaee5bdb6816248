package scene

import (
	"fmt"
	"strings"
)

// pen is how paper shows a role: grey levels from 0 black to 255 white (colour for the three severities, which also
// differ in shape), and the usual line width in mm.
type pen struct {
	line, area [3]int
	width      float64
}

func grey(v int) [3]int { return [3]int{v, v, v} }

// pens is the table for paper, in the order in which a style sheet lists them.
var pens = []struct {
	role Role
	pen  pen
}{
	{Room, pen{grey(215), grey(250), 0.1}},
	{Wall, pen{grey(90), grey(90), 0.1}},
	{Opening, pen{grey(60), grey(255), 0.18}},
	{Symbol, pen{grey(0), grey(255), 0.25}},
	{Live, pen{grey(0), [3]int{255, 214, 90}, 0.35}},
	{Cable, pen{grey(120), grey(120), 0.2}},
	{Bus, pen{[3]int{20, 90, 140}, [3]int{20, 90, 140}, 0.3}},
	{Grid, pen{grey(170), grey(240), 0.15}},
	{Label, pen{grey(0), grey(0), 0.2}},
	{Quiet, pen{grey(95), grey(95), 0.2}},
	{FaultMark, pen{[3]int{170, 20, 20}, [3]int{170, 20, 20}, 0.4}},
	{CautionMk, pen{[3]int{150, 95, 0}, [3]int{150, 95, 0}, 0.4}},
	{RemarkMk, pen{[3]int{30, 80, 150}, [3]int{30, 80, 150}, 0.3}},
	{Wired, pen{[3]int{20, 90, 140}, [3]int{222, 236, 246}, 0.25}},
	{Radio, pen{[3]int{110, 60, 130}, [3]int{241, 230, 246}, 0.25}},
	{Paper, pen{grey(255), grey(255), 0.1}},
	{Highlight, pen{[3]int{0, 90, 200}, [3]int{225, 236, 252}, 0.6}},
}

func penOf(r Role) pen {
	for _, p := range pens {
		if p.role == r {
			return p.pen
		}
	}
	return pen{grey(0), grey(0), 0.2}
}

// printStyle is the table for paper as a style sheet, for stand-alone SVG files.
func printStyle() string {
	var b strings.Builder
	b.WriteString("text{font-family:'IBM Plex Sans',sans-serif}.bold{font-weight:600}.line{fill:none}.dashed{stroke-dasharray:1 .8}")
	for _, p := range pens {
		fmt.Fprintf(&b, ".line.%s{stroke:%s}.area.%s{fill:%s;stroke:%s}.%s:not(.own){stroke-width:%s}.text.%s{fill:%s}", p.role, rgb(p.pen.line),
			p.role, rgb(p.pen.area), rgb(p.pen.line), p.role, mm(p.pen.width), p.role, rgb(p.pen.line))
	}
	return b.String()
}

func rgb(c [3]int) string { return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]) }
