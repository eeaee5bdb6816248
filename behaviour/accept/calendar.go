package accept

import (
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
	place sun.Place
	zone  string
	all   []control.Schedule // of every controller: what might come in between
	quiet map[string]time.Time
}

func newCalendar(c *behaviour.Compiled) *calendar {
	k := &calendar{place: sun.Place{Latitude: c.House.Site.Latitude.Deg(), Longitude: c.House.Site.Longitude.Deg()}, zone: c.House.Site.Zone}
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
var seasons = [][3]int{{2025, 1, 13}, {2025, 4, 14}, {2025, 7, 14}, {2025, 10, 13}, {2025, 12, 1}, {2025, 3, 3}, {2025, 5, 26}, {2025, 8, 25}}

// find returns a time at which windows stand as wanted, and, for a cause of the calendar, just before it happens. It
// prefers times at which no other entry of the calendar comes in between; where the house has no calendar at all the
// time is zero, for any will do.
func (k *calendar) find(cause *syntax.Cause, windows []windowNeed, span unit.Duration) (time.Time, bool) {
	moment := cause != nil && (cause.Kind == syntax.CauseMoment || cause.Kind == syntax.CauseEvery)
	if !moment && len(windows) == 0 && len(k.all) == 0 {
		return time.Time{}, true
	}
	schedules := append([]control.Schedule{}, k.all...)
	for _, w := range windows {
		schedules = append(schedules, w.schedule)
	}
	if moment {
		schedules = append(schedules, behaviour.ScheduleOf(cause))
	}
	a, err := almanac.New(k.place, k.zone, schedules)
	if err != nil {
		return time.Time{}, false
	}
	s := search{a: a, first: len(k.all), windows: windows, moment: moment, span: time.Duration(span+60_000) * time.Millisecond}
	if moment {
		s.only, err = almanac.New(k.place, k.zone, schedules[len(schedules)-1:])
		if err != nil {
			return time.Time{}, false
		}
	}
	return s.run()
}

// search looks for a time.
type search struct {
	a       *almanac.Almanac
	only    *almanac.Almanac // the cause alone
	first   int              // index of the first wanted window
	windows []windowNeed
	moment  bool
	span    time.Duration
}

func (s *search) run() (time.Time, bool) {
	var fallback time.Time
	for _, d := range seasons {
		t := time.Date(d[0], time.Month(d[1]), d[2], 12, 0, 0, 0, s.a.Zone())
		for range 8 * 48 {
			at, more := s.candidate(t)
			if !more {
				break
			}
			if s.holds(at) {
				if s.undisturbed(at) {
					return s.start(at), true
				}
				if fallback.IsZero() {
					fallback = at
				}
			}
			if s.moment && at.Sub(t) > 40*24*time.Hour {
				break
			}
			t = t.Add(30 * time.Minute)
			if s.moment {
				t = at
			}
		}
	}
	if fallback.IsZero() {
		return fallback, false
	}
	return s.start(fallback), true
}

// candidate is the next time that may do.
func (s *search) candidate(t time.Time) (time.Time, bool) {
	if !s.moment {
		return t, true
	}
	at, changes := s.only.Next(t)
	return at, len(changes) > 0
}

// start is when the test sets the clock for a time, in whole seconds of local time.
func (s *search) start(at time.Time) time.Time {
	at = at.In(s.a.Zone())
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
	state := s.a.State(at)
	for i, w := range s.windows {
		if (state[s.first+i] != 0) != w.inside {
			return false
		}
	}
	return true
}

// undisturbed tells whether nothing else of the calendar happens shortly before, and during the test.
func (s *search) undisturbed(at time.Time) bool {
	before := 10 * time.Second
	next, changes := s.a.Next(at.Add(-before))
	if len(changes) == 0 {
		return true
	}
	if !s.moment {
		return next.After(at.Add(s.span))
	}
	if !next.Equal(at) {
		return false
	}
	next, changes = s.a.Next(at)
	return len(changes) == 0 || next.After(at.Add(s.span))
}
