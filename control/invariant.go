package control

import "fmt"

// Invariant returns what is wrong with a state that Step can never leave behind, "" when nothing is: a slot out of its
// range, a hold that is not kept, a motor that moves without a run or longer than a full one, a clock below 0.
func (p *Program) Invariant(s State) string {
	if p.ix == nil || len(s) != p.ix.lay.size {
		return "the state does not belong to the program"
	}
	r := run{p: p, ix: p.ix, s: s}
	for i, c := range p.Clocks(s) {
		if c < 0 {
			return fmt.Sprintf("clock %d stands at %d ms", i, c)
		}
	}
	if s[0] == 0 {
		return ""
	}
	for i := range p.Slots {
		slot := &p.Slots[i]
		if !slot.Kind.Output() {
			continue
		}
		v := r.value(int16(i))
		if v != Unknown && !inRange(slot.Kind, v) {
			return fmt.Sprintf("%s stands at %d, out of its range", slot.Name, v)
		}
		wrong := ""
		switch slot.Kind {
		case SlotMotor:
			wrong = r.motorWrong(int16(i))
		case SlotLevel:
			wrong = r.levelWrong(int16(i))
		}
		if wrong != "" {
			return slot.Name + " " + wrong
		}
		if h := r.standing(int16(i)); h >= 0 {
			if wrong := r.holdBroken(int16(i), s[p.ix.lay.hold+int(h)]); wrong != "" {
				return slot.Name + " " + wrong
			}
		}
	}
	return ""
}

// motorWrong returns what is wrong with a motor.
func (r *run) motorWrong(slot int16) string {
	m, clock, s := r.motorWords(slot), *r.motorClock(slot), &r.p.Slots[slot]
	switch dir := m[motorDir]; {
	case dir < -1 || dir > 1:
		return fmt.Sprintf("moves in direction %d, which does not exist", dir)
	case dir == 0 && clock > s.Pause:
		return fmt.Sprintf("pauses for %d ms", clock)
	case dir == 0 && clock == 0 && m[motorTarget] != Unknown:
		return "stands still without a pause though it is wanted elsewhere"
	case dir != 0 && clock == 0:
		return "moves without end"
	case dir != 0 && (clock > m[motorTotal] || m[motorTotal] > fullRun(s, dir)):
		return fmt.Sprintf("runs for %d ms, more than a full run", m[motorTotal])
	}
	for _, at := range []int{motorPos, motorSlat} {
		if v := m[at]; v != Unknown && (v < 0 || v > million) {
			return fmt.Sprintf("is believed at %d millionths", v)
		}
	}
	return ""
}

// levelWrong returns what is wrong with a level: what runs must be within its time, and what does not must leave no trace,
// or equal states would differ.
func (r *run) levelWrong(slot int16) string {
	words, clock := r.level(slot)
	switch {
	case *clock > words[levelTotal]:
		return fmt.Sprintf("runs for %d ms of %d", *clock, words[levelTotal])
	case *clock == 0 && (words[levelFrom] != 0 || words[levelTo] != 0 || words[levelTotal] != 0):
		return "remembers a run that has ended"
	case words[levelLast] < 0 || words[levelLast] > 1000:
		return fmt.Sprintf("was last on at %d", words[levelLast])
	}
	return ""
}

// holdBroken returns how an output breaks the hold that stands on it at v.
func (r *run) holdBroken(slot int16, v int32) string {
	if r.ix.slots[slot].kind != SlotMotor {
		if got := r.value(slot); got != v {
			return fmt.Sprintf("stands at %d though it is held at %d", got, v)
		}
		if r.ix.slots[slot].kind == SlotLevel {
			if _, clock := r.level(slot); *clock != 0 {
				return fmt.Sprintf("is on the way though it is held at %d", v)
			}
		}
		return ""
	}
	m := r.motorWords(slot)
	switch {
	case v == HoldStill && (m[motorDir] != 0 || m[motorTarget] != Unknown):
		return "moves though it is held still"
	case v == HoldStill || m[motorTarget] == v:
		return ""
	case m[motorTarget] != Unknown || m[motorDir] != 0:
		return fmt.Sprintf("travels elsewhere though it is held at %d", v)
	case m[motorPos] == Unknown || thousandths(m[motorPos]) < v-1 || thousandths(m[motorPos]) > v+1:
		return fmt.Sprintf("stands at %d though it is held at %d", thousandths(m[motorPos]), v)
	}
	return ""
}
