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

// Timer is one timer. A new time is taken at the next start. ActionCancelTimer ends it at once, without CauseExpired;
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
