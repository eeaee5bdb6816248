package behaviour

import (
	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// rankOfHold is the rank of a hold; where none is written it is safety.
func rankOfHold(r syntax.Rank) control.Rank {
	switch r {
	case syntax.RankAutomatic:
		return control.RankAutomatic
	case syntax.RankManual:
		return control.RankManual
	}
	return control.RankSafety
}

// hold puts a hold on things: by a row of this program where they are owned here, by a command elsewhere.
func (l *lowering) hold(things []*thing, s syntax.State, rank control.Rank) []control.Action {
	return l.holding(control.ActionHold, things, rank, func(t *thing) int32 { return stateValue(t, s) })
}

// release ends the hold of a rank that this controller has put.
func (l *lowering) release(things []*thing, rank control.Rank) []control.Action {
	return l.holding(control.ActionRelease, things, rank, func(*thing) int32 { return 0 })
}

func (l *lowering) holding(kind control.ActionKind, things []*thing, rank control.Rank, value func(*thing) int32) []control.Action {
	var actions []control.Action
	for _, t := range things {
		if t.home == l.b.at {
			actions = append(actions, control.Action{
				Kind: kind, To: control.TargetHold, Index: l.b.hold(t, rank, -1), Peer: -1, Const: value(t), Rank: rank,
			})
			continue
		}
		a := l.remote(kind, t)
		owner := l.c.builders[t.home]
		owner.hold(t, rank, owner.peer(l.b.at))
		a.Const, a.Rank, a.Expiry = value(t), rank, expiryStanding
		actions = append(actions, a)
	}
	return actions
}

// stand lowers a while: its holds stand as long as its condition does. A hidden variable follows the condition; while
// the condition is unknown it stays as it was.
func (l *lowering) stand() {
	r := l.w.rule
	code := l.code(r.While)
	if r.If != nil {
		guard := l.code(r.If)
		if r.Unless {
			guard = not(guard)
		}
		code = and(code, guard)
	}
	v := l.b.follow(syntax.Cond(r.While)+guardText(r), code)
	begin, end := control.Cause{Kind: control.CauseRise, Slot: v}, control.Cause{Kind: control.CauseFall, Slot: v}
	if r.Lasting != nil {
		t := l.b.timer(control.Timer{Kind: control.TimerOnDelay, In: v, Time: delay(r.Lasting)}, l.w.info.Name)
		begin, end = control.Cause{Kind: control.CauseTimerOn, Timer: t}, control.Cause{Kind: control.CauseTimerOff, Timer: t}
	}
	var on, off []control.Action
	for i := range l.w.effects {
		e := l.w.effects[i].effect
		things := l.mine(l.w.effects[i].things)
		on = append(on, l.hold(things, e.State, rankOfHold(e.Rank))...)
		off = append(off, l.release(things, rankOfHold(e.Rank))...)
	}
	l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: []control.Cause{begin}, actions: on})
	l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: []control.Cause{end}, actions: off})
}

func guardText(r *syntax.Rule) string {
	switch {
	case r.If == nil:
		return ""
	case r.Unless:
		return " unless " + syntax.Cond(r.If)
	}
	return " if " + syntax.Cond(r.If)
}

// keepFor begins a timer anew with each cause; when it ends the effect is taken back. While it runs a cause prolongs it
// even where the condition of the rule is no longer true: the lamp that a dark room has turned on makes the room light.
func (l *lowering) keepFor(e *syntax.Effect, things []*thing) control.Action {
	t := l.b.timer(control.Timer{Kind: control.TimerWait, In: -1, Time: delay(e.For)}, l.w.info.Name)
	start := timerAction(control.ActionStartTimer, t)
	busy := one(control.OpTimerRuns, int32(t))
	if l.cond != nil {
		for _, g := range l.groups {
			l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: g.causes, cond: and(g.extra, busy), actions: []control.Action{start}})
		}
	}
	l.keep(e, things, busy, control.Cause{Kind: control.CauseExpired, Timer: t}, nil)
	return start
}

// keepUntil lets the effect last as long as a cause does, and a time longer (off-delay).
func (l *lowering) keepUntil(e *syntax.Effect, things []*thing) []control.Action {
	t := l.b.timer(control.Timer{Kind: control.TimerWait, In: -1, Time: delay(e.Until)}, l.w.info.Name)
	mark := l.b.hidden("at work: " + l.w.info.Name)
	busy := slotCode(mark)
	cancel := timerAction(control.ActionCancelTimer, t)
	for _, g := range l.groups {
		l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: g.causes, cond: and(g.extra, busy), actions: []control.Action{cancel}})
	}
	ends, over := l.ends()
	l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: ends, cond: and(busy, over),
		actions: []control.Action{timerAction(control.ActionStartTimer, t)}})
	l.keep(e, things, busy, control.Cause{Kind: control.CauseExpired, Timer: t}, []control.Action{set(mark, 0)})
	return []control.Action{set(mark, 1)}
}

