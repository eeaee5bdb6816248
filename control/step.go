package control

import "errors"

// errNotYet marks what is not built yet.
var errNotYet = errors.New("control: not built yet")

// State is the whole memory of one controller as a flat vector: equal vectors are equal states. Timers stand in it as
// remaining time, so that a state does not depend on when it was reached.
type State []int32

// Program is the compiled behaviour of one controller. It is immutable once built or decoded.
type Program struct {
	Controller string     // module id of the controller
	Slots      []Slot     //
	Peers      []string   // module ids of the controllers that this one hears or commands
	Schedules  []Schedule //
	Texts      []string   // notifications, and the names that listing and trace use

	Rules      []Rule      // what the person wrote
	Causes     []Cause     // of rules, Rule.Causes
	Code       []Instr     // conditions and operands, Rule.Cond and Action.Value
	Actions    []Action    // of rules, Rule.Actions
	Lists      []Range     // groups and chords: rows of Members
	Members    []int16     // slots of the lists
	Timers     []Timer     //
	Gestures   []Gesture   // at most one a key
	Scenes     []Scene     //
	SceneItems []SceneItem // of scenes, Scene.Items
	Holds      []Hold      //
	Regulators []Regulator //
}

// Check reports every mistake that would make stepping the program unsafe: indices out of range, sizes beyond the bounds,
// code whose stack does not work out, motors without travel times. It also prepares the tables that Step uses, so it
// must be called once by whoever builds a Program, after which the Program must not be changed; Decode calls it. Without
// it Step answers FaultRange to everything.
func (p *Program) Check() error { return errNotYet }

// Listing returns the program in plain words for people: every rule with its causes, condition and actions.
func (p *Program) Listing() string { return "" }

// Invariant returns what is wrong with a state that Step can never leave behind, "" when nothing is.
func (p *Program) Invariant(s State) string { return "" }

// NewState returns the state before EventStart.
func (p *Program) NewState() State { return nil }

// Step takes one event and changes the state; it appends the effects to out, in order, and returns it. It allocates
// nothing when out has room. A malformed event yields EffectFault and changes nothing.
func (p *Program) Step(s State, e Event, out []Effect) []Effect { return out }

// Due returns after how many ms, without any other event, the next timer expires; false if none is running. The world
// sends EventAdvance then.
func (p *Program) Due(s State) (int32, bool) { return 0, false }

// Encode returns the program as the bytes that are loaded into a controller: same program, same bytes.
func (p *Program) Encode() []byte { return nil }

// Decode reads what Encode wrote; hostile bytes give an error.
func Decode(b []byte) (*Program, error) { return nil, errNotYet }

// Digest names the program: SHA-256 of its encoding.
func (p *Program) Digest() [32]byte { return [32]byte{} }
