package accept

import (
	"wirewright/behaviour"
	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/unit"
)

// travelOf is the longest that a motor may take to a position of which nothing was known: to an end and back.
func (d *draft) travelOf(t behaviour.Thing) unit.Duration {
	p := d.g.c.Program(t.Controller)
	if p == nil {
		return 0
	}
	s := p.Slots[t.Slot]
	full := unit.Duration(s.Up) + unit.Duration(s.Down) + 2*unit.Duration(s.Slats)
	return (full + full/5 + 2*control.MotorMargin + unit.Duration(3*s.Pause) + promptly + 999) / 1000 * 1000
}

// effect notes what is to be seen of one effect, and the state before in which it shows.
func (d *draft) effect(e *syntax.Effect) {
	within := promptly
	if e.Over != nil {
		within += *e.Over
	}
	switch e.Verb {
	case syntax.Notify:
		d.expectAll(e, []Step{{Kind: StepNotice, Name: e.Text, Time: within}})
		return
	case syntax.SetScene:
		var steps []Step
		for _, v := range d.g.c.SceneValues(e.Scene.Text) {
			steps = append(steps, d.reach(v.Thing, v.Value, within))
		}
		d.expectAll(e, steps)
		return
	}
	var steps []Step
	for _, t := range d.g.c.Targets(e) {
		if d.cause != nil && d.cause.Kind == syntax.CausePower && !d.own(t) {
			continue
		}
		steps = append(steps, d.seen(e, t, within)...)
	}
	d.expectAll(e, steps)
	d.lasting(e)
}

// expectAll puts expectations where they belong: at once, or after the delay of the effect.
func (d *draft) expectAll(e *syntax.Effect, steps []Step) {
	if len(steps) == 0 {
		return
	}
	if e.After == nil {
		d.now = append(d.now, steps...)
		return
	}
	d.span = max(d.span, *e.After)
	for i := range steps {
		steps[i].Time += 2 * marginMS
	}
	d.later = append(d.later, deferred{after: *e.After, steps: steps})
}

// reach expects that a thing comes to a value; a motor gets its time.
func (d *draft) reach(t behaviour.Thing, v int32, within unit.Duration) Step {
	if t.SlotKind == control.SlotMotor {
		within += d.travelOf(t)
		d.span = max(d.span, within)
	}
	if t.SlotKind == control.SlotLevel && v > 0 {
		v = max(v, d.g.c.Program(t.Controller).Slots[t.Slot].Least)
	}
	return d.expect(t, v, within)
}

// seen is what is to be seen of one effect at one thing.
func (d *draft) seen(e *syntax.Effect, t behaviour.Thing, within unit.Duration) []Step {
	on := Step{Kind: StepExpect, Name: t.Name, State: State{Word: "on"}, Time: within}
	off := Step{Kind: StepExpect, Name: t.Name, State: State{Word: "off"}, Time: within}
	switch e.Verb {
	case syntax.TurnOn:
		d.ensure(t, false)
		return []Step{d.word(on, t, 1)}
	case syntax.TurnOff:
		d.ensure(t, true)
		return []Step{d.word(off, t, 0)}
	case syntax.Toggle:
		d.ensure(t, false)
		return []Step{d.word(on, t, 1)}
	case syntax.SetLevel:
		return []Step{d.reach(t, e.Value.Steps(), within)}
	case syntax.SetMode:
		return d.seenMode(e, t, on, off)
	case syntax.Raise, syntax.Lower, syntax.Reverse, syntax.Stop, syntax.Move:
		return d.seenMotor(e, t, within)
	case syntax.Darken:
		d.before = append(d.before, d.set(t, 1000))
		return []Step{{Kind: StepWait, Time: 2 * control.RangeTimeUsual}, on}
	case syntax.Hold:
		return []Step{d.reach(t, d.g.c.StateValue(t, e.State), within)}
	}
	return nil // brightening shows when the key is let go; slats and the end of a hold cannot be seen
}

