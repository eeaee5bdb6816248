package syntax

import "wirewright/unit"

// File is one behaviour text.
type File struct {
	Name       string      // name of the file, for messages
	Statements []Statement // in the order of the text
	Tail       []string    // comments behind the last statement; "" is an empty line
}

// Statement is a Mode, Group, Hours, Scene or Rule.
type Statement interface {
	// Heading is what every statement has: its place and its comments.
	Heading() *Head
}

// Head is what every statement has.
type Head struct {
	At   Pos      // first character
	End  Pos      // behind the last character
	Lead []string // comment lines before it; "" is an empty line
	Note string   // comment on its first line
}

// Heading returns the head itself, so that a struct with a Head is a Statement.
func (h *Head) Heading() *Head { return h }

// Name is a name as the text writes it.
type Name struct {
	Text string
	At   Pos
}

// Mode declares a variable of the house: off or on, or one of several words.
type Mode struct {
	Head
	Name   Name
	Values []Name // one of "off" and "on": how it starts; else all its words, the first being how it starts
}

// Group names a list of points.
type Group struct {
	Head
	Name    Name
	Members []*Target
}

// Hours names a window of time.
type Hours struct {
	Head
	Name   Name
	Window *Window
}

// Scene names a set of output states.
type Scene struct {
	Head
	Name     Name
	Settings []*Setting
}

// Setting is the state that a scene gives to its targets.
type Setting struct {
	At      Pos
	Targets []*Target
	State   State
	Lead    []string // comment lines before it
	Note    string   // comment on its line
}

// Rule is one cause (or several, any of which will do) with its condition and effects.
type Rule struct {
	Head
	Name    *Name     // nil where it has none
	Wishes  []Name    // the wishes that it fulfils
	Causes  []*Cause  // when, at, every
	While   Condition // instead of causes: the effects stand while it holds
	Lasting *unit.Duration
	Unless  bool      // the condition is introduced by "unless"
	If      Condition // nil where there is none
	Effects []*Effect
}

// CauseKind is what happens.
type CauseKind uint8

// The kinds of cause.
const (
	CausePressed  CauseKind = iota // a key is pressed and let go before it counts as held
	CauseTwice                     // a key is pressed twice
	CauseHeld                      // a key has been down for the long mark
	CauseLetGo                     // a key is let go after it was held
	CauseOpens                     // a contact opens
	CauseCloses                    // a contact closes
	CauseBegins                    // presence or rain begins
	CauseEnds                      // presence or rain ends
	CauseTurnsOn                   // an output or a mode turns on
	CauseTurnsOff                  // an output or a mode turns off
	CauseBecomes                   // a mode becomes Value
	CauseRises                     // a level rises above Level; armed again below Back
	CauseFalls                     // a level falls below Level; armed again above Back
	CauseMoment                    // a moment of the calendar: Moment, Days, Dates
	CauseEvery                     // a period: Period
	CausePower                     // power returns
	CauseLost                      // Point, a module, is lost; the network where Point is empty
	CauseBack                      // Point, a module, is back; the network where Point is empty
	CauseMessage                   // the message Text arrives from outside
)

// Cause is one thing that happens.
type Cause struct {
	Kind   CauseKind
	At     Pos
	End    Pos
	Point  Name // keys, points, modes and modules
	Value  Name // CauseBecomes
	Level  Quantity
	Back   Quantity
	Stays  *unit.Duration // it must stay so for this time (on-delay, TON)
	Moment *Moment
	Days   Days
	Dates  *Dates
	Period unit.Duration
	Text   string
}

// AnchorKind is what a moment is counted from.
type AnchorKind uint8

// The anchors.
const (
	AnchorTime AnchorKind = iota
	AnchorSunrise
	AnchorSunset
	AnchorSunAbove
	AnchorSunBelow
)

// Moment is a moment of a day.
type Moment struct {
	At        Pos
	Anchor    AnchorKind
	Minute    int32         // AnchorTime: minutes after midnight
	Elevation Quantity      // AnchorSunAbove, AnchorSunBelow
	Offset    unit.Duration // sun anchors: later, or earlier where negative
	NotBefore int32         // minutes after midnight, -1 for none
	NotAfter  int32         // minutes after midnight, -1 for none
}

// Days is a set of weekdays: bit 0 Monday … bit 6 Sunday; 0 stands for every day.
type Days uint8

// Dates is a span of dates that returns every year, both ends included.
type Dates struct {
	At    Pos
	First Date
	Last  Date
}

// Date is a day of the year.
type Date struct{ Month, Day int8 }

