package rehearse

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"wirewright/control"
	"wirewright/house"
)

// Life is a span of random days in a house: people press keys and open doors, weather changes, things break.
type Life struct {
	Seed    uint64 // of people, weather, outages and network; it takes the place of Options.Seed
	Days    int
	Presses int // acts of people a day for each key; 0 for PressesUsual
	Outages int // outages a day, of a second up to twenty minutes

	// Tell is called after each hour that was lived, with how many there were; where it answers false, the life ends with
	// ErrStopped. It may be nil and must not touch the rehearsal.
	Tell func(hours int) bool
}

// PressesUsual is how often a key is pressed a day (common practice, no source).
const PressesUsual = 12

// ErrStopped says that a life was told to stop before its end.
var ErrStopped = errors.New("rehearse: stopped before the days were over")

// DaysMost bounds the days of one life.
const DaysMost = 3660

// Report is what a life brought to light.
type Report struct {
	Seed    uint64     `json:"seed"`
	Days    int        `json:"days"`
	Faults  []Fault    `json:"faults"`
	More    int        `json:"more,omitempty"` // different faults for which there was no room
	Counts  Statistics `json:"counts"`
	Command string     `json:"command"` // repeats it
}

// live is a life under way.
type live struct {
	Life
	people, weather, trouble random
	until                    int64
	keys, contacts           []place
	sensors                  []place // measured values and rain
	rain                     map[place]bool
	rooms                    []*liveRoom
	cloud, wind              int64 // thousandths; tenths of a metre a second
	outside                  float64
	components               []string
	broken                   map[string]int
}

// Day lives some days with usual people and no outages.
func (r *Rehearsal) Day(seed uint64, days int) (Report, error) {
	return r.Live(Life{Seed: seed, Days: days})
}

// Live starts everything anew and lives some days; after them everything is mended, keys are let go, and the house must
// come to rest. Faults are a result, not an error.
func (r *Rehearsal) Live(o Life) (Report, error) {
	if o.Days < 1 || o.Days > DaysMost || o.Presses < 0 || o.Outages < 0 || o.Outages > 10_000 {
		return Report{}, fmt.Errorf("rehearse: 1 to %d days and up to 10000 outages a day are expected, not %d and %d", DaysMost, o.Days, o.Outages)
	}
	if o.Presses == 0 {
		o.Presses = PressesUsual
	}
	r.options.Seed = o.Seed
	if err := r.Reset(); err != nil {
		return Report{}, err
	}
	r.faults, r.stats = faults{}, Statistics{}
	r.begin(o)
	if !r.hours(o.Tell) {
		return Report{}, ErrStopped
	}
	r.end()
	return Report{o.Seed, o.Days, r.Faults(), r.faults.more, r.Statistics(), r.repeat(o)}, nil
}

// hours lives until the end of the days, an hour at a time; false where it was told to stop.
func (r *Rehearsal) hours(tell func(int) bool) bool {
	const hour = 3600 * 1000
	for n := 1; r.now < r.live.until; n++ {
		r.runTo(min(r.now+hour, r.live.until))
		if tell != nil && !tell(n) {
			return false
		}
	}
	return true
}

// repeat is the command that lives the same days again.
func (r *Rehearsal) repeat(o Life) string {
	text := fmt.Sprintf("wirewright rehearse --seed %d --days %d", o.Seed, o.Days)
	if o.Presses != PressesUsual {
		text += fmt.Sprintf(" --presses %d", o.Presses)
	}
	if o.Outages != 0 {
		text += fmt.Sprintf(" --outages %d", o.Outages)
	}
	return text
}

// begin prepares people, rooms and weather and queues the first of each.
func (r *Rehearsal) begin(o Life) {
	l := &live{Life: o, people: branch(o.Seed, forPeople), weather: branch(o.Seed, forWeather), trouble: branch(o.Seed, forTrouble),
		until: r.now + int64(o.Days)*24*3600*1000, rain: map[place]bool{}, broken: map[string]int{}, cloud: 400, wind: 20}
	r.live = l
	for _, name := range r.names {
		p := r.owner[name]
		switch s := &r.controllers[p.who].program.Slots[p.slot]; {
		case s.Kind == control.SlotKey:
			l.keys = append(l.keys, p)
		case s.Kind != control.SlotInput:
		case s.Quantity != control.QuantityBool:
			l.sensors = append(l.sensors, p)
		default:
			if point := r.points[name]; point != nil && point.Kind == house.Rain {
				l.sensors = append(l.sensors, p)
				l.rain[p] = true
			} else {
				l.contacts = append(l.contacts, p)
			}
		}
	}
	l.components = r.Components()
	r.furnish()
	r.queue.push(happening{at: r.now, kind: happensWeather})
	if len(l.keys)+len(l.contacts) > 0 {
		r.queue.push(happening{at: r.now + l.people.below(60_000), kind: happensAct})
	}
	if o.Outages > 0 {
		r.queue.push(happening{at: r.now + l.pause(int64(o.Outages)), kind: happensTrouble})
	}
}

// pause draws the time to the next of so many happenings a day.
func (l *live) pause(perDay int64) int64 { return 1 + l.trouble.below(2*24*3600*1000/perDay) }

// liveHappens carries out what belongs to a life.
func (r *Rehearsal) liveHappens(h *happening) {
	l := r.live
	if l == nil || r.now >= l.until && h.kind != happensRepair && h.kind != happensBack {
		return
	}
	switch h.kind {
	case happensBack:
		if p := (place{h.who, h.slot}); !r.controllers[p.who].slots[p.slot].pinned {
			r.setInput(p, 0)
		}
	case happensAct:
		r.act()
	case happensWeather:
		r.weatherMoves()
		if r.quiet() {
			r.checkSettled()
		}
		r.queue.push(happening{at: r.now + weatherStep, kind: happensWeather})
	case happensTrouble:
		r.breakSomething()
	case happensRepair:
		name := l.components[h.who]
		if l.broken[name]--; l.broken[name] == 0 {
			_ = r.Mend(name) // the name comes from Components
		}
	}
}