// word makes an expectation of on or off one of a mode where the thing is one.
func (d *draft) word(s Step, t behaviour.Thing, v int32) Step {
	if t.Values != nil {
		s.State = stateOf(t, v)
	}
	return s
}

// ensure brings a thing to on or off before, where it does not begin so.
func (d *draft) ensure(t behaviour.Thing, on bool) {
	starts := t.Values != nil && t.Start != 0
	if starts == on {
		return
	}
	v := int32(0)
	if on {
		v = 1
		if t.SlotKind == control.SlotLevel {
			v = 1000
		}
	}
	d.before = append(d.before, d.set(t, v))
}

// seenMode is what is to be seen of: set … to word.
func (d *draft) seenMode(e *syntax.Effect, t behaviour.Thing, on, off Step) []Step {
	if t.Values == nil {
		if e.Word.Text == "on" {
			d.ensure(t, false)
			return []Step{on}
		}
		d.ensure(t, true)
		return []Step{off}
	}
	v := d.g.c.Words(t.Name)[e.Word.Text]
	if v == t.Start {
		other := (v + 1) % int32(len(t.Values))
		d.before = append(d.before, d.set(t, other))
	}
	return []Step{d.expect(t, v, on.Time)}
}

// seenMotor is what is to be seen of the verbs of a motor.
func (d *draft) seenMotor(e *syntax.Effect, t behaviour.Thing, within unit.Duration) []Step {
	moves := func(word string) Step {
		return Step{Kind: StepMoves, Name: t.Name, State: State{Word: word}, Time: within + 2*promptly}
	}
	switch e.Verb {
	case syntax.Raise, syntax.Reverse:
		if e.WhileHeld || e.Verb == syntax.Reverse {
			return []Step{moves("up")}
		}
		return []Step{d.reach(t, 0, within)}
	case syntax.Lower:
		if e.WhileHeld {
			return []Step{moves("down")}
		}
		return []Step{d.reach(t, 1000, within)}
	case syntax.Stop:
		d.before = append(d.before, d.set(t, 1000))
		return []Step{moves("still")}
	}
	return []Step{d.reach(t, e.Value.Steps(), within)}
}

// lasting expects the end of what lasts for a time.
func (d *draft) lasting(e *syntax.Effect) {
	length := e.For
	if e.Until != nil {
		length = e.Until
	}
	if length == nil {
		return
	}
	d.span = max(d.span, *length)
	var still, over []Step
	for _, t := range d.g.c.Targets(e) {
		was, back := d.duringAndAfter(e, t)
		still = append(still, was...)
		over = append(over, back...)
	}
	for i := range over {
		over[i].Time = 2*marginMS + promptly
	}
	d.later = append(d.later, deferred{after: *length, afterEnd: e.Until != nil, steps: append(still, over...)})
}

// duringAndAfter is what a thing shows just before and after the end of an effect that lasts for a time.
func (d *draft) duringAndAfter(e *syntax.Effect, t behaviour.Thing) (still, over []Step) {
	on := Step{Kind: StepExpect, Name: t.Name, State: State{Word: "on"}, Time: promptly}
	off := Step{Kind: StepExpect, Name: t.Name, State: State{Word: "off"}, Time: promptly}
	switch e.Verb {
	case syntax.TurnOn, syntax.SetLevel:
		return []Step{d.word(on, t, 1)}, []Step{d.word(off, t, 0)}
	case syntax.TurnOff:
		return []Step{d.word(off, t, 0)}, []Step{d.word(on, t, 1)}
	case syntax.SetMode:
		if t.Values == nil || len(t.Values) == 2 && t.Values[0] == "off" {
			if e.Word.Text == "on" {
				return []Step{d.word(on, t, 1)}, []Step{d.word(off, t, 0)}
			}
			return []Step{d.word(off, t, 0)}, []Step{d.word(on, t, 1)}
		}
		return []Step{d.expect(t, d.g.c.Words(t.Name)[e.Word.Text], promptly)}, []Step{d.expect(t, t.Start, promptly)}
	}
	return nil, nil // the end of a hold shows only in what is asked next
}
