package handover

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/check"
	"wirewright/house"
)

// rules lists the behaviour with where each rule is decided and what it needs.
func (b *builder) rules() Schedule {
	s := Schedule{Name: "Rules", Title: "Rules", Empty: "No behaviour is written yet.",
		Intro: "Each rule is decided in one place. A rule that needs nothing but its controller works while router and broker are down.",
		Columns: []Column{{Title: "Rule", Width: 24}, {Title: "What it says", Width: 60}, {Title: "For the wish", Width: 18, Under: true},
			{Title: "What goes over the network", Width: 40, Under: true}, {Title: "Decided by", Width: 18}, {Title: "Needs", Width: 26}}}
	for _, r := range b.pack.Rules {
		wishes := ""
		if len(r.Wishes) > 0 {
			wishes = "for " + strings.Join(r.Wishes, ", ")
		}
		over := few(r.Needs, 4)
		if over != "" {
			over = "over the network: " + over
		}
		s.Rows = append(s.Rows, []Cell{text(r.Name), text(r.Text), text(wishes), text(over), text(r.Controller), text(or(r.Network, "its controller alone"))})
	}
	return s
}

// wishes traces each wish to the rules and tests that fulfil it.
func (b *builder) wishes() Schedule {
	s := Schedule{Name: "Wishes", Title: "The client's wishes", Empty: "No wishes are noted.",
		Intro: "What was asked for, what fulfils it, and what shows that it is there.",
		Columns: []Column{{Title: "Wish", Width: 60}, {Title: "Asked by", Width: 14, Under: true}, {Title: "Rules", Width: 40},
			{Title: "Tests", Width: 10, Align: Right}, {Title: "Passed", Width: 10, Align: Right}, {Title: "Failed", Width: 10, Align: Right}}}
	for _, w := range b.pack.House.Wishes {
		var rules []string
		for _, r := range b.pack.Rules {
			if slices.Contains(r.Wishes, string(w.ID)) {
				rules = append(rules, r.Name)
			}
		}
		tests, passedRuns, failedRuns := 0, 0, 0
		for _, t := range b.pack.Tests {
			if slices.Contains(t.Wishes, string(w.ID)) {
				tests++
				p, f := t.tally()
				passedRuns, failedRuns = passedRuns+p, failedRuns+f
			}
		}
		s.Rows = append(s.Rows, []Cell{text(w.Text), text(w.Who), text(few(rules, 6)), number(tests), number(passedRuns), number(failedRuns)})
	}
	return s
}

// few names the first of a list and counts the rest.
func few(list []string, most int) string {
	if n := len(list) - most; n > 1 {
		return strings.Join(list[:most], ", ") + fmt.Sprintf(" and %d more", n)
	}
	return strings.Join(list, ", ")
}

// tally counts the runs of a test that passed and failed.
func (t Test) tally() (passed, failed int) {
	for _, r := range t.Results {
		switch {
		case r.Tried && r.Passed:
			passed++
		case r.Tried:
			failed++
		}
	}
	return passed, failed
}

// record is the acceptance record: every test, what is done and seen, and what became of it.
func (b *builder) record() Schedule {
	s := Schedule{Name: "Acceptance", Title: "Acceptance record", Empty: "No test has been made yet.",
		Intro: "Each function, tried in rehearsal (computed) and on site. A test that was not tried says why; it is not passed. The last column is for whoever saw it on site.",
		Columns: []Column{{Title: "No.", Width: 6, Align: Right}, {Title: "Test", Width: 50}, {Title: "What is done and seen", Width: 50, Under: true},
			{Title: "Rehearsal", Width: 18}, {Title: "On site", Width: 18}, {Title: "Seen by", Width: 14, Least: 18}}}
	for i, t := range b.pack.Tests {
		s.Rows = append(s.Rows, []Cell{number(i + 1), text(t.Name), text(strings.Join(together(t.Steps), "; ")), text(t.verdict(Rehearsal)), text(t.verdict(Site)), text("")})
	}
	return s
}

// together joins steps that do or see the same at several points one after another: "expect a, b and c off".
func together(steps []string) []string {
	var list []string
	var verb, tail string
	var points []string
	flush := func() {
		if n := len(points); n > 1 {
			list = append(list, joined(" ", verb, strings.Join(points[:n-1], ", ")+" and "+points[n-1], tail))
		} else if n == 1 {
			list = append(list, joined(" ", verb, points[0], tail))
		}
		points = nil
	}
	for _, s := range steps {
		v, rest, _ := strings.Cut(s, " ")
		point, t, ok := strings.Cut(rest, " ")
		if (v != "set" && v != "expect") || !ok || strings.ContainsAny(point, "\"") || !strings.Contains(point, ".") {
			flush()
			list = append(list, s)
			continue
		}
		if len(points) > 0 && (v != verb || t != tail) {
			flush()
		}
		verb, tail, points = v, t, append(points, point)
	}
	flush()
	return list
}

// outcome is what became of a test.
type outcome int

const (
	untried    outcome = iota // nobody tried it
	passed                    //
	failed                    //
	impossible                // it could not be tried
)

// last is the outcome of the last run of a test at a place.
func (t Test) last(where string) outcome {
	o := untried
	for _, r := range t.Results {
		switch {
		case r.Where != where:
		case !r.Tried:
			o = impossible
		case r.Passed:
			o = passed
		default:
			o = failed
		}
	}
	return o
}

