package prove

import "wirewright/control"

// readsSlot, readsTimer and readsList tell what the argument of an instruction is.
func readsSlot(o control.Op) bool { return o >= control.OpSlot && o <= control.OpHeld }

func readsTimer(o control.Op) bool { return o >= control.OpTimerQ && o <= control.OpTimerET }

func readsList(o control.Op) bool { return o >= control.OpAny && o <= control.OpSum }

// user gathers the slots that the rules of a program look at.
type user struct {
	p      *control.Program
	slots  map[int16]bool
	timers map[int32]bool
}

// uses lists the slots that the rules and regulators of a program look at: in causes, conditions, operands and toggled
// lists, and those that drive a timer that they wait for.
func uses(p *control.Program) map[int16]bool {
	u := &user{p, map[int16]bool{}, map[int32]bool{}}
	for i := range p.Rules {
		u.rule(&p.Rules[i])
	}
	for i := range p.Timers {
		if u.timers[int32(i)] && p.Timers[i].In >= 0 {
			u.slots[p.Timers[i].In] = true
		}
	}
	for _, g := range p.Regulators {
		for _, slot := range []int16{g.Sensor, g.SetPoint, g.Enable, g.Window} {
			if slot >= 0 {
				u.slots[slot] = true
			}
		}
	}
	return u.slots
}

func (u *user) rule(r *control.Rule) {
	for _, c := range u.p.Causes[r.Causes.First : r.Causes.First+r.Causes.Count] {
		switch c.Kind {
		case control.CauseStart:
		case control.CauseChord:
			u.list(int32(c.List))
		case control.CauseTimerOn, control.CauseTimerOff, control.CauseExpired:
			u.timers[int32(c.Timer)] = true
		default:
			u.slots[c.Slot] = true
		}
	}
	u.code(r.Cond)
	for _, a := range u.p.Actions[r.Actions.First : r.Actions.First+r.Actions.Count] {
		u.code(a.Value)
		if a.Kind == control.ActionToggle && a.To == control.TargetList {
			u.list(int32(a.Index))
		}
	}
}

func (u *user) code(c control.Range) {
	for _, i := range u.p.Code[c.First : c.First+c.Count] {
		switch {
		case readsSlot(i.Op):
			u.slots[int16(i.Arg)] = true
		case readsTimer(i.Op):
			u.timers[i.Arg] = true
		case readsList(i.Op):
			u.list(i.Arg)
		}
	}
}

func (u *user) list(list int32) {
	l := u.p.Lists[list]
	for _, m := range u.p.Members[l.First : l.First+l.Count] {
		u.slots[m] = true
	}
}
