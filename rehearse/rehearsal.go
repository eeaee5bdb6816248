package rehearse

import (
	"errors"
	"fmt"
	"math"
	"time"

	"wirewright/behaviour/almanac"
	"wirewright/calc/sun"
	"wirewright/control"
	"wirewright/house"
)

// Rehearsal is one house that runs in simulated time. It is for one goroutine.
type Rehearsal struct {
	options  Options
	network  Network
	calendar *almanac.Almanac
	entries  []place // of each schedule of the calendar: the controller, and its own index of it
	first    []int   // of each controller: its first schedule in the calendar
	walk     *almanac.Walk
	clockGen uint32

	now       int64     // ms since the rehearsal began
	wall      time.Time // wall clock at wallSince
	wallSince int64
	queue     queue

	controllers []controller
	modules     []module
	lines       []line
	access      []access
	supplies    map[string]int32 // bus supplies by module name: the line that they feed
	router      bool
	broker      bool

	owner    map[string]place   // slots that are not mirrors, by name
	names    []string           // their names
	messages map[string][]place // message slots by name

	points map[string]*house.Point // of the house, by name

	forNetwork, forPhysics random
	told                   []string // notices since Reset
	commands               uint32   // number of the last command of the workbench

	effects []control.Effect // scratch of step
	trace   trace
	stats   Statistics
	faults  faults
	live    *live // people and weather; nil where only tests act
}

// New builds a rehearsal and starts every controller. Mistakes in what it is given are reported all at once.
func New(o Options) (*Rehearsal, error) {
	r := &Rehearsal{options: o, owner: map[string]place{}, messages: map[string][]place{}, supplies: map[string]int32{}}
	r.network = *UsualNetwork()
	if o.Network != nil {
		r.network = *o.Network
	}
	if len(o.Programs) == 0 {
		return nil, errors.New("rehearse: there is no program to rehearse; compile the behaviour first")
	}
	r.points = map[string]*house.Point{}
	if o.House != nil {
		for i := range o.House.Points {
			r.points[string(o.House.Points[i].ID)] = &o.House.Points[i]
		}
	}
	l := &layout{r: r}
	if err := l.build(&o); err != nil {
		return nil, fmt.Errorf("rehearse: %w", err)
	}
	if err := r.makeCalendar(); err != nil {
		return nil, fmt.Errorf("rehearse: %w", err)
	}
	if o.Start.IsZero() {
		r.options.Start = time.Date(2026, 3, 2, 12, 0, 0, 0, r.calendar.Zone())
	}
	r.trace.limit = o.Trace
	if o.Trace == 0 {
		r.trace.limit = TraceUsual
	}
	return r, r.Reset()
}

// makeCalendar joins the schedules of all programs into one almanac.
func (r *Rehearsal) makeCalendar() error {
	var schedules []control.Schedule
	for i := range r.controllers {
		r.first = append(r.first, len(schedules))
		for k, s := range r.controllers[i].program.Schedules {
			schedules = append(schedules, s)
			r.entries = append(r.entries, place{int32(i), int16(k)})
		}
	}
	place, zone := sun.Place{}, "UTC"
	if h := r.options.House; h != nil {
		place = sun.Place{Latitude: h.Site.Latitude.Deg(), Longitude: h.Site.Longitude.Deg()}
		if h.Site.Zone != "" {
			zone = h.Site.Zone
		}
	}
	var err error
	r.calendar, err = almanac.New(place, zone, schedules)
	return err
}

// Now is the wall-clock time of the house.
func (r *Rehearsal) Now() time.Time {
	return r.wall.Add(time.Duration(r.now-r.wallSince) * time.Millisecond).In(r.calendar.Zone())
}

// at is when the wall clock will show a time, in ms of the rehearsal.
func (r *Rehearsal) at(wall time.Time) int64 {
	return r.wallSince + int64(math.Ceil(float64(wall.Sub(r.wall))/float64(time.Millisecond)))
}

// runTo lets everything happen up to a time, that time included.
func (r *Rehearsal) runTo(until int64) {
	for {
		h, ok := r.queue.pop(until)
		if !ok {
			break
		}
		r.now = h.at
		r.stats.Happenings++
		r.happen(&h)
	}
	r.now = until
}

// happen carries out one happening.
func (r *Rehearsal) happen(h *happening) {
	switch h.kind {
	case happensDue:
		if c := &r.controllers[h.who]; h.gen == c.gen {
			r.step(h.who, control.Event{Kind: control.EventAdvance, Slot: -1}, nil)
		}
	case happensInput:
		r.inputArrives(h)
	case happensOutput:
		r.outputArrives(h)
	case happensUp:
		r.messageUp(&h.msg)
	case happensDown:
		r.messageDown(&h.msg)
	case happensNotice:
		r.notice(h)
	case happensWill:
		r.will(h)
	case happensConnect:
		r.connect(h)
	case happensWatch:
		r.watch(h)
	case happensClock:
		r.clockStrikes(h)
	case happensKey:
		r.press(place{h.who, h.slot}, h.value)
	default:
		r.liveHappens(h)
	}
}

// elapsedMost keeps Event.Elapsed far from the end of its range: an idle controller is stepped once in twelve days.
const elapsedMost = 1 << 30

