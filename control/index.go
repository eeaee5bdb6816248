package control

// index is what Check works out from the tables so that Step touches only the rules concerned: the causes by the slot,
// timer or key that sets them off, and where each thing stands in the state. It never changes afterwards, so that any
// number of goroutines may step one Program.
type index struct {
	lay    layout
	slots  []slotFast
	refs   []ref // causes of slots, sorted by slot
	timers []timerFast
	trefs  []ref   // causes of timers, sorted by timer
	ins    []int16 // timers driven by slots, sorted by slot
	regs   []int16 // regulators that read slots, sorted by slot
	holds  []int16 // rows of Holds, sorted by slot, rank falling, row
	starts []int16 // rules with CauseStart
	motors []int16 // slots of the motors
	levels []int16 // slots of the levels
}

// span is a run of rows of one of the sorted tables.
type span struct{ from, to int32 }

// slotFast is what Step wants to know about a slot.
type slotFast struct {
	kind    SlotKind
	publish bool
	pulse   bool  // falls back by itself: messages and clock moments
	nth     int16 // gesture, motor or level number of this slot; -1 for none
	asked   int16 // number among the slots that can be held; -1 for none
	refs    span
	ins     span
	regs    span
	holds   span
}

// timerFast is what Step wants to know about a timer.
type timerFast struct{ refs span }

// ref leads from something that happens to a rule that it causes.
type ref struct {
	kind  CauseKind
	rule  int16
	list  int16 // CauseChord
	latch int16 // CauseAbove, CauseBelow: bit in the state
	level int32
	band  int32
}

// newIndex builds the index of a program whose tables are sound.
func newIndex(p *Program) *index {
	ix := &index{slots: make([]slotFast, len(p.Slots)), timers: make([]timerFast, len(p.Timers))}
	ix.lay = newLayout(p)
	ix.number(p)
	ix.sortRefs(p)
	ix.sortReaders(p)
	ix.sortHolds(p)
	return ix
}

// number gives gestures, motors and levels their place among their like.
func (ix *index) number(p *Program) {
	for i, s := range p.Slots {
		f := &ix.slots[i]
		*f = slotFast{kind: s.Kind, publish: s.Publish, nth: -1, asked: -1}
		f.pulse = s.Kind == SlotMessage || s.Kind == SlotClock && s.Schedule >= 0 && !p.Schedules[s.Schedule].Window
		switch s.Kind {
		case SlotMotor:
			f.nth = int16(len(ix.motors))
			ix.motors = append(ix.motors, int16(i))
		case SlotLevel:
			f.nth = int16(len(ix.levels))
			ix.levels = append(ix.levels, int16(i))
		}
	}
	for i, g := range p.Gestures {
		ix.slots[g.Slot].nth = int16(i)
	}
}

// sortRefs sorts the causes by what sets them off.
func (ix *index) sortRefs(p *Program) {
	bySlot := make([][]ref, len(p.Slots))
	byTimer := make([][]ref, len(p.Timers))
	latch := int16(len(p.Timers)) // the first bits are the IN memories of the timers
	for r, rule := range p.Rules {
		for _, c := range p.Causes[rule.Causes.First : rule.Causes.First+rule.Causes.Count] {
			at := ref{kind: c.Kind, rule: int16(r), level: c.Level, band: c.Band}
			switch c.Kind {
			case CauseStart:
				ix.starts = append(ix.starts, int16(r))
			case CauseTimerOn, CauseTimerOff, CauseExpired:
				byTimer[c.Timer] = append(byTimer[c.Timer], at)
			case CauseChord:
				at.list = c.List
				for _, m := range p.list(c.List) {
					bySlot[m] = append(bySlot[m], at)
				}
			default:
				if c.Kind == CauseAbove || c.Kind == CauseBelow {
					at.latch, latch = latch, latch+1
				}
				bySlot[c.Slot] = append(bySlot[c.Slot], at)
			}
		}
	}
	for i, rows := range bySlot {
		ix.slots[i].refs = span{int32(len(ix.refs)), int32(len(ix.refs) + len(rows))}
		ix.refs = append(ix.refs, rows...)
	}
	for i, rows := range byTimer {
		ix.timers[i].refs = span{int32(len(ix.trefs)), int32(len(ix.trefs) + len(rows))}
		ix.trefs = append(ix.trefs, rows...)
	}
}

// sortReaders sorts the timers and regulators by the slots that drive them.
func (ix *index) sortReaders(p *Program) {
	ins := make([][]int16, len(p.Slots))
	for t, timer := range p.Timers {
		if timer.In >= 0 {
			ins[timer.In] = append(ins[timer.In], int16(t))
		}
	}
	regs := make([][]int16, len(p.Slots))
	for g, r := range p.Regulators {
		for _, s := range []int16{r.Sensor, r.SetPoint, r.Enable, r.Window} {
			if s >= 0 {
				regs[s] = append(regs[s], int16(g))
			}
		}
	}
	for i := range p.Slots {
		f := &ix.slots[i]
		f.ins = span{int32(len(ix.ins)), int32(len(ix.ins) + len(ins[i]))}
		ix.ins = append(ix.ins, ins[i]...)
		f.regs = span{int32(len(ix.regs)), int32(len(ix.regs) + len(regs[i]))}
		ix.regs = append(ix.regs, regs[i]...)
	}
}

// sortHolds sorts the holds by slot and, within one, with the strongest first.
func (ix *index) sortHolds(p *Program) {
	rows := make([][]int16, len(p.Slots))
	for h, hold := range p.Holds {
		at := len(rows[hold.Slot])
		for at > 0 && p.Holds[rows[hold.Slot][at-1]].Rank < hold.Rank {
			at--
		}
		list := append(rows[hold.Slot], 0)
		copy(list[at+1:], list[at:])
		list[at] = int16(h)
		rows[hold.Slot] = list
	}
	var asked int16
	for i := range rows {
		f := &ix.slots[i]
		f.holds = span{int32(len(ix.holds)), int32(len(ix.holds) + len(rows[i]))}
		ix.holds = append(ix.holds, rows[i]...)
		if len(rows[i]) > 0 {
			f.asked, asked = asked, asked+1
		}
	}
}

// list returns the slots of a list.
func (p *Program) list(l int16) []int16 {
	r := p.Lists[l]
	return p.Members[r.First : r.First+r.Count]
}
