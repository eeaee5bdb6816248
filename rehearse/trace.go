package rehearse

import (
	"encoding/json"

	"wirewright/control"
)

// Kind is the kind of a trace entry.
type Kind string

// The kinds of entry.
const (
	KindPress    Kind = "press"    // a key went down
	KindRelease  Kind = "release"  // a key went up
	KindInput    Kind = "input"    // something that a point reads changed
	KindOutput   Kind = "output"   // a switch or level changed at its channel
	KindMotor    Kind = "motor"    // a motor started or stopped
	KindSent     Kind = "sent"     // a command left a controller
	KindLost     Kind = "lost"     // a message was lost
	KindDoubled  Kind = "doubled"  // a message comes twice
	KindExpired  Kind = "expired"  // a command came too late and does nothing
	KindStart    Kind = "start"    // a controller started
	KindOffline  Kind = "offline"  // a controller noticed that it has no connection
	KindOnline   Kind = "online"   // a controller connected
	KindGone     Kind = "gone"     // the others were told that a controller is gone
	KindBroken   Kind = "broken"   // a component failed
	KindMended   Kind = "mended"   // a component works again
	KindClock    Kind = "clock"    // the calendar
	KindWall     Kind = "wall"     // the wall clock was set
	KindMessage  Kind = "message"  // a message from outside
	KindNotice   Kind = "notice"   // the people are told something
	KindFault    Kind = "fault"    // something that must not happen
	KindReset    Kind = "reset"    // everything went back to its start
	KindVariable Kind = "variable" // a variable changed (told by its owner)
)

// Entry is one thing that happened.
type Entry struct {
	At         int64            `json:"at"` // ms since the rehearsal began
	Kind       Kind             `json:"kind"`
	Controller string           `json:"controller,omitempty"`
	Name       string           `json:"name,omitempty"` // slot: point, key or variable
	Value      int32            `json:"value"`
	Quantity   control.Quantity `json:"quantity,omitempty"`
	Time       int32            `json:"time,omitempty"`  // fade, or age of a command, in ms
	True       int32            `json:"true,omitempty"`  // motors: true position in thousandths
	Slats      int32            `json:"slats,omitempty"` // motors: true slat angle in thousandths
	Rule       string           `json:"rule,omitempty"`  // what caused it
	Text       string           `json:"text,omitempty"`
	Peer       string           `json:"peer,omitempty"` // messages: the other end
}

// trace keeps the newest entries.
type trace struct {
	limit   int
	entries []Entry
	dropped int
}

// note adds an entry. When the trace is full its older half goes.
func (r *Rehearsal) note(e Entry) {
	t := &r.trace
	if t.limit < 0 {
		return
	}
	if t.limit > 0 && len(t.entries) >= t.limit {
		half := len(t.entries) / 2
		t.dropped += half
		t.entries = append(t.entries[:0], t.entries[half:]...)
	}
	e.At = r.now
	t.entries = append(t.entries, e)
}

// noteMessage adds an entry about a message.
func (r *Rehearsal) noteMessage(kind Kind, m *message, text string) {
	if r.trace.limit < 0 {
		return
	}
	e := Entry{Kind: kind, Controller: r.name(m.from), Value: m.value, Rule: r.rule(m.from, m.cause), Text: text}
	owner := m.from
	if m.kind == messageCommand {
		owner = m.to
		e.Time = int32(r.now - m.sent)
	}
	if m.to >= 0 {
		e.Peer = r.name(m.to)
	}
	e.Name = r.slotName(owner, m.slot)
	if p := r.controllers[owner].program; int(m.slot) < len(p.Slots) {
		e.Quantity = p.Slots[m.slot].Quantity
	}
	if m.kind == messageCommand {
		e.Text = join(verb(m.verb, m.value, e.Quantity), text)
	} else {
		e.Text = join("state "+show(m.value, e.Quantity), text)
	}
	r.note(e)
}

func join(a, b string) string {
	if b == "" {
		return a
	}
	return a + ", " + b
}

// Trace returns the entries from one time up to another, both in ms since the rehearsal began, the first included.
func (r *Rehearsal) Trace(from, to int64) []Entry {
	var list []Entry
	for _, e := range r.trace.entries {
		if e.At >= from && e.At < to {
			list = append(list, e)
		}
	}
	return list
}

// TraceJSON is the same as JSON, one entry a line.
func (r *Rehearsal) TraceJSON(from, to int64) ([]byte, error) {
	var out []byte
	for _, e := range r.Trace(from, to) {
		b, err := json.Marshal(e)
		if err != nil {
			return nil, err
		}
		out = append(append(out, b...), '\n')
	}
	return out, nil
}

// Elapsed is the time since the rehearsal began, in ms: what Trace and Story count in.
func (r *Rehearsal) Elapsed() int64 { return r.now }
