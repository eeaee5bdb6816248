package handover

import (
	"fmt"
	"strings"

	"wirewright/check"
	"wirewright/house"
)

// keys is the key legend, room by room: what the owner pins beside the door.
func (b *builder) keys() Schedule {
	s := Schedule{Name: "Keys", Title: "Key legend", Empty: "No key does anything yet.",
		Intro:   "What each key does, in the owner's words.",
		Columns: []Column{{"Keypad", 28, Left}, {"Key", 7, Centre}, {"Written on it", 22, Left}, {"What it does", 65, Left}}}
	legend := map[house.ID][]KeyLegend{}
	for _, k := range b.pack.Keys {
		legend[k.Point] = append(legend[k.Point], k)
	}
	b.byRoom(func(title string, points []*house.Point) {
		headed := false
		for _, p := range points {
			for _, k := range legend[p.ID] {
				if !headed {
					s.Rows, headed = append(s.Rows, head(title)), true
				}
				s.Rows = append(s.Rows, []Cell{text(or(p.Title, string(p.ID))), text(fmt.Sprint(k.Key)), text(k.Caption), text(or(strings.Join(k.Lines, "\n"), "nothing yet"))})
			}
		}
	})
	return s
}

// rules lists the behaviour with where each rule is decided and what it needs.
func (b *builder) rules() Schedule {
	s := Schedule{Name: "Rules", Title: "Rules", Empty: "No behaviour is written yet.",
		Intro:   "Each rule is decided in one place. A rule that needs nothing but its controller works while router and broker are down.",
		Columns: []Column{{"Rule", 52, Left}, {"Decided by", 18, Left}, {"Needs", 26, Left}, {"For the wish", 18, Left}}}
	for _, r := range b.pack.Rules {
		s.Rows = append(s.Rows, []Cell{text(r.Text), text(r.Controller), text(or(r.Network, "its controller alone")), text(strings.Join(r.Wishes, ", "))})
	}
	return s
}

// wishes traces each wish to the rules and tests that fulfil it.
func (b *builder) wishes() Schedule {
	s := Schedule{Name: "Wishes", Title: "The client's wishes", Empty: "No wishes are noted.",
		Intro:   "What was asked for, and what shows that it is there.",
		Columns: []Column{{"Wish", 60, Left}, {"Rules", 12, Right}, {"Tests", 12, Right}, {"Shown by", 40, Left}}}
	for _, w := range b.pack.House.Wishes {
		rules, tests, shown := 0, 0, "no test"
		for _, r := range b.pack.Rules {
			rules += count(r.Wishes, string(w.ID))
		}
		passed, failed := 0, 0
		for _, t := range b.pack.Tests {
			if count(t.Wishes, string(w.ID)) == 0 {
				continue
			}
			tests++
			p, f := t.tally()
			passed, failed = passed+p, failed+f
		}
		if tests > 0 {
			shown = fmt.Sprintf("%d passed", passed)
			if failed > 0 {
				shown += fmt.Sprintf(", %d failed", failed)
			}
		}
		s.Rows = append(s.Rows, []Cell{text(w.Text), number(rules), number(tests), text(shown)})
	}
	return s
}

func count(list []string, s string) int {
	n := 0
	for _, x := range list {
		if x == s {
			n = 1
		}
	}
	return n
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

// record is the acceptance record: every test and what was seen.
func (b *builder) record() Schedule {
	s := Schedule{Name: "Acceptance", Title: "Acceptance record", Empty: "No test has been made yet.",
		Intro:   "Each function, tried in rehearsal (computed) and on site. A test that was not tried says why; it is not passed.",
		Columns: []Column{{"Test", 50, Left}, {"What is done and seen", 52, Left}, {"Rehearsal", 17, Left}, {"Site", 17, Left}}}
	for _, t := range b.pack.Tests {
		s.Rows = append(s.Rows, []Cell{text(t.Name), text(strings.Join(t.Steps, "\n")), text(t.verdict("rehearsal")), text(t.verdict("site"))})
	}
	return s
}

func (t Test) verdict(where string) string {
	v := "not tried"
	for _, r := range t.Results {
		switch {
		case r.Where != where:
		case !r.Tried:
			v = "not tried: " + r.Detail
		case r.Passed:
			v = "passed"
		default:
			v = "FAILED: " + r.Detail
		}
	}
	return v
}

// findings lists what the checks still say.
func (b *builder) findings() Schedule {
	s := Schedule{Name: "Findings", Title: "Findings", Empty: "The checks found nothing.",
		Intro:   "What the checks say about this revision, worst first. A fault must be mended; a caution is to be thought about.",
		Columns: []Column{{"", 14, Left}, {"About", 24, Left}, {"What", 56, Left}, {"Found", 18, Left}, {"Limit", 18, Left}, {"By", 30, Left}}}
	for _, sev := range []check.Severity{check.Fault, check.Caution, check.Remark} {
		for _, f := range b.pack.Findings {
			if f.Severity == sev {
				s.Rows = append(s.Rows, []Cell{text(string(f.Severity)), text(string(f.Entity)), text(f.Text), text(f.Measured), text(f.Limit), text(f.Source)})
			}
		}
	}
	return s
}

// Schedules builds every table of the pack, in the order of the papers.
func Schedules(p Pack) []Schedule {
	b := newBuilder(p)
	return []Schedule{b.wishes(), b.keys(), b.points(), b.modules(), b.lines(), b.bill(), b.rules(), b.record(), b.findings()}
}
