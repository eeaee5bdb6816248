package accept

import (
	"fmt"
	"sort"
	"time"

	"wirewright/behaviour"
	"wirewright/behaviour/almanac"
	"wirewright/behaviour/syntax"
	"wirewright/calc/sun"
	"wirewright/control"
	"wirewright/unit"
)

// calendar finds times of the day at which tests can run.
type calendar struct {
	place  sun.Place
	zone   string
	all    []control.Schedule        // of every controller: what might come in between
	known  map[string]found          // what was asked before
	events [len(seasons)][]time.Time // when anything of the calendar happens, by season
}

// found is the answer to a question.
type found struct {
	at time.Time
	ok bool
}

func newCalendar(c *behaviour.Compiled) *calendar {
	k := &calendar{place: sun.Place{Latitude: c.House.Site.Latitude.Deg(), Longitude: c.House.Site.Longitude.Deg()}, zone: c.House.Site.Zone, known: map[string]found{}}
	if _, err := time.LoadLocation(k.zone); err != nil || k.zone == "" || k.zone == "Local" {
		k.zone = "UTC"
	}
	seen := map[control.Schedule]bool{}
	for _, p := range c.Programs {
		for _, s := range p.Schedules {
			if !seen[s] {
				seen[s] = true
				k.all = append(k.all, s)
			}
		}
	}
	return k
}

// seasons are the dates from which a time is looked for: a Monday of every season, so that both short and long days and
// every month are tried.
var seasons = [...][3]int{{2025, 1, 13}, {2025, 4, 14}, {2025, 7, 14}, {2025, 10, 13}, {2025, 12, 1}, {2025, 3, 3}, {2025, 5, 26}, {2025, 8, 25}}

// find returns a time at which windows stand as wanted, and, for a cause of the calendar, just before it happens. It
// prefers times at which no other entry of the calendar comes in between; where the house has no calendar at all the
// time is zero, for any will do.
func (k *calendar) find(cause *syntax.Cause, windows []windowNeed, span unit.Duration) (time.Time, bool) {
	for _, length := range lengths {
		if span <= length {
			span = length
			break
		}
	}
	key := fmt.Sprint(windows, span)
	if cause != nil && (cause.Kind == syntax.CauseMoment || cause.Kind == syntax.CauseEvery) {
		key += fmt.Sprint(behaviour.ScheduleOf(cause))
	}
	f, asked := k.known[key]
	if !asked {
		f.at, f.ok = k.search(cause, windows, span)
		k.known[key] = f
	}
	return f.at, f.ok
}

// lengths are the lengths to which the time that a test takes is rounded up, so that many tests ask the same question.
var lengths = []unit.Duration{60_000, 5 * 60_000, 15 * 60_000, 60 * 60_000, 3 * 3600_000, 8 * 3600_000}

// search looks for the time.
func (k *calendar) search(cause *syntax.Cause, windows []windowNeed, span unit.Duration) (time.Time, bool) {
	moment := cause != nil && (cause.Kind == syntax.CauseMoment || cause.Kind == syntax.CauseEvery)
	if !moment && len(windows) == 0 && len(k.all) == 0 {
		return time.Time{}, true
	}
	var schedules []control.Schedule
	for _, w := range windows {
		schedules = append(schedules, w.schedule)
	}
	var own []control.Schedule
	if moment {
		own = append(own, behaviour.ScheduleOf(cause))
	}
	wanted, err := almanac.New(k.place, k.zone, schedules)
	only, err2 := almanac.New(k.place, k.zone, own)
	if err != nil || err2 != nil {
		return time.Time{}, false
	}
	s := search{calendar: k, wanted: wanted, only: only, windows: windows, moment: moment, span: time.Duration(span+60_000) * time.Millisecond}
	return s.run()
}

// search looks for a time.
type search struct {
	*calendar
	wanted  *almanac.Almanac // the windows
	only    *almanac.Almanac // the cause alone
	windows []windowNeed
	moment  bool
	span    time.Duration
}

// daysTried is how many days of each season are tried.
const daysTried = 8

func (s *search) run() (time.Time, bool) {
	var fallback time.Time
	for n, d := range seasons {
		t := time.Date(d[0], time.Month(d[1]), d[2], 12, 0, 0, 0, s.wanted.Zone())
		walk := s.only.Walk(t)
		for range daysTried * 48 {
			at := t
			if s.moment {
				if at, _ = walk.Next(); at.IsZero() || at.Sub(t) > 40*24*time.Hour {
					break
				}
			}
			if s.holds(at) {
				if s.undisturbed(n, at) {
					return s.start(at), true
				}
				if fallback.IsZero() {
					fallback = at
				}
			}
			if !s.moment {
				t = t.Add(30 * time.Minute)
			}
		}
	}
	if fallback.IsZero() {
		return fallback, false
	}
	return s.start(fallback), true
}

// start is when the test sets the clock for a time, in whole seconds of local time.
func (s *search) start(at time.Time) time.Time {
	at = at.In(s.wanted.Zone())
	if s.moment {
		at = at.Add(-time.Duration(clockLead) * time.Millisecond)
	}
	return time.Date(at.Year(), at.Month(), at.Day(), at.Hour(), at.Minute(), at.Second(), 0, time.UTC)
}

// holds tells whether every window stands as wanted.
func (s *search) holds(at time.Time) bool {
	if len(s.windows) == 0 {
		return true
	}
	state := s.wanted.State(at)
	for i, w := range s.windows {
		if (state[i] != 0) != w.inside {
			return false
		}
	}
	return true
}

// undisturbed tells whether nothing of the calendar of the house happens shortly before, and during the test, save the
// cause itself.
func (s *search) undisturbed(season int, at time.Time) bool {
	events := s.eventsOf(season)
	first := at.Add(-10 * time.Second)
	i := sort.Search(len(events), func(i int) bool { return !events[i].Before(first) })
	for ; i < len(events) && !events[i].After(at.Add(s.span)); i++ {
		if !s.moment || !events[i].Equal(at) {
			return false
		}
	}
	return i < len(events) || len(s.all) == 0
}

// mostEvents bounds the events that are looked at in one season.
const mostEvents = 20_000

// eventsOf lists when anything of the calendar happens in the days of a season that are tried, and one event beyond them.
func (k *calendar) eventsOf(season int) []time.Time {
	if k.events[season] != nil {
		return k.events[season]
	}
	a, err := almanac.New(k.place, k.zone, k.all)
	if err != nil {
		return nil
	}
	d := seasons[season]
	begin := time.Date(d[0], time.Month(d[1]), d[2], 11, 0, 0, 0, a.Zone())
	walk := a.Walk(begin)
	var events []time.Time
	for len(events) < mostEvents {
		at, changes := walk.Next()
		if len(changes) == 0 {
			break
		}
		if events = append(events, at); at.Sub(begin) > (daysTried+1)*24*time.Hour {
			break
		}
	}
	k.events[season] = events
	return events
}
