package check

import (
	"cmp"
	"fmt"
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
)

// changed is the change that an edit of a module makes; the module itself stays as it is.
func (m *module) changed(edit func(*house.Module)) house.Change {
	after := *m.Module
	after.Landings = slices.Clone(m.Landings)
	edit(&after)
	return house.Change{Kind: "module", ID: m.ID, Before: *m.Module, After: after}
}

// moved is the remedy that moves a landing to another channel of its module.
func (l *landing) moved(channel string) *Remedy {
	return &Remedy{
		Text:    fmt.Sprintf("Land %s on %s of %s, which is free and carries it.", l.point.ID, channel, l.module.ID),
		Changes: []house.Change{l.module.changed(func(m *house.Module) { m.Landings[l.order].Channel = channel })},
	}
}

// removed is the remedy that takes a landing away.
func (l *landing) removed(text string) *Remedy {
	return &Remedy{
		Text:    text,
		Changes: []house.Change{l.module.changed(func(m *house.Module) { m.Landings = slices.Delete(m.Landings, l.order, l.order+1) })},
	}
}

// freeChannel finds the first channel of a module that nothing lands on and that carries a point.
func (v *view) freeChannel(m *module, p *point) (string, bool) {
	if m.typ == nil {
		return "", false
	}
	for _, c := range m.typ.ChannelList() {
		used := slices.ContainsFunc(m.Landings, func(l house.Landing) bool { return l.Channel == c.Name })
		if !used && Carries(c.Group, p.Point, v.volts) && sameFeed(m, m.typ, c.Group, p) && (c.Group.Kind != catalogue.Key || m.Point == p.ID) &&
			v.bearsTogether(m, m.typ, append(assignedOf(m), assigned{c.Group, p.Point})) {
			return c.Name, true
		}
	}
	return "", false
}

// sameFeed tells whether a channel of a module, were it of a type, would feed a point from the circuit that it is on, as far
// as both are known.
func sameFeed(m *module, t *catalogue.Type, g *catalogue.ChannelGroup, p *point) bool {
	return !feeds(t, g) || p.Circuit == "" || m.Circuit == "" || p.Circuit == m.Circuit
}

// replacement finds the cheapest other type that could stand in the place of a module with every landing on a channel that
// carries it, and without any finding that the module does not have already.
func (v *view) replacement(m *module) (*catalogue.Type, bool) {
	return v.replacementThat(m, func(*catalogue.Type) bool { return true })
}

// replacementThat is replacement among the types that pass a further test.
func (v *view) replacementThat(m *module, pass func(*catalogue.Type) bool) (*catalogue.Type, bool) {
	if m.typ == nil || m.typ.Medium == catalogue.Gateway || m.typ.Does() != catalogue.RoleModule {
		return nil, false
	}
	var best *catalogue.Type
	for i := range v.cat.Types {
		t := &v.cat.Types[i]
		if t.ID == m.Type || !sameUse(m.typ, t) || !v.suits(m, t) || !pass(t) {
			continue
		}
		if _, ok := v.relanded(m, t); !ok {
			continue
		}
		if best == nil || cmp.Or(cmp.Compare(t.Price, best.Price), cmp.Compare(t.ID, best.ID)) < 0 {
			best = t
		}
	}
	return best, best != nil
}

// sameUse tells whether a type is reached, mounted and programmed like another, and can do no less.
func sameUse(from, to *catalogue.Type) bool {
	if from.Medium != to.Medium || from.Mount != to.Mount || from.Does() != to.Does() || to.Display < from.Display {
		return false
	}
	if freeContacts(from) && !freeContacts(to) {
		return false
	}
	if from.Capacity == nil || to.Capacity == nil {
		return from.Capacity == to.Capacity
	}
	return to.Capacity.Rules >= from.Capacity.Rules && to.Capacity.Bytes >= from.Capacity.Bytes && to.Capacity.Slots >= from.Capacity.Slots
}

// freeContacts tells whether any output of a type is potential-free.
func freeContacts(t *catalogue.Type) bool {
	return slices.ContainsFunc(t.Channels, func(g catalogue.ChannelGroup) bool { return potentialFree(&g) })
}

