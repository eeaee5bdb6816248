package behaviour

import (
	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/house"
)

// cause lowers one cause at the controller where it happens; the second result is what must hold besides.
func (l *lowering) cause(c *syntax.Cause) (control.Cause, []control.Instr) {
	if c.Stays != nil {
		return control.Cause{Kind: control.CauseTimerOn, Timer: l.stays(c)}, nil
	}
	switch c.Kind {
	case syntax.CauseMoment, syntax.CauseEvery:
		return control.Cause{Kind: control.CauseRise, Slot: l.b.clock(c.String(), scheduleOf(c))}, nil
	case syntax.CausePower:
		return control.Cause{Kind: control.CauseStart}, nil
	case syntax.CauseMessage:
		l.crosses("hears", "the message "+c.Text, "", "")
		return control.Cause{Kind: control.CauseRise, Slot: l.b.message(c.Text)}, nil
	case syntax.CauseLost:
		return control.Cause{Kind: control.CauseFall, Slot: l.link(c.Point)}, nil
	case syntax.CauseBack:
		return control.Cause{Kind: control.CauseRise, Slot: l.link(c.Point)}, nil
	}
	t := l.c.causeThing(c)
	slot := l.read(t)
	switch c.Kind {
	case syntax.CausePressed:
		return control.Cause{Kind: pressKind(t), Slot: slot}, nil
	case syntax.CauseBecomes:
		return control.Cause{Kind: control.CauseChange, Slot: slot}, equals(slot, setValue(t, c.Value.Text))
	case syntax.CauseRises, syntax.CauseFalls:
		return l.crossing(t, slot, c), nil
	}
	return control.Cause{Kind: edgeKinds[c.Kind], Slot: slot}, nil
}

// edgeKinds are the causes that are edges of a slot, or gestures of a key.
var edgeKinds = map[syntax.CauseKind]control.CauseKind{
	syntax.CauseTwice: control.CauseDouble, syntax.CauseHeld: control.CauseLong, syntax.CauseLetGo: control.CauseLetGo,
	syntax.CauseOpens: control.CauseRise, syntax.CauseCloses: control.CauseFall,
	syntax.CauseBegins: control.CauseRise, syntax.CauseEnds: control.CauseFall,
	syntax.CauseTurnsOn: control.CauseRise, syntax.CauseTurnsOff: control.CauseFall,
}

// pressKind is how a press is recognised: at once where no rule waits for more, else when it has proved short.
func pressKind(t *thing) control.CauseKind {
	if t.gesture.hold || t.gesture.twice {
		return control.CauseShort
	}
	return control.CausePress
}

// crossing is a level that is crossed, with its hysteresis.
func (l *lowering) crossing(t *thing, slot int16, c *syntax.Cause) control.Cause {
	level, _ := steps(t.quantity, c.Level)
	back, _ := steps(t.quantity, c.Back)
	if c.Kind == syntax.CauseRises {
		return control.Cause{Kind: control.CauseAbove, Slot: slot, Level: level, Band: max(0, level-back)}
	}
	return control.Cause{Kind: control.CauseBelow, Slot: slot, Level: level, Band: max(0, back-level)}
}

// stays is the on-delay timer of a cause that must last.
func (l *lowering) stays(c *syntax.Cause) int16 {
	slot, invert := l.lasting(c)
	return l.b.timer(control.Timer{Kind: control.TimerOnDelay, In: slot, Invert: invert, Time: delay(c.Stays)}, c.String())
}

// lasting is the slot that shows how long a cause lasts: it is on, or off where the second result says so.
func (l *lowering) lasting(c *syntax.Cause) (int16, bool) {
	switch c.Kind {
	case syntax.CauseLost:
		return l.link(c.Point), true
	case syntax.CauseBack:
		return l.link(c.Point), false
	}
	t := l.c.causeThing(c)
	slot := l.read(t)
	switch c.Kind {
	case syntax.CauseBecomes:
		return l.b.follow(c.Point.Text+" is "+c.Value.Text, equals(slot, setValue(t, c.Value.Text))), false
	case syntax.CauseRises, syntax.CauseFalls:
		return l.beyond(t, slot, c.Level, c.Back, c.Kind == syntax.CauseRises), false
	case syntax.CauseCloses, syntax.CauseEnds, syntax.CauseTurnsOff:
		return slot, true
	}
	return slot, false
}

// link is the slot that is on while a module, or the network, is heard.
func (l *lowering) link(n syntax.Name) int16 {
	if n.Text == "" {
		return l.b.link(-1)
	}
	at := l.c.byModule[house.ID(n.Text)]
	if at == l.b.at {
		return l.b.link(-1) // a controller hears itself; what it can lose is the network
	}
	return l.b.link(l.b.peer(at))
}

