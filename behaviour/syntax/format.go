package syntax

import (
	"fmt"
	"strings"

	"wirewright/unit"
)

// lineMost is the longest line, in characters, on which the formatter puts a whole statement.
const lineMost = 120

// Format prints the file in its canonical form: one effect stands on the line of its rule where the line is short
// enough; else each member has an indented line of its own. Parse reads the same tree from it.
func Format(f *File) string {
	w := &writer{}
	for _, s := range f.Statements {
		w.statement(s)
	}
	for _, c := range f.Tail {
		w.line(c)
	}
	return w.b.String()
}

// writer builds the text.
type writer struct{ b strings.Builder }

func (w *writer) line(s string) {
	w.b.WriteString(s)
	w.b.WriteByte('\n')
}

// noted prints a line with its comment.
func (w *writer) noted(s, note string) {
	if note != "" {
		s += "  " + commentLine(note)
	}
	w.line(s)
}

func (w *writer) statement(s Statement) {
	head := s.Heading()
	for _, c := range head.Lead {
		w.line(c)
	}
	switch s := s.(type) {
	case *Mode:
		w.noted("mode "+s.Name.Text+" is "+names(s.Values, " or "), s.Note)
	case *Group:
		w.noted("group "+s.Name.Text+": "+Targets(s.Members), s.Note)
	case *Hours:
		w.noted("hours "+s.Name.Text+": "+s.Window.String(), s.Note)
	case *Scene:
		w.members(head, "scene "+s.Name.Text+":", settingLines(s.Settings))
	case *Rule:
		w.rule(s)
	}
}

// memberLine is one setting or effect as printed, with its comments.
type memberLine struct {
	text string
	lead []string
	note string
}

func settingLines(list []*Setting) []memberLine {
	var lines []memberLine
	for _, s := range list {
		lines = append(lines, memberLine{Targets(s.Targets) + " " + s.State.String(), s.Lead, s.Note})
	}
	return lines
}

// members prints a head with its members: on one line if there is one member, short and without comments between.
func (w *writer) members(head *Head, title string, lines []memberLine) {
	last := title[strings.LastIndexByte(title, '\n')+1:]
	indent := last[:len(last)-len(strings.TrimLeft(last, " "))] + "  "
	if m := lines[0]; len(lines) == 1 && head.Note == "" && len(m.lead) == 0 && len(last)+1+len(m.text) <= lineMost {
		w.noted(title+" "+m.text, m.note)
		return
	}
	w.noted(title, head.Note)
	for _, m := range lines {
		for _, c := range m.lead {
			w.line(indent + c)
		}
		w.noted(indent+m.text, m.note)
	}
}

func (w *writer) rule(r *Rule) {
	var lines []memberLine
	for _, e := range r.Effects {
		lines = append(lines, memberLine{e.String(), e.Lead, e.Note})
	}
	w.members(&r.Head, r.title()+r.Cause()+":", lines)
}

// title prints the first line of a rule that has a name or a wish, with the line break and indent behind it.
func (r *Rule) title() string {
	var parts []string
	if r.Name != nil {
		parts = append(parts, "rule "+r.Name.Text)
	}
	if len(r.Wishes) > 0 {
		parts = append(parts, "for wish "+names(r.Wishes, " and "))
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, " ") + ":\n  "
}

// Cause prints what the rule begins with and its condition, without its effects.
func (r *Rule) Cause() string {
	s := r.trigger()
	switch {
	case r.If == nil:
	case r.Unless:
		s += ", unless " + Cond(r.If)
	default:
		s += ", if " + Cond(r.If)
	}
	return s
}

func (r *Rule) trigger() string {
	if r.While != nil {
		s := "while " + Cond(r.While)
		if r.Lasting != nil {
			s += " for at least " + r.Lasting.String()
		}
		return s
	}
	var texts []string
	for _, c := range r.Causes {
		texts = append(texts, c.event())
	}
	c := r.Causes[0]
	s := strings.Join(texts, " or ")
	switch c.Kind {
	case CauseMoment:
		return "at " + s + c.Days.on() + c.Dates.span()
	case CauseEvery:
		return "every " + s + c.Days.on() + c.Dates.span()
	}
	return "when " + s
}

// String prints the cause as it stands behind when, at or every.
func (c *Cause) String() string {
	switch c.Kind {
	case CauseMoment:
		return "at " + c.event() + c.Days.on() + c.Dates.span()
	case CauseEvery:
		return "every " + c.event() + c.Days.on() + c.Dates.span()
	}
	return c.event()
}

