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
	Texts      []string   // notifications
}

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