// ends are the causes that end the causes of the rule, and the condition that none of them lasts.
func (l *lowering) ends() ([]control.Cause, []control.Instr) {
	var ends []control.Cause
	var over []control.Instr
	for _, c := range l.site.causes {
		slot, invert := l.lasting(c)
		kind, code := control.CauseFall, not(slotCode(slot))
		if invert {
			kind, code = control.CauseRise, slotCode(slot)
		}
		ends = append(ends, control.Cause{Kind: kind, Slot: slot})
		over = and(over, code)
	}
	return ends, over
}

// keep notes that the effect keeps its outputs until a cause, and how it is taken back.
func (l *lowering) keep(e *syntax.Effect, things []*thing, busy []control.Instr, done control.Cause, clear []control.Action) {
	l.b.keepers = append(l.b.keepers, keeper{
		rule: l.b.rule, name: l.b.text(l.w.info.Name), class: keepClass(e.Verb), things: things, busy: busy, done: done, clear: clear,
		back: func(some []*thing) []control.Action { return l.back(e, some) },
	})
}

// keepClass groups the effects that keep an output in the same way.
func keepClass(v syntax.Verb) syntax.Verb {
	if v == syntax.SetLevel {
		return syntax.TurnOn
	}
	return v
}

// back takes an effect back.
func (l *lowering) back(e *syntax.Effect, things []*thing) []control.Action {
	d := drive{kind: control.ActionOff, expiry: expiryStanding}
	switch e.Verb {
	case syntax.TurnOff:
		d.kind = control.ActionOn
	case syntax.Hold:
		return l.release(things, rankOfHold(e.Rank))
	case syntax.SetMode:
		return l.backWord(e.Word.Text, things)
	}
	return l.drive(d, things)
}

// backWord sets modes back: one of two states to the other, one of several words to the first.
func (l *lowering) backWord(word string, things []*thing) []control.Action {
	var actions []control.Action
	for _, t := range things {
		switch {
		case t.kind == thingMode && !t.twoState():
			actions = append(actions, l.drive(drive{kind: control.ActionSet, value: t.start}, []*thing{t})...)
		case word == "on":
			actions = append(actions, l.setWord("off", []*thing{t})...)
		default:
			actions = append(actions, l.setWord("on", []*thing{t})...)
		}
	}
	return actions
}

// vary brightens and darkens in turn, by a hidden variable that remembers which comes next.
func (l *lowering) vary(things []*thing) {
	next := l.b.hidden("darken next: " + l.w.info.Name)
	l.variants = append(l.variants,
		variant{not(slotCode(next)), append(l.drive(drive{kind: control.ActionRaise}, things), set(next, 1))},
		variant{slotCode(next), append(l.drive(drive{kind: control.ActionLower}, things), set(next, 0))})
	l.stopAtLetGo(things)
}

// reverse raises and lowers in turn and stops what moves; that something moves is known by the longest travel.
func (l *lowering) reverse(things []*thing) {
	next := l.b.hidden("lower next: " + l.w.info.Name)
	travel := int32(0)
	for _, t := range things {
		travel = max(travel, l.c.travel(t))
	}
	t := l.b.timer(control.Timer{Kind: control.TimerWait, In: -1, Time: travel}, l.w.info.Name)
	moves, start := one(control.OpTimerRuns, int32(t)), timerAction(control.ActionStartTimer, t)
	l.variants = append(l.variants,
		variant{moves, append(l.drive(drive{kind: control.ActionStop}, things), timerAction(control.ActionCancelTimer, t))},
		variant{and(not(moves), not(slotCode(next))), append(l.drive(drive{kind: control.ActionRaise}, things), set(next, 1), start)},
		variant{and(not(moves), slotCode(next)), append(l.drive(drive{kind: control.ActionLower}, things), set(next, 0), start)})
}

// travel is how long a motor may run.
func (c *compiler) travel(t *thing) int32 {
	s := &c.builders[t.home].p.Slots[t.slot]
	return min(max(s.Up, s.Down)+s.Slats+control.MotorMargin, control.MotorTravelMost)
}

// stopAtLetGo stops things when the key that began the rule is let go, whatever the condition of the rule is by then.
func (l *lowering) stopAtLetGo(things []*thing) {
	var causes []control.Cause
	for _, c := range l.site.causes {
		causes = append(causes, control.Cause{Kind: control.CauseLetGo, Slot: l.read(l.c.causeThing(c))})
	}
	l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: causes, actions: l.drive(drive{kind: control.ActionStop}, things)})
}
