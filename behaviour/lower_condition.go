package behaviour

import (
	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/unit"
)

// code lowers a condition to the stack code of the control core.
func (l *lowering) code(cond syntax.Condition) []control.Instr {
	switch cond := cond.(type) {
	case *syntax.All:
		return l.joined(cond.Terms, control.OpAnd)
	case *syntax.Any:
		return l.joined(cond.Terms, control.OpOr)
	case *syntax.Not:
		return not(l.code(cond.Term))
	case *syntax.Test:
		return l.test(cond)
	}
	return nil
}

func (l *lowering) joined(terms []syntax.Condition, op control.Op) []control.Instr {
	code := l.code(terms[0])
	for _, t := range terms[1:] {
		code = append(append(code, l.code(t)...), control.Instr{Op: op})
	}
	return code
}

// test lowers one test.
func (l *lowering) test(t *syntax.Test) []control.Instr {
	switch t.Kind {
	case syntax.TestDark:
		return slotCode(l.b.clock("dark", darkness()))
	case syntax.TestWindow:
		return slotCode(l.b.clock(t.Window.String(), windowOf(t.Window)))
	case syntax.TestNetwork, syntax.TestModule:
		code := slotCode(l.link(t.Name))
		if t.Word.Text == "lost" {
			return not(code)
		}
		return code
	case syntax.TestName:
		if h := l.c.hours[t.Name.Text]; h != nil {
			return slotCode(l.b.clock("hours "+t.Name.Text, windowOf(h.Window)))
		}
	}
	th := l.c.testThing(t)
	slot := l.read(th)
	switch t.Kind {
	case syntax.TestAbove, syntax.TestBelow:
		return l.levelTest(th, slot, t)
	case syntax.TestName:
		return slotCode(slot)
	}
	code := l.isCode(th, slot, t.Word.Text)
	if t.Not {
		return not(code)
	}
	return code
}

// testThing is the thing that a test looks at.
func (c *compiler) testThing(t *syntax.Test) *thing {
	if th := c.things[t.Name.Text]; th != nil {
		return th
	}
	return c.things[t.Name.Text+".1"]
}

// isCode tests a slot for a word.
func (l *lowering) isCode(t *thing, slot int16, word string) []control.Instr {
	if word == "unknown" {
		if l.b.p.Slots[slot].Kind == control.SlotMirror {
			l.b.p.Slots[slot].Forget = true
		}
		return append(slotCode(slot), control.Instr{Op: control.OpKnown}, control.Instr{Op: control.OpNot})
	}
	for _, s := range t.states() {
		if s.word != word {
			continue
		}
		if s.least {
			return append(slotCode(slot), control.Instr{Op: control.OpConst, Arg: s.value}, control.Instr{Op: control.OpAtLeast})
		}
		return equals(slot, s.value)
	}
	return nil
}

// levelTest compares a slot with a level; with hysteresis it looks at the hidden variable that remembers.
func (l *lowering) levelTest(t *thing, slot int16, test *syntax.Test) []control.Instr {
	level, _ := steps(t.quantity, test.Level)
	above := test.Kind == syntax.TestAbove
	if test.Back == nil {
		op := control.OpMore
		if !above {
			op = control.OpLess
		}
		return append(slotCode(slot), control.Instr{Op: control.OpConst, Arg: level}, control.Instr{Op: op})
	}
	h := l.beyond(t, slot, test.Level, *test.Back, above)
	// The variable is always known; taking the value from itself and adding it makes the test unknown with the value.
	code := append(append(slotCode(h), slotCode(slot)...), slotCode(slot)...)
	return append(code, control.Instr{Op: control.OpSub}, control.Instr{Op: control.OpAdd})
}

func slotCode(slot int16) []control.Instr { return one(control.OpSlot, int32(slot)) }

// equals tests a slot for a value.
func equals(slot int16, v int32) []control.Instr {
	return append(slotCode(slot), control.Instr{Op: control.OpConst, Arg: v}, control.Instr{Op: control.OpEqual})
}

// delay is a duration in ms within the bounds of the control core.
func delay(d *unit.Duration) int32 { return int32(min(int64(*d), control.MaxDelay)) }
