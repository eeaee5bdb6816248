package accept

import (
	"time"

	"wirewright/behaviour/syntax"
	"wirewright/unit"
)

// Test is one acceptance test.
type Test struct {
	Name   string   // what it shows, for people
	Line   int      // of the acceptance text; 0 for one that was made from a rule
	Rule   string   // name of the rule that it proves, empty where it is not said
	Wishes []string // the wishes that it proves
	Steps  []Step
	Cannot string   // why it cannot be tried anywhere, for a rule of which no test could be made
	Lead   []string // comment lines before it; "" is an empty line
}

// StepKind is what a step does.
type StepKind uint8

// The kinds of step.
const (
	StepPress   StepKind = iota // press Key of Name shortly, twice where Twice
	StepHold                    // press Key of Name and keep it down; time passes until it counts as held
	StepLetGo                   // let Key of Name go
	StepSet                     // sensor Name reads State; a mode or an output is commanded to State
	StepMessage                 // the message Name arrives from outside
	StepWait                    // Time passes
	StepAt                      // the clock of the house is set to Clock
	StepExpect                  // Name comes to State within Time
	StepStays                   // Name is at State all of Time
	StepMoves                   // motor Name moves in the direction of State.Word within Time
	StepNotice                  // the people are told Name within Time
	StepBreak                   // the component Name fails
	StepMend                    // the component Name comes back
)

// Step is one step of a test.
type Step struct {
	Kind  StepKind
	Line  int
	Name  string // a point, "mode away", a message, a notice or a component
	Key   int
	Twice bool
	State State
	Time  unit.Duration
	Clock time.Time // StepAt: read as local time of the house
	Note  string    // comment behind it
}

// State is what a point or mode is set to or expected at: a word or a quantity.
type State struct {
	Word     string           // on, off, open, closed, occupied, empty, wet, dry, raised, lowered, unknown, a word of a mode; up, down, still
	Quantity *syntax.Quantity // 40 %, 21 °C, 12 m/s, 200 lx
	Index    *int32           // words of a mode: the value, filled in by Check
}

// String prints the state as the text writes it.
func (s State) String() string {
	if s.Quantity != nil {
		return s.Quantity.String()
	}
	return s.Word
}

// words are the values of the words that mean the same for every point.
var words = map[string]int32{
	"off": 0, "on": 1, "closed": 0, "open": 1, "empty": 0, "occupied": 1, "dry": 0, "wet": 1, "raised": 0, "lowered": 1000,
}

// directions are the words of a motion.
var directions = map[string]int32{"up": -1, "still": 0, "down": 1}

// Value is the state as a number of package control; false where only a mode can have the word and Check has not been
// asked for it, and for unknown.
func (s State) Value() (int32, bool) {
	switch {
	case s.Index != nil:
		return *s.Index, true
	case s.Quantity != nil:
		return s.Quantity.Steps(), true
	}
	v, ok := words[s.Word]
	return v, ok
}

// Outcome is how a test ended.
type Outcome string

// The outcomes.
const (
	Passed   Outcome = "passed"
	Failed   Outcome = "failed"
	NotTried Outcome = "not tried"
)

// Result is what came of one test.
type Result struct {
	Test    string        `json:"test"`             // its name
	Rule    string        `json:"rule,omitempty"`   // the rule that it proves
	Wishes  []string      `json:"wishes,omitempty"` // the wishes that it proves
	Outcome Outcome       `json:"outcome"`          //
	Step    int           `json:"step"`             // index of the step that failed or could not be done; -1 where all passed
	Line    int           `json:"line"`             // its line in the text, 0 where there is none
	Text    string        `json:"text"`             // what was expected and what was seen, or why it was not tried
	Took    unit.Duration `json:"took"`             // time that passed in the house
}
