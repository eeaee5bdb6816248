package control

// The words of a motor's memory. Places are kept in millionths, to which the thousandths of the slot are rounded.
const (
	motorDir    = iota // -1 up, 0 still, 1 down: no value of it can mean both
	motorFull          // 1 while the run goes all the way to an end and makes the position certain
	motorPos           // position when the run began, or where it stands; Unknown before the first full run
	motorSlat          // slat angle, likewise
	motorTotal         // length of the run in ms; its clock holds what is left of it, or of the pause when still
	motorTarget        // position that is wanted in thousandths, Unknown for none
	motorAngle         // slat angle that is wanted after that, Unknown for none
	motorCause         // rule that wants it, plus 1; 0 for none
	motorWords
)

// million is the whole travel or turn in the steps of motorPos and motorSlat.
const million = 1_000_000

// clearMotor makes the memory of a motor that of one of which nothing is known.
func clearMotor(words []int32) {
	clear(words)
	words[motorPos], words[motorSlat] = Unknown, Unknown
	words[motorTarget], words[motorAngle] = Unknown, Unknown
}

// motorWords returns the memory of a motor.
func (r *run) motorWords(slot int16) []int32 {
	at := r.ix.lay.motion + int(r.ix.slots[slot].nth)*motorWords
	return r.s[at : at+motorWords : at+motorWords]
}

// motorClock returns the clock of a motor: what is left of its run, or of its pause.
func (r *run) motorClock(slot int16) *int32 {
	return &r.s[r.ix.lay.motor+int(r.ix.slots[slot].nth)]
}

// startMotor loads the memory of a motor at the start. It stands still, and waits for the pause before anything: what it
// did before the start is not known.
func (r *run) startMotor(slot int16, v int32) {
	m := r.motorWords(slot)
	if v != Unknown {
		m[motorPos], m[motorSlat] = v*1000, 0
		if v == 1000 {
			m[motorSlat] = million
		}
	}
	*r.motorClock(slot) = r.p.Slots[slot].Pause
	r.effect(Effect{Kind: EffectMotor, Slot: slot})
}

// settlePosition puts the estimated position of a motor into its slot, for a start that retains it.
func (r *run) settlePosition(slot int16) {
	pos, _ := r.estimate(slot)
	r.s[slotBase+int(slot)] = thousandths(pos)
}

// thousandths rounds millionths, keeping Unknown.
func thousandths(v int32) int32 {
	if v == Unknown {
		return Unknown
	}
	return (v + 500) / 1000
}

// fullRun is how long a run to an end takes in ms: travel, slats, and a tenth of both but at least MotorMargin, so that
// the end is reached whatever was believed before.
func fullRun(s *Slot, dir int32) int32 {
	ms := s.Down + s.Slats
	if dir < 0 {
		ms = s.Up + s.Slats
	}
	return ms + max(ms/10, MotorMargin)
}

// estimate returns position and slat angle at this moment in millionths. A run turns the slats first; what is left of it
// moves the curtain.
func (r *run) estimate(slot int16) (pos, slat int32) {
	m := r.motorWords(slot)
	if m[motorDir] == 0 {
		return m[motorPos], m[motorSlat]
	}
	return moved(&r.p.Slots[slot], m[motorPos], m[motorSlat], m[motorDir], m[motorTotal]-*r.motorClock(slot))
}

// moved returns where a run of ms leads.
func moved(s *Slot, pos, slat, dir, ms int32) (int32, int32) {
	turn := turnTime(s, slat, dir)
	if ms < turn {
		if slat != Unknown {
			slat += dir * int32(int64(ms)*million/int64(s.Slats))
		}
		return pos, clampPlace(slat)
	}
	if s.Slats > 0 {
		slat = end(dir)
	}
	if pos == Unknown {
		return Unknown, slat
	}
	travel := int64(s.Down)
	if dir < 0 {
		travel = int64(s.Up)
	}
	way := (int64(ms-turn)*million + travel/2) / travel
	return clampPlace(pos + dir*int32(min(way, million))), slat
}

// turnTime is how long the slats take to the end of a direction in ms; all of it where their angle is unknown.
func turnTime(s *Slot, slat, dir int32) int32 {
	left := int64(million)
	switch {
	case slat == Unknown:
	case dir > 0:
		left = int64(million - slat)
	default:
		left = int64(slat)
	}
	return int32((left*int64(s.Slats) + million - 1) / million)
}

// end is the place at the end of a direction.
func end(dir int32) int32 {
	if dir > 0 {
		return million
	}
	return 0
}

// clampPlace keeps a place between the ends, and Unknown as it is.
func clampPlace(v int32) int32 {
	if v == Unknown {
		return v
	}
	return clamp(v, 0, million)
}

// writeMotor does a write to a motor, or remembers it under a hold.
func (r *run) writeMotor(w *write) {
	switch w.kind {
	case ActionSet:
		if v := clamp(w.value, 0, 1000); r.ask(w.slot, v) {
			r.travel(w.slot, v, false)
		}
	case ActionRaise:
		if r.ask(w.slot, 0) {
			r.travel(w.slot, 0, true)
		}
	case ActionLower:
		if r.ask(w.slot, 1000) {
			r.travel(w.slot, 1000, true)
		}
	case ActionStop:
		pos, _ := r.estimate(w.slot)
		if r.ask(w.slot, thousandths(pos)) {
			r.stopMotor(w.slot)
		}
	case ActionSlats:
		if r.standing(w.slot) < 0 {
			m := r.motorWords(w.slot)
			m[motorAngle], m[motorCause] = clamp(w.value, 0, 1000), int32(r.cause)+1
			r.replan(w.slot)
		}
	}
}