// Window is a span of time on some days; it may cross midnight.
type Window struct {
	At    Pos
	From  Moment
	To    Moment
	Days  Days
	Dates *Dates
}

// QuantityKind is what a quantity measures.
type QuantityKind uint8

// The kinds of quantity.
const (
	Number      QuantityKind = iota // without a unit
	Percent                         // %
	Temperature                     // °C
	Speed                           // m/s
	Illuminance                     // lx
	Angle                           // °
)

// Quantity is a number with its unit, in millionths of the unit.
type Quantity struct {
	At    Pos
	Kind  QuantityKind
	Value int64
}

// TargetKind is how a target names points.
type TargetKind uint8

// The kinds of target.
const (
	TargetName TargetKind = iota // a point, a mode or a group
	TargetAll                    // all points of a kind, somewhere
)

// Target is what an effect acts on.
type Target struct {
	Kind   TargetKind
	At     Pos
	Name   Name     // TargetName
	Plural string   // TargetAll: "lamps", "shutters" …
	Place  Name     // TargetAll: a room or a storey; empty for the whole house
	Storey bool     // TargetAll: Place is followed by the word storey
	Facing string   // TargetAll: "north", "north-east" …; empty for any
	Except []Target // TargetAll: points and groups left out, by name
}

// StateKind is the state that a setting or a hold asks for.
type StateKind uint8

// The kinds of state.
const (
	StateOff StateKind = iota
	StateOn
	StateRaised
	StateLowered
	StateAt
)

// State is a state of an output.
type State struct {
	Kind  StateKind
	At    Pos
	Value Quantity  // StateAt
	Slats *Quantity // StateAt, motors with slats
}

// Verb is what an effect does.
type Verb uint8

// The verbs.
const (
	TurnOn Verb = iota
	TurnOff
	Toggle
	SetLevel // to Value
	SetMode  // to Word, which may be on or off
	SetScene // Scene
	Brighten // while held
	Darken   // while held
	Vary     // brighten or darken in turn, while held
	Raise
	Lower
	Reverse // raise or lower in turn; stop while moving
	Stop
	Move // to Value, slats to Slats
	Tilt // slats to Value
	Hold // in State, with Rank
	Release
	Notify // Text
)

// Rank is what a hold outranks: every lower rank, and every effect that is no hold.
type Rank uint8

// The ranks, lowest first.
const (
	RankAutomatic Rank = iota + 1
	RankManual
	RankSafety
)

// Effect is one thing that follows.
type Effect struct {
	Verb      Verb
	At        Pos
	End       Pos
	Targets   []*Target
	Value     Quantity
	Slats     *Quantity
	Word      Name
	Scene     Name
	State     State
	Rank      Rank // Hold, Release: 0 where none is written (safety)
	Text      string
	Over      *unit.Duration // ramp
	WhileHeld bool
	For       *unit.Duration // off again after this time, begun anew by each cause (off-delay, TOF)
	Until     *unit.Duration // off this time after the cause has ended
	After     *unit.Duration // not at once but later (on-delay)
	Lead      []string       // comment lines before it
	Note      string         // comment on its line
}

// Condition is a condition: *All, *Any, *Not or *Test.
type Condition interface {
	// Place is where it begins.
	Place() Pos
}

// All holds when every term holds ("and").
type All struct{ Terms []Condition }

// Any holds when one term holds ("or").
type Any struct{ Terms []Condition }

// Not holds when its term does not.
type Not struct {
	At   Pos
	Term Condition
}

// TestKind is what a test looks at.
type TestKind uint8

// The kinds of test.
const (
	TestName    TestKind = iota // a mode that is on, or hours
	TestIs                      // Name is Word
	TestAbove                   // Name is above Level
	TestBelow                   // Name is below Level
	TestDark                    // the sun is below the horizon
	TestWindow                  // the time is inside Window
	TestNetwork                 // the network is Word (lost or back)
	TestModule                  // the module Name is Word (lost or back)
)

// Test is one thing that a condition looks at.
type Test struct {
	Kind   TestKind
	At     Pos
	Name   Name
	Word   Name
	Not    bool // "is not"
	Level  Quantity
	Back   *Quantity // TestAbove, TestBelow: where it ends again (hysteresis)
	Window *Window
}

// Place is where the first term begins.
func (c *All) Place() Pos { return c.Terms[0].Place() }

// Place is where the first term begins.
func (c *Any) Place() Pos { return c.Terms[0].Place() }

// Place is where the word "not" stands.
func (c *Not) Place() Pos { return c.At }

// Place is where the test begins.
func (c *Test) Place() Pos { return c.At }
