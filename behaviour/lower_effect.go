package behaviour

import (
	"fmt"

	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// The expiry of commands in ms: what comes later than this does nothing. Common practice, no source.
const (
	expiryLamp     = 2_000  // after about a second a person presses again
	expiryMotor    = 5_000  //
	expiryState    = 60_000 // modes, valves and what nobody waits for at a key
	expiryStanding = 60_000 // holds and their release, and what ends by itself
)

// effect lowers one effect of the rule.
func (l *lowering) effect(w *effectWork) {
	e := w.effect
	things := l.mine(w.things)
	if len(things) == 0 && e.Verb != syntax.Notify {
		return
	}
	actions := l.plain(e, things)
	switch {
	case e.After != nil:
		t := l.b.timer(control.Timer{Kind: control.TimerWait, In: -1, Time: delay(e.After)}, l.w.info.Name)
		l.later(control.Cause{Kind: control.CauseExpired, Timer: t}, nil, actions)
		actions = []control.Action{timerAction(control.ActionStartTimer, t)}
	case e.For != nil:
		actions = append(actions, l.keepFor(e, things))
	case e.Until != nil:
		actions = append(actions, l.keepUntil(e, things)...)
	case e.Verb == syntax.Vary:
		l.vary(things)
		return
	case e.Verb == syntax.Reverse:
		l.reverse(things)
	}
	if e.WhileHeld {
		l.stopAtLetGo(things)
	}
	l.actions = append(l.actions, actions...)
}

// mine leaves out what has no controller, and, where every owner has the rule, what is not owned here.
func (l *lowering) mine(things []*thing) []*thing {
	var list []*thing
	for _, t := range things {
		if t.home >= 0 && (!l.site.own || t.home == l.b.at) {
			list = append(list, t)
		}
	}
	return list
}

// plain is what an effect does at once.
func (l *lowering) plain(e *syntax.Effect, things []*thing) []control.Action {
	d := drive{time: 0}
	if e.Over != nil {
		d.time = delay(e.Over)
	}
	switch e.Verb {
	case syntax.TurnOn:
		d.kind = control.ActionOn
	case syntax.TurnOff:
		d.kind = control.ActionOff
	case syntax.Toggle:
		return l.toggle(things)
	case syntax.SetLevel:
		d.kind, d.value = control.ActionSet, share(e.Value)
	case syntax.Brighten, syntax.Raise:
		d.kind = control.ActionRaise
	case syntax.Darken, syntax.Lower:
		d.kind = control.ActionLower
	case syntax.Stop:
		d.kind = control.ActionStop
	case syntax.Move:
		d.kind, d.value = control.ActionSet, share(e.Value)
		return l.withSlats(l.drive(d, things), e.Slats, things)
	case syntax.Tilt:
		return l.withSlats(nil, e.Slats, things)
	case syntax.SetMode:
		return l.setWord(e.Word.Text, things)
	case syntax.SetScene:
		return l.scene(e, d.time)
	case syntax.Hold:
		return l.hold(things, e.State, rankOfHold(e.Rank))
	case syntax.Release:
		return l.release(things, rankOfHold(e.Rank))
	case syntax.Notify:
		return []control.Action{{Kind: control.ActionNotify, Index: l.b.text(e.Text), Peer: -1}}
	default:
		return nil
	}
	return l.drive(d, things)
}

// share is a quantity in per cent as thousandths.
func share(q syntax.Quantity) int32 { return int32(q.Value / 100_000) }

// drive is one action for several things.
type drive struct {
	kind   control.ActionKind
	value  int32
	time   int32
	expiry int32 // 0: that of the thing
}

// drive makes the actions that drive things: one for those that are owned here, one command for each of the others.
func (l *lowering) drive(d drive, things []*thing) []control.Action {
	var local []int16
	var actions []control.Action
	for _, t := range things {
		if t.home == l.b.at {
			local = append(local, t.slot)
			continue
		}
		a := l.remote(d.kind, t)
		a.Const, a.Time = d.value, d.time
		if d.expiry > 0 {
			a.Expiry = d.expiry
		}
		actions = append(actions, a)
	}
	a := control.Action{Kind: d.kind, Peer: -1, Const: d.value, Time: d.time}
	switch len(local) {
	case 0:
		return actions
	case 1:
		a.To, a.Index = control.TargetSlot, local[0]
	default:
		a.To, a.Index = control.TargetList, l.b.list(local)
	}
	return append([]control.Action{a}, actions...)
}

// remote is the command to the owner of a thing.
func (l *lowering) remote(kind control.ActionKind, t *thing) control.Action {
	l.crosses("commands", t.slotName(), " on ", l.controller(t))
	return control.Action{Kind: kind, To: control.TargetPeer, Index: t.slot, Peer: l.b.commandee(t), Expiry: expiryOf(t)}
}

// expiryOf is how late a command to a thing may come.
func expiryOf(t *thing) int32 {
	switch {
	case t.kind == thingMode || t.point != nil && t.point.Kind == "valve":
		return expiryState
	case t.motor():
		return expiryMotor
	}
	return expiryLamp
}

// toggle of one thing is resolved by its owner; that of several is decided here, so that a group never splits.
func (l *lowering) toggle(things []*thing) []control.Action {
	if len(things) == 1 {
		return l.drive(drive{kind: control.ActionToggle}, things)
	}
	var slots []int16
	for _, t := range things {
		slots = append(slots, l.read(t))
		if t.home != l.b.at {
			l.remote(control.ActionToggle, t)
		}
	}
	return []control.Action{{Kind: control.ActionToggle, To: control.TargetList, Index: l.b.list(slots), Peer: -1, Expiry: expiryLamp}}
}

// withSlats adds the turning of slats.
func (l *lowering) withSlats(actions []control.Action, slats *syntax.Quantity, things []*thing) []control.Action {
	if slats == nil {
		return actions
	}
	return append(actions, l.drive(drive{kind: control.ActionSlats, value: share(*slats)}, things)...)
}

// setWord sets modes, and outputs to on or off.
func (l *lowering) setWord(word string, things []*thing) []control.Action {
	var actions []control.Action
	for _, t := range things {
		d := drive{kind: control.ActionSet, value: setValue(t, word)}
		if t.kind != thingMode {
			d = drive{kind: map[bool]control.ActionKind{true: control.ActionOn, false: control.ActionOff}[word == "on"]}
		}
		actions = append(actions, l.drive(d, []*thing{t})...)
	}
	return actions
}

// sceneValue is what a scene gives to one thing.
type sceneValue struct {
	thing *thing
	value int32
	slats *int32
}

// sceneValues resolves a scene; where settings overlap, the later one counts.
func (c *compiler) sceneValues(s *syntax.Scene) []sceneValue {
	var list []sceneValue
	at := map[*thing]int{}
	for _, set := range s.Settings {
		for _, t := range c.targets(set.Targets) {
			v := sceneValue{thing: t, value: stateValue(t, set.State)}
			if set.State.Slats != nil {
				n := share(*set.State.Slats)
				v.slats = &n
			}
			if i, twice := at[t]; twice {
				list[i] = v
				continue
			}
			at[t] = len(list)
			list = append(list, v)
		}
	}
	return list
}

// stateValue is the value of a state for a thing.
func stateValue(t *thing, s syntax.State) int32 {
	switch s.Kind {
	case syntax.StateOn:
		return full(t)
	case syntax.StateLowered:
		return 1000
	case syntax.StateAt:
		return share(s.Value)
	}
	return 0
}

// scene recalls what is owned here by a table of its own, and commands the rest.
func (l *lowering) scene(e *syntax.Effect, time int32) []control.Action {
	name := fmt.Sprintf("scene %s %d %v", e.Scene.Text, time, l.site.own)
	var local []control.SceneItem
	var actions []control.Action
	for _, v := range l.c.sceneValues(l.c.scenes[e.Scene.Text]) {
		if len(l.mine([]*thing{v.thing})) == 0 {
			continue
		}
		fade := time
		if v.thing.slotKind != control.SlotLevel {
			fade = 0
		}
		if v.thing.home != l.b.at {
			actions = append(actions, l.drive(drive{kind: control.ActionSet, value: v.value, time: fade}, []*thing{v.thing})...)
			if v.slats != nil {
				actions = append(actions, l.drive(drive{kind: control.ActionSlats, value: *v.slats}, []*thing{v.thing})...)
			}
			continue
		}
		local = append(local, control.SceneItem{Slot: v.thing.slot, Value: v.value, Time: fade})
		if v.slats != nil {
			local = append(local, control.SceneItem{Slot: v.thing.slot, Slats: true, Value: *v.slats})
		}
	}
	if len(local) == 0 {
		return actions
	}
	return append([]control.Action{{Kind: control.ActionRecall, Index: l.b.scene(name, e.Scene.Text, local), Peer: -1}}, actions...)
}

// scene adds a scene once.
func (b *builder) scene(key, name string, items []control.SceneItem) int16 {
	if i, ok := b.scenes[key]; ok {
		return i
	}
	i := int16(len(b.p.Scenes))
	b.p.Scenes = append(b.p.Scenes, control.Scene{
		Name: b.text(name), Items: control.Range{First: int32(len(b.p.SceneItems)), Count: int32(len(items))},
	})
	b.p.SceneItems = append(b.p.SceneItems, items...)
	b.scenes[key] = i
	return i
}
