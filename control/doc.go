// Package control is the control core: a program and a state, stepped by one event at a time into effects.
//
// What is proved, what is rehearsed and what runs on site is the same compiled Program stepped by the same Step; only
// the world around it differs. The package is pure and deterministic: integers only, no clock, no randomness, no I/O,
// and no allocation in Step. Time enters as the milliseconds that passed since the event before (Event.Elapsed); random
// choices enter as events.
//
// One event, one instant, to completion: time advances first (expired timers each take an instant of their own), then
// the event is looked at; every rule sees the snapshot before the instant; effects are applied in one commit; two
// different writes to one output in one instant are a fault unless one outranks; an effect that is itself a cause takes
// a later instant, and chains are bounded. Unknown is a third value: a condition that is unknown does not fire.
//
// The world around a Step: it sends EventStart first, then what every input, mirror, window and link is at (a first value
// is no edge, keys rest at 0), then what happens, and EventAdvance when Due says so; Elapsed beyond Due does the same, only
// that its effects come late. It tells the loss of a peer's link when that peer has restarted, because the
// numbers of its commands begin anew. Every command that is taken is answered by publishing the value of its slot, also
// where nothing changed: that puts a mirror right whose last report was lost.
//
// Numbers in slots are 32-bit integers whose meaning is the slot's Quantity: switches and contacts 0 or 1; levels,
// positions and slats in thousandths (position 0 open, 1000 closed; slats 0 turned up, 1000 turned down); temperatures in
// hundredths of a degree Celsius; light in lux; wind in tenths of a metre a second; counters and energy in whole units.
//
// A Program is plain tables, which the compiler of package behaviour fills. Program.Rules is the root: a Rule names runs
// of Program.Causes (CauseKind says of what sort), of Program.Code (its condition, in the stack code of Op) and of
// Program.Actions (ActionKind). Beside them stand Timers (IEC 61131-3), Gestures (what is recognised at a key), Lists
// with their Members (groups and chords), Scenes with their SceneItems, Holds and Regulators. Program.Check tells every
// mistake in the tables, and must have been called before Step.
//
// Sources: timers and edges after IEC 61131-3; the dimming curve after IEC 62386-102.
package control
