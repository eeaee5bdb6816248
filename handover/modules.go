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
		Intro: "Every module with its place, feed and address, and what lands on each channel. Free channels are spare.",
		Columns: []Column{{Title: "Channel", Width: 12}, {Title: "Point", Width: 26}, {Title: "Key", Width: 7, Align: Centre}, {Title: "What it is", Width: 36},
			{Title: "Load", Width: 24}, {Title: "Circuit", Width: 13}}}
	for i := range b.pack.House.Modules {
		m := &b.pack.House.Modules[i]
		s.Rows = append(s.Rows, head(b.moduleHead(m)))
		s.Rows = append(s.Rows, b.channels(m)...)
	}
	return s
}

// moduleHead is what a module is called, and below it where it sits and how it is reached.
func (b *builder) moduleHead(m *house.Module) (string, string) {
	under := []string{b.names[m.ID], b.seat(m)}
	if m.Circuit != "" {
		under = append(under, "fed by "+string(m.Circuit))
	}
	if l := b.index.LineOf(m.ID); l != nil {
		under = append(under, "on "+string(l.ID))
	}
	if m.Address != "" {
		under = append(under, "address "+m.Address)
	}
	under = append(under, m.Host)
	if m.Hardware != "" {
		under = append(under, "device "+m.Hardware)
	}
	return joined(" · ", string(m.ID), m.Title, other(b.typeTitle(m), m.Title)), joined(" · ", under...)
}

// other is a text, empty where it says the same as another.
func other(s, than string) string {
	if s == than {
		return ""
	}
	return s
}

// joined joins what is not empty.
func joined(by string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), by)
}

// typeTitle is what a module is in the words of the catalogue.
func (b *builder) typeTitle(m *house.Module) string {
	if t, ok := b.pack.Catalogue.Type(m.Type); ok {
		return or(t.Title, t.ID)
	}
	return m.Type + " (not in the catalogue)"
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

// channels is one row a channel; free channels in a row are told together.
func (b *builder) channels(m *house.Module) [][]Cell {
	t, ok := b.pack.Catalogue.Type(m.Type)
	if !ok {
		return nil
	}
	landed := map[string][]house.Landing{}
	for _, l := range m.Landings {
		landed[l.Channel] = append(landed[l.Channel], l)
	}
	var rows [][]Cell
	var free []string
	flush := func() {
		if n := len(free); n > 0 {
			name := free[0]
			if n > 1 {
				name += "…" + free[n-1]
			}
			rows, free = append(rows, []Cell{text(name), text("free"), text(""), text(""), text(""), text("")}), nil
		}
	}
	var kind catalogue.ChannelKind
	for _, c := range t.ChannelList() {
		if len(landed[c.Name]) > 0 || c.Group.Kind != kind {
			flush()
		}
		kind = c.Group.Kind
		if len(landed[c.Name]) == 0 {
			free = append(free, c.Name)
		}
		for _, l := range landed[c.Name] {
			rows = append(rows, b.channel(c.Name, l))
		}
	}
	flush()
	return rows
}

func (b *builder) channel(name string, l house.Landing) []Cell {
	row := []Cell{text(name), text(string(l.Point)), text(""), text(""), text(""), text("")}
	if l.Key > 0 {
		row[2] = number(l.Key)
	}
	if p := b.index.Point(l.Point); p != nil {
		row[3], row[4], row[5] = text(or(p.Title, string(p.Kind))), text(LoadText(p)), text(string(p.Circuit))
		if l.Key > 0 && l.Key <= len(p.Keys) {
			row[3] = text(p.Keys[l.Key-1])
		}
	}
	return row
}

// lines lists the taps of every bus line with the cable between them.
func (b *builder) lines() Schedule {
	s := Schedule{Name: "Lines", Title: "Bus lines", Empty: "The house has no wired bus line.",
		Intro: "The taps in the order in which the cable passes them. Lengths are computed along walls and are to be measured when the cable is laid.",
		Columns: []Column{{Title: "Tap", Width: 8, Align: Right}, {Title: "Module", Width: 24}, {Title: "Address", Width: 12}, {Title: "Where", Width: 30},
			{Title: "Cable before it", Width: 16, Align: Right}, {Title: "From the start", Width: 16, Align: Right}}}
	for i := range b.pack.House.Lines {
		s.Rows = append(s.Rows, b.lineRows(&b.pack.House.Lines[i])...)
	}
	return s
}

func (b *builder) lineRows(l *house.Line) [][]Cell {
	rows := [][]Cell{head(joined(" · ", string(l.ID), l.Title), joined(" · ", "head "+string(l.Head), b.cableTitle(l.Cable)))}
	sum := 0.0
	for i, t := range l.Taps {
		sum += t.Length.M()
		where, address := "", ""
		if m := b.index.Module(t.Module); m != nil {
			where, address = b.seat(m), m.Address
		}
		rows = append(rows, []Cell{number(i + 1), text(string(t.Module)), text(address), text(where), text(t.Length.String()), text(fmt.Sprintf("%.1f m", sum))})
	}
	return rows
}

// cableTitle is a cable in the words of the catalogue, with its identity.
func (b *builder) cableTitle(id string) string {
	if id == "" {
		return ""
	}
	if c, ok := b.pack.Catalogue.Cable(id); ok {
		return c.Title + " (" + id + ")"
	}
	return "cable " + id
}

// bill is the bill of materials: modules by type, and cable by the metre, at the prices of the catalogue.
func (b *builder) bill() Schedule {
	currency := or(b.pack.House.Site.Currency, "EUR")
	s := Schedule{Name: "Materials", Title: "Bill of materials", Empty: "Nothing is to be bought yet.",
		Intro: "Modules by type, bus cable and the cables of points that have one of their own as planned, at the prices of the catalogue in " + currency + ", without tax, the cable of circuits, boxes, plates and work.",
		Columns: []Column{{Title: "Type", Width: 30}, {Title: "Description", Width: 62}, {Title: "Number", Width: 12, Align: Right}, {Title: "Unit", Width: 8},
			{Title: "Price", Width: 14, Align: Right}, {Title: "Sum", Width: 16, Align: Right}}}
	count := map[string]int{}
	for _, m := range b.pack.House.Modules {
		count[m.Type]++
	}
	total := 0.0
	for _, id := range sortedKeys(count) {
		t, ok := b.pack.Catalogue.Type(id)
		if !ok {
			t = &catalogue.Type{ID: id, Title: "not in the catalogue"}
		}
		price := float64(t.Price) / 1e6
		total += price * float64(count[id])
		s.Rows = append(s.Rows, []Cell{text(id), text(t.Title), number(count[id]), text("piece"), money(price), money(price * float64(count[id]))})
	}
	metres := b.starMetres()
	for _, l := range b.pack.House.Lines {
		for _, t := range l.Taps {
			metres[l.Cable] += t.Length.M()
		}
	}
	for _, id := range sortedKeys(metres) {
		c, ok := b.pack.Catalogue.Cable(id)
		if !ok || metres[id] == 0 {
			continue
		}
		price := float64(c.Price) / 1e6
		total += price * metres[id]
		s.Rows = append(s.Rows, []Cell{text(id), text(c.Title), {Text: fmt.Sprintf("%.1f", metres[id]), Number: metres[id], Is: IsMoney}, text("m"), money(price), money(price * metres[id])})
	}
	if len(s.Rows) > 0 {
		s.Rows = append(s.Rows, []Cell{{Text: "Sum", Is: IsSum}, text(""), text(""), text(""), text(""), {Text: fmt.Sprintf("%.2f", total), Number: total, Is: IsSum}})
	}
	return s
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