// verdict is the outcome in words, with what was seen.
func (t Test) verdict(where string) string {
	detail := ""
	for _, r := range t.Results {
		if r.Where == where {
			detail = r.Detail
		}
	}
	switch t.last(where) {
	case passed:
		return "passed"
	case failed:
		return colon("FAILED", detail)
	case impossible:
		return colon("not tried", detail)
	}
	return "not tried"
}

func colon(a, b string) string {
	if b == "" {
		return a
	}
	return a + ": " + b
}

// findings lists what the checks still say.
func (b *builder) findings() Schedule {
	s := Schedule{Name: "Findings", Title: "Findings", Empty: "The checks found nothing.",
		Intro: "What the checks say about this revision, worst first. A fault must be mended; a caution is to be thought about.",
		Columns: []Column{{Title: "Severity", Width: 12}, {Title: "About", Width: 22}, {Title: "Finding", Width: 56}, {Title: "Remedy", Width: 40, Under: true},
			{Title: "Caution", Width: 30, Book: true}, {Title: "Found", Width: 18}, {Title: "Limit", Width: 18}, {Title: "Source", Width: 30}}}
	for _, sev := range []check.Severity{check.Fault, check.Caution, check.Remark} {
		for _, f := range b.pack.Findings {
			if f.Severity != sev {
				continue
			}
			remedy := ""
			if f.Remedy != nil {
				remedy = "Remedy: " + f.Remedy.Text
			}
			s.Rows = append(s.Rows, []Cell{text(string(f.Severity)), text(string(f.Entity)), text(f.Text), text(remedy), text(f.Caution), text(f.Measured), text(f.Limit), text(f.Source)})
		}
	}
	return s
}

// findingsChapter tells the cautions that go with the findings once, and lists the findings.
func (b *builder) findingsChapter(w *paper, c chapter) {
	s := b.findings()
	w.chapter(c.title, "P")
	w.paragraph(s.Intro, bodySize, 70)
	var told []string
	for _, f := range b.pack.Findings {
		if f.Caution != "" && !slices.Contains(told, f.Caution) {
			told = append(told, f.Caution)
			w.bullet("•", f.Caution)
		}
	}
	w.y += 1
	w.table(s)
}

// circuits lists the final circuits with what each feeds.
func (b *builder) circuits() Schedule {
	s := Schedule{Name: "Circuits", Title: "Circuits", Empty: "The house has no circuits noted.",
		Intro: "The final circuits with their protective devices and cables, and what the system moves or feeds on each. An output that is shown off is not isolated: switch off the breaker.",
		Columns: []Column{{Title: "Circuit", Width: 18}, {Title: "Title", Width: 24, Under: true}, {Title: "Board", Width: 14}, {Title: "Phase", Width: 8}, {Title: "Device", Width: 10},
			{Title: "RCD", Width: 10}, {Title: "Cable", Width: 20}, {Title: "Method", Width: 10}, {Title: "Length", Width: 12, Align: Right}, {Title: "Feeds", Width: 60}}}
	for i := range b.pack.House.Circuits {
		c := &b.pack.House.Circuits[i]
		s.Rows = append(s.Rows, []Cell{text(string(c.ID)), text(c.Title), text(string(c.Board)), text(c.Phase), text(deviceText(c)), text(known0(int64(c.Residual), c.Residual.String())),
			text(cableText(c)), text(c.Method), text(known0(int64(c.Length), c.Length.String())), text(b.feeds(c.ID))})
	}
	return s
}

// known0 is a quantity in words, empty where it is not known.
func known0(v int64, s string) string {
	if v == 0 {
		return ""
	}
	return s
}

// deviceText is characteristic and rating of a protective device: B16.
func deviceText(c *house.Circuit) string {
	if c.Rating == 0 {
		return c.Curve
	}
	return c.Curve + fmt.Sprintf("%g", c.Rating.A())
}

// cableText is the conductors of a circuit: line and protective conductor.
func cableText(c *house.Circuit) string {
	if c.Section == 0 {
		return ""
	}
	if c.Earth != 0 && c.Earth != c.Section {
		return c.Section.String() + ", PE " + c.Earth.String()
	}
	return c.Section.String()
}

// feeds says in which rooms a circuit has points, how many, and which modules it feeds.
func (b *builder) feeds(circuit house.ID) string {
	var rooms []string
	points := 0
	for _, p := range b.pack.House.Points {
		if p.Circuit != circuit {
			continue
		}
		points++
		title := string(p.Room)
		if r := b.index.Room(p.Room); r != nil {
			title = or(r.Title, string(r.ID))
		}
		if title != "" && !slices.Contains(rooms, title) {
			rooms = append(rooms, title)
		}
	}
	modules := 0
	for _, m := range b.pack.House.Modules {
		if m.Circuit == circuit {
			modules++
		}
	}
	var parts []string
	if points > 0 {
		parts = append(parts, joined(": ", count(points, "point"), few(rooms, 5)))
	}
	if modules > 0 {
		parts = append(parts, count(modules, "module"))
	}
	return strings.Join(parts, "; ")
}

// circuitsOf counts the circuits of a board.
func (b *builder) circuitsOf(board house.ID) int {
	n := 0
	for _, c := range b.pack.House.Circuits {
		if c.Board == board {
			n++
		}
	}
	return n
}
