package control

// ActionKind is what an action does.
type ActionKind uint8

// The kinds of action. Those down to ActionRelease drive an output or variable (see Target); the others name a row of
// their own table in Action.Index.
const (
	ActionSet     ActionKind = iota // to the operand; motors travel to it as a position; levels fade over Time
	ActionOn                        // switch on; level to what it was when last on
	ActionOff                       // switch or level off; levels fade over Time
	ActionToggle                    // of a list: decided once from the snapshot (any on: all off), then absolute
	ActionRaise                     // motor up; level brightens, at Time for the whole range, until ActionStop
	ActionLower                     // motor down; level darkens to its least, likewise
	ActionStop                      // stop a motor, a brightening or a fade
	ActionSlats                     // turn the slats of a motor to the operand, after a travel that was asked for
	ActionAdd                       // add the operand to a local variable; several in one instant all count
	ActionHold                      // put a hold with the operand as value
	ActionRelease                   // end a hold

	ActionStartTimer  // timer Index; a known operand of 0 or more is its time, an empty one stands for Timer.Time
	ActionCancelTimer // timer Index
	ActionRecall      // scene Index: set every item of it
	ActionCapture     // stored scene Index: take the present values
	ActionNotify      // tell the people Texts[Index]

	actionKinds = int(ActionNotify) + 1
)

// Target is how Action.Index is to be read for the actions that drive something.
type Target uint8

// The targets. Where a mirror stands in the place of an output, its owner is sent a command.
const (
	TargetSlot Target = iota // Index is a local output or variable, or a mirror
	TargetList               // Index is a list of such slots: each of them
	TargetPeer               // Index is a slot of the program of Peer, which need not be mirrored
	TargetHold               // ActionHold and ActionRelease: Index is a row of Program.Holds
)

// Action is one thing that a rule does. The operand is the result of the code in Value, or Const where Value is empty;
// an action whose operand is unknown does nothing.
type Action struct {
	Kind   ActionKind
	To     Target
	Rank   Rank  // ActionHold, ActionRelease without TargetHold: rank of the hold
	Index  int16 // slot, list, hold, timer, scene or text
	Peer   int16 // TargetPeer: index into Program.Peers
	Value  Range // rows of Program.Code
	Const  int32
	Time   int32 // ms: fade of a level, or whole range of a brightening (0: RangeTimeUsual)
	Expiry int32 // ms after which a command that this sends must do nothing; 0: ExpiryUsual
}

// The usual times of actions in ms: common practice, no source.
const (
	RangeTimeUsual = 4000 // brightening from least to full
	ExpiryUsual    = 2000 // a person presses again after about a second
)
