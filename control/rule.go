package control

// Range is a run of rows of a table: Count rows from row First on. The zero Range is empty.
type Range struct {
	First int32
	Count int32
}

// Rule is one sentence of the behaviour text: when any one of its causes happens, and its condition is true in the
// snapshot of that instant, its actions are done in order. An empty condition is true; one that is unknown is not.
type Rule struct {
	Name    int16 // index into Program.Texts: what the trace and the listing call it
	Rank    Rank  // decides between writes to one output in one instant
	Causes  Range // rows of Program.Causes
	Cond    Range // rows of Program.Code
	Actions Range // rows of Program.Actions
}

// Rank orders who may write an output. Between rules it decides inside one instant only; what must stand is a Hold.
type Rank uint8

// The ranks, lowest first.
const (
	RankNone      Rank = iota // a plain rule
	RankAutomatic             // sun shade, thermostat, schedule
	RankManual                // a person at a key
	RankSafety                // wind, frost, smoke

	// RankCount is how many ranks there are.
	RankCount = 4
)

// CauseKind is what sort of happening starts a rule.
type CauseKind uint8

// The kinds of cause. A link lost or back is a fall or rise of its SlotLink, a clock moment or the start of a window a
// rise of its SlotClock, a message a rise of its SlotMessage. The step from Unknown to a first value is neither rise nor
// fall nor change nor crossing: an input that is already on when power comes is no news (the edge memory of R_TRIG and
// F_TRIG is loaded with it); CauseKnown sees it.
const (
	CauseStart    CauseKind = iota // power came, or the program was activated
	CauseRise                      // Slot went from 0 to anything else
	CauseFall                      // Slot went to 0
	CauseChange                    // Slot went from one known value to another
	CauseKnown                     // Slot went from Unknown to a value
	CauseForgot                    // Slot went from a value to Unknown
	CauseAbove                     // Slot rose above Level; armed again at or below Level - Band
	CauseBelow                     // Slot sank below Level; armed again at or above Level + Band
	CausePress                     // key Slot: went down (debounced), at once
	CauseRelease                   // key Slot: went up, at once
	CauseShort                     // key Slot: a short press; waits for the gap where its Gesture has one
	CauseLong                      // key Slot: has been down for the long mark
	CauseLetGo                     // key Slot: went up after the long mark
	CauseDouble                    // key Slot: second short press within the gap
	CauseChord                     // all keys of List are down, and the last of them went down now
	CauseTimerOn                   // output Q of Timer went on
	CauseTimerOff                  // output Q of Timer went off
	CauseExpired                   // Timer ran out by itself (not cancelled)
	CauseMoves                     // motor Slot began to move
	CauseStops                     // motor Slot stopped, for whatever reason

	causeKinds = int(CauseStops) + 1
)

// Cause is one happening that starts a rule. Only the fields that its kind names are read.
type Cause struct {
	Kind  CauseKind
	Slot  int16 // all kinds but CauseStart, CauseChord and those of timers
	List  int16 // CauseChord: index into Program.Lists, keys only
	Timer int16 // CauseTimerOn, CauseTimerOff, CauseExpired
	Level int32 // CauseAbove, CauseBelow
	Band  int32 // CauseAbove, CauseBelow: hysteresis, 0 or more
}

// Scene is a named set of values. One that is stored lets ActionCapture replace its values by the present ones, which
// then stand in the state.
type Scene struct {
	Name   int16 // index into Program.Texts
	Stored bool
	Items  Range // rows of Program.SceneItems
}

// SceneItem is one value of a scene.
type SceneItem struct {
	Slot  int16 // output or variable, or a mirror of one (then its owner is commanded)
	Slats bool  // the value is the slat angle of a motor, not its position
	Value int32 // where the scene is stored: the value until the first capture
	Time  int32 // levels: fade in ms
}

// Hold is a standing demand on an output: as long as it stands, the output has its value, and other writes are only
// remembered. Of several that stand on one output the highest rank wins, and of equal rank the first row.
type Hold struct {
	Name    int16 // index into Program.Texts
	Slot    int16 // the local output
	Rank    Rank  // RankAutomatic or higher
	Peer    int16 // controller whose VerbHold puts it; -1 for this controller's own rules and the workbench
	Restore bool  // when it ends and no other stands, what was last asked for is done; else the output stays as it is
}

// HoldStill is the value of a hold that keeps a motor from moving at all.
const HoldStill int32 = 0xffff
