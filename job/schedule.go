package job

import (
	"slices"
	"strings"

	"wirewright/check"
	"wirewright/handover"
	"wirewright/house"
)

// PointRow is one row of the points schedule.
type PointRow struct {
	Ref
	What      string
	PointKind house.Kind
	Room      Ref // without an identity where the point is in none
	Load      string
	Circuit   house.ID
	Landings  []PassportLanding
	Worst     check.Severity // of its findings; empty where it has none
	Findings  int
}

// PointRows is the points schedule, in the order of the house.
func (v *View) PointRows() []PointRow {
	worst, count := v.tally("point")
	list := make([]PointRow, 0, len(v.House.Points))
	for i := range v.House.Points {
		p := &v.House.Points[i]
		row := PointRow{Ref: Ref{"point", p.ID, p.Title}, What: handover.What(p), PointKind: p.Kind, Load: handover.LoadText(p), Circuit: p.Circuit,
			Worst: worst[p.ID], Findings: count[p.ID]}
		if p.Room != "" {
			row.Room = v.ref("room", p.Room)
		}
		for _, l := range v.Index.LandingsOf(p.ID) {
			if n := len(row.Landings); n > 0 && row.Landings[n-1].Module.ID == l.Module.ID {
				first, _, _ := strings.Cut(row.Landings[n-1].Channel, " to ")
				row.Landings[n-1].Channel = first + " to " + l.Landing.Channel
				continue
			}
			row.Landings = append(row.Landings, PassportLanding{Module: v.ref("module", l.Module.ID), Channel: l.Landing.Channel})
		}
		list = append(list, row)
	}
	return list
}

// tally counts the findings about each entity of a kind and keeps the worst severity.
func (v *View) tally(kind string) (map[house.ID]check.Severity, map[house.ID]int) {
	worst, count := map[house.ID]check.Severity{}, map[house.ID]int{}
	order := []check.Severity{check.Fault, check.Caution, check.Remark}
	for _, f := range v.Findings {
		if f.Kind != kind {
			continue
		}
		count[f.Entity]++
		if w := worst[f.Entity]; w == "" || slices.Index(order, f.Severity) < slices.Index(order, w) {
			worst[f.Entity] = f.Severity
		}
	}
	return worst, count
}

// ModuleRow is one module of the module schedule with all of its channels.
type ModuleRow struct {
	Ref
	Type     string // title of its catalogue type
	Seat     []Fact // where it sits, what feeds it, its address
	Channels []ChannelRow
	Free     int // channels on which nothing has landed
	Worst    check.Severity
	Findings int
}

// ChannelRow is one channel of a module.
type ChannelRow struct {
	Name  string
	Point Ref // without an identity where the channel is free
	Key   int
	What  string
}

// ModuleRows is the module schedule, in the order of the house.
func (v *View) ModuleRows() []ModuleRow {
	worst, count := v.tally("module")
	list := make([]ModuleRow, 0, len(v.House.Modules))
	for i := range v.House.Modules {
		m := &v.House.Modules[i]
		row := ModuleRow{Ref: Ref{"module", m.ID, m.Title}, Type: m.Type, Worst: worst[m.ID], Findings: count[m.ID], Seat: v.seat(m)}
		row.Channels = v.channels(m)
		for _, c := range row.Channels {
			row.Free += btoi(c.Point.ID == "")
		}
		if t, ok := v.job.cat.Type(m.Type); ok {
			row.Type = t.Title
		}
		list = append(list, row)
	}
	return list
}

// seat is where a module sits and what reaches it.
func (v *View) seat(m *house.Module) []Fact {
	d := &describer{View: v, p: &Passport{}}
	d.name("board", "board", m.Board)
	d.sayf(m.Row > 0, "seat", "row %d, unit %d", m.Row, m.Slot)
	d.name("in the box of", "point", m.Point)
	d.name("room", "room", m.Room)
	d.name("fed by", "circuit", m.Circuit)
	if l := v.Index.LineOf(m.ID); l != nil {
		d.name("line", "line", l.ID)
	}
	d.say("address", m.Address)
	return d.p.Facts
}

// channels lists the channels of a module's type, and after them landings on channels that the type does not have.
func (v *View) channels(m *house.Module) []ChannelRow {
	var list []ChannelRow
	if t, ok := v.job.cat.Type(m.Type); ok {
		for _, c := range t.ChannelList() {
			list = append(list, ChannelRow{Name: c.Name})
		}
	}
	for _, l := range m.Landings {
		at := slices.IndexFunc(list, func(c ChannelRow) bool { return c.Name == l.Channel && c.Point.ID == "" })
		if at < 0 {
			list, at = append(list, ChannelRow{Name: l.Channel}), len(list)
		}
		list[at].Point, list[at].Key = v.ref("point", l.Point), l.Key
		if p := v.Index.Point(l.Point); p != nil {
			list[at].What = handover.What(p)
		}
	}
	return list
}

// TextLine is one line of the behaviour text with what is known of it.
type TextLine struct {
	Number   int
	Text     string
	Rule     *PassportRule // the rule that begins here
	Problems []string      // mistakes, each with its hint
}

// TextLines is the behaviour text line by line, with where each rule lives and what is wrong with it.
func (v *View) TextLines() []TextLine {
	if v.House.Behaviour == "" {
		return nil
	}
	var list []TextLine
	for _, text := range splitLines(v.House.Behaviour) {
		list = append(list, TextLine{Number: len(list) + 1, Text: text})
	}
	at := func(line int) *TextLine { return &list[min(max(line, 1), len(list))-1] }
	if v.Compiled != nil {
		for _, r := range v.Compiled.Rules {
			at(r.Line).Rule = &PassportRule{Name: r.Name, Line: r.Line, Text: r.Text, Controller: r.Controller, Crosses: r.Crosses}
		}
	}
	for _, p := range v.Problems {
		text := p.Text
		if p.Hint != "" {
			text += "; " + p.Hint
		}
		l := at(p.Line)
		l.Problems = append(l.Problems, text)
	}
	return list
}

// splitLines splits a text into its lines; a line end at the end of the text begins no further line.
func splitLines(s string) []string { return strings.Split(strings.TrimSuffix(s, "\n"), "\n") }

// TestRows lists the acceptance tests with what became of each at this revision.
func (v *View) TestRows() []PassportTest {
	list := make([]PassportTest, 0, len(v.Tests))
	for _, t := range v.Tests {
		list = append(list, v.testRow(t))
	}
	return list
}

// WishRow is one wish with what fulfils it.
type WishRow struct {
	house.Wish
	Rules  int
	Tests  int
	Passed int // of the tests, in rehearsal or on site
}

// WishRows lists the wishes of the client in the order of the house.
func (v *View) WishRows() []WishRow {
	list := make([]WishRow, 0, len(v.House.Wishes))
	for _, w := range v.House.Wishes {
		row := WishRow{Wish: w}
		if v.Compiled != nil {
			for _, r := range v.Compiled.Rules {
				row.Rules += btoi(slices.Contains(r.Wishes, string(w.ID)))
			}
		}
		for _, t := range v.Tests {
			if slices.Contains(t.Wishes, string(w.ID)) {
				row.Tests++
				x := v.testRow(t)
				row.Passed += btoi(x.Rehearse == "passed" || x.Try == "passed")
			}
		}
		list = append(list, row)
	}
	return list
}