// awake tells whether people are up, and when they get up next where they are not.
func (r *Rehearsal) awake() (bool, int64) {
	now := r.Now().In(r.calendar.Zone())
	morning := time.Date(now.Year(), now.Month(), now.Day(), 6, 30, 0, 0, now.Location())
	evening := time.Date(now.Year(), now.Month(), now.Day(), 23, 30, 0, 0, now.Location())
	if now.Before(morning) {
		return false, r.at(morning)
	}
	if !now.Before(evening) {
		return false, r.at(morning.AddDate(0, 0, 1))
	}
	return true, 0
}

// act lets a person do one thing, and queues the next.
func (r *Rehearsal) act() {
	l := r.live
	if up, next := r.awake(); !up {
		r.queue.push(happening{at: next + l.people.below(600_000), kind: happensAct})
		return
	}
	things := int64(len(l.keys) + len(l.contacts))
	if n := l.people.below(things); n < int64(len(l.keys)) {
		r.handle(l.keys[n])
	} else {
		p := l.contacts[n-int64(len(l.keys))]
		if w := &r.controllers[p.who].slots[p.slot]; !w.pinned && w.raw == 0 {
			r.setInput(p, 1)
			r.queue.push(happening{at: r.now + l.people.between(5000, 15*60*1000), kind: happensBack, who: p.who, slot: p.slot})
		}
	}
	const awakeMS = 17 * 3600 * 1000
	r.queue.push(happening{at: r.now + 1 + l.people.below(2*awakeMS/(things*int64(l.Presses))), kind: happensAct})
}

// handle moves a key as people do: mostly a short press, sometimes a long one, sometimes two.
func (r *Rehearsal) handle(p place) {
	l := r.live
	at := func(after, value int64) {
		r.queue.push(happening{at: r.now + after, kind: happensKey, who: p.who, slot: p.slot, value: int32(value)})
	}
	short := l.people.between(60, 350)
	at(0, 1)
	switch n := l.people.below(100); {
	case n < 80:
		at(short, 0)
	case n < 92:
		at(l.people.between(600, 3000), 0)
	default:
		gap := short + l.people.between(60, 250)
		at(short, 0)
		at(gap, 1)
		at(gap+l.people.between(60, 350), 0)
	}
}

// breakSomething fails a component for a while. The mains fail as rarely as any one of the others.
func (r *Rehearsal) breakSomething() {
	l := r.live
	n := l.trouble.below(int64(len(l.components)))
	name := l.components[n]
	if l.broken[name]++; l.broken[name] == 1 {
		_ = r.Break(name) // the name comes from Components
	}
	r.queue.push(happening{at: r.now + l.trouble.between(1000, 20*60*1000), kind: happensRepair, who: int32(n)})
	r.queue.push(happening{at: r.now + l.pause(int64(l.Outages)), kind: happensTrouble})
}

// quiet tells whether everything works and nothing is under way that could still change a mirror or an output.
func (r *Rehearsal) quiet() bool {
	if !r.router || !r.broker {
		return false
	}
	for i := range r.controllers {
		if c := &r.controllers[i]; !c.reach || !c.online || len(c.outbox)+len(c.waiting) > 0 {
			return false
		}
	}
	for i := range r.modules {
		if m := &r.modules[i]; !m.up || m.lost {
			return false
		}
	}
	for i := range r.queue.heap {
		switch r.queue.heap[i].kind {
		case happensUp, happensDown, happensInput, happensOutput, happensConnect:
			return false
		}
	}
	return true
}

// restTime is how long the house is left alone after a life, ms: longer than connecting again takes.
const restTime = 120_000

// end lets people and weather rest, mends everything, and looks whether the house is in agreement with itself.
func (r *Rehearsal) end() {
	l := r.live
	for _, name := range l.components {
		_ = r.Mend(name) // the names come from Components
	}
	for _, p := range l.keys {
		r.press(p, 0)
	}
	l.broken = map[string]int{}
	r.queue.drop(happensKey, happensRepair)
	for range 30 {
		if r.runTo(r.now + restTime); r.quiet() {
			r.checkSettled()
			return
		}
	}
	r.fault(0, "the house does not come to rest within an hour after people left it alone", -1)
}

// lived says how many days there were.
func lived(days int) string {
	if days == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", days)
}

// String tells the report in a few lines; a fault is followed by how to repeat it.
func (p Report) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d presses, %d steps, %d states, %d commands (%d lost, %d late); slowest answer %d ms (%s), median %d ms, %d above %d ms\n",
		lived(p.Days), p.Counts.Presses, p.Counts.Steps, p.Counts.States, p.Counts.Commands, p.Counts.Lost, p.Counts.Expired,
		p.Counts.Worst, p.Counts.WorstName, p.Counts.Median, p.Counts.Slow, slowAnswer)
	if len(p.Faults) == 0 {
		b.WriteString("no fault\n")
		return b.String()
	}
	for _, f := range p.Faults {
		fmt.Fprintf(&b, "%s: %s: %s%s (%d times, first after %s s)\n", f.Wall.Format("2006-01-02 15:04:05"), f.Controller, f.Text, because(f.Rule), f.Count, seconds(f.At))
	}
	fmt.Fprintf(&b, "seed %d; repeat with: %s\n", p.Seed, p.Command)
	return b.String()
}
