package behaviour

import (
	"fmt"
	"slices"

	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
)

// plan is what a house offers to its behaviour: controllers, and the things that names stand for.
type plan struct {
	house       *house.House
	index       *house.Index
	cat         *catalogue.Catalogue
	controllers []controller
	byModule    map[house.ID]int // controller by the module that it is
	things      map[string]*thing
	names       []string // sorted names of things
	unplaced    []Unplaced
	findings    []Finding
}

// controller is a module that executes.
type controller struct {
	module *house.Module
	typeID string
	room   *catalogue.Capacity // nil where something else executes for it (devices of other makes)
	head   bool
	line   house.ID
}

// thingKind is what sort of thing a name stands for.
type thingKind uint8

const (
	thingOutput thingKind = iota // a switch, level or motor
	thingKey                     // a key of a keypad
	thingSensor                  // anything else that is read
	thingMode                    // a mode of the text
)

// thing is what a name of the text stands for.
type thing struct {
	name     string // as the text writes it: "hall.lamp", "hall.keys.2", "away"
	kind     thingKind
	point    *house.Point // nil for modes
	key      int          // keys: from 1
	values   []string     // modes
	start    int32        // modes
	slotKind control.SlotKind
	quantity control.Quantity
	home     int // controller, -1 where it has none
	slot     int16
	why      string // where it has no controller: the reason
	landing  *house.Landing
	group    *catalogue.ChannelGroup // of the channel that it lands on
	gesture  gesture
}

// gesture is what the rules want to know of a key.
type gesture struct{ press, hold, twice bool }

// slotName is the name of the slot.
func (t *thing) slotName() string {
	if t.kind == thingMode {
		return "mode " + t.name
	}
	return t.name
}

// motor tells whether it travels between two ends.
func (t *thing) motor() bool { return t.slotKind == control.SlotMotor }

func newPlan(h *house.House, cat *catalogue.Catalogue) *plan {
	p := &plan{house: h, index: house.NewIndex(h), cat: cat, byModule: map[house.ID]int{}, things: map[string]*thing{}}
	p.findControllers()
	p.findThings()
	p.sortNames()
	return p
}

// typeOf is the catalogue type of a module, nil where the catalogue has none.
func (p *plan) typeOf(m *house.Module) *catalogue.Type {
	if p.cat == nil {
		return nil
	}
	t, _ := p.cat.Type(m.Type)
	return t
}

// findControllers lists the modules that execute: heads of lines, network modules, and devices of other makes, for
// which the site's service executes.
func (p *plan) findControllers() {
	for i := range p.house.Modules {
		m := &p.house.Modules[i]
		t := p.typeOf(m)
		if t == nil || !t.Executes() && t.Medium != catalogue.Gateway {
			continue
		}
		if _, twice := p.byModule[m.ID]; twice {
			continue
		}
		c := controller{module: m, typeID: m.Type, room: t.Capacity, head: t.Role == catalogue.RoleHead}
		if l := p.index.LineOf(m.ID); l != nil {
			if l.Head != m.ID {
				continue // the head of its line executes for it
			}
			c.line = l.ID
		}
		p.byModule[m.ID] = len(p.controllers)
		p.controllers = append(p.controllers, c)
	}
}

// controllerOf is the controller that executes for a module, or -1 and the reason.
func (p *plan) controllerOf(m *house.Module) (int, string) {
	t := p.typeOf(m)
	if t == nil {
		return -1, fmt.Sprintf("the type %s of module %s is not in the catalogue", m.Type, m.ID)
	}
	head := p.index.ControllerOf(m.ID)
	if at, ok := p.byModule[head]; ok {
		return at, ""
	}
	if head == m.ID {
		return -1, fmt.Sprintf("module %s is on no line and cannot execute by itself", m.ID)
	}
	return -1, fmt.Sprintf("%s, the head of the line of module %s, cannot execute a program", head, m.ID)
}

// findThings makes a thing of every point, and of every key of a keypad.
func (p *plan) findThings() {
	for i := range p.house.Points {
		pt := &p.house.Points[i]
		for _, t := range thingsOf(pt) {
			if p.things[t.name] == nil {
				p.things[t.name] = t
			}
		}
	}
	for i := range p.house.Modules {
		m := &p.house.Modules[i]
		for j := range m.Landings {
			p.land(m, &m.Landings[j])
		}
	}
	for i := range p.house.Points {
		p.listUnplaced(&p.house.Points[i])
	}
}