// step gives one event to a controller that has power, checks what must hold after it, and carries out its effects. The
// message is the command that the event carries, nil for anything else.
func (r *Rehearsal) step(who int32, e control.Event, from *message) {
	c := &r.controllers[who]
	if !r.modules[c.module].up {
		return
	}
	for ; r.now-c.last > elapsedMost; c.last += elapsedMost {
		r.effects = c.program.Step(c.state, control.Event{Kind: control.EventAdvance, Slot: -1, Elapsed: elapsedMost}, r.effects[:0])
		r.carryOut(who, &e, from)
	}
	e.Elapsed = int32(r.now - c.last)
	if e.Kind == control.EventMirror || e.Kind == control.EventCommand {
		r.countBusy(c, who)
	}
	c.last = r.now
	r.stats.Steps++
	r.effects = c.program.Step(c.state, e, r.effects[:0])
	if text := c.program.Invariant(c.state); text != "" {
		r.fault(who, "invariant broken: "+text, -1)
	}
	r.carryOut(who, &e, from)
	c.gen++
	if due, ok := c.program.Due(c.state); ok {
		r.queue.push(happening{at: r.now + int64(due), kind: happensDue, who: who, gen: c.gen})
	}
}

// carryOut does what the effects of a step ask for.
func (r *Rehearsal) carryOut(who int32, e *control.Event, from *message) {
	for i := range r.effects {
		f := &r.effects[i]
		switch f.Kind {
		case control.EffectOutput, control.EffectMotor:
			r.checkOutput(who, e, f)
			r.output(who, f, from)
		case control.EffectPublish:
			r.publish(who, f.Slot, f.Value)
		case control.EffectSend:
			r.command(who, f)
		case control.EffectNotify:
			r.notify(r.controllers[who].program.Texts[f.Value], who, f.Cause)
		case control.EffectFault:
			r.fault(who, "fault at run time: "+faultText(control.FaultCode(f.Value), r.slotName(who, f.Slot)), f.Cause)
		}
	}
}

// toldMost bounds the notices that are kept.
const toldMost = 10_000

// notify tells the people something.
func (r *Rehearsal) notify(text string, who int32, rule int16) {
	r.stats.Notices++
	if len(r.told) >= toldMost {
		r.told = append(r.told[:0], r.told[toldMost/2:]...)
	}
	r.told = append(r.told, text)
	r.note(Entry{Kind: KindNotice, Controller: r.name(who), Text: text, Rule: r.rule(who, rule)})
}

// boot starts a controller: power came.
func (r *Rehearsal) boot(who int32) {
	c := &r.controllers[who]
	c.last, c.booted = r.now, true
	r.note(Entry{Kind: KindStart, Controller: r.name(who)})
	fresh := c.state == nil
	if fresh {
		c.state = c.program.NewState()
		r.tellInputs(who) // before the start these are taken over, and nothing follows from them
	}
	r.step(who, control.Event{Kind: control.EventStart, Slot: -1}, nil)
	if !fresh {
		r.tellInputs(who)
	}
}

// tellInputs tells a controller what its inputs read and how its calendar windows stand.
func (r *Rehearsal) tellInputs(who int32) {
	c := &r.controllers[who]
	var state []int32
	for k := range c.program.Slots {
		s := &c.program.Slots[k]
		switch s.Kind {
		case control.SlotInput, control.SlotKey:
			if c.slots[k].raw != control.Unknown && r.contact(c.slots[k].module) {
				r.step(who, control.Event{Kind: control.EventInput, Slot: int16(k), Value: c.slots[k].raw}, nil)
			}
		case control.SlotClock:
			if s.Schedule < 0 || !c.program.Schedules[s.Schedule].Window {
				continue
			}
			if state == nil {
				state = r.calendar.State(r.Now())
			}
			r.step(who, control.Event{Kind: control.EventClock, Slot: int16(k), Value: state[r.first[who]+int(s.Schedule)]}, nil)
		}
	}
}

// clockStrikes gives the controllers what the calendar brings now.
func (r *Rehearsal) clockStrikes(h *happening) {
	if h.gen != r.clockGen {
		return
	}
	_, changes := r.walk.Next()
	for _, change := range changes {
		e := r.entries[change.Schedule]
		r.tellClock(e, change.Value)
	}
	r.awaitClock()
}

// tellClock gives the value of one schedule to the slots that it drives.
func (r *Rehearsal) tellClock(e place, value int32) {
	c := &r.controllers[e.who]
	for k := range c.program.Slots {
		if s := &c.program.Slots[k]; s.Kind == control.SlotClock && s.Schedule == e.slot {
			r.note(Entry{Kind: KindClock, Controller: r.name(e.who), Name: s.Name, Value: value})
			r.step(e.who, control.Event{Kind: control.EventClock, Slot: int16(k), Value: value}, nil)
		}
	}
}

// awaitClock queues the next thing that the calendar brings.
func (r *Rehearsal) awaitClock() {
	if next := r.walk.Peek(); !next.IsZero() {
		r.queue.push(happening{at: r.at(next), kind: happensClock, gen: r.clockGen})
	}
}

// setClock sets the wall clock and takes up the calendar with what comes after a time.
func (r *Rehearsal) setClock(t, after time.Time) {
	r.wall, r.wallSince = t, r.now
	r.walk = r.calendar.Walk(after)
	r.clockGen++
	r.awaitClock()
}

// name is the name of a controller; what comes from none of them comes from the workbench.
func (r *Rehearsal) name(who int32) string {
	if who < 0 {
		return "workbench"
	}
	return r.controllers[who].program.Controller
}

// slotName is the name of a slot, "" for none.
func (r *Rehearsal) slotName(who int32, slot int16) string {
	p := r.controllers[who].program
	if slot < 0 || int(slot) >= len(p.Slots) {
		return ""
	}
	return p.Slots[slot].Name
}

// rule is what a rule is called, "" for none.
func (r *Rehearsal) rule(who int32, rule int16) string {
	if who < 0 {
		return ""
	}
	p := r.controllers[who].program
	if rule < 0 || int(rule) >= len(p.Rules) {
		return ""
	}
	if n := p.Rules[rule].Name; n >= 0 && int(n) < len(p.Texts) {
		return p.Texts[n]
	}
	return fmt.Sprintf("rule %d", rule)
}
