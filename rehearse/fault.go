package rehearse

import (
	"fmt"
	"time"

	"wirewright/control"
)

// Fault is something that must not happen, whatever people and networks do.
type Fault struct {
	At         int64     `json:"at"`   // ms since the rehearsal began
	Wall       time.Time `json:"wall"` // wall clock of the house
	Controller string    `json:"controller"`
	Text       string    `json:"text"`
	Rule       string    `json:"rule,omitempty"`
	Count      int       `json:"count"` // how often it happened; the rest is about the first time
}

// faults are kept by what they say; the first of each stands for all.
type faults struct {
	list []Fault
	more int // faults that found no room
}

// faultsMost bounds the list of different faults.
const faultsMost = 100

// fault records a fault at a controller.
func (r *Rehearsal) fault(who int32, text string, rule int16) {
	f := Fault{At: r.now, Wall: r.Now(), Controller: r.name(who), Text: text, Rule: r.rule(who, rule), Count: 1}
	for i := range r.faults.list {
		if old := &r.faults.list[i]; old.Controller == f.Controller && old.Text == f.Text && old.Rule == f.Rule {
			old.Count++
			return
		}
	}
	r.note(Entry{Kind: KindFault, Controller: f.Controller, Text: f.Text, Rule: f.Rule})
	if len(r.faults.list) >= faultsMost {
		r.faults.more++
		return
	}
	r.faults.list = append(r.faults.list, f)
}

// Faults are the different faults so far, in the order in which they were first seen.
func (r *Rehearsal) Faults() []Fault { return append([]Fault(nil), r.faults.list...) }

// faultText says in words what a controller reported.
func faultText(code control.FaultCode, name string) string {
	switch code {
	case control.FaultConflict:
		return "two rules want different things of " + name + " in one instant"
	case control.FaultChain:
		return "rules set each other off without end"
	case control.FaultRange:
		return "an event that the program does not have (" + name + ")"
	}
	return fmt.Sprintf("code %d (%s)", code, name)
}

// checkOutput looks at an output that is about to be driven for what must never be.
func (r *Rehearsal) checkOutput(who int32, e *control.Event, f *control.Effect) {
	switch {
	case e.Kind == control.EventStart && f.Kind == control.EffectMotor && f.Value != 0 && f.Cause < 0:
		r.fault(who, r.slotName(who, f.Slot)+": moves by itself when power returns", f.Cause)
	case e.Kind == control.EventCommand && e.Age > e.Expiry:
		r.fault(who, r.slotName(who, f.Slot)+": follows a command that had expired", f.Cause)
	}
}

// Rules of several controllers that set each other off over the network go round in some ten milliseconds. People and
// sensors make bursts, but none that lasts.
const (
	busyEvents  = 15 // events from others in one second that make it a busy one
	busySeconds = 10 // busy seconds in a row that are a fault
)

// countBusy counts the events that a controller gets from others in the running second.
func (r *Rehearsal) countBusy(c *controller, who int32) {
	if now := r.now / 1000; now != c.second {
		if c.events < busyEvents || now != c.second+1 {
			c.busy = 0
		}
		c.second, c.events = now, 0
	}
	if c.events++; c.events == busyEvents {
		if c.busy++; c.busy == busySeconds {
			r.fault(who, fmt.Sprintf("%d events or more from others in each of %d seconds: rules of several controllers set each other off without end", busyEvents, busySeconds), -1)
		}
	}
}

// checkSettled looks, when nothing is under way, that every mirror shows what its owner told last and that every channel
// does what its controller wants. It is for moments in which nothing is broken.
func (r *Rehearsal) checkSettled() {
	for i := range r.controllers {
		c := &r.controllers[i]
		for k := range c.slots {
			w := &c.slots[k]
			for _, s := range w.subscribers {
				d := &r.controllers[s.who]
				if got := d.program.Value(d.state, s.slot); w.hasTold && got != w.told {
					r.fault(s.who, fmt.Sprintf("%s is %s here and %s at %s, and nothing is under way", d.program.Slots[s.slot].Name,
						show(got, c.program.Slots[k].Quantity), show(w.told, c.program.Slots[k].Quantity), c.program.Controller), -1)
				}
			}
			if kind := c.program.Slots[k].Kind; (kind == control.SlotSwitch || kind == control.SlotLevel) && w.actuator.known && w.actuator.value != w.wanted {
				r.fault(int32(i), fmt.Sprintf("%s stands at %d, but %d is wanted", c.program.Slots[k].Name, w.actuator.value, w.wanted), -1)
			}
		}
	}
}