// thingsOf makes the things of a point, not yet placed.
func thingsOf(pt *house.Point) []*thing {
	if pt.Kind == house.Keypad {
		var keys []*thing
		for k := range max(1, len(pt.Keys)) {
			keys = append(keys, &thing{name: fmt.Sprintf("%s.%d", pt.ID, k+1), kind: thingKey, point: pt, key: k + 1,
				slotKind: control.SlotKey, home: -1})
		}
		return keys
	}
	t := &thing{name: string(pt.ID), point: pt, home: -1, kind: thingSensor, slotKind: control.SlotInput, quantity: quantityOf(pt.Kind)}
	if pt.Kind.Moved() {
		t.kind = thingOutput
		t.slotKind = control.SlotSwitch
		if pt.Kind.Motorised() {
			t.slotKind, t.quantity = control.SlotMotor, control.QuantityPosition
		} else if pt.Load != nil && pt.Load.Dimmed {
			t.slotKind, t.quantity = control.SlotLevel, control.QuantityLevel
		}
	}
	return []*thing{t}
}

func quantityOf(k house.Kind) control.Quantity {
	switch k {
	case house.Thermometer:
		return control.QuantityTemperature
	case house.Light:
		return control.QuantityLight
	case house.Wind:
		return control.QuantityWind
	case house.Meter:
		return control.QuantityCount
	}
	return control.QuantityBool
}

// land places the thing of a landing on the controller of its module.
func (p *plan) land(m *house.Module, l *house.Landing) {
	pt := p.index.Point(l.Point)
	if pt == nil {
		return // a dangling reference is the business of the house's own validation
	}
	t := p.things[string(l.Point)]
	if pt.Kind == house.Keypad {
		t = p.things[fmt.Sprintf("%s.%d", l.Point, max(1, l.Key))]
	}
	if t == nil {
		return
	}
	if t.home >= 0 {
		p.findings = append(p.findings, Finding{Slug: "landing/twice", Severity: Caution, Point: l.Point,
			Text:   fmt.Sprintf("%s lands on %s of %s too; rules move and read its first landing only", t.name, l.Channel, m.ID),
			Remedy: "make a point of its own for the second channel, or join the conductors on one channel"})
		return
	}
	at, why := p.controllerOf(m)
	if at < 0 {
		t.why = why
		return
	}
	ch, ok := p.typeOf(m).Channel(l.Channel)
	if !ok {
		t.why = fmt.Sprintf("module %s has no channel %s", m.ID, l.Channel)
		return
	}
	if why := p.fit(t, ch.Group.Kind); why != "" {
		t.why = fmt.Sprintf("%s of %s %s", l.Channel, m.ID, why)
		return
	}
	t.home, t.landing, t.group = at, l, ch.Group
}

// fit tells why a thing cannot be driven or read through a kind of channel, "" if it can; a dimmed lamp on a relay
// becomes a switched one.
func (p *plan) fit(t *thing, k catalogue.ChannelKind) string {
	switch {
	case t.kind == thingOutput && !k.Output():
		return "is no output"
	case t.kind != thingOutput && k.Output():
		return "is an output"
	case t.motor() != (k == catalogue.MotorOut):
		return "does not suit a " + string(t.point.Kind)
	}
	if t.kind == thingOutput && !t.motor() {
		t.slotKind, t.quantity = control.SlotSwitch, control.QuantityBool
		if k == catalogue.Dimmer {
			t.slotKind, t.quantity = control.SlotLevel, control.QuantityLevel
		}
	}
	return ""
}

// listUnplaced notes the things of a point that have no controller.
func (p *plan) listUnplaced(pt *house.Point) {
	for _, t := range thingsOf(pt) {
		t = p.things[t.name]
		if t.home >= 0 || t.point != pt {
			continue
		}
		if t.why == "" {
			t.why = "it is not landed"
			if t.kind == thingKey && len(pt.Keys) > 1 {
				t.why = fmt.Sprintf("its key %d is not landed", t.key)
			}
		}
		if !pt.Plain {
			p.unplaced = append(p.unplaced, Unplaced{pt.ID, t.why})
		}
	}
}

// sortNames lists every name for who offers the nearest.
func (p *plan) sortNames() {
	p.names = p.names[:0]
	for name := range p.things {
		p.names = append(p.names, name)
	}
	slices.Sort(p.names)
}