// causeTexts print the causes that need a name only.
var causeTexts = map[CauseKind]string{
	CausePressed: "is pressed", CauseTwice: "is pressed twice", CauseHeld: "is held", CauseLetGo: "is let go",
	CauseOpens: "opens", CauseCloses: "closes", CauseBegins: "begins", CauseEnds: "ends",
	CauseTurnsOn: "turns on", CauseTurnsOff: "turns off",
}

func (c *Cause) event() string {
	s := ""
	switch c.Kind {
	case CauseBecomes:
		s = c.Point.Text + " becomes " + c.Value.Text
	case CauseRises:
		s = fmt.Sprintf("%s rises above %s until below %s", c.Point.Text, c.Level, c.Back)
	case CauseFalls:
		s = fmt.Sprintf("%s falls below %s until above %s", c.Point.Text, c.Level, c.Back)
	case CauseMoment:
		s = c.Moment.String()
	case CauseEvery:
		s = c.Period.String()
	case CausePower:
		s = "power returns"
	case CauseLost, CauseBack:
		s = linkText(c.Point.Text) + map[CauseKind]string{CauseLost: "is lost", CauseBack: "is back"}[c.Kind]
	case CauseMessage:
		s = "message " + quote(c.Text) + " arrives"
	default:
		s = c.Point.Text + " " + causeTexts[c.Kind]
	}
	if c.Stays != nil {
		s += " and stays so for " + c.Stays.String()
	}
	return s
}

func linkText(module string) string {
	if module == "" {
		return "network "
	}
	return "module " + module + " "
}

func names(list []Name, joint string) string {
	texts := make([]string, len(list))
	for i, n := range list {
		texts[i] = n.Text
	}
	return strings.Join(texts, joint)
}

// enumerate joins texts as people do: a, b and c.
func enumerate(texts []string) string {
	n := len(texts)
	if n < 2 {
		return strings.Join(texts, "")
	}
	return strings.Join(texts[:n-1], ", ") + " and " + texts[n-1]
}

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

// quote puts a text in quotation marks.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

func clockText(minute int32) string { return fmt.Sprintf("%02d:%02d", minute/60, minute%60) }

// on prints the days with the word before them.
func (d Days) on() string {
	if d == 0 {
		return ""
	}
	return " on " + d.String()
}

// String prints the days, three or more in a row as a span.
func (d Days) String() string {
	var parts []string
	for first := 0; first < 7; first++ {
		last := first
		for last < 7 && d&(1<<last) != 0 {
			last++
		}
		switch n := last - first; {
		case n == 0:
			continue
		case n <= 2:
			for i := first; i < last; i++ {
				parts = append(parts, capital(dayWords[i]))
			}
		default:
			parts = append(parts, capital(dayWords[first])+" to "+capital(dayWords[last-1]))
		}
		first = last
	}
	return enumerate(parts)
}

func (d *Dates) span() string {
	switch {
	case d == nil:
		return ""
	case d.First == d.Last:
		return " on " + d.First.String()
	}
	return " from " + d.First.String() + " to " + d.Last.String()
}

// String prints the date: 24 December.
func (d Date) String() string { return fmt.Sprintf("%d %s", d.Day, capital(monthWords[d.Month-1])) }

// String prints the moment with its offset and limits.
func (m *Moment) String() string {
	s := ""
	switch m.Anchor {
	case AnchorTime:
		return clockText(m.Minute)
	case AnchorSunrise:
		s = "sunrise"
	case AnchorSunset:
		s = "sunset"
	case AnchorSunAbove:
		s = "sun above " + m.Elevation.String()
	case AnchorSunBelow:
		s = "sun below " + m.Elevation.String()
	}
	if m.Offset > 0 {
		s += " + " + m.Offset.String()
	} else if m.Offset < 0 {
		s += " - " + (-m.Offset).String()
	}
	switch {
	case m.NotBefore >= 0 && m.NotAfter >= 0:
		s += " but not before " + clockText(m.NotBefore) + " and not after " + clockText(m.NotAfter)
	case m.NotBefore >= 0:
		s += " but not before " + clockText(m.NotBefore)
	case m.NotAfter >= 0:
		s += " but not after " + clockText(m.NotAfter)
	}
	return s
}

// String prints the window with its days and dates.
func (w *Window) String() string {
	return "between " + w.From.String() + " and " + w.To.String() + w.Days.on() + w.Dates.span()
}

func after(word string, d *unit.Duration) string {
	if d == nil {
		return ""
	}
	return " " + word + " " + d.String()
}