// beyond is a hidden variable that is on while a value is beyond a level, with hysteresis.
func (l *lowering) beyond(t *thing, slot int16, level, back syntax.Quantity, above bool) int16 {
	on, _ := steps(t.quantity, level)
	off, _ := steps(t.quantity, back)
	word, kind, end, op := "above ", control.CauseAbove, control.CauseBelow, control.OpMore
	if !above {
		word, kind, end, op = "below ", control.CauseBelow, control.CauseAbove, control.OpLess
	}
	name := t.slotName() + " " + word + level.String() + " until " + back.String()
	b := l.b
	if i, ok := b.named[name]; ok {
		return i
	}
	h := b.hidden(name)
	b.named[name] = h
	band := max(on-off, off-on)
	put := func(cause control.Cause, cond []control.Instr, v int32) {
		b.emit(emission{name: name, causes: []control.Cause{cause}, cond: cond, actions: []control.Action{set(h, v)}})
	}
	put(control.Cause{Kind: kind, Slot: slot, Level: on, Band: band}, nil, 1)
	put(control.Cause{Kind: end, Slot: slot, Level: off, Band: band}, nil, 0)
	first := append(one(control.OpSlot, int32(slot)), control.Instr{Op: control.OpConst, Arg: on}, control.Instr{Op: op})
	known := control.Cause{Kind: control.CauseKnown, Slot: slot}
	put(known, first, 1)
	put(known, not(first), 0)
	return h
}

// follow is a hidden variable that follows a condition: on, off, and as it was while the condition is unknown.
func (b *builder) follow(name string, code []control.Instr) int16 {
	name = "follows " + name
	if i, ok := b.named[name]; ok {
		return i
	}
	h := b.hidden(name)
	b.named[name] = h
	causes := []control.Cause{{Kind: control.CauseStart}}
	seen := map[int32]bool{}
	for _, in := range code {
		if in.Op != control.OpSlot || seen[in.Arg] {
			continue
		}
		seen[in.Arg] = true
		for _, k := range []control.CauseKind{control.CauseChange, control.CauseKnown, control.CauseForgot} {
			causes = append(causes, control.Cause{Kind: k, Slot: int16(in.Arg)})
		}
	}
	b.emit(emission{name: name, causes: causes, actions: []control.Action{
		{Kind: control.ActionSet, Index: h, Peer: -1, Value: b.code(code)},
	}})
	return h
}

// scheduleOf is the calendar entry of a moment or a period.
func scheduleOf(c *syntax.Cause) control.Schedule {
	s := control.Schedule{Days: daysOf(c.Days)}
	s.First, s.Last = datesOf(c.Dates)
	if c.Kind == syntax.CauseEvery {
		s.Every = int32(min(int64(c.Period)/60_000, 1<<30))
		s.From = control.Anchor{NotBefore: -1, NotAfter: -1}
		s.To = s.From
		return s
	}
	s.From = anchorOf(c.Moment)
	s.To = control.Anchor{NotBefore: -1, NotAfter: -1}
	return s
}

// windowOf is the calendar entry of a window.
func windowOf(w *syntax.Window) control.Schedule {
	s := control.Schedule{Window: true, Days: daysOf(w.Days), From: anchorOf(&w.From), To: anchorOf(&w.To)}
	s.First, s.Last = datesOf(w.Dates)
	return s
}

// darkness is the window of the word dark: from sunset to sunrise.
func darkness() control.Schedule {
	return control.Schedule{Window: true, Days: 127,
		From: control.Anchor{Kind: control.AnchorSunset, NotBefore: -1, NotAfter: -1},
		To:   control.Anchor{Kind: control.AnchorSunrise, NotBefore: -1, NotAfter: -1}}
}

func daysOf(d syntax.Days) uint8 {
	if d == 0 {
		return 127
	}
	return uint8(d)
}

// datesOf are dates that return every year: yyyymmdd with a year of 0000.
func datesOf(d *syntax.Dates) (first, last int32) {
	if d == nil {
		return 0, 0
	}
	return int32(d.First.Month)*100 + int32(d.First.Day), int32(d.Last.Month)*100 + int32(d.Last.Day)
}

func anchorOf(m *syntax.Moment) control.Anchor {
	a := control.Anchor{NotBefore: int16(m.NotBefore), NotAfter: int16(m.NotAfter)}
	switch m.Anchor {
	case syntax.AnchorTime:
		a.Kind, a.Minute = control.AnchorTime, int16(m.Minute)
		return a
	case syntax.AnchorSunrise:
		a.Kind = control.AnchorSunrise
	case syntax.AnchorSunset:
		a.Kind = control.AnchorSunset
	case syntax.AnchorSunAbove:
		a.Kind = control.AnchorSunAbove
	case syntax.AnchorSunBelow:
		a.Kind = control.AnchorSunBelow
	}
	a.Minute = int16(m.Offset / 60_000)
	a.Elevation = int16(m.Elevation.Value / 100_000)
	return a
}
