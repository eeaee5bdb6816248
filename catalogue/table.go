package catalogue

import (
	"fmt"
	"strings"
)

// section is one part of the printed catalogue: the types that it takes.
type section struct {
	title string
	takes func(t *Type) bool
}

// sections divide the types; the first that takes a type prints it.
var sections = []section{
	{"Line heads and bus supplies", func(t *Type) bool { return t.Does() != RoleModule }},
	{"Wired output modules", func(t *Type) bool { return t.Medium == Wired && t.outputs() }},
	{"Wired inputs, keypads and sensors", func(t *Type) bool { return t.Medium == Wired }},
	{"Wi-Fi output modules", func(t *Type) bool { return t.Medium == WiFi && t.outputs() && t.Mount != Plate }},
	{"Wi-Fi inputs, keypads and sensors", func(t *Type) bool { return t.Medium == WiFi }},
	{"Modules of other makes", func(*Type) bool { return true }},
}

// outputs tells whether the type moves anything.
func (t *Type) outputs() bool {
	for i := range t.Channels {
		if t.Channels[i].Kind.Output() {
			return true
		}
	}
	return false
}

// Table prints a catalogue as a document in Markdown: its types by section, its cables and its materials, in the order in
// which they stand.
func Table(c *Catalogue) string {
	var b strings.Builder
	b.WriteString("# Catalogue\n\n")
	b.WriteString("Generated from the built-in catalogue; do not edit. The types are generic and invented within the usual range of the\n" +
		"trade (common practice, no source). Add your own in YAML beside the job. A rating holds for its load category only\n" +
		"(IEC 60947-4-1, IEC 60947-5-1): where a category is not listed, the output must not carry it.\n")
	printed := make([]bool, len(c.Types))
	for _, s := range sections {
		var rows []string
		for i := range c.Types {
			if t := &c.Types[i]; !printed[i] && s.takes(t) {
				printed[i] = true
				rows = append(rows, row(code(t.ID), t.Title, t.space(), t.channelText(), t.ratingText(), t.feedText(), t.Price.String()))
			}
		}
		table(&b, s.title, []string{"type", "what it is", "space", "channels", "ratings of an output", "feed and capacity", "price"}, rows)
	}
	cableTable(&b, c)
	materialTable(&b, c)
	return b.String()
}

func cableTable(b *strings.Builder, c *Catalogue) {
	var rows []string
	for _, e := range c.Cables {
		rows = append(rows, row(code(e.ID), e.Title, e.Section.String(), e.Loop.String(), e.Price.String(), e.Source))
	}
	table(b, "Cables", []string{"cable", "what it is", "section", "loop resistance of 1 km at 20 °C", "price of 1 m", "source"}, rows)
}

func materialTable(b *strings.Builder, c *Catalogue) {
	var rows []string
	for _, m := range c.Materials {
		figures := fmt.Sprintf("a %g, b %g, c %g, d %g", m.A, m.B, m.C, m.D)
		if m.Opaque {
			figures = "opaque"
		}
		rows = append(rows, row(code(m.ID), m.Title, figures, m.Source, strings.Join(m.Words, ", ")))
	}
	table(b, "Materials", []string{"material", "what it is", "radio side (ITU-R P.2040, f in GHz)", "source", "how drawings name it"}, rows)
}

// table prints one section, nothing where it has no rows.
func table(b *strings.Builder, title string, heads, rows []string) {
	if len(rows) == 0 {
		return
	}
	fmt.Fprintf(b, "\n## %s\n\n%s\n|%s\n%s\n", title, row(heads...), strings.Repeat("---|", len(heads)), strings.Join(rows, "\n"))
}

func row(cells ...string) string {
	for i, c := range cells {
		cells[i] = strings.ReplaceAll(strings.Join(strings.Fields(c), " "), "|", `\|`)
	}
	return "| " + strings.Join(cells, " | ") + " |"
}

func code(s string) string { return "`" + s + "`" }

// space says what room the type needs where it goes.
func (t *Type) space() string {
	switch t.Mount {
	case Rail:
		return fmt.Sprintf("rail, %d units", t.Units)
	case BoxIn, Plate:
		s := string(t.Mount) + ", " + t.Depth.String() + " deep"
		if t.Neutral {
			s += ", neutral"
		}
		return s
	}
	return string(t.Mount)
}

func (t *Type) channelText() string {
	var parts []string
	for _, g := range t.Channels {
		part := fmt.Sprintf("%d %s", g.Count, g.Kind)
		if g.Edge != "" {
			part += " (" + g.Edge + " edge, from " + g.Least.String() + ")"
		}
		parts = append(parts, part)
	}
	if t.Display > 0 {
		parts = append(parts, fmt.Sprintf("display of %d pages", t.Display))
	}
	return strings.Join(parts, ", ")
}

func (t *Type) ratingText() string {
	var parts []string
	for _, g := range t.Channels {
		for _, r := range g.Ratings {
			parts = append(parts, r.String())
		}
		for _, d := range g.Derate {
			parts = append(parts, d.String())
		}
	}
	if t.Common > 0 {
		parts = append(parts, "all together "+t.Common.String())
	}
	return strings.Join(parts, "; ")
}

// String prints a row of a derating table: "80 % with 3 loaded".
func (d Derate) String() string {
	text := d.Share.String()
	if d.Loaded > 0 {
		text += fmt.Sprintf(" with %d loaded", d.Loaded)
	}
	if d.Above != 0 {
		text += " from " + d.Above.String()
	}
	return text
}

// String prints the rating: its category and every limit that applies.
func (r Rating) String() string {
	parts := []string{string(r.Category)}
	if r.Current > 0 {
		parts = append(parts, r.Current.String())
	}
	if r.Power > 0 {
		parts = append(parts, r.Power.String())
	}
	if r.Apparent > 0 {
		parts = append(parts, r.Apparent.String())
	}
	if r.Count > 0 {
		parts = append(parts, fmt.Sprintf("%d lamps", r.Count))
	}
	if r.Inrush > 0 {
		parts = append(parts, r.Inrush.String()+" inrush")
	}
	return strings.Join(parts, " ")
}

func (t *Type) feedText() string {
	var parts []string
	if b := t.Bus; b != nil && b.Supply > 0 {
		parts = append(parts, "gives "+b.Supply.String()+" at "+b.Voltage.String())
	} else if b != nil {
		parts = append(parts, "bus "+b.Draw.String()+" at "+b.Voltage.String())
	}
	if b := t.Bus; b != nil && b.MaxTaps > 0 {
		parts = append(parts, fmt.Sprintf("%d modules, %s", b.MaxTaps, b.MaxLength))
	}
	if t.Standby > 0 {
		parts = append(parts, "stand-by "+t.Standby.String())
	}
	if t.Heat > 0 {
		parts = append(parts, "heat "+t.Heat.String())
	}
	if r := t.Radio; r != nil {
		parts = append(parts, fmt.Sprintf("radio %s, %s", r.Power, r.Sensitivity))
	}
	if k := t.Capacity; k != nil {
		parts = append(parts, fmt.Sprintf("%d rules, %d bytes, %d slots", k.Rules, k.Bytes, k.Slots))
	}
	return strings.Join(parts, "; ")
}
