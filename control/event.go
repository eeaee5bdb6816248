package control

import "math"

// Unknown is the value of a slot that nothing has been heard of yet.
const Unknown int32 = math.MinInt32

// EventKind is what happened.
type EventKind uint8

// The kinds of event. The world sends EventStart first, once after power-on or activation.
const (
	EventAdvance EventKind = iota // nothing but time
	EventStart                    // power has come (back), or a program was activated
	EventInput                    // a local input has a new raw value (key down is 1, up is 0)
	EventMirror                   // a peer published the value of a slot that is mirrored here
	EventClock                    // the calendar: 1 inside a window and 0 outside; a moment is a 1 that falls back by itself
	EventLink                     // a peer or the network was lost (0) or came back (1)
	EventCommand                  // a peer (or a person at the workbench) commands a slot of this controller
	EventMessage                  // a message from outside, by name: the slot of that name pulses
)

// Event is one thing that happens to a controller.
type Event struct {
	Kind    EventKind
	Verb    Verb   // commands
	Peer    int16  // commands: index into Program.Peers of the sender; -1 for the workbench
	Slot    int16  // the slot concerned; -1 where none is
	Value   int32  // new value, or operand of the verb
	Elapsed int32  // ms since the event before at this controller
	Seq     uint32 // commands: number given by the sender, rising by one; 0 is never used
	Age     int32  // commands: ms since it was sent
	Expiry  int32  // commands: ms after which it must do nothing
	Fade    int32  // commands to a level: ms over which; 0 at once
}

// Verb is what a command asks of the slot that it names.
type Verb uint8

// The verbs. All but VerbToggle are absolute; a toggle is resolved by the owner of the output.
const (
	VerbSet     Verb = iota // value becomes Value (switch, level, variable); a motor travels to position Value
	VerbToggle              // off if on, else on (level: what was last on)
	VerbRaise               // motor up, or brighten until VerbStop
	VerbLower               // motor down, or darken until VerbStop
	VerbStop                // stop a motor or a brightening
	VerbSlat                // motor: turn the slats to Value
	VerbHold                // a hold of rank Value>>16 forces the value of the low 16 bits until VerbRelease
	VerbRelease             // end the hold of rank Value>>16
	VerbOn                  // switch on; level to what it was when last on: absolute, unlike VerbToggle
)

// EffectKind is what the world must do.
type EffectKind uint8

// The kinds of effect, to be carried out in the order in which Step returns them.
const (
	EffectOutput  EffectKind = iota // drive the local channel of Slot to Value, over Time ms
	EffectMotor                     // drive the local motor of Slot: Value -1 up, 0 stop, +1 down
	EffectPublish                   // tell everybody that Slot has Value (retained)
	EffectSend                      // send a command to Peer (expires after Time ms)
	EffectNotify                    // tell the people: text number Value of Program.Texts
	EffectFault                     // a fault at run time: Value is a FaultCode
)

// Effect is one thing for the world to do.
type Effect struct {
	Kind  EffectKind
	Verb  Verb  // EffectSend
	Peer  int16 // EffectSend: index into Program.Peers
	Slot  int16 // local slot; EffectSend: slot of the peer's program
	Value int32
	Time  int32  // EffectOutput: fade in ms; EffectSend: expiry in ms; FaultConflict: the other rule
	Seq   uint32 // EffectSend
	Fade  int32  // EffectSend: ms, to be carried as Event.Fade
	Cause int16  // rule that caused it (index into Program.Rules), -1 for none: the trace that explains an output
}

// FaultCode says what went wrong inside a controller at run time.
type FaultCode int32

// The faults at run time.
const (
	FaultConflict FaultCode = 1 + iota // two different writes to one output in one instant
	FaultChain                         // a chain of effects longer than the bound was cut
	FaultRange                         // an event named a slot, peer or value that the program does not have
	FaultCrowd                         // more than MaxWrites writes in one instant: none was done
	FaultTime                          // more than MaxExpiries timers ran out in one Step: the rest of the time was skipped
)
