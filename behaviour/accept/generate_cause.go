package accept

import (
	"wirewright/behaviour"
	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/unit"
)

// trigger makes the steps that set the cause off.
func (d *draft) trigger() []Step {
	if d.cause == nil {
		return nil
	}
	steps := d.happen()
	if s := d.cause.Stays; s != nil {
		d.span = max(d.span, *s)
		steps = append(steps, Step{Kind: StepWait, Time: *s})
	}
	return steps
}

// happen makes the steps of the bare cause.
func (d *draft) happen() []Step {
	c := d.cause
	switch c.Kind {
	case syntax.CausePressed, syntax.CauseTwice, syntax.CauseHeld, syntax.CauseLetGo:
		return d.gesture()
	case syntax.CauseMoment, syntax.CauseEvery:
		return []Step{{Kind: StepWait, Time: clockLead}}
	case syntax.CausePower:
		return []Step{{Kind: StepBreak, Name: d.controllerOf()}, {Kind: StepWait, Time: 3 * promptly}, {Kind: StepMend, Name: d.controllerOf()},
			{Kind: StepWait, Time: startTime}}
	case syntax.CauseLost, syntax.CauseBack:
		return d.link()
	case syntax.CauseMessage:
		return []Step{{Kind: StepMessage, Name: c.Text}}
	case syntax.CauseRises, syntax.CauseFalls:
		return d.crossing()
	}
	t := d.thing(c.Point.Text)
	from, to := int32(0), int32(1)
	switch c.Kind {
	case syntax.CauseCloses, syntax.CauseEnds, syntax.CauseTurnsOff:
		from, to = 1, 0
	case syntax.CauseBecomes:
		to = d.g.c.Words(t.Name)[c.Value.Text]
		from = (to + 1) % int32(len(t.Values))
	}
	return d.change(t, from, to)
}

// change brings a thing from one value to another; what it is at the start needs no step.
func (d *draft) change(t behaviour.Thing, from, to int32) []Step {
	if t.SlotKind == control.SlotLevel {
		from, to = from*1000, to*1000
	}
	var steps []Step
	if from != t.Start {
		steps = append(steps, d.set(t, from), Step{Kind: StepWait, Time: 2 * promptly})
	}
	return append(steps, d.set(t, to))
}

func (d *draft) gesture() []Step {
	s := d.key()
	switch d.cause.Kind {
	case syntax.CauseTwice:
		s.Twice = true
	case syntax.CauseHeld:
		s.Kind = StepHold
	case syntax.CauseLetGo:
		s.Kind = StepHold
		return []Step{s, {Kind: StepLetGo, Name: s.Name, Key: s.Key}}
	}
	return []Step{s}
}

// link makes a component fail, and come back where that is the cause.
func (d *draft) link() []Step {
	name := "router"
	if d.cause.Point.Text != "" {
		name = "module " + d.cause.Point.Text
	}
	steps := []Step{{Kind: StepBreak, Name: name}, {Kind: StepWait, Time: linkTime}}
	if d.cause.Kind == syntax.CauseBack {
		steps = append(steps, Step{Kind: StepMend, Name: name}, Step{Kind: StepWait, Time: linkTime})
	}
	return steps
}

// crossing brings a level to where it is armed, and then beyond.
func (d *draft) crossing() []Step {
	c := d.cause
	t := d.thing(c.Point.Text)
	level, back := c.Level.Steps(), c.Back.Steps()
	if t.Moved() {
		return []Step{d.set(t, back), {Kind: StepWait, Time: promptly + d.travelOf(t)}, d.set(t, beyond(level, back)), {Kind: StepWait, Time: d.travelOf(t)}}
	}
	return []Step{d.set(t, beyond(back, level)), {Kind: StepWait, Time: promptly}, d.set(t, beyond(level, back))}
}

// beyond is a value clearly on the far side of a level, seen from another.
func beyond(level, from int32) int32 {
	step := max(1, (level-from)/2, (from-level)/2)
	if level > from {
		return level + step
	}
	return level - step
}

// end makes the steps that end a cause which lasts.
func (d *draft) end() []Step {
	if d.cause == nil {
		return nil
	}
	c := d.cause
	switch c.Kind {
	case syntax.CauseLost:
		s := d.link()[0]
		return []Step{{Kind: StepMend, Name: s.Name}, {Kind: StepWait, Time: linkTime}}
	case syntax.CauseBack:
		s := d.link()[0]
		return []Step{{Kind: StepBreak, Name: s.Name}, {Kind: StepWait, Time: linkTime}}
	case syntax.CauseRises, syntax.CauseFalls:
		return []Step{d.set(d.thing(c.Point.Text), beyond(c.Back.Steps(), c.Level.Steps()))}
	}
	t := d.thing(c.Point.Text)
	v := int32(0)
	switch c.Kind {
	case syntax.CauseCloses, syntax.CauseEnds, syntax.CauseTurnsOff:
		v = 1
	case syntax.CauseBecomes:
		v = (d.g.c.Words(t.Name)[c.Value.Text] + 1) % int32(len(t.Values))
	}
	return []Step{d.set(t, v)}
}

// clockLead is how long before a moment of the calendar a test sets the clock.
const clockLead = unit.Duration(2000)
