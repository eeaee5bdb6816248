package control

// TimerKind is how a timer's output Q follows its input IN; the terms are those of IEC 61131-3.
type TimerKind uint8

// The kinds of timer. Each is driven by a slot (In) or by ActionStartTimer and ActionCancelTimer, which stand for IN
// going on and off.
const (
	TimerPulse    TimerKind = iota // TP: a rise of IN gives Q for exactly the time, whatever IN does meanwhile
	TimerOnDelay                   // TON: Q goes on when IN has been on for the time
	TimerOffDelay                  // TOF: Q is on with IN, and for the time after IN falls
	TimerRunOn                     // not of the standard: each rise of IN gives Q for the time anew (a staircase light)
	TimerWait                      // not of the standard: a step of a sequence; Q while it waits, a new start begins anew

	timerKinds = int(TimerWait) + 1
)

// Timer is one timer. Time passes before an input is looked at, and an expiry is an instant of its own: where the IN of
// an on-delay falls at the very moment at which its time is up, Q goes on and off in that moment. A new time is taken at
// the next start. ActionCancelTimer ends it at once, without CauseExpired;
// for a timer of the off-delay kind without In it is IN going off, so the time begins then.
type Timer struct {
	Kind   TimerKind
	Name   int16 // index into Program.Texts, -1 for none
	In     int16 // slot that drives it (unknown counts as off); -1: actions drive it
	Invert bool  // IN is the opposite of the slot (unknown counts as off all the same)
	Time   int32 // ms, 0 or more; ActionStartTimer may give another
}

// Gesture says what is to be recognised at one key. A key without a Gesture follows its contact at once and knows
// CausePress, CauseRelease and CauseChord only; so does one whose Long and Gap are 0, after Debounce. Recognition costs
// waiting, so Gap is set only where a double press is used.
type Gesture struct {
	Slot     int16 // a SlotKey; at most one Gesture a key
	Debounce int32 // ms for which the contact must have been steady; 0 where the module does this
	Long     int32 // ms down that make a press long; 0: no press is long
	Gap      int32 // ms after a short press in which a second makes it double; 0: no press is double
}

// The usual times of gestures in ms: common practice, no source.
const (
	DebounceUsual = 30
	LongUsual     = 500
	GapUsual      = 300
)

// timerIn lets the IN of a timer go on or off. First means that its slot had no value before: an input that is on when
// power comes is no edge, so a pulse does not start and an off-delay is on without having gone on.
func (r *run) timerIn(t int16, in, first bool) {
	if r.bit(t) == in {
		return
	}
	r.setBit(t, in)
	kind := r.p.Timers[t].Kind
	switch {
	case in && first && kind == TimerOffDelay:
		*r.timerClock(t), r.s[r.ix.lay.set+int(t)] = 0, 0
	case in && first && kind != TimerOnDelay:
	case in:
		r.timerRise(t, kind, r.p.Timers[t].Time)
	default:
		r.timerFall(t, kind)
	}
}

// startTimer is ActionStartTimer. For pulse and its kin the IN is as short as the key press that it stands for.
func (r *run) startTimer(t int16, ms int32) {
	kind := r.p.Timers[t].Kind
	if kind == TimerOnDelay || kind == TimerOffDelay {
		if r.bit(t) {
			return
		}
		r.setBit(t, true)
	}
	r.timerRise(t, kind, ms)
}

// cancelTimer is ActionCancelTimer.
func (r *run) cancelTimer(t int16) {
	kind := r.p.Timers[t].Kind
	if kind == TimerOnDelay || kind == TimerOffDelay {
		if r.bit(t) {
			r.setBit(t, false)
			r.timerFall(t, kind)
		}
		return
	}
	if clock := r.timerClock(t); *clock != 0 {
		*clock = 0
		r.s[r.ix.lay.set+int(t)] = 0
		r.timerHappens(t, CauseTimerOff)
	}
}

// timerClock is the word that holds how long a timer still runs.
func (r *run) timerClock(t int16) *int32 { return &r.s[r.ix.lay.timer+int(t)] }

// timerRise is a rise of IN. The memory of IN is set already.
func (r *run) timerRise(t int16, kind TimerKind, ms int32) {
	clock, set := r.timerClock(t), &r.s[r.ix.lay.set+int(t)]
	running := *clock != 0
	switch kind {
	case TimerPulse:
		if running || ms == 0 {
			return
		}
	case TimerOffDelay:
		if !running {
			r.timerHappens(t, CauseTimerOn)
		}
		*clock, *set = 0, 0
		if r.p.Timers[t].In < 0 {
			*set = -ms // the time that ActionStartTimer gave waits here for IN to fall
		}
		return
	}
	*clock, *set = ms, ms
	if kind != TimerOnDelay && !running {
		r.timerHappens(t, CauseTimerOn)
	}
	if ms == 0 {
		r.timerExpired(t)
	}
}

// timerFall is a fall of IN.
func (r *run) timerFall(t int16, kind TimerKind) {
	clock, set := r.timerClock(t), &r.s[r.ix.lay.set+int(t)]
	switch kind {
	case TimerOnDelay:
		if *clock == 0 {
			r.timerHappens(t, CauseTimerOff)
		}
		*clock, *set = 0, 0
	case TimerOffDelay:
		ms := r.p.Timers[t].Time
		if r.p.Timers[t].In < 0 {
			ms = -*set
		}
		*clock, *set = ms, ms
		if ms == 0 {
			r.timerExpired(t)
		}
	default:
		if *clock == 0 {
			*set = 0
		}
	}
}

// timerExpired is a timer running out.
func (r *run) timerExpired(t int16) {
	timer := &r.p.Timers[t]
	switch {
	case timer.Kind == TimerOnDelay:
		r.timerHappens(t, CauseTimerOn)
	case timer.Kind == TimerOffDelay && timer.In >= 0:
		r.timerHappens(t, CauseTimerOff) // ET stays at the time until IN rises
	default:
		r.timerHappens(t, CauseTimerOff)
		if !r.bit(t) {
			r.s[r.ix.lay.set+int(t)] = 0
		}
	}
	r.timerHappens(t, CauseExpired)
}

// timerHappens notes the rules that wait for something at a timer.
func (r *run) timerHappens(t int16, kind CauseKind) {
	at := r.ix.timers[t].refs
	for i := at.from; i < at.to; i++ {
		if r.ix.trefs[i].kind == kind {
			r.mark(r.ix.trefs[i].rule)
		}
	}
}

// timerQ is output Q of a timer.
func (r *run) timerQ(t int16) bool {
	running := *r.timerClock(t) != 0
	switch r.p.Timers[t].Kind {
	case TimerOnDelay:
		return r.bit(t) && !running
	case TimerOffDelay:
		return r.bit(t) || running
	}
	return running
}

// timerET is output ET of a timer in ms: what has passed of its time.
func (r *run) timerET(t int16) int32 {
	set := r.s[r.ix.lay.set+int(t)]
	return max(0, set-*r.timerClock(t))
}

// TimerOutput returns the outputs Q and ET (in ms) of a timer; false and 0 where there is no such timer.
func (p *Program) TimerOutput(s State, timer int16) (q bool, et int32) {
	if p.ix == nil || len(s) != p.ix.lay.size || timer < 0 || int(timer) >= len(p.Timers) {
		return false, 0
	}
	r := run{p: p, ix: p.ix, s: s}
	return r.timerQ(timer), r.timerET(timer)
}
