package accept

import (
	"errors"
	"time"

	"wirewright/house"
	"wirewright/unit"
)

// World is a house that can be acted on and watched: a rehearsal, or the live site.
type World interface {
	// Key presses (true) or lets go (false) a key of a keypad point.
	Key(point house.ID, key int, down bool) error
	// Input sets what a point reads, in the steps of package control: a contact, presence, temperature, light, wind.
	Input(point house.ID, value int32) error
	// Message delivers a message from outside by name.
	Message(name string) error
	// Value is what a point or a variable ("mode away") stands at now, as last reported by its owner; false if unknown.
	Value(name string) (int32, bool)
	// Motion is the direction in which a motor point moves now: -1 up, 0 still, +1 down.
	Motion(point house.ID) (int32, bool)
	// Advance lets time pass: simulated time in a rehearsal, real time (or a virtual module's wound clock) on site.
	Advance(d unit.Duration) error
	// Clock sets the wall-clock time of the house; calendar entries in between do not fire.
	Clock(t time.Time) error
	// Now is the wall-clock time of the house.
	Now() time.Time
	// Break fails a component ("router", "broker", "module hall.box"), Mend brings it back. A site that cannot returns
	// ErrCannot.
	Break(component string) error
	Mend(component string) error
	// Reset brings every controller back to its start and every input to rest, so that tests do not depend on order.
	Reset() error
}

// ErrCannot is what a world answers that cannot do what is asked of it, so that a test is not tried rather than failed.
var ErrCannot = errors.New("this world cannot do that")

// Commander is a World in which a mode, or an output, can be commanded from outside the rules, as a person at the
// workbench does. Tests use it to bring about what a rule takes for granted.
type Commander interface {
	// Command sets a point or a mode ("mode away") to a value in the steps of package control.
	Command(name string, value int32) error
}

// Announcer is a World that hears what people are told.
type Announcer interface {
	// Told lists the notices since Reset, in order.
	Told() []string
}
