package accept

import (
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
