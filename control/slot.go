package control

// SlotKind is where the value of a slot comes from.
type SlotKind uint8

// The kinds of slot.
const (
	SlotInput   SlotKind = iota // local input
	SlotKey                     // local key: an input whose gestures are recognised
	SlotMirror                  // last published value of a slot of a peer
	SlotClock                   // driven by the calendar; see Schedule
	SlotLink                    // 1 while the peer Peer is heard; Peer -1: the network
	SlotMessage                 // pulses when the message of its name arrives
	SlotSwitch                  // local output, 0 or 1
	SlotLevel                   // local output, 0..1000
	SlotMotor                   // local motor output; its value is the position 0..1000
	SlotVar                     // variable, mode or counter
)

// Output tells whether slots of this kind drive something local.
func (k SlotKind) Output() bool { return k == SlotSwitch || k == SlotLevel || k == SlotMotor }

// Quantity is how the number in a slot is to be read.
type Quantity uint8

// The quantities; the package comment says their steps.
const (
	QuantityBool Quantity = iota
	QuantityLevel
	QuantityPosition
	QuantityTemperature
	QuantityLight
	QuantityWind
	QuantityCount
)

// Slot is one value of a controller.
type Slot struct {
	Name     string // name in the behaviour text: "hall.lamp", "hall.keys.2", "mode away"
	Kind     SlotKind
	Quantity Quantity
	Publish  bool   // the value is published whenever it changes, and after every command that is taken
	Peer     int16  // mirrors and links: index into Program.Peers; else -1
	Remote   int16  // mirrors: the slot in the peer's program; else -1
	Start    int32  // value at EventStart (Unknown for inputs and mirrors)
	Module   string // local channels: the module, e.g. "board1.k3"; empty where none
	Channel  string // local channels: its channel, e.g. "out1"
	Up       int32  // motors: full travel upward in ms
	Down     int32  // motors: full travel downward in ms
	Slats    int32  // motors: full turn of the slats in ms, 0 where there are none
	Pause    int32  // motors: pause before a reversal in ms, at least 500
	Least    int32  // levels: lowest level that burns steadily
	Schedule int16  // clock slots: index into Program.Schedules; else -1
	Forget   bool   // mirrors: becomes Unknown while the link to its peer is lost; else the last value stands
	Retain   bool   // variables, motors: keeps value (position) over a restart that still has the old state
}

// AnchorKind is what a moment of a schedule is counted from.
type AnchorKind uint8

// The anchors.
const (
	AnchorTime     AnchorKind = iota // wall-clock time
	AnchorSunrise                    // sun's centre at -0.833°
	AnchorSunset                     // sun's centre at -0.833°
	AnchorSunAbove                   // sun climbs through Elevation
	AnchorSunBelow                   // sun sinks through Elevation
)

// Anchor is one moment of a day, in local wall-clock time of the house.
type Anchor struct {
	Kind      AnchorKind
	Minute    int16 // AnchorTime: minutes after midnight; else offset in minutes, may be negative
	Elevation int16 // AnchorSunAbove, AnchorSunBelow: tenths of a degree
	NotBefore int16 // minutes after midnight, -1 for none
	NotAfter  int16 // minutes after midnight, -1 for none
}

// Schedule is a calendar entry that drives a clock slot: a moment, or a window from one moment to another.
type Schedule struct {
	Window bool
	Days   uint8 // bit 0 Monday … bit 6 Sunday; 127 for every day
	From   Anchor
	To     Anchor // windows; a window may cross midnight
	First  int32  // first date as yyyymmdd, 0 for none; with a year of 0000 the entry repeats every year
	Last   int32  // last date as yyyymmdd, 0 for none
	Every  int32  // a period in minutes instead of an anchor, 0 for none
}
