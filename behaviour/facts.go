package behaviour

import (
	"slices"

	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/house"
)

// Thing is what a name of the behaviour text stands for.
type Thing struct {
	Name       string           // of the slot: "hall.lamp", "hall.keys.2", "mode away"
	Point      house.ID         // empty for modes
	Kind       house.Kind       // empty for modes
	Key        int              // keys: from 1
	Values     []string         // modes: the words
	Start      int32            // modes: index into Values at the start
	SlotKind   control.SlotKind //
	Quantity   control.Quantity //
	Controller string           // empty where it has none
	Slot       int16            // of the controller's program
}

// Moved tells whether the thing is an output.
func (t *Thing) Moved() bool { return t.SlotKind.Output() }

func (c *compiler) export(t *thing) Thing {
	out := Thing{Name: t.slotName(), Key: t.key, Values: t.values, Start: t.start, SlotKind: t.slotKind, Quantity: t.quantity, Slot: t.slot}
	if t.point != nil {
		out.Point, out.Kind = t.point.ID, t.point.Kind
	}
	if t.home >= 0 {
		out.Controller = c.builders[t.home].p.Controller
	}
	return out
}

// Thing finds what a name of the text stands for: "hall.lamp", "hall.keys.2", "away"; also by the name of its slot.
func (c *Compiled) Thing(name string) (Thing, bool) {
	t := c.from.things[name]
	if t == nil && len(name) > len("mode ") && name[:len("mode ")] == "mode " {
		if t = c.from.things[name[len("mode "):]]; t != nil && t.kind != thingMode {
			t = nil
		}
	}
	if t == nil {
		t = c.from.things[name+".1"]
	}
	if t == nil {
		return Thing{}, false
	}
	return c.from.export(t), true
}

// Names lists every name that the text can use for a point, a key or a mode, sorted.
func (c *Compiled) Names() []string { return slices.Clone(c.from.names) }

// Words are what can be said of a thing behind "is", "unknown" left out, with the value of each.
func (c *Compiled) Words(name string) map[string]int32 {
	words := map[string]int32{}
	if t, ok := c.Thing(name); ok {
		for _, s := range c.from.things[trimMode(t.Name)].states() {
			words[s.word] = s.value
		}
	}
	return words
}

func trimMode(slot string) string {
	if len(slot) > len("mode ") && slot[:len("mode ")] == "mode " {
		return slot[len("mode "):]
	}
	return slot
}

// Targets resolves what an effect acts on, as far as it has a controller; of a scene, what its settings name.
func (c *Compiled) Targets(e *syntax.Effect) []Thing {
	var list []Thing
	if e.Verb == syntax.SetScene {
		for _, v := range c.SceneValues(e.Scene.Text) {
			list = append(list, v.Thing)
		}
		return list
	}
	for _, t := range c.from.targets(e.Targets) {
		if t.home >= 0 {
			list = append(list, c.from.export(t))
		}
	}
	return list
}

// SceneValue is what a scene gives to one thing.
type SceneValue struct {
	Thing Thing
	Value int32  // in the steps of package control
	Slats *int32 // angle of the slats, nil where the scene says nothing of it
}

// SceneValues resolves a scene, as far as its things have a controller; nil where there is none of that name.
func (c *Compiled) SceneValues(name string) []SceneValue {
	s := c.from.scenes[name]
	if s == nil {
		return nil
	}
	var list []SceneValue
	for _, v := range c.from.sceneValues(s) {
		if v.thing.home >= 0 {
			list = append(list, SceneValue{c.from.export(v.thing), v.value, v.slats})
		}
	}
	return list
}

// StateValue is the value of a state for a thing, in the steps of package control.
func (c *Compiled) StateValue(t Thing, s syntax.State) int32 {
	return stateValue(c.from.things[trimMode(t.Name)], s)
}

// Hours finds a window that the text has named, nil if there is none.
func (c *Compiled) Hours(name string) *syntax.Window {
	if h := c.from.hours[name]; h != nil {
		return h.Window
	}
	return nil
}

// ScheduleOf is the calendar entry of a moment or a period.
func ScheduleOf(c *syntax.Cause) control.Schedule { return scheduleOf(c) }

// WindowOf is the calendar entry of a window.
func WindowOf(w *syntax.Window) control.Schedule { return windowOf(w) }

// Darkness is the calendar entry of the word dark: from sunset to sunrise.
func Darkness() control.Schedule { return darkness() }
