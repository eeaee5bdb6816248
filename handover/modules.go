package handover

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/catalogue"
	"wirewright/house"
)

// modules is the module and channel schedule: every module with every channel, free ones too.
func (b *builder) modules() Schedule {
	s := Schedule{Name: "Modules", Title: "Module and channel schedule", Empty: "The house has no modules yet.",
		Intro:   "Every module with its place, feed and address, and what lands on each channel. Free channels are spare.",
		Columns: []Column{{"Channel", 12, Left}, {"Point", 26, Left}, {"Key", 7, Centre}, {"What it is", 36, Left}, {"Load", 24, Left}, {"Circuit", 13, Left}}}
	for i := range b.pack.House.Modules {
		m := &b.pack.House.Modules[i]
		s.Rows = append(s.Rows, head(b.moduleHead(m)))
		s.Rows = append(s.Rows, b.channels(m)...)
	}
	return s
}

func (b *builder) moduleHead(m *house.Module) string {
	parts := []string{string(m.ID), b.names[m.ID], or(b.typeTitle(m), m.Type), b.seat(m)}
	if m.Circuit != "" {
		parts = append(parts, "fed by "+string(m.Circuit))
	}
	if l := b.index.LineOf(m.ID); l != nil {
		parts = append(parts, "on "+string(l.ID))
	}
	if m.Address != "" {
		parts = append(parts, "address "+m.Address)
	}
	if m.Host != "" {
		parts = append(parts, m.Host)
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " · ")
}

func (b *builder) typeTitle(m *house.Module) string {
	if t, ok := b.pack.Catalogue.Type(m.Type); ok {
		return t.Title
	}
	return ""
}

// seat says where a module sits.
func (b *builder) seat(m *house.Module) string {
	switch {
	case m.Board != "" && m.Row > 0:
		return fmt.Sprintf("%s row %d unit %d", m.Board, m.Row, m.Slot)
	case m.Board != "":
		return string(m.Board)
	case m.Point != "":
		return "at " + string(m.Point)
	case m.Room != "":
		return "in " + string(m.Room)
	}
	return ""
}

func (b *builder) channels(m *house.Module) [][]Cell {
	t, ok := b.pack.Catalogue.Type(m.Type)
	if !ok {
		return nil
	}
	var rows [][]Cell
	for _, c := range t.ChannelList() {
		row := []Cell{text(c.Name), text("free"), text(""), text(""), text(""), text("")}
		for _, l := range m.Landings {
			if l.Channel != c.Name {
				continue
			}
			row[1] = text(string(l.Point))
			if l.Key > 0 {
				row[2] = text(fmt.Sprint(l.Key))
			}
			if p := b.index.Point(l.Point); p != nil {
				row[3], row[4], row[5] = text(or(p.Title, string(p.Kind))), text(LoadText(p)), text(string(p.Circuit))
				if l.Key > 0 && l.Key <= len(p.Keys) {
					row[3] = text(p.Keys[l.Key-1])
				}
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// lines lists the taps of every bus line with the cable between them.
func (b *builder) lines() Schedule {
	s := Schedule{Name: "Lines", Title: "Bus lines", Empty: "The house has no wired bus line.",
		Intro:   "The taps in the order in which the cable passes them. Lengths are computed along walls and are to be measured when the cable is laid.",
		Columns: []Column{{"Tap", 8, Right}, {"Module", 24, Left}, {"Address", 12, Left}, {"Where", 30, Left}, {"Cable before it", 16, Right}, {"From the start", 16, Right}}}
	for _, l := range b.pack.House.Lines {
		s.Rows = append(s.Rows, head(strings.Join([]string{string(l.ID), l.Title, "head " + string(l.Head), "cable " + l.Cable}, " · ")))
		sum := 0.0
		for i, t := range l.Taps {
			sum += t.Length.M()
			where, address := "", ""
			if m := b.index.Module(t.Module); m != nil {
				where, address = b.seat(m), m.Address
			}
			s.Rows = append(s.Rows, []Cell{number(i + 1), text(string(t.Module)), text(address), text(where), text(t.Length.String()), text(fmt.Sprintf("%.1f m", sum))})
		}
	}
	return s
}

// bill is the bill of materials: modules by type, with prices of the catalogue.
func (b *builder) bill() Schedule {
	currency := or(b.pack.House.Site.Currency, "EUR")
	s := Schedule{Name: "Materials", Title: "Bill of materials", Empty: "Nothing is to be bought yet.",
		Intro:   "Modules by type, at the prices of the catalogue in " + currency + ", without tax, cable, boxes, plates and work.",
		Columns: []Column{{"Type", 30, Left}, {"Description", 62, Left}, {"Number", 12, Right}, {"Price", 14, Right}, {"Sum", 16, Right}}}
	count := map[string]int{}
	for _, m := range b.pack.House.Modules {
		count[m.Type]++
	}
	types := make([]string, 0, len(count))
	for t := range count {
		types = append(types, t)
	}
	slices.Sort(types)
	total := 0.0
	for _, id := range types {
		t, ok := b.pack.Catalogue.Type(id)
		if !ok {
			t = &catalogue.Type{ID: id, Title: "not in the catalogue"}
		}
		price := float64(t.Price) / 1e6
		total += price * float64(count[id])
		s.Rows = append(s.Rows, []Cell{text(id), text(t.Title), number(count[id]), money(price), money(price * float64(count[id]))})
	}
	if len(types) > 0 {
		s.Rows = append(s.Rows, []Cell{{Text: "Sum", Is: IsSum}, text(""), {Text: fmt.Sprint(len(b.pack.House.Modules)), Is: IsSum}, text(""), {Text: fmt.Sprintf("%.2f", total), Number: total, Is: IsSum}})
	}
	return s
}
