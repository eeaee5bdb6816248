package agent

import (
	"maps"
	"slices"
	"time"

	"wirewright/control"
	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// Report is what a bench wants to know of a controller. Compared over all controllers of a bench, its numbers say whether
// everything that was sent has arrived, and so whether the house has come to rest.
type Report struct {
	Session  string // of the agent
	Version  uint64 // rises whenever the report says something else: of two of a session the higher is the newer
	Running  wire.Loaded
	Online   bool
	Idle     bool              // nothing waits to be sent
	Elapsed  int64             // ms that have passed on its clock; setting the time of the house does not change it
	Fresh    bool              // the program is as it was after its start
	Calendar bool              // it has entries of the calendar
	Due      bool              // something happens by itself, in
	DueMS    int64             // so many ms
	Told     map[int16]uint64  // count of the last state told, by slot
	Entries  uint64            // count of the last journal entry told
	Mirrors  []Mirror          // what is heard of peers
	Sent     map[string]Sent   // last command sent, by controller
	Taken    map[string]uint32 // number of the last command that came in, by controller
}

// Mirror is a slot of a peer that is mirrored here.
type Mirror struct {
	Peer  string
	Slot  int16
	Count uint64 // of the last state heard, 0 for none
}

// Sent is a command on its way.
type Sent struct {
	Seq   uint32
	Until int64 // ms on the sender's clock after which it does nothing
}

// Report tells where the controller stands; false if the agent has ended.
func (a *Agent) Report() (Report, bool) {
	var r Report
	ok := a.Do(func() { r = a.report() })
	return r, ok
}

func (a *Agent) report() Report {
	r := Report{Session: a.session, Version: a.changes, Running: a.shelf.Running, Online: a.online, Entries: a.entries, Elapsed: int64(a.o.Clock.Elapsed() / time.Millisecond), Idle: a.out.empty() && len(a.work) == 0,
		Told: map[int16]uint64{}, Sent: maps.Clone(a.sent), Taken: maps.Clone(a.taken)}
	r.Fresh = a.program == nil || slices.Equal(a.state, a.first)
	r.Calendar = a.program != nil && len(a.program.Schedules) > 0
	for slot, s := range a.told {
		r.Told[slot] = s.Count
	}
	if wait, due := a.wait(); due {
		r.Due, r.DueMS = true, int64((wait+time.Millisecond-1)/time.Millisecond)
	}
	if a.program == nil {
		return r
	}
	for i := range a.program.Slots {
		if s := &a.program.Slots[i]; s.Kind == control.SlotMirror {
			m := Mirror{Peer: a.program.Peers[s.Peer], Slot: s.Remote}
			if p := a.peers[m.Peer]; p != nil {
				m.Count = p.states[s.Remote].Count
			}
			r.Mirrors = append(r.Mirrors, m)
		}
	}
	return r
}

// Tick lets the time that has passed take effect at once; after the clock was wound.
func (a *Agent) Tick() { a.Do(a.tick) }

// Clocks begins the calendar anew after the time of the house was set.
func (a *Agent) Clocks() { a.Do(a.setCalendar) }

// Restart begins with the running program anew, as if it had just been loaded: nothing is remembered.
func (a *Agent) Restart() {
	a.Do(func() {
		a.stop()
		a.shelf.forget()
		a.install(a.program)
	})
}

// Radio switches the network of the controller off, as a radio that is out of reach, or on again. The program goes on.
func (a *Agent) Radio(on bool) error {
	a.radio.Lock()
	defer a.radio.Unlock()
	c := a.connected()
	if on == (c != nil) {
		return nil
	}
	if on {
		var o mqtt.ClientOptions
		if !a.Do(func() { o = a.connection() }) {
			return errOff
		}
		return a.dial(o)
	}
	a.mu.Lock()
	a.client = nil
	a.mu.Unlock()
	c.Cut()
	a.out.link(false)
	a.Do(a.down)
	return nil
}