// relanded says on which channel of another type each landing of a module would be, where all find one that carries them:
// as it is, if that channel does, else on the first that is left. Keys keep their numbers.
func (v *view) relanded(m *module, t *catalogue.Type) ([]string, bool) {
	r := relanding{view: v, typ: t, list: t.ChannelList(), names: make([]string, len(m.landings))}
	r.taken = make([]bool, len(r.list))
	for k := range m.landings {
		if m.landings[k].point == nil {
			return nil, false
		}
		r.land(k, &m.landings[k], func(c catalogue.Channel) bool { return c.Name == m.landings[k].Channel })
	}
	for k := range m.landings {
		if r.names[k] == "" {
			r.land(k, &m.landings[k], func(c catalogue.Channel) bool { return c.Group.Kind != catalogue.Key })
		}
	}
	return r.names, !slices.Contains(r.names, "") && (t.Common == 0 || !above(r.total, t.Common.A())) && v.bearsTogether(m, t, r.on)
}

// relanding is the state of one call of relanded.
type relanding struct {
	*view
	typ   *catalogue.Type
	list  []catalogue.Channel
	taken []bool
	names []string // by landing; "" where none is found yet
	total float64  // A, of all outputs
	on    []assigned
}

// land gives a landing the first channel that is left, passes the test and carries it.
func (r *relanding) land(k int, l *landing, test func(catalogue.Channel) bool) {
	for i, c := range r.list {
		if r.taken[i] || !test(c) || !Carries(c.Group, l.point.Point, r.volts) || !l.feeds() && !sameFeed(l.module, r.typ, c.Group, l.point) {
			continue
		}
		r.taken[i], r.names[k] = true, c.Name
		r.on = append(r.on, assigned{c.Group, l.point.Point})
		if c.Group.Kind.Output() {
			r.total += drawOf(l.point.Load, r.volts).current
		}
		return
	}
}

// suits tells whether another type would go where a module is: in its row or box, on its line.
func (v *view) suits(m *module, t *catalogue.Type) bool {
	if !v.rowBears(m, t) {
		return false
	}
	if t.Depth > m.typ.Depth && !v.deepEnough(m, t) {
		return false
	}
	if t.Neutral && !m.typ.Neutral {
		return false
	}
	return v.lineBears(m, t)
}

// deepEnough tells whether the box of a module is known to take another type.
func (v *view) deepEnough(m *module, t *catalogue.Type) bool {
	p := v.byPoint[m.Point]
	if p == nil {
		return m.Room != "" // hangs free in a room: a ceiling void
	}
	return p.Box != nil && p.Box.Depth >= depthIn(p)-m.typ.Depth+t.Depth
}

// lineBears tells whether the lines of a module would feed and hear another type in its place.
func (v *view) lineBears(m *module, t *catalogue.Type) bool {
	if m.typ.Bus == nil || t.Bus == nil {
		return m.typ.Bus == t.Bus
	}
	if t.Bus.Voltage != m.typ.Bus.Voltage || t.Bus.UnitLoad > m.typ.Bus.UnitLoad {
		return false
	}
	for _, l := range m.lines {
		b := budgetOf(l)
		if t.Bus.Draw > m.typ.Bus.Draw && above(startMargin*(b.draw-m.typ.Bus.Draw.A()+t.Bus.Draw.A()), b.supply) {
			return false
		}
	}
	return true
}

// replaced is the remedy that puts another type in the place of a module, its landings where relanded says.
func (v *view) replaced(m *module, t *catalogue.Type, why string) *Remedy {
	names, ok := v.relanded(m, t)
	text := fmt.Sprintf("Put a %s (%s) in its place: %s.", t.ID, t.Title, why)
	for k, name := range names {
		if ok && name != m.Landings[k].Channel {
			text += fmt.Sprintf(" %s then lands on %s.", m.Landings[k].Point, name)
		}
	}
	return &Remedy{Text: text, Changes: []house.Change{m.changed(func(h *house.Module) {
		h.Type = t.ID
		for k := range h.Landings {
			if ok {
				h.Landings[k].Channel = names[k]
			}
		}
	})}}
}

// mend is the remedy for a landing whose channel cannot take its point: a free channel of the same module, else another
// type in the place of the module, else what the rule says.
func (v *view) mend(l *landing, otherwise string) *Remedy {
	if name, ok := v.freeChannel(l.module, l.point); ok {
		return l.moved(name)
	}
	if t, ok := v.replacement(l.module); ok {
		return v.replaced(l.module, t, "its channels carry all that is landed on it")
	}
	return &Remedy{Text: otherwise}
}