// travel sends a motor to a position. Unless it must run always (a person who presses "up" sees that it is not), a motor
// that is there stays there; a full run that is only making sure of the end goes on.
func (r *run) travel(slot int16, v int32, always bool) {
	m := r.motorWords(slot)
	if pos, _ := r.estimate(slot); !always && pos == v*1000 && !(m[motorFull] == 1 && end(m[motorDir]) == pos) {
		r.stopMotor(slot)
		return
	}
	m[motorTarget], m[motorAngle], m[motorCause] = v, Unknown, int32(r.cause)+1
	r.replan(slot)
}

// stopMotor stops a motor and forgets what was wanted of it.
func (r *run) stopMotor(slot int16) {
	m := r.motorWords(slot)
	m[motorTarget], m[motorAngle], m[motorCause] = Unknown, Unknown, 0
	if m[motorDir] != 0 {
		r.halt(slot)
	}
}

// course is a run: its direction (0 for none), its length in ms, and whether it goes all the way.
type course struct {
	dir, ms int32
	full    bool
}

// plan returns the next run that leads to what is wanted from a place, and forgets what is reached.
func (r *run) plan(slot int16, pos, slat int32) course {
	m, s := r.motorWords(slot), &r.p.Slots[slot]
	if target := m[motorTarget]; target != Unknown {
		dir := int32(1)
		if target == 0 || target < 1000 && pos == Unknown && target <= 500 || pos != Unknown && target*1000 < pos {
			dir = -1
		}
		if target == 0 || target == 1000 || pos == Unknown {
			return course{dir, fullRun(s, dir), true}
		}
		travel := int64(s.Down)
		if dir < 0 {
			travel = int64(s.Up)
		}
		if ms := int32((int64(dir*(target*1000-pos))*travel + million/2) / million); ms > 0 {
			return course{dir, ms + turnTime(s, slat, dir), false}
		}
		m[motorTarget] = Unknown
	}
	if angle := m[motorAngle]; angle != Unknown {
		if c := turnCourse(s, angle, slat); c.dir != 0 {
			return c
		}
		m[motorAngle] = Unknown
	}
	m[motorCause] = 0
	return course{}
}

// turnCourse returns the run that turns the slats to an angle; from an unknown angle first to the nearer end.
func turnCourse(s *Slot, angle, slat int32) course {
	if slat == Unknown {
		if angle >= 500 {
			return course{1, s.Slats, false}
		}
		return course{-1, s.Slats, false}
	}
	way := angle*1000 - slat
	dir := int32(1)
	if way < 0 {
		dir, way = -1, -way
	}
	ms := int32((int64(way)*int64(s.Slats) + million/2) / million)
	if ms == 0 {
		return course{}
	}
	return course{dir, ms, false}
}

// replan makes a motor do what is wanted of it now. A run in the right direction is made longer or shorter, never beyond
// a full run; one in the wrong direction stops, and the pause goes before the reversal.
func (r *run) replan(slot int16) {
	m, clock := r.motorWords(slot), r.motorClock(slot)
	pos, slat := r.estimate(slot)
	c := r.plan(slot, pos, slat)
	switch {
	case m[motorDir] == 0 && (*clock != 0 || c.dir == 0):
	case m[motorDir] == 0:
		r.begin(slot, c)
	case m[motorDir] != c.dir:
		r.halt(slot)
	default:
		gone := m[motorTotal] - *clock
		total := gone + c.ms
		if full := fullRun(&r.p.Slots[slot], c.dir); c.full || total > full {
			total = full
		}
		m[motorTotal], m[motorFull], *clock = total, truth(c.full), total-gone
	}
}

// begin starts a run.
func (r *run) begin(slot int16, c course) {
	m := r.motorWords(slot)
	m[motorDir], m[motorTotal], m[motorFull] = c.dir, c.ms, truth(c.full)
	*r.motorClock(slot) = c.ms
	r.effect(Effect{Kind: EffectMotor, Slot: slot, Value: c.dir})
	r.happen(slot, CauseMoves)
}

// halt ends a run where it is; then the pause runs.
func (r *run) halt(slot int16) {
	m, clock := r.motorWords(slot), r.motorClock(slot)
	pos, slat := r.estimate(slot)
	if m[motorFull] == 1 && *clock == 0 {
		if pos = end(m[motorDir]); r.p.Slots[slot].Slats > 0 {
			slat = pos
		}
		if m[motorTarget] == thousandths(pos) {
			m[motorTarget] = Unknown
		}
	}
	m[motorDir], m[motorTotal], m[motorFull] = 0, 0, 0
	m[motorPos], m[motorSlat] = pos, slat
	*clock = r.p.Slots[slot].Pause
	r.effect(Effect{Kind: EffectMotor, Slot: slot})
	r.put(slot, thousandths(pos))
	r.happen(slot, CauseStops)
}

// motorExpired is the end of a run, or of the pause.
func (r *run) motorExpired(slot int16) {
	m := r.motorWords(slot)
	r.cause = int16(m[motorCause] - 1)
	if m[motorDir] == 0 {
		r.replan(slot)
	} else {
		r.halt(slot)
		r.plan(slot, m[motorPos], m[motorSlat]) // forgets what is reached
	}
	r.cause = noRule
}

// Motion returns what a motor does now: its direction (-1 up, 0 still, 1 down) and the estimated position and slat angle
// in thousandths, Unknown before the first full run.
func (p *Program) Motion(s State, slot int16) (dir, pos, slat int32) {
	if !p.has(s, slot) || p.Slots[slot].Kind != SlotMotor {
		return 0, Unknown, Unknown
	}
	r := run{p: p, ix: p.ix, s: s}
	pos, slat = r.estimate(slot)
	return r.motorWords(slot)[motorDir], thousandths(pos), thousandths(slat)
}
